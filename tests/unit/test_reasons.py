"""reasons.py: why the answer is what it is, and what to take care of, as codes with figures."""

import json

import pytest

from conftest import ROOT
from daybank.energy import forecast, reasons
from properties.rigs import LOG, answer, asked, ensemble, moment, reading
from properties.rigs import gentle as camp

CODES = json.loads((ROOT / "pwa" / "words" / "en.json").read_text(encoding="utf-8"))


class Told:
    """An answer whose figures a test may change before it asks why."""

    def __init__(self, export=None):
        export = export or camp()
        laid = asked(export)
        self.question, self.course = laid.question, laid.course
        self.e = ensemble(laid, log=True)
        self.out = answer(export, members=24)

    def lines(self):
        return {line["code"]: line["args"] for line in reasons.because(self.question, self.course, self.e, self.out)}

    def cautions(self):
        return reasons.cautions(self.question, self.course, self.e, self.out)

    def learned(self, key, p10, p50, p90):
        self.out["learned"][key] = {"p10": p10, "p50": p50, "p90": p90}
        return self.lines()


@pytest.fixture
def told():
    return Told()


def days(told, in_ah, out_ah):
    for day in told.out["days"]:
        day["in_ah"]["p50"], day["out_ah"]["p50"] = in_ah, out_ah
    return told.lines()


# ---- the balance

def test_more_in_than_out_rises(told):
    assert days(told, 30.0, 20.0)["because_balance_rises"] == {"in_ah": pytest.approx(30.0),
                                                              "out_ah": pytest.approx(20.0)}


def test_more_out_than_in_falls(told):
    assert days(told, 10.0, 20.0)["because_balance_falls"] == {"in_ah": pytest.approx(10.0),
                                                              "out_ah": pytest.approx(20.0)}


def test_nothing_in_says_so(told):
    assert "because_no_charge" in days(told, 0.0, 20.0)


def test_only_one_word_about_the_balance(told):
    for in_ah in (0.0, 10.0, 30.0):
        found = days(told, in_ah, 20.0)
        assert sum(code in found for code in ("because_balance_rises", "because_balance_falls",
                                              "because_no_charge")) == 1


def test_the_floor_comes_first_when_it_is_there_already(told):
    told.out["days_left"]["p50"] = 0.0
    lines = reasons.because(told.question, told.course, told.e, told.out)
    assert lines[0] == {"code": "because_below_floor", "args": {"soc": told.out["state_of_charge"]["p50"]}}


# ---- the biggest draw

def test_the_circuit_that_takes_most_is_named_with_its_share(told):
    line = told.lines()["because_biggest_draw"]
    assert line["circuit"] == "fridge"
    by_circuit = [day["out_ah"]["by_circuit"] for day in told.out["days"][1:4]]
    assert line["ah"] == pytest.approx(sum(row["fridge"] for row in by_circuit) / 3)
    assert 0.0 < line["share"] <= 1.0


def test_a_rig_without_circuits_has_no_biggest_draw():
    assert "because_biggest_draw" not in Told(camp(circuits=[], gauges=[])).lines()


# ---- readings

def test_the_last_reading_is_told_as_it_was_taken():
    lines = Told(camp(readings=[reading(12, 6, 12.6), reading(12, 18, 12.4, "loaded")])).lines()
    assert lines["because_reading_loaded"]["volts"] == 12.4
    assert lines["because_reading_loaded"]["hours_ago"] == pytest.approx(2.0)
    assert "because_reading_rested" not in lines


@pytest.mark.parametrize(("z", "state", "code"), [
    (-4.0, "rested", "because_surprise_low"), (4.0, "loaded", "because_surprise_high"), (1.0, "rested", None),
    (4.0, "charging", None)])
def test_a_reading_far_from_what_was_expected_is_told_which_way(told, z, state, code):
    told.e.surprises = [(told.course.asked_s - 3600, "r", 12.1, state, z)]
    found = [name for name in told.lines() if name.startswith("because_surprise")]
    assert found == ([code] if code else [])


def test_a_log_without_a_reading_and_no_log_at_all_are_told_apart():
    nothing = {name: [] for name in LOG}
    at_camp = Told(camp(**nothing)).lines()
    unknown = Told(camp(**nothing | {"trips": []})).lines()
    assert "because_no_reading" in at_camp and "because_no_log" not in at_camp
    assert "because_no_log" in unknown and "because_no_reading" not in unknown


def test_no_place_is_told():
    assert "because_no_place" in Told(camp(trips=[])).lines()
    assert "because_no_place" not in Told().lines()


# ---- what was learned

def test_what_is_well_known_and_far_from_the_label_is_told(told):
    line = told.learned("draw_factor", 1.1, 1.25, 1.4)["because_draws_more"]
    assert (line["share"], line["low"], line["high"]) == (pytest.approx(0.25), 1.1, 1.4)
    assert "because_draws_less" in told.learned("draw_factor", 0.7, 0.8, 0.9)
    assert "because_harvest_less" in told.learned("harvest_factor", 0.45, 0.5, 0.55)
    assert "because_harvest_more" in told.learned("harvest_factor", 1.05, 1.1, 1.15)


def test_what_is_near_the_label_or_hardly_known_is_not_told(told):
    assert not [code for code in told.learned("draw_factor", 0.98, 1.02, 1.06) if code.startswith("because_draws")]
    assert not [code for code in told.learned("draw_factor", 0.6, 1.3, 2.2) if code.startswith("because_draws")]


def test_a_capacity_below_the_label_is_told_with_both(told):
    line = told.learned("capacity_ah", 68.0, 75.0, 82.0)["because_capacity"]
    assert (line["ah"], line["label_ah"]) == (75.0, 100.0)
    assert "because_capacity" not in told.learned("capacity_ah", 92.0, 97.0, 102.0)


def test_a_standing_draw_is_told_as_amps_and_as_a_days_amp_hours(told):
    line = told.learned("standby_a", 0.1, 0.2, 0.3)["because_standby"]
    assert (line["amps"], line["ah"]) == (0.2, pytest.approx(4.8))
    assert "because_standby" not in told.learned("standby_a", 0.0, 0.2, 0.3)


# ---- cautions

def test_every_answer_is_an_estimate_and_says_so(told):
    assert told.cautions()[0] == "caution_estimate"


def test_below_the_floor_is_a_caution(told):
    assert "caution_below_floor" not in told.cautions()
    told.out["days_left"]["p50"] = 0.0
    assert "caution_below_floor" in told.cautions()


def test_a_fridge_that_may_stop_is_a_caution_and_a_lamp_is_not(told):
    for cid, expected in (("fridge", True), ("lights", False)):
        told.out["first_cutoff"] = {"circuit_id": cid, "share": 0.4, "days": {}}
        assert ("caution_fridge_stops" in told.cautions()) is expected


def test_frost_is_a_caution_for_lithium_alone():
    frost = [{**camp()["trips"][0], "night_c": -12, "day_c": 3}]
    lithium = [{**camp()["banks"][0], "chemistry": "lifepo4"}]
    assert "caution_lithium_frost" in Told(camp(banks=lithium, trips=frost)).cautions()
    assert "caution_lithium_frost" not in Told(camp(banks=lithium)).cautions()
    assert "caution_lithium_frost" not in Told(camp(trips=frost)).cautions()


def test_a_selector_that_joins_both_sides_is_a_caution():
    for feeds, expected in (("both", True), ("controller", False)):
        selector = {"positions": [{"name": "a", "feeds": "bank"}, {"name": "b", "feeds": feeds}]}
        assert ("caution_selector_both" in Told(camp(selector=selector)).cautions()) is expected


# ---- words

def test_every_code_has_its_sentence(told):
    rows = [Told(camp(readings=[reading(12, 6, volts, state)])) for volts, state in (
        (12.6, "rested"), (12.4, "loaded"), (14.0, "charging"), (12.5, "unknown"))]
    rows += [Told(camp(trips=[])), Told(camp(circuits=[], gauges=[])),
             Told(camp(events=[{"id": "e", "at": moment(12, 18), "kind": "flat"}]))]
    for one in rows:
        for code in [*one.lines(), *one.cautions()]:
            assert code in CODES


def test_the_answer_carries_the_same_lines():
    told = Told()
    laid = forecast.Asked(told.question).answer(members=24)
    assert laid["because"] == reasons.because(told.question, told.course, told.e, laid)
