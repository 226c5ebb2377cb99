"""gauge.py: what each member would read on the voltmeter, and how far such a reading can be trusted."""

import pytest

from daybank.energy import bank, estimate, gauge, member, wiring
from properties.rigs import asked, camp, ensemble, reading, second

CALM = camp(sources=[], readings=[], skies=[])


def members(laid, n=12):
    """Members that differ in everything but the meter's own error."""
    e = ensemble(laid, n=n)
    e.z[member.GAUGE] = [0.0] * n
    e.z[member.GAUGE_2] = [0.0] * n
    estimate.refresh(e)
    return e


def expected(row, *, day=12, hour=2, export=CALM, e=None, laid=None):
    laid = laid or asked(export)
    e = e or members(laid)
    k = int((second(day, hour) - laid.course.grid[0]) / 3600)
    return e, gauge.expected(e, laid.course, laid.question, row, k)


# ---- which state it is taken for

@pytest.mark.parametrize(("state", "volts", "taken"), [
    ("rested", 12.6, "rested"), ("rested", 13.9, "charging"), ("loaded", 12.1, "loaded"), ("loaded", 13.9, "charging"),
    ("charging", 12.6, "charging"), ("unknown", 12.6, "unknown"), ("unknown", 13.9, "charging"),
    (None, 12.6, "unknown")])
def test_the_persons_word_stands_unless_the_volts_contradict_it(state, volts, taken):
    assert gauge.taken_as({"volts": volts, "state": state}, "agm", 12.0) == taken


def test_a_lithium_bank_may_rest_where_a_lead_bank_must_be_charging():
    row = {"volts": 13.35, "state": "unknown"}
    assert (gauge.taken_as(row, "agm", 12.0), gauge.taken_as(row, "lifepo4", 12.0)) == ("charging", "unknown")


def test_twice_the_volts_are_judged_on_twice_the_scale():
    assert gauge.taken_as({"volts": 25.2, "state": "unknown"}, "agm", 24.0) == "unknown"
    assert gauge.taken_as({"volts": 27.6, "state": "unknown"}, "agm", 24.0) == "charging"


# ---- the gauge's wire

def test_the_wire_of_a_gauge_is_out_and_back():
    one = gauge.wire_ohm({"wire_m": 3, "wire_mm2": 2.5})
    assert one == pytest.approx(wiring.wire_loop_ohm(wire_m=3, wire_mm2=2.5, temp_c=gauge.WIRE_C))
    assert gauge.wire_ohm({"wire_m": 6, "wire_mm2": 2.5}) == pytest.approx(2 * one)
    assert gauge.wire_ohm({"wire_m": 3, "wire_awg": 14}) > one


@pytest.mark.parametrize("row", [None, {}, {"wire_m": 3}, {"wire_mm2": 2.5}])
def test_a_wire_that_is_not_stated_counts_for_nothing(row):
    assert gauge.wire_ohm(row) == 0.0


def test_a_gauge_at_the_posts_shares_its_wire_with_nothing():
    assert gauge.shared_circuits(camp(), camp()["gauges"][1]) == []
    assert gauge.shared_circuits(camp(), None) == []


def test_a_gauge_in_the_panel_shares_with_what_is_stated_or_else_with_the_fuse_block():
    stated = {"at": "panel", "shared_circuits": ["pump"]}
    assert gauge.shared_circuits(camp(), stated) == ["pump"]
    assert gauge.shared_circuits(camp(), {"at": "panel"}) == ["lights", "fan", "pump"]


def test_a_gauge_in_the_panel_reads_lower_by_the_shared_current_in_wire_and_connection():
    laid = asked(CALM)
    e = members(laid)
    on = {"on": ["lights"], "off": ["fridge", "fan", "pump"]}
    _, posts = expected(reading(12, 2, 12.4, "loaded", **on), e=e, laid=laid)
    _, panel = expected(reading(12, 2, 12.4, "loaded", **on) | {"gauge_id": "dial"}, e=e, laid=laid)
    ohm = gauge.wire_ohm(camp()["gauges"][0])
    for t, at_posts, at_panel in zip(e.traits, posts.volts, panel.volts):
        assert at_posts - at_panel == pytest.approx(2.0 * t.draw * (ohm + t.connection_ohm), rel=1e-9)


def test_a_fridge_on_its_own_wire_costs_the_panel_gauge_only_the_banks_sag():
    laid = asked(CALM)
    e = members(laid)
    on = {"on": ["fridge"], "off": ["lights", "fan", "pump"]}
    _, posts = expected(reading(12, 2, 12.4, "loaded", **on), e=e, laid=laid)
    _, panel = expected(reading(12, 2, 12.4, "loaded", **on) | {"gauge_id": "dial"}, e=e, laid=laid)
    assert panel.volts == pytest.approx(posts.volts, abs=1e-12)


# ---- rest and load

def test_a_long_rest_shows_the_open_circuit_volts_less_the_standing_draws():
    e, x = expected(reading(12, 2, 12.5, rested_h=1000, bank_c=25))
    for i, t in enumerate(e.traits):
        rest_v = member.open_circuit_v(e.rig, t, e.soc[i], 25.0)
        drop_v = (0.1 * t.draw + t.standby_a) * t.resistance_ohm
        assert x.volts[i] == pytest.approx(rest_v - drop_v, abs=1e-9)


def test_rest_lets_surface_charge_fade():
    laid = asked(CALM)
    e = members(laid)
    e.surface = [0.8] * e.n
    volts = [sum(expected(reading(12, 2, 12.6, rested_h=h), e=e, laid=laid)[1].volts) for h in (0.25, 3, 24)]
    assert volts[0] > volts[1] > volts[2]


def test_rest_brings_back_what_a_hard_pull_left_behind():
    laid = asked(CALM)
    e = members(laid)
    e.soc, e.head = [0.6] * e.n, [-10.0] * e.n
    volts = [sum(expected(reading(12, 2, 12.2, rested_h=h), e=e, laid=laid)[1].volts) for h in (0.25, 2, 24)]
    assert volts[0] < volts[1] < volts[2]


def test_each_load_that_is_on_pulls_the_volts_down_by_its_current():
    laid = asked(CALM)
    e = members(laid)
    every = ["fridge", "lights", "fan", "pump"]
    _, idle = expected(reading(12, 2, 12.4, "loaded", on=[], off=every), e=e, laid=laid)
    for name, amps in (("fridge", 3.5), ("pump", 5.0)):
        _, x = expected(reading(12, 2, 12.4, "loaded", on=[name]), e=e, laid=laid)
        heat = bank.resistance_factor(laid.course.bank_c[30], 1.0)
        for i, t in enumerate(e.traits):
            assert idle.volts[i] - x.volts[i] == pytest.approx(amps * t.draw * t.resistance_ohm * heat, rel=1e-6)


def test_amps_read_off_a_meter_stand_before_what_the_labels_say():
    laid = asked(CALM)
    e = members(laid)
    rows = [reading(12, 2, 12.4, "loaded", amps=6.0, on=on) for on in (["pump"], ["fridge", "lights"])]
    one, other = (expected(row, e=e, laid=laid)[1].volts for row in rows)
    assert one == pytest.approx(other, abs=1e-12)


def test_charging_amps_raise_the_volts():
    laid = asked(CALM)
    e = members(laid)
    charging, drawing = (expected(reading(12, 2, 12.6, "loaded", amps=a), e=e, laid=laid)[1].volts for a in (-5.0, 5.0))
    assert all(a > b for a, b in zip(charging, drawing))


def test_a_cold_bank_reads_lower():
    laid = asked(CALM)
    e = members(laid)
    cold, warm = (expected(reading(12, 2, 12.4, bank_c=c), e=e, laid=laid)[1].volts for c in (0, 30))
    assert all(a < b for a, b in zip(cold, warm))


def test_a_fuller_member_expects_more_volts():
    laid = asked(CALM)
    e = members(laid)
    for state in ("rested", "loaded", "unknown"):
        means = []
        for soc in (0.3, 0.5, 0.7, 0.9):
            e.soc = [soc] * e.n
            means.append(sum(expected(reading(12, 2, 12.3, state), e=e, laid=laid)[1].volts))
        assert means == sorted(means) and means[0] < means[-1]


def test_a_gauge_that_reads_high_is_expected_to_read_high():
    laid = asked(CALM)
    e = members(laid)
    _, honest = expected(reading(12, 2, 12.4), e=e, laid=laid)
    e.z[member.GAUGE_2] = [1.0] * e.n
    estimate.refresh(e)
    _, high = expected(reading(12, 2, 12.4), e=e, laid=laid)
    assert [b - a for a, b in zip(honest.volts, high.volts)] == pytest.approx([member.GAUGE_SD_V] * e.n)


def test_the_two_gauges_have_errors_of_their_own():
    laid = asked(CALM)
    e = members(laid)
    e.z[member.GAUGE] = [2.0] * e.n
    estimate.refresh(e)
    dial, hand = (expected(reading(12, 2, 12.4) | {"gauge_id": g}, e=e, laid=laid)[1].volts for g in ("dial", "hand"))
    assert all(a > b + member.GAUGE_SD_V for a, b in zip(dial, hand))


# ---- charging

def test_a_charging_member_stays_below_absorption_and_its_spread():
    laid = asked(camp())
    e = members(laid)
    e.soc, e.surface, e.sun = [0.99] * e.n, [1.0] * e.n, [50.0] * e.n
    _, x = expected(reading(12, 12, 14.4, "charging", bank_c=25), hour=12, e=e, laid=laid)
    assert max(x.volts) <= bank.absorption_v("agm", temp_c=25) + gauge.ABSORPTION_SPREAD_V + 1e-9


def test_a_charging_reading_says_less_than_a_rested_one():
    laid = asked(CALM)
    e = members(laid)
    _, rested = expected(reading(12, 4, 12.6, rested_h=4), hour=4, e=e, laid=laid)
    _, charging = expected(reading(12, 4, 13.4, "charging"), hour=4, e=e, laid=laid)
    assert charging.sd_v > 2 * rested.sd_v


# ---- trust

def sd_v(row, export=CALM, hour=2):
    return expected(row, export=export, hour=hour)[1].sd_v


def test_a_coarse_gauge_is_trusted_less():
    coarse = camp(**{**CALM, "gauges": [{**row, "resolution_v": 0.5} for row in CALM["gauges"]]})
    assert sd_v(reading(12, 2, 12.4), coarse) > sd_v(reading(12, 2, 12.4)) + 0.05


def test_not_knowing_what_is_on_costs_trust():
    known = sd_v(reading(12, 9, 12.4, "loaded", on=["fridge"]), hour=9)
    assert sd_v(reading(12, 9, 12.4, "loaded"), hour=9) > known


def test_soon_after_sun_a_rested_reading_is_trusted_less():
    after_sun, late = (expected(reading(12, hour, 12.7), export=camp(), hour=hour)[1] for hour in (21, 4))
    assert after_sun.sd_v > late.sd_v


def test_every_state_leaves_room_for_a_wrong_label_and_unknown_most():
    shares = {state: expected(reading(12, 2, 12.4, state))[1].gross_share for state in ("rested", "loaded", "unknown")}
    assert 0.0 < min(shares.values()) and shares["unknown"] == max(shares.values()) < 0.5
