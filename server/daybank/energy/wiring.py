"""Wire between the bank and what it feeds: resistance, drop, and what thin wire does to a reading.

Knows one run of two conductors (out and back). Leaves allowed currents and fuses to fuses.py, the
battery's own sag to bank.py. Lengths named wire_m are one way; both conductors are always counted.

A cable sold as "4 mm" by its outside may hold 1.85 mm2 of copper: ask for mm2 or AWG, never mm alone.
"""

import math
from collections import namedtuple

from daybank.energy import constants, wire_tables

Drop = namedtuple("Drop", ("loop_ohm", "drop_v", "drop_percent", "loss_w"))
Band = namedtuple("Band", ("low", "middle", "high"))

MM_PER_IN = 1000.0 * constants.M_PER_IN
MM2_PER_CIRCULAR_MIL = math.pi / 4.0 * (0.001 * MM_PER_IN) ** 2  # mm2, a circle of a thousandth of an inch

# --- How thick ------------------------------------------------------------------------------------


def awg_number(awg) -> int:
    """Gauge as a number: "10" is 10, "1/0" is 0, "4/0" is -3."""
    text = str(awg).strip()
    try:
        return 1 - int(text[:-2]) if text.endswith("/0") else int(text)
    except ValueError:
        raise ValueError(f"Gauge {awg!r} is not an AWG size; use 18 to 1, or 1/0 to 4/0.") from None


def awg_diameter_mm(awg) -> float:
    """Diameter of solid wire. [mm] Source: ASTM B258, 0.005 in x 92^((36 - n)/39)."""
    number = awg_number(awg)
    if not -3 <= number <= 40:
        raise ValueError(f"Gauge {awg!r} is outside 40 to 4/0; give the wire in mm2 instead.")
    return 0.005 * MM_PER_IN * 92.0 ** ((36 - number) / 39.0)


def awg_circular_mils(awg) -> float:
    """Copper in circular mils: the diameter in thousandths of an inch, squared."""
    return (awg_diameter_mm(awg) / MM_PER_IN * 1000.0) ** 2


def awg_area_mm2(awg) -> float:
    """Copper of AWG wire. [mm2]"""
    return awg_circular_mils(awg) * MM2_PER_CIRCULAR_MIL


def sae_area_mm2(gauge) -> float:
    """Copper of wire sold by an SAE gauge: 3-11 % less than AWG of the same name. [mm2]"""
    return _row(str(gauge), wire_tables.SAE_CIRCULAR_MILS, "SAE gauge") * MM2_PER_CIRCULAR_MIL


def _row(key, table, what):
    if key not in table:
        raise ValueError(f"{what} {key!r} is not in the table; it has {', '.join(wire_tables.AWG_SIZES)}.")
    return table[key]


# --- How much it resists --------------------------------------------------------------------------


def copper_mohm_per_m(area_mm2: float, temp_c: float = 20.0) -> float:
    """One solid copper conductor of this area. [mohm/m] Source: IEC 60028."""
    if not area_mm2 > 0.0:
        raise ValueError(f"A wire of {area_mm2} mm2 carries nothing; give its copper area in mm2, above 0.")
    at_20 = 1000.0 * constants.COPPER_OHM_MM2_PER_M / area_mm2
    return at_temperature_alpha20(at_20, temp_c)


def class5_mohm_per_m(area_mm2: float, plating: str = "plain") -> float:
    """Highest resistance of a flexible cable at 20 C. [mohm/m]

    Between the sizes of the table the copper-times-resistance product is interpolated, outside it is held.
    Source: IEC 60228 class 5: a bound that cable must not exceed, up to 16 % above 17.24/area.
    """
    if plating not in ("plain", "tinned"):
        raise ValueError(f"Plating {plating!r} is not known; use plain or tinned.")
    if not area_mm2 > 0.0:
        raise ValueError(f"A wire of {area_mm2} mm2 carries nothing; give its copper area in mm2, above 0.")
    column = 1 if plating == "plain" else 2
    before = None
    for row in wire_tables.CLASS5_MAX_MOHM_PER_M:
        if row[0] == area_mm2:
            return row[column]
        if row[0] > area_mm2:
            here = row[0] * row[column]
            if before is None:
                return here / area_mm2
            there = before[0] * before[column]
            share = (area_mm2 - before[0]) / (row[0] - before[0])
            return (there + (here - there) * share) / area_mm2
        before = row
    return before[0] * before[column] / area_mm2


def table8_ohm_per_kft(awg) -> float:
    """Stranded uncoated copper at 75 C. [ohm/1000 ft] Source: NEC chapter 9 table 8."""
    return _row(str(awg), wire_tables.TABLE8_OHM_PER_KFT_75C, "Gauge")


def ohm_per_km_from_kft(ohm_per_kft: float) -> float:
    """ohm per kilometre, that is mohm per metre, from ohm per 1000 ft."""
    return ohm_per_kft / constants.M_PER_FT


def at_temperature_alpha20(at_20c: float, temp_c: float, alpha20_per_c: float = constants.COPPER_ALPHA_20_PER_C):
    """Resistance at a temperature from its 20 C value. Source: IEC 60028 coefficient."""
    return at_20c * (1.0 + alpha20_per_c * (temp_c - 20.0))


def at_temperature_nec(at_75c: float, temp_c: float, alpha75_per_c: float = constants.COPPER_ALPHA_75_PER_C):
    """Resistance at a temperature from its 75 C value. Source: NEC chapter 9 table 8 note 2."""
    return at_75c * (1.0 + alpha75_per_c * (temp_c - 75.0))


def iec_temperature_factor(temp_c: float) -> float:
    """Factor kt that brings a resistance measured at temp_c to 20 C. Source: IEC 60228 annex, 250/(230 + t)."""
    return 250.0 / (230.0 + temp_c)


def at_temperature_iec(at_20c: float, temp_c: float) -> float:
    """Resistance at a temperature from its 20 C value, by the IEC 60228 factor."""
    return at_20c / iec_temperature_factor(temp_c)


def run_length_at_temperature(length_at_20c: float, temp_c: float) -> float:
    """Length that a hot conductor may have, from the length allowed at 20 C; any unit.

    Source: FAA AC 43.13-1B CHG 1 (2001) paragraph 11-66. Within about 1 % of the other forms over 0-75 C.
    """
    return (constants.COPPER_ZERO_C + 20.0) * length_at_20c / (constants.COPPER_ZERO_C + temp_c)


def wire_mohm_per_m(*, wire_mm2=None, wire_awg=None, temp_c: float = 20.0, sae: bool = False) -> float:
    """One conductor of a wire as a person describes it. [mohm/m]

    Parameters
        wire_mm2: copper area, taken as flexible class 5 cable. [mm2]
        wire_awg: AWG size, used when wire_mm2 is not given.
        temp_c: conductor temperature; 40-50 C in an enclosed summer run, common practice. [C]
        sae: the gauge is an SAE one, with less copper.
    Raises
        ValueError: neither size, or one that cannot be.
    """
    if wire_mm2 is not None:
        return at_temperature_alpha20(class5_mohm_per_m(wire_mm2), temp_c)
    if wire_awg is not None:
        return copper_mohm_per_m(sae_area_mm2(wire_awg) if sae else awg_area_mm2(wire_awg), temp_c)
    raise ValueError("The wire has no size; give its copper area in mm2 or its AWG, never mm alone.")


# --- Drop -----------------------------------------------------------------------------------------


def loop_ohm(*, mohm_per_m: float, wire_m: float) -> float:
    """Out and back together. [ohm] wire_m is one way."""
    if mohm_per_m < 0.0 or wire_m < 0.0:
        raise ValueError(f"A run of {wire_m} m at {mohm_per_m} mohm/m cannot be; give lengths of 0 or more.")
    return 2.0 * wire_m * mohm_per_m / 1000.0


def wire_loop_ohm(*, wire_m: float, wire_mm2=None, wire_awg=None, temp_c: float = 20.0) -> float:
    """Loop of a wire as a rig describes it. [ohm]"""
    return loop_ohm(mohm_per_m=wire_mohm_per_m(wire_mm2=wire_mm2, wire_awg=wire_awg, temp_c=temp_c), wire_m=wire_m)


def voltage_drop(*, current_a: float, mohm_per_m: float, wire_m: float, nominal_v: float = 12.0) -> Drop:
    """What a run loses at a steady current.

    Parameters
        current_a: 0 or more. [A]
        mohm_per_m: one conductor at its working temperature. [mohm/m]
        wire_m: one-way length; out and back are both counted. [m]
        nominal_v: that the percentage refers to. [V]
    Returns
        Drop(loop_ohm, drop_v, drop_percent, loss_w).
    Raises
        ValueError: a negative argument.
    Notes
        Joints and fuse holders come on top: 1-5 mohm each when new, 50 and more when corroded.
        3 % is the usual limit for feeders and electronics, 10 % for lighting (ABYC E-11 11.14.2.6).
    Source
        Ohm's law.

    >>> round(voltage_drop(current_a=5, mohm_per_m=7.98, wire_m=4).drop_v, 4)
    0.3192
    """
    if current_a < 0.0:
        raise ValueError(f"Current {current_a} A is negative; give what flows in the run, 0 or more.")
    loop = loop_ohm(mohm_per_m=mohm_per_m, wire_m=wire_m)
    drop = current_a * loop
    return Drop(loop, drop, 100.0 * drop / nominal_v, current_a * drop)


def voltage_drop_band(*, current_a: float, mohm_per_m: float, wire_m: float, temp_spread_c: float = 20.0) -> Band:
    """Drop as a band, not a point: length 20 % either way and the conductor 20 C warmer or cooler. [V]

    The spreads are our assumption, no source.
    """
    middle = voltage_drop(current_a=current_a, mohm_per_m=mohm_per_m, wire_m=wire_m).drop_v
    warm = constants.COPPER_ALPHA_20_PER_C * temp_spread_c
    return Band(middle * 0.8 * (1.0 - warm), middle, middle * 1.2 * (1.0 + warm))


def circular_mils_for_drop(
    *, current_a: float, round_trip_ft: float, allowed_drop_v: float,
    k: float = constants.ABYC_CIRCULAR_MIL_OHM_PER_FT,
) -> float:  # fmt: skip
    """Copper needed for a drop; there-and-back length in feet. [circular mils] Source: ABYC E-11 11.14.2.6."""
    if not allowed_drop_v > 0.0:
        raise ValueError(f"An allowed drop of {allowed_drop_v} V needs endless copper; allow more than 0.")
    return k * current_a * round_trip_ft / allowed_drop_v


def smallest_awg(circular_mils: float):
    """Thinnest AWG size with so much copper, or None when even 4/0 has less."""
    for awg in wire_tables.AWG_SIZES:
        if awg_circular_mils(awg) >= circular_mils:
            return awg
    return None


def smallest_sae(circular_mils: float):
    """Thinnest SAE size with so much copper, or None. Charts and formula can differ by a size: show the larger."""
    for gauge in wire_tables.AWG_SIZES:
        if wire_tables.SAE_CIRCULAR_MILS[gauge] >= circular_mils:
            return gauge
    return None


# --- What a gauge or an appliance sees ------------------------------------------------------------


def gauge_v(*, battery_v: float, shared_a: float, shared_ohm: float) -> float:
    """What a gauge shows whose wire is shared with loads. [V]

    shared_a counts the shared run only, positive on discharge: a fridge wired straight to the battery
    does not. While charging the sign turns and the gauge reads high.
    """
    return battery_v - shared_a * shared_ohm


def battery_v_from_gauge(*, gauge_v: float, shared_a: float, shared_ohm: float) -> float:
    """Volts at the posts from a gauge behind a shared wire; add half the correction as doubt. [V]"""
    return gauge_v + shared_a * shared_ohm


def battery_v_at_cutout(*, cutoff_v: float, current_a: float, loop_ohm: float) -> float:
    """Volts at the posts when an appliance sees its cut-off at the end of its wire. [V]

    Once it stops the drop vanishes, the voltage rebounds and it may start again: short cycling that
    looks like a fault of the appliance.
    """
    return cutoff_v + current_a * loop_ohm
