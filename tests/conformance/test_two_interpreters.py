"""One export, two ways to the answer: CPython on the computer, MicroPython in the phone's worker. They must agree.

Both begin at the export, so the two callers are compared as well: records.py here, question.js there. The question must
be the same to the last digit; the answer to 1e-9, since the two interpreters write and read decimals differently.

    pytest tests/conformance --all-stories      every story of the trial instead of a spread of twelve
"""

import json
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from conftest import ROOT
from daybank.energy import estimate, forecast, member, sky
from daybank.records import question_from_export, read_export
from properties import rigs

REL = 1e-9
ABS = 1e-11      # for what is nothing but the rounding of a difference, such as a gauge's mean error
MEMBERS = (5, 20)
STORIES = sorted((ROOT / "tests" / "trial" / "cases").glob("*.json"))
SPREAD = 12


def here(export):
    """What CPython makes of an export: the question, and two answers or the sentence that refuses."""
    question = question_from_export(export)
    try:
        asked = forecast.Asked(question)
        return question, [asked.answer(members=n, seed=1) for n in MEMBERS], None
    except ValueError as error:
        return question, None, str(error)


def differences(one, other, path="answer"):
    """Where two results differ: a list of sentences, empty when they agree."""
    if isinstance(one, dict) and isinstance(other, dict):
        if set(one) != set(other):
            return [f"{path} has {sorted(set(one) ^ set(other))} on one side only"]
        return [line for key in sorted(one) for line in differences(one[key], other[key], f"{path}.{key}")]
    if isinstance(one, (list, tuple)) and isinstance(other, (list, tuple)):
        if len(one) != len(other):
            return [f"{path} has {len(one)} and {len(other)} entries"]
        return [line for i, pair in enumerate(zip(one, other)) for line in differences(*pair, f"{path}[{i}]")]
    numbers = all(isinstance(x, (int, float)) and not isinstance(x, bool) for x in (one, other))
    if numbers and math.isclose(one, other, rel_tol=REL, abs_tol=ABS) or type(one) is type(other) and one == other:
        return []
    return [f"{path} is {one!r} here and {other!r} there"]


def compared(phone, export):
    """All differences of the two sides, for one export."""
    question, answers, error = here(export)
    there = phone(export, MEMBERS)
    assert there["question"] == json.loads(json.dumps(question))
    assert there["error"] == error
    return [] if error else differences(answers, there["answers"])


def stories(config):
    if config.getoption("--all-stories", default=False):
        return STORIES
    step = len(STORIES) // SPREAD
    return [STORIES[i * step + i % step] for i in range(SPREAD)]   # not always the same place in a family


def pytest_generate_tests(metafunc):
    if "story" in metafunc.fixturenames:
        chosen = stories(metafunc.config)
        metafunc.parametrize("story", chosen, ids=[path.stem for path in chosen])


def export_of(path):
    return read_export(path.read_text(encoding="utf-8"))


def test_phone_and_computer_answer_a_story_alike(phone, story):
    assert compared(phone, export_of(story)) == []


def test_phone_and_computer_answer_the_demo_alike(phone):
    assert compared(phone, export_of(ROOT / "pwa" / "demo" / "demo.json")) == []


@settings(max_examples=30, derandomize=True, database=None, deadline=None,
          suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(rigs.exports())
def test_phone_and_computer_answer_any_drawn_rig_alike(phone, export):
    assert compared(phone, read_export(json.dumps(export))) == []


@settings(max_examples=6, derandomize=True, database=None, deadline=None)
@given(st.sampled_from(("potato", "", "AGM")))
def test_phone_and_computer_refuse_in_the_same_words(phone, chemistry):
    export = rigs.camp()
    export["banks"][0]["chemistry"] = chemistry
    there = phone(export, MEMBERS)
    with pytest.raises(ValueError) as refusal:
        forecast.Asked(question_from_export(export))
    assert there["error"] == str(refusal.value)


# ---- the comparison can fail

@pytest.mark.parametrize(("module", "name", "more"), [
    (member, "SURFACE_DECAY_H", 1e-6), (estimate, "FULL_SD", 1e-6), (sky, "PERSISTENCE", 1e-7)])
def test_a_formula_that_is_off_by_a_hair_on_one_side_is_noticed(phone, monkeypatch, module, name, more):
    export = read_export(json.dumps(rigs.camp(
        readings=[*rigs.camp()["readings"], rigs.reading(11, 18.5, 12.8, "loaded")])))
    assert compared(phone, export) == []
    monkeypatch.setattr(module, name, getattr(module, name) * (1 + more))
    assert compared(phone, export) != []


def test_a_question_that_is_off_by_a_second_on_one_side_is_noticed(phone):
    export = read_export(json.dumps(rigs.camp()))
    question = json.loads(json.dumps(question_from_export(export)))
    assert phone(export, MEMBERS)["question"] == question
    question["days"][3][1] += 1
    assert phone(export, MEMBERS)["question"] != question


def test_a_word_a_length_or_a_missing_figure_is_a_difference():
    assert differences({"a": [1, "x", None]}, {"a": [1.0, "x", None]}) == []
    for other in ({"a": [1, "y", None]}, {"a": [1, "x"]}, {"a": [1, "x", 0]}, {"b": []}, {"a": [1 + 2e-9, "x", None]},
                  {"a": [True, "x", None]}):
        assert len(differences({"a": [1, "x", None]}, other)) == 1
