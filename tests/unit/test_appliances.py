"""What appliances take."""

import pytest

from daybank.energy import appliances


def test_an_inverter_left_on_takes_a_seventh_of_a_bank_a_day():
    assert appliances.charge_ah(current_a=0.6, hours=24) == pytest.approx(14.4)


def test_a_sagging_bank_gives_the_same_watts_by_more_current():
    high = appliances.inverter_dc_draw(ac_power_w=300, battery_v=12.6).current_a
    low = appliances.inverter_dc_draw(ac_power_w=300, battery_v=11.2).current_a
    assert low > high


def test_a_small_load_wastes_most_of_what_the_inverter_takes():
    small = appliances.inverter_small_load(ac_power_w=10, idle_w=8)
    large = appliances.inverter_small_load(ac_power_w=500, idle_w=8)
    assert small.efficiency < 0.6 < large.efficiency
    assert appliances.inverter_small_load(ac_power_w=0, idle_w=0).efficiency == 0.0


def test_a_light_strip_takes_watts_by_the_metre():
    assert appliances.strip_draw(length_m=3, power_w_per_m=14.4) == pytest.approx((43.2, 3.6))


def test_watt_hours_are_amp_hours_at_their_volts():
    assert appliances.energy_wh(charge_ah=45, mean_v=12.2) == pytest.approx(549.0)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: appliances.inverter_dc_draw(ac_power_w=1, battery_v=12, efficiency=88), "give 85 % as 0.85"),
        (lambda: appliances.inverter_dc_draw(ac_power_w=1, battery_v=0), "give the battery's volts"),
        (
            lambda: appliances.inverter_small_load(ac_power_w=1, idle_w=1, proportional_efficiency=0),
            "give 92 % as 0.92",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
