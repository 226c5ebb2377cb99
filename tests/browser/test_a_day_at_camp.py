"""The main job in a real browser: a reading typed with no signal becomes a range of days, and nothing typed is lost."""

import json
import re

import pytest

from browser.conftest import answer_of, eventually, open_demo, rows, wait_for_final
from conftest import ROOT


def type_reading(page, volts, fridge="silent", others="nothing"):
    page.goto(page.url.split("#")[0] + "#/reading")
    page.fill("[name=volts]", volts)
    if fridge:
        page.locator(f"label.chip:has([name=fridge][value={fridge}])").click()
    if others:
        page.locator(f"label.chip:has([name=others][value={others}])").click()


def save(page):
    page.get_by_role("button", name="Save", exact=True).click()


def readings(page):
    return {row["row"]: row["fields"] for row in rows(page) if row["tbl"] == "reading"}


def test_a_reading_typed_without_signal_moves_the_range_and_outlives_a_killed_browser(phone_at, own_server):
    phone = phone_at(own_server.url)
    page = phone.open()
    open_demo(page)
    page.evaluate("navigator.serviceWorker.ready")
    before = answer_of(page)
    phone.close()
    own_server.stop()

    page = phone.open(offline=True)
    wait_for_final(page)
    assert page.inner_text("h1") != ""
    known = set(readings(page))
    type_reading(page, "12,6")
    page.get_by_text("Not right?").click()  # at ten past eight in July the sun is still up; the panel is in the shade
    page.locator("label.chip:has([name=state][value=rested])").click()
    save(page)
    page.get_by_text("Saved on this phone: 12.60 V").wait_for()
    wait_for_final(page)
    after = answer_of(page)
    assert after["state_of_charge"]["p50"] < before["state_of_charge"]["p50"] - 0.01
    assert after["nights"][0]["dawn_soc"]["p50"] < before["nights"][0]["dawn_soc"]["p50"] - 0.01
    assert after["days_left"] != before["days_left"]
    phone.kill()

    page = phone.open("#/logbook", offline=True)
    new = {row: fields for row, fields in readings(page).items() if row not in known}
    assert [fields["volts"] for fields in new.values()] == [12.6]
    page.get_by_text("12.60 V, nothing on, no sun").first.wait_for()


def test_what_is_typed_and_not_saved_outlives_a_killed_browser(phone_at, server):
    phone = phone_at(server.url)
    page = phone.open()
    open_demo(page)
    type_reading(page, "12,4", others=None)
    eventually(lambda: [(draft["volts"], draft["fridge"]) for draft in rows(page, "drafts")] == [("12,4", "silent")])
    phone.kill()

    page = phone.open("#/reading")
    page.get_by_text("This was typed earlier and not saved.").wait_for()
    assert page.input_value("[name=volts]") == "12,4"
    assert page.is_checked("[name=fridge][value=silent]")
    save(page)
    page.get_by_text("Saved on this phone: 12.40 V").wait_for()
    assert rows(page, "drafts") == []


def test_a_comma_and_a_point_are_the_same_number(demo):
    known = set(readings(demo))
    for typed, said in (("12,65", "12.65 V"), ("12.66", "12.66 V"), (" 12.67 V ", "12.67 V")):
        type_reading(demo, typed)
        save(demo)
        demo.get_by_text(f"Saved on this phone: {said}").wait_for()
    assert sorted(fields["volts"] for row, fields in readings(demo).items() if row not in known) == [12.65, 12.66, 12.67]


def test_126_is_asked_about_and_the_better_number_is_one_tap_away(demo):
    known = set(readings(demo))
    type_reading(demo, "126")
    save(demo)
    demo.get_by_text("126 V: did you mean 12.6?").wait_for()
    assert set(readings(demo)) == known, "nothing is written before the answer"
    demo.get_by_role("button", name="Yes, 12.6").click()
    demo.get_by_text("Saved on this phone: 12.60 V").wait_for()
    new = [fields for row, fields in readings(demo).items() if row not in known]
    assert new[0]["volts"] == 12.6 and "confirmed" not in new[0]


def test_126_can_be_kept_and_then_has_no_weight(demo):
    before = answer_of(demo)
    known = set(readings(demo))
    type_reading(demo, "126")
    save(demo)
    demo.get_by_role("button", name=re.compile("^Keep 126")).click()
    demo.get_by_text("Saved on this phone").wait_for()
    wait_for_final(demo)
    new = [fields for row, fields in readings(demo).items() if row not in known]
    assert new[0]["volts"] == 126 and new[0]["confirmed"] is True
    assert answer_of(demo)["state_of_charge"] == pytest.approx(before["state_of_charge"], abs=0.05)


def test_a_word_in_place_of_a_number_is_refused_with_a_sentence_beside_the_field(demo):
    known = set(readings(demo))
    type_reading(demo, "twelve")
    save(demo)
    assert "“twelve” is not one number; type the volts" in demo.inner_text("#problem")
    assert demo.evaluate("document.activeElement.name") == "volts"
    assert set(readings(demo)) == known


def test_two_taps_give_the_state_which_is_shown_and_can_be_corrected(demo):
    type_reading(demo, "12.3", fridge="humming", others="some")
    derived = demo.locator("#derived")
    assert "Taken as" in derived.inner_text()
    demo.get_by_text("Not right?").click()
    demo.locator("label.chip:has([name=state][value=rested])").click()
    assert "nothing on, no sun" in derived.inner_text() and "As you corrected it." in derived.inner_text()
    known = set(readings(demo))
    save(demo)
    demo.get_by_text("Saved on this phone").wait_for()
    new = [fields for row, fields in readings(demo).items() if row not in known]
    assert new[0]["state"] == "rested" and new[0]["rested_h"] == 0.3
    assert "fridge" in new[0]["on"]


def test_a_charger_that_has_finished_needs_no_volts(demo):
    known = set(readings(demo))
    demo.goto(demo.url.split("#")[0] + "#/reading")
    demo.get_by_text("More: charger, gauge, note").click()
    demo.locator("label.chip:has([name=finished])").click()
    save(demo)
    demo.get_by_text("Saved on this phone: charger says finished.").wait_for()
    new = [fields for row, fields in readings(demo).items() if row not in known]
    assert new[0]["state"] == "full" and "volts" not in new[0]


def test_an_entry_is_edited_as_a_change_to_its_one_field(demo):
    type_reading(demo, "12.3")
    save(demo)
    demo.get_by_text("Saved on this phone").wait_for()
    wait_for_final(demo)
    ops = {row["op"]["id"] for row in rows(demo, "ops")}
    demo.get_by_role("link", name="Logbook").click()
    demo.get_by_role("link", name=re.compile(r"Edit: 12\.30 V")).click()
    assert demo.input_value("[name=volts]") == "12.3"
    demo.fill("[name=volts]", "12.5")
    save(demo)
    demo.get_by_text("12.50 V").first.wait_for()
    new = [row["op"] for row in rows(demo, "ops") if row["op"]["id"] not in ops]
    assert [op["set"] for op in new] == [{"volts": 12.5}]
    assert re.fullmatch(r"\d{13}-[0-9a-f]{4}", new[0]["hlc"])
    assert re.fullmatch(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", new[0]["id"])


def test_an_entry_is_deleted_and_brought_back(demo):
    type_reading(demo, "12.3")
    save(demo)
    demo.get_by_text("Saved on this phone").wait_for()
    demo.get_by_role("link", name="Logbook").click()
    demo.get_by_role("button", name=re.compile(r"Delete: 12\.30 V")).click()
    demo.get_by_text("Deleted.").wait_for()
    assert demo.get_by_role("button", name=re.compile(r"Delete: 12\.30 V")).count() == 0
    demo.get_by_role("button", name="Undo").click()
    demo.get_by_role("button", name=re.compile(r"Delete: 12\.30 V")).wait_for()


def test_a_reading_just_saved_is_taken_back_with_one_tap_and_so_is_a_correction(demo):
    known = set(readings(demo))
    type_reading(demo, "12.3")
    save(demo)
    demo.get_by_text("Saved on this phone: 12.30 V").wait_for()
    demo.get_by_role("button", name="Undo").click()
    demo.locator("#toast:empty").wait_for(state="attached")
    assert [fields["deleted"] for row, fields in readings(demo).items() if row not in known] == [True]
    demo.get_by_role("link", name="Logbook").click()
    assert demo.get_by_text("12.30 V").count() == 0
    first = demo.get_by_role("link", name=re.compile(r"Edit: 12\.63 V")).first
    changed = re.search(r"reading/([^/]+)$", first.get_attribute("href")).group(1)
    first.click()
    demo.fill("[name=volts]", "12.5")
    save(demo)
    demo.get_by_text("Saved on this phone: 12.50 V").wait_for()
    assert readings(demo)[changed]["volts"] == 12.5
    demo.get_by_role("button", name="Undo").click()
    demo.locator("#toast:empty").wait_for(state="attached")
    assert readings(demo)[changed]["volts"] == 12.63


def test_what_ran_is_noted_by_hours_and_by_a_tap_since_when(demo):
    known = {row["row"] for row in rows(demo)}
    demo.get_by_role("link", name="What ran").click()
    first = demo.locator(".ran > li").nth(1)
    first.get_by_role("button", name="half an hour more").click()
    second = demo.locator(".ran > li").nth(2)
    second.get_by_text("on now?").click()
    second.locator("label.chip", has_text="1 hour ago").click()
    save(demo)
    demo.get_by_text("Saved on this phone: what ran.").wait_for()
    new = [row["fields"] for row in rows(demo) if row["row"] not in known]
    assert sorted("from" if "from" in fields else "hours" for fields in new) in (["from", "hours"], ["from"])
    since = next(fields["from"] for fields in new if "from" in fields)
    assert since.startswith("2025-07-08T19:10:00-06:00")


def test_a_day_as_usual_is_one_tap_for_yesterday_too(demo):
    demo.get_by_role("link", name="What ran").click()
    demo.locator("label.chip:has([name=day])", has_text="yesterday").click()
    demo.locator("label.chip:has([name=whole][value=away])").click()
    save(demo)
    demo.get_by_text("Saved on this phone: what ran.").wait_for()
    whole = [row["fields"] for row in rows(demo) if row["tbl"] == "use" and row["fields"].get("kind") == "away"]
    assert "2025-07-07" in [fields["day"] for fields in whole]


def test_the_sky_of_today_is_one_tap_and_a_second_tap_changes_the_same_row(demo):
    demo.get_by_role("button", name="rain", exact=True).click()
    demo.locator("[data-value=rain][aria-pressed=true]").wait_for()
    demo.get_by_role("button", name="clear", exact=True).click()
    demo.locator("[data-value=clear][aria-pressed=true]").wait_for()
    today = [row["fields"] for row in rows(demo) if row["tbl"] == "sky" and row["fields"].get("day") == "2025-07-08"]
    assert [fields["condition"] for fields in today] == ["clear"]


def test_an_event_and_a_drive_are_noted(demo):
    demo.get_by_role("link", name="Something happened").click()
    demo.locator("label.chip:has([name=kind][value=cut_out])").click()
    demo.locator("label.chip:has([name=when][value=one])").click()
    save(demo)
    demo.get_by_text("Saved on this phone: what happened.").wait_for()
    demo.get_by_role("link", name="A drive or shore power").click()
    demo.locator("label.chip:has([name=source])", has_text="drive").click()
    demo.fill("[name=hours]", "1,5")
    save(demo)
    demo.get_by_text("Saved on this phone: charging.").wait_for()
    fields = [row["fields"] for row in rows(demo)]
    assert any(entry.get("kind") == "cut_out" and entry.get("at") == "2025-07-08T19:10:00-06:00" for entry in fields)
    assert any(entry.get("hours") == 1.5 and entry.get("starts_at") == "2025-07-08T18:40:00-06:00" for entry in fields)


def own_file():
    return json.loads((ROOT / "tests" / "trial" / "cases" / "a-001.json").read_text())


def bring(page, text, name="own.json"):
    page.set_input_files("[type=file]", {"name": name, "mimeType": "application/json", "buffer": text.encode()})


def test_a_persons_own_file_is_opened_answered_and_comes_out_again_as_it_went_in(page_at):
    page = page_at()
    given = own_file()
    asked_at = given.pop("asked_at")
    given.pop("truth")
    bring(page, json.dumps(given | {"kept_for_later": {"by": "a newer version"}}))
    wait_for_final(page)
    assert page.inner_text(".rig-name") == given["rig"]["name"]
    assert asked_at
    page.get_by_role("link", name="Rig", exact=True).click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Download everything").click()
    back = json.loads(open(download.value.path()).read())
    assert back["rig"].pop("id")
    by_id = {name: sorted(rows, key=lambda row: row["id"]) for name, rows in given.items() if isinstance(rows, list)}
    assert {name: sorted(back[name], key=lambda row: row["id"]) for name in by_id} == by_id
    assert back["rig"] == given["rig"] and back["kept_for_later"] == {"by": "a newer version"}
    assert [circuit["id"] for circuit in back["circuits"]] == [circuit["id"] for circuit in given["circuits"]]


BAD_FILES = {
    "not JSON": ("{", "The file is not JSON; a Daybank export is one JSON object."),
    "another format": ('{"format": "diary/1"}', "The file's format is “diary/1”; accepted is daybank-export/1."),
    "a newer version": ('{"format": "daybank-export/2"}', "newer than this app"),
    "a missing field": (lambda data: data["banks"][0].pop("rated_ah"), "“banks[0].rated_ah” is missing in the file"),
    "126 volts": (lambda data: data["readings"][1].update(volts=126),
                  "is 126 V, outside 8 to 16 V; did you mean 12.6?"),
    "a trip that ends first": (lambda data: data["trips"][0].update(ends_at="2025-05-01T14:00+02:00"),
                               "ends before it starts"),
    "a circuit without a draw": (lambda data: data["circuits"][0].pop("draw_w"), "The circuit “fridge” has no draw"),
    "a reading in the future": (lambda data: data["readings"][1].update(at="2025-06-09T22:00+02:00"),
                                "lies after the moment asked about"),
}


def test_a_bad_file_is_refused_with_one_sentence_and_nothing_is_written(page_at):
    page = page_at()
    for fault, (spoil, sentence) in BAD_FILES.items():
        text = spoil
        if callable(spoil):
            data = own_file()
            spoil(data)
            text = json.dumps(data)
        bring(page, text)
        page.locator("#problem", has_text=sentence).wait_for()
        assert rows(page) == [] and rows(page, "ops") == [] and rows(page, "rigs") == [], fault


def test_the_same_file_opened_twice_adds_nothing_and_keeps_what_was_typed_since(page_at):
    page = page_at()
    given = own_file()
    given["rig"]["id"] = "my-rig"
    bring(page, json.dumps(given))
    wait_for_final(page)
    before = len(rows(page))
    page.get_by_role("link", name="Rig", exact=True).click()
    bring(page, json.dumps(given))
    page.get_by_text("0 records were added, what was here stays.").wait_for()
    assert len(rows(page)) == before


def test_a_second_tab_shows_what_the_first_one_saved(phone_at, server):
    phone = phone_at(server.url)
    first = phone.open()
    open_demo(first)
    second = phone.context.new_page()
    second.goto(server.url + "#/logbook")
    second.wait_for_selector("html[data-drawn]")
    type_reading(first, "12.34")
    save(first)
    first.get_by_text("Saved on this phone").wait_for()
    second.get_by_text("12.34 V").first.wait_for()
    clocks = [row["op"]["hlc"] for row in rows(first, "ops")]
    assert len(set(clocks)) == len(clocks), "no clock value is given twice"


def test_a_rig_without_any_log_still_gets_a_range_and_is_told_what_narrows_it(page_at):
    page = page_at()
    given = own_file()
    for name in ("readings", "uses", "skies", "charges", "events", "positions"):
        given[name] = []
    given["trips"] = []
    bring(page, json.dumps(given))
    wait_for_final(page)
    assert "No reading in the log yet, so the range is wide." in page.inner_text(".status")
    answer = answer_of(page)
    assert answer["reaches_trip_end"] is None
    assert answer["days_left"]["p90"] > 2 * answer["days_left"]["p10"]
