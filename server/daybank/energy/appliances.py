"""What appliances take: amp-hours and watt-hours, light strips, inverters.

Arithmetic that a person can check by hand; when a load runs is loads.py's to say.
"""

from collections import namedtuple

DcDraw = namedtuple("DcDraw", ("power_w", "current_a"))
SmallLoad = namedtuple("SmallLoad", ("dc_power_w", "efficiency"))

INVERTER_EFFICIENCY = 0.88  # 80-90 % at 20-80 % of its power, common practice, no source
INVERTER_PROPORTIONAL = 0.92  # of AC power beside a fixed idle, 0.88-0.94, common practice, no source


def charge_ah(*, current_a: float, hours: float) -> float:
    """Amp-hours of a steady current. [Ah]"""
    return current_a * hours


def energy_wh(*, charge_ah: float, mean_v: float) -> float:
    """Watt-hours of a charge at its mean voltage. [Wh]"""
    return charge_ah * mean_v


def current_from_power_a(*, power_w: float, volts: float) -> float:
    """Current of a load that takes constant power. [A]"""
    if not volts > 0.0:
        raise ValueError(f"Supply of {volts} V is not above 0; give the battery's volts.")
    return power_w / volts


def strip_draw(*, length_m: float, power_w_per_m: float, supply_v: float = 12.0) -> DcDraw:
    """A light strip from its watts per metre at its rated volts; brighter and hungrier while charging."""
    power_w = length_m * power_w_per_m
    return DcDraw(power_w, current_from_power_a(power_w=power_w, volts=supply_v))


def inverter_dc_draw(*, ac_power_w: float, battery_v: float, efficiency: float = INVERTER_EFFICIENCY) -> DcDraw:
    """What an inverter draws from the bank at one efficiency.

    Parameters
        ac_power_w: load on its outlet. [W]
        battery_v: volts under that load: lower volts, more current. [V]
        efficiency: above 0, up to 1.
    Raises
        ValueError: an efficiency or voltage that cannot be.
    """
    if not 0.0 < efficiency <= 1.0:
        raise ValueError(f"Efficiency {efficiency} is outside 0-1; give 85 % as 0.85.")
    power_w = ac_power_w / efficiency
    return DcDraw(power_w, current_from_power_a(power_w=power_w, volts=battery_v))


def inverter_small_load(
    *, ac_power_w: float, idle_w: float, proportional_efficiency: float = INVERTER_PROPORTIONAL
) -> SmallLoad:
    """An inverter with its idle told apart: a small load wastes most of what it takes."""
    if not 0.0 < proportional_efficiency <= 1.0:
        raise ValueError(f"Efficiency {proportional_efficiency} is outside 0-1; give 92 % as 0.92.")
    dc_w = idle_w + ac_power_w / proportional_efficiency
    return SmallLoad(dc_w, ac_power_w / dc_w if dc_w > 0.0 else 0.0)
