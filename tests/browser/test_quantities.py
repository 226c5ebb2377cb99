"""quantities.js on the phone reads what units.py reads through pint, and refuses what it refuses."""
import json

import pytest

from daybank import unit_tables, units

CURRENTS = ["3.5 A", "3,5 A", "45 W", "0.6 A at 24 V", "90 mA", "12 Ah a day", "150 Wh/day", "1 A at 120 V", "4A @ 13.8 V",
            "1.2 kW", "500 mAh per day", "3.5", "", "A", "12 Ah", "5 V", "1,500 A", "4 A at 0 V", "1e400 A", "−2 A", "5 MA"]
RATED = ["100 Ah", "95 Ah at 100 h", "1280 Wh at 12.8 V", "160 min reserve", "RC 160", "RC: 120 min", "800 CCA", "1280 Wh",
         "100", "2 h reserve", "0 min reserve", "100 Ah at 20 h rate", "100 amp hours", "100000 mAh", "1280 Wh at 0 V"]
WIRES = ["8 AWG", "AWG 10", "1/0", "2/0 AWG", "000", "10 mm2", "2.5 mm²", "8 SAE", "4 mm", "4", "8 gauge", "26 AWG", "#12 awg",
         "6 m", "", "1.5 sqmm", "0 AWG", "20 SAE"]
LENGTHS = ["6 m", "20 ft", "6 ft 4 in", "6' 4\"", "80 cm", "19 in", "6 mm", "6", "20 F", "-3 m", "3 fathoms", "1 5 m"]
TEMPERATURES = ["25 C", "77 F", "77°F", "-4 degC", "25", "25 m"]
HOURS = ["3 h a day", "20 min", "0.5 h/day", "90 minutes daily", "2 days", "3"]


@pytest.fixture(scope="module")
def phone(call):
    tables = json.loads(unit_tables.baked())
    read = """a[1].map((text) => { try { return { value: m[a[2]](a[0], text, ...a[3]) }; }
        catch (fault) { return { refused: fault instanceof m.Fault ? fault.code : 'broken: ' + fault }; } })"""
    return lambda texts, door, *more: call("quantities", read, tables, texts, door, list(more))


def here(texts, door):
    found = []
    for text in texts:
        try:
            found.append(door(text))
        except ValueError:
            found.append(None)
    return found


def close(one, other):
    if isinstance(other, dict):
        return isinstance(one, dict) and one.keys() == other.keys() and all(close(one[key], other[key]) for key in other)
    return one == other if isinstance(other, str) else one == pytest.approx(other, rel=1e-12)


def agree(there, here, form=lambda value: value):
    for one, other in zip(there, here, strict=True):
        if other is None:
            assert one.get("refused", "").startswith("setup.fault."), one
        else:
            assert close(one.get("value"), form(other)), (one, other)


@pytest.mark.parametrize("nominal_v", [12, 24])
def test_draws_are_read_alike_in_both_halves(phone, nominal_v):
    agree(phone(CURRENTS, "draw", nominal_v), here(CURRENTS, lambda text: units.draw(text, nominal_v=nominal_v)),
          lambda found: {"field": found.field, "value": found.value})


@pytest.mark.parametrize("chemistry", ["agm", "flooded", "gel", "lifepo4"])
def test_labels_of_batteries_are_read_alike_in_both_halves(phone, chemistry):
    agree(phone(RATED, "rated", chemistry), here(RATED, lambda text: units.rated(text, chemistry=chemistry)),
          lambda found: {"ah": found.ah, "hours": found.hours})


def test_wires_are_read_alike_in_both_halves(phone):
    agree(phone(WIRES, "wire"), here(WIRES, units.wire), lambda found: {"field": found.field, "value": found.value})


@pytest.mark.parametrize("kind, texts", [("length", LENGTHS), ("temperature", TEMPERATURES)])
def test_lengths_and_temperatures_are_read_alike_in_both_halves(phone, kind, texts):
    agree(phone(texts, "ofKind", kind), here(texts, lambda text: units.of_kind(text, kind)))


def test_hours_are_read_alike_in_both_halves(phone):
    agree(phone(HOURS, "hoursADay"), here(HOURS, units.hours_a_day))


def test_every_spelling_of_every_unit_is_read_with_pints_factor(phone):
    for kind, about in units.KINDS.items():
        texts = [f"2.5 {spelling}" for spelling in about.spellings]
        agree(phone(texts, "ofKind", kind), [units.of_kind(text, kind) for text in texts])


def test_mains_volts_are_taken_for_something_behind_the_inverter(phone):
    texts = ["1 A at 120 V", "1 A at 12 V", "45 W", "1 A at x"]
    assert [found["value"] for found in phone(texts, "behindInverter")] == [units.behind_inverter(text) for text in texts]


def test_a_latitude_may_carry_its_letter(call):
    assert call("quantities", "a[0].map(m.degreesOfPlace)", ["40.4", "40,4 N", "109.3 W", "-12", "33.9° s"]) == [
        40.4, 40.4, -109.3, -12, -33.9]
