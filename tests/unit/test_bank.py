"""The bank: rested volts, resistance, self-discharge, charging."""

import pytest

from daybank.energy import bank, constants

CHEMISTRIES = constants.CHEMISTRIES


@pytest.mark.parametrize("chemistry", CHEMISTRIES)
def test_the_curve_climbs_from_empty_to_full(chemistry):
    points = bank.curve(chemistry)
    assert points[0][0] == 0.0 and points[-1][0] == 1.0
    assert all(a[0] < b[0] and a[1] < b[1] for a, b in zip(points, points[1:], strict=False))


def test_half_charge_of_a_sealed_battery_rests_at_its_published_volts():
    assert bank.open_circuit_v(0.5, "agm") == pytest.approx(12.30)


def test_charge_beyond_the_ends_of_the_curve_reads_as_its_ends():
    assert bank.open_circuit_v(-0.2, "agm") == bank.open_circuit_v(0.0, "agm")
    assert bank.open_circuit_v(1.2, "agm") == bank.open_circuit_v(1.0, "agm")


def test_rest_voltage_beyond_the_table_reads_as_empty_or_full():
    assert bank.soc_at_rest(9.0, "agm") == 0.0
    assert bank.soc_at_rest(13.0, "agm") == 1.0


@pytest.mark.parametrize("nominal_v", [12.0, 24.0])
@pytest.mark.parametrize("chemistry", CHEMISTRIES)
def test_volts_lead_back_to_the_charge_they_came_from(chemistry, nominal_v):
    for soc in (0.05, 0.3, 0.5, 0.83, 0.97):
        volts = bank.open_circuit_v(soc, chemistry, 7.0, nominal_v)
        assert bank.soc_at_rest(volts, chemistry, 7.0, nominal_v) == pytest.approx(soc, abs=1e-9)


def test_a_24_volt_bank_has_twice_the_volts_and_twice_the_resistance():
    assert bank.open_circuit_v(0.6, "gel", nominal_v=24.0) == pytest.approx(2 * bank.open_circuit_v(0.6, "gel"))
    assert bank.resistance_ohm("gel", 100, nominal_v=24.0) == pytest.approx(2 * bank.resistance_ohm("gel", 100))


def test_lead_acid_rests_lower_in_the_cold_and_lithium_does_not_care():
    assert bank.ocv_shift_v(25.0, "agm") == 0.0
    assert bank.ocv_shift_v(0.0, "agm") == pytest.approx(-0.05375)
    assert bank.ocv_shift_v(35.0, "agm") == pytest.approx(0.013)
    assert bank.ocv_shift_v(0.0, "lifepo4") == 0.0


def test_the_temperature_shift_has_no_jump_at_freezing_or_at_25_degrees():
    for at in (0.0, 25.0):
        assert bank.ocv_shift_v(at - 1e-6, "agm") == pytest.approx(bank.ocv_shift_v(at + 1e-6, "agm"), abs=1e-7)


def test_the_slope_is_that_of_the_curve_between_its_points():
    assert bank.slope_v_per_soc(0.6, "agm") == pytest.approx((12.60 - 12.30) / 0.25)
    assert bank.slope_v_per_soc(1.5, "agm") == pytest.approx(1.0)
    assert bank.slope_v_per_soc(-1.0, "agm") == pytest.approx(1.2)


def test_curve_doubt_of_lead_acid_is_near_a_tenth_of_a_volt_and_doubles_at_24_volts():
    assert 0.04 < bank.curve_sd_v("agm") < 0.1
    assert bank.curve_sd_v("agm", 24.0) == pytest.approx(2 * bank.curve_sd_v("agm"))
    assert bank.curve_sd_v("lifepo4") == pytest.approx(constants.LIFEPO4_CURVE_SD_V)


def test_two_batteries_in_parallel_have_half_the_resistance():
    assert bank.resistance_ohm("agm", 200) == pytest.approx(0.5 * bank.resistance_ohm("agm", 100))


def test_resistance_grows_in_the_cold_and_when_low():
    warm = bank.resistance_ohm("agm", 100)
    low, rise = constants.RESISTANCE_LOW_SOC_FACTOR, constants.RESISTANCE_RISE_PER_C
    assert warm == pytest.approx(sum(constants.RESISTANCE_100AH["agm"][:2]))
    assert bank.resistance_ohm("agm", 100, temp_c=0.0) == pytest.approx(warm * (1 + 25 * rise))
    assert bank.resistance_ohm("agm", 100, soc=0.1) == pytest.approx(warm * low)
    assert warm < bank.resistance_ohm("agm", 100, soc=0.35) < warm * low
    assert bank.resistance_ohm("agm", 100, soc=0.5) == warm
    assert bank.resistance_ohm("agm", 100, temp_c=40.0) == warm


def test_a_load_sags_by_ohm_and_polarisation():
    sagged = bank.loaded_v(open_v=12.35, current_a=12, ohmic_ohm=0.005, polarisation_ohm=0.008)
    fresh = bank.loaded_v(open_v=12.35, current_a=12, ohmic_ohm=0.005, polarisation_ohm=0.008, share=0.0)
    assert sagged == pytest.approx(12.194)
    assert fresh == pytest.approx(12.29)


def test_a_far_appliance_with_a_high_cutoff_stops_early_and_a_near_one_runs_to_the_end():
    far = bank.soc_at_cutoff(cutoff_v=11.6, current_a=5, loop_ohm=0.06, chemistry="agm", rated_ah=100)
    near = bank.soc_at_cutoff(cutoff_v=10.4, current_a=5, loop_ohm=0.0, chemistry="agm", rated_ah=100)
    never = bank.soc_at_cutoff(cutoff_v=13.5, current_a=5, loop_ohm=0.0, chemistry="agm", rated_ah=100)
    at_volts = bank.open_circuit_v(far, "agm") - 5 * (0.06 + bank.resistance_ohm("agm", 100, soc=far))
    assert at_volts == pytest.approx(11.6, abs=1e-6)
    assert near == 0.0
    assert never == 1.0


def test_self_discharge_doubles_with_ten_degrees_and_compounds():
    assert bank.self_discharge_per_month(0.03, 30.0) == pytest.approx(0.06)
    assert bank.remaining_after_months(0.06, 3) == pytest.approx(0.94**3)
    hourly = bank.self_discharge_per_hour("agm", 20.0)
    assert (1.0 - hourly) ** constants.H_PER_MONTH == pytest.approx(0.97, abs=1e-4)


def test_a_full_bank_accepts_nothing_and_an_empty_one_the_makers_limit():
    assert bank.acceptance_a(1.0, "agm", 100) == 0.0
    assert bank.acceptance_a(0.2, "agm", 100) == pytest.approx(100 * constants.CHARGE_LIMIT_PER_H["agm"])
    assert bank.acceptance_a(0.9, "agm", 100) == pytest.approx(10 * constants.ACCEPTANCE_PER_H["agm"])


def test_lithium_takes_no_charge_below_freezing():
    assert bank.acceptance_a(0.5, "lifepo4", 100, temp_c=-0.1) == 0.0
    assert bank.acceptance_a(0.5, "lifepo4", 100, temp_c=0.0) > 10.0


def test_cold_lead_acid_accepts_less():
    assert bank.acceptance_a(0.9, "agm", 100, temp_c=0.0) < bank.acceptance_a(0.9, "agm", 100)


def test_charging_loses_more_near_full():
    stages = [share for _, share in constants.CHARGE_STAGES["agm"]]
    found = [bank.charge_efficiency(soc, "agm") for soc in (0.5, 0.85, 0.95, 1.0)]
    assert found == stages + stages[-1:]
    assert found[0] > found[1] > found[2]


def test_charge_needed_is_additive_along_the_way():
    whole = bank.charge_needed_ah(capacity_ah=100, from_soc=0.3, to_soc=1.0, stages=constants.CHARGE_STAGES["agm"])
    parts = [
        bank.charge_needed_ah(capacity_ah=100, from_soc=a, to_soc=b, stages=constants.CHARGE_STAGES["agm"])
        for a, b in ((0.3, 0.85), (0.85, 1.0))
    ]
    assert whole == pytest.approx(sum(parts))
    assert whole > 70.0


def test_set_points_fall_with_warmth_for_lead_acid_and_stay_for_lithium():
    assert bank.absorption_v("agm", 10.0) == pytest.approx(14.76)
    assert bank.float_v("agm", 35.0) == pytest.approx(13.36)
    assert bank.absorption_v("lifepo4", 10.0) == bank.absorption_v("lifepo4", 25.0)
    assert bank.absorption_v("agm", 25.0, 24.0) == pytest.approx(28.8)


def test_lithium_is_one_well():
    assert bank.kinetic_constants("lifepo4")[0] == 1.0


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: bank.open_circuit_v(0.5, "nickel"), "'nickel' is not known; use one of flooded, agm, gel, lifepo4"),
        (lambda: bank.acceptance_a(0.5, None, 100), "None is not known; use one of"),
        (lambda: bank.resistance_ohm("agm", 0), "0 Ah cannot be; give its capacity from the label"),
        (lambda: bank.remaining_after_months(3.0, 1), "outside 0-1; give 3 % as 0.03"),
        (
            lambda: bank.charge_needed_ah(capacity_ah=100, from_soc=50, to_soc=100, stages=((1.0, 1.0),)),
            "not upward within 0-1; give shares, not percent",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
