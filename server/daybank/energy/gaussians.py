"""Sums with Gaussian errors: joining two estimates, counting amp-hours, scoring a forecast."""

import math
from collections import namedtuple

from daybank.energy import draws

Estimate = namedtuple("Estimate", ("mean", "sd"))


def join(*, prior_mean: float, prior_sd: float, measured: float, measured_sd: float) -> Estimate:
    """Two independent estimates of one thing, joined; any unit.

    Readings minutes apart share the error of curve and meter: do not join them as if they were fresh.
    Source: the scalar Kalman update.
    """
    if prior_sd < 0.0 or measured_sd < 0.0 or prior_sd + measured_sd == 0.0:
        raise ValueError(f"Spreads {prior_sd} and {measured_sd} cannot be joined; give sd of 0 or more, not both 0.")
    gain = prior_sd**2 / (prior_sd**2 + measured_sd**2)
    return Estimate(prior_mean + gain * (measured - prior_mean), math.sqrt(1.0 - gain) * prior_sd)


def coulomb_count(
    *, start_soc: float, start_sd: float, logged_ah: float, log_rel_sd: float, capacity_ah: float, capacity_sd_ah: float
) -> Estimate:
    """State of charge after logged use, and how its doubt grows.

    Parameters
        start_soc, start_sd: state of charge at the start and its sd, 0..1.
        logged_ah, log_rel_sd: charge drawn by the log, and the log's relative sd. [Ah, -]
        capacity_ah, capacity_sd_ah: of the whole bank. [Ah]
    Source
        First-order error propagation; the three errors independent.
    """
    if not capacity_ah > 0.0:
        raise ValueError(f"A capacity of {capacity_ah} Ah is not above 0.")
    drop = logged_ah / capacity_ah
    variance = start_sd**2 + (drop * log_rel_sd) ** 2 + (drop * capacity_sd_ah / capacity_ah) ** 2
    return Estimate(start_soc - drop, math.sqrt(variance))


def crps_gaussian(*, mean: float, sd: float, observed: float) -> float:
    """Continuous ranked probability score of a Gaussian forecast; lower is better, in the forecast's unit.

    Source: Gneiting et al., Monthly Weather Review, 2005, closed form.
    """
    if not sd > 0.0:
        return abs(observed - mean)
    z = (observed - mean) / sd
    density = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    return sd * (z * (2.0 * draws.normal_cdf(z) - 1.0) + 2.0 * density - 1.0 / math.sqrt(math.pi))
