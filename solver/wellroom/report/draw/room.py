"""Where there is still room on a board: a grid of paper that knows where there are lines, labels and
leaders.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wellroom.report.draw.model import (
    Area,
    Box,
    Clearance,
    Dimension,
    Element,
    Hatching,
    Label,
    Leader,
    Point,
    Ring,
    Stroke,
)
from wellroom.report.draw.pieces import parts

_CELL = 1.0
_AIR = 0.9
_LABEL, _LEADER = 20.0, 6.0
Grid = NDArray[np.bool_]


class Room:
    """The grid under a box of the world [mm], one cell a millimetre of paper."""

    def __init__(self, box: Box, scale: float) -> None:
        self._box, self._scale = box, scale
        cell = _CELL * scale
        shape = (math.ceil(box.height / cell) + 1, math.ceil(box.width / cell) + 1)
        self._ink: Grid = np.zeros(shape, dtype=bool)
        self._text: Grid = np.zeros(shape, dtype=bool)
        self._leaders: Grid = np.zeros(shape, dtype=bool)

    # --- marking ------------------------------------------------------------------------------

    def mark(self, element: Element) -> None:
        """Take the room of an element."""
        if isinstance(element, Label):
            self._text[self._cells(element.box(self._scale))] = True
        elif isinstance(element, (Dimension, Clearance, Leader)):
            for part in parts(element, self._scale):
                self.mark(part)
            if isinstance(element, Leader):
                self._leaders[self._along(*element.points)] = True
        elif isinstance(element, Hatching):
            self.mark_lines([a for a, _ in element.segments], [b for _, b in element.segments])
        else:
            path = element.points() if isinstance(element, Ring) else element.points
            if isinstance(element, Area) or (isinstance(element, Stroke) and element.closed):
                path = (*path, path[0])
            self.mark_lines(path[:-1], path[1:])

    def mark_lines(self, starts: Sequence[Point], ends: Sequence[Point]) -> None:
        """Take the room of many straight lines at once."""
        if not starts:
            return
        cell = _CELL * self._scale
        a, b = np.array(starts, dtype=float), np.array(ends, dtype=float)
        count = np.maximum(np.ceil(np.hypot(*(b - a).T) / cell * 1.5).astype(np.intp) + 1, 2)
        which = np.repeat(np.arange(len(a)), count)
        step = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
        at = a[which] + (step / (count[which] - 1))[:, None] * (b - a)[which]
        self._ink[self._under(at[:, 0], at[:, 1])] = True

    def _cells(self, box: Box) -> tuple[slice, slice]:
        cell = _CELL * self._scale
        low = max(math.floor((box.low - self._box.low) / cell), 0)
        left = max(math.floor((box.left - self._box.left) / cell), 0)
        high = max(math.ceil((box.high - self._box.low) / cell), low + 1)
        right = max(math.ceil((box.right - self._box.left) / cell), left + 1)
        return slice(low, high), slice(left, right)

    def _along(self, a: Point, b: Point) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return the rows and columns of the cells under a line."""
        count = max(2, math.ceil(math.dist(a, b) / (_CELL * self._scale) * 1.5) + 1)
        share = np.arange(count) / (count - 1)
        return self._under(a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))

    def _under(
        self, x: NDArray[np.float64], y: NDArray[np.float64]
    ) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        cell = _CELL * self._scale
        column = ((x - self._box.left) / cell).astype(np.intp)
        row = ((y - self._box.low) / cell).astype(np.intp)
        inside = (row >= 0) & (row < self._ink.shape[0]) & (column >= 0) & (column < self._ink.shape[1])
        return row[inside], column[inside]

    # --- asking -------------------------------------------------------------------------------

    def is_free(self, box: Box, ink: bool = True) -> bool:
        """Return whether a box covers no label, and no line where ``ink``."""
        cells = self._cells(box)
        return not (self._text[cells].any() or (ink and self._ink[cells].any()))

    def meets_label(self, a: Point, b: Point) -> bool:
        """Return whether a line runs through a label."""
        return bool(self._text[self._along(a, b)].any())

    def trouble(self, a: Point, b: Point) -> float:
        """Return how much a leader between two points would run through, labels and leaders most of all."""
        run = self._along(a, b)
        return float(
            self._text[run].sum() * _LABEL + self._leaders[run].sum() * _LEADER + self._ink[run].sum()
        )

    def free_places(
        self, zone: Box, wide: float, high: float
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return left and low [mm] of every place of the grid in a zone where a box is free."""
        cell, air = _CELL * self._scale, _AIR * self._scale
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
        left = self._box.left + (column + broad.start) * cell + air
        low = self._box.low + (row + tall.start) * cell + air
        inside = (
            (left >= zone.left) & (left + wide <= zone.right) & (low >= zone.low) & (low + high <= zone.high)
        )
        return left[inside].astype(np.float64), low[inside].astype(np.float64)

    def place(self, wide: float, high: float, zone: Box, near: Point) -> Box | None:
        """Return the free place of a size [mm] in a zone whose middle is nearest to a point, None without
        one.
        """
        lefts, lows = self.free_places(zone, wide, high)
        if not len(lefts):
            return None
        best = int(np.argmin(np.hypot(lefts + wide / 2.0 - near[0], lows + high / 2.0 - near[1])))
        left, low = float(lefts[best]), float(lows[best])
        return Box(left, low, left + wide, low + high)
