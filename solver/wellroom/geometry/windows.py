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
_FEW = 32
_BINS = int(np.ceil((REACH_HIGH + 200.0) / STEP))


@dataclass(frozen=True)
class Curve:
    """How far discs reach at each distance from the axis, in one direction.

    ``towards`` +1: largest y, closing shifts below; -1: largest -y, closing shifts above. ``r``, ``y``,
    ``growth`` (n,) [mm] the discs, y in that direction. ``reach`` (bins,) least upper bound over each bin;
    ``disc`` the discs that matter in each bin, bin k holding ``disc[start[k]:start[k + 1]]``.
    """

    towards: int
    r: Floats
    y: Floats
    growth: Floats
    reach: Floats
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
        return cls(towards, r, y, growth, reach, start, owner[order])

    @cached_property
    def table(self) -> RangeMax:
        """The range maxima of the bins."""
        return RangeMax(self.reach[None, :])

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
    none.
    """
    reach = parts.inboard if curve.towards > 0 else parts.outboard
    best = np.full(len(reach), -np.inf)
    sloped = []
    for edge in range(VERTICES - 1):
        r0, r1, h0, h1 = parts.r[:, edge], parts.r[:, edge + 1], reach[:, edge], reach[:, edge + 1]
        level = (h0 == h1) | (r1 <= r0)
        top = np.maximum(h0, h1)
        inner, ends = _bounded(curve, r0, r1)
        np.maximum(best, np.where(level, np.maximum(inner, ends) + top, -np.inf), out=best)
        if not level.all():
            sloped.append((edge, np.where(level, -np.inf, np.maximum(inner, ends) + top)))
    for edge, most in sloped:
        rows = np.flatnonzero(most > best)
        if len(rows):
            h0, h1 = reach[rows, edge], reach[rows, edge + 1]
            best[rows] = _sloped(curve, parts.r[rows, edge], parts.r[rows, edge + 1], h0, h1, best[rows])
    return best


def _bounded(curve: Curve, r0: Floats, r1: Floats) -> tuple[Floats, Floats]:
    """Return the maximum of Y over the whole bins within [r0, r1], and over the parts at both ends: exact."""
    first, last = np.floor(r0 / STEP).astype(np.intp), np.floor(r1 / STEP).astype(np.intp)
    inner = curve.table.query(0, first + 1, last - 1)
    one = first == last
    ends = np.maximum(
        _partial(curve, first, r0, np.where(one, r1, (first + 1) * STEP)),
        _partial(curve, last, np.where(one, r0, last * STEP), r1),
    )
    return inner, ends


def _partial(curve: Curve, bins: Ints, low: Floats, high: Floats) -> Floats:
    """Return the maximum of Y over [low, high] within a bin, each distinct one reckoned once."""
    if len(bins) <= _FEW:
        return curve.along(bins, low, high, np.zeros(len(bins)))
    keys, back = np.unique(np.stack([bins.astype(float), low, high], axis=1), axis=0, return_inverse=True)
    some = curve.along(keys[:, 0].astype(np.intp), keys[:, 1], keys[:, 2], np.zeros(len(keys)))
    return np.asarray(some[back.ravel()])


def _sloped(curve: Curve, r0: Floats, r1: Floats, h0: Floats, h1: Floats, best: Floats) -> Floats:
    """Return the greater of ``best`` and the exact maximum of Y + reach along sloped edges: (n,) [mm]."""
    first, last = np.floor(r0 / STEP).astype(np.intp), np.floor(r1 / STEP).astype(np.intp)
    count = last - first + 1
    owner = np.repeat(np.arange(len(first)), count)
    bins = first[owner] + np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    slope = ((h1 - h0) / (r1 - r0))[owner]
    base = (h0 - (h1 - h0) / (r1 - r0) * r0)[owner]
    low, high = np.maximum(bins * STEP, r0[owner]), np.minimum((bins + 1) * STEP, r1[owner])
    bound = curve.reach[bins] + base + np.maximum(slope * low, slope * high)
    wins = np.flatnonzero(bound > best[owner])
    exact = curve.along(bins[wins], low[wins], high[wins], slope[wins]) + base[wins]
    out = best.copy()
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
