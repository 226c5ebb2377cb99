"""On which line of a TOML text each key and each table stands, since Python's reader does not tell.

For texts that the reader has accepted already: nothing is checked here. A path is a tuple of keys and indices, such as
("trips", 0, "stops", 1, "shade"). What stands inside an inline table or an array has the line of its key.
"""
import re
import tomllib

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_QUOTED = re.compile(r'"(?:[^"\\\n]|\\.)*"' + r"|'[^'\n]*'")
# the pieces of a value: strings of four kinds, comments, brackets, the end of a line, anything else
_PIECE = re.compile(r'"""(?:[^\\]|\\.)*?"""(?:"{0,2}(?!"))' + r"|'''.*?'''(?:'{0,2}(?!'))" + r'|"(?:[^"\\\n]|\\.)*"'
                    + r"|'[^'\n]*'|#[^\n]*|[\[{]|[\]}]|\n|[^\"'#\[\]{}\n]+", re.DOTALL)


def lines_of(text: str) -> dict:
    """{path: line from 1} of every key and table header."""
    found, counts = {}, {}
    table, at = (), 0
    text = text.replace("\r\n", "\n")
    while True:
        at = _BLANK.match(text, at).end()
        if at >= len(text):
            return found
        line = text.count("\n", 0, at) + 1
        if text.startswith("[", at):
            double = text.startswith("[[", at)
            parts, at = _key(text, at + (2 if double else 1))
            at = text.index("]", at) + (2 if double else 1)
            table = _inside((), parts[:-1], counts)
            if table:
                found.setdefault(table, line)  # [[a.b]] makes a too
            if double:
                table = (*table, parts[-1])
                counts[table] = counts.get(table, 0) + 1
                found.setdefault(table, line)
                table = (*table, counts[table] - 1)
            else:
                table = _inside(table, parts[-1:], counts)
            found.setdefault(table, line)
        else:
            parts, at = _key(text, at)
            for depth in range(1, len(parts) + 1):
                found.setdefault((*table, *parts[:depth]), line)
            at = _after_value(text, text.index("=", at) + 1)


def line_of(lines: dict, path: tuple) -> int:
    """The line of a path, or of the nearest part about it; 1 where nothing of it stands in the text."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 1)


def _inside(table: tuple, parts: list, counts: dict) -> tuple:
    for part in parts:
        table = (*table, part)
        if table in counts:  # [trips.x] speaks of the last of [[trips]]
            table = (*table, counts[table] - 1)
    return table


def _key(text: str, at: int) -> tuple:
    parts = []
    while True:
        at = _SPACE.match(text, at).end()
        quoted = _QUOTED.match(text, at)
        if quoted:
            parts.append(next(iter(tomllib.loads(f"{quoted.group()} = 0"))))
            at = quoted.end()
        else:
            bare = _BARE.match(text, at)
            parts.append(bare.group())
            at = bare.end()
        at = _SPACE.match(text, at).end()
        if not text.startswith(".", at):
            return parts, at
        at += 1


def _after_value(text: str, at: int) -> int:
    depth = 0
    while at < len(text):
        piece = _PIECE.match(text, at)
        at = piece.end()
        if piece.group() in ("[", "{"):
            depth += 1
        elif piece.group() in ("]", "}"):
            depth -= 1
        elif piece.group() == "\n" and depth == 0:
            return at
    return at
