"""Invented rigs and logs as daybank-export/1: one plain camp to start a test from, and strategies for all others."""

import json
from collections import namedtuple
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from daybank import records
from daybank.energy import course as courses
from daybank.energy import estimate, forecast

CAMP = {
    "format": "daybank-export/1",
    "rig": {"name": "test rig", "nominal_v": 12, "timezone": "America/Denver"},
    "banks": [{"id": "bank", "chemistry": "agm", "rated_ah": 100, "rated_h": 20, "floor_soc": 0.5}],
    "sources": [{"id": "panel", "kind": "solar", "panel_w": 100, "tilt_deg": 0, "azimuth_deg": 180,
                 "controller": "mppt"},
                {"id": "tow", "kind": "alternator", "max_a": 20}, {"id": "shore", "kind": "shore", "max_a": 10}],
    "circuits": [
        {"id": "fridge", "name": "fridge", "feed": "bank", "draw_a": 3.5, "when": "thermostat", "duty_at_25c": 0.35,
         "cutoff_v": 10.8, "essential": True, "wire_mm2": 2.5, "wire_m": 4},
        {"id": "alarm", "name": "gas alarm", "feed": "bank", "draw_a": 0.1, "when": "always"},
        {"id": "lights", "name": "lights", "feed": "fuse_block", "draw_a": 2.0, "when": "evening",
         "typical_h_per_day": 3},
        {"id": "fan", "name": "fan", "feed": "fuse_block", "draw_a": 1.5, "when": "night", "typical_h_per_day": 6},
        {"id": "pump", "name": "pump", "feed": "fuse_block", "draw_a": 5.0, "when": "any", "typical_h_per_day": 0.5},
    ],
    "gauges": [{"id": "dial", "name": "dial in the panel", "at": "panel", "resolution_v": 0.01, "wire_mm2": 2.5,
                "wire_m": 3, "shared_circuits": ["lights", "fan", "pump"]},
               {"id": "hand", "name": "meter at the posts", "at": "posts", "resolution_v": 0.01}],
    "trips": [{"id": "trip", "name": "camp", "starts_at": "2025-06-10T12:00-06:00", "ends_at": "2025-06-18T12:00-06:00",
               "lat_deg": 40.0, "lon_deg": -108.0, "altitude_m": 1800, "shade": 0.1, "night_c": 8, "day_c": 27}],
    "readings": [{"id": "full", "at": "2025-06-10T12:00-06:00", "state": "full"}],
    "asked_at": "2025-06-12T20:00-06:00",
}
MIDNIGHT_10_JUNE_S = 1749535200  # 2025-06-10T00:00-06:00
LOG = ("readings", "uses", "skies", "charges", "positions", "events")


def camp(**parts) -> dict:
    """A copy of the plain camp; a named part stands in place of its own."""
    return json.loads(json.dumps({**CAMP, **parts}))


def gentle(**parts) -> dict:
    """The plain camp with a small fridge and a bank that was full this morning: some days are left without sun."""
    circuits = [{**row, "draw_a": {"fridge": 1.2, "lights": 1.0, "fan": 0.5}.get(row["id"], row["draw_a"])}
                for row in CAMP["circuits"]]
    full = [{"id": f"full-{day}", "at": moment(day, 8), "state": "full"} for day in (11, 12)]
    return camp(**({"circuits": circuits, "readings": CAMP["readings"] + full} | parts))


def question(export: dict) -> dict:
    """The question of an export, through the door by which files come in."""
    return records.question_from_export(records.read_export(json.dumps(export)))


Laid = namedtuple("Laid", ("question", "rig", "course"))


def asked(export: dict, horizon_days: int = courses.HORIZON_DAYS) -> Laid:
    """The export's question with its hours laid out."""
    rows = question(export)
    rig = estimate.rig_of(rows)
    starts_s = estimate.start_of_replay(rows)
    return Laid(rows, rig, courses.course(rows, rig=rig, starts_s=starts_s, horizon_days=horizon_days))


def ensemble(laid: Laid, *, n: int = 24, seed: int = 1, log: bool = False) -> estimate.Ensemble:
    """Members before the log has spoken, or after."""
    members = estimate.first_members(laid.question, laid.course, laid.rig, n=n, seed=seed)
    if log:
        estimate.replay(members, laid.question, laid.course)
    return members


def answer(export: dict, *, members: int = 100, seed: int = 1) -> dict:
    """The answer to an export."""
    return forecast.answer(question(export), members=members, seed=seed)


def second(day: int, hour: float) -> float:
    """A moment of June 2025 at the camp, in seconds since the epoch."""
    return MIDNIGHT_10_JUNE_S + (day - 10) * 86400 + hour * 3600


def moment(day: int, hour: float) -> str:
    """The same as an export writes it."""
    minutes = int(hour * 60 + 0.5)
    return f"2025-06-{day:02d}T{minutes // 60:02d}:{minutes % 60:02d}-06:00"


def reading(day: int, hour: float, volts: float, state: str = "rested", **more) -> dict:
    """A reading at the posts."""
    return {"id": f"r-{day}-{hour}", "at": moment(day, hour), "volts": volts, "gauge_id": "hand", "state": state,
            **more}


# ---- strategies

# Whole, half and quarter hours from Greenwich, both hemispheres, summer times of an hour and of half an hour, and
# a place beyond the polar circle.
PLACES = (("America/Denver", 40.0, -108.0), ("Europe/Amsterdam", 52.2, 5.5), ("Asia/Kathmandu", 27.9, 85.2),
          ("Australia/Lord_Howe", -31.5, 159.1), ("Pacific/Auckland", -43.5, 170.2), ("Europe/Oslo", 69.7, 19.0),
          ("UTC", 0.5, 3.0))
CHANGES_OF_CLOCK = ("2025-03-09", "2025-03-30", "2025-04-06", "2025-10-05", "2025-10-26", "2025-11-02")
WORDS = ("clear", "partly", "overcast", "rain", "unknown")
MORE_OF_THE_SKY = ({}, {"harvest_ah": 11.5}, {"shade": 0.4}, {"night_c": -3, "day_c": 9})
_amps = st.floats(0.05, 8.0).map(lambda x: round(x, 2))
_wire = st.sampled_from([{}, {"wire_mm2": 2.5, "wire_m": 4}, {"wire_awg": 12, "wire_m": 3.5},
                         {"wire_awg": "2/0", "wire_m": 1}])


def _maybe(draw, row, field, values):
    if draw(st.booleans()):
        row[field] = draw(values)


@st.composite
def circuits(draw):
    """Circuits of every pattern and feed, by amps or watts, some through the inverter."""
    rows = []
    for i in range(draw(st.integers(0, 5))):
        row = {"id": f"c{i}", "name": f"circuit {i}", "when": draw(st.sampled_from(
            ["always", "thermostat", "evening", "night", "day", "any"])), "feed": draw(st.sampled_from(
                ["bank", "fuse_block", "controller_output"])), **draw(_wire)}
        if row["when"] == "always":
            row["draw_a"] = draw(st.floats(0.01, 0.4))
        elif draw(st.booleans()):
            row["draw_a"] = draw(_amps)
        else:
            row["draw_w"] = draw(st.integers(1, 120))
            row["through_inverter"] = draw(st.booleans())
        _maybe(draw, row, "typical_h_per_day", st.integers(0, 40).map(lambda x: x / 4))
        _maybe(draw, row, "duty_at_25c", st.sampled_from([0.25, 0.4, 0.7]))
        _maybe(draw, row, "cutoff_v", st.sampled_from([10.5, 11.0, 11.8]))
        rows.append(row)
    return rows


def _event(draw, moment_of, ids):
    row = {"kind": draw(st.sampled_from(["cut_out", "fuse_blown", "restored", "flat", "jump_start"]))}
    if ids:
        row["circuit_id"] = draw(st.sampled_from(ids))
    last_h = draw(st.floats(0, 100))
    if draw(st.booleans()):
        row["at"] = moment_of(last_h)
    else:
        row["between"] = [moment_of(last_h + draw(st.floats(0, 8))), moment_of(last_h)]
    return row


def _use(draw, moment_of, days, ids):
    kind = draw(st.sampled_from(["hours", "span", "open", "day"])) if ids else "day"
    if kind == "day":
        return {"day": draw(st.sampled_from(days)), "kind": draw(st.sampled_from(["as_usual", "away"]))}
    row = {"circuit_id": draw(st.sampled_from(ids))}
    if kind == "hours":
        return {"day": draw(st.sampled_from(days)), "hours": draw(st.integers(0, 96)) / 4, **row}
    since_h = draw(st.floats(0, 80))
    row["from"] = moment_of(since_h)
    if kind == "span":
        row["until"] = moment_of(since_h - draw(st.floats(0, 12)))
    return row


@st.composite
def exports(draw, at_camp=None):
    """A rig and its log, asked about at some moment of 2025: plain ones, odd ones, and days with a change of clock."""
    tz, lat, lon = draw(st.sampled_from(PLACES))
    zone = ZoneInfo(tz)
    day = draw(st.sampled_from(CHANGES_OF_CLOCK).map(date.fromisoformat)
               | st.integers(8, 350).map(lambda n: date(2025, 1, 1) + timedelta(days=n)))
    day += timedelta(days=draw(st.integers(0, 3)))
    asked_s = datetime(day.year, day.month, day.day, draw(st.integers(0, 23)), draw(st.integers(0, 59)),
                       tzinfo=zone).timestamp()

    def moment_of(hours_ago):
        return datetime.fromtimestamp(int(asked_s - hours_ago * 3600) // 60 * 60, zone).isoformat(timespec="minutes")

    days = [(day + timedelta(days=n)).isoformat() for n in range(-5, 4)]
    nominal_v = draw(st.sampled_from([12, 12, 24]))
    export = {
        "format": "daybank-export/1", "rig": {"name": "drawn", "nominal_v": nominal_v, "timezone": tz},
        "banks": [{"id": "b", "chemistry": draw(st.sampled_from(["agm", "gel", "flooded", "lifepo4"])),
                   "rated_ah": draw(st.integers(40, 300)), "rated_h": 20, "in_parallel": draw(st.integers(1, 2)),
                   "floor_soc": draw(st.sampled_from([0.1, 0.2, 0.5, 0.7]))}],
        "circuits": draw(circuits()), "asked_at": moment_of(0),
    }
    ids = [row["id"] for row in export["circuits"]]
    if draw(st.booleans()):
        export["rig"].update(lat_deg=lat, lon_deg=lon)
    if draw(st.sampled_from([True, True, True, False])) if at_camp is None else at_camp:
        remaining_h = draw(st.integers(2, 500))
        stay = {"id": "t", "starts_at": moment_of(draw(st.integers(1, 150))), "lat_deg": lat, "lon_deg": lon,
                "ends_at": moment_of(-remaining_h)}
        _maybe(draw, stay, "altitude_m", st.integers(0, 3000))
        _maybe(draw, stay, "shade", st.sampled_from([0.0, 0.2, 0.5, 0.9]))
        if draw(st.booleans()):
            stay.update(night_c=draw(st.integers(-12, 20)), day_c=draw(st.integers(20, 38)))
        if draw(st.booleans()):
            stay["stops"] = [{"from": stay["starts_at"], "heading_deg": draw(st.integers(0, 360)), "slope_deg": 3,
                              "slope_toward_deg": draw(st.integers(0, 360))},
                             {"from": moment_of(draw(st.integers(-min(40, remaining_h - 1), 40))), "shade": 0.3,
                              "sun_window": ["09:00", "15:30"]}]
        export["trips"] = [stay]
    sources = [{"id": "s0", "kind": "solar", "panel_w": draw(st.integers(20, 400)), "controller": draw(
        st.sampled_from(["mppt", "pwm"])), "tilt_deg": draw(st.sampled_from([0, 15, 45])),
        draw(st.sampled_from(["azimuth_deg", "azimuth_from_nose_deg"])): draw(st.integers(0, 360)), "max_a": 20},
        {"id": "s1", "kind": "alternator", "max_a": 15}, {"id": "s2", "kind": "shore", "max_a": 8}]
    export["sources"] = draw(st.sampled_from([sources, sources[1:], []]))
    if draw(st.booleans()):
        export["inverters"] = [{"id": "i", "idle_w": draw(st.integers(1, 12)), "left_on": draw(st.booleans())}]
    export["gauges"] = [{"id": "g0", "name": "panel", "at": "panel", **draw(_wire)},
                        {"id": "g1", "name": "posts", "at": "posts", "resolution_v": 0.1}]
    if draw(st.booleans()):
        export["selector"] = {"positions": [{"name": "off", "feeds": "nothing"}, {"name": "bank", "feeds": "bank"}]}
        export["positions"] = [{"at": moment_of(draw(st.floats(0, 90))), "position": draw(st.sampled_from(
            ["off", "bank"]))} for _ in range(draw(st.integers(0, 3)))]
    export["readings"] = [_reading(draw, moment_of, ids, nominal_v) for _ in range(draw(st.integers(0, 6)))]
    export["uses"] = [_use(draw, moment_of, days, ids) for _ in range(draw(st.integers(0, 6)))]
    export["skies"] = [{"day": d, "condition": draw(st.sampled_from(WORDS)), **draw(st.sampled_from(MORE_OF_THE_SKY))}
                       for d in draw(st.lists(st.sampled_from(days), unique=True, max_size=4))]
    if export["sources"]:
        export["charges"] = [{"source_id": draw(st.sampled_from(["s1", "s2"])), "hours": draw(st.integers(1, 20)),
                              "starts_at": moment_of(draw(st.floats(-60, 100)))}
                             for _ in range(draw(st.integers(0, 2)))]
    export["events"] = [_event(draw, moment_of, ids) for _ in range(draw(st.integers(0, 2)))]
    for name in LOG:
        for index, row in enumerate(export.get(name, [])):
            row["id"] = f"{name}-{index}"
    return export


def _reading(draw, moment_of, ids, nominal_v):
    row = {"at": moment_of(draw(st.floats(0, 110))), "state": draw(st.sampled_from(
        ["rested", "loaded", "charging", "full", "unknown"]))}
    if row["state"] != "full":
        row["volts"] = round(draw(st.floats(11.2, 14.6)) * nominal_v / 12, 2)
    _maybe(draw, row, "gauge_id", st.sampled_from(["g0", "g1"]))
    _maybe(draw, row, "rested_h", st.sampled_from([0.5, 3, 12]))
    _maybe(draw, row, "bank_c", st.integers(-5, 35))
    _maybe(draw, row, "amps", st.sampled_from([0, 2.5, -4.0]))
    if ids and draw(st.booleans()):
        row["on"] = [draw(st.sampled_from(ids))]
        row["off"] = [name for name in ids if name not in row["on"]]
    return row
