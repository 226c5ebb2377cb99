"""A rig file: the rig as TOML written by hand, with quantities as text ("100 Ah", "20 ft", "8 AWG").

Sections and keys are those of daybank-export/1. A key without its unit (`draw`, `wire_length`) takes text with one; a
key with it (`draw_a`, `wire_m`) takes a plain number, or text too. What was typed stays beside the value, in `typed`.
Every fault is told at once, with its line. A key that is nearly one of ours is a fault, since a slip of the pen should
not be silent; any other unknown key is kept as it is and noted. Names that begin with x_ are always a person's own.
"""
import difflib
import math
import re
import tomllib
from collections import namedtuple
from datetime import date, datetime, time

from daybank import field_checks, local_days, rig_quantities, typed_moments
from daybank.export_faults import all_faults, path_of
from daybank.export_fields import FIELDS, FORMAT, LISTS, REFERENCES
from daybank.strict_json import MAX_DIGITS, shown
from daybank.toml_lines import line_of, lines_of

Fault = namedtuple("Fault", ("line", "field", "message"))
Rigfile = namedtuple("Rigfile", ("export", "faults", "notes"))  # export is None where there are faults

MAX_BYTES = 1024 * 1024  # a rig with a hundred circuits is about 20 KB; our own bound
RIG_FORMAT = "daybank-rig/1"  # a rig file may say so

NESTED = {"trips": ("stops", "trips[].stops"), "selector": ("positions", "selector.positions")}
TOP_LEVEL = ("format", "rig", "selector", *LISTS)


def read(text: str) -> Rigfile:
    """A rig file's text as an export, or all its faults.

    Returns
        Rigfile. The export has passed every check of the format; notes are about keys kept unread.
    """
    if len(text.encode("utf-8", "replace")) > MAX_BYTES:
        return _refused(1, f"the file is larger than {MAX_BYTES // 1024 // 1024} MB; no rig is; give a rig file")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return _refused(*_of_reader(str(error), text))
    except RecursionError:
        return _refused(1, "the file nests too deeply; no rig does; write it anew")
    return _Reading(data, lines_of(text)).result()


def _refused(line: int, message: str) -> Rigfile:
    return Rigfile(None, [Fault(line, "", message)], [])


def _of_reader(said: str, text: str) -> tuple:
    """Line and sentence from what Python's reader says: "Invalid value (at line 3, column 8)"."""
    found = re.search(r"\(at line (\d+), column (\d+)\)|\(at end of document\)", said)
    what = re.sub(r"\s*\(at [^)]*\)$", "", said)
    line = int(found.group(1)) if found and found.group(1) else text.count("\n") + 1
    where = f"column {found.group(2)}" if found and found.group(2) else "the end of the file"
    return line, (f"{where} is not TOML ({what[:1].lower() + what[1:]}); accepted is key = value, with text in double "
                  "quotes, under [rig] or [[circuits]]; mend that line")


class _Reading:
    """One file on its way to an export: collects what is wrong, and on which line."""

    def __init__(self, data: dict, lines: dict):
        self.data, self.lines = data, lines
        self.faults, self.notes, self.typed_as = [], [], {}
        self.tz = self._zone()
        rig = data.get("rig")
        given = rig.get("nominal", rig.get("nominal_v")) if isinstance(rig, dict) else None
        self.nominal_v = 24.0 if str(given).startswith("24") else 12.0

    def result(self) -> Rigfile:
        export = self._export()
        blamed = {fault.field for fault in self.faults}
        for refusal in all_faults(export, accepted=rig_quantities.accepted):
            # what could not be read is missing from the export, and was told already
            if not any(rig_quantities.same_value(refusal.field, field) for field in blamed):
                self._fault(self._as_typed(refusal.field), refusal.message)
        faults = sorted(set(self.faults))
        return Rigfile(None if faults else export, faults, sorted(set(self.notes)))

    def _export(self) -> dict:
        export = {"format": FORMAT}
        given = self.data.get("format", RIG_FORMAT)
        if given not in (RIG_FORMAT, FORMAT):
            self._fault("format", f"{shown(given)} was given; accepted is {RIG_FORMAT}; leave the line out")
        for key, value in self.data.items():
            if key == "format":
                continue
            self._look_at_key(key, key, TOP_LEVEL)
            if key in ("rig", "selector"):
                export[key] = self._row(value, key, key) if isinstance(value, dict) else self._plain(value, key)
            elif key in LISTS and isinstance(value, list):
                export[key] = [self._row(row, key, f"{key}[{index}]") if isinstance(row, dict) else row
                               for index, row in enumerate(value)]
            elif key in LISTS and isinstance(value, dict):
                self._fault(key, f"[{key}] stands for one thing; accepted is a list; write [[{key}]]")
            else:
                export[key] = self._plain(value, key)
        if export.setdefault("circuits", []) == []:
            self._note("circuits", "are missing, so the answer knows of no load; add a [[circuits]] for each")
        for name in LISTS:
            if isinstance(export.get(name), list):
                self._name_rows(export[name], name)
        self._refer_by_id(export)
        return export

    # ---- one row

    def _row(self, row: dict, form: str, path: str) -> dict:
        made, typed = {}, {}
        stems, fields = rig_quantities.STEMS.get(form, {}), FIELDS.get(form, {})
        inner, below = NESTED.get(form, (None, None))
        for key, value in row.items():
            here = f"{path}.{key}"
            self._look_at_key(key, here, (*stems, *fields, *_MORE_KEYS.get(form, ()), *([inner] if inner else ())))
            if key == inner and isinstance(value, list):
                made[key] = [self._row(one, below, f"{here}[{index}]") if isinstance(one, dict) else one
                             for index, one in enumerate(value)]
            elif key in stems or (key in fields and isinstance(value, str) and rig_quantities.reader_of(key)):
                for field, number in self._quantity(key, value, form, row, here).items():
                    if (field in row and field != key) or field in made:
                        self._fault(here, f"{field} is given twice; accepted is one of the two; remove one")
                        continue
                    made[field] = number
                    self.typed_as[f"{path}.{field}"] = here
                    # "95 Ah at 100 h" stands beside the Ah alone, and a gauge "2/0" is its own text
                    if isinstance(value, str) and field != "rated_h" and number != value:
                        typed[field] = value
            elif key in fields and fields[key] is field_checks.moment and isinstance(value, str) and self.tz:
                made[key] = typed_moments.with_offset(value, self.tz)
            else:
                made[key] = self._plain(value, here)
        if typed:
            made["typed"] = {**(made["typed"] if isinstance(made.get("typed"), dict) else {}), **typed}
        return made

    def _quantity(self, key: str, value, form: str, row: dict, here: str) -> dict:
        try:
            return rig_quantities.read(key, value, form=form, row=row, nominal_v=self.nominal_v)
        except ValueError as fault:
            self._fault(here, str(fault))
            return {}

    # ---- names, plain values

    def _name_rows(self, rows: list, name: str) -> None:
        """Gives each part of the rig without an id one from its name, so that the file can be read in again later."""
        if name not in _NAMED:
            return
        taken = {row["id"] for row in rows if isinstance(row, dict) and isinstance(row.get("id"), str)}
        for row in rows:
            if isinstance(row, dict) and "id" not in row:
                base = slug(str(row.get("name") or row.get("kind") or _NAMED[name])) or _NAMED[name]
                number, made = 1, base
                while made in taken:
                    number += 1
                    made = f"{base}-{number}"
                taken.add(made)
                row["id"] = made

    def _refer_by_id(self, export: dict) -> None:
        lists = {name: export[name] if isinstance(export.get(name), list) else [] for name in LISTS}
        for name, fields in REFERENCES.items():
            for row in lists[name]:
                for field, target in fields.items() if isinstance(row, dict) else ():
                    by_name = {other["name"]: other.get("id") for other in lists[target]
                               if isinstance(other, dict) and isinstance(other.get("name"), str)
                               and isinstance(other.get("id"), str)}
                    ids = set(by_name.values())
                    given = row.get(field)
                    if isinstance(given, list):
                        row[field] = [by_name.get(one, one) if isinstance(one, str) and one not in ids else one
                                      for one in given]
                    elif isinstance(given, str) and given not in ids:
                        row[field] = by_name.get(given, given)

    def _plain(self, value, here: str):
        """A TOML value as JSON has it: dates as ISO 8601 text."""
        if isinstance(value, dict):
            return {key: self._plain(item, f"{here}.{key}") for key, item in value.items()}
        if isinstance(value, list):
            return [self._plain(item, here) for item in value]
        if isinstance(value, datetime):
            at = value if value.tzinfo or not self.tz else value.replace(tzinfo=self.tz)
            text = value.replace(tzinfo=None).isoformat(timespec="seconds" if value.second else "minutes")
            return text + typed_moments.offset_text(at) if at.tzinfo else text
        if isinstance(value, (date, time)):
            return value.isoformat() if isinstance(value, date) else value.isoformat(timespec="minutes")
        if isinstance(value, float) and not math.isfinite(value):
            self._fault(here, f"{value} was given; accepted are finite numbers; leave the line out if unknown")
        if isinstance(value, int) and len(str(abs(value))) > MAX_DIGITS:
            self._fault(here, f"a number of {len(str(abs(value)))} digits was given; accepted are up to {MAX_DIGITS}; "
                        "correct it")
        return value

    def _look_at_key(self, key: str, here: str, known: tuple) -> None:
        if key in known or key in ("id", "typed") or key.startswith("x_"):
            return
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.75)
        if near:
            self._fault(here, f"{shown(key)} is not known; accepted is {near[0]}; correct it, or begin its name with "
                        "x_ if it is your own")
        else:
            self._note(here, "is not known to this Daybank; it is kept as it is")

    def _zone(self):
        rig = self.data.get("rig")
        try:
            return local_days.zone(rig["timezone"])
        except (TypeError, KeyError, ValueError):
            return None

    # ---- where it stands

    def _as_typed(self, field: str) -> str:
        return self.typed_as.get(field, field)

    def _fault(self, field: str, message: str) -> None:
        self.faults.append(Fault(line_of(self.lines, path_of(field)), field, message))

    def _note(self, field: str, message: str) -> None:
        self.notes.append(Fault(line_of(self.lines, path_of(field)), field, message))


_MORE_KEYS = {"rig": ("note",), "circuits": ("fuse_slot", "note"), "trips": ("note",), "readings": ("volts",)}
_NAMED = {"banks": "bank", "sources": "source", "circuits": "circuit", "inverters": "inverter", "gauges": "gauge",
          "trips": "trip"}


def slug(name: str) -> str:
    """A name as an id: "Water pump (front)" is water-pump-front."""
    return re.sub(r"[\W_]+", "-", name.casefold()).strip("-")[:60]


def text_of(fault: Fault) -> str:
    """A fault or note as it is printed: line 12: circuits[2].draw: ..."""
    return f"line {fault.line}: {f'{fault.field}: ' if fault.field else ''}{fault.message}"
