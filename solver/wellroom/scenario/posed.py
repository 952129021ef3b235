"""Measured poses: what was measured again with the axle at its stop, tilted or locked, beside the model.

What was measured at a pose stands where it was measured for sure, in the wheel's own frame, whatever the
model of the motion says: it is judged as what never moves against the wheel, beside what the model makes of
the same thing, so the tighter of the two holds. Where both disagree beyond the ± of all that went into them,
a measure is wrong, and a warning says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from wellroom.geometry import motion as mo
from wellroom.geometry.items import Floats, Item, moved
from wellroom.geometry.motion import Charts, Motion, place
from wellroom.scenario.assume import WHY_BLOCKS
from wellroom.scenario.changes import moves_of
from wellroom.scenario.compare import amount
from wellroom.scenario.model import Axle, Blocks, Lip, Near, Pose, Scenario
from wellroom.scenario.model import Place as NearPlace
from wellroom.scenario.motions import Known, bump_of, motions_of
from wellroom.scenario.nearby import (
    LOW_BESIDE,
    cartesian,
    clearance,
    lip_parts,
    lip_strips,
    near_parts,
    shifts,
)
from wellroom.scenario.said import Said
from wellroom.units import MM_PER_IN, Kind, Measure, Units

QUARTER, EIGHTH = MM_PER_IN / 4.0, MM_PER_IN / 8.0
_TILT_PM, _LOCK_PM = np.deg2rad(1.5), np.deg2rad(2.0)
_CLOCK = np.deg2rad(3.0)
"""How far a lip measured at one clock only may turn round the wheel and still be compared."""


@dataclass(frozen=True)
class Stood:
    """How one end stood at a pose: travel as the motion takes it [mm], sine of tilt, lock of its wheel [rad].

    None: not known. The ± of each, 0 where it did not move.
    """

    up: float | None
    sine: float | None
    lock: float
    up_pm: float
    tilt_pm: float
    lock_pm: float

    @property
    def known(self) -> bool:
        """Whether the model can say where things stand at it."""
        return self.up is not None and self.sine is not None


def _pm(measure: Measure | None, usual: float) -> float:
    if measure is None:
        return 0.0
    half = (measure.high - measure.low) / 2.0
    return half + (measure.pm if measure.pm is not None else usual)


def stood(pose: Pose, axle: Axle, motion: Motion, side: str) -> Stood:
    """Return how one end stood. Nothing said of travel and tilt: as at ride height.

    The lock is the left wheel's, positive to the left; the other wheel's is taken in proportion to the locks.
    """
    own, other = (pose.left, pose.right) if side == "left" else (pose.right, pose.left)
    up, sine = _travel(pose, axle, motion, own, other, 1.0 if side == "left" else -1.0)
    lock = 0.0 if pose.lock is None else pose.lock.value
    if side == "right" and motion.steered:
        inner, outer = motion.lock.high, -motion.lock.low
        share = (outer / inner if inner else 0.0) if lock > 0.0 else (inner / outer if outer else 0.0)
        lock *= -share
    travel_pm = max(_pm(pose.left, QUARTER), _pm(pose.right, QUARTER))
    tilts = _pm(pose.tilt, _TILT_PM) if motion.lean else 0.0
    return Stood(up, sine, lock, travel_pm, tilts, _pm(pose.lock, _LOCK_PM) if motion.steered else 0.0)


def _travel(
    pose: Pose, axle: Axle, motion: Motion, own: Measure | None, other: Measure | None, sign: float
) -> tuple[float | None, float | None]:
    """Return travel and sine of tilt of an end; ``sign`` +1 left, as a pose's tilt is positive there."""
    here, there = (None if m is None else m.value for m in (own, other))
    tilt = None if pose.tilt is None else sign * float(np.sin(pose.tilt.value))
    if here is None and there is None and not tilt:
        return 0.0, 0.0
    if axle.type == "independent":
        return here, 0.0
    width = None if axle.face_to_face is None else axle.face_to_face.value
    if tilt is None and here is not None and here == there:
        tilt = 0.0
    if tilt is None and here is not None and there is not None and width is not None:
        tilt = (here - there) / width
    if tilt is None or (tilt and (width is None or not motion.lean)):
        return here, None
    width = width or 0.0
    if here is None:
        here = width * tilt / 2.0 if there is None else there + width * tilt
    return here - motion.stop * tilt, tilt


def seen(points: Floats, motion: Motion, q: Floats, share: float, turns: bool) -> Floats:
    """Return places (n, 3) of a thing in the wheel's frame at one pose (DIMS,), its UP the travel in mm."""
    n = len(points)
    turn, out = (float(part[0]) for part in motion.leaned(q[[mo.UP]]))
    zero = np.zeros(n)
    charts = Charts(
        np.broadcast_to(points.T, (4, 3, n)).copy(),
        np.zeros((4, n)),
        np.zeros(n, dtype=bool),
        zero + (share if turns else 1.0),
        np.stack([zero + q[mo.UP], zero, zero, zero]),
        np.zeros((3, n)),
        np.stack([zero + turn, zero, zero + out, zero]) if motion.table else np.zeros((0, n)),
        np.zeros((3, n)),
    )
    at = np.repeat(q[:, None], n, axis=1)
    at[mo.UP] = 0.0
    if not turns:
        at[mo.LOCK] = 0.0
    return np.stack(place(charts, motion, at, ()).point, axis=1)


def _parameters(motion: Motion, how: Stood) -> tuple[Floats, list[tuple[int, float]]]:
    """Return the pose's parameters, ranges at their middle, and by how much each may be off."""
    q = np.zeros(mo.DIMS)
    q[mo.UP], q[mo.TILT], q[mo.LOCK] = how.up or 0.0, how.sine or 0.0, how.lock
    ranges = {
        mo.KPI: motion.inclination,
        mo.CASTER: motion.caster,
        mo.KING: motion.kingpin,
        mo.ROLL: motion.roll_centre,
        mo.SIDE: motion.side,
        mo.FORE: motion.fore,
    }
    off = [(mo.UP, how.up_pm), (mo.TILT, how.tilt_pm), (mo.LOCK, how.lock_pm)]
    for dim, limits in ranges.items():
        q[dim] = (limits.low + limits.high) / 2.0
        off.append((dim, (limits.high - limits.low) / 2.0))
    return q, [(dim, by) for dim, by in off if by]


def posed_items(
    scenario: Scenario, name: str, side: str, motion: Motion, axle: Axle, said: Said
) -> tuple[Item, ...]:
    """Return what was measured at poses on one side, fixed to the wheel; warn where the model disagrees.

    ``axle``: with the scenario's changes made. A pose that the changes keep the axle from is left out; what
    they shift stands shifted.
    """
    before: Axle = getattr(scenario.axle, name)
    out: list[Item] = []
    if not axle.pose:
        return ()
    whole = _unchanged_motion(before, name, side)
    for index, pose in enumerate(axle.pose):
        path = f"axle.{name}.pose.{index}"
        how = stood(pose, before, whole, side)
        if motion.keeps_from((how.lock, how.up), whole):
            said.assume(path, "left out", "the changes keep the axle from standing so")
            continue
        body, frame = shifts(moves_of(scenario.change, name), side)
        q, off = _parameters(whole, how)
        turned = {key: _turned(by, whole, q, how) for key, by in (("body", body), ("frame", frame))}
        lips = [lip for lip in pose.lip if lip.side in ("both", side)]
        strips = [moved(strip, turned["body"]) for strip in lip_strips(lips, np.zeros(3))]
        items = list(lip_parts(strips, f"{name}.lip", 1.0, False, LOW_BESIDE))
        for k, near in enumerate(pose.near):
            if near.side in ("both", side):
                base = _base(near, axle, side)
                fixed = near.moves_with in ("axle", "knuckle")
                shift = np.zeros(3) if fixed else turned["body" if near.moves_with == "body" else "frame"]
                at, id_ = f"{path}.near.{k}", f"{name}.near.{near.slug}"
                items.extend(_near_items(near, base, id_, shift, pose, at, said))
        out.extend(replace(item, stood=(how.lock, how.up)) for item in items)
        if how.known:
            model = _Model(before, side, whole, q, off)
            said.warnings.extend(filter(None, _warnings(scenario.units, path, before.pose[index], model)))
    return tuple(out)


def _unchanged_motion(axle: Axle, name: str, side: str) -> Motion:
    quiet = Said()
    path = f"axle.{name}"
    left, right = motions_of(axle, path, Known(bump_of(axle, path, quiet)), quiet)
    return left if side == "left" else right


def _turned(by: Floats, motion: Motion, q: Floats, how: Stood) -> Floats:
    """Return a shift of body or frame (x, y, z) [mm] as the wheel sees it at a pose."""
    if not by.any() or not how.known:
        return by
    ends = seen(np.stack([np.zeros(3), by]), motion, q, 0.0, True)
    return np.asarray(ends[1] - ends[0])


def _base(near: Near, axle: Axle, side: str) -> Near | None:
    """Return the thing that a pose measured again."""
    return next((n for n in axle.near if n.slug == near.slug and n.side in ("both", side)), None)


def _near_items(
    near: Near, base: Near | None, id_: str, shift: Floats, pose: Pose, path: str, said: Said
) -> Iterator[Item]:
    """Yield a thing measured at a pose: it blocks and asks as the thing itself does."""
    told = near if base is None else base
    usual: Blocks = "nothing" if near.moves_with == "knuckle" else "inboard"
    if told.blocks is None and near.blocks is None:
        said.assume(f"{path}.blocks", usual, WHY_BLOCKS[usual])
    near = replace(near, blocks=told.blocks or near.blocks or usual)
    if near.clearance is None:
        near = replace(near, clearance=told.clearance)
    asked, straight = clearance(near, path, said)
    ahead = pose.lock is None or pose.lock.value == 0.0
    yield from near_parts(near, id_, shift, LOW_BESIDE, straight if ahead else asked)


# --- the model's own word -----------------------------------------------------------------------


@dataclass(frozen=True)
class _Model:
    """What the model says of an end at a pose: its parameters ``q``, and by how much each may be ``off``."""

    axle: Axle
    side: str
    motion: Motion
    q: Floats
    off: list[tuple[int, float]]

    def figures(self, at: Callable[[Floats], Floats]) -> tuple[Floats, Floats]:
        """Return what ``at`` gives at the pose, and how far that may be off."""
        here = at(self.q)
        loose = np.zeros_like(here)
        for dim, by in self.off:
            step = np.zeros(mo.DIMS)
            step[dim] = by
            loose += np.maximum(np.abs(at(self.q + step) - here), np.abs(at(self.q - step) - here))
        return here, loose


def _off_words(units: Units, path: str, what: str, ways: tuple[str, ...], by: Floats, allowed: Floats) -> str:
    """Return the warning of a disagreement [mm], "" where it is within what is allowed."""
    over = np.abs(by) - allowed
    if not len(over) or np.isnan(over).all() or np.nanmax(over) <= 0.0:
        return ""
    worst = int(np.nanargmax(over))
    found, most = (amount(round(float(v), 1), Kind.LENGTH, units) for v in (abs(by[worst]), allowed[worst]))
    return (
        f"{path}: {what} is {found} off {ways[worst]} from where the other measures put it at this pose, "
        f"and their ± allows {most}: one of them is wrong; the tighter is taken"
    )


def _warnings(units: Units, path: str, pose: Pose, model: _Model) -> Iterator[str]:
    for k, lip in enumerate(pose.lip):
        if lip.side in ("both", model.side):
            yield _lip_words(units, f"{path}.lip.{k}", lip, model)
    for k, near in enumerate(pose.near):
        base = _base(near, model.axle, model.side)
        if base is not None and near.side in ("both", model.side):
            yield _near_words(units, f"{path}.near.{k}", near, base, model)


_EDGE = 41


def _lip_words(units: Units, path: str, lip: Lip, model: _Model) -> str:
    """Compare one clock of a lip: radius, skin and flange edge, with the lip measured at ride height."""
    rest = [one for one in model.axle.lip if one.at == "ride" and one.side in ("both", model.side)]
    rest = [one for one in rest if one.radius is not None]
    clock = 0.0 if lip.clock is None else lip.clock.value
    strips = lip_strips(rest, np.zeros(3))
    if not strips or lip.radius is None:
        return ""
    share = np.linspace(0.0, 1.0, _EDGE)[:, None]
    polar = np.concatenate(
        [s.corners[a] * (1 - share) + s.corners[b] * share for a, b in ((0, 1), (2, 3)) for s in strips]
    )
    places = np.stack(
        [polar[:, 2] * np.sin(polar[:, 0]), polar[:, 1], polar[:, 2] * np.cos(polar[:, 0])], axis=1
    )

    def at(q: Floats) -> Floats:
        x, y, z = seen(places, model.motion, q, 0.0, True).T
        out = []
        for half in np.split(np.arange(len(places)), 2):
            clocks, radii = np.arctan2(x[half], z[half]), np.hypot(x[half], z[half])
            order = np.argsort(clocks, kind="stable")
            inside = clocks.min() - _CLOCK <= clock <= clocks.max() + _CLOCK
            row = [np.interp(clock, clocks[order], part[half][order]) for part in (x * 0.0, y)]
            row[0] = np.interp(clock, clocks[order], radii[order])
            out.append(row if inside else [np.nan, np.nan])
        inner, outer = out
        return np.array([outer[0], outer[1], inner[1]])

    here, loose = model.figures(at)
    radius = _pm(lip.radius, QUARTER) + max(_pm(one.radius, QUARTER) for one in rest)
    out, flange = (
        _pm(getattr(lip, key), EIGHTH) + max(_pm(getattr(one, key), EIGHTH) for one in rest)
        for key in ("out", "flange")
    )
    told = [m.value if m is not None else np.nan for m in (lip.radius, lip.out, lip.flange)]
    if not all(one.flange for one in rest):
        told[2] = np.nan
    if not all(one.out for one in rest):
        told[1] = np.nan
    allowed = np.array([radius, out, flange]) + loose
    return _off_words(
        units, path, "the lip", ("in radius", "at the skin", "at the flange"), np.array(told) - here, allowed
    )


def _near_words(units: Units, path: str, near: Near, base: Near, model: _Model) -> str:
    """Compare the middle of a thing with that of the same thing measured at ride height."""
    now, rest = _middle(near), _middle(base)
    if now is None or rest is None:
        return ""
    turns = base.moves_with != "knuckle"
    low, high = {"axle": (1.0, 1.0), "knuckle": (1.0, 1.0), "between": (0.0, 1.0)}.get(
        base.moves_with, (0.0, 0.0)
    )
    if base.share is not None:
        low, high = base.share.low, base.share.high

    def at(q: Floats) -> Floats:
        return np.asarray(seen(rest[None, :], model.motion, q, (low + high) / 2.0, turns)[0])

    here, loose = model.figures(at)
    ends = [seen(rest[None, :], model.motion, model.q, share, turns)[0] for share in (low, high)]
    allowed = _loose(near) + _loose(base) + loose + np.abs(ends[1] - ends[0]) / 2.0
    return _off_words(units, path, near.what, ("fore and aft", "sideways", "in height"), now - here, allowed)


def _middle(near: Near) -> Floats | None:
    """Return the middle of a thing (x, y, z) [mm], None where its measures are not all given."""
    ends = (near.forward_from, near.forward_to, near.in_from, near.in_to, near.up_from, near.up_to)
    if near.shape == "box":
        x = [end.value for end in ends if end is not None]
        return None if len(x) < 6 else np.array([x[0] + x[1], -x[2] - x[3], x[4] + x[5]]) / 2.0
    if near.shape == "bar":
        both = [None if end is None else cartesian(end) for end in (near.start, near.end)]
        return None if both[0] is None or both[1] is None else (both[0] + both[1]) / 2.0
    return cartesian(NearPlace(near.clock, near.radius, near.forward, near.up, near.inboard))


def _loose(near: Near) -> float:
    """Return the ± of a thing's lengths [mm], the greatest of them."""
    own = [near.radius, near.forward, near.up, near.inboard, near.forward_from, near.in_from, near.up_from]
    ends = [
        m for end in (near.start, near.end) if end is not None for m in (end.radius, end.forward, end.inboard)
    ]
    return max((_pm(m, QUARTER) for m in (*own, *ends) if m is not None), default=QUARTER)
