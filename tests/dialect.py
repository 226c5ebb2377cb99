"""The dialect of the shared model: what runs alike in CPython and in MicroPython 1.27, and what to write instead.

The lists were measured in the MicroPython that the phone loads (its `dir()` of each type, and small programs); they are
narrower than what it can do where the two interpreters give different results.
"""

import ast

PACKAGES = ("energy", "upkeep")
MODULES = {"math": None, "json": None, "collections": {"namedtuple"}}  # None: all of it, as `import math`
MATH = set("acos acosh asin asinh atan atan2 atanh ceil copysign cos cosh degrees e erf erfc exp expm1 fabs "
           "factorial floor fmod frexp gamma inf isclose isfinite isinf isnan ldexp lgamma log log10 log2 modf nan pi "
           "pow radians sin sinh sqrt tan tanh tau trunc".split())
WORLD = set("open print input eval exec compile globals locals vars __import__ breakpoint help dir id hash".split())
NO_METHOD = {
    "_replace": "build the namedtuple anew with its fields",
    "_asdict": "build the dict by hand",
    "_fields": "name the fields in a tuple of your own",
    "bit_length": "count with a loop",
    "is_integer": "compare with math.floor(x)",
    "fromhex": "write the number in decimals",
    "format": "write an f-string",
    **dict.fromkeys(("zfill", "ljust", "rjust"), "write the width in an f-string, as in f'{n:02d}'"),
    **dict.fromkeys(("removeprefix", "removesuffix"), "test with startswith or endswith and cut a slice"),
    **dict.fromkeys(("casefold", "title", "capitalize", "swapcase"), "use lower() or upper()"),
    **dict.fromkeys(("isidentifier", "isdecimal", "isnumeric", "isalnum", "isascii"), "use isdigit() or compare"),
}
NO_KEYWORD = {("dumps", "sort_keys"): "sort the keys before", ("dumps", "indent"): "leave layout to the shell",
              ("namedtuple", "defaults"): "give every field its value"}
OTHER_ERRORS = {"Exception", "KeyError", "IndexError", "TypeError", "RuntimeError", "AssertionError", "ArithmeticError",
                "NotImplementedError", "OSError", "ZeroDivisionError"}


def faults(source: str) -> list[str]:
    """One sentence for each construct outside the dialect: the line, what stands there, what to write instead."""
    found = []
    for node in ast.walk(ast.parse(source)):
        found.extend((getattr(node, "lineno", 0), sentence) for sentence in _faults_of(node))
    return [f"line {line}: {sentence}" for line, sentence in sorted(found)]


def _faults_of(node):
    match node:
        case ast.Import(names=names):
            for alias in names:
                if alias.name not in MODULES or MODULES[alias.name] is not None:
                    yield f"import {alias.name} does not exist on the phone or is not pure; {_what_there_is()}"
        case ast.ImportFrom(level=level, module=module, names=names):
            allowed = MODULES.get(module)
            if level:
                yield "relative import; write it absolutely, as in `from daybank.energy import constants`"
            elif module not in [f"daybank.{name}" for name in PACKAGES] and not str(module).startswith(
                    tuple(f"daybank.{name}." for name in PACKAGES)):
                if allowed is None or any(alias.name not in allowed for alias in names):
                    yield f"from {module} import {', '.join(alias.name for alias in names)}; {_what_there_is()}"
        case ast.Match():
            yield "match statement; write if and elif"
        case ast.AsyncFunctionDef() | ast.Await() | ast.AsyncFor() | ast.AsyncWith():
            yield "async; the model is plain functions"
        case ast.Global():
            yield "global statement; pass the value in and return the new one"
        case ast.arguments(posonlyargs=[_, *_]):
            yield "positional-only `/`; leave it out, or make the arguments keyword-only with `*`"
        case ast.Dict(keys=keys) if None in keys:
            yield "{**a}; copy with dict(a) and then update()"
        case ast.List(elts=items, ctx=ast.Load()) | ast.Tuple(elts=items, ctx=ast.Load()) | ast.Set(elts=items):
            if any(isinstance(item, ast.Starred) for item in items):
                yield "[*a, b]; add lists with +"
        case ast.Slice(step=step) if step is not None:
            yield "slice with a step; use range(start, stop, step), or reversed()"
        case ast.Attribute(value=ast.Name(id="math"), attr=name) if name not in MATH:
            yield f"math.{name} does not exist on the phone; write it with math.{{exp, log, sqrt, ...}}"
        case ast.Attribute(attr=name) if name in NO_METHOD:
            yield f".{name} does not exist on the phone; {NO_METHOD[name]}"
        case ast.Call(func=ast.Name(id="round")):
            yield "round() rounds ties differently on the phone; use math.floor(x + 0.5), or round in the shell"
        case ast.Call(func=ast.Name(id="format")):
            yield "format() does not exist on the phone; write an f-string"
        case ast.Call(func=ast.Name(id=name)) if name in WORLD:
            yield f"{name}() reaches outside the model, or differs between interpreters; take arguments, return values"
        case ast.Call(func=ast.Attribute(attr=name) | ast.Name(id=name), keywords=keywords):
            for keyword in keywords:
                if (name, keyword.arg) in NO_KEYWORD:
                    yield f"{name}({keyword.arg}=...) does not exist on the phone; {NO_KEYWORD[name, keyword.arg]}"
        case ast.Raise(exc=ast.Call(func=ast.Name(id=name)) | ast.Name(id=name)) if name in OTHER_ERRORS:
            yield f"raise {name}; the model's errors are ValueError"
        case ast.FormattedValue(value=ast.Lambda()):
            yield "lambda inside an f-string; name the value before"


def _what_there_is() -> str:
    return "there are math, json, collections.namedtuple and the model's own modules"
