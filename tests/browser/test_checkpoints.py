"""What the model laid aside at midnight: an answer that goes on from it is the same, and no changed log is answered with it."""

import json
from datetime import datetime

import pytest

from browser.conftest import answer_of, eventually, rows, wait_for_final
from browser.logs import long_log
from browser.test_a_day_at_camp import save, type_reading
from browser.test_energy_worker import ask  # noqa: F401 - a fixture
from conftest import ROOT

MEMBERS = [12, 80]
# Rows of hours that a phone may spend on the first range and on the final one.
MOST_STEPS_FIRST, MOST_STEPS_FINAL = 13_000, 50_000


def story(name):
    data = json.loads((ROOT / "tests" / "trial" / "cases" / f"{name}.json").read_text())
    data.pop("truth")
    return data, datetime.fromisoformat(data.pop("asked_at")).timestamp()


def asked(ask, data, asked_s, checkpoints=()):  # noqa: F811
    heard = ask([{"id": 1, "exported": data, "asked_at": asked_s, "checkpoints": list(checkpoints)}], 3)
    assert [reply["stage"] for reply in heard] == ["first", "final", "checkpoints"], heard
    assert heard[0]["answer"]["steps"] <= MOST_STEPS_FIRST
    return heard[1]["answer"], heard[2]["checkpoints"]


def figures(answer):
    return [answer[name][p] for name in ("state_of_charge", "days_left", "days_left_without_sun")
            for p in ("p10", "p50", "p90")] + [night["dawn_soc"]["p50"] for night in answer["nights"]]


@pytest.mark.parametrize("name", ["a-001", "a-017", "story-004"])
def test_an_answer_from_a_checkpoint_is_the_answer_from_the_whole_log_and_costs_less(ask, name):  # noqa: F811
    data, asked_s = story(name)
    whole, made = asked(ask, data, asked_s)
    assert sorted(one["members"] for one in made) == MEMBERS
    short, again = asked(ask, data, asked_s, made)
    assert figures(short) == pytest.approx(figures(whole), abs=1e-3)
    assert short["steps"] < whole["steps"]
    assert again == [], "the same midnight is not laid aside twice"


def test_ten_years_of_log_cost_no_more_than_a_fortnight_once_a_midnight_is_laid_aside(ask):  # noqa: F811
    asked_s = datetime.fromisoformat("2025-07-08T20:10-06:00").timestamp()
    short, made = asked(ask, long_log(asked_s, 14), asked_s)
    log = long_log(asked_s, 3650)
    assert sum(len(rows) for rows in log.values() if isinstance(rows, list)) > 18_000
    _, made = asked(ask, log, asked_s)
    final, _ = asked(ask, log, asked_s, made)
    assert final["steps"] < 1.2 * short["steps"]
    assert final["steps"] <= MOST_STEPS_FINAL


def test_the_phone_lays_two_sizes_aside_and_a_reading_of_now_leaves_them(demo):
    wait_for_final(demo)
    before = rows(demo, "checkpoints")
    assert [one["members"] for one in before] == MEMBERS
    type_reading(demo, "12.5")
    save(demo)
    demo.get_by_text("Saved on this phone").wait_for()
    wait_for_final(demo)
    assert rows(demo, "checkpoints") == before


def test_a_back_dated_reading_discards_what_came_after_it_and_is_heard(demo):
    wait_for_final(demo)
    before = answer_of(demo)
    type_reading(demo, "12.45")
    demo.locator("label.chip:has([name=when][value=other])").click()
    demo.fill("[name=at]", "2025-07-07T22:30")
    demo.get_by_text("Not right?").click()
    demo.locator("label.chip:has([name=state][value=rested])").click()
    stop_laying_aside(demo)
    save(demo)
    demo.get_by_text("Saved on this phone").wait_for()
    assert rows(demo, "checkpoints") == []
    wait_for_final(demo)
    # heard at all, however little it says: the same seed gives the same answer to the same log
    assert abs(answer_of(demo)["learned"]["gauge_offset_v"]["p50"] - before["learned"]["gauge_offset_v"]["p50"]) > 1e-5


def stop_laying_aside(page):
    """From here on no checkpoint is stored, so that what the change left of them can be seen."""
    page.evaluate("""() => {
        const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (...args) {
            if (this.name === 'checkpoints') throw new DOMException('not now', 'QuotaExceededError');
            return put.apply(this, args);
        };
    }""")


def test_deleting_an_entry_of_an_earlier_day_discards_them_too_and_so_does_undo(demo):
    wait_for_final(demo)
    demo.get_by_role("link", name="Logbook").click()
    demo.locator(".log-day").last.locator("[data-act=delete]").last.click()
    demo.get_by_text("Deleted.").wait_for()
    wait_for_final(demo)
    eventually(lambda: len(rows(demo, "checkpoints")) == 2)
    first = rows(demo, "checkpoints")[1]["text"]
    demo.get_by_role("button", name="Undo").click()
    wait_for_final(demo)
    eventually(lambda: [one["text"] for one in rows(demo, "checkpoints")][1:] not in ([], [first]))


ROW = {"from": {"from": "2025-07-08T01:00:00-06:00"}, "day": {"day": "2025-07-08", "hours": 2},
       "at": {"at": "2025-07-08T01:00:00-06:00"}, "between": {"between": ["2025-07-08T01:00:00-06:00", "2025-07-08T03:00:00-06:00"]}}
MIDNIGHT_S = 1751954400  # 2025-07-08T00:00:00-06:00


@pytest.mark.parametrize("tbl, fields, from_midnight_s", [
    ("use", ROW["from"], 3600), ("use", ROW["day"], 0), ("sky", ROW["day"], 0), ("reading", ROW["at"], 3600),
    ("event", ROW["between"], 3600), ("charge", {"starts_at": ROW["at"]["at"]}, 3600), ("position", ROW["at"], 3600),
])
def test_an_entry_speaks_from_its_own_moment_or_its_days_local_midnight_on(call, tbl, fields, from_midnight_s):
    said = call("checkpoints", "m.speaksFromS(a[0], a[1], 'America/Denver')", tbl, fields)
    assert said == MIDNIGHT_S + from_midnight_s


def test_a_part_of_the_rig_speaks_about_all_time_and_a_check_about_none(call):
    said = "[...'rig bank source circuit inverter gauge selector trip other'.split(' '), 'check', 'finding']"
    assert call("checkpoints", f"{said}.map((tbl) => String(m.speaksFromS(tbl, {{ at: '2025-07-08T01:00Z' }}, 'UTC')))") == (
        ["-Infinity"] * 9 + ["Infinity"] * 2)
    assert call("checkpoints", "String(m.speaksFromS('sky', { day: '2025-07-08' }, null))") == "-Infinity"


def test_three_midnights_of_each_size_are_kept_and_none_of_another_model(call):
    kept = [{"members": members, "at": at, "model": "new"} for members in MEMBERS for at in (1, 2, 3, 4)]
    kept.append({"members": 12, "at": 9, "model": "old"})
    gone = call("checkpoints", "m.outworn(a[0], 'new')", kept)
    assert sorted((one["members"], one["at"]) for one in gone) == [(12, 1), (12, 9), (80, 1)]
    fits = call("checkpoints", "m.fitting(a[0], 3.5, 'new')", kept)
    assert sorted((one["members"], one["at"]) for one in fits) == [(12, 3), (80, 3)]
