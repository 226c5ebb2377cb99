"""The generator spreads its draws as it claims, and the normal curve is the normal curve."""

import math
from statistics import NormalDist

import pytest

from daybank.energy import draws

# Upper 0.1 % point of chi-square with 49 degrees of freedom: Abramowitz & Stegun, table 26.8,
# by the Wilson-Hilferty approximation used there (49 * (1 - 2/441 + 3.0902 * sqrt(2/441))**3).
CHI_SQUARE_49_LIMIT = 49 * (1 - 2 / 441 + 3.0902 * math.sqrt(2 / 441)) ** 3


def chi_square(values, cells=50):
    counts = [0] * cells
    for value in values:
        counts[int(value * cells)] += 1
    expected = len(values) / cells
    return sum((count - expected) ** 2 / expected for count in counts)


def lag_one(values):
    """Correlation of neighbours, in units of its own standard error."""
    return 12 * sum((a - 0.5) * (b - 0.5) for a, b in zip(values, values[1:])) / math.sqrt(len(values))


@pytest.mark.parametrize("seed", [0, 1, 2, 12345, 2**31 - 1])
def test_draws_of_one_seed_are_evenly_spread_and_unrelated(seed):
    generator = draws.Draws(seed)
    values = [generator.uniform() for _ in range(20000)]
    assert chi_square(values) < CHI_SQUARE_49_LIMIT
    assert abs(lag_one(values)) < 4
    assert min(values) > 0 and max(values) < 1


def test_first_draws_of_neighbouring_seeds_and_streams_are_evenly_spread_and_unrelated():
    for firsts in ([draws.Draws(seed).uniform() for seed in range(10000)],
                   [draws.Draws(1, stream).uniform() for stream in range(10000)]):
        assert len(set(firsts)) == len(firsts)
        assert chi_square(firsts) < CHI_SQUARE_49_LIMIT
        assert abs(lag_one(firsts)) < 4


def test_the_same_draw_of_two_streams_is_unrelated_all_along():
    first, second = draws.Draws(1, 0), draws.Draws(1, 1)
    pairs = [(first.uniform() - 0.5, second.uniform() - 0.5) for _ in range(20000)]
    assert abs(12 * sum(a * b for a, b in pairs) / math.sqrt(len(pairs))) < 4


def test_one_seed_gives_one_sequence_and_another_seed_another():
    def sequence(seed):
        generator = draws.Draws(seed)
        return [generator.uniform() for _ in range(5)]

    assert sequence(7) == sequence(7)
    assert sequence(7) != sequence(8)


def test_no_product_of_the_generator_leaves_the_small_integers_of_the_phone():
    drawing = max(draws._A1 * draws._M1, draws._A2 * draws._M2, draws._A3 * draws._M3)
    seeding = draws._M3 * draws._M3 + 9 * draws._M3  # a square, a few times another part, small constants
    assert drawing < 2**30
    assert seeding < 2**30


@pytest.mark.parametrize("multiplier, prime", [(draws._A1, draws._M1), (draws._A2, draws._M2), (draws._A3, draws._M3)])
def test_each_part_of_the_generator_visits_every_state_but_zero(multiplier, prime):
    state, steps = multiplier, 1
    while state != 1:
        state, steps = multiplier * state % prime, steps + 1
    assert steps == prime - 1


def test_a_shuffle_keeps_every_number_once_and_puts_each_everywhere():
    generator = draws.Draws(5)
    counts = [0] * 6
    for _ in range(6000):
        order = generator.shuffled(6)
        assert sorted(order) == [0, 1, 2, 3, 4, 5]
        counts[order.index(0)] += 1
    assert sum((count - 1000) ** 2 / 1000 for count in counts) < 20.5  # 0.1 % point, 5 degrees of freedom


def test_below_reaches_every_number_and_no_other():
    generator = draws.Draws(6)
    assert {generator.below(4) for _ in range(200)} == {0, 1, 2, 3}


def test_strata_hold_exactly_one_draw_each_in_no_order():
    values = draws.Draws(9).strata(40)
    assert sorted(int(value * 40) for value in values) == list(range(40))
    assert values != sorted(values)


def test_strata_keep_the_mean_far_closer_than_plain_draws():
    generator = draws.Draws(10)
    means = [sum(generator.normal_strata(60)) / 60 for _ in range(50)]
    plain_sd = 1 / math.sqrt(60)
    assert math.sqrt(sum(mean * mean for mean in means) / 50) < 0.25 * plain_sd


@pytest.mark.parametrize("share", [1e-30, 1e-12, 1e-6, 0.001, 0.0749, 0.0751, 0.3, 0.6, 0.9, 0.99, 1 - 1e-9])
def test_normal_quantile_agrees_with_an_independent_implementation(share):
    assert draws.normal_quantile(share) == pytest.approx(NormalDist().inv_cdf(share), rel=3e-7)


def test_the_middle_of_the_normal_curve_is_zero():
    assert draws.normal_quantile(0.5) == 0.0
    assert draws.normal_cdf(0.0) == 0.5


def test_normal_quantile_undoes_normal_cdf():
    for tenth in range(-50, 51):
        assert draws.normal_quantile(draws.normal_cdf(tenth / 10)) == pytest.approx(tenth / 10, abs=3e-6)


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, 1.5, float("nan")])
def test_a_share_without_a_score_is_refused_in_words(share):
    with pytest.raises(ValueError, match="strictly between 0 and 1"):
        draws.normal_quantile(share)
