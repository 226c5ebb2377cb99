"""Laws of wire, fuses and feeds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daybank.energy import feeds, fuses, wire_tables, wiring

areas_mm2 = st.floats(0.2, 200.0)
currents_a = st.floats(0.0, 200.0)
metres = st.floats(0.0, 50.0)
mohms = st.floats(0.0, 50.0)
gauges = st.sampled_from(wire_tables.AWG_SIZES)
insulations_c = st.sampled_from(wire_tables.INSULATION_C)


@given(mohms, metres)
def test_no_current_no_drop(mohm_per_m, wire_m):
    drop = wiring.voltage_drop(current_a=0.0, mohm_per_m=mohm_per_m, wire_m=wire_m)
    assert drop.drop_v == 0.0 and drop.loss_w == 0.0


@given(currents_a, mohms, metres)
def test_drop_is_proportional_to_current_and_to_length(current_a, mohm_per_m, wire_m):
    one = wiring.voltage_drop(current_a=current_a, mohm_per_m=mohm_per_m, wire_m=wire_m)
    twice_current = wiring.voltage_drop(current_a=2 * current_a, mohm_per_m=mohm_per_m, wire_m=wire_m)
    twice_length = wiring.voltage_drop(current_a=current_a, mohm_per_m=mohm_per_m, wire_m=2 * wire_m)
    assert twice_current.drop_v == pytest.approx(2 * one.drop_v)
    assert twice_length.drop_v == pytest.approx(2 * one.drop_v)
    assert twice_current.loss_w == pytest.approx(4 * one.loss_w)


@given(areas_mm2, areas_mm2)
def test_more_copper_never_resists_more(a, b):
    thin, thick = sorted((a, b))
    assert wiring.copper_mohm_per_m(thick) <= wiring.copper_mohm_per_m(thin)
    assert wiring.class5_mohm_per_m(thick) <= wiring.class5_mohm_per_m(thin) * (1 + 1e-12)


@given(areas_mm2, st.floats(-40, 90), st.floats(-40, 90))
def test_hotter_copper_never_resists_less(area_mm2, a, b):
    cold, hot = sorted((a, b))
    assert wiring.copper_mohm_per_m(area_mm2, cold) <= wiring.copper_mohm_per_m(area_mm2, hot)


@given(st.integers(-2, 40))
def test_six_gauges_thinner_is_half_the_diameter_within_a_percent(number):
    name = str(number) if number > 0 else f"{1 - number}/0"
    thinner = number + 6
    if thinner <= 40:
        other = str(thinner) if thinner > 0 else f"{1 - thinner}/0"
        assert wiring.awg_diameter_mm(name) / wiring.awg_diameter_mm(other) == pytest.approx(2.005, rel=0.001)


@given(st.floats(8, 32), st.floats(-60, 60), st.floats(0, 0.5))
def test_a_gauge_and_its_correction_are_inverse(battery_v, shared_a, shared_ohm):
    shown = wiring.gauge_v(battery_v=battery_v, shared_a=shared_a, shared_ohm=shared_ohm)
    assert wiring.battery_v_from_gauge(gauge_v=shown, shared_a=shared_a, shared_ohm=shared_ohm) == pytest.approx(
        battery_v
    )


@given(st.floats(1, 100), st.floats(1, 100), st.floats(0.1, 2.0))
def test_the_smallest_gauge_for_a_drop_keeps_it_by_the_same_rule_and_the_next_thinner_does_not(amps, feet, drop_v):
    mils = wiring.circular_mils_for_drop(current_a=amps, round_trip_ft=feet, allowed_drop_v=drop_v)
    for found, copper in (
        (wiring.smallest_awg(mils), wiring.awg_circular_mils),
        (wiring.smallest_sae(mils), lambda gauge: wire_tables.SAE_CIRCULAR_MILS[gauge]),
    ):
        sizes = list(wire_tables.AWG_SIZES)
        if found is None:
            assert copper(sizes[-1]) < mils
            continue
        assert copper(found) >= mils
        if found != sizes[0]:
            assert copper(sizes[sizes.index(found) - 1]) < mils


@given(gauges, insulations_c, st.floats(-20, 130), st.integers(1, 24))
def test_heat_and_company_never_raise_what_a_wire_may_carry(awg, insulation_c, ambient_c, bundled):
    alone = fuses.ampacity_a(awg=awg, insulation_c=insulation_c)
    here = fuses.ampacity_a(awg=awg, insulation_c=insulation_c, ambient_c=ambient_c, bundled=bundled)
    assert 0.0 <= here <= alone


@given(insulations_c, st.floats(-20, 130), st.floats(-20, 130))
def test_warmer_air_never_allows_more(insulation_c, a, b):
    cool, warm = sorted((a, b))
    assert fuses.ambient_factor(insulation_c, warm) <= fuses.ambient_factor(insulation_c, cool) + 1e-12


@given(currents_a, st.floats(0.5, 300), st.none() | st.floats(1, 50))
def test_a_fuse_always_carries_its_load_and_never_exceeds_its_wire(continuous_a, conductor_a, weakest_a):
    choice = fuses.fuse_for_circuit(
        continuous_a=continuous_a, conductor_ampacity_a=conductor_a, weakest_part_a=weakest_a
    )
    assert choice.possible is (choice.fuse_a is not None)
    if choice.possible:
        assert 1.25 * continuous_a <= choice.fuse_a <= conductor_a
        assert weakest_a is None or choice.fuse_a <= weakest_a
    else:
        limit = conductor_a if weakest_a is None else min(conductor_a, weakest_a)
        assert not any(1.25 * continuous_a <= rating <= limit for rating in wire_tables.BLADE_RATINGS_A)


@given(st.sampled_from(feeds.FEEDS), st.sampled_from(feeds.POSITION_FEEDS), st.booleans())
def test_what_is_dead_drains_nothing_and_the_post_is_never_dead(feed, selector_feeds, on):
    live = feeds.is_live(feed, selector_feeds, on)
    assert feeds.drains_bank(feed, selector_feeds, on) is live
    if feed == "bank":
        assert live is True


@given(
    st.lists(st.tuples(st.floats(0, 1e6), st.sampled_from(["off", "on"])), max_size=8), st.floats(-1, 2e6), st.randoms()
)
def test_the_order_in_which_positions_were_written_changes_nothing(moves, t_s, order):
    selector = {"positions": [{"name": "off", "feeds": "nothing"}, {"name": "on", "feeds": "bank"}]}
    records = [{"id": str(i), "at": at, "position": name} for i, (at, name) in enumerate(moves)]
    mixed = list(records)
    order.shuffle(mixed)
    spans = [feeds.position_spans({"selector": selector, "positions": some}) for some in (records, mixed)]
    assert feeds.feeds_at(spans[0], t_s) == feeds.feeds_at(spans[1], t_s)
