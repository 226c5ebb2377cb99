"""How warm the air is, hour by hour, from two figures or from none.

Knows: the daily curve between the night's low and the day's high, and what a place's
latitude, month and height say when nobody typed a temperature. Leaves to others: what
warmth does to the bank (bank), a fridge (loads) or a panel (panel).
"""

import math
from collections import namedtuple

from daybank.energy import sun

Usual = namedtuple("Usual", ("mean_c", "mean_sd_k", "range_k", "day_sd_k"))

WARMEST_SOLAR_H = 14.5  # warmest hour by solar time: 2.5 h after noon; fitted to eight site-years of hourly files
LAPSE_K_PER_M = -0.0065  # standard atmosphere, ISO 2533:1975
LAND_HEIGHT_M = 800.0  # mean height of land, to which the table belongs (from memory)
DAY_TO_DAY_LAG = 0.72  # lag-1 of daily mean temperature; hourly files of eight site-years give 0.65-0.79
DAY_SD_K = 4.0  # day-to-day sd within a month: 2 (tropical coast) to 4.3 (inland), up to 8 in hard winters
RANGE_K = 10.0  # daily range: 4-7 on coasts, 9-11 inland
RANGE_HIGH_DRY_K = 13.0  # high country
_HIGH_COUNTRY_M = 1500.0  # our assumption, no source
_POLAR_SWING_K = 1.5  # our assumption, no source: half range where the sun neither rises nor sets

# Mean of land air temperature by latitude band, from 65 N (first row) to 45 S in steps of
# 10 deg: January, April, July, October, then sd over the band's land in January and July.
# Computed from ERA5 monthly means 2000-2025, Copernicus Climate Change Service.
ZONAL_C = (
    (-24.0, -7.0, 13.0, -5.0, 9.0, 5.0),  # 60..70 N
    (-15.0, 2.0, 17.0, 2.0, 9.0, 3.0),
    (-8.0, 8.0, 22.0, 8.0, 8.0, 4.0),
    (1.0, 13.0, 25.0, 14.0, 9.0, 8.0),
    (13.0, 24.0, 30.0, 24.0, 6.0, 6.0),
    (22.0, 30.0, 29.0, 28.0, 4.0, 4.0),
    (26.0, 26.0, 25.0, 25.0, 3.0, 3.0),  # 0..10 N
    (25.0, 25.0, 24.0, 26.0, 3.0, 3.0),  # 0..10 S
    (24.0, 24.0, 20.0, 25.0, 5.0, 4.0),
    (27.0, 22.0, 14.0, 23.0, 5.0, 4.0),
    (23.0, 16.0, 9.0, 19.0, 4.0, 3.0),
    (15.0, 9.0, 3.0, 11.0, 4.0, 3.0),  # 40..50 S
)


def _season(band: tuple, month: float) -> tuple:
    """(mean, sd) of a band's row at a month with fraction."""
    place = (month - 1.0) / 3.0 % 4.0
    quarter = int(place)
    share = place - quarter
    mean = band[quarter % 4] * (1.0 - share) + band[(quarter + 1) % 4] * share
    july = 0.5 - 0.5 * math.cos((month - 1.0) * math.pi / 6.0)
    return mean, band[4] * (1.0 - july) + band[5] * july


def usual(lat_deg: float, month: float, altitude_m=None) -> Usual:
    """What the air is usually like at a place of which nobody said more.

    Parameters
        lat_deg: latitude, north positive; beyond the table its last band serves. [deg]
        month: 1 to 12, 1.0 = mid January. [-]
        altitude_m: height above the sea, or None when unknown. [m]
    Returns
        Usual(mean_c: mean of the month, mean_sd_k: how far a place lies from it,
        range_k: day's high less night's low, day_sd_k: sd of a day's mean in the month).
    Notes
        Western coasts are 10-20 K milder in winter than the northern bands say. A typed
        temperature beats all of this.
    Source
        ERA5 land means; standard atmosphere for height. Between months straight.
    """
    place = min(max((65.0 - lat_deg) / 10.0, 0.0), 11.0)
    north = min(int(place), 10)
    share = place - north
    upper, upper_sd = _season(ZONAL_C[north], month)
    lower, lower_sd = _season(ZONAL_C[north + 1], month)
    mean = upper * (1.0 - share) + lower * share
    high = altitude_m is not None and altitude_m > _HIGH_COUNTRY_M
    if altitude_m is not None:
        mean += LAPSE_K_PER_M * (altitude_m - LAND_HEIGHT_M)
    return Usual(mean, upper_sd * (1.0 - share) + lower_sd * share, RANGE_HIGH_DRY_K if high else RANGE_K, DAY_SD_K)


def at_hour(local_h: float, *, night_c: float, day_c: float, rise_h, transit_h: float = 12.0) -> float:
    """Air temperature at an hour of an ordinary day.

    Parameters
        local_h: hours after local midnight; any number, days repeat. [h]
        night_c, day_c: low before dawn and high of the afternoon. [deg C]
        rise_h: sunrise, hours after local midnight; None where the sun neither rises nor sets. [h]
        transit_h: solar noon, hours after local midnight. [h]
    Returns
        Temperature in the shade, from night_c to day_c. [deg C]
    Notes
        Given the true low and high: bias within 0.3 K, 1.4-2.6 K root mean square, 3.5 K in
        dry high country. Without a sunrise 1.5 K about the mean.
    Source
        A pair of cosines in the manner of de Wit, Simulation of Assimilation, Respiration
        and Transpiration of Crops (1978); the warmest hour is our fit.

    >>> at_hour(14.5, night_c=5.0, day_c=25.0, rise_h=6.0)
    25.0
    """
    middle, half = 0.5 * (day_c + night_c), 0.5 * (day_c - night_c)
    warmest_h = transit_h + WARMEST_SOLAR_H - 12.0
    if rise_h is None:
        swing = min(half, _POLAR_SWING_K)
        return middle + swing * math.cos((local_h - warmest_h) * math.pi / 12.0)
    since_rise = (local_h - rise_h) % 24.0
    warming_h = min(max(warmest_h - rise_h, 1.0), 23.0)
    if since_rise <= warming_h:
        return middle - half * math.cos(math.pi * since_rise / warming_h)
    return middle + half * math.cos(math.pi * (since_rise - warming_h) / (24.0 - warming_h))


def hourly_c(*, night_c: float, day_c: float, rise_h, transit_h: float = 12.0, hours: int = 24) -> list:
    """Air temperature at the middle of each hour after local midnight. [deg C] Parameters as `at_hour`."""
    return [at_hour(hour + 0.5, night_c=night_c, day_c=day_c, rise_h=rise_h, transit_h=transit_h)
            for hour in range(hours)]


def day_hours(*, day_place, day_start_s: float, rise_s, month: float, hours: int = 24) -> list:
    """Air temperature at the middle of each hour of a local day, from whatever is known.

    Parameters
        day_place: mapping that may hold night_c, day_c [deg C], lat_deg, lon_deg [deg] and altitude_m
            [m]; what is missing or None is taken from `usual`. None: no place, then 15 degC, the
            standard atmosphere's (our assumption, no source), and the usual range.
        day_start_s: local midnight. [s since 1970-01-01T00:00Z]
        rise_s: sunrise of that day, or None. [s since 1970-01-01T00:00Z]
        month: 1 to 12, 1.0 = mid January. [-]
        hours: 23, 24 or 25.
    Returns
        One figure an hour. [deg C]
    """
    known = day_place or {}
    night_c, day_c = known.get("night_c"), known.get("day_c")
    if night_c is None or day_c is None:
        if known.get("lat_deg") is None:
            mean_c, range_k = 15.0, RANGE_K
        else:
            place = usual(known["lat_deg"], month, known.get("altitude_m"))
            mean_c, range_k = place.mean_c, place.range_k
        if night_c is None:
            night_c = mean_c - 0.5 * range_k if day_c is None else day_c - range_k
        if day_c is None:
            day_c = night_c + range_k
    rise_h = None if rise_s is None else (rise_s - day_start_s) / 3600.0
    lon_deg = known.get("lon_deg")
    transit_h = 12.0
    if lon_deg is not None:
        noon_s = day_start_s + 43200.0
        transit_h -= sun.wrap180((sun.solar_time_h(noon_s, lon_deg) - 12.0) * 15.0) / 15.0
    elif known.get("lat_deg") is None:
        rise_h = 6.0  # no place: an equinox day
    return hourly_c(night_c=night_c, day_c=day_c, rise_h=rise_h, transit_h=transit_h, hours=hours)
