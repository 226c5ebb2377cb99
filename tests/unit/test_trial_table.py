"""trial_table.py and plots.py: the result as text and as a page."""
import xml.etree.ElementTree as ET

import pytest

from daybank import plots, trial, trial_table


def result(name, truth, p10, p50, p90, chemistry="agm", beyond=0.0):
    days = {"p10": p10, "p50": p50, "p90": p90, "beyond_horizon": beyond}
    return {
        "name": name, "seconds": 0.25, "truth": {"days_left": truth, "soc": 0.8}, "soc": {"p50": 0.75}, **days,
        "groups": {"family": name.split("-")[0], "chemistry": chemistry, "history": "1-2 days", "solar": "with solar",
                   "rested": "no rested reading in the last 12 h"},
        "rules": {"voltage chart": 4.0, "amp-hour books": 2.0, "as yesterday": 5.0},
        "score": trial.score({"days_left": days, "state_of_charge": {"p50": 0.75}},
                             {"days_left": truth, "soc_at_question": 0.8}),
        "best_possible": None,
    }


RESULTS = [result("a-1", 2.0, 1, 2, 3), result("a-2", 8.0, 1, 2, 3, "gel"), result("b-1", None, 5, 14, 14, beyond=0.6)]


def test_there_is_a_row_for_all_for_each_group_and_for_each_family_in_it():
    labels = [label for label, _ in trial_table.rows(RESULTS)]
    assert labels[:4] == ["all", "family a", "family b", "agm"]
    assert labels[4:8] == ["  of family a", "  of family b", "gel", "  of family a"]


def test_cells_stand_under_their_columns():
    row = dict(zip([name for name, _ in trial_table.COLUMNS], trial_table.cells(*trial_table.rows(RESULTS)[0])))
    assert (row["group"], row["n"], row["band"]) == ("all", "3", "0.67")
    assert (row["within"], row["beyond"]) == ("0.50 of 2", "1.00 of 1")
    assert (row["charge"], row["bias"]) == ("5.0", "-5.0")
    assert (row["books"], row["possible"], row["error d"]) == ("2.00", "-", "3.00")


def test_failed_stories_are_counted_and_named():
    text = trial_table.text([*RESULTS, {"name": "b-2", "failed": "ValueError: no"}], members=10, seed=1)
    assert "1 of 4 stories failed" in text and "b-2: ValueError: no" in text


def test_nothing_scored_is_no_fault():
    assert "1 of 1 stories failed" in trial_table.text([{"name": "b", "failed": "x"}], members=10, seed=1)


def test_a_band_that_chance_does_not_allow_is_called_so():
    narrow = [result(f"a-{n}", 8.0, 1, 2, 3) for n in range(20)]
    wide = [result(f"a-{n}", 2.0, 1, 2, 3) for n in range(20)]
    assert "too narrow" in trial_table.key(narrow)[-1]
    assert "too wide" in trial_table.key(wide)[-1]


def test_a_plot_has_one_row_per_story_sorted_by_truth_with_misses_told_apart():
    drawing = ET.fromstring(plots.plot(RESULTS))
    names = [t.text for t in drawing.iter("text") if "-" in t.text]
    assert names == ["a-1", "a-2", "b-1"]
    kinds = [p.get("class") for p in drawing.iter("path") if p.get("class") in ("held", "missed")]
    assert kinds == ["held", "missed", "held"]


@pytest.mark.parametrize("days, x", [(0, 90), (7, 465), (14, 840), (20, 840)])
def test_days_run_to_the_right_up_to_the_horizon(days, x):
    assert plots._x(days) == x


def test_names_are_escaped_in_the_page():
    page = plots.trial_page([result("<b>-1", 2.0, 1, 2, 3)], members=10, seed=1)
    assert "<b>" not in page and "&lt;b&gt;-1" in page
