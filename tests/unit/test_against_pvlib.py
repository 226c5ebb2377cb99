"""Sun, clear sky and panel against pvlib, recomputed here over a grid of places and months.

pvlib is a general-purpose reference library for solar power (BSD-3-Clause); it is used
by the tests and not shipped. Tolerances are what a roof panel could notice.
"""

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pytest
from pvlib import clearsky, iam, irradiance, pvsystem, solarposition, temperature

from daybank.energy import clear_sky, panel, photovoltaic, plane, sun

pytestmark = pytest.mark.filterwarnings("ignore:DatetimeIndex.dayofyear")  # inside pvlib, not ours

PLACES = [(-54.8, -68.3, 10.0), (-33.9, 18.4, 100.0), (-16.5, -68.1, 3600.0), (0.3, 32.6, 1200.0), (25.8, -80.3, 2.0),
          (40.5, -108.5, 2168.0), (52.3, 4.8, 0.0), (64.8, -147.7, 140.0), (69.6, 19.0, 10.0)]
DAYS = [datetime(2025, month, 15, tzinfo=UTC) for month in (1, 3, 5, 6, 8, 10, 12)]
FIVE_MINUTES_S = 300
BEYOND_WHAT_A_PANEL_NOTICES_DEG = 0.02
DAY_SUM_SHARE, DAY_SUM_FLOOR_KWH = 0.005, 0.005


def times_of(day, lon_deg):
    """Midpoints of five-minute steps over the local solar day."""
    start = day.timestamp() - lon_deg / 15 * 3600
    seconds = start + FIVE_MINUTES_S * (np.arange(288) + 0.5)
    return start, seconds, pd.DatetimeIndex(pd.to_datetime(seconds, unit="s", utc=True))


def reference_sun(place, when):
    lat, lon, altitude = place
    return solarposition.spa_python(when, lat, lon, altitude, pressure=101325, temperature=12, delta_t=69.2)


def reference_sky(place, when, linke):
    """pvlib's clear sky on pvlib's sun, with this project's turbidity."""
    where = reference_sun(place, when)
    extra = irradiance.get_extra_radiation(when)
    mass = 1 / (np.sin(np.radians(where.apparent_elevation.clip(lower=0)))
                + 0.50572 * (where.apparent_elevation.clip(lower=0) + 6.07995) ** -1.6364)
    absolute = mass * np.exp(-place[2] / 8434.5)
    sky = clearsky.ineichen(where.apparent_zenith, absolute, linke, altitude=place[2], dni_extra=extra)
    return where, extra, sky


@pytest.mark.parametrize("place", PLACES)
def test_the_suns_place_agrees_with_the_nrel_algorithm(place):
    for day in DAYS:
        _, seconds, when = times_of(day, place[1])
        where = reference_sun(place, when)
        for i in range(0, 288, 12):
            ours = sun.position(float(seconds[i]), place[0], place[1])
            theirs = where.iloc[i]
            assert ours.elevation_deg == pytest.approx(theirs.elevation, abs=BEYOND_WHAT_A_PANEL_NOTICES_DEG)
            across = sun.wrap180(ours.azimuth_deg - theirs.azimuth) * np.cos(np.radians(theirs.elevation))
            assert abs(across) < BEYOND_WHAT_A_PANEL_NOTICES_DEG
            assert ours.equation_of_time_min == pytest.approx(theirs.equation_of_time, abs=0.06)
            apparent = sun.apparent_elevation(float(seconds[i]), place[0], place[1])
            if theirs.elevation > -0.8:
                assert apparent == pytest.approx(theirs.apparent_elevation, abs=BEYOND_WHAT_A_PANEL_NOTICES_DEG)


@pytest.mark.parametrize("place", PLACES)
def test_sunrise_and_sunset_are_where_the_nrel_algorithm_has_the_sun_on_the_horizon(place):
    for day in DAYS:
        start, _, when = times_of(day, place[1])
        ours = sun.rise_set(start + 43200, place[0], place[1])
        heights = reference_sun(place, when).elevation
        if heights.min() > -0.8333:
            assert ours.state == "polar_day"
        elif heights.max() < -0.8333:
            assert ours.state == "polar_night"
        else:
            assert ours.state == "normal"
            events = pd.DatetimeIndex(pd.to_datetime([ours.rise_s, ours.set_s], unit="s", utc=True))
            assert reference_sun(place, events).elevation.to_numpy() == pytest.approx(
                [-0.8333, -0.8333], abs=BEYOND_WHAT_A_PANEL_NOTICES_DEG)


@pytest.mark.parametrize("place", PLACES)
def test_a_clear_day_adds_up_as_pvlibs(place):
    for day in DAYS:
        start, seconds, when = times_of(day, place[1])
        linke = clear_sky.linke_turbidity(place[0], sun.month_at(start + 43200))
        where, extra, sky = reference_sky(place, when, linke)
        ours = clear_sky.clear_day(starts_at_s=start, lat_deg=place[0], lon_deg=place[1], altitude_m=place[2],
                                   linke=linke, step_s=float(FIVE_MINUTES_S))
        above = (extra * np.sin(np.radians(where.elevation)).clip(lower=0)).sum()
        lit = where.apparent_elevation > 0
        for mine, theirs in zip(ours, (sky.ghi[lit].sum(), sky.dni[lit].sum(), sky.dhi[lit].sum(), above)):
            assert mine == pytest.approx(theirs * FIVE_MINUTES_S / 3.6e6, rel=DAY_SUM_SHARE, abs=DAY_SUM_FLOOR_KWH)


@pytest.mark.parametrize("tilt_deg, azimuth_deg", [(0.0, 180.0), (10.0, 90.0), (35.0, 180.0), (60.0, 0.0)])
@pytest.mark.parametrize("place", PLACES[:8])
def test_a_tilted_clear_day_adds_up_as_pvlibs(place, tilt_deg, azimuth_deg):
    for day in DAYS[::2]:
        start, _, when = times_of(day, place[1])
        linke = clear_sky.linke_turbidity(place[0], sun.month_at(start + 43200))
        where, extra, sky = reference_sky(place, when, linke)
        ours = plane.tilted_clear_day(starts_at_s=start, lat_deg=place[0], lon_deg=place[1], altitude_m=place[2],
                                      linke=linke, tilt_deg=tilt_deg, azimuth_deg=azimuth_deg,
                                      step_s=float(FIVE_MINUTES_S))
        lit = where.apparent_elevation > 0
        for mine, model in ((ours.poa_isotropic_kwh_m2, "isotropic"), (ours.poa_haydavies_kwh_m2, "haydavies")):
            theirs = irradiance.get_total_irradiance(
                tilt_deg, azimuth_deg, where.zenith, where.azimuth, sky.dni, sky.ghi, sky.dhi, dni_extra=extra,
                albedo=0.2, model=model).poa_global[lit].sum() * FIVE_MINUTES_S / 3.6e6
            assert mine == pytest.approx(theirs, rel=2 * DAY_SUM_SHARE, abs=2 * DAY_SUM_FLOOR_KWH)


def test_the_diffuse_share_is_that_of_erbs_as_pvlib_has_it():
    when = pd.DatetimeIndex(["2025-06-15 18:00"], tz="UTC")
    outside = float(irradiance.get_extra_radiation(when).iloc[0]) * np.cos(np.radians(40.0))
    for kt in np.linspace(0.05, 0.95, 9):
        theirs = irradiance.erbs(pd.Series(kt * outside, index=when), 40.0, when)
        assert plane.diffuse_share(float(theirs["kt"].iloc[0])) == pytest.approx(
            float(theirs["dhi"].iloc[0] / (kt * outside)), rel=1e-6)


@pytest.mark.parametrize("incidence_deg", [0.0, 30.0, 60.0, 75.0, 85.0])
def test_the_glass_loss_is_the_ashrae_form_as_pvlib_has_it(incidence_deg):
    assert plane.glass_loss_factor(float(np.cos(np.radians(incidence_deg)))) == pytest.approx(
        float(iam.ashrae(incidence_deg, b=0.05)), abs=1e-9)


def test_cell_heat_and_power_are_pvlibs():
    hot = temperature.faiman(850.0, 28.0, 0.0, u0=photovoltaic.HEAT_LOSS_W_M2_K["semi"], u1=6.84)
    assert photovoltaic.cell_c(poa_w_m2=850.0, air_c=28.0, mounting="semi") == pytest.approx(hot)
    assert photovoltaic.power_w(panel_w=160.0, poa_w_m2=850.0, cell_c=hot) == pytest.approx(
        pvsystem.pvwatts_dc(850.0, hot, 160.0, -0.004))


@pytest.mark.parametrize("level", [0.1, 0.4, 0.7, 1.0])
@pytest.mark.parametrize("place", [PLACES[1], PLACES[4], PLACES[5], PLACES[6]])
@pytest.mark.parametrize("tilt_deg, azimuth_deg", [(0.0, 180.0), (30.0, 180.0), (12.0, 270.0)])
def test_a_day_of_harvest_is_that_of_a_chain_of_pvlib_models(place, level, tilt_deg, azimuth_deg):
    """The same physics, put together from pvlib's parts at five-minute steps, within 2 % over a day."""
    for day in DAYS[::3]:
        start, _, when = times_of(day, place[1])
        linke = clear_sky.linke_turbidity(place[0], sun.month_at(start + 43200))
        where, extra, sky = reference_sky(place, when, linke)
        ghi = level * sky.ghi
        if level < 0.98:
            split = irradiance.erbs(ghi, where.zenith, when, min_cos_zenith=0.035, max_zenith=88)
            dni, dhi = np.minimum(split["dni"], sky.dni), split["dhi"]
        else:
            dni, dhi = sky.dni, sky.dhi
        parts = irradiance.haydavies(tilt_deg, azimuth_deg, dhi, dni, extra, where.zenith, where.azimuth,
                                     return_components=True)
        aoi = irradiance.aoi(tilt_deg, azimuth_deg, where.zenith, where.azimuth)
        beam = irradiance.beam_component(tilt_deg, azimuth_deg, where.zenith, where.azimuth, dni)
        glass = iam.ashrae(aoi, b=0.05)
        ground = irradiance.get_ground_diffuse(tilt_deg, ghi, albedo=0.2)
        poa = (beam + parts["poa_circumsolar"]) * glass + 0.95 * (parts["poa_isotropic"] + ground)
        poa = poa.fillna(0.0).where(where.apparent_elevation > 0, 0.0)
        mounting = photovoltaic.usual_mounting(tilt_deg)
        cell = temperature.faiman(poa, 20.0, 0.0, u0=photovoltaic.HEAT_LOSS_W_M2_K[mounting], u1=0.0)
        power = pvsystem.pvwatts_dc(poa, cell, 100.0, -0.004) * photovoltaic.losses_factor()
        efficiency = 0.90 + 0.05 * np.minimum(power / 10.0, 1.0)
        theirs_ah = (efficiency * power / 13.2).sum() * FIVE_MINUTES_S / 3600
        ours = panel.harvest_hours(starts_at_s=start, hours=24, lat_deg=place[0], lon_deg=place[1],
                                   altitude_m=place[2], tilt_deg=tilt_deg, azimuth_deg=azimuth_deg, panel_w=100.0,
                                   controller="mppt", max_a=None, nominal_v=12.0, air_c=[20.0] * 24, levels=(level,))
        assert sum(row[0] for row in ours) == pytest.approx(theirs_ah, rel=0.02)
