"""How a wheel moves past what stands near it: parameters of a pose, and the map into the wheel's own frame.

A pose has these parameters (columns of every parameter array, ``DIMS`` of them):

====== ==== =======================================================================================
SU, SV 0, 1 place on the surface's chart
LOCK   2    steering angle [rad], positive where the front of the wheel swings outboard (inner wheel)
UP     3    share 0..1 between the least and the greatest travel of this end that a tilt leaves
TILT   4    sine of the axle's tilt, positive where this end is the higher
KPI    5    kingpin inclination [rad], top inboard positive
CASTER 6    caster [rad], top rearward positive
KING   7    kingpin inboard of the mounting face at hub height [mm]
ROLL   8    roll centre above the axle's line [mm]
====== ==== =======================================================================================

Travel is taken at the bump stop on a solid axle, at the wheel on an independent one. The travel pairs of both
ends within the travel limits, cut by the tilt limit, are a hexagon: for a sine of tilt g this end's travel may run
from low + max(0, g span) to high + min(0, g span), so two zones (``Motion.zones``), one a side, have straight limits.

A box that follows the body needs no travel of its own: at one tilt all its travel only stretches it upward and
downward in the axle's frame. Its charts then carry the stretch (``lift``) and UP stays fixed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats

SU, SV, LOCK, UP, TILT, KPI, CASTER, KING, ROLL = range(9)
DIMS = 9


@dataclass(frozen=True)
class Range:
    """A closed range of a parameter."""

    low: float
    high: float


@dataclass(frozen=True)
class Motion:
    """The motion of one axle end, internal units.

    ``up``: travel at the stop (solid) or wheel (independent). ``span``: distance between the two stops [mm],
    None on an independent axle, or where tilt is not known. ``stop``: stop inboard of the face [mm].
    ``max_tilt`` [rad]. ``lock``: LOCK range [rad]; the kingpin's ranges matter only where it is not (0, 0).
    """

    up: Range
    lock: Range = Range(0.0, 0.0)
    span: float | None = None
    stop: float = 0.0
    max_tilt: float = 0.0
    roll_centre: Range = Range(0.0, 0.0)
    kingpin: Range = Range(0.0, 0.0)
    inclination: Range = Range(0.0, 0.0)
    caster: Range = Range(0.0, 0.0)

    @property
    def lean(self) -> float:
        """Sine of tilt per mm of difference between the two travels [1/mm]; 0 where the axle does not tilt."""
        return 1.0 / self.span if self.span and self.max_tilt > 0.0 else 0.0

    def zones(self) -> list[Zone]:
        """Return the zones of tilt; together they hold every travel pair within the limits."""
        low, high = self.up.low, self.up.high
        if self.lean == 0.0 or self.span is None:
            return [Zone(0.0, 0.0, low, 0.0, high, 0.0)]
        most = min(float(np.sin(self.max_tilt)), (high - low) * self.lean)
        return [Zone(-most, 0.0, low, 0.0, high, self.span), Zone(0.0, most, low, self.span, high, 0.0)]


@dataclass(frozen=True)
class Zone:
    """Sines of tilt g from ``first`` to ``last``, with this end's travel from low + low_g g to high + high_g g [mm]."""

    first: float
    last: float
    low: float
    low_g: float
    high: float
    high_g: float


@dataclass(frozen=True)
class Charts:
    """Surfaces and motion of n cells, gathered: everything ``place`` needs, one row a cell.

    ``corners`` (n, 4, 3), ``lift`` (n, 4): what a corner rises per sine of tilt [mm]; ``arc`` (n,), ``share`` (n,);
    ``travel`` (n, 4): low, low_g, range, range_g of this end's travel (zeros where the corners carry it).
    """

    corners: Floats
    lift: Floats
    arc: NDArray[np.bool_]
    share: Floats
    travel: Floats

    def take(self, rows: NDArray[np.intp]) -> Charts:
        """Return the rows at an index array."""
        return Charts(*(getattr(self, name)[rows] for name in self.__dataclass_fields__))


@dataclass(frozen=True)
class Placed:
    """Points in the wheel's frame, and their derivatives.

    ``point`` (n, 3) [mm]; ``jacobian`` (n, DIMS, 3): derivative by each parameter.
    ``arm_king``, ``arm_stop`` (n,): distance of the point from the kingpin's and the tilt's pivot [mm].
    """

    point: Floats
    jacobian: Floats
    arm_king: Floats
    arm_stop: Floats


def chart_points(charts: Charts, q: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return points (n, 3) [mm] of the charts at parameters (n, DIMS), and their derivatives by SU, SV and TILT."""
    u, v, sine = q[:, SU], q[:, SV], q[:, TILT]
    c = charts.corners
    uu, vv = u[:, None], v[:, None]
    e1, e2 = c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]
    e3 = c[:, 3] - c[:, 1] - e2
    p = c[:, 0] + uu * e1 + vv * e2 + uu * vv * e3
    du, dv = e1 + vv * e3, e2 + uu * e3
    k = charts.lift
    k1, k2 = k[:, 1] - k[:, 0], k[:, 2] - k[:, 0]
    k3 = k[:, 3] - k[:, 1] - k2
    rise = k[:, 0] + u * k1 + v * k2 + u * v * k3
    p[:, 2] += sine * rise
    du[:, 2] += sine * (k1 + v * k3)
    dv[:, 2] += sine * (k2 + u * k3)
    zero = np.zeros(len(q))
    arc = charts.arc
    if arc.any():
        clock, y, radius = p[arc, 0], p[arc, 1], p[arc, 2]
        sin, cos = np.sin(clock), np.cos(clock)
        p[arc] = np.stack([radius * sin, y, radius * cos], axis=1)
        for d in (du, dv):
            dc, dy, dr = d[arc, 0], d[arc, 1], d[arc, 2]
            d[arc] = np.stack([dr * sin + radius * cos * dc, dy, dr * cos - radius * sin * dc], axis=1)
    return p, du, dv, np.stack([zero, zero, rise], axis=1)


def _about_x(vectors: Floats, sin: Floats, cos: Floats) -> Floats:
    """Rotate (n, 3) vectors about x by the angle of sin, cos (n,): y towards z."""
    y, z = vectors[:, 1], vectors[:, 2]
    return np.stack([vectors[:, 0], y * cos - z * sin, y * sin + z * cos], axis=1)


def place(charts: Charts, motion: Motion, q: Floats) -> Placed:
    """Map chart points at poses into the wheel's frame, with derivatives.

    ``q`` (n, DIMS). The axle carries a point by a turn about its stop's place and a shift; what follows the axle
    by a share is carried that share of the way; then the wheel's frame turns about the kingpin. Rigid motion
    (Rodrigues' rotation formula); checked against scipy's rotations in the tests.
    """
    n = len(q)
    p, du, dv, dg = chart_points(charts, q)
    keep = (1.0 - charts.share)[:, None]

    low, low_g, width, width_g = charts.travel.T
    sine = q[:, TILT]
    cosine = np.sqrt(1.0 - sine * sine)
    reach = width + width_g * sine
    up = low + low_g * sine + q[:, UP] * reach
    half_span = (motion.span or 0.0) / 2.0 if motion.lean else 0.0
    roll = q[:, ROLL]
    aside = roll * sine - half_span * (1.0 - cosine)
    aside_tilt = roll * cosine - half_span * sine

    pivot = np.array([0.0, -motion.stop, 0.0])
    zero = np.zeros(n)
    w = p - pivot - np.stack([zero, aside, up], axis=1)
    back = _about_x(w, -sine, cosine)
    body = back + pivot
    point = keep * body + (1.0 - keep) * p
    turn = np.stack([zero, back[:, 2], -back[:, 1]], axis=1) / cosine[:, None]
    slide = dg - np.stack([zero, aside_tilt / cosine, low_g + q[:, UP] * width_g], axis=1)
    one = np.ones(n)

    jac = np.zeros((n, DIMS, 3))
    jac[:, SU] = keep * _about_x(du, -sine, cosine) + (1.0 - keep) * du
    jac[:, SV] = keep * _about_x(dv, -sine, cosine) + (1.0 - keep) * dv
    jac[:, UP] = keep * _about_x(np.stack([zero, zero, -reach], axis=1), -sine, cosine)
    jac[:, TILT] = keep * (turn + _about_x(slide, -sine, cosine))
    jac[:, ROLL] = keep * _about_x(np.stack([zero, -sine * one, zero], axis=1), -sine, cosine)

    arm_stop = np.linalg.norm(w, axis=1)
    if motion.lock.low == 0.0 == motion.lock.high:
        return Placed(point, jac, zero, arm_stop)
    turned, jac = _steer(point, jac, q)
    king = point - np.stack([zero, -q[:, KING], zero], axis=1)
    return Placed(turned, jac, np.linalg.norm(king, axis=1), arm_stop)


def _axis(q: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the kingpin's unit axis (n, 3) and its derivatives by inclination and caster."""
    a, b = np.tan(q[:, CASTER]), np.tan(q[:, KPI])
    norm = np.sqrt(1.0 + a * a + b * b)[:, None]
    axis = np.stack([-a, -b, np.ones(len(q))], axis=1) / norm
    zero = np.zeros(len(q))

    def tangent(raw: Floats) -> Floats:
        raw = raw / norm
        return raw - axis * np.sum(axis * raw, axis=1)[:, None]

    d_kpi = tangent(np.stack([zero, -(1.0 + b * b), zero], axis=1))
    d_caster = tangent(np.stack([-(1.0 + a * a), zero, zero], axis=1))
    return axis, d_kpi, d_caster


def _steer(point: Floats, jac: Floats, q: Floats) -> tuple[Floats, Floats]:
    """Turn points and derivatives into the steered wheel's frame; fill in the kingpin's own derivatives."""
    axis, d_kpi, d_caster = _axis(q)
    # outboard is to the left of forward, seen from above on the left wheel: front outboard is +z there
    angle = q[:, LOCK]
    sin, cos = -np.sin(angle), np.cos(angle)
    sin1, cos1 = sin[:, None], cos[:, None]

    def rotate(v: Floats) -> Floats:
        along = np.sum(axis * v, axis=1)[:, None]
        return np.asarray(v * cos1 + np.cross(axis, v) * sin1 + axis * along * (1.0 - cos1))

    zero = np.zeros(len(q))
    king = np.stack([zero, -q[:, KING], zero], axis=1)
    arm = point - king
    turned = rotate(arm)
    out = np.zeros_like(jac)
    for dim in (SU, SV, UP, TILT, ROLL):
        out[:, dim] = rotate(jac[:, dim])
    out[:, LOCK] = -np.cross(axis, turned)

    def by_axis(d: Floats) -> Floats:
        along, across = np.sum(axis * arm, axis=1)[:, None], np.sum(d * arm, axis=1)[:, None]
        return np.asarray(np.cross(d, arm) * sin1 + (d * along + axis * across) * (1.0 - cos1))

    out[:, KPI] = by_axis(d_kpi)
    out[:, CASTER] = by_axis(d_caster)
    down = np.stack([zero, -np.ones(len(q)), zero], axis=1)
    out[:, KING] = down - rotate(down)
    return turned + king, out
