"""Bad files at the command line: one sentence, exit status 2, no traceback, nothing on standard output."""
import copy
import json
import subprocess
import sys
from pathlib import Path

import pytest

from daybank.__main__ import main

ROOT = Path(__file__).resolve().parents[2]
DEMO = json.loads((ROOT / "pwa" / "demo" / "demo.json").read_text(encoding="utf-8"))
MISSING = object()


def refusal_of(path: Path, capsys, *more: str) -> str:
    """The sentence with which `daybank forecast` refuses a file."""
    status = main(["forecast", str(path), *more])
    out, err = capsys.readouterr()
    assert status == 2, err
    assert out == ""
    assert err.count("\n") == 1 and err.startswith("daybank: ")
    assert "Traceback" not in err
    return err


def changed(*path_and_value) -> dict:
    """The demo with one field set, or taken out."""
    export = copy.deepcopy(DEMO)
    *path, last, value = path_and_value
    part = export
    for key in path:
        part = part[key]
    if value is MISSING:
        del part[last]
    else:
        part[last] = value
    return export


CASES = [
    # what is wrong, the file, the field it names, words of the sentence
    ("another format", changed("format", "gpx/1"), "format", "daybank-export/1"),
    ("a newer version", changed("format", "daybank-export/2"), "format", "newer"),
    ("a change log", changed("format", "daybank-log/1"), "format", "change log"),
    ("no format", changed("format", MISSING), "format", "is missing"),
    ("format as a number", changed("format", 1), "format", "1 was given"),
    ("no rig", changed("rig", MISSING), "rig", "is missing"),
    ("two rigs", changed("rig", [DEMO["rig"], DEMO["rig"]]), "rig", "one rig in one file"),
    ("two rigs by another key", changed("rigs", [DEMO["rig"]]), "rig", "one rig in one file"),
    ("no time zone", changed("rig", "timezone", MISSING), "rig.timezone", "is missing"),
    ("a made-up time zone", changed("rig", "timezone", "Mars/Olympus"), "rig.timezone", "America/Denver"),
    ("a path as time zone", changed("rig", "timezone", "../../etc/passwd"), "rig.timezone", "America/Denver"),
    ("a 48 V rig", changed("rig", "nominal_v", 48), "rig.nominal_v", "12, 24"),
    ("half a place", changed("rig", "lat_deg", 40.0), "rig.lon_deg", "both or neither"),
    ("no banks", changed("banks", MISSING), "banks", "is missing"),
    ("an empty list of banks", changed("banks", []), "banks", "at least one battery"),
    ("banks as an object", changed("banks", {}), "banks", "a list"),
    ("no rated amp-hours", changed("banks", 0, "rated_ah", MISSING), "banks[0].rated_ah", "is missing"),
    ("no amp-hours", changed("banks", 0, "rated_ah", 0), "banks[0].rated_ah", "more than 0"),
    ("an unknown chemistry", changed("banks", 0, "chemistry", "nimh"), "banks[0].chemistry",
     "agm, flooded, gel, lifepo4"),
    ("a floor in percent", changed("banks", 0, "floor_soc", 50), "banks[0].floor_soc", "0 to 0.99"),
    ("a bank taken out before it came", changed("banks", 0, "removed_on", "2020-01-01"), "banks[0].removed_on",
     "later day"),
    ("two banks at once", changed("banks", DEMO["banks"] + [{**DEMO["banks"][0], "id": "b"}]), "banks[1]",
     "one bank at a time"),
    ("a day that does not exist", changed("banks", 0, "installed_on", "2025-02-29"), "banks[0].installed_on", "exists"),
    ("a day in another form", changed("banks", 0, "installed_on", "29.02.2024"), "banks[0].installed_on", "2025-07-08"),
    ("no circuits", changed("circuits", MISSING), "circuits", "is missing"),
    ("a circuit without a draw", changed("circuits", 0, "draw_a", MISSING), "circuits[0].draw_a", "no draw was given"),
    ("a circuit with two draws", changed("circuits", 0, "draw_w", 40), "circuits[0].draw_a", "both"),
    ("a negative draw", changed("circuits", 0, "draw_a", -3), "circuits[0].draw_a", "0 to 1000 amps"),
    ("a draw with its unit", changed("circuits", 0, "draw_a", "3.5 A"), "circuits[0].draw_a", "without its unit"),
    ("25 hours a day", changed("circuits", 3, "typical_h_per_day", 25), "circuits[3].typical_h_per_day", "0 to 24"),
    ("an unknown feed", changed("circuits", 0, "feed", "wall"), "circuits[0].feed", "fuse_block"),
    ("an unknown pattern", changed("circuits", 0, "when", "sometimes"), "circuits[0].when", "thermostat"),
    ("true as text", changed("circuits", 0, "essential", "true"), "circuits[0].essential", "without quotes"),
    ("an id twice", changed("circuits", 1, "id", "fridge"), "circuits[1].id", "each id once"),
    ("a wire size that is none", changed("circuits", 0, "wire_awg", "5/0"), "circuits[0].wire_awg", "AWG"),
    ("a panel without watts", changed("sources", 0, "panel_w", MISSING), "sources[0].panel_w", "is missing"),
    ("a panel without a direction", changed("sources", 0, "azimuth_deg", MISSING), "sources[0].azimuth_deg",
     "is missing"),
    ("an unknown source", changed("sources", 0, "kind", "wind"), "sources[0].kind", "solar, alternator, shore"),
    ("a charger without amps", changed("sources", 2, "max_a", MISSING), "sources[2].max_a", "is missing"),
    ("a trip that ends before it starts", changed("trips", 0, "ends_at", "2025-07-01T11:00-06:00"), "trips[0].ends_at",
     "not after it starts"),
    ("a trip without a place", changed("trips", 0, "lat_deg", MISSING), "trips[0].lat_deg", "is missing"),
    ("a latitude of 95", changed("trips", 0, "lat_deg", 95), "trips[0].lat_deg", "-90 to 90"),
    ("shade in percent", changed("trips", 0, "shade", 35), "trips[0].shade", "0 to 1"),
    ("a stop after the trip", changed("trips", 0, "stops", 0, "from", "2025-07-20T11:00-06:00"),
     "trips[0].stops[0].from",
     "after the trip"),
    ("a sun window that is none", changed("trips", 0, "stops", 0, "sun_window", ["9:00", "15:00"]),
     "trips[0].stops[0].sun_window[0]", "09:00"),
    ("volts with their unit", changed("readings", 3, "volts", "12.4 V"), "readings[3].volts", "without its unit"),
    ("126 volts", changed("readings", 3, "volts", 126), "readings[3].volts", "did you mean 12.6?"),
    ("4 volts", changed("readings", 3, "volts", 4), "readings[3].volts", "8 to 16 V"),
    ("true as volts", changed("readings", 3, "volts", True), "readings[3].volts", "plain number"),
    ("a reading in the future", changed("readings", 8, "at", "2025-07-08T20:11-06:00"), "readings[8].at",
     "after the question"),
    ("an event in the future", changed("events", 0, "at", "2025-07-09T20:11-06:00"), "events[0].at",
     "after the question"),
    ("a moment without its offset", changed("readings", 3, "at", "2025-07-06T13:15"), "readings[3].at", "offset"),
    ("a moment as a number", changed("readings", 3, "at", 1751829300), "readings[3].at", "in quotes"),
    ("an hour 25", changed("readings", 3, "at", "2025-07-06T25:15-06:00"), "readings[3].at", "exists"),
    ("the year 1925", changed("readings", 3, "at", "1925-07-06T13:15-06:00"), "readings[3].at", "1970 to 2099"),
    ("an unknown state", changed("readings", 3, "state", "fine"), "readings[3].state",
     "rested, loaded, charging, full"),
    ("a gauge that is not there", changed("readings", 3, "gauge_id", "g9"), "readings[3].gauge_id", "panel-gauge"),
    ("a circuit on that is not there", changed("readings", 3, "on", ["toaster"]), "readings[3].on",
     "is no id of circuits"),
    ("ids as one text", changed("readings", 3, "on", "fridge"), "readings[3].on", "square brackets"),
    ("a use of nothing", changed("uses", 0, {"day": "2025-07-05"}), "uses[0]", "add what is missing"),
    ("a use of a circuit that is not there", changed("uses", 0, "circuit_id", "x"), "uses[0].circuit_id",
     "no id of circuits"),
    ("a use that ends before it begins", changed("uses", 9, "until", "2025-07-08T17:00-06:00"), "uses[9].until",
     "lies before"),
    ("an unknown sky", changed("skies", 0, "condition", "hazy"), "skies[0].condition", "overcast"),
    ("a charge by nothing", changed("charges", 0, "source_id", "wall"), "charges[0].source_id", "roof-panel"),
    ("a position that is not there", changed("positions", 0, "position", "2"), "positions[0].position", "battery"),
    ("an event without a time", changed("events", 0, "at", MISSING), "events[0].at", "neither"),
    ("an interval backwards", changed("events", 0, {"kind": "cut_out", "between": ["2025-07-08T06:00Z",
                                                                                   "2025-07-08T02:00Z"]}),
     "events[0].between", "swap them"),
    ("a question without a moment", changed("asked_at", "yesterday"), "asked_at", "such as 2025-07-08T20:10-06:00"),
]


@pytest.mark.parametrize("export, field, words", [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_a_fault_is_named_with_its_field(export, field, words, tmp_path, capsys):
    path = tmp_path / "export.json"
    path.write_text(json.dumps(export), encoding="utf-8")
    sentence = refusal_of(path, capsys)
    assert sentence.startswith(f"daybank: {field}: ")
    assert words in sentence


TEXTS = [
    ("nothing", b"", "is not JSON"),
    ("prose", b"We left on Saturday.", "line 1, column 1"),
    ("half a file", json.dumps(DEMO).encode()[:2000], "is not JSON"),
    ("a list", b"[]", "one JSON object"),
    ("a number", b"12.6", "one JSON object"),
    ("NaN", json.dumps(DEMO).replace("12.63", "NaN").encode(), "NaN is not a number"),
    ("Infinity", json.dumps(DEMO).replace("12.63", "-Infinity").encode(), "-Infinity is not a number"),
    ("a number too large", json.dumps(DEMO).replace("12.63", "1e999").encode(), "too large"),
    ("a number of 5000 digits", json.dumps(DEMO).replace("12.63", "1" * 5000).encode(), "digits"),
    ("a key twice", b'{"format": "daybank-export/1", "format": "daybank-export/1"}', 'the key "format" stands twice'),
    ("depth", b"[" * 200_000 + b"]" * 200_000, "deeper"),
    ("depth in an unknown field", json.dumps({**DEMO, "x": json.loads("[" * 60 + "]" * 60)}).encode(), "deeper"),
    ("bytes that are no text", b"\xff\xfe\x00", "UTF-8"),
    ("half a character", json.dumps({**DEMO, "x": "\ud800"}).encode(), "half a character"),
    ("nul bytes", b"\x00" * 100, "is not JSON"),
]


@pytest.mark.parametrize("data, words", [text[1:] for text in TEXTS], ids=[text[0] for text in TEXTS])
def test_what_is_no_export_at_all_is_refused(data, words, tmp_path, capsys):
    path = tmp_path / "export.json"
    path.write_bytes(data)
    assert words in refusal_of(path, capsys)


def test_a_file_that_is_not_there_is_refused(tmp_path, capsys):
    assert "no such file" in refusal_of(tmp_path / "none.json", capsys)


def test_a_folder_is_refused(tmp_path, capsys):
    assert "is a folder" in refusal_of(tmp_path, capsys)


def test_50_megabytes_are_refused_without_reading_them(tmp_path, capsys, monkeypatch):
    path = tmp_path / "big.json"
    with path.open("wb") as file:
        file.truncate(50 * 1024 * 1024)
    opened = []
    monkeypatch.setattr(Path, "open", lambda self, *args, **more: opened.append(self))
    assert "50 MB" in refusal_of(path, capsys)
    assert opened == []


def test_a_path_with_a_nul_is_refused(capsys):
    assert "character" in refusal_of(Path("a\0b"), capsys)


def test_control_characters_never_reach_the_terminal(tmp_path, capsys):
    path = tmp_path / "export.json"
    path.write_text(json.dumps(changed("banks", 0, "chemistry", "agm\x1b[2J\n")), encoding="utf-8")
    sentence = refusal_of(path, capsys)
    assert "\x1b" not in sentence and "\\u001b" in sentence


def test_a_moment_that_is_none_is_refused(capsys):
    sentence = refusal_of(ROOT / "pwa" / "demo" / "demo.json", capsys, "--at", "tomorrow")
    assert sentence.startswith("daybank: --at: ")


def test_the_installed_command_refuses_with_status_2_too(tmp_path):
    path = tmp_path / "export.json"
    path.write_text("{}", encoding="utf-8")
    done = subprocess.run([sys.executable, "-m", "daybank", "forecast", str(path)], capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (2, "")
    assert "format: is missing" in done.stderr and "Traceback" not in done.stderr


def test_a_folder_without_stories_is_refused(tmp_path, capsys):
    assert main(["trial", str(tmp_path)]) == 2
    assert "holds no stories" in capsys.readouterr().err
