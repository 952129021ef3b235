"""What dimensions, clearances and leaders are drawn with: lines, arrows, extension lines (ISO 129-1, from
memory), and how far a drawing reaches.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wellroom.report.draw.model import (
    Area,
    Box,
    Clearance,
    Dimension,
    Element,
    Hatching,
    Label,
    Leader,
    Line,
    Point,
    Ring,
    Stroke,
    Tone,
    around,
)

ARROW = 2.4
"""Length of an arrow [mm of paper]."""
BEYOND = 1.2
"""How far an extension line passes the dimension line [mm of paper]."""
OFF = 0.8
"""Air between an outline and its extension line [mm of paper]."""


def arrow(tip: Point, back: Point, scale: float, tone: Tone = "ink") -> Area:
    """Return the filled arrow at ``tip`` of a line that comes from ``back``."""
    dx, dy = tip[0] - back[0], tip[1] - back[1]
    length = math.hypot(dx, dy) or 1.0
    ux, uy = dx / length, dy / length
    long, half = ARROW * scale, ARROW * scale / 6.0
    base = (tip[0] - ux * long, tip[1] - uy * long)
    return Area(
        (tip, (base[0] - uy * half, base[1] + ux * half), (base[0] + uy * half, base[1] - ux * half)), tone
    )


def parts(element: Dimension | Clearance | Leader, scale: float) -> Iterator[Stroke | Area | Ring | Label]:
    """Yield what a dimension, a clearance or a leader is drawn with."""
    if isinstance(element, Leader):
        yield Stroke(element.points, Line.THIN, tone=element.tone)
        if element.tip == "arrow":
            yield arrow(element.points[0], element.points[1], scale, element.tone)
        elif element.tip == "dot":
            yield Area(Ring(element.points[0], 0.5 * scale).points(45.0), element.tone)
        return
    for point, end in zip(_ordered(element), element.ends(), strict=True):
        yield from _extension(point, end, element.tone, scale)
    yield from _line(element, scale)
    yield element.label


def short(distance: float, scale: float) -> bool:
    """Return whether two arrows have no room between the ends of a dimension line [mm]."""
    return distance < (2.0 * ARROW + 0.6) * scale


def _line(element: Dimension | Clearance, scale: float) -> Iterator[Stroke | Area]:
    """Yield the dimension line, as far as its label where that stands beside it, and its arrows."""
    low, high = element.ends()
    long = math.dist(low, high) or 1.0
    along = ((high[0] - low[0]) / long, (high[1] - low[1]) / long)
    outside = element.outside if isinstance(element, Dimension) else short(long, scale)
    tail = 2.0 * ARROW * scale if outside else 0.0
    first = (low[0] - along[0] * tail, low[1] - along[1] * tail)
    last = (high[0] + along[0] * tail, high[1] + along[1] * tail)
    yield arrow(low, first if outside else high, scale, element.tone)
    yield arrow(high, last if outside else low, scale, element.tone)
    if isinstance(element, Dimension):
        box = element.label.box(scale)
        if element.vertical:
            first, last = (first[0], min(first[1], box.low)), (last[0], max(last[1], box.high))
        else:
            first, last = (min(first[0], box.left), first[1]), (max(last[0], box.right), last[1])
    yield Stroke((first, last), Line.THIN, tone=element.tone)


def _ordered(dim: Dimension | Clearance) -> tuple[Point, Point]:
    """Return the measured points, the one of the dimension line's first end first."""
    if isinstance(dim, Clearance):
        return dim.first, dim.second
    axis = 1 if dim.vertical else 0
    return (dim.first, dim.second) if dim.first[axis] <= dim.second[axis] else (dim.second, dim.first)


def _extension(point: Point, end: Point, tone: Tone, scale: float) -> Iterator[Stroke]:
    """Yield the line from a measured point to the end of its dimension line and a little beyond."""
    away = math.dist(point, end)
    if away < OFF * scale:
        return
    ux, uy = (end[0] - point[0]) / away, (end[1] - point[1]) / away
    start = (point[0] + ux * OFF * scale, point[1] + uy * OFF * scale)
    stop = (end[0] + ux * BEYOND * scale, end[1] + uy * BEYOND * scale)
    yield Stroke((start, stop), Line.THIN, tone=tone)


def extents(elements: Sequence[Element], scale: float) -> Box:
    """Return the least rectangle around everything drawn, text and half the width of lines included [mm]."""
    found: Box | None = None
    for element in elements:
        for box in _boxes(element, scale):
            found = box if found is None else found.joined(box)
    return found or Box(0.0, 0.0, 1.0, 1.0)


def _boxes(element: Element, scale: float) -> Iterator[Box]:
    if isinstance(element, (Dimension, Clearance, Leader)):
        for part in parts(element, scale):
            yield from _boxes(part, scale)
    elif isinstance(element, Label):
        yield element.box(scale)
    elif isinstance(element, Ring):
        yield around(element.points()).grown(element.line.width * scale / 2.0)
    elif isinstance(element, Hatching):
        points = [point for segment in element.segments for point in segment]
        if points:
            yield around(points)
    elif isinstance(element, Stroke):
        yield around(element.points).grown(element.line.width * scale / 2.0)
    elif element.points:
        yield around(element.points)
