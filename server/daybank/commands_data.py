"""The commands `rigfile`, `import`, `export` and `integrity`: a person's data in, out and looked over.

Nothing is written without --yes, and then all of it or nothing. Exit status 0: good; 1: faults found, or the operation
failed; 2: bad input. Records of a household are in one file below the data folder; see settings.py.
"""
import argparse
import json
import os
import sys
import tempfile
import time
from pathlib import Path

from daybank import change_log, import_plan
from daybank.settings import Settings, from_environment
from daybank.store import Store, StoreError, household_file
from daybank.strict_json import MAX_BYTES, Refusal, shown
from daybank.words import printable

GOOD, FAILED, BAD_INPUT = 0, 1, 2


def rigfile_command(given: argparse.Namespace) -> int:
    """Tells every fault of a rig file; status 1 if there are any."""
    from daybank import rigfile
    try:
        read = rigfile.read(_text_of(given.file))
    except ValueError as refusal:
        return _say(str(refusal), BAD_INPUT)
    for note in read.notes:
        print(f"{printable(given.file)}: note: {printable(rigfile.text_of(note))}")
    for fault in read.faults:
        print(f"{printable(given.file)}: {printable(rigfile.text_of(fault))}")
    if read.faults:
        count = len(read.faults)
        print(f"{count} fault{'s' if count > 1 else ''}. Correct and check again; nothing was written.")
        return FAILED
    print(f"{printable(given.file)} is good: {_parts(read.export)}.")
    return GOOD


def import_command(given: argparse.Namespace) -> int:
    """Shows what a file would write, and with --yes writes it."""
    now_s = time.time()
    try:
        path = _data_file(given)
        text = _text_of(given.file)
        kind = _kind_of(given.file, text)
        if kind == "csv":
            return _import_csv(given, path, text, now_s)
        return _import_export(given, path, _export_of(given, kind, text), now_s)
    except StoreError as error:
        return _say(str(error), FAILED)
    except ValueError as refusal:
        return _say(str(refusal), BAD_INPUT)


def export_command(given: argparse.Namespace) -> int:
    """Prints or writes a rig as daybank-export/1, or its logbook as CSV files."""
    try:
        with Store.open(_data_file(given), now_ms=_ms(time.time()), read_only=True) as store:
            export = store.export(_rig_here(store, given.rig)["id"])
        if given.csv:
            return _export_csv(export, Path(given.csv), given.overwrite)
        text = json.dumps(export, indent=1, ensure_ascii=not _speaks_unicode(given), allow_nan=False) + "\n"
        if given.output:
            _write_files({Path(given.output): text}, given.overwrite)
            print(f"Wrote {printable(given.output)}: {_parts(export)}.")
        else:
            print(text, end="")
        return GOOD
    except StoreError as error:
        return _say(str(error), FAILED)
    except ValueError as refusal:
        return _say(str(refusal), BAD_INPUT)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        return _say(f"{error.filename} cannot be written ({reason}); accepted is a place in a folder of yours; name "
                    "one", FAILED)


def integrity_command(given: argparse.Namespace) -> int:
    """Looks the household's file over; status 1 if something is wrong with it."""
    try:
        path = _data_file(given)
        with Store.open(path, now_ms=_ms(time.time()), read_only=True) as store:
            faults = store.faults()
            counts = store.counts() if not faults else {}
    except StoreError as error:
        return _say(str(error), FAILED)
    except ValueError as refusal:
        return _say(str(refusal), BAD_INPUT)
    for fault in faults:
        print(f"{path}: {fault}")
    if faults:
        print("The file is not as it should be. Keep a copy of it, then restore a backup.")
        return FAILED
    print(f"{path} is sound: {_count(counts['rigs'], 'rig')}, {_count(counts['records'], 'record')}, "
          f"{_count(counts['changes'], 'change')}.")
    return GOOD


# ---- import

def _export_of(given: argparse.Namespace, kind: str, text: str) -> dict:
    if kind == "json":
        from daybank import records
        export = records.read_export(text)
        if "asked_at" in export or "truth" in export:
            print("Note: asked_at and truth belong to a question and are no records; they are not kept.")
        return export
    from daybank import rigfile
    read = rigfile.read(text)
    for note in read.notes:
        print(f"note: {printable(rigfile.text_of(note))}")
    if read.faults:
        told = "\n".join(f"  {rigfile.text_of(fault)}" for fault in read.faults)
        raise ValueError(f"{given.file} has {_count(len(read.faults), 'fault')}; accepted is a rig file without any; "
                         f"correct these lines:\n{told}")
    return read.export


def _import_export(given: argparse.Namespace, path: Path, export: dict, now_s: float) -> int:
    with _opened(path, given.yes, now_s) as store:
        rig, held = _rig_for(store, export, given)
        rows = change_log.rows_of_export(export, rig, lambda: Store.new_id(_ms(now_s)))
        whose = "a new rig" if not held else "a rig that is here"
        print(f"{printable(str(export['rig'].get('name')))}: {whose}; the file holds {_parts(export)}.")
        return _carry_out(given, store, rig, import_plan.compare(rows, held), now_s)


def _import_csv(given: argparse.Namespace, path: Path, text: str, now_s: float) -> int:
    from daybank import logbook_csv
    with _opened(path, given.yes, now_s) as store:
        rig = _rig_here(store, given.rig)
        held = store.held(rig["id"])
        read = logbook_csv.read(text, change_log.export_of_rows(held), held=held, now_s=now_s,
                                new_id=lambda: Store.new_id(_ms(now_s)))
        plan = import_plan.compare(read.rows, held, partial=True, refused=read.refused)
        print(f"{printable(rig['name'])}: {read.name}.")
        return _carry_out(given, store, rig["id"], plan._replace(same=plan.same + read.same), now_s)


def _carry_out(given: argparse.Namespace, store: Store, rig: str, plan: import_plan.Plan, now_s: float) -> int:
    for line in import_plan.lines(plan, update=given.update):
        print(line)
    rows = import_plan.writes(plan, update=given.update)
    if plan.refused and not given.skip_refused:
        print("Nothing was written. Correct the refused rows, or take the others alone with --skip-refused.")
        return BAD_INPUT
    if not rows:
        print("There is nothing to write." + ("" if given.update or not plan.differs + plan.deleted else
                                              " --update takes the file's where it differs."))
    elif not given.yes:
        print("Nothing is written yet; add --yes to write it.")
    else:
        count = store.write(rig, rows, now_ms=_ms(now_s))
        print(f"Wrote {_count(count, 'record')} to {store.path}.")
    return GOOD


def _opened(path: Path, writing: bool, now_s: float) -> "Store":
    """The household's file; where there is none yet and nothing is to be written, what stands for it."""
    if writing or path.is_file():
        return Store.open(path, now_ms=_ms(now_s), read_only=not writing)
    return _Nothing()


class _Nothing:
    """Stands for a file that is not there yet, so that looking makes none."""

    def __enter__(self):
        return self

    def __exit__(self, *_):
        return None

    def rigs(self) -> list:
        return []

    def held(self, rig: str) -> list:
        return []


def _rig_for(store, export: dict, given: argparse.Namespace) -> tuple:
    """(id, records here) of the rig that a file belongs to: by its id, by --rig, by its name, else a new one."""
    if given.new and given.rig:
        raise Refusal("--new", "was given beside --rig; accepted is one of the two; leave one out")
    named = export["rig"].get("id")
    if given.new:
        return Store.new_id(_ms(time.time())), []
    if given.rig is not None:
        rig = _rig_here(store, given.rig)["id"]
        return rig, store.held(rig)
    if isinstance(named, str) and named:
        return named, store.held(named)
    same = [rig for rig in store.rigs() if rig["name"] == export["rig"].get("name")]
    if len(same) > 1:
        raise Refusal("--rig", f"{len(same)} rigs here are called {shown(same[0]['name'])}; accepted is the id of one, "
                      f"{' or '.join(rig['id'] for rig in same)}, or --new; say which with --rig")
    rig = same[0]["id"] if same else Store.new_id(_ms(time.time()))
    return rig, store.held(rig)


def _rig_here(store, name: str | None) -> dict:
    """The rig of that name or id, or the only one."""
    rigs = store.rigs()
    if not rigs:
        raise Refusal("--rig", "no rig is here yet; accepted is the name of one; import a rig file or an export first")
    found = rigs if name is None else [rig for rig in rigs if name in (rig["id"], rig["name"])]
    if len(found) == 1:
        return found[0]
    listed = ", ".join(f"{shown(rig['name'])} (id {rig['id']})" for rig in (found or rigs))
    said = f"{shown(name)} is the name of no rig here" if not found else f"{len(found)} rigs are here"
    if found and name is not None:
        said = f"{len(found)} rigs here are called {shown(name)}"
    raise Refusal("--rig", f"{said}; accepted are {listed}; name one with --rig")


def _kind_of(name: str, text: str) -> str:
    """toml, json or csv: by the name's ending, else by how the text begins."""
    ending = Path(name).suffix.lower()
    if ending in (".toml", ".json", ".csv"):
        return ending[1:]
    start = text.lstrip("\ufeff \t\r\n")[:200]
    if start.startswith("{"):
        return "json"
    return "csv" if " id" in start.split("\n")[0].split(",")[0].casefold() else "toml"


def _text_of(name: str) -> str:
    if name == "-":
        data, path = sys.stdin.buffer.read(MAX_BYTES + 1), "standard input"
    else:
        path = name
        try:
            with Path(name).open("rb") as file:
                data = file.read(MAX_BYTES + 1)
        except (OSError, ValueError) as error:
            reason = (getattr(error, "strerror", None) or str(error)).lower()
            raise ValueError(f"{name} cannot be read ({reason}); accepted is a rig file, an export or a CSV file; give "
                             "its path") from None
    if len(data) > MAX_BYTES:
        raise ValueError(f"{path} is larger than {MAX_BYTES // 1024 // 1024} MB; no such file is; give a shorter one")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValueError(f"{path}: byte {error.start} is not UTF-8 text; accepted is a file in UTF-8; save it "
                         "so") from None


# ---- export

def _export_csv(export: dict, folder: Path, overwrite: bool) -> int:
    from daybank import logbook_csv
    files = {folder / f"{name}.csv": logbook_csv.write(export, name) for name in logbook_csv.KINDS if export.get(name)}
    if not files:
        print("The logbook is empty; nothing was written.")
        return GOOD
    folder.mkdir(parents=True, exist_ok=True)
    _write_files(files, overwrite)
    print(f"Wrote {', '.join(file.name for file in files)} to {printable(str(folder))}. The rig itself is not in them; "
          "export without --csv has it.")
    return GOOD


def _write_files(files: dict, overwrite: bool) -> None:
    """Writes each whole beside its place, then puts all in place, so that no half file ever stands there."""
    there = [str(path) for path in files if path.exists()]
    if there and not overwrite:
        raise Refusal("", f"{', '.join(there)} is there already; accepted is a new name; give one, or replace it with "
                      "--overwrite")
    made = []
    try:
        for path, text in files.items():
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
            made.append((name, path))
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
        for name, path in made:
            os.replace(name, path)
    finally:
        for name, _ in made:
            Path(name).unlink(missing_ok=True)


def _speaks_unicode(given: argparse.Namespace) -> bool:
    return bool(given.output) or (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"


# ---- both

def _data_file(given: argparse.Namespace) -> Path:
    chosen: Settings = from_environment(os.environ, data_dir=Path(given.data) if given.data else None)
    if chosen.data_dir is None:
        raise Refusal("--data", "no folder for records is known here; accepted is a folder of yours; give one")
    return household_file(chosen.data_dir, chosen.household)


def _parts(export: dict) -> str:
    """How much an export holds: "1 bank, 7 circuits"."""
    words = {name: word for name, word in change_log.TBL_OF.items()}
    counted = [_count(len(export[name]), words[name]) for name in words if export.get(name)]
    return ", ".join(counted) or "no records"


def _count(number: int, word: str) -> str:
    plural = word[:-1] + "ies" if word.endswith("y") else word + "s"
    return f"{number} {word if number == 1 else plural}"


def _ms(now_s: float) -> int:
    return int(now_s * 1000)


def _say(sentence: str, status: int) -> int:
    safe = "\n".join(printable(line) for line in sentence.split("\n"))
    print(f"daybank: {safe}", file=sys.stderr)
    return status
