"""Reads one JSON object from a stranger's file: strictly, within bounds, without surprises.

Plain JSON readers take NaN, let the last of two equal keys win and follow any depth. Here each of these is refused with
a sentence, before any other code sees the data. What the object means is not known here.
"""
import json
import math
import os
from pathlib import Path

MAX_BYTES = 20 * 1024 * 1024  # ten years of daily notes are about 5 MB; our own bound
MAX_DEPTH = 24  # the format needs 6; room for fields of a later version
MAX_DIGITS = 18  # of a whole number; more is no quantity of this trade


class Refusal(ValueError):
    """What was given, what is accepted, what to do next: one sentence for the person, and the field it is about.

    Attributes
        field: path of the field, such as "readings[3].volts"; "" for the file as a whole.
        message: the sentence.
    """

    def __init__(self, field: str, message: str):
        super().__init__(field, message)
        self.field = field
        self.message = message

    def __str__(self) -> str:
        return f"{self.field}: {self.message}" if self.field else self.message


def shown(value: object, limit: int = 60) -> str:
    """A value as it is quoted in a sentence: shortened, on one line, with control characters spelt out."""
    text = json.dumps(value, ensure_ascii=False, default=str)
    text = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)
    return text if len(text) <= limit else text[: limit - 3] + "..."


def read_object(source: bytes | str | os.PathLike) -> dict:
    """The JSON object of a file (a path object), or of text or bytes at hand.

    Raises
        Refusal: no such file, too big (judged by its size, before reading), not UTF-8, not JSON, not one object, a key
        twice, NaN or Infinity, too deep.
    """
    data = _bytes_of(source)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refusal(
            "", f"byte {error.start} is not UTF-8 text; accepted is JSON in UTF-8; export the file again"
        ) from None
    try:
        value = json.loads(
            text, object_pairs_hook=_object, parse_constant=_no_constant, parse_float=_float, parse_int=_int
        )
        _walk(value)
    except json.JSONDecodeError as error:
        raise Refusal(
            "", f"line {error.lineno}, column {error.colno} is not JSON ({error.msg.lower()}); accepted is an export "
            "file of Daybank; export it again or mend that line",
        ) from None
    except RecursionError:
        raise Refusal("", _TOO_DEEP) from None
    if not isinstance(value, dict):
        raise Refusal("", f"the file holds {shown(value, 30)}; accepted is one JSON object; export the file again")
    return value


_TOO_DEEP = f"the file nests deeper than {MAX_DEPTH} levels; no export does; export the file again"


def _bytes_of(source: bytes | str | os.PathLike) -> bytes:
    if isinstance(source, str):
        source = source.encode("utf-8", "surrogatepass")
    if isinstance(source, (bytes, bytearray)):
        if len(source) > MAX_BYTES:
            raise _too_big(len(source))
        return bytes(source)
    path = Path(source)
    try:
        if path.is_dir():
            raise Refusal("", f"{path} is a folder; accepted is one export file; name a file in it")
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise _too_big(size)
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)  # a pipe has no size, and a file may grow
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise Refusal("", f"{path} cannot be read ({reason}); give the path of an export file") from None
    except Refusal:
        raise
    except ValueError:
        raise Refusal("", "the path holds a character that no path may hold; give the path of an export file") from None
    if len(data) > MAX_BYTES:
        raise _too_big(len(data))
    return data


def _too_big(size: int) -> Refusal:
    return Refusal(
        "", f"the file is {size / 1024 / 1024:.0f} MB or more; accepted are export files of up to "
        f"{MAX_BYTES // 1024 // 1024} MB; export a shorter span",
    )


def _object(pairs: list) -> dict:
    result = dict(pairs)
    if len(result) != len(pairs):
        seen = set()
        for key, _ in pairs:
            if key in seen:
                raise Refusal(
                    "", f"the key {shown(key)} stands twice in one object; accepted is each key once; remove one of "
                    "them"
                )
            seen.add(key)
    return result


def _no_constant(word: str):
    raise Refusal(
        "", f"{word} is not a number that JSON knows; accepted are finite numbers; leave the field out if unknown"
    )


def _float(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise Refusal("", f"the number {text[:40]} is too large; accepted are finite numbers; correct it")
    return value


def _int(text: str) -> int:
    if len(text.lstrip("-")) > MAX_DIGITS:
        raise Refusal("", f"the number {text[:30]} has {len(text)} digits; accepted are up to {MAX_DIGITS}; correct it")
    return int(text)


def _walk(value: object) -> None:
    """Depth and half characters, which break whatever prints them later."""
    level = [value]
    for _ in range(MAX_DEPTH + 1):
        below = []
        for item in level:
            if isinstance(item, dict):
                below.extend(item.values())
                below.extend(item)
            elif isinstance(item, list):
                below.extend(item)
            elif isinstance(item, str) and not _whole_text(item):
                raise Refusal(
                    "", f"the text {shown(ascii(item))} holds half a character; accepted is whole text; type it again"
                )
        if not below:
            return
        level = below
    raise Refusal("", _TOO_DEEP)


def _whole_text(text: str) -> bool:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True
