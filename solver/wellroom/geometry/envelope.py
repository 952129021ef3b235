"""The grown envelope of what stands near a wheel, swept once through all poses.

Cells of (surface, pose) parameters are split until each can stand as one sample, its centre, for all its
points: if the shortest line from a wheel to the swept items has length d and ends in the cell, then the line
from the wheel to the sample is no longer than

    sqrt((d + sigma)^2 + tau^2) + closed + SLACK

because the shortest line is perpendicular to every free direction. ``tau`` bounds the sample's whole travel
over the cell's free (open) parameters, ``sigma`` what that travel can add along the line (the curvature
term), and ``closed`` the travel over parameters that may also sit at an end of their range, where the line
need not be perpendicular. A parameter starts closed and becomes, when first split, its two ends (exact) and
an open inside.

Three things leave the search, each safe for every wheel: a cell out of any wheel's reach; a cell whose
derivatives allow no shortest line to end there (`stationary`); and a cell below the swept item itself at
equal distance from the axis (`swept`; never by hull, never by "closer and farther out"). Items that move by
the same parameters share the rounds of the search, and nothing else: none moves another's digits.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry import motion as mo
from wellroom.geometry.between import across
from wellroom.geometry.bounds import Bounds, bounds_of, join_bounds
from wellroom.geometry.items import Blocks, Floats, Item, length
from wellroom.geometry.motion import Motion
from wellroom.geometry.roots import Roots, Work, join, join_roots, roots_of, split
from wellroom.geometry.samples import REACH_HIGH, REACH_LOW, SLACK, Cells, Ints
from wellroom.geometry.stationary import may_be_nearest
from wellroom.geometry.swept import BOTH_SIDES, Swept, as_cells

__all__ = ["REACH_HIGH", "REACH_LOW", "SLACK", "TARGET", "Cells", "sweep", "target_of"]

TARGET = 0.085
"""Growth beyond the clearance asked for and ``SLACK`` [mm] at which a cell is fine enough."""
COARSE_TARGET = 0.5
"""The same where a measure of the motion itself is only known as a range."""
_LEAST_ASKED = 1.0
"""Clearances [mm] below this are swept as if they were this."""
_CELL_LIMIT = 200_000
"""Cells of one item in a round beyond which they are kept as they are: safe, with a larger growth."""
_REMEMBERED = 64
"""Items whose sweep is remembered: both ends of an axle, and a scenario with one measure changed,
share most."""
_SIDES = {Blocks.INBOARD: 1.0, Blocks.OUTBOARD: -1.0, Blocks.NOTHING: 0.0}


def target_of(motion: Motion) -> float:
    """Return how fine [mm] a motion is swept: coarser where its own measures are only known as ranges."""
    ranges = (motion.kingpin, motion.inclination, motion.caster, motion.roll_centre)
    return COARSE_TARGET if any(r.high > r.low for r in ranges) else TARGET


def sweep(items: Sequence[Item], motion: Motion, target: float | None = None) -> Cells:
    """Sweep items through all poses of one axle end and return the samples that stand for them.

    ``items`` in the hub frame; an item's least clearance sets how fine it is swept: growth beyond it stays
    within ``target`` [mm] (by default `target_of` the motion; `COARSE_TARGET` at least for an item whose
    share is a range) and ``SLACK``. Deterministic: the same items and motion give the same samples in the
    same order.
    """
    target = target_of(motion) if target is None else target
    fine = [max(target, COARSE_TARGET) if item.more_share else target for item in items]
    keys = [(_identity(item), motion, least) for item, least in zip(items, fine, strict=True)]
    new = {key: item for key, item in zip(keys, items, strict=True) if key not in _memory}
    alike: dict[tuple[tuple[int, ...], bool, float], list[_Key]] = {}
    started = {key: roots_of(item, motion) for key, item in new.items()}
    ways = {key: _ways(work) for key, (_, work) in started.items()}
    shared = set().union(*(ways[key] for key, item in new.items() if item.turns)) - {mo.SHARE}
    for key, item in new.items():
        dims = tuple(sorted(ways[key] | shared if item.turns else ways[key]))
        alike.setdefault((dims, item.blocks == Blocks.NOTHING, key[2]), []).append(key)
    for (dims, _, least), group in alike.items():
        swept = _Sweep([new[key] for key in group], [started[key] for key in group], dims, motion, least)
        _memory.update(zip(group, swept.run(), strict=True))
    parts = [replace(_memory[key], item=np.full(len(_memory[key].r), k)) for k, key in enumerate(keys)]
    for key in keys:
        _memory.move_to_end(key)
    while len(_memory) > _REMEMBERED:
        _memory.popitem(last=False)
    return _concatenate(parts)


def forget() -> None:
    """Forget what was swept before, so that the next sweep takes its whole time."""
    _memory.clear()


_Key = tuple[tuple[object, ...], Motion, float]
_memory: OrderedDict[_Key, Cells] = OrderedDict()


def _identity(item: Item) -> tuple[object, ...]:
    surfaces = tuple(
        (s.corners.tobytes(), s.arc, s.thickness, None if s.tops is None else s.tops.tobytes())
        for s in item.surfaces
    )
    return (
        surfaces,
        item.share,
        item.turns,
        item.blocks,
        item.clearances,
        item.straight_only,
        item.more_share,
        item.by_share,
    )


def _ways(work: Work) -> set[int]:
    """Return the parameters that tell an item's cells apart."""
    return {d for d in range(mo.DIMS) if work.half[d].any() or work.end[d].any()} | {mo.SU, mo.SV}


class _Sweep:
    """The search for items that move by the same parameters: all block a side, or none does."""

    def __init__(
        self,
        items: Sequence[Item],
        started: Sequence[tuple[Roots, Work]],
        dims: Sequence[int],
        motion: Motion,
        target: float,
    ) -> None:
        self.motion, self.target = motion, target
        self.roots, self.work = join_roots(started)
        self.dims = list(dims)
        counts = [len(work.root) for _, work in started]
        self.of_root = np.repeat(np.arange(len(items)), counts)
        least = np.array([max(min(item.clearances), _LEAST_ASKED) for item in items])
        halo = np.array([item.halo for item in items])
        self.asked = least[self.of_root] + self.roots.thickness
        self.nearest, self.farthest = np.maximum(REACH_LOW - halo, 0.0), REACH_HIGH + halo
        self.sides = np.array([_SIDES[item.blocks] for item in items])
        if self.sides.all():
            self.covers = [Swept(self.sides, target)]
        else:
            both = np.ones(len(items))
            self.covers = [Swept(side * both, target, BOTH_SIDES * target) for side in (1.0, -1.0)]
        self.items = len(items)

    def run(self) -> list[Cells]:
        """Return the samples of each item."""
        work, done = self.work, []
        while len(work.root):
            b = bounds_of(work, self.roots.charts.take(work.root), self.motion, self.dims)
            item = self.of_root[work.root]
            for cover in self.covers:
                cover.learn(work, b, self.dims, item)
            in_reach = (b.high >= self.nearest[item]) & (b.low <= self.farthest[item])
            keep = np.flatnonzero(in_reach & ~self._hidden(work, b))
            work, b = work.take(keep), b.take(keep)
            asked, item = self.asked[work.root], item[keep]
            seen = may_be_nearest(work, b, self.dims, self.sides[item])
            fine = _grown(b, asked)[0] <= self.target
            fine |= (np.bincount(item[seen], minlength=self.items) > _CELL_LIMIT)[item]
            chosen, rest = np.flatnonzero(seen & fine), np.flatnonzero(seen & ~fine)
            done.append((work.take(chosen), b.take(chosen)))
            dim = _dearest(work, b, self.dims, asked)[rest]
            work = split(work.take(rest), self.roots, dim)
        kept = self._kept(join([w for w, _ in done]), join_bounds([b for _, b in done]))
        return [self._of(k, kept) for k in range(self.items)]

    def _hidden(self, w: Work, b: Bounds) -> NDArray[np.bool_]:
        """Whether the item itself covers a cell from every side that a wheel may lie on."""
        item = self.of_root[w.root]
        near, far = self.nearest[item], self.farthest[item]
        return np.asarray(np.logical_and.reduce([c.covers(b, item, near, far) for c in self.covers]))

    def _kept(self, w: Work, b: Bounds) -> Cells:
        """Return cells as samples, but for those that what was learned since covers."""
        keep = np.flatnonzero(~self._hidden(w, b))
        w, b = w.take(keep), b.take(keep)
        rows = np.arange(len(keep))
        view = _grown(b, self.asked[w.root])[1]
        at = np.stack(mo.chart_points(self.roots.charts.take(w.root), w.centre)[0], axis=1)
        terms = (b.tau[view, rows], b.sigma[view, rows], b.closed[view, rows])
        item, thickness = self.of_root[w.root], self.roots.thickness[w.root]
        return Cells(item, b.r, b.y, *terms, thickness, at, w.centre.T)

    def _of(self, item: int, kept: Cells) -> Cells:
        asked = float(self.asked[self.of_root == item].min())
        parts = [cover.samples(item, self.roots, asked) for cover in self.covers]
        if not self.sides[item]:
            parts.append(as_cells(across(self.covers[0], self.covers[1], item, asked), item, self.roots))
        cells = _concatenate([*parts, kept.take(kept.item == item)])
        return cells.take(np.lexsort((cells.y, cells.r)))


def _concatenate(parts: Sequence[Cells]) -> Cells:
    if not parts:
        empty = np.zeros(0)
        return Cells(np.zeros(0, dtype=np.intp), *(empty,) * 6, np.zeros((0, 3)), np.zeros((0, mo.DIMS)))
    return Cells(*(np.concatenate([getattr(p, f) for p in parts]) for f in Cells.__dataclass_fields__))


def _grown(b: Bounds, asked: Floats) -> tuple[Floats, Ints]:
    """Return the growth beyond ``asked`` (n,) [mm], and in which of the two views it is the less."""
    both = length(asked + b.sigma, b.tau) + b.closed - asked
    view = np.argmin(both, axis=0)
    return both[view, np.arange(len(view))], view


_COARSE = 4.0
"""Lateral extent [mm] above which a cell is split to be told from others rather than to be fine."""
_ALONG = 0.3
"""What travel along a cell's longest way counts there, beside travel across it: it hampers a cover less."""


def _dearest(w: Work, b: Bounds, dims: list[int], asked: Floats) -> Ints:
    """Return the parameter across which each cell is split.

    A large cell: the one that most widens the band round its longest way, as a cover must clear that. A small
    one: the one that costs most growth.
    """
    rows = np.arange(len(b.r))
    growth = np.where(w.open[dims], b.step**2 / (2.0 * asked), b.step)
    main = np.argmax(b.step, axis=0)
    main_r, main_y = b.by_r[main, rows], b.by_y[main, rows]
    size = np.maximum(length(main_r, main_y), 1e-12)
    main_r, main_y = main_r / size, main_y / size
    band = np.abs(b.by_r * main_y - b.by_y * main_r) * b.half + _ALONG * b.step
    coarse = (np.abs(b.by_y) * b.half).sum(axis=0) + b.second > _COARSE
    cost = np.where(coarse, band, growth) + b.rough
    # where nothing tells parameters apart, the one with most travel; never one without width
    cost = np.where(b.half > 0.0, cost + 1e-9 * b.step + 1e-12, -1.0)
    return np.asarray(np.array(dims)[np.argmax(cost, axis=0)])
