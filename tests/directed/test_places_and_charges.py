"""Stops, skies, planned charging and harvest read off a controller: what each must do to what comes in."""
from datetime import datetime

import pytest

from directed.asking import answer, charge, in_ah, width
from directed.simulator import Camp, day, moment

ASKED_H = 24 + 20.0
HUNGRY = dict(start_soc=0.6, floor_soc=0.2)   # a bank that takes all it is given


def with_stops(export: dict, *stops) -> dict:
    export["trips"][0]["stops"] = list(stops)
    return export


def low(truth) -> list:
    """The log of a bank that is far from full: one rested reading this morning."""
    return [truth.rested(29.0)]


def sky(d: int, condition: str, **more) -> dict:
    return {"id": f"sky-{d}", "day": day(d), "condition": condition, **more}


def test_a_shaded_stop_takes_its_share_of_the_harvest_from_the_day_it_begins():
    truth = Camp(**HUNGRY).run()
    skies = [sky(d, "clear") for d in range(2, 6)]
    open_sky = answer(truth.export(ASKED_H, readings=low(truth), skies=skies))
    woods = answer(with_stops(truth.export(ASKED_H, readings=low(truth), skies=skies),
                              {"from": moment(72.0), "shade": 0.7}))
    assert in_ah(woods, day(2)) == pytest.approx(in_ah(open_sky, day(2)), rel=0.02)
    for d in (3, 4, 5):
        assert in_ah(woods, day(d)) == pytest.approx(0.3 * in_ah(open_sky, day(d)), rel=0.1)
    assert woods["days_left"]["p50"] < open_sky["days_left"]["p50"]


def test_a_past_stop_in_the_woods_has_cost_what_the_panel_did_not_give():
    shady = Camp(shade={0.0: 0.0, 14.0: 0.8}, **HUNGRY).run()
    open_sky = Camp(**HUNGRY).run()
    lost = open_sky.soc(68.0) - shady.soc(68.0)
    skies = [sky(d, "clear") for d in (0, 1, 2)]
    reading = [open_sky.rested(13.0)]
    told = answer(with_stops(shady.export(68.0, readings=reading, skies=skies), {"from": moment(14.0), "shade": 0.8}))
    without = answer(open_sky.export(68.0, readings=reading, skies=skies))
    assert charge(without) - charge(told) == pytest.approx(lost, rel=0.35)


def test_a_stop_elsewhere_has_the_sun_of_that_place():
    winter = Camp(day_0=datetime(2025, 12, 10), **HUNGRY)
    truth = winter.run()
    south = answer(truth.export(ASKED_H, readings=low(truth)))
    north = answer(with_stops(truth.export(ASKED_H, readings=low(truth)),
                              {"from": moment(48.0, winter), "lat_deg": 60.0, "lon_deg": -105.0}))
    for d in (2, 3):
        # clear-day irradiation on the flat in mid-December: about 3.2 kWh/m2 at 35 degrees, under 0.5 at 60
        assert in_ah(north, day(d, winter)) < 0.3 * in_ah(south, day(d, winter))
    dawns = [next(n["at"] for n in a["nights"] if n["day"] == day(3, winter)) for a in (south, north)]
    assert 1.5 < (dawns[1] - dawns[0]) / 3600.0 < 3.0   # sunrise at 7:00 and 9:15 by the almanac's day lengths


def planned(from_h: float, hours: float, source: str = "shore") -> list:
    return [{"id": "c", "source_id": source, "starts_at": moment(from_h), "hours": hours}]


def test_three_planned_hours_on_shore_add_what_they_give():
    truth = Camp(panel_w=0.0, start_soc=0.9, floor_soc=0.2).run()
    plain = answer(truth.export(ASKED_H, readings=low(truth)))
    plugged = answer(truth.export(ASKED_H, readings=low(truth), charges=planned(48.5, 3.0)))
    given_ah = 3.0 * 10.0
    assert in_ah(plain, day(2)) == 0.0
    assert in_ah(plugged, day(2)) == pytest.approx(given_ah, rel=0.15)
    # the bank would have met its floor: it carries them on for as long as the amp-hours last
    daily_ah = truth.sum_ah("out", 48.0, 72.0)
    gained = plugged["days_left"]["p50"] - plain["days_left"]["p50"]
    assert gained == pytest.approx(given_ah / daily_ah, rel=0.3)
    assert plugged["days_left_without_sun"]["p50"] - plain["days_left_without_sun"]["p50"] == pytest.approx(gained)


def test_a_full_bank_takes_little_from_the_shore():
    truth = Camp(panel_w=0.0).run()
    charged = Camp(panel_w=0.0, charges=((13.0, 3.0, "shore"),)).run()
    plain, plugged = answer(truth.export(12.5)), answer(truth.export(12.5, charges=planned(13.0, 3.0)))
    gained = plugged["nights"][0]["dawn_soc"]["p50"] - plain["nights"][0]["dawn_soc"]["p50"]
    assert 0.0 < gained < 0.17 / 2      # the charger could have given 17 points: less than half of it fits in
    assert gained == pytest.approx(charged.soc(29.0) - truth.soc(29.0), abs=0.02)


def test_an_hour_of_shore_in_the_past_stands_in_the_charge_now():
    charged = Camp(panel_w=0.0, charges=((36.0, 4.0, "shore"),), **HUNGRY).run()
    plain = Camp(panel_w=0.0, **HUNGRY).run()
    risen = charged.soc(ASKED_H) - plain.soc(ASKED_H)
    told = answer(charged.export(ASKED_H, readings=low(charged), charges=planned(36.0, 4.0)))
    silent = answer(plain.export(ASKED_H, readings=low(plain)))
    assert charge(told) - charge(silent) == pytest.approx(risen, rel=0.3)


def test_driving_charges_less_than_the_lead_is_rated_for():
    truth = Camp(panel_w=0.0, **HUNGRY).run()
    towed = answer(truth.export(ASKED_H, readings=low(truth), charges=planned(48.5, 3.0, "tow")))
    assert 0.3 * 60.0 < in_ah(towed, day(2)) < 0.9 * 60.0


def test_two_days_of_rain_bring_a_fraction_and_nothing_to_the_days_around():
    truth = Camp(skies=("clear", "clear", "rain", "rain", "clear"), **HUNGRY).run()
    clear = answer(truth.export(ASKED_H, readings=low(truth), skies=[sky(d, "clear") for d in range(6)]))
    wet = answer(truth.export(ASKED_H, readings=low(truth), skies=truth.words(0, 5)))
    for d in (2, 3):
        assert in_ah(wet, day(d)) < 0.45 * in_ah(clear, day(d))
    assert in_ah(wet, day(4)) == pytest.approx(in_ah(clear, day(4)), rel=0.15)
    assert wet["days_left"]["p50"] <= clear["days_left"]["p50"]


def test_the_words_for_the_sky_rank_as_people_mean_them():
    truth = Camp(**HUNGRY).run()
    harvest = [in_ah(answer(truth.export(ASKED_H, readings=low(truth), skies=[sky(2, word)])), day(2))
               for word in ("rain", "overcast", "partly", "clear")]
    assert harvest == sorted(harvest)
    assert harvest[-1] > 2.0 * harvest[0]


def test_harvest_read_off_the_controller_finds_a_dusty_panel():
    truth = Camp(harvest=0.45, **HUNGRY).run()
    asked_h = 3 * 24 + 20.0
    plain = truth.words(0, 3)
    read = [{**row, "harvest_ah": round(truth.sum_ah("in", 24.0 * d, 24.0 * d + 24.0), 1)} if d else row
            for d, row in enumerate(plain)]
    silent = answer(truth.export(asked_h, readings=low(truth), skies=plain))["learned"]["harvest_factor"]
    told = answer(truth.export(asked_h, readings=low(truth), skies=read[:3] + plain[3:]))["learned"]["harvest_factor"]
    assert width(told) < 0.7 * width(silent)
    assert told["p50"] < silent["p50"] - 0.1


def test_a_typed_harvest_scales_the_days_to_come():
    truth = Camp(harvest=0.45, **HUNGRY).run()
    asked_h = 3 * 24 + 20.0
    skies = [sky(d, "clear") for d in range(6)]
    read = [{**row, "harvest_ah": round(truth.sum_ah("in", 24.0 * d, 24.0 * d + 24.0), 1)} if d in (1, 2) else row
            for d, row in enumerate(skies)]
    told = answer(truth.export(asked_h, readings=low(truth), skies=read))
    assert in_ah(told, day(4)) == pytest.approx(truth.sum_ah("in", 96.0, 120.0), rel=0.2)
