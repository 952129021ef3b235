"""What geometry takes, from a checked scenario: items, motion, brake and body edge of each end of an axle.

Also what can be checked at all, and what is missing for the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wellroom.geometry.items import (
    Blocks,
    Floats,
    Item,
    Surface,
    bar_surfaces,
    box_surfaces,
    lip_surfaces,
    moved,
    point_surfaces,
    polar_point,
)
from wellroom.geometry.motion import Motion, Range
from wellroom.scenario.changes import Moves, changed_axle, moves_of, spaced
from wellroom.scenario.model import Assumption, Axle, Lip, Near, Place, Scenario
from wellroom.trade.motion import bump_mm
from wellroom.units import Measure

INCH = 25.4
LIP_CLEARANCE, LIP_CLEARANCE_MUD = 0.5 * INCH, 1.0 * INCH
BRAKE_CLEARANCE = 0.25 * INCH
DISC_CLEARANCE = 3.0
_USUAL = "the usual clearance: common practice, no source"
_BY_WORD = (
    (("hose",), 1.0),
    (("tie-rod", "tie rod", "drag link", "link", "arm", "joint"), 0.375),
    (("leaf", "spring"), 0.75),
)
_STRAIGHT_LEAF = 1.0
_TOP = np.deg2rad(15.0)
_SINGLE = ("travel.stop_from_face", "face_to_face")
LOW_BESIDE = -150.0
"""Half the radius of the smallest tires, below the axle [mm]: below it the loaded tire's bulge counts."""
_BLOCKS = {"inboard": Blocks.INBOARD, "outboard": Blocks.OUTBOARD, "nothing": Blocks.NOTHING}


@dataclass(frozen=True)
class Edge:
    """The body's edge at one clock at ride height: clock [rad], lip radius [mm], skin outboard of the face
    [mm].
    """

    clock: float
    radius: float
    out: float | None


@dataclass(frozen=True)
class End:
    """One end of an axle: ``side`` is left, right, or both where the two are alike."""

    side: str
    items: tuple[Item, ...]
    edges: tuple[Edge, ...]

    @property
    def body_out(self) -> float | None:
        """The skin at the top of the arch, outboard of the face [mm], None where it was not measured."""
        near = [edge for edge in self.edges if abs(edge.clock) <= _TOP and edge.out is not None]
        return min(near, key=lambda edge: abs(edge.clock)).out if near else None

    @property
    def lip_radius(self) -> float | None:
        """The least lip radius at ride height over the clocks [mm], None where none was measured."""
        return min((edge.radius for edge in self.edges), default=None)


@dataclass(frozen=True)
class Room:
    """Everything an axle's combinations are judged against.

    ``brake``: corners (radius, place y outboard) [mm], empty where not measured. ``checked`` and ``missing``
    hold (what, missing measure) without the axle's name. Places and travel are those of the old ride height;
    ``lift`` [mm] is how much higher body and frame ride now.
    """

    name: str
    axle: Axle
    ends: tuple[End, ...]
    motion: Motion
    brake: tuple[tuple[float, float], ...]
    checked: tuple[str, ...]
    missing: tuple[tuple[str, str], ...]
    assumptions: tuple[Assumption, ...]
    lift: float = 0.0


def build_room(scenario: Scenario, name: str) -> Room:
    """Return the room of the axle called ``name`` (front or rear), the scenario's changes made."""
    axle = changed_axle(scenario, name)
    moves = moves_of(scenario.change, name)
    path = f"axle.{name}"
    notes: list[Assumption] = []
    missing: list[tuple[str, str]] = []
    checked: list[str] = []
    bump = _bump(axle, path, notes)
    motion = _motion(axle, path, spaced(axle, bump, moves.spacer), checked, missing)
    ends = [End(side, *_near_side(axle, name, side, bump, moves, path, notes)) for side in ("left", "right")]
    if _alike(ends[0], ends[1]):
        ends = [replace(ends[0], side="both")]
    _what_is_checked(axle, path, bump, checked, missing)
    brake = _brake(axle)
    if brake:
        notes.append(Assumption(f"{path}.brake", "1/4 in to the barrel, 3 mm to the disc", _USUAL))
    order = ("mounting", "brake", "ride_height", "bump", "tilt", "lock", "load")
    return Room(
        name,
        axle,
        tuple(ends),
        motion,
        brake,
        tuple(what for what in order if what in checked),
        tuple(missing),
        tuple(dict.fromkeys(notes)),
        moves.lift,
    )


def _value(measure: Measure | None) -> float | None:
    return None if measure is None else measure.value


def _range(measure: Measure | None) -> Range:
    return Range(0.0, 0.0) if measure is None else Range(measure.low, measure.high)


def _bump(axle: Axle, path: str, notes: list[Assumption]) -> float | None:
    """Return wheel travel to full bump at the stop (solid) or wheel [mm], None where it can't be known."""
    travel = axle.travel
    if travel.stop_gap is not None and travel.stop_rubber is not None and travel.stop_ratio is not None:
        return float(bump_mm(travel.stop_gap.high, travel.stop_rubber.high, travel.stop_ratio.high))
    at = {"ride": [], "stop": []}  # type: dict[str, list[float]]
    for lip in axle.lip:
        if lip.radius is not None and lip.clock is not None and abs(lip.clock.value) <= _TOP:
            at[lip.at].append(lip.radius.high if lip.at == "ride" else lip.radius.low)
    if not (at["ride"] and at["stop"]):
        return None
    bump = max(at["ride"]) - min(at["stop"])
    why = "from the lip straight up at rest, less the same at the stop"
    notes.append(Assumption(f"{path}.travel", f"bump {bump / INCH:.2f} in", why))
    return bump if bump >= 0.0 else None


def _motion(
    axle: Axle, path: str, bump: float | None, checked: list[str], missing: list[tuple[str, str]]
) -> Motion:
    travel, steering = axle.travel, axle.steering
    droop = 0.0 if travel.droop is None else travel.droop.high
    if travel.droop is None:
        missing.append(("droop", f"{path}.travel.droop"))
    motion = Motion(Range(-droop, bump or 0.0))
    if axle.type == "solid":
        need = {
            "travel.tilt": travel.tilt,
            "travel.stop_from_face": travel.stop_from_face,
            "face_to_face": axle.face_to_face,
            "travel.droop": travel.droop,
        }
        lacking = [f"{path}.{key}" for key, measure in need.items() if measure is None]
        if bump is None:
            lacking.append(f"{path}.travel.stop_gap")
        loose = [f"{path}.{key}" for key in _SINGLE if (m := need[key]) is not None and m.is_range]
        if lacking or loose:
            words = [f"{key} is given as a range, which the tilt can't be reckoned with" for key in loose]
            missing.append(("tilt", ", ".join(lacking + words)))
        else:
            assert travel.tilt is not None
            assert travel.stop_from_face is not None
            assert axle.face_to_face is not None
            span = axle.face_to_face.value - 2.0 * travel.stop_from_face.value
            if span > 0.0:
                checked.append("tilt")
                motion = replace(
                    motion,
                    span=span,
                    stop=travel.stop_from_face.value,
                    max_tilt=travel.tilt.high,
                    roll_centre=_range(travel.roll_centre_height),
                )
    if axle.steered:
        need = {
            "lock_inner_wheel": steering.lock_inner_wheel,
            "lock_outer_wheel": steering.lock_outer_wheel,
            "kingpin_to_face": steering.kingpin_to_face,
        }
        lacking = [f"{path}.steering.{key}" for key, measure in need.items() if measure is None]
        if lacking:
            missing.append(("lock", ", ".join(lacking)))
        else:
            assert steering.lock_inner_wheel is not None
            assert steering.lock_outer_wheel is not None
            checked.append("lock")
            motion = replace(
                motion,
                lock=Range(-steering.lock_outer_wheel.high, steering.lock_inner_wheel.high),
                kingpin=_range(steering.kingpin_to_face),
                inclination=_range(steering.kingpin_inclination),
                caster=_range(steering.caster),
            )
    later = {
        "track_bar": travel.track_bar,
        "sideways_at_bump": travel.sideways_at_bump,
        "side_play": travel.side_play,
        "fore_aft": travel.fore_aft,
        "table": travel.table or None,
    }
    missing.extend(
        (key, f"{path}.travel.{key} is given but not yet part of the motion") for key in later if later[key]
    )
    if axle.pose:
        missing.append(("pose", f"{path}.pose is given but not yet part of the motion"))
    return motion


def _what_is_checked(
    axle: Axle, path: str, bump: float | None, checked: list[str], missing: list[tuple[str, str]]
) -> None:
    """Fill in the parts of an answer that need no motion, and bump."""
    hub, brake = axle.hub, axle.brake
    circle = hub.bolt_circle or hub.stud_chord
    parts: dict[str, dict[str, object]] = {
        "mounting": {
            "hub.studs": hub.studs,
            "hub.stud_chord": circle,
            "hub.pilot_diameter": hub.pilot_diameter,
        },
        "brake": {"brake": brake.outline or (brake.outside_diameter and brake.depth and brake.from_face)},
        "ride_height": {"lip": any(lip.at == "ride" and lip.radius for lip in axle.lip) or None},
        "bump": {"travel.stop_gap": bump},
        "load": {"load": axle.load},
    }
    for what, need in parts.items():
        lacking = [f"{path}.{key}" for key, value in need.items() if not value and value != 0.0]
        if lacking:
            missing.append((what, ", ".join(lacking)))
        else:
            checked.append(what)
    if any(lip.flange is None for lip in axle.lip):
        missing.append(("behind_the_lip", f"{path}.lip.flange"))


def _alike(left: End, right: End) -> bool:
    if left.edges != right.edges or len(left.items) != len(right.items):
        return False
    return all(
        replace(a, surfaces=()) == replace(b, surfaces=())
        and len(a.surfaces) == len(b.surfaces)
        and all(
            np.array_equal(x.corners, y.corners) and x.thickness == y.thickness
            for x, y in zip(a.surfaces, b.surfaces, strict=True)
        )
        for a, b in zip(left.items, right.items, strict=True)
    )


def _near_side(
    axle: Axle, name: str, side: str, bump: float | None, moves: Moves, path: str, notes: list[Assumption]
) -> tuple[tuple[Item, ...], tuple[Edge, ...]]:
    frame = np.array([moves.ahead, moves.right if side == "right" else -moves.right, 0.0])
    body = frame + np.array([0.0, 0.0, moves.body])
    lips = [lip for lip in axle.lip if lip.side in ("both", side) and lip.radius is not None]
    items = list(_lip_items(lips, f"{name}.lip", bump, body))
    if items:
        notes.append(Assumption(f"{path}.lip", "1/2 in over the tire, 1 in over a mud tire", _USUAL))
        if len({lip.clock.value for lip in lips if lip.clock}) > 1:
            why = "common practice, no source"
            notes.append(
                Assumption(f"{path}.lip", "between clocks the lip runs evenly in radius and place", why)
            )
    for index, near in enumerate(axle.near):
        if near.side in ("both", side):
            shift = body if near.moves_with == "body" else frame
            items.extend(
                _near_items(near, f"{name}.near.{near.slug}", bump, shift, f"{path}.near.{index}", notes)
            )
    edges = (
        _edge(lip, body + np.array([0.0, moves.flare, moves.lift]))
        for lip in lips
        if lip.at == "ride" and lip.radius is not None and lip.clock is not None
    )
    return tuple(items), tuple(sorted(edges, key=lambda edge: edge.clock))


def _edge(lip: Lip, shift: Floats) -> Edge:
    assert lip.radius is not None
    clock, radius = _polar(_clock(lip), lip.radius.low, shift)
    return Edge(clock, radius, None if lip.out is None else lip.out.value + float(shift[1]))


def _polar(clock: float, radius: float, shift: Floats) -> tuple[float, float]:
    """Return the clock [rad] and radius [mm] of a place after a shift (x, y, z) [mm]."""
    if not shift[0] and not shift[2]:
        return clock, radius
    ahead, up = radius * np.sin(clock) + shift[0], radius * np.cos(clock) + shift[2]
    return float(np.arctan2(ahead, up)), float(np.hypot(up, ahead))


def _clock(lip: Lip) -> float:
    return lip.clock.value if lip.clock is not None else 0.0


def _lip_items(lips: Sequence[Lip], id_: str, bump: float | None, shift: Floats) -> Iterable[Item]:
    surfaces: list[Surface] = []
    for at in ("ride", "stop"):
        if at == "stop" and bump is None:
            continue
        rise = bump if at == "stop" and bump is not None else 0.0
        rows = []
        for lip in lips:
            reach = lip.flange or lip.out
            if lip.at != at or lip.radius is None or reach is None:
                continue
            out = lip.out or reach
            inner, outer = min(reach.low, out.low) + float(shift[1]), out.high + float(shift[1])
            for at_clock in sorted({lip.clock.low, lip.clock.high} if lip.clock else {0.0}):
                clock, radius = _polar(at_clock, lip.radius.low, shift + np.array([0.0, 0.0, rise]))
                rows.append((clock, radius, inner, outer))
        if rows:
            surfaces.extend(lip_surfaces(*map(list, zip(*sorted(rows), strict=True))))
    for low, some in _by_height(surfaces, LOW_BESIDE + (bump or 0.0)):
        clearances = (LIP_CLEARANCE, LIP_CLEARANCE_MUD)
        part = ".low_part" if low else ""
        yield Item(id_ + part, some, 0.0, True, Blocks.OUTBOARD, clearances, low=low)


_PART = {False: "", True: "_low_part"}


def _by_height(surfaces: Iterable[Surface], cut: float) -> Iterable[tuple[bool, tuple[Surface, ...]]]:
    """Yield what stands above a height [mm], and what reaches below it, for which the tire's bulge counts."""
    listed = list(surfaces)
    for low in (False, True):
        some = tuple(surface for surface in listed if (_lowest(surface) < cut) is low)
        if some:
            yield low, some


def _lowest(surface: Surface) -> float:
    c = surface.corners
    heights = c[:, 2] * np.cos(c[:, 0]) if surface.arc else c[:, 2]
    return float(heights.min()) - surface.thickness


def _near_items(
    near: Near, id_: str, bump: float | None, shift: Floats, path: str, notes: list[Assumption]
) -> Iterable[Item]:
    blocks = _BLOCKS[near.blocks or "inboard"]
    shares: tuple[float, ...] = {"axle": (1.0,), "knuckle": (1.0,), "between": (0.0, 1.0)}.get(
        near.moves_with, (0.0,)
    )
    if near.share is not None and near.moves_with == "between":
        shares = tuple(dict.fromkeys((near.share.low, near.share.high)))
    elif near.moves_with == "between":
        why = "taken both as if fixed to the frame and as if fixed to the axle, as no share is given"
        notes.append(Assumption(f"{path}.share", "0 and 1", why))
    asked, straight = _clearance(near, path, notes)
    turns = near.moves_with != "knuckle"
    for share in shares:
        cut = LOW_BESIDE + (1.0 - share) * (bump or 0.0) if turns else -np.inf
        for solid in _near_solids(near, cut):
            placed = tuple(moved(surface, (1.0 - share) * shift) for surface in solid)
            low = min(map(_lowest, placed)) < cut
            item = Item(id_ + _PART[low], placed, share, turns, blocks, (asked,), low=low)
            yield item
            if straight > asked:
                yield replace(item, clearances=(straight,), straight_only=True)


def _near_solids(near: Near, cut: float) -> Iterable[tuple[Surface, ...]]:
    """Yield a thing's surfaces; a box that reaches below a height [mm] and above it as two boxes."""
    surfaces = _near_surfaces(near)
    if near.shape != "box" or not surfaces:
        yield from (surfaces,) if surfaces else ()
        return
    corners = np.concatenate([surface.corners for surface in surfaces])
    low, high = corners.min(axis=0), corners.max(axis=0)
    if not low[2] < cut < high[2]:
        yield surfaces
        return
    middle = np.array([low[0], low[1], cut])
    yield box_surfaces(middle, high)
    yield box_surfaces(low, np.array([high[0], high[1], cut]))


def _clearance(near: Near, path: str, notes: list[Assumption]) -> tuple[float, float]:
    """Return the clearance asked through the motion and with the wheels straight ahead [mm]."""
    if near.clearance is not None:
        return near.clearance.high, near.clearance.high
    words = near.what.lower()
    inches = next((size for keys, size in _BY_WORD if any(key in words for key in keys)), 0.5)
    leaf = "leaf" in words
    text = f"{inches:g} in" + (f", {_STRAIGHT_LEAF:g} in straight ahead" if leaf else "")
    notes.append(Assumption(f"{path}.clearance", text, _USUAL))
    return inches * INCH, (_STRAIGHT_LEAF if leaf else inches) * INCH


def _near_surfaces(near: Near) -> tuple[Surface, ...]:
    if near.shape == "box":
        ends = (near.forward_from, near.forward_to, near.up_from, near.up_to, near.in_from, near.in_to)
        if any(end is None for end in ends):
            return ()
        rear, front, low, high, outer, inner = (end for end in ends if end is not None)
        return box_surfaces(
            np.array([rear.low, -inner.high, low.low]), np.array([front.high, -outer.low, high.high])
        )
    if near.shape == "bar":
        if near.start is None or near.end is None or near.diameter is None:
            return ()
        start, end = _cartesian(near.start), _cartesian(near.end)
        if start is None or end is None:
            return ()
        loose = 2.0 * max(_looseness(near.start), _looseness(near.end))
        return bar_surfaces(start, end, near.diameter.high + loose)
    place = Place(near.clock, near.radius, near.forward, near.up, near.inboard)
    if near.inboard is None:
        return ()
    if near.clock is not None and near.radius is not None:
        clock, radius, inner = near.clock, near.radius, near.inboard
        return point_surfaces(
            np.array([clock.value, -inner.high, radius.low]),
            np.array([clock.value, -inner.low, radius.high]),
            (clock.high - clock.low) / 2.0,
        )
    at = _cartesian(place)
    if at is None or near.forward is None or near.up is None:
        return ()
    return (
        box_surfaces(
            np.array([near.forward.low, -near.inboard.high, near.up.low]),
            np.array([near.forward.high, -near.inboard.low, near.up.high]),
        )
        if any(m.is_range for m in (near.forward, near.up, near.inboard))
        else bar_surfaces(at, at, 0.0)
    )


def _cartesian(place: Place) -> np.ndarray[tuple[int], np.dtype[np.float64]] | None:
    if place.inboard is None:
        return None
    if place.clock is not None and place.radius is not None:
        return polar_point(place.clock.value, place.radius.value, -place.inboard.value)
    if place.forward is not None and place.up is not None:
        return np.array([place.forward.value, -place.inboard.value, place.up.value])
    return None


def _looseness(place: Place) -> float:
    """Return how far a place may be from the middle of its ranges [mm]."""

    def half(measure: Measure | None) -> float:
        return 0.0 if measure is None else (measure.high - measure.low) / 2.0

    round_ = half(place.clock) * (place.radius.high if place.radius else 0.0)
    parts = (round_, half(place.radius), half(place.forward), half(place.up), half(place.inboard))
    return float(np.hypot.reduce(np.array(parts)))


def _brake(axle: Axle) -> tuple[tuple[float, float], ...]:
    """Return the brake's corners (radius, place outboard) [mm], the farthest of each range."""
    brake = axle.brake
    if brake.outline:
        return tuple(
            (corner.radius.high, -place)
            for corner in brake.outline
            for place in dict.fromkeys((corner.place.low, corner.place.high))
        )
    if brake.outside_diameter is None or brake.depth is None or brake.from_face is None:
        return ()
    radius = brake.outside_diameter.high / 2.0
    outer, inner = -brake.from_face.low, -(brake.from_face.high + brake.depth.high)
    return ((radius, outer), (radius, inner))
