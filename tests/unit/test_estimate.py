"""estimate.py: the ensemble, and what readings, "full", charges, skies and mishaps in the log teach it."""

import math

import pytest

from daybank.energy import constants, course, estimate, member
from properties.rigs import LOG, answer, asked, camp, ensemble, moment, question, reading, second

LONG_REST = {"rested_h": 10}


def mean(values):
    return sum(values) / len(values)


def sd(values):
    middle = mean(values)
    return math.sqrt(sum((v - middle) ** 2 for v in values) / (len(values) - 1))


def soc(export, *, members=100):
    return answer(export, members=members)["state_of_charge"]


def without_log(**parts):
    return camp(**({name: [] for name in LOG} | parts))


# ---- the update, against the exact answer

def linear(n=4000, sd_x=0.1, prior=0.0):
    """Members whose one score is standard normal and whose charge hangs on it by a straight line."""
    e = ensemble(asked(without_log()), n=n)
    e.soc = [0.6 + sd_x * z for z in e.z[member.CURVE]]
    return e


def test_one_reading_of_a_linear_gaussian_case_gives_the_kalman_answer():
    e = linear()
    noise = 0.08
    surprise = estimate.update(e, list(e.soc), 0.7, noise, gross_share=0.0, gross_span=1.0)
    gain = 0.1 ** 2 / (0.1 ** 2 + noise ** 2)
    assert mean(e.soc) == pytest.approx(0.6 + gain * 0.1, abs=1e-3)
    assert sd(e.soc) == pytest.approx(0.1 * math.sqrt(1 - gain), rel=5e-3)
    assert surprise == pytest.approx(0.1 / math.hypot(0.1, noise), rel=5e-3)


def test_the_score_behind_the_charge_moves_with_it():
    e = linear()
    estimate.update(e, list(e.soc), 0.7, 0.08, gross_share=0.0, gross_span=1.0)
    gain = 0.1 / (0.1 ** 2 + 0.08 ** 2)
    assert mean(e.z[member.CURVE]) == pytest.approx(gain * 0.1, abs=0.01)


def test_two_readings_one_after_the_other_are_the_two_at_once():
    e = linear()
    for seen in (0.7, 0.5):
        estimate.update(e, list(e.soc), seen, 0.1, gross_share=0.0, gross_span=1.0)
    assert mean(e.soc) == pytest.approx(0.6, abs=2e-3)
    assert sd(e.soc) == pytest.approx(0.1 / math.sqrt(3), rel=1e-2)


def test_a_score_that_has_nothing_to_do_with_it_stays():
    e = linear()
    before = list(e.z[member.TOW_LEAD])
    estimate.update(e, list(e.soc), 0.7, 0.05, gross_share=0.0, gross_span=1.0)
    assert mean(e.z[member.TOW_LEAD]) == pytest.approx(mean(before), abs=0.02)
    assert sd(e.z[member.TOW_LEAD]) == pytest.approx(sd(before), rel=0.02)


def test_a_sharper_reading_moves_more():
    moved = []
    for noise in (0.3, 0.1, 0.02):
        e = linear(n=500)
        estimate.update(e, list(e.soc), 0.7, noise, gross_share=0.0, gross_span=1.0)
        moved.append(mean(e.soc))
    assert 0.6 < moved[0] < moved[1] < moved[2] < 0.7 + 1e-3


def test_a_gross_error_leaves_the_answer_where_it_was():
    e = linear(n=500)
    surprise = estimate.update(e, list(e.soc), 2.1, 0.05, gross_share=0.1, gross_span=2.0)
    assert surprise > 8
    assert mean(e.soc) == pytest.approx(0.6, abs=0.01)


def test_doubt_lies_between_trust_and_disbelief():
    moved = []
    for share in (0.0, 0.1, 0.4, 0.8):
        e = linear(n=500)
        estimate.update(e, list(e.soc), 0.75, 0.05, gross_share=share, gross_span=1.0)
        moved.append(mean(e.soc))
    assert moved == sorted(moved, reverse=True) and moved[0] > moved[-1] + 0.02


def test_members_that_all_expect_the_same_learn_nothing():
    e = linear(n=50)
    before = list(e.soc)
    estimate.update(e, [12.5] * 50, 12.6, 0.1, gross_share=0.1, gross_span=2.0)
    assert e.soc == before


def test_no_update_leads_outside_empty_and_full():
    e = linear(n=200, sd_x=0.3)
    e.soc = [min(1.0, max(0.0, s)) for s in e.soc]
    estimate.update(e, [12.0 + s for s in e.soc], 13.4, 0.2, gross_share=0.0, gross_span=2.0)
    assert 0.0 <= min(e.soc) and max(e.soc) == 1.0


# ---- what the members share

def test_the_bank_in_service_is_the_one_whose_dates_hold_the_day():
    banks = [{"id": "old", "removed_on": "2025-06-01"}, {"id": "new", "installed_on": "2025-06-01"}]
    assert estimate.bank_in_service({"banks": banks}, "2025-05-31")["id"] == "old"
    assert estimate.bank_in_service({"banks": banks}, "2025-06-01")["id"] == "new"


def test_a_day_without_a_bank_is_refused():
    with pytest.raises(ValueError, match="No bank is in service on 2025-06-01; give a bank whose dates hold that day"):
        estimate.bank_in_service({"banks": [{"id": "old", "removed_on": "2025-06-01"}]}, "2025-06-01")


@pytest.mark.parametrize("chemistry", constants.CHEMISTRIES)
def test_the_bands_of_efficiency_are_those_of_the_chemistry(chemistry):
    e1, first, e2, second_share, third = estimate.efficiency_bands(chemistry)
    stages = constants.CHARGE_STAGES[chemistry]
    for at in (0.05, 0.5, 0.85, 0.95, 0.995):
        share = first if at < e1 else (second_share if at < e2 else third)
        assert share == next(efficiency for upper, efficiency in stages if at < upper)


def test_many_circuits_average_their_labels_out():
    lamp = camp()["circuits"][2]
    one = asked(without_log(circuits=[lamp], gauges=[])).rig
    many = asked(without_log(circuits=[{**lamp, "id": f"l{i}", "draw_a": 0.25} for i in range(8)], gauges=[])).rig
    assert member.DRAW_COMMON_LOG_SD <= many.draw_log_sd < one.draw_log_sd


# ---- where the replay begins

def start(export):
    return estimate.start_of_replay(question(export))


def test_the_replay_begins_at_the_first_record_or_at_the_start_of_the_trip():
    heard = {"skies": [{"day": "2025-06-10", "condition": "clear"}]}   # the table of days reaches back to it
    assert start(without_log(**heard)) == second(10, 12)
    assert start(without_log(readings=[reading(9, 8, 12.7)])) == second(9, 8)
    assert start(without_log(trips=[], readings=[reading(11, 8, 12.7)])) == second(11, 8)


def test_nothing_at_all_begins_at_the_question():
    assert start(without_log(trips=[])) == second(12, 20)


def test_a_year_old_record_does_not_lengthen_the_replay():
    old = {"id": "old", "at": "2024-08-01T12:00-06:00", "volts": 12.5, "state": "rested"}
    assert start(camp(readings=[old, *camp()["readings"]])) == second(10, 12)


def test_a_trip_that_began_before_the_table_of_days_begins_at_its_edge():
    trip = {**camp()["trips"][0], "starts_at": "2025-06-02T12:00-06:00"}
    asked_about = question(without_log(trips=[trip]))
    assert estimate.start_of_replay(asked_about) >= asked_about["days"][0][1]
    answer(without_log(trips=[trip]), members=8)


# ---- the start

def test_a_sample_has_one_score_in_every_stratum():
    e = ensemble(asked(without_log()), n=50)
    for column in e.z[:member.SEASON]:
        assert sorted(column) == pytest.approx(e.ranked)


def test_the_first_charges_fill_the_whole_range_in_order():
    for share in (None, 0.3, 0.8):
        charges = [estimate.first_soc((k + 0.5) / 100, share) for k in range(100)]
        assert charges == sorted(charges) and 0.0 <= charges[0] < 0.6 and 0.99 < charges[-1] <= 1.0


def test_the_same_seed_gives_the_same_members_and_another_seed_others():
    laid = asked(without_log())
    one, same, other = (ensemble(laid, seed=seed) for seed in (1, 1, 2))
    assert one.z == same.z and one.soc == same.soc
    assert one.z != other.z


def test_cloudy_days_in_the_log_make_the_season_cloudier():
    def season(word):
        skies = [{"day": f"2025-06-{d}", "condition": word} for d in (10, 11, 12)]
        return mean(ensemble(asked(camp(skies=skies)), n=60).z[member.SEASON])
    assert season("overcast") < -0.1 < 0.1 < season("clear")


# ---- the sun of a day

def test_the_harvest_goes_straight_between_the_levels():
    ratio = (0.08, 0.35, 0.7, 1.0)
    assert [estimate.ratio_at(ratio, index) for index in course.LEVELS] == pytest.approx(ratio)
    assert estimate.ratio_at(ratio, 0.0) == 0.0
    assert estimate.ratio_at(ratio, 0.55) == pytest.approx(0.525)
    assert estimate.ratio_at(ratio, 1.1) == pytest.approx(1.1)


def test_without_a_place_no_member_has_sun():
    e = ensemble(asked(camp(trips=[])), log=True)
    assert e.sun == [0.0] * e.n


# ---- what the log says

def test_full_and_the_charger_says_so_brings_the_charge_up_and_together():
    empty = soc(without_log())
    full = soc(without_log(readings=[{"id": "f", "at": moment(12, 20), "state": "full"}]))
    assert full["p50"] > empty["p50"] + 0.2 and full["p90"] > 0.95
    assert full["p90"] - full["p10"] < 0.5 * (empty["p90"] - empty["p10"])


def test_low_rested_volts_lower_the_charge_and_high_ones_raise_it():
    low, plain, high = (soc(without_log(readings=rows)) for rows in (
        [reading(12, 20, 11.6, **LONG_REST)], [], [reading(12, 20, 12.85, **LONG_REST)]))
    assert low["p50"] < plain["p50"] - 0.1 and plain["p50"] < high["p50"] - 0.1


def test_one_typo_among_good_readings_hardly_moves_the_answer():
    good = [reading(day, 6, volts, **LONG_REST) for day, volts in ((11, 12.7), (12, 12.6))]
    honest = soc(camp(readings=[*camp()["readings"], *good]))
    typo = soc(camp(readings=[*camp()["readings"], *good, reading(12, 7, 10.2, **LONG_REST)]))
    assert abs(typo["p50"] - honest["p50"]) < 0.05


def test_a_confirmed_impossible_reading_is_kept_without_weight():
    odd = reading(12, 6, 126, confirmed=True)
    assert soc(camp(readings=[*camp()["readings"], odd]))["p50"] == pytest.approx(soc(camp())["p50"], abs=0.01)


@pytest.mark.parametrize(("volts", "nominal_v", "possible"), [
    (None, 12, True), (8.0, 12, True), (16.0, 12, True), (7.9, 12, False), (126.0, 12, False), (25.0, 24, True)])
def test_what_a_voltmeter_can_show_depends_on_the_bank(volts, nominal_v, possible):
    assert estimate.plausible_v(volts, nominal_v) is possible


def test_a_flat_bank_is_nearly_empty():
    flat = soc(camp(events=[{"id": "e", "at": moment(12, 19), "kind": "flat"}]))
    assert flat["p50"] < soc(camp())["p50"] - 0.2


def test_a_jump_start_leaves_the_charge_low_and_wide():
    jumped = soc(camp(events=[{"id": "e", "at": moment(12, 19), "kind": "jump_start"}]))
    assert jumped["p90"] < 0.65 and jumped["p90"] - jumped["p10"] > 0.3


def cut_out(**parts):
    fridge = {**camp()["circuits"][0], "cutoff_v": 11.6}
    circuits = [fridge, *camp()["circuits"][1:]]
    return without_log(circuits=circuits, trips=[{**camp()["trips"][0], "starts_at": moment(5, 12)}], **parts)


def test_an_appliance_that_cut_out_says_that_the_bank_is_low():
    event = {"id": "e", "at": moment(12, 4), "kind": "cut_out", "circuit_id": "fridge"}
    low_log = [reading(11, 6, 12.6, **LONG_REST), reading(12, 1, 12.4, **LONG_REST)]
    plain, told = soc(cut_out(readings=low_log)), soc(cut_out(readings=low_log, events=[event]))
    assert told["p50"] < plain["p50"]


def test_a_cut_out_between_two_moments_counts_in_their_middle():
    interval = {"id": "e", "between": [moment(12, 2), moment(12, 6)], "kind": "cut_out", "circuit_id": "fridge"}
    at = {"id": "e", "at": moment(12, 4), "kind": "cut_out", "circuit_id": "fridge"}
    low_log = [reading(11, 6, 12.3, **LONG_REST)]
    assert soc(cut_out(readings=low_log, events=[interval])) == soc(cut_out(readings=low_log, events=[at]))


def test_hours_on_the_charger_raise_the_charge():
    charge = {"id": "c", "source_id": "shore", "starts_at": moment(12, 8), "hours": 10}
    low = [reading(12, 6, 12.1, **LONG_REST)]
    assert soc(without_log(readings=low, charges=[charge]))["p50"] > soc(without_log(readings=low))["p50"] + 0.15


def test_amp_hours_read_off_the_controller_teach_the_harvest():
    def harvest(**told):
        skies = [{"day": "2025-06-11", "condition": "clear", **told}]
        low = [reading(11, 5, 12.2, **LONG_REST)]
        return answer(camp(readings=low, skies=skies))["learned"]["harvest_factor"]
    poor, good, untold = harvest(harvest_ah=24), harvest(harvest_ah=34), harvest()
    assert poor["p50"] < good["p50"] - 0.1
    assert good["p90"] - good["p10"] < untold["p90"] - untold["p10"]


def test_amp_hours_of_the_whole_arrival_day_say_nothing_of_its_afternoon():
    def learned(**told):
        trip = {**camp()["trips"][0], "starts_at": moment(10, 15)}
        skies = [{"day": "2025-06-10", "condition": "clear", **told}]
        return answer(camp(trips=[trip], readings=[], skies=skies), members=40)
    assert learned(harvest_ah=30) == learned()


def test_a_worded_sky_charges_by_its_word():
    low = [reading(11, 5, 12.2, **LONG_REST)]
    charges = [soc(camp(readings=low, skies=[{"day": f"2025-06-{d}", "condition": word} for d in (11, 12)]))["p50"]
               for word in ("rain", "overcast", "partly", "clear")]
    assert charges == sorted(charges) and charges[0] < charges[-1] - 0.05


def test_readings_that_fall_faster_than_the_labels_explain_teach_a_higher_draw():
    trip = {**camp()["trips"][0], "starts_at": moment(5, 20)}
    circuits = [row for row in camp()["circuits"] if row["id"] in ("alarm", "lights")]

    def amps_per_amp_hour(volts_a_day):
        rows = [reading(day, 6, 12.85 - volts_a_day * (day - 6), **LONG_REST) for day in range(6, 13)]
        learned = answer(camp(sources=[], trips=[trip], circuits=circuits, gauges=camp()["gauges"][1:],
                              readings=rows))["learned"]
        return learned["draw_factor"]["p50"] / learned["capacity_ah"]["p50"]
    slow, usual, fast = (amps_per_amp_hour(volts) for volts in (0.05, 0.10, 0.15))
    assert slow < usual < fast


def test_a_new_bank_forgets_what_the_old_one_taught():
    old = {**camp()["banks"][0], "removed_on": "2025-06-12"}
    new = {**camp()["banks"][0], "id": "new", "installed_on": "2025-06-12"}
    low = [reading(d, 6, 11.9, **LONG_REST) for d in (11,)]
    kept, changed = soc(camp(readings=low)), soc(camp(banks=[old, new], readings=low))
    assert changed["p90"] - changed["p10"] > kept["p90"] - kept["p10"]
    assert changed["p90"] > kept["p90"] + 0.1
