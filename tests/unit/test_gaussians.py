"""Joining estimates, counting amp-hours, scoring."""

import math

import pytest

from daybank.energy import gaussians


def test_the_joined_estimate_lies_between_and_is_surer_than_both():
    joined = gaussians.join(prior_mean=62, prior_sd=9, measured=50, measured_sd=7)
    assert 50 < joined.mean < 62
    assert joined.sd < 7


def test_a_perfect_measurement_replaces_the_prior():
    assert gaussians.join(prior_mean=62, prior_sd=9, measured=50, measured_sd=0) == (50.0, 0.0)


def test_counting_without_use_changes_nothing():
    counted = gaussians.coulomb_count(
        start_soc=0.9, start_sd=0.03, logged_ah=0, log_rel_sd=0.2, capacity_ah=95, capacity_sd_ah=8
    )
    assert counted == pytest.approx((0.9, 0.03))


def test_the_score_of_a_sure_forecast_is_its_distance():
    assert gaussians.crps_gaussian(mean=2.5, sd=0.0, observed=2.0) == 0.5
    assert gaussians.crps_gaussian(mean=2.5, sd=1e-6, observed=2.0) == pytest.approx(0.5, abs=1e-5)


def test_the_closed_form_equals_the_integral_it_stands_for():
    mean, sd, observed, step = 2.5, 0.8, 3.1, 0.001
    total = 0.0
    for n in range(20000):
        at = -7.5 + (n + 0.5) * step
        below = 0.5 * (1 + math.erf((at - mean) / (sd * math.sqrt(2))))
        total += (below - (1.0 if at >= observed else 0.0)) ** 2 * step
    assert gaussians.crps_gaussian(mean=mean, sd=sd, observed=observed) == pytest.approx(total, abs=1e-4)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: gaussians.join(prior_mean=1, prior_sd=0, measured=2, measured_sd=0), "not both 0"),
        (
            lambda: gaussians.coulomb_count(
                start_soc=1, start_sd=0, logged_ah=1, log_rel_sd=0, capacity_ah=0, capacity_sd_ah=0
            ),
            "A capacity of 0 Ah is not above 0",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
