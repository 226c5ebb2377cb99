"""Opens a household's SQLite file: makes it, brings it up to date, and says its errors in sentences.

WAL with synchronous FULL, since with less a power cut may take back what a phone was told is kept.
"""
import os
import sqlite3
from contextlib import contextmanager
from datetime import datetime, timezone
from pathlib import Path

from daybank import change_log, schema

PRAGMAS = ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "busy_timeout = 5000",
           "trusted_schema = OFF", "cell_size_check = ON")


class StoreError(Exception):
    """The file cannot be opened, read or written: a sentence with what is wrong and what to do."""


def connect(path: Path, *, now_ms: int, read_only: bool = False, steps=schema.STEPS) -> sqlite3.Connection:
    """A connection with our settings, to a file that is ours and up to date.

    Raises
        StoreError: as Store.open.
    """
    if read_only and not path.is_file():
        raise StoreError(f"There is no file {path}; the first import makes it.")
    with said_plainly(path):
        if not read_only:
            make_private(path)
        connection = sqlite3.connect(f"file:{quoted(path)}?mode={'ro' if read_only else 'rw'}", uri=True,
                                     isolation_level=None, check_same_thread=False)
        try:
            for pragma in PRAGMAS[1:] if read_only else PRAGMAS:
                connection.execute(f"PRAGMA {pragma}")
            check_ours(connection, path, len(steps))
            if not read_only:
                bring_up_to_date(connection, path, steps, now_ms)
        except BaseException:
            connection.close()
            raise
    return connection


def new_id(now_ms: int) -> str:
    """A new identifier of this moment."""
    return change_log.uuid7(now_ms, os.urandom(10))


def make_private(path: Path) -> None:
    """Makes the file and its folder, for their owner alone, where they are not there yet."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))


def quoted(path: Path) -> str:
    """The path as a file: address has it."""
    return "".join(f"%{ord(mark):02x}" if mark in "%?#" else mark for mark in str(path.absolute()))


def check_ours(db: sqlite3.Connection, path: Path, known: int) -> None:
    """Refuses another program's file, and one that a newer Daybank has written."""
    version = db.execute("PRAGMA user_version").fetchone()[0]
    holds = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if holds and db.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION_ID:
        raise StoreError(f"{path} is another program's database; accepted is a file that Daybank made; name another "
                         "data folder.")
    if version > known:
        raise StoreError(f"{path} was written by a newer Daybank (step {version}, this one knows {known}); update "
                         "Daybank here.")


def bring_up_to_date(db: sqlite3.Connection, path: Path, steps, now_ms: int) -> None:
    """Takes the steps that the file lacks, each in one transaction, after a copy of what was."""
    version = db.execute("PRAGMA user_version").fetchone()[0]
    if 0 < version < len(steps):
        with sqlite3.connect(path.with_name(f"{path.name}.before-step-{version + 1}")) as copy:
            db.backup(copy)
        copy.close()
    for number, (name, step) in enumerate(steps, start=1):
        with transaction(db):
            if db.execute("PRAGMA user_version").fetchone()[0] >= number:  # another process was quicker
                continue
            step(db)
            at = datetime.fromtimestamp(now_ms / 1000, timezone.utc).isoformat(timespec="seconds")
            db.execute("INSERT INTO schema_steps VALUES (?, ?, ?)", (number, name, at))
            db.execute(f"PRAGMA user_version = {number}")
            if number == 1:
                about = {"epoch": os.urandom(16).hex(), "device": new_id(now_ms), "hlc": change_log.ZERO}
                db.executemany("INSERT INTO about VALUES (?, ?)", sorted(about.items()))


@contextmanager
def transaction(db: sqlite3.Connection):
    """All of it or nothing; takes the right to write at once, so that two writers take turns."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:  # a full disk has rolled back already
            db.execute("ROLLBACK")
        raise


@contextmanager
def said_plainly(path: Path):
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
