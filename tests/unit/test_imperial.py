"""Inch and pound units, against a general units library."""

import pint
import pytest

from daybank.energy import imperial

UNITS = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("ours", "given", "wanted"),
    [
        (imperial.torque_nm, "lbf * inch", "N * m"),
        (imperial.torque_lb_in, "N * m", "lbf * inch"),
        (imperial.force_n, "lbf", "N"),
        (imperial.area_mm2, "inch ** 2", "mm ** 2"),
        (imperial.mohm_per_m, "ohm / foot", "milliohm / m"),
        (imperial.length_m, "foot", "m"),
        (imperial.length_ft, "m", "foot"),
    ],
)
def test_every_conversion_agrees_with_a_units_library(ours, given, wanted):
    assert ours(3.7) == pytest.approx((3.7 * UNITS(given)).to(wanted).magnitude, rel=1e-12)


def test_water_freezes_and_boils_at_the_same_heat_on_both_scales():
    assert [imperial.temp_c(f) for f in (32.0, 212.0, -40.0)] == pytest.approx([0.0, 100.0, -40.0])
    assert [imperial.temp_f(c) for c in (0.0, 100.0, -40.0)] == pytest.approx([32.0, 212.0, -40.0])
