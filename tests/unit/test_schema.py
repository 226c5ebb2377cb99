"""schema.py: the tables know every field of the format and hold only what they can; views unpack lists."""
import json
import sqlite3
from contextlib import closing

import pytest

from daybank import change_log, export_fields, schema
from daybank.store import Store

NOW_MS = 1752000000000


@pytest.fixture
def made(tmp_path):
    path = tmp_path / "home.db"
    Store.open(path, now_ms=NOW_MS).close()
    with closing(sqlite3.connect(path)) as db:
        yield db


def test_every_field_of_the_format_has_its_column():
    checked_by_rule = {"readings": {"volts", "soc"}, "circuits": {"fuse_slot"}, "trips": {"stops", "season_sky"},
                       "selector": {"positions"}, "banks": {"lives"}, "rig": {"season_sky"}}
    for form, fields in export_fields.FIELDS.items():
        if "." not in form:
            columns = schema.PLAIN[change_log.TBL_OF.get(form, form)].columns
            assert set(fields) | checked_by_rule.get(form, set()) == set(columns), f"{form} needs a step of its own"


def test_every_kind_of_record_of_a_change_has_its_table():
    assert set(change_log.TBL_OF.values()) | {"rig", "selector", "other"} == set(schema.PLAIN)


def test_every_table_is_strict(made):
    tables = made.execute("PRAGMA table_list").fetchall()
    ours = [row for row in tables if row[2] == "table" and not row[1].startswith("sqlite_")]
    assert len(ours) == len(schema.PLAIN) + 5  # and four of the log, and the list of steps
    assert [row[1] for row in ours if not row[5]] == []


def test_the_steps_are_named_in_the_file_and_counted(made):
    assert [row[1] for row in made.execute("SELECT * FROM schema_steps")] == [name for name, _ in schema.STEPS]
    assert made.execute("PRAGMA user_version").fetchone() == (len(schema.STEPS),)


@pytest.mark.parametrize("kind, good, bad", [
    (schema.TEXT, "x", 1), (schema.REAL, 1, True), (schema.REAL, -2.5, 1e16), (schema.FLAG, False, 0),
    (schema.JSON, [], "[]"), (schema.ANY, "1/0", True), (schema.ANY, 8, []),
])
def test_a_column_takes_what_it_can_hold(kind, good, bad):
    assert schema.fits(kind, good) and not schema.fits(kind, bad)


@pytest.mark.parametrize("column, value", [("volts", 1e300), ("volts", "twelve"), ("confirmed", 2), ('"on"', "fridge")])
def test_the_tables_themselves_refuse_what_no_record_holds(made, column, value):
    made.execute("INSERT INTO rigs (id, made) VALUES ('r', '0')")
    with pytest.raises(sqlite3.IntegrityError):
        made.execute(f"INSERT INTO readings (rig, id, made, {column}) VALUES ('r', 'a', '0', ?)", (value,))


def test_a_record_needs_its_rig(made):
    made.execute("PRAGMA foreign_keys = ON")
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        made.execute("INSERT INTO readings (rig, id, made) VALUES ('nobody', 'a', '0')")


def test_the_views_unpack_what_is_a_list_inside_a_record(made):
    made.execute("INSERT INTO rigs (id, made) VALUES ('r', '0')")
    made.execute("INSERT INTO circuits (rig, id, made, name) VALUES ('r', 'c', '0', 'fridge')")
    made.execute("""INSERT INTO readings (rig, id, made, "at", volts, "on", "off")
                    VALUES ('r', 'a', '0', 'noon', 12.5, '["c"]', '["gone"]')""")
    made.execute("INSERT INTO trips (rig, id, made, name, stops) VALUES ('r', 't', '0', 'coast', ?)",
                 (json.dumps([{"from": "monday", "shade": 0.5}, {"from": "friday"}]),))
    made.execute("INSERT INTO selectors (rig, id, made, positions) VALUES ('r', 'selector', '0', ?)",
                 (json.dumps([{"name": "off", "feeds": "nothing"}]),))
    assert sorted(made.execute("SELECT volts, circuit, state FROM reading_circuits"), key=lambda row: row[2]) == [
        (12.5, None, "off"), (12.5, "fridge", "on")]
    assert made.execute("SELECT trip, number, \"from\", shade FROM stops ORDER BY number").fetchall() == [
        ("coast", 1, "monday", 0.5), ("coast", 2, "friday", None)]
    assert made.execute("SELECT number, name, feeds FROM selector_positions").fetchall() == [(1, "off", "nothing")]
