"""Figures as the order sheet writes them: both units, exact, ratings up, rooms down."""

from __future__ import annotations

from wellroom.report.draw.words import exact
from wellroom.report.measures import Way, amount, number
from wellroom.search.order_data import Asked
from wellroom.units import Units, inches_text

LBF_FT_PER_NM = 0.7375621493
MINUS = "-"


def other(units: Units) -> Units:
    """Return the unit that stands in brackets."""
    return "mm" if units == "in" else "in"


def size(mm: float | None, units: Units) -> str:
    """Return a length in both units: 3 3/4 in (95.25 mm); "not known" for None."""
    if mm is None:
        return "not known"
    first, second = exact(mm, units)
    return f"{first} {units} ({second} {other(units)})"


def tolerance(asked: Asked, units: Units) -> str:
    """Return how far a wheel may be off, in both units.

    >>> tolerance(Asked(less_mm=1.5, more_mm=1.5, less_in=0.0625, more_in=0.0625), "in")
    '± 1/16 in (± 1.5 mm)'
    >>> tolerance(Asked(less_mm=0.0, more_mm=1.5, less_in=0.0, more_in=0.0625), "mm")
    '+ 1.5, - 0 mm (+ 1/16, - 0 in)'
    """
    inches = _off(inches_text(asked.less_in * 25.4, 32), inches_text(asked.more_in * 25.4, 32), "in")
    metric = _off(number(asked.less_mm), number(asked.more_mm), "mm")
    first, second = (inches, metric) if units == "in" else (metric, inches)
    return f"{first} ({second})"


def _off(less: str, more: str, unit: str) -> str:
    return f"± {less} {unit}" if less == more else f"+ {more}, {MINUS} {less} {unit}"


def rating(value: float, unit: str, units: Units, way: Way = "up") -> str:
    """Return a rating in both systems: one to build for rounded up, one that a wheel has "down".

    >>> rating(1284.94, "kg", "in"), rating(550.0, "kPa", "mm", "down")
    ('2,833 lb (1,285 kg)', '550 kPa (79 psi)')
    """
    first, second = (_thousands(amount(value, unit, u, way, sign=False)) for u in (units, other(units)))
    return f"{first} ({second})"


def _thousands(text: str) -> str:
    figure, _, unit = text.partition(" ")
    return f"{int(figure):,} {unit}"


def moment(nm: float, units: Units) -> str:
    """Return a moment to build for in both systems, rounded up.

    >>> moment(8225.1, "mm")
    '8,226 N m (6,067 lbf ft)'
    """
    metric, inches = f"{_up(nm):,} N m", f"{_up(nm * LBF_FT_PER_NM):,} lbf ft"
    first, second = (inches, metric) if units == "in" else (metric, inches)
    return f"{first} ({second})"


def _up(value: float) -> int:
    return -int(-value // 1.0)
