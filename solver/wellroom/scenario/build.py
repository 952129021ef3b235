"""What geometry takes, from a checked scenario: items, motion, brake and body edge of each end of an axle.

Also what can be checked at all, and what is missing for the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from wellroom.geometry.items import Item
from wellroom.geometry.motion import Motion
from wellroom.scenario.changes import changed_axle, moves_of
from wellroom.scenario.model import Assumption, Axle, Lip, Scenario, Today
from wellroom.scenario.motions import SIDES, TOP, Known, bump_of, motions_of
from wellroom.scenario.nearby import USUAL, Edge, near_side
from wellroom.scenario.posed import posed_items
from wellroom.scenario.said import Said
from wellroom.units import MM_PER_IN

BRAKE_CLEARANCE = 0.25 * MM_PER_IN
DISC_CLEARANCE = 3.0
CORNER = np.radians(15.0)
"""A lip within this of straight up, either way [rad], is the top of its arch."""


@dataclass(frozen=True)
class End:
    """One end of an axle: ``side`` is left, right, or both where the two are alike in all that follows."""

    side: str
    items: tuple[Item, ...]
    edges: tuple[Edge, ...]
    motion: Motion

    @property
    def body_out(self) -> float | None:
        """The skin at the top of the arch, outboard of the face [mm], None where it was not measured."""
        near = [edge for edge in self.edges if abs(edge.clock) <= TOP and edge.out is not None]
        return min(near, key=lambda edge: abs(edge.clock)).out if near else None

    @property
    def lip_radius(self) -> float | None:
        """The least lip radius at ride height over the clocks [mm], None where none was measured."""
        return min((edge.radius for edge in self.edges), default=None)


@dataclass(frozen=True)
class Room:
    """Everything an axle's combinations are judged against.

    ``brake``: corners (radius, place y outboard) [mm], empty where not measured. ``checked`` and ``missing``
    hold (what, missing measure) without the axle's name; ``warnings`` are sentences. Places and travel are
    those of the old ride height; ``lift`` [mm] is how much higher body and frame ride now.
    """

    name: str
    axle: Axle
    ends: tuple[End, ...]
    brake: tuple[tuple[float, float], ...]
    checked: tuple[str, ...]
    missing: tuple[tuple[str, str], ...]
    assumptions: tuple[Assumption, ...]
    lift: float = 0.0
    warnings: tuple[str, ...] = ()

    @property
    def motion(self) -> Motion:
        """The motion of the first end: travel, tilt and lock are alike at both, an axle's sway is not."""
        return self.ends[0].motion


def build_room(scenario: Scenario, name: str) -> Room:
    """Return the room of the axle called ``name`` (front or rear), the scenario's changes made."""
    axle = changed_axle(scenario, name)
    moves = moves_of(scenario.change, name)
    path = f"axle.{name}"
    said = Said()
    bump = bump_of(axle, path, said)
    adapter = scenario.change.adapter
    known = Known(bump, moves.spacer, 0.0 if adapter is None else adapter.at(name), scenario.units)
    motions = motions_of(axle, path, known, said)
    ends = []
    for side, motion in zip(SIDES, motions, strict=True):
        items, edges = near_side(axle, name, side, bump, motion, moves, said)
        posed = posed_items(scenario, name, side, motion, axle, said)
        ends.append(End(side, items + posed, edges, motion))
    if _alike(ends[0], ends[1]):
        ends = [replace(ends[0], side="both")]
    _what_is_checked(axle, path, bump, said)
    if scenario.limits.scrub_change is not None and axle.steered:
        _scrub_is_checked(axle, name, getattr(scenario.now, name), said)
    brake = _brake(axle)
    if brake:
        said.assume(f"{path}.brake", "1/4 in to the barrel, 3 mm to the disc", USUAL)
    order = ("mounting", "brake", "ride_height", "bump", "tilt", "lock", "load")
    return Room(
        name,
        axle,
        tuple(ends),
        brake,
        tuple(what for what in order if what in said.checked),
        tuple(said.missing),
        tuple(dict.fromkeys(said.notes)),
        moves.lift,
        tuple(dict.fromkeys(said.warnings)),
    )


def _what_is_checked(axle: Axle, path: str, bump: float | None, said: Said) -> None:
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
        "bump": {} if bump is not None else dict.fromkeys(_lacking_bump(axle)),
        "load": {"load": axle.load},
    }
    for what, need in parts.items():
        lacking = [f"{path}.{key}" for key, value in need.items() if not value and value != 0.0]
        if lacking:
            said.missing.append((what, ", ".join(lacking)))
        else:
            said.checked.append(what)
    blind = [n for n, lip in enumerate(axle.lip) if lip.radius and lip.flange is None and lip.out is None]
    if blind:
        outs = ", ".join(f"{path}.lip.{n}.out" for n in blind)
        said.missing.append(("lip", f"{outs}: without its place a lip is met by no tire"))
    if any(lip.flange is None for lip in axle.lip):
        said.missing.append(("behind_the_lip", f"{path}.lip.flange"))
    tops = [side for side in SIDES if _top_alone([lip for lip in axle.lip if lip.side in ("both", side)])]
    if tops:
        where = "" if len(tops) == len(SIDES) else f" on the {tops[0]}"
        lack = f"only the top of the arch was measured{where}, no {path}.lip beyond 15 degrees of clock"
        said.missing.append(("lip_corners", f"{lack} from straight up"))


def _scrub_is_checked(axle: Axle, name: str, now: Today | None, said: Said) -> None:
    """Say what the limit on the change of scrub radius lacks."""
    need: dict[str, object] = {f"axle.{name}.steering.kingpin_inclination": axle.steering.kingpin_inclination}
    wheel = None if now is None else now.backspace or now.inset
    for key, given in (("tire", now and now.tire), ("rim", now and now.rim), ("backspace", wheel)):
        need[f"now.{name}.{key}"] = given
    lacking = [key for key, given in need.items() if given is None]
    if lacking:
        said.missing.append(("scrub_change", ", ".join(lacking)))


def _lacking_bump(axle: Axle) -> list[str]:
    keys = ("stop_gap", "stop_rubber", "stop_ratio")
    return [f"travel.{key}" for key in keys if getattr(axle.travel, key) is None]


def _top_alone(lips: list[Lip]) -> bool:
    """Whether a lip was measured, and nowhere but at the top of its arch."""
    known = [lip.clock.value if lip.clock else 0.0 for lip in lips if lip.radius is not None]
    return bool(known) and all(abs(clock) <= CORNER for clock in known)


def _alike(left: End, right: End) -> bool:
    if left.edges != right.edges or left.motion != right.motion or len(left.items) != len(right.items):
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
