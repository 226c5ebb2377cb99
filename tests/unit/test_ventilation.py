"""Air for a battery compartment."""

import pytest

from daybank.energy import ventilation


def test_air_grows_with_the_bank_and_with_gassing():
    one = ventilation.hydrogen_vent(cells=6, capacity_ah=100, gassing_ma_per_ah=8)
    two = ventilation.hydrogen_vent(cells=6, capacity_ah=200, gassing_ma_per_ah=8)
    assert one.air_m3_per_h == pytest.approx(0.24)
    assert one.opening_cm2 == pytest.approx(6.72)
    assert two.air_m3_per_h == pytest.approx(2 * one.air_m3_per_h)


def test_no_cells_are_refused():
    with pytest.raises(ValueError, match="0 cells of 100 Ah at 8 mA/Ah cannot be"):
        ventilation.hydrogen_vent(cells=0, capacity_ah=100, gassing_ma_per_ah=8)
