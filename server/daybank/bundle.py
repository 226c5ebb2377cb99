"""The energy model as one file for the phone: every module's source without comments and docstrings.

Lines keep their numbers, so that an error on a phone names the line that a person finds in the repository. Runs of
empty lines cost next to nothing once compressed.
"""

import ast
import hashlib
import io
import json
import tokenize
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent
SHARED = ("energy", "upkeep")  # the packages that run in both places, where they exist


def bundle(package: Path = PACKAGE) -> bytes:
    """JSON text {"version": 16 hex digits, "files": {"daybank/energy/bank.py": source, ...}}.

    The version is a hash of the files, so that equal models have equal versions and nothing else does.
    """
    files = {"daybank/__init__.py": ""}
    for name in SHARED:
        sources = sorted((package / name).glob("*.py"))
        if sources:
            files[f"daybank/{name}/__init__.py"] = ""
        for source in sources:
            files[f"daybank/{name}/{source.name}"] = lean(source.read_text(encoding="utf-8"))
    listed = json.dumps(files, sort_keys=True, separators=(",", ":"))
    version = hashlib.sha256(listed.encode()).hexdigest()[:16]
    return f'{{"version":"{version}","files":{listed}}}'.encode()


def lean(source: str) -> str:
    """The same program without comments and docstrings, each remaining line where it was."""
    lines = source.splitlines()
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            row, column = token.start
            lines[row - 1] = lines[row - 1][:column]
    for first, last, column, alone in _docstrings(source):
        for row in range(first, last + 1):
            lines[row - 1] = ""
        if alone:
            lines[first - 1] = " " * column + "0"  # a body needs a statement
    return "\n".join(line.rstrip() for line in lines).rstrip() + "\n"


def _docstrings(source: str):
    """First line, last line, column and whether nothing else stands in the body, for each docstring."""
    lines = source.splitlines()
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)):
            continue
        if ast.get_docstring(node, clean=False) is None:
            continue
        text, following = node.body[0], node.body[1:]
        before = lines[text.lineno - 1].encode()[:text.col_offset]
        if before.strip() or (following and following[0].lineno == text.end_lineno):
            continue  # `def f(): "text"` on one line: rare, and not worth taking apart
        yield text.lineno, text.end_lineno, text.col_offset, not following
