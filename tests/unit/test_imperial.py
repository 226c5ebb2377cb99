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
    ],
)
def test_every_conversion_agrees_with_a_units_library(ours, given, wanted):
    assert ours(3.7) == pytest.approx((3.7 * UNITS(given)).to(wanted).magnitude, rel=1e-12)
