"""Sentences from codes, for the command line: the same table that the phone reads, with the few words of the terminal.

A sentence holds {name} or {name:form}; forms() lists what a form does to a value. words.js is the phone's half.
"""
import json
import math
import re
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

HERE = Path(__file__).resolve().parent
HOLE = re.compile(r"\{(\w+)(?::(\w+))?\}")


def tables() -> dict:
    """Every sentence of the terminal: the phone's table with terminal_words.json laid over it."""
    from daybank.assets import pwa_dir
    merged = {}
    for path in (pwa_dir() / "words" / "en.json", HERE / "terminal_words.json"):
        merged.update(json.loads(path.read_text(encoding="utf-8")))
    return merged


class Words:
    """Speaks one table in one time zone.

    >>> Words({"x": "{share:percent} of {what}"}, ZoneInfo("UTC")).say("x", share=0.5, what="it")
    '50 % of it'
    """

    def __init__(self, table: dict, tz: ZoneInfo):
        self.table, self.tz = table, tz

    def has(self, code: str) -> bool:
        """Whether the table knows the code."""
        return code in self.table

    def say(self, code: str, **args) -> str:
        """The sentence of a code; the code itself when the table lacks it, since the fact must not be hidden."""
        n = args.get("n")
        one = isinstance(n, (int, float)) and 0 < n <= 1 and f"{code}.one" in self.table
        sentence = self.table.get(f"{code}.one" if one else code)
        if sentence is None:
            return code + (" " + ", ".join(f"{k} {v}" for k, v in sorted(args.items())) if args else "")
        return HOLE.sub(lambda hole: self._fill(hole, args), sentence)

    def _fill(self, hole: re.Match, args: dict) -> str:
        name, form = hole.groups()
        if name not in args:
            return hole.group(0)
        value = args[name]
        if value is None:
            return "?"
        if form in FORMS:
            return FORMS[form](self, value)
        return printable(decimal(value, 2) if isinstance(value, float) else str(value))

    def _local(self, epoch_s: float) -> datetime:
        return datetime.fromtimestamp(epoch_s, self.tz)


def printable(text: str) -> str:
    """Text of a file without what would move a terminal's cursor."""
    return "".join(c if c.isprintable() else " " for c in text)


def decimal(value: float, digits: int) -> str:
    """At most so many decimals, no trailing zeros, halves away from zero as browsers round."""
    scale = 10**digits
    rounded = math.copysign(math.floor(abs(value) * scale + 0.5) / scale, value)
    text = f"{rounded:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if digits else text
    return "0" if text == "-0" else text


def halves(count: float) -> str:
    """3.5 as "3½"."""
    whole = math.floor(count)
    if count == whole:
        return str(whole)
    return f"{whole if whole > 0 else ''}½"


def _half_up(value: float) -> int:
    return math.floor(value + 0.5)


def _days(words: Words, days: float) -> str:
    """Whole hours below a day, halves below ten days, whole days above: a wide range deserves no finer figure."""
    hours = days * 24.0
    if hours < 0.75:
        return words.say("length.moment", n=0, count="0")
    if hours < 23.5:
        return words.say("length.hours", n=_half_up(hours), count=str(_half_up(hours)))
    count = _half_up(days * 2.0) / 2.0 if days < 9.75 else _half_up(days)
    return words.say("length.days", n=count, count=halves(count))


MOMENT_MIN = 2.5    # minutes are told in fives
DAYS_FROM_H = 47.5


def _hours(words: Words, hours: float) -> str:
    """Minutes in fives below half an hour, halves below ten hours, whole hours above."""
    minutes = _half_up(hours * 12.0) * 5
    if hours * 60.0 < MOMENT_MIN:
        return words.say("length.moment")
    if minutes < 30:
        return words.say("length.minutes", count=str(minutes))
    count = _half_up(hours * 2.0) / 2.0 if hours < 10 else _half_up(hours)
    return words.say("length.hours", n=count, count=halves(count))


def _ago(words: Words, hours: float) -> str:
    """How long ago; two days back and more are told in days."""
    if hours * 60.0 < MOMENT_MIN:
        return words.say("ago.moment")
    if hours < DAYS_FROM_H:
        return words.say("ago.length", length=_hours(words, hours))
    return words.say("ago.length", length=words.say("length.days", n=2, count=str(_half_up(hours / 24.0))))


def _weekday(words: Words, at: datetime, back: int = 0) -> str:
    return words.say(f"weekday.{(at.isoweekday() - back) % 7}")


def _part(words: Words, epoch_s: float) -> str:
    """The part of the day; the hours after midnight belong to the evening before."""
    at = words._local(epoch_s)
    if at.hour < 5:
        return words.say("part.night", weekday=_weekday(words, at, back=1))
    part = "morning" if at.hour < 12 else "afternoon" if at.hour < 17 else "evening" if at.hour < 21 else "night"
    return words.say(f"part.{part}", weekday=_weekday(words, at))


def _date(words: Words, epoch_s: float) -> str:
    at = words._local(epoch_s)
    month = words.say(f"month.{at.month}")
    return words.say("date.long", weekday=_weekday(words, at), day=at.day, month=month)


FORMS = {
    "days": _days,
    "hours": _hours,
    "ago": _ago,
    "percent": lambda words, share: f"{decimal(share * 100, 0)} %",
    "volts": lambda words, volts: f"{float(decimal(volts, 2)):.2f} V",
    "amps": lambda words, amps: f"{decimal(amps, 2 if abs(amps) < 1 else 1)} A",
    "ah": lambda words, ah: f"{decimal(ah, 1 if abs(ah) < 10 else 0)} Ah",
    "mohm": lambda words, mohm: f"{decimal(mohm, 0)} mohm",
    "clock": lambda words, epoch_s: words._local(epoch_s).strftime("%H:%M"),
    "weekday": lambda words, epoch_s: _weekday(words, words._local(epoch_s)),
    "part": _part,
    "date": _date,
}
