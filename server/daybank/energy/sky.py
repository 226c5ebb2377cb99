"""How cloudy it is: the spread of days, their persistence, and the words for them.

Knows: how daily clearness is spread about its monthly mean, what that mean is likely
to be, how a cloudy day makes the next one likelier, and what a sky word says about
the light. Leaves to others: the clear sky (clear_sky), amps (panel), the ensemble
that draws from it (forecast).

Two measures, told apart throughout. Clearness kt is the day's light on the level over
that outside the air. The clear-sky index is the same light over that of a cloudless
day; the harvest is tabulated by it. index = kt / clear_kt, and clear_kt, about
0.65-0.80, comes from `clear_day_kt`. A day's place in its month is a standard
normal score z: 0 is the middling day, positive is sunnier.
"""

import math

from daybank.energy import clear_sky, draws, sun

_Z90 = 1.2815515655446004  # standard normal score of 90 %

LOWEST_KT = 0.05  # darkest day: Bendt, Collares-Pereira & Rabl 1981
# Lag-1 of daily scores: Graham, Hollands & Unny, Solar Energy 40 (1988) 83-92, give about 0.29 (from
# memory); five measured series lie at 0.12-0.32. High on purpose, since runs of bad days hurt.
PERSISTENCE = 0.30
PULL_TO_MEAN = 0.85  # spread measured within months over spread by Bendt, mean of nine site-years: 0.84
MOST_OF_CLEAR = 0.90  # a month's mean light over that of clear days; sunniest of 24 site-months 0.88
HIGHEST_INDEX = 1.02  # a whole day hardly beats a clear one; our assumption, no source

MONTH_RAIN_MM = {"dry": 15.0, "average": 60.0, "wet": 150.0}  # our assumption, no source
SEASON_SD = 0.10  # of the monthly mean: fit error 0.08 and 0.06 from year to year, together
SEASON_SD_UNKNOWN = 0.117  # the same with fit error 0.10, when nothing is known of the rain
_SEASON_LOW, _SEASON_HIGH = 0.25, 0.72  # outside lie no months of the fit
_MEAN_LOW, _MEAN_HIGH = 0.12, 0.76  # where the spread's formula is sound

# Clear-sky index a day of that word has: P10, P50, P90. Our blend, no source, of Kasten &
# Czeplak's oktas and of two satellite years at 40.5 N grouped by share of cloudless daylight.
WORDS = {
    "clear": (0.92, 0.99, 1.02),
    "partly": (0.65, 0.83, 0.95),
    "mostly_cloudy": (0.40, 0.62, 0.82),
    "overcast": (0.15, 0.38, 0.65),
    "rain": (0.08, 0.20, 0.40),
    "unknown": (0.30, 0.76, 1.00),
}
_TAIL_STRETCH = 1.8  # our assumption, no source: about one day in ten is worded as its neighbour class


# Five-point Gauss-Legendre rule on 0 to 1: Abramowitz & Stegun, Handbook of
# Mathematical Functions (1964), table 25.4.
_GAUSS = ((0.04691007703, 0.11846344253), (0.23076534495, 0.23931433525), (0.5, 0.28444444444),
          (0.76923465505, 0.23931433525), (0.95308992297, 0.11846344253))


def _declination_deg(month: float) -> float:
    """Declination in the middle of a month. [deg] Cooper, Solar Energy 12 (1969) 333-346."""
    return 23.45 * math.sin(2.0 * math.pi * (284.0 + (month - 0.5) * 30.436875) / 365.0)


def clear_day_kt(*, day_start_s: float, lat_deg: float, lon_deg: float, altitude_m: float, month=None) -> float:
    """Light of a cloudless day over that outside the air, both on the level; about 0.65 to 0.80. [-]

    Parameters
        day_start_s: the day's local midnight. [s since 1970-01-01T00:00Z]
        lat_deg, lon_deg: place, north and east positive. [deg]
        altitude_m: height above the sea. [m]
        month: for the haze, 1.0 = mid January; None takes it from the time. [-]
    Returns
        Clearness, down to 0.2 where the sun barely rises; 0.6 in polar night, where it does not
        matter but must not be 0.
    Notes
        Five positions of the sun from noon to sunset stand for the day: within 0.5 % of
        minute steps. Longitude only turns the day, so it changes nothing here.
    Source
        Ineichen & Perez, Solar Energy 73 (2002) 151-157, with `clear_sky.linke_turbidity`.
    """
    noon_s = day_start_s + 43200.0
    season = sun.month_at(noon_s) if month is None else month
    air = clear_sky.Air(altitude_m, clear_sky.linke_turbidity(lat_deg, season))
    lat, dec = lat_deg * math.pi / 180.0, sun.declination_deg(noon_s) * math.pi / 180.0
    tall, wide = math.sin(lat) * math.sin(dec), math.cos(lat) * math.cos(dec)
    cosine = -tall / max(wide, 1e-9)
    if cosine >= 1.0:
        return 0.6
    sunset = math.acos(max(cosine, -1.0))
    extra = sun.extraterrestrial_w_m2(noon_s)
    ground = above = 0.0
    for place, weight in _GAUSS:
        up = tall + wide * math.cos(place * sunset)
        true_deg = math.asin(min(max(up, 0.0), 1.0)) * 180.0 / math.pi
        ground += weight * air.irradiance(true_deg + sun.refraction_deg(true_deg), extra)[0]
        above += weight * extra * up
    return min(max(ground / above, 0.15), 0.9)


def cloud_cover_ratio(oktas: float) -> float:
    """Light on the level under cloud over that under a clear sky. [-]

    Parameters
        oktas: eighths of the sky that are covered, 0 to 8.
    Raises
        ValueError: oktas outside 0 to 8.
    Source
        Kasten & Czeplak, Solar Energy 24 (1980) 177-189 (constants from memory).

    >>> cloud_cover_ratio(8)
    0.25
    """
    if not 0.0 <= oktas <= 8.0:
        raise ValueError(f"Cloud cover {oktas} is outside 0 to 8 oktas; give eighths of the sky.")
    return 1.0 - 0.75 * math.pow(oktas / 8.0, 3.4)


class MonthSpread:
    """How daily clearness is spread in a month of given mean, ready for many days.

    Parameters
        mean_kt: monthly mean of daily clearness; held to 0.12-0.76. [-]
    Source
        Bendt, Collares-Pereira & Rabl, Solar Energy 27 (1981) 1-5, with the fits of
        Hollands & Huget as in Duffie & Beckman, Solar Engineering of Thermal
        Processes, 5th ed., equations 2.9.4-2.9.6.
    """

    __slots__ = ("mean_kt", "highest_kt", "_g", "_at_low", "_at_high")

    def __init__(self, mean_kt: float):
        mean = min(max(mean_kt, _MEAN_LOW), _MEAN_HIGH)
        self.mean_kt = mean
        off = mean - 0.75
        off *= off  # squared thrice: the eighth power
        off *= off
        high = 0.6313 + 0.267 * mean - 11.9 * off * off
        self.highest_kt = high
        x = (high - LOWEST_KT) / (high - mean)
        g = -1.498 + (1.184 * x - 27.182 * math.exp(-1.5 * x)) / (high - LOWEST_KT)
        self._g = g
        self._at_low = math.exp(g * LOWEST_KT)
        self._at_high = math.exp(g * high)

    def quantile(self, share: float) -> float:
        """Clearness that a share of the days stays below, as published. [-]"""
        if -1e-4 < self._g < 1e-4:  # all clearnesses alike; the formula would divide 0 by 0
            return LOWEST_KT + share * (self.highest_kt - LOWEST_KT)
        return math.log(self._at_low + share * (self._at_high - self._at_low)) / self._g

    def share_below(self, kt: float) -> float:
        """Share of the days below a clearness, as published. [-]"""
        if kt <= LOWEST_KT:
            return 0.0
        if kt >= self.highest_kt:
            return 1.0
        if -1e-4 < self._g < 1e-4:
            return (kt - LOWEST_KT) / (self.highest_kt - LOWEST_KT)
        return (self._at_low - math.exp(self._g * kt)) / (self._at_low - self._at_high)

    def _pull(self, z: float) -> float:
        # Measured months are narrower than published, but not in their darkest days,
        # and those are what empties a bank: full width from the tenth percentile down.
        if z >= 0.0:
            return PULL_TO_MEAN
        return PULL_TO_MEAN + (1.0 - PULL_TO_MEAN) * min(-z / _Z90, 1.0)

    def kt_at(self, z: float) -> float:
        """Clearness of a day whose standard normal score in its month is `z`; rises with z. [-]"""
        published = self.quantile(draws.normal_cdf(z))
        return self.mean_kt + (published - self.mean_kt) * self._pull(z)

    def score_of(self, kt: float) -> float:
        """Standard normal score of a day with this clearness, -2.5 to 2.5; the inverse of `kt_at`. [-]"""
        z = 0.0
        for _ in range(4):  # the pull depends on the score that is sought, but only below 0
            share = self.share_below(self.mean_kt + (kt - self.mean_kt) / self._pull(z))
            z = draws.normal_quantile(min(max(share, 0.0062), 0.9938))
            if z >= 0.0:
                break
        return min(max(z, -2.5), 2.5)


def clearness_quantiles(monthly_mean_kt: float) -> dict:
    """P10, P50 and P90 of daily clearness as published, not narrowed: {"p10", "p50", "p90"}. [-]

    Source
        As `MonthSpread`.
    """
    month = MonthSpread(monthly_mean_kt)
    return {"p10": month.quantile(0.1), "p50": month.quantile(0.5), "p90": month.quantile(0.9)}


def season_mean_kt(lat_deg: float, month: float, wetness=None, z: float = 0.0) -> float:
    """Likely monthly mean of daily clearness at a place of which little is known.

    Parameters
        lat_deg: latitude, north positive. [deg]
        month: 1 to 12, 1.0 = mid January. [-]
        wetness: "dry", "average", "wet" for the month's rain, or None or "unknown".
        z: standard normal draw, one per possible season: year and place together. [-]
    Returns
        Clearness, about 0.2 to 0.76; rises with z. [-]
    Raises
        ValueError: a wetness that is none of these.
    Notes
        Fitted to 107 site-months of eight northern places, none of them tropical; left-out
        places were met within 0.079 (root mean square) with rain known, 0.100 without.
    Source
        Our fit to hourly radiation files of the National Solar Radiation Database and of
        ASHRAE's IWEC, with rain from the ERA5 reanalysis of the Copernicus Climate Change Service.
    """
    noon_sine = max(math.cos((lat_deg - _declination_deg(month)) * math.pi / 180.0), 0.05)
    if wetness is None or wetness == "unknown":
        middle, sd = 0.335 + 0.240 * noon_sine, SEASON_SD_UNKNOWN
    elif wetness in MONTH_RAIN_MM:
        middle, sd = 0.655 - 0.083 * math.log(MONTH_RAIN_MM[wetness]) + 0.268 * noon_sine, SEASON_SD
    else:
        raise ValueError(f"Wetness {wetness!r} is unknown; give dry, average, wet or unknown.")
    middle = min(max(middle, _SEASON_LOW), _SEASON_HIGH)
    return min(max(middle + sd * z, _MEAN_LOW), _MEAN_HIGH)


def next_score(z_before: float, z_fresh: float) -> float:
    """Score of a day from that of the day before and a fresh standard normal draw. [-]

    Source
        Graham, Hollands & Unny, Solar Energy 40 (1988) 83-92: first-order autoregression
        of normal scores.
    """
    return PERSISTENCE * z_before + math.sqrt(1.0 - PERSISTENCE * PERSISTENCE) * z_fresh


def _month(mean_kt, clear_kt: float) -> MonthSpread:
    # Where the sun stays low a clear day's clearness falls to 0.2, and the prior, fitted
    # to higher suns, would call every day clear. No sunny month that we saw passed 0.88.
    if isinstance(mean_kt, MonthSpread):
        return mean_kt
    return MonthSpread(min(mean_kt, MOST_OF_CLEAR * clear_kt))


def clear_index_from_score(z: float, mean_kt: float, clear_kt: float) -> float:
    """Clear-sky index of a day, 0 to 1.02; rises with z and with the monthly mean.

    Parameters
        z: standard normal score of the day in its month. [-]
        mean_kt: monthly mean, see `season_mean_kt`; a `MonthSpread` does as well and saves time. [-]
        clear_kt: clearness of a cloudless day, see `clear_day_kt`. [-]
    """
    return min(max(_month(mean_kt, clear_kt).kt_at(z) / clear_kt, 0.0), HIGHEST_INDEX)


def score_of_index(index: float, mean_kt: float, clear_kt: float) -> float:
    """Score in its month, -2.5 to 2.5, of a day with this clear-sky index; what `next_score` goes on from. [-]

    Parameters
        index: clear-sky index of the day. [-]
        others as `clear_index_from_score`.
    """
    return _month(mean_kt, clear_kt).score_of(index * clear_kt)


def clear_index_from_word(word: str, z: float) -> float:
    """Clear-sky index of a day that was given this word, 0.03 to 1.05; rises with z.

    Parameters
        word: one of WORDS.
        z: standard normal draw: -1.28 gives the word's P10, 0 its P50, 1.28 its P90. [-]
    Raises
        ValueError: a word that is none of these.
    Notes
        A split normal, stretched beyond P10 and P90, since people word about one day in ten
        as its neighbour.
    """
    if word not in WORDS:
        raise ValueError(f"Sky word {word!r} is unknown; give one of: clear, partly, mostly_cloudy, overcast, rain, "
                         "unknown.")
    low, middle, high = WORDS[word]
    out = abs(z)
    if out > _Z90:
        out = _Z90 + _TAIL_STRETCH * (out - _Z90)
    away = out / _Z90
    index = middle + away * (high - middle) if z > 0.0 else middle - away * (middle - low)
    return min(max(index, 0.03), 1.05)
