"""The yardstick itself: the simulated camp keeps its own books, and is as one would expect of a camp."""
from pathlib import Path

import pytest

from directed import simulator
from directed.simulator import Camp, appliances


def test_what_is_stored_is_what_came_in_less_what_went_out():
    camp = Camp(panel_w=0.0, start_soc=0.95)
    truth = camp.run()
    spent_ah = truth.sum_ah("out", 12.0, 60.0)
    assert (0.95 - truth.soc(60.0)) * camp.true_ah == pytest.approx(spent_ah, rel=1e-9)


def test_charging_loses_the_stated_share_and_no_more():
    camp = Camp(loads=[], start_soc=0.3)
    truth = camp.run()
    assert (truth.soc(36.0) - 0.3) * camp.true_ah == pytest.approx(0.95 * truth.sum_ah("in", 12.0, 36.0), rel=1e-9)


def test_a_clear_day_gives_its_peak_sun_hours():
    camp = Camp(loads=[], start_soc=0.1, skies=("clear",))
    # 7 peak-sun hours of 100 W at four fifths, at 13.2 V
    assert camp.run().sum_ah("in", 24.0, 48.0) == pytest.approx(7.0 * 100.0 * 0.8 / 13.2, rel=0.01)


def test_no_camp_holds_more_than_full_or_less_than_nothing():
    for camp in (Camp(panel_w=0.0), Camp(panel_w=400.0, loads=appliances()[1:2])):
        assert all(0.0 <= step[1] <= 1.0 for step in camp.run().steps)


def test_volts_fall_with_the_charge_and_with_the_current():
    truth = Camp(panel_w=0.0).run()
    assert truth.volts(29.0, amps=0.0) > truth.volts(53.0, amps=0.0)
    assert truth.volts(29.0, amps=0.0) > truth.volts(29.0, amps=20.0)


def test_it_shares_no_code_with_the_model():
    lines = Path(simulator.__file__).read_text().splitlines()
    imports = [line for line in lines if line.startswith(("import ", "from "))]
    assert len(imports) > 3
    assert [line for line in imports if "daybank" in line] == []
