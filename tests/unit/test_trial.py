"""trial.py: the score, the band, the groups, and stories that fail."""
import json
import math

import pytest

from daybank import trial

HORIZON = 14.0


def integrated(*, p10, p50, p90, beyond_horizon, truth_days, steps=140_000):
    """The same score by plain summation, as the definition reads."""
    total = 0.0
    step = HORIZON / steps
    for n in range(steps):
        t = (n + 0.5) * step
        if t < p10:
            f = 0.1 * math.exp((t - p10) * 4 / (p50 - p10)) if p50 > p10 else 0.0
        elif t < p50:
            f = 0.1 + 0.4 * (t - p10) / (p50 - p10)
        elif t < p90:
            f = 0.5 + 0.4 * (t - p50) / (p90 - p50)
        else:
            f = 1 - 0.1 * math.exp(-(t - p90) * 4 / (p90 - p50)) if p90 > p50 else 1.0
        happened = 1.0 if truth_days is not None and t >= truth_days else 0.0
        total += (min(f, 1 - beyond_horizon) - happened) ** 2 * step
    return total


@pytest.mark.parametrize("p10, p50, p90, beyond, truth", [
    (1.0, 3.0, 6.0, 0.0, 4.0), (1.0, 3.0, 6.0, 0.0, 0.2), (1.0, 3.0, 6.0, 0.0, 12.0), (1.0, 3.0, 6.0, 0.05, None),
    (2.0, 9.0, 14.0, 0.3, 5.0), (2.0, 9.0, 14.0, 0.3, None), (4.0, 14.0, 14.0, 0.7, 6.0), (4.0, 14.0, 14.0, 0.95, None),
    (3.0, 3.0, 5.0, 0.0, 3.0), (0.0, 0.0, 0.0, 0.0, 0.4), (14.0, 14.0, 14.0, 1.0, 9.0), (0.0, 0.5, 2.0, 0.45, 1.0),
])
def test_the_score_in_closed_form_is_the_sum_over_small_steps(p10, p50, p90, beyond, truth):
    given = {"p10": p10, "p50": p50, "p90": p90, "beyond_horizon": beyond, "truth_days": truth}
    assert trial.crps_days(**given) == pytest.approx(integrated(**given), abs=2e-4)  # one step is 1e-4 day


def test_a_single_number_scores_its_absolute_error():
    assert trial.crps_days(p10=3, p50=3, p90=3, beyond_horizon=0, truth_days=7.5) == pytest.approx(4.5)
    assert trial.crps_days(p10=3, p50=3, p90=3, beyond_horizon=0, truth_days=None) == pytest.approx(11.0)


def test_certainty_of_the_horizon_scores_nothing_when_it_comes():
    assert trial.crps_days(p10=14, p50=14, p90=14, beyond_horizon=1, truth_days=None) == 0.0


@pytest.mark.parametrize("band", [(3, 2, 5), (-1, 2, 5), (1, 2, 15), (float("nan"), 2, 3)])
def test_a_band_that_does_not_rise_within_the_horizon_is_refused(band):
    with pytest.raises(ValueError, match="rising within 0 to 14"):
        trial.crps_days(p10=band[0], p50=band[1], p90=band[2], beyond_horizon=0, truth_days=3)


def test_the_band_holds_its_ends():
    assert trial.band_holds(p10=1, p90=3, beyond_horizon=0, truth_days=1)
    assert trial.band_holds(p10=1, p90=3, beyond_horizon=0, truth_days=3)
    assert not trial.band_holds(p10=1, p90=3, beyond_horizon=0, truth_days=3.01)


def test_a_truth_beyond_the_horizon_is_held_by_a_band_that_reaches_it():
    assert trial.band_holds(p10=1, p90=14, beyond_horizon=0.05, truth_days=None)
    assert trial.band_holds(p10=1, p90=13, beyond_horizon=0.1, truth_days=None)
    assert not trial.band_holds(p10=1, p90=13, beyond_horizon=0.09, truth_days=None)


def test_sixty_stories_may_hold_between_43_and_53_truths():
    assert trial.binomial_interval(60, 0.8) == (43 / 60, 53 / 60)


def test_the_binomial_interval_holds_at_least_its_share():
    for n in (1, 7, 60, 120):
        low, high = trial.binomial_interval(n, 0.8)
        inside = sum(math.comb(n, k) * 0.8**k * 0.2 ** (n - k) for k in range(round(low * n), round(high * n) + 1))
        assert inside >= 0.9


def test_the_bootstrap_finds_a_difference_that_is_the_same_in_every_story():
    before = {f"s{n}": 1.0 + n / 10 for n in range(30)}
    after = {name: value - 0.2 for name, value in before.items()}
    found = trial.compare(after, before)
    assert found["difference"] == pytest.approx(-0.2)
    assert found["standard_error"] == pytest.approx(0.0, abs=1e-12)
    assert found["share_a_better"] == 1.0


def test_the_bootstrap_doubts_a_difference_of_one_story_in_thirty():
    before = {f"s{n}": 1.0 for n in range(30)}
    found = trial.compare({**before, "s3": 0.4}, before)
    assert found["low"] < found["difference"] < 0 <= found["high"]
    assert found["standard_error"] == pytest.approx(0.6 / 30, rel=0.1)


def test_the_bootstrap_needs_a_story_in_common():
    with pytest.raises(ValueError, match="share no story"):
        trial.compare({"a": 1.0}, {"b": 1.0})


def story(tmp_path, name="x-001", **truth) -> str:
    export = {
        "format": "daybank-export/1", "rig": {"name": "r", "nominal_v": 12, "timezone": "UTC"},
        "banks": [{"id": "b", "chemistry": "agm", "rated_ah": 100, "floor_soc": 0.5}],
        "circuits": [{"id": "c", "name": "c", "feed": "bank", "draw_a": 1, "when": "always"}],
        "readings": [{"at": "2025-06-02T06:00Z", "state": "rested", "volts": 12.5}], "asked_at": "2025-06-02T12:00Z",
        "truth": {"days_left": 1.5, "soc_at_question": 0.8, **truth},
    }
    path = tmp_path / f"{name}.json"
    path.write_text(json.dumps(export))
    return str(path)


def answering(question, *, members, seed):
    assert "truth" not in question
    return {"days_left": {"p10": 1.0, "p50": 1.25, "p90": 2.0, "beyond_horizon": 0.0}, "state_of_charge": {"p50": 0.75}}


def failing(question, *, members, seed):
    raise ZeroDivisionError("by zero")


def test_a_story_is_scored_beside_the_rules(tmp_path):
    result = trial.run_story(story(tmp_path), members=10, answer=answering)
    assert result["name"] == "x-001"
    assert result["score"]["inside"] and result["score"]["within_horizon"]
    assert result["score"]["error_days"] == pytest.approx(-0.25)
    assert result["score"]["soc_error"] == pytest.approx(-0.05)
    assert result["rules"]["voltage chart"] == pytest.approx(40 / 24 - 1.5)
    assert result["groups"] == {
        "family": "x", "chemistry": "agm", "history": "no full day", "solar": "without solar",
        "rested": "rested reading in the last 12 h",
    }


def test_a_story_that_fails_is_named_and_the_others_go_on(tmp_path):
    paths = [story(tmp_path), str(tmp_path / "x-002.json")]
    results = trial.run_trial(paths, members=4, jobs=1)
    assert [("failed" in r) for r in results] == [False, True]
    assert "no such file" in results[1]["failed"]
    assert "by zero" in trial.run_story(paths[0], members=1, answer=failing)["failed"]


def test_a_file_without_a_truth_is_no_story(tmp_path):
    path = story(tmp_path)
    export = json.loads(open(path).read())
    del export["truth"]
    open(path, "w").write(json.dumps(export))
    assert "holds no truth" in trial.run_story(path, members=1, answer=answering)["failed"]


def test_the_summary_tells_within_and_beyond_apart(tmp_path):
    results = [
        trial.run_story(story(tmp_path, "x-001"), members=1, answer=answering),
        trial.run_story(story(tmp_path, "x-002", days_left=None), members=1, answer=answering),
        trial.run_story(story(tmp_path, "x-003", days_left=9.0), members=1, answer=answering),
    ]
    s = trial.summary(results)
    assert (s["n"], s["n_within"], s["n_beyond"]) == (3, 2, 1)
    assert s["coverage_within"] == 0.5 and s["coverage_beyond"] == 0.0
    assert s["error_days"] == pytest.approx((0.25 + 7.75) / 2)
    assert s["gain"] == pytest.approx(1 - s["crps"] / min(s["rules"].values()))
