"""Allowed currents and fuses: what a wire may carry, and what protects it.

The fuse protects the wire, not the load. Where no standard rating both carries the load and protects
the wire, the wire is too thin, and this module says so; it never offers a bigger fuse. Figures are for
checking and planning: local codes and licensed practice come first.

Knows conductors by insulation, bundle and air temperature; leaves drop to wiring.py.
"""

import math
from collections import namedtuple

from daybank.energy import wire_tables, wiring

FuseChoice = namedtuple("FuseChoice", ("minimum_a", "fuse_a", "possible", "limit_a"))
ShortCircuit = namedtuple("ShortCircuit", ("current_a", "interrupt_ok"))
InverterFuse = namedtuple("InverterFuse", ("dc_current_a", "minimum_a", "fuse_a", "possible", "limit_a"))

UNKNOWN_INSULATION_C = 60  # C, what to assume of unmarked insulation, common practice, no source


def ambient_factor(insulation_c: float, ambient_c: float) -> float:
    """Share of the 30 C current that remains in warmer air; 1 at 30 C and below, 0 at the insulation's limit.

    Heat leaves by the temperature left between air and insulation, so the share goes as its square root;
    scaled to the published share at 50 C where there is one, and straight between 30 and 50 C (which
    errs low). Source: wire_tables.AMBIENT_50C_FACTOR; the root is common practice, no source.
    """
    base_c = wire_tables.TABLE_AMBIENT_C
    if ambient_c <= base_c:
        return 1.0
    if ambient_c >= insulation_c:
        return 0.0
    at_50 = math.sqrt((insulation_c - 50.0) / (insulation_c - base_c)) if insulation_c > 50.0 else 0.0
    published = wire_tables.AMBIENT_50C_FACTOR.get(insulation_c, at_50)
    if ambient_c <= 50.0:
        return 1.0 - (1.0 - published) * (ambient_c - base_c) / (50.0 - base_c)
    return math.sqrt((insulation_c - ambient_c) / (insulation_c - base_c)) * published / at_50


def bundle_factor(conductors: int) -> float:
    """Share of its current that each loaded wire of a bundle keeps. Source: wire_tables.BUNDLE_FACTORS."""
    if conductors < 1:
        raise ValueError(f"A bundle of {conductors} wires carries nothing; count the loaded wires, 1 or more.")
    for most, factor in wire_tables.BUNDLE_FACTORS:
        if conductors <= most:
            return factor
    raise ValueError(f"A bundle of {conductors} wires is beyond the table's 24; split it.")


def ampacity_a(
    *, awg, insulation_c: float = UNKNOWN_INSULATION_C, ambient_c: float = 30.0, bundled: int = 1
) -> float:  # fmt: skip
    """Current that an AWG wire may carry.

    Parameters
        awg: size from 18 to 4/0.
        insulation_c: what the insulation is marked for: 60, 75, 80, 90, 105 or 125. Unknown: 60. [C]
        ambient_c: air around the wire; 50 in a hot closed space. [C]
        bundled: loaded wires laid together.
    Returns
        Allowed current. [A]
    Raises
        ValueError: a size or insulation that the table lacks.
    Notes
        A table for boats, open runs. Codes for trailers are far stricter: see rv_conductor_max_a.
    Source
        33 CFR 183.425 table 5; UL 1426 bundle ratios.

    >>> ampacity_a(awg="14", insulation_c=105)
    35.0
    """
    key = str(awg)
    if key not in wire_tables.CFR_AMPACITY_A:
        raise ValueError(f"Gauge {awg!r} is not in the table; it has {', '.join(wire_tables.AWG_SIZES)}.")
    if insulation_c not in wire_tables.INSULATION_C:
        known = ", ".join([str(c) for c in wire_tables.INSULATION_C])
        raise ValueError(f"Insulation for {insulation_c} C is not in the table; it has {known}. Unmarked: take 60.")
    table_a = wire_tables.CFR_AMPACITY_A[key][wire_tables.INSULATION_C.index(insulation_c)]
    return table_a * ambient_factor(insulation_c, ambient_c) * bundle_factor(bundled)


def ampacity_metric_a(
    *, area_mm2: float, insulation_c: float = 70, method: str = "C", ambient_c: float = 30.0, bundled: int = 1
) -> float:
    """Current that a metric wire may carry, by how it is laid.

    Parameters
        area_mm2: copper; between the table's sizes the next thinner one's row is taken. [mm2]
        insulation_c: 60, 70 or 90. [C]
        method: "C" clipped, "B2" in conduit (70 C), "B" in conduit (90 C), "air" (60 C).
        ambient_c, bundled: as ampacity_a.
    Returns
        Allowed current. [A]
    Raises
        ValueError: a pair of insulation and method without a table, or a wire thinner than its first row.
    Source
        IEC 60364-5-52, BS 7671 tables 4E1A and 4F1A; see wire_tables.METRIC_AMPACITY_A.
    """
    rows = wire_tables.METRIC_AMPACITY_A.get((insulation_c, method))
    if rows is None:
        known = ", ".join([f"{c} C {how}" for c, how in sorted(wire_tables.METRIC_AMPACITY_A)])
        raise ValueError(f"No table for {insulation_c} C insulation laid {method!r}; there are {known}.")
    if area_mm2 < rows[0][0]:
        raise ValueError(f"{area_mm2} mm2 is thinner than the table's {rows[0][0]} mm2; use a thicker wire.")
    row = rows[0]
    for candidate in rows:
        if candidate[0] <= area_mm2:
            row = candidate
    at_30, at_50 = row[1], row[2]
    share = bundle_factor(bundled)
    if at_50 is None:
        return at_30 * ambient_factor(insulation_c, ambient_c) * share
    if ambient_c <= 30.0:
        return at_30 * share
    if ambient_c <= 50.0:
        return (at_30 + (at_50 - at_30) * (ambient_c - 30.0) / 20.0) * share
    return at_50 * ambient_factor(insulation_c, ambient_c) / ambient_factor(insulation_c, 50.0) * share


# --- Choosing -------------------------------------------------------------------------------------


def fuse_for_circuit(
    *, continuous_a: float, conductor_ampacity_a: float, ratings_a=wire_tables.BLADE_RATINGS_A, weakest_part_a=None
) -> FuseChoice:
    """Smallest standard fuse that carries the load and protects the wire.

    Parameters
        continuous_a: current that flows for 3 hours or more. [A]
        conductor_ampacity_a: what the wire may carry after bundle and heat. [A]
        ratings_a: ratings that can be bought. [A]
        weakest_part_a: rating of the weakest connector or switch in the run, if known. [A]
    Returns
        FuseChoice(minimum_a, fuse_a, possible, limit_a); fuse_a is None and possible False when no rating
        does both: then the wire (or the part) is too thin for the load, and the answer is a thicker wire.
    Raises
        ValueError: a negative current, or a wire that carries nothing.
    Source
        125 % of continuous current: NEC 210.19/210.20. Not above the wire: common practice.

    >>> fuse_for_circuit(continuous_a=7, conductor_ampacity_a=35).fuse_a
    10
    """
    if continuous_a < 0.0 or not conductor_ampacity_a > 0.0:
        raise ValueError(
            f"A load of {continuous_a} A on a wire for {conductor_ampacity_a} A cannot be; give amperes above 0."
        )
    minimum_a = wire_tables.CONTINUOUS_LOAD_FACTOR * continuous_a
    limit_a = conductor_ampacity_a if weakest_part_a is None else min(conductor_ampacity_a, weakest_part_a)
    for rating_a in sorted(ratings_a):
        if minimum_a <= rating_a <= limit_a:
            return FuseChoice(minimum_a, rating_a, True, limit_a)
    return FuseChoice(minimum_a, None, False, limit_a)


def fuse_for_inverter(
    *, ac_power_w: float, efficiency: float, battery_v: float, conductor_ampacity_a: float,
    ratings_a=wire_tables.BOLT_DOWN_RATINGS_A,
) -> InverterFuse:  # fmt: skip
    """Fuse of an inverter's own lead, at the battery's low voltage, where it draws most."""
    if not (efficiency > 0.0 and battery_v > 0.0):
        raise ValueError(f"Efficiency {efficiency} and {battery_v} V must be above 0; give 85 % as 0.85.")
    dc_a = ac_power_w / efficiency / battery_v
    choice = fuse_for_circuit(continuous_a=dc_a, conductor_ampacity_a=conductor_ampacity_a, ratings_a=ratings_a)
    return InverterFuse(dc_a, choice.minimum_a, choice.fuse_a, choice.possible, choice.limit_a)


def cfr_fuse_ceiling_a(table5_a: float) -> float:
    """Largest fuse that the boat rule allows on a 12 V wire: 150 % of table 5. A ceiling, not a target. [A]

    Source: 33 CFR 183.455.
    """
    return wire_tables.CFR_FUSE_SHARE_12V * table5_a


def small_conductor_max_a(awg) -> float:
    """Largest overcurrent device on 14, 12 and 10 AWG copper. [A] Source: NEC 240.4(D)."""
    return _limit(awg, wire_tables.SMALL_CONDUCTOR_MAX_A)


def rv_conductor_max_a(awg) -> float:
    """Largest overcurrent device in a North American recreational vehicle, 18 to 10 AWG. [A]

    Source: NEC 551.10(E)/552.10(E), from memory.
    """
    return _limit(awg, wire_tables.RV_CONDUCTOR_MAX_A)


def _limit(awg, table):
    if str(awg) not in table:
        raise ValueError(f"Gauge {awg!r} is not in this rule; it has {', '.join(sorted(table))}.")
    return table[str(awg)]


def fuse_distance_max_m(*, enclosed: bool) -> float:
    """Farthest place of the fuse along the positive lead, from the battery. [m]

    As close as practicable; this far only if need be. Enclosed: in a sheath, conduit or box. Every source
    that charges needs a fuse at its battery end too. Source: 33 CFR 183.455(b).
    """
    return wire_tables.FUSE_DISTANCE_M["enclosed" if enclosed else "bare"]


def short_circuit(
    *, open_v: float, battery_mohm: float, lead_mohm: float, interrupt_rating_a: float = wire_tables.BLADE_INTERRUPT_A
) -> ShortCircuit:
    """Current into a dead short, and whether a fuse's interrupt rating covers it.

    A second battery in parallel about doubles it. Care: a spanner across the posts is such a short.
    """
    total = battery_mohm + lead_mohm
    if not total > 0.0:
        raise ValueError(f"Battery and lead of {total} mohm together cannot be; give their resistances, above 0.")
    current_a = 1000.0 * open_v / total
    return ShortCircuit(current_a, current_a <= interrupt_rating_a)


def awg_for_circuit(
    *, current_a: float, wire_m: float, allowed_drop_v: float, insulation_c: float = UNKNOWN_INSULATION_C,
    ambient_c: float = 30.0, bundled: int = 1,
):  # fmt: skip
    """Thinnest AWG size that both carries 125 % of a current and keeps its drop; None when none does.

    Drop at 20 C copper; wire_m is one way.
    """
    for awg in wire_tables.AWG_SIZES:
        carries = ampacity_a(awg=awg, insulation_c=insulation_c, ambient_c=ambient_c, bundled=bundled)
        mohm = wiring.copper_mohm_per_m(wiring.awg_area_mm2(awg))
        drop = wiring.voltage_drop(current_a=current_a, mohm_per_m=mohm, wire_m=wire_m).drop_v
        if carries >= wire_tables.CONTINUOUS_LOAD_FACTOR * current_a and drop <= allowed_drop_v:
            return awg
    return None
