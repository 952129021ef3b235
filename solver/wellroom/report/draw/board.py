"""The board a drawing is made on: what is drawn, and where there is still room for a label.

Room is kept on a grid of paper: where there is ink, and where there are labels. A label that speaks of a
point is
put at the nearest place where its box covers neither, and where its leader crosses no label.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wellroom.report.draw.model import (
    ARROW,
    BODY,
    EM,
    PITCH,
    SMALL,
    Area,
    Box,
    Dimension,
    Drawing,
    Element,
    Hatching,
    Label,
    Leader,
    Line,
    Point,
    Points,
    Ring,
    Stroke,
    Tone,
    extents,
    parts,
)
from wellroom.report.draw.shapes import clip_line, clip_polygon, hatch

_CELL = 1.0
_AIR = 0.9
Side = Literal["above", "below", "left", "right"]


@dataclass(frozen=True)
class Figure:
    """One dimension to be placed: two points, what stands above and below its line, the worksheet's
    number.
    """

    first: Point
    second: Point
    above: str
    below: str = ""
    badge: str = ""
    tone: Tone = "ink"


class Board:
    """Collects the elements of one drawing within a window of the world [mm]."""

    def __init__(self, scale: float, window: Box) -> None:
        self.scale = scale
        self.window = window
        self.elements: list[Element] = []
        self._letters = 0
        self._room = window.grown(120.0 * scale)
        cell = _CELL * scale
        shape = (math.ceil(self._room.height / cell) + 1, math.ceil(self._room.width / cell) + 1)
        self._ink: NDArray[np.bool_] = np.zeros(shape, dtype=bool)
        self._text: NDArray[np.bool_] = np.zeros(shape, dtype=bool)

    # --- drawing ------------------------------------------------------------------------------

    def add(self, *elements: Element) -> None:
        """Add elements as they are."""
        for element in elements:
            self.elements.append(element)
            self._mark(element)

    def dots(self, points: Sequence[tuple[Point, float]], tone: Tone, strength: float) -> None:
        """Add small squares: middles and half sides [mm]."""
        for (x, y), size in points:
            square = ((x - size, y - size), (x + size, y - size), (x + size, y + size), (x - size, y + size))
            self.elements.append(Area(square, tone, strength))
        middles = [point for point, _ in points]
        self._mark_lines(middles, middles)

    def line(
        self, points: Sequence[Point], line: Line = Line.EDGE, closed: bool = False, tone: Tone = "ink"
    ) -> None:
        """Add a line, cut off at the window."""
        for piece in clip_line(points, self.window, closed):
            self.add(Stroke(piece, line, tone=tone))

    def cut(
        self,
        outer: Sequence[Point],
        degrees: Sequence[float],
        spacing: float,
        line: Line = Line.OUTLINE,
        tone: Tone = "ink",
    ) -> None:
        """Add the outline of a cut part and its hatching, ``spacing`` [mm of paper], cut off at the
        window.
        """
        inside = clip_polygon(outer, self.window)
        if len(inside) < 3:
            return
        for angle in degrees:
            self.add(hatch([inside], angle, spacing * self.scale, tone))
        self.line(outer, line, closed=True, tone=tone)

    # --- room ---------------------------------------------------------------------------------

    def _cells(self, box: Box) -> tuple[slice, slice]:
        cell = _CELL * self.scale
        low = max(math.floor((box.low - self._room.low) / cell), 0)
        left = max(math.floor((box.left - self._room.left) / cell), 0)
        high = max(math.ceil((box.high - self._room.low) / cell), low + 1)
        right = max(math.ceil((box.right - self._room.left) / cell), left + 1)
        return slice(low, high), slice(left, right)

    def _mark(self, element: Element) -> None:
        if isinstance(element, Label):
            self._text[self._cells(element.box(self.scale))] = True
        elif isinstance(element, (Dimension, Leader)):
            for part in parts(element, self.scale):
                self._mark(part)
        elif isinstance(element, Hatching):
            self._mark_lines([a for a, _ in element.segments], [b for _, b in element.segments])
        else:
            path = element.points() if isinstance(element, Ring) else element.points
            if isinstance(element, Area) or (isinstance(element, Stroke) and element.closed):
                path = (*path, path[0])
            self._mark_lines(path[:-1], path[1:])

    def _mark_lines(self, starts: Sequence[Point], ends: Sequence[Point]) -> None:
        """Mark the ink of many straight lines at once."""
        if not starts:
            return
        cell = _CELL * self.scale
        a, b = np.array(starts, dtype=float), np.array(ends, dtype=float)
        count = np.maximum(np.ceil(np.hypot(*(b - a).T) / cell * 1.5).astype(np.intp) + 1, 2)
        which = np.repeat(np.arange(len(a)), count)
        step = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
        at = a[which] + (step / (count[which] - 1))[:, None] * (b - a)[which]
        column = ((at[:, 0] - self._room.left) / cell).astype(np.intp)
        row = ((at[:, 1] - self._room.low) / cell).astype(np.intp)
        inside = (row >= 0) & (row < self._ink.shape[0]) & (column >= 0) & (column < self._ink.shape[1])
        self._ink[row[inside], column[inside]] = True

    def _along(self, a: Point, b: Point) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return the rows and columns of the grid's cells under a line."""
        cell = _CELL * self.scale
        count = max(2, math.ceil(math.hypot(b[0] - a[0], b[1] - a[1]) / cell * 1.5) + 1)
        share = np.arange(count) / (count - 1)
        column = ((a[0] + share * (b[0] - a[0]) - self._room.left) / cell).astype(np.intp)
        row = ((a[1] + share * (b[1] - a[1]) - self._room.low) / cell).astype(np.intp)
        inside = (row >= 0) & (row < self._ink.shape[0]) & (column >= 0) & (column < self._ink.shape[1])
        return row[inside], column[inside]

    def is_free(self, box: Box, ink: bool = True) -> bool:
        """Return whether a box covers no label, and no line where ``ink``."""
        cells = self._cells(box)
        return not (self._text[cells].any() or (ink and self._ink[cells].any()))

    def bounds(self) -> Box:
        """Return the extents of what is drawn so far [mm]."""
        return extents(self.elements, self.scale)

    # --- labels -------------------------------------------------------------------------------

    def callout(
        self,
        tip: Point,
        rows: Sequence[str],
        zone: Box,
        *,
        badge: str = "",
        tone: Tone = "ink",
        mark: Literal["arrow", "dot", "none"] = "arrow",
        size: float = SMALL,
        bold: bool = False,
        far: float = math.inf,
    ) -> Label:
        """Add rows of text that speak of a point, at the nearest free place within a zone, with a leader.

        Where that is more than ``far`` [mm of paper] away, its badge alone is put there, if any.
        """
        probe = Label((0.0, 0.0), tuple(rows), size, "start", -1, bold=bold, tone=tone, badge=badge)
        wide, high = (side * self.scale for side in probe.extent())
        lefts, lows = self._free_places(zone, wide, high)
        best: tuple[Box, Point] | None = None
        if len(lefts):
            dx = np.maximum(np.maximum(lefts - tip[0], tip[0] - lefts - wide), 0.0)
            dy = np.maximum(np.maximum(lows - tip[1], tip[1] - lows - high), 0.0)
            away = np.hypot(dx, dy)
            away = np.where(away < 1.6 * ARROW * self.scale, away + 40.0 * self.scale, away)
            least = math.inf
            for index in np.argsort(away, kind="stable")[:150]:
                if away[index] >= least:
                    break
                box = Box(lefts[index], lows[index], lefts[index] + wide, lows[index] + high)
                end = _nearest_side(box, tip)
                run = self._along(end, tip)
                through = self._text[run].sum() * 20.0 + self._ink[run].sum()
                cost = away[index] + 1.2 * self.scale * through
                if cost < least:
                    least, best = cost, (box, end)
            if least > far * self.scale:
                if badge and rows:
                    return self.callout(tip, (), zone, badge=badge, tone=tone, mark=mark)
                if not badge:
                    return probe
        if best is None:
            return self._below(tip, probe, zone)
        box, end = best
        label = replace(probe, at=(float(box.left), float(box.low)))
        if mark != "none":
            self.add(Leader((tip, (float(end[0]), float(end[1]))), mark, tone))
        self.add(label)
        return label

    def _below(self, tip: Point, label: Label, zone: Box) -> Label:
        """Add rows for which there is no room under all that is drawn, and their badge (or a letter) at the
        point.
        """
        if not label.badge:
            self._letters += 1
            label = replace(label, badge=chr(ord("a") + (self._letters - 1) % 26))
        if label.rows:
            near = zone.grown(6.0 * self.scale)
            if self.room_for(*(2.0 * label.badge_radius * self.scale,) * 2, near, tip) is not None:
                self.callout(tip, (), near, badge=label.badge, tone=label.tone)
        bounds = self.bounds()
        label = replace(label, at=(zone.left, bounds.low - 1.5 * self.scale), level=1)
        self.add(label)
        return label

    def _free_places(
        self, zone: Box, wide: float, high: float
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return left and low [mm] of every place of the grid in a zone where a box is free."""
        cell = _CELL * self.scale
        air = _AIR * self.scale
        tall, broad = self._cells(zone.grown(2.0 * air))
        taken = self._ink[tall, broad] | self._text[tall, broad]
        total = np.zeros((taken.shape[0] + 1, taken.shape[1] + 1), dtype=np.int32)
        np.cumsum(np.cumsum(taken, axis=0, dtype=np.int32), axis=1, out=total[1:, 1:])
        rows, columns = math.ceil((high + 2 * air) / cell) + 1, math.ceil((wide + 2 * air) / cell) + 1
        if rows > taken.shape[0] or columns > taken.shape[1]:
            return np.zeros(0), np.zeros(0)
        count = (
            total[rows:, columns:]
            - total[:-rows, columns:]
            - total[rows:, :-columns]
            + total[:-rows, :-columns]
        )
        row, column = np.nonzero(count == 0)
        left = self._room.left + (column + broad.start) * cell + air
        low = self._room.low + (row + tall.start) * cell + air
        inside = (
            (left >= zone.left) & (left + wide <= zone.right) & (low >= zone.low) & (low + high <= zone.high)
        )
        return left[inside].astype(np.float64), low[inside].astype(np.float64)

    # --- dimensions ---------------------------------------------------------------------------

    def dimensions(
        self, figures: Sequence[Figure], side: Side, start: float, lines: Sequence[float] = ()
    ) -> float:
        """Add dimensions in tiers from ``start`` outward on one side, shortest nearest; return where they
        end.

        ``lines``: places of other lines that will run through the tiers.

        Each takes the first tier where neither its line, nor its label, meets another label or another line
        of
        the tier, and no extension line of a longer one runs through its label.
        """
        vertical = side in ("left", "right")
        sign = 1.0 if side in ("above", "right") else -1.0
        axis = 1 if vertical else 0
        pitch = (2.0 * PITCH * BODY + 1.2) * self.scale
        waiting = sorted(figures, key=lambda f: abs(f.second[axis] - f.first[axis]))
        tiers: list[list[tuple[float, float]]] = []
        last = start
        put_off: list[Figure] = []
        while waiting or put_off:
            final = not waiting
            figure = put_off.pop(0) if final else waiting.pop(0)
            rest = put_off if final else [*waiting, *put_off]
            later = [*lines, *(place for f in rest for place in (f.first[axis], f.second[axis]))]
            placed = None
            for tier in range(len(tiers) + 1):
                at = start + sign * (pitch * (tier + 0.5))
                placed = self._in_tier(figure, at, vertical, tiers[tier] if tier < len(tiers) else [], later)
                if placed is not None:
                    break
            if placed is None and not final:
                put_off.append(figure)
                continue
            placed = placed or self._dimension(figure, at, vertical, 1, ())
            if tier == len(tiers):
                tiers.append([])
            tiers[tier].append(_span(placed, self.scale))
            self.add(placed)
            end = at + sign * pitch / 2.0
            last = max(last, end) if sign > 0 else min(last, end)
        return last

    def _in_tier(
        self,
        figure: Figure,
        at: float,
        vertical: bool,
        taken: Sequence[tuple[float, float]],
        crossing: Sequence[float],
    ) -> Dimension | None:
        for place in (None, -1, 1):
            dim = self._dimension(figure, at, vertical, place, crossing)
            if place is None and dim.outside:
                continue
            low, high = _span(dim, self.scale)
            if any(low < b - 1e-6 and a < high - 1e-6 for a, b in taken):
                continue
            if not self._lines_free(dim):
                continue
            box = dim.label.box(self.scale)
            first, last = (box.low, box.high) if vertical else (box.left, box.right)
            if any(first < place_ < last for place_ in crossing):
                continue
            if not self.is_free(box):
                continue
            return dim
        return None

    def _lines_free(self, dim: Dimension) -> bool:
        """Return whether a dimension's own lines meet no label."""
        for part in parts(dim, self.scale):
            if isinstance(part, Stroke) and self._text[self._along(*part.points)].any():
                return False
        return True

    def _dimension(
        self, figure: Figure, at: float, vertical: bool, place: int | None, crossing: Sequence[float]
    ) -> Dimension:
        axis = 1 if vertical else 0
        low, high = sorted((figure.first[axis], figure.second[axis]))
        rows = (figure.above, figure.below) if figure.below else (figure.above,)
        label = Label((0.0, 0.0), rows, BODY, "middle", 0, vertical, tone=figure.tone, badge=figure.badge)
        length = label.extent()[0] * self.scale
        label = replace(label, level=0 if figure.below else -1)
        tail = (2.0 * ARROW + 0.8) * self.scale
        middle = None
        if place is None:
            middle = _widest(low, high, crossing, length + 2.0 * (ARROW + 0.4) * self.scale)
        inside = middle is not None
        if middle is None:
            middle = low - tail - length / 2.0 if place == -1 else high + tail + length / 2.0
        label = replace(label, at=(at, middle) if vertical else (middle, at))
        return Dimension(
            figure.first, figure.second, at, label, vertical, not inside, figure.above, figure.tone
        )

    def room_for(self, wide: float, high: float, zone: Box, near: Point) -> Box | None:
        """Return the free place of a size [mm] in a zone whose middle is nearest to a point, None without
        one.
        """
        lefts, lows = self._free_places(zone, wide, high)
        if not len(lefts):
            return None
        best = int(np.argmin(np.hypot(lefts + wide / 2.0 - near[0], lows + high / 2.0 - near[1])))
        left, low = float(lefts[best]), float(lows[best])
        return Box(left, low, left + wide, low + high)

    def finish(
        self,
        name: str,
        title: str,
        description: str,
        to_scale: bool = True,
        notes: dict[str, str] | None = None,
    ) -> Drawing:
        """Return the drawing, its box computed from all that is on it."""
        return Drawing(
            name,
            title,
            description,
            self.scale,
            tuple(self.elements),
            self.bounds(),
            to_scale,
            notes or {},
        )


def _span(dim: Dimension, scale: float) -> tuple[float, float]:
    """Return the stretch of a tier that a dimension takes with its label; neighbours may share an end."""
    box = dim.label.box(scale)
    first, last = (box.low, box.high) if dim.vertical else (box.left, box.right)
    axis = 1 if dim.vertical else 0
    low, high = (end[axis] for end in dim.ends())
    return min(first, low), max(last, high)


def _widest(low: float, high: float, crossing: Sequence[float], need: float) -> float | None:
    """Return the middle of the widest stretch between crossing lines, the whole one first; None: none is
    wide enough.
    """
    inner = sorted(place for place in crossing if low < place < high)
    whole = (low + high) / 2.0
    if high - low >= need and all(abs(place - whole) > need / 2.0 for place in inner):
        return whole
    ends = [low, *inner, high]
    wide, middle = max((b - a, (a + b) / 2.0) for a, b in itertools.pairwise(ends))
    return middle if wide >= need else None


def _nearest_side(box: Box, tip: Point) -> Point:
    """Return the point of a box's left or right side (middle of its nearest row) where a leader leaves it."""
    y = min(max(tip[1], box.low), box.high)
    if tip[0] < box.left:
        return (box.left, min(max(y, box.low), box.high))
    if tip[0] > box.right:
        return (box.right, min(max(y, box.low), box.high))
    middle = min(max(tip[0], box.left), box.right)
    return (middle, box.high if tip[1] > box.high else box.low)


def characters(paper_mm: float, size: float = SMALL) -> int:
    """Return how many characters of a size go into a width of paper [mm]."""
    return max(int(paper_mm / (EM * size)), 4)


__all__ = ["Area", "Board", "Figure", "Points", "characters"]
