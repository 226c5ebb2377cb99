"""Condition of a bank and its joints, from a few measurements with a meter and a clock.

Knows single tests: two readings under different loads, a night with everything off, a discharge
test, millivolts across a joint. Leaves learning from the whole log to estimate.py.
"""

import math
from collections import namedtuple

Resistance = namedtuple("Resistance", ("ohm", "sd_ohm"))
CapacityFit = namedtuple("CapacityFit", ("per_ah", "sd_per_ah", "capacity_ah"))
IdleDraw = namedtuple("IdleDraw", ("current_a", "sd_a", "detected"))
CapacityTest = namedtuple("CapacityTest", ("capacity_ah", "percent", "replace"))
JointHeat = namedtuple("JointHeat", ("mohm", "heat_w"))
JointTrend = namedtuple("JointTrend", ("rise_percent", "action_due"))
JointDrop = namedtuple("JointDrop", ("mohm", "drop_at_rated_mv", "limit_mv", "passes"))
StandingDraw = namedtuple("StandingDraw", ("per_day_ah", "total_ah"))
Split = namedtuple("Split", ("first_a", "second_a"))

END_OF_LIFE_SHARE = 0.8  # of rated capacity, replacement point of standby practice (IEEE 1188/450), second-hand
JOINT_LIMIT_MV = 100.0  # mV across a high-current joint at rated current, attributed to SAE in a workshop manual
JOINT_RISE_PERCENT = 20.0  # % over its own baseline, IEEE 1188 practice, second-hand
STANDING_NORMAL_A = 0.030  # A with everything off; question it above 0.050, vehicle practice 10-50 mA, second-hand


def paired_resistance(
    *, first_v: float, first_a: float, second_v: float, second_a: float, reading_sd_v=None, resolution_v: float = 0.0
) -> Resistance:
    """Resistance from two readings a minute apart with the load stepped between them.

    Parameters
        first_v, first_a, second_v, second_a: volts and amperes of each reading. [V, A]
        reading_sd_v: sd of one reading; if None, resolution_v/sqrt(12). [V]
        resolution_v: last digit of the gauge. [V]
    Returns
        Resistance(ohm, sd_ohm): of the battery and all wire up to the gauge.
    Raises
        ValueError: equal currents.
    Notes
        Ask for a step of 5 A or more; one pair on a coarse gauge is weak, several average out.
    Source
        Ohm's law and error propagation; a digit is uniform within its last place.
    """
    step_a = second_a - first_a
    if step_a == 0.0:
        raise ValueError(f"Both readings were at {first_a} A; step the load by 5 A or more between them.")
    sd_v = resolution_v / math.sqrt(12.0) if reading_sd_v is None else reading_sd_v
    return Resistance(-(second_v - first_v) / step_a, math.sqrt(2.0) * sd_v / abs(step_a))


def capacity_regression(
    *, prior_per_ah: float, prior_sd_per_ah: float, out_ah: float, soc_drop: float, soc_drop_sd: float
) -> CapacityFit:
    """Capacity from amp-hours out between two rested readings, by one Bayesian step on 1/C.

    Parameters
        prior_per_ah, prior_sd_per_ah: belief about 1/capacity and its sd. [1/Ah]
        out_ah: charge drawn, nothing charged between; 25 % of the capacity or more is worth having. [Ah]
        soc_drop, soc_drop_sd: fall of the state of charge and its sd.
    Returns
        CapacityFit(per_ah, sd_per_ah, capacity_ah).
    Source
        Conjugate Gaussian linear regression.
    """
    variance = 1.0 / (1.0 / prior_sd_per_ah**2 + (out_ah / soc_drop_sd) ** 2)
    per_ah = prior_per_ah + variance * out_ah * (soc_drop - prior_per_ah * out_ah) / soc_drop_sd**2
    return CapacityFit(per_ah, math.sqrt(variance), 1.0 / per_ah)


def overnight_draw(*, hours: float, soc_drop: float, soc_drop_sd: float, capacity_ah: float) -> IdleDraw:
    """Draw with everything off, from a rested reading at each end; detected only beyond two sd. [A]

    One night sees only a large draw; n nights see 1/sqrt(n) of it; a meter in series sees it at once.
    """
    if not hours > 0.0:
        raise ValueError(f"A night of {hours} h tells nothing; give the hours between the readings, above 0.")
    current, sd = capacity_ah * soc_drop / hours, capacity_ah * soc_drop_sd / hours
    return IdleDraw(current, sd, current > 2.0 * sd)


def standing_draw(*, current_a: float, days: float) -> StandingDraw:
    """What a standing draw takes in a day and over days. [Ah]"""
    return StandingDraw(24.0 * current_a, 24.0 * current_a * days)


def capacity_test(*, rated_ah: float, current_a: float, hours: float) -> CapacityTest:
    """A discharge test from full and rested at about 25 C, at a twentieth of the rating, to 10.5 V per 12 V.

    replace is below 80 % of the rating: borrowed from standby practice, not a standard for trailers.
    Care: recharge at once; a battery left flat is harmed. Source: IEEE 1188/450, second-hand.
    """
    if not rated_ah > 0.0:
        raise ValueError(f"A rating of {rated_ah} Ah is not above 0; take it from the battery's label.")
    capacity = current_a * hours
    return CapacityTest(capacity, 100.0 * capacity / rated_ah, capacity < END_OF_LIFE_SHARE * rated_ah)


# --- Joints ---------------------------------------------------------------------------------------


def joint_heat(*, drop_mv: float, current_a: float) -> JointHeat:
    """Resistance of a joint and the heat made in it. Care: metal there is live; keep rings and tools away."""
    if not current_a > 0.0:
        raise ValueError(f"A test at {current_a} A shows no drop; run a known load through the joint.")
    return JointHeat(drop_mv / current_a, drop_mv / 1000.0 * current_a)


def joint_trend(*, baseline_mohm: float, now_mohm: float, trigger_percent: float = JOINT_RISE_PERCENT) -> JointTrend:
    """Rise of a joint over its own baseline, and whether it calls for work."""
    if not baseline_mohm > 0.0:
        raise ValueError(f"A baseline of {baseline_mohm} mohm cannot be compared; measure it when the joint is new.")
    rise = 100.0 * (now_mohm - baseline_mohm) / baseline_mohm
    return JointTrend(rise, rise > trigger_percent)


def joint_drop_test(
    *, drop_mv: float, test_current_a: float, rated_current_a: float, limit_mv: float = JOINT_LIMIT_MV
) -> JointDrop:
    """A drop measured below rated current, scaled to it: 18 mV at 5 A is no pass at 30 A."""
    mohm = joint_heat(drop_mv=drop_mv, current_a=test_current_a).mohm
    at_rated = mohm * rated_current_a
    return JointDrop(mohm, at_rated, limit_mv, at_rated <= limit_mv)


# --- Two batteries --------------------------------------------------------------------------------


def parallel_split(*, current_a: float, first_mohm: float, second_mohm: float) -> Split:
    """How two batteries of equal open-circuit volts share a current. [A]"""
    total = first_mohm + second_mohm
    if not total > 0.0:
        raise ValueError(f"Resistances of {total} mohm together cannot be; give each above 0.")
    return Split(current_a * second_mohm / total, current_a * first_mohm / total)


def parallel_circulating_a(*, first_v: float, second_v: float, total_mohm: float) -> float:
    """Current when two batteries of unequal volts are joined. [A]

    Care: match them to within 0.1 V before joining, and fuse each one.
    """
    if not total_mohm > 0.0:
        raise ValueError(f"A loop of {total_mohm} mohm cannot be; add batteries and leads, above 0.")
    return 1000.0 * (first_v - second_v) / total_mohm
