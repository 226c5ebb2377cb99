"""Condition of bank and joints from single measurements."""

import pytest

from daybank.energy import condition


def test_a_coarse_gauge_gives_a_doubtful_resistance():
    found = condition.paired_resistance(first_v=12.6, first_a=0.5, second_v=12.45, second_a=5.5, resolution_v=0.1)
    assert found.ohm == pytest.approx(0.03)
    assert found.sd_ohm == pytest.approx(0.00816, abs=1e-5)


def test_the_order_of_the_two_readings_does_not_matter():
    one = condition.paired_resistance(first_v=12.6, first_a=1, second_v=12.4, second_a=9, reading_sd_v=0.03)
    other = condition.paired_resistance(first_v=12.4, first_a=9, second_v=12.6, second_a=1, reading_sd_v=0.03)
    assert one == pytest.approx(other)


def test_a_discharge_that_agrees_with_the_prior_moves_only_the_doubt():
    fit = condition.capacity_regression(
        prior_per_ah=0.01, prior_sd_per_ah=0.001, out_ah=40, soc_drop=0.4, soc_drop_sd=0.08
    )
    assert fit.per_ah == pytest.approx(0.01)
    assert fit.capacity_ah == pytest.approx(100.0)
    assert fit.sd_per_ah < 0.001


def test_one_night_sees_only_a_large_draw():
    small = condition.overnight_draw(hours=12, soc_drop=0.03, soc_drop_sd=0.05, capacity_ah=95)
    large = condition.overnight_draw(hours=12, soc_drop=0.15, soc_drop_sd=0.05, capacity_ah=95)
    assert small.detected is False
    assert large.detected is True


def test_a_standing_draw_of_45_milliamperes_takes_a_third_of_a_bank_in_a_month():
    assert condition.standing_draw(current_a=0.045, days=30) == pytest.approx((1.08, 32.4))


@pytest.mark.parametrize(("hours", "replace"), [(15.99, True), (16.0, False), (20.0, False)])
def test_a_battery_below_four_fifths_of_its_rating_is_due(hours, replace):
    assert condition.capacity_test(rated_ah=100, current_a=5, hours=hours).replace is replace


def test_a_joint_makes_heat_by_its_drop():
    assert condition.joint_heat(drop_mv=100, current_a=30) == pytest.approx((3.3333, 3.0), abs=1e-3)


def test_a_rise_of_exactly_the_trigger_calls_for_nothing_yet():
    assert condition.joint_trend(baseline_mohm=1.0, now_mohm=1.2).action_due is False
    assert condition.joint_trend(baseline_mohm=0.8, now_mohm=1.0).action_due is True


def test_a_drop_at_low_current_is_scaled_before_it_passes():
    low = condition.joint_drop_test(drop_mv=18, test_current_a=5, rated_current_a=30)
    good = condition.joint_drop_test(drop_mv=15, test_current_a=5, rated_current_a=30)
    assert low.drop_at_rated_mv == pytest.approx(108.0)
    assert low.passes is False and good.passes is True


def test_the_battery_with_less_resistance_carries_more():
    assert condition.parallel_split(current_a=30, first_mohm=4, second_mohm=8) == pytest.approx((20.0, 10.0))


def test_joining_unequal_batteries_starts_a_large_current():
    assert condition.parallel_circulating_a(first_v=12.8, second_v=12.3, total_mohm=14) == pytest.approx(
        35.71, abs=0.01
    )


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (
            lambda: condition.paired_resistance(first_v=12, first_a=5, second_v=12, second_a=5, reading_sd_v=0.1),
            "step the load by 5 A or more",
        ),
        (lambda: condition.overnight_draw(hours=0, soc_drop=0, soc_drop_sd=1, capacity_ah=9), "above 0"),
        (lambda: condition.capacity_test(rated_ah=0, current_a=5, hours=9), "take it from the battery's label"),
        (lambda: condition.joint_heat(drop_mv=1, current_a=0), "run a known load through the joint"),
        (lambda: condition.joint_trend(baseline_mohm=0, now_mohm=1), "measure it when the joint is new"),
        (lambda: condition.parallel_split(current_a=1, first_mohm=0, second_mohm=0), "give each above 0"),
        (
            lambda: condition.parallel_circulating_a(first_v=1, second_v=1, total_mohm=0),
            "add batteries and leads, above 0",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
