"""By how much each measure of an axle moves a margin: the contact's derivatives, without a new sweep.

Where a margin is least, what is free to move stands still: a measure moves the margin only by what it does to
the contact's own point. So one measure is moved a hair, the same place of the same thing is put at the same
share of each range of the motion, and its distance to the section is taken again (the envelope theorem of
calculus; checked against whole sweeps in the tests).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import numpy as np

from wellroom.geometry.contacts import outline, signed_distance
from wellroom.geometry.items import Floats, Item
from wellroom.geometry.motion import chart_points, place
from wellroom.geometry.roots import roots_of
from wellroom.scenario.build import Room, build_room
from wellroom.scenario.changes import shifted
from wellroom.scenario.faults import Place
from wellroom.scenario.model import Scenario
from wellroom.scenario.quantity import Quantity
from wellroom.scenario.tables import spec_at
from wellroom.scenario.taken import taken
from wellroom.scenario.words import place_of
from wellroom.search import results
from wellroom.search.candidates import Asked, Parts
from wellroom.search.clear import Thing, thing_margin
from wellroom.search.rims import Rims
from wellroom.search.tires import Tires
from wellroom.units import Kind, Measure

_STEPS = {Kind.LENGTH: (1e-3, 1.0), Kind.ANGLE: (1e-6, math.radians(1.0)), Kind.RATIO: (1e-5, 1.0)}
"""By kind: how far a measure is moved in its internal unit, and what it is told per: mm, degree, 1."""
_PARTS = ("face_to_face", "travel", "steering", "lip", "near")
_LEAST = 0.01
"""Derivatives below this are left out."""
_NEAR = 1e-6


def with_leverage(
    scenario: Scenario, asked: Asked, tire: Tires, rim: Rims, backspace: float, fit: results.AxleFit
) -> results.AxleFit:
    """Return a judged axle whose contacts say by how much each measure moves their margin.

    mm of margin gained for a mm, a degree or 1 more of a measure, by its path in the scenario.
    """
    spots = dict(_spots(asked, tire, rim, backspace))
    by: dict[str, dict[str, float]] = {id_: {} for id_ in spots}
    name, axle = asked.name, getattr(scenario.axle, asked.name)
    for path, measure in taken(axle):
        at = place_of(path)
        spec = spec_at(("axle", name, *at)) if at[0] in _PARTS else None
        if not isinstance(spec, Quantity) or spec.kind not in _STEPS:
            continue
        step, unit = _STEPS[spec.kind]
        moved = replace(scenario.axle, **{name: _put(axle, at, shifted(measure, step))})
        room = build_room(replace(scenario, axle=moved), name)
        for id_, spot in spots.items():
            slope = (spot.margin(room) - spot.here) / step * unit
            if abs(slope) >= _LEAST:
                by[id_][f"axle.{name}.{path}"] = slope
    checks = tuple(
        replace(check, contact=replace(check.contact, by=by[check.id]))
        if check.contact is not None and check.id in by
        else check
        for check in fit.checks
    )
    return replace(fit, checks=checks)


def _put(owner: Any, at: Place, value: Measure | None) -> Any:
    """Return a part of the scenario with the value at a place below it put in its stead."""
    if not at:
        return value
    if isinstance(owner, tuple):
        return tuple(_put(entry, at[1:], value) if k == at[0] else entry for k, entry in enumerate(owner))
    name = next(f.name for f in fields(owner) if at[0] in (f.name, f.metadata.get("alias")))
    return replace(owner, **{name: _put(getattr(owner, name), at[1:], value)})


class _Spot:
    """The place of one contact: which item of which end, which of its charts, where in each range."""

    def __init__(
        self,
        room: Room,
        thing: Thing,
        item: Item,
        cell: tuple[Floats, Floats],
        tread: int,
        outlined: tuple[Floats, Floats],
    ) -> None:
        """``cell``: pose and place of the contact; ``outlined``: the section (r, y) [mm] it is nearest to."""
        self.end, self.id, self.tread, self.outline = thing.end, item.id, tread, outlined
        self.number = next(k for k, other in enumerate(thing.items) if other is item)
        pose, at = cell
        roots, work = roots_of(item, room.ends[thing.end].motion)
        low, width = work.centre - work.half, 2.0 * work.half
        inside = (pose[:, None] >= low - _NEAR) & (pose[:, None] <= low + width + _NEAR)
        points = np.stack(chart_points(roots.charts, np.repeat(pose[:, None], len(work.root), axis=1))[0])
        off = np.where(inside.all(axis=0), np.abs(points - at[:, None]).max(axis=0), np.inf)
        self.root = int(np.argmin(off))
        low, width = low[:, self.root], width[:, self.root]
        self.share = np.divide(pose - low, width, out=np.zeros_like(pose), where=width > 0.0)
        self.here = self.margin(room)

    def margin(self, room: Room) -> float:
        """Return the margin [mm] of the place in a room."""
        end = room.ends[min(self.end, len(room.ends) - 1)]
        items, motion = [item for item in end.items if item.id == self.id], end.motion
        item = items[min(self.number, len(items) - 1)]
        roots, work = roots_of(item, motion)
        pick = np.array([min(self.root, len(work.root) - 1)])
        low, width = work.centre[:, pick] - work.half[:, pick], 2.0 * work.half[:, pick]
        x, y, z = place(roots.charts.take(pick), motion, low + self.share[:, None] * width, ()).point
        distance = float(signed_distance(np.hypot(x, z), y, *self.outline)[0])
        clearance = item.clearances[min(self.tread, len(item.clearances) - 1)]
        return distance - float(roots.thickness[pick[0]]) - clearance


def _spots(asked: Asked, tire: Tires, rim: Rims, backspace: float) -> Iterator[tuple[str, _Spot]]:
    """Yield the place of each thing's contact."""
    parts, shift = Parts(asked, tire, rim), float(rim.to_centre[0]) - backspace
    tread, room = int(tire.kind[0] == "mud"), asked.swept.room
    for thing in asked.swept.things:
        if thing is asked.swept.brake:
            continue
        section = parts.of(thing)
        found, item, cells = thing_margin(asked.swept, thing, tread, section, shift)
        if found.cell < 0:
            continue
        cell = cells.pose[found.cell], cells.at[found.cell]
        yield thing.id, _Spot(room, thing, item, cell, tread, outline(section, 0, shift, item.blocks))
