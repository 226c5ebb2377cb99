"""Where the sun stands, and when it rises and sets.

Knows: position by the Astronomical Almanac's low-precision formulas, refraction,
sunrise and sunset of a local solar day, and `Arc`, one day's path of the sun at a
fraction of the cost. Leaves to others: the textbook hour-angle forms
(solar_geometry), what the air lets through (clear_sky), the panel (plane, panel).

Angles are degrees, azimuth clockwise from true north, longitude east positive, time
in seconds since 1970-01-01T00:00Z. UTC stands in for UT1; they differ by under 1 s.
"""

import math
from collections import namedtuple

Position = namedtuple("Position", ("elevation_deg", "azimuth_deg", "equation_of_time_min"))
SunTimes = namedtuple("SunTimes", ("state", "rise_s", "set_s", "transit_s", "day_length_h"))

_RAD = math.pi / 180.0
_NOON_2000_S = 946728000.0  # 2000-01-01T12:00Z, the almanac's zero of time
_HORIZON_DEG = -0.8333  # sun's centre when its upper edge meets a sea horizon: 16' radius, 34' refraction
_SOLAR_CONSTANT_W_M2 = 1366.1  # ASTM E490-00a (2006)


def _almanac(t_s: float) -> tuple:
    """(sine of declination, right ascension deg, mean longitude deg, sidereal time deg, mean anomaly rad)."""
    n = (t_s - _NOON_2000_S) / 86400.0
    mean_longitude = (280.460 + 0.9856474 * n) % 360.0
    g = ((357.528 + 0.9856003 * n) % 360.0) * _RAD
    lam = (mean_longitude + 1.915 * math.sin(g) + 0.020 * math.sin(2.0 * g)) * _RAD
    eps = (23.439 - 0.0000004 * n) * _RAD
    sin_lam = math.sin(lam)
    ra = math.atan2(math.cos(eps) * sin_lam, math.cos(lam)) / _RAD
    sidereal = (280.46061837 + 360.98564736629 * n) % 360.0
    return math.sin(eps) * sin_lam, ra, mean_longitude, sidereal, g


def wrap180(angle_deg: float) -> float:
    """The same direction as an angle from -180 (included) to 180. [deg]"""
    return (angle_deg + 180.0) % 360.0 - 180.0


def position(t_s: float, lat_deg: float, lon_deg: float) -> Position:
    """True (airless) position of the sun's centre.

    Parameters
        t_s: instant. [s since 1970-01-01T00:00Z]
        lat_deg, lon_deg: place, north and east positive. [deg]
    Returns
        Position(elevation_deg, azimuth_deg clockwise from true north,
        equation_of_time_min: apparent minus mean solar time).
    Notes
        Years 1950-2050: within 0.012 deg of the NREL solar position algorithm, far
        inside what a roof panel can notice. Near the zenith azimuth loses meaning.
    Source
        Michalsky, The Astronomical Almanac's algorithm for approximate solar position
        (1950-2050), Solar Energy 40 (1988) 227-235.

    >>> round(position(1750507200, 51.5, 0.0).elevation_deg, 1)  # 2025-06-21 12:00Z
    61.9
    """
    sin_dec, ra, mean_longitude, sidereal, _ = _almanac(t_s)
    hour_angle = wrap180(sidereal + lon_deg - ra) * _RAD
    lat = lat_deg * _RAD
    cos_dec = math.sqrt(1.0 - sin_dec * sin_dec)
    cos_h = math.cos(hour_angle)
    east = -cos_dec * math.sin(hour_angle)
    north = math.cos(lat) * sin_dec - math.sin(lat) * cos_dec * cos_h
    up = math.sin(lat) * sin_dec + math.cos(lat) * cos_dec * cos_h
    # Two-argument form: asin of a sine a rounding above 1 would fail near the zenith.
    elevation = math.atan2(up, math.sqrt(east * east + north * north)) / _RAD
    azimuth = (math.atan2(east, north) / _RAD) % 360.0
    return Position(elevation, azimuth, 4.0 * wrap180(mean_longitude - ra))


def equation_of_time_min(t_s: float) -> float:
    """Apparent minus mean solar time at instant `t_s`. [min]

    Source
        As `position`.
    """
    _, ra, mean_longitude, _, _ = _almanac(t_s)
    return 4.0 * wrap180(mean_longitude - ra)


def solar_time_h(t_s: float, lon_deg: float) -> float:
    """Apparent solar time of an instant: 12.0 when the sun is highest. [h, 0 to 24]

    Parameters
        t_s: instant. [s since 1970-01-01T00:00Z]
        lon_deg: longitude, east positive. [deg]
    Source
        Duffie & Beckman, Solar Engineering of Thermal Processes, equation 1.5.2.
    """
    return (t_s % 86400.0 / 3600.0 + lon_deg / 15.0 + equation_of_time_min(t_s) / 60.0) % 24.0


def declination_deg(t_s: float) -> float:
    """Angle of the sun above the plane of the equator at instant `t_s`. [deg]

    Source
        As `position`.
    """
    return math.asin(_almanac(t_s)[0]) / _RAD


def refraction_deg(true_elevation_deg: float, pressure_hpa: float = 1013.25, air_c: float = 12.0) -> float:
    """How much the air lifts the sun; add it to the true elevation.

    Parameters
        true_elevation_deg: elevation of the sun's centre without air. [deg]
        pressure_hpa: air pressure at the place. [hPa]
        air_c: air temperature. [deg C]
    Returns
        Lift. [deg] Zero when the whole sun is below the horizon.
    Source
        Reda & Andreas, NREL/TP-560-34302 (2004), equation 42.
    """
    if true_elevation_deg < -0.84:
        return 0.0
    bent = math.tan((true_elevation_deg + 10.3 / (true_elevation_deg + 5.11)) * _RAD)
    return pressure_hpa / 1010.0 * 283.0 / (273.0 + air_c) * 1.02 / (60.0 * bent)


def apparent_elevation(t_s: float, lat_deg: float, lon_deg: float, *, pressure_hpa: float = 1013.25,
                       air_c: float = 12.0) -> float:
    """Elevation of the sun as seen through the air. [deg] Parameters as `position` and `refraction_deg`."""
    true_deg = position(t_s, lat_deg, lon_deg).elevation_deg
    return true_deg + refraction_deg(true_deg, pressure_hpa, air_c)


def extraterrestrial_w_m2(t_s: float) -> float:
    """Sunlight outside the air on a surface that faces the sun. [W/m2]

    Parameters
        t_s: instant. [s since 1970-01-01T00:00Z]
    Source
        Solar constant 1366.1 W/m2: ASTM E490-00a (2006); distance: Michalsky 1988.
    """
    g = ((357.528 + 0.9856003 * (t_s - _NOON_2000_S) / 86400.0) % 360.0) * _RAD
    distance_au = 1.00014 - 0.01671 * math.cos(g) - 0.00014 * math.cos(2.0 * g)
    return _SOLAR_CONSTANT_W_M2 / (distance_au * distance_au)


def month_at(t_s: float) -> float:
    """Season of an instant as a month with fraction: 1.0 in mid January, 6.5 at the end of June.

    Notes
        Good to about a day and a half; it chooses climate figures, no dates.
    """
    return (t_s - 946684800.0) / 86400.0 % 365.2425 / 30.436875 + 0.5


def rise_set(near_noon_s: float, lat_deg: float, lon_deg: float, *, horizon_deg: float = _HORIZON_DEG) -> SunTimes:
    """Sunrise, transit and sunset of the solar day around an instant.

    Parameters
        near_noon_s: any instant within some hours of that day's noon, for instance
            12:00 UTC less lon/15 hours. [s since 1970-01-01T00:00Z]
        lat_deg, lon_deg: place, north and east positive. [deg]
        horizon_deg: elevation of the sun's centre that counts as rising. [deg]
    Returns
        SunTimes(state, rise_s, set_s, transit_s, day_length_h): state is "normal",
        "polar_day" or "polar_night"; rise_s and set_s are None unless "normal".
    Notes
        Flat horizon. Within 10 s of the NREL algorithm up to latitude 64; near the
        polar circles minutes off: say "about" above 65.
    Source
        Hour-angle equation with the declination of each event, iterated.
    """
    lat = lat_deg * _RAD
    transit = near_noon_s
    for _ in range(3):
        _, ra, _, sidereal, _ = _almanac(transit)
        transit -= wrap180(sidereal + lon_deg - ra) * 240.0
    sin_h0, sin_lat = math.sin(horizon_deg * _RAD), math.sin(lat)
    cos_lat = max(math.cos(lat), 1e-9)  # at the pole itself the sun just circles
    events = []
    for side in (-1.0, 1.0):
        t = transit
        for _ in range(4):
            sin_dec, ra, _, sidereal, _ = _almanac(t)
            cos_h = (sin_h0 - sin_lat * sin_dec) / (cos_lat * math.sqrt(1.0 - sin_dec * sin_dec))
            if cos_h < -1.0:
                return SunTimes("polar_day", None, None, transit, 24.0)
            if cos_h > 1.0:
                return SunTimes("polar_night", None, None, transit, 0.0)
            now_h = wrap180(sidereal + lon_deg - ra)
            t += (side * math.acos(cos_h) / _RAD - now_h) * 240.0
        events.append(t)
    return SunTimes("normal", events[0], events[1], transit, (events[1] - events[0]) / 3600.0)


class Arc:
    """One day's path of the sun over one place, cheap to ask many times.

    Parameters
        starts_at_s: start of the 24 hours. [s since 1970-01-01T00:00Z]
        lat_deg, lon_deg: place, north and east positive. [deg]
    Notes
        The sine of declination and the hour angle go straight from their value at
        the start to their value a day later; within 0.002 deg of `position`, at a
        third of its cost.
    """

    __slots__ = ("starts_at_s", "extra_w_m2", "_sin_lat", "_cos_lat", "_sin_dec", "_sin_dec_per_s", "_angle",
                 "_angle_per_s")

    def __init__(self, starts_at_s: float, lat_deg: float, lon_deg: float):
        self.starts_at_s = starts_at_s
        self.extra_w_m2 = extraterrestrial_w_m2(starts_at_s + 43200.0)
        self._sin_lat = math.sin(lat_deg * _RAD)
        self._cos_lat = math.cos(lat_deg * _RAD)
        first_dec, first_ra, _, first_sidereal, _ = _almanac(starts_at_s)
        last_dec, last_ra, _, last_sidereal, _ = _almanac(starts_at_s + 86400.0)
        first = wrap180(first_sidereal + lon_deg - first_ra)
        moved = 360.0 + wrap180(last_sidereal + lon_deg - last_ra - first)
        self._sin_dec = first_dec
        self._sin_dec_per_s = (last_dec - first_dec) / 86400.0
        self._angle = first * _RAD
        self._angle_per_s = moved * _RAD / 86400.0

    def direction(self, t_s: float) -> tuple:
        """Unit vector towards the sun, without air: (east, north, up). [-]"""
        since = t_s - self.starts_at_s
        sin_dec = self._sin_dec + self._sin_dec_per_s * since
        cos_dec = math.sqrt(1.0 - sin_dec * sin_dec)
        angle = self._angle + self._angle_per_s * since
        level = cos_dec * math.cos(angle)
        return (-cos_dec * math.sin(angle), self._cos_lat * sin_dec - self._sin_lat * level,
                self._sin_lat * sin_dec + self._cos_lat * level)
