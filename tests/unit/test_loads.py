"""loads.py: what each circuit draws in which hour, from its pattern, the log and the plan."""

import math

import pytest

from daybank.energy import loads
from properties.rigs import asked, camp, moment, question, second

LIGHTS = {"id": "lights", "name": "lights", "feed": "fuse_block", "draw_a": 2.0, "when": "evening",
          "typical_h_per_day": 3}
FRIDGE = {"id": "fridge", "name": "fridge", "feed": "bank", "draw_a": 4.0, "when": "thermostat", "duty_at_25c": 0.4}


def circuit(when, **more):
    return {"id": "it", "name": "it", "feed": "fuse_block", "draw_a": 2.0, "when": when, **more}


def course(*circuits, **parts):
    return asked(camp(circuits=list(circuits), gauges=[], **parts)).course


def ah(laid, from_s, until_s, cid="it"):
    """Amp-hours of a circuit between two whole hours of the grid."""
    first, last = (int((t - laid.grid[0]) / 3600) for t in (from_s, until_s))
    assert 0 <= first <= last <= laid.grid[1]
    return sum(laid.loads.circuits[cid][first:last])


def day_ah(laid, day, cid="it"):
    return ah(laid, second(day, 0), second(day + 1, 0), cid)


# ---- the fridge

def test_the_duty_at_25_degrees_is_the_stated_one():
    assert loads.fridge_duty(air_c=25.0, duty_at_25c=0.4) == pytest.approx(0.4)


def test_a_warmer_day_never_lowers_the_duty():
    duties = [loads.fridge_duty(air_c=c, duty_at_25c=0.4) for c in range(-20, 61)]
    assert duties == sorted(duties) and duties[0] < 0.1 < duties[-1]


def test_the_compressor_cannot_run_more_than_the_whole_hour():
    assert loads.fridge_duty(air_c=45.0, duty_at_25c=0.9) == 1.0


def test_air_colder_than_the_box_leaves_the_doors_share():
    freezing, colder = (loads.fridge_duty(air_c=c, duty_at_25c=0.4) for c in (0.0, -15.0))
    assert freezing == colder > 0.0


def test_the_fridge_draws_more_in_the_afternoon_than_before_dawn():
    laid = course(FRIDGE)
    k = int((second(11, 0) - laid.grid[0]) / 3600)
    amps = laid.loads.circuits["fridge"][k:k + 24]
    assert amps[16] > 2 * amps[4] > 0.0


# ---- amps while running

def test_amps_on_the_label_stay_amps():
    assert loads.running_amps(circuit("any"), volts=12.5) == (2.0, False)


def test_watts_are_held_and_divided_by_the_banks_volts():
    amps, constant_power = loads.running_amps({"id": "x", "draw_w": 25}, volts=12.5)
    assert (amps, constant_power) == (2.0, True)


def test_through_the_inverter_come_its_losses_and_its_idle():
    row = {"id": "x", "draw_w": 90, "through_inverter": True}
    amps, constant_power = loads.running_amps(row, volts=12.0, inverter={"idle_w": 8, "efficiency": 0.9})
    assert amps == pytest.approx((90 / 0.9 + 8) / 12.0) and constant_power


def test_an_inverter_that_is_left_on_does_not_idle_twice():
    row = {"id": "x", "draw_w": 90, "through_inverter": True}
    amps, _ = loads.running_amps(row, volts=12.0, inverter={"idle_w": 8, "efficiency": 0.9, "left_on": True})
    assert amps == pytest.approx(100 / 12.0)


def test_an_inverter_that_is_left_on_idles_round_the_clock_in_camp():
    idle = {"id": "i", "idle_w": 12, "left_on": True}
    with_it, without = (course(circuit("day"), inverters=rows).loads for rows in ([idle], []))
    more = [a - b for a, b in zip(with_it.groups[loads.STANDING], without.groups[loads.STANDING])]
    assert more == pytest.approx([12 / with_it.volts] * with_it.hours)


def test_a_circuit_without_a_draw_is_refused_by_name():
    with pytest.raises(ValueError, match="Circuit pump has no draw; give draw_a or draw_w"):
        loads.running_amps({"id": "pump"}, volts=12.0)


def test_the_hours_share_of_constant_power_is_by_amps():
    watts = {"id": "w", "name": "w", "feed": "bank", "draw_w": 25.0, "when": "day", "typical_h_per_day": 8}
    laid = course(circuit("day", typical_h_per_day=8), watts).loads
    k = int((second(11, 12) - laid.starts_at_s) / 3600)
    watts_a = 25.0 / laid.volts
    assert laid.power_share[k] == pytest.approx(watts_a / (watts_a + 2.0))
    assert laid.power_share[k + 10] == 0.0


# ---- windows

def test_evening_begins_at_sunset():
    laid = course(LIGHTS)
    sunset = next(day.set_s for day in laid.days if day.name == "2025-06-11")
    k = int((sunset - laid.grid[0]) // 3600)
    part = (laid.grid[0] + (k + 1) * 3600 - sunset) / 3600
    amps = laid.loads.circuits["lights"][k - 1:k + 5]
    assert amps == pytest.approx([0.0, 2.0 * part, 2.0, 2.0, 2.0 * (1 - part), 0.0], abs=1e-9)


def test_without_a_place_the_sun_sets_at_six():
    laid = course(LIGHTS, trips=[])
    assert ah(laid, second(13, 18), second(13, 21), "lights") == pytest.approx(6.0)
    assert day_ah(laid, 13, "lights") == pytest.approx(6.0)


def test_the_hours_of_a_night_that_lie_after_midnight_belong_to_the_day_it_began():
    uses = [{"day": f"2025-06-{day}", "circuit_id": "it", "hours": hours} for day, hours in ((10, 0), (11, 6))]
    laid = course(circuit("night"), uses=uses)
    assert ah(laid, second(11, 0), second(11, 22)) == 0.0
    assert ah(laid, second(11, 22), second(12, 4)) == pytest.approx(12.0)
    assert ah(laid, second(12, 4), second(12, 20)) == 0.0


@pytest.mark.parametrize(("when", "begin_h", "end_h"), [("day", 10, 18), ("any", 8, 22)])
def test_other_hours_are_spread_over_their_span(when, begin_h, end_h):
    laid = course(circuit(when), uses=[{"day": "2025-06-11", "circuit_id": "it", "hours": 2}])
    assert ah(laid, second(11, begin_h), second(11, begin_h + 1)) == pytest.approx(4.0 / (end_h - begin_h))
    assert ah(laid, second(11, begin_h), second(11, end_h)) == pytest.approx(day_ah(laid, 11)) == pytest.approx(4.0)


def test_more_hours_than_the_span_reach_out_to_both_sides():
    laid = course(circuit("day"), uses=[{"day": "2025-06-11", "circuit_id": "it", "hours": 12}])
    assert ah(laid, second(11, 8), second(11, 20)) == pytest.approx(24.0) == pytest.approx(day_ah(laid, 11))


@pytest.mark.parametrize(("day", "hours", "after"), [("2025-03-09", 23, "-06:00"), ("2025-11-02", 25, "-07:00")])
@pytest.mark.parametrize(("when", "begin_h"), [("night", 22), ("day", 10), ("any", 8)])
def test_on_the_day_the_clocks_change_the_hours_are_still_those_of_the_clock(day, hours, after, when, begin_h):
    trip = {**camp()["trips"][0], "starts_at": f"{day}T00:00-06:00", "ends_at": "2025-12-01T12:00-07:00"}
    laid = course(circuit(when, typical_h_per_day=0), trips=[trip], readings=[], asked_at=f"{day}T23:30{after}",
                  uses=[{"day": day, "circuit_id": "it", "hours": 1}])
    change = next(d for d in laid.days if d.name == day)
    assert change.ends_s - change.starts_s == hours * 3600
    first = next(k for k in range(laid.grid[1]) if laid.loads.circuits["it"][k] > 0.0)
    assert 24 - (change.ends_s - laid.grid[0] - first * 3600) / 3600 == begin_h


# ---- a day's use

def test_a_circuit_without_a_use_runs_its_typical_hours():
    assert day_ah(course(LIGHTS), 11, "lights") == pytest.approx(6.0)


def test_hours_of_a_day_add_up_over_several_entries():
    uses = [{"day": "2025-06-11", "circuit_id": "lights", "hours": h} for h in (0.5, 1.25)]
    assert day_ah(course(LIGHTS, uses=uses), 11, "lights") == pytest.approx(3.5)


def test_nobody_here_leaves_what_runs_by_itself():
    alarm = {"id": "alarm", "name": "alarm", "feed": "bank", "draw_a": 0.1, "when": "always"}
    uses = [{"day": "2025-06-11", "kind": "away"}]
    laid = course(LIGHTS, FRIDGE, alarm, uses=uses)
    assert day_ah(laid, 11, "lights") == 0.0
    assert day_ah(laid, 11, "alarm") == pytest.approx(2.4)
    assert day_ah(laid, 11, "fridge") > 5.0


def test_as_usual_runs_the_typical_hours():
    uses = [{"day": "2025-06-11", "kind": "as_usual"}]
    assert day_ah(course(LIGHTS, uses=uses), 11, "lights") == pytest.approx(6.0)


def test_a_circuits_own_use_stands_before_nobody_here():
    uses = [{"day": "2025-06-11", "kind": "away"}, {"day": "2025-06-11", "circuit_id": "lights", "hours": 1}]
    assert day_ah(course(LIGHTS, uses=uses), 11, "lights") == pytest.approx(2.0)


def test_hours_from_until_lie_where_they_were():
    uses = [{"circuit_id": "it", "from": moment(11, 3), "until": moment(11, 4.5)}]
    laid = course(circuit("any"), uses=uses)
    assert ah(laid, second(11, 3), second(11, 5)) == pytest.approx(3.0) == pytest.approx(day_ah(laid, 11))


def test_a_fridge_that_was_on_for_some_hours_was_on_for_those():
    uses = [{"day": "2025-06-11", "circuit_id": "fridge", "hours": 6}]
    whole, part = course(FRIDGE), course(FRIDGE, uses=uses)
    assert day_ah(part, 11, "fridge") == pytest.approx(day_ah(whole, 11, "fridge") * 6 / 24, rel=0.02)


def test_no_hour_holds_more_than_one_hour_of_running():
    uses = [{"day": "2025-06-11", "circuit_id": "it", "hours": 14},
            {"circuit_id": "it", "from": moment(11, 9), "until": moment(11, 13)}]
    assert max(course(circuit("any"), uses=uses).loads.circuits["it"]) == pytest.approx(2.0)


# ---- today

def test_todays_hours_lie_before_now_and_the_rest_of_the_usual_ones_after():
    uses = [{"day": "2025-06-12", "circuit_id": "it", "hours": 1}]
    laid = course(circuit("day", typical_h_per_day=4), uses=uses, asked_at=moment(12, 14))
    assert ah(laid, second(12, 0), second(12, 14)) == pytest.approx(2.0)
    assert ah(laid, second(12, 14), second(13, 0)) == pytest.approx(6.0)


def test_more_hours_today_than_usual_leave_nothing_for_the_rest_of_the_day():
    uses = [{"day": "2025-06-12", "circuit_id": "it", "hours": 5}]
    laid = course(circuit("day", typical_h_per_day=4), uses=uses, asked_at=moment(12, 16))
    assert ah(laid, second(12, 0), second(12, 16)) == pytest.approx(10.0)
    assert ah(laid, second(12, 16), second(13, 0)) == 0.0


def test_hours_run_today_before_their_usual_time_lie_just_before_now():
    uses = [{"day": "2025-06-12", "circuit_id": "it", "hours": 2}]
    laid = course(circuit("night", typical_h_per_day=6), uses=uses, asked_at=moment(12, 14))
    assert ah(laid, second(12, 12), second(12, 14)) == pytest.approx(4.0)
    assert ah(laid, second(12, 22), second(13, 2)) == pytest.approx(8.0)


def test_the_usual_hours_that_are_left_wait_for_the_end_of_an_hour_spent():
    laid = course(circuit("day", typical_h_per_day=3), asked_at=moment(12, 17), uses=[
        {"day": "2025-06-12", "circuit_id": "it", "hours": 0}])
    assert ah(laid, second(12, 17), second(12, 20)) == pytest.approx(6.0)


# ---- still running

def test_lights_on_since_seven_go_off_at_their_usual_end():
    uses = [{"circuit_id": "lights", "from": moment(12, 19)}]
    laid = course(LIGHTS, uses=uses, asked_at=moment(12, 21))
    sunset = next(day.set_s for day in laid.days if day.name == "2025-06-12")
    assert day_ah(laid, 12, "lights") + ah(laid, second(13, 0), second(13, 12), "lights") == pytest.approx(
        2.0 * (sunset + 3 * 3600 - second(12, 19)) / 3600)


def test_something_still_running_past_its_usual_end_goes_on_to_the_next_one():
    uses = [{"circuit_id": "it", "from": moment(11, 12)}]
    laid = course(circuit("day"), uses=uses, asked_at=moment(11, 19))
    assert ah(laid, second(11, 12), second(12, 18)) == pytest.approx(60.0)
    assert ah(laid, second(12, 18), second(13, 0)) == 0.0


# ---- what interrupts

def test_a_blown_fuse_is_dead_until_it_is_restored():
    events = [{"at": moment(11, 6), "kind": "fuse_blown", "circuit_id": "fridge"},
              {"at": moment(11, 15), "kind": "restored", "circuit_id": "fridge"}]
    laid = course(FRIDGE, LIGHTS, events=events)
    assert ah(laid, second(11, 6), second(11, 15), "fridge") == 0.0
    assert ah(laid, second(11, 5), second(11, 6), "fridge") > 0.0
    assert ah(laid, second(11, 15), second(11, 16), "fridge") > 0.0
    assert day_ah(laid, 11, "lights") == pytest.approx(6.0)


def test_a_blown_fuse_that_nobody_restored_stays_blown():
    laid = course(FRIDGE, events=[{"at": moment(11, 6), "kind": "fuse_blown", "circuit_id": "fridge"}])
    assert ah(laid, second(11, 6), second(25, 0), "fridge") == 0.0


SELECTOR = {"positions": [{"name": "off", "feeds": "nothing"}, {"name": "on", "feeds": "bank"}]}


def test_a_selector_that_feeds_nothing_stops_the_fuse_block_and_not_the_fridge():
    moves = [{"at": moment(11, 8), "position": "off"}, {"at": moment(12, 8), "position": "on"}]
    laid = course(FRIDGE, circuit("any", typical_h_per_day=14), selector=SELECTOR, positions=moves)
    assert ah(laid, second(11, 8), second(12, 8)) == 0.0
    assert ah(laid, second(12, 8), second(12, 9)) > 0.0
    assert day_ah(laid, 11, "fridge") == pytest.approx(day_ah(course(FRIDGE), 11, "fridge"))


def test_a_selector_that_nobody_moved_feeds_the_bank():
    assert day_ah(course(LIGHTS, selector=SELECTOR), 11, "lights") == pytest.approx(6.0)


def test_at_home_before_the_trip_only_standing_draws_on_the_bank_run():
    alarm = {"id": "alarm", "name": "alarm", "feed": "bank", "draw_a": 0.1, "when": "always"}
    radio = {"id": "radio", "name": "radio", "feed": "fuse_block", "draw_a": 0.2, "when": "always"}
    laid = course(FRIDGE, alarm, radio, readings=[{"id": "f", "at": moment(9, 8), "state": "full"}])
    before = second(9, 9), second(10, 12)
    assert ah(laid, *before, "fridge") == ah(laid, *before, "radio") == 0.0
    assert ah(laid, *before, "alarm") == pytest.approx(2.7)
    assert ah(laid, second(10, 12), second(10, 13), "fridge") > 0.0


# ---- which day

def test_an_instant_belongs_to_the_day_whose_midnight_is_behind_it():
    days = [["a", 0], ["b", 86400], ["c", 172800]]
    assert [loads.day_of(days, t) for t in (0, 86399, 86400, 172799)] == ["a", "a", "b", "b"]


def test_outside_the_table_the_nearest_day_stands():
    days = [["a", 0], ["b", 86400]]
    assert (loads.day_of(days, -5), loads.day_of(days, 1e9)) == ("a", "b")


# ---- learned habits

def learned(*circuits, uses=()):
    return loads.learned_habit(question(camp(circuits=list(circuits), gauges=[], uses=list(uses))))


def logged(cid, *hours):
    return [{"day": f"2025-06-{10 + i}", "circuit_id": cid, "hours": h} for i, h in enumerate(hours)]


def test_without_a_log_habits_are_typical_and_widely_uncertain():
    habit = learned(LIGHTS)
    assert habit.factor == {"lights": pytest.approx(1.0)}
    assert habit.log_sd["lights"] == pytest.approx(loads.HABIT_EACH_LOG_SD)
    assert habit.common_log_sd == pytest.approx(loads.HABIT_COMMON_LOG_SD)


def test_habits_are_the_posterior_of_a_linear_gaussian_model():
    others = [{**circuit("any", typical_h_per_day=2), "id": name} for name in ("one", "two", "none")]
    uses = logged("one", 3, 4) + logged("two", 1)
    habit = learned(*others, uses=uses)
    # The same by brute force: x = (common, own of one, two, none); y of a circuit = common + own + noise.
    np = pytest.importorskip("numpy")
    quarter = 0.25 * 2
    y = np.array([math.log((7 + quarter) / (4 + quarter)), math.log((1 + quarter) / (2 + quarter))])
    prior = np.diag([loads.HABIT_COMMON_LOG_SD ** 2] + [loads.HABIT_EACH_LOG_SD ** 2] * 3)
    h = np.array([[1.0, 1, 0, 0], [1.0, 0, 1, 0]])
    noise = np.diag([loads.HABIT_DAY_LOG_SD ** 2 / 2, loads.HABIT_DAY_LOG_SD ** 2])
    gain = prior @ h.T @ np.linalg.inv(h @ prior @ h.T + noise)
    mean = gain @ y
    for name, own in (("one", 1), ("two", 2), ("none", 3)):
        assert math.log(habit.factor[name]) == pytest.approx(mean[0] + mean[own], abs=1e-12)
    after = prior - gain @ h @ prior
    assert habit.common_log_sd == pytest.approx(math.sqrt(after[0, 0]), rel=1e-12)


def test_more_logged_days_make_a_habit_surer():
    few, many = learned(LIGHTS, uses=logged("lights", 5)), learned(LIGHTS, uses=logged("lights", 5, 5))
    assert many.factor["lights"] > few.factor["lights"] > 1.0
    assert many.log_sd["lights"] < few.log_sd["lights"]


def test_days_of_no_use_stay_finite():
    factor = learned(LIGHTS, uses=logged("lights", 0, 0)).factor["lights"]
    assert 0.05 < factor < 1.0


def test_todays_hours_so_far_are_no_habit_yet():
    uses = [{"day": "2025-06-12", "circuit_id": "lights", "hours": 0}]
    assert learned(LIGHTS, uses=uses).factor["lights"] == 1.0


def test_what_runs_round_the_clock_has_no_habit():
    assert "fridge" not in learned(FRIDGE, LIGHTS).factor
