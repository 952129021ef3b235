"""Text cells that hold more than one number, and their way back: stud counts and disc outlines."""

from __future__ import annotations

import math
import re

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)
_WHOLE = re.compile(r"\d{1,2}", re.ASCII)

#: Largest radius and place of a disc outline, mm.
OUTLINE_LIMIT_MM = 400.0


def number(text: str) -> float:
    """Return the plain decimal number in ``text``; NaN when it is anything else.

    Digits, one point, a sign and an exponent: no thousands separators, decimal comma, fraction or unit.

    >>> number(" 7.5 "), number("7,5"), number("inf"), number("1_0")
    (7.5, nan, nan, nan)
    """
    return float(text) if _NUMBER.fullmatch(text.strip()) else math.nan


def parse_studs(text: str, low: float = 3, high: float = 12) -> tuple[int, ...]:
    """Return the stud counts of a list like ``5,6,8``, ascending.

    Separators are commas, semicolons or blanks. ValueError when it is empty, not whole numbers, outside
    ``low`` to ``high``, or names a count twice.

    >>> parse_studs("8, 5,6")
    (5, 6, 8)
    """
    words = re.split(r"\s*[,;]\s*|\s+", text.strip())
    if not all(_WHOLE.fullmatch(word) for word in words):
        raise ValueError(f"no list of stud counts: {text!r}")
    counts = sorted(int(word) for word in words)
    if len(set(counts)) < len(counts) or counts[0] < low or counts[-1] > high:
        raise ValueError(f"no list of stud counts: {text!r}")
    return tuple(counts)


def parse_outline(text: str) -> tuple[tuple[float, float], ...]:
    """Return the points ``(radius_mm, place_mm)`` of a disc outline like ``60:0;110:0;150:20``.

    Places are positive outboard of the mounting face. ValueError when it has fewer than two points, a radius
    that is not larger than the one before, or a number that is missing or out of range (radius 0 to 400 mm,
    place -400 to 400 mm).

    >>> parse_outline("60:0; 110:0; 150:20.5")
    ((60.0, 0.0), (110.0, 0.0), (150.0, 20.5))
    """
    points: list[tuple[float, float]] = []
    for pair in text.strip().split(";"):
        radius, _, place = pair.partition(":")
        point = (number(radius), number(place))
        if not (0 <= point[0] <= OUTLINE_LIMIT_MM and abs(point[1]) <= OUTLINE_LIMIT_MM):
            raise ValueError(f"no disc outline: {text!r}")
        if points and point[0] <= points[-1][0]:
            raise ValueError(f"no disc outline: {text!r}")
        points.append(point)
    if len(points) < 2:
        raise ValueError(f"no disc outline: {text!r}")
    return tuple(points)
