"""How far an answer depends on the luck of its draws: the same log again, other seeds, more members.

The figures behind the bounds come from this file run as a script, over all stories:

    .venv/bin/python tests/trial/test_steadiness.py [every n-th story] [sizes, for instance 80,160,320]

Distances are root mean squares over stories and over P10, P50 and P90 of the days left, as a share of the band's own
root mean square: a share of each story's band would be a quotient of noise where the band is a few minutes wide.
"""
import math
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

from daybank import records, trial
from daybank.energy import forecast

PATHS = sorted((Path(__file__).resolve().parent / "cases").glob("*.json"))
SPREAD = PATHS[3::5]       # 24 stories: 12 of each family, of every chemistry
PHONE = 80                 # members of the phone's final answer, pwa/js/question.js
USUAL = forecast.MEMBERS   # of the command line
LARGE = 400
QUANTILES = ("p10", "p50", "p90")


def ask(task: tuple) -> list:
    """Days left and CRPS of one story for each (members, seed), from one layout of its hours."""
    path, sizes = task
    export = records.read_export(path)
    asked = forecast.Asked(records.question_from_export(export))
    given = [asked.answer(members=members, seed=seed) for members, seed in sizes]
    return [{**answer["days_left"], "crps": trial.score(answer, export["truth"])["crps"]} for answer in given]


def ask_all(paths: list, sizes: list) -> dict:
    """(members, seed) to the days left of every story."""
    with ProcessPoolExecutor(max_workers=2) as pool:
        rows = list(pool.map(ask, [(path, sizes) for path in paths]))
    return {size: [row[k] for row in rows] for k, size in enumerate(sizes)}


def distance(few: list, many: list) -> float:
    """Root mean square difference of the quantiles over that of the bands."""
    differences = [(a[p] - b[p]) ** 2 for a, b in zip(few, many) for p in QUANTILES]
    bands = [(b["p90"] - b["p10"]) ** 2 for b in many]
    return math.sqrt(sum(differences) / len(differences)) / math.sqrt(sum(bands) / len(bands))


def crps(answers: list) -> float:
    """Mean score. [days]"""
    return sum(a["crps"] for a in answers) / len(answers)


@pytest.fixture(scope="module")
def answers() -> dict:
    """All that the laws below compare, asked once: about 34,000 members, half a minute of two cores."""
    return ask_all(SPREAD, [(PHONE, 1), (PHONE, 2), (PHONE, 3), (USUAL, 1), (4 * USUAL, 1), (LARGE, 1)])


@pytest.mark.parametrize("path", PATHS[::30], ids=lambda path: path.stem)
def test_the_same_log_asked_twice_gives_the_same_answer_to_the_last_digit(path):
    first, second = (forecast.answer(records.question_from_export(records.read_export(path)), members=PHONE)
                     for _ in range(2))
    assert first == second


@pytest.mark.parametrize("path", PATHS[::30], ids=lambda path: path.stem)
def test_an_answer_does_not_depend_on_what_was_asked_before_it(path):
    asked = forecast.Asked(records.question_from_export(records.read_export(path)))
    alone = asked.answer(members=PHONE)
    asked.answer(members=12, seed=2)
    assert asked.answer(members=PHONE) == alone


def test_the_spread_holds_both_families_and_every_chemistry():
    def chemistries(paths):
        return {bank["chemistry"] for path in paths for bank in records.read_export(path)["banks"]}
    assert {path.stem.split("-")[0] for path in SPREAD} == {"a", "story"}
    assert chemistries(SPREAD) == chemistries(PATHS)


# Measured over 40 stories, one size against four times as many: 100 members 9.9 %, 160 11.1 %, 200 8.2 %, 400 5.4 %.
# The luck of the draws falls with the root of their number, so that plain draws would need some 1,300 members.
@pytest.mark.xfail(reason="7 % of the band on these stories: plain draws need some 1,300 members for 3 %")
def test_four_times_the_members_move_the_answer_by_less_than_three_hundredths_of_the_band(answers):
    moved = distance(answers[USUAL, 1], answers[4 * USUAL, 1])
    print(f"{USUAL} against {4 * USUAL} members: {100 * moved:.1f} % of the band")
    assert moved < 0.03


def test_more_members_bring_the_answer_nearer_to_that_of_many(answers):
    many = answers[4 * USUAL, 1]
    of_the_phone = [distance(answers[PHONE, seed], many) for seed in (1, 2, 3)]
    print(f"{PHONE} members: {[round(100 * d, 1) for d in of_the_phone]} % of the band, {LARGE} members: "
          f"{100 * distance(answers[LARGE, 1], many):.1f} %")
    assert distance(answers[LARGE, 1], many) < 0.8 * sum(of_the_phone) / 3


def test_the_phones_ensemble_scores_within_a_twentieth_of_the_large_one(answers):
    # three seeds, since the luck of one moves the score of two dozen stories by some four hundredths
    phone = sum(crps(answers[PHONE, seed]) for seed in (1, 2, 3)) / 3
    print(f"CRPS of {PHONE} members {phone:.3f} days, of {LARGE} members {crps(answers[LARGE, 1]):.3f} days")
    assert phone < 1.05 * crps(answers[LARGE, 1])


def main():
    step = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    sizes = [int(n) for n in sys.argv[2].split(",")] if len(sys.argv) > 2 else [PHONE, USUAL, 4 * PHONE, 4 * USUAL]
    asked = ask_all(PATHS[::step], [(n, seed) for n in sizes for seed in (1, 2)])
    print(f"{len(PATHS[::step])} stories; share of the band by which answers differ [%], and CRPS [days]")
    for n in sizes:
        seeds = 100 * distance(asked[n, 1], asked[n, 2])
        fourfold = f"{100 * distance(asked[n, 1], asked[4 * n, 1]):5.1f}" if 4 * n in sizes else "    -"
        print(f"{n:5} members: another seed {seeds:5.1f}, four times the members {fourfold}, "
              f"CRPS {0.5 * (crps(asked[n, 1]) + crps(asked[n, 2])):.3f}")


if __name__ == "__main__":
    main()
