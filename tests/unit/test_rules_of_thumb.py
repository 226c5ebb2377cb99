"""rules_of_thumb.py: the sums that people do today."""
import pytest

from daybank import rules_of_thumb as rules

NOON = 1_750_000_000


def question(**more) -> dict:
    return {
        "rig": {"nominal_v": 12}, "asked_at": NOON, "days": [["2025-06-15", NOON - 43200]],
        "banks": [{"id": "b", "chemistry": "agm", "rated_ah": 100, "floor_soc": 0.5}], "sources": [], "readings": [],
        "circuits": [{"id": "c", "draw_a": 2.0, "when": "evening", "typical_h_per_day": 5}],
        "trips": [{"id": "t", "starts_at": NOON - 2 * 86400, "ends_at": NOON + 86400}], **more,
    }


def reading(hours_ago, volts):
    return {"at": NOON - hours_ago * 3600, "volts": volts, "state": "unknown"}


@pytest.mark.parametrize("volts, chemistry, nominal_v, charge", [
    (12.2, "agm", 12, 0.6), (12.13, "gel", 12, 0.55), (13.5, "flooded", 12, 1.0), (9.0, "agm", 12, 0.0),
    (24.4, "agm", 24, 0.6), (13.15, "lifepo4", 12, 0.55), (14.2, "lifepo4", 12, 1.0), (9.9, "lifepo4", 12, 0.0),
])
def test_a_chart_is_read_straight_between_its_lines(volts, chemistry, nominal_v, charge):
    assert rules.charge_from_chart(volts, chemistry=chemistry, nominal_v=nominal_v) == pytest.approx(charge)


def test_nameplate_use_counts_hours_duty_and_always():
    circuits = [
        {"draw_a": 2.0, "when": "evening", "typical_h_per_day": 5}, {"draw_w": 36.9, "when": "thermostat",
                                                                     "duty_at_25c": 0.5},
        {"draw_a": 0.1, "when": "always"},
    ]
    assert rules.nameplate_ah_per_day(question(circuits=circuits)) == pytest.approx(10 + 36 + 2.4)


def test_the_chart_rule_divides_what_is_left_by_the_nameplate():
    assert rules.voltage_chart_days(question(readings=[reading(1, 12.32)])) == pytest.approx(2.0)


def test_the_chart_rule_takes_the_last_reading_whatever_the_order():
    assert rules.voltage_chart_days(question(readings=[reading(1, 12.32), reading(9, 12.7)])) == pytest.approx(2.0)


def test_the_chart_rule_believes_in_a_full_bank_when_nobody_looked():
    assert rules.voltage_chart_days(question()) == pytest.approx(5.0)


def test_below_the_floor_no_days_are_left():
    assert rules.voltage_chart_days(question(readings=[reading(1, 11.9)])) == 0.0


def test_nothing_drawn_lasts_to_the_horizon():
    assert rules.voltage_chart_days(question(circuits=[])) == 14.0


def test_the_books_start_full_at_arrival():
    assert rules.amp_hour_books_days(question()) == pytest.approx(3.0)


def test_the_books_take_sun_less_shade_off_the_use():
    panel = [{"kind": "solar", "panel_w": 26 / 1.35}]  # 0.75 x 4.5 h / 13 V of this is 5 Ah a day
    assert rules.amp_hour_books_days(question(sources=panel)) == pytest.approx((50 - 2 * 5) / 5)
    shaded = question(sources=panel)
    shaded["trips"][0]["shade"] = 0.5
    assert rules.amp_hour_books_days(shaded) == pytest.approx((50 - 2 * 7.5) / 7.5)


def test_the_books_never_end_when_the_sun_covers_the_use():
    assert rules.amp_hour_books_days(question(sources=[{"kind": "solar", "panel_w": 200}])) == 14.0


def test_as_yesterday_goes_straight_on():
    pair = [reading(24.5, 12.42), reading(0.5, 12.32)]
    assert rules.as_yesterday_days(question(readings=pair)) == pytest.approx(2.0)


def test_as_yesterday_falls_back_on_the_chart_without_a_pair_a_day_apart():
    for readings in ([], [reading(1, 12.32)], [reading(10, 12.5), reading(1, 12.32)]):
        given = question(readings=readings)
        assert rules.as_yesterday_days(given) == rules.voltage_chart_days(given)


def test_as_yesterday_never_ends_where_volts_rose():
    assert rules.as_yesterday_days(question(readings=[reading(24, 12.3), reading(0, 12.4)])) == 14.0


def test_the_bank_of_the_day_of_the_question_counts():
    banks = [
        {"id": "old", "chemistry": "agm", "rated_ah": 80, "floor_soc": 0.5, "removed_on": "2025-06-15"},
        {"id": "new", "chemistry": "lifepo4", "rated_ah": 100, "floor_soc": 0.2, "installed_on": "2025-06-15"},
    ]
    assert rules.bank_in_service(question(banks=banks))["id"] == "new"
    with pytest.raises(ValueError, match="no bank is in service on 2025-06-15"):
        rules.bank_in_service(question(banks=banks[:1]))
