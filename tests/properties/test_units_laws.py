"""Laws of reading quantities: what is typed comes back, whatever the unit, and nothing ever ends in another error."""
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daybank import units
from daybank.energy import constants

AMOUNTS = st.floats(1e-3, 1e4).map(lambda x: float(f"{x:.6g}"))
SPELLINGS = [(kind, spelling) for kind, about in units.KINDS.items() for spelling in about.spellings]


@given(AMOUNTS, st.sampled_from(SPELLINGS))
def test_a_quantity_turned_back_into_its_unit_is_what_was_typed(amount, kind_and_spelling):
    kind, spelling = kind_and_spelling
    factor, offset = units.factor_and_offset(units.KINDS[kind].spellings[spelling], units.KINDS[kind].base)
    value = units.of_kind(f"{amount!r} {spelling}", kind)
    assert (value - offset) / factor == pytest.approx(amount, rel=1e-9, abs=1e-9 * abs(offset / factor) + 1e-12)


@given(AMOUNTS, st.sampled_from(SPELLINGS), st.sampled_from(sorted(units.KINDS)))
def test_a_quantity_of_another_kind_is_never_taken(amount, kind_and_spelling, wanted):
    kind, spelling = kind_and_spelling
    if kind == wanted:
        return
    with pytest.raises(ValueError, match="correct it"):
        units.of_kind(f"{amount!r} {spelling}", wanted)


@given(AMOUNTS)
def test_decimal_comma_and_decimal_point_mean_the_same(amount):
    with_point = f"{amount:.2f}"
    assert units.number(with_point.replace(".", ",")) == units.number(with_point) == float(with_point)


@given(st.text(max_size=30) | st.from_regex(r"[0-9.,+-]{0,4} ?(A|W|Ah|h|mm2?|AWG|F|%| at |/day){0,3}", fullmatch=True))
def test_any_text_is_read_or_refused_with_a_sentence(text):
    readers = [units.draw, units.wire, units.hours_a_day, units.share, lambda t: units.rated(t, chemistry="agm"),
               *(lambda t, kind=kind: units.of_kind(t, kind) for kind in units.KINDS)]
    for read in readers:
        try:
            value = read(text)
        except ValueError as refusal:
            assert len(str(refusal)) > 20
        else:
            number = value if isinstance(value, float) else value[0] if isinstance(value, units.Rated) else value[1]
            assert isinstance(number, (int, str)) or math.isfinite(number)


@given(st.sampled_from(constants.CHEMISTRIES), st.floats(0.1, 24.0), st.floats(0.1, 24.0))
def test_more_reserve_is_more_capacity(chemistry, first_h, second_h):
    low_h, high_h = sorted((first_h, second_h))
    assert units.ah_of_reserve(low_h, chemistry) <= units.ah_of_reserve(high_h, chemistry)
