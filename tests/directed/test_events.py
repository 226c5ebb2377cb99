"""What happened to an appliance, a fuse, the selector or the bank: the direction and the size of what it must do."""
import pytest

from directed.asking import ah, answer, charge, width
from directed.simulator import Camp, appliances, day, moment

ASKED_H = 3 * 24 + 20.0


@pytest.fixture(scope="module")
def cut_out():
    """A sunless camp on a bank of little more than half its label; its fridge stops at 11.9 V, long before the books
    would say so. Asked two hours after it stopped."""
    loads = appliances()
    loads[0].more = {"cutoff_v": 11.9}
    truth = Camp(panel_w=0.0, true_ah=120.0, loads=loads).run()
    stopped_h = next(s[0] for s in truth.steps if truth.volts(s[0], amps=s[4] - s[6]["fridge"] + 4.0) <= 11.9)
    event = {"id": "e", "between": [moment(stopped_h - 1.0), moment(stopped_h)], "kind": "cut_out",
             "circuit_id": "fridge"}
    asked_h = stopped_h + 2.0
    return truth.soc(asked_h), answer(truth.export(asked_h)), answer(truth.export(asked_h, events=[event]))


def test_a_cut_out_pulls_the_charge_to_where_the_appliance_stops(cut_out):
    true_soc, silent, told = cut_out
    assert told["state_of_charge"]["p10"] <= true_soc + 0.05
    # not the whole way: which charge belongs to 11.9 V differs between batteries by some twenty points
    assert 0.3 < (charge(silent) - charge(told)) / (charge(silent) - true_soc) < 1.3


def test_an_early_cut_out_teaches_that_the_bank_is_smaller_than_its_label(cut_out):
    _, silent, told = cut_out
    assert told["learned"]["capacity_ah"]["p50"] < 0.98 * silent["learned"]["capacity_ah"]["p50"]


def test_a_cut_out_that_nothing_else_bears_out_leaves_a_doubt_and_swings_nothing():
    truth = Camp().run()
    event = {"id": "e", "at": moment(30.0), "kind": "cut_out", "circuit_id": "fridge"}   # at 10.6 V, a day after full
    silent, told = answer(truth.export(31.0)), answer(truth.export(31.0, events=[event]))
    assert abs(charge(silent) - charge(told)) < 0.10
    assert width(told["state_of_charge"]) > 1.2 * width(silent["state_of_charge"])


def test_a_flat_bank_is_nearly_empty_and_below_the_floor():
    truth = Camp(panel_w=0.0).run()
    event = {"id": "e", "at": moment(54.0), "kind": "flat"}
    silent, told = answer(truth.export(55.0)), answer(truth.export(55.0, events=[event]))
    assert charge(silent) > 0.3
    assert charge(told) < 0.2 and charge(silent) - charge(told) > 0.2
    assert told["days_left"]["p90"] == 0.0 and told["limit"] == "below_floor"


def test_a_jump_start_leaves_little_known_but_that_the_bank_is_not_full():
    truth = Camp().run()
    readings = [truth.rested(29.0)]
    event = {"id": "e", "at": moment(33.0), "kind": "jump_start"}
    silent = answer(truth.export(34.0, readings=readings))
    told = answer(truth.export(34.0, readings=readings, events=[event]))
    assert width(told["state_of_charge"]) > 1.3 * width(silent["state_of_charge"])
    assert width(told["state_of_charge"]) > 0.4
    assert charge(told) < 0.5


def fuse(*changes) -> dict:
    """Events of the lights' fuse: (hour, kind)."""
    return [{"id": f"f-{h:g}", "at": moment(h), "kind": kind, "circuit_id": "lights"} for h, kind in changes]


def test_a_blown_fuse_stops_its_circuit_and_nothing_else():
    truth = Camp().run()
    whole = answer(truth.export(ASKED_H))
    blown = answer(truth.export(ASKED_H, events=fuse((ASKED_H - 3.0, "fuse_blown"))))
    for d in (4, 8):
        assert ah(blown, day(d), "lights") == 0.0
        assert ah(blown, day(d), "fridge") == pytest.approx(ah(whole, day(d), "fridge"), rel=0.05)
        lights_ah = truth.sum_ah("lights", 96.0, 120.0)
        assert ah(whole, day(d)) - ah(blown, day(d)) == pytest.approx(lights_ah, rel=0.3)


def test_a_blown_fuse_of_days_ago_has_saved_its_circuits_amp_hours():
    camp = dict(panel_w=0.0)
    blown, whole = Camp(dead=(("lights", 14.0, 1e9),), **camp).run(), Camp(**camp).run()
    saved = blown.soc(ASKED_H) - whole.soc(ASKED_H)
    told = answer(blown.export(ASKED_H, events=fuse((14.0, "fuse_blown"))))
    silent = answer(whole.export(ASKED_H))
    assert charge(told) - charge(silent) == pytest.approx(saved, rel=0.3)


def test_a_restored_circuit_draws_again_and_the_dark_hours_stay_saved():
    truth = Camp(panel_w=0.0).run()
    whole = answer(truth.export(ASKED_H))
    mended = answer(truth.export(ASKED_H, events=fuse((14.0, "fuse_blown"), (40.0, "restored"))))
    blown = answer(truth.export(ASKED_H, events=fuse((14.0, "fuse_blown"))))
    assert ah(mended, day(4), "lights") == pytest.approx(ah(whole, day(4), "lights"), rel=0.1)
    assert charge(whole) < charge(mended) < charge(blown)


SELECTOR = {"positions": [{"name": "use", "feeds": "bank"}, {"name": "none", "feeds": "nothing"}]}
BLOCK = ("lights", "fan", "pump")


def turned(*turns) -> dict:
    """A selector, and when it was turned where."""
    return {"selector": SELECTOR, "positions": [{"id": f"p-{h:g}", "at": moment(h), "position": name}
                                                for h, name in turns]}


def test_a_selector_that_feeds_nothing_stops_the_fuse_block_and_not_what_hangs_on_the_battery():
    truth = Camp().run()
    on, off = answer(truth.export(ASKED_H, **turned())), answer(truth.export(ASKED_H, **turned((ASKED_H, "none"))))
    for circuit in BLOCK:
        assert ah(on, day(4), circuit) > 0.5
        assert ah(off, day(4), circuit) == 0.0
    for circuit in ("fridge", "alarm"):
        assert ah(off, day(4), circuit) == pytest.approx(ah(on, day(4), circuit), rel=0.05)
    block_ah = sum(truth.sum_ah(circuit, 96.0, 120.0) for circuit in BLOCK)
    assert ah(on, day(4)) - ah(off, day(4)) == pytest.approx(block_ah, rel=0.3)
    assert off["days_left"]["p50"] > on["days_left"]["p50"]


def test_days_with_the_selector_off_have_saved_what_the_fuse_block_would_have_drawn():
    off = Camp(panel_w=0.0, selector_off=((14.0, 62.0),)).run()
    on = Camp(panel_w=0.0).run()
    saved = off.soc(ASKED_H) - on.soc(ASKED_H)
    told = answer(off.export(ASKED_H, **turned((14.0, "none"), (62.0, "use"))))
    assert charge(told) - charge(answer(on.export(ASKED_H, **turned()))) == pytest.approx(saved, rel=0.3)


def test_without_a_record_the_selector_stands_where_it_feeds_the_bank():
    truth = Camp().run()
    assert answer(truth.export(ASKED_H, **turned())) == answer(truth.export(ASKED_H))
