"""A household's records in one SQLite file: the change log, its fold, and plain tables that any SQLite tool can read.

The only module that knows SQL, beside database.py, which opens the file, and the steps of schema.py. Every write is one
transaction: changes, their fold and the plain rows together, or nothing.
"""
import json
import sqlite3
import threading
from collections import namedtuple
from contextlib import contextmanager
from pathlib import Path

from sqlite_utils import Database

from daybank import change_log, database, schema
from daybank.change_log import Held, text_of
from daybank.database import StoreError, said_plainly, transaction

Verdict = namedtuple("Verdict", ("id", "verdict", "problem"))  # accepted, duplicate, invalid, id-reuse, clock-ahead

CLOCK_AHEAD_MS = 5 * 60 * 1000  # a clock further ahead would win against everyone until its time has come
_CHANGE = 'INSERT INTO changes (id, rig, dev, sv, hlc, tbl, "row", "set") VALUES (?, ?, ?, ?, ?, ?, ?, ?)'
_CELL = """INSERT INTO cells (rig, tbl, "row", field, value, hlc, change) VALUES (?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET value = excluded.value, hlc = excluded.hlc, change = excluded.change
    WHERE (excluded.hlc, excluded.change) > (hlc, change)"""
_ENTRY = """INSERT INTO entries (rig, tbl, "row", made) VALUES (?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET made = excluded.made WHERE excluded.made < made"""


def household_file(data_dir: Path, household: str) -> Path:
    """Where a household's records are kept."""
    return data_dir / "households" / f"{household}.db"


class Store:
    """One household's file, opened. Methods may be called from any thread; they take turns."""

    def __init__(self, connection: sqlite3.Connection, path: Path):
        self._db, self.path, self._lock = connection, path, threading.RLock()
        self._tables = Database(connection)

    @classmethod
    def open(cls, path: Path, *, now_ms: int, read_only: bool = False, steps=schema.STEPS) -> "Store":
        """Opens a file, makes it where there is none, and brings an older one up to date.

        Parameters
            path: of the file. Its folder is made too, for its owner alone.
            now_ms: milliseconds since the epoch.
            read_only: for looking: nothing is made, nothing is brought up to date.
        Raises
            StoreError: no such file (read_only), not ours, newer than this Daybank, damaged, or not to be written.
        """
        connection = database.connect(path, now_ms=now_ms, read_only=read_only, steps=steps)
        return cls(connection, path)

    def close(self) -> None:
        """Closes the file. Further calls fail."""
        self._db.close()

    def __enter__(self) -> "Store":
        return self

    def __exit__(self, *_) -> None:
        self.close()

    # ---- reading

    @property
    def epoch(self) -> str:
        """Names this life of the file: new when it was made, and to be made new when a backup is restored."""
        return self._about("epoch")

    def rigs(self) -> list:
        """[{"id", "name", "records"}, ...] of the rigs that are not deleted, by name."""
        return self._rows("""SELECT id, coalesce(name, id) AS name,
            (SELECT count(*) FROM entries e WHERE e.rig = rigs.id) AS records
            FROM rigs WHERE deleted = 0 ORDER BY 2, 1""")

    def held(self, rig: str) -> list:
        """Every record of a rig as Held, deleted ones included: each field with the value that won."""
        fields = {}
        with self._lock, said_plainly(self.path):
            for tbl, row, made in self._db.execute('SELECT tbl, "row", made FROM entries WHERE rig = ?', (rig,)):
                fields[tbl, row] = Held(tbl, row, {}, made)
            for tbl, row, field, value in self._db.execute(
                    'SELECT tbl, "row", field, value FROM cells WHERE rig = ?', (rig,)):
                fields[tbl, row].fields[field] = json.loads(value)
        return list(fields.values())

    def export(self, rig: str) -> dict:
        """The rig as daybank-export/1."""
        return change_log.export_of_rows(self.held(rig))

    def changes_since(self, rig: str, cursor: int, limit: int) -> tuple:
        """(changes, cursor after them, whether there are more), in the order of arrival."""
        with self._lock, said_plainly(self.path):
            rows = self._db.execute('SELECT seq, id, dev, sv, hlc, tbl, "row", "set" FROM changes '
                                    "WHERE rig = ? AND seq > ? ORDER BY seq LIMIT ?",
                                    (rig, cursor, limit + 1)).fetchall()
        found = [{"id": id_, "dev": dev, "sv": sv, "hlc": hlc, "tbl": tbl, "row": row, "set": json.loads(fields)}
                 for _, id_, dev, sv, hlc, tbl, row, fields in rows[:limit]]
        return found, (rows[:limit][-1][0] if found else cursor), len(rows) > limit

    # ---- writing

    def write(self, rig: str, rows: list, *, now_ms: int) -> int:
        """Makes a change of each Row, in this machine's name, and keeps them all or none. Returns how many.

        Raises
            StoreError: a row whose form no change may have; nothing was written.
        """
        with self._transaction():
            clock, device = self._about("hlc"), self._about("device")
            ops = []
            for row in rows:
                clock = change_log.tick(clock, now_ms)
                ops.append({"id": self.new_id(now_ms), "dev": device, "sv": change_log.SCHEMA_VERSION, "hlc": clock,
                            "tbl": row.tbl, "row": row.row, "set": row.fields})
            for row, verdict in zip(rows, self._put(rig, ops, now_ms, own=True)):
                if verdict.verdict != "accepted":
                    raise StoreError(f"The {row.tbl} {row.row[:60]!r} can't be kept: {verdict.problem}. Nothing was "
                                     "written.")
        return len(ops)

    def put(self, rig: str, ops: list, *, now_ms: int) -> list:
        """Keeps changes made elsewhere; a Verdict for each, in order. A bad one never stands in the others' way."""
        with self._transaction():
            return self._put(rig, ops, now_ms, own=False)

    @staticmethod
    def new_id(now_ms: int) -> str:
        """A new identifier of this moment."""
        return database.new_id(now_ms)

    def _put(self, rig, ops, now_ms, *, own):
        verdicts, touched = [], {}
        latest = self._about("hlc")
        for op in ops:
            verdict = self._verdict(rig, op, now_ms, own)
            verdicts.append(verdict)
            if verdict.verdict != "accepted":
                continue
            latest = max(latest, op["hlc"])
            touched[op["tbl"], op["row"]] = None
            self._db.execute("INSERT INTO rigs (id, made) VALUES (?, ?) ON CONFLICT DO NOTHING", (rig, op["hlc"]))
            self._db.execute(_CHANGE, (op["id"], rig, op["dev"], op["sv"], op["hlc"], op["tbl"], op["row"],
                                       text_of(op["set"])))
            self._fold(rig, op)
        for tbl, row in touched:
            self._show(rig, tbl, row)
        self._db.execute("UPDATE about SET value = ? WHERE name = 'hlc'", (latest,))
        return verdicts

    def _verdict(self, rig, op, now_ms, own) -> Verdict:
        fault = change_log.op_fault(op, own=own)
        if fault:
            named = op.get("id") if isinstance(op, dict) and isinstance(op.get("id"), str) else None
            return Verdict(named, "invalid", fault)
        held = self._db.execute('SELECT rig, dev, sv, hlc, tbl, "row", "set" FROM changes WHERE id = ?',
                                (op["id"],)).fetchone()
        if held:
            as_sent = (rig, op["dev"], op["sv"], op["hlc"], op["tbl"], op["row"])
            if held[:6] == as_sent and change_log.same(json.loads(held[6]), op["set"]):
                return Verdict(op["id"], "duplicate", None)
            return Verdict(op["id"], "id-reuse", "another change has this id; give the change an id of its own")
        if not own and int(op["hlc"][:13]) > now_ms + CLOCK_AHEAD_MS:
            return Verdict(op["id"], "clock-ahead", "the clock of the change lies more than 5 minutes ahead; set the "
                           "phone's clock")
        return Verdict(op["id"], "accepted", None)

    def _fold(self, rig, op):
        self._db.execute(_ENTRY, (rig, op["tbl"], op["row"], op["hlc"]))
        self._db.executemany(_CELL, [(rig, op["tbl"], op["row"], field, text_of(value), op["hlc"], op["id"])
                                     for field, value in op["set"].items()])

    def _show(self, rig, tbl, row):
        """Makes a record's row of its plain table anew from its cells."""
        if tbl not in schema.PLAIN or (tbl == "rig" and row != rig):
            return  # of a later version: kept, not shown
        made = self._db.execute('SELECT made FROM entries WHERE rig = ? AND tbl = ? AND "row" = ?',
                                (rig, tbl, row)).fetchone()[0]
        cells = self._db.execute('SELECT field, value FROM cells WHERE rig = ? AND tbl = ? AND "row" = ?',
                                 (rig, tbl, row))
        names, values = plain_row(rig, Held(tbl, row, {field: json.loads(value) for field, value in cells}, made))
        table = schema.PLAIN[tbl].table
        if values is None:
            self._db.execute(f"DELETE FROM {table} WHERE rig = ? AND id = ?", (rig, row))
            return
        listed, holes = ", ".join(f'"{name}"' for name in names), ", ".join("?" * len(names))
        sets = ", ".join(f'"{name}" = excluded."{name}"' for name in names)
        self._db.execute(f"INSERT INTO {table} ({listed}) VALUES ({holes}) ON CONFLICT DO UPDATE SET {sets}", values)

    # ---- looking after the file

    def faults(self) -> list:
        """What is wrong with the file, as sentences: damage, dangling references, tables that are not the fold."""
        with self._lock, said_plainly(self.path):
            found = [f"The file is damaged: {line}." for (line,) in self._db.execute("PRAGMA integrity_check")
                     if line != "ok"]
            if found:
                return found
            found += [f"A row of {table} refers to a row of {parent} that is not there."
                      for table, _, parent, _ in self._db.execute("PRAGMA foreign_key_check")]
            return found + self._unfolded()

    def _unfolded(self) -> list:
        entries, cells = {}, {}
        for rig, tbl, row, hlc, id_, fields in self._db.execute('SELECT rig, tbl, "row", hlc, id, "set" FROM changes'):
            entries[rig, tbl, row] = min(hlc, entries.get((rig, tbl, row), hlc))
            for field, value in json.loads(fields).items():
                place = (rig, tbl, row, field)
                if place not in cells or (hlc, id_) > cells[place][1:]:
                    cells[place] = (text_of(value), hlc, id_)
        found = []
        if entries != {row[:3]: row[3] for row in self._db.execute('SELECT rig, tbl, "row", made FROM entries')}:
            found.append("The list of records is not what the changes make of it.")
        if cells != {row[:4]: row[4:] for row in self._db.execute(
                'SELECT rig, tbl, "row", field, value, hlc, change FROM cells')}:
            found.append("The fields of the records are not what the changes make of them.")
        return found or self._unshown(entries, cells)

    def _unshown(self, entries: dict, cells: dict) -> list:
        wanted = {(plain.table): {} for plain in schema.PLAIN.values()}
        fields = {place: {} for place in entries}
        for (rig, tbl, row, field), (value, _, _) in cells.items():
            fields[rig, tbl, row][field] = json.loads(value)
        for (rig, tbl, row), made in entries.items():
            if tbl in schema.PLAIN and (tbl != "rig" or row == rig):
                names, values = plain_row(rig, Held(tbl, row, fields[rig, tbl, row], made))
                if values is not None:
                    wanted[schema.PLAIN[tbl].table][rig, row] = dict(zip(names, values))
        found = []
        for plain in schema.PLAIN.values():
            key = ("id", "id") if plain.table == "rigs" else ("rig", "id")
            shown = {tuple(row[k] for k in key): row for row in self._rows(f"SELECT * FROM {plain.table}")}
            if plain.table == "rigs":  # a rig's row may stand before its own record has arrived
                shown = {place: row for place, row in shown.items() if place in wanted["rigs"]}
            if shown != wanted[plain.table]:
                found.append(f"The table {plain.table} does not show what the changes make of its records.")
        return found

    def counts(self) -> dict:
        """How much the file holds: rigs, records, changes."""
        one = self._rows("SELECT (SELECT count(*) FROM rigs WHERE deleted = 0) AS rigs, "
                         "(SELECT count(*) FROM entries) AS records, (SELECT count(*) FROM changes) AS changes")
        return one[0]

    def _about(self, name: str) -> str:
        with self._lock, said_plainly(self.path):
            return self._db.execute("SELECT value FROM about WHERE name = ?", (name,)).fetchone()[0]

    def _rows(self, sql: str) -> list:
        with self._lock, said_plainly(self.path):
            return list(self._tables.query(sql))

    @contextmanager
    def _transaction(self):
        with self._lock, said_plainly(self.path), transaction(self._db):
            yield


def plain_row(rig: str, held: Held) -> tuple:
    """(column names, values) of a record's row in its plain table; values are None for a deleted record.

    A value that its column can't hold as it is goes into `more`, beside the fields that this version does not know.
    """
    columns = schema.PLAIN[held.tbl].columns
    fields = change_log.present(held.fields)
    deleted = held.fields.get("deleted") is True
    shown = {name: value for name, value in fields.items() if name in columns and schema.fits(columns[name], value)}
    more = {name: value for name, value in fields.items() if name not in shown}
    own = {"id": held.row, "made": held.made}
    own = {**own, "deleted": int(deleted)} if held.tbl == "rig" else {"rig": rig, **own}
    names = [*own, *columns, "more"]
    if deleted and held.tbl != "rig":
        return names, None
    values = [_as_stored(columns[name], shown[name]) if name in shown else None for name in columns]
    return names, [*own.values(), *values, text_of(more) if more else None]


def _as_stored(kind: str, value):
    if kind == schema.JSON:
        return text_of(value)
    if kind == schema.REAL:
        return float(value)
    return int(value) if kind == schema.FLAG else value
