"""What stands near a wheel, as charts over the unit square.

A surface is a chart ``(u, v) in [0, 1]^2 -> point``. Two kinds are enough: a *patch* is bilinear in
Cartesian coordinates (faces of a box, the line of a bar, a point), an *arc* is bilinear in cylindrical
coordinates about the wheel's axis (clock, radius, place), which is what a builder measures round an arch. A
surface may have a thickness (the radius of a bar): it stands for all points within it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def length(*parts: Floats | float) -> Floats:
    """Return the length of vectors given by their components: plain, as lengths in mm can't overflow.

    >>> float(length(3.0, 4.0, 12.0))
    13.0
    """
    return np.asarray(np.sqrt(sum(np.square(part) for part in parts)))


class Blocks(IntEnum):
    """Which side of an item is closed to the tire along with the item itself."""

    NOTHING = 0
    INBOARD = -1
    OUTBOARD = 1


@dataclass(frozen=True)
class Surface:
    """One chart of one item.

    ``corners`` has shape (4, 3): the chart's coordinates at (u, v) = (0,0), (1,0), (0,1), (1,1); Cartesian
    (x, y, z) in mm, or for an arc (clock [rad], y [mm], radius [mm]). ``thickness`` [mm] >= 0. ``tops`` (4,)
    marks the corners on the upper side of an upright box, whose vertical travel only stretches it; None for
    any other surface.
    """

    corners: Floats
    arc: bool = False
    thickness: float = 0.0
    tops: NDArray[np.bool_] | None = None


@dataclass(frozen=True)
class Item:
    """One thing near one wheel.

    ``share`` is how much of the axle's motion it follows (0 body and frame, 1 axle, between: 0..1); ``turns``
    is true where the wheel steers past it (false only for what is fixed to the knuckle). ``clearances`` [mm]
    are asked per tread class, ``straight_only`` restricts the pose set to the wheels straight ahead.
    ``more_share``: how much more than ``share`` it may follow; for each unit of that it stands moved by
    ``by_share`` [mm] besides.
    ``stood``: the lock [rad] and travel [mm] at which it was measured, None where it is not of one pose.
    ``low``: it stands so low beside the wheel that the loaded tire's bulge meets it.
    """

    id: str
    surfaces: tuple[Surface, ...]
    share: float
    turns: bool
    blocks: Blocks
    clearances: tuple[float, ...]
    straight_only: bool = False
    low: bool = False
    more_share: float = 0.0
    by_share: tuple[float, float, float] = (0.0, 0.0, 0.0)
    stood: tuple[float | None, float | None] = (None, None)

    @property
    def halo(self) -> float:
        """How far beyond its surfaces an item counts [mm]: its thickness and the greatest clearance asked."""
        return max(self.clearances) + max((surface.thickness for surface in self.surfaces), default=0.0)


def polar_point(clock: float, radius: float, y: float) -> Floats:
    """Return the point (x, y, z) [mm] at a clock [rad, 0 up, positive forward], radius [mm] and place y [mm].

    >>> polar_point(0.0, 600.0, 50.0).tolist()
    [0.0, 50.0, 600.0]
    """
    return np.array([radius * np.sin(clock), y, radius * np.cos(clock)])


def patch(p00: Floats, p10: Floats, p01: Floats, p11: Floats, thickness: float = 0.0) -> Surface:
    """Return the bilinear surface through four corner points, each of shape (3,) [mm]."""
    return Surface(np.stack([p00, p10, p01, p11]).astype(float), False, thickness)


def lip_surfaces(
    clocks: Sequence[float], radii: Sequence[float], flanges: Sequence[float], outs: Sequence[float]
) -> tuple[Surface, ...]:
    """Return the strips of an arch's lip between its inner (flange) and outer (skin) edges.

    ``clocks`` [rad] ascending, ``radii`` [mm], ``flanges`` and ``outs`` [mm outboard of the face], all of one
    length n >= 1. Between two measured clocks radius and places run linearly with the clock (common practice,
    no source). One clock gives one short line across the lip.
    """

    def strip(a: int, b: int) -> Surface:
        corners = [
            (clocks[a], flanges[a], radii[a]),
            (clocks[b], flanges[b], radii[b]),
            (clocks[a], outs[a], radii[a]),
            (clocks[b], outs[b], radii[b]),
        ]
        return Surface(np.array(corners, dtype=float), True)

    if len(clocks) == 1:
        return (strip(0, 0),)
    return tuple(strip(k, k + 1) for k in range(len(clocks) - 1))


def point_surfaces(low: Floats, high: Floats, clock_half: float = 0.0) -> tuple[Surface, ...]:
    """Return the surface of a thing measured at one place, each of whose measures may be a range.

    ``low``, ``high``: (clock [rad], y [mm], radius [mm]) of the range's ends. Two ranges are spanned by the
    chart; a range of clocks beside them thickens it by half its arc (``clock_half`` [rad]).
    """
    corners = [
        (low[0], low[1], low[2]),
        (low[0], high[1], low[2]),
        (low[0], low[1], high[2]),
        (low[0], high[1], high[2]),
    ]
    return (Surface(np.array(corners, dtype=float), True, clock_half * float(high[2])),)


def bar_surfaces(start: Floats, end: Floats, diameter: float) -> tuple[Surface, ...]:
    """Return the surface of a round bar [mm] between two end points of shape (3,): its axis, thickened."""
    return (patch(start, end, start, end, diameter / 2.0),)


def box_surfaces(low: Floats, high: Floats) -> tuple[Surface, ...]:
    """Return the six faces of a box between its low and high corners, shape (3,) [mm]."""
    faces = []
    for axis in range(3):
        a, b = (axis + 1) % 3, (axis + 2) % 3
        for side in (low, high):
            corners = []
            for at_b in (low, high):
                for at_a in (low, high):
                    corner = np.array(low, dtype=float)
                    corner[axis], corner[a], corner[b] = side[axis], at_a[a], at_b[b]
                    corners.append(corner)
            tops = np.array([corner[2] == high[2] for corner in corners])
            faces.append(Surface(np.stack(corners), tops=tops))
    return tuple(faces)


def moved(surface: Surface, shift: Floats) -> Surface:
    """Return a surface shifted by (x, y, z) [mm].

    An arc stays an arc: its corners are exact, and where what lies between them would differ from the shifted
    surface it is thickened by twice that.

    >>> moved(patch(*np.zeros((4, 3))), np.array([0.0, 0.0, 50.0])).corners[0].tolist()
    [0.0, 0.0, 50.0]
    """
    if not shift.any():
        return surface
    if not surface.arc:
        return replace(surface, corners=surface.corners + shift)

    def cartesian(polar: Floats) -> Floats:
        clock, y, radius = polar.T
        return np.stack([radius * np.sin(clock), y, radius * np.cos(clock)], axis=1)

    at = cartesian(surface.corners) + shift
    corners = np.stack([np.arctan2(at[:, 0], at[:, 2]), at[:, 1], np.hypot(at[:, 0], at[:, 2])], axis=1)
    middle = np.array(
        [[0.5, 0.5, 0, 0], [0, 0, 0.5, 0.5], [0.5, 0, 0.5, 0], [0, 0.5, 0, 0.5], [0.25, 0.25, 0.25, 0.25]]
    )
    off = cartesian(middle @ corners) - cartesian(middle @ surface.corners) - shift
    worst = 2.0 * float(np.linalg.norm(off, axis=1).max())
    return replace(surface, corners=corners, thickness=surface.thickness + (worst if worst > 1e-6 else 0.0))
