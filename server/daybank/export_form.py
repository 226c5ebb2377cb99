"""Checks a whole export against the fields of the format, and how its rows refer to each other."""
from daybank import field_checks as f
from daybank import local_days
from daybank.export_fields import (
    BY_VOLTS,
    FIELDS,
    FORMAT,
    LISTS,
    NEEDED_LISTS,
    PARTS,
    PLAUSIBLE_V,
    REFERENCES,
    REQUIRED,
)
from daybank.strict_json import Refusal, shown


def check(export: dict) -> None:
    """Checks a whole export in place; leaves known fields out that hold null, and gives parts without an id one.

    Raises
        Refusal: the first fault, in the order of the format.
    """
    _check_format(export)
    _check_rig(export)
    nominal_v = export["rig"]["nominal_v"]
    for name in LISTS:
        rows = _rows(export, name)
        if name in FIELDS:
            for index, row in enumerate(rows):
                _check_fields(row, name, f"{name}[{index}]", nominal_v)
        _check_ids(rows, name)
    if export.get("selector") is None:
        export.pop("selector", None)
    else:
        _check_selector(export["selector"], nominal_v)
    for name, check_row in _RULES.items():
        for index, row in enumerate(export.get(name, [])):
            check_row(row, f"{name}[{index}]", nominal_v)
    _check_banks(export["banks"])
    _check_references(export)
    if export.get("asked_at") is None:
        export.pop("asked_at", None)
    else:
        f.moment(export["asked_at"], "asked_at")
        check_not_later(export)


def check_not_later(export: dict) -> None:
    """Readings, positions and events lie before the export's own asked_at."""
    asked_at = local_days.seconds(export["asked_at"])
    for name in ("readings", "positions", "events"):
        for index, row in enumerate(export.get(name, [])):
            field, last = ("between", row["between"][1]) if "between" in row else ("at", row["at"])
            if local_days.seconds(last) > asked_at:
                raise Refusal(
                    f"{name}[{index}].{field}", f"{last} lies after the question (asked_at {export['asked_at']}); "
                    "accepted are readings, positions and events that have happened; correct one of the two times",
                )


def _check_format(export: dict) -> None:
    given = export.get("format")
    if given == FORMAT:
        return
    kind, _, version = given.partition("/") if isinstance(given, str) else ("", "", "")
    if kind == "daybank-export" and version.isdecimal() and version.isascii() and int(version) > 1:
        raise Refusal("format", f"{shown(given)} is newer than this Daybank; accepted is {FORMAT}; update Daybank here")
    if kind == "daybank-log":
        raise Refusal("format", f"{shown(given)} is a change log; accepted is {FORMAT}; use \"export\" to write one")
    given_words = f"{shown(given)} was given" if "format" in export else "is missing"
    raise Refusal("format", f"{given_words}; accepted is {FORMAT}; give a file that Daybank exported")


def _check_rig(export: dict) -> None:
    rig = export.get("rig")
    if "rigs" in export or isinstance(rig, list):
        raise Refusal("rig", "a list of rigs was given; accepted is one rig in one file; export each rig by itself")
    if not isinstance(rig, dict):
        raise Refusal("rig", f"{_given(export, 'rig')}; accepted is an object with name, nominal_v, timezone; add it")
    _check_fields(rig, "rig", "rig", 12)
    _both_or_neither(rig, "rig")


def _rows(export: dict, name: str) -> list:
    if export.get(name) is None:
        if name in NEEDED_LISTS:
            raise Refusal(name, f"{_given(export, name)}; accepted is a list, which may not be left out; add it")
        export.pop(name, None)
        return []
    rows = export[name]
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise Refusal(name, f"{shown(rows, 40)} was given; accepted is a list of objects; write it so")
    return rows


def _check_fields(row: dict, form: str, path: str, nominal_v: float) -> None:
    for field in ("id", *FIELDS[form]):
        if field in row and row[field] is None:  # the phone clears a field by writing null
            del row[field]
    for field in REQUIRED[form]:
        if field not in row:
            raise Refusal(f"{path}.{field}", f"is missing; accepted is {_accepted(field)}; add it")
    for field, check_field in FIELDS[form].items():
        if field in row:
            if check_field in BY_VOLTS:
                check_field(row[field], f"{path}.{field}", nominal_v)
            else:
                check_field(row[field], f"{path}.{field}")


def _accepted(field: str) -> str:
    if field in ("at", "starts_at", "ends_at", "from"):
        return "a moment such as 2025-07-08T20:10-06:00"
    return "a value for it"


def _given(row: dict, field: str) -> str:
    return f"{shown(row[field], 40)} was given" if field in row else "is missing"


def _check_ids(rows: list, name: str) -> None:
    seen = {}
    for index, row in enumerate(rows):
        if row.get("id") is None:
            row.pop("id", None)
            if name in PARTS:
                row["id"] = f"{name}-{index}"
        if "id" in row:
            f.text(row["id"], f"{name}[{index}].id")
            if row["id"] in seen:
                raise Refusal(
                    f"{name}[{index}].id", f"{shown(row['id'])} is also the id of {name}[{seen[row['id']]}]; "
                    "accepted is "
                    "each id once in a list; rename one",
                )
            seen[row["id"]] = index


def _check_selector(selector: object, nominal_v: float) -> None:
    if not isinstance(selector, dict):
        raise Refusal("selector", f"{shown(selector, 40)} was given; accepted is an object with positions; add them")
    _check_fields(selector, "selector", "selector", nominal_v)
    positions = _rows(selector, "positions")
    for index, position in enumerate(positions):
        _check_fields(position, "selector.positions", f"selector.positions[{index}]", nominal_v)


def _both_or_neither(row: dict, path: str) -> None:
    for have, lack in (("lat_deg", "lon_deg"), ("lon_deg", "lat_deg")):
        if have in row and lack not in row:
            raise Refusal(f"{path}.{lack}", f"is missing beside {have}; accepted are both or neither; add it")


def _check_source(row: dict, path: str, nominal_v: float) -> None:
    if row["kind"] != "solar":
        needed = ("max_a",)
    else:
        needed = ("panel_w", "tilt_deg", "controller")
        if "azimuth_deg" not in row and "azimuth_from_nose_deg" not in row:
            raise Refusal(
                f"{path}.azimuth_deg", "is missing; accepted is azimuth_deg or azimuth_from_nose_deg; add one"
            )
    for field in needed:
        if field not in row:
            raise Refusal(f"{path}.{field}", f"is missing; a source of kind {row['kind']} needs it; add it")


def _check_circuit(row: dict, path: str, nominal_v: float) -> None:
    if ("draw_a" in row) == ("draw_w" in row):
        given = "both draw_a and draw_w were given" if "draw_a" in row else "no draw was given"
        raise Refusal(
            f"{path}.draw_a", f"{given} for {shown(row['name'])}; accepted is one of draw_a (amps) and draw_w (watts); "
            "read it off the label or measure it",
        )


def _check_trip(row: dict, path: str, nominal_v: float) -> None:
    starts_at, ends_at = local_days.seconds(row["starts_at"]), local_days.seconds(row["ends_at"])
    if ends_at <= starts_at:
        raise Refusal(
            f"{path}.ends_at", f"the trip ends at {row['ends_at']}, not after it starts ({row['starts_at']}); accepted "
            "is an end after the start; correct one of the two",
        )
    if row.get("stops") is None:
        row.pop("stops", None)
        return
    for index, stop in enumerate(_rows(row, "stops")):
        here = f"{path}.stops[{index}]"
        _check_fields(stop, "trips[].stops", here, nominal_v)
        _both_or_neither(stop, here)
        if local_days.seconds(stop["from"]) >= ends_at:
            raise Refusal(
                f"{here}.from", f"the stop begins at {stop['from']}, after the trip has ended; accepted is a moment "
                "within "
                "the trip; correct it",
            )


def _check_reading(row: dict, path: str, nominal_v: float) -> None:
    if row.get("volts") is None:
        row.pop("volts", None)
        return
    f.quantity(row["volts"], f"{path}.volts", "volts")
    low, high = (bound * nominal_v / 12 for bound in PLAUSIBLE_V)
    if not low <= row["volts"] <= high and not row.get("confirmed"):
        raise Refusal(
            f"{path}.volts", f"{row['volts']:g} V was given; accepted is {low:g} to {high:g} V on a {nominal_v:g} V "
            "rig; "
            f"correct it{f.meant(row['volts'], low, high)}, or add \"confirmed\": true to keep it without weight",
        )


def _check_use(row: dict, path: str, nominal_v: float) -> None:
    if "kind" in row:
        good = "day" in row
    elif "from" in row:
        good = "circuit_id" in row
    else:
        good = "day" in row and "circuit_id" in row and "hours" in row
    if not good:
        raise Refusal(
            path, f"{shown(row)} was given; accepted is day, circuit_id and hours, or circuit_id and from, or day "
            "and kind; "
            "add what is missing",
        )
    if "until" in row and "from" in row and local_days.seconds(row["until"]) < local_days.seconds(row["from"]):
        raise Refusal(
            f"{path}.until", f"{row['until']} lies before from ({row['from']}); accepted is an end after the "
            "beginning; "
            "correct one of the two",
        )


def _check_event(row: dict, path: str, nominal_v: float) -> None:
    if ("at" in row) == ("between" in row):
        given = "both at and between were given" if "at" in row else "neither at nor between was given"
        raise Refusal(
            f"{path}.at", f"{given}; accepted is the moment, or the interval in which it happened; keep or add one "
            "of them"
        )
    if "between" in row and local_days.seconds(row["between"][1]) < local_days.seconds(row["between"][0]):
        raise Refusal(
            f"{path}.between", f"the interval ends ({row['between'][1]}) before it begins; accepted is first and last "
            "moment; swap them",
        )


_RULES = {
    "sources": _check_source, "circuits": _check_circuit, "trips": _check_trip, "readings": _check_reading,
    "uses": _check_use, "events": _check_event,
}


def _check_banks(banks: list) -> None:
    """At least one, each taken out after it came in, and one in service at a time."""
    if not banks:
        raise Refusal("banks", "the list is empty; accepted is at least one battery; add it")
    spans = []
    for index, bank in enumerate(banks):
        start, end = bank.get("installed_on", "0000"), bank.get("removed_on", "9999")
        if end < start:
            raise Refusal(
                f"banks[{index}].removed_on", f"{end} lies before installed_on ({start}); accepted is a later day; "
                "correct "
                "one of the two",
            )
        spans.append((start, end, index))
    spans.sort()
    for (_, end, first), (start, _, second) in zip(spans, spans[1:]):
        if start < end:
            raise Refusal(
                f"banks[{second}]", f"is in service while banks[{first}] is; accepted is one bank at a time (equal "
                "batteries side by side are in_parallel); give the first its removed_on, the second its installed_on",
            )


def _check_references(export: dict) -> None:
    ids = {name: {row["id"] for row in export.get(name, [])} for name in ("circuits", "gauges", "sources")}
    for name, fields in REFERENCES.items():
        for index, row in enumerate(export.get(name, [])):
            for field, target in fields.items():
                given = row.get(field, [])
                for one in given if isinstance(given, list) else [given]:
                    if one not in ids[target]:
                        raise Refusal(
                            f"{name}[{index}].{field}", f"{shown(one)} is no id of {target}; accepted are "
                            f"{_listed(ids[target])}; correct it or add it to {target}",
                        )
    names = {position["name"] for position in export.get("selector", {}).get("positions", [])}
    for index, row in enumerate(export.get("positions", [])):
        if row["position"] not in names:
            raise Refusal(
                f"positions[{index}].position", f"{shown(row['position'])} is no position of the selector; accepted "
                "are "
                f"{_listed(names)}; correct it or add it to selector.positions",
            )


def _listed(names: set) -> str:
    return ", ".join(shown(name, 30) for name in sorted(names)[:8]) or "none, as the list is empty"
