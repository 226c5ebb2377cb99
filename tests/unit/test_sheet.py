"""sheet.py: the figures beside each circuit of a rig."""
import json

import pytest

from daybank.energy import sheet

FRIDGE = {"id": "fridge", "feed": "bank", "draw_a": 6.0, "when": "thermostat", "wire_mm2": 2.5, "wire_m": 4.0,
          "fuse_a": 15, "cutoff_v": 10.4}


def line(**changes):
    circuit = {**FRIDGE, **changes}
    return sheet.circuit_line({k: v for k, v in circuit.items() if v is not None}, volts=12.5, nominal_v=12,
                              chemistry="agm", rated_ah=100)


def test_the_drop_is_ohms_law_over_both_conductors_of_a_warm_class_5_wire():
    # IEC 60228 class 5: 7.98 mohm/m at 20 C; copper gains 0.393 % a degree
    expected_v = 6.0 * 2 * 4.0 * 0.00798 * (1 + 0.00393 * 20)
    assert line()["drop_v"] == pytest.approx(expected_v, rel=0.01)
    assert line()["drop"] == "far"  # 3.4 % of 12 V: more than 3 %, less than 10 %


def test_a_fuse_above_the_wire_is_said_not_to_protect_it_in_europe_and_fits_in_the_us_table():
    judged = line(fuse_a=25)
    # 2.5 mm2: 24 A by IEC 60364-5-52 (PVC, clipped); 14 AWG with 60 C insulation: 20 A by 33 CFR 183.425
    assert judged["wire_carries_a"] == {"us": 20.0, "eu": 24.0}
    assert judged["fuse_protects"] == {"us": False, "eu": False}
    assert judged["fuse_that_fits_a"] == 7.5  # the least standard rating above 125 % of 6 A


def test_the_cut_off_is_seen_at_the_bank_through_the_wire():
    assert line()["bank_v_at_cutoff"] == pytest.approx(10.4 + line()["drop_v"])
    assert 0.0 <= line()["soc_at_cutoff"] < 0.3


def test_what_the_rig_does_not_say_is_left_open():
    open_line = line(wire_mm2=None, wire_m=None, fuse_a=None, cutoff_v=None)
    assert open_line["drop_v"] is None and open_line["bank_v_at_cutoff"] is None
    assert open_line["fuse_protects"] == {"us": None, "eu": None}


def test_a_wire_without_a_length_is_judged_but_has_no_drop():
    judged = line(wire_m=None)
    assert judged["drop_v"] is None and judged["fuse_protects"] == {"us": True, "eu": True}


def test_a_circuit_straight_on_the_bank_stays_live_when_the_selector_is_off():
    assert line()["live_when_selector_off"] is True
    assert line(feed="fuse_block")["live_when_selector_off"] is False


def test_a_hundred_ampere_hours_of_agm_can_exceed_a_blade_fuse():
    export = {"rig": {"nominal_v": 12}, "banks": [{"chemistry": "agm", "rated_ah": 100, "in_parallel": 2}],
              "circuits": [FRIDGE]}
    whole = json.loads(sheet.rig_sheet_json(json.dumps({"export": export})))["sheet"]
    assert whole["bank"]["blade_fuse_breaks_it"] is False and whole["bank"]["short_circuit_a"] > 1000
    assert whole["bank"]["usable_ah"] == pytest.approx(100)


def test_a_circuit_without_a_draw_is_refused_in_one_sentence():
    export = {"rig": {}, "banks": [{"chemistry": "agm", "rated_ah": 100}], "circuits": [{"id": "x", "feed": "bank"}]}
    assert "draw_a or draw_w" in json.loads(sheet.rig_sheet_json(json.dumps({"export": export})))["error"]
