"""Laws of the bank, for whatever rig comes: charge is kept, more is never less, rest brings back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daybank.energy import bank, capacity, condition, constants, gaussians, rested, sizing, wells

chemistries = st.sampled_from(constants.CHEMISTRIES)
socs = st.floats(0.0, 1.0)
temps_c = st.floats(-30.0, 60.0)
nominals_v = st.sampled_from([12.0, 24.0])
shares = st.floats(0.1, 0.9)  # of the available well
rates = st.floats(0.05, 3.0)  # 1/h, wider than any published set
currents_a = st.floats(-50.0, 50.0)
hours = st.floats(0.001, 24.0)


@given(chemistries, socs, socs, temps_c, nominals_v)
def test_more_charge_never_rests_at_fewer_volts(chemistry, a, b, temp_c, nominal_v):
    low, high = sorted((a, b))
    assert bank.open_circuit_v(low, chemistry, temp_c, nominal_v) <= bank.open_circuit_v(
        high, chemistry, temp_c, nominal_v
    )


@given(chemistries, socs, temps_c, nominals_v)
def test_volts_and_charge_lead_to_one_another(chemistry, soc, temp_c, nominal_v):
    volts = bank.open_circuit_v(soc, chemistry, temp_c, nominal_v)
    assert bank.soc_at_rest(volts, chemistry, temp_c, nominal_v) == pytest.approx(soc, abs=1e-9)


@given(chemistries, temps_c, temps_c)
def test_a_warmer_bank_never_rests_lower(chemistry, a, b):
    low, high = sorted((a, b))
    assert bank.ocv_shift_v(low, chemistry) <= bank.ocv_shift_v(high, chemistry) + 1e-12


@given(st.floats(0, 500), st.floats(0, 500), currents_a, hours, shares, rates)
def test_charge_is_conserved_in_every_step(available_ah, bound_ah, current_a, dt_h, c, k_per_h):
    after = wells.two_well_step(
        available_ah=available_ah, bound_ah=bound_ah, current_a=current_a, dt_h=dt_h, c=c, k_per_h=k_per_h
    )
    kept = after.available_ah + after.bound_ah
    assert kept == pytest.approx(
        available_ah + bound_ah - current_a * dt_h, abs=1e-9 * (1 + available_ah + bound_ah + 1200)
    )


@given(st.floats(10, 500), st.floats(-100, 100), currents_a, hours, hours, shares, rates)
def test_two_steps_at_one_current_are_one_long_step(total_ah, head_ah, current_a, first_h, second_h, c, k_per_h):
    whole = wells.head_after(head_ah, current_a, first_h + second_h, c, k_per_h)
    halves = wells.head_after(
        wells.head_after(head_ah, current_a, first_h, c, k_per_h), current_a, second_h, c, k_per_h
    )
    assert halves == pytest.approx(whole, rel=1e-9, abs=1e-9 * abs(current_a) / (c * k_per_h) + 1e-9)


@given(st.floats(10, 500), st.floats(-200, 0), hours, shares, rates)
def test_rest_after_a_pull_never_takes_from_the_available_well(total_ah, head_ah, rest_h, c, k_per_h):
    before = wells.wells(total_ah, head_ah, c)
    after = wells.wells(total_ah, wells.head_after(head_ah, 0.0, rest_h, c, k_per_h), c)
    assert after.available_ah >= before.available_ah - 1e-9


@given(st.floats(0.01, 100), st.floats(0.01, 100), shares, rates)
def test_a_gentler_discharge_never_delivers_less(a, b, c, k_per_h):
    fast_h, slow_h = sorted((a, b))
    fast, slow = (wells.deliverable_fraction(t, c, k_per_h) for t in (fast_h, slow_h))
    assert c - 1e-9 <= fast <= slow + 1e-9 <= 1.0 + 2e-9


@given(st.floats(20, 400), st.floats(1, 60), shares, rates)
def test_the_closed_form_and_the_step_agree_on_what_a_current_delivers(q_max_ah, current_a, c, k_per_h):
    run_h = wells.hours_until_empty(
        available_ah=c * q_max_ah, bound_ah=(1 - c) * q_max_ah, current_a=current_a, c=c, k_per_h=k_per_h
    )
    if k_per_h * run_h > 1e-3:  # below it the closed form is its own limit
        assert current_a * run_h == pytest.approx(q_max_ah * wells.deliverable_fraction(run_h, c, k_per_h), rel=1e-6)


@given(st.floats(20, 200), st.floats(0.5, 100), st.floats(1.0, 1.6))
def test_peukert_gives_the_rating_at_the_rated_current_and_less_above_it(rated_ah, current_a, exponent):
    run = {"rated_ah": rated_ah, "rated_h": 20.0, "exponent": exponent}
    assert capacity.peukert_runtime_h(current_a=rated_ah / 20.0, **run) == pytest.approx(20.0)
    credit = capacity.peukert_credit_ah(current_a=current_a, **run)
    assert credit <= rated_ah * 1.1 + 1e-9
    if current_a > rated_ah / 20.0:
        assert credit <= rated_ah * (1 + 1e-9)


@given(chemistries, st.floats(20, 1000), temps_c, socs, nominals_v)
def test_resistance_is_above_nothing_and_never_below_its_warm_charged_value(chemistry, ah, temp_c, soc, nominal_v):
    found = bank.resistance_ohm(chemistry, ah, temp_c, soc, nominal_v)
    assert found >= bank.resistance_ohm(chemistry, ah, 25.0, 1.0, nominal_v) > 0.0


@given(chemistries, socs, socs, st.floats(10, 1000), temps_c)
def test_a_fuller_bank_never_accepts_more_and_never_beyond_its_limit(chemistry, a, b, ah, temp_c):
    low, high = sorted((a, b))
    at_low, at_high = (bank.acceptance_a(soc, chemistry, ah, temp_c) for soc in (low, high))
    assert 0.0 <= at_high <= at_low <= constants.CHARGE_LIMIT_PER_H[chemistry] * ah + 1e-9


@given(chemistries, socs, socs)
def test_more_goes_in_than_is_stored(chemistry, a, b):
    low, high = sorted((a, b))
    needed = bank.charge_needed_ah(
        capacity_ah=100.0, from_soc=low, to_soc=high, stages=constants.CHARGE_STAGES[chemistry]
    )
    assert needed >= 100.0 * (high - low) - 1e-9


@given(chemistries, st.floats(0.0, 1.0), temps_c, st.floats(0, 20), st.floats(0, 0.3), st.floats(9, 12.5))
def test_a_thicker_wire_never_makes_an_appliance_stop_earlier(chemistry, extra_ohm, temp_c, current_a, ohm, cutoff_v):
    common = {
        "cutoff_v": cutoff_v, "current_a": current_a, "chemistry": chemistry, "rated_ah": 100.0, "temp_c": temp_c,
    }  # fmt: skip
    assert bank.soc_at_cutoff(loop_ohm=ohm, **common) <= bank.soc_at_cutoff(loop_ohm=ohm + extra_ohm, **common)


@given(chemistries, st.floats(11.0, 14.0), st.floats(11.0, 14.0), st.floats(0, 24))
def test_a_higher_rested_reading_never_means_less_charge(chemistry, a, b, rested_h):
    low, high = sorted((a, b))
    found = [
        rested.soc_from_rested_voltage(volts=v, chemistry=chemistry, rested_h=rested_h, after="float")
        for v in (low, high)
    ]
    assert found[0].soc <= found[1].soc + 1e-9
    for one in found:
        assert 0.0 <= one.low_soc <= one.high_soc <= 1.0


@given(st.floats(0, 48), st.floats(0, 48), st.sampled_from(["absorption", "float", "discharge"]), st.floats(0, 40))
def test_longer_rest_never_leaves_more_bias_or_more_doubt(a, b, after, last_a):
    short, long = sorted((a, b))
    biases = [rested.rest_bias_v(rested_h=h, after=after, last_a=last_a) for h in (short, long)]
    assert abs(biases[1].bias_v) <= abs(biases[0].bias_v) + 1e-12
    assert biases[1].sd_v <= biases[0].sd_v + 1e-12


@given(st.floats(-10, 10), st.floats(0.01, 5), st.floats(-10, 10), st.floats(0.01, 5))
def test_joining_never_widens_and_does_not_care_which_came_first(a, sd_a, b, sd_b):
    one = gaussians.join(prior_mean=a, prior_sd=sd_a, measured=b, measured_sd=sd_b)
    other = gaussians.join(prior_mean=b, prior_sd=sd_b, measured=a, measured_sd=sd_a)
    assert one.sd <= min(sd_a, sd_b) + 1e-12
    assert one == pytest.approx(other, abs=1e-6)


@given(st.floats(1, 200), st.floats(0, 30), st.floats(1, 60), st.floats(0, 10))
def test_days_left_come_in_order_and_more_charge_never_means_fewer(usable, usable_sd, daily, daily_sd):
    days = sizing.days_left_quantiles(usable_ah=usable, usable_sd_ah=usable_sd, daily_ah=daily, daily_sd_ah=daily_sd)
    more = sizing.days_left_quantiles(
        usable_ah=usable + 10, usable_sd_ah=usable_sd, daily_ah=daily, daily_sd_ah=daily_sd
    )
    far = math.inf
    ordered = [far if day is None else day for day in days]
    assert ordered == sorted(ordered) and ordered[0] >= 0.0
    for now, then in zip(days, more, strict=True):
        assert (far if then is None else then) >= (far if now is None else now) - 1e-6


@given(st.floats(0.1, 100), st.floats(0.1, 100), st.floats(-200, 200))
def test_two_batteries_share_a_current_without_losing_any(first, second, current_a):
    split = condition.parallel_split(current_a=current_a, first_mohm=first, second_mohm=second)
    assert split.first_a + split.second_a == pytest.approx(current_a, abs=1e-9)
    assert split.first_a * first == pytest.approx(split.second_a * second, abs=1e-6)
