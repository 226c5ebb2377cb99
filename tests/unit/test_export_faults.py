"""export_faults.py: all faults of an export at once, in the words of export_form."""
import copy
import json

import pytest

from daybank import records
from daybank.export_faults import all_faults, later_than, path_of, row_faults
from properties.rigs import CAMP, camp, moment


def fields_of(export):
    return [fault.field for fault in all_faults(copy.deepcopy(export))]


def test_a_good_export_has_no_faults_and_stays_as_it_is():
    export = camp()
    before = copy.deepcopy(export)
    assert all_faults(export) == [] and export == before


def test_every_fault_is_told_at_once():
    export = camp(banks=[{"id": "b", "chemistry": "zinc", "floor_soc": 2}],
                  readings=[{"at": moment(11, 8), "volts": 126, "state": "rested"},
                            {"at": "noon", "volts": 12.5, "state": "fine", "gauge_id": "gone"}])
    export["rig"]["nominal_v"] = 36
    export["circuits"][0]["draw_w"] = 40
    export["trips"][0]["ends_at"] = "2025-06-01T12:00-06:00"
    assert fields_of(export) == [
        "rig.nominal_v", "banks[0].rated_ah", "banks[0].chemistry", "banks[0].floor_soc", "circuits[0].draw_a",
        "trips[0].ends_at", "readings[0].volts", "readings[1].at", "readings[1].state", "readings[1].gauge_id"]


def test_the_sentences_are_those_of_the_strict_reader():
    export = camp(readings=[{"at": moment(11, 8), "volts": 126, "state": "rested"}])
    with pytest.raises(records.Refusal) as refused:
        records.read_export(json.dumps(export))
    assert [(f.field, f.message) for f in all_faults(export)] == [(refused.value.field, refused.value.message)]


@pytest.mark.parametrize("part, field", [
    ({"rig": []}, "rig"), ({"circuits": "none"}, "circuits"), ({"circuits": None}, "circuits"),
    ({"banks": []}, "banks"),
    ({"selector": []}, "selector"), ({"banks": [CAMP["banks"][0], CAMP["banks"][0]]}, "banks[1].id"),
    ({"banks": [CAMP["banks"][0], {**CAMP["banks"][0], "id": "b2"}]}, "banks[1]"),
    ({"positions": [{"at": moment(11, 8), "position": "up"}]}, "positions[0].position"),
    ({"uses": [{"day": "2025-06-11", "circuit_id": "gone", "hours": 1}]}, "uses[0].circuit_id"),
    ({"uses": [{"day": "2025-06-11"}]}, "uses[0]"),
    ({"readings": [{"at": moment(12, 23), "volts": 12.5, "state": "rested"}]}, "readings[0].at"),
    ({"selector": {"positions": [{"name": "off"}]}}, "selector.positions[0].feeds"),
    ({"rig": {**CAMP["rig"], "lat_deg": 40}}, "rig.lon_deg"),
    ({"events": [{"kind": "flat"}]}, "events[0].at"),
])
def test_a_fault_is_told_where_it_lies(part, field):
    assert fields_of(camp(**part)) == [field]


def test_a_stop_is_looked_at_like_its_trip():
    trip = {**CAMP["trips"][0], "stops": [{"from": moment(11, 8), "shade": 3}, {"shade": 0.2}]}
    assert fields_of(camp(trips=[trip])) == ["trips[0].stops[0].shade", "trips[0].stops[1].from"]


def test_a_missing_field_is_told_with_what_is_accepted():
    export = camp(circuits=[{"id": "c", "name": "lamp", "feed": "bank", "draw_a": 1}], gauges=[])
    said = {fault.field: fault.message for fault in all_faults(export)}
    assert said == {"circuits[0].when": "is missing; accepted is always, thermostat, evening, night, day, any; add it"}
    hinted = all_faults(export, accepted=lambda form, field: f"{form} {field}")
    assert "accepted is circuits when; add it" in hinted[0].message


def test_a_row_can_be_looked_at_by_itself():
    row = {"at": moment(11, 8), "volts": 12.5, "state": "rested", "gauge_id": "any", "on": ["some"]}
    assert row_faults("readings", row, "here", nominal_v=12) == []
    assert [f.field for f in row_faults("readings", {**row, "volts": 126}, "here", nominal_v=12)] == ["here.volts"]
    assert row_faults("readings", {**row, "volts": 25.2}, "here", nominal_v=24) == []


def test_what_lies_after_a_moment_is_found():
    export = camp(readings=[{"at": moment(11, 8)}, {"at": moment(12, 21)}],
                  events=[{"between": [moment(11, 8), moment(12, 21)]}])
    asked_s = 1749780000 - 3600  # 12 June 20:00 there
    assert (later_than(export, "readings", asked_s), later_than(export, "events", asked_s)) == ([1], [0])


@pytest.mark.parametrize("field, path", [
    ("", ()), ("rig.name", ("rig", "name")), ("trips[0].stops[12].shade", ("trips", 0, "stops", 12, "shade")),
    ("banks", ("banks",)),
])
def test_a_field_is_taken_into_its_pieces(field, path):
    assert path_of(field) == path
