"""The textbook hour-angle forms of the sun's geometry.

Knows: declination by day of year, angles from hour angle and declination, light
outside the air over an hour or a day. They serve climate sums and published
examples; where the sun stands at an instant is asked of `sun`.

Hour angle is 0 at solar noon, negative before, 15 deg an hour. Azimuth is clockwise
from true north. All after Duffie & Beckman, Solar Engineering of Thermal Processes,
4th ed. (2013), chapter 1; the equation of each is named beside it.
"""

import math
from collections import namedtuple

from daybank.energy import plane

SunGeometry = namedtuple("SunGeometry", ("zenith_deg", "azimuth_deg"))
Incidence = namedtuple("Incidence", ("cos_incidence", "incidence_deg"))

_RAD = math.pi / 180.0
_SOLAR_CONSTANT_W_M2 = 1367.0  # that of the textbook (World Radiation Center); sun.py has the newer one


def declination_deg(day_of_year: float) -> float:
    """Declination by day of year, 1 January = 1; up to 1 deg off in March. [deg]

    Source
        Cooper, Solar Energy 12 (1969) 333-346; equation 1.6.1a.
    """
    return 23.45 * math.sin(360.0 * (284.0 + day_of_year) / 365.0 * _RAD)


def sun_geometry(*, lat_deg: float, declination_deg: float, hour_angle_deg: float) -> SunGeometry:
    """Zenith angle and azimuth of the sun. [deg]

    Parameters
        lat_deg: latitude, north positive. [deg]
        declination_deg: of the sun. [deg]
        hour_angle_deg: 0 at solar noon, negative before. [deg]
    Source
        Equations 1.6.5 and 1.6.6, here through the sun's unit vector.
    """
    lat, dec, hour = lat_deg * _RAD, declination_deg * _RAD, hour_angle_deg * _RAD
    east = -math.cos(dec) * math.sin(hour)
    north = math.cos(lat) * math.sin(dec) - math.sin(lat) * math.cos(dec) * math.cos(hour)
    up = math.sin(lat) * math.sin(dec) + math.cos(lat) * math.cos(dec) * math.cos(hour)
    level = math.sqrt(east * east + north * north)
    return SunGeometry(math.atan2(level, up) / _RAD, (math.atan2(east, north) / _RAD) % 360.0)


def incidence_geometry(*, lat_deg: float, declination_deg: float, hour_angle_deg: float, tilt_deg: float,
                       panel_azimuth_deg: float) -> Incidence:
    """Angle between the sun and straight out of a tilted surface: Incidence(cos_incidence, incidence_deg).

    Parameters
        as `sun_geometry`, and
        tilt_deg, panel_azimuth_deg: where the surface faces. [deg]
    Source
        Equation 1.6.2.
    """
    where = sun_geometry(lat_deg=lat_deg, declination_deg=declination_deg, hour_angle_deg=hour_angle_deg)
    angle = plane.incidence_deg(elevation_deg=90.0 - where.zenith_deg, sun_azimuth_deg=where.azimuth_deg,
                                tilt_deg=tilt_deg, panel_azimuth_deg=panel_azimuth_deg)
    return Incidence(math.cos(angle * _RAD), angle)


def sunset_hour_angle_deg(*, lat_deg: float, declination_deg: float) -> float:
    """Hour angle at which the sun's centre meets a flat horizon without air; 180 in polar day, 0 in night. [deg]

    Source
        Equation 1.6.10.
    """
    cosine = -math.tan(lat_deg * _RAD) * math.tan(declination_deg * _RAD)
    return math.acos(min(max(cosine, -1.0), 1.0)) / _RAD


def _normal_w_m2(day_of_year: float) -> float:
    return _SOLAR_CONSTANT_W_M2 * (1.0 + 0.033 * math.cos(360.0 * day_of_year / 365.0 * _RAD))  # equation 1.4.1a


def extraterrestrial_daily_mj_m2(*, day_of_year: float, lat_deg: float, declination_deg: float) -> float:
    """Light outside the air on a level surface over a day. [MJ/m2]

    Source
        Equation 1.10.3.
    """
    lat, dec = lat_deg * _RAD, declination_deg * _RAD
    sunset = sunset_hour_angle_deg(lat_deg=lat_deg, declination_deg=declination_deg) * _RAD
    shape = math.cos(lat) * math.cos(dec) * math.sin(sunset) + sunset * math.sin(lat) * math.sin(dec)
    return 86400.0 / math.pi * _normal_w_m2(day_of_year) * shape / 1e6


def extraterrestrial_hourly_mj_m2(*, day_of_year: float, lat_deg: float, declination_deg: float,
                                  hour_angle_start_deg: float, hour_angle_end_deg: float) -> float:
    """Light outside the air on a level surface between two hour angles of one daylight. [MJ/m2]

    Source
        Equation 1.10.4.
    """
    lat, dec = lat_deg * _RAD, declination_deg * _RAD
    first, last = hour_angle_start_deg * _RAD, hour_angle_end_deg * _RAD
    shape = (math.cos(lat) * math.cos(dec) * (math.sin(last) - math.sin(first))
             + (last - first) * math.sin(lat) * math.sin(dec))
    return 43200.0 / math.pi * _normal_w_m2(day_of_year) * shape / 1e6
