"""Hand calculations of the trade: usable charge, autonomy, days as a ratio."""

import pytest

from daybank.energy import sizing


def test_half_of_the_bank_is_planned_with():
    assert sizing.usable_charge_ah(rated_ah=100) == 50.0
    assert sizing.usable_charge_ah(rated_ah=100, in_parallel=2) == 100.0
    assert sizing.usable_charge_ah(rated_ah=100, soc=0.8, capacity_share=0.85) == pytest.approx(25.5)


def test_below_the_floor_nothing_is_usable_never_less():
    assert sizing.usable_charge_ah(rated_ah=100, soc=0.3) == 0.0


def test_the_largest_demand_decides_the_size():
    size = sizing.autonomy_capacity_ah(
        daily_ah=25, days=3, max_depth=0.8, end_of_life=0.8, max_daily_depth=0.2, temperature_factor=1.19, margin=1.1
    )
    assert size.candidates_ah == pytest.approx((93.75, 93.75, 125.0))
    assert size.required_ah == pytest.approx(163.625)


def test_without_doubt_the_days_are_the_plain_ratio():
    days = sizing.days_left_quantiles(usable_ah=30, usable_sd_ah=0, daily_ah=12, daily_sd_ah=0)
    assert days == pytest.approx((2.5, 2.5, 2.5))


def test_a_use_that_may_be_nothing_gives_no_upper_end():
    days = sizing.days_left_quantiles(usable_ah=30, usable_sd_ah=3, daily_ah=2, daily_sd_ah=4)
    assert days.p10 is not None
    assert days.p90 is None


def test_a_store_that_may_be_empty_already_starts_at_nothing():
    days = sizing.days_left_quantiles(usable_ah=0, usable_sd_ah=8, daily_ah=12, daily_sd_ah=1)
    assert days.p10 == pytest.approx(0.0, abs=1e-6)
    assert days.p90 > 0.5


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: sizing.usable_charge_ah(rated_ah=100, floor_soc=50), "Floor 50 is outside 0-1; give 50 % as 0.5"),
        (lambda: sizing.usable_charge_ah(rated_ah=100, in_parallel=0), "are no bank"),
        (
            lambda: sizing.autonomy_capacity_ah(daily_ah=1, days=1, max_depth=80, end_of_life=1, max_daily_depth=1),
            "The depth share 80 is outside 0-1; give 80 % as 0.8",
        ),
        (
            lambda: sizing.days_left_quantiles(usable_ah=1, usable_sd_ah=-1, daily_ah=1, daily_sd_ah=1),
            "must be 0 or more",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
