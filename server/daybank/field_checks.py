"""Checks of single fields: each maker gives a function check(value, field) that refuses what it does not accept.

A refusal says what was given, what is accepted and what to do next; the field is named by the path to it.
"""
import math

from daybank import local_days
from daybank.strict_json import Refusal, shown


def text(value: object, field: str) -> None:
    """Any text that is not blank, of up to 500 characters."""
    if not isinstance(value, str) or not value.strip() or len(value) > 500:
        raise Refusal(field, f"{shown(value)} was given; accepted is text of 1 to 500 characters; type a name")


def note(value: object, field: str) -> None:
    """Any text of up to 20,000 characters."""
    if not isinstance(value, str) or len(value) > 20_000:
        raise Refusal(field, f"{shown(value)} was given; accepted is text of up to 20000 characters; shorten it")


def true_false(value: object, field: str) -> None:
    """A JSON true or false."""
    if not isinstance(value, bool):
        raise Refusal(field, f"{shown(value)} was given; accepted is true or false, without quotes; correct it")


def number(low: float, high: float, unit: str, *, above: bool = False):
    """A number from low (or above it) to high, in the unit named."""
    def check(value: object, field: str) -> None:
        quantity(value, field, unit)
        if value > high or value < low or (above and value == low):
            bounds = f"more than {low:g} and up to {high:g}" if above else f"{low:g} to {high:g}"
            raise Refusal(field, f"{value:g}{_unit(unit)} was given; accepted is {bounds}{_unit(unit)}; correct it")
    return check


def quantity(value: object, field: str, unit: str) -> None:
    """A plain finite number: no text, no true or false."""
    if isinstance(value, str):
        raise Refusal(
            field, f"the text {shown(value)} was given; accepted is a plain number{_in(unit)}, without quotes and "
            "without its unit; write only the number",
        )
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise Refusal(field, f"{shown(value)} was given; accepted is a plain number{_in(unit)}; correct it")


def volts(low_per_12_v: float, high_per_12_v: float):
    """A voltage between two bounds for a 12 V rig, twice that for 24 V; the check takes nominal_v as third argument."""
    def check(value: object, field: str, nominal_v: float) -> None:
        quantity(value, field, "volts")
        low, high = low_per_12_v * nominal_v / 12, high_per_12_v * nominal_v / 12
        if not low <= value <= high:
            raise Refusal(
                field, f"{value:g} V was given; accepted is {low:g} to {high:g} V on a {nominal_v:g} V rig; correct it"
                + meant(value, low, high),
            )
    return check


def meant(value: float, low: float, high: float) -> str:
    """A guess at a slipped decimal point: ", or did you mean 12.6?", or nothing."""
    for guess in (value / 10, value / 100, value / 1000, value * 10):
        if low <= guess <= high:
            return f" (did you mean {guess:g}?)"
    return ""


def whole(low: int, high: int):
    """A whole number from low to high."""
    def check(value: object, field: str) -> None:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise Refusal(
                field, f"{shown(value)} was given; accepted is a whole number from {low} to {high}; correct it"
            )
    return check


def choice(*accepted: object):
    """One of the values named."""
    def check(value: object, field: str) -> None:
        if not any(value == one and isinstance(value, bool) == isinstance(one, bool) for one in accepted):
            words = ", ".join(str(one) for one in accepted)
            raise Refusal(field, f"{shown(value)} was given; accepted are {words}; choose one of these")
    return check


def moment(value: object, field: str) -> None:
    """A moment with its offset, as local_days.seconds reads it."""
    if not isinstance(value, str):
        raise Refusal(
            field, f"{shown(value)} was given; accepted is date, time and offset in quotes, such as "
            "2025-07-08T20:10-06:00; write it so",
        )
    try:
        local_days.seconds(value)
    except (ValueError, OverflowError):
        raise Refusal(
            field, f"{shown(value)} was given; accepted is a moment that exists with its offset, such as "
            "2025-07-08T20:10-06:00; write it so",
        ) from None
    _year(value, field)


def day(value: object, field: str) -> None:
    """A calendar day that exists."""
    try:
        local_days.day(value if isinstance(value, str) else "")
    except ValueError:
        raise Refusal(
            field, f"{shown(value)} was given; accepted is a day that exists, such as 2025-07-08; write it so"
        ) from None
    _year(value, field)


def _year(value: str, field: str) -> None:
    # The sun's position is good for 1950 to 2050 and a time zone table for little more.
    if not 1970 <= int(value[:4]) <= 2099:
        raise Refusal(field, f"the year {value[:4]} was given; accepted are 1970 to 2099; correct it")


def clock(value: object, field: str) -> None:
    """A time of day, HH:MM."""
    good = isinstance(value, str) and len(value) == 5 and value[2] == ":" and (value[:2] + value[3:]).isdecimal()
    if not good or not value.isascii() or int(value[:2]) > 23 or int(value[3:]) > 59:
        raise Refusal(field, f"{shown(value)} was given; accepted is a time of day such as 09:00; write it so")


def pair_of(check):
    """A list of two values that each pass the check."""
    def check_pair(value: object, field: str) -> None:
        if not isinstance(value, list) or len(value) != 2:
            raise Refusal(field, f"{shown(value)} was given; accepted is a list of two, first and last; write both")
        for index, item in enumerate(value):
            check(item, f"{field}[{index}]")
    return check_pair


def texts(value: object, field: str) -> None:
    """A list of ids."""
    if not isinstance(value, list):
        raise Refusal(field, f"{shown(value)} was given; accepted is a list of ids in square brackets; write it so")
    for index, item in enumerate(value):
        text(item, f"{field}[{index}]")


def time_zone(value: object, field: str) -> None:
    """A name of the time zone table."""
    try:
        local_days.zone(value if isinstance(value, str) else "")
    except ValueError:
        raise Refusal(
            field, f"{shown(value)} was given; accepted is a name of a time zone, such as America/Denver; write it so"
        ) from None


def wire_gauge(value: object, field: str) -> None:
    """An AWG size: 24 down to 1 as a number, or 1/0 to 4/0 as text."""
    if value in ("1/0", "2/0", "3/0", "4/0"):
        return
    if isinstance(value, bool) or not isinstance(value, (int, float)) or value != int(value) or not -3 <= value <= 24:
        raise Refusal(
            field, f"{shown(value)} was given; accepted is an AWG size, 24 to 1 or \"1/0\" to \"4/0\"; correct it"
        )


def _unit(unit: str) -> str:
    return f" {unit}" if unit else ""


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""
