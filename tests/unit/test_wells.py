"""The two wells: exact steps, recovery, what a current leaves behind."""

import pytest

from daybank.energy import wells

C, K = 0.37, 0.5874


def full(q_max=100.0, c=C):
    return {"available_ah": c * q_max, "bound_ah": (1.0 - c) * q_max}


def test_the_two_forms_of_the_state_are_the_same_state():
    now = wells.wells(80.0, -12.0, C)
    assert now.available_ah + now.bound_ah == pytest.approx(80.0)
    assert wells.head_of(now.available_ah, now.bound_ah, C) == pytest.approx(-12.0)


def test_a_step_equals_the_closed_form_for_the_wells():
    import math

    q1, q2, current, dt = 20.0, 50.0, 7.0, 1.5
    q0, decay = q1 + q2, math.exp(-K * dt)
    expected_1 = q1 * decay + (q0 * K * C - current) * (1 - decay) / K - current * C * (K * dt - 1 + decay) / K
    after = wells.two_well_step(available_ah=q1, bound_ah=q2, current_a=current, dt_h=dt, c=C, k_per_h=K)
    assert after.available_ah == pytest.approx(expected_1, rel=1e-12)
    assert after.available_ah + after.bound_ah == pytest.approx(q0 - current * dt, rel=1e-12)


def test_rest_evens_the_heads_and_keeps_the_charge():
    after = wells.two_well_step(available_ah=5.0, bound_ah=50.0, current_a=0.0, dt_h=48.0, c=C, k_per_h=K)
    assert after.available_ah == pytest.approx(C * 55.0, abs=1e-6)
    assert after.available_ah + after.bound_ah == pytest.approx(55.0)


def test_one_well_alone_is_plain_amp_hours():
    after = wells.two_well_step(available_ah=100.0, bound_ah=0.0, current_a=10.0, dt_h=3.0, c=1.0, k_per_h=1.0)
    assert after.available_ah == pytest.approx(70.0)
    assert after.bound_ah == pytest.approx(0.0)


def test_the_time_until_empty_leaves_the_available_well_at_nothing():
    hours = wells.hours_until_empty(**full(), current_a=20.0, c=C, k_per_h=K)
    after = wells.two_well_step(**full(), current_a=20.0, dt_h=hours, c=C, k_per_h=K)
    assert after.available_ah == pytest.approx(0.0, abs=1e-6)
    assert after.bound_ah > 10.0


def test_nothing_drawn_never_empties():
    assert wells.hours_until_empty(**full(), current_a=0.0, c=C, k_per_h=K) is None


def test_the_twenty_hour_current_gives_the_twenty_hour_capacity():
    assert wells.capacity_ratio(5.0, 100.0, C, K) == pytest.approx(1.0, abs=1e-9)


def test_more_charge_than_rated_is_bound_at_the_rated_current():
    assert wells.q_max_ah(100.0, 0.462, 0.877) == pytest.approx(106.6, abs=0.1)


def test_bursts_give_more_than_the_same_current_without_a_pause():
    burst = {"q_max_ah": 100.0, "c": C, "k_per_h": K, "current_a": 20.0, "on_h": 0.25}
    assert wells.delivered_in_bursts_ah(off_h=0.75, **burst) > wells.delivered_in_bursts_ah(off_h=0.0, **burst) + 20.0


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: wells.deliverable_fraction(0.0, C, K), "Run of 0.0 h is not positive"),
        (
            lambda: wells.delivered_in_bursts_ah(q_max_ah=100, c=C, k_per_h=K, current_a=0, on_h=1, off_h=1),
            "draws nothing; give a current and an on-time above 0",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
