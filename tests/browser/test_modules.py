"""The pure modules of the phone, each called in the browser that runs them."""

import json
import re
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from conftest import ROOT
from daybank import local_days
from daybank.records import question_from_export, read_export

# ---- question.js beside its twin on the computer

STORIES = sorted((ROOT / "tests" / "trial" / "cases").glob("*.json"))


def both(call, exported, asked_at=None):
    here = call("question", "m.questionFromExport(a[0], a[1] ?? undefined)", exported, asked_at)
    return here, json.loads(json.dumps(question_from_export(exported, asked_at)))


def test_phone_and_computer_make_the_same_question_of_every_story(call):
    assert len(STORIES) > 100
    for story in STORIES:
        here, there = both(call, read_export(story.read_text()))
        assert here == there, story.name


def test_phone_and_computer_make_the_same_question_of_the_demo(call):
    here, there = both(call, read_export((ROOT / "pwa" / "demo" / "demo.json").read_text()))
    assert here == there
    assert here["days"][-1][0] == "2025-08-10"


def test_a_long_log_reaches_back_400_days_and_no_further(call):
    exported = read_export(STORIES[0].read_text())
    exported["readings"][0]["at"] = "2020-01-01T08:00+02:00"
    here, there = both(call, exported)
    assert here == there
    assert here["days"][0][0] == "2024-04-28"


ZONES = ["America/Denver", "Europe/Amsterdam", "Australia/Lord_Howe", "Africa/Cairo", "America/Sao_Paulo",
         "Asia/Beirut", "Pacific/Apia", "Asia/Kathmandu", "Africa/Casablanca", "America/Havana", "UTC"]


def test_every_midnight_of_difficult_zones_is_the_computers(call):
    """Clocks that jump at midnight, by half an hour, or over a whole day. Up to 2024, since for later years the
    browser's table of zones and Python's may be of different editions; the sums are the same."""
    days = [(date(2010, 1, 1) + timedelta(days=n)).isoformat() for n in range(15 * 365)]
    for zone in ZONES:
        here = call("clock", "a[0].map((day) => m.dayStartS(day, a[1]))", days, zone)
        tz = ZoneInfo(zone)
        there = [local_days.midnight(date.fromisoformat(day), tz) for day in days]
        assert [(day, one, two) for day, one, two in zip(days, here, there) if one != two] == [], zone


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(1_200_000_000, 1_900_000_000), zone=st.sampled_from(ZONES))
def test_a_moment_written_out_with_its_offset_reads_back_as_itself(call, at, zone):
    text = call("clock", "m.iso(a[0], a[1])", at, zone)
    assert local_days.seconds(text) == at
    assert call("clock", "m.epochS(a[0])", text) == at


# ---- figures

@pytest.mark.parametrize("typed, value", [("12.6", 12.6), ("12,6", 12.6), (" 12,60 V", 12.6), ("12", 12), (".5", 0.5),
                                          ("-0,2", -0.2)])
def test_a_number_is_read_with_comma_or_point(call, typed, value):
    assert call("numbers", "m.parseDecimal(a[0])", typed) == value


@pytest.mark.parametrize("typed", ["", " ", ".", "twelve", "12.4.5", "12,4,5", "1 2", "NaN", "Infinity", "1e3"])
def test_what_is_not_one_number_is_not_guessed_at(call, typed):
    assert call("numbers", "Number.isNaN(m.parseDecimal(a[0]))", typed)


@pytest.mark.parametrize("volts, nominal, meant", [(126, 12, 12.6), (1264, 12, 12.64), (1.26, 12, 12.6),
                                                   (252, 24, 25.2), (500, 12, None), (60, 12, None)])
def test_an_implausible_voltage_suggests_the_same_digits_with_the_point_elsewhere(call, volts, nominal, meant):
    assert call("numbers", "m.meantVolts(a[0], a[1])", volts, nominal) == meant


@pytest.mark.parametrize("days, unit, count", [(0.01, "moment", 0), (0.25, "hours", 6), (0.97, "hours", 23),
                                               (0.99, "days", 1), (3.4, "days", 3.5), (9.8, "days", 10),
                                               (12.2, "days", 12)])
def test_days_are_rounded_to_what_the_range_deserves(call, days, unit, count):
    assert call("numbers", "m.roundDays(a[0])", days) == {"unit": unit, "count": count}


WORDS = json.loads((ROOT / "pwa" / "words" / "en.json").read_text())
SAY = "m.makeWords(a[0], { locale: 'en-GB', zone: () => 'America/Denver' }).say"


def test_a_sentence_is_filled_in_the_rigs_own_time_zone(call):
    at = local_days.seconds("2025-07-10T23:30-06:00")
    assert call("words", f"{SAY}('tonight.until', {{ at: a[1] }})", WORDS, at) == "until Thursday night"
    assert call("words", f"{SAY}('tonight.until', {{ at: a[1] }})", WORDS, at + 4 * 3600) == "until Thursday night"
    assert call("words", f"{SAY}('tonight.until', {{ at: a[1] }})", WORDS, at + 7 * 3600) == "until Friday morning"


def test_a_code_without_a_sentence_is_shown_as_it_is(call):
    assert call("words", f"{SAY}('unheard_of', {{}})", WORDS) == "unheard_of"


@pytest.mark.parametrize("low, high, text", [
    (2.4, 4.9, "between 2½ and 5 days"), (0.5, 1.6, "between 12 hours and 1½ days"),
    (3.1, 14, "from 3 days to more than 14 days"), (14, 14, "more than 14 days"), (3.0, 3.1, "close to 3 days"),
])
def test_a_range_is_said_with_its_unit_once(blank, server, low, high, text):
    words, spans = server.address("js/words.js"), server.address("js/parts/spans.js")
    said = blank.evaluate("""async ([words, spans, table, low, high]) => {
        const { say } = (await import(words)).makeWords(table, { locale: 'en-GB', zone: () => 'UTC' });
        return (await import(spans)).span(say, { p10: low, p90: high }, 14, 'en-GB');
    }""", [words, spans, WORDS, low, high])
    assert said == text


# ---- changes

def test_an_identifier_holds_its_time_and_marks_version_and_variant(call):
    made = call("uuid7", "m.uuid7(a[0], new Uint8Array(10).fill(255))", 0x0123456789AB)
    assert made == "01234567-89ab-7fff-bfff-ffffffffffff"


def test_the_clock_never_goes_back_and_counts_within_one_millisecond(call):
    assert call("hlc", "m.tick('0000000001000-0000', 1001)") == "0000000001001-0000"
    assert call("hlc", "m.tick('0000000001000-0000', 1000)") == "0000000001000-0001"
    assert call("hlc", "m.tick('0000000001000-00ff', 5)") == "0000000001000-0100"
    assert call("hlc", "m.tick('0000000001000-ffff', 1000)") == "0000000001001-0000"


def op(ident, hlc, **fields):
    return {"id": ident, "dev": "d", "sv": 1, "hlc": f"{hlc:013d}-0000", "tbl": "reading", "row": "r", "set": fields}


OP = st.builds(lambda ident, hlc, field, value: op(f"{ident:04d}", hlc, **{field: value}), st.integers(0, 9999),
               st.integers(0, 3), st.sampled_from(["volts", "note", "deleted"]), st.integers(0, 5))
OPS = st.lists(OP, min_size=1, max_size=12, unique_by=lambda change: change["id"])


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ops=OPS, data=st.data())
def test_changes_give_one_row_in_any_order_and_however_often_they_arrive(call, ops, data):
    other = data.draw(st.permutations(ops)) + data.draw(st.lists(st.sampled_from(ops), max_size=4))
    folded = "a.map((list) => list.reduce((row, op) => m.fold(row, op), undefined))"
    one, two = call("merge", folded, ops, other)
    assert one == two
    for field, value in one["fields"].items():
        winner = max((change["hlc"], change["id"], change["set"][field]) for change in ops if field in change["set"])
        assert winner[2] == value


def test_an_edit_is_only_the_fields_that_differ_and_an_emptied_one_is_null(call):
    before, after = {"volts": 12.3, "note": "windy", "on": ["fridge"]}, {"volts": 12.5, "on": ["fridge"]}
    assert call("merge", "m.difference(a[0], a[1])", before, after) == {"volts": 12.5, "note": None}


# ---- the state of a reading

AROUND = {"fridgeId": "fridge", "otherIds": ["lights", "pump"], "hasSolar": True, "sun": "down", "sunSetS": 0,
          "chargingNow": False, "lastChargeEndS": None}


def state(call, taps, at_s=7200, **changes):
    return call("reading-state", "m.readingState(a[0], a[1], a[2])", {"fridge": None, "others": None} | taps,
                AROUND | changes, at_s)


@pytest.mark.parametrize("taps, changes, expected", [
    ({"fridge": "humming", "others": "nothing"}, {}, "loaded"),
    ({"fridge": "silent", "others": ["pump"]}, {}, "loaded"),
    ({"fridge": "silent", "others": "nothing"}, {}, "rested"),
    ({"fridge": "unknown", "others": "nothing"}, {}, "unknown"),
    ({"fridge": "silent", "others": "unknown"}, {}, "unknown"),
    ({}, {}, "unknown"),
    ({"fridge": "silent", "others": "nothing"}, {"sun": "up"}, "charging"),
    ({"fridge": "humming", "others": "nothing"}, {"sun": "up"}, "charging"),
    ({"fridge": "humming", "others": "nothing"}, {"sun": "up", "tooLow": True}, "loaded"),
    ({"fridge": "silent", "others": "nothing"}, {"sun": "up", "tooLow": True}, "charging"),
    ({"fridge": "silent", "others": "nothing"}, {"sun": "up", "hasSolar": False}, "rested"),
    ({"fridge": "humming", "others": "nothing"}, {"chargingNow": True}, "charging"),
    ({"others": "nothing"}, {"fridgeId": None}, "rested"),
    ({"fridge": "silent", "others": "nothing"}, {"sun": "unknown"}, "unknown"),
])
def test_two_taps_the_sun_and_the_last_charge_make_the_state(call, taps, changes, expected):
    assert state(call, taps, **changes)["state"] == expected


def test_what_is_tapped_is_on_and_the_rest_is_off(call):
    found = state(call, {"fridge": "humming", "others": ["pump"]})
    assert (sorted(found["on"]), found["off"]) == (["fridge", "pump"], ["lights"])


def test_a_battery_without_a_fridge_rests_since_the_sun_went_down(call):
    assert state(call, {"others": "nothing"}, fridgeId=None)["rested_h"] == 2
    assert state(call, {"others": "nothing"}, fridgeId=None, lastChargeEndS=3600)["rested_h"] == 1


def test_a_silent_fridge_leaves_the_battery_but_a_short_rest(call):
    assert state(call, {"fridge": "silent", "others": "nothing"})["rested_h"] == 0.3


# ---- markup

def test_markup_in_a_persons_own_words_stays_text(call):
    said = call("html", "String(m.html`<p title=\"${a[0]}\">${a[0]}</p>`)", "<img src=x onerror=alert(1)>\"'&")
    assert "<img" not in said and re.fullmatch(r'<p title="[^"<>]*">[^<>]*</p>', said)
