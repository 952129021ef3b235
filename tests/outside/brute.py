"""A plain judge of clearance: poses and surfaces are searched point by point, with nothing clever in between.

It shares no code with the envelope, the windows, the motion or the section. Rotations are scipy's, distances
are shapely's, the section is drawn from its description. The search only ever finds points that really are in
swept set, so a distance from here is never too small: less than asked proves a foul, and the harder it
looks the nearer it comes to the true least distance.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from scipy.spatial.transform import Rotation
from shapely.affinity import affine_transform

IN = 25.4
FAR = 1.0e4
LOW, HIGH = 100.0, 740.0
BIN = 0.5
PARAMETERS = 11
U, V, HERE, OTHER, LOCK, LEAN, CASTER, KING, ROLL, ASIDE, AHEAD = range(PARAMETERS)


@dataclass(frozen=True)
class Part:
    """One rigid part of a thing: its charts, how it moves, and the clearance [mm] it asks of a tread.

    ``charts`` (n, 4, 3) corners at (u, v) = (0,0), (1,0), (0,1), (1,1): Cartesian, or (clock, place, radius).
    """

    charts: np.ndarray
    polar: bool
    thickness: float
    follows: float
    turns: bool
    asks: tuple[float, float]
    straight: bool = False


@dataclass(frozen=True)
class Thing:
    """What is judged as one: an id, parts, and the side that is closed to the tire along with it."""

    id: str
    parts: tuple[Part, ...]
    blocks: str
    low: bool = False


@dataclass(frozen=True)
class Poses:
    """The limits of one end's poses [mm, rad], and what its motion turns about.

    ``aside``, ``ahead``: play. ``sway``: travels of the axle's middle and its shift outboard there, in small
    steps. ``table``: rows (travel, camber, shift outboard) of an independent wheel against those at rest.
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
    sway: tuple[np.ndarray, np.ndarray] | None = None
    table: np.ndarray | None = None


def ends(measure: Any) -> tuple[float, float]:
    """Return both ends of a measure, zero where none was given."""
    return (0.0, 0.0) if measure is None else (measure.low, measure.high)


def bump_of(axle: Any) -> float | None:
    """Return the travel to full bump [mm]: (gap + half the rubber) x ratio, or what the lip came down by."""
    travel = axle.travel
    if travel.stop_gap and travel.stop_rubber and travel.stop_ratio:
        return float((travel.stop_gap.high + travel.stop_rubber.high / 2.0) * travel.stop_ratio.high)
    top = [lip for lip in axle.lip if lip.radius and abs(lip.clock.value) < np.radians(15.01)]
    rest = [lip.radius.high for lip in top if lip.at == "ride"]
    stop = [lip.radius.low for lip in top if lip.at == "stop"]
    return max(rest) - min(stop) if rest and stop and max(rest) >= min(stop) else None


def poses_of(axle: Any, side: str = "left") -> Poses:
    """Return the poses of an end: travel, tilt about the stops, lock about the kingpin, play and sway."""
    travel, steering, bump = axle.travel, axle.steering, bump_of(axle)
    known: dict[str, Any] = {"travel": (-ends(travel.droop)[1], bump or 0.0)}
    measures = (travel.tilt, travel.stop_from_face, axle.face_to_face, travel.droop)
    if axle.type == "solid" and bump is not None and all(m is not None for m in measures):
        stop = travel.stop_from_face.value
        known |= {"stop": stop, "span": axle.face_to_face.value - 2.0 * stop, "tilt": travel.tilt.high}
        known["roll"] = ends(travel.roll_centre_height)
    measures = (steering.lock_inner_wheel, steering.lock_outer_wheel, steering.kingpin_to_face)
    if axle.steered and all(m is not None for m in measures):
        known["lock"] = (-steering.lock_outer_wheel.high, steering.lock_inner_wheel.high)
        known["lean"], known["caster"] = ends(steering.kingpin_inclination), ends(steering.caster)
        known["king"] = ends(steering.kingpin_to_face)
    for key, measure in (("aside", travel.side_play), ("ahead", travel.fore_aft)):
        known[key] = (-ends(measure)[1], ends(measure)[1])
    if axle.type == "solid":
        known["sway"] = _sway(travel, known["travel"], bump, 1.0 if side == "right" else -1.0)
    elif travel.table:
        rows = np.array([[row.z.value, row.camber.value, row.track.value] for row in travel.table])
        known["table"] = rows - [0.0, *(np.interp(0.0, rows[:, 0], column) for column in rows.T[1:])]
    return Poses(**known)


def _sway(
    travel: Any, limits: tuple[float, float], bump: float | None, outboard: float
) -> tuple[np.ndarray, np.ndarray] | None:
    """Return how the axle goes sideways: its joint on the bar's circle, a measured shift made up evenly.

    ``outboard``: +1 where to the right is outboard.
    """
    bar, told = travel.track_bar, travel.sideways_at_bump
    if bar is None and told is None:
        return None
    middle = np.linspace(*limits, 20_001)

    def swung(up: Any) -> Any:
        if bar is None:
            return up * 0.0
        along, down = bar.length.value * np.cos(bar.slope.value), bar.length.value * np.sin(bar.slope.value)
        away = np.sqrt(bar.length.value**2 - (up - down) ** 2) - along
        return away if bar.axle_end == "right" else -away

    shift = swung(middle)
    if told is not None and bump:
        shift = shift + (told.value - swung(bump)) * middle / bump
    return middle, outboard * shift


# --- what stands near a wheel ---------------------------------------------------------------------


def things_of(axle: Any, name: str, side: str) -> Iterator[Thing]:
    """Yield what was measured on one side of an axle, but for the brake; at poses it is fixed."""
    lip = [*_lip_parts(axle, side)]
    posed = [(pose, near) for pose in axle.pose for near in pose.near if near.side in ("both", side)]
    for pose in axle.pose:
        points = _lip_points([one for one in pose.lip if one.side in ("both", side)])
        lip += [replace(part, follows=1.0, turns=False) for part in _strips(points)]
    if lip:
        yield Thing(f"{name}.lip", tuple(lip), "outboard")
    for near in axle.near:
        if near.side not in ("both", side):
            continue
        for low in (False, True):
            parts = tuple(_near_parts(near, bump_of(axle) or 0.0, low))
            parts += tuple(
                Part(*_near_charts(again, heights), 1.0, False, (asked, asked))
                for pose, again in posed
                if again.slug == near.slug and (heights := _height(again, LOW, low))
                for asked in [_asked(near)[pose.lock is None or pose.lock.value == 0.0]]
            )
            if parts:
                yield Thing(f"{name}.near.{near.slug}{'_low_part' if low else ''}", parts, near.blocks, low)


def _lip_parts(axle: Any, side: str) -> Iterator[Part]:
    bump = bump_of(axle)
    for at, rise in (("ride", 0.0), ("stop", bump)):
        if rise is not None:
            lips = [lip for lip in axle.lip if lip.side in ("both", side) and lip.at == at]
            points = _lip_points(lips)
            yield from _strips(points if at == "ride" else _from_stop(points, poses_of(axle, side), rise))


def _lip_points(lips: Any) -> np.ndarray:
    """Return the flange's and the skin's edge (2, n, 3) of a lip at its n clocks, (x, y, z)."""
    rows = []
    for lip in lips:
        inner, outer = lip.flange or lip.out, lip.out or lip.flange
        if lip.radius is None or inner is None:
            continue
        clock = 0.0 if lip.clock is None else lip.clock.value
        x, z = (lip.radius.low * f(clock) for f in (np.sin, np.cos))
        rows.append((clock, [(x, min(inner.low, outer.low), z), (x, outer.high, z)]))
    points = [edges for _, edges in sorted(rows, key=lambda row: row[0])]
    return np.array(points, dtype=float).reshape(-1, 2, 3).swapaxes(0, 1)


def _from_stop(points: np.ndarray, poses: Poses, bump: float) -> np.ndarray:
    """Return places measured from the hub at full bump, as they stand about the hub at ride height."""
    q = np.zeros((points.shape[0] * points.shape[1], PARAMETERS))
    q[:, HERE] = q[:, OTHER] = bump
    turn, move = _hub(poses, q)
    return (turn.apply(points.reshape(-1, 3)) + move).reshape(points.shape)


def _strips(points: np.ndarray) -> Iterator[Part]:
    """Yield the strips between a lip's two edges (2, n, 3): straight in clock, place and radius."""
    x, y, z = np.moveaxis(points, 2, 0)
    polar = np.stack([np.arctan2(x, z), y, np.hypot(x, z)], axis=2)
    pairs = [*pairwise(range(points.shape[1]))] or [(0, 0)] * points.shape[1]
    charts = [[polar[0, a], polar[0, b], polar[1, a], polar[1, b]] for a, b in pairs]
    if charts:
        yield Part(np.array(charts), True, 0.0, 0.0, True, (0.5 * IN, 1.0 * IN))


def _asked(near: Any) -> tuple[float, float]:
    """Return the clearance through the motion, and straight ahead."""
    if near.clearance is not None:
        return near.clearance.high, near.clearance.high
    what = near.what.lower()
    if "hose" in what:
        return 1.0 * IN, 1.0 * IN
    if any(word in what for word in ("tie-rod", "tie rod", "link", "arm", "joint")):
        return 0.375 * IN, 0.375 * IN
    if "leaf" in what:
        return 0.75 * IN, 1.0 * IN
    return (0.75 * IN, 0.75 * IN) if "spring" in what else (0.5 * IN, 0.5 * IN)


ENDS = {True: (0.0, 1.0), False: (0.0, 0.25, 0.5, 0.75, 1.0)}
LOW = -150.0  # half a small tire's radius below the axle: from there down its side walls bulge


def _height(near: Any, cut: float, low: bool) -> tuple[float, float] | None:
    """Return the heights of what of a thing stands low (or not) at a cut [mm]; None where nothing does."""
    charts, polar, thickness = _near_charts(near)
    z = charts[..., 2] * np.cos(charts[..., 0]) if polar else charts[..., 2]
    bottom, top = float(z.min()) - thickness, float(z.max())
    if near.shape == "box" and bottom < cut < top:
        return (bottom, cut) if low else (cut, top)
    return (bottom, top) if (bottom < cut) is low else None


def _near_parts(near: Any, bump: float, low: bool) -> Iterator[Part]:
    if near.moves_with == "between":
        least, most = (0.0, 1.0) if near.share is None else (near.share.low, near.share.high)
        follows = tuple(sorted({least + (most - least) * k for k in ENDS[near.share is None]}))
    else:
        follows = (1.0 if near.moves_with in ("axle", "knuckle") else 0.0,)
    moving, ahead = _asked(near)
    for share in follows:
        turns = near.moves_with != "knuckle"
        heights = _height(
            near,
            LOW + (1.0 - (share if near.share is None else follows[0])) * bump if turns else -np.inf,
            low,
        )
        if heights is None:
            continue
        charts, polar, thickness = _near_charts(near, heights)
        yield Part(charts, polar, thickness, share, turns, (moving, moving))
        if ahead > moving:
            yield Part(charts, polar, thickness, share, turns, (ahead, ahead), straight=True)


def _near_charts(near: Any, heights: tuple[float, float] | None = None) -> tuple[np.ndarray, bool, float]:
    if near.shape == "box":
        x = near.forward_from.low, near.forward_to.high
        y = -near.in_to.high, -near.in_from.low
        z = heights or (near.up_from.low, near.up_to.high)
        corner = lambda i, j, k: (x[i], y[j], z[k])  # noqa: E731 - one use, below
        faces = []
        for end in (0, 1):
            faces.append([corner(end, j, k) for k in (0, 1) for j in (0, 1)])
            faces.append([corner(i, end, k) for k in (0, 1) for i in (0, 1)])
            faces.append([corner(i, j, end) for j in (0, 1) for i in (0, 1)])
        return np.array(faces), False, 0.0
    if near.shape == "bar":
        a, b = _at(near.start), _at(near.end)
        return np.array([[a, b, a, b]]), False, near.diameter.high / 2.0
    if any(m is not None and m.low != m.high for m in (near.clock, near.radius, near.forward, near.up)):
        raise NotImplementedError("a point with a range")
    place = _at(near)
    return np.array([[place] * 4]), False, 0.0


def _at(place: Any) -> tuple[float, float, float]:
    inner = place.inboard.value
    if place.clock is not None:
        clock, radius = place.clock.value, place.radius.value
        return float(radius * np.sin(clock)), -inner, float(radius * np.cos(clock))
    return place.forward.value, -inner, place.up.value


# --- from the body's frame to the wheel's ---------------------------------------------------------


def surface_points(part: Part, chart: np.ndarray, q: np.ndarray) -> np.ndarray:
    """Return points (n, 3) of the charts with these indices at (u, v)."""
    c, u, v = part.charts[chart], q[:, U, None], q[:, V, None]
    p = (1 - u) * (1 - v) * c[:, 0] + u * (1 - v) * c[:, 1] + (1 - u) * v * c[:, 2] + u * v * c[:, 3]
    if not part.polar:
        return p
    return np.stack([p[:, 2] * np.sin(p[:, 0]), p[:, 1], p[:, 2] * np.cos(p[:, 0])], axis=1)


def to_wheel(part: Part, poses: Poses, chart: np.ndarray, q: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (distance from the wheel's axis, lateral place) of points at poses, (n,) each [mm]."""
    p = surface_points(part, chart, q)
    if part.turns and part.follows < 1.0:
        p = (1.0 - part.follows) * _off_axle(p, poses, q) + part.follows * p
    if part.turns and poses.lock != (0.0, 0.0):
        axis = np.stack([-np.tan(q[:, CASTER]), -np.tan(q[:, LEAN]), np.ones(len(q))], axis=1)
        axis /= np.linalg.norm(axis, axis=1)[:, None]
        pivot = np.stack([np.zeros(len(q)), -q[:, KING], np.zeros(len(q))], axis=1)
        p = Rotation.from_rotvec(axis * q[:, LOCK, None]).inv().apply(p - pivot) + pivot
    return np.hypot(p[:, 0], p[:, 2]), p[:, 1]


def _off_axle(p: np.ndarray, poses: Poses, q: np.ndarray) -> np.ndarray:
    """Return body points as the axle, or an independent wheel's upright, sees them."""
    turn, move = _hub(poses, q)
    return turn.inv().apply(p - move)


def _hub(poses: Poses, q: np.ndarray) -> tuple[Rotation, np.ndarray]:
    """Return how what is fixed to the axle (or upright) is turned about the face's middle at rest, and moved.

    The axle lies so that both stops have risen by their travels and its roll centre has not moved sideways,
    but for sway and play. A wheel leans by its table.
    """
    up, aside, angle = q[:, HERE], q[:, ASIDE].copy(), np.zeros(len(q))
    if poses.sway is not None:
        aside += np.interp((q[:, HERE] + (q[:, OTHER] if poses.tilt else up)) / 2.0, *poses.sway)
    if poses.table is not None:
        angle = -np.interp(up, poses.table[:, 0], poses.table[:, 1])
        aside += np.interp(up, poses.table[:, 0], poses.table[:, 2])
    if poses.tilt:
        angle = np.arcsin((q[:, HERE] - q[:, OTHER]) / poses.span)
    turn = Rotation.from_rotvec(angle[:, None] * np.array([1.0, 0.0, 0.0]))
    if poses.tilt:
        stop = np.array([0.0, -poses.stop, 0.0])
        centre = np.stack(
            [0 * q[:, ROLL], np.full(len(q), -poses.stop - poses.span / 2.0), q[:, ROLL]], axis=1
        )
        aside += centre[:, 1] - turn.apply(centre)[:, 1]
        up = up - turn.apply(stop)[:, 2]
    return turn, np.stack([q[:, AHEAD], aside, up], axis=1)


@dataclass
class Search:
    """The search over one part: which of the parameters are free, and their limits."""

    part: Part
    poses: Poses
    low: np.ndarray = field(init=False)
    high: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        part, poses = self.part, self.poses
        limits = np.zeros((PARAMETERS, 2))
        c = part.charts
        limits[U, 1] = float(np.any(c[:, 0] != c[:, 1]) or np.any(c[:, 2] != c[:, 3]))
        limits[V, 1] = float(np.any(c[:, 0] != c[:, 2]) or np.any(c[:, 1] != c[:, 3]))
        if part.turns and part.follows < 1.0:
            limits[HERE], limits[ASIDE], limits[AHEAD] = poses.travel, poses.aside, poses.ahead
            if poses.tilt:
                limits[OTHER], limits[ROLL] = poses.travel, poses.roll
        if part.turns and poses.lock != (0.0, 0.0):
            limits[LOCK] = (0.0, 0.0) if part.straight else poses.lock
            limits[LEAN], limits[CASTER], limits[KING] = poses.lean, poses.caster, poses.king
        self.low, self.high = limits.T.copy()

    @property
    def free(self) -> np.ndarray:
        """Return the parameters that have a width."""
        return np.flatnonzero(self.high > self.low)

    def within(self, q: np.ndarray) -> np.ndarray:
        """Return parameters put back inside the limits, the pair of travels within the tilt."""
        q = np.clip(q, self.low, self.high)
        if self.poses.tilt and self.part.turns and self.part.follows < 1.0:
            most = self.poses.span * np.sin(self.poses.tilt)
            q[:, OTHER] = np.clip(q[:, OTHER], q[:, HERE] - most, q[:, HERE] + most)
            q[:, OTHER] = np.clip(q[:, OTHER], self.low[OTHER], self.high[OTHER])
        return q

    def random(self, count: int, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
        """Return chart indices and parameters, each free one half the time at an end of its range."""
        share = rng.random((count, PARAMETERS))
        at_end = rng.random((count, PARAMETERS)) < 0.5
        share = np.where(at_end, np.round(share), share)
        chart = rng.integers(0, len(self.part.charts), count)
        return chart, self.within(self.low + share * (self.high - self.low))

    def child(self, q: np.ndarray, rng: np.random.Generator, least: float = 1e-5) -> np.ndarray:
        """Return parameters moved at random: a few of the free ones, by steps of every size, or to an end."""
        shape = (len(q), PARAMETERS)
        size = np.exp(rng.uniform(np.log(least), np.log(0.3), (len(q), 1)))
        moved = rng.random(shape) < np.where(rng.random((len(q), 1)) < 0.5, 0.3, 0.9)
        q = q + np.where(moved, rng.normal(size=shape) * size, 0.0) * (self.high - self.low)
        to_end = rng.random(shape) < 0.05
        q = np.where(to_end, np.where(rng.random(shape) < 0.5, self.low, self.high), q)
        return self.within(q)

    def front(self, towards: int, rng: np.random.Generator, start: int, rounds: int) -> Front:
        """Return, at each distance from the axis, the point found that reaches farthest to the wheel."""
        bins = int((HIGH - LOW) / BIN)
        best = np.full(bins, -np.inf)
        r, q, chart = np.zeros(bins), np.zeros((bins, PARAMETERS)), np.zeros(bins, dtype=int)

        def learn(charts: np.ndarray, given: np.ndarray) -> None:
            radius, y = to_wheel(self.part, self.poses, charts, given)
            k = np.floor((radius - LOW) / BIN).astype(int)
            inside = (k >= 0) & (k < bins)
            order = np.argsort(towards * y[inside], kind="stable")
            k, rows = k[inside][order], np.flatnonzero(inside)[order]
            better = towards * y[rows] > best[k]
            k, rows = k[better], rows[better]  # ascending: the last of a bin is its best
            best[k], r[k], q[k], chart[k] = towards * y[rows], radius[rows], given[rows], charts[rows]

        for _ in range(max(1, start // 40_000)):
            learn(*self.random(min(start, 40_000), rng))
        for _ in range(rounds if len(self.free) else 0):
            known = np.flatnonzero(np.isfinite(best))
            if not len(known):
                break
            parent = np.repeat(known, 6)
            learn(chart[parent], self.child(q[parent], rng))
        known = np.isfinite(best)
        return Front(self, towards, r[known], towards * best[known], q[known], chart[known])


@dataclass(frozen=True)
class Front:
    """Points of a part that reach farthest one way, at each distance from the axis."""

    search: Search
    towards: int
    r: np.ndarray
    y: np.ndarray
    q: np.ndarray
    chart: np.ndarray


# --- the wheel ------------------------------------------------------------------------------------


def section(
    tire: Any, rim: Any, seat_radius: float, nominal_radius: float, bulge: bool = False
) -> tuple[np.ndarray, np.ndarray]:
    """Return the two sides of a largest new tire on a rim, as (n, 2) of (r, y from the centre plane), upward.

    ``tire`` and ``rim`` are one catalog row each (any object with the columns' names).
    """
    half = rim.width * IN / 2.0
    grown = tire.section_max * (1.02 if tire.radial else 1.01)  # in service: trade/tire.py names the source
    mounted = grown + 0.4 * (rim.width - tire.measuring) * IN
    wide = mounted / 2.0 + tire.side_lug + (0.05 * mounted if bulge else 0.0)
    top = tire.od_max / 2.0 + (0.0 if tire.radial else 0.01 * (tire.od_max / 2.0 - nominal_radius))
    seat = seat_radius - rim.metal
    floor = min(seat, seat_radius - rim.depth - rim.metal)
    flange = seat_radius + rim.flange_height
    sides = []
    for sign, edge in ((-1.0, half + rim.flange_in), (1.0, half + rim.flange_out)):
        flat = sign * rim.well + rim.flat / 2.0 + rim.metal
        barrel = [(floor, min(flat, edge)), (seat, min(flat + rim.ramp, edge)), (seat, edge), (flange, edge)]
        widest = max((nominal_radius + top) / 2.0, flange)
        belly, side = max(wide - half, 0.0), max(wide, half)
        if tire.square:
            lower = [(flange, half + belly), (flange, side)]
        else:
            # the quarter of an ellipse, about (widest, half): the two corners of the octagon around it
            stretch = [-(widest - flange), 0.0, 0.0, belly, widest, half]
            t = np.tan(np.pi / 8.0)
            corners = shapely.LineString([(1.0, t), (t, 1.0)])
            lower = [*affine_transform(corners, stretch).coords]
            lower[1] = (lower[1][0], side)
        shoulder = max(top - tire.shoulder, lower[1][0])
        crown = min(tire.tread / 2.0, side) if tire.shoulder > 0.0 else side
        line = np.array([*barrel, *lower, (shoulder, side), (max(top, shoulder), crown)])
        sides.append(line * np.array([1.0, sign]))
    return sides[0], sides[1]


def body(sides: tuple[np.ndarray, np.ndarray], shift: float, blocks: str) -> shapely.Polygon:
    """Return the section at a shift, run out to the far side where a thing blocks what is beyond it."""
    inner, outer = (side + np.array([0.0, shift]) for side in sides)
    if blocks == "inboard":
        outer[:, 1] = FAR
    elif blocks == "outboard":
        inner[:, 1] = -FAR
    return shapely.Polygon(np.concatenate([inner, outer[::-1]]))


def brake_body(axle: Any) -> shapely.Polygon | None:
    """Return the brake as one body in (r, y): under each part of it, and between parts, nothing is open.

    A place is closed where parts at its distance from the axle or farther lie on both sides of it: it is
    under and beyond some line of the outline, and under and before some line.
    """
    brake = axle.brake
    if brake.outline:
        corners = [(point.radius.high, -point.place.value) for point in brake.outline]
    elif brake.outside_diameter and brake.depth and brake.from_face:
        radius = brake.outside_diameter.high / 2.0
        far = brake.from_face.high + brake.depth.high
        corners = [(radius, -brake.from_face.low), (radius, -far)]
    else:
        return None
    line = [(0.0, corners[0][1]), *corners, (0.0, corners[-1][1])]
    beyond, before = (
        shapely.union_all([_quarter(pair, aside) for pair in pairwise(line)]) for aside in (FAR, -FAR)
    )
    return beyond.intersection(before)


def _quarter(line: tuple[tuple[float, float], ...], aside: float) -> Any:
    """Return all that lies under a line and to one side of it."""
    moves = ((0.0, 0.0), (FAR, 0.0), (0.0, aside), (FAR, aside))
    return shapely.MultiPoint([(r - down, y + over) for r, y in line for down, over in moves]).convex_hull


# --- least distances ------------------------------------------------------------------------------


def near_front(front: Front, outline: shapely.Polygon, within: float) -> tuple[float, np.ndarray]:
    """Return the least distance of a front's points to a body, and the rows of the nearest few."""
    r0, y0, r1, y1 = outline.bounds
    close = np.maximum.reduce([r0 - front.r, front.r - r1, y0 - front.y, front.y - y1]) <= within
    rows = np.flatnonzero(close)
    if not len(rows):
        return np.inf, rows
    distance = shapely.distance(shapely.points(front.r[rows], front.y[rows]), outline)
    order = np.argsort(distance, kind="stable")
    chosen, bins = [], set()
    for k in order[:400]:
        home = int(front.r[rows[k]] / 8.0)  # spread over the section, not all at one corner
        if home not in bins:
            bins.add(home)
            chosen.append(rows[k])
    return float(distance[order[0]]), np.array(chosen[:8])


def polish(
    search: Search,
    chart: np.ndarray,
    q: np.ndarray,
    outlines: np.ndarray,
    rng: np.random.Generator,
    rounds: int,
    settled: Callable[[np.ndarray], np.ndarray],
) -> np.ndarray:
    """Return the least distances (n,) that local search finds from n starts, each to its own body.

    ``settled`` tells from the distances so far which starts need no more.
    """
    best = _distances(search, chart, q, outlines)
    scale = np.full(len(q), 0.03)
    for _ in range(rounds if len(search.free) else 0):
        open_ = np.flatnonzero(~settled(best))
        if not len(open_):
            break
        k = np.repeat(open_, 10)
        shape = (len(k), PARAMETERS)
        step = rng.normal(size=shape) * scale[k, None] * (search.high - search.low)
        few = rng.random(shape) < np.where(rng.random((len(k), 1)) < 0.5, 0.35, 1.0)
        child = search.within(q[k] + np.where(few, step, 0.0))
        found = _distances(search, chart[k], child, outlines[k]).reshape(-1, 10)
        pick = found.argmin(axis=1)
        least = found[np.arange(len(open_)), pick]
        better = least < best[open_]
        won = open_[better]
        q[won] = child.reshape(-1, 10, PARAMETERS)[np.arange(len(open_)), pick][better]
        best[won] = least[better]
        scale[open_] = np.clip(np.where(better, scale[open_] * 1.6, scale[open_] * 0.8), 1e-6, 0.2)
    return best


def _distances(search: Search, chart: np.ndarray, q: np.ndarray, outlines: np.ndarray) -> np.ndarray:
    r, y = to_wheel(search.part, search.poses, chart, q)
    return shapely.distance(shapely.points(r, y), outlines)
