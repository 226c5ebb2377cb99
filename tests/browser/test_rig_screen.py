"""The Rig place: the rig drawn from its data, a part's figures and its form, the selector's positions, the label sheet."""

import json

import pytest

from browser.conftest import rows, wait_for_final
from conftest import ROOT


def rig_of(count):
    """An invented rig with so many circuits, on all three feeds, with both kinds of wire."""
    data = json.loads((ROOT / "pwa" / "demo" / "demo.json").read_text())
    feeds = ("bank", "fuse_block", "controller_output")
    data["circuits"] = [
        {"id": f"c{i}", "name": f"circuit {i} of the long shelf", "feed": feeds[i % 3], "draw_a": 0.5 + i / 10,
         "when": "evening", "fuse_a": 5 + i % 3 * 5, "wire_m": 2 + i % 4}
        | ({"wire_awg": (18, 14, 10)[i % 3]} if i % 2 else {"wire_mm2": (1, 2.5, 6)[i % 3]}) for i in range(count)]
    for name in ("uses", "events", "readings", "positions"):
        data[name] = []
    data["gauges"] = [{"id": "posts", "name": "hand meter", "at": "posts"}, {"id": "panel", "name": "panel", "at": "panel"}]
    data["rig"] = {**data["rig"], "name": f"Invented, {count} circuits", "id": f"invented-{count}"}
    return data


@pytest.fixture
def bring(page_at, tmp_path):
    """Opens an export file on a fresh phone."""
    def run(data, **options):
        file = tmp_path / "rig.json"
        file.write_text(json.dumps(data))
        page = page_at(**options)
        page.set_input_files("input[type=file]", str(file))
        wait_for_final(page)
        return page
    return run


def visit(page, route):
    page.goto(page.url.split("#")[0] + route)


def names(page):
    return page.locator(".wiring b").all_inner_texts()


@pytest.mark.parametrize("count", [3, 8, 30])
def test_every_part_of_a_rig_is_one_row_of_the_drawing_and_none_is_cut_off_at_320_pixels(bring, count):
    page = bring(rig_of(count), viewport={"width": 320, "height": 700})
    visit(page, "#/rig")
    page.locator(".wiring li").first.wait_for()
    assert sum(name.lower().startswith("circuit ") for name in names(page)) == count
    assert page.locator(".wiring li").count() == count + 3 + 1 + 2 + 1, "sources, battery, gauges, selector"
    assert page.evaluate("document.documentElement.scrollWidth") == 320
    small = page.evaluate("Array.from(document.querySelectorAll('.wiring a'), (a) => a.getBoundingClientRect().height).filter((h) => h < 48)")
    assert small == []


def test_what_hangs_on_the_battery_stands_before_the_selector_and_what_it_switches_after_it(demo):
    visit(demo, "#/rig")
    found = [name.lower() for name in names(demo)]
    selector = found.index("selector")
    assert {"fridge", "gas alarm", "laptop on the inverter"} < set(found[:selector])
    assert {"inside lights", "flood light", "water pump", "usb sockets"} < set(found[selector:])


def test_lines_join_every_circuit_to_the_line_that_feeds_it(call):
    """Each row that hangs on a line is touched by it, and no line has a hole or a loose end."""
    data = rig_of(9)
    kept = call("parts/rig-drawing", "m.layOut(a[0], a[0].banks[0]).map(({ on, lines, tbl }) => ({ on, lines, tbl }))", data)
    for name in ("bank", "feeder", "block"):
        touched = [i for i, row in enumerate(kept) if row["lines"][name]["above"] or row["lines"][name]["below"]]
        assert touched == list(range(touched[0], touched[-1] + 1)), name
        assert not kept[touched[0]]["lines"][name]["above"] and not kept[touched[-1]]["lines"][name]["below"], name
        assert all(kept[i]["lines"][name]["below"] and kept[i + 1]["lines"][name]["above"] for i in touched[:-1]), name
        hanging = [i for i, row in enumerate(kept) if row["on"] == name]
        assert set(hanging) <= set(touched), name


def test_a_part_that_is_tapped_shows_its_figures_and_whether_its_fuse_guards_its_wire(demo):
    visit(demo, "#/rig")
    demo.get_by_text("fuse is too big for its wire by the European table").first.wait_for()
    demo.get_by_role("link", name="laptop on the inverter").click()
    demo.get_by_text("The 80 A fuse does not guard the wire by the European table.").wait_for()
    text = demo.inner_text("#figures")
    assert "may carry 105 A by the US table" in text and "76 A by the European one" in text
    assert "It stays live when the selector is off." in text
    assert "local codes" in text


def test_a_cut_off_is_told_as_it_is_seen_at_the_battery(demo):
    visit(demo, "#/part/circuit/fridge")
    demo.get_by_text("It cuts out at 10.90 V of its own; running, that is about 11.03 V at the battery").wait_for()
    assert "loses about 0.13 V (1.1 %)" in demo.inner_text("#figures")


def test_a_battery_shows_what_a_dead_short_could_pass(demo):
    visit(demo, "#/part/bank/house-battery")
    demo.get_by_text("A dead short at the fuse block could pass about 1800 A.").wait_for()


def test_a_changed_fuse_is_judged_anew_and_can_be_taken_back(demo):
    visit(demo, "#/part/circuit/laptop")
    demo.fill("[name=fuse_a]", "60")
    demo.get_by_role("button", name="Save").click()
    demo.get_by_text("Saved on this phone: laptop on the inverter.").wait_for()
    demo.get_by_text("loses 0.01 V").first.wait_for()
    assert "fuse 60 A" in demo.inner_text("#drawing")
    assert "fuse is too big" not in demo.inner_text("#drawing")
    demo.get_by_role("button", name="Undo").click()
    wait_for_final(demo)
    kept = next(row for row in rows(demo) if row["row"] == "laptop")
    assert kept["fields"]["fuse_a"] == 80


@pytest.mark.parametrize("field, typed, said", [
    ("fuse_a", "many", "“many” is not a number from 0.1 to 500"), ("wire", "4 mm", "“4 mm” may be a diameter or an area"),
    ("wire", "13.5", "“13.5” is not an AWG size"),
])
def test_what_cannot_be_is_refused_with_a_sentence_at_its_field_and_nothing_is_written(demo, field, typed, said):
    visit(demo, "#/part/circuit/lights")
    before = len(rows(demo, "ops"))
    demo.fill(f"[name={field}]", typed)
    demo.get_by_role("button", name="Save").click()
    assert said in demo.inner_text(f"#{field}-problem")
    assert demo.evaluate("document.activeElement.name") == field
    assert len(rows(demo, "ops")) == before


@pytest.mark.parametrize("part, form", [("circuit/pump", "circuit/pump"), ("source/roof-panel", "solar/roof-panel"), ("source/tow-vehicle", "alternator/tow-vehicle"),
                                        ("bank/house-battery", "bank/house-battery"), ("gauge/hand-meter", "gauge/hand-meter"), ("selector/selector", "selector/selector")])
def test_every_part_opens_its_own_form_from_its_page(demo, part, form):
    visit(demo, f"#/part/{part}")
    demo.get_by_role("link", name="Change what is written about it").click()
    demo.get_by_role("button", name="Save", exact=True).wait_for()
    assert demo.url.endswith(f"#/add/{form}")


def test_a_wire_that_is_changed_here_is_no_longer_shown_as_it_was_typed_before(bring):
    data = rig_of(3)
    data["circuits"][0] |= {"typed": {"wire": "1 mm2", "draw": "0.5 A"}}
    page = bring(data)
    visit(page, "#/part/circuit/c0")
    page.fill("[name=wire]", "2.5")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_text("Saved on this phone: circuit 0").wait_for()
    kept = next(row for row in rows(page) if row["row"] == "c0")["fields"]
    assert kept["wire_mm2"] == 2.5 and kept["typed"] == {"draw": "0.5 A"}


def test_what_is_typed_about_a_part_outlives_leaving_it(demo):
    visit(demo, "#/part/circuit/pump")
    demo.fill("[name=fuse_a]", "7,5")
    visit(demo, "#/tonight")
    demo.get_by_role("link", name="Add a reading").first.wait_for()
    visit(demo, "#/part/circuit/pump")
    demo.locator("[name=fuse_a]").wait_for()
    assert demo.input_value("[name=fuse_a]") == "7,5"


def test_a_turned_selector_is_noted_in_two_taps_from_the_logbook_and_can_be_taken_back(demo):
    visit(demo, "#/logbook")
    before = {row["row"] for row in rows(demo) if row["tbl"] == "position"}
    demo.get_by_role("link", name="The selector was turned").click()
    demo.get_by_text("By the log it stands at “battery” since Saturday 5 July, 14:10.").wait_for()
    demo.get_by_role("button", name="off").click()
    demo.get_by_text("selector at “off”. Live: fridge, gas alarm, laptop on the inverter.").wait_for()
    demo.get_by_text("Selector to “off”").wait_for()
    new = [row["fields"] for row in rows(demo) if row["tbl"] == "position" and row["row"] not in before]
    assert [(one["position"], one["at"][:16]) for one in new] == [("off", "2025-07-08T20:10")]
    demo.get_by_role("button", name="Undo").click()
    demo.get_by_text("Selector to “off”").wait_for(state="detached")


def test_a_selector_turned_to_nothing_leaves_more_days_since_what_it_feeds_is_dead(demo):
    wait_for_final(demo)
    before = rows(demo, "answers")[0]["answer"]["days"][1]["out_ah"]["p50"]
    visit(demo, "#/position")
    demo.get_by_role("button", name="off").click()
    demo.get_by_text("selector at “off”").first.wait_for()
    wait_for_final(demo)
    assert rows(demo, "answers")[0]["answer"]["days"][1]["out_ah"]["p50"] < before - 1


def test_a_position_can_be_noted_for_an_earlier_moment(demo):
    visit(demo, "#/position")
    demo.get_by_text("It was turned earlier").click()
    demo.locator("label.chip:has([name=when][value=two])").click()
    demo.get_by_role("button", name="controller").click()
    demo.get_by_text("selector at “controller”").wait_for()
    kept = [row["fields"] for row in rows(demo) if row["tbl"] == "position"]
    assert ("controller", "2025-07-08T18:10") in [(one["position"], one["at"][:16]) for one in kept]


def test_a_position_that_joins_the_controllers_output_to_the_battery_carries_its_caution(bring):
    data = rig_of(3)
    data["selector"] = {"positions": [{"name": "aus", "feeds": "nothing"}, {"name": "beide", "feeds": "both"}]}
    page = bring(data)
    for route in ("#/position", "#/part/selector/selector", "#/labels"):
        visit(page, route)
        page.get_by_text("the controller's output may be joined to the battery").first.wait_for()


def test_the_label_sheet_names_every_fuse_and_what_stays_live(demo):
    visit(demo, "#/labels")
    demo.get_by_text("A dead short here passes about 1800 A.").wait_for()
    tables = demo.evaluate("Array.from(document.querySelectorAll('.sheet-table'), (t) => Array.from(t.tBodies[0].rows, (r) => r.innerText.split('\\t').map((c) => c.trim())))")
    assert tables[0] == [["1", "inside lights", "5 A", "16 AWG"], ["2", "flood light", "5 A", "16 AWG"],
                         ["3", "water pump", "10 A", "14 AWG"], ["4", "USB sockets", "10 A", "16 AWG"]]
    assert [row[1] for row in tables[1]] == ["fridge", "gas alarm", "laptop on the inverter"]
    assert "2 of 2 A, 2 of 5 A, 2 of 10 A, 2 of 15 A, 1 of 80 A" in demo.inner_text(".sheet")


def test_paper_is_black_on_white_in_every_look_and_carries_no_button(demo):
    visit(demo, "#/labels")
    demo.locator(".sheet").wait_for()
    demo.evaluate("document.documentElement.dataset.look = 'night'")
    demo.emulate_media(media="print")
    try:
        assert demo.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
        assert demo.evaluate("getComputedStyle(document.querySelector('.sheet b')).color") == "rgb(0, 0, 0)"
        assert not demo.locator(".action-bar").is_visible() and not demo.locator(".tabs").is_visible()
    finally:
        demo.emulate_media(media="screen")
