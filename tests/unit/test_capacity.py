"""Capacity against rate and temperature."""

import pytest

from daybank.energy import capacity


def test_the_rated_current_runs_exactly_the_rated_hours():
    run = capacity.peukert_runtime_h(rated_ah=100, rated_h=20, current_a=5, exponent=1.25)
    assert run == pytest.approx(20.0)


def test_a_gentle_current_is_never_credited_more_than_a_tenth_beyond_the_rating():
    credit = capacity.peukert_credit_ah(rated_ah=100, rated_h=20, current_a=0.5, exponent=1.2)
    assert credit == pytest.approx(110.0)
    hard = capacity.peukert_credit_ah(rated_ah=100, rated_h=20, current_a=10, exponent=1.2)
    assert hard == pytest.approx(87.055, abs=1e-3)


def test_two_runs_give_back_the_exponent_that_made_them():
    hours = [capacity.peukert_runtime_h(rated_ah=80, rated_h=20, current_a=a, exponent=1.17) for a in (2.0, 9.0)]
    found = capacity.peukert_exponent(first_a=2.0, first_h=hours[0], second_a=9.0, second_h=hours[1])
    assert found == pytest.approx(1.17)
    implied = capacity.peukert_exponent_from_capacity(
        rated_ah=80, rated_h=20, current_a=9.0, delivered_ah=9.0 * hours[1]
    )
    assert implied == pytest.approx(1.17)


def test_the_sizing_factor_meets_its_table_and_has_no_jump_where_the_cubic_takes_over():
    assert capacity.sizing_temperature_factor(10.0) == pytest.approx(1.19)
    assert capacity.sizing_temperature_factor(7.2) == pytest.approx(1.245, abs=0.001)
    step = capacity.sizing_temperature_factor(-3.901) - capacity.sizing_temperature_factor(-3.899)
    assert abs(step) < 0.015  # table and cubic differ by as much there


def test_heat_is_no_gift_beyond_the_table():
    assert capacity.sizing_temperature_factor(60.0) == pytest.approx(0.88)


def test_camp_capacity_is_whole_at_25_degrees_and_bounded_in_heat_and_deep_cold():
    assert capacity.camp_capacity_factor(25.0) == 1.0
    assert capacity.camp_capacity_factor(0.0) == pytest.approx(0.85)
    assert capacity.camp_capacity_factor(60.0) == pytest.approx(1.03)
    assert capacity.camp_capacity_factor(-200.0) == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (
            lambda: capacity.peukert_runtime_h(rated_ah=100, rated_h=20, current_a=0, exponent=1.2),
            "must all be above 0",
        ),
        (
            lambda: capacity.peukert_exponent(first_a=5, first_h=20, second_a=5, second_h=19),
            "give runs at different currents",
        ),
        (
            lambda: capacity.peukert_exponent_from_capacity(rated_ah=100, rated_h=20, current_a=5, delivered_ah=99),
            "tells nothing of the exponent; give another",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
