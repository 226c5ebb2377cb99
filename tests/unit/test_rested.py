"""A rested reading: bias left from charge or load, and the charge behind the volts."""

import pytest

from daybank.energy import bank, rested


def test_surface_charge_reads_high_and_fades():
    biases = [rested.rest_bias_v(rested_h=h, after="absorption").bias_v for h in (0.0, 3.0, 24.0)]
    assert biases[0] == pytest.approx(0.5)
    assert biases[1] == pytest.approx(0.5 / 2.718281828, rel=1e-6)
    assert 0.0 < biases[2] < 0.001


def test_after_a_load_the_posts_stand_low_but_never_lower_than_under_it():
    for last_a in (0.0, 1.0, 5.0, 40.0):
        bias = rested.rest_bias_v(rested_h=0.0, after="discharge", last_a=last_a).bias_v
        assert -last_a * bank.resistance_ohm("agm", 100) - 1e-12 <= bias <= 0.0


def test_after_a_load_of_unknown_size_a_small_bias_is_assumed():
    assert rested.rest_bias_v(rested_h=0.0, after="discharge").bias_v == pytest.approx(-0.03)


def test_no_bias_without_charge_or_load():
    assert rested.rest_bias_v(rested_h=0.0, after="nothing") == (0.0, 0.0)


def test_a_24_volt_bank_has_twice_the_bias():
    single = rested.rest_bias_v(rested_h=1.0, after="float")
    double = rested.rest_bias_v(rested_h=1.0, after="float", nominal_v=24.0)
    assert double.bias_v == pytest.approx(2 * single.bias_v)
    assert double.sd_v == pytest.approx(2 * single.sd_v)


def test_a_long_rested_reading_in_the_middle_reads_as_the_curve_says():
    found = rested.soc_from_rested_voltage(volts=12.40, chemistry="agm")
    assert found.soc == pytest.approx(bank.soc_at_rest(12.40, "agm"), abs=0.01)
    assert found.low_soc < found.soc < found.high_soc


def test_ninety_percent_of_the_belief_lies_between_the_two_ends():
    found = rested.soc_from_rested_voltage(volts=12.40, chemistry="agm")
    assert found.high_soc - found.low_soc == pytest.approx(2 * 1.645 * found.sd_soc, rel=0.05)


def test_a_short_rest_after_charge_leaves_more_doubt_than_a_night():
    short = rested.soc_from_rested_voltage(volts=12.9, chemistry="agm", rested_h=1.0)
    night = rested.soc_from_rested_voltage(volts=12.6, chemistry="agm", rested_h=12.0)
    assert short.sd_v > 2 * night.sd_v
    assert short.high_soc - short.low_soc > night.high_soc - night.low_soc


def test_a_plateau_reading_of_lithium_says_next_to_nothing():
    found = rested.soc_from_rested_voltage(volts=13.25, chemistry="lifepo4")
    assert found.high_soc - found.low_soc > 0.4


def test_a_reading_off_the_curve_is_read_as_its_end_without_failing():
    assert rested.soc_from_rested_voltage(volts=9.0, chemistry="agm").soc < 0.02
    assert rested.soc_from_rested_voltage(volts=20.0, chemistry="agm").soc > 0.98


def test_a_coarse_gauge_widens_the_interval():
    fine = rested.soc_from_rested_voltage(volts=12.4, chemistry="flooded", resolution_v=0.01)
    coarse = rested.soc_from_rested_voltage(volts=12.4, chemistry="flooded", resolution_v=0.5)
    assert coarse.sd_soc > fine.sd_soc


def test_stronger_acid_has_more_volts():
    cells = [rested.cell_v_from_acid(acid) for acid in (1000, 3000, 5000)]
    assert cells == sorted(cells)
    assert cells[2] == pytest.approx(2.13124, abs=1e-5)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: rested.rest_bias_v(rested_h=-1.0, after="float"), "Rest of -1.0 h is negative"),
        (lambda: rested.rest_bias_v(rested_h=1.0, after="lunch"), "use absorption, float, discharge or nothing"),
        (lambda: rested.cell_v_from_acid(30000), "batteries hold 500 to 6000 mol/m3"),
        (lambda: rested.cell_v_from_specific_gravity(1265), "read the hydrometer as 1.265, not 1265"),
        (lambda: rested.soc_from_rested_voltage(volts=12.4, chemistry="nickel"), "use one of flooded"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
