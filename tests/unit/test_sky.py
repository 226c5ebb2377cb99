"""How cloudy days are spread, follow each other and are worded."""

from datetime import UTC, datetime

import pytest

from daybank.energy import clear_sky, clearness, draws, sky, sun

EVEN = [draws.normal_quantile((i + 0.5) / 1000) for i in range(1000)]


@pytest.mark.parametrize("mean, p10, p50, p90", [(0.3, 0.087, 0.270, 0.572), (0.4, 0.123, 0.403, 0.671),
                                                 (0.5, 0.202, 0.541, 0.728), (0.6, 0.346, 0.647, 0.769),
                                                 (0.7, 0.549, 0.737, 0.806)])
def test_published_quantiles_of_daily_clearness(mean, p10, p50, p90):
    # Duffie & Beckman, equations 2.9.4-2.9.6.
    assert sky.clearness_quantiles(mean) == pytest.approx({"p10": p10, "p50": p50, "p90": p90}, abs=0.001)


@pytest.mark.parametrize("mean", [0.25, 0.4, 0.55, 0.7])
def test_the_published_spread_has_the_mean_it_was_asked_for(mean):
    month = clearness.MonthSpread(mean)
    assert sum(month.quantile((i + 0.5) / 1000) for i in range(1000)) / 1000 == pytest.approx(mean, abs=0.01)


@pytest.mark.parametrize("mean", [0.25, 0.4, 0.55, 0.7])
def test_narrowing_the_spread_hardly_moves_its_mean(mean):
    month = clearness.MonthSpread(mean)
    assert sum(month.kt_at(z) for z in EVEN) / 1000 == pytest.approx(mean, abs=0.012)


def test_the_spread_is_narrowed_above_the_middle_and_not_in_the_darkest_days():
    month = clearness.MonthSpread(0.55)
    assert month.kt_at(-1.2815515655446004) == pytest.approx(month.quantile(0.1), abs=1e-6)
    assert month.kt_at(1.2815515655446004) < month.quantile(0.9)


def test_share_below_undoes_the_quantile_and_stops_at_the_ends():
    month = clearness.MonthSpread(0.5)
    for share in (0.05, 0.3, 0.5, 0.8, 0.95):
        assert month.share_below(month.quantile(share)) == pytest.approx(share, abs=1e-9)
    assert month.share_below(0.01) == 0.0
    assert month.share_below(0.95) == 1.0


def test_a_month_with_all_clearnesses_alike_divides_nothing_by_nothing():
    # The shape parameter passes through 0 near this mean; the neighbours must join smoothly.
    low, high = 0.30, 0.50
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if clearness.MonthSpread(middle)._g < 0 else (low, middle)
    even = clearness.MonthSpread(0.5 * (low + high))
    assert abs(even._g) < 1e-4
    assert even.quantile(0.5) == pytest.approx(0.5 * (clearness.LOWEST_KT + even.highest_kt), abs=0.001)
    assert even.quantile(0.25) == pytest.approx(clearness.MonthSpread(low - 0.001).quantile(0.25), abs=0.005)
    assert even.share_below(even.quantile(0.3)) == pytest.approx(0.3)


@pytest.mark.parametrize("mean", [0.2, 0.35, 0.5, 0.7])
@pytest.mark.parametrize("z", [-2.3, -1.0, -0.2, 0.0, 0.4, 2.3])
def test_the_score_of_a_day_is_found_again_from_its_light(mean, z):
    index = sky.clear_index_from_score(z, mean, 0.95)  # a very clear air, so that no day is cut off at clear
    assert sky.score_of_index(index, mean, 0.95) == pytest.approx(z, abs=0.01)


@pytest.mark.parametrize("index, end", [(0.0, -2.5), (1.4, 2.5)])
def test_a_day_beyond_the_spread_gets_the_last_score(index, end):
    assert sky.score_of_index(index, 0.5, 0.7) == pytest.approx(end, abs=0.01)


def test_a_month_spread_serves_in_place_of_its_mean():
    assert sky.clear_index_from_score(0.3, clearness.MonthSpread(0.5), 0.7) == sky.clear_index_from_score(0.3, 0.5, 0.7)


def test_where_the_sun_stays_low_not_every_day_is_clear():
    clear_kt = 0.25  # a December day at 64 N
    clear_days = sum(sky.clear_index_from_score(z, 0.38, clear_kt) >= 0.98 for z in EVEN) / 1000
    assert 0.1 < clear_days < 0.7


def test_scores_persist_as_stated():
    generator, scores = draws.Draws(4), [0.0]
    for _ in range(20000):
        scores.append(sky.next_score(scores[-1], generator.normal()))
    variance = sum(z * z for z in scores) / len(scores)
    lag = sum(a * b for a, b in zip(scores, scores[1:])) / len(scores) / variance
    assert variance == pytest.approx(1.0, abs=0.04)
    assert lag == pytest.approx(sky.PERSISTENCE, abs=0.03)


def test_wet_months_are_darker_than_dry_ones_and_ignorance_is_wider():
    dry, average, wet = (sky.season_mean_kt(40.0, 6, word) for word in ("dry", "average", "wet"))
    assert dry > average > wet

    def width(word):
        return sky.season_mean_kt(40.0, 3, word, 1.0) - sky.season_mean_kt(40.0, 3, word, -1.0)

    assert width(None) > width("average")
    assert sky.season_mean_kt(40.0, 3, "unknown") == sky.season_mean_kt(40.0, 3, None)


def test_southern_seasons_are_turned_round():
    assert sky.season_mean_kt(-40.0, 12, "average") == pytest.approx(sky.season_mean_kt(40.0, 6, "average"), abs=0.01)


def test_an_unknown_wetness_or_sky_word_is_refused_with_the_ones_that_exist():
    with pytest.raises(ValueError, match="'soggy' is unknown; give dry, average, wet or unknown"):
        sky.season_mean_kt(40.0, 6, "soggy")
    with pytest.raises(ValueError, match="'murky' is unknown; give one of: clear, partly"):
        sky.clear_index_from_word("murky", 0.0)


@pytest.mark.parametrize("word", sorted(sky.WORDS))
def test_a_word_has_the_quantiles_of_its_row(word):
    low, middle, high = sky.WORDS[word]
    assert sky.clear_index_from_word(word, 0.0) == middle
    assert sky.clear_index_from_word(word, -1.2815515655446004) == pytest.approx(low)
    assert sky.clear_index_from_word(word, 1.2815515655446004) == pytest.approx(high)


def test_words_stand_in_order_of_light():
    darkest_first = ("rain", "overcast", "mostly_cloudy", "partly", "clear")
    middles = [sky.clear_index_from_word(word, 0.0) for word in darkest_first]
    assert middles == sorted(middles)


@pytest.mark.parametrize("oktas, ratio", [(0, 1.0), (2, 0.993), (4, 0.929), (6, 0.718), (7, 0.524), (8, 0.25)])
def test_cloud_cover_ratio_follows_kasten_and_czeplak(oktas, ratio):
    assert sky.cloud_cover_ratio(oktas) == pytest.approx(ratio, abs=0.001)


def test_nine_oktas_do_not_exist():
    with pytest.raises(ValueError, match="outside 0 to 8 oktas"):
        sky.cloud_cover_ratio(9)


@pytest.mark.parametrize("lat_deg", [-50.0, -20.0, 0.0, 40.0, 60.0])
@pytest.mark.parametrize("month", [1, 4, 7, 10])
def test_five_sun_positions_give_the_clearness_of_a_clear_day_within_half_a_percent(lat_deg, month):
    start = datetime(2025, month, 15, tzinfo=UTC).timestamp()
    season = sun.month_at(start + 43200)
    fine = clear_sky.clear_day(starts_at_s=start, lat_deg=lat_deg, lon_deg=0.0, altitude_m=500.0,
                               linke=clear_sky.linke_turbidity(lat_deg, season), step_s=60.0)
    assert sky.clear_day_kt(day_start_s=start, lat_deg=lat_deg, lon_deg=0.0, altitude_m=500.0) == pytest.approx(
        fine.ghi_kwh_m2 / fine.extraterrestrial_kwh_m2, rel=0.005)


def test_polar_night_has_a_clearness_that_is_not_zero():
    start = datetime(2025, 12, 21, tzinfo=UTC).timestamp()
    assert sky.clear_day_kt(day_start_s=start, lat_deg=80.0, lon_deg=0.0, altitude_m=0.0) == 0.6
