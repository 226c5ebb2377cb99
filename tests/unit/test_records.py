"""records.py: what comes out of the door, for files that are good."""
import copy
import json
from pathlib import Path

import pytest

from daybank import records

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "pwa" / "demo" / "demo.json"
TUESDAY_2010 = 1752027000  # 2025-07-08T20:10-06:00


@pytest.fixture
def demo() -> dict:
    return records.read_export(DEMO)


def read(export: dict) -> dict:
    return records.read_export(json.dumps(export))


def test_a_good_file_comes_through_as_it_is(demo):
    assert demo == json.loads(DEMO.read_text(encoding="utf-8"))


def test_text_bytes_and_path_give_the_same():
    data = DEMO.read_bytes()
    assert records.read_export(data) == records.read_export(data.decode()) == records.read_export(DEMO)


def test_a_byte_order_mark_is_no_fault():
    assert records.read_export(b"\xef\xbb\xbf" + DEMO.read_bytes())["format"] == "daybank-export/1"


def test_unknown_fields_are_kept_at_every_level(demo):
    demo["mood"] = {"a": [1]}
    demo["rig"]["colour"] = "blue"
    demo["readings"][0]["weather_app"] = None
    again = read(demo)
    assert again["mood"] == {"a": [1]}
    assert again["rig"]["colour"] == "blue"
    assert again["readings"][0]["weather_app"] is None
    assert records.question_from_export(again)["mood"] == {"a": [1]}


def test_a_known_field_that_holds_null_is_left_out(demo):
    demo["readings"][1]["rested_h"] = None
    demo["readings"][1]["volts"] = None
    demo["selector"] = None
    demo["positions"] = None
    again = read(demo)
    assert "volts" not in again["readings"][1] and "rested_h" not in again["readings"][1]
    assert "selector" not in again and "positions" not in again


def test_parts_without_an_id_get_one_of_their_own(demo):
    del demo["banks"][0]["id"]
    demo["gauges"].append({"name": "third", "at": "posts"})
    again = read(demo)
    assert again["banks"][0]["id"] == "banks-0"
    assert len({g["id"] for g in again["gauges"]}) == 3


def test_a_confirmed_126_volts_is_kept(demo):
    demo["readings"][1].update(volts=126, confirmed=True)
    assert read(demo)["readings"][1]["volts"] == 126


def test_a_24_volt_rig_has_twice_the_bounds(demo):
    demo["rig"]["nominal_v"] = 24
    demo["sources"][0].update(absorption_v=28.8, float_v=27.2)
    for reading in demo["readings"]:
        if "volts" in reading:
            reading["volts"] *= 2
    for part in demo["circuits"] + demo["inverters"]:
        if "cutoff_v" in part:
            part["cutoff_v"] *= 2
    assert read(demo)["rig"]["nominal_v"] == 24
    demo["readings"][1]["volts"] = 12.5
    with pytest.raises(records.Refusal, match="16 to 32 V"):
        read(demo)


def test_a_question_counts_moments_in_seconds(demo):
    question = records.question_from_export(demo)
    assert question["asked_at"] == TUESDAY_2010
    assert question["readings"][-1]["at"] == TUESDAY_2010 - 300
    assert question["trips"][0]["starts_at"] == question["trips"][0]["stops"][0]["from"] == 1751745600
    assert question["uses"][-1]["from"] == TUESDAY_2010 - 100 * 60
    assert question["uses"][0]["day"] == "2025-07-05"
    assert question["banks"][0]["installed_on"] == "2022-04-16"


def test_an_interval_counts_both_of_its_ends(demo):
    demo["events"] = [{"kind": "cut_out", "circuit_id": "fridge", "between": ["2025-07-08T02:00-06:00",
                                                                              "2025-07-08T06:00-06:00"]}]
    question = records.question_from_export(read(demo))
    assert question["events"][0]["between"] == [1751961600, 1751976000]


def test_a_question_leaves_its_export_alone(demo):
    before = copy.deepcopy(demo)
    question = records.question_from_export(demo)
    question["readings"][0]["state"] = "changed"
    assert demo == before


def test_truth_never_reaches_a_question(demo):
    demo["truth"] = {"days_left": 2.0}
    assert "truth" not in records.question_from_export(read(demo))


def test_missing_lists_are_empty(demo):
    for name in ("sources", "inverters", "skies", "checks", "selector", "positions"):
        demo.pop(name, None)
    demo["charges"] = []
    question = records.question_from_export(read(demo))
    assert question["sources"] == question["inverters"] == question["skies"] == question["checks"] == []


def test_days_reach_from_the_day_before_the_first_record_to_33_after_the_question(demo):
    days = records.question_from_export(demo)["days"]
    assert days[0] == ["2025-07-04", 1751608800]
    assert days[-1][0] == "2025-08-10"
    assert all(b[1] - a[1] == 86400 for a, b in zip(days, days[1:]))


def test_days_reach_back_400_days_at_most(demo):
    demo["readings"][0]["at"] = "2020-01-01T12:00-07:00"
    days = records.question_from_export(read(demo))["days"]
    assert days[0][0] == "2024-06-03"
    assert len(days) == 400 + 33 + 1


def test_the_trip_in_force_reaches_back_to_its_start_and_old_trips_do_not(demo):
    old = {**demo["trips"][0], "id": "old", "stops": [], "starts_at": "2025-06-01T12:00-06:00",
           "ends_at": "2025-06-05T12:00-06:00"}
    demo["trips"].append(old)
    demo["readings"] = demo["uses"] = demo["skies"] = demo["charges"] = demo["positions"] = demo["events"] = []
    days = records.question_from_export(read(demo))["days"]
    assert days[0][0] == "2025-07-04"  # the day before the trip began


def test_the_day_on_which_clocks_change_is_an_hour_longer(demo):
    demo["rig"]["timezone"] = "Europe/Amsterdam"
    question = records.question_from_export(demo, 1761400000)  # 2025-10-25T15:46+02:00
    lengths = {day: b - a for (day, a), (_, b) in zip(question["days"], question["days"][1:])}
    assert lengths["2025-10-26"] == 25 * 3600
    assert lengths["2025-10-25"] == lengths["2025-10-27"] == 24 * 3600


def test_the_caller_gives_the_moment_when_the_file_has_none(demo):
    del demo["asked_at"]
    again = read(demo)
    assert records.question_from_export(again, TUESDAY_2010 + 60)["asked_at"] == TUESDAY_2010 + 60
    with pytest.raises(records.Refusal, match="--at"):
        records.question_from_export(again)


def test_a_reading_after_the_callers_moment_is_refused(demo):
    with pytest.raises(records.Refusal) as refused:
        records.question_from_export(demo, TUESDAY_2010 - 3600)
    assert refused.value.field == "readings[8].at"


def test_asking_about_an_earlier_moment_leaves_later_records_out(demo):
    monday_2200 = 1751947200  # 2025-07-07T22:00-06:00
    question = records.question_from_export(demo, monday_2200, ignore_later=True)
    assert [r["id"] for r in question["readings"]] == [f"read-{n}" for n in range(1, 8)]
    assert question["events"] == []
    assert all(sky["day"] <= "2025-07-07" for sky in question["skies"])
    assert "use-10" not in {use["id"] for use in question["uses"]}


def test_a_use_that_ran_past_the_earlier_moment_is_still_running(demo):
    demo["uses"] = [{"circuit_id": "usb", "from": "2025-07-07T21:00-06:00", "until": "2025-07-07T23:00-06:00"}]
    question = records.question_from_export(read(demo), 1751947200, ignore_later=True)
    assert question["uses"] == [{"circuit_id": "usb", "from": 1751943600}]


def test_a_bank_that_came_later_is_not_in_service(demo):
    demo["banks"][0]["installed_on"] = "2025-07-09"
    with pytest.raises(records.Refusal) as refused:
        records.question_from_export(read(demo))
    assert refused.value.field == "banks"


def test_a_bank_replaced_today_leaves_one_in_service(demo):
    demo["banks"][0]["removed_on"] = "2025-07-08"
    demo["banks"].append({"id": "new", "chemistry": "lifepo4", "rated_ah": 100, "floor_soc": 0.2,
                          "installed_on": "2025-07-08"})
    assert records.question_from_export(read(demo))["banks"][1]["id"] == "new"


WIDER = [
    ("rig", "season_sky", "wet", "soggy"), ("banks", "lives", "heated", "in the barn"),
    ("trips", "season_sky", "dry", 3), ("stops", "sources_off", ["roof-panel"], "roof-panel"),
    ("readings", "soc", 0.62, 62), ("sources", "link", "dc_dc", "usb"),
]


def row_of(export: dict, where: str) -> dict:
    """The rig, the first stop, or the first row of a list."""
    if where == "rig":
        return export["rig"]
    return export["trips"][0]["stops"][0] if where == "stops" else export[where][0]


@pytest.mark.parametrize("where, field, good, bad", WIDER)
def test_season_place_of_the_bank_stop_and_shunt_are_taken_and_a_slip_refused(demo, where, field, good, bad):
    row_of(demo, where)[field] = good
    assert row_of(read(demo), where)[field] == good
    row_of(demo, where)[field] = bad
    with pytest.raises(ValueError, match=field):
        read(demo)
