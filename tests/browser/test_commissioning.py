"""The first inspection: seven steps that are saved one by one; what they measure is in the log that the model reads."""

import base64
import hashlib
import json

import pytest

from browser.conftest import eventually, rows, wait_for_final
from conftest import ROOT

# A picture of noise, larger than the limit, made by the page itself; noise compresses worst.
NOISE = """async () => {
    const canvas = new OffscreenCanvas(1800, 1400);
    const pen = canvas.getContext('2d');
    const dots = pen.createImageData(1800, 1400);
    for (let i = 0; i < dots.data.length; i += 1) dots.data[i] = (i * 2654435761 >>> 9) & 255;
    pen.putImageData(dots, 0, 0);
    const blob = await canvas.convertToBlob({ type: 'image/png' });
    const bytes = new Uint8Array(await blob.arrayBuffer());
    let text = '';
    for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
    return btoa(text);
}"""
PHOTOS = """async () => {
    const base = await new Promise((resolve) => { const o = indexedDB.open('daybank'); o.onsuccess = () => resolve(o.result); });
    const kept = await new Promise((resolve) => { const r = base.transaction('photos').objectStore('photos').getAll(); r.onsuccess = () => resolve(r.result); });
    base.close();
    return Promise.all(kept.map(async ({ name, blob }) => ({ name, size: blob.size, type: blob.type,
        head: Array.from(new Uint8Array(await blob.slice(0, 400).arrayBuffer())) })));
}"""


@pytest.fixture
def sheet(demo):
    demo.goto(demo.url.split("#")[0] + "#/commissioning")
    demo.get_by_text("0 of 7 steps done").wait_for()
    return demo


def step(page, name):
    box = page.locator(f"details[data-step={name}]")
    if box.get_attribute("open") is None:
        box.locator("summary").click()
    return box


def of_kind(page, tbl):
    return {row["row"]: row["fields"] for row in rows(page) if row["tbl"] == tbl}


def test_a_step_that_is_saved_is_still_done_when_the_sheet_is_taken_up_again(sheet):
    box = step(sheet, "leads")
    box.locator("label.chip:has([value=pass])").click()
    box.get_by_role("button", name="Save this step").click()
    sheet.get_by_text("1 of 7 steps done").wait_for()
    sheet.reload()
    sheet.get_by_text("1 of 7 steps done").wait_for()
    assert sheet.locator("details[data-step=full]").get_attribute("open") is not None, "the next step stands open"


def test_a_lead_that_is_not_fused_yet_leaves_its_step_undone(sheet):
    box = step(sheet, "leads")
    box.locator("label.chip:has([value=fail])").click()
    box.locator("[name=note]").fill("inverter")
    box.get_by_role("button", name="Save this step").click()
    sheet.get_by_text("mend that before the rig is used. inverter").wait_for()
    assert "0 of 7 steps done" in sheet.inner_text(".status")


def test_what_is_typed_and_not_saved_is_there_when_the_sheet_is_taken_up_again(sheet):
    step(sheet, "drop").locator("[name=name]").fill("negative post lug")
    eventually(lambda: any("drop" in draft and draft["drop"]["name"] == "negative post lug" for draft in rows(sheet, "drafts")))
    sheet.reload()
    assert step(sheet, "drop").locator("[name=name]").input_value() == "negative post lug"


def test_the_two_meters_are_logged_as_two_readings_of_one_moment_with_their_difference_told(sheet):
    known = set(of_kind(sheet, "reading"))
    box = step(sheet, "meter")
    box.locator("[name=posts_volts]").fill("12,60")
    box.locator("[name=panel_volts]").fill("12,50")
    box.locator("label.chip:has([name=rested][value='4'])").click()
    box.get_by_role("button", name="Save this step").click()
    sheet.get_by_text("The panel showed 0.10 V less than the posts.").wait_for(state="attached")
    new = [fields for row, fields in of_kind(sheet, "reading").items() if row not in known]
    assert sorted((one["volts"], one["gauge_id"]) for one in new) == [(12.5, "panel-gauge"), (12.6, "hand-meter")]
    assert [(one["at"][:16], one["state"], one["rested_h"], one["on"]) for one in new] == [("2025-07-08T20:10", "rested", 4, [])] * 2


def test_a_rig_without_a_meter_at_the_posts_gains_one(page_at, tmp_path):
    data = json.loads((ROOT / "pwa" / "demo" / "demo.json").read_text())
    data["gauges"] = [gauge for gauge in data["gauges"] if gauge["at"] != "posts"]
    data["readings"] = []
    data["rig"]["id"] = "one-meter"
    file = tmp_path / "rig.json"
    file.write_text(json.dumps(data))
    page = page_at()
    page.set_input_files("input[type=file]", str(file))
    wait_for_final(page)
    page.goto(page.url.split("#")[0] + "#/commissioning")
    page.locator("details[data-step=meter]").wait_for()
    box = step(page, "meter")
    box.locator("[name=posts_volts]").fill("12.6")
    box.locator("[name=panel_volts]").fill("12.6")
    box.get_by_role("button", name="Save this step").click()
    page.get_by_text("Both show the same.").wait_for(state="attached")
    gained = [row for row, fields in of_kind(page, "gauge").items() if fields["at"] == "posts"]
    assert len(gained) == 1
    assert {fields["gauge_id"] for fields in of_kind(page, "reading").values()} == {gained[0], "panel-gauge"}


def test_amps_with_everything_off_are_a_reading_of_their_own_and_are_compared_with_what_is_written_down(sheet):
    known = set(of_kind(sheet, "reading"))
    box = step(sheet, "standby")
    box.locator("[name=standby_amps]").fill("0.21")
    box.locator("[name=standby_volts]").fill("12.5")
    box.get_by_role("button", name="Save this step").click()
    sheet.get_by_text("0.21 A flow with everything off, 151 Ah in a month; only 0.09 A is written down").wait_for(state="attached")
    new = [fields for row, fields in of_kind(sheet, "reading").items() if row not in known]
    assert [(one["amps"], one["on"], len(one["off"])) for one in new] == [(0.21, [], 6)]


def test_a_drop_across_a_connection_becomes_its_baseline(sheet):
    for name, mv in (("negative post lug", "18"), ("main fuse", "7.5")):
        box = step(sheet, "drop")
        box.locator("[name=name]").fill(name)
        box.locator("[name=mv]").fill(mv)
        box.locator("[name=amps]").fill("5")
        box.get_by_role("button", name="Save this connection").click()
        sheet.get_by_text(f"{name}: ").wait_for()
    text = sheet.inner_text("details[data-step=drop]")
    assert "negative post lug: 3.6 milliohm" in text and "serves up to about 28 A" in text
    assert sorted(one["mohm"] for one in of_kind(sheet, "finding").values()) == [1.5, 3.6]


def test_a_full_charge_is_a_full_reading(sheet):
    known = set(of_kind(sheet, "reading"))
    box = step(sheet, "full")
    box.locator("[name=tail_amps]").fill("1")
    box.get_by_role("button", name="Save this step").click()
    sheet.get_by_text("1 of 7 steps done").wait_for()
    assert [fields["state"] for row, fields in of_kind(sheet, "reading").items() if row not in known] == ["full"]


def test_a_photo_is_kept_small_under_the_name_of_its_content_and_without_what_a_camera_adds(sheet):
    picture = base64.b64decode(sheet.evaluate(NOISE))
    assert len(picture) > 300_000
    box = step(sheet, "settings")
    box.locator("input[type=file]").set_input_files({"name": "p.png", "mimeType": "image/png", "buffer": picture})
    sheet.locator("canvas.photo").wait_for(state="visible")
    box.locator("[name=absorption_v]").fill("14.7")
    box.get_by_role("button", name="Save this step").click()
    sheet.get_by_text("1 of 7 steps done").wait_for()
    kept = sheet.evaluate(PHOTOS)
    assert len(kept) == 1 and 1000 < kept[0]["size"] <= 200 * 1024 and kept[0]["type"] == "image/jpeg"
    assert b"Exif" not in bytes(kept[0]["head"])
    finding = next(one for one in of_kind(sheet, "finding").values() if one["check_id"] == "commissioning.settings")
    assert finding["photo"] == kept[0]["name"] and len(kept[0]["name"]) == hashlib.sha256().digest_size * 2
    assert of_kind(sheet, "source")["roof-panel"]["absorption_v"] == 14.7


def test_what_is_no_picture_is_refused_with_a_sentence(sheet):
    box = step(sheet, "settings")
    box.locator("input[type=file]").set_input_files({"name": "p.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"})
    sheet.get_by_text("That could not be kept as a photo").wait_for()
    assert sheet.evaluate(PHOTOS) == []


@pytest.mark.parametrize("name, fields, said", [
    ("leads", {}, "Nothing is chosen"), ("meter", {"posts_volts": "126", "panel_volts": "12"}, "“126” is not a number from 8 to 16"),
    ("standby", {"standby_amps": "", "standby_volts": "12"}, "Amps: nothing is typed"),
    ("drop", {"name": "", "mv": "5", "amps": "5"}, "The connection has no name"),
    ("drop", {"name": "lug", "mv": "5", "amps": "0"}, "“0” is not a number from 0.5 to 1000"),
])
def test_a_step_that_lacks_something_says_what_and_writes_nothing(sheet, name, fields, said):
    before = len(rows(sheet, "ops"))
    box = step(sheet, name)
    for field, value in fields.items():
        box.locator(f"[name={field}]").fill(value)
    box.locator("button[type=submit]").click()
    assert said in sheet.inner_text(f"#{name}-problem")
    assert len(rows(sheet, "ops")) == before


def test_every_step_carries_its_caution_where_the_work_is_done(sheet):
    found = sheet.evaluate("Array.from(document.querySelectorAll('.step'), (s) => s.querySelector('.caution').textContent)")
    assert len(found) == 7 and all("local codes" in text for text in found)


def test_a_saved_step_can_be_taken_back(sheet):
    box = step(sheet, "labels")
    box.get_by_role("button", name="Save this step").click()
    sheet.get_by_text("1 of 7 steps done").wait_for()
    sheet.get_by_role("button", name="Undo").click()
    sheet.get_by_text("0 of 7 steps done").wait_for()
