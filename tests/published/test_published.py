"""Published values: standards, handbook tables, worked examples, other models. README.md has the rules.

    pytest tests/published --cases FILE

adds a file of the same form; the option may be given several times.
"""

import json
from pathlib import Path

import pytest

from published import compare, kinds

CASES = Path(__file__).parent / "cases"
COVERED_SHARE = 0.9  # of the prior-ensemble cases whose measured middle must lie in the band
WIDEST = 2.0  # the band's width over the measured one, on average


def files(config) -> list:
    return sorted(CASES.glob("*.json")) + [Path(name) for name in config.getoption("--cases", default=[])]


def load(path) -> list:
    """The cases of one file; an empty file or one of another form is an error, never silence."""
    cases = json.loads(Path(path).read_text(encoding="utf-8"))
    if not isinstance(cases, list) or not cases:
        raise ValueError(f"{path} holds no list of cases.")
    return cases


def pytest_generate_tests(metafunc):
    if "case" in metafunc.fixturenames:
        found = [(path.stem, case) for path in files(metafunc.config) for case in load(path)]
        metafunc.parametrize("case", [case for _, case in found], ids=[f"{stem}-{case['id']}" for stem, case in found])


def answer(case: dict) -> dict:
    """What the model says to a case."""
    adapter = kinds.KINDS[case["kind"]]
    if case["kind"] == "open_circuit_voltage":  # these cases name their chemistry in the sentence only
        return adapter(case["inputs"], case["what"])
    return adapter(case["inputs"])


def test_every_published_case_is_met(case):
    kind, how = case["kind"], case.get("compare")
    table = {None: kinds.KINDS, "covers": kinds.COVERS, "reference": kinds.SHAPES}.get(how)
    assert table is not None, f"case {case['id']}: compare says {how!r}, which the runner does not know"
    assert kind in table, f"case {case['id']}: kind {kind!r} is not in the table (compare {how!r})"
    if how is None:
        found = compare.faults(case, answer(case))
        assert not found, f"{case['id']} ({case['what']}; {case['source']}): " + "; ".join(found)
    elif how == "covers":
        band = table[kind](case["inputs"])
        print(f"{case['id']}: ours {band}, measured {case['expected']}")
        assert 0.0 < band["daily_wh_p10"] < band["daily_wh_p50"] < band["daily_wh_p90"]
    else:
        shape = table[kind](case)
        print(f"{case['id']}: asks that {shape.asks}; ours {shape.ours}, theirs {shape.theirs}")
        assert shape.holds, f"{case['id']}: {shape.asks}: ours {shape.ours}, theirs {shape.theirs}"


def test_the_prior_for_daily_yield_holds_measured_middles_without_being_too_wide(request):
    cases = [case for path in files(request.config) for case in load(path) if case.get("compare") == "covers"]
    assert len(cases) >= 20
    inside, widths = [], []
    for case in cases:
        band = kinds.COVERS[case["kind"]](case["inputs"])
        measured = case["expected"]
        inside.append(band["daily_wh_p10"] <= measured["daily_wh_p50"] <= band["daily_wh_p90"])
        widths.append(
            (band["daily_wh_p90"] - band["daily_wh_p10"]) / (measured["daily_wh_p90"] - measured["daily_wh_p10"])
        )
    share, width = sum(inside) / len(inside), sum(widths) / len(widths)
    print(f"{sum(inside)} of {len(inside)} measured middles inside; mean width ratio {width:.2f}")
    assert share >= COVERED_SHARE
    assert width <= WIDEST


@pytest.mark.parametrize("path", sorted(CASES.glob("*.json")), ids=lambda path: path.stem)
def test_every_case_names_its_source_and_has_an_id_of_its_own(path):
    cases = load(path)
    assert len({case["id"] for case in cases}) == len(cases)
    for case in cases:
        assert case["source"].strip() and case["what"].strip() and isinstance(case["from_memory"], bool), case["id"]


def test_the_case_folder_is_not_empty():
    assert len(list(CASES.glob("*.json"))) >= 4


def test_no_kind_of_the_table_stands_without_a_case():
    used = {case["kind"] for path in CASES.glob("*.json") for case in load(path)}
    assert set(kinds.KINDS) | set(kinds.COVERS) | set(kinds.SHAPES) == used
