"""From the sun to amps at the battery, hour by hour.

Knows: a solar array in its place, and its hourly harvest over a day or a month of days
at several levels of cloud. Leaves to others: the sun (sun), the clear sky (clear_sky),
the tilted plane (plane), cells and controllers (photovoltaic), how cloudy it is (sky),
what the bank accepts (bank).

A harvest from here, times a harvest factor of 1.0, is that of a well-installed rig.
"""

import math

from daybank.energy import clear_sky, photovoltaic, plane, sun

_RAD = math.pi / 180.0

SKY_SEEN_PAST_TREES = 0.5  # our assumption, no source: diffuse left when the sun is behind trees
DIFFUSE_GLASS_FACTOR = 0.95  # ASHRAE form at 60 deg, the usual mean slant of sky light (from memory)
_ALBEDO = plane.ALBEDO["grass"]
_WHOLE_CLEAR = 0.98  # from this clear-sky index on, beam and diffuse split as under a clear sky
_LOWEST_SINE = 0.035  # sine of 2 deg: below, clearness of an hour means nothing


class Array:
    """A panel with its controller in one place, ready to be asked hour after hour.

    Parameters: those of `harvest_hours`.
    """

    __slots__ = ("_lat_deg", "_lon_deg", "_altitude_m", "_month", "_normal", "_panel_w", "_pwm", "_max_a",
                 "_nominal_v", "_levels", "_heat", "_kept", "_open", "_window", "_flat")

    def __init__(self, *, lat_deg: float, lon_deg: float, altitude_m: float, tilt_deg: float, azimuth_deg,
                 panel_w: float, controller: str, max_a, nominal_v: float, levels=(0.1, 0.4, 0.7, 1.0), month=None,
                 shade: float = 0.0, sun_window_s=None, mounting=None):
        if controller not in ("mppt", "pwm"):
            raise ValueError(f"Controller {controller!r} is unknown; give mppt or pwm.")
        if not panel_w >= 0.0:
            raise ValueError(f"Panel power {panel_w} W is negative; give the watts on its label.")
        if not 0.0 <= shade <= 1.0:
            raise ValueError(f"Shade {shade} is outside 0 to 1; give the share of the open-sky harvest that is lost.")
        kind = photovoltaic.usual_mounting(tilt_deg) if mounting is None else mounting
        if kind not in photovoltaic.HEAT_LOSS_W_M2_K:
            raise ValueError(f"Mounting {kind!r} is unknown; give one of: flush, open, semi.")
        self._lat_deg, self._lon_deg, self._altitude_m = lat_deg, lon_deg, altitude_m
        self._month = month
        # Heading unknown: averaged over all headings only the upright part of the normal is left.
        up = math.cos(tilt_deg * _RAD)
        self._normal = (0.0, 0.0, up) if azimuth_deg is None else plane.normal(tilt_deg, azimuth_deg)
        self._flat = tilt_deg < 1.0
        self._panel_w = panel_w
        self._pwm = controller == "pwm"
        self._max_a = max_a
        self._nominal_v = nominal_v
        self._levels = tuple(levels)
        self._heat = photovoltaic.HEAT_LOSS_W_M2_K[kind]
        self._kept = photovoltaic.losses_factor()
        self._open = 1.0 - shade
        self._window = sun_window_s

    def _amps(self, poa_w_m2: float, air_c: float) -> float:
        hot_c = air_c + poa_w_m2 / self._heat
        if self._pwm:
            amps = photovoltaic.pwm_amps(panel_w=self._panel_w, poa_w_m2=poa_w_m2 * self._kept, cell_c=hot_c,
                                         nominal_v=self._nominal_v)
        else:
            offered = photovoltaic.power_w(panel_w=self._panel_w, poa_w_m2=poa_w_m2, cell_c=hot_c) * self._kept
            amps = photovoltaic.mppt_amps(power_w=offered, panel_w=self._panel_w, nominal_v=self._nominal_v)
        amps *= self._open
        return amps if self._max_a is None else min(amps, self._max_a)

    def _instant(self, direction: tuple, air: clear_sky.Air, extra_w_m2: float, beam_open: bool, air_c: float):
        """Amps at each level for one position of the sun, or None when it is down."""
        east, north, up = direction
        if up <= -0.015:
            return None
        true_deg = math.asin(min(up, 1.0)) / _RAD
        clear_ghi, clear_dni, clear_dhi = air.irradiance(true_deg + sun.refraction_deg(true_deg), extra_w_m2)
        if clear_ghi <= 0.0:
            return None
        out_east, out_north, out_up = self._normal
        cosine = east * out_east + north * out_north + up * out_up
        toward = max(cosine, 0.0) * plane.glass_loss_factor(cosine)
        around = toward / max(up, 0.01745)
        sky_seen = 0.5 * (1.0 + out_up) * DIFFUSE_GLASS_FACTOR
        ground = 0.5 * (1.0 - out_up) * _ALBEDO * DIFFUSE_GLASS_FACTOR
        steep = max(up, _LOWEST_SINE)
        amps = []
        for level in self._levels:
            ghi = level * clear_ghi
            if level >= _WHOLE_CLEAR:
                dni, dhi = level * clear_dni, level * clear_dhi
            else:
                dni = min(ghi * (1.0 - plane.diffuse_share(ghi / (extra_w_m2 * steep))) / steep, clear_dni)
                dhi = max(ghi - dni * up, 0.0)
            if beam_open:
                anisotropy = dni / extra_w_m2
                poa = dni * toward + dhi * (anisotropy * around + (1.0 - anisotropy) * sky_seen) + ghi * ground
            else:
                poa = (dhi * sky_seen + ghi * ground) * SKY_SEEN_PAST_TREES
            here = self._amps(poa, air_c)
            # Glass takes a grazing beam and lets sky light in, so the formulas give a flat panel up to a
            # few percent less from a clear sky than from thin cloud, where the sun stays below 15 deg.
            # They are too coarse there to say so: a brighter sky never counts for less. A panel that
            # faces away from the sun does gain from cloud, and is left alone.
            if self._flat and amps and here < amps[-1] and level >= self._levels[len(amps) - 1]:
                here = amps[-1]
            amps.append(here)
        return amps

    def hours(self, *, starts_at_s: float, hours: int, air_c, steps=None) -> list:
        """As `harvest_hours`, with `steps` positions of the sun in each hour (None: as few as serve)."""
        if len(air_c) < hours:
            raise ValueError(f"{len(air_c)} air temperatures were given for {hours} hours; give one an hour.")
        if steps is None:
            # A window may open at half past; a day of a few hours has few hours to sample.
            steps = 1 if self._window is None and abs(self._lat_deg) <= 50.0 else 2
        rows = []
        zeros = (0.0,) * len(self._levels)
        arc = air = None
        width = 3600.0 / steps
        for hour in range(hours):
            since = hour * 3600.0
            if hour % 24 == 0:
                starts = starts_at_s + since
                arc = sun.Arc(starts, self._lat_deg, self._lon_deg)
                month = sun.month_at(starts + 43200.0) if self._month is None else self._month
                air = clear_sky.Air(self._altitude_m, clear_sky.linke_turbidity(self._lat_deg, month))
            sums = None
            for i in range(steps):
                at = since + (i + 0.5) * width
                beam_open = self._window is None or self._window[0] <= at % 86400.0 < self._window[1]
                amps = self._instant(arc.direction(starts_at_s + at), air, arc.extra_w_m2, beam_open, air_c[hour])
                if amps is not None:
                    sums = amps if sums is None else [a + b for a, b in zip(sums, amps)]
            rows.append(zeros if sums is None else tuple([a / steps for a in sums]))
        return rows


def harvest_hours(*, starts_at_s: float, hours: int, lat_deg: float, lon_deg: float, altitude_m: float,
                  tilt_deg: float, azimuth_deg, panel_w: float, controller: str, max_a, nominal_v: float, air_c,
                  levels=(0.1, 0.4, 0.7, 1.0), month=None, shade: float = 0.0, sun_window_s=None,
                  mounting=None) -> list:
    """Hour means of the current a solar array brings to the battery side, for several levels of cloud.

    Parameters
        starts_at_s: start of the first hour, usually a local midnight. [s since 1970-01-01T00:00Z]
        hours: number of hours.
        lat_deg, lon_deg, altitude_m: place, north and east positive; height above the sea. [deg, deg, m]
        tilt_deg: of the panel against the horizon. [deg]
        azimuth_deg: where it faces, clockwise from true north; None when unknown (mean over all
            headings). [deg]
        panel_w: rated power of the whole array. [W]
        controller: "mppt" or "pwm".
        max_a: the controller's limit on the battery side, or None. [A]
        nominal_v: 12 or 24. [V]
        air_c: air temperature in the shade, one figure an hour. [deg C]
        levels: clear-sky indices: light on the level over that of a clear sky. [-]
        month: for the haze, 1.0 = mid January; None takes it from the time. [-]
        shade: share of the open-sky harvest lost, 0 to 1. [-]
        sun_window_s: (from, until) in which sun reaches the panel, seconds after `starts_at_s` and
            each 24 h later; outside it only half of the diffuse light is left. None: all day. [s]
        mounting: "flush", "semi" or "open"; None: semi up to 10 deg tilt, open above.
    Returns
        One tuple per hour: amps at each level. [A]
    Raises
        ValueError: unknown controller or mounting, negative power, shade outside 0 to 1.
    Notes
        Included: glass and cell temperature, soiling 2 %, wiring 2 %, connections 0.5 %, light-induced
        1.5 %, nameplate 1 %, controller. Not included: the harvest factor of this rig, what the bank
        refuses. One sun position an hour, two beyond latitude 50: a day's sum is within 1 % of
        1-minute steps.
    Source
        Ineichen & Perez 2002, Erbs et al. 1982, Hay & Davies 1980, Faiman 2008, Dobos 2014.
    """
    return Array(lat_deg=lat_deg, lon_deg=lon_deg, altitude_m=altitude_m, tilt_deg=tilt_deg,
                 azimuth_deg=azimuth_deg, panel_w=panel_w, controller=controller, max_a=max_a, nominal_v=nominal_v,
                 levels=levels, month=month, shade=shade, sun_window_s=sun_window_s,
                 mounting=mounting).hours(starts_at_s=starts_at_s, hours=hours, air_c=air_c)


def harvest_days(*, day_starts_s, air_c, lat_deg: float, lon_deg: float, altitude_m: float, tilt_deg: float,
                 azimuth_deg, panel_w: float, controller: str, max_a, nominal_v: float, levels=(0.1, 0.4, 0.7, 1.0),
                 month=None, shade: float = 0.0, sun_window_s=None, mounting=None, every: int = 4) -> list:
    """Hourly harvest of a run of consecutive local days in one place, most of them interpolated.

    Parameters
        day_starts_s: local midnights in order. [s since 1970-01-01T00:00Z]
        air_c: for each day the air temperature of its hours. [deg C]
        every: one day in so many is computed, and the last; between them each hour goes straight.
        others as `harvest_hours`; sun_window_s counts from each local midnight.
    Returns
        One list per day of one tuple per hour: amps at each level. [A] A day of 23 or 25 hours has
        as many rows; the last day has as many as it has air temperatures, at most 25.
    Raises
        ValueError: as `harvest_hours`.
    Notes
        Where the clock is changed between two computed days, those between are computed too: the sun
        keeps no summer time. Interpolating every 4th day adds less than 1 % to a day's sum where the
        sun rises and sets.
    """
    array = Array(lat_deg=lat_deg, lon_deg=lon_deg, altitude_m=altitude_m, tilt_deg=tilt_deg,
                  azimuth_deg=azimuth_deg, panel_w=panel_w, controller=controller, max_a=max_a, nominal_v=nominal_v,
                  levels=levels, month=month, shade=shade, sun_window_s=sun_window_s, mounting=mounting)
    count = len(day_starts_s)
    if count == 0:
        return []
    lengths = [int(math.ceil((day_starts_s[i + 1] - day_starts_s[i]) / 3600.0 - 1e-6)) for i in range(count - 1)]
    lengths.append(min(len(air_c[-1]), 25))

    def computed(day):
        return array.hours(starts_at_s=day_starts_s[day], hours=lengths[day], air_c=air_c[day])

    days = [computed(0)]
    first = 0
    while first < count - 1:
        # the computed days are the same calendar days wherever a run begins: an answer must not hang on its first day
        number = int((day_starts_s[first] + 43200.0) // 86400.0)
        last = min(first + every - number % every, count - 1)
        end = computed(last)
        same_clock = day_starts_s[last] - day_starts_s[first] == 86400.0 * (last - first)
        for day in range(first + 1, last):
            if not same_clock or lengths[first] != lengths[day] or lengths[day] != lengths[last]:
                days.append(computed(day))
                continue
            share = (day - first) / (last - first)
            days.append([tuple([a + (b - a) * share for a, b in zip(row, later)])
                         for row, later in zip(days[first], end)])
        days.append(end)
        first = last
    return days
