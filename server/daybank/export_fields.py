"""The fields of daybank-export/1: which must be there and what each accepts.

Bounds are our own unless a line says otherwise; they are wide, since they catch slips of the pen and not rare rigs.
A field that is not listed is kept unread: a newer phone may have written it.
"""
from daybank import field_checks as f

FORMAT = "daybank-export/1"
CHEMISTRIES = ("agm", "flooded", "gel", "lifepo4")
PLAUSIBLE_V = (8.0, 16.0)  # a 12 V bank from dead flat to equalising; a flatter one is confirmed by the person

_share = f.number(0, 1, "(a share)")
_current = f.number(0, 1000, "amps")
_c = f.number(-60, 70, "degrees C")
_wire = {"wire_mm2": f.number(0.05, 200, "mm2"), "wire_awg": f.wire_gauge, "wire_m": f.number(0, 100, "metres")}
_appliance_v = f.volts(5, 15)
_charger_v = f.volts(12, 16.5)
_place = {"lat_deg": f.number(-90, 90, "degrees"), "lon_deg": f.number(-180, 180, "degrees")}
_season = {"season_sky": f.choice("dry", "average", "wet")}  # what the season is usually like there
_where = {"altitude_m": f.number(-450, 6000, "metres"), "shade": _share}

REQUIRED = {
    "rig": ("name", "nominal_v", "timezone"),
    "banks": ("chemistry", "rated_ah", "floor_soc"),
    "sources": ("kind",),
    "circuits": ("id", "name", "feed", "when"),
    "inverters": ("idle_w",),
    "gauges": ("name", "at"),
    "trips": ("starts_at", "ends_at", "lat_deg", "lon_deg"),
    "trips[].stops": ("from",),
    "readings": ("at", "state"),
    "uses": (),
    "skies": ("day", "condition"),
    "charges": ("source_id", "starts_at", "hours"),
    "positions": ("at", "position"),
    "events": ("kind",),
    "selector": ("positions",),
    "selector.positions": ("name", "feeds"),
}
FIELDS = {
    "rig": {"name": f.text, "nominal_v": f.choice(12, 24), "timezone": f.time_zone, **_place, **_season},
    "banks": {
        "chemistry": f.choice(*CHEMISTRIES), "rated_ah": f.number(0, 10_000, "amp-hours", above=True),
        "rated_h": f.number(1, 200, "hours"), "in_parallel": f.whole(1, 50),
        "floor_soc": f.number(0, 0.99, "(a share)"), "installed_on": f.day, "removed_on": f.day,
        "lives": f.choice("inside", "outside", "heated"),
    },
    "sources": {
        "kind": f.choice("solar", "alternator", "shore"), "panel_w": f.number(0, 20_000, "watts", above=True),
        "tilt_deg": f.number(0, 90, "degrees"), "azimuth_deg": f.number(0, 360, "degrees"),
        "azimuth_from_nose_deg": f.number(-360, 360, "degrees"), "controller": f.choice("mppt", "pwm"),
        "max_a": f.number(0, 1000, "amps", above=True), "absorption_v": _charger_v, "float_v": _charger_v,
        "output_max_a": f.number(0, 1000, "amps", above=True), "output_cutoff_v": _appliance_v,
        "link": f.choice("plain", "dc_dc"), **_wire,
    },
    "circuits": {
        "name": f.text, "feed": f.choice("bank", "fuse_block", "controller_output"), "draw_a": _current,
        "draw_w": f.number(0, 20_000, "watts"), "draw_from": f.choice("measured", "label", "guess"),
        "when": f.choice("always", "thermostat", "evening", "night", "day", "any"),
        "typical_h_per_day": f.number(0, 24, "hours a day"), "duty_at_25c": _share, "through_inverter": f.true_false,
        "fuse_a": f.number(0, 1000, "amps", above=True), "cutoff_v": _appliance_v, "essential": f.true_false, **_wire,
    },
    "inverters": {
        "idle_w": f.number(0, 500, "watts"), "efficiency": f.number(0.2, 1, "(a share)"), "cutoff_v": _appliance_v,
        "left_on": f.true_false,
    },
    "gauges": {
        "name": f.text, "at": f.choice("posts", "panel"), "resolution_v": f.number(0, 1, "volts", above=True),
        "shared_circuits": f.texts, **_wire,
    },
    "trips": {
        "name": f.text, "starts_at": f.moment, "ends_at": f.moment, **_place, **_where, **_season,
        "night_c": _c, "day_c": _c,
    },
    "trips[].stops": {
        "from": f.moment, **_place, **_where, "sun_window": f.pair_of(f.clock),
        "heading_deg": f.number(0, 360, "degrees"), "slope_deg": f.number(0, 45, "degrees"),
        "slope_toward_deg": f.number(0, 360, "degrees"), "sources_off": f.texts,
    },
    "readings": {
        "at": f.moment, "gauge_id": f.text, "state": f.choice("rested", "loaded", "charging", "full", "unknown"),
        "on": f.texts, "off": f.texts,
        "amps": f.number(-2000, 2000, "amps"), "rested_h": f.number(0, 10_000, "hours"),
        "bank_c": _c, "soc": _share, "confirmed": f.true_false, "note": f.note,
    },
    "uses": {
        "day": f.day, "circuit_id": f.text, "hours": f.number(0, 25, "hours in a day"), "from": f.moment,
        "until": f.moment, "kind": f.choice("as_usual", "away"),
    },
    "skies": {
        "day": f.day, "condition": f.choice("clear", "partly", "overcast", "rain", "unknown"), "shade": _share,
        "harvest_ah": f.number(0, 5000, "amp-hours"), "night_c": _c, "day_c": _c,
    },
    "charges": {"source_id": f.text, "starts_at": f.moment, "hours": f.number(0, 1000, "hours")},
    "positions": {"at": f.moment, "position": f.text},
    "events": {
        "at": f.moment, "between": f.pair_of(f.moment),
        "kind": f.choice("cut_out", "fuse_blown", "restored", "flat", "jump_start"), "circuit_id": f.text,
        "note": f.note,
    },
    "selector": {},
    "selector.positions": {
        "name": f.text, "feeds": f.choice("nothing", "bank", "controller", "both"), "kills_gauge": f.true_false,
    },
}
NEEDED_LISTS = ("banks", "circuits")
LISTS = tuple(name for name in FIELDS if name not in ("rig", "selector") and "." not in name) + ("checks", "findings")
REFERENCES = {  # field of a row -> the list whose ids it names
    "gauges": {"shared_circuits": "circuits"}, "readings": {"gauge_id": "gauges", "on": "circuits", "off": "circuits"},
    "uses": {"circuit_id": "circuits"}, "charges": {"source_id": "sources"}, "events": {"circuit_id": "circuits"},
}
BY_VOLTS = (_appliance_v, _charger_v)
PARTS = ("banks", "sources", "inverters", "gauges", "trips")
