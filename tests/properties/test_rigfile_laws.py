"""Laws of data in and out: rig file, export, store and CSV lose nothing, and no text breaks a reader."""
import json
import math
import tempfile
import tomllib
from itertools import count
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from daybank import change_log, logbook_csv, records, rigfile, toml_lines
from daybank.change_log import Held, same
from daybank.store import Store
from properties.rigs import exports

NOW_MS = 1_800_000_000_000
RIG = (Path(__file__).resolve().parents[2] / "demo_db" / "rig.toml").read_text(encoding="utf-8")

_words = st.text(st.characters(codec="utf-8", exclude_characters="\0\r"), max_size=12)
_scalars = st.booleans() | st.integers(-10**12, 10**12) | st.floats(-1e9, 1e9) | _words
_values = st.recursive(_scalars, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_words, inner, max_size=3),
                       max_leaves=5)
# names that no field of ours has or nearly has
_unknown = st.dictionaries(st.sampled_from(["x_paint", "x_", "x_more here", "x_ü", 'x_"quoted"', "x_a.b", "x_[0]"]),
                           _values, max_size=3)


@st.composite
def with_unknown_fields(draw):
    """A drawn export with fields of a later version in its rows and beside its lists."""
    export = draw(exports())
    for value in (export["rig"], *(row for rows in export.values() if isinstance(rows, list) for row in rows)):
        value.update(draw(_unknown) if draw(st.integers(0, 4)) == 0 else {})
    return {**export, **draw(_unknown)}


def stored_and_given_out(export: dict) -> dict:
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "home.db", now_ms=NOW_MS) as store:
        store.write("rig", change_log.rows_of_export(export, "rig", lambda: store.new_id(NOW_MS)), now_ms=NOW_MS)
        assert store.faults() == []
        return store.export("rig")


def told(export: dict) -> dict:
    """What an export says: without the moment of its question, the ids it did not have, and empty lists."""
    said = {name: value for name, value in export.items() if name != "asked_at" and value not in ([], None)}
    said["rig"] = {name: value for name, value in said["rig"].items() if name != "id"}
    for name, value in said.items():
        if name in change_log.TBL_OF:
            said[name] = [{field: item for field, item in row.items() if field != "id" or len(str(item)) < 36}
                          for row in value]
    return said


@settings(max_examples=40)  # each writes a file, and waits for the disk to have it
@given(with_unknown_fields())
def test_an_export_goes_through_the_store_and_loses_nothing(export):
    read = records.read_export(json.dumps(export))
    assert same(told(stored_and_given_out(read)), told(read))


# ---- rig files

def as_toml(value) -> str:
    """A value as TOML has it inline."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        escaped = "".join(f"\\U{ord(mark):08X}" if mark in '"\\' or not mark.isprintable() else mark for mark in value)
        return f'"{escaped}"'
    if isinstance(value, dict):
        return "{" + ", ".join(f"{as_toml(key)} = {as_toml(item)}" for key, item in value.items()) + "}"
    return "[" + ", ".join(map(as_toml, value)) + "]" if isinstance(value, list) else repr(value)


def rig_file(export: dict) -> str:
    """An export written as a person might write a rig file."""
    top, tables = [], []
    for name, value in export.items():
        if name in change_log.TBL_OF:
            for row in value:
                stops = row.get("stops", [])
                tables += [f"[[{name}]]", *_lines({key: item for key, item in row.items() if key != "stops"})]
                for stop in stops:
                    tables += [f"[[{name}.stops]]  # a stop", *_lines(stop)]
        elif name in ("rig", "selector"):
            tables += [f"[{name}]", *_lines(value)]
        elif name not in ("format", "asked_at"):
            top += _lines({name: value})
    return "\n".join(top + tables) + "\n"


def _lines(fields: dict) -> list:
    return [f"{key if key.isascii() and key.isidentifier() else as_toml(key)} = {as_toml(value)}"
            for key, value in fields.items()]


@settings(max_examples=40)
@given(with_unknown_fields())
def test_a_rig_file_becomes_an_export_goes_through_the_store_and_loses_nothing(export):
    wanted = records.read_export(json.dumps(export))
    del wanted["asked_at"]
    read = rigfile.read(rig_file(wanted))
    assert read.faults == []
    assert same(told(read.export), told(wanted))
    assert same(told(stored_and_given_out(read.export)), told(wanted))


@given(st.floats(0.01, 99).map(lambda x: round(x, 3)), st.floats(0.1, 50).map(lambda x: round(x, 2)),
       st.sampled_from([("m", 1.0), ("ft", 0.3048), ("cm", 0.01), ("in", 0.0254)]),
       st.sampled_from([("A", 1.0), ("mA", 0.001), ("amps", 1.0)]))
def test_a_quantity_is_read_in_any_unit_and_kept_as_typed(amps, length, length_unit, amps_unit):
    typed, run = f"{amps!r} {amps_unit[0]}", f"{length!r} {length_unit[0]}"
    text = RIG.replace('draw = "3.3 A"', f'draw = "{typed}"').replace('wire_length = "3.5 m"', f'wire_length = "{run}"')
    fridge = rigfile.read(text).export["circuits"][0]
    assert math.isclose(fridge["draw_a"], amps * amps_unit[1], rel_tol=1e-9)
    assert math.isclose(fridge["wire_m"], length * length_unit[1], rel_tol=1e-9)
    assert (fridge["typed"]["draw_a"], fridge["typed"]["wire_m"]) == (typed, run)


@given(st.text(max_size=200) | st.from_regex(r"(\[\[?(rig|banks|circuits|x)\]\]?\n|"
                                             r"(name|draw|floor|x) ?= ?[\"0-9\[{]*\n){0,6}"))
def test_any_text_is_read_or_refused_with_lines(text):
    read = rigfile.read(text)
    assert (read.export is None) == bool(read.faults)
    assert all(1 <= fault.line <= text.count("\n") + 1 and len(fault.message) > 15 for fault in read.faults)


_BAD = ["", '"a lot"', "-5", "true", "[]", "{}", "1979-05-27", "nan", '""', '"5 m"', "9" * 20, '"\\u0000"', "[[1]]"]
# what refers to such a line, or is decided by it, may be at fault too
_DECIDING = ("id", "name", "nominal", "timezone", "chemistry", "kind", "when", "starts_at", "ends_at", "installed_on")


@given(st.integers(0, RIG.count("\n") - 1), st.sampled_from(_BAD))
def test_one_bad_line_in_a_good_file_is_told_near_that_line_or_is_harmless(number, value):
    lines = RIG.split("\n")
    key, found, _ = lines[number].partition(" = ")
    if not found or key.startswith("#"):
        return
    lines[number] = f"{key} = {value}"
    read = rigfile.read("\n".join(lines))
    if key not in _DECIDING:
        assert {fault.line for fault in read.faults} <= {number + 1} | {n for n in range(number, 0, -1)
                                                                       if lines[n - 1].startswith("[")}
    assert (read.export is None) == bool(read.faults)


@given(st.dictionaries(_words, _values, max_size=4))
def test_every_key_of_a_text_that_the_reader_takes_has_its_line(data):
    text = "".join(f"{as_toml(key)} = {as_toml(value)}\n" for key, value in data.items())
    assert tomllib.loads(text) == data
    assert toml_lines.lines_of(text) == {(key,): number for number, key in enumerate(data, start=1)}


# ---- CSV

@given(with_unknown_fields())
def test_the_logbook_goes_out_as_csv_and_comes_in_again(export):
    read = records.read_export(json.dumps(export))
    for name in logbook_csv.KINDS:
        ids = (f"row-{n}" for n in count())
        given_out = [{"id": row.get("id", next(ids)), **row} for row in read.get(name, [])]
        taken = logbook_csv.read(logbook_csv.write({name: given_out}, name), read, held=[], now_s=NOW_MS / 1000,
                                 new_id=lambda: "none")
        assert taken.refused == []
        assert same([{"id": row.row, **row.fields} for row in taken.rows], given_out)


@given(st.text(max_size=200) | st.from_regex(r"(reading id|use id|event id)(,(at|volts \(V\)|day|kind|on|note))*\n"
                                             r"([a-z0-9=,\"' ;-]{0,20}\n){0,4}"))
def test_any_csv_text_is_taken_or_refused_with_a_sentence(text):
    export = {"rig": {"name": "x", "nominal_v": 12, "timezone": "UTC"}}
    held = [Held("reading", "a", {"at": "2025-01-01T00:00Z", "volts": 12.5, "state": "rested"}, "0")]
    try:
        taken = logbook_csv.read(text, export, held=held, now_s=NOW_MS / 1000, new_id=lambda: "new")
    except ValueError as refusal:
        assert len(str(refusal)) > 20
    else:
        assert all(where.startswith("line ") and len(said) > 15 for where, said in taken.refused)


@given(st.text(max_size=20))
def test_a_guarded_text_begins_no_formula_and_is_given_back(text):
    cell = logbook_csv.guarded(text)
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r")) and logbook_csv.unguarded(cell) == text
