"""Local days of a rig as seconds since the epoch, for the energy model, which knows no calendar.

The phone's question.js does the same sums with the browser's own time zone table; the two must agree exactly.
"""
import re
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

DAYS_BACK_AT_MOST = 400
DAYS_AHEAD = 33  # the model looks 31 days ahead at most, and needs the day after
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d{1,6})?)?(Z|[+-]\d\d:?\d\d)")
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


def zone(name: str) -> ZoneInfo:
    """The time zone of that name.

    Raises
        ValueError: no such zone.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ValueError(f"no time zone is called {name!r}; accepted are names such as America/Denver") from None


def seconds(moment: str) -> int | float:
    """Seconds since the epoch of an ISO 8601 moment with its offset; parts of a millisecond are cut, as browsers do.

    Raises
        ValueError: not such a moment.

    >>> seconds("2025-07-08T20:10-06:00")
    1752027000
    """
    if not _MOMENT.fullmatch(moment):
        raise ValueError(
            f"{moment!r} is not a moment; accepted is date, time and offset, such as 2025-07-08T20:10-06:00"
        )
    at = datetime.fromisoformat(moment)
    whole = at.replace(microsecond=0)
    milliseconds = at.microsecond // 1000
    epoch_s = round(whole.timestamp())
    return epoch_s + milliseconds / 1000 if milliseconds else epoch_s


def day(text: str) -> date:
    """A calendar day.

    Raises
        ValueError: not a day that exists.
    """
    if not _DAY.fullmatch(text):
        raise ValueError(f"{text!r} is not a day; accepted is such as 2025-07-08")
    return date.fromisoformat(text)


def day_of(epoch_s: float, tz: ZoneInfo) -> date:
    """The local day that holds a moment."""
    return datetime.fromtimestamp(epoch_s, tz).date()


def midnight(of: date, tz: ZoneInfo) -> int:
    """First second of a local day. Where clocks jump over midnight, the moment of the jump."""
    return round(datetime(of.year, of.month, of.day, tzinfo=tz).timestamp())


def table(*, first: date, asked_on: date, tz: ZoneInfo) -> list:
    """[["YYYY-MM-DD", starts_at_s], ...]: one day before `first` (not over 400 before the question) to 33 after it."""
    start = max(first - timedelta(days=1), asked_on - timedelta(days=DAYS_BACK_AT_MOST))
    days = (asked_on + timedelta(days=DAYS_AHEAD) - start).days
    return [[d.isoformat(), midnight(d, tz)] for d in (start + timedelta(days=n) for n in range(days + 1))]
