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
SIDE   9    where the axle, or an independent wheel, stands in its sideways play [mm], positive outboard
FORE   10   where it stands fore and aft of its place at rest [mm], positive forward
SHARE  11   how much more of the axle's motion a thing follows than its least share
====== ==== =======================================================================================

Travel is taken at the bump stop on a solid axle, at the wheel on an independent one. The travel pairs of both
ends within the travel limits, cut by the tilt limit, are a hexagon: for a sine of tilt g this end's travel
may run from low + max(0, g span) to high + min(0, g span), so two zones (``Motion.zones``), one a side, have
straight limits.

A track bar swings the axle sideways by a smooth function of the travel at the axle's centre (``Motion.bar``,
``Motion.sway``). An independent wheel leans and moves sideways by a table of its travel (``Motion.table``),
straight from row to row: one zone a row pair. Play takes no parameter where the thing itself can be drawn out
by it (roots module).

A box that follows the body needs no travel of its own: at one tilt all its travel only stretches it upward
and downward in the axle's frame. Its charts then carry the stretch (``lift``) and UP stays fixed. Not so
where the axle also sways, or the wheel leans, with its travel.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats, length

SU, SV, LOCK, UP, TILT, KPI, CASTER, KING, ROLL, SIDE, FORE, SHARE = range(12)
DIMS = 12
_HAIR = 1e-6
"""A lock [rad] or travel [mm] beyond a limit by less than this stands at it."""
_LEVEL = 0.99
"""Share of a track bar's length that its drop is held to: no limits of travel let it come near."""


@dataclass(frozen=True)
class Range:
    """A closed range of a parameter."""

    low: float
    high: float

    def beyond(self, value: float) -> float:
        """Return how far a value lies outside, 0 inside."""
        return max(value - self.high, self.low - value, 0.0)


@dataclass(frozen=True)
class Bar:
    """A track bar: ``length`` [mm], ``slope`` [rad] at rest, positive with the axle's end lower; ``way`` +1
    where it pushes the axle outboard of this end as it comes level, -1 inboard.

    Its drop, length x sin(slope) less the travel at the axle's centre, must stay below its length.
    """

    length: float
    slope: float
    way: int


@dataclass(frozen=True)
class Row:
    """One row of an independent wheel's table: travel ``up`` [mm], and against those at rest its ``camber``
    [rad], top outboard positive, and place sideways ``out`` [mm], outboard positive.
    """

    up: float
    camber: float
    out: float


@dataclass(frozen=True)
class Motion:
    """The motion of one axle end, internal units.

    ``up``: travel at the stop (solid) or wheel (independent). ``span``: distance between the two stops [mm],
    None on an independent axle, or where tilt is not known. ``stop``: stop inboard of the face [mm].
    ``max_tilt`` [rad]. ``lock``: LOCK range [rad]; the kingpin's ranges matter only where it is not (0, 0).
    ``side``, ``fore``: play [mm]. ``bar``, and ``sway``: sideways shift outboard per mm of travel at the
    axle's centre, on top of the bar's. ``table``: rows of ascending travel, only without ``span``; beyond
    them the last row holds.
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
    side: Range = Range(0.0, 0.0)
    fore: Range = Range(0.0, 0.0)
    bar: Bar | None = None
    sway: float = 0.0
    table: tuple[Row, ...] = ()

    @property
    def steered(self) -> bool:
        """Whether the wheel turns about a kingpin at all."""
        return not self.lock.low == 0.0 == self.lock.high

    @property
    def lean(self) -> float:
        """Sine of tilt per mm of difference between the two travels [1/mm]; 0 without tilt."""
        return 1.0 / self.span if self.span and self.max_tilt > 0.0 else 0.0

    @property
    def sways(self) -> bool:
        """Whether the axle moves sideways with its travel."""
        return self.bar is not None or self.sway != 0.0

    def keeps_from(self, stood: tuple[float | None, float | None], before: Motion) -> bool:
        """Return whether this motion can't stand at a lock [rad] and travel [mm] that another one could.

        It can't where they are beyond its limits by more than beyond the other's.
        """
        limits = ((self.lock, before.lock), (self.up, before.up))
        return any(
            value is not None and new.beyond(value) > old.beyond(value) + _HAIR
            for value, (new, old) in zip(stood, limits, strict=True)
        )

    def aside(self, centre: Floats) -> tuple[Floats, Floats]:
        """Return how far travel at the axle's centre (n,) [mm] moves it sideways [mm, outboard], and the
        derivative.
        """
        if self.bar is None:
            return self.sway * centre, np.full_like(centre, self.sway)
        bar = self.bar
        drop = np.clip(bar.length * np.sin(bar.slope) - centre, -_LEVEL * bar.length, _LEVEL * bar.length)
        level = np.sqrt(bar.length**2 - drop * drop)
        shift = level - bar.length * np.cos(bar.slope)
        return bar.way * shift + self.sway * centre, bar.way * drop / level + self.sway

    def aside_bounds(self, centre: Floats, spread: Floats) -> tuple[Floats, Floats]:
        """Return bounds of its first and second derivative over travels within ``spread`` [mm] of ``centre``.

        The second grows with the bar's drop, which the limits of travel bound too.
        """
        slope = np.abs(self.aside(centre)[1])
        if self.bar is None:
            return slope, np.zeros_like(slope)
        length, level = self.bar.length, self.bar.length * np.sin(self.bar.slope)
        most = max(abs(level - self.up.low), abs(level - self.up.high))
        drop = np.minimum(np.abs(level - centre) + spread, most)
        bend = length**2 / (length**2 - drop * drop) ** 1.5
        return slope + bend * spread, bend

    def leaned(self, up: Floats) -> tuple[Floats, Floats]:
        """Return an independent wheel's turn [rad] and shift outboard [mm] at travels (n,) [mm]; 0 without a
        table.
        """
        if not self.table:
            return np.zeros_like(up), np.zeros_like(up)
        ups = [row.up for row in self.table]
        camber, out = (
            np.interp(up, ups, [getattr(row, part) for row in self.table]) for part in ("camber", "out")
        )
        return 0.0 - camber, out

    def zones(self) -> list[Zone]:
        """Return the zones of the travel set; together they hold every travel within the limits."""
        low, high = self.up.low, self.up.high
        if self.table:
            return list(self._leans())
        if self.lean == 0.0 or self.span is None:
            return [Zone(0.0, 0.0, low, 0.0, high, 0.0)]
        most = min(float(np.sin(self.max_tilt)), (high - low) * self.lean)
        return [Zone(-most, 0.0, low, 0.0, high, self.span), Zone(0.0, most, low, self.span, high, 0.0)]

    def _leans(self) -> Iterator[Zone]:
        low, high = self.up.low, self.up.high
        width = high - low
        knots = [low, *(row.up for row in self.table if low < row.up < high), high]
        turns, outs = (part.tolist() for part in self.leaned(np.array(knots)))
        for (a, b), (turn, turn_b), (out, out_b) in zip(*map(pairwise, (knots, turns, outs)), strict=True):
            first, last = ((a - low) / width, (b - low) / width) if width else (0.0, 0.0)
            per = 1.0 / (last - first) if last > first else 0.0
            by_turn, by_out = (turn_b - turn) * per, (out_b - out) * per
            lean = (turn - by_turn * first, by_turn, out - by_out * first, by_out)
            yield Zone(0.0, 0.0, low, 0.0, high, 0.0, first, last, lean)


@dataclass(frozen=True)
class Zone:
    """Sines of tilt g from ``first`` to ``last``, with this end's travel from low + low_g g to high + high_g
    g [mm], of which UP takes the shares ``first_up`` to ``last_up``.

    ``lean``: of an independent wheel the turn [rad] at UP = 0, by UP, and its shift outboard [mm], by UP.
    """

    first: float
    last: float
    low: float
    low_g: float
    high: float
    high_g: float
    first_up: float = 0.0
    last_up: float = 1.0
    lean: tuple[float, ...] = ()


@dataclass(frozen=True)
class Charts:
    """Surfaces and motion of n cells, gathered: everything ``place`` needs, cells along the last axis.

    ``corners`` (4, 3, n); ``lift`` (4, n): what a corner rises per sine of tilt [mm]; ``arc`` (n,), ``share``
    (n,); ``travel`` (4, n): low, low_g, range, range_g of this end's travel (zeros where the corners carry
    it); ``inward`` (3, n): unit vector into the item where the surface is a face of a solid, else zeros;
    ``lean`` (4, n), or (0, n) without a table: as of a zone. ``by_share`` (3, n): what a unit of SHARE moves
    the surface [mm] before the axle carries it.
    """

    corners: Floats
    lift: Floats
    arc: NDArray[np.bool_]
    share: Floats
    travel: Floats
    inward: Floats
    lean: Floats
    by_share: Floats

    def take(self, rows: NDArray[np.intp]) -> Charts:
        """Return the charts at an index array."""
        return Charts(*(getattr(self, name).take(rows, axis=-1) for name in self.__dataclass_fields__))


Vector = tuple[Floats, Floats, Floats]


@dataclass(frozen=True)
class Placed:
    """Points in the wheel's frame, and their derivatives, as components.

    ``point``: x, y, z, each (n,) [mm]; ``slopes`` (3, k, n): its derivatives by the k parameters asked for;
    ``inward``: the charts' inward vectors as placed. ``arm_king``, ``arm_stop`` (n,): distance of the point
    from the kingpin's place and from the line that tilt or lean turns about [mm]; ``arm_axis`` (n,): from
    the kingpin's axis.
    """

    point: Vector
    slopes: Floats
    inward: Vector
    arm_king: Floats
    arm_stop: Floats
    arm_axis: Floats


def chart_points(charts: Charts, q: Floats) -> tuple[Vector, Vector, Vector, Floats]:
    """Return the points of charts at parameters (DIMS, n), their derivatives by SU and SV, and dz by TILT
    [mm].
    """
    u, v, sine = q[SU], q[SV], q[TILT]
    c, k = charts.corners, charts.lift
    e1, e2 = c[1] - c[0], c[2] - c[0]
    e3 = c[3] - c[1] - e2
    du, dv = e1 + v * e3, e2 + u * e3
    p = c[0] + u * du + v * e2
    k1, k2 = k[1] - k[0], k[2] - k[0]
    k3 = k[3] - k[1] - k2
    rise_u, rise_v = k1 + v * k3, k2 + u * k3
    rise = k[0] + u * rise_u + v * k2
    p[2] += sine * rise
    du[2] += sine * rise_u
    dv[2] += sine * rise_v
    arc = charts.arc
    if arc.any():
        clock, radius = p[0], p[2]
        sin, cos = np.sin(np.where(arc, clock, 0.0)), np.cos(np.where(arc, clock, 0.0))

        def bent(d: Floats) -> Vector:
            x = d[2] * sin + radius * cos * d[0]
            z = d[2] * cos - radius * sin * d[0]
            return np.where(arc, x, d[0]), d[1], np.where(arc, z, d[2])

        at = (np.where(arc, radius * sin, p[0]), p[1], np.where(arc, radius * cos, p[2]))
        return at, bent(du), bent(dv), rise
    return (p[0], p[1], p[2]), (du[0], du[1], du[2]), (dv[0], dv[1], dv[2]), rise


def place(charts: Charts, motion: Motion, q: Floats, dims: Sequence[int] = range(DIMS)) -> Placed:
    """Map chart points at poses into the wheel's frame, with derivatives by the parameters ``dims``.

    ``q`` (DIMS, n). The axle carries a point by a turn about its stop's place and a shift (an independent
    wheel by a turn about the middle of its face); what follows the axle by a share is carried that share of
    the way; then the wheel's frame turns about the kingpin. Rigid motion (Rodrigues' rotation formula);
    checked against scipy's rotations in the tests.
    """
    p, du, dv, rise = chart_points(charts, q)
    share = charts.share + q[SHARE]
    keep = 1.0 - share
    p = (
        p[0] + q[SHARE] * charts.by_share[0],
        p[1] + q[SHARE] * charts.by_share[1],
        p[2] + q[SHARE] * charts.by_share[2],
    )
    low, low_g, width, width_g = charts.travel
    tilt = q[TILT]
    reach = width + width_g * tilt
    up = low + low_g * tilt + q[UP] * reach
    half_span = (motion.span or 0.0) / 2.0 if motion.lean else 0.0
    roll = q[ROLL]
    by_up, turn_by_up = np.zeros_like(tilt), None  # sideways and turn, by UP
    sine, cosine = tilt, np.sqrt(1.0 - tilt * tilt)
    aside = roll * tilt - half_span * (1.0 - cosine) + q[SIDE]
    by_centre = np.zeros_like(tilt)
    if motion.sways:
        sway, by_centre = motion.aside(up - half_span * tilt)
        aside, by_up = aside + sway, by_centre * reach
    if len(charts.lean):
        turn, turn_by_up, out, by_up = charts.lean
        sine, cosine = np.sin(turn + turn_by_up * q[UP]), np.cos(turn + turn_by_up * q[UP])
        aside = aside + out + by_up * q[UP]
    along_y, along_z = p[1] + motion.stop - aside, p[2] - up

    def level(y: Floats, z: Floats) -> tuple[Floats, Floats]:
        return y * cosine + z * sine, z * cosine - y * sine

    def carried(v: Vector) -> Vector:
        y, z = level(v[1], v[2])
        return v[0], keep * y + share * v[1], keep * z + share * v[2]

    back_y, back_z = level(along_y, along_z)
    point = (
        p[0] - keep * q[FORE],
        keep * (back_y - motion.stop) + share * p[1],
        keep * back_z + share * p[2],
    )
    slopes, row = np.zeros((3, len(dims), len(tilt))), {dim: k for k, dim in enumerate(dims)}
    for dim, way in ((SU, du), (SV, dv)):
        if dim in row:
            slopes[:, row[dim]] = carried(way)
    if UP in row:
        y, z = level(-by_up, -reach)
        if turn_by_up is not None:
            y, z = y + turn_by_up * back_z, z - turn_by_up * back_y
        slopes[1:, row[UP]] = keep * y, keep * z
    if TILT in row:
        slide_y = -(roll * cosine - half_span * sine) / cosine
        slide_y = slide_y - by_centre * (low_g + q[UP] * width_g - half_span)
        y, z = level(slide_y, rise - low_g - q[UP] * width_g)
        slopes[1:, row[TILT]] = keep * (back_z / cosine + y), keep * (z - back_y / cosine)
    if ROLL in row:
        slopes[1:, row[ROLL]] = -keep * sine * cosine, keep * sine * sine
    if SIDE in row:
        slopes[1:, row[SIDE]] = -keep * cosine, keep * sine
    if FORE in row:
        slopes[0, row[FORE]] = -keep
    if SHARE in row:
        x, y, z = carried((charts.by_share[0], charts.by_share[1], charts.by_share[2]))
        slopes[:, row[SHARE]] = q[FORE] + x, p[1] - (back_y - motion.stop) + y, p[2] - back_z + z
    inward = carried((charts.inward[0], charts.inward[1], charts.inward[2]))
    arm_stop, zero = length(along_y, along_z), np.zeros_like(tilt)
    if not motion.steered:
        return Placed(point, slopes, inward, zero, arm_stop, zero)
    return _steer(Placed(point, slopes, inward, zero, arm_stop, zero), q, row)


def _cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _dot(a: Vector, b: Vector) -> Floats:
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def _axis(q: Floats) -> tuple[Vector, Vector, Vector]:
    """Return the kingpin's unit axis and its derivatives by inclination and caster."""
    a, b = np.tan(q[CASTER]), np.tan(q[KPI])
    norm = np.sqrt(1.0 + a * a + b * b)
    axis = (-a / norm, -b / norm, 1.0 / norm)

    def tangent(x: Floats, y: Floats) -> Vector:
        along = axis[0] * x + axis[1] * y
        return x - axis[0] * along, y - axis[1] * along, -axis[2] * along

    zero = np.zeros_like(a)
    return axis, tangent(zero, -(1.0 + b * b) / norm), tangent(-(1.0 + a * a) / norm, zero)


def _steer(p: Placed, q: Floats, row: dict[int, int]) -> Placed:
    """Turn points and derivatives into the steered wheel's frame; fill in the kingpin's own derivatives."""
    axis, d_kpi, d_caster = _axis(q)
    # seen from above, the front of a wheel turns outboard by minus the angle about the upward axis
    sin, cos = -np.sin(q[LOCK]), np.cos(q[LOCK])
    vers = 1.0 - cos

    a, s = [part * vers for part in axis], [part * sin for part in axis]
    turn = (
        (a[0] * axis[0] + cos, a[0] * axis[1] - s[2], a[0] * axis[2] + s[1]),
        (a[1] * axis[0] + s[2], a[1] * axis[1] + cos, a[1] * axis[2] - s[0]),
        (a[2] * axis[0] - s[1], a[2] * axis[1] + s[0], a[2] * axis[2] + cos),
    )

    def rotate(v: Vector | Floats) -> Vector:
        x, y, z = (part[0] * v[0] + part[1] * v[1] + part[2] * v[2] for part in turn)
        return x, y, z

    king = q[KING]
    arm = (p.point[0], p.point[1] + king, p.point[2])
    turned = rotate(arm)
    slopes = np.stack(rotate(p.slopes))
    if LOCK in row:
        slopes[:, row[LOCK]] = _cross(turned, axis)

    def by_axis(d: Vector) -> Vector:
        along, across, swung = _dot(axis, arm), _dot(d, arm), _cross(d, arm)
        x, y, z = (swung[k] * sin + (d[k] * along + axis[k] * across) * vers for k in range(3))
        return x, y, z

    if KPI in row:
        slopes[:, row[KPI]] = by_axis(d_kpi)
    if CASTER in row:
        slopes[:, row[CASTER]] = by_axis(d_caster)
    if KING in row:
        slopes[:, row[KING]] = turn[0][1], turn[1][1] - 1.0, turn[2][1]
    point = (turned[0], turned[1] - king, turned[2])
    square, along = _dot(arm, arm), _dot(arm, axis)
    arm_axis = np.sqrt(np.maximum(square - along * along, 0.0))
    return Placed(point, slopes, rotate(p.inward), np.sqrt(square), p.arm_stop, arm_axis)
