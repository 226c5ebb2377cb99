"""What a typed voltage can mean, whatever it was called.

Knows which voltages a bank cannot hold by itself: above them a charger is at work and the reading
tells its phase, not the charge. Leaves the weighing to estimate.py and rest to rested.py.
"""

from collections import namedtuple

from daybank.energy import bank, constants

Meaning = namedtuple("Meaning", ("taken_as", "phase", "why"))

STATES = ("rested", "loaded", "charging", "full", "unknown")
SHORT_REST_H = 0.5  # h after charging, below which the volts are still the charger's; manuals ask 8 h, better 24


def charging_phase(*, volts: float, chemistry: str, nominal_v: float = 12.0, temp_c: float = 25.0) -> str:
    """Phase of a charger from the volts it holds: absorption, float or low.

    absorption: absorption or the end of bulk. float: float or early bulk from a weak source. low: the
    current is small against the loads, or the battery is low. Lead-acid thresholds move with temperature
    as the charger's set-points do. Source: constants.ABSORPTION_FROM_V, FLOAT_FROM_V.
    """
    v12 = volts * constants.NOMINAL_12_V / nominal_v
    moved = bank.absorption_v(chemistry, temp_c) - bank.absorption_v(chemistry)
    if v12 >= constants.ABSORPTION_FROM_V + moved:
        return "absorption"
    if v12 >= constants.FLOAT_FROM_V + moved:
        return "float"
    return "low"


def reading_meaning(
    *, chemistry: str, volts: float, state: str = "unknown", nominal_v: float = 12.0, temp_c: float = 25.0,
    rested_h=None, after_charge: bool = False,
) -> Meaning:  # fmt: skip
    """How to take a reading: the stated state, unless the volts contradict it.

    Parameters
        volts: at the posts, drop of the gauge's wire already put back. [V]
        state: rested, loaded, charging, full or unknown, as the person or the app said.
        nominal_v: 12 or 24. [V]
        temp_c: battery temperature. [C]
        rested_h: hours since the charge stopped, if known. [h]
        after_charge: whether it was a charge that stopped.
    Returns
        Meaning(taken_as, phase, why): taken_as is one of the states; phase is absorption, float, low or
        None; why is "stated", "above_rest" (no bank at rest stands so high) or "surface_charge".
    Raises
        ValueError: an unknown state or chemistry.
    Notes
        The volts on charge are the charger's: switch it off, wait overnight, then read. A reading called
        charging stays charging however low it is: it proves that the wiring works.
    Source
        constants.RESTED_CEILING_V; common practice, no source.
    """
    if state not in STATES:
        raise ValueError(f"State {state!r} is not known; use one of {', '.join(STATES)}.")
    ceiling_v = bank.known(chemistry, constants.RESTED_CEILING_V) + max(0.0, bank.ocv_shift_v(temp_c, chemistry))
    v12 = volts * constants.NOMINAL_12_V / nominal_v
    phase = charging_phase(volts=volts, chemistry=chemistry, nominal_v=nominal_v, temp_c=temp_c)
    if state == "full":
        return Meaning("full", phase if v12 > ceiling_v else None, "stated")
    if state == "charging":
        return Meaning("charging", phase, "stated")
    if v12 > ceiling_v:
        return Meaning("charging", phase, "above_rest")
    if state == "rested" and after_charge and rested_h is not None and rested_h < SHORT_REST_H:
        return Meaning("charging", phase, "surface_charge")
    return Meaning(state, None, "stated")
