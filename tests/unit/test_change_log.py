"""change_log.py: identifiers, clocks, an export as rows and back, and which changes have a good form."""
import itertools
import json
import re
import uuid
from pathlib import Path

import pytest

from daybank import change_log, records
from daybank.change_log import Held, Row

DEMO = Path(__file__).resolve().parents[2] / "pwa" / "demo" / "demo.json"
OP = {"id": "0", "dev": "d", "sv": 1, "hlc": "1752000000000-0000", "tbl": "reading", "row": "r", "set": {"volts": 12.6}}


def test_an_identifier_is_a_uuid_of_version_7_that_holds_its_time():
    made = uuid.UUID(change_log.uuid7(1752000000000, bytes(range(10))))
    assert (made.version, made.variant, made.int >> 80) == (7, uuid.RFC_4122, 1752000000000)


def test_the_clock_follows_the_time_and_never_goes_back():
    assert change_log.tick(change_log.ZERO, 5) == "0000000000005-0000"
    assert change_log.tick("0000000000005-0000", 5) == "0000000000005-0001"
    assert change_log.tick("0000000000005-0001", 3) == "0000000000005-0002"
    assert change_log.tick("0000000000005-ffff", 3) == "0000000000006-0000"


def test_a_difference_sets_what_differs_and_clears_what_is_gone():
    before, after = {"a": 1, "b": 2, "c": None, "deleted": False}, {"a": 1.0, "d": [1]}
    assert change_log.difference(before, after) == {"d": [1], "b": None}


@pytest.mark.parametrize("first, second, equal", [
    (12, 12.0, True), (1, True, False), (0, False, False), ({"a": [1]}, {"a": [1.0]}, True),
    ({"a": 1}, {"b": 1}, False),
    ([1], [1, 2], False), (None, 0, False), ({"a": True}, {"a": 1}, False),
])
def test_equal_means_equal_as_json_has_it(first, second, equal):
    assert change_log.same(first, second) is equal


def test_the_demo_taken_apart_and_put_together_is_the_demo():
    demo = records.read_export(DEMO)
    clocks = (f"{n:013d}-0000" for n in itertools.count())
    held = [Held(*row, next(clocks)) for row in change_log.rows_of_export(demo, "lark", lambda: "none")]
    again = change_log.export_of_rows(held)
    expected = {**demo, "rig": {"id": "lark", **demo["rig"]}}
    del expected["asked_at"]
    assert json.dumps(again, sort_keys=True) == json.dumps(expected, sort_keys=True)


def test_records_without_an_id_get_one_each():
    ids = iter(["new-1", "new-2"])
    export = {"format": "daybank-export/1", "rig": {"name": "x"}, "readings": [{"volts": 1}, {"volts": 2}]}
    rows = change_log.rows_of_export(export, "r", lambda: next(ids))
    assert [row.row for row in rows] == ["r", "new-1", "new-2"]


def test_what_a_later_version_wrote_goes_out_as_it_came_in():
    export = {"format": "daybank-export/1", "rig": {"name": "x"}, "tanks": [{"litres": 80}], "truth": 1,
              "asked_at": "now"}
    rows = change_log.rows_of_export(export, "r", None)
    assert rows[1:] == [Row("other", "tanks", {"value": [{"litres": 80}]})]
    assert change_log.export_of_rows([Held(*row, "0") for row in rows])["tanks"] == [{"litres": 80}]


def test_a_deleted_record_stays_out_of_the_export():
    held = [Held("rig", "r", {"name": "x"}, "0"), Held("reading", "a", {"volts": 1, "deleted": True}, "1"),
            Held("reading", "b", {"volts": 2, "deleted": False, "note": None}, "2")]
    assert change_log.export_of_rows(held)["readings"] == [{"id": "b", "volts": 2}]


def test_a_good_change_has_no_fault():
    assert change_log.op_fault(OP) is None


@pytest.mark.parametrize("part, sentence", [
    ({"id": 7}, "id is no text of 1 to 200"), ({"row": ""}, "row is no text"), ({"dev": "x" * 201}, "dev is no text"),
    ({"hlc": "yesterday"}, "hlc is not 13 digits"), ({"hlc": "١٧٥٢٠٠٠٠٠٠٠٠٠-0000"}, "hlc is not 13 digits"),
    ({"sv": True}, "sv is no whole number"), ({"sv": 0}, "sv is no whole number"), ({"set": []}, "set is no object"),
    ({"set": {"volts": float("nan")}}, "can't keep exactly"), ({"set": {"volts": float("inf")}}, "can't keep exactly"),
    ({"set": {"n": 2**53}}, "can't keep exactly"), ({"set": {"x": [[[[[[[[[1]]]]]]]]]}}, "nests deeper than 8"),
    ({"set": {"note": "x" * 9000}}, "accepted are up to 8192"), ({"set": {"note": "\ud800"}}, "holds half a character"),
    ({"set": {"x": b"bytes"}}, "can't keep exactly"),
])
def test_a_change_of_bad_form_is_told_what_is_wrong(part, sentence):
    assert sentence in change_log.op_fault({**OP, **part})


def test_what_is_no_change_at_all_is_told_so():
    assert re.match("a change is an object", change_log.op_fault(["no"]))
