"""The logbook as CSV: one file for each kind of record, with a header that names units, dates in ISO 8601.

The first column says the kind ("reading id", "use id", ...); an empty id makes a new record. On the way out a text that
a spreadsheet would take for a formula (it begins with = + - @) gets an apostrophe before it, and on the way in the
apostrophe goes again. What no column holds stands in the last one, "more (JSON)".
"""
import csv
import io
import json
import re
from collections import namedtuple

from daybank import local_days, typed_moments, units
from daybank.change_log import TBL_OF, Row, present, text_of
from daybank.export_faults import later_than, row_faults
from daybank.export_fields import REFERENCES
from daybank.import_plan import already_here
from daybank.strict_json import MAX_BYTES, Refusal, read_object, shown

Column = namedtuple("Column", ("header", "field", "kind", "unit"))  # kind: of units.KINDS, or moment, list, ...
Read = namedtuple("Read", ("name", "rows", "refused", "same"))  # name: of the list; refused: (where, sentence)

_TEXT, _MOMENT, _LIST, _FLAG, _PAIR = "text", "moment", "list", "flag", "pair"
MORE = "more (JSON)"
KINDS = {  # list -> first column, and the others
    "readings": ("reading id", (
        Column("at", "at", _MOMENT, None), Column("volts", "volts", "voltage", "V"),
        Column("gauge", "gauge_id", _TEXT, None), Column("state", "state", _TEXT, None),
        Column("on", "on", _LIST, None),
        Column("off", "off", _LIST, None), Column("amps", "amps", "current", "A"),
        Column("rested", "rested_h", "time", "h"), Column("bank", "bank_c", "temperature", "C"),
        Column("charge left", "soc", "share", "share"),
        Column("confirmed", "confirmed", _FLAG, None), Column("note", "note", _TEXT, None))),
    "uses": ("use id", (
        Column("day", "day", _TEXT, None), Column("circuit", "circuit_id", _TEXT, None),
        Column("hours", "hours", "time", "h"), Column("from", "from", _MOMENT, None),
        Column("until", "until", _MOMENT, None), Column("kind", "kind", _TEXT, None))),
    "skies": ("sky id", (
        Column("day", "day", _TEXT, None), Column("condition", "condition", _TEXT, None),
        Column("shade", "shade", "share", "share"), Column("harvest", "harvest_ah", "charge", "Ah"),
        Column("night temperature", "night_c", "temperature", "C"),
        Column("day temperature", "day_c", "temperature", "C"))),
    "charges": ("charge id", (
        Column("source", "source_id", _TEXT, None), Column("starts at", "starts_at", _MOMENT, None),
        Column("hours", "hours", "time", "h"))),
    "positions": ("position id", (
        Column("at", "at", _MOMENT, None), Column("position", "position", _TEXT, None))),
    "events": ("event id", (
        Column("at", "at", _MOMENT, None), Column("between", "between", _PAIR, None),
        Column("kind", "kind", _TEXT, None),
        Column("circuit", "circuit_id", _TEXT, None), Column("note", "note", _TEXT, None))),
}
_FORMULA = "=+-@\t\r"
_HEADER = re.compile(r"\s*(.*?)\s*(?:[(\[]\s*(.*?)\s*[)\]])?\s*")
_YES, _NO = ("yes", "true", "1"), ("no", "false", "0")


# ---- out

def write(export: dict, name: str) -> str:
    """One list of an export as CSV text, lines ended as RFC 4180 has them."""
    first, columns = KINDS[name]
    rows = export.get(name, [])
    cells = [[_cell(column, row[column.field]) if _fits(column, row.get(column.field)) else "" for column in columns]
             for row in rows]
    more = [{field: value for field, value in row.items() if field != "id" and not any(
        column.field == field and _fits(column, value) for column in columns)} for row in rows]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    header = [first, *(f"{column.header} ({column.unit})" if column.unit else column.header for column in columns)]
    writer.writerow(header + ([MORE] if any(more) else []))
    for row, line, rest in zip(rows, cells, more):
        writer.writerow([guarded(row["id"]), *line, *([text_of(rest) if rest else ""] if any(more) else [])])
    return out.getvalue()


def guarded(text: str) -> str:
    """Text that no spreadsheet takes for a formula; unguarded() gives it back. Numbers need no guard."""
    mistaken = text[:1] == "'" and len(text) > 1 and text[1] in _FORMULA + "'"  # would lose its own apostrophe
    return f"'{text}" if text and (text[0] in _FORMULA or mistaken) else text


def unguarded(text: str) -> str:
    """A cell's text without the apostrophe that guarded() put before it."""
    return text[1:] if text[:1] == "'" and len(text) > 1 and text[1] in _FORMULA + "'" else text


def _fits(column: Column, value) -> bool:
    if column.kind == _LIST:
        return isinstance(value, list) and all(isinstance(item, str) for item in value)
    if column.kind == _PAIR:
        return isinstance(value, list) and len(value) == 2 and all(_moment(item) for item in value)
    if column.kind == _FLAG:
        return isinstance(value, bool)
    if column.kind == _MOMENT:
        return _moment(value)
    if column.kind == _TEXT:
        return isinstance(value, str) and bool(value.strip()) and value == value.strip()
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _moment(value) -> bool:
    try:
        local_days.seconds(value)
    except (TypeError, ValueError, OverflowError):
        return False
    return True


def _cell(column: Column, value) -> str:
    if column.kind == _LIST:
        simple = value and all(item.strip() == item and item and ";" not in item for item in value)
        return guarded("; ".join(value)) if simple and value[0][0] != "[" else json.dumps(value, ensure_ascii=False)
    if column.kind == _PAIR:
        return " / ".join(value)
    if column.kind == _FLAG:
        return "yes" if value else "no"
    return guarded(value) if isinstance(value, str) else repr(value)


# ---- in

def read(text: str, export: dict, *, held: list, now_s: float, new_id) -> Read:
    """A CSV text as rows for a rig, and what of it is refused. Nothing is written.

    Parameters
        export: the rig as it stands, for its circuits, gauges, sources, positions and time zone.
        held: its records as the store gives them, to tell which rows are here already.
        now_s: seconds since the epoch; what happened can't lie after it.
        new_id: makes ids for rows without one.
    Raises
        Refusal: the file as a whole cannot be read: no CSV, no known first column, an unknown column or unit.
    """
    if len(text) > MAX_BYTES:
        raise Refusal("", f"the file is larger than {MAX_BYTES // 1024 // 1024} MB; no logbook is; give a shorter span")
    text = text.removeprefix("\ufeff")
    head = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        header = next(reader, [])
        name, columns = _columns(header)
        return _Rows(name, columns, export, held, now_s, new_id).read(reader)
    except csv.Error as error:
        raise Refusal("", f"line {reader.line_num} is not CSV ({error}); accepted is text in double quotes where it "
                      "holds the separator; mend that line") from None


def _columns(header: list) -> tuple:
    """(list, columns in the order of the file) from the header; None stands for MORE."""
    firsts = {first: name for name, (first, _) in KINDS.items()}
    given = header[0].strip().casefold() if header else ""
    if given not in firsts:
        raise Refusal("", f"the first column is {shown(given, 40)}; accepted are {', '.join(firsts)}, which say what "
                      "the file holds; name it so, and leave its cells empty for new records")
    known = {column.header: column for column in KINDS[firsts[given]][1]}
    columns = []
    for text in header[1:]:
        if text.strip().casefold() == MORE.casefold():
            columns.append(None)
            continue
        title, unit = _HEADER.fullmatch(text).groups()
        column = known.get(title.casefold())
        if column is None:
            raise Refusal("", f"the column {shown(text, 40)} is not known; accepted are {', '.join(known)} and "
                          f"{MORE}; rename or remove it")
        columns.append(_with_unit(column, unit, text))
    names = [column.field if column else MORE for column in columns]
    for field in names:
        if names.count(field) > 1:
            raise Refusal("", f"a column for {field} stands twice; accepted is each column once; remove one of them")
    return firsts[given], columns


def _with_unit(column: Column, unit: str | None, text: str) -> Column:
    if column.unit is None:
        return column
    if not unit:
        raise Refusal("", f"the column {shown(text, 40)} names no unit; accepted is such as \"{column.header} "
                      f"({column.unit})\"; add it")
    try:
        if unit != "share" or column.kind != "share":
            units.of_kind(f"1 {unit}", column.kind)
    except ValueError:
        raise Refusal("", f"the column {shown(text, 40)} is in a unit that does not fit; accepted is such as "
                      f"\"{column.header} ({column.unit})\"; correct it") from None
    return column._replace(unit=unit)


class _Rows:
    """The rows of one file on their way to records."""

    def __init__(self, name, columns, export, held, now_s, new_id):
        self.name, self.columns, self.export, self.held = name, columns, export, held
        self.now_s, self.new_id = now_s, new_id
        self.tz = local_days.zone(export["rig"]["timezone"])
        self.nominal_v = export["rig"].get("nominal_v", 12)
        self.rows, self.refused, self.same, self.seen = [], [], 0, {}

    def read(self, reader) -> Read:
        for cells in reader:
            where = f"line {reader.line_num}"
            if not any(cell.strip() for cell in cells):
                continue
            try:
                self._take(cells, where)
            except ValueError as refusal:
                self.refused.append((where, str(refusal)))
        return Read(self.name, self.rows, self.refused, self.same)

    def _take(self, cells: list, where: str) -> None:
        if any(cell.strip() for cell in cells[len(self.columns) + 1:]):
            raise ValueError(f"{len(cells)} cells were given; accepted are {len(self.columns) + 1}, as in the header; "
                             "put text that holds the separator in double quotes")
        fields = {}
        for column, cell in zip(self.columns, cells[1:]):
            if cell.strip():
                fields.update(_more(cell) if column is None else {column.field: self._value(column, cell)})
        if self.name == "readings" and "state" not in fields:
            fields["state"] = "unknown"
        self._refer_by_id(fields)
        self._check(fields)
        given = unguarded(cells[0])
        row_id = given if any(one.row == given for one in self.held) else given.strip()
        key = row_id or text_of(fields)
        if key in self.seen:
            raise ValueError(f"it says the same as {self.seen[key]}; accepted is each record once; remove one of them")
        self.seen[key] = where
        row = Row(TBL_OF[self.name], row_id, fields)
        if not row_id and already_here(row, self.held):
            self.same += 1
            return
        self.rows.append(row if row_id else row._replace(row=self.new_id()))

    def _value(self, column: Column, cell: str):
        text = cell.strip() if column.kind not in (_TEXT, _LIST) else unguarded(cell.strip())
        try:
            if column.kind == _TEXT:
                return text
            if column.kind == _MOMENT:
                return typed_moments.with_offset(text, self.tz)
            if column.kind == _PAIR:
                return [typed_moments.with_offset(part, self.tz) for part in text.split(" / ")]
            if column.kind == _LIST:
                return _list(text)
            if column.kind == _FLAG:
                return _flag(text)
            return _number(text, column)
        except ValueError as fault:
            raise ValueError(f"{column.header}: {fault}") from None

    def _refer_by_id(self, fields: dict) -> None:
        for field, target in REFERENCES.get(self.name, {}).items():
            rows = self.export.get(target, [])
            ids = {row["id"] for row in rows}
            by_name = {row["name"]: row["id"] for row in rows if "name" in row}
            given = fields.get(field, [])
            for one in given if isinstance(given, list) else [given]:
                if one not in ids and one not in by_name:
                    known = ", ".join(shown(each, 30) for each in sorted({*ids, *by_name})[:10])
                    raise ValueError(f"{field}: {shown(one)} is none of the rig's {target}; accepted are "
                                     f"{known or 'none, as there are none'}; correct it")
            if isinstance(given, list) and field in fields:
                fields[field] = [one if one in ids else by_name[one] for one in given]
            elif field in fields:
                fields[field] = given if given in ids else by_name[given]
        places = [place.get("name") for place in self.export.get("selector", {}).get("positions", [])]
        if self.name == "positions" and fields.get("position") not in places:
            raise ValueError(f"position: {shown(fields.get('position'))} is none of the selector's; accepted are "
                             f"{', '.join(map(shown, places)) or 'none, as there is no selector'}; correct it")

    def _check(self, fields: dict) -> None:
        faults = row_faults(self.name, fields, "row", nominal_v=self.nominal_v)
        if faults:
            named = [(fault.field.removeprefix("row").lstrip(".") or "the row", fault.message) for fault in faults]
            raise ValueError("; and ".join(f"{field}: {message}" for field, message in named))
        happened = self.name in ("readings", "positions", "events")
        if happened and later_than({self.name: [fields]}, self.name, self.now_s):
            raise ValueError("it lies in the future; accepted is what has happened; correct its time")


def _more(cell: str) -> dict:
    try:
        return present(read_object(cell.strip()))
    except Refusal as refusal:
        raise ValueError(f"{MORE}: {refusal}") from None


def _list(text: str) -> list:
    if not text.startswith("["):
        return [part.strip() for part in text.split(";") if part.strip()]
    try:
        made = json.loads(text)
    except (ValueError, RecursionError):
        made = None
    if not isinstance(made, list) or not all(isinstance(item, str) for item in made):
        raise ValueError(f"{shown(text)} was given; accepted are ids with semicolons between them; write it so")
    return made


def _flag(text: str) -> bool:
    if text.casefold() not in _YES + _NO:
        raise ValueError(f"{shown(text)} was given; accepted are yes and no; choose one of these")
    return text.casefold() in _YES


def _number(text: str, column: Column) -> int | float:
    if column.unit == "share" and not text.endswith("%"):
        return _whole(units.number(text))
    bare = re.fullmatch(r"[\d.,+eE\u2212-]+", text)
    return _whole(units.of_kind(f"{text} {column.unit}" if bare else text, column.kind))


def _whole(value: float) -> int | float:
    return int(value) if value == int(value) and abs(value) < 1e15 else value
