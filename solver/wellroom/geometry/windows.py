"""Windows of shifts that clear what was swept, for many sections at once.

Shift s is the lateral place of a wheel's centre plane, y outboard from the mounting face. A swept item is
kept as a curve over bins of distance from the axis: the farthest that its grown samples reach. A section
fouls it up to the greatest of curve(r) + reach(r) over its own r: a range maximum per edge of the section,
exact on the bins.

A bin stands for all its distances, so a window errs to the safe side by no more than ``STEP`` of clearance.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.envelope import REACH_HIGH, Cells
from wellroom.geometry.items import Blocks, Floats, Item
from wellroom.geometry.ranges import RangeMax
from wellroom.geometry.section import VERTICES, Sections

STEP = 0.25
"""Width of a bin [mm]."""
_BINS = int(np.ceil((REACH_HIGH + 120.0) / STEP))
_CHUNK = 4096


@dataclass(frozen=True)
class Curve:
    """How far one swept item, grown by its clearance, reaches towards the wheel: ``reach`` (bins,) [mm].

    Towards ``+1``: largest y at each r, closing shifts below; ``-1``: largest -y, closing shifts above.
    """

    towards: int
    reach: Floats

    @cached_property
    def table(self) -> RangeMax:
        """The range maxima of the curve."""
        return RangeMax(self.reach[None, :])


def grown_curve(r: Floats, y: Floats, growth: Floats) -> Floats:
    """Return the largest y (bins,) [mm] over all discs of centre (r, y) and radius ``growth`` that meet each
    bin.
    """
    out = np.full(_BINS, -np.inf)
    if not len(r):
        return out
    home = np.floor(r / STEP).astype(np.intp)
    far = int(np.ceil(growth.max() / STEP)) + 1
    for step in range(-far, far + 1):
        k = home + step
        left, right = k * STEP, (k + 1) * STEP
        away = np.maximum(np.maximum(left - r, r - right), 0.0)
        rise = growth**2 - away**2
        hit = (rise >= 0.0) & (k >= 0) & (k < _BINS)
        np.maximum.at(out, k[hit], y[hit] + np.sqrt(rise[hit]))
    return out


@dataclass(frozen=True)
class Closing:
    """What one item closes: one curve where it blocks a side; both, as one fouled interval, where it blocks
    nothing.
    """

    id: str
    up: Curve | None
    down: Curve | None


def closings(items: list[Item], cells: Cells, tread_class: int) -> list[Closing]:
    """Return what each item closes at its clearance for a tread class (0 all others, 1 mud)."""
    out = []
    for index, item in enumerate(items):
        mine = cells.take(cells.item == index)
        growth = mine.growth(item.clearances[min(tread_class, len(item.clearances) - 1)])
        up = Curve(1, grown_curve(mine.r, mine.y, growth)) if item.blocks is not Blocks.OUTBOARD else None
        down = Curve(-1, grown_curve(mine.r, -mine.y, growth)) if item.blocks is not Blocks.INBOARD else None
        out.append(Closing(item.id, up, down))
    return out


def fouled_to(curve: Curve, parts: Sections) -> Floats:
    """Return, for each section (n,), the greatest shift that fouls a curve, in the curve's own direction
    [mm].

    Direction +1: shifts up to the result foul. Direction -1: shifts from minus the result on foul. -inf:
    none does.
    """
    reach = parts.inboard if curve.towards > 0 else parts.outboard
    table = curve.table
    best = np.full(len(reach), -np.inf)
    sloped = []
    for edge in range(VERTICES - 1):
        r0, r1 = parts.r[:, edge], parts.r[:, edge + 1]
        h0, h1 = reach[:, edge], reach[:, edge + 1]
        first, last = np.floor(r0 / STEP).astype(np.intp), np.floor(r1 / STEP).astype(np.intp)
        top = table.query(0, first, last)
        flat = h0 == h1
        np.maximum(best, np.where(flat, top + h0, -np.inf), out=best)
        if not flat.all():
            sloped.append((r0, r1, h0, h1, first, last, top + np.maximum(h0, h1), ~flat))
    for r0, r1, h0, h1, first, last, most, slopes in sloped:
        rows = np.flatnonzero(slopes & (most > best))
        for start in range(0, len(rows), _CHUNK):
            part = rows[start : start + _CHUNK]
            best[part] = np.maximum(
                best[part],
                _along(curve.reach, r0[part], r1[part], h0[part], h1[part], first[part], last[part]),
            )
    return best


def _along(
    curve: Floats,
    r0: Floats,
    r1: Floats,
    h0: Floats,
    h1: Floats,
    first: NDArray[np.intp],
    last: NDArray[np.intp],
) -> Floats:
    """Return the maximum of curve + reach along one sloped edge of each section: (n,) [mm]."""
    count = last - first + 1
    owner = np.repeat(np.arange(len(first)), count)
    offset = np.repeat(np.cumsum(count) - count, count)
    bins = first[owner] + np.arange(len(owner)) - offset
    rise = r1 - r0
    slope = np.where(rise > 0.0, (h1 - h0) / np.where(rise > 0.0, rise, 1.0), 0.0)
    left = np.maximum(bins * STEP, r0[owner])
    right = np.minimum((bins + 1) * STEP, r1[owner])
    at_left = h0[owner] + slope[owner] * (left - r0[owner])
    at_right = h0[owner] + slope[owner] * (right - r0[owner])
    reach = np.maximum(at_left, at_right)
    steep = rise[owner] <= 0.0
    reach = np.where(steep, np.maximum(h0[owner], h1[owner]), reach)
    value = curve[np.minimum(bins, len(curve) - 1)] + reach
    return np.asarray(np.maximum.reduceat(value, np.cumsum(count) - count))


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
