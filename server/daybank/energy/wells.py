"""Two wells: why a hard pull leaves charge behind, and why rest brings it back.

Theory of operation. The state is the total charge q and the head difference d between two wells
joined by a valve: an available one that the load draws from (share c of the bank) and a bound one
(1 - c). With heads h1 = q1/c and h2 = q2/(1 - c) and d = h1 - h2 the wells obey

    q' = -I          d' = -I/c - k d

so a step is two lines with one exponential, exact for a steady current, and q1 = c (q + (1 - c) d).
A hard pull makes d negative: charge is stranded, not lost. k stands in the exponent exp(-k t); the
valve's own constant, also called k by some, is k c (1 - c).

Wrong in the cold, with age, for acceptance and for voltage. Constants: bank.kinetic_constants.
"""

import math
from collections import namedtuple

from daybank.energy import constants

Wells = namedtuple("Wells", ("available_ah", "bound_ah"))


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
