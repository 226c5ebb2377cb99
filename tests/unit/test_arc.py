"""arc.py: the sun's path of a day, for the card at dusk."""
import json
import math

import pytest

from daybank.energy import arc, sun

MIDNIGHT_MDT_S = 1751954400  # 2025-07-08T00:00-06:00
PLACE = (40.5, -108.0)


def july():
    return arc.arc(MIDNIGHT_MDT_S, *PLACE)


def test_the_path_runs_from_rise_to_set_in_half_hours():
    path = july()
    times = [t for t, _, _ in path["points"]]
    assert {b - a for a, b in zip(times, times[1:])} == {1800.0}
    assert path["rise_s"] <= times[0] < path["rise_s"] + 1800
    assert path["set_s"] - 1800 < times[-1] <= path["set_s"]


def test_a_july_sun_rises_north_of_east_and_sets_north_of_west():
    path = july()
    # cos(azimuth) = sin(declination) / cos(latitude), declination 22.4 deg on 8 July; refraction adds under a degree
    expected = math.degrees(math.acos(math.sin(math.radians(22.4)) / math.cos(math.radians(40.5))))
    assert path["rise_azimuth_deg"] == pytest.approx(expected, abs=1.2)
    assert path["set_azimuth_deg"] == pytest.approx(360 - expected, abs=1.2)


def test_noon_is_the_highest_point_and_due_south_there():
    path = july()
    assert path["noon_azimuth_deg"] == pytest.approx(180, abs=0.5)
    assert path["noon_elevation_deg"] == pytest.approx(90 - 40.5 + 22.4, abs=0.3)
    assert path["noon_elevation_deg"] >= max(elevation for _, _, elevation in path["points"]) - 1e-9


def test_south_of_the_equator_the_noon_sun_stands_in_the_north():
    path = arc.arc(MIDNIGHT_MDT_S, -40.5, -108.0)
    assert min(path["noon_azimuth_deg"], 360 - path["noon_azimuth_deg"]) < 0.5


def test_the_arc_to_keep_clear_brings_four_fifths_of_the_light_and_no_shorter_run_does():
    path = july()
    light = {t: max(0.0, math.sin(math.radians(e))) for t, _, e in path["points"]}
    total, keep = sum(light.values()), path["keep"]
    inside = [value for t, value in light.items() if keep["from_s"] <= t <= keep["until_s"]]
    assert sum(inside) >= arc.KEEP_SHARE * total
    values = list(light.values())
    shorter = len(inside) - 1
    assert max(sum(values[i:i + shorter]) for i in range(len(values) - shorter + 1)) < arc.KEEP_SHARE * total
    assert keep["from_s"] < path["noon_s"] < keep["until_s"]


def test_polar_night_has_no_path_and_polar_day_has_the_whole_of_it():
    june, december = 1750464000, 1766275200
    assert arc.arc(december, 75.0, 15.0)["points"] == [] and arc.arc(december, 75.0, 15.0)["keep"] is None
    assert len(arc.arc(june, 75.0, 15.0)["points"]) == 48 and arc.arc(june, 75.0, 15.0)["rise_s"] is None


def test_a_day_in_a_zone_far_from_its_meridian_is_still_whole():
    # Midnight UTC at longitude 150 east: the sun has been up for hours when that day begins.
    path = arc.arc(1751932800, -30.0, 150.0)
    assert path["state"] == "normal" and len(path["points"]) >= 19
    assert path["points"][0][2] >= -0.9 and sun.apparent_elevation(path["points"][0][0] - 1800, -30.0, 150.0) < 0


def test_a_place_off_the_globe_is_refused_in_one_sentence():
    said = json.loads(arc.arc_json(json.dumps({"day_start_s": 0, "lat_deg": 95, "lon_deg": 0})))
    assert "95" in said["error"] and "-90 to 90" in said["error"]


def test_text_in_gives_the_same_path_out():
    asked = {"day_start_s": MIDNIGHT_MDT_S, "lat_deg": 40.5, "lon_deg": -108.0}
    assert json.loads(arc.arc_json(json.dumps(asked)))["arc"] == json.loads(json.dumps(july()))
