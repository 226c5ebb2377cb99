"""The worker alone: the model's files in its own interpreter, one question at a time, the newest first."""

import json

import pytest

from conftest import ROOT
from daybank.energy import forecast
from daybank.records import question_from_export, read_export

ASK = """async ([url, tasks, replies]) => {
    const worker = new Worker(url, { type: 'module' });
    const heard = [];
    const done = new Promise((resolve) => {
        worker.onmessage = ({ data }) => { heard.push(data); if (heard.length === replies) resolve(); };
        worker.onerror = (event) => { heard.push({ broken: String(event.message) }); resolve(); };
    });
    for (const task of tasks) worker.postMessage(task);
    await done;
    await new Promise((resolve) => { setTimeout(resolve, 200); });
    worker.terminate();
    return heard;
}"""


@pytest.fixture(scope="module")
def ask(chromium, server):
    """Sends tasks to a fresh worker and waits for so many replies; later ones are given 0.2 s to betray themselves."""
    context = chromium.new_context(service_workers="block")
    page = context.new_page()
    page.goto(server.url + "safe.html")
    worker = server.address("js/energy-worker.js")
    yield lambda tasks, replies: page.evaluate(ASK, [worker, tasks, replies])
    context.close()


def demo():
    return read_export((ROOT / "pwa" / "demo" / "demo.json").read_text())


def test_a_question_is_answered_twice_first_roughly_then_well(ask):
    heard = ask([{"id": 7, "question": question_from_export(demo()), "members": [20, 60]}], 3)
    assert [(reply["id"], reply["stage"]) for reply in heard] == [(7, "first"), (7, "final"), (7, "checkpoints")]
    assert [reply["answer"]["members"] for reply in heard[:2]] == [20, 60]


def test_the_phones_answer_is_the_computers(ask):
    question = question_from_export(demo())
    heard = ask([{"id": 1, "question": question, "members": [20, 20]}], 2)
    there = json.loads(json.dumps(forecast.answer(question, members=20, seed=1)))
    assert heard[0]["answer"]["days_left"] == pytest.approx(there["days_left"], rel=1e-9)
    assert heard[0]["answer"]["state_of_charge"] == pytest.approx(there["state_of_charge"], rel=1e-9)


def test_an_export_is_made_into_the_same_question_inside_the_worker(ask):
    exported = demo()
    question = question_from_export(exported)
    heard = ask([{"id": 1, "exported": exported, "asked_at": question["asked_at"], "members": [20, 20]}], 2)
    heard_question = ask([{"id": 1, "question": question, "members": [20, 20]}], 2)
    assert heard[0]["answer"] == heard_question[0]["answer"]


def test_a_newer_question_takes_the_place_of_an_older_one(ask):
    question = question_from_export(demo())
    heard = ask([{"id": number, "question": question, "members": [20, 60]} for number in (1, 2, 3)], 3)
    assert [(reply["id"], reply["stage"]) for reply in heard] == [(3, "first"), (3, "final"), (3, "checkpoints")]


def test_a_faulty_question_is_answered_with_a_sentence_and_the_next_one_still_works(ask):
    question = question_from_export(demo())
    faulty = json.loads(json.dumps(question))
    faulty["banks"][0]["chemistry"] = "potato"
    heard = ask([{"id": 1, "question": faulty, "members": [20, 20]}], 1)
    assert heard[0]["id"] == 1 and "potato" in heard[0]["error"]
    assert not heard[0]["error"].startswith("Traceback")


def test_the_rises_and_sets_of_the_sun_come_with_the_answer(ask):
    question = question_from_export(demo())
    trip = question["trips"][0]
    place = {"lat_deg": trip["lat_deg"], "lon_deg": trip["lon_deg"]}
    heard = ask([{"id": 1, "question": question, "members": [20, 20], "place": place}], 2)
    today = next(sun for sun in heard[0]["suns"] if sun["day"] == "2025-07-08")
    # Early in July the day is about 14 h 55 min long at 40 degrees north (from memory).
    assert today["rise_s"] < question["asked_at"] < today["set_s"]
    assert 14.5 < (today["set_s"] - today["rise_s"]) / 3600 < 15.3
