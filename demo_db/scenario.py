"""The demo rig and trip as plain data: invented, with fixed dates and no randomness.

No such rig, people or log exist. The voltages were thought out by hand to hang together: full on the morning of
departure, a clear day, a mixed one, a wet one, a mixed one, and a fridge that runs more than its label says. The place
is a point of empty high desert, named by its coordinates only. Moments are local times of the trip (six hours behind
UTC in July).
"""

OFFSET = "-06:00"
DAYS = {"sat": "2025-07-05", "sun": "2025-07-06", "mon": "2025-07-07", "tue": "2025-07-08", "wed": "2025-07-09",
        "thu": "2025-07-10"}


def at(day: str, clock: str) -> str:
    """A moment of the trip: at("sat", "21:40")."""
    return f"{DAYS[day]}T{clock}{OFFSET}"


RIG = {
    "name": "The Lark (an invented demo rig)", "nominal_v": 12, "timezone": "America/Denver",
    "note": "Invented for the demo: this trailer, this trip and these readings do not exist.",
}

BANKS = [{
    "id": "house-battery", "chemistry": "agm", "rated_ah": 100, "rated_h": 20, "in_parallel": 1, "floor_soc": 0.5,
    "installed_on": "2022-04-16",
}]

SOURCES = [
    {"id": "roof-panel", "kind": "solar", "panel_w": 160, "tilt_deg": 0, "azimuth_deg": 180, "controller": "mppt",
     "max_a": 15, "absorption_v": 14.4, "float_v": 13.6},
    {"id": "tow-vehicle", "kind": "alternator", "max_a": 20, "link": "plain", "wire_awg": 10, "wire_m": 8},
    {"id": "home-charger", "kind": "shore", "max_a": 10},
]

CIRCUITS = [
    {"id": "fridge", "name": "fridge", "feed": "bank", "draw_a": 3.3, "draw_from": "label", "when": "thermostat",
     "duty_at_25c": 0.32, "fuse_a": 15, "wire_awg": 12, "wire_m": 3.5, "cutoff_v": 10.9, "essential": True},
    {"id": "gas-alarm", "name": "gas alarm", "feed": "bank", "draw_a": 0.09, "draw_from": "label", "when": "always",
     "fuse_a": 2, "wire_awg": 18, "wire_m": 2, "essential": True},
    {"id": "laptop", "name": "laptop on the inverter", "feed": "bank", "draw_w": 55, "draw_from": "guess",
     "when": "evening", "typical_h_per_day": 1, "through_inverter": True, "fuse_a": 80, "wire_awg": 4, "wire_m": 1},
    {"id": "lights", "name": "inside lights", "feed": "fuse_block", "draw_a": 1.1, "draw_from": "measured",
     "when": "evening", "typical_h_per_day": 3, "fuse_a": 5, "fuse_slot": "1", "wire_awg": 16, "wire_m": 4},
    {"id": "flood-light", "name": "flood light", "feed": "fuse_block", "draw_w": 24, "draw_from": "label",
     "when": "evening", "typical_h_per_day": 0.5, "fuse_a": 5, "fuse_slot": "2", "wire_awg": 16, "wire_m": 5},
    {"id": "pump", "name": "water pump", "feed": "fuse_block", "draw_a": 5.5, "draw_from": "label", "when": "any",
     "typical_h_per_day": 0.2, "fuse_a": 10, "fuse_slot": "3", "wire_awg": 14, "wire_m": 4},
    {"id": "usb", "name": "USB sockets", "feed": "fuse_block", "draw_a": 1.4, "draw_from": "guess", "when": "any",
     "typical_h_per_day": 3, "fuse_a": 10, "fuse_slot": "4", "wire_awg": 16, "wire_m": 3},
]

INVERTERS = [{"id": "inverter", "idle_w": 7, "efficiency": 0.88, "cutoff_v": 10.5, "left_on": False}]

GAUGES = [
    {"id": "panel-gauge", "name": "voltmeter in the switch panel", "at": "panel", "resolution_v": 0.01, "wire_awg": 12,
     "wire_m": 3, "shared_circuits": ["lights", "flood-light", "pump", "usb"]},
    {"id": "hand-meter", "name": "hand meter at the battery", "at": "posts", "resolution_v": 0.01},
]

SELECTOR = {"positions": [
    {"name": "off", "feeds": "nothing", "kills_gauge": True},
    {"name": "battery", "feeds": "bank"},
    {"name": "controller", "feeds": "controller"},
]}

TRIPS = [{
    "id": "high-desert", "name": "High desert", "starts_at": at("sat", "14:00"), "ends_at": "2025-07-14T11:00-06:00",
    "lat_deg": 40.4, "lon_deg": -109.3, "altitude_m": 1650, "shade": 0.35, "night_c": 13, "day_c": 32,
    "stops": [{"from": at("sat", "14:00"), "heading_deg": 250, "slope_deg": 0, "shade": 0.35}],
}]

READINGS = [
    {"id": "read-1", "at": at("sat", "08:30"), "state": "full", "note": "charger at home shows green"},
    {"id": "read-2", "at": at("sat", "21:40"), "volts": 12.63, "gauge_id": "panel-gauge", "state": "loaded",
     "on": ["fridge", "lights"]},
    {"id": "read-3", "at": at("sun", "06:40"), "volts": 12.69, "gauge_id": "panel-gauge", "state": "rested",
     "off": ["fridge"], "rested_h": 0.5},
    {"id": "read-4", "at": at("sun", "13:15"), "volts": 13.86, "gauge_id": "panel-gauge", "state": "charging"},
    {"id": "read-5", "at": at("sun", "22:15"), "volts": 12.61, "gauge_id": "panel-gauge", "state": "loaded",
     "on": ["fridge", "lights"]},
    {"id": "read-6", "at": at("mon", "06:30"), "volts": 12.61, "gauge_id": "hand-meter", "state": "rested",
     "off": ["fridge"], "rested_h": 0.5},
    {"id": "read-7", "at": at("mon", "21:50"), "volts": 12.50, "gauge_id": "panel-gauge", "state": "loaded",
     "on": ["fridge", "lights", "flood-light"]},
    {"id": "read-8", "at": at("tue", "06:45"), "volts": 12.56, "gauge_id": "panel-gauge", "state": "rested",
     "off": ["fridge"], "rested_h": 0.5},
    {"id": "read-9", "at": at("tue", "20:05"), "volts": 12.63, "gauge_id": "panel-gauge", "state": "loaded",
     "on": ["fridge"], "off": ["lights", "flood-light"]},
]

USES = [
    {"id": "use-1", "day": DAYS["sat"], "circuit_id": "lights", "hours": 2.5},
    {"id": "use-2", "day": DAYS["sat"], "circuit_id": "usb", "hours": 2},
    {"id": "use-3", "day": DAYS["sun"], "kind": "as_usual"},
    {"id": "use-4", "day": DAYS["mon"], "circuit_id": "lights", "hours": 4},
    {"id": "use-5", "day": DAYS["mon"], "circuit_id": "flood-light", "hours": 0.5},
    {"id": "use-6", "day": DAYS["mon"], "circuit_id": "laptop", "hours": 2},
    {"id": "use-7", "day": DAYS["mon"], "circuit_id": "usb", "hours": 4},
    {"id": "use-8", "day": DAYS["tue"], "circuit_id": "pump", "hours": 0.25},
    {"id": "use-9", "day": DAYS["tue"], "circuit_id": "laptop", "hours": 0},
    {"id": "use-10", "circuit_id": "usb", "from": at("tue", "18:30")},
]

SKIES = [
    {"id": "sky-1", "day": DAYS["sat"], "condition": "clear"},
    {"id": "sky-2", "day": DAYS["sun"], "condition": "partly", "harvest_ah": 28},
    {"id": "sky-3", "day": DAYS["mon"], "condition": "rain", "harvest_ah": 15, "night_c": 12, "day_c": 22},
    {"id": "sky-4", "day": DAYS["tue"], "condition": "partly", "harvest_ah": 29},
    {"id": "sky-5", "day": DAYS["wed"], "condition": "partly"},
    {"id": "sky-6", "day": DAYS["thu"], "condition": "overcast"},
]

CHARGES = [
    {"id": "charge-1", "source_id": "tow-vehicle", "starts_at": at("sat", "10:30"), "hours": 3},
    {"id": "charge-2", "source_id": "tow-vehicle", "starts_at": at("mon", "16:00"), "hours": 0.75},
]

POSITIONS = [{"id": "position-1", "at": at("sat", "14:10"), "position": "battery"}]

EVENTS = [
    {"id": "event-1", "at": at("mon", "22:05"), "kind": "fuse_blown", "circuit_id": "flood-light",
     "note": "rain in the plug outside"},
    {"id": "event-2", "at": at("tue", "09:20"), "kind": "restored", "circuit_id": "flood-light"},
]

EXPORT = {
    "format": "daybank-export/1", "invented": True,
    "rig": RIG, "banks": BANKS, "sources": SOURCES, "circuits": CIRCUITS, "inverters": INVERTERS, "gauges": GAUGES,
    "selector": SELECTOR, "trips": TRIPS, "readings": READINGS, "uses": USES, "skies": SKIES, "charges": CHARGES,
    "positions": POSITIONS, "events": EVENTS, "checks": [], "findings": [], "asked_at": at("tue", "20:10"),
}
