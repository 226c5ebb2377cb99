"""Wire: thickness, resistance, drop, and what gauges and appliances see."""

import pytest

from daybank.energy import wire_tables, wiring


@pytest.mark.parametrize(("awg", "number"), [("10", 10), (10, 10), ("1/0", 0), ("4/0", -3), (" 2/0 ", -1)])
def test_gauge_names_become_numbers(awg, number):
    assert wiring.awg_number(awg) == number


def test_sae_wire_has_less_copper_than_awg_of_the_same_name():
    for gauge in wire_tables.AWG_SIZES:
        assert 0.85 < wiring.sae_area_mm2(gauge) / wiring.awg_area_mm2(gauge) < 0.98


def test_flexible_cable_meets_its_table_and_lies_between_it_in_between():
    assert wiring.class5_mohm_per_m(2.5) == 7.98
    assert wiring.class5_mohm_per_m(2.5, "tinned") == 8.21
    assert wiring.class5_mohm_per_m(4.0) < wiring.class5_mohm_per_m(3.0) < wiring.class5_mohm_per_m(2.5)
    assert wiring.class5_mohm_per_m(0.25) == pytest.approx(78.0)
    assert wiring.class5_mohm_per_m(190.0) == pytest.approx(0.103)


def test_the_three_published_forms_of_temperature_agree_within_a_percent():
    for temp_c in (0.0, 20.0, 45.0, 75.0):
        iec = wiring.at_temperature_iec(10.0, temp_c)
        alpha = wiring.at_temperature_alpha20(10.0, temp_c)
        faa = 10.0 / wiring.run_length_at_temperature(1.0, temp_c)
        assert alpha == pytest.approx(iec, rel=0.011)
        assert faa == pytest.approx(iec, rel=0.011)


def test_the_75_degree_form_gives_its_own_value_at_75_degrees():
    assert wiring.at_temperature_nec(3.07, 75.0) == 3.07


def test_a_wire_may_be_given_in_square_millimetres_or_by_gauge():
    by_mm2 = wiring.wire_loop_ohm(wire_m=4, wire_mm2=2.5)
    by_awg = wiring.wire_loop_ohm(wire_m=4, wire_awg="14")
    assert by_mm2 == pytest.approx(0.06384)
    assert by_awg == pytest.approx(0.0663, abs=1e-4)
    assert wiring.wire_mohm_per_m(wire_awg="10", sae=True) > wiring.wire_mohm_per_m(wire_awg="10")
    assert wiring.wire_loop_ohm(wire_m=4, wire_mm2=2.5, temp_c=45) > by_mm2


def test_drop_counts_both_conductors():
    drop = wiring.voltage_drop(current_a=10, mohm_per_m=5, wire_m=4)
    assert drop.drop_v == pytest.approx(0.4)
    assert drop.drop_percent == pytest.approx(100 * 0.4 / 12)
    assert drop.loss_w == pytest.approx(4.0)


def test_the_drop_band_holds_its_middle():
    band = wiring.voltage_drop_band(current_a=10, mohm_per_m=5, wire_m=4)
    assert band.middle == pytest.approx(0.4)
    assert band.low < band.middle < band.high


def test_no_wire_is_thick_enough_for_a_drop_of_almost_nothing():
    mils = wiring.circular_mils_for_drop(current_a=100, round_trip_ft=100, allowed_drop_v=0.01)
    assert wiring.smallest_awg(mils) is None
    assert wiring.smallest_sae(mils) is None


def test_a_gauge_behind_a_loaded_wire_reads_low_and_while_charging_high():
    assert wiring.gauge_v(battery_v=12.2, shared_a=6, shared_ohm=0.06) == pytest.approx(11.84)
    assert wiring.gauge_v(battery_v=13.8, shared_a=-6, shared_ohm=0.06) == pytest.approx(14.16)


def test_putting_the_drop_back_gives_the_volts_at_the_posts():
    shown = wiring.gauge_v(battery_v=12.2, shared_a=6, shared_ohm=0.06)
    assert wiring.battery_v_from_gauge(gauge_v=shown, shared_a=6, shared_ohm=0.06) == pytest.approx(12.2)


def test_a_cutoff_at_the_end_of_a_wire_is_met_at_higher_volts_at_the_posts():
    assert wiring.battery_v_at_cutout(cutoff_v=10.4, current_a=6, loop_ohm=0.2) == pytest.approx(11.6)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: wiring.awg_number("thick"), "Gauge 'thick' is not an AWG size; use 18 to 1, or 1/0 to 4/0"),
        (lambda: wiring.awg_diameter_mm("55"), "outside 40 to 4/0; give the wire in mm2"),
        (lambda: wiring.sae_area_mm2("13"), "is not in the table; it has 18, 16"),
        (lambda: wiring.copper_mohm_per_m(0.0), "give its copper area in mm2, above 0"),
        (lambda: wiring.class5_mohm_per_m(-1.0), "give its copper area in mm2, above 0"),
        (lambda: wiring.class5_mohm_per_m(2.5, "gold"), "use plain or tinned"),
        (lambda: wiring.wire_mohm_per_m(), "never mm alone"),
        (lambda: wiring.voltage_drop(current_a=-1, mohm_per_m=5, wire_m=4), "Current -1 A is negative"),
        (lambda: wiring.loop_ohm(mohm_per_m=5, wire_m=-4), "give lengths of 0 or more"),
        (
            lambda: wiring.circular_mils_for_drop(current_a=1, round_trip_ft=1, allowed_drop_v=0),
            "allow more than 0",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
