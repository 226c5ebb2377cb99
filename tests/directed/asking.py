"""Asks Daybank about a simulated camp, through the door by which files come in."""
import functools
import json

from daybank import records
from daybank.energy import forecast

MEMBERS = 800  # the effects asked for are of the model, so the luck of a small ensemble is kept out


def answer(export: dict) -> dict:
    """The answer to an export; the same export is asked once in a run."""
    return json.loads(_answer_text(json.dumps(export, sort_keys=True)))


@functools.lru_cache(maxsize=None)
def _answer_text(text: str) -> str:
    question = records.question_from_export(records.read_export(text))
    return json.dumps(forecast.answer(question, members=MEMBERS))


def width(band: dict) -> float:
    """P90 less P10."""
    return band["p90"] - band["p10"]


def charge(asked: dict) -> float:
    """Median state of charge."""
    return asked["state_of_charge"]["p50"]


def ah(asked: dict, day: str, circuit: str | None = None) -> float:
    """Amp-hours out on a day ahead: of one circuit (mean), or of all (median)."""
    out = _day(asked, day)["out_ah"]
    return out["p50"] if circuit is None else out["by_circuit"][circuit]


def in_ah(asked: dict, day: str) -> float:
    """Median amp-hours in on a day ahead."""
    return _day(asked, day)["in_ah"]["p50"]


def _day(asked, day):
    return next(row for row in asked["days"] if row["day"] == day)
