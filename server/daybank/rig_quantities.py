"""The quantities of a rig file: which keys take them, how their text is read, and how one is written.

The names are those of daybank-export/1 without their unit; units.py reads the text.
"""
import re

from daybank import units
from daybank.energy import loads
from daybank.strict_json import shown

_WIRE = {"wire": None, "wire_length": "wire_m"}
_PLACE = {"lat": "lat_deg", "lon": "lon_deg"}
STEMS = {  # key without its unit -> field; None where the text decides
    "rig": {"nominal": "nominal_v", **_PLACE},
    "banks": {"rated": None, "floor": "floor_soc"},
    "sources": {"panel": "panel_w", "tilt": "tilt_deg", "azimuth": "azimuth_deg",
                "azimuth_from_nose": "azimuth_from_nose_deg", "max": "max_a", "absorption": "absorption_v",
                "float": "float_v", "output_max": "output_max_a", "output_cutoff": "output_cutoff_v", **_WIRE},
    "circuits": {"draw": None, "typical": "typical_h_per_day", "duty": "duty_at_25c", "fuse": "fuse_a",
                 "cutoff": "cutoff_v", **_WIRE},
    "inverters": {"idle": "idle_w", "cutoff": "cutoff_v"},
    "gauges": {"resolution": "resolution_v", **_WIRE},
    "trips": {**_PLACE, "altitude": "altitude_m", "night": "night_c", "day": "day_c"},
    "trips[].stops": {**_PLACE, "altitude": "altitude_m", "heading": "heading_deg", "slope": "slope_deg",
                      "slope_toward": "slope_toward_deg"},
    "selector": {}, "selector.positions": {},
}
KIND_OF = {"v": "voltage", "a": "current", "w": "power", "ah": "charge", "m": "length", "c": "temperature",
           "deg": "angle", "h": "time", "mm2": "area"}
SHARES = ("floor_soc", "soc", "shade", "efficiency", "duty_at_25c")
EXAMPLES = {"nominal": '"12 V"', "rated": '"100 Ah"', "draw": '"3.5 A" or "45 W"', "wire": '"8 AWG" or "10 mm2"'}


def read(key: str, value, *, form: str, row: dict, nominal_v: float) -> dict:
    """{field: number} of a key with a quantity, such as {"wire_m": 6.096} of wire_length = "20 ft".

    Parameters
        key, value: as they stand in the file.
        form: of the row, such as "circuits"; row: all of it, since amp-hours a day need the hours beside them.
        nominal_v: of the rig. [V]
    Raises
        ValueError: the sentence to tell the person.
    """
    field = STEMS.get(form, {}).get(key, key)
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise ValueError(f"{shown(value)} was given; accepted is text such as {example(key, field)}; write it so")
    if not isinstance(value, str):
        if field in SHARES or field and field.endswith("_deg"):
            return {field: value}
        raise ValueError(f"{value} has no unit; accepted is text with one, such as {example(key, field)}; add it")
    if key == "rated":
        ah, hours = units.rated(value, chemistry=row.get("chemistry"))
        return {"rated_ah": ah, "rated_h": hours}
    if key == "draw":
        return _draw(value, row, nominal_v)
    if key == "wire":
        return dict([units.wire(value)])
    return {field: reader_of(field)(value)}


def _draw(text: str, row: dict, nominal_v: float) -> dict:
    if units.behind_inverter(text) and row.get("through_inverter") is not True:
        raise ValueError(f"{shown(text)} is drawn behind the inverter; accepted is that with through_inverter = true; "
                         "add it")
    field, value = units.draw(text, nominal_v=nominal_v)
    if field != "ah_per_day":
        return {field: value}
    return {"draw_a": float(f"{value / _full_hours(text, row):.6g}")}


def _full_hours(text: str, row: dict) -> float:
    """Hours a day at the full draw that the model will reckon with, so that its amp-hours are those of the text."""
    if row.get("when") == "thermostat":
        duty = row.get("duty", row.get("duty_at_25c"))
        return 24.0 * loads.likely_duty(units.share(duty) if isinstance(duty, str) else duty)
    if row.get("when") == "always":
        return 24.0
    typical = row.get("typical", row.get("typical_h_per_day"))
    hours = units.hours_a_day(typical) if isinstance(typical, str) else typical
    if isinstance(hours, bool) or not isinstance(hours, (int, float)) or not hours > 0:
        raise ValueError(f"{shown(text)} over how many hours?; accepted is that beside hours above 0, such as typical "
                         "= \"4 h a day\"; add them")
    return hours


def degrees_of_place(text: str) -> float:
    """A latitude or longitude: "40.4", "40.4 N", "109.3 W", "-109.3 deg"."""
    found = re.fullmatch(r"\s*(.+?)\s*([NSEWnsew])\s*", text)
    value = found.group(1) if found else text
    bare = re.fullmatch(r"[\d.,+\s\u2212-]+", value)
    degrees = units.number(value) if bare else units.of_kind(value, "angle")
    return -degrees if found and found.group(2).upper() in "SW" else degrees


def reader_of(field: str):
    """What reads text into the field's unit; None for a field that is text by itself."""
    if field in SHARES:
        return units.share
    if field in ("lat_deg", "lon_deg"):
        return degrees_of_place
    if field == "typical_h_per_day":
        return units.hours_a_day
    if field == "wire_awg":
        return lambda text: _only(text, units.wire(f"{text} AWG" if text.strip().isdecimal() else text), "wire_awg")
    if field == "draw_w":
        return lambda text: _only(text, units.draw(text), "draw_w")
    kind = KIND_OF.get(field.rsplit("_", 1)[-1]) if "_" in field else None
    return (lambda text: units.of_kind(text, kind)) if kind else None


_UNIT_OF = {"wire_awg": "a gauge such as \"8 AWG\"", "draw_w": "watts such as \"45 W\""}


def _only(text: str, pair, field: str):
    if pair.field != field:
        raise ValueError(f"{shown(text)} is not what {field} holds; accepted is {_UNIT_OF[field]}; use the key "
                         "without a unit instead")
    return pair.value


def example(key: str, field: str | None) -> str:
    """How a value of the key is written, quotes included."""
    if key in EXAMPLES:
        return EXAMPLES[key]
    if field in SHARES:
        return '"50 %"'
    if field in ("lat_deg", "lon_deg"):
        return '"40.4 N"'
    if field == "typical_h_per_day":
        return '"3 h a day"'
    return f'"{units.KINDS[KIND_OF[field.rsplit("_", 1)[-1]]].example}"'


def accepted(form: str, field: str) -> str | None:
    """How a missing field is written in a rig file: draw = "3.5 A"."""
    for key, target in STEMS.get(form, {}).items():
        if target == field or (key == "rated" and field == "rated_ah"):
            return f"a line such as {key} = {example(key, field)}"
    return None


def same_value(field: str, blamed: str) -> bool:
    """Whether a missing field is one that a blamed key would have given."""
    if field == blamed or (blamed and field.startswith(f"{blamed}[")):
        return True
    row, _, name = field.rpartition(".")
    other_row, _, key = blamed.rpartition(".")
    if row != other_row:
        return False
    gives = {"rated": ("rated_ah", "rated_h"), "draw": ("draw_a", "draw_w"), "wire": ("wire_mm2", "wire_awg")}
    targets = {stems[key] for stems in STEMS.values() if key in stems} | {key}
    return name in gives.get(key, ()) or name in targets
