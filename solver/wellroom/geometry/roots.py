"""The cells that a sweep starts from, and how a cell is split.

A cell is a box of parameters of one root: a chart of an item with a zone of tilt. Each parameter of a cell is
closed (it may still sit at an end of its range), open, or fixed at an end. Where two charts share an edge, or
two zones a pose, one of them owns it, so that nothing is looked at twice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry import motion as mo
from wellroom.geometry.items import Floats, Item, Surface, box_surfaces
from wellroom.geometry.motion import Charts, Motion, Range, Zone
from wellroom.geometry.samples import REACH_LOW, Ints

_NONE = Range(0.0, 0.0)
_STILL = Zone(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
_FACES = 6


@dataclass(frozen=True)
class Roots:
    """The charts of a sweep, one a root: ``thickness`` (n,) [mm], ``owned`` (DIMS, 2, n): ends that it looks
    at.
    """

    charts: Charts
    thickness: Floats
    owned: NDArray[np.bool_]


@dataclass
class Work:
    """Cells of one generation: ``root`` (n,), and (DIMS, n): centre, half width, whether open, end (-1, 0,
    +1).
    """

    root: Ints
    centre: Floats
    half: Floats
    open: NDArray[np.bool_]
    end: NDArray[np.int8]

    def take(self, rows: Ints) -> Work:
        """Return the cells at an index array."""
        return Work(
            self.root[rows],
            self.centre.take(rows, axis=1),
            self.half.take(rows, axis=1),
            self.open.take(rows, axis=1),
            self.end.take(rows, axis=1),
        )


def join(parts: Sequence[Work]) -> Work:
    """Return several lots of cells as one."""
    return Work(
        np.concatenate([part.root for part in parts]),
        *(np.concatenate([getattr(p, f) for p in parts], axis=1) for f in ("centre", "half", "open", "end")),
    )


def join_roots(parts: Sequence[tuple[Roots, Work]]) -> tuple[Roots, Work]:
    """Return the roots of several items as one, with all their cells."""
    roots = [part for part, _ in parts]
    first = np.cumsum([0, *(len(part.thickness) for part in roots)])[:-1]
    work = join([replace(cells, root=cells.root + k) for (_, cells), k in zip(parts, first, strict=True)])
    charts = Charts(
        *(np.concatenate([getattr(r.charts, f) for r in roots], axis=-1) for f in Charts.__dataclass_fields__)
    )
    thickness = np.concatenate([part.thickness for part in roots])
    return Roots(charts, thickness, np.concatenate([part.owned for part in roots], axis=-1)), work


def split(work: Work, roots: Roots, dim: Ints) -> Work:
    """Split each cell across one parameter: two open halves, and its own ends where it was closed."""
    rows = np.arange(len(work.root))
    was_closed = ~work.open[dim, rows]
    low, high = (np.flatnonzero(was_closed & roots.owned[dim, k, work.root]) for k in (0, 1))
    groups = (rows, rows, low, high)
    chosen, counts = np.concatenate(groups), [len(group) for group in groups]
    side, share = np.repeat([-1, 1, -1, 1], counts), np.repeat([0.5, 0.5, 0.0, 0.0], counts)
    out, at = work.take(chosen), (dim[chosen], np.arange(len(chosen)))
    half = out.half[at]
    out.centre[at] += side * (1.0 - share) * half
    out.half[at] = share * half
    out.open[at] = share > 0.0
    out.end[at] = np.where(share > 0.0, 0, side)
    return out


@dataclass(frozen=True)
class _Face:
    """One chart of an item: where it lies in its solid, if it is a face of one, and which of its edges it
    owns.
    """

    surface: Surface
    opposite: Surface | None
    owned: tuple[bool, bool, bool, bool]


def _faces(thing: Item) -> Iterator[_Face]:
    """Yield an item's charts. Of a box's edges the faces across own all, those sideways what is left.

    ``box_surfaces`` gives the faces in pairs, across x, y, z. Those across x own the edges along y and z and
    with them all corners, those across y the edges along x. Of an arch's strips each owns its own far edge.
    """
    solid = len(thing.surfaces) == _FACES and all(s.tops is not None for s in thing.surfaces)
    last: Floats | None = None
    for index, surface in enumerate(thing.surfaces):
        if solid:
            axis = index // 2
            yield _Face(surface, thing.surfaces[index ^ 1], (axis < 2, axis < 2, axis == 0, axis == 0))
            continue
        c = surface.corners
        shared = last is not None and np.array_equal(last, c[[0, 2]])
        yield _Face(surface, None, (not shared, True, True, True))
        last = c[[1, 3]] if surface.arc else None


def carries_travel(thing: Item, m: Motion) -> bool:
    """Return whether travel is drawn into a box's shape, so that its cells have none of their own.

    A flat box has no sides, from a lower to an upper edge, that travel could draw apart.
    """
    upright = any(s.tops is not None and s.tops.any() and not s.tops.all() for s in thing.surfaces)
    return upright and thing.share == thing.more_share == 0.0 and not (m.sways or m.table)


def _carry(
    chart: Surface, zone: Zone, stretches: bool
) -> tuple[Floats, Floats, tuple[float, float, float, float]]:
    """Return a chart's corners, their rise per sine of tilt, and the travel left to the UP parameter."""
    top = chart.tops
    if top is None or not stretches:
        span, span_g = zone.high - zone.low, zone.high_g - zone.low_g
        return chart.corners, np.zeros(4), (zone.low, zone.low_g, span, span_g)
    corners = chart.corners.copy()
    corners[:, 2] -= np.where(top, zone.low, zone.high)
    return corners, -np.where(top, zone.low_g, zone.high_g), (0.0, 0.0, 0.0, 0.0)


def drawn_out(thing: Item, side: Range, fore: Range) -> tuple[Item, Range, Range]:
    """Return a thing drawn out by the axle's play, and the play that is left to parameters.

    What the axle's play reaches of a thing that does not turn with it is the thing shifted by all of the
    play, against it. A box becomes a larger box; any other chart takes what it has a way free for: an edge
    that already runs sideways, or a parameter without width. Exact: no more and no less than with parameters.
    """
    share = 1.0 - thing.share
    side, fore = (Range(-share * r.high, -share * r.low) for r in (side, fore))
    solid = all(s.tops is not None for s in thing.surfaces)
    if solid and len(thing.surfaces) == _FACES:
        corners = np.concatenate([s.corners for s in thing.surfaces])
        low = corners.min(axis=0) + np.array([fore.low, side.low, 0.0])
        high = corners.max(axis=0) + np.array([fore.high, side.high, 0.0])
        surfaces = box_surfaces(low, high)
        return replace(thing, surfaces=surfaces), _NONE, _NONE
    left = []
    for axis, play in ((1, side), (0, fore)):
        drawn = [_drawn(s, axis, play) for s in thing.surfaces]
        done = play.low == play.high == 0.0 or all(s is not None for s in drawn)
        if done:
            surfaces = tuple(new or old for new, old in zip(drawn, thing.surfaces, strict=True))
            thing = replace(thing, surfaces=surfaces)
        left.append(_NONE if done else play)
    side, fore = (Range(-r.high / share, -r.low / share) for r in left)
    return thing, side, fore


_ACROSS_V, _ACROSS_U = ((0, 2), (1, 3)), ((0, 1), (2, 3))


def _drawn(s: Surface, axis: int, play: Range) -> Surface | None:
    """Return a chart drawn out along x or y (axis 0 or 1), where one of its ways is free for that."""
    if play.low == play.high == 0.0 or (s.arc and axis != 1) or s.tops is not None:
        return None
    free = []
    for pairs in (_ACROSS_V, _ACROSS_U):
        ways = np.array([s.corners[b] - s.corners[a] for a, b in pairs])
        along = ways[:, axis]
        if not np.delete(ways, axis, axis=1).any() and not along.min() < 0.0 < along.max():
            free.append((float(along.sum()), pairs))
    if not free:
        return None
    forward, pairs = max(free, key=lambda way: abs(way[0]))
    corners = s.corners.copy()
    for a, b in pairs:
        low, high = (a, b) if forward >= 0.0 else (b, a)
        corners[low, axis] += play.low
        corners[high, axis] += play.high
    return replace(s, corners=corners)


def _inward(face: _Face) -> Floats:
    """Return the unit vector from a face of a solid to its opposite face; zeros for any other chart, or no
    depth.
    """
    if face.opposite is None:
        return np.zeros(3)
    depth = face.opposite.corners[0] - face.surface.corners[0]
    length = float(np.linalg.norm(depth))
    return np.asarray(depth / length if length > 0.0 else np.zeros(3))


Steer = dict[int, tuple[float, float, int]]


def _steers(m: Motion, thing: Item) -> list[Steer]:
    """Return boxes of the steering parameters, as dim: (low, high, end), that reach all that all of them
    reach.

    The wheel's axis passes through the kingpin's place K, so a point p keeps its distance rho from K and
    stands at r^2 = rho^2 - w^2, with w = a . (p - K) and a the axis' direction: only w counts. Where
    inclination or caster is a range, a runs over a patch of the sphere. Away from r = 0, w has its extremes
    on that patch's boundary, and it takes there all that lies between (the boundary hangs together at lock
    0). And a is inside the patch wherever lock is inside its range and inclination or caster is: its
    derivatives by lock and by either are independent there (for axis (-A, -B, 1): in proportion to sin(lock)
    (1 +- tan(lock / 2) A B / N) and to 1 - cos(lock)). So it is enough to take lock through its range at the
    corners of the other two, and those two through theirs at the ends of lock.
    """
    if thing.straight_only:
        still = {d: (v := (r.low + r.high) / 2.0, v, 0) for d, r in _steering(m).items()}
        return [still | {mo.LOCK: (0.0, 0.0, 0)}]
    ranges = _steering(m)
    lock = (m.lock.low, m.lock.high, 0)
    whole: Steer = {d: (r.low, r.high, 0) for d, r in ranges.items()} | {mo.LOCK: lock}
    loose = [d for d in (mo.KPI, mo.CASTER) if ranges[d].high > ranges[d].low]
    if not loose or not _boundary_is_enough(m, thing):
        return [whole]
    corners = [whole]
    for dim in loose:
        low, high = ranges[dim].low, ranges[dim].high
        corners = [c | {dim: (v, v, side)} for c in corners for v, side in ((low, -1), (high, 1))]
    ends = ((m.lock.low, -1), (m.lock.high, 1))
    return corners + [whole | {mo.LOCK: (v, v, side)} for v, side in ends if v != 0.0]


def _steering(m: Motion) -> dict[int, Range]:
    return {mo.KPI: m.inclination, mo.CASTER: m.caster, mo.KING: m.kingpin}


def _boundary_is_enough(m: Motion, thing: Item) -> bool:
    """Whether what the boundary of all axis directions may miss round r = 0 is out of every wheel's reach.

    From a point of the patch to its boundary at the same lock the direction turns by no more than 2 sin(lock
    / 2) times the way of the kingpin's axis; what is missed has r below the distance from K times that.
    """
    if not (m.lock.low <= 0.0 <= m.lock.high):
        return False
    lock = max(abs(m.lock.low), abs(m.lock.high))
    way = sum((r.high - r.low) / 2.0 for r in (m.inclination, m.caster)) * lean_stretch(m)
    points = np.concatenate([s.corners for s in thing.surfaces])
    arcs = np.concatenate([[s.arc] * 4 for s in thing.surfaces])
    away = np.where(arcs, np.hypot(points[:, 1], points[:, 2]), np.linalg.norm(points, axis=1)).max()
    moved = max(abs(m.up.low), abs(m.up.high)) + abs(m.kingpin.high) + (m.span or 0.0)
    moved += sum(max(abs(r.low), abs(r.high)) for r in (m.side, m.fore)) + most_aside(m)
    moved += thing.more_share * float(np.linalg.norm(thing.by_share))
    return 2.0 * np.sin(lock / 2.0) * way * (away + moved) < REACH_LOW - thing.halo and lock < np.pi / 2.0


def most_aside(m: Motion) -> float:
    """Return a bound [mm] of how far travel moves the axle or wheel sideways."""
    ends = np.array([m.up.low, m.up.high])
    slope = m.aside_bounds(ends, np.ptp(ends))[0].max()
    return float(max(slope * np.abs(ends).max(), *(abs(row.out) for row in m.table), 0.0))


def lean_stretch(m: Motion) -> float:
    """Return how much the kingpin's axis can turn per turn of inclination or caster, at the most."""
    lean = max(abs(v) for r in (m.inclination, m.caster) for v in (r.low, r.high))
    return float(1.0 / np.cos(lean))


def roots_of(thing: Item, m: Motion) -> tuple[Roots, Work]:
    """Return the roots of an item's sweep, and the cells that it starts from."""
    rows = list(_rows(thing, m))
    corners, lift, arc, share, travel, inward, lean, by_share, thick, owned, ranges, end = zip(
        *rows, strict=True
    )
    charts = Charts(
        np.stack(corners, axis=-1),
        np.stack(lift, axis=-1),
        np.array(arc),
        np.array(share),
        np.array(travel).T.copy(),
        np.stack(inward, axis=-1),
        np.array(lean).T.copy() if m.table else np.zeros((0, len(rows))),
        np.array(by_share).T.copy(),
    )
    bounds = np.array(ranges)
    n = len(rows)
    work = Work(
        np.arange(n),
        bounds.mean(axis=2).T.copy(),
        (bounds[:, :, 1] - bounds[:, :, 0]).T / 2.0,
        np.zeros((mo.DIMS, n), dtype=bool),
        np.array(end, dtype=np.int8).T.copy(),
    )
    return Roots(charts, np.array(thick), np.stack(owned, axis=-1)), work


def _rows(thing: Item, m: Motion) -> Iterator[tuple[object, ...]]:
    rides = thing.share < 1.0 and thing.turns
    zones = m.zones() if rides else [_STILL]
    aside, ahead = (m.side, m.fore) if rides else (_NONE, _NONE)
    loose = thing.more_share > 0.0 and rides
    if rides and not loose:
        # tilt and lean turn about x, so that what is fore and aft is so still; what is sideways is not
        straight = thing.share == 0.0 or not (m.lean or m.table)
        thing, left, ahead = drawn_out(thing, aside if straight else _NONE, ahead)
        aside = left if straight else aside
    steers = _steers(m, thing) if m.steered and thing.turns else [{}]
    stretches = rides and carries_travel(thing, m)
    for face in _faces(thing):
        for number, zone in enumerate(zones):
            corners, lift, travel = _carry(face.surface, zone, stretches)
            for steer in steers:
                ranges = np.zeros((mo.DIMS, 2))
                end = np.zeros(mo.DIMS, dtype=np.int8)
                owned = np.ones((mo.DIMS, 2), dtype=bool)
                owned[mo.SU], owned[mo.SV] = face.owned[:2], face.owned[2:]
                ranges[mo.SU], ranges[mo.SV] = (0.0, 1.0), (0.0, 1.0)
                ranges[mo.TILT] = (zone.first, zone.last)
                owned[mo.TILT, 0] = number == 0
                if travel[2] or travel[3]:
                    ranges[mo.UP] = (zone.first_up, zone.last_up)
                    owned[mo.UP, 0] = number == 0 or not m.table
                ranges[mo.SIDE], ranges[mo.FORE] = (aside.low, aside.high), (ahead.low, ahead.high)
                if loose:
                    ranges[mo.SHARE] = (0.0, thing.more_share)
                if rides and m.lean > 0.0:
                    ranges[mo.ROLL] = (m.roll_centre.low, m.roll_centre.high)
                for dim, (low, high, side) in steer.items():
                    ranges[dim], end[dim] = (low, high), side
                if len(steers) > 1 and steer[mo.LOCK][2] == 0:
                    owned[mo.LOCK] = (m.lock.low == 0.0, m.lock.high == 0.0)
                full = np.hstack([corners, lift[:, None]])
                if np.array_equal(full[0], full[1]) and np.array_equal(full[2], full[3]):
                    ranges[mo.SU] = 0.0
                if np.array_equal(full[0], full[2]) and np.array_equal(full[1], full[3]):
                    ranges[mo.SV] = 0.0
                chart = face.surface
                yield (
                    *(corners, lift, chart.arc, thing.share, travel, _inward(face), zone.lean or (0.0,) * 4),
                    *(thing.by_share, chart.thickness, owned, ranges, end),
                )
