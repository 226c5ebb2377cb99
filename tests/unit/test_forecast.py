"""forecast.py: how long the bank will carry them, how sure that is, and the form of the answer."""

import json
import random

import pytest

from conftest import ROOT
from daybank.energy import forecast
from daybank.records import question_from_export, read_export
from properties.rigs import LOG, answer, asked, ensemble, moment, question, reading, second
from properties.rigs import gentle as camp

FIRST_MEMBERS, FINAL_MEMBERS = 24, 100
FIRST_ROWS, FINAL_ROWS = 13_000, 50_000      # what a phone may spend on the first range and on the final one


def span(quantiles):
    return quantiles["p90"] - quantiles["p10"]


def without_log(**parts):
    return camp(**({name: [] for name in LOG} | parts))


def week(**parts):
    """A week of camp: two readings a day, hours now and then, the sky."""
    days = range(6, 13)
    rows = [{"id": "full", "at": moment(5, 18), "state": "full"}]
    for day in days:
        rows += [reading(day, 6.5, 12.6), reading(day, 13, 13.8, "charging"), reading(day, 19.5, 12.5, "loaded",
                                                                                     on=["fridge"])]
    uses = [{"id": f"u{day}", "day": f"2025-06-{day:02d}", "circuit_id": "lights", "hours": 2.5} for day in days]
    skies = [{"id": f"s{day}", "day": f"2025-06-{day:02d}", "condition": "partly"} for day in days]
    trip = {**camp()["trips"][0], "starts_at": moment(5, 20)}
    return camp(**({"readings": rows, "uses": uses, "skies": skies, "trips": [trip]} | parts))


# ---- the form

def quantiles_in(value):
    if isinstance(value, dict):
        if "p50" in value:
            yield value
        for inner in value.values():
            yield from quantiles_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from quantiles_in(inner)


def test_the_answer_holds_what_was_agreed():
    told = answer(camp(), members=24)
    assert {"asked_at", "state_of_charge", "days_left", "days_left_without_sun", "horizon_days", "reaches_trip_end",
            "limit", "first_cutoff", "nights", "days", "learned", "because", "cautions", "changes", "model_version",
            "members", "seed"} <= set(told)
    assert set(told["learned"]) == {"capacity_ah", "draw_factor", "harvest_factor", "standby_a", "connection_mohm",
                                    "gauge_offset_v"}
    assert (told["members"], told["seed"], told["asked_at"]) == (24, 1, second(12, 20))
    json.dumps(told, allow_nan=False)


def test_every_range_is_in_order():
    ranges = list(quantiles_in(answer(week())))
    assert len(ranges) > 40
    assert all(q["p10"] <= q["p50"] <= q["p90"] for q in ranges)


def test_days_are_capped_at_the_horizon_and_the_rest_is_counted():
    endless = answer(camp(circuits=[], gauges=[]), members=40)["days_left"]
    assert (endless["p10"], endless["p90"], endless["beyond_horizon"]) == (14.0, 14.0, 1.0)


def test_each_coming_dawn_has_its_charge_and_each_day_its_sums():
    told = answer(camp(), members=24)
    assert [night["day"] for night in told["nights"]][:2] == ["2025-06-13", "2025-06-14"]
    assert len(told["nights"]) == 14
    assert [day["day"] for day in told["days"]][:2] == ["2025-06-12", "2025-06-13"]
    assert all(0.0 <= q["p10"] and q["p90"] <= 1.0 for night in told["nights"] for q in [night["dawn_soc"]])


def test_what_the_circuits_take_adds_up_to_the_mean_of_the_day():
    told = answer(camp(), members=200)
    for day in told["days"][1:5]:
        by_circuit = day["out_ah"]["by_circuit"]
        assert set(by_circuit) == {"fridge", "alarm", "lights", "fan", "pump", "standby"}
        assert sum(by_circuit.values()) == pytest.approx(day["out_ah"]["p50"], rel=0.15)
        assert day["in_ah"]["by_source"]["panel"] == pytest.approx(day["in_ah"]["p50"], rel=0.3)


# ---- quantiles

def test_quantiles_of_a_hundred_even_values_stand_at_their_middles():
    q = forecast.quantiles([(k + 0.5) / 100 for k in range(100)])
    assert (q["p10"], q["p50"], q["p90"]) == (pytest.approx(0.1), pytest.approx(0.5), pytest.approx(0.9))


def test_quantiles_care_neither_for_order_nor_for_scale():
    values = [random.Random(3).gauss(0, 1) for _ in range(37)]
    q, scaled = forecast.quantiles(values), forecast.quantiles(values[::-1], 10.0)
    assert [scaled[p] for p in ("p10", "p50", "p90")] == pytest.approx([10 * q[p] for p in ("p10", "p50", "p90")])


def test_quantiles_of_one_value_are_that_value():
    assert set(forecast.quantiles([3.5]).values()) == {3.5}


# ---- no log, no sun, no trip

def test_no_log_at_all_gives_a_wide_answer():
    bare, known = answer(without_log()), answer(week())
    assert span(bare["state_of_charge"]) > 1.5 * span(known["state_of_charge"])
    assert bare["days_left"]["p10"] < bare["days_left"]["p90"]


def test_no_trip_and_no_place_has_no_sun_and_no_end():
    told = answer(without_log(trips=[]))
    assert told["reaches_trip_end"] is None
    assert told["days_left"] == pytest.approx(told["days_left_without_sun"], rel=1e-9)
    assert "because_no_place" in [line["code"] for line in told["because"]]


def test_no_panel_leaves_the_same_days_with_and_without_sun():
    told = answer(camp(sources=[]))
    assert told["days_left"] == pytest.approx(told["days_left_without_sun"], rel=1e-9)


def test_a_bank_far_from_empty_with_a_panel_lasts_longer_with_sun():
    told = answer(camp())
    assert told["days_left"]["p50"] > told["days_left_without_sun"]["p50"]


def test_planned_charging_counts_without_sun_too():
    plan = [{"id": "c", "source_id": "shore", "starts_at": moment(13, 8), "hours": 8}]
    plain, planned = answer(camp(sources=camp()["sources"][1:])), answer(camp(sources=camp()["sources"][1:],
                                                                              charges=plan))
    assert planned["days_left_without_sun"]["p50"] > plain["days_left_without_sun"]["p50"] + 0.5


# ---- the end of the trip

def test_a_trip_that_ends_tonight_is_reached_and_a_long_one_without_sun_is_not():
    tonight = {**camp()["trips"][0], "ends_at": moment(12, 21)}
    month = {**camp()["trips"][0], "ends_at": "2025-07-10T12:00-06:00"}
    assert answer(camp(trips=[tonight]))["reaches_trip_end"] == 1.0
    assert answer(camp(trips=[month], sources=[]))["reaches_trip_end"] == 0.0


def test_a_trip_beyond_the_horizon_is_run_to_its_end():
    # some members reach day 14 and not day 24, so the chance to the end is below the share beyond the horizon
    circuits = [{**row, "draw_a": 0.12} for row in camp()["circuits"][1:2]]
    trip = {**camp()["trips"][0], "ends_at": "2025-07-06T20:00-06:00"}
    told = answer(camp(trips=[trip], sources=[], circuits=circuits, gauges=camp()["gauges"][1:]))
    assert 0.0 < told["reaches_trip_end"] < told["days_left"]["beyond_horizon"]
    assert told["days_left"]["p90"] <= told["horizon_days"] == 14
    assert max(night["day"] for night in told["nights"]) > "2025-06-26"


# ---- what stops them first

def low(volts=11.75):
    return [reading(12, 5, volts, rested_h=10), reading(12, 19, volts, rested_h=3)]


def test_a_bank_below_its_floor_has_no_days_left():
    told = answer(camp(readings=low(), sources=[]))
    assert told["limit"] == "below_floor" and told["days_left"]["p50"] == 0.0


def test_a_bank_that_falls_to_its_floor_is_limited_by_it():
    assert answer(camp(sources=[]))["limit"] == "floor"


def test_a_bank_that_nothing_empties_has_no_limit():
    assert answer(camp(circuits=[], gauges=[]))["limit"] == "none"


def with_cut_off(volts):
    return [{**row, "cutoff_v": volts} if row["id"] == "fridge" else row for row in camp()["circuits"]]


def test_a_fridge_that_stops_high_limits_before_the_floor():
    told = answer(camp(circuits=with_cut_off(12.4), sources=[]))
    assert told["limit"] == "cutoff:fridge"
    assert told["first_cutoff"]["circuit_id"] == "fridge" and told["first_cutoff"]["share"] >= 0.5
    assert told["first_cutoff"]["days"]["p50"] < told["days_left"]["p50"]


def test_a_cut_off_changes_no_day_left():
    # the same voltage, told as the appliance's cut-off or not at all
    plain, stops = (answer(camp(circuits=with_cut_off(volts), sources=[])) for volts in (6.0, 12.2))
    assert plain["days_left"] == stops["days_left"]


def test_a_cut_off_that_fewer_than_a_tenth_meet_is_not_told():
    assert answer(camp(circuits=with_cut_off(6.0)))["first_cutoff"] is None
    share = [answer(camp(circuits=with_cut_off(volts)))["first_cutoff"] for volts in (10.5, 11.5, 12.0, 12.4)]
    assert all(cut is None or cut["share"] >= forecast.FIRST_CUTOFF_SHARE for cut in share)
    assert share[-1] is not None


# ---- the same again

def test_the_same_question_and_seed_give_the_same_answer():
    assert answer(week(), members=24) == answer(week(), members=24)


def test_another_seed_gives_nearly_the_same_answer():
    one, other = (answer(week(), members=400, seed=seed)["state_of_charge"] for seed in (1, 2))
    assert one["p50"] == pytest.approx(other["p50"], abs=0.03)


def test_a_question_is_left_as_it_was():
    asked_about = question(week())
    before = json.dumps(asked_about)
    forecast.answer(asked_about, members=8)
    assert json.dumps(asked_about) == before


def test_one_layout_answers_for_several_sizes():
    laid_out = forecast.Asked(question(week()))
    first, final = laid_out.answer(members=24), laid_out.answer(members=50)
    assert (first, final) == (answer(week(), members=24), answer(week(), members=50))


def test_unknown_fields_are_ignored():
    export = week(mood="good")
    for name in ("banks", "circuits", "readings", "trips", "skies", "uses", "gauges", "sources"):
        for row in export[name]:
            row["from_a_newer_phone"] = {"deep": [1]}
    assert answer(export, members=24) == answer(week(), members=24)


# ---- the budget of a phone

@pytest.mark.parametrize(("members", "rows"), [(FIRST_MEMBERS, FIRST_ROWS), (FINAL_MEMBERS, FINAL_ROWS)])
def test_a_weeks_log_stays_within_the_steps_a_phone_may_spend(members, rows):
    assert 0 < answer(week(), members=members)["steps"] <= rows


def test_the_steps_are_those_that_were_run():
    laid_out = asked(camp())
    e = ensemble(laid_out, n=10, log=True)
    assert e.steps == 10 * sum(len(part.rows) for part in laid_out.course.log)
    ahead = forecast.run_ahead(e, laid_out.course, -1.0)
    assert ahead.steps == 2 * 10 * sum(len(part.rows) for part in laid_out.course.ahead)


# ---- the door for text

def test_text_in_and_text_out_is_the_same_answer():
    asked_about = question(camp())
    told = json.loads(forecast.answer_json(json.dumps({"question": asked_about, "members": 24, "seed": 3})))
    assert told == {"answer": json.loads(json.dumps(forecast.answer(asked_about, members=24, seed=3)))}


def test_a_fault_comes_back_as_its_sentence():
    asked_about = question(camp())
    asked_about["banks"][0]["removed_on"] = "2025-01-01"
    told = json.loads(forecast.answer_json(json.dumps({"question": asked_about})))
    assert list(told) == ["error"] and told["error"].startswith("No bank is in service on 2025-06-12")


def test_the_demo_is_answered():
    export = read_export((ROOT / "pwa" / "demo" / "demo.json").read_text(encoding="utf-8"))
    told = forecast.answer(question_from_export(export), members=60)
    assert 0.0 < told["state_of_charge"]["p50"] < 1.0 and told["reaches_trip_end"] is not None
