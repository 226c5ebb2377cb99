"""The tables of wire against one another and against physics: a slip of a digit shows."""

import pytest

from daybank.energy import wire_tables, wiring


def test_every_gauge_table_has_every_size():
    for table in (wire_tables.SAE_CIRCULAR_MILS, wire_tables.TABLE8_OHM_PER_KFT_75C, wire_tables.CFR_AMPACITY_A):
        assert set(table) == set(wire_tables.AWG_SIZES)


@pytest.mark.parametrize("awg", wire_tables.AWG_SIZES)
def test_stranded_resistance_at_75_degrees_is_copper_of_that_gauge_and_a_little_more(awg):
    table = wiring.ohm_per_km_from_kft(wiring.table8_ohm_per_kft(awg))
    solid = wiring.copper_mohm_per_m(wiring.awg_area_mm2(awg), 75.0)
    assert 1.0 < table / solid < 1.045


@pytest.mark.parametrize("row", wire_tables.CLASS5_MAX_MOHM_PER_M, ids=lambda row: f"{row[0]} mm2")
def test_flexible_cable_may_resist_more_than_solid_copper_and_tinned_more_than_plain(row):
    area, plain, tinned = row
    assert 1.0 < plain / wiring.copper_mohm_per_m(area) < 1.17
    assert 1.0 < tinned / plain < 1.035


def test_thicker_wire_and_hotter_insulation_never_carry_less():
    rows = [wire_tables.CFR_AMPACITY_A[awg] for awg in wire_tables.AWG_SIZES]
    for row in rows:
        assert list(row) == sorted(row) and len(row) == len(wire_tables.INSULATION_C)
    for thin, thick in zip(rows, rows[1:], strict=False):
        assert all(a < b for a, b in zip(thin, thick, strict=True))


def test_metric_rows_grow_with_area_and_shrink_with_heat():
    for rows in wire_tables.METRIC_AMPACITY_A.values():
        assert [row[0] for row in rows] == sorted(row[0] for row in rows)
        assert [row[1] for row in rows] == sorted(row[1] for row in rows)
        assert all(row[2] is None or 0.6 < row[2] / row[1] < 0.8 for row in rows)


def test_fuse_ratings_ascend():
    assert list(wire_tables.BLADE_RATINGS_A) == sorted(set(wire_tables.BLADE_RATINGS_A))
