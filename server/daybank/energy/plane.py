"""Sunlight on a tilted surface.

Knows: which way a panel faces on a trailer that is not level, the angle between sun
and panel, how much of the light is diffuse, and the sum on the panel's plane.
Leaves to others: electricity (panel).

Vectors are (east, north, up). Azimuth is clockwise from true north.
"""

import math
from collections import namedtuple

from daybank.energy import clear_sky, sun

Plane = namedtuple("Plane", ("tilt_deg", "azimuth_deg"))
TiltedDay = namedtuple("TiltedDay", ("poa_isotropic_kwh_m2", "poa_haydavies_kwh_m2", "flat_ghi_kwh_m2"))

_RAD = math.pi / 180.0
_LOW_SUN = 0.01745  # sine of 1 deg: a lower sun divides by this instead (Hay & Davies ratio, usual guard)

# Share of light that the ground sends back: Thevenard & Haddad, Energy and Buildings 38
# (2006) 858-863, and tables usual in open solar tools (values from those tools).
ALBEDO = {"grass": 0.20, "soil": 0.17, "sand": 0.40, "asphalt": 0.12, "concrete": 0.30, "snow": 0.65,
          "fresh_snow": 0.75, "sea": 0.06}


def normal(tilt_deg: float, azimuth_deg: float) -> tuple:
    """Unit vector that points straight out of a panel: (east, north, up). [-]"""
    out = math.sin(tilt_deg * _RAD)
    return (out * math.sin(azimuth_deg * _RAD), out * math.cos(azimuth_deg * _RAD), math.cos(tilt_deg * _RAD))


def on_slope(*, tilt_deg: float, azimuth_deg: float, slope_deg: float, slope_toward_deg: float) -> Plane:
    """Which way a panel really faces when the trailer stands on a slope.

    Parameters
        tilt_deg, azimuth_deg: the panel on a level trailer. [deg]
        slope_deg: how steep the stand is, 0 to 90. [deg]
        slope_toward_deg: direction in which the ground falls, clockwise from true north. [deg]
    Returns
        Plane(tilt_deg, azimuth_deg) against the true horizon.
    Notes
        The whole trailer turns about a level axis across the fall, so that its roof
        leans towards the fall.
    Source
        Rodrigues' rotation formula.

    >>> on_slope(tilt_deg=0.0, azimuth_deg=0.0, slope_deg=5.0, slope_toward_deg=180.0).tilt_deg
    5.0
    """
    if slope_deg == 0.0:
        return Plane(tilt_deg, azimuth_deg % 360.0)
    if tilt_deg == 0.0:
        return Plane(slope_deg, slope_toward_deg % 360.0)
    east, north, up = normal(tilt_deg, azimuth_deg)
    fall_east, fall_north = math.sin(slope_toward_deg * _RAD), math.cos(slope_toward_deg * _RAD)
    along = east * fall_east + north * fall_north  # part of the normal that leans with the fall
    sin_s, cos_s = math.sin(slope_deg * _RAD), math.cos(slope_deg * _RAD)
    new_along = along * cos_s + up * sin_s
    new_up = up * cos_s - along * sin_s
    east += (new_along - along) * fall_east
    north += (new_along - along) * fall_north
    tilt = math.atan2(math.sqrt(east * east + north * north), new_up) / _RAD
    return Plane(tilt, (math.atan2(east, north) / _RAD) % 360.0)


def incidence_deg(*, elevation_deg: float, sun_azimuth_deg: float, tilt_deg: float, panel_azimuth_deg: float) -> float:
    """Angle between the sun and straight out of the panel, 0 to 180. [deg]

    Parameters
        elevation_deg, sun_azimuth_deg: where the sun stands. [deg]
        tilt_deg, panel_azimuth_deg: where the panel faces. [deg]
    Source
        Scalar product of the two unit vectors.
    """
    east, north, up = normal(tilt_deg, panel_azimuth_deg)
    level = math.cos(elevation_deg * _RAD)
    cosine = (east * level * math.sin(sun_azimuth_deg * _RAD) + north * level * math.cos(sun_azimuth_deg * _RAD)
              + up * math.sin(elevation_deg * _RAD))
    return math.acos(min(max(cosine, -1.0), 1.0)) / _RAD


def diffuse_share(kt: float) -> float:
    """Part of the light on the level that comes from the whole sky instead of the sun. [-]

    Parameters
        kt: hourly clearness: light on the level here over that outside the air. [-]
    Source
        Erbs, Klein & Duffie, Solar Energy 28 (1982) 293-302.
    """
    if kt <= 0.22:
        return 1.0 - 0.09 * kt
    if kt <= 0.80:
        return 0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)))
    return 0.165


def glass_loss_factor(cos_incidence: float) -> float:
    """Part of the beam that the panel's glass lets in at a slant, 0 to 1. [-]

    Parameters
        cos_incidence: cosine of the angle between sun and straight out of the panel. [-]
    Source
        ASHRAE form with b0 = 0.05: Souka & Safwat, Solar Energy 10 (1966) 170-174.
    """
    if cos_incidence <= 0.0477:  # where the formula reaches 0, about 87.3 deg
        return 0.0
    return 1.0 - 0.05 * (1.0 / cos_incidence - 1.0)


def isotropic(*, dni_w_m2: float, dhi_w_m2: float, ghi_w_m2: float, cos_incidence: float, cos_tilt: float,
              albedo: float = 0.2) -> float:
    """Light on a tilted plane under an evenly bright sky. [W/m2]

    Parameters
        dni_w_m2, dhi_w_m2, ghi_w_m2: beam, diffuse and global horizontal. [W/m2]
        cos_incidence: cosine of sun against panel; below 0 the beam is behind. [-]
        cos_tilt: cosine of the panel's tilt. [-]
        albedo: share of light that the ground sends back, see ALBEDO. [-]
    Notes
        3-5 % low over a year at 30 deg tilt.
    Source
        Liu & Jordan, Solar Energy 4 (1960) 1-19, and 7 (1963) 53-74.
    """
    return (dni_w_m2 * max(cos_incidence, 0.0) + dhi_w_m2 * (1.0 + cos_tilt) / 2.0
            + ghi_w_m2 * albedo * (1.0 - cos_tilt) / 2.0)


def hay_davies(*, dni_w_m2: float, dhi_w_m2: float, ghi_w_m2: float, cos_incidence: float, cos_zenith: float,
               cos_tilt: float, extra_w_m2: float, albedo: float = 0.2) -> float:
    """Light on a tilted plane when part of the diffuse light comes from around the sun. [W/m2]

    Parameters
        as `isotropic`, and
        cos_zenith: sine of the sun's elevation. [-]
        extra_w_m2: sunlight outside the air, facing the sun. [W/m2]
    Source
        Hay & Davies, Proc. First Canadian Solar Radiation Data Workshop (1980) 59-72.
    """
    anisotropy = dni_w_m2 / extra_w_m2
    toward = max(cos_incidence, 0.0)
    ratio = toward / max(cos_zenith, _LOW_SUN)
    return (dni_w_m2 * toward + dhi_w_m2 * (anisotropy * ratio + (1.0 - anisotropy) * (1.0 + cos_tilt) / 2.0)
            + ghi_w_m2 * albedo * (1.0 - cos_tilt) / 2.0)


def tilted_clear_day(*, starts_at_s: float, lat_deg: float, lon_deg: float, altitude_m: float, linke: float,
                     tilt_deg: float, azimuth_deg: float, albedo: float = 0.2, hours: float = 24.0,
                     step_s: float = 600.0) -> TiltedDay:
    """Sunlight of a cloudless day on a tilted plane, without glass loss.

    Parameters
        as `clear_sky.clear_day`, and
        tilt_deg, azimuth_deg: where the panel faces. [deg]
        albedo: share of light that the ground sends back, see ALBEDO. [-]
    Returns
        TiltedDay(poa_isotropic_kwh_m2, poa_haydavies_kwh_m2, flat_ghi_kwh_m2).
    """
    air = clear_sky.Air(altitude_m, linke)
    arc = sun.Arc(starts_at_s, lat_deg, lon_deg)
    out_east, out_north, out_up = normal(tilt_deg, azimuth_deg)
    even = circum = flat = 0.0
    for i in range(int(hours * 3600.0 / step_s + 0.5)):
        t = starts_at_s + (i + 0.5) * step_s
        if t - arc.starts_at_s >= 86400.0:
            arc = sun.Arc(arc.starts_at_s + 86400.0, lat_deg, lon_deg)
        east, north, up = arc.direction(t)
        if up <= -0.015:
            continue
        true_deg = math.asin(min(up, 1.0)) / _RAD
        apparent_deg = true_deg + sun.refraction_deg(true_deg)
        ghi, dni, dhi = air.irradiance(apparent_deg, arc.extra_w_m2)
        cosine = east * out_east + north * out_north + up * out_up
        flat += ghi
        even += isotropic(dni_w_m2=dni, dhi_w_m2=dhi, ghi_w_m2=ghi, cos_incidence=cosine, cos_tilt=out_up,
                          albedo=albedo)
        circum += hay_davies(dni_w_m2=dni, dhi_w_m2=dhi, ghi_w_m2=ghi, cos_incidence=cosine,
                             cos_zenith=max(up, 0.0), cos_tilt=out_up, extra_w_m2=arc.extra_w_m2, albedo=albedo)
    scale = step_s / 3.6e6
    return TiltedDay(even * scale, circum * scale, flat * scale)
