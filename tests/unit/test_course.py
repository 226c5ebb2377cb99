"""course.py: places by time, the hours of a question, and where the log speaks."""

import pytest

from daybank.energy import course as courses
from daybank.energy import loads
from properties.rigs import asked, camp, moment, question, reading, second

TRIP = camp()["trips"][0]


def laid(**parts):
    return asked(camp(**parts)).course


def hours(rows):
    return sum(row[0] for row in rows)


def amp_hours(parts):
    """Amp-hours of the four groups of loads over some parts."""
    return [sum(row[0] * row[2 + group] for part in parts for row in part.rows) for group in range(4)]


# ---- trips and places

def test_the_trip_in_force_is_the_one_that_holds_the_moment():
    asked_about = question(camp())
    assert courses.trip_at(asked_about, second(10, 12))["id"] == "trip"
    assert courses.trip_at(asked_about, second(10, 11.9)) is None
    assert courses.trip_at(asked_about, second(18, 12.1)) is None


def test_of_two_trips_that_overlap_the_later_one_is_in_force():
    later = {**TRIP, "id": "later", "starts_at": moment(12, 8)}
    asked_about = question(camp(trips=[later, TRIP]))
    assert courses.trip_at(asked_about, second(12, 9))["id"] == "later"
    assert courses.trip_at(asked_about, second(12, 7))["id"] == "trip"


def test_a_stop_replaces_what_it_names_and_keeps_the_rest_of_the_trip():
    stops = [{"from": moment(12, 6), "lat_deg": 41.5, "lon_deg": -109.0, "shade": 0.6}, {"from": TRIP["starts_at"]}]
    asked_about = question(camp(trips=[{**TRIP, "stops": stops}]))
    before, there = (courses.place_at(asked_about, second(12, hour)) for hour in (5, 7))
    assert (before["lat_deg"], before["shade"], before["altitude_m"]) == (40.0, 0.1, 1800)
    assert (there["lat_deg"], there["shade"], there["altitude_m"]) == (41.5, 0.6, 1800)


def test_between_trips_the_rig_stands_at_its_own_place():
    home = {**camp()["rig"], "lat_deg": 39.0, "lon_deg": -105.0}
    asked_about = question(camp(rig=home))
    assert courses.place_at(asked_about, second(9, 12))["lat_deg"] == 39.0


def test_no_trip_and_no_place_of_its_own_is_no_place():
    assert courses.place_at(question(camp()), second(9, 12)) is None


def test_after_its_end_the_trip_in_force_goes_on_since_that_is_the_question():
    assert courses.place_at(question(camp()), second(25, 12))["lat_deg"] == 40.0


def test_the_days_own_shade_stands_before_the_trips():
    skies = [{"day": "2025-06-11", "condition": "clear", "shade": 0.8}]
    days = {day.name: day for day in laid(skies=skies).days}
    assert days["2025-06-11"].total_ah == pytest.approx(days["2025-06-12"].total_ah * 0.2 / 0.9, rel=0.01)


# ---- days and sun

def test_without_a_place_there_is_no_sun_and_dawn_is_at_six():
    there = laid(trips=[])
    assert all(day.place is None and day.total_ah == 0.0 for day in there.days)
    assert [day.dawn_s() - day.starts_s for day in there.days] == [6 * 3600] * len(there.days)


def test_without_a_panel_there_is_no_sun_but_a_dawn():
    there = laid(sources=[])
    assert sum(day.total_ah for day in there.days) == 0.0
    assert all(4 < (day.dawn_s() - day.starts_s) / 3600 < 7 for day in there.days if day.place)


def test_the_sun_of_the_hours_lies_between_sunrise_and_sunset():
    day = next(day for day in laid().days if day.name == "2025-06-13")
    for hour, amps in enumerate(day.sun_a):
        begins = day.starts_s + hour * 3600
        if begins + 3600 <= day.rise_s or begins >= day.set_s:
            assert amps == 0.0
    assert max(day.sun_a[10:15]) > 3.0
    assert day.total_ah == pytest.approx(sum(day.sun_a))


def test_more_cloud_never_harvests_more_from_a_flat_panel():
    for day in laid().days:
        assert list(day.ratio) == sorted(day.ratio)


def test_the_sky_of_a_day_is_what_was_said_and_unknown_says_nothing():
    skies = [{"day": "2025-06-11", "condition": "overcast", "harvest_ah": 9}, {"day": "2025-06-12",
                                                                             "condition": "unknown"}]
    days = {day.name: day for day in laid(skies=skies).days}
    assert (days["2025-06-11"].word, days["2025-06-11"].harvest_ah) == ("overcast", 9.0)
    assert (days["2025-06-12"].word, days["2025-06-12"].harvest_ah) == (None, None)


@pytest.mark.parametrize(("asked_at", "name", "length"), [
    ("2025-03-08T20:00-07:00", "2025-03-09", 23), ("2025-11-01T20:00-06:00", "2025-11-02", 25)])
def test_a_day_on_which_the_clocks_change_has_23_or_25_hours(asked_at, name, length):
    trip = {**TRIP, "starts_at": asked_at[:8] + "01T00:00-06:00", "ends_at": asked_at[:8] + "20T00:00-06:00"}
    there = laid(trips=[trip], readings=[], asked_at=asked_at)
    day = next(day for day in there.days if day.name == name)
    assert (day.ends_s - day.starts_s, len(day.sun_a)) == (length * 3600, length)
    assert sum(hours(part.rows) for part in there.ahead if part.day is day) == pytest.approx(length)
    neighbour = there.days[there.days.index(day) + 3]
    assert day.total_ah == pytest.approx(neighbour.total_ah, rel=0.05)


def test_days_that_do_not_reach_the_horizon_are_refused():
    asked_about = question(camp())
    asked_about["days"] = [row for row in asked_about["days"] if row[1] < asked_about["asked_at"] + 5 * 86400]
    rig = asked(camp()).rig
    with pytest.raises(ValueError, match="The table of days .*; give days up to 33 after asked_at"):
        courses.course(asked_about, rig=rig, starts_s=second(10, 12))


# ---- parts and rows

def test_the_log_is_cut_without_gaps_at_midnights_and_where_it_speaks():
    there = laid(readings=[reading(11, 7.25, 12.6), reading(12, 6.5, 12.5)])
    edges = [second(10, 12), second(11, 0), second(11, 7.25), second(12, 0), second(12, 6.5), second(12, 20)]
    assert [(part.begin_s, part.end_s) for part in there.log] == list(zip(edges, edges[1:]))
    assert [[mark[2]["id"] for mark in part.marks] for part in there.log] == [[], ["r-11-7.25"], [], ["r-12-6.5"], []]


def test_every_part_holds_exactly_its_hours():
    there = laid(readings=[reading(11, 7.25, 12.6), reading(11, 7.25, 12.7, id="again"), reading(12, 6.9, 12.5)])
    for part in there.log + there.ahead:
        assert hours(part.rows) == pytest.approx((part.end_s - part.begin_s) / 3600, abs=1e-9)


def test_two_records_of_one_moment_speak_together():
    there = laid(readings=[reading(11, 7, 12.6, id="b"), reading(11, 7, 12.5, id="a")])
    assert [mark[2]["id"] for part in there.log for mark in part.marks] == ["a", "b"]


def test_a_record_at_the_very_moment_of_the_question_still_speaks():
    there = laid(readings=[reading(12, 20, 12.4)])
    assert [mark[2]["volts"] for part in there.log for mark in part.marks] == [12.4]


def test_the_course_ahead_reaches_the_horizon_and_marks_every_dawn():
    there = laid()
    assert there.ahead[0].begin_s == second(12, 20)
    assert there.ahead[-1].end_s == second(12, 20) + courses.HORIZON_DAYS * 86400
    dawns = [mark for part in there.ahead for mark in part.marks]
    assert [mark[2].name for mark in dawns][:2] == ["2025-06-13", "2025-06-14"]
    assert len(dawns) == courses.HORIZON_DAYS


def test_only_sunless_hours_are_run_in_longer_steps():
    there = laid()
    for part in there.log + there.ahead:
        for row in part.rows:
            assert row[0] <= courses.NIGHT_STEP_H
            assert row[0] <= 1.0 or row[1] == row[7] == row[8] == 0.0
    assert sum(len(part.rows) for part in there.ahead) < 0.85 * courses.HORIZON_DAYS * 24


def test_longer_steps_keep_every_amp_hour():
    there = laid()
    start_s, horizon_h = there.grid[0], courses.HORIZON_DAYS * 24
    first = int((there.asked_s - start_s) / 3600)
    for group, ah in enumerate(amp_hours(there.ahead)):
        assert ah == pytest.approx(sum(there.loads.groups[group][first:first + horizon_h]), rel=1e-9)
    noon = int((second(10, 12) - start_s) / 3600)
    for group, ah in enumerate(amp_hours(there.log)):
        assert ah == pytest.approx(sum(there.loads.groups[group][noon:first]), rel=1e-9)


def test_hours_of_planned_charging_are_not_merged():
    there = laid(charges=[{"id": "c", "source_id": "shore", "starts_at": moment(14, 23), "hours": 3}])
    charging = [row for part in there.ahead for row in part.rows if row[8] > 0.0]
    assert [row[0] for row in charging] == [1.0, 1.0, 1.0]
    assert sum(row[8] for row in charging) == pytest.approx(30.0)


def test_a_charge_that_begins_within_an_hour_brings_that_share_of_it():
    there = laid(charges=[{"id": "c", "source_id": "tow", "starts_at": moment(11, 9.5), "hours": 1}])
    tow = [row[7] for part in there.log for row in part.rows if row[7] > 0.0]
    assert tow == pytest.approx([10.0, 10.0])


def test_a_charge_from_a_source_that_is_gone_brings_nothing():
    asked_about = question(camp())
    asked_about["charges"] = [{"id": "c", "source_id": "gone", "starts_at": second(11, 9), "hours": 4}]
    there = courses.course(asked_about, rig=asked(camp()).rig, starts_s=second(10, 12))
    assert all(row[7] == row[8] == 0.0 for part in there.log for row in part.rows)


def test_after_its_end_a_trip_in_force_still_draws():
    there = laid()
    k = int((second(20, 0) - there.grid[0]) / 3600)
    assert sum(there.loads.groups[loads.HABIT][k:k + 24]) > 5.0


def test_a_cut_off_can_act_only_while_its_appliance_draws():
    lamp = {"id": "lamp", "name": "lamp", "feed": "bank", "draw_a": 1.0, "when": "day", "typical_h_per_day": 8,
            "cutoff_v": 11.5}
    there = laid(circuits=[lamp], gauges=[])
    for part in there.ahead:
        for row in part.rows:
            assert (row[9] == (0,)) == (row[5] > 0.0)


def test_the_cut_off_of_the_inverter_is_that_of_what_runs_on_it():
    rows = [{"id": "laptop", "name": "laptop", "feed": "bank", "draw_w": 60, "when": "any", "through_inverter": True},
            {"id": "kettle", "name": "kettle", "feed": "bank", "draw_w": 90, "when": "any", "through_inverter": True,
             "cutoff_v": 11.5}]
    there = laid(circuits=rows, gauges=[], inverters=[{"id": "i", "idle_w": 6, "cutoff_v": 10.5}])
    assert sorted((row["id"], volts) for row, volts in there.cutoffs) == [("kettle", 11.5), ("laptop", 10.5)]


# ---- clear-sky amps by the hour

def test_the_amps_of_an_hour_are_those_of_its_day():
    there = laid()
    noon = int((second(13, 12) - there.grid[0]) / 3600)
    day = next(day for day in there.days if day.name == "2025-06-13")
    assert courses.sun_at(there, noon) == day.sun_a[12] > 0.0
    assert courses.sun_at(there, noon + 12) == 0.0
    assert courses.sun_at(there, 10 ** 6) == 0.0
