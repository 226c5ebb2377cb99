"""The change log in numbers and words: identifiers, clocks, and an export taken apart into rows and put together.

A change is {"id", "dev", "sv", "hlc", "tbl", "row", "set"}: immutable, and the only thing that travels. Per field the
change with the greatest (hlc, id) wins, which makes every replica equal in whatever order changes arrive. The order
ends in the change's id and not in the device's: a backup restored onto a second phone gives two writers with one device
id and equal clocks. pwa/js/merge.js, hlc.js, uuid7.js and export-file.js are the same on the phone.

Hybrid logical clock: Kulkarni, Demirbas et al., "Logical Physical Clocks", OPODIS 2014. Identifiers: UUID version 7,
RFC 9562 section 5.7. Pure: time and random bytes are handed in.
"""
import json
import re
from collections import namedtuple

from daybank.export_fields import FIELDS, FORMAT

Row = namedtuple("Row", ("tbl", "row", "fields"))
Held = namedtuple("Held", ("tbl", "row", "fields", "made"))  # fields: as merged, "deleted" included; made: first clock

SCHEMA_VERSION = 1  # of the records, not of the database
ZERO = "0000000000000-0000"
HLC = re.compile(r"\d{13}-[0-9a-f]{4}", re.ASCII)
HIGHEST_COUNTER = 0xFFFF
TBL_OF = {
    "banks": "bank", "sources": "source", "circuits": "circuit", "inverters": "inverter", "gauges": "gauge",
    "trips": "trip", "readings": "reading", "uses": "use", "skies": "sky", "charges": "charge",
    "positions": "position", "events": "event", "checks": "check", "findings": "finding",
}
LIST_OF = {tbl: name for name, tbl in TBL_OF.items()}
NO_RECORDS = ("format", "rig", "asked_at", "truth")  # what is no record, nor of a later version
MOST_OP_BYTES = 8192  # of a change that comes over the network
MOST_FILE_BYTES = 256 * 1024  # of one that comes out of the person's own file
MOST_DEPTH, MOST_FILE_DEPTH = 8, 24  # of one field's value; a trip's stops need three
MOST_WHOLE = 2**53 - 1  # what a phone can hold exactly


def uuid7(now_ms: int, random: bytes) -> str:
    """An identifier: 48 bits of time, so that an index grows at one end, and ten random bytes."""
    raw = bytearray(now_ms.to_bytes(6, "big") + random[:10])
    raw[6] = 0x70 | (raw[6] & 0x0F)
    raw[8] = 0x80 | (raw[8] & 0x3F)
    text = raw.hex()
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


def tick(last: str, now_ms: int) -> str:
    """The next clock value: never earlier than the last one, even when the machine's clock went back."""
    ms, counter = int(last[:13]), int(last[14:], 16)
    if now_ms > ms:
        ms, counter = now_ms, 0
    elif counter < HIGHEST_COUNTER:
        counter += 1
    else:
        ms, counter = ms + 1, 0
    return f"{ms:013d}-{counter:04x}"


def difference(before: dict, after: dict) -> dict:
    """What a change would set; a field that is gone is set to null, which means absent."""
    changed = {name: value for name, value in after.items() if not same(before.get(name), value)}
    gone = {name: None for name, value in before.items()
            if name not in after and value is not None and name != "deleted"}
    return {**changed, **gone}


def same(first, second) -> bool:
    """Equal as JSON has it: 12 is 12.0, but true is not 1."""
    if isinstance(first, bool) or isinstance(second, bool):
        return first is second
    if isinstance(first, dict) and isinstance(second, dict):
        return first.keys() == second.keys() and all(same(first[key], second[key]) for key in first)
    if isinstance(first, list) and isinstance(second, list):
        return len(first) == len(second) and all(same(a, b) for a, b in zip(first, second))
    return first == second


def present(fields: dict) -> dict:
    """The fields that stand: null means absent, and "deleted" is no field of a record."""
    return {name: value for name, value in fields.items() if value is not None and name != "deleted"}


def rows_of_export(export: dict, rig_id: str, new_id) -> list:
    """An export's records as rows, in the order of the file; `new_id()` names those that have no id."""
    rows = [Row("rig", rig_id, _without_id(export["rig"]))]
    for key, value in export.items():
        if key in TBL_OF:
            rows += [Row(TBL_OF[key], str(record.get("id") or new_id()), _without_id(record))
                     for record in value or []]
        elif key == "selector" and isinstance(value, dict):
            rows.append(Row("selector", "selector", value))
        elif key not in NO_RECORDS and value is not None:
            rows.append(Row("other", key, {"value": value}))  # of a later version: it goes out as it came in
    return rows


def export_of_rows(held: list) -> dict:
    """Rows as an export; deleted ones stay out, and lists are in the order in which their rows were made."""
    export = {"format": FORMAT, "rig": {}}
    lists = {name: [] for name in TBL_OF}
    for row in sorted(held, key=lambda row: (row.made, row.row)):
        fields = in_order(row.tbl, present(row.fields))
        if row.fields.get("deleted") is True:
            continue
        if row.tbl == "rig":
            export["rig"] = {"id": row.row, **fields}
        elif row.tbl == "selector":
            export["selector"] = fields
        elif row.tbl == "other":
            if "value" in fields:
                export[row.row] = fields["value"]
        elif row.tbl in LIST_OF:
            lists[LIST_OF[row.tbl]].append({"id": row.row, **fields})
    return {**export, **lists}


def in_order(tbl: str, fields: dict) -> dict:
    """Fields in the order of the format, then those it does not know by name: equal records give equal bytes."""
    known = list(FIELDS.get(LIST_OF.get(tbl, tbl), {}))
    rank = {name: index for index, name in enumerate(known)}
    return {name: fields[name] for name in sorted(fields, key=lambda name: (rank.get(name, len(known)), name))}


def op_fault(op: object, *, own: bool = False) -> str | None:
    """What is wrong with the form of a change, as a sentence; None for a good one. What it means is not looked at.

    `own` is for changes that this machine makes of a person's file, which may hold more than a phone sends at once.
    """
    most_bytes, most_depth = (MOST_FILE_BYTES, MOST_FILE_DEPTH) if own else (MOST_OP_BYTES, MOST_DEPTH)
    if not isinstance(op, dict):
        return "a change is an object; send it so"
    for name in ("id", "dev", "tbl", "row"):
        if not isinstance(op.get(name), str) or not 1 <= len(op[name]) <= 200:
            return f"{name} is no text of 1 to 200 characters; send the change with it"
    if not isinstance(op.get("hlc"), str) or not HLC.fullmatch(op["hlc"]):
        return "hlc is not 13 digits, a hyphen and 4 hex digits; send the clock of the change so"
    if isinstance(op.get("sv"), bool) or not isinstance(op.get("sv"), int) or not 0 < op["sv"] <= 1_000_000:
        return "sv is no whole number above 0; send the version of the record's schema"
    if not isinstance(op.get("set"), dict) or not all(isinstance(name, str) for name in op["set"]):
        return "set is no object of fields; send what the change sets"
    if not _plain(op["set"], most_depth):
        return (f"set holds what JSON or a phone can't keep exactly, or nests deeper than {most_depth} levels; send "
                "plain finite values")
    try:
        size = len(text_of(op).encode())
    except UnicodeEncodeError:
        return "a text holds half a character; type it again"
    if size > most_bytes:
        return f"the change has {size} bytes; accepted are up to {most_bytes}; shorten its note"
    return None


def text_of(value) -> str:
    """JSON as it is stored: compact, keys in order, characters as they are."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=True)


def _plain(value, depth: int) -> bool:
    if value is None or isinstance(value, (bool, str)):
        return True
    if isinstance(value, int):
        return abs(value) <= MOST_WHOLE
    if isinstance(value, float):
        return value - value == 0.0  # neither infinite nor NaN
    if depth and isinstance(value, list):
        return all(_plain(item, depth - 1) for item in value)
    if depth and isinstance(value, dict):
        return all(isinstance(key, str) and _plain(item, depth - 1) for key, item in value.items())
    return False


def _without_id(record: dict) -> dict:
    return {name: value for name, value in record.items() if name != "id"}
