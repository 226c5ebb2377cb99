"""Handing a rig over, and the logbook as CSV: what goes out, what stays, and what comes in only after a look."""

import json

import pytest

from browser.conftest import eventually, rows, wait_for_final
from conftest import ROOT
from daybank import logbook_csv
from daybank.records import read_export

DEMO = ROOT / "pwa" / "demo" / "demo.json"
SECRET = "Crooked Creek"
READ = "(() => {{ let n = 0; const p = m.read(a[0], a[1], (name) => ({held}), {now}, () => `new-${{n += 1}}`); return p; }})()"
NOW_S = 1752100000  # 9 July 2025


def planted():
    """The demo rig with a place wherever a record could hold one."""
    data = json.loads(DEMO.read_text())
    data["rig"] |= {"id": "rig-1", "lat_deg": 38.5, "lon_deg": -109.6, "home": SECRET, "typed": {"lat_deg": SECRET}}
    for name in ("banks", "sources", "circuits", "inverters", "gauges", "readings", "uses", "skies", "events", "positions", "trips"):
        for row in data.get(name) or []:
            row |= {"lat_deg": 38.5, "gps": SECRET, "place": {"name": SECRET}, "device": "phone-7"}
    data["readings"][0]["note"] = f"behind the store in {SECRET}"
    data["events"] = [{"id": "e", "at": "2025-07-06T10:00-06:00", "kind": "flat", "note": SECRET}]
    data["findings"] = [{"id": "f", "at": "2025-07-06T10:00-06:00", "check_id": "commissioning.drop", "name": "post lug", "mohm": 3.6,
                         "photo": "ab12", "lat_deg": 38.5, "note": SECRET, "device": "phone-7"}]
    data["route"] = [SECRET]
    return data


def keys(value):
    if isinstance(value, dict):
        return set(value) | {key for item in value.values() for key in keys(item)}
    return {key for item in value for key in keys(item)} if isinstance(value, list) else set()


@pytest.fixture
def give(call):
    return lambda data, notes: call("views/handover", "m.handedOver(a[0], { notes: a[1] })", data, notes)


def test_a_file_that_is_handed_over_holds_no_place_photo_or_device_wherever_one_was_written(give):
    given = give(planted(), False)
    text = json.dumps(given)
    assert SECRET not in text and "phone-7" not in text and "38.5" not in text and "ab12" not in text and "rig-1" not in text
    assert not keys(given) & {"lat_deg", "lon_deg", "gps", "place", "photo", "device", "note", "trips", "uses", "skies"}


def test_a_file_that_is_handed_over_holds_the_rig_its_batteries_and_its_upkeep(give):
    data, given = planted(), give(planted(), False)
    assert len(given["circuits"]) == len(data["circuits"]) and given["circuits"][0]["wire_awg"] == 12
    assert given["banks"][0]["installed_on"] == "2022-04-16"
    assert [row.get("volts") for row in given["readings"]] == [row.get("volts") for row in data["readings"]]
    assert given["findings"][0]["mohm"] == 3.6 and given["events"][0]["kind"] == "flat"
    assert [one["name"] for one in given["selector"]["positions"]] == ["off", "battery", "controller"]


def test_notes_go_along_only_when_asked(give):
    assert SECRET in json.dumps(give(planted(), True)["readings"])
    assert "gps" not in keys(give(planted(), True))


def test_a_file_that_was_handed_over_is_saved_and_opens_on_another_phone_and_on_the_computer(demo, page_at, tmp_path):
    demo.goto(demo.url.split("#")[0] + "#/handover")
    with demo.expect_download() as download:
        demo.get_by_role("button", name="Save the file").click()
    file = tmp_path / "given.json"
    download.value.save_as(file)
    assert len(read_export(file.read_text())["readings"]) == 9
    other = page_at()
    other.set_input_files("input[type=file]", str(file))
    wait_for_final(other)
    assert sum(row["tbl"] == "circuit" for row in rows(other)) == 7
    assert not any(row["tbl"] in ("trip", "use", "sky") for row in rows(other))


# ---- CSV

@pytest.mark.parametrize("name", sorted(logbook_csv.KINDS))
def test_the_phone_writes_each_kind_byte_for_byte_as_the_computer_does(call, name):
    data = read_export(DEMO)
    data["readings"][0] |= {"note": '=1+1, "quoted"\nand a second line', "on": ["fridge", "pump"], "mood": {"b": 1, "a": [1, None]}}
    data["readings"][1] |= {"note": "'twas", "confirmed": True, "on": []}
    data["events"] = [{"id": "=e", "between": ["2025-07-06T10:00-06:00", "2025-07-06T12:00-06:00"], "kind": "cut_out", "circuit_id": "fridge"}]
    data["charges"] = [{"id": "c", "source_id": "tow-vehicle", "starts_at": "2025-07-05T10:00-06:00", "hours": 3}]
    assert call("logbook-csv", "m.write(a[0], a[1])", data, name) == logbook_csv.write(data, name)


@pytest.mark.parametrize("name", sorted(logbook_csv.KINDS))
def test_what_the_computer_wrote_is_here_already_when_it_comes_in(call, name):
    data = read_export(DEMO)
    plan = call("logbook-csv", READ.format(held="a[1][name]", now=NOW_S), logbook_csv.write(data, name), data)
    assert (plan["adds"], plan["refused"], plan["kept"]) == ([], [], 0) and plan["same"] == len(data[name])
    fresh = call("logbook-csv", READ.format(held="[]", now=NOW_S), logbook_csv.write(data, name), data)
    assert [{"id": one["row"], **one["set"]} for one in fresh["adds"]] == data[name]


def test_semicolons_decimal_commas_local_times_and_names_are_understood(call):
    text = "reading id;at;volts (V);gauge;state;on\r\n;2025-07-06 21:15;12,5;hand meter at the battery;loaded;fridge; water pump\r\n"
    plan = call("logbook-csv", READ.format(held="[]", now=NOW_S), text.replace("fridge; water pump", '"fridge; water pump"'), read_export(DEMO))
    assert [one["set"] for one in plan["adds"]] == [{"at": "2025-07-06T21:15-06:00", "volts": 12.5, "gauge_id": "hand-meter", "state": "loaded", "on": ["fridge", "pump"]}]


@pytest.mark.parametrize("line, code", [
    (",2025-07-06 21:15,126,loaded", "file.volts_meant"), (",2025-07-06 21:15,twelve,loaded", "csv.number"), (",2026-07-06 21:15,12.5,loaded", "file.future"),
    (",noon,12.5,loaded", "file.time"), (",2025-07-06 21:15,12.5,asleep", "file.choice"), (",2025-07-06 21:15,12.5,loaded,more", "csv.cells"), (",,12.5,loaded", "file.missing"),
])
def test_a_row_that_cannot_be_is_refused_with_its_line_and_the_others_are_taken(call, line, code):
    text = f"reading id,at,volts (V),state\n{line}\n,2025-07-06 22:15,12.4,loaded\n"
    plan = call("logbook-csv", READ.format(held="[]", now=NOW_S), text, read_export(DEMO))
    assert [(one["line"], one["code"]) for one in plan["refused"]] == [(2, code)]
    assert [one["set"]["volts"] for one in plan["adds"]] == [12.4]


@pytest.mark.parametrize("head, code", [
    ("voltage,at", "csv.first"), ("reading id,at,volts (V),colour", "csv.column"), ("reading id,at,volts", "csv.unit"), ("reading id,at,volts (mV)", "csv.unit"),
    ("reading id,at,at", "csv.column_twice"), ('reading id,"at', "csv.quote"), ("", "csv.first"),
])
def test_a_file_whose_header_says_something_else_is_refused_as_a_whole(call, head, code):
    assert call("logbook-csv", f"(() => {{ try {{ m.read(a[0], a[1], () => [], {NOW_S}, () => 'x'); return ''; }} catch (error) {{ return error.code; }} }})()",
                head + "\n,2025-07-06 21:15,12\n", read_export(DEMO)) == code


def test_a_record_that_was_deleted_or_changed_here_stays_as_it_is_here(call):
    text = "reading id,at,volts (V),state\na,2025-07-06 21:15,12.5,loaded\nb,2025-07-06 22:15,12.4,loaded\n"
    held = "[{ id: 'a', deleted: true }, { id: 'b', at: '2025-07-06T22:15-06:00', volts: 12.9, state: 'loaded' }]"
    plan = call("logbook-csv", READ.format(held=held, now=NOW_S), text, read_export(DEMO))
    assert (plan["adds"], plan["kept"]) == ([], 2)


def test_nothing_is_written_before_the_person_has_seen_what_a_file_would_add(demo):
    demo.goto(demo.url.split("#")[0] + "#/csv")
    before = len(rows(demo, "ops"))
    text = "reading id,at,volts (V),state\n,2025-07-08 19:00,12.5,loaded\n,2025-07-08 19:30,126,loaded\n"
    give = {"name": "log.csv", "mimeType": "text/csv", "buffer": text.encode()}
    demo.set_input_files(".page input[type=file]", give)
    demo.get_by_text("Would add 1 record (readings).").wait_for()
    assert "Line 3: " in demo.inner_text("#plan") and "12.6" in demo.inner_text("#plan")
    assert len(rows(demo, "ops")) == before
    demo.get_by_role("button", name="Add 1 record").click()
    demo.get_by_text("Added and saved on this phone: 1 record.").wait_for()
    eventually(lambda: len(rows(demo, "ops")) == before + 1)
    demo.set_input_files(".page input[type=file]", give)
    demo.get_by_text("1 is here already.").wait_for()
    assert demo.get_by_role("button", name="Add 1 record").count() == 0


def test_the_logbook_is_saved_as_a_file_that_the_computer_reads(demo, tmp_path):
    demo.goto(demo.url.split("#")[0] + "#/csv")
    with demo.expect_download() as download:
        demo.get_by_role("button", name="Save as CSV").click()
    file = tmp_path / "log.csv"
    download.value.save_as(file)
    taken = logbook_csv.read(file.read_bytes().decode(), read_export(DEMO), held=[], now_s=NOW_S, new_id=lambda: "x")
    assert (taken.name, taken.refused, len(taken.rows)) == ("readings", [], 9)
