"""Light under a cloudless sky, and the usual haze of a place."""

from datetime import UTC, datetime

import pytest

from daybank.energy import clear_sky

PLACE = {"lat_deg": 40.5, "lon_deg": -108.5, "altitude_m": 2100.0, "linke": 2.5}
JUNE_15_S = datetime(2025, 6, 15, 7, 14, tzinfo=UTC).timestamp()


def at(elevation_deg, **changed):
    return clear_sky.irradiance(**({"apparent_elevation_deg": elevation_deg, "altitude_m": 0.0, "linke": 3.0,
                                    "extra_w_m2": 1361.0} | changed))


def test_a_high_sun_gives_about_a_kilowatt():
    assert 900 < at(80.0).ghi_w_m2 < 1100


@pytest.mark.parametrize("elevation_deg", [0.0, -0.1, -30.0])
def test_there_is_no_light_from_a_sun_that_is_down(elevation_deg):
    assert at(elevation_deg) == (0.0, 0.0, 0.0)


def test_global_is_beam_on_the_level_and_diffuse():
    light = at(30.0)
    assert light.ghi_w_m2 == pytest.approx(light.dni_w_m2 * 0.5 + light.dhi_w_m2, rel=1e-12)


def test_height_brings_more_beam_and_haze_less():
    assert at(30.0, altitude_m=2000.0).dni_w_m2 > at(30.0).dni_w_m2 > at(30.0, linke=5.0).dni_w_m2


def test_haze_turns_beam_into_diffuse():
    assert at(40.0, linke=5.0).dhi_w_m2 > at(40.0, linke=2.0).dhi_w_m2


def test_air_mass_is_one_overhead_and_thirty_eight_at_the_horizon():
    # Kasten & Young 1989, table II: 1.000 at 90 deg, 37.92 at 0 deg.
    assert clear_sky.air_mass(90.0) == pytest.approx(1.0, abs=0.001)
    assert clear_sky.air_mass(0.0) == pytest.approx(37.92, abs=0.05)


def test_turbidity_of_a_band_centre_in_mid_month_is_the_tables():
    assert clear_sky.linke_turbidity(45.0, 7) == 3.9
    assert clear_sky.linke_turbidity(-35.0, 1) == 3.4


def test_turbidity_between_bands_and_months_lies_between():
    assert clear_sky.linke_turbidity(40.0, 7) == pytest.approx((3.9 + 4.0) / 2)
    assert clear_sky.linke_turbidity(45.0, 12.5) == pytest.approx((2.1 + 2.1) / 2)
    assert clear_sky.linke_turbidity(45.0, 0.5) == clear_sky.linke_turbidity(45.0, 12.5)


@pytest.mark.parametrize("lat_deg, band_centre", [(89.0, 65.0), (-89.0, -65.0)])
def test_turbidity_beyond_the_table_is_that_of_its_last_band(lat_deg, band_centre):
    assert clear_sky.linke_turbidity(lat_deg, 5) == clear_sky.linke_turbidity(band_centre, 5)


def test_ten_minute_steps_give_the_day_within_two_parts_in_a_thousand():
    coarse = clear_sky.clear_day(starts_at_s=JUNE_15_S, **PLACE)
    fine = clear_sky.clear_day(starts_at_s=JUNE_15_S, step_s=60.0, **PLACE)
    for a, b in zip(coarse, fine):
        assert a == pytest.approx(b, rel=0.002)


def test_a_longer_stretch_holds_the_sum_of_its_days():
    two = clear_sky.clear_day(starts_at_s=JUNE_15_S, hours=48.0, **PLACE)
    days = [clear_sky.clear_day(starts_at_s=JUNE_15_S + day * 86400.0, **PLACE) for day in range(2)]
    assert two.ghi_kwh_m2 == pytest.approx(sum(day.ghi_kwh_m2 for day in days), rel=1e-9)


def test_polar_night_is_dark():
    night = clear_sky.clear_day(starts_at_s=datetime(2025, 12, 21, tzinfo=UTC).timestamp(), lat_deg=75.0, lon_deg=0.0,
                                altitude_m=0.0, linke=2.0)
    assert night == (0.0, 0.0, 0.0, 0.0)
