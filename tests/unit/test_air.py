"""How warm the air is, hour by hour."""

from datetime import UTC, datetime

import pytest

from daybank.energy import air, sun

DAY = {"night_c": 5.0, "day_c": 25.0, "rise_h": 6.0}


def test_coldest_at_sunrise_warmest_in_the_afternoon():
    assert air.at_hour(6.0, **DAY) == 5.0
    assert air.at_hour(14.5, **DAY) == 25.0
    hours = air.hourly_c(**DAY)
    assert hours.index(min(hours)) in (5, 6)
    assert hours.index(max(hours)) == 14
    assert min(hours) >= 5.0 and max(hours) <= 25.0


def test_the_curve_closes_over_midnight():
    assert air.at_hour(0.0, **DAY) == pytest.approx(air.at_hour(24.0, **DAY))
    assert air.at_hour(23.9999, **DAY) == pytest.approx(air.at_hour(0.0001, **DAY), abs=0.01)


def test_the_curve_follows_a_late_solar_noon():
    assert air.at_hour(16.0, transit_h=13.5, **DAY) == 25.0


def test_without_a_sunrise_the_air_hardly_swings():
    hours = air.hourly_c(night_c=-20.0, day_c=-10.0, rise_h=None)
    assert max(hours) - min(hours) == pytest.approx(3.0, abs=0.1)
    assert sum(hours) / 24 == pytest.approx(-15.0)


def test_summer_is_warm_winter_cold_and_seasons_turn_round_in_the_south():
    assert air.usual(45.0, 7).mean_c == pytest.approx(22.0)
    assert air.usual(45.0, 1).mean_c == pytest.approx(-8.0)
    assert air.usual(-35.0, 1).mean_c > air.usual(-35.0, 7).mean_c


def test_between_bands_and_months_the_table_goes_straight():
    assert air.usual(50.0, 7).mean_c == pytest.approx((22.0 + 17.0) / 2)
    assert air.usual(45.0, 5.5).mean_c == pytest.approx((8.0 + 22.0) / 2)
    assert air.usual(45.0, 12.99).mean_c == pytest.approx(air.usual(45.0, 1).mean_c, abs=0.1)


def test_height_cools_by_the_standard_atmosphere():
    low, high = air.usual(40.0, 7, 800.0), air.usual(40.0, 7, 2800.0)
    assert low.mean_c - high.mean_c == pytest.approx(13.0)
    assert high.range_k > low.range_k


@pytest.mark.parametrize("lat_deg", [-90.0, 90.0])
def test_beyond_the_table_its_last_band_serves(lat_deg):
    edge = 65.0 if lat_deg > 0 else -45.0
    assert air.usual(lat_deg, 4) == air.usual(edge, 4)


def a_day(place, hours=24):
    start = datetime(2025, 6, 20, 6, 0, tzinfo=UTC).timestamp()  # midnight by summer time at 105 W
    rise = None if place is None else sun.rise_set(start + 43200, 40.0, -105.0).rise_s
    return air.day_hours(day_place=place, day_start_s=start, rise_s=rise, month=6, hours=hours)


def test_typed_temperatures_beat_the_table():
    hours = a_day({"lat_deg": 40.0, "lon_deg": -105.0, "night_c": 2.0, "day_c": 12.0})
    assert min(hours) == pytest.approx(2.0, abs=0.2)
    assert max(hours) == pytest.approx(12.0, abs=0.2)
    assert hours.index(max(hours)) == 15  # an hour later by the clock of summer time


@pytest.mark.parametrize("typed, low, high", [({"night_c": 4.0}, 4.0, 14.0), ({"day_c": 30.0}, 20.0, 30.0)])
def test_one_typed_temperature_brings_the_other_by_the_usual_range(typed, low, high):
    hours = a_day({"lat_deg": 40.0, "lon_deg": -105.0, "altitude_m": 300.0} | typed)
    assert min(hours) == pytest.approx(low, abs=0.2)
    assert max(hours) == pytest.approx(high, abs=0.2)


def test_nothing_typed_takes_the_months_mean_for_the_place():
    hours = a_day({"lat_deg": 40.0, "lon_deg": -105.0, "altitude_m": None, "night_c": None, "day_c": None})
    assert 0.5 * (min(hours) + max(hours)) == pytest.approx(air.usual(40.0, 6).mean_c, abs=0.2)


def test_no_place_at_all_still_has_air():
    hours = a_day(None, hours=25)
    assert len(hours) == 25
    assert 0.5 * (min(hours) + max(hours)) == pytest.approx(15.0, abs=0.2)
    assert max(hours) - min(hours) == pytest.approx(air.RANGE_K, abs=0.3)
