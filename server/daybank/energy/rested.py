"""A rested reading: how far the posts still are from rest, and what charge the volts stand for.

Knows voltage, hours of rest and the meter; leaves the curve itself to bank.py and the weighing of many
readings against each other to estimate.py. The acid's own voltage, by concentration or hydrometer, is
here too, since it is the same question asked of the acid.
"""

import math
from collections import namedtuple

from daybank.energy import bank, constants

RestBias = namedtuple("RestBias", ("bias_v", "sd_v"))
RestedCharge = namedtuple("RestedCharge", ("soc", "sd_soc", "low_soc", "high_soc", "bias_v", "sd_v"))


def rest_bias_v(
    *,
    rested_h: float,
    after: str,
    chemistry: str = "agm",
    last_a=None,
    rated_ah: float = 100.0,
    nominal_v: float = 12.0,
) -> RestBias:
    """How far the posts still stand from the rested curve, and how unsure that is.

    Parameters
        rested_h: hours since the charge or the load stopped. [h]
        after: "absorption", "float" (surface charge: reads high), "discharge" (reads low) or
            "nothing" (no bias, no doubt).
        last_a: the load's current before it stopped, after a discharge; None when unknown. [A]
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
        start_v = constants.REST_AFTER_DISCHARGE_V
        if last_a is not None:
            start_v += constants.REST_AFTER_DISCHARGE_OHM_100AH * last_a * 100.0 / rated_ah
            # The posts cannot stand lower once the load has stopped than they did under it.
            start_v = min(start_v, last_a * bank.resistance_ohm(chemistry, rated_ah))
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
    last_a=None,
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
    sd_v = math.sqrt(bank.curve_sd_v(chemistry, nominal_v) ** 2 + meter_sd_v**2 + resolution_v**2 / 12.0 + bias.sd_v**2)
    rested_v = volts - bias.bias_v
    steps = 200
    gaps = [(rested_v - bank.open_circuit_v(i / steps, chemistry, temp_c, nominal_v)) / sd_v for i in range(steps + 1)]
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
