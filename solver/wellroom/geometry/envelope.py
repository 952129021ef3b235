"""The grown envelope of what stands near a wheel, swept once through all poses.

Cells of (surface, pose) parameters are split until each can stand as one sample, its centre, for all its points:
if the shortest line from a wheel to the swept items has length d and ends in the cell, then the line from the
wheel to the sample is no longer than

    sqrt((d + sigma)^2 + tau^2) + closed + SLACK

because the shortest line is perpendicular to every free direction. ``tau`` bounds the sample's whole travel over
the cell's free (open) parameters, ``sigma`` what that travel can add along the line (the curvature term), and
``closed`` the travel over parameters that may also sit at an end of their range, where the line need not be
perpendicular. A parameter starts closed and becomes, when first split, its two ends (exact) and an open inside.

Three things leave the search, each safe for every wheel: a cell out of any wheel's reach; a cell whose open
tangents can't all be perpendicular to one line in the plane of distance from the axis and lateral place; and a
cell below the swept items themselves at equal distance from the axis (never by hull, never by "closer and
farther out").
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry import motion as mo
from wellroom.geometry.items import Blocks, Floats, Item, Surface
from wellroom.geometry.motion import Charts, Motion, Placed, place
from wellroom.geometry.ranges import RangeMax

Ints = NDArray[np.intp]

REACH_LOW, REACH_HIGH = 110.0, 720.0
"""Distances from the wheel's axis [mm] within which a wheel can be met: tires up to 56 in."""
TARGET = 0.15
"""Growth beyond the clearance asked for [mm] at which a cell is fine enough."""
SLACK = 0.05
"""How far [mm] the swept items may pass beyond what is kept of them."""
COARSE_TARGET = 1.5
"""The same where a measure of the motion itself is only known as a range."""
_BIN = 0.25
COARSE, WT, WB = 4.0, 0.3, 1.0
_WIDE = 120
_STEEPEST = 4.0
_CELL_LIMIT = 400_000


@dataclass(frozen=True)
class Cells:
    """What is left of a sweep: m samples that together stand for all the swept items, for every wheel.

    ``item`` (m,) index into the items; ``r``, ``y`` (m,) [mm]: distance from the axis and lateral place in the
    wheel's frame; ``tau``, ``sigma``, ``closed`` (m,) [mm] as the module says; ``thickness`` (m,) [mm];
    ``at`` (m, 3) place on the item in the hub frame [mm]; ``pose`` (m, DIMS) parameters.
    """

    item: Ints
    r: Floats
    y: Floats
    tau: Floats
    sigma: Floats
    closed: Floats
    thickness: Floats
    at: Floats
    pose: Floats

    def growth(self, clearance: Floats | float) -> Floats:
        """Return the radius [mm] to which each sample grows for a clearance [mm]."""
        asked = self.thickness + clearance
        return np.asarray(np.sqrt((asked + self.sigma) ** 2 + self.tau**2) + self.closed + SLACK)

    def where_item(self, chosen: NDArray[np.bool_]) -> Cells:
        """Return the samples of the items marked in a mask over the items."""
        return self.take(chosen[self.item])

    def take(self, rows: NDArray[np.bool_] | Ints) -> Cells:
        """Return the samples chosen by a mask or an index array."""
        return Cells(**{name: getattr(self, name)[rows] for name in self.__dataclass_fields__})


@dataclass
class _Work:
    """The cells of one generation: chart rows, parameter centres and half widths, and which are open."""

    surface: Ints
    item: Ints
    charts: Charts
    centre: Floats
    half: Floats
    open: NDArray[np.bool_]
    end: NDArray[np.int8]  # -1, +1 where a parameter sits at an end of its range, else 0

    def take(self, rows: NDArray[np.bool_] | Ints) -> _Work:
        index = np.flatnonzero(rows) if rows.dtype == bool else rows
        return _Work(
            self.surface[index],
            self.item[index],
            self.charts.take(index),
            self.centre[index],
            self.half[index],
            self.open[index],
            self.end[index],
        )


@dataclass(frozen=True)
class _Bounds:
    """What is known of each cell: sample, travel by each parameter, and bounds of the rest."""

    r: Floats
    y: Floats
    gradient: Floats  # (n, DIMS, 2): derivative of (r, y)
    half: Floats  # (n, DIMS): the cell's half widths
    step: Floats  # (n, DIMS): first-order travel over the half width
    sigma: Floats
    tau: Floats
    closed: Floats
    reach_r: Floats
    reach_y: Floats
    second: Floats  # (n,): second-order remainder over all parameters
    swing: Floats  # (n,): what sideways travel adds to the distance from the axis
    own: Floats  # (n, DIMS): second-order remainder along each parameter alone
    bend: Floats  # (n, DIMS): how far a derivative (times its half width) can turn within the cell
    drift: Floats  # (n, DIMS): the same for a parameter without width, per unit of it
    placed: Placed


def _second(w: _Work, m: Motion, p: Placed) -> tuple[Floats, Floats]:
    """Bound the second derivatives over each cell, times the half widths: (n, DIMS, DIMS) [mm].

    Beside it how far each derivative itself can turn within the cell, (n, DIMS), needed where a parameter sits at
    an end and has no width.

    Each entry is a bound of |d2 point / dq_i dq_j| over the whole cell times both half widths: curvature of the
    surface, the turn of the tilt about the stop's place, the turn about the kingpin, and what an outer turn
    makes of inner travel (its angle times that travel).
    """
    n = len(w.centre)
    half = w.half
    keep = 1.0 - w.charts.share
    out = np.zeros((n, mo.DIMS, mo.DIMS))
    travel = np.zeros((n, mo.DIMS))
    (bend_uu, bend_vv, bend_uv), (speed_u, speed_v), (flex_u, flex_v) = _surface_second(w)
    travel[:, mo.SU], travel[:, mo.SV] = speed_u * half[:, mo.SU], speed_v * half[:, mo.SV]
    out[:, mo.SU, mo.SU], out[:, mo.SV, mo.SV], out[:, mo.SU, mo.SV] = bend_uu, bend_vv, bend_uv

    rolled = half[:, mo.ROLL]
    lever = np.abs(w.centre[:, mo.ROLL]) + rolled + ((m.span or 0.0) / 2.0 if m.lean else 0.0)
    cos, tan = float(np.cos(m.max_tilt)), float(np.tan(m.max_tilt))
    _, low_g, width, width_g = w.charts.travel.T
    ht, hs = half[:, mo.UP], half[:, mo.TILT]
    lift = w.charts.lift
    rise = np.abs(lift).max(axis=1) + np.maximum(np.abs(low_g), np.abs(low_g + width_g))
    stretch_u = np.maximum(np.abs(lift[:, 1] - lift[:, 0]), np.abs(lift[:, 3] - lift[:, 2]))
    stretch_v = np.maximum(np.abs(lift[:, 2] - lift[:, 0]), np.abs(lift[:, 3] - lift[:, 1]))
    speed_up = np.abs(width + width_g * w.centre[:, mo.TILT]) + np.abs(width_g) * hs
    turn = hs / cos
    up = speed_up * ht
    arm = p.arm_stop + travel[:, mo.SU] + travel[:, mo.SV] + up + rise * hs + rolled + lever * turn
    bow = (arm + 3.0 * lever) + (arm + lever) * tan
    out[:, mo.TILT, mo.TILT] = keep * (bow * turn**2 + 2.0 * turn * rise * hs)
    out[:, mo.UP, mo.TILT] = keep * (turn * up + np.abs(width_g) * ht * hs)
    out[:, mo.SU, mo.TILT] = keep * turn * travel[:, mo.SU] + stretch_u * half[:, mo.SU] * hs
    out[:, mo.SV, mo.TILT] = keep * turn * travel[:, mo.SV] + stretch_v * half[:, mo.SV] * hs
    out[:, mo.TILT, mo.ROLL] = 2.0 * keep * turn * rolled
    travel[:, mo.UP] = keep * up
    travel[:, mo.TILT] = keep * (turn * (arm + lever) + rise * hs)
    travel[:, mo.ROLL] = keep * rolled

    if not m.lock.low == 0.0 == m.lock.high:
        king = half[:, mo.KING]
        arm_king = p.arm_king + travel.sum(axis=1) + king
        travel[:, mo.KING] = king
        most = np.abs(w.centre[:, mo.LOCK]) + half[:, mo.LOCK]
        sin, vers = np.sin(np.minimum(most, np.pi / 2)), 1.0 - np.cos(most)
        lock = half[:, mo.LOCK]
        lean_in, lean_back = 1.1 * half[:, mo.KPI], 1.1 * half[:, mo.CASTER]
        for dim, turn in (
            (mo.LOCK, lock),
            (mo.KPI, (sin + 2.0 * vers) * lean_in),
            (mo.CASTER, (sin + 2.0 * vers) * lean_back),
        ):
            for inner in (mo.SU, mo.SV, mo.UP, mo.TILT, mo.ROLL, mo.KING):
                out[:, min(dim, inner), max(dim, inner)] += turn * travel[:, inner]
        both = (2.0 * sin + 6.0 * vers) * arm_king
        out[:, mo.LOCK, mo.LOCK] = arm_king * lock**2
        out[:, mo.KPI, mo.KPI] = both * lean_in**2
        out[:, mo.CASTER, mo.CASTER] = both * lean_back**2
        out[:, mo.KPI, mo.CASTER] = both * lean_in * lean_back
        out[:, mo.LOCK, mo.KPI] = (1.0 + 2.0 * sin) * arm_king * lock * lean_in
        out[:, mo.LOCK, mo.CASTER] = (1.0 + 2.0 * sin) * arm_king * lock * lean_back
    lower = np.swapaxes(out, 1, 2).copy()
    diagonal = np.arange(mo.DIMS)
    lower[:, diagonal, diagonal] = 0.0

    whole = travel.sum(axis=1)
    turned = turn
    drift = np.zeros((n, mo.DIMS))
    lifted = whole + 3.0 * lever * turn
    reach = arm + lever
    if not m.lock.low == 0.0 == m.lock.high:
        turned = turned + lock + (sin + 2.0 * vers) * (lean_in + lean_back)
        drift[:, mo.LOCK] = whole + 2.0 * arm_king * (lean_in + lean_back)
        drift[:, mo.KPI] = drift[:, mo.CASTER] = (
            (sin + 2.0 * vers) * whole + both * (lean_in + lean_back) + (1.0 + 2.0 * sin) * arm_king * lock
        )
        drift[:, mo.KING] = turned
    drift[:, mo.SU] = flex_u + speed_u * turned
    drift[:, mo.SV] = flex_v + speed_v * turned
    drift[:, mo.UP] = speed_up * turned + np.abs(width_g) * hs
    drift[:, mo.TILT] = (
        (lifted + (2.0 * tan + 1.0) * turned * reach) / cos
        + rise * turned
        + np.abs(width_g) * ht
        + stretch_u * half[:, mo.SU]
        + stretch_v * half[:, mo.SV]
    )
    drift[:, mo.ROLL] = 2.0 * turned
    return out + lower, drift


_Pair = tuple[Floats, Floats]


def _surface_second(w: _Work) -> tuple[tuple[Floats, Floats, Floats], _Pair, _Pair]:
    """Bound the charts over the cells [mm]: second derivatives (uu, vv, uv) times widths, speeds, turns of speeds."""
    c = w.charts.corners
    hu, hv = w.half[:, mo.SU], w.half[:, mo.SV]
    du = np.maximum(np.abs(c[:, 1] - c[:, 0]), np.abs(c[:, 3] - c[:, 2]))
    dv = np.maximum(np.abs(c[:, 2] - c[:, 0]), np.abs(c[:, 3] - c[:, 1]))
    e3 = np.abs(c[:, 3] - c[:, 1] - c[:, 2] + c[:, 0])
    arc = w.charts.arc
    radius = np.where(arc, np.abs(c[:, :, 2]).max(axis=1), 0.0)
    scale = np.ones_like(du)
    scale[:, 0] = np.where(arc, radius, 1.0)
    speed_u, speed_v = np.linalg.norm(du * scale, axis=1), np.linalg.norm(dv * scale, axis=1)
    twist = np.linalg.norm(e3 * scale, axis=1)
    bow_u, bow_v = np.where(arc, du[:, 0], 0.0), np.where(arc, dv[:, 0], 0.0)
    run_u, run_v = du[:, 2], dv[:, 2]
    uu = radius * bow_u**2 + 2.0 * bow_u * run_u
    vv = radius * bow_v**2 + 2.0 * bow_v * run_v
    uv = twist + radius * bow_u * bow_v + bow_u * run_v + bow_v * run_u
    second = (uu * hu**2, vv * hv**2, uv * hu * hv)
    return second, (speed_u, speed_v), (uu * hu + uv * hv, vv * hv + uv * hu)


def _bounds(w: _Work, m: Motion) -> _Bounds:
    p = place(w.charts, m, w.centre)
    x, y, z = p.point.T
    r = np.hypot(x, z)
    safe = np.maximum(r, 1e-9)
    radial = (x[:, None] * p.jacobian[:, :, 0] + z[:, None] * p.jacobian[:, :, 2]) / safe[:, None]
    gradient = np.stack([radial, p.jacobian[:, :, 1]], axis=2)
    step = np.linalg.norm(p.jacobian, axis=2) * w.half
    second, drift = _second(w, m, p)
    sigma_all = 0.5 * second.sum(axis=(1, 2))
    opened = w.open.astype(float)
    sigma = 0.5 * np.einsum("ni,nij,nj->n", opened, second, opened)
    own = 0.5 * np.einsum("nii->ni", second)
    is_closed = ~w.open & (w.half > 0.0)
    any_closed = is_closed.any(axis=1)
    tau = np.sum(step, axis=1, where=w.open) + sigma_all
    closed = np.sum(step, axis=1, where=is_closed) + np.where(any_closed, sigma_all, 0.0)
    whole = np.sum(step, axis=1) + sigma_all
    swing = np.where(r > 2.0 * whole, whole**2 / (2.0 * np.maximum(r - whole, 1.0)), 2.0 * whole)
    reach_r = np.minimum(np.sum(np.abs(gradient[:, :, 0]) * w.half, axis=1) + sigma_all + swing, whole)
    reach_y = np.sum(np.abs(gradient[:, :, 1]) * w.half, axis=1) + sigma_all
    round_ = (x[:, None] * p.jacobian[:, :, 2] - z[:, None] * p.jacobian[:, :, 0]) / safe[:, None]
    circling = np.sum(np.abs(round_) * w.half, axis=1) + sigma_all
    sideways = (circling / np.maximum(r - whole, 1e-3))[:, None]
    bend = second.sum(axis=2) + step * sideways
    drift = drift + np.linalg.norm(p.jacobian, axis=2) * sideways
    return _Bounds(
        r,
        y,
        gradient,
        w.half,
        step,
        sigma,
        tau,
        closed,
        reach_r,
        reach_y,
        sigma_all,
        swing,
        own,
        bend,
        drift,
        p,
    )


_DIRECTIONS = 36


def _stationary(w: _Work, b: _Bounds, up: Floats, both: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whether a cell can hold the end of a shortest line from some wheel.

    In the (r, y) plane such a line has one direction n, from the wheel to the item. Every open tangent is
    perpendicular to it, and stepping inward from an end of a parameter's range must not shorten it. The wheel lies on
    the open side of an item that blocks, so n points away from there. A fan of directions, each standing for
    its sector, is tried; a cell that allows none is out.
    """
    sector = np.pi / _DIRECTIONS
    fan = 2 * _DIRECTIONS if both.any() else _DIRECTIONS
    angle = (np.arange(fan) + 0.5) * sector
    dims = np.flatnonzero((w.half > 0.0).any(axis=0) | (w.end != 0).any(axis=0))
    allowed = np.ones((len(b.r), fan), dtype=bool)
    allowed[~both, _DIRECTIONS:] = False
    cos, sin = np.cos(angle), -np.sin(angle)
    for dim in dims:
        radial, lateral = b.gradient[:, dim, 0], b.gradient[:, dim, 1] * up
        size = np.hypot(radial, lateral)
        opened = np.flatnonzero(w.open[:, dim] & (w.half[:, dim] > 0.0))
        blur = b.bend[opened, dim] / w.half[opened, dim] + size[opened] * (sector / 2.0)
        along = radial[opened, None] * cos + lateral[opened, None] * sin
        allowed[opened] &= np.abs(along) <= blur[:, None]
        ended = np.flatnonzero(w.end[:, dim])
        sign = w.end[ended, dim]
        blur = b.drift[ended, dim] + size[ended] * (sector / 2.0)
        along = (sign * radial[ended])[:, None] * cos + (sign * lateral[ended])[:, None] * sin
        allowed[ended] &= along <= blur[:, None]
    return np.asarray(allowed.any(axis=1))


class _Swept:
    """What the swept items surely reach: per item and bin of distance from the axis, a line y(r) from exact points.

    A cell proves a line: along the parameter with most radial travel the sample's track meets every distance in
    its span, no lower than a straight line less that parameter's own bend.
    """

    def __init__(self, items: int) -> None:
        self.bins = int(np.ceil((REACH_HIGH + 80.0) / _BIN)) + 1
        size = items * self.bins
        self.middle = np.full(size, -np.inf)
        self.slope = np.zeros(size)
        self.surface = np.zeros(size, dtype=np.intp)
        self.pose = np.zeros((size, mo.DIMS))

    def learn(self, w: _Work, b: _Bounds, up: Floats) -> None:
        """Add what the cells prove, but for tracks too long to be worth the walk."""
        rows = np.arange(len(b.r))
        best = np.argmax(np.abs(b.gradient[:, :, 0]) * w.half - b.own, axis=1)
        radial, lateral = b.gradient[rows, best, 0], up * b.gradient[rows, best, 1]
        half, own = w.half[rows, best], b.own[rows, best]
        span = np.abs(radial) * half
        swing = b.step[rows, best] ** 2 / (2.0 * np.maximum(b.r - b.step[rows, best], 1.0))
        first = np.ceil((b.r - span + own + swing) / _BIN).astype(np.intp)
        last = np.floor((b.r + span - own) / _BIN).astype(np.intp) - 1
        last = np.where(last - first > _WIDE, first - 1, last)
        steep = np.where(span > 0.0, lateral / np.where(radial == 0.0, 1.0, radial), 0.0)
        loss = own + np.abs(steep) * (own + swing)
        last = np.where(np.abs(steep) > _STEEPEST, first - 1, last)
        cell, bins, middle = _over_bins(first, last, self.bins)
        value = up[cell] * b.y[cell] + steep[cell] * (middle - b.r[cell]) - loss[cell]
        key = w.item[cell] * self.bins + bins
        np.maximum.at(self.middle, key, value)
        won = np.flatnonzero(value == self.middle[key])
        key, cell = key[won], cell[won]
        self.slope[key] = steep[cell]
        self.surface[key] = w.surface[cell]
        self.pose[key] = w.centre[cell]
        shift = (middle[won] - b.r[cell]) / np.where(radial[cell] == 0.0, 1.0, radial[cell])
        self.pose[key, best[cell]] += np.clip(shift, -half[cell], half[cell])

    def covers(self, w: _Work, b: _Bounds, up: Floats) -> NDArray[np.bool_]:
        """Whether the swept items reach beyond all of a cell, less ``SLACK``, at each of its distances."""
        rows = np.arange(len(b.r))
        best = np.argmax(b.step, axis=1)
        radial = b.gradient[rows, best, 0]
        usable = (np.abs(radial) > 0.25 * np.linalg.norm(b.gradient[rows, best], axis=1)) & (
            b.swing < 0.5 * b.reach_r
        )
        steep = np.where(usable, up * b.gradient[rows, best, 1] / np.where(usable, radial, 1.0), 0.0)
        across = np.abs(up[:, None] * b.gradient[:, :, 1] - steep[:, None] * b.gradient[:, :, 0])
        rest = np.sum(across * w.half, axis=1) + b.second * (1.0 + np.abs(steep)) + np.abs(steep) * b.swing
        first = np.floor(np.maximum(b.r - b.reach_r, REACH_LOW) / _BIN).astype(np.intp)
        last = np.floor(np.minimum(b.r + b.reach_r, REACH_HIGH) / _BIN).astype(np.intp)
        wide = last - first > _WIDE
        out = np.zeros(len(b.r), dtype=bool)
        for shear in (-1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5):
            chosen = wide & (np.round(np.clip(2.0 * steep, -3.0, 3.0)) == 2.0 * shear)
            if chosen.any():
                out[chosen] = self._covers_wide(
                    w.item[chosen], b, up, chosen, shear, first[chosen], last[chosen]
                )
        cell, bins, middle = _over_bins(first, np.where(wide, first - 1, last), self.bins)
        key = w.item[cell] * self.bins + bins
        line = up[cell] * b.y[cell] + steep[cell] * (middle - b.r[cell]) + rest[cell]
        short = self.middle[key] - np.abs(self.slope[key] - steep[cell]) * (_BIN / 2.0) < line - SLACK
        fits = ~wide
        fits[cell[short]] = False
        return np.asarray(out | fits)

    def _covers_wide(
        self,
        item: Ints,
        b: _Bounds,
        up: Floats,
        chosen: NDArray[np.bool_],
        shear: float,
        first: Ints,
        last: Ints,
    ) -> NDArray[np.bool_]:
        """The same for wide cells, against a line of one slope: a range minimum instead of a walk."""
        r = (np.arange(self.bins) + 0.5) * _BIN
        below = self.middle.reshape(-1, self.bins) - np.abs(self.slope.reshape(-1, self.bins) - shear) * (
            _BIN / 2.0
        )
        least = -RangeMax(shear * r - below).query(item, first, last)
        g = b.gradient[chosen]
        across = np.abs(up[chosen, None] * g[:, :, 1] - shear * g[:, :, 0])
        rest = (
            np.sum(across * b.half[chosen], axis=1)
            + b.second[chosen] * (1.0 + abs(shear))
            + abs(shear) * b.swing[chosen]
        )
        return np.asarray(least >= up[chosen] * b.y[chosen] - shear * b.r[chosen] + rest - SLACK)

    def samples(self, roots: _Work, thick: Floats, towards: Floats) -> Cells:
        """Return samples for all that the lines stand for: a piece of each line, and ``SLACK`` above it."""
        key = np.flatnonzero(np.isfinite(self.middle))
        pieces = np.ceil(np.hypot(1.0, self.slope[key])).astype(np.intp)
        key, part = np.repeat(key, pieces), _count_up(pieces)
        width = _BIN / np.repeat(pieces, pieces)
        item = key // self.bins
        low = (key % self.bins) * _BIN + part * width
        pose, surface, slope = self.pose[key], self.surface[key], self.slope[key]
        charts = roots.charts.take(surface)
        r = low + width / 2.0
        y = towards[item] * (self.middle[key] + slope * (r - (key % self.bins + 0.5) * _BIN))
        spread = np.hypot(1.0, slope) * width / 2.0 + SLACK
        zero = np.zeros(len(key))
        at = mo.chart_points(charts, pose)[0]
        return Cells(item, r, y, zero, zero, spread, thick[surface], at, pose)


def _count_up(counts: Ints) -> Ints:
    """Return 0..count-1 for each count, end to end."""
    return np.asarray(np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts))


def _over_bins(first: Ints, last: Ints, bins: int) -> tuple[Ints, Ints, Floats]:
    """Return (cell, bin, the bin's middle [mm]) for all bins first..last of each cell, clipped to the table."""
    low, high = np.clip(first, 0, bins - 1), np.clip(last, -1, bins - 1)
    count = np.where((first >= bins) | (last < 0), 0, np.maximum(high - low + 1, 0))
    cell = np.repeat(np.arange(len(first)), count)
    chosen = _count_up(count) + low[cell]
    return cell, chosen, (chosen + 0.5) * _BIN


def _carry(
    chart: Surface, zone: mo.Zone, share: float
) -> tuple[Floats, Floats, tuple[float, float, float, float]]:
    """Return a chart's corners, their rise per sine of tilt, and the travel left to the UP parameter."""
    top = chart.tops
    if top is None or share != 0.0:
        span, span_g = zone.high - zone.low, zone.high_g - zone.low_g
        return chart.corners, np.zeros(4), (zone.low, zone.low_g, span, span_g)
    corners = chart.corners.copy()
    corners[:, 2] -= np.where(top, zone.low, zone.high)
    return corners, -np.where(top, zone.low_g, zone.high_g), (0.0, 0.0, 0.0, 0.0)


def _roots(items: Sequence[Item], m: Motion) -> tuple[_Work, Floats]:
    surface, item, corners, lift, arc, share, travel, centre, half, thick = ([] for _ in range(10))
    steered = not (m.lock.low == 0.0 == m.lock.high)
    count = 0
    for index, thing in enumerate(items):
        rides = thing.share < 1.0 and thing.turns
        zones = m.zones() if rides else [mo.Zone(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)]
        for chart in thing.surfaces:
            for zone in zones:
                ranges = [(0.0, 0.0)] * mo.DIMS
                ranges[mo.SU], ranges[mo.SV] = (0.0, 1.0), (0.0, 1.0)
                ranges[mo.TILT] = (zone.first, zone.last)
                corners_at, lift_at, travel_at = _carry(chart, zone, thing.share)
                if travel_at[2] or travel_at[3]:
                    ranges[mo.UP] = (0.0, 1.0)
                if rides and m.lean > 0.0:
                    ranges[mo.ROLL] = (m.roll_centre.low, m.roll_centre.high)
                if steered and thing.turns:
                    lock = Range0 if thing.straight_only else m.lock
                    ranges[mo.LOCK] = (lock.low, lock.high)
                    ranges[mo.KPI] = (m.inclination.low, m.inclination.high)
                    ranges[mo.CASTER] = (m.caster.low, m.caster.high)
                    ranges[mo.KING] = (m.kingpin.low, m.kingpin.high)
                surface.append(count)
                item.append(index)
                corners.append(corners_at)
                lift.append(lift_at)
                arc.append(chart.arc)
                share.append(thing.share)
                travel.append(travel_at)
                bounds = np.array(ranges)
                full = np.hstack([corners_at, lift_at[:, None]])
                if np.array_equal(full[0], full[1]) and np.array_equal(full[2], full[3]):
                    bounds[mo.SU] = 0.0
                if np.array_equal(full[0], full[2]) and np.array_equal(full[1], full[3]):
                    bounds[mo.SV] = 0.0
                centre.append(bounds.mean(axis=1))
                half.append((bounds[:, 1] - bounds[:, 0]) / 2.0)
                thick.append(chart.thickness)
                count += 1
    work = _Work(
        np.array(surface, dtype=np.intp),
        np.array(item, dtype=np.intp),
        Charts(np.array(corners), np.array(lift), np.array(arc), np.array(share), np.array(travel)),
        np.array(centre),
        np.array(half),
        np.zeros((count, mo.DIMS), dtype=bool),
        np.zeros((count, mo.DIMS), dtype=np.int8),
    )
    return work, np.array(thick)


_EDGE_PIECES = 12


def _seeds(roots: _Work) -> _Work:
    """Return exact tracks along the edges of every chart, at the ends and the middle of each pose parameter.

    They only teach the sweep early what is surely reached; nothing is concluded from what they miss.
    """
    n = len(roots.item)
    poses = [np.zeros(mo.DIMS)]
    for dim in range(mo.LOCK, mo.DIMS):
        if roots.half[:, dim].any():
            ends = (-1.0, 0.0, 1.0) if dim in (mo.LOCK, mo.UP, mo.TILT) else (-1.0, 1.0)
            poses = [pose + end * np.eye(mo.DIMS)[dim] for pose in poses for end in ends]
    tracks = []
    for along, across in ((mo.SU, mo.SV), (mo.SV, mo.SU)):
        for side in (-1.0, 1.0):
            for piece in range(_EDGE_PIECES):
                track = np.zeros(mo.DIMS)
                track[along], track[across] = (2.0 * piece + 1.0) / _EDGE_PIECES - 1.0, side
                tracks.append((along, track))
    place_at = np.array([pose + track for pose in poses for _, track in tracks])
    along_of = np.array([along for _ in poses for along, _ in tracks])
    root = np.repeat(np.arange(n), len(place_at))
    seeds = roots.take(root)
    offset, along = np.tile(place_at, (n, 1)), np.tile(along_of, n)
    seeds.centre += offset * seeds.half
    keep = np.zeros_like(seeds.half)
    rows = np.arange(len(root))
    keep[rows, along] = seeds.half[rows, along] / _EDGE_PIECES
    seeds.half = keep
    return seeds.take(keep.any(axis=1))


Range0 = mo.Range(0.0, 0.0)


def _split(w: _Work, b: _Bounds, asked: Floats) -> _Work:
    """Split each cell across the parameter that costs most growth."""
    growth = np.where(w.open, b.step**2 / (2.0 * asked[:, None]), b.step)
    rows = np.arange(len(b.r))
    main = b.gradient[rows, np.argmax(b.step, axis=1)]
    main = main / np.maximum(np.linalg.norm(main, axis=1), 1e-12)[:, None]
    across = np.abs(b.gradient[:, :, 0] * main[:, 1, None] - b.gradient[:, :, 1] * main[:, 0, None]) * b.half
    cost = np.where((b.reach_y > COARSE)[:, None], across + WT * b.step + WB * b.bend, growth)
    cost = np.where(w.half > 0.0, cost + 1e-9 * b.step + 1e-12, -1.0)
    dim = np.argmax(cost, axis=1)
    was_open = w.open[rows, dim]
    parts = []
    for shift, width in ((-0.5, 0.5), (0.5, 0.5), (-1.0, 0.0), (1.0, 0.0)):
        chosen = rows if width else rows[~was_open]
        part = w.take(chosen)
        d, k = dim[chosen], np.arange(len(chosen))
        part.centre[k, d] += shift * part.half[k, d]
        part.half[k, d] *= width
        part.open[k, d] = width > 0.0
        part.end[k, d] = 0 if width else int(shift)
        parts.append(part)
    return _join(parts)


def _join(parts: Sequence[_Work]) -> _Work:
    return _Work(
        np.concatenate([p.surface for p in parts]),
        np.concatenate([p.item for p in parts]),
        Charts(*(np.concatenate([getattr(p.charts, f) for p in parts]) for f in Charts.__dataclass_fields__)),
        np.concatenate([p.centre for p in parts]),
        np.concatenate([p.half for p in parts]),
        np.concatenate([p.open for p in parts]),
        np.concatenate([p.end for p in parts]),
    )


def target_of(motion: Motion) -> float:
    """Return how fine [mm] a motion is swept: coarser where its own measures are only known as ranges."""
    ranges = (motion.kingpin, motion.inclination, motion.caster, motion.roll_centre)
    loose = any(r.high > r.low for r in ranges)
    return COARSE_TARGET if loose else TARGET


def sweep(items: Sequence[Item], motion: Motion, target: float | None = None) -> Cells:
    """Sweep items through all poses of one axle end and return the samples that stand for them.

    ``items`` in the hub frame; an item's least clearance sets how fine it is swept: growth beyond it stays
    within ``target`` [mm] (by default `target_of` the motion). Deterministic: the same items and motion give the same samples in the same order.
    """
    if not items:
        empty = np.zeros(0)
        return Cells(np.zeros(0, dtype=np.intp), *(empty,) * 6, np.zeros((0, 3)), np.zeros((0, mo.DIMS)))
    target = target_of(motion) if target is None else target
    roots, thick = _roots(items, motion)
    work = roots
    asked_of = np.array([max(min(item.clearances), 1.0) for item in items])
    ups = np.array([-1.0 if item.blocks is Blocks.OUTBOARD else 1.0 for item in items])
    both = np.array([item.blocks is Blocks.NOTHING for item in items])
    above, below = _Swept(len(items)), _Swept(len(items))
    seeds = _seeds(work)
    b = _bounds(seeds, motion)
    above.learn(seeds, b, ups[seeds.item])
    below.learn(seeds, b, -ups[seeds.item])
    done: list[tuple[_Work, _Bounds]] = []
    while len(work.item):
        b = _bounds(work, motion)
        near = (b.r + b.reach_r >= REACH_LOW) & (b.r - b.reach_r <= REACH_HIGH)
        up, two = ups[work.item], both[work.item]
        hidden = above.covers(work, b, up)
        if two.any():
            hidden &= ~two | below.covers(work, b, -up)
        keep = near & ~hidden
        work, b, up, two = work.take(keep), _pick(b, keep), up[keep], two[keep]
        above.learn(work, b, up)
        if two.any():
            below.learn(work, b, -up)
        keep = _stationary(work, b, up, two)
        work, b = work.take(keep), _pick(b, keep)
        asked = asked_of[work.item] + thick[work.surface]
        grown = np.sqrt((asked + b.sigma) ** 2 + b.tau**2) + b.closed
        fine = grown - asked <= target
        if len(work.item) > _CELL_LIMIT:
            fine[:] = True
        done.append((work.take(fine), _pick(b, fine)))
        work, b = work.take(~fine), _pick(b, ~fine)
        if len(work.item):
            work = _split(work, b, asked[~fine])
    parts = [above.samples(roots, thick, ups)]
    if both.any():
        parts.append(below.samples(roots, thick, -ups).where_item(both))
    for kept, b in done:
        up = ups[kept.item]
        hidden = above.covers(kept, b, up) & (~both[kept.item] | below.covers(kept, b, -up))
        w, c = kept.take(~hidden), _pick(b, ~hidden)
        at = mo.chart_points(w.charts, w.centre)[0]
        parts.append(Cells(w.item, c.r, c.y, c.tau, c.sigma, c.closed, thick[w.surface], at, w.centre))
    cells = Cells(*(np.concatenate([getattr(p, f) for p in parts]) for f in Cells.__dataclass_fields__))
    return cells.take(np.lexsort((cells.y, cells.r, cells.item)))


def _pick(b: _Bounds, mask: NDArray[np.bool_]) -> _Bounds:
    fields = {name: getattr(b, name)[mask] for name in _Bounds.__dataclass_fields__ if name != "placed"}
    placed = Placed(*(getattr(b.placed, f)[mask] for f in Placed.__dataclass_fields__))
    return _Bounds(**fields, placed=placed)
