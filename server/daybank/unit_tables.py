"""Factors and spellings of units as one JSON file for the phone, which has no pint: made from units.py.

What the phone needs to read "20 ft" or "8 AWG" with no signal, and to show a value in the unit that a person prefers.
    kinds: kind -> {"base", "noun", "example", "units": {spelling: [factor, offset]}}; base = factor x typed + offset
    wires: "awg" and "sae" -> {size: copper in mm2}
    ratings: chemistry -> what makes amp-hours at 20 h of reserve minutes; other hours the model takes as they are
    shown: what a preference offers -> [factor, offset, symbol, decimals]; shown value = (base - offset) / factor
"""
import json

from daybank import units
from daybank.energy import constants, wire_tables, wiring

FORMAT = "daybank-units/1"
# preference -> (kind, unit of pint, symbol, decimals as they are shown)
PREFERENCES = {
    "metres": ("length", "metre", "m", 1), "feet": ("length", "foot", "ft", 0),
    "celsius": ("temperature", "degree_Celsius", "°C", 0), "fahrenheit": ("temperature", "degree_Fahrenheit", "°F", 0),
    "millimetres": ("length", "millimetre", "mm", 0), "inches": ("length", "inch", "in", 1),
}


def tables() -> dict:
    """The tables as an object."""
    return {
        "format": FORMAT,
        "kinds": {kind: _kind(about) for kind, about in units.KINDS.items()},
        "shown": {name: [*units.factor_and_offset(unit, units.KINDS[kind].base), symbol, decimals]
                  for name, (kind, unit, symbol, decimals) in PREFERENCES.items()},
        "wires": {
            "awg": {**{str(size): _mm2(size) for size in range(24, 0, -1)},
                    **{f"{size}/0": _mm2(f"{size}/0") for size in range(1, 5)}},
            "sae": {size: round(wiring.sae_area_mm2(size), 6) for size in wire_tables.SAE_CIRCULAR_MILS},
        },
        "ratings": {chemistry: _rating(chemistry) for chemistry in constants.CHEMISTRIES},
    }


def baked() -> bytes:
    """The tables as the bytes of units.json; the same on every machine with the same pint."""
    return json.dumps(tables(), sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()


def _kind(about: units.Kind) -> dict:
    return {"base": about.symbol, "noun": about.noun, "example": about.example, "units": {
        spelling: list(units.factor_and_offset(unit, about.base)) for spelling, unit in about.spellings.items()}}


def _mm2(size) -> float:
    return round(wiring.awg_area_mm2(size), 6)


def _rating(chemistry: str) -> dict:
    """ah at 20 h = reserve_a x 20 x (minutes / 1200) ^ (1 / reserve_exponent)."""
    return {"reserve_a": units.RESERVE_A, "reserve_exponent": constants.PEUKERT[chemistry]}
