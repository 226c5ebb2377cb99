"""Inch, foot and pound units against ours, for sheets and wire charts that print them.

Exact by definition of the inch (25.4 mm) and the pound-force (standard gravity 9.80665 m/s2).
"""

from daybank.energy.constants import M_PER_FT, M_PER_IN, N_PER_LBF


def torque_nm(torque_lb_in: float) -> float:
    """Newton metres from pound-force inches."""
    return torque_lb_in * N_PER_LBF * M_PER_IN


def torque_lb_in(torque_nm: float) -> float:
    """Pound-force inches from newton metres."""
    return torque_nm / (N_PER_LBF * M_PER_IN)


def force_n(force_lbf: float) -> float:
    """Newtons from pounds-force."""
    return force_lbf * N_PER_LBF


def area_mm2(area_in2: float) -> float:
    """Square millimetres from square inches."""
    return area_in2 * (1000.0 * M_PER_IN) ** 2


def mohm_per_m(ohm_per_ft: float) -> float:
    """Milliohm per metre from ohm per foot; 0.00639 ohm/ft is 21 mohm/m, not 6."""
    return 1000.0 * ohm_per_ft / M_PER_FT


def temp_c(temp_f: float) -> float:
    """Degrees Celsius from degrees Fahrenheit."""
    return (temp_f - 32.0) / 1.8


def temp_f(temp_c: float) -> float:
    """Degrees Fahrenheit from degrees Celsius."""
    return 1.8 * temp_c + 32.0


def length_m(length_ft: float) -> float:
    """Metres from feet."""
    return length_ft * M_PER_FT


def length_ft(length_m: float) -> float:
    """Feet from metres."""
    return length_m / M_PER_FT
