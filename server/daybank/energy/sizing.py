"""Sizing and usable charge: how much bank a use asks for, and how long a store lasts as a plain ratio.

The forecast does not use these: it runs the ensemble. They are the hand calculations of the trade, for
buying a bank and for checking the forecast's order of size.
"""

import math
from collections import namedtuple

from daybank.energy import draws

AutonomySize = namedtuple("AutonomySize", ("candidates_ah", "required_ah"))
DaysLeft = namedtuple("DaysLeft", ("p10", "p50", "p90"))


def usable_charge_ah(
    *, rated_ah: float, in_parallel: int = 1, floor_soc: float = 0.5, soc: float = 1.0, capacity_share: float = 1.0
) -> float:
    """Charge above the floor; 0 when the bank is there already. [Ah]

    Parameters
        rated_ah: of one battery, 20 h rate. [Ah]
        in_parallel: equal batteries.
        floor_soc, soc: 0..1.
        capacity_share: what age and temperature leave of the rating.
    Raises
        ValueError: a share outside 0-1 or no battery at all.
    """
    for name, share in (("Floor", floor_soc), ("State of charge", soc)):
        if not 0.0 <= share <= 1.0:
            raise ValueError(f"{name} {share} is outside 0-1; give 50 % as 0.5.")
    if in_parallel < 1 or not rated_ah > 0.0:
        raise ValueError(f"{in_parallel} batteries of {rated_ah} Ah are no bank; give 1 or more, above 0 Ah.")
    return max(0.0, rated_ah * in_parallel * capacity_share * (soc - floor_soc))


def autonomy_capacity_ah(
    *, daily_ah: float, days: float, max_depth: float, end_of_life: float, max_daily_depth: float,
    temperature_factor: float = 1.0, margin: float = 1.0,
) -> AutonomySize:  # fmt: skip
    """Rated capacity for days without any sun: the largest of three demands, then temperature and margin.

    Parameters
        daily_ah, days: use of a day, and days to carry it. [Ah, d]
        max_depth, end_of_life, max_daily_depth: deepest discharge in those days, capacity share at which
            the battery is replaced, deepest ordinary day; each above 0, up to 1.
        temperature_factor: capacity.sizing_temperature_factor of the coldest battery.
        margin: 1.1 to 1.25 is usual.
    Returns
        AutonomySize((by depth, by end of life, by ordinary day), required). [Ah]
    Source
        IEEE Std 1013 clause 6 (structure; steps from memory).
    """
    for name, share in (("depth", max_depth), ("end of life", end_of_life), ("daily depth", max_daily_depth)):
        if not 0.0 < share <= 1.0:
            raise ValueError(f"The {name} share {share} is outside 0-1; give 80 % as 0.8.")
    candidates = (daily_ah * days / max_depth, daily_ah * days / end_of_life, daily_ah / max_daily_depth)
    return AutonomySize(candidates, max(candidates) * temperature_factor * margin)


def days_left_quantiles(
    *, usable_ah: float, usable_sd_ah: float, daily_ah: float, daily_sd_ah: float, most_days: float = 1000.0
) -> DaysLeft:
    """Days of an uncertain store under an uncertain steady use, both Gaussian.

    Parameters
        usable_ah, usable_sd_ah: charge above the floor. [Ah]
        daily_ah, daily_sd_ah: net use of a day, a fixed unknown mean. [Ah]
        most_days: a quantile beyond it is None: it holds as long as the sun does. [d]
    Returns
        DaysLeft(p10, p50, p90), each 0 or more, or None.
    Notes
        P(days < d) = Phi((daily d - usable) / sqrt(usable_sd^2 + d^2 daily_sd^2)). Valid where both means are
        beyond three sd; else simulate.
    Source
        The distribution of a ratio, Hinkley, Biometrika 56, 1969 (form from memory).
    """
    if usable_sd_ah < 0.0 or daily_sd_ah < 0.0:
        raise ValueError(f"Spreads {usable_sd_ah} and {daily_sd_ah} Ah must be 0 or more.")

    def share_before(days):
        gap = daily_ah * days - usable_ah
        spread = math.sqrt(usable_sd_ah**2 + (days * daily_sd_ah) ** 2)
        if spread == 0.0:
            return 1.0 if gap > 0.0 else 0.0
        return draws.normal_cdf(gap / spread)

    found = []
    for share in (0.1, 0.5, 0.9):
        if share_before(most_days) < share:
            found.append(None)
            continue
        low, high = 0.0, most_days
        for _ in range(80):
            middle = 0.5 * (low + high)
            if share_before(middle) < share:
                low = middle
            else:
                high = middle
        found.append(0.5 * (low + high) if low > 0.0 else 0.0)
    return DaysLeft(found[0], found[1], found[2])
