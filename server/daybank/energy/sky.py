"""How cloudy it is: the season, how days follow each other, and the words for them.

Knows: what a month's mean clearness is likely to be, how a cloudy day makes the next
one likelier, and what a sky word says about the light. Leaves to others: the spread of
days about their mean (clearness), the clear sky (clear_sky), amps (panel), the
ensemble that draws from it (forecast).

Two measures, told apart throughout. Clearness kt is the day's light on the level over
that outside the air. The clear-sky index is the same light over that of a cloudless
day; the harvest is tabulated by it. index = kt / clear_kt, and clear_kt, about
0.65-0.80, comes from `clear_day_kt`. A day's place in its month is a standard
normal score z: 0 is the middling day, positive is sunnier.
"""

import math

from daybank.energy import clear_sky, clearness, sun

MonthSpread = clearness.MonthSpread  # whoever draws days needs it beside the functions below

_Z90 = 1.2815515655446004  # standard normal score of 90 %

# Lag-1 of daily scores: Graham, Hollands & Unny, Solar Energy 40 (1988) 83-92, give about 0.29 (from
# memory); five measured series lie at 0.12-0.32. High on purpose, since runs of bad days hurt.
PERSISTENCE = 0.30
MOST_OF_CLEAR = 0.90  # a month's mean light over that of clear days; sunniest of 24 site-months 0.88
HIGHEST_INDEX = 1.02  # a whole day hardly beats a clear one; our assumption, no source

MONTH_RAIN_MM = {"dry": 15.0, "average": 60.0, "wet": 150.0}  # our assumption, no source
SEASON_SD = 0.10  # of the monthly mean: fit error 0.08 and 0.06 from year to year, together
SEASON_SD_UNKNOWN = 0.117  # the same with fit error 0.10, when nothing is known of the rain
_SEASON_LOW, _SEASON_HIGH = 0.25, 0.72  # outside lie no months of the fit

# Clear-sky index a day of that word has: P10, P50, P90. Our blend, no source, of Kasten &
# Czeplak's oktas and of two satellite years at 40.5 N grouped by share of cloudless daylight.
WORDS = {
    "clear": (0.92, 0.99, 1.02),
    "partly": (0.65, 0.83, 0.95),
    "mostly_cloudy": (0.40, 0.62, 0.82),
    "overcast": (0.15, 0.40, 0.68),
    "rain": (0.10, 0.30, 0.60),
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


def clearness_quantiles(monthly_mean_kt: float) -> dict:
    """P10, P50 and P90 of daily clearness as published, not narrowed: {"p10", "p50", "p90"}. [-]

    Source
        As `clearness.MonthSpread`.
    """
    month = clearness.MonthSpread(monthly_mean_kt)
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
    return min(max(middle + sd * z, clearness.MEAN_LOW), clearness.MEAN_HIGH)


def next_score(z_before: float, z_fresh: float) -> float:
    """Score of a day from that of the day before and a fresh standard normal draw. [-]

    Source
        Graham, Hollands & Unny, Solar Energy 40 (1988) 83-92: first-order autoregression
        of normal scores.
    """
    return PERSISTENCE * z_before + math.sqrt(1.0 - PERSISTENCE * PERSISTENCE) * z_fresh


def _month(mean_kt, clear_kt: float) -> clearness.MonthSpread:
    # Where the sun stays low a clear day's clearness falls to 0.2, and the prior, fitted
    # to higher suns, would call every day clear. No sunny month that we saw passed 0.88.
    if isinstance(mean_kt, clearness.MonthSpread):
        return mean_kt
    return clearness.MonthSpread(min(mean_kt, MOST_OF_CLEAR * clear_kt))


def clear_index_from_score(z: float, mean_kt: float, clear_kt: float) -> float:
    """Clear-sky index of a day, 0 to 1.02; rises with z and with the monthly mean.

    Parameters
        z: standard normal score of the day in its month. [-]
        mean_kt: monthly mean, see `season_mean_kt`; a `clearness.MonthSpread` does as well and saves time. [-]
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
