"""Reads an export file (daybank-export/1) and turns it into a question for the energy model.

An export is rows with times as a person can read them; a question is the same rows with moments as seconds since the
epoch and a table of the rig's local days, since the model knows no calendar. This is the only door by which a file
reaches the model. export_form.py knows the fields and their bounds.
"""
import copy
import os

from daybank import export_form, local_days
from daybank.strict_json import Refusal, read_object

__all__ = ["Refusal", "question_from_export", "read_export"]

LISTS = (
    "banks", "sources", "circuits", "inverters", "gauges", "trips", "readings", "uses", "skies", "charges", "positions",
    "events", "checks", "findings",
)
MOMENTS = {
    "trips": ("starts_at", "ends_at"), "readings": ("at",), "uses": ("from", "until"), "charges": ("starts_at",),
    "positions": ("at",), "events": ("at",),
}
NEVER_LATER = ("readings", "positions", "events")


def read_export(source: bytes | str | os.PathLike) -> dict:
    """An export that has passed every check of the format.

    Parameters
        source: a path object, or the text or bytes of a file.
    Returns
        The object of the file. Unknown fields are kept as they are; known fields that hold null are left out, and
        parts of the rig without an id get one.
    Raises
        Refusal: the first fault found, with its field.
    """
    export = read_object(source)
    export_form.check(export)
    return export


def question_from_export(export: dict, asked_at: int | float | None = None, *, ignore_later: bool = False) -> dict:
    """The question that the energy model answers.

    Parameters
        export: from read_export.
        asked_at: seconds since the epoch; None takes the export's own asked_at.
        ignore_later: ask as on that earlier moment: records after it are left out, and a use that ran past it is open.
    Returns
        A new object: moments as seconds since the epoch, "days" as local_days.table makes them, missing lists empty,
        no truth.
    Raises
        Refusal: no moment to ask about, a record of the future, or no bank in service.
    """
    question = {key: copy.deepcopy(value) for key, value in export.items() if key != "truth"}
    for name in LISTS:
        question.setdefault(name, [])
    for name, fields in MOMENTS.items():
        for row in question[name]:
            for field in fields:
                if field in row:
                    row[field] = local_days.seconds(row[field])
    for trip in question["trips"]:
        for stop in trip.get("stops", []):
            stop["from"] = local_days.seconds(stop["from"])
    for event in question["events"]:
        if "between" in event:
            event["between"] = [local_days.seconds(moment) for moment in event["between"]]
    if asked_at is None:
        if "asked_at" not in export:
            raise Refusal("asked_at", "is missing; accepted is the moment of the question; give it with --at")
        asked_at = local_days.seconds(export["asked_at"])
    question["asked_at"] = asked_at
    tz = local_days.zone(export["rig"]["timezone"])
    asked_on = local_days.day_of(asked_at, tz)
    if ignore_later:
        _drop_later(question, asked_on.isoformat())
    _refuse_future(question)
    _refuse_without_bank(question, asked_on.isoformat())
    question["days"] = local_days.table(first=_first_day(question, asked_on, tz), asked_on=asked_on, tz=tz)
    return question


def latest_moment(row: dict) -> int | float:
    """When a reading, position or event had happened for certain: its moment, or the end of its interval."""
    return row["between"][1] if "between" in row else row["at"]


def _drop_later(question: dict, asked_on: str) -> None:
    asked_at = question["asked_at"]
    for name in NEVER_LATER:
        question[name] = [row for row in question[name] if latest_moment(row) <= asked_at]
    question["charges"] = [row for row in question["charges"] if row["starts_at"] <= asked_at]
    question["skies"] = [row for row in question["skies"] if row["day"] <= asked_on]
    question["uses"] = [
        row for row in question["uses"] if (row["day"] <= asked_on if "day" in row else row["from"] <= asked_at)
    ]
    for use in question["uses"]:
        if use.get("until", 0) > asked_at:
            del use["until"]


def _refuse_future(question: dict) -> None:
    for name in NEVER_LATER:
        for index, row in enumerate(question[name]):
            if latest_moment(row) > question["asked_at"]:
                field = f"{name}[{index}].{'between' if 'between' in row else 'at'}"
                raise Refusal(
                    field, "lies after the moment of the question; accepted are readings, positions and events that "
                    "have happened; correct its time, or ask with --at, which leaves later records out",
                )


def _refuse_without_bank(question: dict, asked_on: str) -> None:
    for bank in question["banks"]:
        if bank.get("installed_on", "") <= asked_on < bank.get("removed_on", "9999"):
            return
    raise Refusal(
        "banks", f"hold no battery in service on {asked_on}; accepted is one whose dates hold that day; correct its "
        "dates",
    )


def _first_day(question: dict, asked_on, tz):
    """Local day of the earliest record or of the start of the trip in force; else the day of the question."""
    moments = [row["between"][0] if "between" in row else row["at"] for name in NEVER_LATER for row in question[name]]
    moments += [row["starts_at"] for row in question["charges"]]
    asked_at = question["asked_at"]
    moments += [t["starts_at"] for t in question["trips"] if t["starts_at"] <= asked_at <= t["ends_at"]]
    moments += [row["from"] for row in question["uses"] if "from" in row]
    days = [local_days.day(row["day"]) for name in ("uses", "skies") for row in question[name] if "day" in row]
    return min([asked_on] + days + [local_days.day_of(moment, tz) for moment in moments])
