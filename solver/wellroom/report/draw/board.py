"""The board a drawing is made on: what is drawn, and labels put where there is room for them.

A label that speaks of a point is put at the nearest place where its box covers neither ink nor a label, and
where its leader crosses no label.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Literal

import numpy as np

from wellroom.report.draw.model import (
    EM,
    SMALL,
    Area,
    Box,
    Clearance,
    Drawing,
    Element,
    Hatching,
    Label,
    Layer,
    Leader,
    Line,
    Point,
    Points,
    Ring,
    Stroke,
    Tone,
)
from wellroom.report.draw.pieces import ARROW, extents
from wellroom.report.draw.room import Room
from wellroom.report.draw.shapes import clip_line, clip_polygon, cross, hatch, rectangle
from wellroom.report.draw.tiers import Figure, Side, Tiers

_TRIED, _FARTHER, _THINNED = 150, 6000, 20
"""How many of the nearest places are tried, and of how many farther ones one in so many."""
_CROSSED, _NEARER = 60.0, 30.0
"""What it costs a label that its leader crosses the line of another clearance, or that it stands nearer to
that line than to its own [mm of paper]."""


class Board:
    """Collects the elements of one drawing within a window of the world [mm]."""

    def __init__(self, scale: float, window: Box) -> None:
        self.scale = scale
        self.window = window
        self.elements: list[Element] = []
        self.room = Room(window.grown(120.0 * scale), scale)
        self._layer: Layer = "sheet"
        self._letters = 0
        self._keys: list[Label] = []
        self._lines: list[tuple[Point, Point]] = []

    # --- drawing ------------------------------------------------------------------------------

    @contextmanager
    def on(self, layer: Layer) -> Iterator[None]:
        """Put what is added within on a layer."""
        before, self._layer = self._layer, layer
        try:
            yield
        finally:
            self._layer = before

    def add(self, *elements: Element) -> None:
        """Add elements as they are."""
        for element in elements:
            self._keep(element)
            self.room.mark(element)

    def _keep(self, element: Element) -> None:
        if self._layer != "sheet" and isinstance(element, (Stroke, Hatching, Ring, Area)):
            element = replace(element, layer=self._layer)
        self.elements.append(element)

    def dots(self, points: Sequence[tuple[Point, float]], tone: Tone, strength: float) -> None:
        """Add small squares: middles and half sides [mm]."""
        for (x, y), size in points:
            self._keep(Area(rectangle(x - size, y - size, x + size, y + size), tone, strength))
        middles = [point for point, _ in points]
        self.room.mark_lines(middles, middles)

    def shade(self, points: Points, tone: Tone, strength: float) -> None:
        """Add an area that labels may stand on."""
        self._keep(Area(points, tone, strength))

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

    def bounds(self) -> Box:
        """Return the extents of what is drawn so far [mm]."""
        return extents(self.elements, self.scale)

    # --- labels -------------------------------------------------------------------------------

    def keep_apart(self, clearances: Sequence[Clearance]) -> None:
        """Note the lines of clearances to come: no label covers them or seems to speak of another's."""
        for clearance in clearances:
            self._lines.append(clearance.ends())
            self.room.mark(Stroke(clearance.ends(), Line.THIN))

    def callout(
        self,
        tip: Point,
        rows: Sequence[str],
        zone: Box,
        *,
        badge: str = "",
        tone: Tone = "ink",
        mark: Literal["arrow", "dot", "plain", "none"] = "arrow",
        size: float = SMALL,
        bold: bool = False,
        far: float = math.inf,
        of: Clearance | None = None,
    ) -> Label | None:
        """Add rows of text that speak of a point, at the nearest free place within a zone, with a leader.

        Where that is more than ``far`` [mm of paper] away its badge alone is put there and the rows go to
        the key under the drawing; without a badge nothing is. Returns the label at the point, if any.
        ``mark``: how the leader ends, "none": without one. ``of``: the clearance that the rows state.
        """
        probe = Label((0.0, 0.0), tuple(rows), size, "start", -1, bold=bold, tone=tone, badge=badge)
        others = [line for line in self._lines if of is None or line != of.ends()]
        found = self._best_place(probe, tip, zone, far * self.scale, others)
        if found is None and rows:
            if not badge and far < math.inf:
                return None
            if not badge:
                self._letters += 1
                badge = chr(ord("a") + (self._letters - 1) % 26)
            self.key(rows, badge, tone)
            near = zone.grown(6.0 * self.scale)
            return self.callout(tip, (), near, badge=badge, tone=tone, mark=mark, of=of)
        if found is None:
            return None
        box, end = found
        label = replace(probe, at=(box.left, box.low))
        if mark != "none":
            self.add(Leader((tip, end), "none" if mark == "plain" else mark, tone))
        self.add(label if of is None else replace(of, label=label))
        return label

    def _best_place(
        self, probe: Label, tip: Point, zone: Box, far: float, others: Sequence[tuple[Point, Point]]
    ) -> tuple[Box, Point] | None:
        """Return the best free place for a label in a zone, and where its leader leaves it.

        ``others``: the lines that it does not speak of.
        """
        wide, high = (side * self.scale for side in probe.extent())
        lefts, lows = self.room.free_places(zone, wide, high)
        dx = np.maximum(np.maximum(lefts - tip[0], tip[0] - lefts - wide), 0.0)
        dy = np.maximum(np.maximum(lows - tip[1], tip[1] - lows - high), 0.0)
        away = np.hypot(dx, dy)
        away = np.where(away < 1.6 * ARROW * self.scale, away + 40.0 * self.scale, away)
        best: tuple[Box, Point] | None = None
        least = math.inf
        order = np.argsort(away, kind="stable")
        for index in (*order[:_TRIED], *order[_TRIED:_FARTHER:_THINNED]):
            if away[index] >= least:
                break
            left, low = float(lefts[index]), float(lows[index])
            box = Box(left, low, left + wide, low + high)
            end = _nearest_side(box, tip)
            cost = float(away[index]) + 1.2 * self.scale * self.room.trouble(end, tip)
            if cost < least:
                cost += self.scale * _mistaken(box, end, tip, others)
            if cost < least:
                least, best = cost, (box, end)
        return best if least <= far else None

    def key(self, rows: Sequence[str], badge: str, tone: Tone = "ink") -> None:
        """Keep rows for the key under the drawing."""
        self._keys.append(Label((0.0, 0.0), tuple(rows), SMALL, "start", 1, tone=tone, badge=badge))

    def add_keys(self) -> None:
        """Add what had no room at its point, under all that is drawn, side by side."""
        k, keys = self.scale, self._keys
        self._keys = []
        if not keys:
            return
        bounds = self.bounds()
        x, y, deepest = bounds.left, bounds.low - 2.5 * k, 0.0
        for label in keys:
            wide, high = (side * k for side in label.extent())
            if x > bounds.left and x + wide > max(bounds.right, bounds.left + 140.0 * k):
                x, y, deepest = bounds.left, y - deepest - 1.0 * k, 0.0
            self.add(replace(label, at=(x, y)))
            x, deepest = x + wide + 4.0 * k, max(deepest, high)

    # --- dimensions ---------------------------------------------------------------------------

    def dimensions(
        self, figures: Sequence[Figure], side: Side, start: float, lines: Sequence[float] = ()
    ) -> float:
        """Add dimensions in tiers from ``start`` outward on one side, shortest nearest; return where they
        end.

        ``lines``: places of other lines that will run through the tiers. One that finds no room among the
        lines still to come waits until the others are placed.
        """
        tiers = Tiers(self.room, self.scale, side, start, figures)
        waiting = sorted(figures, key=lambda f: tiers.ends(f)[1] - tiers.ends(f)[0])
        put_off: list[Figure] = []
        while waiting or put_off:
            final = not waiting
            figure = put_off.pop(0) if final else waiting.pop(0)
            rest = [*waiting, *put_off]
            crossing = [*lines, *(end for f in rest for end in tiers.ends(f))]
            placed = tiers.place(figure, crossing, must=final)
            if placed is None:
                put_off.append(figure)
            else:
                self.add(placed)
        return tiers.end

    def finish(self, name: str, title: str, description: str, to_scale: bool = True) -> Drawing:
        """Return the drawing, its box computed from all that is on it."""
        self.add_keys()
        return Drawing(name, title, description, self.scale, tuple(self.elements), self.bounds(), to_scale)


def _mistaken(box: Box, end: Point, tip: Point, others: Sequence[tuple[Point, Point]]) -> float:
    """Return what it costs a label that it may be read as speaking of one of other lines [mm of paper]."""
    own = box.distance(tip)
    crossed = sum(cross(end, tip, *line) for line in others)
    nearer = sum(min(box.distance(point) for point in line) < own for line in others)
    return crossed * _CROSSED + nearer * _NEARER


def _nearest_side(box: Box, tip: Point) -> Point:
    """Return the point of a box's edge (of its left or right side first) where a leader leaves it."""
    if tip[0] < box.left or tip[0] > box.right:
        return (box.left if tip[0] < box.left else box.right, min(max(tip[1], box.low), box.high))
    return (tip[0], box.high if tip[1] > box.high else box.low)


def characters(paper_mm: float, size: float = SMALL) -> int:
    """Return how many characters of a size go into a width of paper [mm]."""
    return max(int(paper_mm / (EM * size)), 4)


__all__ = ["Board", "Figure", "characters"]
