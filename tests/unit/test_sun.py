"""Where the sun stands: known days, the turn of polar day, and the cheap arc against the full formula."""

import math
from datetime import UTC, datetime

import pytest

from daybank.energy import solar_geometry, sun


def seconds(text):
    return datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp()


def test_the_sun_is_overhead_at_the_june_tropic_at_noon():
    noon = sun.rise_set(seconds("2025-06-21T12:00"), 23.436, 0.0).transit_s
    assert sun.position(noon, 23.436, 0.0).elevation_deg == pytest.approx(90.0, abs=0.02)


def test_the_sun_is_in_the_east_before_noon_and_in_the_north_at_a_southern_noon():
    assert 90 < sun.position(seconds("2025-03-20T08:00"), 45.0, 0.0).azimuth_deg < 180
    noon = sun.rise_set(seconds("2025-03-20T12:00"), -45.0, 0.0).transit_s
    assert sun.wrap180(sun.position(noon, -45.0, 0.0).azimuth_deg) == pytest.approx(0.0, abs=0.1)


def test_equation_of_time_has_its_known_extremes():
    # 11 February -14.2 min, 3 November +16.4 min: any almanac.
    assert sun.equation_of_time_min(seconds("2025-02-11T12:00")) == pytest.approx(-14.2, abs=0.1)
    assert sun.equation_of_time_min(seconds("2025-11-03T12:00")) == pytest.approx(16.4, abs=0.1)


def test_solar_time_is_twelve_at_transit():
    transit = sun.rise_set(seconds("2025-10-03T17:00"), 51.0, -72.5).transit_s
    assert sun.solar_time_h(transit, -72.5) == pytest.approx(12.0, abs=0.001)


def test_sunlight_is_strongest_in_early_january():
    january, july = sun.extraterrestrial_w_m2(seconds("2025-01-04T00:00")), sun.extraterrestrial_w_m2(
        seconds("2025-07-04T00:00"))
    assert january / july == pytest.approx((1.0167 / 0.9833) ** 2, rel=0.002)


def test_refraction_lifts_the_horizon_by_half_a_degree_and_the_zenith_not_at_all():
    assert sun.refraction_deg(0.0) == pytest.approx(0.48, abs=0.02)
    assert abs(sun.refraction_deg(90.0)) < 0.001
    assert sun.refraction_deg(-5.0) == 0.0


def test_months_begin_half_a_month_before_their_middle():
    assert sun.month_at(seconds("2025-01-16T00:00")) == pytest.approx(1.0, abs=0.05)
    assert sun.month_at(seconds("2025-07-01T12:00")) == pytest.approx(6.5, abs=0.05)


@pytest.mark.parametrize("offset_h", [-5, -2, 0, 2, 5])
def test_sunrise_does_not_depend_on_where_near_noon_one_asks(offset_h):
    there = sun.rise_set(seconds("2025-04-10T19:00"), 40.0, -105.0)
    asked = sun.rise_set(seconds("2025-04-10T19:00") + offset_h * 3600, 40.0, -105.0)
    assert asked.rise_s == pytest.approx(there.rise_s, abs=0.5)
    assert asked.set_s == pytest.approx(there.set_s, abs=0.5)


def test_polar_day_and_night_have_a_length_and_no_sunrise():
    light = sun.rise_set(seconds("2025-06-21T11:00"), 70.0, 19.0)
    dark = sun.rise_set(seconds("2025-12-21T11:00"), 70.0, 19.0)
    assert (light.state, light.rise_s, light.set_s, light.day_length_h) == ("polar_day", None, None, 24.0)
    assert (dark.state, dark.rise_s, dark.set_s, dark.day_length_h) == ("polar_night", None, None, 0.0)


@pytest.mark.parametrize("lat_deg", [90.0, -90.0])
def test_the_poles_themselves_have_an_answer(lat_deg):
    assert sun.rise_set(seconds("2025-06-21T12:00"), lat_deg, 0.0).state in ("polar_day", "polar_night")


def test_an_arc_follows_the_full_formula_within_five_thousandths_of_a_degree():
    worst = 0.0
    for month in range(1, 13):
        for lat in (-60.0, -20.0, 10.0, 45.0, 65.0):
            start = seconds(f"2025-{month:02}-15T06:00")
            arc = sun.Arc(start, lat, -90.0)
            for hour in range(0, 25, 2):
                east, north, up = arc.direction(start + hour * 3600)
                where = sun.position(start + hour * 3600, lat, -90.0)
                level = math.cos(math.radians(where.elevation_deg))
                exact = (level * math.sin(math.radians(where.azimuth_deg)),
                         level * math.cos(math.radians(where.azimuth_deg)),
                         math.sin(math.radians(where.elevation_deg)))
                gap = math.dist((east, north, up), exact)
                worst = max(worst, math.degrees(gap))
    assert worst < 0.005


def test_textbook_declination_stays_within_a_degree_of_the_almanac():
    for day in range(1, 366, 10):
        exact = sun.declination_deg(seconds("2025-01-01T12:00") + (day - 1) * 86400)
        assert abs(solar_geometry.declination_deg(day) - exact) < 1.0


def test_textbook_geometry_agrees_with_the_almanac_for_its_own_declination_and_hour():
    t = seconds("2025-08-05T15:20")
    where = sun.position(t, 47.0, 8.0)
    book = solar_geometry.sun_geometry(lat_deg=47.0, declination_deg=sun.declination_deg(t),
                                       hour_angle_deg=(sun.solar_time_h(t, 8.0) - 12) * 15)
    assert 90 - book.zenith_deg == pytest.approx(where.elevation_deg, abs=0.01)
    assert book.azimuth_deg == pytest.approx(where.azimuth_deg, abs=0.02)


def test_hours_of_light_outside_the_air_add_up_to_the_day():
    where = {"day_of_year": 105, "lat_deg": 43.0, "declination_deg": 9.4}
    sunset = solar_geometry.sunset_hour_angle_deg(lat_deg=43.0, declination_deg=9.4)
    parts = sum(solar_geometry.extraterrestrial_hourly_mj_m2(
        hour_angle_start_deg=-sunset + sunset * i / 4, hour_angle_end_deg=-sunset + sunset * (i + 1) / 4, **where)
        for i in range(8))
    assert parts == pytest.approx(solar_geometry.extraterrestrial_daily_mj_m2(**where), rel=1e-9)


def test_incidence_on_a_flat_surface_is_the_zenith_angle():
    flat = solar_geometry.incidence_geometry(lat_deg=43.0, declination_deg=-14.0, hour_angle_deg=-22.5, tilt_deg=0.0,
                                             panel_azimuth_deg=123.0)
    zenith = solar_geometry.sun_geometry(lat_deg=43.0, declination_deg=-14.0, hour_angle_deg=-22.5).zenith_deg
    assert flat.incidence_deg == pytest.approx(zenith, abs=1e-9)
