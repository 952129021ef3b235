"""Value to text, rounding by steps, and the examples in the docstrings."""

from __future__ import annotations

import doctest
import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

import wellroom.units
from wellroom.units import (
    Kind,
    ceil_to,
    floor_to,
    inches_text,
    mm_text,
    parse,
    shop_fraction,
    shown,
    unit_name,
)


def test_units_docstrings_hold() -> None:
    """Every example in the docstrings gives what it says, and there are some."""
    result = doctest.testmod(wellroom.units)
    assert (result.failed, result.attempted > 5) == (0, True)


@pytest.mark.parametrize(
    ("mm", "denominator", "text"),
    [
        (104.775, 16, "4 1/8"),
        (-104.775, 16, "-4 1/8"),
        (101.6, 16, "4"),
        (0.0, 16, "0"),
        (-0.1, 16, "0"),
        (0.79375, 16, "1/16"),
        (0.79374, 16, "0"),
        (25.39, 16, "1"),
        (603.25, 8, "23 3/4"),
        (3.0, 1, "0"),
    ],
)
def test_inches_text_rounds_to_nearest_and_keeps_the_sign(mm: float, denominator: int, text: str) -> None:
    """Nearest fraction in lowest terms, halves away from zero, no minus on zero."""
    assert inches_text(mm, denominator) == text


@pytest.mark.parametrize("mm", [math.nan, math.inf])
def test_inches_text_of_no_number_is_refused(mm: float) -> None:
    """NaN and infinities have no fraction."""
    with pytest.raises(ValueError, match="not finite"):
        inches_text(mm)


def test_inches_text_denominator_zero_is_refused() -> None:
    """A denominator below 1 is refused by name."""
    with pytest.raises(ValueError, match="denominator = 0"):
        inches_text(1.0, 0)


@given(mm=st.floats(-2000, 2000), denominator=st.sampled_from([8, 16, 32]))
def test_inches_text_read_back_is_within_half_a_step(mm: float, denominator: int) -> None:
    """The fraction is the nearest one: reading it back misses by half a step at most."""
    back = parse(inches_text(mm, denominator), Kind.LENGTH, "in").value
    assert abs(back - mm) <= 25.4 / denominator / 2 + 1e-9


def test_shop_fraction_has_the_unit() -> None:
    """A shop's fraction says inches."""
    assert shop_fraction(104.775) == "4 1/8 in"


@pytest.mark.parametrize(
    ("mm", "places", "text"), [(104.775, 2, "104.78 mm"), (-0.04, 1, "0.0 mm"), (7.0, 0, "7 mm")]
)
def test_mm_text_rounds_and_drops_the_sign_of_zero(mm: float, places: int, text: str) -> None:
    """So many decimals, and never minus zero."""
    assert mm_text(mm, places) == text


@given(x=st.floats(-1e6, 1e6), step=st.sampled_from([0.01, 0.1, 0.25, 3.175, 1.0]))
def test_floor_to_is_the_greatest_multiple_not_above(x: float, step: float) -> None:
    """What is returned is a multiple, is not above x, and the next one is."""
    down = floor_to(x, step)
    exact, unit = Fraction(repr(x)), Fraction(repr(step))
    multiple = Fraction(repr(down)) / unit
    assert abs(multiple - round(multiple)) < Fraction(1, 10**6)
    assert round(multiple) * unit <= exact < (round(multiple) + 1) * unit


@given(x=st.floats(-1e6, 1e6))
def test_ceil_to_mirrors_floor_to(x: float) -> None:
    """Rounding up is rounding the negative down."""
    assert ceil_to(x, 0.01) == -floor_to(-x, 0.01)


def test_floor_to_already_rounded_stays() -> None:
    """A value on the step is not pushed down by binary noise."""
    assert [floor_to(i / 100, 0.01) for i in range(200)] == [i / 100 for i in range(200)]


@pytest.mark.parametrize("step", [0.0, -1.0, math.nan])
def test_floor_to_step_not_above_zero_is_refused(step: float) -> None:
    """A step of nothing has no multiples."""
    with pytest.raises(ValueError, match="not above 0"):
        floor_to(1.0, step)


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("units", ["in", "mm"])
def test_shown_undoes_parse(kind: Kind, units: str) -> None:
    """A bare number parsed and shown again in the same units is the same number."""
    assert units in ("in", "mm")
    side = "in" if units == "in" else "mm"
    assert shown(parse(7.25, kind, side).value, kind, side) == pytest.approx(7.25, rel=1e-14)
    assert parse(
        f"7.25 {unit_name(kind, side)}", kind, "mm" if side == "in" else "in"
    ).value == pytest.approx(parse(7.25, kind, side).value)
