"""From sunlight to amps at the battery, and the shortcuts of the hourly harvest."""

from datetime import UTC, datetime

import pytest

from daybank.energy import clear_sky, panel, photovoltaic, sky, sun

MIDNIGHT_S = datetime(2025, 6, 20, 7, 0, tzinfo=UTC).timestamp()
RIG = {"lat_deg": 40.5, "lon_deg": -108.5, "altitude_m": 2100.0, "tilt_deg": 0.0, "azimuth_deg": 180.0,
       "panel_w": 100.0, "controller": "mppt", "max_a": None, "nominal_v": 12.0}
MILD = [20.0] * 25


def harvest(**changed):
    return panel.harvest_hours(**({"starts_at_s": MIDNIGHT_S, "hours": 24, "air_c": MILD} | RIG | changed))


def day_ah(rows, level=3):
    return sum(row[level] for row in rows)


def test_a_roof_flush_panel_at_full_sun_in_summer_loses_a_quarter_to_heat():
    cell = photovoltaic.cell_c(poa_w_m2=900.0, air_c=30.0, mounting="flush")
    assert cell == 90.0
    assert photovoltaic.power_w(panel_w=100.0, poa_w_m2=1000.0, cell_c=cell) == pytest.approx(74.0)


def test_an_unknown_mounting_is_refused_with_the_ones_that_exist():
    with pytest.raises(ValueError, match="'glued' is unknown; give one of: flush, open, semi"):
        photovoltaic.cell_c(poa_w_m2=900.0, air_c=30.0, mounting="glued")


def test_losses_before_the_controller_are_the_ones_listed():
    assert photovoltaic.losses_factor() == pytest.approx(0.98 * 0.98 * 0.995 * 0.985 * 0.99)


def test_mppt_gives_the_power_at_charging_volts():
    assert photovoltaic.mppt_amps(power_w=80.0, panel_w=100.0, nominal_v=12.0) == pytest.approx(0.95 * 80.0 / 13.2)
    assert photovoltaic.mppt_amps(power_w=80.0, panel_w=100.0, nominal_v=24.0) == pytest.approx(0.95 * 80.0 / 26.4)


def test_mppt_is_less_able_in_faint_light_and_idle_in_the_dark():
    faint = photovoltaic.mppt_amps(power_w=1.0, panel_w=100.0, nominal_v=12.0) / 1.0
    bright = photovoltaic.mppt_amps(power_w=50.0, panel_w=100.0, nominal_v=12.0) / 50.0
    assert 0.9 < faint / bright < 1.0
    assert photovoltaic.mppt_amps(power_w=0.0, panel_w=100.0, nominal_v=12.0) == 0.0
    assert photovoltaic.mppt_amps(power_w=0.0, panel_w=0.0, nominal_v=12.0) == 0.0


def test_pwm_gives_the_panels_current_and_wastes_its_extra_volts():
    amps = photovoltaic.pwm_amps(panel_w=100.0, poa_w_m2=1000.0, cell_c=25.0, nominal_v=12.0)
    assert amps == pytest.approx(100.0 / 18.0)
    assert amps * 13.2 / 100.0 == pytest.approx(0.733, abs=0.001)


def test_a_hot_panel_narrows_the_gain_of_mppt_over_pwm():
    def gain(cell_c):
        power = photovoltaic.power_w(panel_w=100.0, poa_w_m2=800.0, cell_c=cell_c)
        return photovoltaic.mppt_amps(power_w=power, panel_w=100.0, nominal_v=12.0) / photovoltaic.pwm_amps(
            panel_w=100.0, poa_w_m2=800.0, cell_c=cell_c, nominal_v=12.0)

    assert gain(0.0) > gain(25.0) > gain(60.0) > 1.0


def test_a_clear_june_day_on_a_flat_hundred_watts_gives_about_five_amp_hours_a_peak_sun_hour():
    # 100 W x 0.75 / 13.2 V = 5.7 Ah per peak sun hour is the usual allowance for a whole system; a
    # well-installed rig without shade does no worse and not more than 15 % better.
    light = clear_sky.clear_day(starts_at_s=MIDNIGHT_S, lat_deg=40.5, lon_deg=-108.5, altitude_m=2100.0,
                                linke=clear_sky.linke_turbidity(40.5, 6.2)).ghi_kwh_m2
    assert 0.90 < day_ah(harvest()) / (5.7 * light) < 1.15


def test_no_amps_at_night_and_one_row_per_hour():
    rows = harvest()
    times = sun.rise_set(MIDNIGHT_S + 43200, 40.5, -108.5)
    assert len(rows) == 24
    for hour, row in enumerate(rows):
        begins, ends = MIDNIGHT_S + hour * 3600, MIDNIGHT_S + (hour + 1) * 3600
        assert len(row) == 4
        if ends < times.rise_s - 300 or begins > times.set_s + 300:
            assert row == (0.0, 0.0, 0.0, 0.0)
        if begins > times.rise_s and ends < times.set_s:
            assert min(row) > 0.0


def test_more_light_gives_more_amps_in_every_hour_of_a_flat_panel():
    for row in harvest():
        assert list(row) == sorted(row)


@pytest.mark.parametrize("lat_deg", [-50.0, 0.0, 40.5, 49.9, 60.0])
@pytest.mark.parametrize("month", [0, 3, 6, 9])
@pytest.mark.parametrize("tilt_deg", [0.0, 35.0])
def test_few_sun_positions_serve_the_day_within_one_percent(lat_deg, month, tilt_deg):
    array = panel.Array(**RIG | {"lat_deg": lat_deg, "tilt_deg": tilt_deg, "altitude_m": 0.0})
    start = MIDNIGHT_S + month * 30.4 * 86400
    quick = array.hours(starts_at_s=start, hours=24, air_c=MILD)
    fine = array.hours(starts_at_s=start, hours=24, air_c=MILD, steps=60)
    for level in range(4):
        assert day_ah(quick, level) == pytest.approx(day_ah(fine, level), rel=0.01)


@pytest.mark.parametrize("lat_deg", [-45.0, 10.0, 40.5, 55.0])
@pytest.mark.parametrize("start_day", [0, 90, 180, 270])
def test_every_fourth_day_serves_all_days_within_one_percent(lat_deg, start_day):
    starts = [MIDNIGHT_S + (start_day + day) * 86400.0 for day in range(10)]
    where = RIG | {"lat_deg": lat_deg, "altitude_m": 0.0}
    quick = panel.harvest_days(day_starts_s=starts, air_c=[MILD] * 10, **where)
    exact = panel.harvest_days(day_starts_s=starts, air_c=[MILD] * 10, every=1, **where)
    for one, other in zip(quick, exact):
        assert day_ah(one) == pytest.approx(day_ah(other), rel=0.01)


def test_a_change_of_clocks_moves_the_harvest_by_an_hour_and_not_its_sum():
    # Clocks go forward on the third day: it has 23 hours, and the sun comes an hour later by the clock after it.
    starts = [MIDNIGHT_S + day * 86400.0 - (3600.0 if day > 2 else 0.0) for day in range(6)]
    days = panel.harvest_days(day_starts_s=starts, air_c=[MILD] * 6, **RIG)
    assert [len(day) for day in days] == [24, 24, 23, 24, 24, 25]
    assert day_ah(days[4]) == pytest.approx(day_ah(days[1]), rel=0.01)

    def first_light(day):
        return next(hour for hour, row in enumerate(day) if row[3] > 0.1)

    assert first_light(days[4]) == first_light(days[1]) + 1


def test_no_days_give_no_harvest():
    assert panel.harvest_days(day_starts_s=[], air_c=[], **RIG) == []


def test_shade_takes_its_share_and_the_controller_limit_cuts_the_top():
    assert day_ah(harvest(shade=0.4)) == pytest.approx(0.6 * day_ah(harvest()))
    assert max(row[3] for row in harvest(max_a=3.0)) == 3.0
    assert harvest(max_a=3.0)[9] == tuple(min(amps, 3.0) for amps in harvest()[9])


def test_outside_the_hours_of_sun_only_some_of_the_sky_is_left():
    open_rows, some = harvest(), harvest(sun_window_s=(9 * 3600.0, 15 * 3600.0))
    assert some[12][3] == pytest.approx(open_rows[12][3], rel=0.01)
    assert 0.0 < some[16][3] < 0.3 * open_rows[16][3]


def test_a_panel_of_unknown_heading_lies_between_facing_the_sun_and_facing_away():
    tilted = {"tilt_deg": 15.0, "starts_at_s": MIDNIGHT_S + 180 * 86400}
    south, north = day_ah(harvest(azimuth_deg=180.0, **tilted)), day_ah(harvest(azimuth_deg=0.0, **tilted))
    assert north < day_ah(harvest(azimuth_deg=None, **tilted)) < south


def test_cold_air_gives_more_than_hot_air():
    assert day_ah(harvest(air_c=[0.0] * 24)) > 1.05 * day_ah(harvest(air_c=[35.0] * 24))


def test_five_degrees_of_lean_towards_or_from_a_low_winter_sun_move_the_day_by_about_a_quarter():
    # A trailer off level, latitude 45, mid December.
    winter = {"lat_deg": 45.0, "altitude_m": 0.0, "starts_at_s": MIDNIGHT_S + 178 * 86400}
    level = day_ah(harvest(**winter))
    assert day_ah(harvest(tilt_deg=5.0, azimuth_deg=180.0, **winter)) / level == pytest.approx(1.25, abs=0.08)
    assert day_ah(harvest(tilt_deg=5.0, azimuth_deg=0.0, **winter)) / level == pytest.approx(0.75, abs=0.08)


def test_harvest_at_the_index_of_a_clear_day_is_the_last_level():
    clear = sky.clear_index_from_word("clear", 0.0)
    rows = harvest(levels=(0.7, clear, 1.0))
    assert rows[12][1] == pytest.approx(rows[12][2], rel=0.02)


@pytest.mark.parametrize("wrong, message", [
    ({"controller": "magic"}, "Controller 'magic' is unknown; give mppt or pwm."),
    ({"panel_w": -5.0}, "Panel power -5.0 W is negative"),
    ({"shade": 1.2}, "Shade 1.2 is outside 0 to 1"),
    ({"mounting": "glued"}, "Mounting 'glued' is unknown"),
    ({"air_c": [20.0] * 3}, "3 air temperatures were given for 24 hours"),
])
def test_a_wrong_panel_is_refused_in_words(wrong, message):
    with pytest.raises(ValueError, match=message):
        harvest(**wrong)
