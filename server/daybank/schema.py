"""The tables of a household's file, and the named steps that made them what they are.

Theory. `changes` is the truth: every change that any phone ever made, in the order of arrival. `entries` and `cells`
are its fold: which records there are, and for each field the value whose (hlc, change id) is greatest. The other tables
(`rigs`, `readings`, ...) show the same to a person with any SQLite tool: one row for each record that is not deleted, a
column for each field that this version knows, and `more` with the fields that it does not. All but `changes` can be
made anew from `changes`.

The checks are weak on purpose where JSON is held: SQLite counts its JSON functions as unsafe in a schema that is not
trusted, and we trust none. The views do use them; a person's own tool runs them, and nothing here does.

A step is a function of the connection. Each runs in one transaction of its own, with its name written into
`schema_steps`; `PRAGMA user_version` counts them. A step that was once released is never changed: a new one follows.
"""
import sqlite3
from collections import namedtuple

Plain = namedtuple("Plain", ("table", "columns"))

APPLICATION_ID = 0x44617962  # "Dayb", so that another program's file is never taken for ours
MOST = 1e15  # any finite quantity of this trade; beyond it a value is kept in `more`

TEXT, REAL, FLAG, JSON, ANY = "text", "real", "flag", "json", "any"  # any: a gauge is 8 or "1/0"
_WIRE = {"wire_mm2": REAL, "wire_awg": ANY, "wire_m": REAL}
_PLACE = {"lat_deg": REAL, "lon_deg": REAL}
PLAIN = {  # kind of record in a change -> its table and columns; names are those of daybank-export/1
    "rig": Plain("rigs", {"name": TEXT, "nominal_v": REAL, "timezone": TEXT, **_PLACE, "season_sky": TEXT}),
    "bank": Plain("banks", {
        "chemistry": TEXT, "rated_ah": REAL, "rated_h": REAL, "in_parallel": REAL, "floor_soc": REAL,
        "installed_on": TEXT, "removed_on": TEXT, "lives": TEXT}),
    "source": Plain("sources", {
        "kind": TEXT, "panel_w": REAL, "tilt_deg": REAL, "azimuth_deg": REAL, "azimuth_from_nose_deg": REAL,
        "controller": TEXT, "max_a": REAL, "absorption_v": REAL, "float_v": REAL, "output_max_a": REAL,
        "output_cutoff_v": REAL, "link": TEXT, **_WIRE}),
    "circuit": Plain("circuits", {
        "name": TEXT, "feed": TEXT, "draw_a": REAL, "draw_w": REAL, "draw_from": TEXT, "when": TEXT,
        "typical_h_per_day": REAL, "duty_at_25c": REAL, "through_inverter": FLAG, "fuse_a": REAL, "fuse_slot": TEXT,
        **_WIRE, "cutoff_v": REAL, "essential": FLAG}),
    "inverter": Plain("inverters", {"idle_w": REAL, "efficiency": REAL, "cutoff_v": REAL, "left_on": FLAG}),
    "gauge": Plain("gauges", {"name": TEXT, "at": TEXT, "resolution_v": REAL, **_WIRE, "shared_circuits": JSON}),
    "selector": Plain("selectors", {"positions": JSON}),
    "trip": Plain("trips", {
        "name": TEXT, "starts_at": TEXT, "ends_at": TEXT, **_PLACE, "altitude_m": REAL, "shade": REAL,
        "night_c": REAL, "day_c": REAL, "season_sky": TEXT, "stops": JSON}),
    "reading": Plain("readings", {
        "at": TEXT, "volts": REAL, "gauge_id": TEXT, "state": TEXT, "on": JSON, "off": JSON, "amps": REAL,
        "rested_h": REAL, "bank_c": REAL, "soc": REAL, "confirmed": FLAG, "note": TEXT}),
    "use": Plain("uses", {
        "day": TEXT, "circuit_id": TEXT, "hours": REAL, "from": TEXT, "until": TEXT, "kind": TEXT}),
    "sky": Plain("skies", {
        "day": TEXT, "condition": TEXT, "shade": REAL, "harvest_ah": REAL, "night_c": REAL, "day_c": REAL}),
    "charge": Plain("charges", {"source_id": TEXT, "starts_at": TEXT, "hours": REAL}),
    "position": Plain("positions", {"at": TEXT, "position": TEXT}),
    "event": Plain("events", {"at": TEXT, "between": JSON, "kind": TEXT, "circuit_id": TEXT, "note": TEXT}),
    "check": Plain("checks", {}),
    "finding": Plain("findings", {}),
    "other": Plain("others", {"value": ANY}),
}
OWN_COLUMNS = ("rig", "id", "made", "more")  # of every plain table, beside the fields


def step_tables(db: sqlite3.Connection) -> None:
    """All tables of the first version."""
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for sql in _LOG:
        db.execute(sql)
    for plain in PLAIN.values():
        db.execute(_create(plain))
    db.execute('CREATE INDEX readings_at ON readings (rig, "at")')
    db.execute('CREATE INDEX uses_day ON uses (rig, "day")')


def step_views(db: sqlite3.Connection) -> None:
    """What is a list inside a record, as rows: for a person's own questions."""
    db.execute("""CREATE VIEW stops AS
        SELECT t.rig, t.id AS trip_id, t.name AS trip, s.key + 1 AS number, json_extract(s.value, '$.from') AS "from",
               json_extract(s.value, '$.lat_deg') AS lat_deg, json_extract(s.value, '$.lon_deg') AS lon_deg,
               json_extract(s.value, '$.heading_deg') AS heading_deg, json_extract(s.value, '$.shade') AS shade
        FROM trips t, json_each(t.stops) s""")
    db.execute("""CREATE VIEW selector_positions AS
        SELECT r.rig, p.key + 1 AS number, json_extract(p.value, '$.name') AS name,
               json_extract(p.value, '$.feeds') AS feeds
        FROM selectors r, json_each(r.positions) p""")
    db.execute("""CREATE VIEW reading_circuits AS
        SELECT r.rig, r.id AS reading_id, r."at", r.volts, c.name AS circuit, x.state
        FROM readings r
        JOIN (SELECT a.rig, a.id, o.value AS circuit_id, 'on' AS state FROM readings a, json_each(a."on") o
              UNION ALL
              SELECT b.rig, b.id, o.value, 'off' FROM readings b, json_each(b."off") o) x
             ON x.rig = r.rig AND x.id = r.id
        LEFT JOIN circuits c ON c.rig = r.rig AND c.id = x.circuit_id""")


STEPS = (("tables", step_tables), ("views", step_views))

_LOG = (
    "CREATE TABLE schema_steps (number INTEGER PRIMARY KEY, name TEXT NOT NULL, applied_at TEXT NOT NULL) STRICT",
    "CREATE TABLE about (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID",
    """CREATE TABLE changes (
        seq INTEGER PRIMARY KEY AUTOINCREMENT, id TEXT NOT NULL UNIQUE, rig TEXT NOT NULL REFERENCES rigs(id),
        dev TEXT NOT NULL, sv INTEGER NOT NULL, hlc TEXT NOT NULL, tbl TEXT NOT NULL, "row" TEXT NOT NULL,
        "set" TEXT NOT NULL CHECK ("set" GLOB '{*}')) STRICT""",
    "CREATE INDEX changes_rig ON changes (rig, seq)",
    """CREATE TABLE entries (
        rig TEXT NOT NULL REFERENCES rigs(id), tbl TEXT NOT NULL, "row" TEXT NOT NULL, made TEXT NOT NULL,
        PRIMARY KEY (rig, tbl, "row")) STRICT, WITHOUT ROWID""",
    """CREATE TABLE cells (
        rig TEXT NOT NULL, tbl TEXT NOT NULL, "row" TEXT NOT NULL, field TEXT NOT NULL,
        value TEXT NOT NULL, hlc TEXT NOT NULL, change TEXT NOT NULL REFERENCES changes(id),
        PRIMARY KEY (rig, tbl, "row", field),
        FOREIGN KEY (rig, tbl, "row") REFERENCES entries(rig, tbl, "row")) STRICT, WITHOUT ROWID""",
)


def _create(plain: Plain) -> str:
    columns = [f'"{name}" {_column(name, kind)}' for name, kind in plain.columns.items()]
    if plain.table == "rigs":
        own, key = ["id TEXT PRIMARY KEY", "made TEXT NOT NULL", "deleted INTEGER NOT NULL DEFAULT 0"], []
    else:
        own = ["rig TEXT NOT NULL REFERENCES rigs(id)", "id TEXT NOT NULL", "made TEXT NOT NULL"]
        key = ["PRIMARY KEY (rig, id)"]
    parts = [*own, *columns, "more TEXT CHECK (more GLOB '{*}')", *key]
    return f"CREATE TABLE {plain.table} ({', '.join(parts)}) STRICT, WITHOUT ROWID"


def _column(name: str, kind: str) -> str:
    return {
        TEXT: "TEXT", REAL: f'REAL CHECK (abs("{name}") <= {MOST:g})', FLAG: f'INTEGER CHECK ("{name}" IN (0, 1))',
        JSON: f'''TEXT CHECK ("{name}" GLOB '[[{{]*')''', ANY: "ANY",
    }[kind]


def fits(kind: str, value: object) -> bool:
    """Whether a column of that kind can hold the value without changing what it means."""
    plain_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return {
        TEXT: isinstance(value, str), REAL: plain_number and abs(value) <= MOST, FLAG: isinstance(value, bool),
        JSON: isinstance(value, (list, dict)), ANY: plain_number or isinstance(value, str),
    }[kind]
