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
equal distance from the axis (`swept`; never by hull, never by "closer and farther out"; what blocks nothing
from both sides, and once more at equal places, `between`). Items that move by the same parameters share the
rounds of the search, and nothing else: none moves another's digits.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry import motion as mo
from wellroom.geometry.between import Between
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
        swept = _swept([new[key] for key in group], [started[key] for key in group], dims, motion, least)
        _memory.update(zip(group, swept, strict=True))
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


_Started = tuple[Roots, Work]


def _swept(
    items: Sequence[Item], started: Sequence[_Started], dims: Sequence[int], motion: Motion, target: float
) -> list[Cells]:
    """Return the samples of each of some items: all block a side, or none does."""
    first = _Sweep(items, started, dims, motion, target)
    if first.sides.all():
        return [first.cells(k) for k in range(len(items))]
    out = []
    for k, (item, roots) in enumerate(zip(items, started, strict=True)):
        between = first.between(k)
        again = _Sweep([item], [roots], dims, motion, target, endways=True) if between.tall else None
        if again is None or again.struck.any():
            parts = [first.cells(k), first.walls(between, None)]
        else:
            other = again.between(0)
            parts = [first.cells(k), first.walls(between, other), again.cells(0), again.walls(other, between)]
        out.append(_in_order(_concatenate(parts)))
    return out


class _Sweep:
    """The search for items that move by the same parameters: all block a side, or none does."""

    def __init__(
        self,
        items: Sequence[Item],
        started: Sequence[_Started],
        dims: Sequence[int],
        motion: Motion,
        target: float,
        *,
        endways: bool = False,
    ) -> None:
        """``endways``: what blocks nothing is hidden between a nearer and a farther line of each place."""
        self.motion, self.target = motion, target
        self.roots, work = join_roots(started)
        self.dims = list(dims)
        counts = [len(work.root) for _, work in started]
        self.of_root = np.repeat(np.arange(len(items)), counts)
        least = np.array([max(min(item.clearances), _LEAST_ASKED) for item in items])
        halo = np.array([item.halo for item in items])
        self.asked = least[self.of_root] + self.roots.thickness
        self.nearest, self.farthest = np.maximum(REACH_LOW - halo, 0.0), REACH_HIGH + halo
        self.sides = np.array([_SIDES[item.blocks] for item in items])
        if self.sides.all():
            self.covers = [Swept(self.sides, self.nearest, self.farthest, target)]
        else:
            both, loss = np.ones(len(items)), BOTH_SIDES * min(target, TARGET)
            self.covers = [
                Swept(side * both, self.nearest, self.farthest, target, loss, endways=endways)
                for side in (1.0, -1.0)
            ]
        self.struck = np.zeros(len(items), dtype=bool)
        """Items whose cells were too many to be made fine."""
        self.kept = self._search(work)

    def _search(self, work: Work) -> Cells:
        """Return the cells kept of all items, each as a sample."""
        done = []
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
            many = np.bincount(item[seen], minlength=len(self.struck)) > _CELL_LIMIT
            self.struck |= many
            fine |= many[item]
            chosen, rest = np.flatnonzero(seen & fine), np.flatnonzero(seen & ~fine)
            done.append((work.take(chosen), b.take(chosen)))
            dim = _dearest(work, b, self.dims, asked)[rest]
            work = split(work.take(rest), self.roots, dim)
        return self._left(join([w for w, _ in done]), join_bounds([b for _, b in done]))

    def _hidden(self, w: Work, b: Bounds) -> NDArray[np.bool_]:
        """Whether the item itself covers a cell from every side that a wheel may lie on."""
        item = self.of_root[w.root]
        return np.asarray(np.logical_and.reduce([cover.covers(b, item) for cover in self.covers]))

    def _left(self, w: Work, b: Bounds) -> Cells:
        """Return cells as samples, but for those that what was learned since covers."""
        keep = np.flatnonzero(~self._hidden(w, b))
        w, b = w.take(keep), b.take(keep)
        rows = np.arange(len(keep))
        view = _grown(b, self.asked[w.root])[1]
        at = np.stack(mo.chart_points(self.roots.charts.take(w.root), w.centre)[0], axis=1)
        terms = (b.tau[view, rows], b.sigma[view, rows], b.closed[view, rows])
        item, thickness = self.of_root[w.root], self.roots.thickness[w.root]
        return Cells(item, b.r, b.y, *terms, thickness, at, w.centre.T)

    def cells(self, item: int) -> Cells:
        """Return the samples of an item: its lines, and the cells that they don't cover."""
        lines = [cover.samples(item, self.roots, self._asked(item)) for cover in self.covers]
        return _in_order(_concatenate([*lines, self.kept.take(self.kept.item == item)]))

    def between(self, item: int) -> Between:
        """Return what lies between the two lines of an item that blocks nothing."""
        upper, lower = self.covers
        return Between(upper, lower, item)

    def walls(self, between: Between, other: Between | None) -> Cells:
        """Return the samples across an item's open sides, as far as they lie between the ``other`` lines."""
        asked = self._asked(between.item)
        return as_cells(between.walls(asked, other), between.item, self.roots)

    def _asked(self, item: int) -> float:
        return float(self.asked[self.of_root == item].min())


def _in_order(cells: Cells) -> Cells:
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
