"""Figures as drawings write them: inches with a fraction and millimetres, the reader's unit first."""

from __future__ import annotations

from wellroom.report.measures import length, number
from wellroom.search.results import ceil_miss, floor_margin
from wellroom.units import Units, inches_text, mm_text

SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
"""Reductions of ISO 5455: 1:1 to 1:50."""
_HAIR = 0.03
"""How far a fraction of an inch may be off and still be called the length [mm]."""
PAGE = (184.0, 248.0)
"""What a drawing may take of a page, A4 or Letter [mm of paper]."""


def both(mm: float, units: Units) -> tuple[str, str]:
    """Return a length in both units, the reader's first.

    >>> both(104.775, "in"), both(104.775, "mm")
    (('4 1/8', '104.8'), ('104.8', '4 1/8'))
    """
    inches, metric = inches_text(mm), mm_text(mm).removesuffix(" mm")
    return (inches, metric) if units == "in" else (metric, inches)


def exact(mm: float, units: Units) -> tuple[str, str]:
    """Return a length to be made in both units, the reader's first: no fraction that is not the length.

    >>> exact(104.775, "in"), exact(80.2, "in")
    (('4 1/8', '104.78'), ('3.157', '80.2'))
    """
    on_sixteenth = abs(round(mm / 25.4 * 16.0) * 25.4 / 16.0 - mm) < _HAIR
    inches = inches_text(mm) if on_sixteenth else number(round(mm / 25.4, 3))
    metric = number(round(mm, 2))
    return (inches, metric) if units == "in" else (metric, inches)


def said(mm: float, units: Units) -> str:
    """Return a length in words, both units.

    >>> said(104.775, "in")
    '4 1/8 in (104.8 mm)'
    """
    first, second = both(mm, units)
    other = "mm" if units == "in" else "in"
    return f"{first} {units} ({second} {other})"


def clearance(distance: float, asked: float | None, units: Units, unit: bool = True) -> str:
    """Return a clearance rounded down, with what is asked, rounded up, beside it: 0.62 in (0.50 asked).

    >>> clearance(15.9, 12.7, "in"), clearance(15.9, 6.35, "mm", unit=False)
    ('0.62 in (0.50 asked)', '15.9 (6.4 asked)')
    """
    if units == "in":
        shown = f"{floor_margin(distance / 25.4):.2f}"
        beside = "" if asked is None else f" ({ceil_miss(round(asked / 25.4, 6)):.2f} asked)"
    else:
        shown = length(distance, "mm", "down")
        beside = "" if asked is None else f" ({length(asked, 'mm', 'up')} asked)"
    return f"{shown}{f' {units}' if unit else ''}{beside}"


def fitting_scale(width_mm: float, height_mm: float, paper: tuple[float, float]) -> float:
    """Return the largest scale of ISO 5455 at which a size of the world goes onto a size of paper [mm]."""
    need = max(width_mm / paper[0], height_mm / paper[1])
    return next((scale for scale in SCALES if scale >= need), SCALES[-1])


def scale_text(scale: float) -> str:
    """Return a scale as it is written: 1:5."""
    return f"1:{scale:g}"
