"""What cells and charge controllers make of light.

Knows: cell temperature, panel power, the losses before the controller, and the
battery-side current of MPPT and PWM controllers. Leaves to others: how much light
falls on the panel (plane), the harvest hour by hour (panel), what the bank accepts (bank).
"""

# Heat a panel sheds per degree above the air [W/m2/K]: form of Faiman, Progress in
# Photovoltaics 16 (2008) 307-315, wind term left out; values are classes usual in trade tools
HEAT_LOSS_W_M2_K = {"flush": 15.0, "semi": 20.0, "open": 29.0}

POWER_PER_K = -0.0040  # crystalline silicon, per K above 25 degC; labels say -0.003 to -0.005 (from memory)

# What a good installation still loses before the controller; each a share of power.
# Dobos, PVWatts Version 5 Manual, NREL/TP-6A20-62641 (2014), table 1; its shading,
# mismatch and availability are left out: shade is asked for, and there is one panel.
LOSS_SHARES = {"soiling": 0.02, "wiring": 0.02, "connections": 0.005, "light_induced": 0.015, "nameplate": 0.01}

MPPT_EFFICIENCY = 0.95  # common practice, no source: 0.94-0.98 at middle power
MPPT_EFFICIENCY_FAINT = 0.90  # common practice, no source: near no power
CHARGING_V_PER_12V = 13.2  # usual volts while the sun charges; common practice, no source
PWM_PANEL_VMP_V = 18.0  # a "12 V" panel's best volts at 25 degC; common practice, no source
VMP_PER_K = -0.0045  # our assumption, no source: share of Vmp lost per K above 25 degC
PWM_HEADROOM_V = 0.5  # our assumption, no source: lead and controller, panel above battery


def losses_factor() -> float:
    """What a good installation passes on to the controller, about 0.93. [-] See LOSS_SHARES."""
    kept = 1.0
    for name in sorted(LOSS_SHARES):  # sorted: the phone's interpreter keeps no order, products must agree
        kept *= 1.0 - LOSS_SHARES[name]
    return kept


def usual_mounting(tilt_deg: float) -> str:
    """"semi" for a panel flat on brackets on a roof, "open" for one propped up. Our assumption, no source."""
    return "semi" if tilt_deg <= 10.0 else "open"


def cell_c(*, poa_w_m2: float, air_c: float, mounting: str = "semi") -> float:
    """Temperature of the panel's cells.

    Parameters
        poa_w_m2: sunlight on the panel's plane. [W/m2]
        air_c: air temperature in the shade. [deg C]
        mounting: "flush" (on the roof skin), "semi" (brackets), "open" (free behind).
    Returns
        Cell temperature. [deg C]
    Raises
        ValueError: unknown mounting.
    Source
        Faiman, Progress in Photovoltaics 16 (2008) 307-315, without its wind term.

    >>> cell_c(poa_w_m2=900.0, air_c=30.0, mounting="flush")
    90.0
    """
    if mounting not in HEAT_LOSS_W_M2_K:
        raise ValueError(f"Mounting {mounting!r} is unknown; give one of: flush, open, semi.")
    return air_c + poa_w_m2 / HEAT_LOSS_W_M2_K[mounting]


def power_w(*, panel_w: float, poa_w_m2: float, cell_c: float) -> float:
    """Power a panel offers at its best point, before any loss.

    Parameters
        panel_w: rated power at 1000 W/m2 and 25 degC. [W]
        poa_w_m2: sunlight that enters the glass. [W/m2]
        cell_c: cell temperature. [deg C]
    Returns
        Power, 0 or more. [W]
    Source
        Dobos, PVWatts Version 5 Manual, NREL/TP-6A20-62641 (2014), equation 8.
    """
    return max(panel_w * poa_w_m2 / 1000.0 * (1.0 + POWER_PER_K * (cell_c - 25.0)), 0.0)


def mppt_amps(*, power_w: float, panel_w: float, nominal_v: float) -> float:
    """Battery-side current of a controller that follows the panel's best point. [A]

    Parameters
        power_w: what arrives from the panel. [W]
        panel_w: rated power, which tells faint light from full. [W]
        nominal_v: 12 or 24. [V]
    Notes
        The few milliamps it uses at night belong to the standby draw.
    """
    faint = min(power_w / (0.1 * panel_w), 1.0) if panel_w > 0.0 else 0.0
    efficiency = MPPT_EFFICIENCY_FAINT + (MPPT_EFFICIENCY - MPPT_EFFICIENCY_FAINT) * faint
    return efficiency * power_w / (CHARGING_V_PER_12V * nominal_v / 12.0)


def pwm_amps(*, panel_w: float, poa_w_m2: float, cell_c: float, nominal_v: float) -> float:
    """Battery-side current of a controller that ties the panel to the battery. [A]

    Parameters
        panel_w: rated power of a panel made for this nominal voltage. [W]
        poa_w_m2: sunlight that enters the glass, losses taken off. [W/m2]
        cell_c: cell temperature. [deg C]
        nominal_v: 12 or 24. [V]
    Notes
        The panel gives its current, not its power: what its volts exceed the battery's
        is lost. A very hot panel's best point sinks to the battery's volts; its current
        then falls in proportion (our assumption, no source).
    """
    scale = nominal_v / 12.0
    best_v = PWM_PANEL_VMP_V * scale * (1.0 + VMP_PER_K * (cell_c - 25.0))
    needed_v = CHARGING_V_PER_12V * scale + PWM_HEADROOM_V
    return panel_w / (PWM_PANEL_VMP_V * scale) * poa_w_m2 / 1000.0 * min(max(best_v / needed_v, 0.0), 1.0)
