"""report.py: what stands in the terminal."""
import copy
from zoneinfo import ZoneInfo

import pytest

from daybank import report
from daybank.words import Words, tables

ASKED_AT = 1752027000  # Tuesday 8 July 2025, 20:10 in Denver
QUESTION = {
    "rig": {"name": "Lark", "nominal_v": 12}, "asked_at": ASKED_AT, "days": [["2025-07-08", ASKED_AT - 72600]],
    "banks": [{"id": "b", "chemistry": "agm", "rated_ah": 100, "floor_soc": 0.5}],
    "trips": [{"starts_at": ASKED_AT - 86400, "ends_at": ASKED_AT + 5 * 86400}],
    "circuits": [{"id": "fridge", "name": "the cold box"}],
}


def band(p10, p50, p90, **more):
    return {"p10": p10, "p50": p50, "p90": p90, **more}


ANSWER = {
    "asked_at": ASKED_AT, "horizon_days": 14, "members": 160, "reaches_trip_end": 0.13, "limit": "cutoff:fridge",
    "state_of_charge": band(0.7, 0.8, 0.9), "days_left": band(1.0, 2.5, 4.0, beyond_horizon=0.0),
    "days_left_without_sun": band(0.5, 0.8, 1.0, beyond_horizon=0.0),
    "first_cutoff": {"circuit_id": "fridge", "days": band(2.0, 3.0, 14.0), "share": 0.4},
    "nights": [{"day": "2025-07-09", "at": ASKED_AT + 34000, "dawn_soc": band(0.41, 0.52, 0.63)}],
    "because": [], "cautions": [], "learned": {"capacity_ah": band(80, 90, 100)},
}


@pytest.fixture(scope="module")
def words() -> Words:
    return Words(tables(), ZoneInfo("America/Denver"))


def line_of(text: str, label: str) -> str:
    return next(line for line in text.splitlines() if line.strip().startswith(label))


def test_the_headline_has_the_range_and_until_when(words):
    text = report.text(ANSWER, QUESTION, words)
    assert text.startswith("Lark, asked on Tuesday 8 July at 20:10\n")
    assert line_of(text, "Days left to 50 %").endswith("about 2½ days, likely between 1 day and 4 days")
    assert "until Friday morning" in text


def test_the_three_moments_are_told_apart(words):
    text = report.text(ANSWER, QUESTION, words)
    assert "about 19 hours, likely between 12 hours and 1 day" in line_of(text, "Days left without any sun")
    assert "the cold box, about 3 days, at least 2 days, perhaps 14 days or more (40 %" in line_of(text,
                                                                                                   "First appliance")
    assert line_of(text, "What ends it first").endswith("the cold box stopping for want of volts")


def test_the_end_of_the_trip_has_its_chance_and_day(words):
    assert line_of(report.text(ANSWER, QUESTION, words), "Reaches").endswith("13 % likely, Sunday 13 July")


def test_without_a_trip_there_is_no_chance(words):
    answer = {**ANSWER, "reaches_trip_end": None}
    assert line_of(report.text(answer, {**QUESTION, "trips": []}, words),
                   "Reaches").endswith("no trip holds this moment")


def test_each_dawn_has_three_shares(words):
    assert line_of(report.text(ANSWER, QUESTION, words), "Wednesday 9 July").split()[-6:] == ["41", "%", "52", "%",
                                                                                              "63", "%"]


@pytest.mark.parametrize("days, sentence", [
    (band(0, 0, 0, beyond_horizon=0), "none: the charge is at or below the floor already"),
    (band(14, 14, 14, beyond_horizon=1), "14 days or more"),
    (band(6, 14, 14, beyond_horizon=0.6), "14 days or more (60 % say so), at least 6 days"),
    (band(2, 5, 14, beyond_horizon=0.2), "about 5 days, at least 2 days, perhaps 14 days or more (20 % say so)"),
])
def test_a_range_says_plainly_where_it_is_open(days, sentence, words):
    assert report.range_text(days, 14, words) == sentence


def test_a_code_without_a_sentence_is_shown_with_its_figures(words):
    answer = {**ANSWER, "because": [{"code": "no_such_code", "args": {"volts": 12.4}}]}
    assert "  - no_such_code volts 12.4" in report.text(answer, QUESTION, words)


def test_control_characters_in_a_name_never_reach_the_terminal(words):
    question = copy.deepcopy(QUESTION)
    question["rig"]["name"] = "Lark\x1b[2J"
    question["circuits"][0]["name"] = "box\x07"
    text = report.text(ANSWER, question, words)
    assert "\x1b" not in text and "\x07" not in text
