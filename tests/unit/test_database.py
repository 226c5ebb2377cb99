"""database.py: a household's file is made, opened, brought up to date, or left alone with a sentence."""
import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from daybank import schema
from daybank.change_log import Row
from daybank.store import Store, StoreError, household_file

NOW_MS = 1752000000000


@pytest.fixture
def path(tmp_path) -> Path:
    return tmp_path / "home.db"


@pytest.fixture
def store(path):
    with Store.open(path, now_ms=NOW_MS) as opened:
        yield opened


# ---- opening

def test_a_new_file_is_its_owners_alone_and_in_the_households_folder(tmp_path):
    path = household_file(tmp_path, "home")
    Store.open(path, now_ms=NOW_MS).close()
    assert path == tmp_path / "households" / "home.db"
    if os.name == "posix":
        assert (path.stat().st_mode & 0o777, path.parent.stat().st_mode & 0o777) == (0o600, 0o700)


def test_each_connection_has_the_agreed_settings(store):
    wanted = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 5000, "trusted_schema": 0,
              "cell_size_check": 1}
    assert {name: store._db.execute(f"PRAGMA {name}").fetchone()[0] for name in wanted} == wanted


def test_a_file_opened_again_holds_what_was_written(path):
    with Store.open(path, now_ms=NOW_MS) as first:
        epoch = first.epoch
        first.write("r", [Row("rig", "r", {"name": "Lark"})], now_ms=NOW_MS)
    with Store.open(path, now_ms=NOW_MS) as again:
        assert (again.rigs()[0]["name"], again.epoch) == ("Lark", epoch)


def test_two_files_have_two_epochs(path, tmp_path):
    with Store.open(path, now_ms=NOW_MS) as one, Store.open(tmp_path / "other.db", now_ms=NOW_MS) as other:
        assert one.epoch != other.epoch and len(one.epoch) == 32


def test_a_file_to_be_looked_at_is_not_made(path):
    with pytest.raises(StoreError, match="There is no file .*home.db; the first import makes it"):
        Store.open(path, now_ms=NOW_MS, read_only=True)
    assert not path.exists()


def test_a_file_looked_at_is_not_written(store, path):
    with Store.open(path, now_ms=NOW_MS, read_only=True) as looking:
        with pytest.raises(StoreError, match="it may not be written: give a folder of your own with --data"):
            looking.write("r", [Row("rig", "r", {"name": "x"})], now_ms=NOW_MS)


def test_a_file_of_a_newer_daybank_is_left_alone(path):
    Store.open(path, now_ms=NOW_MS).close()
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 99")
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"a newer Daybank \(step 99, this one knows 2\); update Daybank here"):
        Store.open(path, now_ms=NOW_MS)
    assert path.read_bytes() == before


def test_another_programs_database_is_left_alone(path):
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE theirs (x)")
    with pytest.raises(StoreError, match="is another program's database; accepted is a file that Daybank made"):
        Store.open(path, now_ms=NOW_MS)
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT name FROM sqlite_master").fetchall() == [("theirs",)]


def test_a_file_that_is_no_database_is_left_alone(path):
    path.write_text("these are my notes, and no database at all; please leave them as they are" * 20)
    with pytest.raises(StoreError, match="it is no database: restore a backup or name another data folder"):
        Store.open(path, now_ms=NOW_MS)
    assert path.read_text().startswith("these are my notes")


def test_a_folder_that_may_not_be_made_is_said(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(StoreError, match="cannot be used .*; give a folder of your own with --data"):
        Store.open(tmp_path / "file" / "home.db", now_ms=NOW_MS)


@pytest.mark.parametrize("name", ["home #1.db", "100%.db", "what?.db"])
def test_a_file_may_have_any_name(tmp_path, name):
    Store.open(tmp_path / name, now_ms=NOW_MS).close()
    assert (tmp_path / name).stat().st_size > 0


# ---- steps

def test_an_older_file_is_copied_then_brought_up_to_date(path):
    with Store.open(path, now_ms=NOW_MS, steps=schema.STEPS[:1]) as old:
        old.write("r", [Row("rig", "r", {"name": "Lark"})], now_ms=NOW_MS)
    with Store.open(path, now_ms=NOW_MS) as new:
        assert (new.export("r")["rig"]["name"], new.faults()) == ("Lark", [])
    with closing(sqlite3.connect(f"{path}.before-step-2")) as copy:
        assert copy.execute("PRAGMA user_version").fetchone() == (1,)
        assert copy.execute("SELECT name FROM rigs").fetchall() == [("Lark",)]


def test_a_step_that_fails_leaves_the_file_as_it_was(path):
    Store.open(path, now_ms=NOW_MS).close()

    def breaks(db):
        db.execute("CREATE TABLE half_done (x)")
        db.execute("DROP TABLE readings")
        raise sqlite3.OperationalError("database or disk is full")

    with pytest.raises(StoreError, match="the disk is full: make room and try again"):
        Store.open(path, now_ms=NOW_MS, steps=(*schema.STEPS, ("breaks", breaks)))
    with Store.open(path, now_ms=NOW_MS) as again:
        assert again.faults() == []
        assert again._db.execute("SELECT count(*) FROM sqlite_master WHERE name = 'half_done'").fetchone() == (0,)
