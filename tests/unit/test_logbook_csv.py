"""logbook_csv.py: the logbook out and in again, and what is refused with its line and reason."""
import itertools
import json
from pathlib import Path

import pytest

from daybank import change_log, logbook_csv, records
from daybank.change_log import Held, same
from daybank.strict_json import Refusal
from properties.rigs import camp

DEMO = Path(__file__).resolve().parents[2] / "pwa" / "demo" / "demo.json"
NOW_S = 1752100000  # 9 July 2025
HEAD = "reading id,at,volts (V),gauge,state,on\n"
POSITIONS = {"positions": [{"name": "off", "feeds": "nothing"}, {"name": "on", "feeds": "bank"}]}


def read(text, export=None, held=(), now_s=NOW_S):
    ids = (f"new-{n}" for n in itertools.count(1))
    return logbook_csv.read(text, export or camp(), held=list(held), now_s=now_s, new_id=lambda: next(ids))


def rows(text, **more):
    taken = read(text, **more)
    assert taken.refused == []
    return [row.fields for row in taken.rows]


# ---- out and in

@pytest.mark.parametrize("name", sorted(logbook_csv.KINDS))
def test_the_demos_logbook_goes_out_and_comes_in_again(name):
    demo = records.read_export(DEMO)
    taken = read(logbook_csv.write(demo, name), export=demo)
    assert (taken.name, taken.refused) == (name, [])
    assert same([{"id": row.row, **row.fields} for row in taken.rows], demo[name])


def test_what_no_column_holds_stands_in_the_last_one():
    export = camp(readings=[{"id": "a", "at": "2025-06-11T08:00-06:00", "volts": 12.5, "state": "rested",
                             "mood": [1, None], "typed": {"volts": "12,5"}},
                            {"id": "b", "at": "2025-06-11T09:00-06:00", "volts": 12.5, "state": "rested"}])
    text = logbook_csv.write(export, "readings")
    assert text.split("\r\n")[0].endswith(",more (JSON)") and text.split("\r\n")[2].endswith(",")
    assert rows(text)[0] == {name: value for name, value in export["readings"][0].items() if name != "id"}


def test_without_anything_unknown_there_is_no_such_column():
    assert "more" not in logbook_csv.write(camp(), "readings").split("\r\n")[0]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@home", "'=1", "''", "'", "'twas", "''twas", "plain", "a=b"])
def test_text_that_looks_like_a_formula_is_guarded_and_given_back(text):
    cell = logbook_csv.guarded(text)
    assert cell[0] not in "=+-@" and logbook_csv.unguarded(cell) == text


def test_a_note_that_looks_like_a_formula_goes_out_guarded_and_comes_in_as_it_was():
    export = camp(readings=[{"id": "=a", "at": "2025-06-11T08:00-06:00", "volts": 12.5, "state": "rested", "amps": -3.5,
                             "note": "=HYPERLINK(\"x\")"}])
    text = logbook_csv.write(export, "readings")
    assert ",'=HYPERLINK" in text.replace('"', "") and text.split("\r\n")[1].startswith("'=a,")
    assert ",-3.5," in text  # a number is no formula
    assert rows(text)[0]["note"] == '=HYPERLINK("x")'


def test_ids_with_a_semicolon_and_empty_lists_survive():
    export = camp(circuits=[{"id": "a;b", "name": "x", "feed": "bank", "draw_a": 1, "when": "any"}], gauges=[],
                  readings=[{"id": "r", "at": "2025-06-11T08:00-06:00", "volts": 12.5, "state": "loaded", "on": ["a;b"],
                             "off": []}])
    assert (rows(logbook_csv.write(export, "readings"), export=export)[0]["on"]) == ["a;b"]
    assert (rows(logbook_csv.write(export, "readings"), export=export)[0]["off"]) == []


# ---- in, by hand

def test_the_header_names_the_units_and_they_are_turned_into_ours():
    text = "reading id,at,volts (mV),rested (min),bank (F)\n,2025-06-11 08:00,12500,90,77\n"
    assert rows(text) == [{"at": "2025-06-11T08:00-06:00", "volts": 12.5, "rested_h": 1.5, "bank_c": 25,
                           "state": "unknown"}]


def test_a_cell_may_bring_its_own_unit():
    assert rows("sky id,day,condition,shade (share),harvest (Ah)\n,2025-06-11,rain,35 %,\"3,5\"\n") == [
        {"day": "2025-06-11", "condition": "rain", "shade": 0.35, "harvest_ah": 3.5}]
    assert rows(HEAD + ",2025-06-11T08:00Z,12500 mV,,rested,\n")[0]["volts"] == 12.5


def test_semicolons_or_tabs_may_separate_and_a_byte_order_mark_may_lead():
    text = "\ufeffreading id;at;volts (V)\r\n;2025-06-11T08:00-06:00;12,5\r\n"
    assert rows(text)[0]["volts"] == 12.5
    assert rows(text.replace(";", "\t"))[0]["volts"] == 12.5


def test_circuits_and_gauges_may_be_named_by_name_or_id():
    text = HEAD + ",2025-06-11 08:00,12.5,dial in the panel,loaded,gas alarm; fridge\n"
    assert rows(text)[0]["on"] == ["alarm", "fridge"] and rows(text)[0]["gauge_id"] == "dial"


def test_each_kind_of_record_can_be_written_by_hand():
    assert rows("use id,day,circuit,hours (h),kind\n,2025-06-11,lights,2,\n,2025-06-12,,,away\n") == [
        {"day": "2025-06-11", "circuit_id": "lights", "hours": 2}, {"day": "2025-06-12", "kind": "away"}]
    assert rows("charge id,source,starts at,hours (min)\n,tow,2025-06-11 08:00,90\n") == [
        {"source_id": "tow", "starts_at": "2025-06-11T08:00-06:00", "hours": 1.5}]
    assert rows("position id,at,position\n,2025-06-11 08:00,on\n", export=camp(selector=POSITIONS)) == [
        {"at": "2025-06-11T08:00-06:00", "position": "on"}]
    assert rows("event id,between,kind\n,2025-06-11 08:00 / 2025-06-11 09:00,flat\n") == [
        {"between": ["2025-06-11T08:00-06:00", "2025-06-11T09:00-06:00"], "kind": "flat"}]


def test_a_record_that_is_here_already_is_not_added_again():
    fields = {"at": "2025-06-11T08:00-06:00", "volts": 12.5, "state": "rested"}
    taken = read(HEAD + ",2025-06-11 08:00,12.5,,rested,\n", held=[Held("reading", "x", fields, "0")])
    assert (taken.rows, taken.same, taken.refused) == ([], 1, [])


def test_empty_lines_are_no_records():
    assert len(rows(HEAD + "\n,,,,,\n,2025-06-11 08:00,12.5,,rested,\n\n")) == 1


# ---- refused rows

@pytest.mark.parametrize("line, sentence", [
    (",2025-06-11 08:00,126,,rested,", 'volts: 126 V was given; accepted is 8 to 16 V on a 12 V rig; correct it'),
    (",2025-06-11 08:00,abc,,rested,", 'volts: "abc" was given; accepted is a voltage such as "12.6 V"'),
    (",2025-06-11 08:00,12 A,,rested,", 'volts: "12 A" is a current; accepted is a voltage'),
    (",yesterday,12.5,,rested,", 'at: "yesterday" was given; accepted is a moment that exists'),
    (",2025-06-11 08:00,12.5,,fine,", 'state: "fine" was given; accepted are rested, loaded'),
    (",2025-06-11 08:00,12.5,gone,rested,", 'gauge_id: "gone" is none of the rig\'s gauges; accepted are "dial", '),
    (",2025-06-11 08:00,12.5,,rested,fridge; gone", 'on: "gone" is none of the rig\'s circuits'),
    (",2031-06-11 08:00,12.5,,rested,", "it lies in the future; accepted is what has happened; correct its time"),
    (",2025-06-11 08:00,12.5,,rested,,extra", "7 cells were given; accepted are 6, as in the header"),
    (',2025-06-11 08:00,12.5,,rested,"[1]"', "accepted are ids with semicolons between them"),
    (",,12.5,,fine,", "at: is missing; accepted is "),
])
def test_a_row_is_refused_with_its_line_and_why(line, sentence):
    taken = read(HEAD + ",2025-06-11 07:00,12.6,,rested,\n" + line + "\n")
    assert len(taken.rows) == 1 and [where for where, _ in taken.refused] == ["line 3"]
    assert sentence in taken.refused[0][1]


def test_every_fault_of_a_row_is_told():
    (_, said), = read(HEAD + ",,12.5,,fine,\n").refused
    assert "at: is missing" in said and "; and state: \"fine\"" in said


@pytest.mark.parametrize("text", ["a,2025-06-11 08:00,12.5,,rested,\na,2025-06-11 09:00,12.4,,rested,\n",
                                  ",2025-06-11 08:00,12.5,,rested,\n,2025-06-11 08:00,12.5,,rested,\n"])
def test_a_record_that_stands_twice_in_the_file_is_refused_once(text):
    taken = read(HEAD + text)
    assert len(taken.rows) == 1
    assert taken.refused == [("line 3", "it says the same as line 2; accepted is each record once; remove one of them")]


def test_positions_need_a_selector_that_has_them():
    (_, said), = read("position id,at,position\n,2025-06-11 08:00,up\n").refused
    assert 'position: "up" is none of the selector\'s; accepted are none, as there is no selector' in said


def test_what_is_beside_the_columns_must_be_an_object():
    (_, said), = read(HEAD.replace("on\n", "more (JSON)\n") + ",2025-06-11 08:00,12.5,,rested,[1]\n").refused
    assert said.startswith("more (JSON): the file holds [1]; accepted is one JSON object")


# ---- refused files

@pytest.mark.parametrize("text, sentence", [
    ("", 'the first column is ""; accepted are reading id, use id, sky id, charge id, position id, event id'),
    ("volts (V),at\n", 'the first column is "volts (v)"'),
    ("reading id,at,volts\n", 'the column "volts" names no unit; accepted is such as "volts (V)"; add it'),
    ("reading id,at,volts (Ah)\n", 'the column "volts (Ah)" is in a unit that does not fit; accepted is such as'),
    ("reading id,at,mood\n", 'the column "mood" is not known; accepted are at, volts, gauge,'),
    ("reading id,at,at\n", "a column for at stands twice; accepted is each column once"),
    (HEAD + ',"open', "line 2 is not CSV"),
])
def test_a_file_is_refused_as_a_whole_where_its_columns_are_not_clear(text, sentence):
    with pytest.raises((Refusal, ValueError)) as refused:
        read(text)
    assert sentence in str(refused.value)


def test_a_csv_of_the_demo_is_readable_by_the_strict_reader_again():
    demo = records.read_export(DEMO)
    taken = {name: read(logbook_csv.write(demo, name), export=demo).rows for name in logbook_csv.KINDS}
    again = {**demo, **{name: [{"id": row.row, **row.fields} for row in found] for name, found in taken.items()}}
    assert records.read_export(json.dumps(again)) and change_log.same(again, demo)
