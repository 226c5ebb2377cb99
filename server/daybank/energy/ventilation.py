"""Air for a battery compartment.

Care: charging can release hydrogen, which burns from about 4 % in air; keep it below 1 %, keep flames
and sparks away, and follow local codes, which may ask for more than this formula.
"""

from collections import namedtuple

Vent = namedtuple("Vent", ("air_m3_per_h", "opening_cm2"))


def hydrogen_vent(*, cells: int, capacity_ah: float, gassing_ma_per_ah: float) -> Vent:
    """Air flow and free opening, each low and high, for natural ventilation.

    Parameters
        cells: six in a 12 V lead-acid battery.
        capacity_ah: of the whole bank. [Ah]
        gassing_ma_per_ah: 1 on float and 8 on boost for sealed, 5 and 20 for flooded (from memory). [mA/Ah]
    Source
        EN 50272-2 / IEC 62485-2: Q = 0.05 n I C/1000, A = 28 Q, from memory.
    """
    if cells < 1 or capacity_ah < 0.0 or gassing_ma_per_ah < 0.0:
        raise ValueError(f"{cells} cells of {capacity_ah} Ah at {gassing_ma_per_ah} mA/Ah cannot be; use 0 or more.")
    air = 0.05 * cells * gassing_ma_per_ah * capacity_ah / 1000.0
    return Vent(air, 28.0 * air)
