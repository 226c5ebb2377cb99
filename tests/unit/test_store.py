"""store.py: what is written is whole, what is merged is the same in any order, and what is wrong is said."""
import itertools
import json
import random
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest

from daybank import change_log, records
from daybank.change_log import Row
from daybank.store import Store, StoreError

NOW_MS = 1752000000000
DEMO = Path(__file__).resolve().parents[2] / "pwa" / "demo" / "demo.json"


@pytest.fixture
def path(tmp_path) -> Path:
    return tmp_path / "home.db"


@pytest.fixture
def store(path):
    with Store.open(path, now_ms=NOW_MS) as opened:
        yield opened


def op(number, at_ms=NOW_MS, **parts):
    return {"id": f"op-{number}", "dev": "phone", "sv": 1, "hlc": f"{at_ms:013d}-0000", "tbl": "reading", "row": "a",
            "set": {"volts": 12.5}, **parts}


# ---- writing and merging

def test_the_demo_comes_out_as_it_went_in(store):
    demo = records.read_export(DEMO)
    store.write("lark", change_log.rows_of_export(demo, "lark", lambda: store.new_id(NOW_MS)), now_ms=NOW_MS)
    expected = {**demo, "rig": {"id": "lark", **demo["rig"]}}
    del expected["asked_at"]
    assert json.dumps(store.export("lark"), sort_keys=True) == json.dumps(expected, sort_keys=True)
    assert store.faults() == []


def test_a_record_stands_in_a_plain_table_with_unknown_fields_beside(store):
    store.put("r", [op(1, set={"volts": 12.5, "on": ["fridge"], "confirmed": True, "mood": "fine", "amps": "many"})],
              now_ms=NOW_MS)
    row = store._rows("SELECT * FROM readings")[0]
    assert (row["rig"], row["id"], row["volts"], row["on"], row["confirmed"]) == ("r", "a", 12.5, '["fridge"]', 1)
    assert (row["amps"], json.loads(row["more"])) == (None, {"amps": "many", "mood": "fine"})


def test_a_change_delivered_twice_is_kept_once(store):
    assert [v.verdict for v in store.put("r", [op(1), op(1)], now_ms=NOW_MS)] == ["accepted", "duplicate"]
    assert [v.verdict for v in store.put("r", [op(1)], now_ms=NOW_MS)] == ["duplicate"]
    assert store.counts()["changes"] == 1


@pytest.mark.parametrize("part", [{"set": {"volts": 12.6}}, {"dev": "other"}, {"row": "b"}, {"sv": 2}])
def test_an_id_used_for_another_change_is_refused(store, part):
    store.put("r", [op(1)], now_ms=NOW_MS)
    assert store.put("r", [op(1, **part)], now_ms=NOW_MS)[0].verdict == "id-reuse"
    assert store.export("r")["readings"] == [{"id": "a", "volts": 12.5}]


def test_an_id_used_in_another_rig_is_refused(store):
    store.put("r", [op(1)], now_ms=NOW_MS)
    assert store.put("other", [op(1)], now_ms=NOW_MS)[0].verdict == "id-reuse"


def test_a_bad_change_stands_in_nobodys_way(store):
    sent = [op(1), op(2, set={"volts": float("nan")}), "nonsense", op(3, row="b")]
    verdicts = store.put("r", sent, now_ms=NOW_MS)
    assert [(v.id, v.verdict) for v in verdicts] == [
        ("op-1", "accepted"), ("op-2", "invalid"), (None, "invalid"), ("op-3", "accepted")]
    assert [row["id"] for row in store.export("r")["readings"]] == ["a", "b"]


def test_a_clock_far_ahead_is_refused_and_one_just_ahead_is_not(store):
    five_min_ms = 5 * 60 * 1000
    verdicts = store.put("r", [op(1, NOW_MS + five_min_ms), op(2, NOW_MS + five_min_ms + 1)], now_ms=NOW_MS)
    assert [v.verdict for v in verdicts] == ["accepted", "clock-ahead"]


def test_per_field_the_later_clock_wins_then_the_greater_id(store):
    store.put("r", [op(2, NOW_MS, set={"volts": 2.0, "note": "two"}),
                    op(1, NOW_MS - 5, set={"volts": 1.0, "amps": 3.0}), op(3, NOW_MS, set={"note": "three"})],
              now_ms=NOW_MS)
    assert store.export("r")["readings"] == [{"id": "a", "volts": 2.0, "amps": 3.0, "note": "three"}]


def test_changes_in_any_order_give_the_same_records(tmp_path):
    sent = [op(n, NOW_MS + at, row=row, set={field: n}) for n, (at, row, field) in enumerate(
        itertools.product((0, 1, 1), "ab", ("volts", "amps", "deleted_by")))]
    exports = set()
    for seed in range(4):
        random.Random(seed).shuffle(sent)
        with Store.open(tmp_path / f"{seed}.db", now_ms=NOW_MS) as store:
            store.put("r", sent, now_ms=NOW_MS)
            assert store.faults() == []
            exports.add(json.dumps(store.export("r")))
    assert len(exports) == 1


def test_a_deleted_record_leaves_its_table_and_comes_back(store):
    store.put("r", [op(1), op(2, NOW_MS + 1, set={"deleted": True})], now_ms=NOW_MS)
    assert store.export("r")["readings"] == store._rows("SELECT * FROM readings") == []
    store.put("r", [op(3, NOW_MS + 2, set={"deleted": False})], now_ms=NOW_MS)
    assert store.export("r")["readings"] == [{"id": "a", "volts": 12.5}]
    assert len(store._rows("SELECT * FROM readings")) == 1 and store.faults() == []


def test_a_record_of_a_later_kind_is_kept_and_handed_on_but_not_shown(store):
    later = op(1, tbl="tank", sv=7, set={"litres": 80})
    store.put("r", [later], now_ms=NOW_MS)
    assert store.changes_since("r", 0, 10)[0] == [later]
    assert "tanks" not in store.export("r") and store.faults() == []


def test_changes_are_handed_on_in_the_order_of_arrival_and_in_portions(store):
    sent = [op(n, NOW_MS - n, row=str(n)) for n in range(5)]
    store.put("r", sent, now_ms=NOW_MS)
    store.put("other", [op(9)], now_ms=NOW_MS)
    first, cursor, more = store.changes_since("r", 0, 3)
    rest, end, done = store.changes_since("r", cursor, 3)
    assert (first + rest, more, done) == (sent, True, False)
    assert store.changes_since("r", end, 3) == ([], end, False)


def test_own_changes_come_after_every_clock_seen(store):
    store.put("r", [op(1, NOW_MS + 200_000, set={"volts": 1.0})], now_ms=NOW_MS)
    store.write("r", [Row("reading", "a", {"volts": 2.0})], now_ms=NOW_MS)
    assert store.export("r")["readings"][0]["volts"] == 2.0


def test_own_records_are_kept_all_or_none(store):
    rows = [Row("reading", "a", {"volts": 1.0}), Row("reading", "b", {"volts": float("inf")})]
    with pytest.raises(StoreError, match="The reading 'b' can't be kept: set holds what .* Nothing was written."):
        store.write("r", rows, now_ms=NOW_MS)
    assert store.counts() == {"rigs": 0, "records": 0, "changes": 0}


def test_a_record_that_holds_nothing_is_a_record_still(store):
    store.write("r", [Row("check", "seals", {})], now_ms=NOW_MS)
    assert store.export("r")["checks"] == [{"id": "seals"}] and store.faults() == []


def test_a_deleted_rig_is_not_listed_and_its_records_stay(store):
    store.write("r", [Row("rig", "r", {"name": "Lark"}), Row("bank", "b", {"rated_ah": 100})], now_ms=NOW_MS)
    store.write("r", [Row("rig", "r", {"deleted": True})], now_ms=NOW_MS)
    assert store.rigs() == [] and store.export("r")["banks"] == [{"id": "b", "rated_ah": 100}]
    assert store.faults() == []


def test_threads_take_turns(store):
    def work(name):
        for n in range(20):
            store.write("r", [Row("reading", f"{name}-{n}", {"volts": n})], now_ms=NOW_MS)

    threads = [threading.Thread(target=work, args=(name,)) for name in "abc"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert store.counts()["records"] == 60 and store.faults() == []


def test_two_processes_on_one_file_take_turns(path, store):
    script = ("import sys\nfrom pathlib import Path\n"
              "from daybank.change_log import Row\nfrom daybank.store import Store\n"
              f"s = Store.open(Path(sys.argv[1]), now_ms={NOW_MS})\n"
              f"[s.write('r', [Row('reading', f'p{{n}}', {{'volts': n}})], now_ms={NOW_MS}) for n in range(20)]\n")
    other = subprocess.Popen([sys.executable, "-c", script, str(path)])
    for n in range(20):
        store.write("r", [Row("reading", f"q{n}", {"volts": n})], now_ms=NOW_MS)
    assert other.wait(timeout=60) == 0
    assert store.counts()["records"] == 40 and store.faults() == []


def test_a_full_disk_leaves_everything_as_it_was(store):
    store.write("r", [Row("reading", "a", {"volts": 12.5})], now_ms=NOW_MS)
    pages = store._db.execute("PRAGMA page_count").fetchone()[0]
    store._db.execute(f"PRAGMA max_page_count = {pages}")  # SQLite's own way to say that there is no more room
    with pytest.raises(StoreError, match="the disk is full: make room and try again. Nothing was written."):
        store.write("r", [Row("reading", str(n), {"note": "x" * 1000}) for n in range(100)], now_ms=NOW_MS)
    store._db.execute("PRAGMA max_page_count = 1000000")
    assert store.counts()["records"] == 1 and store.faults() == []
    store.write("r", [Row("reading", "b", {"volts": 12.4})], now_ms=NOW_MS)
    assert store.counts()["records"] == 2


@pytest.mark.parametrize("said_before", [1, 4, 9])
def test_what_was_said_to_be_kept_is_there_after_the_power_went(path, said_before):
    script = ("import sys\nfrom pathlib import Path\n"
              "from daybank.change_log import Row\nfrom daybank.store import Store\n"
              f"s = Store.open(Path(sys.argv[1]), now_ms={NOW_MS})\n"
              "for n in range(100000):\n"
              f"    s.write('r', [Row('reading', f'{{n}}-{{m}}', {{'volts': m}}) for m in range(20)], now_ms=1)\n"
              "    print(n, flush=True)\n")
    writer = subprocess.Popen([sys.executable, "-c", script, str(path)], stdout=subprocess.PIPE, text=True)
    said = [writer.stdout.readline() for _ in range(said_before)]
    writer.kill()
    writer.communicate()
    with Store.open(path, now_ms=NOW_MS) as store:
        records = store.counts()["records"]
        assert len(said) * 20 <= records and records % 20 == 0 and store.faults() == []


# ---- looking after the file

@pytest.mark.parametrize("damage, sentence", [
    ("UPDATE readings SET volts = 13", "The table readings does not show what the changes make of its records."),
    ("DELETE FROM readings", "The table readings does not show"),
    ("UPDATE cells SET value = '13'", "The fields of the records are not what the changes make of them."),
    ("UPDATE rigs SET name = 'other'", "The table rigs does not show"),
    ("DELETE FROM rigs", "refers to a row of rigs that is not there"),
    ("DELETE FROM cells; DELETE FROM entries", "The list of records is not what the changes make of it."),
])
def test_what_somebody_changed_behind_our_back_is_found(store, path, damage, sentence):
    store.write("r", [Row("rig", "r", {"name": "Lark"}), Row("reading", "a", {"volts": 12.5})], now_ms=NOW_MS)
    with closing(sqlite3.connect(path)) as db:
        db.executescript(damage)
    assert any(sentence in fault for fault in store.faults())


def test_a_flipped_page_is_found(path):
    with Store.open(path, now_ms=NOW_MS) as store:
        store.write("r", [Row("reading", f"{n}", {"note": "x" * 500}) for n in range(200)], now_ms=NOW_MS)
    data = bytearray(path.read_bytes())
    middle = len(data) // 2 // 4096 * 4096
    data[middle:middle + 200] = bytes(200)
    path.write_bytes(data)
    try:
        with Store.open(path, now_ms=NOW_MS) as store:
            said = " ".join(store.faults())
    except StoreError as error:
        said = str(error)
    assert "damaged" in said
