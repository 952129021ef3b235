"""What a sweep of one input gives: the best combination over the range, where it turns, curves below."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from wellroom.report.draw.board import Board
from wellroom.report.draw.model import (
    BODY,
    SMALL,
    Area,
    Box,
    Drawing,
    Label,
    Line,
    Point,
    Points,
    Ring,
    Stroke,
)
from wellroom.report.draw.shapes import rectangle

WIDE, HIGH = 150.0, 44.0
_LEFT, _NAMES, _BAND, _APART = 22.0, 18.0, 7.0, 9.0


@dataclass(frozen=True)
class Stretch:
    """A stretch of the input over which one combination, named by its letter, is best."""

    start: float
    end: float
    name: str


@dataclass(frozen=True)
class Curve:
    """One curve of a plot: its name, a value for each place (None: not known), solid or dashed."""

    name: str
    values: tuple[float | None, ...]
    dashed: bool = False


@dataclass(frozen=True)
class Plot:
    """Curves over the same places: what they measure, with the unit."""

    what: str
    curves: tuple[Curve, ...]


@dataclass(frozen=True)
class Sweep:
    """A sweep to draw: the input's name, its places with their texts, stretches, turns (numbered from 1)."""

    name: str
    places: tuple[float, ...]
    texts: tuple[str, ...]
    stretches: tuple[Stretch, ...]
    turns: tuple[float, ...]
    plots: tuple[Plot, ...]


def sweep(data: Sweep, title: str, description: str) -> Drawing | None:
    """Return the chart, one above the other on one scale; None where there are not two places."""
    low, high = min(data.places), max(data.places)
    if low == high:
        return None
    board = Board(1.0, Box(0.0, -_foot(len(data.plots)), WIDE + _NAMES, 24.0))

    def x(value: float) -> float:
        return _LEFT + (value - low) / (high - low) * (WIDE - _LEFT)

    _band(board, data, x)
    foot = 0.0
    for plot in data.plots:
        foot -= HIGH + _APART
        _plot(board, plot, data, x, foot)
    for number, value in enumerate(data.turns):
        for row in range(len(data.plots)):
            under = -(row + 1) * (HIGH + _APART)
            ends = ((x(value), under), (x(value), under + HIGH - 6.0))
            board.add(Stroke(ends, Line.HIDDEN, tone="accent"))
        _badge(board, x(value), str(number + 1))
    _scale(board, data, x, foot)
    return board.finish("sweep", title, description, to_scale=False)


def _foot(plots: int) -> float:
    return plots * (HIGH + _APART) + 16.0


def _band(board: Board, data: Sweep, x: Callable[[float], float]) -> None:
    """Add the band of the best combinations, each stretch with its letter where there is room for it."""
    board.add(Label((_LEFT - 2.0, _BAND / 2.0), ("best",), SMALL, "end", 0))
    for stretch in data.stretches:
        left, right = x(stretch.start), x(stretch.end)
        board.add(Stroke(rectangle(left, 0.0, right, _BAND), Line.THIN, True))
        label = Label(((left + right) / 2.0, _BAND / 2.0), (stretch.name,), BODY, "middle", 0, bold=True)
        if stretch.name and label.extent()[0] < right - left - 0.6:
            board.add(label)


def _badge(board: Board, at: float, text: str) -> None:
    """Add a turn's number over the band, in the first row where it meets no other."""
    taken = [label.box(1.0) for label in board.elements if isinstance(label, Label) and label.badge]
    row = 0
    while True:
        label = Label((at, _BAND + 0.8 + row * 5.0), (), SMALL, "middle", -1, tone="accent", badge=text)
        if not any(label.box(1.0).grown(0.3).overlaps(box) for box in taken):
            break
        row += 1
    if row:
        board.add(Stroke(((at, _BAND), (at, label.at[1])), Line.THIN, tone="accent"))
    board.add(label)


def _plot(board: Board, plot: Plot, data: Sweep, x: Callable[[float], float], foot: float) -> None:
    known = [value for curve in plot.curves for value in curve.values if value is not None]
    low, high = (min(known), max(known)) if known else (0.0, 1.0)
    ticks = nice(low, high, 4)
    low, high = min(low, ticks[0]), max(high, ticks[-1])
    span = high - low or 1.0

    def y(value: float) -> float:
        return foot + 2.0 + (value - low) / span * (HIGH - 8.0)

    board.add(Label((_LEFT, foot + HIGH - 0.5), (plot.what,), BODY, "start", 0, bold=True))
    board.add(
        Stroke(((_LEFT, foot), (WIDE, foot)), Line.EDGE), Stroke(((_LEFT, foot), (_LEFT, y(high))), Line.EDGE)
    )
    for tick in ticks:
        board.add(Stroke(((_LEFT, y(tick)), (WIDE, y(tick))), Line.THIN, tone="soft"))
        board.add(Label((_LEFT - 2.0, y(tick)), (f"{tick:,g}",), SMALL, "end", 0))
    ends: list[tuple[float, float, str]] = []
    for curve in plot.curves:
        points = _curve(board, curve, [x(place) for place in data.places], y)
        ends += [(at[1], at[0], curve.name) for at in points[-1:]]
    _names(board, ends)


def _curve(board: Board, curve: Curve, xs: Sequence[float], y: Callable[[float], float]) -> list[Point]:
    """Add a curve with a mark at each known place, whole where neighbours are known; return the marks."""
    line = Line.OTHER if curve.dashed else Line.OUTLINE
    points = [None if value is None else (at, y(value)) for at, value in zip(xs, curve.values, strict=True)]
    for a, b in pairwise(points):
        if a is not None and b is not None:
            board.add(Stroke((a, b), line))
    known = [point for point in points if point is not None]
    for point in known:
        if curve.dashed:
            board.add(Ring(point, 0.9, Line.EDGE))
        else:
            dot: Points = rectangle(point[0] - 0.8, point[1] - 0.8, point[0] + 0.8, point[1] + 0.8)
            board.add(Area(dot, "ink"))
    return known


def _names(board: Board, ends: Sequence[tuple[float, float, str]]) -> None:
    """Add the curves' names at their right ends (y, x), pushed apart where they would meet."""
    least = -math.inf
    for y, x, name in sorted(ends):
        label = Label((x + 2.0, max(y, least)), (name,), SMALL, "start", 0)
        least = label.at[1] + label.extent()[1]
        board.add(label)


def _scale(board: Board, data: Sweep, x: Callable[[float], float], foot: float) -> None:
    """Add the input's values under the plots, as many as there is room for, and its name."""
    wide = max(len(text) for text in data.texts) * SMALL * 0.62 + 2.0
    every = max(1, math.ceil(wide / max((WIDE - _LEFT) / (len(data.places) - 1), 0.1)))
    for k, (place, text) in enumerate(zip(data.places, data.texts, strict=True)):
        board.add(Stroke(((x(place), foot), (x(place), foot - 1.4)), Line.THIN))
        if k % every == 0:
            board.add(Label((x(place), foot - 2.0), (text,), SMALL, "middle", 1))
    board.add(Label(((_LEFT + WIDE) / 2.0, foot - 7.0), (data.name,), BODY, "middle", 1))


def nice(low: float, high: float, count: int) -> list[float]:
    """Return round numbers about a range, ``count`` steps at most.

    >>> nice(3.0, 17.0, 4), nice(5.0, 5.0, 4)
    ([0.0, 5.0, 10.0, 15.0, 20.0], [5.0])
    """
    if high - low <= 0.0:
        return [low]
    power = 10.0 ** math.floor(math.log10((high - low) / count))
    for step in (power, 2.0 * power, 5.0 * power, 10.0 * power):
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first <= count:
            break
    return [round(k * step, 9) for k in range(first, last + 1)]
