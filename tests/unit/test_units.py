"""units.py and unit_tables.py: what a person types, what it becomes, what is refused and in which words."""
import json
import re

import pint
import pytest

from daybank import unit_tables, units
from daybank.energy import capacity, constants

# draws

@pytest.mark.parametrize("text, field, value", [
    ("3.5 A", "draw_a", 3.5), ("3,5 A", "draw_a", 3.5), ("350 mA", "draw_a", 0.35), ("4amps", "draw_a", 4.0),
    ("45 W", "draw_w", 45.0), ("1.2 kW", "draw_w", 1200.0), ("0.6 A at 24 V", "draw_w", 14.4),
    ("3.5 A at 12.8 V", "draw_a", 3.5), ("1 A at 120 V", "draw_w", 120.0), ("45 W at 12 V", "draw_w", 45.0),
    ("12 Ah a day", "ah_per_day", 12.0), ("12 Ah/day", "ah_per_day", 12.0),
    ("12 amp-hours per day", "ah_per_day", 12.0),
    ("150 Wh a day", "ah_per_day", 12.5),
])
def test_a_draw_is_amps_watts_or_amp_hours_a_day(text, field, value):
    assert units.draw(text) == (field, pytest.approx(value, rel=1e-12))


def test_amps_at_the_rigs_own_volts_are_amps_and_at_others_are_watts():
    assert units.draw("0.6 A at 24 V", nominal_v=24.0) == ("draw_a", 0.6)
    assert units.draw("2 A at 12 V", nominal_v=24.0) == ("draw_w", 24.0)


def test_watt_hours_a_day_become_amp_hours_at_the_rigs_volts():
    assert units.draw("240 Wh a day", nominal_v=24.0) == ("ah_per_day", 10.0)


@pytest.mark.parametrize("text, sentence", [
    ("6 m", '"6 m" is a length; accepted is a current such as "3.5 A" or a power such as "45 W"; correct it'),
    ("45", '"45" has no unit; accepted is a current such as "3.5 A" or a power such as "45 W"; add the unit'),
    ("12 Ah", '"12 Ah" does not say over what time; accepted is "12 Ah a day", or a current such as "3.5 A"; add "a '
              'day"'),
    ("5 MW", 'the unit "MW" is not known'), ("5 flurbs", 'the unit "flurbs" is not known'),
    ("1,500 W", '"1,500" can be read in two ways; accepted is 1500 or 1.500; write one of them'),
    ("a lot", '"a lot" was given; accepted is a current'), ("", '"" was given; accepted is a current'),
    ("3.5 A at 0 V", "0 V was given; accepted is a voltage above 0"),
    ("3.5 A at 3 m", '"3 m" is a length; accepted is a voltage'),
    ("45 W at 3 m", '"3 m" is a length'), ("1e999 A", "is too large; accepted are finite numbers"),
    ("__import__('os') A", "was given; accepted is a current"),
])
def test_a_draw_that_is_none_is_refused_in_words(text, sentence):
    with pytest.raises(ValueError, match=re.escape(sentence)):
        units.draw(text)


def test_a_draw_at_mains_volts_is_known_to_stand_behind_the_inverter():
    assert units.behind_inverter("1 A at 230 V") and not units.behind_inverter("1 A at 24 V")
    assert not units.behind_inverter("45 W") and not units.behind_inverter("1 A at home")


# wires

@pytest.mark.parametrize("text, wire", [
    ("8 AWG", ("wire_awg", 8)), ("awg 8", ("wire_awg", 8)), ("#8 AWG", ("wire_awg", 8)), ("1/0", ("wire_awg", "1/0")),
    ("2/0 AWG", ("wire_awg", "2/0")), ("000", ("wire_awg", "3/0")), ("0 AWG", ("wire_awg", "1/0")),
    ("10 mm2", ("wire_mm2", 10.0)), ("2,5 mm²", ("wire_mm2", 2.5)), ("4 sq mm", ("wire_mm2", 4.0)),
])
def test_a_wire_is_a_gauge_or_a_copper_area(text, wire):
    assert units.wire(text) == wire


def test_an_sae_gauge_becomes_its_copper_area_since_it_holds_less_than_awg():
    assert units.wire("10 SAE") == ("wire_mm2", pytest.approx(9343 * 5.067075e-4, rel=1e-6))  # circular mils


@pytest.mark.parametrize("text, sentence", [
    ("4 mm", '"4 mm" may be a diameter, with or without insulation; accepted is a gauge such as "8 AWG" or a copper '
             'area such as "10 mm2"; give the copper area or the gauge printed on the wire'),
    ("8", '"8" may be a gauge or an area'), ("8 gauge", "may be AWG or SAE"),
    ("30 AWG", "is thinner than any wire here"),
    ("6 m", '"6 m" is no size of a wire; accepted is a gauge such as'), ("thick", '"thick" is no size of a wire'),
    ("9 SAE", "is not in the table"),
])
def test_a_wire_that_says_too_little_is_asked_about(text, sentence):
    with pytest.raises(ValueError, match=re.escape(sentence)):
        units.wire(text)


# batteries

def test_plain_amp_hours_are_taken_as_the_20_hour_rating():
    assert units.rated("100 Ah", chemistry="agm") == (100.0, 20.0)
    assert units.rated("95 Ah at 20 h rate", chemistry="agm") == (95.0, 20.0)


def test_the_hours_of_a_rating_stay_beside_it_for_the_model():
    assert units.rated("95 Ah at 100 h", chemistry="agm") == (95.0, 100.0)
    assert units.rated("100 Ah at 600 min", chemistry="agm") == (100.0, 10.0)


@pytest.mark.parametrize("text", ["160 min reserve", "RC 160 min", "160 minutes reserve capacity", "RC: 160"])
def test_reserve_minutes_are_read_as_labels_print_them(text):
    assert units.rated(text, chemistry="agm").ah == pytest.approx(82.7, abs=0.05)


@pytest.mark.parametrize("chemistry", constants.CHEMISTRIES)
@pytest.mark.parametrize("minutes", [40, 120, 300])
def test_a_battery_so_rated_gives_25_a_for_its_reserve_minutes_in_the_model(chemistry, minutes):
    ah = units.ah_of_reserve(minutes / 60, chemistry)
    runtime_h = capacity.peukert_runtime_h(rated_ah=ah, rated_h=20.0, current_a=25.0,
                                           exponent=constants.PEUKERT[chemistry])
    assert runtime_h == pytest.approx(minutes / 60, rel=1e-12)


def test_watt_hours_need_the_volts_beside_them():
    assert units.rated("1280 Wh at 12.8 V", chemistry="lifepo4").ah == pytest.approx(100.0)
    with pytest.raises(ValueError, match="is an energy; accepted is amp-hours, or the volts beside it"):
        units.rated("1280 Wh", chemistry="lifepo4")


@pytest.mark.parametrize("text, sentence", [
    ("800 CCA", "says how the battery starts an engine, not what it holds"),
    ("100 A", '"100 A" is a current; accepted is a charge such as "100 Ah"'),
    ("95 Ah at 12 V", '"12 V" is a voltage; accepted is a time'),
    ("RC 0 min", "A reserve of 0 min was given"),
    ("RC many", '"many" was given; accepted is a time'), ("12 Wh at 0 V", "accepted is a voltage above 0"),
])
def test_a_label_that_gives_no_amp_hours_is_refused(text, sentence):
    with pytest.raises(ValueError, match=re.escape(sentence)):
        units.rated(text, chemistry="agm")


def test_a_chemistry_that_is_not_known_is_refused():
    with pytest.raises(ValueError, match='The chemistry "zinc" is not known; accepted are agm, flooded, gel, lifepo4'):
        units.rated("RC 100", chemistry="zinc")


# the others

@pytest.mark.parametrize("kind, text, value", [
    ("length", "6 m", 6.0), ("length", "20 ft", 6.096), ("length", "20'", 6.096), ("length", "6 ft 4 in", 1.9304),
    ("length", "6'4\"", 1.9304), ("length", "250 cm", 2.5), ("temperature", "77 F", 25.0),
    ("temperature", "-40 °F", -40.0),
    ("temperature", "\u22125 °C", -5.0), ("voltage", "12.6 V", 12.6), ("angle", "30 deg", 30.0),
    ("share", "35 %", 0.35),
    ("time", "90 min", 1.5), ("energy", "1.28 kWh", 1280.0), ("charge", "2000 mAh", 2.0),
])
def test_quantities_come_out_in_the_cores_units(kind, text, value):
    assert units.of_kind(text, kind) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize("text", ["3 h a day", "3 h", "180 min per day", "3h/d", "3 hours daily"])
def test_hours_of_a_day(text):
    assert units.hours_a_day(text) == pytest.approx(3.0)


def test_letters_may_be_of_any_case_where_no_unit_hides_behind_the_other():
    assert units.of_kind("100 AH", "charge") == units.of_kind("100 ah", "charge") == 100.0
    with pytest.raises(ValueError, match='the unit "MA" is not known'):
        units.of_kind("5 MA", "current")


@pytest.mark.parametrize("value", [3.5, None, ["3 A"], True])
def test_what_is_no_text_is_refused(value):
    with pytest.raises(ValueError, match='accepted is text such as "3.5 A"; put it in quotes'):
        units.draw(value)


# what the phone is given

def test_the_phones_factors_are_those_of_pint():
    quantity = pint.UnitRegistry().Quantity
    table = json.loads(unit_tables.baked())
    tried = 0
    for kind, about in table["kinds"].items():
        base = units.BASE.get(units.KINDS[kind].base, units.KINDS[kind].base)
        for spelling, (factor, offset) in about["units"].items():
            unit = units.KINDS[kind].spellings[spelling]
            expected = quantity(37.5, units.BASE.get(unit, unit)).to(base).magnitude
            assert 37.5 * factor + offset == pytest.approx(expected, rel=1e-12), spelling
            tried += 1
    assert tried >= 70


def test_the_phones_preferences_turn_back_into_what_was_typed():
    shown = json.loads(unit_tables.baked())["shown"]
    factor, offset, symbol, _ = shown["fahrenheit"]
    assert ((25.0 - offset) / factor, symbol) == (pytest.approx(77.0), "°F")
    factor, offset, symbol, _ = shown["feet"]
    assert ((6.096 - offset) / factor, symbol) == (pytest.approx(20.0), "ft")


def test_the_phones_wires_and_ratings_are_those_of_the_server():
    table = json.loads(unit_tables.baked())
    assert table["wires"]["awg"]["10"] == pytest.approx(5.261, abs=0.001)  # ASTM B258
    assert set(table["wires"]["awg"]) >= {"24", "18", "1/0", "4/0"}
    agm = table["ratings"]["agm"]
    ah = agm["reserve_a"] * 20.0 * (160.0 / 1200.0) ** (1.0 / agm["reserve_exponent"])
    assert ah == pytest.approx(units.rated("RC 160", chemistry="agm").ah, abs=0.051)


def test_the_tables_are_the_same_bytes_each_time():
    assert unit_tables.baked() == unit_tables.baked()
    assert json.loads(unit_tables.baked())["format"] == "daybank-units/1"
