"""commands_data.py: what rigfile, import, export and integrity print, write and return."""
import io
import json
import os
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from daybank import records
from daybank.__main__ import main
from daybank.change_log import same

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "pwa" / "demo" / "demo.json"
RIG = ROOT / "demo_db" / "rig.toml"


@pytest.fixture
def data(tmp_path, monkeypatch) -> Path:
    """An empty data folder, chosen as a person would by the environment."""
    monkeypatch.setenv("DAYBANK_DATA", str(tmp_path / "data"))
    return tmp_path / "data" / "households" / "home.db"


@pytest.fixture
def run(capsys):
    def running(*arguments):
        status = main([str(argument) for argument in arguments])
        printed = capsys.readouterr()
        return status, printed.out, printed.err
    return running


def changed_rig(tmp_path, before: str, after: str) -> Path:
    text = RIG.read_text(encoding="utf-8")
    assert before in text
    file = tmp_path / "rig.toml"
    file.write_text(text.replace(before, after), encoding="utf-8")
    return file


# ---- rigfile check

def test_a_good_rig_file_is_told_to_be_good(run):
    status, out, err = run("rigfile", "check", RIG)
    assert (status, err) == (0, "")
    assert out.endswith("is good: 1 bank, 3 sources, 7 circuits, 1 inverter, 2 gauges, 1 trip.\n")


def test_the_faults_of_a_rig_file_are_told_with_status_1(run, tmp_path):
    status, out, _ = run("rigfile", "check", changed_rig(tmp_path, '"3.3 A"', '"3.3 m"'))
    assert status == 1
    assert ': line 52: circuits[0].draw: "3.3 m" is a length; accepted is a current' in out
    assert out.endswith("1 fault. Correct and check again; nothing was written.\n")


@pytest.mark.parametrize("make, sentence", [
    (lambda file: None, "cannot be read (no such file or directory); accepted is a rig file"),
    (lambda file: file.mkdir(), "cannot be read (is a directory)"),
    (lambda file: file.write_bytes(b"\xff\xfe"), "byte 0 is not UTF-8 text; accepted is a file in UTF-8; save it so"),
])
def test_a_rig_file_that_can_t_be_read_is_bad_input(run, tmp_path, make, sentence):
    file = tmp_path / "rig.toml"
    make(file)
    status, out, err = run("rigfile", "check", file)
    assert (status, out) == (2, "") and sentence in err


# ---- import

def test_an_import_only_shows_until_told_to_write(run, data):
    status, out, _ = run("import", RIG)
    assert status == 0 and "adds     circuit water pump" in out
    assert out.endswith("Records: 18 to add, 0 here already.\nNothing is written yet; add --yes to write it.\n")
    assert not data.exists() and not data.parent.exists()


def test_a_rig_file_goes_in_and_out_and_nothing_is_lost(run, data):
    assert run("import", RIG, "--yes")[0] == 0
    status, out, _ = run("export")
    assert status == 0
    exported, demo = records.read_export(out), records.read_export(DEMO)
    assert exported["invented"] is True and exported["banks"][0]["typed"] == {"rated_ah": "100 Ah", "floor_soc": "50 %"}
    for name in ("banks", "circuits", "gauges"):
        assert same([{k: v for k, v in row.items() if k != "typed"} for row in exported[name]], demo[name])


def test_the_demo_goes_in_and_out_and_nothing_is_lost(run, data):
    status, out, _ = run("import", DEMO, "--yes")
    assert status == 0 and "asked_at and truth belong to a question and are no records" in out
    exported, demo = json.loads(run("export")[1]), json.loads(DEMO.read_text())
    del demo["asked_at"], exported["rig"]["id"]
    assert exported == demo


def test_the_same_file_twice_adds_nothing_and_makes_no_second_rig(run, data):
    run("import", RIG, "--yes")
    status, out, _ = run("import", RIG, "--yes")
    assert status == 0 and out.endswith("Records: 0 to add, 18 here already.\nThere is nothing to write.\n")
    assert len(json.loads(run("export")[1])["circuits"]) == 7


def test_with_new_the_same_file_makes_a_second_rig(run, data):
    run("import", RIG, "--yes")
    assert run("import", RIG, "--new", "--yes")[0] == 0
    status, out, err = run("export")
    assert (status, out) == (2, "")
    assert "2 rigs are here; accepted are " in err and err.endswith("name one with --rig\n")
    status, _, err = run("import", RIG)
    assert status == 2 and "2 rigs here are called" in err and "or --new; say which with --rig" in err


def test_what_differs_is_kept_unless_told_to_update(run, data, tmp_path):
    run("import", RIG, "--yes")
    file = changed_rig(tmp_path, '"3.3 A"', '"3.8 A"')
    status, out, _ = run("import", file, "--yes")
    assert status == 0 and "differs  circuit fridge: draw_a = 3.8" in out and "(kept as " in out
    assert out.endswith("There is nothing to write. --update takes the file's where it differs.\n")
    assert json.loads(run("export")[1])["circuits"][0]["draw_a"] == 3.3
    status, out, _ = run("import", file, "--yes", "--update")
    assert status == 0 and "changes  circuit fridge: draw_a = 3.8" in out
    fridge = json.loads(run("export")[1])["circuits"][0]
    assert (fridge["draw_a"], fridge["typed"]["draw_a"], fridge["typed"]["fuse_a"]) == (3.8, "3.8 A", "15 A")


def test_a_rig_file_with_faults_writes_nothing(run, data, tmp_path):
    file = changed_rig(tmp_path, '"3.3 A"', '"3.3 m"')
    status, _, err = run("import", file, "--yes")
    assert status == 2 and "has 1 fault; accepted is a rig file without any; correct these lines:\n  line 52: " in err
    assert not data.exists()


def test_an_export_with_a_fault_writes_nothing(run, data, tmp_path):
    file = tmp_path / "x.json"
    file.write_text(DEMO.read_text().replace("12.63", "126.3", 1))
    status, _, err = run("import", file, "--yes")
    assert status == 2 and err.startswith("daybank: readings[1].volts: 126.3 V was given") and not data.exists()


def test_a_file_without_an_ending_is_known_by_how_it_begins(run, data, tmp_path, monkeypatch):
    for text, sentence in ((DEMO.read_text(), "9 readings"), (RIG.read_text(), "7 circuits")):
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
        status, out, _ = run("import", "-")
        assert status == 0 and sentence in out


def test_a_part_of_the_logbook_goes_to_the_only_rig(run, data, tmp_path):
    run("import", DEMO, "--yes")
    file = tmp_path / "more.csv"
    file.write_text("reading id,at,volts (V),gauge\n,2025-07-09 07:00,12.4,hand meter at the battery\n")
    status, out, _ = run("import", file)
    assert status == 0 and "adds     reading 2025-07-09T07:00-06:00 12.4 unknown" in out
    assert run("import", file, "--yes")[1].endswith(f"Wrote 1 record to {data}.\n")
    assert "Records: 0 to add, 1 here already." in run("import", file, "--yes")[1]
    assert json.loads(run("export")[1])["readings"][-1]["gauge_id"] == "hand-meter"


def test_refused_rows_stop_the_rest_unless_they_are_to_be_skipped(run, data, tmp_path):
    run("import", DEMO, "--yes")
    file = tmp_path / "more.csv"
    file.write_text("reading id,at,volts (V)\n,2025-07-09 07:00,12.4\n,2025-07-09 08:00,126\n")
    status, out, _ = run("import", file, "--yes")
    assert status == 2 and "refuses  line 3: volts: 126 V was given" in out
    assert out.endswith("Correct the refused rows, or take the others alone with --skip-refused.\n")
    assert len(json.loads(run("export")[1])["readings"]) == 9
    assert run("import", file, "--yes", "--skip-refused")[0] == 0
    assert len(json.loads(run("export")[1])["readings"]) == 10


def test_a_part_of_the_logbook_needs_a_rig(run, data, tmp_path):
    file = tmp_path / "more.csv"
    file.write_text("reading id,at,volts (V)\n")
    status, _, err = run("import", file)
    assert status == 2 and "no rig is here yet; accepted is the name of one; import a rig file or an" in err


def test_a_rig_that_is_not_here_is_told_with_those_that_are(run, data):
    run("import", RIG, "--yes")
    status, _, err = run("export", "--rig", "Heron")
    assert status == 2 and '"Heron" is the name of no rig here; accepted are "The Lark (an inven' in err
    assert run("export", "--rig", "The Lark (an invented demo rig)")[0] == 0


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="needs permissions that bind")
def test_a_data_folder_that_may_not_be_written_is_told(run, tmp_path):
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    status, _, err = run("import", RIG, "--yes", "--data", tmp_path / "data")
    assert status == 1 and "give a folder of your own with --data" in err


def test_a_data_folder_that_is_a_file_is_told(run, tmp_path):
    (tmp_path / "data").write_text("x")
    status, _, err = run("import", RIG, "--yes", "--data", tmp_path / "data")
    assert status == 1 and "cannot be used" in err and "give a folder of your own with --data" in err


def test_without_any_place_for_records_the_person_is_asked(run, monkeypatch):
    for name in ("DAYBANK_DATA", "XDG_DATA_HOME", "LOCALAPPDATA", "HOME"):
        monkeypatch.delenv(name, raising=False)
    status, _, err = run("export")
    assert status == 2 and "no folder for records is known here; accepted is a folder of yours; give one" in err


# ---- export

def test_an_export_is_written_whole_and_never_over_another_unasked(run, data, tmp_path):
    run("import", DEMO, "--yes")
    file = tmp_path / "out.json"
    assert run("export", "-o", file)[0] == 0
    assert len(records.read_export(file)["readings"]) == 9
    file.write_text("mine")
    status, _, err = run("export", "-o", file)
    assert status == 2 and "is there already; accepted is a new name; give one, or replace it with --overwrite" in err
    assert file.read_text() == "mine"
    assert run("export", "-o", file, "--overwrite")[0] == 0 and len(file.read_text()) > 1000
    assert [name for name in os.listdir(tmp_path) if name.startswith(".")] == []


def test_an_export_to_nowhere_is_told_and_leaves_nothing(run, data, tmp_path):
    run("import", DEMO, "--yes")
    status, _, err = run("export", "-o", tmp_path / "none" / "out.json")
    assert status == 1 and "cannot be written (no such file or directory)" in err


def test_the_logbook_goes_out_as_csv_files_and_in_again(run, data, tmp_path):
    run("import", DEMO, "--yes")
    status, out, _ = run("export", "--csv", tmp_path / "csv")
    assert status == 0 and "Wrote readings.csv, uses.csv, skies.csv, charges.csv, positions.csv, events.csv" in out
    for file in sorted((tmp_path / "csv").iterdir()):
        status, out, _ = run("import", file)
        assert status == 0 and "Records: 0 to add, " in out and "refused" not in out
    status, _, err = run("export", "--csv", tmp_path / "csv")
    assert status == 2 and "readings.csv, " in err and "is there already" in err


def test_an_empty_logbook_writes_no_files(run, data, tmp_path):
    run("import", RIG, "--yes")
    assert run("export", "--csv", tmp_path / "csv")[1] == "The logbook is empty; nothing was written.\n"
    assert not (tmp_path / "csv").exists()


def test_an_export_before_any_import_says_what_to_do(run, data):
    status, _, err = run("export")
    assert status == 1 and err.endswith("home.db; the first import makes it.\n")


# ---- integrity

def test_a_sound_file_is_told_to_be_sound(run, data):
    run("import", RIG, "--yes")
    assert run("integrity")[:2] == (0, f"{data} is sound: 1 rig, 18 records, 18 changes.\n")


def test_a_file_that_was_changed_by_hand_is_found_out(run, data):
    run("import", RIG, "--yes")
    with closing(sqlite3.connect(data)) as db:
        db.execute("UPDATE circuits SET draw_a = 30")
        db.commit()
    status, out, _ = run("integrity")
    assert status == 1 and "The table circuits does not show what the changes make of its records." in out
    assert out.endswith("Keep a copy of it, then restore a backup.\n")


def test_a_file_that_is_no_database_is_told(run, data):
    data.parent.mkdir(parents=True)
    data.write_bytes(b"no database" * 500)
    status, _, err = run("integrity")
    assert status == 1 and "it is no database: restore a backup or name another data folder" in err


@pytest.mark.parametrize("command", ["rigfile", "import", "export", "integrity"])
def test_each_command_explains_itself(command, capsys):
    with pytest.raises(SystemExit) as ended:
        main([command, "--help"])
    assert ended.value.code == 0 and f"daybank {command}" in capsys.readouterr().out
