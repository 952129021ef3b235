"""Cells that hold several numbers."""

from __future__ import annotations

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellroom.catalog import cells


def test_cells_doctests_hold() -> None:
    """The examples in the docstrings are true."""
    result = doctest.testmod(cells)
    assert result.attempted >= 3
    assert result.failed == 0


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(-400, 400)), min_size=2, unique_by=lambda p: p[0]))
def test_outline_written_and_read_is_the_same(points: list[tuple[int, int]]) -> None:
    """An outline survives being written and read."""
    ordered = sorted(points)
    text = ";".join(f"{radius}:{place}" for radius, place in ordered)
    assert cells.parse_outline(text) == tuple(ordered)


@pytest.mark.parametrize(
    "text",
    ["", "60:0", "60:0;60:1", "60:0;50:1", "60:0;90", "60:0;90:x", "60:0;90:nan", "-1:0;9:9", "1:0;2:999"],
)
def test_outline_broken_is_refused(text: str) -> None:
    """What is no outline raises ValueError."""
    with pytest.raises(ValueError, match="no disc outline"):
        cells.parse_outline(text)


@given(st.sets(st.integers(3, 12), min_size=1))
def test_studs_in_any_order_are_sorted(counts: set[int]) -> None:
    """Stud counts come back ascending, whatever their order."""
    text = ",".join(str(count) for count in sorted(counts, reverse=True))
    assert cells.parse_studs(text) == tuple(sorted(counts))


@pytest.mark.parametrize("text", ["", "5,5", "2", "13", "5.5", "five", "5,,6", "5,"])
def test_studs_broken_are_refused(text: str) -> None:
    """What is no list of stud counts raises ValueError."""
    with pytest.raises(ValueError, match="no list of stud counts"):
        cells.parse_studs(text)


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e6, max_value=1e6))
def test_number_of_its_own_text_is_itself(value: float) -> None:
    """A number written plainly reads as itself."""
    assert cells.number(f"{value:.6f}") == float(f"{value:.6f}")


@pytest.mark.parametrize(
    "text", ["", "1_000", "1,5", "1 1/2", "inf", "nan", "0x1F", "٣", "12 mm", "--1", "1e"]
)
def test_number_of_anything_else_is_nan(text: str) -> None:
    """Separators, commas, fractions, units and names of non-numbers are never read as a number."""
    assert math.isnan(cells.number(text))
