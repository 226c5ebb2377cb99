"""rigfile.py, rig_quantities.py, typed_moments.py: a rig by hand, its faults with their lines, what was typed kept."""
import json
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from daybank import records, rigfile, typed_moments
from daybank.change_log import same

ROOT = Path(__file__).resolve().parents[2]
RIG = ROOT / "demo_db" / "rig.toml"
DEMO = ROOT / "pwa" / "demo" / "demo.json"
HEAD = '[rig]\nname = "x"\nnominal = "12 V"\ntimezone = "America/Denver"\n'
BANK = '[[banks]]\nchemistry = "agm"\nrated = "100 Ah"\nfloor = "50 %"\n'
LAMP = '[[circuits]]\nname = "Lamp (left)"\nfeed = "fuse_block"\ndraw = "1 A"\nwhen = "evening"\n'


def told(text: str) -> list:
    read = rigfile.read(text)
    assert read.export is None
    return [(fault.line, fault.field) for fault in read.faults]


def circuit(more: str) -> dict:
    read = rigfile.read(HEAD + BANK + LAMP.replace('draw = "1 A"\n', "") + more)
    assert read.faults == []
    return read.export["circuits"][0]


# ---- good files

def test_the_demo_rig_file_is_the_demos_rig():
    read = rigfile.read(RIG.read_text(encoding="utf-8"))
    demo = records.read_export(DEMO)
    assert read.faults == [] and [note.field for note in read.notes] == ["invented"]
    for name in ("rig", "banks", "sources", "circuits", "inverters", "gauges", "selector", "trips"):
        assert same(without_typed(read.export[name]), demo[name]), name


def without_typed(value):
    if isinstance(value, list):
        return [without_typed(item) for item in value]
    if isinstance(value, dict):
        return {key: without_typed(item) for key, item in value.items() if key != "typed"}
    return value


def test_a_small_rig_file_passes_the_strict_reader():
    read = rigfile.read(HEAD + BANK + LAMP)
    assert read == (records.read_export(json.dumps(read.export)), [], [])


def test_what_was_typed_is_kept_beside_the_value():
    made = circuit('draw = "0.6 A at 24 V"\nwire = "8 AWG"\nwire_length = "20 ft"\nfuse_a = 5\n')
    assert (made["draw_w"], made["wire_awg"], made["wire_m"], made["fuse_a"]) == (14.4, 8, 6.096, 5)
    assert made["typed"] == {"draw_w": "0.6 A at 24 V", "wire_awg": "8 AWG", "wire_m": "20 ft"}


def test_a_key_with_its_unit_takes_a_number_or_text():
    assert circuit("draw_a = 2\n")["draw_a"] == 2
    made = circuit('draw_a = "200 mA"\ncutoff_v = "10800 mV"\nduty_at_25c = "30 %"\n')
    assert (made["draw_a"], made["cutoff_v"], made["duty_at_25c"]) == (0.2, 10.8, 0.3)
    assert set(made["typed"]) == {"draw_a", "cutoff_v", "duty_at_25c"}


def test_amp_hours_a_day_are_spread_over_the_hours_beside_them():
    assert circuit('draw = "12 Ah a day"\ntypical = "4 h a day"\n')["draw_a"] == pytest.approx(3.0)


@pytest.mark.parametrize("more", ["", 'duty = "30 %"\n', 'duty = "55 %"\n'])
def test_amp_hours_a_day_of_a_fridge_are_what_the_model_will_reckon_with(more):
    from daybank.energy import loads
    text = (HEAD + BANK + LAMP).replace('"evening"', '"thermostat"').replace('"1 A"', '"24 Ah a day"') + more
    made = rigfile.read(text).export["circuits"][0]
    assert made["draw_a"] * loads.likely_duty(made.get("duty_at_25c")) * 24 == pytest.approx(24.0, rel=1e-5)


def test_amp_hours_a_day_of_what_always_runs_are_spread_over_the_day():
    text = (HEAD + BANK + LAMP).replace('"evening"', '"always"').replace('"1 A"', '"2.4 Ah a day"')
    assert rigfile.read(text).export["circuits"][0]["draw_a"] == pytest.approx(0.1)


@pytest.mark.parametrize("label, ah, hours", [("100 Ah", 100.0, 20), ("95 Ah at 100 h", 95.0, 100),
                                              ("160 min reserve", 82.7, 20)])
def test_a_battery_is_typed_from_its_label(label, ah, hours):
    bank = rigfile.read(HEAD + BANK.replace("100 Ah", label) + LAMP).export["banks"][0]
    assert (bank["rated_ah"], bank["rated_h"], bank["typed"]["rated_ah"]) == (ah, hours, label)


def test_parts_without_an_id_get_one_from_their_name_and_may_be_named_instead():
    gauge = '[[gauges]]\nname = "dial"\nat = "panel"\nshared_circuits = ["Lamp (left)", "lamp-left-2"]\n'
    export = rigfile.read(HEAD + BANK + LAMP + LAMP + gauge).export
    assert [row["id"] for row in export["circuits"]] == ["lamp-left", "lamp-left-2"]
    assert set(export["gauges"][0]["shared_circuits"]) <= {"lamp-left", "lamp-left-2"}
    assert (export["banks"][0]["id"], export["gauges"][0]["id"]) == ("bank", "dial")


def test_times_without_an_offset_are_times_of_the_rigs_zone():
    trip = ('[[trips]]\nstarts_at = 2025-07-05T14:00:00\nends_at = "2025-12-05 9:30"\nlat = "40.4 N"\nlon = -109.3\n'
            '[[trips.stops]]\nfrom = 2025-07-06T08:00:00Z\nsun_window = [09:00:00, 15:00:00]\n')
    made = rigfile.read(HEAD + BANK + LAMP + trip).export["trips"][0]
    assert (made["starts_at"], made["ends_at"]) == ("2025-07-05T14:00-06:00", "2025-12-05T09:30-07:00")
    assert (made["stops"][0]["from"], made["stops"][0]["sun_window"]) == ("2025-07-06T08:00+00:00", ["09:00", "15:00"])
    assert (made["lat_deg"], made["lon_deg"]) == (40.4, -109.3)


def test_unknown_keys_are_kept_and_noted_and_ones_own_are_not_even_noted():
    read = rigfile.read("mood = 'fine'\n" + HEAD + BANK + LAMP + 'x_note = "left of the door"\nlumens = 300\n')
    assert read.export["mood"] == "fine" and read.export["circuits"][0]["lumens"] == 300
    assert read.export["circuits"][0]["x_note"] == "left of the door"
    assert [(note.line, note.field) for note in read.notes] == [(1, "mood"), (16, "circuits[0].lumens")]


def test_a_rig_without_circuits_is_taken_with_a_note():
    read = rigfile.read(HEAD + BANK)
    assert read.export["circuits"] == [] and read.faults == []
    assert rigfile.text_of(read.notes[0]).startswith("line 1: circuits: are missing, so the answer knows of no load")


def test_a_gauge_that_is_text_by_itself_needs_no_second_text():
    made = circuit('draw = "1 A"\nwire_awg = "2/0"\n')
    assert made["wire_awg"] == "2/0" and made["typed"] == {"draw_a": "1 A"}


# ---- faults

def test_every_fault_is_told_at_once_with_its_line():
    text = (HEAD.replace("12 V", "36 V") + BANK.replace('"agm"', '"zinc"')
            + LAMP.replace('"1 A"', '"6 m"') + 'wire = "4 mm"\nfuse = 5\n')
    assert told(text) == [(3, "rig.nominal"), (6, "banks[0].chemistry"), (12, "circuits[0].draw"),
    (14, "circuits[0].wire"),
                          (15, "circuits[0].fuse")]


@pytest.mark.parametrize("more, line, sentence", [
    ('fuze = "5 A"\n', 14, '"fuze" is not known; accepted is fuse; correct it, or begin its name with x_'),
    ('fuse = "5 AWG"\n', 14, '"5 AWG": the unit "AWG" is not known; accepted is a current such as "3.5 A"'),
    ('fuse = "5000 A"\n', 14, "5000 amps was given; accepted is more than 0 and up to 1000 amps; correct it"),
    ("fuse = true\n", 14, 'true was given; accepted is text such as "3.5 A"; write it so'),
    ('draw_w = 12\n', 12, 'both draw_a and draw_w were given for "Lamp (left)"'),
    ('draw_a = 12\n', 12, "draw_a is given twice; accepted is one of the two; remove one"),
    ('wire_awg = "10 mm2"\n', 14, '"10 mm2" is not what wire_awg holds; accepted is a gauge such as "8 AWG"'),
    ('typical = "3 A"\n', 14, '"3 A" is a current; accepted is a time such as "3 h"; correct it'),
    ("x_size = inf\n", 14, "inf was given; accepted are finite numbers; leave the line out if unknown"),
    ("x_size = 12345678901234567890\n", 14, "a number of 20 digits was given; accepted are up to 18; correct it"),
])
def test_a_fault_says_what_was_given_what_is_accepted_and_what_to_do(more, line, sentence):
    faults = rigfile.read(HEAD + BANK + LAMP + more).faults
    assert [fault.line for fault in faults] == [line]
    assert sentence in faults[0].message


@pytest.mark.parametrize("drop, line, sentence", [
    ('draw = "1 A"\n', 9, "no draw was given for \"Lamp (left)\"; accepted is one of draw_a (amps) and draw_w (watts)"),
    ('when = "evening"\n', 9, "is missing; accepted is always, thermostat, evening, night, day, any; add it"),
    ('rated = "100 Ah"\n', 5, 'is missing; accepted is a line such as rated = "100 Ah"; add it'),
    ('nominal = "12 V"\n', 1, 'is missing; accepted is a line such as nominal = "12 V"; add it'),
])
def test_what_is_missing_is_told_at_its_table(drop, line, sentence):
    faults = rigfile.read((HEAD + BANK + LAMP).replace(drop, "")).faults
    assert [fault.line for fault in faults] == [line]
    assert sentence in faults[0].message


@pytest.mark.parametrize("text, sentence", [
    (HEAD + BANK + LAMP.replace("[[circuits]]", "[circuits]"), "[circuits] stands for one thing; accepted is a list; "
     "write [[circuits]]"),
    (HEAD + BANK + LAMP.replace("[[circuits]]", "[[circuit]]"), '"circuit" is not known; accepted is circuits; '),
    (HEAD + LAMP, "is missing; accepted is at least one [[banks]]; add it"),
    (HEAD + BANK + LAMP + 'draw_from = "hearsay"\n', '"hearsay" was given; accepted are measured, label, guess'),
    (HEAD + BANK + LAMP.replace("1 A", "1 A at 120 V"), "is drawn behind the inverter; accepted is that with "
     "through_inverter = true"),
    (HEAD + BANK + LAMP.replace('"1 A"', '"12 Ah a day"'), "over how many hours?; accepted is that beside hours"),
    (HEAD + BANK + BANK + LAMP, "is in service while banks[0] is; accepted is one bank at a time"),
    ('format = "daybank-rig/2"\n' + HEAD + BANK + LAMP, '"daybank-rig/2" was given; accepted is daybank-rig/1'),
    (BANK + LAMP, "is missing; accepted is a table with name, nominal_v and timezone; add it"),
    ("rig = 5\n" + BANK + LAMP, "5 was given; accepted is a table with name, nominal_v and timezone"),
    (HEAD + BANK + LAMP + "= 5\n", "column 1 is not TOML (invalid statement); accepted is key = value"),
    (HEAD + BANK + LAMP + 'x = "open', "the end of the file is not TOML"),
    (HEAD + BANK + LAMP + "name = 'again'\n", "is not TOML (cannot overwrite a value)"),
    ("x = " + "[" * 3000, "nests too deeply"), ("# " + "x" * 1100000, "the file is larger than 1 MB"),
])
def test_a_file_that_is_no_rig_file_is_told_why(text, sentence):
    assert any(sentence in fault.message for fault in rigfile.read(text).faults)


@pytest.mark.parametrize("name", ["banks", "circuits", "gauges", "readings", "uses", "selector", "rig", "trips"])
@pytest.mark.parametrize("value", ["5", '"x"', "[1]", "[[]]", "{ positions = 5 }", "{ stops = 5 }", "[{ id = [] }]"])
def test_a_section_of_another_form_is_told_and_breaks_nothing(name, value):
    sections = {"rig": HEAD, "banks": BANK, "circuits": LAMP}
    text = f"{name} = {value}\n" + "".join(part for other, part in sections.items() if other != name)
    read = rigfile.read(text)
    assert read.export is None and read.faults[0].line == 1


def test_a_fault_is_printed_with_its_line():
    assert rigfile.text_of(rigfile.Fault(12, "rig.name", "is missing")) == "line 12: rig.name: is missing"
    assert rigfile.text_of(rigfile.Fault(1, "", "is empty")) == "line 1: is empty"


# ---- moments

@pytest.mark.parametrize("text, moment", [
    ("2025-07-08 20:10", "2025-07-08T20:10-06:00"), ("2025-01-08T9:10", "2025-01-08T09:10-07:00"),
    ("2025-07-08T20:10:30", "2025-07-08T20:10:30-06:00"), ("2025-07-08T20:10Z", "2025-07-08T20:10Z"),
    ("2025-07-08 20:10 +0200", "2025-07-08T20:10+0200"), ("2025-11-02 01:30", "2025-11-02T01:30-06:00"),
    ("2025-03-09 02:30", "2025-03-09T02:30-07:00"), ("yesterday", "yesterday"),
    ("2025-02-30 10:00", "2025-02-30 10:00"),
])
def test_a_moment_without_an_offset_gets_the_rigs(text, moment):
    assert typed_moments.with_offset(text, ZoneInfo("America/Denver")) == moment


def test_offsets_of_half_hours_and_west_of_greenwich_are_right():
    assert typed_moments.with_offset("2025-01-08 10:00", ZoneInfo("Asia/Kathmandu")).endswith("+05:45")
    assert typed_moments.with_offset("2025-01-08 10:00", ZoneInfo("America/St_Johns")).endswith("-03:30")
