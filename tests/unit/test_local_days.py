"""local_days.py: moments and midnights."""
from datetime import date

import pytest

from daybank import local_days


@pytest.mark.parametrize("text, epoch_s", [
    ("1970-01-01T00:00Z", 0), ("2025-07-08T20:10-06:00", 1752027000), ("2025-07-08T20:10:30-06:00", 1752027030),
    ("2025-07-09T02:10Z", 1752027000), ("2025-07-08T20:10-0600", 1752027000), ("1969-12-31T23:59:59Z", -1),
    ("2025-07-08T20:10:30.2509-06:00", 1752027030.25),
])
def test_a_moment_is_seconds_since_the_epoch(text, epoch_s):
    assert local_days.seconds(text) == epoch_s


def test_whole_seconds_are_whole_numbers_as_on_the_phone():
    assert isinstance(local_days.seconds("2025-07-08T20:10:30-06:00"), int)


@pytest.mark.parametrize("text", [
    "", "2025-07-08", "2025-07-08T20:10", "2025-07-08 20:10-06:00", "20250708T2010-06:00", "2025-W28-2T20:10-06:00",
    "2025-02-30T20:10-06:00", "2025-07-08T24:00-06:00", "2025-07-08T20:10-06:00 ", "٢٠٢٥-07-08T20:10Z",
])
def test_what_is_no_moment_is_refused_with_an_example(text):
    with pytest.raises(ValueError):
        local_days.seconds(text)


@pytest.mark.parametrize("text", ["2025-7-8", "20250708", "2025-02-29", "2025-W28-2", "08.07.2025", ""])
def test_what_is_no_day_is_refused(text):
    with pytest.raises(ValueError):
        local_days.day(text)


@pytest.mark.parametrize("name", ["", "Mars/Olympus", "/etc/passwd", "../UTC", "America", "A\0B"])
def test_a_zone_that_is_none_is_refused(name):
    with pytest.raises(ValueError, match="America/Denver"):
        local_days.zone(name)


def test_a_day_whose_midnight_is_skipped_begins_with_the_jump():
    havana = local_days.zone("America/Havana")  # 9 March 2025: clocks went from 00:00 to 01:00
    assert local_days.midnight(date(2025, 3, 9), havana) == 1741496400  # 05:00 UTC
    assert local_days.day_of(1741496400, havana) == date(2025, 3, 9)
    assert local_days.day_of(1741496399, havana) == date(2025, 3, 8)
