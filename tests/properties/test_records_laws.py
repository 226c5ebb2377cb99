"""Laws of the door for files: whatever comes, it is an export or a refusal; order and noise change nothing."""
import copy
import json
from datetime import datetime, timedelta, timezone
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from daybank import local_days, records

DEMO = json.loads((Path(__file__).resolve().parents[2] / "pwa" / "demo" / "demo.json").read_text(encoding="utf-8"))
LISTS = [name for name, value in DEMO.items() if isinstance(value, list)]

anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=12), inner, max_size=4), max_leaves=12,
)


def places(value, path=()):
    """Every place in the export where something stands."""
    yield path
    if isinstance(value, dict):
        for key in sorted(value):
            yield from places(value[key], (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from places(item, (*path, index))


PLACES = [path for path in places(DEMO) if path]


def replaced(path, value):
    export = copy.deepcopy(DEMO)
    part = export
    for key in path[:-1]:
        part = part[key]
    part[path[-1]] = value
    return export


def outcome(text):
    """A question, or the refusal; anything else is a fault of ours."""
    try:
        return records.question_from_export(records.read_export(text))
    except records.Refusal as refusal:
        assert refusal.message and "\n" not in str(refusal)
        assert str(refusal).isprintable()
        return refusal


@given(st.binary(max_size=200))
def test_any_bytes_are_refused_in_one_sentence(data):
    assert isinstance(outcome(data), records.Refusal)


@given(anything)
def test_any_json_is_refused_in_one_sentence(value):
    assert isinstance(outcome(json.dumps(value)), records.Refusal)


@settings(max_examples=300)
@given(st.sampled_from(PLACES), anything)
def test_anything_in_any_place_is_read_or_refused(path, value):
    outcome(json.dumps(replaced(path, value)))


@given(st.sampled_from(PLACES))
def test_null_anywhere_is_read_or_refused(path):
    outcome(json.dumps(replaced(path, None)))


@given(st.sampled_from(LISTS), st.randoms(use_true_random=False))
def test_the_order_of_records_changes_only_the_order_of_records(name, draw):
    export = copy.deepcopy(DEMO)
    draw.shuffle(export[name])
    one, two = outcome(json.dumps(DEMO)), outcome(json.dumps(export))
    by_id = {key: sorted(q, key=lambda row: row["id"]) for key, q in two.items() if key in LISTS}
    assert by_id == {key: sorted(q, key=lambda row: row["id"]) for key, q in one.items() if key in LISTS}
    assert one["days"] == two["days"]


@given(st.dictionaries(st.text(min_size=1, max_size=10).map(lambda key: "x_" + key), anything, max_size=3))
def test_unknown_fields_come_out_as_they_went_in(extra):
    text = json.dumps({**DEMO, **extra})
    given_back = outcome(text)
    if not isinstance(given_back, records.Refusal):  # NaN and half characters are refused
        assert {key: given_back[key] for key in extra} == {key: json.loads(text)[key] for key in extra}


@given(
    st.integers(0, 4_000_000_000), st.integers(-14 * 60, 14 * 60),
)
def test_a_moment_written_with_any_offset_is_the_same_second(epoch_s, offset_min):
    at = datetime.fromtimestamp(epoch_s, timezone(timedelta(minutes=offset_min)))
    assert local_days.seconds(at.isoformat()) == epoch_s


@given(
    st.integers(100_000_000, 4_000_000_000),
    st.sampled_from(["America/Denver", "Europe/Amsterdam", "Africa/Cairo", "America/Havana", "Asia/Beirut",
                     "Asia/Kathmandu",
                     "Australia/Lord_Howe", "Pacific/Auckland", "UTC"]),
)
def test_every_moment_lies_in_the_day_that_the_table_gives_it(epoch_s, name):
    tz = local_days.zone(name)
    day = local_days.day_of(epoch_s, tz)
    starts = local_days.midnight(day, tz)
    ends = local_days.midnight(day + timedelta(days=1), tz)
    assert starts <= epoch_s < ends
    assert local_days.day_of(starts, tz) == day
