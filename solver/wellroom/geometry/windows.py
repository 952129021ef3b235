"""Windows of shifts that clear what was swept, for many sections at once, exactly on the samples.

Shift s is the lateral place of a wheel's centre plane, y outboard from the mounting face. A swept item is
kept as discs: its samples, grown. A section fouls them up to the greatest of Y(r) + reach(r) over its own r,
where Y(r) is the farthest that a disc reaches at r. Of each edge of the section the bins that can still win
by their upper bound are taken exactly; equal barrels, and equal places of side walls, are reckoned once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.curve import STEP, Curve, spread
from wellroom.geometry.envelope import Cells
from wellroom.geometry.items import Blocks, Floats, Item
from wellroom.geometry.ranges import renumbered
from wellroom.geometry.section import BARREL, VERTICES, Sections

Ints = NDArray[np.intp]
_HAIR = 1e-9
_FEW = 16


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


def fouled_to(curve: Curve, parts: Sections, least: Floats | None = None) -> Floats:
    """Return, for each section (n,), the greatest shift that fouls a curve, in the curve's direction [mm].

    Direction +1: shifts up to the result foul. Direction -1: shifts from minus the result on foul. -inf:
    none does. ``least`` (n,): what is fouled already; the result is the greater of the two.
    """
    reach = parts.inboard if curve.towards > 0 else parts.outboard
    best = np.full(len(reach), -np.inf) if least is None else least.copy()
    if not len(best) or not len(curve.reach):
        return best
    of, barrel = parts.barrels
    inner = np.full(len(of), -np.inf)
    for edge in range(BARREL):
        inner = _along(curve, _Edges.of(parts.r[of], reach[of], edge), inner)
    np.maximum(best, inner[barrel], out=best)
    of, wall = parts.walls
    radii = parts.r[of]
    farthest = curve.farthest(radii[:, BARREL], radii[:, -1])
    widest = np.maximum.reduce([reach[:, k] for k in range(BARREL, VERTICES)])
    rows = np.flatnonzero(farthest[wall] + widest > best)
    if len(rows):
        used, wall = renumbered(wall[rows])
        best[rows] = _outside(curve, parts.r[rows], reach[rows], radii[used], wall, best[rows])
    return best


def _outside(curve: Curve, r: Floats, reach: Floats, radii: Floats, wall: Ints, best: Floats) -> Floats:
    """Return the greater of ``best`` and the exact maximum of Y + reach outside the rim (n,) [mm].

    Row k of ``r`` is row ``wall[k]`` of ``radii``: the farthest that Y is along a level edge is sought once
    for all rows that share it.
    """
    edges = range(BARREL, VERTICES - 1)
    level = {edge: reach[:, edge] == reach[:, edge + 1] for edge in edges}
    for edge in edges:
        if level[edge].any():
            none = np.full(len(radii), -np.inf)
            far = _along(curve, _Edges.of(radii, np.zeros_like(radii), edge), none)
            best = np.where(level[edge], np.maximum(best, far[wall] + reach[:, edge]), best)
    for edge in edges:
        far = curve.farthest(radii[:, edge], radii[:, edge + 1])
        can = far[wall] + np.maximum(reach[:, edge], reach[:, edge + 1]) > best
        rows = np.flatnonzero(can & ~level[edge])
        if len(rows):
            best[rows] = _along(curve, _Edges.of(r[rows], reach[rows], edge), best[rows])
    return best


@dataclass(frozen=True)
class _Edges:
    """One edge of each of n sections: from r0 to r1 its reach is base + slope r [mm]."""

    r0: Floats
    r1: Floats
    slope: Floats
    base: Floats

    @classmethod
    def of(cls, r: Floats, reach: Floats, edge: int) -> _Edges:
        """Return an edge of sections (n, VERTICES); one without length gives nan."""
        r0, r1, h0, h1 = r[:, edge], r[:, edge + 1], reach[:, edge], reach[:, edge + 1]
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = (h1 - h0) / (r1 - r0)
            return cls(r0, r1, slope, h0 - slope * r0)

    def take(self, rows: Ints) -> _Edges:
        """Return the edges chosen by an index array."""
        return _Edges(self.r0[rows], self.r1[rows], self.slope[rows], self.base[rows])


def _along(curve: Curve, edges: _Edges, best: Floats) -> Floats:
    """Return the greater of ``best`` and the exact maximum of Y + reach along edges (n,) [mm].

    The bins in which an edge begins and ends are taken first, then of those between the one that promises
    most; what is left on either side of it is followed while its bound is above the best so far. Few bins in
    all are taken at once: that is less work than a table.
    """
    first, last = np.maximum(curve.at(edges.r0), 0), np.minimum(curve.at(edges.r1), len(curve.reach) - 1)
    some = np.flatnonzero((edges.r1 > edges.r0) & (first <= last))
    edges, top = edges.take(some), best[some]
    rows, first, last = np.arange(len(some)), first[some], last[some]
    _take(curve, edges, rows, first, top)
    _take(curve, edges, rows, last, top)
    first, last = first + 1, last - 1
    if int(np.maximum(last - first + 1, 0).sum()) <= _FEW * len(curve.reach):
        of, bins = spread(first, last)
        _take(curve, edges, of, bins, top)
        rows = rows[:0]
    while len(rows):
        between = np.flatnonzero(first <= last)
        rows, first, last = rows[between], first[between], last[between]
        most, peak = curve.bound(edges.slope[rows], first, last)
        can = np.flatnonzero(most + edges.base[rows] > top[rows])
        rows, first, last, peak = rows[can], first[can], last[can], peak[can]
        _take(curve, edges, rows, peak, top)
        rows = np.concatenate([rows, rows])
        first, last = np.concatenate([first, peak + 1]), np.concatenate([peak - 1, last])
    out = best.copy()
    out[some] = top
    return out


def _take(curve: Curve, edges: _Edges, rows: Ints, bins: Ints, top: Floats) -> None:
    """Raise ``top`` in place to the exact maximum of Y + reach of some edges' rows in a bin each."""
    left = (bins + curve.first) * STEP
    low, high = np.maximum(left, edges.r0[rows]), np.minimum(left + STEP, edges.r1[rows])
    slope, base = edges.slope[rows], edges.base[rows]
    most = curve.reach[bins] + base + np.maximum(slope * low, slope * high)
    can = np.flatnonzero(most + _HAIR > top[rows])
    exact = curve.along(bins[can], low[can], high[can], slope[can]) + base[can]
    np.maximum.at(top, rows[can], exact)


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
