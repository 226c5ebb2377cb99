"""Laws of the forecast, for whatever rig and log come.

More sun, a bigger bank, less draw, a lower floor: never fewer days. Held per member from one fixed state with cut-offs
off: a fridge that trips saves charge, and a declared draw explains a sag, so the whole answer may move either way.
"""

import json
import math

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from daybank.energy import course as courses
from daybank.energy import estimate, forecast, gauge, member
from properties import rigs

drawn = settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
NEVER = 1e9
ROUNDING = 1e-9


# ---- one member's step

amps = st.floats(0.0, 12.0)
small_amps = st.floats(0.0, 3.0)
hours = st.sampled_from([0.25, 1.0, 3.0])
powers = st.floats(0.0, 1.0)
row = st.tuples(hours, amps, small_amps, small_amps, small_amps, small_amps, powers, st.sampled_from([0.0, 10.0]),
                st.sampled_from([0.0, 8.0]), st.just(()))
rows_of_hours = st.lists(row, min_size=1, max_size=60)
capacities_ah = st.floats(30.0, 400.0)
charges = st.floats(0.05, 1.0)
floors = st.floats(0.0, 0.95)
EFFICIENCIES = [estimate.efficiency_bands(name) for name in ("agm", "flooded", "gel", "lifepo4")]
bands = st.sampled_from(EFFICIENCIES)


def go(rows, capacity_ah, soc, floor, band, *, load=1.0, sun=1.0, standby_a=0.0, leak=0.0, acceptance=0.7):
    rates = (load, load, load, load, standby_a, sun, 0.5, 0.93, acceptance, 12.7, 11.7, 12.4, leak)
    state, crossed, given_ah, load_ah, sun_ah = member.advance(
        (soc * capacity_ah, 0.0, 0.0), capacity_ah, rates, (0.4, 0.7, band), rows, floor * capacity_ah)
    return state, (NEVER if crossed < 0.0 else crossed), given_ah, load_ah, sun_ah


def constant(rows):
    """The same rows with constant currents alone."""
    return [one[:6] + (0.0,) + one[7:] for one in rows]


EVEN = (0.8, 0.95, 0.9, 0.95, 0.95)


@given(rows_of_hours, capacities_ah, charges, floors, bands, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_lower_floor_never_comes_sooner(rows, capacity_ah, soc, floor, band, lower, leak):
    high = go(rows, capacity_ah, soc, floor, band, leak=leak * 1e-3)[1]
    low = go(rows, capacity_ah, soc, floor * lower, band, leak=leak * 1e-3)[1]
    assert low >= high - ROUNDING


@given(rows_of_hours, capacities_ah, charges, floors, bands, st.floats(1.0, 3.0))
def test_more_sun_never_brings_the_floor_sooner(rows, capacity_ah, soc, floor, band, more):
    assert go(rows, capacity_ah, soc, floor, band, sun=more)[1] >= go(rows, capacity_ah, soc, floor, band)[1] - ROUNDING


@given(rows_of_hours, capacities_ah, charges, floors, bands, st.floats(1.0, 3.0), st.floats(0.0, 0.5))
def test_more_draw_never_brings_the_floor_later(rows, capacity_ah, soc, floor, band, more, standby_a):
    less = go(rows, capacity_ah, soc, floor, band)[1]
    assert go(rows, capacity_ah, soc, floor, band, load=more, standby_a=standby_a)[1] <= less + ROUNDING


@given(rows_of_hours, capacities_ah, charges, floors, bands, st.floats(1.0, 4.0))
def test_a_bigger_bank_of_the_same_share_never_comes_to_its_floor_sooner(rows, capacity_ah, soc, floor, band, times):
    # Constant currents and no self-discharge: a bigger bank loses more of itself, and stands at other volts.
    assume(soc > floor)
    small = go(constant(rows), capacity_ah, soc, floor, band)[1]
    assert go(constant(rows), capacity_ah * times, soc, floor, band)[1] >= small - ROUNDING


@given(bands, st.floats(-0.01, 0.01), st.floats(0.0, 0.01), st.floats(0.1, 30.0), st.booleans())
def test_where_efficiency_falls_the_fuller_of_two_stays_the_fuller(band, beside, more, sun_a, second):
    edge = band[2] if second else band[0]
    low, high = ((edge + beside + ahead) * 100.0 for ahead in (0.0, more))
    stored = [go([(1.0, sun_a) + (0.0,) * 7 + ((),)], 100.0, charge / 100.0, 0.0, band)[0][0] for charge in (low, high)]
    assert stored[1] >= stored[0] - ROUNDING


@given(rows_of_hours, capacities_ah, charges, bands, st.floats(0.0, 1e-3))
def test_without_load_and_sun_nothing_is_lost_but_self_discharge(rows, capacity_ah, soc, band, leak):
    still = [one[:1] + (0.0,) * 8 + ((),) for one in rows]
    (charge, _, _), _, given_ah, load_ah, _ = go(still, capacity_ah, soc, 0.0, band, leak=leak)
    kept = 1.0
    for one in still:
        kept *= 1.0 - leak * one[0]
    assert charge == pytest.approx(soc * capacity_ah * kept, rel=1e-9)
    assert given_ah == load_ah == 0.0


@given(rows_of_hours, capacities_ah, charges, st.sampled_from([1.0, 0.9]))
def test_what_came_in_and_went_out_is_what_the_charge_changed_by(rows, capacity_ah, soc, share):
    even = (0.8, share, 0.9, share, share)
    charge = soc * capacity_ah
    for one in rows:      # row by row, since what a bank that is empty does not give is not accounted for
        (after, _, _), _, given_ah, load_ah, _ = go([one], capacity_ah, charge / capacity_ah, 0.0, even)
        net = given_ah - load_ah
        expected = charge + net * (share if net > 0.0 else 1.0)
        assert after == pytest.approx(max(0.0, expected), abs=1e-9 * capacity_ah)
        charge = after


@given(st.lists(st.tuples(small_amps, small_amps), min_size=1, max_size=6), capacities_ah, st.floats(0.6, 1.0))
def test_hours_and_longer_steps_keep_the_same_charge_while_currents_are_steady(spans, capacity_ah, soc):
    fine, coarse = [], []
    for standing, sun in spans:
        sun = min(sun, standing)     # never charging: acceptance has its own course within a step
        fine += [(0.5, sun, 0.0, standing, 0.0, 0.0, 0.0, 0.0, 0.0, ())] * 6
        coarse += [(3.0, sun, 0.0, standing, 0.0, 0.0, 0.0, 0.0, 0.0, ())]
    (one, head, _), _, *sums = go(fine, capacity_ah, soc, 0.0, EVEN)
    (other, head_1, _), _, *sums_1 = go(coarse, capacity_ah, soc, 0.0, EVEN)
    assert (other, head_1) == pytest.approx((one, head), rel=1e-9, abs=1e-9)
    assert sums_1 == pytest.approx(sums, rel=1e-9, abs=1e-9)


@given(rows_of_hours, capacities_ah, charges, bands, st.floats(0.1, 5.0))
def test_charge_stays_between_empty_and_full(rows, capacity_ah, soc, band, more):
    for sun, load in ((more, 1.0), (1.0, more)):
        charge, _, surface = go(rows, capacity_ah, soc, 0.0, band, sun=sun, load=load)[0]
        assert 0.0 <= charge <= capacity_ah * (1 + 1e-12) and 0.0 <= surface <= 1.0


# ---- whole rigs, member by member

def ahead(laid, change=None, floor=None, n=12):
    """Days to the floor of each member, from the same starting members whatever the change."""
    e = estimate.first_members(laid.question, laid.course, laid.rig, n=n, seed=1)
    if change:
        change(e)
    return forecast.run_ahead(e, laid.course, forecast.floor_soc(laid.question) if floor is None else floor)


def days(values):
    return [NEVER if value is None else value for value in values]


@drawn
@given(rigs.exports(), st.floats(0.0, 1.0))
def test_a_lower_floor_never_gives_a_member_fewer_days(export, share):
    laid = rigs.asked(export)
    floor = forecast.floor_soc(laid.question)
    one, other = ahead(laid), ahead(laid, floor=floor * share)
    for name in ("floor_d", "dark_d"):
        assert all(b >= a - ROUNDING for a, b in zip(days(getattr(one, name)), days(getattr(other, name))))


@drawn
@given(rigs.exports())
def test_the_sun_never_costs_a_member_days(export):
    out = ahead(rigs.asked(export))
    assert all(sun >= dark - ROUNDING for sun, dark in zip(days(out.floor_d), days(out.dark_d)))


@drawn
@given(rigs.exports(), st.floats(0.0, 2.0))
def test_a_better_harvest_never_costs_a_member_days(export, scores):
    def more(e):
        e.z[member.HARVEST] = [z + scores for z in e.z[member.HARVEST]]
        estimate.refresh(e)
    laid = rigs.asked(export)
    assert all(b >= a - ROUNDING for a, b in zip(days(ahead(laid).floor_d), days(ahead(laid, more).floor_d)))


@drawn
@given(rigs.exports(), st.floats(0.0, 2.0), st.sampled_from([member.DRAW, member.FRIDGE, member.HABIT,
                                                             member.STANDBY]))
def test_more_draw_never_gives_a_member_more_days(export, scores, which):
    def more(e):
        e.z[which] = [z + scores for z in e.z[which]]
        estimate.refresh(e)
    laid = rigs.asked(export)
    for name in ("floor_d", "dark_d"):
        assert all(b <= a + ROUNDING for a, b in zip(days(getattr(ahead(laid), name)), days(getattr(ahead(laid, more),
                                                                                               name))))


@drawn
@given(rigs.exports(), st.floats(0.0, 2.0))
def test_more_capacity_never_costs_a_member_days(export, scores):
    export = {**export, "circuits": [{**{k: v for k, v in row.items() if k not in ("draw_w", "through_inverter")},
                                      "draw_a": row.get("draw_a", 1.5)} for row in export["circuits"]]}
    export.pop("inverters", None)

    def capacity(more):
        def change(e):
            e.rig.self_discharge_per_h = 0.0
            e.z[member.CAPACITY] = [z + more for z in e.z[member.CAPACITY]]
            estimate.refresh(e)
        return change
    laid = rigs.asked(export)
    # As in the step: constant currents and no self-discharge, and no sun, of which a bigger bank takes more.
    small, big = (days(ahead(laid, capacity(more)).dark_d) for more in (0.0, scores))
    assert all(b >= a - ROUNDING for a, b in zip(small, big))


@drawn
@given(rigs.exports())
def test_every_answer_is_finite_ordered_and_within_its_bounds(export):
    told = rigs.answer(export, members=10)
    text = json.dumps(told, allow_nan=False)
    assert told == json.loads(text)
    assert 0.0 <= told["state_of_charge"]["p10"] <= told["state_of_charge"]["p90"] <= 1.0
    for name in ("days_left", "days_left_without_sun"):
        assert 0.0 <= told[name]["p10"] <= told[name]["p50"] <= told[name]["p90"] <= 14.0
        assert 0.0 <= told[name]["beyond_horizon"] <= 1.0
    assert told["reaches_trip_end"] is None or 0.0 <= told["reaches_trip_end"] <= 1.0


# ---- readings

def spread(values):
    middle = sum(values) / len(values)
    return math.sqrt(sum((v - middle) ** 2 for v in values) / len(values))


def heard(export, volts_of, noise=0.0, n=40):
    """Spread of the charge before and after a rested reading at the moment of the question."""
    laid = rigs.asked(export)
    e = rigs.ensemble(laid, n=n, log=True)
    k = int((laid.question["asked_at"] - laid.course.grid[0]) / 3600)
    asked_reading = {"volts": 12.5 * laid.rig.scale, "state": "rested", "rested_h": 5}
    expected = gauge.expected(e, laid.course, laid.question, asked_reading, k)
    before = spread(e.soc)
    estimate.update(e, expected.volts, volts_of(expected.volts) + noise * expected.sd_v, expected.sd_v,
                    gross_share=expected.gross_share, gross_span=expected.gross_span_v)
    return before, spread(e.soc)


@drawn
@given(rigs.exports())
def test_a_rested_reading_that_agrees_never_widens_the_band(export):
    before, after = heard(export, lambda volts: sum(volts) / len(volts))
    assert after <= before * (1 + 1e-9)


@settings(max_examples=15, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(rigs.exports())
def test_on_average_over_what_may_be_true_a_rested_reading_narrows_the_band(export):
    # The truth is each member in turn, and the gauge errs by its own spread either way.
    before, after = 0.0, 0.0
    for i in range(0, 40, 4):
        for noise in (-1.0, 0.0, 1.0):
            wide, narrow = heard(export, lambda volts, i=i: volts[i], noise)
            before, after = before + wide, after + narrow
    assert after <= before * (1 + 1e-9)


# ---- order and noise

def close(one, other, rel=1e-6):
    """Two answers alike but for the rounding of sums in another order."""
    if isinstance(one, dict):
        return set(one) == set(other) and all(close(one[key], other[key], rel) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(close(a, b, rel) for a, b in zip(one, other))
    if isinstance(one, float):
        return math.isclose(one, other, rel_tol=rel, abs_tol=1e-9)
    return one == other


@drawn
@given(rigs.exports(), st.randoms(use_true_random=False))
def test_the_order_of_rows_changes_nothing(export, order):
    export = {**export, "skies": export["skies"] + [{**row, "id": row["id"] + "x", "condition": "clear"}
                                                    for row in export["skies"][:1]]}
    mixed = json.loads(json.dumps(export))
    for name in (*rigs.LOG, "circuits", "gauges", "sources", "banks", "trips"):
        if name in mixed:
            order.shuffle(mixed[name])
    assert close(rigs.answer(export, members=10), rigs.answer(mixed, members=10))


@drawn
@given(rigs.exports(at_camp=True))
def test_records_that_say_nothing_about_this_bank_change_nothing(export):
    # Checks and findings; notes and names; fuses and slots; a trip that was over before the log began; a charger that
    # was never plugged in; a bank that had been taken out; a day without word, without figure.
    noisy = json.loads(json.dumps(export))
    noisy["checks"], noisy["findings"] = [{"id": "c", "what": "torque"}], [{"id": "f", "check": "c"}]
    noisy["note"], noisy["rig"]["name"] = "sunny", "another name"
    for one in noisy["circuits"]:
        one.update(name="renamed", fuse_a=10, fuse_slot="3", essential=True)
    for one in noisy["readings"] + noisy["events"]:
        one["note"] = "by the door"
    noisy["trips"].append({**noisy["trips"][0], "id": "old", "starts_at": "2023-05-01T12:00+00:00",
                           "ends_at": "2023-05-09T12:00+00:00", "lat_deg": -10.0, "stops": []})
    noisy["sources"] = noisy["sources"] + [{"id": "never", "kind": "shore", "max_a": 30}]
    noisy["banks"][0]["installed_on"] = "2024-01-01"
    noisy["banks"].append({"id": "gone", "chemistry": "flooded", "rated_ah": 20, "floor_soc": 0.9,
                           "removed_on": "2024-01-01"})
    one, other = rigs.answer(export, members=10), rigs.answer(noisy, members=10)
    for told in (one, other):       # only the name may differ, where it is told
        for line in told["because"]:
            line["args"].pop("circuit", None)
    assert one == other


@drawn
@given(rigs.exports(at_camp=True))
def test_a_sky_without_word_or_figure_changes_nothing(export):
    said = {row["day"] for row in export["skies"]}
    silent = [{"id": f"silent-{i}", "day": row[0], "condition": "unknown"}
              for i, row in enumerate(rigs.question(export)["days"][1:4]) if row[0] not in said]
    assert rigs.answer(export, members=10) == rigs.answer({**export, "skies": export["skies"] + silent}, members=10)


@drawn
@given(rigs.exports(), st.integers(1, 5))
def test_the_course_holds_every_hour_of_the_horizon(export, seed):
    laid = rigs.asked(export)
    ahead_h = sum(one[0] for part in laid.course.ahead for one in part.rows)
    assert ahead_h == pytest.approx(courses.HORIZON_DAYS * 24, abs=1e-6)
    log_h = sum(one[0] for part in laid.course.log for one in part.rows)
    assert log_h == pytest.approx((laid.course.asked_s - laid.course.starts_s) / 3600, abs=1e-6)
    for group in laid.course.loads.groups:
        assert min(group) >= 0.0
