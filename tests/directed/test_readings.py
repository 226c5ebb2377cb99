"""Readings: a slip of the pen, amps beside volts, and days of readings that do not fall."""
import pytest

from directed.asking import answer, charge, width
from directed.simulator import Appliance, Camp, appliances, moment

ASKED_H = 3 * 24 + 20.0


def reading(at_h: float, volts: float, state: str = "rested", **more) -> dict:
    return {"id": f"t-{at_h:g}", "at": moment(at_h), "gauge_id": "meter", "state": state, "volts": volts, **more}


def test_an_impossible_voltage_that_was_confirmed_has_no_weight():
    truth = Camp().run()
    log = [truth.rested(29.0), truth.rested(53.0)]
    plain = answer(truth.export(ASKED_H, readings=log))
    odd = answer(truth.export(ASKED_H, readings=log + [reading(79.0, 126.0, confirmed=True)]))
    for key in ("state_of_charge", "days_left"):
        for p in ("p10", "p50", "p90"):
            assert odd[key][p] == pytest.approx(plain[key][p], rel=0.01, abs=0.003)


NIGHTLY_H = (29.0, 53.0, 77.0, 101.0)   # five in the morning, before the sun is on the panel


@pytest.mark.parametrize("at_h", NIGHTLY_H)
def test_one_wrong_voltage_amid_good_ones_moves_the_charge_less_than_five_points(at_h):
    truth = Camp().run()
    good = [reading(h, 12.6) for h in NIGHTLY_H]
    slip = [reading(h, 11.2 if h == at_h else 12.6) for h in NIGHTLY_H]
    unread = [reading(h, 12.6) for h in NIGHTLY_H if h != at_h]
    told = {name: charge(answer(truth.export(102.0, readings=log)))
            for name, log in (("good", good), ("slip", slip), ("unread", unread))}
    assert abs(told["slip"] - told["good"]) < 0.05
    assert abs(told["slip"] - told["unread"]) < 0.05


def test_a_wrong_voltage_is_named():
    truth = Camp().run()
    log = [reading(h, 11.2 if h == 77.0 else 12.6) for h in NIGHTLY_H]
    lines = answer(truth.export(102.0, readings=log))["because"]
    assert [line["args"]["volts"] for line in lines if line["code"] == "because_surprise_low"] == [11.2]


def test_three_days_of_readings_that_do_not_fall_raise_the_chance_to_last():
    truth = Camp(start_soc=0.72, harvest=0.95, panel_w=100.0, trip_days=14.0).run()
    assert truth.soc(77.0) == pytest.approx(truth.soc(29.0), abs=0.03), "the camp is not in balance"
    first = [truth.rested(29.0)]
    once = answer(truth.export(ASKED_H, readings=first))
    level = answer(truth.export(ASKED_H, readings=first + [truth.rested(h) for h in (53.0, 77.0)]))
    assert level["reaches_trip_end"] > once["reaches_trip_end"] + 0.1
    assert level["days_left"]["p50"] > once["days_left"]["p50"]


def test_three_days_of_readings_that_fall_lower_the_chance_to_last():
    truth = Camp(start_soc=0.95, harvest=0.3, panel_w=125.0, trip_days=14.0).run()
    first = [truth.rested(29.0)]
    once = answer(truth.export(ASKED_H, readings=first))
    fallen = answer(truth.export(ASKED_H, readings=first + [truth.rested(h) for h in (53.0, 77.0)]))
    assert fallen["days_left"]["p50"] < 0.8 * once["days_left"]["p50"]
    assert fallen["reaches_trip_end"] < once["reaches_trip_end"]


def test_readings_of_a_true_camp_bring_the_charge_home():
    for camp in (Camp(), Camp(panel_w=0.0, start_soc=0.9), Camp(harvest=0.5, start_soc=0.8), Camp(true_ah=150.0)):
        truth = camp.run()
        log = [truth.rested(h) for h in (29.0, 53.0, 77.0)]
        told = answer(truth.export(ASKED_H, readings=log))
        assert told["state_of_charge"]["p10"] <= truth.soc(ASKED_H) <= told["state_of_charge"]["p90"]
        assert abs(charge(told) - truth.soc(ASKED_H)) < 0.10


def test_measured_amps_sharpen_a_reading_where_a_heavy_load_may_be_on_or_off():
    kettle = Appliance("kettle", 60.0, "bank", "any", 8.0, 14.0, duty=0.5 / 14.0, more={"typical_h_per_day": 0.5})
    truth = Camp(panel_w=0.0, loads=[appliances()[1], kettle], rated_ah=100.0, true_ah=90.0, start_soc=0.9).run()
    log = reading(18.0, truth.volts(18.0, amps=0.5), "loaded")
    guessed, measured = (answer(truth.export(18.5, readings=[row])) for row in (log, {**log, "amps": 0.5}))
    assert width(measured["state_of_charge"]) < 0.85 * width(guessed["state_of_charge"])
    assert measured["state_of_charge"]["p10"] <= truth.soc(18.0) <= measured["state_of_charge"]["p90"]


def test_the_same_volts_under_more_amps_stand_for_more_charge():
    truth = Camp(panel_w=0.0).run()
    light, heavy = (answer(truth.export(55.5, readings=[reading(55.0, 12.1, "loaded", amps=amps)]))
                    for amps in (2.0, 40.0))
    # 38 A more through a 200 Ah AGM bank's 5 to 7 milliohm: 0.2 to 0.3 V, which is worth up to twenty points
    assert 0.05 < charge(heavy) - charge(light) < 0.25


def test_a_reading_behind_a_thin_wire_says_more_charge_than_the_same_volts_at_the_posts():
    truth = Camp(panel_w=0.0).run()
    gauges = [{"id": "meter", "name": "posts", "at": "posts", "resolution_v": 0.01},
              {"id": "dial", "name": "dial", "at": "panel", "resolution_v": 0.01, "wire_mm2": 4, "wire_m": 3,
               "shared_circuits": ["lights", "pump"]}]
    log = reading(55.0, 12.2, "loaded", on=["lights", "pump"])
    posts, panel = (answer(truth.export(55.5, gauges=gauges, readings=[{**log, "gauge_id": g}]))
                    for g in ("meter", "dial"))
    # 7.5 A over 6 m of 4 mm2 copper (26 milliohm): 0.2 V lower at the dial, which is worth up to seventeen points
    assert 0.05 < charge(panel) - charge(posts) < 0.25
