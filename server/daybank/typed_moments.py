"""Moments as a person types them, without an offset, as moments of the rig's own time zone."""
import re
from datetime import datetime
from zoneinfo import ZoneInfo

_LOCAL = re.compile(r"(\d{4}-\d\d-\d\d)[T ]+(\d\d?:\d\d)(:\d\d(?:\.\d{1,6})?)?\s*(Z|[+-]\d\d:?\d\d)?")


def with_offset(text: str, tz: ZoneInfo) -> str:
    """An ISO 8601 moment with its offset: "2025-07-08 20:10" in Denver is 2025-07-08T20:10-06:00.

    What has an offset keeps it. An hour that comes twice on the night when clocks go back is the first of the two; one
    that is skipped gets the offset from before. Text that is no moment comes back as it is, for the check to refuse.
    """
    found = _LOCAL.fullmatch(text.strip())
    if not found:
        return text
    day, clock, seconds, offset = found.groups()
    moment = f"{day}T{clock.zfill(5)}{seconds or ''}"
    if offset:
        return moment + offset
    try:
        return moment + offset_text(datetime.fromisoformat(moment).replace(tzinfo=tz))
    except ValueError:  # the 30th of February
        return text


def offset_text(at: datetime) -> str:
    """The offset of a moment as +HH:MM, seconds cut, which only zones before 1970 have."""
    minutes = int(at.utcoffset().total_seconds() // 60)
    sign, minutes = ("-", -minutes) if minutes < 0 else ("+", minutes)
    return f"{sign}{minutes // 60:02d}:{minutes % 60:02d}"
