"""Laws of cloud, persistence, air and draws."""

from hypothesis import assume, given
from hypothesis import strategies as st

from daybank.energy import air, clearness, draws, sky

scores = st.floats(min_value=-4.0, max_value=4.0)
means = st.floats(min_value=0.1, max_value=0.8)
clear_kts = st.floats(min_value=0.2, max_value=0.85)
latitudes = st.floats(min_value=-70.0, max_value=70.0)
months = st.floats(min_value=1.0, max_value=12.99)


@given(low=scores, high=scores, mean=means, clear_kt=clear_kts)
def test_a_sunnier_score_never_brings_less_light(low, high, mean, clear_kt):
    assume(low <= high)
    darker, lighter = (sky.clear_index_from_score(z, mean, clear_kt) for z in (low, high))
    assert 0.0 <= darker <= lighter + 1e-9 and lighter <= sky.HIGHEST_INDEX


@given(low=means, high=means, z=scores, clear_kt=clear_kts)
def test_a_sunnier_month_never_brings_a_darker_day(low, high, z, clear_kt):
    assume(low <= high)
    darker, lighter = (sky.clear_index_from_score(z, mean, clear_kt) for mean in (low, high))
    assert darker <= lighter + 1e-6


@given(z=st.floats(min_value=-2.4, max_value=2.4), mean=means)
def test_light_and_score_undo_each_other(z, mean):
    month = clearness.MonthSpread(mean)
    assert abs(month.score_of(month.kt_at(z)) - z) < 0.02


@given(word=st.sampled_from(sorted(sky.WORDS)), low=scores, high=scores)
def test_a_sunnier_score_never_brings_less_light_under_a_word(word, low, high):
    assume(low <= high)
    assert 0.03 <= sky.clear_index_from_word(word, low) <= sky.clear_index_from_word(word, high) <= 1.05


@given(lat=latitudes, month=months, low=scores, high=scores,
       wetness=st.sampled_from([None, "dry", "average", "wet", "unknown"]))
def test_the_season_rises_with_its_score_and_stays_within_nature(lat, month, low, high, wetness):
    assume(low <= high)
    darker, lighter = (sky.season_mean_kt(lat, month, wetness, z) for z in (low, high))
    assert 0.1 < darker <= lighter < 0.8


@given(lat=latitudes, month=months)
def test_a_clear_day_has_a_clearness_between_dawn_grey_and_thin_air(lat, month):
    start = 1735689600.0 + (month - 0.5) * 30.4 * 86400.0
    assert 0.15 <= sky.clear_day_kt(day_start_s=start, lat_deg=lat, lon_deg=0.0, altitude_m=200.0) <= 0.9


@given(hour=st.floats(min_value=-48.0, max_value=72.0), night=st.floats(min_value=-40.0, max_value=30.0),
       span=st.floats(min_value=0.0, max_value=30.0), rise=st.none() | st.floats(min_value=2.0, max_value=11.0),
       transit=st.floats(min_value=11.0, max_value=15.0))
def test_the_air_stays_between_the_nights_low_and_the_days_high(hour, night, span, rise, transit):
    there = air.at_hour(hour, night_c=night, day_c=night + span, rise_h=rise, transit_h=transit)
    assert night - 1e-9 <= there <= night + span + 1e-9


@given(lat=st.floats(min_value=-90.0, max_value=90.0), month=months)
def test_the_usual_air_is_livable_and_its_doubt_is_not_nil(lat, month):
    usual = air.usual(lat, month)
    assert -35.0 < usual.mean_c < 40.0
    assert usual.mean_sd_k > 2.99


@given(low=st.floats(min_value=1e-9, max_value=1 - 1e-9), high=st.floats(min_value=1e-9, max_value=1 - 1e-9))
def test_a_larger_share_never_has_a_smaller_score(low, high):
    assume(low <= high)
    # The curve is pieced together from three; they meet within 1e-6.
    assert draws.normal_quantile(low) <= draws.normal_quantile(high) + 1e-6


@given(seed=st.integers(min_value=-2**63, max_value=2**63), n=st.integers(min_value=1, max_value=200))
def test_every_seed_gives_a_whole_shuffle(seed, n):
    assert sorted(draws.Draws(seed).shuffled(n)) == list(range(n))
