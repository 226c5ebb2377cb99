"""The comparison itself must be able to fail, and the runner must not pass over what it does not know."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from published import compare

HERE = Path(__file__).parent


def case(expected, tolerance=None):
    return {"expected": expected, "tolerance": tolerance or {}}


@pytest.mark.parametrize(
    ("expected", "tolerance", "actual"),
    [
        ({"drop_V": 0.4}, {"drop_V": 0.001}, {"drop_V": 0.4009}),
        ({"drop_V": 0.4}, {"abs": 0.001}, {"drop_V": 0.3991}),
        ({"drop_V": 0.4}, {"rel": 0.01}, {"drop_V": 0.4039}),
        ({"fuse_A": None}, {}, {"fuse_A": None}),
        ({"possible": True}, {}, {"possible": True}),
        ({"awg": "10"}, {}, {"awg": "10"}),
        ({"live": [True, False]}, {}, {"live": [True, False]}),
        ({"soc_min": 75}, {"abs": 5}, {"soc": 70.5}),
        ({"soc_max": 75}, {"abs": 5}, {"soc": 79.5}),
        ({"max_fuse_A": 15}, {"max_fuse_A": 0}, {"max_fuse_A": 15.0}),
        ({"must_not_equal_time_h": 14.5}, {"rel": 0.001}, {"time_h": 20.0}),
        ({"rise_utc": "1970-01-01T00:01:00Z"}, {"times_s": 60}, {"rise_utc": 119.0}),
        ({"noon_hhmm": "10:19"}, {"minutes": 1.0}, {"noon_hhmm": 619.9}),
    ],
)
def test_an_answer_within_its_tolerance_has_no_fault(expected, tolerance, actual):
    assert compare.faults(case(expected, tolerance), actual) == []


@pytest.mark.parametrize(
    ("expected", "tolerance", "actual"),
    [
        ({"drop_V": 0.4}, {"drop_V": 0.001}, {"drop_V": 0.4011}),
        ({"drop_V": 0.4}, {}, {"drop_V": 0.4000001}),
        ({"drop_V": 0.4}, {"other_V": 1.0}, {"drop_V": 0.41}),
        ({"drop_V": 0.4}, {"abs": 0.001}, {"drop_V": float("nan")}),
        ({"drop_V": 0.4}, {"abs": 0.001}, {}),
        ({"drop_V": 0.4}, {"abs": 1.0}, {"drop_V": True}),
        ({"fuse_A": None}, {}, {"fuse_A": 0}),
        ({"fuse_A": 10}, {"abs": 99}, {"fuse_A": None}),
        ({"possible": False}, {}, {"possible": 0}),
        ({"awg": "10"}, {"abs": 99}, {"awg": "12"}),
        ({"live": [True, False]}, {}, {"live": [True]}),
        ({"soc_min": 75}, {"abs": 5}, {"soc": 69.5}),
        ({"soc_max": 75}, {"abs": 5}, {"soc": 80.5}),
        ({"max_fuse_A": 15}, {}, {"max_fuse_A": 10}),
        ({"must_not_equal_time_h": 14.5}, {"rel": 0.001}, {"time_h": 14.501}),
        ({"rise_utc": "1970-01-01T00:01:00Z"}, {"times_s": 60}, {"rise_utc": 121.0}),
        ({"noon_hhmm": "10:19"}, {"minutes": 1.0}, {"noon_hhmm": 620.5}),
        ({}, {}, {"drop_V": 1.0}),
    ],
)
def test_an_answer_outside_its_tolerance_has_one_fault(expected, tolerance, actual):
    assert len(compare.faults(case(expected, tolerance), actual)) == 1


def test_more_case_files_come_by_the_command_line_and_unknown_kinds_fail_by_name(tmp_path):
    drop = {
        "id": "right", "kind": "voltage_drop", "what": "ten amps", "source": "Ohm's law", "from_memory": False,
        "inputs": {"current_A": 10, "one_way_length_m": 4, "resistance_mohm_per_m": 5, "nominal_V": 12},
        "expected": {"drop_V": 0.4}, "tolerance": {"drop_V": 0.001},
    }  # fmt: skip
    wrong = {**drop, "id": "wrong", "expected": {"drop_V": 0.5}}
    strange = {**drop, "id": "strange", "kind": "phase_of_the_moon"}
    first, second = tmp_path / "first.json", tmp_path / "second.json"
    first.write_text(json.dumps([drop, wrong]))
    second.write_text(json.dumps([strange]))
    run = subprocess.run(
        [
            sys.executable, "-m", "pytest", str(HERE), "--cases", str(first), "--cases", str(second),
            "-q", "-p", "no:cacheprovider", "-k", "first-right or first-wrong or second-strange",
        ],
        cwd=HERE.parent.parent, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert run.returncode == 1
    assert "2 failed, 1 passed" in run.stdout
    assert "kind 'phase_of_the_moon' is not in the table" in run.stdout


def test_an_empty_case_file_is_an_error(tmp_path):
    empty = tmp_path / "empty.json"
    empty.write_text("[]")
    run = subprocess.run(
        [sys.executable, "-m", "pytest", str(HERE), "--cases", str(empty), "-q", "-p", "no:cacheprovider"],
        cwd=HERE.parent.parent, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert run.returncode != 0
    assert "holds no list of cases" in run.stdout
