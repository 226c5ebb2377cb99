"""A household's records in one SQLite file: the change log, its fold, and plain tables that any SQLite tool can read.

The only module that knows SQL, beside the steps of schema.py. Every write is one transaction: changes, their fold and
the plain rows together, or nothing. WAL with synchronous FULL, since with less a power cut may take back what a phone
was told is kept.
"""
import json
import os
import sqlite3
import threading
from collections import namedtuple
from contextlib import contextmanager
from datetime import datetime, timezone
from pathlib import Path

from sqlite_utils import Database

from daybank import change_log, schema
from daybank.change_log import Held, text_of

Verdict = namedtuple("Verdict", ("id", "verdict", "problem"))  # accepted, duplicate, invalid, id-reuse, clock-ahead

CLOCK_AHEAD_MS = 5 * 60 * 1000  # a clock further ahead would win against everyone until its time has come
PRAGMAS = ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "busy_timeout = 5000",
           "trusted_schema = OFF", "cell_size_check = ON")
_CHANGE = 'INSERT INTO changes (id, rig, dev, sv, hlc, tbl, "row", "set") VALUES (?, ?, ?, ?, ?, ?, ?, ?)'
_CELL = """INSERT INTO cells (rig, tbl, "row", field, value, hlc, change) VALUES (?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET value = excluded.value, hlc = excluded.hlc, change = excluded.change
    WHERE (excluded.hlc, excluded.change) > (hlc, change)"""
_ENTRY = """INSERT INTO entries (rig, tbl, "row", made) VALUES (?, ?, ?, ?)
    ON CONFLICT DO UPDATE SET made = excluded.made WHERE excluded.made < made"""


class StoreError(Exception):
    """The file cannot be opened, read or written: a sentence with what is wrong and what to do."""


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
        if read_only and not path.is_file():
            raise StoreError(f"There is no file {path}; the first import makes it.")
        with _said(path):
            if not read_only:
                _make_private(path)
            connection = sqlite3.connect(f"file:{_quoted(path)}?mode={'ro' if read_only else 'rw'}", uri=True,
                                         isolation_level=None, check_same_thread=False)
            try:
                for pragma in PRAGMAS[1:] if read_only else PRAGMAS:
                    connection.execute(f"PRAGMA {pragma}")
                _check_ours(connection, path, len(steps))
                if not read_only:
                    _bring_up_to_date(connection, path, steps, now_ms)
            except BaseException:
                connection.close()
                raise
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
        with self._lock, _said(self.path):
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
        with self._lock, _said(self.path):
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
        return change_log.uuid7(now_ms, os.urandom(10))

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
        with self._lock, _said(self.path):
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
        with self._lock, _said(self.path):
            return self._db.execute("SELECT value FROM about WHERE name = ?", (name,)).fetchone()[0]

    def _rows(self, sql: str) -> list:
        with self._lock, _said(self.path):
            return list(self._tables.query(sql))

    @contextmanager
    def _transaction(self):
        with self._lock, _said(self.path), _transaction(self._db):
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


# ---- opening

def _make_private(path: Path) -> None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))


def _quoted(path: Path) -> str:
    return "".join(f"%{ord(mark):02x}" if mark in "%?#" else mark for mark in str(path.absolute()))


def _check_ours(db: sqlite3.Connection, path: Path, known: int) -> None:
    version = db.execute("PRAGMA user_version").fetchone()[0]
    holds = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if holds and db.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION_ID:
        raise StoreError(f"{path} is another program's database; accepted is a file that Daybank made; name another "
                         "data folder.")
    if version > known:
        raise StoreError(f"{path} was written by a newer Daybank (step {version}, this one knows {known}); update "
                         "Daybank here.")


def _bring_up_to_date(db: sqlite3.Connection, path: Path, steps, now_ms: int) -> None:
    version = db.execute("PRAGMA user_version").fetchone()[0]
    if 0 < version < len(steps):
        with sqlite3.connect(path.with_name(f"{path.name}.before-step-{version + 1}")) as copy:
            db.backup(copy)
        copy.close()
    for number, (name, step) in enumerate(steps, start=1):
        with _transaction(db):
            if db.execute("PRAGMA user_version").fetchone()[0] >= number:  # another process was quicker
                continue
            step(db)
            at = datetime.fromtimestamp(now_ms / 1000, timezone.utc).isoformat(timespec="seconds")
            db.execute("INSERT INTO schema_steps VALUES (?, ?, ?)", (number, name, at))
            db.execute(f"PRAGMA user_version = {number}")
            if number == 1:
                about = {"epoch": os.urandom(16).hex(), "device": Store.new_id(now_ms), "hlc": change_log.ZERO}
                db.executemany("INSERT INTO about VALUES (?, ?)", sorted(about.items()))


@contextmanager
def _transaction(db: sqlite3.Connection):
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:  # a full disk has rolled back already
            db.execute("ROLLBACK")
        raise


@contextmanager
def _said(path: Path):
    """Turns the database's own errors into sentences."""
    try:
        yield
    except sqlite3.Error as error:
        said = str(error).lower()
        advice = next((what for mark, what in _ADVICE if mark in said), "look at the file, or restore a backup")
        raise StoreError(f"{path} cannot be used ({error}); {advice}. Nothing was written.") from error
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise StoreError(f"{error.filename or path} cannot be used ({reason}); give a folder of your own with "
                         "--data.") from error


_ADVICE = (
    ("full", "the disk is full: make room and try again"),
    ("readonly", "it may not be written: give a folder of your own with --data"),
    ("locked", "another program holds it: close that one and try again"),
    ("malformed", "it is damaged: restore a backup"),
    ("not a database", "it is no database: restore a backup or name another data folder"),
    ("unable to open", "give a folder of your own with --data"),
)
