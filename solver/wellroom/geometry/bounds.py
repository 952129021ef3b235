"""Bounds of how far a cell's image strays from its centre's, in distance from the axis r and lateral place y.

In space the second derivatives of a placed point over a cell are bounded pair by pair (`in_space`). For r
that is not all: what moves round the axis with speed t_i also gains r'' = t_i t_j / r. With both, Taylor's
theorem bounds travel, remainder and the turn of each derivative. A sample may be judged in space or in (r,
y), whichever grows it less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry import motion as mo
from wellroom.geometry.items import Floats, length
from wellroom.geometry.motion import Charts, Motion, Placed, place
from wellroom.geometry.roots import Work, lean_stretch
from wellroom.geometry.samples import Ints

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Bounds:
    """What is known of n cells. (k, n) rows are the parameters ``dims``.

    ``r``, ``y`` (n,): the sample [mm]. ``by_r``, ``by_y`` (k, n): derivatives. ``half`` (k, n). ``step`` (k,
    n): travel in (r, y) to first order. ``low``, ``high`` (n,): least and greatest r in the cell. ``second``
    (n,): remainder of y and of r but for ``swing`` (n,): what going round adds to r. ``own``, ``swings`` (k,
    n): the same along one parameter. ``bend`` (k, n): how far a derivative times its half width can turn;
    ``rough`` (k, n): the same, bounded for large cells, to choose a split by. ``drift`` (k + 1, n): how far a
    derivative can, the last of the inward vector. ``inward`` (2, n): that vector in (r, y). ``tau``,
    ``sigma``, ``closed`` (2, n): growth's terms in (r, y) and in space.
    """

    r: Floats
    y: Floats
    by_r: Floats
    by_y: Floats
    half: Floats
    step: Floats
    low: Floats
    high: Floats
    second: Floats
    swing: Floats
    own: Floats
    swings: Floats
    bend: Floats
    rough: Floats
    drift: Floats
    inward: Floats
    tau: Floats
    sigma: Floats
    closed: Floats

    def take(self, rows: Ints) -> Bounds:
        """Return the cells at an index array."""
        return Bounds(*(getattr(self, name).take(rows, axis=-1) for name in self.__dataclass_fields__))


def join_bounds(parts: Sequence[Bounds]) -> Bounds:
    """Return what is known of several lots of cells as one."""
    return Bounds(
        *(np.concatenate([getattr(p, f) for p in parts], axis=-1) for f in Bounds.__dataclass_fields__)
    )


class _Pairs:
    """Bounds of second derivatives times both half widths, by unordered pair of parameters."""

    def __init__(self, dims: Sequence[int]) -> None:
        self.dims = dims
        self.of: dict[tuple[int, int], Floats] = {}

    def add(self, i: int, j: int, value: Floats) -> None:
        if i in self.dims and j in self.dims:
            key = (min(i, j), max(i, j))
            self.of[key] = self.of[key] + value if key in self.of else value


@dataclass(frozen=True)
class _Space:
    """Bounds in space: pairs; ``drift``: turn of each derivative [mm per unit]; ``turned`` (n,): turn of any
    vector.
    """

    pairs: _Pairs
    drift: dict[int, Floats]
    turned: Floats


_ON_AXIS = 1e-9
"""Distance [mm] up to which a sample is taken to lie on the axis."""
_NEAR_AXIS = 0.5
"""A cell that comes this share closer to the axis than its sample is too large to be judged in (r, y)."""


def _surface(c: Floats, arc: Bools, hu: Floats, hv: Floats, space: _Pairs) -> tuple[Floats, ...]:
    """Add a chart's own second derivatives [mm]; return the speeds by SU, SV, and how far they turn."""
    du = np.maximum(np.abs(c[1] - c[0]), np.abs(c[3] - c[2]))
    dv = np.maximum(np.abs(c[2] - c[0]), np.abs(c[3] - c[1]))
    e3 = np.abs(c[3] - c[1] - c[2] + c[0])
    radius = np.where(arc, np.abs(c[:, 2]).max(axis=0), 0.0)
    scale = np.where(arc, radius, 1.0)

    speed_u, speed_v, twist = (length(scale * d[0], d[1], d[2]) for d in (du, dv, e3))
    bow_u, bow_v = np.where(arc, du[0], 0.0), np.where(arc, dv[0], 0.0)
    uu = radius * bow_u**2 + 2.0 * bow_u * du[2]
    vv = radius * bow_v**2 + 2.0 * bow_v * dv[2]
    uv = twist + radius * bow_u * bow_v + bow_u * dv[2] + bow_v * du[2]
    space.add(mo.SU, mo.SU, uu * hu**2)
    space.add(mo.SV, mo.SV, vv * hv**2)
    space.add(mo.SU, mo.SV, uv * hu * hv)
    return speed_u, speed_v, uu * hu + uv * hv, vv * hv + uv * hu


def in_space(w: Work, charts: Charts, m: Motion, p: Placed, dims: Sequence[int]) -> _Space:
    """Bound the second derivatives of points placed with their derivatives by ``dims`` over cells, in space.

    Each is the curvature of the surface, of the axle's sway, the turn of the tilt about the stop's place or
    of an independent wheel's lean, the turn about the kingpin, or what an outer turn makes of inner travel
    (its angle times that travel). Checked by finite differences in the tests.
    """
    half, at = w.half, w.centre
    play_share, follow = half[mo.SHARE], np.linalg.norm(charts.by_share, axis=0)
    keep = 1.0 - charts.share - at[mo.SHARE] + play_share
    ways: dict[int, Floats] = {}  # travel of what follows the body whole
    pairs = _Pairs(dims)
    hu, hv = half[mo.SU], half[mo.SV]
    lift, hs = charts.lift, half[mo.TILT]
    stretch_u = np.maximum(np.abs(lift[1] - lift[0]), np.abs(lift[3] - lift[2]))
    stretch_v = np.maximum(np.abs(lift[2] - lift[0]), np.abs(lift[3] - lift[1]))
    corners = charts.corners.copy()
    corners[:, 2] += at[mo.TILT] * lift
    speed_u, speed_v, flex_u, flex_v = _surface(corners, charts.arc, hu, hv, pairs)
    speed_u, speed_v = speed_u + stretch_u * hs, speed_v + stretch_v * hs
    travel: dict[int, Floats] = {mo.SU: speed_u * hu, mo.SV: speed_v * hv}
    drift: dict[int, Floats] = {}
    turned = np.zeros_like(hu)
    rides, leans = m.lean > 0.0, len(charts.lean) > 0
    low, low_g, width, width_g = charts.travel
    ht, rolled, play = half[mo.UP], half[mo.ROLL], half[mo.SIDE]
    half_span = (m.span or 0.0) / 2.0 if rides else 0.0
    speed_up = np.abs(width + width_g * at[mo.TILT]) + np.abs(width_g) * hs
    ways[mo.SIDE], ways[mo.FORE] = play, half[mo.FORE]
    angle, stray_share = np.zeros_like(hu), follow * play_share
    # of the sway: its derivatives, the centre's travel by tilt and in all
    slant, bent, rate, spread = np.zeros((4, len(hu)))
    if m.sways:
        by_tilt = low_g + at[mo.UP] * width_g - half_span
        rate = np.abs(by_tilt) + np.abs(width_g) * ht
        spread = speed_up * ht + rate * hs
        slant, bent = m.aside_bounds(low + by_tilt * at[mo.TILT] + at[mo.UP] * width, spread)
        pairs.add(mo.UP, mo.UP, keep * bent * (speed_up * ht) ** 2)
    speed_up, flat_up = speed_up * length(1.0, slant), speed_up
    up = speed_up * ht
    ways[mo.UP] = up
    if leans:
        speed_up = length(speed_up, charts.lean[3])
        up, turn_up = speed_up * ht, np.abs(charts.lean[1]) * ht
        angle = np.abs(charts.lean[0]) + np.abs(charts.lean[1]) * (np.abs(at[mo.UP]) + ht)
        stray = travel[mo.SU] + travel[mo.SV] + up + play + stray_share
        arm_lean = p.arm_stop + stray
        pairs.add(mo.UP, mo.UP, keep * (arm_lean * turn_up**2 + 2.0 * turn_up * up))
        for dim, way in (
            (mo.SU, travel[mo.SU]),
            (mo.SV, travel[mo.SV]),
            (mo.SIDE, play),
            (mo.SHARE, stray_share),
        ):
            pairs.add(mo.UP, dim, keep * turn_up * way)
        ways[mo.UP] = up + turn_up * arm_lean
        turned = turned + turn_up
    if rides:
        cos, sin_tilt = float(np.cos(m.max_tilt)), float(np.sin(m.max_tilt))
        roll = np.abs(at[mo.ROLL]) + rolled
        slide, sag = roll + half_span * sin_tilt, roll * sin_tilt + half_span
        rise = np.abs(lift).max(axis=0) + np.maximum(np.abs(low_g), np.abs(low_g + width_g))
        turn, swayed = hs / cos, slant * rate * hs
        arm = p.arm_stop + travel[mo.SU] + travel[mo.SV] + up + rise * hs + rolled + slide * turn
        arm = arm + play + swayed + stray_share
        angle = (np.abs(at[mo.TILT]) + hs) / cos
        bow = arm + 2.0 * slide + sag + (arm + slide) * sin_tilt / cos
        second = bow * turn**2 + 2.0 * turn * (rise * hs + swayed) + bent * (rate * hs) ** 2
        pairs.add(mo.TILT, mo.TILT, keep * second)
        drawn = np.abs(width_g) * ht * hs * length(1.0, slant) + bent * flat_up * ht * rate * hs
        pairs.add(mo.UP, mo.TILT, keep * (turn * up + drawn))
        pairs.add(mo.SU, mo.TILT, keep * turn * travel[mo.SU] + stretch_u * hu * hs)
        pairs.add(mo.SV, mo.TILT, keep * turn * travel[mo.SV] + stretch_v * hv * hs)
        pairs.add(mo.TILT, mo.ROLL, keep * turn * rolled)
        pairs.add(mo.TILT, mo.SIDE, keep * turn * play)
        pairs.add(mo.TILT, mo.SHARE, keep * turn * stray_share)
        ways[mo.TILT] = turn * (arm + slide) + rise * hs + swayed
        ways[mo.ROLL] = rolled * sin_tilt
        turned = turned + turn
    shared = 2.0 * angle * stray_share + sum(ways.values(), angle * (travel[mo.SU] + travel[mo.SV]))
    if mo.SHARE in dims:
        apart = length(*p.slopes[:, dims.index(mo.SHARE)]) + shared
        for dim, way in ways.items():
            pairs.add(mo.SHARE, dim, play_share * way)
        pairs.add(mo.SHARE, mo.SHARE, 2.0 * angle * stray_share * play_share)
        for dim in (mo.SU, mo.SV):
            pairs.add(mo.SHARE, dim, play_share * angle * travel[dim])
    travel |= {dim: keep * way for dim, way in ways.items()}
    if mo.SHARE in dims:
        travel[mo.SHARE] = play_share * apart
    whole = sum(travel.values(), np.zeros_like(hu))
    if m.steered:
        lock, king = half[mo.LOCK], half[mo.KING]
        arm_king = p.arm_king + whole + king
        travel[mo.KING] = king
        whole = whole + king
        most = np.abs(at[mo.LOCK]) + lock
        sin, vers = np.sin(np.minimum(most, np.pi / 2)), 1.0 - np.cos(most)
        stretch = lean_stretch(m)
        lean = np.sqrt(stretch**2 - 1.0)
        lean_in, lean_back = stretch * half[mo.KPI], stretch * half[mo.CASTER]
        tip = 2.0 * np.sin(most / 2.0)
        for dim, turning in ((mo.LOCK, lock), (mo.KPI, tip * lean_in), (mo.CASTER, tip * lean_back)):
            for inner, way in travel.items():
                pairs.add(dim, inner, turning * way)
        twice = (sin + 2.0 * vers + 2.0 * tip * lean**3) * arm_king
        mixed = (sin * lean**2 + 3.0 * vers + 2.0 * tip * lean) * arm_king
        arm_axis = p.arm_axis + whole + king + arm_king * (lean_in + lean_back)
        pairs.add(mo.LOCK, mo.LOCK, np.minimum(arm_axis, arm_king) * lock**2)
        pairs.add(mo.KPI, mo.KPI, twice * lean_in**2)
        pairs.add(mo.CASTER, mo.CASTER, twice * lean_back**2)
        pairs.add(mo.KPI, mo.CASTER, mixed * lean_in * lean_back)
        pairs.add(mo.LOCK, mo.KPI, arm_king * lock * lean_in)
        pairs.add(mo.LOCK, mo.CASTER, arm_king * lock * lean_back)
        turned = turned + lock + tip * (lean_in + lean_back)
        drift[mo.LOCK] = whole + arm_king * (lean_in + lean_back + lock)
        for dim, own, other in ((mo.KPI, lean_in, lean_back), (mo.CASTER, lean_back, lean_in)):
            drift[dim] = stretch * (tip * whole + twice * own + mixed * other + arm_king * lock)
        drift[mo.KING] = turned
    drift[mo.SU] = flex_u + speed_u * turned + stretch_u * hs
    drift[mo.SV] = flex_v + speed_v * turned + stretch_v * hs
    drift[mo.UP] = speed_up * turned + np.abs(width_g) * hs * length(1.0, slant) + flat_up * bent * spread
    if leans:
        drift[mo.UP] = drift[mo.UP] + np.abs(charts.lean[1]) * (arm_lean * turned + stray)
    drift[mo.SIDE] = drift[mo.FORE] = turned + play_share
    if rides:
        drift[mo.TILT] = (
            (whole + rolled + turned * (arm + slide) + bow * turn) / cos
            + (rise + slant * rate) * turned
            + np.abs(width_g) * ht * (1.0 + slant)
            + bent * spread * rate
            + stretch_u * hu
            + stretch_v * hv
        )
        drift[mo.TILT] = drift[mo.TILT] + play_share * ((arm + slide) / cos + rise + slant * rate)
        drift[mo.ROLL] = 2.0 * turned + play_share * sin_tilt
    if mo.SHARE in dims:
        drift[mo.SU] = drift[mo.SU] + play_share * angle * speed_u
        drift[mo.SV] = drift[mo.SV] + play_share * angle * speed_v
        by_up = speed_up + (np.abs(charts.lean[1]) * arm_lean if leans else 0.0)
        drift[mo.UP] = drift[mo.UP] + play_share * by_up
        drift[mo.SHARE] = shared + follow * turned + apart * turned
    return _Space(pairs, drift, turned + play_share * angle)


def bounds_of(w: Work, charts: Charts, m: Motion, dims: Sequence[int]) -> Bounds:
    """Return the bounds of cells whose charts have been gathered."""
    p = place(charts, m, w.centre, dims)
    x, y, z = p.point
    r = length(x, z)
    # on the axis any way is outward: without one, a cell's travel there would count for nothing
    off = r > _ON_AXIS
    safe = np.where(off, r, 1.0)
    out_x, out_z = np.where(off, x / safe, 1.0), np.where(off, z / safe, 0.0)
    rows = list(dims)
    by_x, by_y, by_z = p.slopes
    by_r = by_x * out_x + by_z * out_z
    round_ = np.abs(by_z * out_x - by_x * out_z)
    half, opened = w.half[rows], w.open[rows]
    space = in_space(w, charts, m, p, dims)
    first = length(by_r, by_y)
    step = first * half
    step3 = length(first, round_) * half
    row, own, sigma3 = _sums(space.pairs, rows, opened)
    second = 0.5 * row.sum(axis=0)

    along = (np.abs(by_r) * half).sum(axis=0)
    whole = step3.sum(axis=0) + second
    low = r - np.minimum(along + second, whole)
    floor = np.maximum(low, 1e-3)
    circling = round_ * half
    swept_angle = (circling.sum(axis=0) + second) / floor
    goes = np.minimum(circling + swept_angle * np.abs(by_r) * half, step3) + row
    goes_all, goes_open = goes.sum(axis=0), np.sum(goes, axis=0, where=opened)
    swing = goes_all**2 / (2.0 * floor)
    sigma = sigma3 + goes_open**2 / (2.0 * floor)
    shut = ~opened & (half > 0.0)
    any_shut = shut.any(axis=0)

    def growth(steps: Floats, rest: Floats) -> tuple[Floats, Floats]:
        closed = np.sum(steps, axis=0, where=shut) + np.where(any_shut, rest, 0.0)
        return np.sum(steps, axis=0, where=opened) + rest, closed

    tau2, closed2 = growth(step, second + swing)
    tau3, closed3 = growth(step3, second)
    drift = [space.drift[d] for d in rows]
    turned = space.turned
    inward = p.inward
    inward_r = inward[0] * out_x + inward[2] * out_z
    inward_round = np.abs(inward[2] * out_x - inward[0] * out_z)
    return Bounds(
        r=r,
        y=y,
        by_r=by_r,
        by_y=by_y,
        half=half,
        step=step,
        low=low,
        high=r + np.minimum(along + second + swing, whole),
        second=second,
        swing=swing,
        own=own,
        swings=goes**2 / (2.0 * floor),
        bend=row + goes * (goes_all / floor),
        rough=np.where(low > _NEAR_AXIS * r, row + goes * (goes_all / floor), step3 + row),
        drift=np.stack(
            [
                d + swept_angle * t + 0.5 * swept_angle**2 * f
                for d, t, f in zip(drift, round_, first, strict=True)
            ]
            + [turned + swept_angle * inward_round + 0.5 * swept_angle**2]
        ),
        inward=np.stack([inward_r, inward[1]]),
        tau=np.stack([tau2, tau3]),
        sigma=np.stack([sigma, sigma3]),
        closed=np.stack([closed2, closed3]),
    )


def _sums(pairs: _Pairs, rows: list[int], opened: Bools) -> tuple[Floats, Floats, Floats]:
    """Return row sums, half the diagonal, and half the sum over pairs of open parameters."""
    row, own = np.zeros(opened.shape), np.zeros(opened.shape)
    sigma, free = np.zeros(opened.shape[1]), opened.astype(np.float64)
    for (i, j), value in pairs.of.items():
        a, b = rows.index(i), rows.index(j)
        row[a] += value
        if a == b:
            own[a] = 0.5 * value
            sigma += free[a] * own[a]
        else:
            row[b] += value
            sigma += free[a] * free[b] * value
    return row, own, sigma
