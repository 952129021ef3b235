"""An independent brute force: items through poses by scipy's rotations, wheels by shapely.

Shares no code with the sweep.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from wellroom.geometry.items import Blocks, Item
from wellroom.geometry.motion import Motion, Range

Floats = NDArray[np.float64]

FAR = 1.0e4


@dataclass
class Poses:
    """Places on an item's surfaces (u, v) and poses, one a row; travel as the pair of both ends [mm]."""

    surface: NDArray[np.intp]
    # (n, 11): u, v, this end's travel, the other's, lock, inclination, caster, kingpin, roll centre, play
    # outboard and forward
    free: Floats

    def take(self, rows: NDArray[np.intp]) -> Poses:
        return Poses(self.surface[rows], self.free[rows])


def limits(item: Item, m: Motion) -> tuple[Floats, Floats]:
    """Return the least and greatest value of each free column."""
    lock = Range(0.0, 0.0) if item.straight_only else m.lock
    unit = Range(0.0, 1.0)
    ranges = [unit, unit, m.up, m.up, lock, m.inclination, m.caster, m.kingpin, m.roll_centre, m.side, m.fore]
    return np.array([r.low for r in ranges]), np.array([r.high for r in ranges])


def within(poses: Poses, item: Item, m: Motion) -> Poses:
    """Return poses brought within the limits; the other end follows where the tilt would be too much."""
    low, high = limits(item, m)
    free = np.clip(poses.free, low, high)
    if m.span and m.max_tilt > 0.0:
        most = m.span * np.sin(m.max_tilt)
        free[:, 3] = np.clip(
            free[:, 3], np.maximum(low[3], free[:, 2] - most), np.minimum(high[3], free[:, 2] + most)
        )
    else:
        free[:, 3] = free[:, 2]
    return Poses(poses.surface, free)


def random_poses(item: Item, m: Motion, count: int, rng: np.random.Generator) -> Poses:
    """Return random places and poses, often at ends of their ranges."""
    low, high = limits(item, m)
    share = rng.random((count, 11))
    ends = rng.random((count, 11))
    share = np.where(ends < 0.2, 0.0, np.where(ends > 0.8, 1.0, share))
    # beyond the other end's limits on purpose: brought back they lie on the tilt limit
    share[:, 3] = np.where(rng.random(count) < 0.5, rng.choice([-9.0, 9.0], count), share[:, 3])
    return within(Poses(rng.integers(len(item.surfaces), size=count), low + share * (high - low)), item, m)


def near(poses: Poses, item: Item, m: Motion, scale: float, each: int, rng: np.random.Generator) -> Poses:
    """Return the poses and ``each`` neighbours of every one, moved by a share of some parameters' ranges."""
    low, high = limits(item, m)
    rows = np.repeat(np.arange(len(poses.surface)), each)
    moved = poses.take(rows)
    step = rng.normal(size=moved.free.shape) * scale * (rng.random(moved.free.shape) < 0.5)
    moved.free = moved.free + step * (high - low)
    moved = within(moved, item, m)
    return Poses(np.concatenate([poses.surface, moved.surface]), np.concatenate([poses.free, moved.free]))


def images(poses: Poses, item: Item, m: Motion) -> tuple[Floats, Floats]:
    """Return distance from the wheel's axis and lateral place [mm] of each place on the item at its pose."""
    u, v = poses.free.T[:2]
    place = np.empty((len(u), 3))
    for index, surface in enumerate(item.surfaces):
        mine = poses.surface == index
        a, b = u[mine, None], v[mine, None]
        c = surface.corners
        p = (1 - a) * (1 - b) * c[0] + a * (1 - b) * c[1] + (1 - a) * b * c[2] + a * b * c[3]
        if surface.arc:
            p = np.stack([p[:, 2] * np.sin(p[:, 0]), p[:, 1], p[:, 2] * np.cos(p[:, 0])], axis=1)
        place[mine] = p
    return carried(place, poses.free.T, item, m)


def carried(place: Floats, free: Floats, item: Item, m: Motion) -> tuple[Floats, Floats]:
    """Return distance from the wheel's axis and lateral place [mm] of points (n, 3) at poses (11, n)."""
    if not item.turns:
        return np.hypot(place[:, 0], place[:, 2]), place[:, 1]
    _, _, up, other, lock, kpi, caster, king, roll, play, ahead = free
    zero = np.zeros(len(up))
    tilt = np.arcsin((up - other) / m.span) if m.span and m.max_tilt > 0.0 else zero
    half = (m.span or 0.0) / 2.0 * (tilt != 0.0)
    aside = roll * np.sin(tilt) - half * (1.0 - np.cos(tilt)) + play + swayed((up + other) / 2.0, m)
    if m.table:
        knots = [row.up for row in m.table]
        aside = aside + np.interp(up, knots, [row.out for row in m.table])
        tilt = -np.interp(up, knots, [row.camber for row in m.table])
    stop = np.array([0.0, -m.stop, 0.0])
    origin = stop + np.stack([ahead, aside, up], axis=1)
    axle = Rotation.from_rotvec(np.outer(tilt, [1.0, 0.0, 0.0]))
    seen = axle.inv().apply(place - origin) + stop
    seen = item.share * place + (1.0 - item.share) * seen
    centre = np.stack([zero, -king, zero], axis=1)
    axis = np.stack([-np.tan(caster), -np.tan(kpi), zero + 1.0], axis=1)
    axis /= np.linalg.norm(axis, axis=1)[:, None]
    # x forward, y outboard, z up: +lock about z takes forward to outboard, and what stands still goes back
    wheel = Rotation.from_rotvec(lock[:, None] * axis)
    seen = wheel.inv().apply(seen - centre) + centre
    return np.hypot(seen[:, 0], seen[:, 2]), seen[:, 1]


def swayed(centre: Floats, m: Motion) -> Floats:
    """Return how far outboard [mm] travel at the axle's middle moves it: on the bar's circle, and evenly."""
    out = m.sway * centre
    if m.bar is not None:
        swung = np.arcsin(np.sin(m.bar.slope) - centre / m.bar.length)
        out = out + m.bar.way * m.bar.length * (np.cos(swung) - np.cos(m.bar.slope))
    return np.asarray(out)


def wheel(rng: np.random.Generator, blocks: Blocks) -> shapely.Polygon:
    """Return a random hollow half section in (r, y), filled beyond on the side that an item leaves open."""
    seat = rng.uniform(170.0, 265.0)
    outer = rng.uniform(seat + 70.0, 640.0)
    half, rim = rng.uniform(80.0, 210.0), rng.uniform(70.0, 180.0)
    r = np.array(
        [seat - 25.0, seat, seat + 18.0, (seat + outer) / 2.0, outer - rng.uniform(5.0, 60.0), outer]
    )
    reach = np.array([20.0, rim + 12.0, rim + 12.0, half, half, half * rng.uniform(0.6, 1.0)])
    low, high = -reach * rng.uniform(0.8, 1.2), reach * rng.uniform(0.8, 1.2)
    if blocks is Blocks.INBOARD:
        high = np.full(len(r), FAR)
    elif blocks is Blocks.OUTBOARD:
        low = np.full(len(r), -FAR)
    return shapely.Polygon(np.stack([np.r_[r, r[::-1]], np.r_[low, high[::-1]]], axis=1))


def distance(section: shapely.Polygon, r: Floats, y: Floats) -> Floats:
    """Return the distance [mm] of points to a section, 0 within."""
    shapely.prepare(section)
    return np.asarray(shapely.distance(section, shapely.points(r, y)))


def least_distance(
    section: shapely.Polygon,
    shift: float,
    item: Item,
    m: Motion,
    rng: np.random.Generator,
    count: int = 20_000,
) -> float:
    """Return the least distance [mm] of a section at a shift that a long search finds, never too small."""
    poses = random_poses(item, m, count, rng)
    thick = np.array([s.thickness for s in item.surfaces])
    best = np.inf
    for scale in (0.1, 0.05, 0.02, 0.01, 0.004, 0.0015, 0.0005, 0.0002, 0.00005):
        r, y = images(poses, item, m)
        found = distance(section, r, y - shift) - thick[poses.surface]
        best = min(best, float(found.min()))
        poses = near(poses.take(np.argsort(found, kind="stable")[:60]), item, m, scale, 50, rng)
    return best
