"""What a file would change: its rows against the records that are here, before anything is written."""
from collections import namedtuple

from daybank.change_log import LIST_OF, Row, difference, present, same
from daybank.words import printable

# adds: rows; differs, deleted: (row, what it would set); refused: (where, sentence); same: how many
Plan = namedtuple("Plan", ("adds", "same", "differs", "deleted", "refused"))

SHOWN = 40  # records listed one by one; more are counted
_MAIN = {"reading": ("volts", "state"), "use": ("circuit_id", "hours", "kind"), "sky": ("condition", "harvest_ah"),
         "charge": ("source_id", "hours"), "event": ("kind", "circuit_id"), "position": ("position",)}
_WHEN = ("at", "starts_at", "day", "from", "between")


def compare(rows: list, held: list, *, partial: bool = False, refused: list = ()) -> Plan:
    """Rows of a file against the records here.

    Parameters
        rows: as change_log.rows_of_export gives them.
        held: as the store gives them, deleted ones included.
        partial: a field that the file lacks says nothing; else it says that the field is to be absent.
        refused: what was refused already, as (where, sentence).
    """
    here = {(one.tbl, one.row): one for one in held}
    plan = Plan([], 0, [], [], list(refused))
    equal = 0
    for row in rows:
        one = here.get((row.tbl, row.row))
        if one is None:
            plan.adds.append(row)
            continue
        changed = difference(present(one.fields), present(row.fields))
        if "typed" not in row.fields:
            changed = _with_typed(changed, one.fields.get("typed"))
        if partial:
            changed = {name: value for name, value in changed.items() if name in row.fields or name == "typed"}
        if one.fields.get("deleted") is True:
            plan.deleted.append((row, {**changed, "deleted": False}))
        elif changed:
            plan.differs.append((row, changed))
        else:
            equal += 1
    return plan._replace(same=equal)


def _with_typed(changed: dict, typed) -> dict:
    """What a person typed stays beside the values that stay; it goes with those that change."""
    rest = {name: value for name, value in changed.items() if name != "typed"}
    if not isinstance(typed, dict) or not set(typed) & set(rest):
        return rest
    return {**rest, "typed": {name: text for name, text in typed.items() if name not in rest} or None}


def already_here(row: Row, held: list) -> bool:
    """Whether a record without an id says what some record here says."""
    return any(one.tbl == row.tbl and one.fields.get("deleted") is not True and same(present(one.fields), row.fields)
               for one in held)


def writes(plan: Plan, *, update: bool) -> list:
    """The rows to write: what is new, and with `update` also what differs or was deleted."""
    changed = [Row(row.tbl, row.row, fields) for row, fields in plan.differs + plan.deleted] if update else []
    return plan.adds + changed


def lines(plan: Plan, *, update: bool) -> list:
    """The plan as lines for a terminal."""
    said = _listed([f"adds     {_named(row)}" for row in plan.adds], "would be added")
    verb, why = ("changes ", "") if update else ("differs ", "  (kept as it is here)")
    said += _listed([f"{verb} {_named(row)}: {_changes(fields)}{why}" for row, fields in plan.differs], "differ")
    verb = "restores" if update else "deleted "
    why = "" if update else "  (deleted here, stays so)"
    said += _listed([f"{verb} {_named(row)}{why}" for row, _ in plan.deleted], "were deleted here")
    said += [f"refuses  {where}: {printable(sentence)}" for where, sentence in plan.refused[:SHOWN * 5]]
    counts = [f"{len(plan.adds)} to add", f"{plan.same} here already"]
    if plan.differs or plan.deleted:
        counts.append(f"{len(plan.differs) + len(plan.deleted)} {'to change' if update else 'different here'}")
    if plan.refused:
        counts.append(f"{len(plan.refused)} refused")
    return [*said, "Records: " + ", ".join(counts) + "."]


def _listed(said: list, what: str) -> list:
    return said if len(said) <= SHOWN else [*said[:SHOWN], f"... and {len(said) - SHOWN} more that {what}"]


def _named(row: Row) -> str:
    fields = row.fields
    when = next((fields[name] for name in _WHEN if name in fields and row.tbl in _MAIN), None)
    if isinstance(when, list):
        when = " to ".join(map(str, when))
    if row.tbl == "other":
        return f"field {printable(row.row)}"
    parts = [when] if when else [fields.get("name") or row.row]
    parts += [fields[name] for name in _MAIN.get(row.tbl, ()) if fields.get(name) is not None]
    kind = row.tbl if row.tbl in LIST_OF or row.tbl in ("rig", "selector") else "record"
    return printable(" ".join([kind, *map(str, parts)])) if row.tbl != "selector" else "selector"


def _changes(fields: dict) -> str:
    said = [f"{name} = {'nothing' if value is None else str(value)[:40]}" for name, value in sorted(fields.items())]
    return printable(", ".join(said[:6]) + (", ..." if len(said) > 6 else ""))
