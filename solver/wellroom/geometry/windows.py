"""Windows of shifts that clear what was swept, for many sections at once, exactly on the samples.

Shift s is the lateral place of a wheel's centre plane, y outboard from the mounting face. A swept item is
kept as discs: its samples, grown. A section fouls them up to the greatest of Y(r) + reach(r) over its own r,
where Y(r) is the farthest that a disc reaches at r. Bins of r hold the least upper bound of Y, so a range
maximum bounds an edge of the section; the bins in which the edge begins and ends, and those of a sloped edge
that can still win, are taken exactly from the few discs that matter in them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.envelope import REACH_HIGH, Cells
from wellroom.geometry.items import Blocks, Floats, Item
from wellroom.geometry.ranges import RangeMax
from wellroom.geometry.section import VERTICES, Sections

Ints = NDArray[np.intp]

STEP = 0.25
"""Width of a bin [mm]. Not an error: what a bin holds is bounded by it, and then taken exactly."""
_TILT = 0.125
_BINS = int(np.ceil((REACH_HIGH + 600.0) / STEP))


@dataclass(frozen=True)
class Curve:
    """How far discs reach at each distance from the axis, in one direction.

    ``towards`` +1: largest y, closing shifts below; -1: largest -y, closing shifts above. ``r``, ``y``,
    ``growth`` (n,) [mm] the discs, y in that direction. ``reach`` (bins,) least upper bound over each bin,
    ``surely`` a lower bound at each of its r; ``disc`` the discs that matter in each bin, bin k holding
    ``disc[start[k]:start[k + 1]]``.
    """

    towards: int
    r: Floats
    y: Floats
    growth: Floats
    reach: Floats
    surely: Floats
    start: Ints
    disc: Ints

    @classmethod
    def of(cls, towards: int, r: Floats, y: Floats, growth: Floats) -> Curve:
        """Return the curve of discs; a disc is left out of a bin where another surely reaches farther."""
        first = np.maximum(np.floor((r - growth) / STEP), 0).astype(np.intp)
        last = np.minimum(np.floor((r + growth) / STEP), _BINS - 1).astype(np.intp)
        count = np.maximum(last - first + 1, 0)
        owner = np.repeat(np.arange(len(r)), count)
        bins = first[owner] + np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        left, right = bins * STEP - r[owner], (bins + 1) * STEP - r[owner]
        square = growth[owner] ** 2
        near = np.where((left <= 0.0) & (right >= 0.0), 0.0, np.minimum(left**2, right**2))
        far = np.maximum(left**2, right**2)
        most = y[owner] + np.sqrt(np.maximum(square - near, 0.0))
        least = np.where(far <= square, y[owner] + np.sqrt(np.maximum(square - far, 0.0)), -np.inf)
        reach, surely = np.full(_BINS, -np.inf), np.full(_BINS, -np.inf)
        np.maximum.at(reach, bins, most)
        np.maximum.at(surely, bins, least)
        matter = most >= surely[bins]
        bins, owner = bins[matter], owner[matter]
        order = np.argsort(bins, kind="stable")
        start = np.searchsorted(bins[order], np.arange(_BINS + 1)).astype(np.intp)
        return cls(towards, r, y, growth, reach, surely, start, owner[order])

    @cached_property
    def table(self) -> RangeMax:
        """The range maxima of the bins."""
        return RangeMax(self.reach[None, :])

    def tilted_bound(self, r0: Floats, r1: Floats, h0: Floats, h1: Floats) -> Floats:
        """Return an upper bound (n,) [mm] of Y + reach along edges that rise from h0 at r0 to h1 at r1.

        Y + slope r is tabled for slopes ``_TILT`` apart, rounded down; what the edge is steeper adds no more
        than over its own length.
        """
        slope = (h1 - h0) / (r1 - r0)
        kind = np.floor(slope / _TILT).astype(np.intp)
        first, last = np.floor(r0 / STEP).astype(np.intp), np.floor(r1 / STEP).astype(np.intp)
        out = np.empty(len(r0))
        for k in np.unique(kind):
            rows = np.flatnonzero(kind == k)
            tilt = k * _TILT
            if k not in self._tilted:
                left = np.arange(_BINS) * STEP
                rise = np.maximum(tilt * left, tilt * (left + STEP))
                self._tilted[int(k)] = RangeMax((self.reach + rise)[None, :])
            top = self._tilted[int(k)].query(0, first[rows], last[rows])
            more = (slope[rows] - tilt) * (r1[rows] - r0[rows])
            out[rows] = top - tilt * r0[rows] + h0[rows] + more
        return out

    @cached_property
    def _tilted(self) -> dict[int, RangeMax]:
        return {}

    def along(self, bins: Ints, low: Floats, high: Floats, slope: Floats) -> Floats:
        """Return the exact maximum (n,) of Y(r) + slope r over r in [low, high], each within its bin [mm]."""
        out = np.full(len(bins), -np.inf)
        count = self.start[bins + 1] - self.start[bins]
        owner = np.repeat(np.arange(len(bins)), count)
        if not len(owner):
            return out
        place = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        disc = self.disc[self.start[bins][owner] + place]
        r, growth, steep = self.r[disc], self.growth[disc], slope[owner]
        best = r + growth * steep / np.sqrt(1.0 + steep**2)
        at = np.clip(best, low[owner], high[owner])
        rise = growth**2 - (at - r) ** 2
        value = np.where(rise >= 0.0, self.y[disc] + np.sqrt(np.maximum(rise, 0.0)) + steep * at, -np.inf)
        np.maximum.at(out, owner, value)
        return out


@dataclass(frozen=True)
class Closing:
    """What one thing closes: a curve where it blocks a side; both, one fouled interval, where it blocks
    none.
    """

    id: str
    up: Curve | None
    down: Curve | None


def closing(id_: str, blocks: Blocks, parts: Sequence[tuple[Cells, float]]) -> Closing:
    """Return what the samples of one thing close, each part grown to its own clearance [mm]."""
    r = np.concatenate([cells.r for cells, _ in parts])
    y = np.concatenate([cells.y for cells, _ in parts])
    growth = np.concatenate([cells.growth(clearance) for cells, clearance in parts])
    up = Curve.of(1, r, y, growth) if blocks is not Blocks.OUTBOARD else None
    down = Curve.of(-1, r, -y, growth) if blocks is not Blocks.INBOARD else None
    return Closing(id_, up, down)


def item_closing(id_: str, items: Sequence[Item], cells: Cells, rows: Sequence[Ints], tread: int) -> Closing:
    """Return what one thing (all its items block alike) closes at its clearance for a tread class."""
    asked = [item.clearances[min(tread, len(item.clearances) - 1)] for item in items]
    parts = [(cells.take(mine), clearance) for mine, clearance in zip(rows, asked, strict=True)]
    return closing(id_, items[0].blocks, parts)


def fouled_to(curve: Curve, parts: Sections) -> Floats:
    """Return, for each section (n,), the greatest shift that fouls a curve, in the curve's direction [mm].

    Direction +1: shifts up to the result foul. Direction -1: shifts from minus the result on foul. -inf:
    none does.
    """
    reach = parts.inboard if curve.towards > 0 else parts.outboard
    after, before = _at_vertices(curve, parts)
    bins = np.floor(parts.r / STEP).astype(np.intp)
    best = np.full(len(reach), -np.inf)
    sloped = []
    for edge in range(VERTICES - 1):
        r0, r1, h0, h1 = parts.r[:, edge], parts.r[:, edge + 1], reach[:, edge], reach[:, edge + 1]
        most = curve.table.query(0, bins[:, edge] + 1, bins[:, edge + 1] - 1)
        most = np.maximum(most, np.maximum(after[:, edge], before[:, edge + 1]))
        short = np.flatnonzero((bins[:, edge] == bins[:, edge + 1]) & (r1 > r0))
        most[short] = curve.along(bins[short, edge], r0[short], r1[short], np.zeros(len(short)))
        level, real = h0 == h1, r1 > r0
        np.maximum(best, np.where(level & real, most + h0, -np.inf), out=best)
        sloped.append((edge, np.where(level | ~real, -np.inf, most + np.maximum(h0, h1))))
    for edge, bound in sloped:
        rows = np.flatnonzero(bound > best)
        if len(rows):
            r0, r1 = parts.r[rows, edge], parts.r[rows, edge + 1]
            h0, h1 = reach[rows, edge], reach[rows, edge + 1]
            near = curve.tilted_bound(r0, r1, h0, h1) > best[rows]
            some = rows[near]
            best[some] = _sloped(curve, r0[near], r1[near], h0[near], h1[near], best[some])
    return best


def _at_vertices(curve: Curve, parts: Sections) -> tuple[Floats, Floats]:
    """Return the exact maximum of Y within each vertex's bin (n, VERTICES): from the vertex on, and up to it.

    Each distinct r is reckoned once: many sections share them.
    """
    values, back = parts.radii
    bins = np.floor(values / STEP).astype(np.intp)
    left: Floats = bins.astype(float) * STEP
    flat = np.zeros(len(values))
    after = curve.along(bins, values, left + STEP, flat)
    before = curve.along(bins, left, values, flat)
    return after[back], before[back]


def _sloped(curve: Curve, r0: Floats, r1: Floats, h0: Floats, h1: Floats, best: Floats) -> Floats:
    """Return the greater of ``best`` and the exact maximum of Y + reach along sloped edges: (n,) [mm]."""
    first, last = np.floor(r0 / STEP).astype(np.intp), np.floor(r1 / STEP).astype(np.intp)
    count = last - first + 1
    starts = np.cumsum(count) - count
    owner = np.repeat(np.arange(len(first)), count)
    bins = first[owner] + np.arange(len(owner)) - np.repeat(starts, count)
    slope = ((h1 - h0) / (r1 - r0))[owner]
    base = (h0 - (h1 - h0) / (r1 - r0) * r0)[owner]
    low, high = np.maximum(bins * STEP, r0[owner]), np.minimum((bins + 1) * STEP, r1[owner])
    at_low, at_high = base + slope * low, base + slope * high
    out = np.maximum(best, np.maximum.reduceat(curve.surely[bins] + np.maximum(at_low, at_high), starts))
    wins = np.flatnonzero(curve.reach[bins] + np.maximum(at_low, at_high) > out[owner])
    exact = curve.along(bins[wins], low[wins], high[wins], slope[wins]) + base[wins]
    np.maximum.at(out, owner[wins], exact)
    return out


Interval = tuple[float, float]


def allowed(low: float, high: float, fouled: list[Interval]) -> list[Interval]:
    """Return the closed intervals of [low, high] outside all open fouled intervals, ascending and disjoint.

    >>> allowed(0.0, 10.0, [(2.0, 3.0), (9.0, 20.0)])
    [(0.0, 2.0), (3.0, 9.0)]
    >>> allowed(0.0, 10.0, [(-1.0, 11.0)])
    []
    """
    out = []
    at = low
    for a, b in sorted(pair for pair in fouled if pair[0] < pair[1]):
        if b <= at:
            continue
        if a >= high:
            break
        if a >= at:
            out.append((at, a))
        at = max(at, b)
    if at <= high:
        out.append((at, high))
    return out
