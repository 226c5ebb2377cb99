"""What a typed voltage can mean."""

import pytest

from daybank.energy import readings


def meaning(volts, state="unknown", chemistry="agm", **more):
    return readings.reading_meaning(chemistry=chemistry, volts=volts, state=state, **more)


def test_volts_that_no_resting_bank_holds_mean_charging_whatever_was_said():
    for state in ("unknown", "rested", "loaded"):
        assert meaning(14.4, state) == ("charging", "absorption", "above_rest")
        assert meaning(13.5, state) == ("charging", "float", "above_rest")


def test_a_plain_reading_keeps_the_state_that_was_said():
    assert meaning(12.8, "rested") == ("rested", None, "stated")
    assert meaning(11.9, "loaded") == ("loaded", None, "stated")
    assert meaning(12.4) == ("unknown", None, "stated")


def test_a_low_reading_said_to_be_charging_stays_charging():
    assert meaning(12.6, "charging") == ("charging", "low", "stated")


def test_a_finished_charger_is_kept_as_full_with_its_phase():
    assert meaning(13.6, "full") == ("full", "float", "stated")
    assert meaning(12.9, "full") == ("full", None, "stated")


def test_rest_of_minutes_after_a_charge_still_shows_the_charger():
    assert meaning(13.0, "rested", rested_h=0.2, after_charge=True).why == "surface_charge"
    assert meaning(13.0, "rested", rested_h=0.6, after_charge=True).taken_as == "rested"
    assert meaning(12.3, "rested", rested_h=0.2, after_charge=False).taken_as == "rested"


def test_a_24_volt_bank_is_judged_at_twice_the_volts():
    assert meaning(28.8, nominal_v=24.0).phase == "absorption"
    assert meaning(25.6, "rested", nominal_v=24.0).taken_as == "rested"


def test_full_lithium_at_rest_is_no_charging():
    assert meaning(13.5, "rested", chemistry="lifepo4").taken_as == "rested"
    assert meaning(14.2, "rested", chemistry="lifepo4").taken_as == "charging"


def test_cold_moves_the_charging_phases_up():
    assert readings.charging_phase(volts=14.2, chemistry="agm") == "absorption"
    assert readings.charging_phase(volts=14.2, chemistry="agm", temp_c=0.0) == "float"


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: meaning(12.4, "asleep"), "State 'asleep' is not known; use one of rested, loaded"),
        (lambda: meaning(12.4, chemistry="nickel"), "use one of flooded"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_give_instead(ask, words):
    with pytest.raises(ValueError) as refusal:
        ask()
    assert words in str(refusal.value)
