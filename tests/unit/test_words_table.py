"""words.py, and the table it reads: every code that the model can emit has a sentence."""
import ast
import re
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from daybank.words import FORMS, HOLE, Words, decimal, halves, tables

ENERGY = Path(__file__).resolve().parents[2] / "server" / "daybank" / "energy"
STATES = ("rested", "loaded", "charging", "full", "unknown")
CODE = re.compile(r"(because|caution)_[a-z_0-9]+")


def emitted_codes() -> set:
    """Codes that stand as text in energy/; one that ends in _ goes on with a reading's state."""
    found = set()
    for path in sorted(ENERGY.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and CODE.fullmatch(node.value):
                found |= {node.value + s for s in STATES} if node.value.endswith("_") else {node.value}
    return found


def test_the_model_emits_codes():
    assert {"because_no_reading", "caution_estimate"} <= emitted_codes()


@pytest.mark.parametrize("code", sorted(emitted_codes()))
def test_every_code_of_the_model_has_a_sentence(code):
    assert code in tables(), f"add {code} to pwa/words/en.json"


def test_every_hole_has_a_known_form():
    unknown = {(code, form) for code, text in tables().items() for _,
               form in HOLE.findall(text) if form and form not in FORMS}
    assert unknown == set()


def test_terminal_words_do_not_overlay_the_phones():
    import json

    from daybank.assets import pwa_dir
    from daybank.words import HERE
    phone = json.loads((pwa_dir() / "words" / "en.json").read_text(encoding="utf-8"))
    assert not set(phone) & set(json.loads((HERE / "terminal_words.json").read_text(encoding="utf-8")))


@pytest.fixture
def words() -> Words:
    return Words({**tables(), "x": "{a:days}", "y": "{a}", "y.one": "one {a}", "z": "{a:part}", "d": "{a:date}"},
                 ZoneInfo("America/Denver"))


@pytest.mark.parametrize("days, text", [
    (0.0, "less than an hour"), (0.05, "1 hour"), (0.5, "12 hours"), (1.0, "1 day"), (2.26, "2½ days"), (9.7,
                                                                                                         "9½ days"),
    (9.8, "10 days"), (12.4, "12 days"),
])
def test_days_are_rounded_as_widely_as_they_are_known(words, days, text):
    assert words.say("x", a=days) == text


def test_one_takes_its_own_sentence(words):
    assert words.say("y", n=1, a="day") == "one day"
    assert words.say("y", n=2, a="days") == "days"


def test_a_missing_value_is_a_question_mark_and_a_missing_argument_stays(words):
    assert words.say("y", a=None) == "?"
    assert words.say("y") == "{a}"


@pytest.mark.parametrize("epoch_s, part", [
    (1752027000, "Tuesday evening"), (1752030600, "Tuesday night"), (1752048000, "Tuesday night"),
    (1752066000, "Wednesday morning"),
])
def test_hours_after_midnight_belong_to_the_evening_before(words, epoch_s, part):
    assert words.say("z", a=epoch_s) == part


def test_a_date_is_weekday_day_and_month(words):
    assert words.say("d", a=1752027000) == "Tuesday 8 July"


@pytest.mark.parametrize("value, digits, text", [(0.5, 0, "1"), (2.5, 0, "3"), (-0.04, 1, "0"), (1.20, 2, "1.2"),
                                                 (100, 0, "100")])
def test_decimals_round_as_browsers_do(value, digits, text):
    assert decimal(value, digits) == text


def test_halves_are_written_as_halves():
    assert [halves(x) for x in (0.5, 1, 3.5)] == ["½", "1", "3½"]
