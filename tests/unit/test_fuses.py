"""Allowed currents and fuses: the wire decides, never the load alone."""

import pytest

from daybank.energy import fuses, wire_tables


def test_unmarked_insulation_is_taken_as_the_weakest():
    assert fuses.ampacity_a(awg="14") == 20


def test_cool_air_gives_no_more_than_the_table():
    assert fuses.ampacity_a(awg="10", insulation_c=105, ambient_c=5) == 60


@pytest.mark.parametrize("insulation_c", wire_tables.INSULATION_C)
def test_warmer_air_always_means_less_current_without_a_jump(insulation_c):
    factors = [fuses.ambient_factor(insulation_c, c) for c in range(30, insulation_c + 2)]
    steps = [a - b for a, b in zip(factors, factors[1:], strict=False)]
    assert factors[0] == 1.0 and factors[-1] == 0.0
    assert all(step >= 0.0 for step in steps)
    near_50 = [fuses.ambient_factor(insulation_c, c) for c in (49.999, 50.001)]
    assert near_50[0] == pytest.approx(near_50[1], abs=1e-3)


def test_published_shares_at_50_degrees_are_met():
    assert [fuses.ambient_factor(c, 50.0) for c in (60, 75, 105)] == pytest.approx([0.58, 0.75, 0.85])


@pytest.mark.parametrize(("wires", "factor"), [(1, 1.0), (2, 1.0), (3, 0.7), (4, 0.6), (6, 0.6), (7, 0.5), (24, 0.5)])
def test_a_bundle_keeps_the_printed_share(wires, factor):
    assert fuses.bundle_factor(wires) == factor


def test_a_metric_size_between_rows_counts_as_the_thinner_one():
    assert fuses.ampacity_metric_a(area_mm2=3.0) == fuses.ampacity_metric_a(area_mm2=2.5) == 24


def test_metric_wire_in_warm_air_follows_its_own_column_and_ends_at_its_insulation():
    assert fuses.ampacity_metric_a(area_mm2=2.5, ambient_c=40) == pytest.approx(20.5)
    assert fuses.ampacity_metric_a(area_mm2=2.5, ambient_c=50) == 17
    assert 0 < fuses.ampacity_metric_a(area_mm2=2.5, ambient_c=60) < 17
    assert fuses.ampacity_metric_a(area_mm2=2.5, ambient_c=70) == 0
    assert fuses.ampacity_metric_a(area_mm2=6, insulation_c=90, ambient_c=50) < 59
    assert fuses.ampacity_metric_a(area_mm2=2.5, bundled=5) == pytest.approx(14.4)


def test_the_smallest_fuse_that_does_both_is_chosen():
    choice = fuses.fuse_for_circuit(continuous_a=7, conductor_ampacity_a=35)
    assert (choice.minimum_a, choice.fuse_a, choice.possible) == (8.75, 10, True)


def test_no_bigger_fuse_is_offered_for_a_wire_that_is_too_thin():
    choice = fuses.fuse_for_circuit(continuous_a=25, conductor_ampacity_a=20)
    assert choice.fuse_a is None and choice.possible is False


def test_a_weak_switch_limits_the_fuse_like_a_thin_wire():
    choice = fuses.fuse_for_circuit(continuous_a=7, conductor_ampacity_a=35, weakest_part_a=8)
    assert choice.fuse_a is None and choice.limit_a == 8


def test_a_rating_equal_to_the_wire_is_allowed():
    assert fuses.fuse_for_circuit(continuous_a=8, conductor_ampacity_a=10).fuse_a == 10


def test_ratings_may_come_in_any_order():
    assert fuses.fuse_for_circuit(continuous_a=7, conductor_ampacity_a=35, ratings_a=(30, 10, 20)).fuse_a == 10


def test_an_inverter_on_too_thin_a_lead_gets_no_fuse():
    choice = fuses.fuse_for_inverter(ac_power_w=1000, efficiency=0.85, battery_v=11.0, conductor_ampacity_a=120)
    assert choice.dc_current_a == pytest.approx(106.95, abs=0.01)
    assert choice.fuse_a is None and choice.possible is False


def test_vehicle_code_is_stricter_than_the_boat_table_in_every_size():
    for awg in wire_tables.RV_CONDUCTOR_MAX_A:
        assert fuses.rv_conductor_max_a(awg) <= fuses.ampacity_a(awg=awg, insulation_c=105)


def test_the_fuse_sits_nearer_on_a_bare_lead():
    assert fuses.fuse_distance_max_m(enclosed=False) < fuses.fuse_distance_max_m(enclosed=True)


def test_a_battery_shorts_with_thousands_of_amperes():
    short = fuses.short_circuit(open_v=12.8, battery_mohm=4, lead_mohm=2)
    assert short.current_a == pytest.approx(2133.3, abs=0.1)
    assert short.interrupt_ok is False
    assert fuses.short_circuit(open_v=12.8, battery_mohm=4, lead_mohm=2, interrupt_rating_a=10000).interrupt_ok is True


def test_a_long_run_needs_thicker_wire_than_its_current_alone():
    short = fuses.awg_for_circuit(current_a=10, wire_m=1, allowed_drop_v=0.36, insulation_c=105)
    long = fuses.awg_for_circuit(current_a=10, wire_m=8, allowed_drop_v=0.36, insulation_c=105)
    assert (short, long) == ("16", "8")
    assert fuses.awg_for_circuit(current_a=10, wire_m=1000, allowed_drop_v=0.36) is None


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: fuses.ampacity_a(awg="13"), "Gauge '13' is not in the table; it has 18"),
        (lambda: fuses.ampacity_a(awg="14", insulation_c=70), "it has 60, 75, 80, 90, 105, 125. Unmarked: take 60"),
        (lambda: fuses.bundle_factor(0), "count the loaded wires, 1 or more"),
        (lambda: fuses.bundle_factor(25), "beyond the table's 24; split it"),
        (lambda: fuses.ampacity_metric_a(area_mm2=2.5, method="Z"), "laid 'Z'; there are 60 C air"),
        (lambda: fuses.ampacity_metric_a(area_mm2=0.5), "thinner than the table's 1.5 mm2; use a thicker wire"),
        (lambda: fuses.fuse_for_circuit(continuous_a=-1, conductor_ampacity_a=20), "give amperes above 0"),
        (lambda: fuses.small_conductor_max_a("18"), "is not in this rule; it has 10, 12, 14"),
        (lambda: fuses.short_circuit(open_v=12, battery_mohm=0, lead_mohm=0), "give their resistances, above 0"),
        (
            lambda: fuses.fuse_for_inverter(ac_power_w=1, efficiency=0, battery_v=12, conductor_ampacity_a=9),
            "give 85 % as 0.85",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
