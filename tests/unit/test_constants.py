"""The constants against one another, and that each says where it is from."""

import re
from pathlib import Path

import pytest

from daybank.energy import constants, wells

PER_CHEMISTRY = [
    "CURVES", "CURVE_C", "CURVE_SD_SOC", "RESISTANCE_100AH", "KINETIC", "PEUKERT", "SELF_DISCHARGE_PER_MONTH_20C",
    "CHARGE_LIMIT_PER_H", "ACCEPTANCE_PER_H", "ABSORPTION_V", "FLOAT_V", "CHARGE_STAGES", "RESTED_CEILING_V",
]  # fmt: skip


@pytest.mark.parametrize("name", PER_CHEMISTRY)
def test_every_chemistry_has_its_entry(name):
    assert set(getattr(constants, name)) == set(constants.CHEMISTRIES)


def test_a_full_bank_at_rest_stands_below_its_ceiling_and_the_ceiling_below_absorption():
    for chemistry in constants.CHEMISTRIES:
        assert constants.CURVES[chemistry][-1][1] < constants.RESTED_CEILING_V[chemistry]
        assert constants.RESTED_CEILING_V[chemistry] < constants.ABSORPTION_V[chemistry]


def test_the_default_wells_give_the_typical_capacities_they_were_fitted_to():
    c, k = constants.KINETIC["agm"]
    at_20 = wells.deliverable_fraction(20.0, c, k)
    ratios = [wells.deliverable_fraction(hours, c, k) / at_20 for hours in (10.0, 5.0, 1.0)]
    assert ratios == pytest.approx([0.93, 0.85, 0.60], abs=0.015)


def test_efficiency_stages_end_at_full_and_fall():
    for stages in list(constants.CHARGE_STAGES.values()) + [constants.ANTIMONY_TEST_STAGES]:
        assert stages[-1][0] == 1.0
        shares = [share for _, share in stages]
        assert shares == sorted(shares, reverse=True) and 0.0 < shares[-1] <= shares[0] <= 1.0


def test_every_constant_has_words_beside_or_above_it():
    lines = Path(constants.__file__).read_text(encoding="utf-8").split("\n")
    bare = [
        line.split(" ")[0]
        for before, line in zip(lines, lines[1:], strict=False)
        if re.match(r"[A-Z][A-Z0-9_]+ = ", line) and "#" not in line and not before.startswith("#")
    ]
    # Tables whose rows carry their own comments, or that only gather what is commented above.
    assert set(bare) <= {"CURVES", "KINETIC", "RESISTANCE_100AH", "CHARGE_STAGES", "CHEMISTRIES"}
