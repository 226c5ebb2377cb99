"""What ran: hours so far today, uses that are still running, days like any other and days away."""
import pytest

from directed.asking import ah, answer, charge, width
from directed.simulator import Camp, day, moment

EVENING_H = 2 * 24 + 20.0   # asked an hour after the lights usually come on


def use(circuit: str, hours: float, d: int = 2) -> list:
    return [{"id": f"u-{d}-{circuit}", "day": day(d), "circuit_id": circuit, "hours": hours}]


def test_hours_so_far_and_hours_to_come_make_one_usual_day():
    truth = Camp().run()
    to_come_ah = {h: ah(answer(truth.export(EVENING_H, uses=use("lights", h))), day(2), "lights")
                  for h in (0.5, 2.0, 4.0)}
    # usual: 4 h of 2.5 A. What was logged is behind us, and only the rest of it lies ahead.
    assert to_come_ah[0.5] - to_come_ah[2.0] == pytest.approx(1.5 * 2.5, rel=0.25)
    assert to_come_ah[4.0] < 0.1 * to_come_ah[0.5]


def test_an_hour_logged_today_is_drawn_once_and_before_now():
    truth = Camp(panel_w=0.0).run()
    ran, idle = (answer(truth.export(EVENING_H, uses=use("pump", h))) for h in (3.0, 0.0))
    drawn = (charge(idle) - charge(ran)) * truth.camp.true_ah
    assert drawn == pytest.approx(3.0 * 5.0, rel=0.3)
    assert ah(ran, day(3), "pump") == pytest.approx(ah(idle, day(3), "pump"), rel=0.1)


def test_lights_that_are_on_run_to_their_usual_end_and_lights_put_out_do_not():
    truth = Camp(panel_w=0.0).run()
    since = {"id": "u", "circuit_id": "lights", "from": moment(EVENING_H - 1.0)}
    running = answer(truth.export(EVENING_H, uses=[since]))
    out = answer(truth.export(EVENING_H, uses=[{**since, "until": moment(EVENING_H)}]))
    assert charge(running) == pytest.approx(charge(out), abs=0.01)
    assert ah(out, day(2), "lights") == 0.0
    # the sun sets at about 19:30 here; four usual hours from then leave three and a half after 20:00
    assert ah(running, day(2), "lights") == pytest.approx(3.4 * 2.5, rel=0.25)
    assert ah(running, day(3), "lights") == pytest.approx(ah(out, day(3), "lights"), rel=0.1)


def test_a_fan_left_running_at_noon_runs_on_and_costs_more_than_a_usual_day():
    truth = Camp(panel_w=0.0, floor_soc=0.2).run()
    asked_h = 36.0
    left_on = answer(truth.export(asked_h, uses=[{"id": "u", "circuit_id": "fan", "from": moment(asked_h - 2.0)}]))
    usual = answer(truth.export(asked_h))
    assert ah(left_on, day(1), "fan") == pytest.approx(12.0 * 1.5, rel=0.25)   # twelve hours to midnight
    assert left_on["days_left"]["p50"] < usual["days_left"]["p50"]


def test_days_called_as_usual_leave_less_doubt_than_days_without_a_word():
    truth = Camp(panel_w=0.0, rated_ah=400.0, true_ah=356.0).run()
    days = [{"id": f"k-{d}", "day": day(d), "kind": "as_usual"} for d in (0, 1, 2)]
    told, silent = answer(truth.export(EVENING_H, uses=days)), answer(truth.export(EVENING_H))
    assert width(told["state_of_charge"]) < width(silent["state_of_charge"])
    assert charge(told) == pytest.approx(charge(silent), abs=0.03)


def test_a_day_away_has_saved_what_people_would_have_used():
    truth = Camp(panel_w=0.0).run()
    away = answer(truth.export(EVENING_H, uses=[{"id": "k", "day": day(1), "kind": "away"}]))
    by_hand_ah = sum(truth.sum_ah(circuit, 24.0, 48.0 + 4.0) for circuit in ("lights", "pump")) \
        - truth.sum_ah("lights", 48.0, 52.0) + truth.sum_ah("fan", 46.0, 52.0)
    saved_ah = (charge(away) - charge(answer(truth.export(EVENING_H)))) * truth.camp.true_ah
    assert saved_ah == pytest.approx(by_hand_ah, rel=0.3)


def test_a_day_away_to_come_draws_only_what_runs_by_itself():
    truth = Camp().run()
    plain = answer(truth.export(EVENING_H))
    away = answer(truth.export(EVENING_H, uses=[{"id": "k", "day": day(4), "kind": "away"}]))
    for circuit in ("lights", "pump"):
        assert ah(away, day(4), circuit) == 0.0
    for circuit in ("fridge", "alarm"):
        assert ah(away, day(4), circuit) == pytest.approx(ah(plain, day(4), circuit), rel=0.05)
    assert ah(away, day(5), "lights") == pytest.approx(ah(plain, day(5), "lights"), rel=0.05)


def test_a_circuits_own_hours_stand_on_a_day_away():
    truth = Camp().run()
    away = [{"id": "k", "day": day(4), "kind": "away"}]
    told = answer(truth.export(EVENING_H, uses=away + use("lights", 6.0, d=4)))
    assert ah(told, day(4), "lights") == pytest.approx(4.5 * 2.5, rel=0.25)   # of six hours some after midnight
    assert ah(told, day(4), "pump") == 0.0


def test_a_fridge_switched_off_for_the_night_is_hours_powered_not_hours_of_its_compressor():
    truth = Camp(panel_w=0.0).run()
    full_day, half_day = (answer(truth.export(EVENING_H, uses=use("fridge", h, d=4))) for h in (24.0, 12.0))
    assert ah(half_day, day(4), "fridge") == pytest.approx(0.5 * ah(full_day, day(4), "fridge"), rel=0.15)
    assert ah(full_day, day(4), "fridge") == pytest.approx(truth.sum_ah("fridge", 96.0, 120.0), rel=0.3)


def test_logged_hours_above_the_usual_ones_raise_the_days_to_come():
    truth = Camp(panel_w=0.0).run()
    asked_h = 6 * 24 + 12.0
    def answered(hours):
        return answer(truth.export(asked_h, readings=[], uses=[u for d in range(6) for u in use("lights", hours, d=d)]))
    usual, long = answered(4.0), answered(8.0)
    assert 1.2 < ah(long, day(8), "lights") / ah(usual, day(8), "lights") < 2.0


def test_a_trip_without_a_single_record_has_drawn_since_its_first_hour():
    truth = Camp(panel_w=0.0, rated_ah=600.0, true_ah=534.0).run()
    early, late = answer(truth.export(44.0, readings=[])), answer(truth.export(116.0, readings=[]))
    drawn_ah = (charge(early) - charge(late)) * truth.camp.true_ah
    # with nothing logged at all the appliances themselves are known to a quarter or so
    assert drawn_ah == pytest.approx(truth.sum_ah("out", 44.0, 116.0), rel=0.35)
