"""Wishes against each other for everything that fits an axle: one mark for each place, the best named,
bands shaded.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from wellroom.report.draw.board import Board
from wellroom.report.draw.model import (
    BODY,
    SMALL,
    Box,
    Drawing,
    Label,
    Line,
    Point,
    Points,
    Ring,
    Stroke,
    Tone,
)
from wellroom.report.draw.shapes import rectangle
from wellroom.report.draw.words import said
from wellroom.units import MM_PER_IN, Units, inches_text

WIDE, HIGH = 150.0, 96.0
_LEFT, _FOOT = 22.0, 16.0
_GRAIN = 1.2
_TOGETHER = 2.4


@dataclass(frozen=True)
class Axis:
    """One axis: what it measures [mm], and the band that the stance wishes, if any."""

    name: str
    band: tuple[float, float] | None


@dataclass(frozen=True)
class Named:
    """A combination named on the plot: its mark "rank" or "today", its values on the two axes [mm]."""

    text: str
    x: float
    y: float
    mark: str = "rank"


def wishes(
    points: Sequence[tuple[float, float]],
    named: Sequence[Named],
    across: Axis,
    up: Axis,
    title: str,
    units: Units,
    name: str = "wishes",
) -> Drawing | None:
    """Return the plot; ``points`` (x, y) [mm] of all that fits. None without a point."""
    values = [(x, y) for x, y in points if not (math.isnan(x) or math.isnan(y))]
    if not values:
        return None
    xs = [p[0] for p in values] + [n.x for n in named] + list(across.band or ())
    ys = [p[1] for p in values] + [n.y for n in named] + list(up.band or ())
    x_of, x_range = _axis(min(xs), max(xs), _LEFT, WIDE)
    y_of, y_range = _axis(min(ys), max(ys), _FOOT, HIGH)
    board = Board(1.0, Box(0.0, 0.0, WIDE + 10.0, HIGH + 6.0))
    _bands(board, across, up, x_of, y_of)
    _frame(board, across, up, x_of, y_of, x_range, y_range, units)
    seen: dict[tuple[int, int], int] = {}
    for x, y in values:
        cell = (round(x_of(x) / _GRAIN), round(y_of(y) / _GRAIN))
        seen[cell] = seen.get(cell, 0) + 1
    board.dots(
        [
            ((column * _GRAIN, row * _GRAIN), 0.22 + 0.1 * min(math.log10(count), 2.5))
            for (column, row), count in sorted(seen.items())
        ],
        "soft",
        0.7,
    )
    _named(board, named, x_of, y_of)
    return board.finish(name, title, describe(values, named, across, up, units), to_scale=False)


def describe(
    values: Sequence[tuple[float, float]], named: Sequence[Named], across: Axis, up: Axis, units: Units
) -> str:
    """Return what a reader who can't see the plot is told."""
    parts = [
        f"{len(values):,} combinations of tire, rim and backspace that fit: {across.name} against {up.name}."
    ]
    for axis in (across, up):
        if axis.band:
            parts.append(f"Wished {axis.name}: {said(axis.band[0], units)} to {said(axis.band[1], units)}.")
    parts += [f"{n.text}: {across.name} {said(n.x, units)}, {up.name} {said(n.y, units)}." for n in named]
    return " ".join(parts)


def _axis(
    low: float, high: float, first: float, last: float
) -> tuple[Callable[[float], float], tuple[float, float]]:
    pad = max((high - low) * 0.06, 4.0)
    start, stop = low - pad, high + pad
    return lambda value: first + (value - start) / (stop - start) * (last - first), (start, stop)


def _ticks(low: float, high: float, units: Units) -> list[tuple[float, str]]:
    unit = MM_PER_IN if units == "in" else 1.0
    span = (high - low) / unit
    steps = (0.5, 1.0, 2.0, 4.0, 8.0) if units == "in" else (5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
    step = next((s for s in steps if span / s <= 9.0), steps[-1])
    out = []
    for n in range(math.ceil(low / unit / step), math.floor(high / unit / step) + 1):
        value = n * step
        out.append((value * unit, inches_text(value * MM_PER_IN) if units == "in" else f"{value:.0f}"))
    return out


def _bands(
    board: Board, across: Axis, up: Axis, x_of: Callable[[float], float], y_of: Callable[[float], float]
) -> None:
    if across.band:
        low, high = (x_of(v) for v in across.band)
        board.shade(rectangle(low, _FOOT, high, HIGH), "accent", 0.1)
    if up.band:
        low, high = (y_of(v) for v in up.band)
        board.shade(rectangle(_LEFT, low, WIDE, high), "accent", 0.1)
    for axis, of, flat in ((across, x_of, False), (up, y_of, True)):
        for value in axis.band or ():
            at = of(value)
            ends: Points = ((_LEFT, at), (WIDE, at)) if flat else ((at, _FOOT), (at, HIGH))
            board.add(Stroke(ends, Line.HIDDEN, tone="accent"))


def _frame(
    board: Board,
    across: Axis,
    up: Axis,
    x_of: Callable[[float], float],
    y_of: Callable[[float], float],
    x_range: tuple[float, float],
    y_range: tuple[float, float],
    units: Units,
) -> None:
    board.add(Stroke(((_LEFT, HIGH), (_LEFT, _FOOT), (WIDE, _FOOT)), Line.EDGE))
    for value, text in _ticks(*x_range, units):
        at = x_of(value)
        board.add(
            Stroke(((at, _FOOT), (at, _FOOT - 1.4)), Line.THIN),
            Label((at, _FOOT - 2.0), (text,), SMALL, "middle", 1),
        )
    for value, text in _ticks(*y_range, units):
        at = y_of(value)
        board.add(
            Stroke(((_LEFT, at), (_LEFT - 1.4, at)), Line.THIN),
            Label((_LEFT - 2.0, at), (text,), SMALL, "end", 0),
        )
    board.add(Label(((_LEFT + WIDE) / 2.0, _FOOT - 7.0), (f"{across.name}, {units}",), BODY, "middle", 1))
    board.add(Label((4.0, (_FOOT + HIGH) / 2.0), (f"{up.name}, {units}",), BODY, "middle", 0, upright=True))


def _named(
    board: Board, named: Sequence[Named], x_of: Callable[[float], float], y_of: Callable[[float], float]
) -> None:
    """Add the named ones: several that are close together share a mark."""
    places: dict[Point, list[Named]] = {}
    for one in named:
        at = (x_of(one.x), y_of(one.y))
        near = next(
            (p for p, ones in places.items() if math.dist(p, at) < _TOGETHER and ones[0].mark == one.mark), at
        )
        places.setdefault(near, []).append(one)
    for at, ones in places.items():
        tone: Tone = "warn" if all(n.mark == "today" for n in ones) else "accent"
        if tone == "warn":
            board.add(
                Stroke(
                    rectangle(at[0] - 1.3, at[1] - 1.3, at[0] + 1.3, at[1] + 1.3), Line.OUTLINE, True, tone
                )
            )
        else:
            board.add(Ring(at, 1.5, Line.OUTLINE, tone=tone))
    zone = Box(_LEFT + 1.0, _FOOT + 1.0, WIDE + 8.0, HIGH + 8.0)
    for at, ones in places.items():
        tone = "warn" if all(n.mark == "today" for n in ones) else "accent"
        text = ones[0].text if len(ones) == 1 else _joined([n.text for n in ones])
        tip = (at[0] + 1.6, at[1] + 0.6)
        board.callout(tip, (text,), zone, tone=tone, bold=True)


def _joined(texts: Sequence[str]) -> str:
    """Join names: rank 1, rank 2, rank 3 as "ranks 1, 2, 3"."""
    ranks = [t.removeprefix("rank ") for t in texts if t.startswith("rank ")]
    others = [t for t in texts if not t.startswith("rank ")]
    joined = [f"rank{'s' if len(ranks) > 1 else ''} {', '.join(ranks)}"] if ranks else []
    return ", ".join([*others, *joined])
