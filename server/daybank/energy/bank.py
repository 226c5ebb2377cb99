"""A bank of batteries: volts, wells, resistance, charging, self-discharge.

Knows one store at a time, 12 V or 24 V, whose batteries in parallel are already added up
(rated_ah is the whole bank's). Leaves the wires to wiring.py, what a reading proves to
readings.py, and the many possible rigs to member.py.

Theory of operation. The state is the total charge q and the head difference d between two
wells joined by a valve: an available one that the load draws from (share c of the bank) and a
bound one (1 - c). With heads h1 = q1/c and h2 = q2/(1 - c) and d = h1 - h2 the wells obey

    q' = -I          d' = -I/c - k d

so a step is two lines with one exponential, exact for a steady current. A hard pull makes d
negative: charge is stranded, not lost, and rest brings it back. Currents are positive on
discharge, except in functions whose name says charge. All functions are scalar and cheap:
the ensemble calls them tens of thousands of times on a phone.
"""

import math
from collections import namedtuple

from daybank.energy import constants

RestBias = namedtuple("RestBias", ("bias_v", "sd_v"))
RestedCharge = namedtuple("RestedCharge", ("soc", "sd_soc", "low_soc", "high_soc", "bias_v", "sd_v"))
Wells = namedtuple("Wells", ("available_ah", "bound_ah"))

# --- Rested volts -------------------------------------------------------------------------------


def _known(chemistry, table):
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
    return _known(chemistry, constants.CURVES)


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


def _between(points, x):
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
    volts = _between(curve(chemistry), soc)
    if chemistry != "lifepo4":
        volts += ocv_shift_v(temp_c, chemistry) - ocv_shift_v(constants.CURVE_C[chemistry], chemistry)
    return volts * nominal_v / constants.NOMINAL_12_V


def soc_at_rest(volts: float, chemistry: str, temp_c: float = 25.0, nominal_v: float = 12.0) -> float:
    """State of charge, 0..1, whose rested voltage this is; held at 0 and 1 beyond the curve."""
    points = curve(chemistry)
    v12 = volts * constants.NOMINAL_12_V / nominal_v
    if chemistry != "lifepo4":
        v12 -= ocv_shift_v(temp_c, chemistry) - ocv_shift_v(constants.CURVE_C[chemistry], chemistry)
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


def rest_bias_v(
    *,
    rested_h: float,
    after: str,
    chemistry: str = "agm",
    last_a: float = 0.0,
    rated_ah: float = 100.0,
    nominal_v: float = 12.0,
) -> RestBias:
    """How far the posts still stand from the rested curve, and how unsure that is.

    Parameters
        rested_h: hours since the charge or the load stopped. [h]
        after: "absorption", "float" (surface charge: reads high), "discharge" (reads low) or
            "nothing" (no bias, no doubt).
        last_a: the load's current before it stopped; used after a discharge. [A]
        rated_ah: of the whole bank; the current's part scales with 100 Ah over it. [Ah]
    Returns
        RestBias(bias_v, sd_v): subtract bias_v from the reading. [V]
    Raises
        ValueError: a negative rest or another word in `after`.
    Notes
        A one-dimensional physics model relaxes within an hour; real batteries creep for hours, since
        acid settles in layers. Treat short rests with the stated sd.
    Source
        constants.REST_*; the shape is common practice, no source.
    """
    if rested_h < 0.0:
        raise ValueError(f"Rest of {rested_h} h is negative; give hours since the last charge or load, 0 or more.")
    scale = nominal_v / constants.NOMINAL_12_V
    if after == "nothing":
        return RestBias(0.0, 0.0)
    lithium = chemistry == "lifepo4"
    if after == "discharge":
        tau_h = constants.REST_AFTER_DISCHARGE_TAU_H
        start_v = constants.REST_AFTER_DISCHARGE_V + constants.REST_AFTER_DISCHARGE_OHM_100AH * last_a * 100.0 / rated_ah
        sign = -1.0
    elif after in ("absorption", "float"):
        tau_h = constants.REST_LIFEPO4_TAU_H if lithium else constants.REST_AFTER_CHARGE_TAU_H
        start_v = constants.REST_AFTER_ABSORPTION_V if after == "absorption" else constants.REST_AFTER_FLOAT_V
        if lithium:
            start_v = constants.REST_LIFEPO4_CHARGE_V
        sign = 1.0
    else:
        raise ValueError(f"Rest after {after!r} is not known; use absorption, float, discharge or nothing.")
    bias_v = sign * start_v * math.exp(-rested_h / tau_h) * scale
    return RestBias(bias_v, constants.REST_SD_SHARE * abs(bias_v) + constants.REST_SD_FLOOR_V * scale)


def soc_from_rested_voltage(
    *,
    volts: float,
    chemistry: str,
    rested_h: float = 24.0,
    after: str = "absorption",
    last_a: float = 0.0,
    rated_ah: float = 100.0,
    temp_c: float = 25.0,
    nominal_v: float = 12.0,
    meter_sd_v: float = constants.PANEL_METER_SD_V,
    resolution_v: float = 0.01,
) -> RestedCharge:
    """What one rested reading says, knowing nothing else: state of charge with its honest spread.

    Parameters
        volts: at the posts. [V]
        rested_h, after, last_a, rated_ah: circumstances, see rest_bias_v.
        meter_sd_v: sd of the meter. [V]
        resolution_v: last digit of the meter; adds resolution/sqrt(12). [V]
    Returns
        RestedCharge: mean and sd of the state of charge, 5 % and 95 % points (a 90 % interval),
        the bias taken off and the total sd in volts.
    Raises
        ValueError: an unknown chemistry, or a rest that rest_bias_v refuses.
    Notes
        Every charge from 0 to 1 is equally likely beforehand; the reading is Gaussian in volts with the
        sd of curve, meter and rest together, so slope and flatness of the curve act by themselves.
    Source
        constants.CURVE_SD_SOC (the spread of published charts), meter and rest figures beside it.
    """
    bias = rest_bias_v(
        rested_h=rested_h, after=after, chemistry=chemistry, last_a=last_a, rated_ah=rated_ah, nominal_v=nominal_v
    )
    sd_v = math.sqrt(
        curve_sd_v(chemistry, nominal_v) ** 2 + meter_sd_v**2 + resolution_v**2 / 12.0 + bias.sd_v**2
    )
    rested_v = volts - bias.bias_v
    steps = 200
    gaps = [(rested_v - open_circuit_v(i / steps, chemistry, temp_c, nominal_v)) / sd_v for i in range(steps + 1)]
    nearest = min([gap * gap for gap in gaps])  # keeps the weights from vanishing for a reading off the curve
    weights = [math.exp(-0.5 * (gap * gap - nearest)) for gap in gaps]
    total = sum(weights)
    mean = sum([w * i / steps for i, w in enumerate(weights)]) / total
    variance = sum([w * (i / steps - mean) ** 2 for i, w in enumerate(weights)]) / total
    low = high = None
    running = 0.0
    for i, weight in enumerate(weights):
        running += weight / total
        if low is None and running >= 0.05:
            low = i / steps
        if high is None and running >= 0.95:
            high = i / steps
    return RestedCharge(mean, math.sqrt(variance), low, 1.0 if high is None else high, bias.bias_v, sd_v)


# --- Acid ---------------------------------------------------------------------------------------


def cell_v_from_acid(acid_mol_per_m3: float) -> float:
    """Equilibrium volts of one lead-acid cell from the acid's concentration. [V]

    Source: Bode (1977) electrode potentials in log10(molality) with the partial molar volumes of
    Sulzer et al., J. Electrochem. Soc. 166 (2019).
    """
    if not 0.0 < acid_mol_per_m3 < 1.0 / constants.ACID_PARTIAL_M3_PER_MOL:
        raise ValueError(f"Acid of {acid_mol_per_m3} mol/m3 cannot be; batteries hold 500 to 6000 mol/m3.")
    molality = (
        acid_mol_per_m3
        * constants.WATER_PARTIAL_M3_PER_MOL
        / ((1.0 - acid_mol_per_m3 * constants.ACID_PARTIAL_M3_PER_MOL) * constants.WATER_KG_PER_MOL)
    )
    x = math.log(molality) / math.log(10.0)
    volts = 0.0
    for power in range(5):
        volts += (constants.BODE_LEAD_DIOXIDE_V[power] - constants.BODE_LEAD_V[power]) * x**power
    return volts


def cell_v_from_specific_gravity(specific_gravity: float) -> float:
    """Rested volts of one flooded cell from a hydrometer reading. [V]

    Good near full; about 0.1 V per 12 V low when empty. Source: constants.SPECIFIC_GRAVITY_OFFSET_V.
    """
    if not 1.0 <= specific_gravity <= 1.4:
        raise ValueError(
            f"Specific gravity {specific_gravity} is outside 1.0-1.4; read the hydrometer as 1.265, not 1265."
        )
    return specific_gravity + constants.SPECIFIC_GRAVITY_OFFSET_V


# --- Two wells ----------------------------------------------------------------------------------


def kinetic_constants(chemistry: str) -> tuple:
    """(c, k_per_h): share of the available well, and the rate in exp(-k t). Source: constants.KINETIC."""
    return _known(chemistry, constants.KINETIC)


def wells(total_ah: float, head_ah: float, c: float) -> Wells:
    """The two wells of a total charge and a head difference d = available/c - bound/(1-c). [Ah]"""
    available = c * (total_ah + (1.0 - c) * head_ah)
    return Wells(available, total_ah - available)


def head_of(available_ah: float, bound_ah: float, c: float) -> float:
    """Head difference of two wells. [Ah] One well alone (c = 1) has none."""
    return 0.0 if c >= 1.0 else available_ah / c - bound_ah / (1.0 - c)


def head_after(head_ah: float, current_a: float, dt_h: float, c: float, k_per_h: float) -> float:
    """Head difference after dt_h hours at a steady current, exactly. [Ah]

    The total charge meanwhile falls by current_a x dt_h. With fixed dt_h the caller may keep
    exp(-k dt) and write the line out itself.
    """
    decay = math.exp(-k_per_h * dt_h)
    return head_ah * decay - current_a * (1.0 - decay) / (c * k_per_h)


def two_well_step(*, available_ah: float, bound_ah: float, current_a: float, dt_h: float, c: float, k_per_h: float):
    """Both wells after a steady current, exactly.

    Parameters
        available_ah, bound_ah: charge in the wells at the start. [Ah]
        current_a: positive on discharge. [A]
        dt_h: length of the step. [h]
        c, k_per_h: see kinetic_constants. [-, 1/h]
    Returns
        Wells after the step. [Ah] The available well may come out negative: then the bank gave up
        earlier, see hours_until_empty.
    Source
        Kinetic battery model: Manwell & McGowan, Solar Energy 50(5), 1993, 399-405 (paper not read; form
        checked against two public implementations).

    >>> w = two_well_step(available_ah=31.857, bound_ah=54.243, current_a=10, dt_h=1, c=0.37, k_per_h=0.5874)
    >>> round(w.available_ah, 2)
    23.39
    """
    head = head_after(head_of(available_ah, bound_ah, c), current_a, dt_h, c, k_per_h)
    return wells(available_ah + bound_ah - current_a * dt_h, head, c)


def hours_until_empty(*, available_ah: float, bound_ah: float, current_a: float, c: float, k_per_h: float):
    """Hours until the available well runs dry at a steady discharge; None when nothing is drawn. [h]

    The well's level crosses zero once, so halving finds it; to about 1e-9 of the time.
    """
    if current_a <= 0.0:
        return None
    total = available_ah + bound_ah
    head = head_of(available_ah, bound_ah, c)
    low_h, high_h = 0.0, (total + (1.0 - c) * max(head, 0.0)) / current_a
    for _ in range(60):
        mid_h = 0.5 * (low_h + high_h)
        after = wells(total - current_a * mid_h, head_after(head, current_a, mid_h, c, k_per_h), c)
        if after.available_ah > 0.0:
            low_h = mid_h
        else:
            high_h = mid_h
    return high_h


def deliverable_fraction(t_h: float, c: float, k_per_h: float) -> float:
    """Share of a full bank that a current delivers when it empties the available well in t_h hours.

    Goes to c for a very hard pull and to 1 for a very gentle one. Source as two_well_step.
    """
    if t_h <= 0.0:
        raise ValueError(f"Run of {t_h} h is not positive; give the hours in which the bank is emptied.")
    x = k_per_h * t_h
    if x < 1e-6:
        return c
    decay = math.exp(-x)
    return x * c / (1.0 - decay + c * (x - 1.0 + decay))


def q_max_ah(c20_ah: float, c: float, k_per_h: float) -> float:
    """Both wells full, from the capacity at the 20 h rate. [Ah] The rest beyond c20_ah is bound at that rate."""
    return c20_ah / deliverable_fraction(constants.RATED_H, c, k_per_h)


def capacity_ratio(current_a: float, c20_ah: float, c: float, k_per_h: float) -> float:
    """Charge a rested full bank gives at a steady current, over its 20 h capacity."""
    q_max = q_max_ah(c20_ah, c, k_per_h)
    hours = hours_until_empty(
        available_ah=c * q_max, bound_ah=(1.0 - c) * q_max, current_a=current_a, c=c, k_per_h=k_per_h
    )
    return current_a * hours / c20_ah


def delivered_in_bursts_ah(
    *, q_max_ah: float, c: float, k_per_h: float, current_a: float, on_h: float, off_h: float
) -> float:
    """Charge a full bank gives to a load that is on for on_h and off for off_h, until the well runs dry. [Ah]

    off_h = 0 is the continuous load. Rest between bursts brings stranded charge back.
    """
    if current_a <= 0.0 or on_h <= 0.0 or off_h < 0.0:
        raise ValueError(
            f"A burst of {current_a} A for {on_h} h with {off_h} h between draws nothing; "
            "give a current and an on-time above 0."
        )
    total, head, given = q_max_ah, 0.0, 0.0
    while True:
        now = wells(total, head, c)
        hours = hours_until_empty(
            available_ah=now.available_ah, bound_ah=now.bound_ah, current_a=current_a, c=c, k_per_h=k_per_h
        )
        if hours <= on_h:
            return given + current_a * hours
        given += current_a * on_h
        total -= current_a * on_h
        head = head_after(head, current_a, on_h, c, k_per_h)
        head = head_after(head, 0.0, off_h, c, k_per_h)


# --- Rate and temperature on capacity -------------------------------------------------------------


def peukert_runtime_h(*, rated_ah: float, rated_h: float, current_a: float, exponent: float) -> float:
    """Hours at a steady current by Peukert's rule in its rated-hours form. [h]

    Returns exactly rated_h at rated_ah / rated_h. The bare form C = I^k t needs the 1 A capacity, and
    putting the label's 20 h rating there is a published mistake. Invalid for changing currents.
    """
    if rated_ah <= 0.0 or rated_h <= 0.0 or current_a <= 0.0:
        raise ValueError(f"Rating {rated_ah} Ah at {rated_h} h and {current_a} A must all be above 0.")
    return rated_h * (rated_ah / (current_a * rated_h)) ** exponent


def peukert_credit_ah(*, rated_ah: float, rated_h: float, current_a: float, exponent: float) -> float:
    """Charge to plan with at a steady current: Peukert's, never above 1.10 of the rating. [Ah]"""
    hours = peukert_runtime_h(rated_ah=rated_ah, rated_h=rated_h, current_a=current_a, exponent=exponent)
    return min(current_a * hours, constants.PEUKERT_CREDIT_MAX * rated_ah)


def peukert_exponent(*, first_a: float, first_h: float, second_a: float, second_h: float) -> float:
    """Exponent from two run times at two steady currents."""
    if first_a == second_a:
        raise ValueError(f"Two runs at {first_a} A tell nothing of the exponent; give runs at different currents.")
    return math.log(first_h / second_h) / math.log(second_a / first_a)


def peukert_exponent_from_capacity(*, rated_ah: float, rated_h: float, current_a: float, delivered_ah: float) -> float:
    """Exponent implied by the charge delivered at one current beside the rating."""
    ratio = rated_ah / (current_a * rated_h)
    if ratio == 1.0:
        raise ValueError(f"{current_a} A is the rated current and tells nothing of the exponent; give another.")
    return 1.0 + math.log(delivered_ah / rated_ah) / math.log(ratio)


def sizing_temperature_cubic(temp_c: float) -> float:
    """Cell-size factor by the cubic of a technical note (2010); made for about -10 to 45 C."""
    x = temp_c / 100.0
    a0, a1, a2, a3 = constants.SIZING_CUBIC
    return a0 + x * (a1 + x * (a2 + x * a3))


def sizing_temperature_factor(temp_c: float) -> float:
    """Cell-size factor for sizing at a design temperature; its reciprocal is the available share.

    Between the table's points linear; below it the cubic; above it held, so that heat is no gift.
    Made for stationary float duty at rates of hours; camp rates are milder, see camp_capacity_factor.
    Source: IEEE Std 485 table 1, from memory.
    """
    if temp_c < constants.IEEE485_FACTORS[0][0]:
        return sizing_temperature_cubic(temp_c)
    return _between(constants.IEEE485_FACTORS, temp_c)


def camp_capacity_factor(temp_c: float) -> float:
    """Share of the 25 C capacity that can be drawn at camp rates. Source: constants.CAMP_CAPACITY_*."""
    factor = 1.0 + constants.CAMP_CAPACITY_PER_C * (temp_c - constants.REFERENCE_C)
    return max(0.3, min(constants.CAMP_CAPACITY_MAX, factor))


# --- Resistance -----------------------------------------------------------------------------------


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
    ohmic, polarisation, tau_h = _known(chemistry, constants.RESISTANCE_100AH)
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


# --- Standing idle --------------------------------------------------------------------------------


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
    rate = self_discharge_per_month(_known(chemistry, constants.SELF_DISCHARGE_PER_MONTH_20C), temp_c)
    return -math.log(1.0 - min(rate, 0.9)) / constants.H_PER_MONTH


# --- Charging -------------------------------------------------------------------------------------


def acceptance_a(soc: float, chemistry: str, capacity_ah: float, temp_c: float = 25.0) -> float:
    """Largest charging current the bank takes at this charge, whatever the source offers. [A]

    The lower of the maker's limit and a share of the missing charge, so the last fifth takes hours.
    Lead-acid in the cold takes less, as its resistance grows; lithium below freezing takes nothing.
    Source: constants.CHARGE_LIMIT_PER_H, ACCEPTANCE_PER_H, LITHIUM_CHARGE_MIN_C.
    """
    limit_per_h = _known(chemistry, constants.CHARGE_LIMIT_PER_H)
    if soc >= 1.0:
        return 0.0
    if chemistry == "lifepo4":
        cold = 1.0 if temp_c >= constants.LITHIUM_CHARGE_MIN_C else 0.0
    else:
        cold = 1.0 / resistance_factor(temp_c, 1.0)
    return min(limit_per_h, constants.ACCEPTANCE_PER_H[chemistry] * (1.0 - soc) * cold) * capacity_ah * (cold > 0.0)


def charge_efficiency(soc: float, chemistry: str) -> float:
    """Share of the charging amp-hours that is stored, at this charge. Source: constants.CHARGE_STAGES."""
    for upper, efficiency in _known(chemistry, constants.CHARGE_STAGES):
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
    volts = _known(chemistry, table)
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
