"""A judge of clearance by meshes: the wheel revolved to a watertight mesh, distances by python-fcl.

Sources of the judge: trimesh (trimesh.org) revolves and checks the meshes, python-fcl (the Flexible
Collision Library) measures, scipy's rotations move, shapely guides the search for the worst pose. It works in
the vehicle's own frame, x forward, y to the left, z up, origin in the middle of the axle at ride height, and
moves the axle and its wheel past what stands still. It shares no code with the motion, the envelope and the
windows; the wheel's section is theirs, and is judged elsewhere. Every pose that it looks at is a real one, so
no distance from here is too small by more than the chord error of the mesh.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import product

import fcl
import numpy as np
import shapely
import trimesh
from scipy.spatial.transform import Rotation

SECTIONS = 256
"""Flats round a wheel's mesh."""
RUN_OUT = 1200.0
"""How far [mm] a wheel is run out to the side that a thing closes."""
THIN = 1e-4
"""Width [mm] of the triangles that stand for lines and points."""
POSE = HERE, OTHER, LOCK, LEAN, CASTER, KING, ROLL, ASIDE, AHEAD, FOLLOW = range(10)
POSES = len(POSE)


@dataclass(frozen=True)
class Limits:
    """The poses of an axle [mm, rad], and what its motion turns about; ``tilt`` 0: straight up.

    ``aside``, ``ahead``: play, outboard and forward. ``bar``: a track bar's length, slope at rest (positive
    with the axle's end lower) and on which side its axle end is, +1 left. ``sway``: shift to the left per mm
    of travel at the axle's middle. ``table``: rows (n, 3) of an independent wheel: travel, camber (top
    outboard positive), shift outboard; straight between rows, and held beyond them.
    """

    travel: tuple[float, float]
    lock: tuple[float, float] = (0.0, 0.0)
    lean: tuple[float, float] = (0.0, 0.0)
    caster: tuple[float, float] = (0.0, 0.0)
    king: tuple[float, float] = (0.0, 0.0)
    roll: tuple[float, float] = (0.0, 0.0)
    stop: float = 0.0
    span: float = 0.0
    tilt: float = 0.0
    aside: tuple[float, float] = (0.0, 0.0)
    ahead: tuple[float, float] = (0.0, 0.0)
    bar: tuple[float, float, int] | None = None
    sway: float = 0.0
    table: tuple[tuple[float, float, float], ...] = ()

    @property
    def face(self) -> float:
        """Half the distance between the mounting faces [mm]."""
        return self.stop + self.span / 2.0 if self.tilt else 750.0

    @property
    def most(self) -> float:
        """The greatest difference [mm] between the travels of both ends."""
        return self.span * float(np.sin(self.tilt))

    @property
    def loose(self) -> bool:
        """Whether a measure of the motion itself is only known as a range."""
        return any(low < high for low, high in (self.lean, self.caster, self.king, self.roll))


@dataclass(frozen=True)
class Thing:
    """What stands near a wheel, in the hub's frame (x forward, y outboard, z up).

    ``charts`` (n, 4, 3): corners at (u, v) = (0,0), (1,0), (0,1), (1,1), Cartesian or (clock, place, radius);
    ``thickness`` [mm]: it is all that lies this near to them. ``follows``: least and greatest share 0..1 of
    the axle's motion that it may follow; ``knuckle``: it steers with the wheel. ``blocks``: inboard, outboard
    or nothing. ``raised`` (3,): how far it was moved from where its charts were measured [mm].
    """

    charts: np.ndarray
    polar: bool
    thickness: float
    follows: tuple[float, float]
    knuckle: bool
    blocks: str
    straight: bool = False
    raised: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def share(self) -> float | None:
        """How much of the axle's motion it follows, None where that is a range."""
        return self.follows[0] if self.follows[0] == self.follows[1] else None

    def places(self, chart: np.ndarray, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """Return places (n, 3) on the charts with these indices [mm]."""
        c, u, v = self.charts[chart], u[:, None], v[:, None]
        p = (c[:, 0] * (1 - u) + c[:, 1] * u) * (1 - v) + (c[:, 2] * (1 - u) + c[:, 3] * u) * v
        if self.polar:
            p = np.stack([p[:, 2] * np.sin(p[:, 0]), p[:, 1], p[:, 2] * np.cos(p[:, 0])], axis=1)
        return np.asarray(p + np.array(self.raised))

    @cached_property
    def mesh(self) -> tuple[np.ndarray, np.ndarray]:
        """Its vertices and triangles; curved charts are cut finely, flat ones are as they are."""
        vertices, triangles, count = [], [], 0
        for k, c in enumerate(self.charts):
            turn = np.ptp(c[:, 0]) if self.polar else 0.0
            u = np.linspace(0.0, 1.0, 1 + max(1, int(np.ceil(turn / 0.008))))
            grid_u, grid_v = (g.ravel() for g in np.meshgrid(u, [0.0, 1.0]))
            grid = self.places(np.full(len(grid_u), k), grid_u, grid_v)
            n = len(u)
            if np.allclose(grid[:n], grid[n:]):
                grid[n:] += _aside(grid[-1] - grid[0])
            if n == 2 and np.allclose(grid[0], grid[1]):
                grid[[1, 3]] += _aside(grid[2] - grid[0])
            i = np.arange(n - 1) + count
            triangles += [np.stack([i, i + 1, i + n], axis=1), np.stack([i + 1, i + n + 1, i + n], axis=1)]
            vertices.append(grid)
            count += len(grid)
        return np.concatenate(vertices), np.concatenate(triangles)

    @property
    def error(self) -> float:
        """How far [mm] its mesh may stand off the thing itself."""
        return float(self.charts[:, :, 2].max()) * (1.0 - np.cos(0.004)) * 1.5 if self.polar else 2.0 * THIN


def _aside(along: np.ndarray) -> np.ndarray:
    """Return a thin vector across another."""
    other = np.eye(3)[np.argmin(np.abs(along))]
    across = np.cross(along, other) if along.any() else other
    return np.asarray(THIN * across / np.linalg.norm(across))


# --- motion ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Frames:
    """n rigid placements: p goes to turn(p) + move."""

    turn: Rotation
    move: np.ndarray

    def apply(self, p: np.ndarray) -> np.ndarray:
        """Return places (n, 3) carried."""
        return np.asarray(self.turn.apply(p) + self.move)

    def undo(self, p: np.ndarray) -> np.ndarray:
        """Return places (n, 3) carried back."""
        return np.asarray(self.turn.inv().apply(p - self.move))

    def one(self, k: int) -> fcl.Transform:
        """Return one of the placements."""
        return fcl.Transform(self.turn[k].as_matrix(), self.move[k])

    def after(self, first: Frames) -> Frames:
        """Return these placements done after others."""
        return Frames(self.turn * first.turn, self.apply(first.move))


def _about(axis: int, angle: np.ndarray) -> Rotation:
    return Rotation.from_rotvec(angle[:, None] * np.eye(3)[axis])


@dataclass(frozen=True)
class Vehicle:
    """One axle's motion, seen at its left (+1) or right (-1) wheel."""

    limits: Limits
    side: int

    def from_hub(self, p: np.ndarray) -> np.ndarray:
        """Return places measured from the hub, in the vehicle's frame: the right side is the mirror image."""
        return np.stack([p[:, 0], self.side * (self.limits.face + p[:, 1]), p[:, 2]], axis=1)

    def axle(self, q: np.ndarray) -> Frames:
        """Return where the axle stands: both stops have risen by their travels, the roll centre stays in y.

        But for play and what swings it aside. Without tilt the wheel goes up, and leans by its table.
        """
        here, other, zero, m = q[:, HERE], q[:, OTHER], np.zeros(len(q)), self.limits
        aside = self.side * q[:, ASIDE]
        if not m.tilt:
            turn, out = self.leaned(here)
            face = np.tile([0.0, self.side * m.face, 0.0], (len(q), 1))
            move = np.stack([q[:, AHEAD], aside + self.side * out + self.swung(here), here], axis=1)
            return Frames(turn, face - turn.apply(face) + move)
        left, right = (here, other) if self.side > 0 else (other, here)
        turn, middle = _about(0, np.arcsin((left - right) / m.span)), (left + right) / 2.0
        centre = np.stack([zero, zero, q[:, ROLL]], axis=1)
        aside = aside + self.swung(middle) - turn.apply(centre)[:, 1]
        return Frames(turn, np.stack([q[:, AHEAD], aside, middle], axis=1))

    def leaned(self, up: np.ndarray) -> tuple[Rotation, np.ndarray]:
        """Return an independent wheel's turn about the middle of its face, and its shift outboard [mm]."""
        rows = np.array(self.limits.table or [(0.0, 0.0, 0.0)])
        camber, out = (np.interp(up, rows[:, 0], rows[:, k]) for k in (1, 2))
        return _about(0, -self.side * camber), out

    def swung(self, middle: np.ndarray) -> np.ndarray:
        """Return how far to the left travel at the axle's middle takes the axle [mm].

        The axle's joint goes round the body's on a circle, and comes away from it as the bar comes level.
        """
        shift = self.limits.sway * middle
        if self.limits.bar is not None:
            length, slope, end = self.limits.bar
            angle = np.arcsin(np.sin(slope) - middle / length)
            shift = shift + end * length * (np.cos(angle) - np.cos(slope))
        return np.asarray(shift)

    def knuckle(self, q: np.ndarray) -> Frames:
        """Return where the steered knuckle stands on its axle."""
        zero = np.zeros(len(q))
        kingpin = np.stack([zero, self.side * (self.limits.face - q[:, KING]), zero], axis=1)
        axis = np.stack([-np.tan(q[:, CASTER]), -self.side * np.tan(q[:, LEAN]), zero + 1.0], axis=1)
        axis /= np.linalg.norm(axis, axis=1)[:, None]
        turn = Rotation.from_rotvec(axis * (self.side * q[:, LOCK])[:, None])
        return Frames(turn, kingpin - turn.apply(kingpin))

    def wheel(self, q: np.ndarray) -> Frames:
        """Return where the wheel stands; its own frame has its origin in the mounting face, y outboard.

        A wheel is round: the right one is the left one turned about its upright.
        """
        n = len(q)
        half_turn = _about(2, np.full(n, 0.0 if self.side > 0 else np.pi))
        hub = Frames(half_turn, np.tile([0.0, self.side * self.limits.face, 0.0], (n, 1)))
        return self.axle(q).after(self.knuckle(q).after(hub))

    def carried(self, thing: Thing, p: np.ndarray, q: np.ndarray) -> np.ndarray:
        """Return where places (n, 3) of a thing, measured from the hub at rest, stand at poses (n, POSES)."""
        p, axle = self.from_hub(p), self.axle(q)
        if thing.knuckle:
            return axle.apply(self.knuckle(q).apply(p))
        share = q[:, FOLLOW, None]
        return axle.apply(share * p + (1.0 - share) * axle.undo(p))

    def seen(self, thing: Thing, p: np.ndarray, q: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return distance from the wheel's axis and place (n,) [mm] of places of a thing at poses.

        The same as `carried` seen from `wheel`, a shorter way round: the axle's own motion cancels.
        """
        if not thing.knuckle:
            p = self.from_hub(p)
            if thing.follows[0] < 1.0:
                share = q[:, FOLLOW, None]
                p = share * p + (1.0 - share) * self.axle(q).undo(p)
            if self.limits.lock != (0.0, 0.0):
                p = self.knuckle(q).undo(p)
            p = np.stack([p[:, 0], self.side * p[:, 1] - self.limits.face, p[:, 2]], axis=1)
        return np.hypot(p[:, 0], p[:, 2]), p[:, 1]


# --- the search for the worst pose ----------------------------------------------------------------

FREE = 2 + POSES
"""Shares 0..1 that are searched: u, v and those of a pose."""


@dataclass
class Search:
    """Looks for the places and poses of a thing that come nearest to a section."""

    thing: Thing
    vehicle: Vehicle
    rng: np.random.Generator
    count: int = 3000
    chart: np.ndarray = field(init=False)
    share: np.ndarray = field(init=False)
    r: np.ndarray = field(init=False)
    y: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        corners = self.corners()
        pick = self.rng.integers(len(corners), size=self.count // 3)
        share = self.rng.random((self.count, FREE))
        at_end = self.rng.random((self.count, FREE))
        share = np.where(at_end < 0.15, 0.0, np.where(at_end > 0.85, 1.0, share))
        share[: len(pick), 2:] = corners[pick]
        self.chart = self.rng.integers(len(self.thing.charts), size=self.count)
        self.share = share
        self.r, self.y = self.seen(self.chart, share)

    def corners(self) -> np.ndarray:
        """Return the corners of the pose set and the wheels straight ahead, once each: shares (n, POSES)."""
        m = self.vehicle.limits
        reach = m.travel[1] - m.travel[0]
        bend = min(m.most / reach, 1.0) if reach and m.tilt else 0.0
        sets = [{0.0, bend, 1.0 - bend, 1.0}, *({0.0, 1.0} for _ in range(1, POSES))]
        sets[HERE] |= {(up - m.travel[0]) / reach for up, *_ in m.table if m.travel[0] < up < m.travel[1]}
        if m.lock[0] < 0.0 < m.lock[1]:
            sets[LOCK].add(-m.lock[0] / (m.lock[1] - m.lock[0]))
        ranges = list(self.ranges)
        ranges[OTHER] = (0.0, m.most)
        sets = [s if low < high else {0.0} for s, (low, high) in zip(sets, ranges, strict=True)]
        return np.array(list(product(*(sorted(s) for s in sets))))

    @property
    def ranges(self) -> tuple[tuple[float, float], ...]:
        """The least and the greatest of each parameter of a pose."""
        m = self.vehicle.limits
        known = (m.travel, m.travel, m.lock, m.lean, m.caster, m.king, m.roll, m.aside, m.ahead)
        return *known, self.thing.follows

    def poses(self, share: np.ndarray) -> np.ndarray:
        """Return poses (n, POSES) at shares (n, POSES); the other end goes as far as the tilt lets it."""
        m = self.vehicle.limits
        low, high = np.array(self.ranges).T
        q = low + share * (high - low)
        if m.tilt:
            least = np.maximum(low[OTHER], q[:, HERE] - m.most)
            greatest = np.minimum(high[OTHER], q[:, HERE] + m.most)
            q[:, OTHER] = least + share[:, OTHER] * (greatest - least)
        if self.thing.straight:
            q[:, LOCK] = 0.0
        return q

    def seen(self, chart: np.ndarray, share: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return (r, y) of places and poses at shares (n, FREE)."""
        place = self.thing.places(chart, share[:, 0], share[:, 1])
        return self.vehicle.seen(self.thing, place, self.poses(share[:, 2:]))

    def nearest(
        self,
        sections: Sequence[shapely.Polygon],
        shifts: Sequence[float],
        starts: int = 14,
        rounds: int = 22,
        each: int = 12,
    ) -> list[tuple[np.ndarray, np.ndarray]]:
        """Return for each section at its shift the least distances found, ascending, and their shares.

        All sections are searched at once, each from starts of its own.
        """
        starting = [self._starts(*one, starts) for one in zip(sections, shifts, strict=True)]
        mine = np.repeat(np.arange(len(starting)), [len(rows) for rows, _ in starting])
        section, shift = np.array(sections)[mine], np.array(shifts)[mine]
        rows, best = (np.concatenate(part) for part in zip(*starting, strict=True))
        chart, share = self.chart[rows], self.share[rows].copy()
        scale, all_rows = np.full(len(rows), 0.08), np.arange(len(rows))
        for _ in range(rounds):
            k = np.repeat(all_rows, each)
            step = self.rng.normal(size=(len(k), FREE)) * scale[k, None]
            few = self.rng.random((len(k), FREE)) < np.where(self.rng.random((len(k), 1)) < 0.6, 0.3, 1.0)
            child = np.clip(share[k] + np.where(few, step, 0.0), 0.0, 1.0)
            r, y = self.seen(chart[k], child)
            found = shapely.distance(shapely.points(r, y - shift[k]), section[k]).reshape(-1, each)
            pick = found.argmin(axis=1)
            least = found[all_rows, pick]
            better = least < best
            share[better] = child.reshape(-1, each, FREE)[all_rows, pick][better]
            best = np.minimum(best, least)
            scale = np.clip(np.where(better, scale * 1.3, scale * 0.6), 1e-6, 0.2)
        out = []
        for k in range(len(starting)):
            order = np.flatnonzero(mine == k)
            order = order[np.argsort(best[order], kind="stable")]
            out.append((best[order], share[order]))
        return out

    def _starts(self, section: shapely.Polygon, shift: float, count: int) -> tuple[np.ndarray, np.ndarray]:
        """Return rows to start from, and their distances."""
        far = shapely.distance(shapely.points(self.r, self.y - shift), section)
        rows = self._apart(np.argsort(far, kind="stable"), count)
        return rows, far[rows]

    def _apart(self, order: np.ndarray, count: int) -> np.ndarray:
        """Return rows, nearest first, no two of one chart alike in travel and lock."""
        chosen: list[int] = []
        homes: set[tuple[float, ...]] = set()
        for row in order[: 40 * count]:
            home = (
                float(self.chart[row]),
                *np.round(self.share[row, [0, 2 + HERE, 2 + OTHER, 2 + LOCK]] * 3),
            )
            if home not in homes:
                homes.add(home)
                chosen.append(int(row))
            if len(chosen) == count:
                break
        return np.array(chosen)


# --- meshes ---------------------------------------------------------------------------------------


def _model(vertices: np.ndarray, triangles: np.ndarray) -> fcl.BVHModel:
    model = fcl.BVHModel()
    model.beginModel(len(vertices), len(triangles))
    model.addSubModel(np.ascontiguousarray(vertices), np.ascontiguousarray(triangles))
    model.endModel()
    return model


class Wheel:
    """A section, run out to the side that a thing closes, as a polygon and revolved to a mesh."""

    def __init__(self, r: np.ndarray, low: np.ndarray, high: np.ndarray, blocks: str) -> None:
        """Take the sides' vertices (n,) from the inside of the well up, about the centre plane [mm]."""
        if blocks == "inboard":
            high = np.full_like(high, RUN_OUT)
        elif blocks == "outboard":
            low = np.full_like(low, -RUN_OUT)
        line = np.concatenate([np.stack([r, low], axis=1), np.stack([r, high], axis=1)[::-1]])
        line = line[np.any(line != np.roll(line, -1, axis=0), axis=1)]
        self.section = shapely.Polygon(line)
        shapely.prepare(self.section)
        solid = trimesh.creation.revolve(np.concatenate([line, line[:1]]), sections=SECTIONS)
        # revolved about z; here the axis is y
        self.vertices = np.asarray(solid.vertices)[:, [1, 2, 0]]
        self.triangles = np.asarray(solid.faces)
        self.body = fcl.CollisionObject(_model(self.vertices, self.triangles))
        self.inner, self.outer = float(r[0]), float(r[-1])
        self.ends = float(low.min()), float(high.max())

    @property
    def mesh(self) -> trimesh.Trimesh:
        """The mesh, as trimesh has it."""
        return trimesh.Trimesh(self.vertices, self.triangles, process=False)

    @property
    def chord(self) -> float:
        """How far [mm] the mesh may stand off the round wheel."""
        return self.outer * (1.0 - float(np.cos(np.pi / SECTIONS)))

    def holds(self, p: np.ndarray) -> bool:
        """Whether the mesh winds round a place (3,) in the wheel's frame: the sum of all solid angles."""
        r = float(np.hypot(p[0], p[2]))
        if not (self.inner - self.chord < r < self.outer and self.ends[0] < p[1] < self.ends[1]):
            return False
        a, b, c = (self.vertices[self.triangles[:, k]] - p for k in range(3))
        la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
        volume = np.einsum("ij,ij->i", a, np.cross(b, c))
        ab, bc, ca = (np.einsum("ij,ij->i", v, w) for v, w in ((a, b), (b, c), (c, a)))
        angles = np.arctan2(volume, la * lb * lc + ab * lc + bc * la + ca * lb)
        return bool(abs(angles.sum()) > np.pi)


class Pair:
    """The meshes of a wheel and of a thing, placed at poses."""

    def __init__(self, wheel: Wheel, search: Search) -> None:
        self.wheel, self.search = wheel, search
        self.thing, self.vehicle = search.thing, search.vehicle
        self.vertices, self.triangles = self.thing.mesh
        self.at_rest = self.vehicle.from_hub(self.vertices)
        self.body = fcl.CollisionObject(_model(self.at_rest, self.triangles))

    def distances(self, q: np.ndarray, shift: float) -> np.ndarray:
        """Return the distances (n,) [mm] at poses (n, POSES), 0 where meshes meet or one is in the other."""
        n = len(q)
        along = Frames(_about(0, np.zeros(n)), np.tile([0.0, shift, 0.0], (n, 1)))
        wheel = self.vehicle.wheel(q).after(along)
        first = wheel.undo(self.vehicle.carried(self.thing, np.repeat(self.vertices[:1], n, axis=0), q))
        axle = self.vehicle.axle(q)
        mine = axle.after(self.vehicle.knuckle(q)) if self.thing.knuckle else axle
        moves, rigid = self.thing.follows != (0.0, 0.0), self.thing.share in (0.0, 1.0)
        out = np.empty(n)
        for k in range(n):
            self.wheel.body.setTransform(wheel.one(k))
            body = self.body
            if moves and rigid:
                body.setTransform(mine.one(k))
            elif moves:
                rows = np.repeat(q[k : k + 1], len(self.vertices), axis=0)
                there = self.vehicle.carried(self.thing, self.vertices, rows)
                body = fcl.CollisionObject(_model(there, self.triangles))
            found = fcl.distance(self.wheel.body, body, fcl.DistanceRequest(), fcl.DistanceResult())
            within = found <= self.thing.thickness or self.wheel.holds(first[k])
            out[k] = 0.0 if within else found - self.thing.thickness
        return out

    def least(self, shift: float, shares: np.ndarray, rng: np.random.Generator, local: int) -> float:
        """Return the least distance at poses given as shares (n, POSES), and near the worst of them."""
        found = self.distances(self.search.poses(shares), shift)
        k = int(np.argmin(found))
        best, share, scale = float(found[k]), shares[k], 0.02
        for _ in range(local if best > 0.0 else 0):
            step = rng.normal(size=(4, len(share))) * (rng.random((4, len(share))) < 0.5) * scale
            child = np.clip(share + step, 0.0, 1.0)
            found = self.distances(self.search.poses(child), shift)
            k = int(np.argmin(found))
            scale *= 1.3 if found[k] < best else 0.4
            if found[k] < best:
                best, share = float(found[k]), child[k]
        return best
