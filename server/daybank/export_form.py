"""The fields of daybank-export/1: which must be there, what each accepts, and how rows refer to each other.

Bounds are our own unless a line says otherwise; they are wide, since they catch slips of the pen and not rare rigs.
A field that is not listed is kept unread: a newer phone may have written it.
"""
from daybank import field_checks as f
from daybank import local_days
from daybank.strict_json import Refusal, shown

FORMAT = "daybank-export/1"
CHEMISTRIES = ("agm", "flooded", "gel", "lifepo4")
PLAUSIBLE_V = (8.0, 16.0)  # a 12 V bank from dead flat to equalising; a flatter one is confirmed by the person

_share = f.number(0, 1, "(a share)")
_current = f.number(0, 1000, "amps")
_c = f.number(-60, 70, "degrees C")
_wire = {"wire_mm2": f.number(0.05, 200, "mm2"), "wire_awg": f.wire_gauge, "wire_m": f.number(0, 100, "metres")}
_appliance_v = f.volts(5, 15)
_charger_v = f.volts(12, 16.5)
_place = {"lat_deg": f.number(-90, 90, "degrees"), "lon_deg": f.number(-180, 180, "degrees")}
_where = {"altitude_m": f.number(-450, 6000, "metres"), "shade": _share}

REQUIRED = {
    "rig": ("name", "nominal_v", "timezone"),
    "banks": ("chemistry", "rated_ah", "floor_soc"),
    "sources": ("kind",),
    "circuits": ("id", "name", "feed", "when"),
    "inverters": ("idle_w",),
    "gauges": ("name", "at"),
    "trips": ("starts_at", "ends_at", "lat_deg", "lon_deg"),
    "trips[].stops": ("from",),
    "readings": ("at", "state"),
    "uses": (),
    "skies": ("day", "condition"),
    "charges": ("source_id", "starts_at", "hours"),
    "positions": ("at", "position"),
    "events": ("kind",),
    "selector": ("positions",),
    "selector.positions": ("name", "feeds"),
}
FIELDS = {
    "rig": {"name": f.text, "nominal_v": f.choice(12, 24), "timezone": f.time_zone, **_place},
    "banks": {
        "chemistry": f.choice(*CHEMISTRIES), "rated_ah": f.number(0, 10_000, "amp-hours", above=True),
        "rated_h": f.number(1, 200, "hours"), "in_parallel": f.whole(1, 50),
        "floor_soc": f.number(0, 0.99, "(a share)"), "installed_on": f.day, "removed_on": f.day,
    },
    "sources": {
        "kind": f.choice("solar", "alternator", "shore"), "panel_w": f.number(0, 20_000, "watts", above=True),
        "tilt_deg": f.number(0, 90, "degrees"), "azimuth_deg": f.number(0, 360, "degrees"),
        "azimuth_from_nose_deg": f.number(-360, 360, "degrees"), "controller": f.choice("mppt", "pwm"),
        "max_a": f.number(0, 1000, "amps", above=True), "absorption_v": _charger_v, "float_v": _charger_v,
        "output_max_a": f.number(0, 1000, "amps", above=True), "output_cutoff_v": _appliance_v,
        "link": f.choice("plain", "dc_dc"), **_wire,
    },
    "circuits": {
        "name": f.text, "feed": f.choice("bank", "fuse_block", "controller_output"), "draw_a": _current,
        "draw_w": f.number(0, 20_000, "watts"), "draw_from": f.choice("measured", "label", "guess"),
        "when": f.choice("always", "thermostat", "evening", "night", "day", "any"),
        "typical_h_per_day": f.number(0, 24, "hours a day"), "duty_at_25c": _share, "through_inverter": f.true_false,
        "fuse_a": f.number(0, 1000, "amps", above=True), "cutoff_v": _appliance_v, "essential": f.true_false, **_wire,
    },
    "inverters": {
        "idle_w": f.number(0, 500, "watts"), "efficiency": f.number(0.2, 1, "(a share)"), "cutoff_v": _appliance_v,
        "left_on": f.true_false,
    },
    "gauges": {
        "name": f.text, "at": f.choice("posts", "panel"), "resolution_v": f.number(0, 1, "volts", above=True),
        "shared_circuits": f.texts, **_wire,
    },
    "trips": {
        "name": f.text, "starts_at": f.moment, "ends_at": f.moment, **_place, **_where, "night_c": _c, "day_c": _c,
    },
    "trips[].stops": {
        "from": f.moment, **_place, **_where, "sun_window": f.pair_of(f.clock),
        "heading_deg": f.number(0, 360, "degrees"), "slope_deg": f.number(0, 45, "degrees"),
        "slope_toward_deg": f.number(0, 360, "degrees"),
    },
    "readings": {
        "at": f.moment, "gauge_id": f.text, "state": f.choice("rested", "loaded", "charging", "full", "unknown"),
        "on": f.texts, "off": f.texts, "amps": f.number(-2000, 2000, "amps"), "rested_h": f.number(0, 10_000, "hours"),
        "bank_c": _c, "confirmed": f.true_false, "note": f.note,
    },
    "uses": {
        "day": f.day, "circuit_id": f.text, "hours": f.number(0, 25, "hours in a day"), "from": f.moment,
        "until": f.moment, "kind": f.choice("as_usual", "away"),
    },
    "skies": {
        "day": f.day, "condition": f.choice("clear", "partly", "overcast", "rain", "unknown"), "shade": _share,
        "harvest_ah": f.number(0, 5000, "amp-hours"), "night_c": _c, "day_c": _c,
    },
    "charges": {"source_id": f.text, "starts_at": f.moment, "hours": f.number(0, 1000, "hours")},
    "positions": {"at": f.moment, "position": f.text},
    "events": {
        "at": f.moment, "between": f.pair_of(f.moment),
        "kind": f.choice("cut_out", "fuse_blown", "restored", "flat", "jump_start"), "circuit_id": f.text,
        "note": f.note,
    },
    "selector": {},
    "selector.positions": {
        "name": f.text, "feeds": f.choice("nothing", "bank", "controller", "both"), "kills_gauge": f.true_false,
    },
}
NEEDED_LISTS = ("banks", "circuits")
LISTS = tuple(name for name in FIELDS if name not in ("rig", "selector") and "." not in name) + ("checks", "findings")
REFERENCES = {  # field of a row -> the list whose ids it names
    "gauges": {"shared_circuits": "circuits"}, "readings": {"gauge_id": "gauges", "on": "circuits", "off": "circuits"},
    "uses": {"circuit_id": "circuits"}, "charges": {"source_id": "sources"}, "events": {"circuit_id": "circuits"},
}
_BY_VOLTS = (_appliance_v, _charger_v)
_PARTS = ("banks", "sources", "inverters", "gauges", "trips")


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
    for field in FIELDS[form]:
        if field in row and row[field] is None:  # the phone clears a field by writing null
            del row[field]
    for field in REQUIRED[form]:
        if field not in row:
            raise Refusal(f"{path}.{field}", f"is missing; accepted is {_accepted(field)}; add it")
    for field, check_field in FIELDS[form].items():
        if field in row:
            if check_field in _BY_VOLTS:
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
            if name in _PARTS:
                row["id"] = f"{name}-{index}"
            elif "id" in row:
                del row["id"]
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
