"""The demo rig: up to date, a good export, invented and saying so, and worth a look."""
import subprocess
import sys
from pathlib import Path

from daybank import records
from daybank.energy import forecast

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "pwa" / "demo" / "demo.json"


def test_the_demo_file_is_what_the_scenario_says():
    done = subprocess.run([sys.executable, ROOT / "demo_db" / "build.py", "--check"], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_the_demo_is_a_good_export_that_says_it_is_invented():
    export = records.read_export(DEMO)
    assert export["invented"] is True and "invented" in export["rig"]["name"]


def test_the_demo_ends_before_its_trip_does_but_not_at_once():
    answer = forecast.answer(records.question_from_export(records.read_export(DEMO)), members=160)
    assert 1.0 < answer["days_left"]["p50"] < 4.5
    assert answer["reaches_trip_end"] < 0.5
