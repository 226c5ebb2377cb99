"""Every fault of an export's rows at once, for what a person writes by hand; export_form.py stops at the first.

Each row is checked by itself, with the rows it refers to put in place by stand-ins; references, ids and dates between
rows come after. What is accepted is still said in one place: every sentence is one of export_form's or of its checks.
"""
import copy
import re

from daybank import export_form, local_days
from daybank.export_fields import BY_VOLTS, FIELDS, FORMAT, LISTS, NEEDED_LISTS, REFERENCES, REQUIRED
from daybank.strict_json import Refusal, shown

_NESTED = {"trips": ("stops", "trips[].stops"), "selector": ("positions", "selector.positions")}
_STAND_INS = {
    "circuits": {"name": "x", "feed": "bank", "when": "any", "draw_a": 1}, "gauges": {"name": "x", "at": "posts"},
    "sources": {"kind": "shore", "max_a": 1},
}
_BANK = {"id": "b", "chemistry": "agm", "rated_ah": 1, "floor_soc": 0.5}


def all_faults(export: dict, *, accepted=lambda form, field: None) -> list:
    """All faults of an export as Refusals, in the order of the format; none for a good one, which stays as it is.

    Parameters
        export: with "rig" and lists as daybank-export/1 has them.
        accepted: what to say is accepted for a missing field of a form ("circuits", "trips[].stops"), or None.
    """
    rig = export.get("rig")
    if not isinstance(rig, dict):
        return [Refusal("rig", f"{_given(export, 'rig')}; accepted is a table with name, nominal_v and timezone; add "
                        "it")]
    faults = _field_faults(rig, "rig", "rig", 12, accepted) or _rule_faults("rig", rig, "rig", 12)
    nominal_v = rig.get("nominal_v") if rig.get("nominal_v") in (12, 24) else 12
    good, unread = {}, set()
    for name in (*LISTS, "selector"):
        rows, found = _rows(export, name)
        faults += found
        good[name] = [] if found else rows
        unread |= {name} if found else set()
        for index, row in enumerate(good[name]):
            path = name if name == "selector" else f"{name}[{index}]"
            faults += (_field_faults(row, name, path, nominal_v, accepted)
                       or _rule_faults(name, row, path, nominal_v))
        faults += _repeated_ids(good[name], name) if name != "selector" else []
    faults += _dangling(good, unread)
    if not any(fault.field.startswith("banks") for fault in faults):
        faults += _caught("banks", {**_skeleton(nominal_v), "banks": copy.deepcopy(good["banks"])}, "banks", "banks")
    return faults or _caught("", copy.deepcopy(export), "", "")


def row_faults(name: str, row: dict, path: str, *, nominal_v: float) -> list:
    """The faults of one row by itself: its fields, or, when these are good, how they go together."""
    return (_field_faults(row, name, path, nominal_v, lambda form, field: None)
            or _rule_faults(name, row, path, nominal_v))


def _rows(export: dict, name: str) -> tuple:
    rows = export.get(name)
    if name == "selector":
        if rows is None or isinstance(rows, dict):
            return ([rows] if rows else []), []
        return [], [Refusal(name, f"{shown(rows, 40)} was given; accepted is a table with positions; write it so")]
    if rows is None:
        lacks = name in NEEDED_LISTS
        return [], [Refusal(name, f"is missing; accepted is at least one [[{name}]]; add it")] if lacks else []
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        return [], [Refusal(name, f"{shown(rows, 40)} was given; accepted is a list of tables; write [[{name}]]")]
    return rows, []


def _field_faults(row: dict, form: str, path: str, nominal_v: float, accepted) -> list:
    faults = []
    for field in REQUIRED.get(form, ()):
        if field not in row:
            wanted = accepted(form, field) or _accepted(form, field, nominal_v)
            faults.append(Refusal(f"{path}.{field}", f"is missing; accepted is {wanted}; add it"))
    for field, check in FIELDS.get(form, {}).items():
        if field in row:
            fault = _fault(check, row[field], f"{path}.{field}", nominal_v)
            faults += [fault] if fault else []
    if form in _NESTED and isinstance(row.get(_NESTED[form][0]), list):
        name, below = _NESTED[form]
        for index, inner in enumerate(row[name]):
            if isinstance(inner, dict):
                faults += _field_faults(inner, below, f"{path}.{name}[{index}]", nominal_v, accepted)
    return faults


def _fault(check, value, field: str, nominal_v: float) -> Refusal | None:
    try:
        check(value, field, nominal_v) if check in BY_VOLTS else check(value, field)
    except Refusal as refusal:
        return refusal
    return None


def _accepted(form: str, field: str, nominal_v: float) -> str:
    """What a check accepts, taken out of its own sentence about nothing at all."""
    check = FIELDS.get(form, {}).get(field)
    refusal = _fault(check, None, field, nominal_v) if check else None
    sentence = refusal.message if refusal else ""
    _, found, rest = sentence.partition("accepted ")
    return rest.rsplit(";", 1)[0].removeprefix("is ").removeprefix("are ") if found else "a value for it"


def _skeleton(nominal_v: float) -> dict:
    return {"format": FORMAT, "rig": {"name": "x", "nominal_v": nominal_v, "timezone": "UTC"}, "banks": [dict(_BANK)],
            "circuits": []}


def _rule_faults(name: str, row: dict, path: str, nominal_v: float) -> list:
    small = _skeleton(nominal_v)
    for field, target in REFERENCES.get(name, {}).items():
        given = row.get(field, [])
        for one in given if isinstance(given, list) else [given]:
            rows = small.setdefault(target, [])
            if isinstance(one, str) and one.strip() and one not in [stand["id"] for stand in rows]:
                rows.append({"id": one, **_STAND_INS[target]})
    if name == "positions" and isinstance(row.get("position"), str):
        small["selector"] = {"positions": [{"name": row["position"], "feeds": "bank"}]}
    if name in ("rig", "selector"):
        small[name] = {**small.get(name, {}), **copy.deepcopy(row)}
        return _caught(name, small, name, path)
    small[name] = [*([] if name in ("banks", "circuits") else small.get(name, [])), copy.deepcopy(row)]
    return _caught(name, small, f"{name}[{len(small[name]) - 1}]", path)


def _caught(name: str, export: dict, standing: str, path: str) -> list:
    """The first fault of an export, its path moved from where the row stands there to where it stands here."""
    try:
        export_form.check(export)
    except Refusal as refusal:
        if refusal.field.startswith(standing):
            return [Refusal(path + refusal.field[len(standing):], refusal.message)]
        return [Refusal(path, refusal.message)]
    return []


def _repeated_ids(rows: list, name: str) -> list:
    faults, seen = [], {}
    for index, row in enumerate(rows):
        given = row.get("id")
        if isinstance(given, str) and given in seen:
            faults.append(Refusal(f"{name}[{index}].id", f"{shown(given)} is also the id of {name}[{seen[given]}]; "
                                  "accepted is each id once in a list; rename one"))
        elif isinstance(given, str):
            seen[given] = index
    return faults


def _dangling(good: dict, unread: set) -> list:
    faults = []
    for name, fields in REFERENCES.items():
        for index, row in enumerate(good[name]):
            for field, target in fields.items():
                if target in unread:
                    continue
                given = row.get(field, [])
                known = [other.get("id") for other in good[target]]
                for one in given if isinstance(given, list) else [given]:
                    if isinstance(one, str) and one not in known:
                        faults.append(_unknown(f"{name}[{index}].{field}", one, target, known))
    positions = [selector.get("positions") for selector in good["selector"]]
    places = [place.get("name") for listed in positions if isinstance(listed, list) for place in listed
              if isinstance(place, dict)]
    for index, row in enumerate(good["positions"]):
        if isinstance(row.get("position"), str) and row["position"] not in places:
            faults.append(_unknown(f"positions[{index}].position", row["position"], "selector.positions", places))
    return faults


def _unknown(field: str, given: str, target: str, known: list) -> Refusal:
    listed = ", ".join(shown(one, 30) for one in sorted(map(str, known))[:8]) or "none, as there are none"
    return Refusal(field, f"{shown(given)} is none of {target}; accepted are {listed}; correct it or add it to "
                   f"{target}")


def later_than(export: dict, name: str, asked_s: float) -> list:
    """Indices of the readings, positions or events that lie after a moment."""
    found = []
    for index, row in enumerate(export.get(name, [])):
        last = row["between"][1] if "between" in row else row.get("at")
        if last is not None and local_days.seconds(last) > asked_s:
            found.append(index)
    return found


def path_of(field: str) -> tuple:
    """A field's path in pieces: "trips[0].stops[1].shade" is ("trips", 0, "stops", 1, "shade")."""
    return tuple(int(index) if index else key for key, index in re.findall(r"([^.\[\]]+)(?!\])|\[(\d+)\]", field))


def _given(row: dict, field: str) -> str:
    return f"{shown(row[field], 40)} was given" if field in row else "is missing"
