import pytest

from dialect import faults

OUTSIDE = [
    ("import datetime", "import datetime does not exist on the phone"),
    ("import collections", "import collections does not exist"),
    ("import functools", "there are math, json, collections.namedtuple"),
    ("from collections import Counter", "from collections import Counter"),
    ("from collections import namedtuple, deque", "from collections import namedtuple, deque"),
    ("from __future__ import annotations", "from __future__ import annotations"),
    ("from daybank import records", "from daybank import records"),
    ("from daybank.energyx import a", "from daybank.energyx import a"),
    ("from . import bank", "relative import; write it absolutely"),
    ("match x:\n    case 1:\n        pass", "match statement; write if and elif"),
    ("async def f():\n    pass", "async; the model is plain functions"),
    ("def f():\n    global x\n    x = 1", "global statement"),
    ("def f(a, /, b):\n    pass", "positional-only"),
    ("a = {**b, 'c': 1}", "copy with dict(a) and then update()"),
    ("a = [*b, 1]", "add lists with +"),
    ("a = (*b, 1)", "add lists with +"),
    ("a = b[::2]", "slice with a step"),
    ("a = b[::-1]", "reversed()"),
    ("a = math.fsum(b)", "math.fsum does not exist on the phone"),
    ("a = math.log1p(b)", "math.log1p does not exist on the phone"),
    ("a = b._replace(c=1)", "build the namedtuple anew"),
    ("a = '{}'.format(b)", "write an f-string"),
    ("a = b.zfill(2)", "write the width in an f-string"),
    ("a = b.removeprefix('c')", "startswith"),
    ("a = round(b)", "math.floor(x + 0.5)"),
    ("a = format(b, '.1f')", "write an f-string"),
    ("print(a)", "reaches outside the model"),
    ("a = open('b')", "reaches outside the model"),
    ("a = hash(b)", "differs between interpreters"),
    ("a = json.dumps(b, sort_keys=True)", "sort the keys before"),
    ("A = namedtuple('A', 'b', defaults=(1,))", "give every field its value"),
    ("raise KeyError('a')", "the model's errors are ValueError"),
    ("raise RuntimeError", "the model's errors are ValueError"),
]


@pytest.mark.parametrize("source, said", OUTSIDE, ids=[source.split("\n")[0] for source, _ in OUTSIDE])
def test_a_construct_outside_the_dialect_is_named_with_what_to_write_instead(source, said):
    [fault] = faults(source)
    assert said in fault and fault.startswith("line ")


@pytest.mark.parametrize("source", [
    "import math, json",
    "from collections import namedtuple",
    "from daybank.energy import constants, bank",
    "from daybank.energy.bank import open_circuit_v",
    "def f(a: float | None = None, *, b: list = ()) -> dict:\n    return {}",
    "class A:\n    __slots__ = ('x',)\n    @property\n    def y(self):\n        return self.x",
    "a, *b = c",
    "f(*a, **b)",
    "a = b[1:2]",
    "a = math.expm1(b) + math.pi",
    "if (a := b) > 1:\n    raise ValueError(f'{a:.2f}')",
    "def f():\n    yield from g()",
    "a = sorted(b, key=lambda c: (c.at, c.id))",
])
def test_what_the_dialect_allows_is_no_fault(source):
    assert faults(source) == []


def test_the_line_of_a_fault_is_told():
    assert faults("import math\n\na = round(2.5)\n")[0].startswith("line 3: round()")
