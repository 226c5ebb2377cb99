"""Trips and stops on the phone: where the rig stands changes the answer, and one card at dusk shows tomorrow's sun."""
import json
import re

import pytest

from browser.conftest import answer_of, rows, wait_for_final
from daybank import records
from daybank.energy import forecast
from daybank.energy.arc import arc

TOMORROW_S = 1752040800  # 2025-07-09T00:00-06:00, the day after the demo's evening


def to(page, place):
    page.goto(page.url.split("#")[0] + f"#/{place}")


def trip_of(page):
    return next(row for row in rows(page) if row["tbl"] == "trip")


def chip(page, name, value):
    page.locator(f'label.chip:has([name="stop.{name}"][value="{value}"])').click()


def new_stop(page):
    to(page, f"stop/{trip_of(page)['row']}/new")
    page.get_by_role("heading", level=1, name="Another stop").wait_for()


def save(page, said):
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text(said).wait_for()
    wait_for_final(page)


def test_dappled_shade_at_the_new_stop_brings_less_sun_and_fewer_days(demo):
    wait_for_final(demo)
    before = answer_of(demo)
    stops = len(trip_of(demo)["fields"].get("stops") or [])
    new_stop(demo)
    chip(demo, "shade", "dappled")
    chip(demo, "nose", "e")
    save(demo, "The stop is saved on this phone.")
    held = trip_of(demo)["fields"]["stops"]
    assert len(held) == stops + 1
    assert (held[-1]["shade"], held[-1]["heading_deg"], held[-1]["shade_word"]) == (0.5, 90, "dappled")
    assert held[-1]["from"] == "2025-07-08T20:10:00-06:00"
    after = answer_of(demo)
    # Half the light is not half the charge: a bank that fills up by noon in the open turns the afternoon away.
    assert after["days"][1]["in_ah"]["p50"] < 0.9 * before["days"][1]["in_ah"]["p50"]
    assert after["days_left"]["p50"] <= before["days_left"]["p50"]


def test_trees_until_noon_is_a_window_of_sun_and_the_leaning_rig_says_where_to(demo):
    new_stop(demo)
    chip(demo, "shade", "until_noon")
    chip(demo, "slope", "slight")
    demo.get_by_role("button", name="Save", exact=True).click()
    demo.get_by_text("Pick where it leans to").wait_for()
    chip(demo, "down", "n")
    chip(demo, "off", next(row["row"] for row in rows(demo) if row["fields"].get("kind") == "solar"))
    save(demo, "The stop is saved on this phone.")
    stop = trip_of(demo)["fields"]["stops"][-1]
    assert stop["sun_window"] == ["12:00", "21:00"] and (stop["slope_deg"], stop["slope_toward_deg"]) == (3, 0)
    assert len(stop["sources_off"]) == 1
    assert answer_of(demo)["days"][1]["in_ah"]["p90"] == pytest.approx(0, abs=0.01), "the covered panel brings nothing"
    to(demo, "stops")
    demo.get_by_text(re.compile("trees until noon")).first.wait_for()


def test_told_in_daylight_leaves_the_shade_open_and_can_be_told_later(demo):
    new_stop(demo)
    assert demo.is_checked('[name="stop.shade"][value=later]')
    save(demo, "The stop is saved on this phone.")
    stops = trip_of(demo)["fields"]["stops"]
    assert "shade" not in stops[-1]
    to(demo, f"stop/{trip_of(demo)['row']}/{len(stops) - 1}")
    demo.get_by_role("heading", level=1, name="This stop").wait_for()
    chip(demo, "shade", "few")
    save(demo, "The stop is saved on this phone.")
    told = trip_of(demo)["fields"]["stops"]
    assert len(told) == len(stops) and told[-1]["shade"] == 0.2


def test_a_stop_outside_its_trip_is_refused_beside_the_field(demo):
    new_stop(demo)
    demo.fill('[name="stop.from"]', "2025-12-24T18:00")
    demo.get_by_role("button", name="Save", exact=True).click()
    assert "lies within its trip" in demo.inner_text('[id="stop.from-problem"]')


def test_the_card_at_dusk_draws_tomorrows_arc_and_its_table_says_the_same(demo):
    to(demo, "stops")
    demo.get_by_role("heading", name="The sun on Wednesday 9 July").wait_for()
    trip = trip_of(demo)["fields"]
    expected = arc(TOMORROW_S, trip["lat_deg"], trip["lon_deg"])
    demo.get_by_text("The same as a table").click()
    table = [[cell.strip() for cell in row.split("\t")] for row in demo.inner_text("table").splitlines()[1:]]
    whole = [point for point in expected["points"] if point[0] % 3600 == 0]
    assert [float(row[-1].rstrip("°")) for row in table] == pytest.approx([round(point[2]) for point in whole], abs=0.51)
    drawn = demo.get_attribute("polyline.arc-path-low", "points").split()
    assert len(drawn) == len(expected["points"])
    label = demo.get_attribute(".arc-figure svg", "aria-label")
    assert label.startswith("Keep trees out of the arc from east to west, ")


def test_what_the_shade_costs_is_the_difference_of_two_answers(demo):
    to(demo, "stops")
    demo.get_by_text(re.compile("An estimate")).wait_for(timeout=60_000)
    said = demo.inner_text("[data-cost]")
    exported = json.loads(json.dumps(demo_export(demo)))
    days = []
    for shade in (0, 0.5):
        trip = exported["trips"][0]
        changed = {**exported, "trips": [{**trip, "stops": [*(trip.get("stops") or []), {"from": "2025-07-08T20:10:00-06:00", "shade": shade}]}]}
        question = records.question_from_export(records.read_export(json.dumps(changed)))
        days.append(forecast.answer(question, members=40, seed=1)["days_left"]["p50"])
    if days[1] >= 14 - 0.01:
        assert "Even in dappled shade it lasts 14 days or more" in said
    elif days[0] - days[1] < 0.75 / 24:
        assert "less than an hour" in said
    else:
        assert "Dappled shade instead of open sky would cost" in said


def demo_export(page):
    with page.expect_download() as waiting:
        to(page, "rig")
        page.get_by_role("button", name="Download everything").click()
    return json.loads(waiting.value.path().read_text()) | {"asked_at": "2025-07-08T20:10:00-06:00"}


def test_a_trip_noted_down_gives_the_chance_to_reach_its_end(page_at):
    from browser.test_setup_story import begin, usual_rig
    page = page_at(timezone_id="America/Denver")
    usual_rig(page, begin(page))
    page.get_by_text("My rig is on this phone").wait_for()
    wait_for_final(page)
    assert answer_of(page)["reaches_trip_end"] is None
    to(page, "stops")
    page.get_by_text("No trip holds this moment").wait_for()
    page.get_by_role("link", name="Another trip").click()
    page.fill('[name="trip.name"]', "River days")
    assert page.input_value('[name="trip.lat"]') == "40"
    starts = page.input_value('[name="trip.starts"]')
    page.fill('[name="trip.ends"]', starts)
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("A trip ends after it starts").wait_for()
    page.fill('[name="trip.ends"]', f"{int(starts[:4]) + (1 if starts[5:7] == '12' else 0)}-{int(starts[5:7]) % 12 + 1:02d}-01T10:00")
    save(page, "River days is saved on this phone.")
    assert 0 <= answer_of(page)["reaches_trip_end"] <= 1


@pytest.mark.parametrize("place", ["stops", "trip/new", "stop"])
def test_the_pages_fit_a_narrow_phone_with_targets_for_cold_fingers(demo, place):
    demo.set_viewport_size({"width": 320, "height": 640})
    to(demo, f"stop/{trip_of(demo)['row']}/new" if place == "stop" else place)
    demo.locator("main .action-bar, main svg").first.wait_for()
    assert demo.evaluate("document.documentElement.scrollWidth") <= 320
    small = demo.evaluate("""() => Array.from(document.querySelectorAll('main button, main a, main summary, main .chip, main input[type=text]'))
        .filter((one) => one.getClientRects().length && (one.getBoundingClientRect().height < 47.5 || one.getBoundingClientRect().width < 47.5))
        .map((one) => one.outerHTML.slice(0, 80))""")
    assert small == []
