"""The trial set itself: its stories, the figures that are known about it, and Daybank's place among them."""
from pathlib import Path

import pytest

from daybank import records, trial

CASES = Path(__file__).resolve().parent / "cases"
PATHS = sorted(CASES.glob("*.json"))
FAMILIES = {"a": 60, "story": 60}
MEMBERS = 160  # of the phone's final answer
# Mean absolute error of the rules and CRPS of the best possible forecast, in days, as the makers of the set give them.
KNOWN = {
    "a": {"voltage chart": 3.43, "amp-hour books": 3.28, "as yesterday": 3.55, "best possible": 0.70},
    "story": {"voltage chart": 4.61, "amp-hour books": 2.58, "as yesterday": 4.66, "best possible": 0.40},
}


@pytest.fixture(scope="module")
def results() -> list:
    return trial.run_trial([str(path) for path in PATHS], members=MEMBERS, jobs=2)


@pytest.fixture(scope="module")
def families(results) -> dict:
    return {f: trial.summary([r for r in results if r["name"].rsplit("-", 1)[0] == f]) for f in FAMILIES}


def test_the_set_is_whole():
    names = [path.stem.rsplit("-", 1)[0] for path in PATHS]
    assert {family: names.count(family) for family in FAMILIES} == FAMILIES


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_every_story_is_a_good_export(path):
    question = records.question_from_export(records.read_export(path))
    assert question["asked_at"] > question["days"][0][1]


def test_every_story_gets_an_answer(results):
    assert [r for r in results if "failed" in r] == []


@pytest.mark.parametrize("family", FAMILIES)
def test_the_score_gives_the_known_figures_for_rules_and_best_possible(families, family):
    s = families[family]
    found = {**s["rules"], "best possible": s["best_possible"]}
    assert found == pytest.approx(KNOWN[family], abs=0.0051)  # known to two decimals


@pytest.mark.parametrize("family", FAMILIES)
def test_daybank_beats_the_best_rule_by_a_third(families, family):
    assert families[family]["gain"] > 1 / 3


@pytest.mark.parametrize("family", FAMILIES)
def test_the_band_holds_the_truth_as_often_as_chance_allows(families, family):
    low, high = families[family]["coverage_interval"]
    assert low <= families[family]["coverage"] <= high
