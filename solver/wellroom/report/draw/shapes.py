"""Plane geometry of drawings: hatching, clipping, hulls, the point of an outline that is nearest."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from wellroom.report.draw.model import Box, Hatching, Point, Points, Tone


def hatch(
    polygons: Sequence[Sequence[Point]], degrees: float, spacing: float, tone: Tone = "ink"
) -> Hatching:
    """Return parallel lines ``spacing`` [mm of the world] apart inside polygons (holes by the even-odd
    rule).
    """
    angle = math.radians(degrees)
    cos, sin = math.cos(angle), math.sin(angle)
    turned = [[(x * cos + y * sin, -x * sin + y * cos) for x, y in polygon] for polygon in polygons]
    edges = [(a, b) for polygon in turned for a, b in zip(polygon, [*polygon[1:], polygon[0]], strict=True)]
    if not edges:
        return Hatching(())
    low = min(min(a[1], b[1]) for a, b in edges)
    high = max(max(a[1], b[1]) for a, b in edges)
    out = []
    row = math.floor(low / spacing) + 1
    while row * spacing < high:
        y = row * spacing
        cuts = sorted(
            a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) for a, b in edges if (a[1] > y) != (b[1] > y)
        )
        for first, last in zip(cuts[::2], cuts[1::2], strict=False):
            if last - first > spacing * 0.05:
                out.append(
                    (
                        (first * cos - y * sin, first * sin + y * cos),
                        (last * cos - y * sin, last * sin + y * cos),
                    )
                )
        row += 1
    return Hatching(tuple(out), tone)


def clip_polygon(points: Sequence[Point], window: Box) -> Points:
    """Return a polygon cut off at a rectangle (Sutherland and Hodgman's way); () where nothing is left."""
    sides = ((0, window.left, 1.0), (0, window.right, -1.0), (1, window.low, 1.0), (1, window.high, -1.0))
    left = list(points)
    for axis, limit, sign in sides:
        kept: list[Point] = []
        for a, b in zip(left, [*left[1:], *left[:1]], strict=True):
            a_in, b_in = (a[axis] - limit) * sign >= 0.0, (b[axis] - limit) * sign >= 0.0
            if a_in:
                kept.append(a)
            if a_in != b_in:
                share = (limit - a[axis]) / (b[axis] - a[axis])
                kept.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
        left = kept
    return tuple(left)


def clip_line(points: Sequence[Point], window: Box, closed: bool = False) -> list[Points]:
    """Return the pieces of a line that lie in a rectangle (Liang and Barsky's way)."""
    path = [*points, points[0]] if closed else list(points)
    pieces: list[list[Point]] = []
    for a, b in itertools.pairwise(path):
        cut = _clip_segment(a, b, window)
        if cut is None:
            continue
        if pieces and pieces[-1][-1] == cut[0]:
            pieces[-1].append(cut[1])
        else:
            pieces.append([cut[0], cut[1]])
    return [tuple(piece) for piece in pieces]


def _clip_segment(a: Point, b: Point, window: Box) -> tuple[Point, Point] | None:
    first, last = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for step, room in (
        (-dx, a[0] - window.left),
        (dx, window.right - a[0]),
        (-dy, a[1] - window.low),
        (dy, window.high - a[1]),
    ):
        if step == 0.0:
            if room < 0.0:
                return None
        elif step < 0.0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    if first > last:
        return None
    start = a if first == 0.0 else (a[0] + first * dx, a[1] + first * dy)
    end = b if last == 1.0 else (a[0] + last * dx, a[1] + last * dy)
    return start, end


def hull(points: Iterable[Point]) -> Points:
    """Return the convex hull of points, counter-clockwise (Andrew's chain)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)

    def chain(run: Iterable[Point]) -> list[Point]:
        kept: list[Point] = []
        for p in run:
            while len(kept) > 1 and _cross(kept[-2], kept[-1], p) <= 0.0:
                kept.pop()
            kept.append(p)
        return kept

    return tuple(chain(ordered)[:-1] + chain(reversed(ordered))[:-1])


def _cross(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Return whether the lines from a to b and from c to d cross between their ends.

    >>> cross((0.0, 0.0), (2.0, 2.0), (0.0, 2.0), (2.0, 0.0))
    True
    >>> cross((0.0, 0.0), (1.0, 0.0), (2.0, -1.0), (2.0, 1.0))
    False
    """
    return _cross(a, b, c) * _cross(a, b, d) < 0.0 and _cross(c, d, a) * _cross(c, d, b) < 0.0


def rectangle(left: float, low: float, right: float, high: float) -> Points:
    """Return the corners of a rectangle, counter-clockwise."""
    return ((left, low), (right, low), (right, high), (left, high))


def wrapped(text: str, most: int) -> tuple[str, ...]:
    """Return a text in rows of at most ``most`` characters, broken at spaces; a longer word is cut."""
    import textwrap

    return tuple(textwrap.wrap(text, max(most, 4), break_on_hyphens=False)) or ("",)
