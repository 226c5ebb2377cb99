"""Sunlight under a cloudless sky.

Knows: air mass, the Ineichen-Perez clear-sky model, the haze of each latitude and
month, and the totals of a clear day. Leaves to others: where the sun stands (sun),
clouds (sky), the panel (plane, panel).
"""

import math
from collections import namedtuple

from daybank.energy import sun

Irradiance = namedtuple("Irradiance", ("ghi_w_m2", "dni_w_m2", "dhi_w_m2"))
ClearDay = namedtuple("ClearDay", ("ghi_kwh_m2", "dni_kwh_m2", "dhi_kwh_m2", "extraterrestrial_kwh_m2"))

_RAD = math.pi / 180.0

# Linke turbidity, zonal median over land, from latitude band 65 N (first row) down to
# 65 S in steps of 10 deg; columns January to December. Computed from the monthly map
# of Remund, Wald, Lefevre, Ranchin & Page, Worldwide Linke turbidity information, ISES
# 2003 (SoDa service). Values near 1.9 in high-latitude winter are floors of that map.
TURBIDITY_BY_BAND = (
    (1.9, 1.9, 1.9, 1.9, 2.0, 2.5, 3.4, 3.0, 2.5, 2.0, 1.9, 1.9),  # 70..60 N
    (1.9, 1.9, 1.9, 2.2, 3.0, 3.3, 3.6, 3.4, 3.0, 2.4, 2.0, 1.9),
    (2.1, 2.2, 2.5, 3.1, 3.5, 3.7, 3.9, 3.8, 3.4, 2.9, 2.4, 2.1),
    (2.4, 2.5, 2.8, 3.4, 3.6, 3.8, 4.0, 4.0, 3.5, 3.0, 2.7, 2.2),
    (3.1, 3.2, 3.6, 3.9, 4.1, 4.2, 4.5, 4.5, 4.2, 3.9, 3.4, 3.3),
    (3.5, 3.5, 4.0, 4.3, 4.5, 4.6, 4.7, 5.0, 4.7, 4.1, 3.6, 3.6),
    (4.0, 4.2, 4.7, 4.5, 4.5, 4.5, 4.5, 4.5, 4.8, 4.5, 4.2, 4.2),  # 10..0 N
    (4.2, 4.4, 4.5, 4.2, 4.0, 4.0, 3.7, 3.9, 4.4, 4.8, 4.5, 4.5),  # 0..10 S
    (4.1, 3.9, 3.9, 3.5, 3.1, 3.1, 3.1, 3.7, 4.8, 4.5, 4.2, 4.0),
    (4.0, 3.8, 3.7, 3.5, 3.1, 3.0, 2.9, 3.0, 3.5, 3.5, 3.6, 3.7),
    (3.4, 3.5, 3.2, 3.0, 3.0, 3.0, 2.8, 2.9, 3.2, 3.2, 3.2, 3.4),
    (3.6, 3.4, 3.0, 2.9, 2.6, 2.2, 2.3, 2.1, 3.0, 3.0, 3.5, 3.4),
    (3.4, 3.2, 2.4, 2.6, 2.0, 2.0, 2.0, 2.0, 2.6, 2.7, 3.2, 3.2),
    (1.7, 1.6, 1.6, 1.6, 1.6, 1.6, 1.6, 1.7, 1.6, 1.6, 1.7, 1.8),  # 60..70 S
)


def _between_months(row: tuple, month: float) -> float:
    """Value of a January-to-December row at a month with fraction (1.0 = mid January)."""
    whole = math.floor(month)
    share = month - whole
    return row[int(whole - 1) % 12] * (1.0 - share) + row[int(whole) % 12] * share


def linke_turbidity(lat_deg: float, month: float) -> float:
    """Usual haziness of the air, as clean dry atmospheres on top of one another.

    Parameters
        lat_deg: latitude, north positive; poleward of 65 the last band serves. [deg]
        month: 1 to 12, 1.0 standing for mid January; a fraction lies between. [-]
    Returns
        Linke turbidity, about 1.6 (polar) to 5 (humid or dusty). [-]
    Notes
        A climate figure: with it a clear day is known to some 6 % (against the full map, root
        mean square); smoke or haze of one day can take 10-20 % more (from memory).
    Source
        Remund et al., ISES 2003; table above.
    """
    place = min(max((65.0 - lat_deg) / 10.0, 0.0), 13.0)
    band = min(int(place), 12)
    share = place - band
    upper = _between_months(TURBIDITY_BY_BAND[band], month)
    return upper * (1.0 - share) + _between_months(TURBIDITY_BY_BAND[band + 1], month) * share


def air_mass(apparent_elevation_deg: float) -> float:
    """Thickness of air the sunlight crosses, relative to straight down at sea level. [-]

    Parameters
        apparent_elevation_deg: of the sun, 0 to 90. [deg]
    Source
        Kasten & Young, Applied Optics 28 (1989) 4735-4738.
    """
    return 1.0 / (math.sin(apparent_elevation_deg * _RAD)
                  + 0.50572 * math.pow(apparent_elevation_deg + 6.07995, -1.6364))


class Air:
    """The air above one place: its haze and height, worked out once for many instants.

    Parameters
        altitude_m: height above the sea. [m]
        linke: Linke turbidity. [-]
    """

    __slots__ = ("_cg1", "_per_mass", "_beam", "_beam_per_mass", "_beam_share", "_thinner")

    def __init__(self, altitude_m: float, linke: float):
        fh1 = math.exp(-altitude_m / 8000.0)
        fh2 = math.exp(-altitude_m / 1250.0)
        self._cg1 = 5.09e-5 * altitude_m + 0.868
        self._per_mass = (3.92e-5 * altitude_m + 0.0387) * (fh1 + fh2 * (linke - 1.0))
        self._beam = 0.664 + 0.163 / fh1
        self._beam_per_mass = 0.09 * (linke - 1.0)
        self._beam_share = max(1.0 - (0.1 - 0.2 * math.exp(-linke)) / (0.1 + 0.882 / fh1), 0.0)
        self._thinner = math.exp(-altitude_m / 8434.5)

    def irradiance(self, apparent_elevation_deg: float, extra_w_m2: float) -> tuple:
        """(global horizontal, beam, diffuse horizontal) under a clear sky. [W/m2]

        Parameters
            apparent_elevation_deg: of the sun; at 0 or below everything is 0. [deg]
            extra_w_m2: sunlight outside the air, facing the sun. [W/m2]
        Source
            Ineichen & Perez, Solar Energy 73 (2002) 151-157, in its usual open form.
        """
        if apparent_elevation_deg <= 0.0:
            return 0.0, 0.0, 0.0
        cos_z = math.sin(apparent_elevation_deg * _RAD)
        mass = self._thinner / (cos_z + 0.50572 * math.pow(apparent_elevation_deg + 6.07995, -1.6364))
        ghi = self._cg1 * extra_w_m2 * cos_z * math.exp(-self._per_mass * mass)
        dni = min(self._beam * extra_w_m2 * math.exp(-self._beam_per_mass * mass), ghi * self._beam_share / cos_z)
        return ghi, dni, ghi - dni * cos_z


def irradiance(*, apparent_elevation_deg: float, altitude_m: float, linke: float, extra_w_m2: float) -> Irradiance:
    """Clear-sky irradiance at one instant; parameters, units and source as `Air`."""
    ghi, dni, dhi = Air(altitude_m, linke).irradiance(apparent_elevation_deg, extra_w_m2)
    return Irradiance(ghi, dni, dhi)


def clear_day(*, starts_at_s: float, lat_deg: float, lon_deg: float, altitude_m: float, linke: float,
              hours: float = 24.0, step_s: float = 600.0) -> ClearDay:
    """Sunlight of a cloudless stretch of time, on the level and facing the sun.

    Parameters
        starts_at_s: start. [s since 1970-01-01T00:00Z]
        lat_deg, lon_deg: place, north and east positive. [deg]
        altitude_m: height above the sea. [m]
        linke: Linke turbidity, see `linke_turbidity`. [-]
        hours: length, usually 24 from a local midnight. [h]
        step_s: width of the midpoint steps. [s]
    Returns
        ClearDay(ghi_kwh_m2, dni_kwh_m2, dhi_kwh_m2, extraterrestrial_kwh_m2), the last
        on a level surface outside the air, with the sun above the true horizon.
    Notes
        600 s steps are within 0.2 % of 60 s steps; 1800 s steps within 1 %.
    Source
        Ineichen & Perez 2002; Michalsky 1988.
    """
    air = Air(altitude_m, linke)
    ghi_sum = dni_sum = dhi_sum = extra_sum = 0.0
    steps = int(hours * 3600.0 / step_s + 0.5)
    arc = sun.Arc(starts_at_s, lat_deg, lon_deg)
    for i in range(steps):
        t = starts_at_s + (i + 0.5) * step_s
        if t - arc.starts_at_s >= 86400.0:
            arc = sun.Arc(arc.starts_at_s + 86400.0, lat_deg, lon_deg)
        up = arc.direction(t)[2]
        if up <= -0.015:  # lower than refraction can lift
            continue
        true_deg = math.asin(min(up, 1.0)) / _RAD
        ghi, dni, dhi = air.irradiance(true_deg + sun.refraction_deg(true_deg), arc.extra_w_m2)
        ghi_sum += ghi
        dni_sum += dni
        dhi_sum += dhi
        extra_sum += arc.extra_w_m2 * max(up, 0.0)
    scale = step_s / 3.6e6
    return ClearDay(ghi_sum * scale, dni_sum * scale, dhi_sum * scale, extra_sum * scale)
