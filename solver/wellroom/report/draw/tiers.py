"""Dimensions in tiers outward from a drawing, shortest nearest."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from wellroom.report.draw.model import BODY, PITCH, Dimension, Label, Point, Stroke, Tone
from wellroom.report.draw.pieces import ARROW, parts, short
from wellroom.report.draw.room import Room

_GAP = 1.8
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


class Tiers:
    """The tiers of one side, from ``start`` [mm] outward; ``end`` is how far they reach so far.

    A label that finds no room between its arrows stands beyond the end that is away from the middle of all.
    """

    def __init__(self, room: Room, scale: float, side: Side, start: float, figures: Sequence[Figure]) -> None:
        self._room, self._scale, self._start = room, scale, start
        self.vertical = side in ("left", "right")
        ends = [end for figure in figures for end in self.ends(figure)]
        self._middle = (min(ends, default=0.0) + max(ends, default=0.0)) / 2.0
        self._pitch = (1.0 if side in ("above", "right") else -1.0) * (2.0 * PITCH * BODY + 0.7) * scale
        self._taken: list[list[tuple[float, float]]] = []

    def ends(self, figure: Figure) -> tuple[float, float]:
        """Return the two ends of a figure along the tiers, the lesser first [mm]."""
        axis = 1 if self.vertical else 0
        low, high = sorted((figure.first[axis], figure.second[axis]))
        return low, high

    @property
    def end(self) -> float:
        """Where the tiers end [mm]."""
        return self._start + self._pitch * len(self._taken)

    def place(self, figure: Figure, crossing: Sequence[float], must: bool = False) -> Dimension | None:
        """Return a figure's dimension in the first tier that has room for it, None without one.

        There neither its line nor its label meets another label or line of the tier, and none of the places
        ``crossing``, through which other lines will run, is under its label. One that must be placed takes
        a tier of its own.
        """
        for tier in range(len(self._taken) + 1):
            at = self._start + self._pitch * (tier + 0.5)
            found = self._in_tier(figure, at, self._taken[tier] if tier < len(self._taken) else (), crossing)
            if found is None and must and tier == len(self._taken):
                found = self._beside(figure, at, 1)
            if found is not None:
                if tier == len(self._taken):
                    self._taken.append([])
                self._taken[tier].append(_span(found, self._scale))
                return found
        return None

    def _in_tier(
        self, figure: Figure, at: float, taken: Sequence[tuple[float, float]], crossing: Sequence[float]
    ) -> Dimension | None:
        way = 1 if sum(self.ends(figure)) / 2.0 > self._middle else -1
        for dim in (
            self._within(figure, at, crossing),
            self._beside(figure, at, way),
            self._beside(figure, at, -way),
        ):
            if dim is None:
                continue
            low, high = _span(dim, self._scale)
            box = dim.label.box(self._scale)
            first, last = (box.low, box.high) if self.vertical else (box.left, box.right)
            if (
                not any(low < b - 1e-6 and a < high - 1e-6 for a, b in taken)
                and not any(first < place < last for place in crossing)
                and self._lines_free(dim)
                and self._room.is_free(box)
            ):
                return dim
        return None

    def _lines_free(self, dim: Dimension) -> bool:
        """Return whether a dimension's own lines meet no label."""
        lines = [part for part in parts(dim, self._scale) if isinstance(part, Stroke)]
        return not any(self._room.meets_label(*line.points) for line in lines)

    def _label(self, figure: Figure) -> Label:
        rows = (figure.above, figure.below) if figure.below else (figure.above,)
        level = 0 if figure.below else -1
        return Label(
            (0.0, 0.0), rows, BODY, "middle", level, self.vertical, tone=figure.tone, badge=figure.badge
        )

    def _at(self, figure: Figure, at: float, middle: float, outside: bool) -> Dimension:
        place = (at, middle) if self.vertical else (middle, at)
        label = replace(self._label(figure), at=place)
        return Dimension(
            figure.first, figure.second, at, label, self.vertical, outside, figure.above, figure.tone
        )

    def _within(self, figure: Figure, at: float, crossing: Sequence[float]) -> Dimension | None:
        """Return the dimension with its label between the arrows, None without room for it there."""
        low, high = self.ends(figure)
        need = self._label(figure).extent()[0] + 2.0 * (ARROW + 0.4)
        middle = _widest(low, high, crossing, need * self._scale)
        return None if middle is None else self._at(figure, at, middle, False)

    def _beside(self, figure: Figure, at: float, way: int) -> Dimension:
        """Return the dimension with its label beyond one end."""
        low, high = self.ends(figure)
        outside = short(high - low, self._scale)
        long = self._label(figure).extent()[0]
        away = (_GAP + (2.0 * ARROW if outside else 0.0) + long / 2.0) * self._scale
        return self._at(figure, at, low - away if way < 0 else high + away, outside)


def _span(dim: Dimension, scale: float) -> tuple[float, float]:
    """Return the stretch of a tier that a dimension takes with label and arrows; neighbours may share an
    end.
    """
    box = dim.label.box(scale)
    first, last = (box.low, box.high) if dim.vertical else (box.left, box.right)
    axis = 1 if dim.vertical else 0
    tail = 2.0 * ARROW * scale if dim.outside else 0.0
    low, high = (end[axis] for end in dim.ends())
    return min(first, low - tail), max(last, high + tail)


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
