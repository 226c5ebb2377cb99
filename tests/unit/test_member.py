"""member.py: one possible rig, its hidden values, and the step that carries its charge through the hours."""

import math

import pytest

from daybank.energy import bank, estimate, member, wells
from properties.rigs import asked, camp

SHARES = (0.8, 0.985, 0.9, 0.97, 0.92)   # efficiency by band, in the order that advance takes
EVEN = (2.0, 1.0, 3.0, 1.0, 1.0)         # one that stores all
C, K = 0.4, 0.7
ROW = ("dt_h", "sun_a", "thermostat_a", "standing_a", "logged_a", "habit_a", "power_share", "tow_a", "shore_a", "live")


def row(dt_h=1.0, **amps):
    given = {name: 0.0 for name in ROW} | {"dt_h": dt_h, "live": ()} | amps
    return tuple(given[name] for name in ROW)


def factors(standby_a=0.0, acceptance_per_h=50.0, leak_per_h=0.0, **more):
    named = {"thermostat": 1.0, "standing": 1.0, "logged": 1.0, "habit": 1.0, "sun": 1.0, "tow": 1.0, "shore": 1.0,
             "v_full": 12.7, "v_empty": 11.7, "v_label": 12.4} | more
    return (named["thermostat"], named["standing"], named["logged"], named["habit"], standby_a, named["sun"],
            named["tow"], named["shore"], acceptance_per_h, named["v_full"], named["v_empty"], named["v_label"],
            leak_per_h)


def run(rows, *, charge_ah=80.0, head_ah=0.0, surface=0.0, capacity_ah=100.0, floor_ah=-1.0, bands=EVEN, cutoffs=None,
        **rates):
    return member.advance((charge_ah, head_ah, surface), capacity_ah, factors(**rates), (C, K, bands), rows, floor_ah,
                          cutoffs)


# ---- charge

def test_what_is_drawn_leaves_the_bank():
    (charge, _, _), _, given, load, sun = run([row(standing_a=2.0)] * 5)
    assert (charge, load, given, sun) == (pytest.approx(70.0), pytest.approx(10.0), 0.0, 0.0)


def test_each_group_of_loads_has_its_own_factor():
    rows = [row(thermostat_a=1.0, standing_a=2.0, logged_a=3.0, habit_a=4.0)]
    (charge, _, _), _, _, load, _ = run(rows, thermostat=1.1, standing=1.2, logged=1.3, habit=1.4, standby_a=0.5)
    assert load == pytest.approx(1.1 + 2.4 + 3.9 + 5.6 + 0.5)
    assert charge == pytest.approx(80.0 - load)


def test_each_source_has_its_own_factor():
    (charge, _, _), _, given, _, sun = run([row(sun_a=1.0, tow_a=2.0, shore_a=3.0)], sun=0.8, tow=0.5, shore=0.9)
    assert (given, sun) == (pytest.approx(0.8 + 1.0 + 2.7), pytest.approx(0.8))
    assert charge == pytest.approx(80.0 + given)


def test_loads_are_served_first_by_what_charges():
    (charge, _, _), _, given, load, sun = run([row(sun_a=3.0, standing_a=3.0)])
    assert charge == pytest.approx(80.0)
    assert given == load == sun == pytest.approx(3.0)


@pytest.mark.parametrize(("charge_ah", "share"), [(50.0, 0.985), (85.0, 0.97), (95.0, 0.92)])
def test_of_a_charge_the_share_of_its_band_is_stored(charge_ah, share):
    (charge, _, _), _, given, _, _ = run([row(shore_a=2.0)], charge_ah=charge_ah, bands=SHARES)
    assert (charge - charge_ah, given) == (pytest.approx(2.0 * share), pytest.approx(2.0))


def test_nothing_on_and_no_sun_loses_only_self_discharge():
    (charge, _, _), _, given, load, _ = run([row()] * 48, leak_per_h=1e-4)
    assert charge == pytest.approx(80.0 * (1 - 1e-4) ** 48)
    assert given == load == 0.0


def test_a_nearly_full_bank_takes_only_what_it_accepts():
    (charge, _, _), _, given, load, sun = run([row(sun_a=20.0, standing_a=1.0)], charge_ah=98.0, acceptance_per_h=0.5)
    assert charge == pytest.approx(98.0 + 2.0 * (1 - math.exp(-0.5)))
    assert given == pytest.approx(load + charge - 98.0)
    assert sun == pytest.approx(given)


def test_no_charge_fills_a_bank_beyond_full():
    (charge, _, _), _, _, _, _ = run([row(sun_a=30.0)] * 40, charge_ah=20.0)
    assert 99.99 < charge <= 100.0


def test_no_load_takes_a_bank_below_nothing():
    (charge, _, _), _, _, load, _ = run([row(standing_a=30.0)] * 4)
    assert (charge, load) == (0.0, pytest.approx(120.0))


def test_constant_power_draws_more_amps_from_a_lower_bank():
    drawn = [run([row(habit_a=5.0, power_share=1.0)], charge_ah=ah)[3] for ah in (100.0, 70.0, 20.0)]
    assert drawn[1] == pytest.approx(5.0) and drawn[0] < drawn[1] < drawn[2]
    assert drawn[2] == pytest.approx(5.0 * 12.4 / (11.7 + 0.2))


def test_half_constant_power_changes_half_of_the_amps():
    whole, half = (run([row(habit_a=5.0, power_share=share)], charge_ah=20.0)[3] - 5.0 for share in (1.0, 0.5))
    assert half == pytest.approx(0.5 * whole)


# ---- steps

def hourly_and_daily(**amps):
    return run([row(**amps)] * 24, head_ah=-3.0), run([row(dt_h=24.0, **amps)], head_ah=-3.0)


@pytest.mark.parametrize("amps", [{"standing_a": 1.7}, {"standing_a": 1.0, "sun_a": 1.5}, {}])
def test_a_day_of_hours_and_one_days_step_agree_while_currents_are_steady(amps):
    (hours, _, given, load, sun), (day, _, given_1, load_1, sun_1) = hourly_and_daily(**amps)
    assert day[:2] == pytest.approx(hours[:2], rel=1e-9)
    assert (given_1, load_1, sun_1) == pytest.approx((given, load, sun), rel=1e-9)


def test_the_two_wells_follow_the_exact_step():
    (charge, head, _), *_ = run([row(standing_a=4.0), row(dt_h=3.0, standing_a=0.5), row(dt_h=2.0)], head_ah=-2.0)
    now = wells.wells(80.0, -2.0, C)
    for current_a, dt_h in ((4.0, 1.0), (0.5, 3.0), (0.0, 2.0)):
        now = wells.two_well_step(available_ah=now.available_ah, bound_ah=now.bound_ah, current_a=current_a, dt_h=dt_h,
                                  c=C, k_per_h=K)
    assert wells.wells(charge, head, C) == pytest.approx(now, rel=1e-9)


def test_the_charge_of_a_mixed_day_is_accounted_for():
    rows = [row(sun_a=s, standing_a=1.5, habit_a=h) for s, h in ((0, 2), (3, 0), (9, 0), (6, 4), (0, 1))]
    (charge, _, _), _, given, load, _ = run(rows)
    assert charge - 80.0 == pytest.approx(given - load, rel=1e-9)


# ---- the floor

def test_the_floor_is_crossed_where_the_straight_course_meets_it():
    _, crossed, *_ = run([row(dt_h=3.0, standing_a=4.0)] * 3, floor_ah=61.0)
    assert crossed == pytest.approx(19.0 / 4.0)


def test_a_bank_below_its_floor_is_there_already():
    assert run([row(sun_a=10.0)], charge_ah=49.0, floor_ah=50.0)[1] == 0.0


def test_a_bank_at_its_floor_is_there_as_soon_as_it_falls():
    assert run([row(standing_a=1.0)], charge_ah=50.0, floor_ah=50.0)[1] == 0.0
    assert run([row(sun_a=1.0)], charge_ah=50.0, floor_ah=50.0)[1] == -1.0


def test_the_first_crossing_stands_when_the_sun_brings_it_back():
    _, crossed, *_ = run([row(standing_a=4.0), row(sun_a=20.0), row(standing_a=30.0)], floor_ah=78.0)
    assert crossed == pytest.approx(0.5)


def test_a_floor_that_is_not_reached_has_no_time():
    assert run([row(standing_a=1.0)] * 5, floor_ah=50.0)[1] == -1.0


# ---- cut-offs

def test_a_cut_off_falls_in_the_first_hour_that_ends_below_it():
    cutoffs = [[70.0, 0.0, None]]
    run([row(standing_a=4.0, live=(0,))] * 6, cutoffs=cutoffs)
    available = [80.0 - 4.0 * h + (1 - C) * wells.head_after(0.0, 4.0, h, C, K) for h in range(1, 7)]
    assert cutoffs[0][2] == 1 + next(i for i, ah in enumerate(available) if ah < 70.0)


def test_more_load_beside_it_brings_a_cut_off_sooner():
    plain, beside = [[70.0, 0.0, None]], [[70.0, 2.0, None]]
    for cutoffs in (plain, beside):
        run([row(standing_a=4.0, live=(0,))] * 6, cutoffs=cutoffs)
    assert beside[0][2] < plain[0][2]


def test_an_appliance_that_does_not_draw_is_not_cut_off():
    cutoffs = [[79.0, 0.0, None]]
    run([row(standing_a=4.0)] * 6, cutoffs=cutoffs)
    assert cutoffs[0][2] is None


def test_a_cut_off_changes_nothing_of_the_course():
    rows = [row(standing_a=4.0, live=(0,))] * 6
    assert run(rows, cutoffs=[[79.0, 0.0, None]]) == run(rows)


# ---- surface charge

def test_charging_builds_surface_charge_and_rest_and_load_take_it_away():
    charged = run([row(sun_a=8.0)] * 4)[0][2]
    rested = run([row()] * 4, surface=charged)[0][2]
    loaded = run([row(standing_a=3.0)] * 4, surface=charged)[0][2]
    assert 0.1 < charged <= 1.0
    assert loaded < rested < charged


# ---- traits

def rig(**parts):
    return asked(camp(**parts)).rig


def middle():
    return [0.0] * len(member.SCORES)


def test_the_names_of_the_scores_stand_at_their_numbers():
    names = {name: getattr(member, name.upper()) for name in member.SCORES}
    assert names == {name: index for index, name in enumerate(member.SCORES)}


def test_standby_is_none_for_half_the_rigs_and_bounded_for_the_rest():
    amps = [member.standby_a(z / 10) for z in range(-40, 41)]
    assert amps == sorted(amps)
    assert member.standby_a(-0.001) == 0.0 < member.standby_a(0.1)
    assert amps[-1] <= member.STANDBY_MAX_A


def test_every_factor_of_the_middle_member_is_the_label():
    t = member.traits(rig(), middle())
    assert (t.draw, t.fridge, t.habit, t.slope) == (1.0, 1.0, 1.0, 1.0)
    assert (t.standby_a, t.gauge_v) == (0.0, (0.0, 0.0))


@pytest.mark.parametrize("z", [-9.0, -3.0, 3.0, 9.0])
def test_no_score_leads_outside_the_physical(z):
    for chemistry in ("agm", "gel", "flooded", "lifepo4"):
        banks = [{"id": "b", "chemistry": chemistry, "rated_ah": 100, "floor_soc": 0.5}]
        t = member.traits(rig(banks=banks), [z] * len(member.SCORES))
        assert 0.0 < t.capacity_ah <= 100.0 * member.CAPACITY_RANGE[1]
        assert min(t.draw, t.fridge, t.habit, t.harvest, t.slope, t.resistance_ohm, t.acceptance_per_h) > 0.0
        assert 0.0 <= t.standby_a <= member.STANDBY_MAX_A and t.tow_lead <= 1.0


def test_batteries_side_by_side_add_their_capacity():
    twice = [{**camp()["banks"][0], "in_parallel": 2}]
    one, two = (member.traits(r, middle()) for r in (rig(), rig(banks=twice)))
    assert two.capacity_ah == pytest.approx(2 * one.capacity_ah)
    assert two.resistance_ohm == pytest.approx(one.resistance_ohm / 2)


def test_shade_that_a_person_states_widens_the_harvest():
    z = middle()
    z[member.HARVEST] = -1.0
    open_sky, shaded = (member.traits(rig(trips=[{**camp()["trips"][0], "shade": s}]), z).harvest for s in (0.0, 0.5))
    assert shaded < open_sky


# ---- volts

def test_the_middle_members_rested_volts_are_the_curve_and_its_shift():
    r = rig()
    t = member.traits(r, middle())
    assert member.open_circuit_v(r, t, 0.6, 25.0) == pytest.approx(bank.open_circuit_v(0.6, "agm") + t.curve_v)


@pytest.mark.parametrize("z", [-2.0, 2.0])
def test_a_steeper_curve_turns_about_eighty_percent(z):
    r, scores = rig(), middle()
    scores[member.SLOPE] = z
    t, plain = member.traits(r, scores), member.traits(r, middle())

    def difference(soc):
        return member.open_circuit_v(r, t, soc, 25.0) - member.open_circuit_v(r, plain, soc, 25.0)
    assert difference(0.8) == pytest.approx(0.0, abs=1e-12)
    assert difference(1.0) * z > 0.0 > difference(0.3) * z


def test_twice_the_volts_scale_curve_and_shift():
    scores = middle()
    scores[member.CURVE] = 1.5
    low, high = rig(), rig(rig={**camp()["rig"], "nominal_v": 24})
    at_12, at_24 = (member.open_circuit_v(r, member.traits(r, scores), 0.5, 25.0) for r in (low, high))
    assert at_24 == pytest.approx(2 * at_12)


def test_the_constants_come_in_the_order_that_the_step_takes():
    # A day at the members' own constants loses what its loads take: the two tuples fit the step.
    there = asked(camp())
    e = estimate.first_members(there.question, there.course, there.rig, n=8, seed=1)
    for i in range(e.n):
        rates = estimate.factors(e, i, with_sun=False)
        state = member.advance((50.0, 0.0, 0.0), e.traits[i].capacity_ah, rates, estimate.wells(e.rig),
                               [row(standing_a=1.0)] * 24, -1.0)[0]
        leak = 50.0 * 24 * there.rig.self_discharge_per_h
        lost = 50.0 - state[0]
        assert lost == pytest.approx(24 * (e.traits[i].draw + e.traits[i].standby_a) + leak, rel=2e-3)
