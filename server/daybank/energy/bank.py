"""A bank of batteries: rested volts, resistance, self-discharge, and what it takes and keeps of a charge.

Knows one store at a time, 12 V or 24 V, whose batteries in parallel are already added up (capacities
are the whole bank's; more volts scale the 12 V figures). Leaves rate to wells.py and capacity.py, rest
after charge or load to rested.py, the wires to wiring.py, and the many possible rigs to member.py.

Currents are positive on discharge, except in functions about charging. All functions are scalar and
cheap: the ensemble calls them tens of thousands of times on a phone.
"""

import math

from daybank.energy import constants


def known(chemistry, table):
    """The chemistry's entry of a table, or a kind refusal."""
    try:
        return table[chemistry]
    except (KeyError, TypeError):
        raise ValueError(
            f"Chemistry {chemistry!r} is not known; use one of {', '.join(constants.CHEMISTRIES)}."
        ) from None


def curve(chemistry: str) -> tuple:
    """Rested-voltage curve of a 12 V bank: ascending (state of charge 0..1, volts) at its own temperature.

    Source: constants.CURVES, each with its source; temperatures in constants.CURVE_C.
    """
    return known(chemistry, constants.CURVES)


def curve_sd_v(chemistry: str, nominal_v: float = 12.0) -> float:
    """How far a battery's own curve may lie from ours, as an sd in volts.

    Lead-acid: constants.CURVE_SD_SOC times the mean slope of the curve. Lithium: its own figure,
    since on the plateau a share of charge says nothing about volts.
    """
    points = curve(chemistry)
    if chemistry == "lifepo4":
        return constants.LIFEPO4_CURVE_SD_V * nominal_v / constants.NOMINAL_12_V
    slope = (points[-1][1] - points[0][1]) / (points[-1][0] - points[0][0])
    return constants.CURVE_SD_SOC[chemistry] * slope * nominal_v / constants.NOMINAL_12_V


def ocv_shift_v(temp_c: float, chemistry: str) -> float:
    """Rested volts of a 12 V bank at temp_c less those at 25 C. [V]

    The coefficient grows from 1.3 mV/C at 25 C to 3 mV/C at 0 C and is held beyond; lithium: none.
    Source: constants.OCV_TEMP_V_PER_C_AT_25 and _AT_0.
    """
    if chemistry == "lifepo4":
        return 0.0
    below = constants.REFERENCE_C - temp_c
    warm, cold = constants.OCV_TEMP_V_PER_C_AT_25, constants.OCV_TEMP_V_PER_C_AT_0
    if below <= 0.0:
        return -warm * below
    if below <= 25.0:
        return -(warm + 0.5 * (cold - warm) * below / 25.0) * below
    return -(warm + cold) * 12.5 - cold * (below - 25.0)


# What each curve's own temperature is worth, worked out once: open_circuit_v is called very often.
_CURVE_SHIFT_V = {}
for _name in constants.CHEMISTRIES:
    _CURVE_SHIFT_V[_name] = ocv_shift_v(constants.CURVE_C[_name], _name)


def _shift_from_curve_v(temp_c, chemistry):
    """Rested volts of a 12 V bank at temp_c less those at the temperature of its curve."""
    return ocv_shift_v(temp_c, chemistry) - _CURVE_SHIFT_V[chemistry]


def between(points, x):
    """Linear interpolation in ascending points; held at both ends."""
    x0, y0 = points[0]
    if x <= x0:
        return y0
    for x1, y1 in points:
        if x <= x1:
            return y1 if x1 == x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
        x0, y0 = x1, y1
    return y0


def open_circuit_v(soc: float, chemistry: str, temp_c: float = 25.0, nominal_v: float = 12.0) -> float:
    """Volts of a long-rested bank.

    Parameters
        soc: state of charge, 0..1; held at the ends of the curve outside.
        chemistry: flooded, agm, gel or lifepo4.
        temp_c: battery temperature. [C]
        nominal_v: 12 or 24 (the curve scales with it). [V]
    Returns
        Rested volts at the posts. [V]
    Raises
        ValueError: an unknown chemistry.
    Source
        constants.CURVES; temperature by ocv_shift_v.

    >>> round(open_circuit_v(0.5, "agm"), 2)
    12.3
    """
    volts = between(curve(chemistry), soc) + _shift_from_curve_v(temp_c, chemistry)
    return volts * nominal_v / constants.NOMINAL_12_V


def soc_at_rest(volts: float, chemistry: str, temp_c: float = 25.0, nominal_v: float = 12.0) -> float:
    """State of charge, 0..1, whose rested voltage this is; held at 0 and 1 beyond the curve."""
    points = curve(chemistry)
    v12 = volts * constants.NOMINAL_12_V / nominal_v - _shift_from_curve_v(temp_c, chemistry)
    soc0, v0 = points[0]
    if v12 <= v0:
        return soc0
    for soc1, v1 in points:
        if v12 <= v1 and v1 > v0:
            return soc0 + (soc1 - soc0) * (v12 - v0) / (v1 - v0)
        soc0, v0 = soc1, v1
    return soc0


def slope_v_per_soc(soc: float, chemistry: str, nominal_v: float = 12.0) -> float:
    """Rise of rested volts for a whole bank's charge, at this charge. [V per 1.0]

    At a corner of the curve the segment below is taken; outside 0..1 the nearest segment.
    """
    points = curve(chemistry)
    for i in range(1, len(points)):
        if soc <= points[i][0] or i == len(points) - 1:
            rise = (points[i][1] - points[i - 1][1]) / (points[i][0] - points[i - 1][0])
            return rise * nominal_v / constants.NOMINAL_12_V


def resistance_factor(temp_c: float, soc: float) -> float:
    """How many times its warm, charged resistance a bank has when cold or low."""
    factor = 1.0
    if temp_c < constants.REFERENCE_C:
        factor += constants.RESISTANCE_RISE_PER_C * (constants.REFERENCE_C - temp_c)
    low, flat = constants.RESISTANCE_LOW_SOC
    if soc < flat:
        share = 1.0 if soc <= low else (flat - soc) / (flat - low)
        factor *= 1.0 + (constants.RESISTANCE_LOW_SOC_FACTOR - 1.0) * share
    return factor


def resistance_parts(
    chemistry: str, rated_ah: float, temp_c: float = 25.0, soc: float = 1.0, nominal_v: float = 12.0
) -> tuple:
    """(ohmic ohm, polarisation ohm, hours in which the second builds up) of a bank as new.

    Scales with nominal volts and against capacity, so batteries in parallel come by their sum of Ah.
    """
    ohmic, polarisation, tau_h = known(chemistry, constants.RESISTANCE_100AH)
    if rated_ah <= 0.0:
        raise ValueError(f"A bank of {rated_ah} Ah cannot be; give its capacity from the label, above 0.")
    scale = 100.0 / rated_ah * nominal_v / constants.NOMINAL_12_V * resistance_factor(temp_c, soc)
    return ohmic * scale, polarisation * scale, tau_h


def resistance_ohm(
    chemistry: str, rated_ah: float, temp_c: float = 25.0, soc: float = 1.0, nominal_v: float = 12.0
) -> float:
    """Resistance of a bank under a load that has run for a while: ohmic and polarisation together. [ohm]"""
    ohmic, polarisation, _ = resistance_parts(chemistry, rated_ah, temp_c, soc, nominal_v)
    return ohmic + polarisation


def loaded_v(*, open_v: float, current_a: float, ohmic_ohm: float, polarisation_ohm: float, share: float = 1.0):
    """Volts at the posts under load; share is how far polarisation has built up, 0..1. [V]"""
    return open_v - current_a * (ohmic_ohm + polarisation_ohm * share)


def soc_at_cutoff(
    *,
    cutoff_v: float,
    current_a: float,
    loop_ohm: float,
    chemistry: str,
    rated_ah: float,
    temp_c: float = 25.0,
    nominal_v: float = 12.0,
) -> float:
    """State of charge at which an appliance sees its cut-off, through the bank's sag and its own wire.

    Returns 0 when it would run to the end and 1 when even a full bank is too low for it.
    """
    low, high = 0.0, 1.0
    for _ in range(40):
        soc = 0.5 * (low + high)
        sag_ohm = resistance_ohm(chemistry, rated_ah, temp_c, soc, nominal_v) + loop_ohm
        if open_circuit_v(soc, chemistry, temp_c, nominal_v) - current_a * sag_ohm > cutoff_v:
            high = soc
        else:
            low = soc
    return 1.0 if high == 1.0 else (0.0 if low == 0.0 else high)


def self_discharge_per_month(rate_20c_per_month: float, temp_c: float) -> float:
    """Share of the remaining charge lost in a month; doubles per 10 C. Source: constants.SELF_DISCHARGE_*."""
    return rate_20c_per_month * 2.0 ** ((temp_c - 20.0) / 10.0)


def remaining_after_months(rate_per_month: float, months: float) -> float:
    """Share of charge left after months of self-discharge, compounding."""
    if not 0.0 <= rate_per_month < 1.0:
        raise ValueError(f"Self-discharge of {rate_per_month} a month is outside 0-1; give 3 % as 0.03.")
    return (1.0 - rate_per_month) ** months


def self_discharge_per_hour(chemistry: str, temp_c: float = 25.0) -> float:
    """Share of the stored charge lost in an hour at rest. [1/h]"""
    rate = self_discharge_per_month(known(chemistry, constants.SELF_DISCHARGE_PER_MONTH_20C), temp_c)
    return -math.log(1.0 - min(rate, 0.9)) / constants.H_PER_MONTH


def kinetic_constants(chemistry: str) -> tuple:
    """(c, k_per_h): share of the available well, and the rate in exp(-k t). Source: constants.KINETIC."""
    return known(chemistry, constants.KINETIC)


def cold_acceptance(chemistry: str, temp_c: float) -> float:
    """Share of its warm charge acceptance that a bank has at this temperature, 0..1.

    Lead-acid in the cold takes less, as its resistance grows; lithium below freezing takes nothing.
    Source: constants.LITHIUM_CHARGE_MIN_C; resistance_factor.
    """
    if chemistry == "lifepo4":
        return 1.0 if temp_c >= constants.LITHIUM_CHARGE_MIN_C else 0.0
    return 1.0 / resistance_factor(temp_c, 1.0)


def acceptance_a(soc: float, chemistry: str, capacity_ah: float, temp_c: float = 25.0) -> float:
    """Largest charging current the bank takes at this charge, whatever the source offers. [A]

    The lower of the maker's limit and a share of the missing charge, so the last fifth takes hours.
    Lead-acid in the cold takes less, as its resistance grows; lithium below freezing takes nothing.
    Source: constants.CHARGE_LIMIT_PER_H, ACCEPTANCE_PER_H, LITHIUM_CHARGE_MIN_C.
    """
    limit_per_h = known(chemistry, constants.CHARGE_LIMIT_PER_H)
    if soc >= 1.0:
        return 0.0
    cold = cold_acceptance(chemistry, temp_c)
    return min(limit_per_h, constants.ACCEPTANCE_PER_H[chemistry] * (1.0 - soc) * cold) * capacity_ah * (cold > 0.0)


def charge_efficiency(soc: float, chemistry: str) -> float:
    """Share of the charging amp-hours that is stored, at this charge. Source: constants.CHARGE_STAGES."""
    for upper, efficiency in known(chemistry, constants.CHARGE_STAGES):
        if soc < upper:
            return efficiency
    return constants.CHARGE_STAGES[chemistry][-1][1]


def charge_needed_ah(*, capacity_ah: float, from_soc: float, to_soc: float, stages: tuple) -> float:
    """Amp-hours to put in, to go from one state of charge to a higher one, by staged efficiency. [Ah]

    stages: ascending (upper state of charge, efficiency up to it), as constants.CHARGE_STAGES.
    """
    if not 0.0 <= from_soc <= to_soc <= 1.0:
        raise ValueError(f"Charging from {from_soc} to {to_soc} is not upward within 0-1; give shares, not percent.")
    needed, at = 0.0, from_soc
    for upper, efficiency in stages:
        if at < upper and at < to_soc:
            top = min(upper, to_soc)
            needed += (top - at) * capacity_ah / efficiency
            at = top
    return needed


def set_point_v(*, set_25c_v: float, mv_per_c_cell: float, cells: int, temp_c: float) -> float:
    """Charging set-point moved from 25 C to the battery's temperature. [V] Lower when warm, for lead-acid."""
    return set_25c_v + mv_per_c_cell / 1000.0 * cells * (temp_c - constants.REFERENCE_C)


def _set_point(table, chemistry, temp_c, nominal_v):
    volts = known(chemistry, table)
    if chemistry != "lifepo4":
        volts = set_point_v(
            set_25c_v=volts,
            mv_per_c_cell=constants.SET_POINT_MV_PER_C_CELL,
            cells=constants.LEAD_ACID_CELLS_12_V,
            temp_c=temp_c,
        )
    return volts * nominal_v / constants.NOMINAL_12_V


def absorption_v(chemistry: str, temp_c: float = 25.0, nominal_v: float = 12.0) -> float:
    """Usual absorption volts; the controller's own setting, if known, stands instead. Source: constants."""
    return _set_point(constants.ABSORPTION_V, chemistry, temp_c, nominal_v)


def float_v(chemistry: str, temp_c: float = 25.0, nominal_v: float = 12.0) -> float:
    """Usual float volts; the controller's own setting, if known, stands instead. Source: constants."""
    return _set_point(constants.FLOAT_V, chemistry, temp_c, nominal_v)
