"""Capacity against rate and temperature: Peukert's rule and the factors for sizing and for camp.

For loads that change use wells.py: Peukert charges a short hard pull for ever. For days of loads below
the 20 h rate plain amp-hours serve as well as either.
"""

import math

from daybank.energy import bank, constants


def peukert_runtime_h(*, rated_ah: float, rated_h: float, current_a: float, exponent: float) -> float:
    """Hours at a steady current by Peukert's rule in its rated-hours form. [h]

    Returns exactly rated_h at rated_ah / rated_h. The bare form C = I^k t needs the 1 A capacity, and
    putting the label's 20 h rating there is a published mistake. Invalid for changing currents.
    """
    if rated_ah <= 0.0 or rated_h <= 0.0 or current_a <= 0.0:
        raise ValueError(f"Rating {rated_ah} Ah at {rated_h} h and {current_a} A must all be above 0.")
    return rated_h * (rated_ah / (current_a * rated_h)) ** exponent


def label_at_20h_ah(*, rated_ah: float, rated_h: float, chemistry: str) -> float:
    """What a label of rated_ah at rated_h hours stands for at the 20 h rate. [Ah]

    Parameters
        rated_ah: capacity on the label. [Ah] rated_h: hours of discharge it was rated for. [h]
        chemistry: flooded, agm, gel or lifepo4.
    Notes
        Peukert: the charge delivered over t hours goes as t ** ((k - 1) / k), credited at most
        constants.PEUKERT_CREDIT_MAX. A label of 100 h promises more than the battery gives in a day, one of 5 h less.
    Raises
        ValueError: no hours, or an unknown chemistry.
    Source
        Exponents: constants.PEUKERT.

    >>> label_at_20h_ah(rated_ah=100, rated_h=20, chemistry="agm")
    100.0
    """
    if not rated_h > 0.0:
        raise ValueError(f"A label for {rated_h} h cannot be; give the hours beside the Ah, usually 20.")
    k = bank.known(chemistry, constants.PEUKERT)
    return rated_ah * max(1.0 / constants.PEUKERT_CREDIT_MAX, (20.0 / rated_h) ** ((k - 1.0) / k))


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
    return bank.between(constants.IEEE485_FACTORS, temp_c)


def camp_capacity_factor(temp_c: float) -> float:
    """Share of the 25 C capacity that can be drawn at camp rates. Source: constants.CAMP_CAPACITY_*."""
    factor = 1.0 + constants.CAMP_CAPACITY_PER_C * (temp_c - constants.REFERENCE_C)
    return max(0.3, min(constants.CAMP_CAPACITY_MAX, factor))
