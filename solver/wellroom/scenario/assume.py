"""What the trade usually assumes where the file is silent: filled in, and listed with its reason.

Only what is the same on nearly every vehicle is assumed. What must be measured (bump, lock, load, a lip, a
hub) is never filled in: without it the answer says what it did not check. All reasons are common practice
from memory, without a published source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from wellroom.scenario.compare import ENDS, is_driven
from wellroom.scenario.faults import Place
from wellroom.scenario.model import Assumption, Axle, Blocks, Document, Lip, Near, Steering, Today, Travel
from wellroom.scenario.words import place_text
from wellroom.units import Kind, Measure, Units, parse

WHY_BLOCKS: dict[Blocks, str] = {
    "inboard": (
        'what stands inboard of it is taken as closed too; write blocks = "nothing" if a wheel may pass on '
        'its inboard side as well, "outboard" if what is closed lies outboard of it'
    ),
    "nothing": (
        "what is fastened to the knuckle may stand inside the wheel, so nothing beyond it is closed; "
        'write blocks = "inboard" or "outboard" if no wheel can pass there'
    ),
}


@dataclass
class _Notes:
    """The assumptions so far."""

    units: Units
    made: list[Assumption]

    def take(self, place: Place, text: str, kind: Kind, why: str) -> Measure:
        """Return the assumed measure and list it."""
        self.made.append(Assumption(place_text(place), text, why))
        return parse(text, kind, self.units)

    def note(self, place: Place, text: str, why: str) -> None:
        """List an assumption that is no measure."""
        self.made.append(Assumption(place_text(place), text, why))


def complete(document: Document) -> tuple[Document, tuple[Assumption, ...]]:
    """Return the document with what is usually assumed filled in, and the list of it."""
    notes = _Notes(document.units, [])
    front = _axle(document, "front", document.axle.front, notes)
    rear = _axle(document, "rear", document.axle.rear, notes)
    now = replace(
        document.now,
        front=_today(("now", "front"), document.now.front, notes),
        rear=_today(("now", "rear"), document.now.rear, notes),
    )
    limits = document.limits
    if limits.backspace_step is None:
        why = "wheel builders work to 1/8 in: common practice"
        step = notes.take(("limits", "backspace_step"), "1/8 in", Kind.LENGTH, why)
        limits = replace(limits, backspace_step=step)
    whole = replace(document, axle=replace(document.axle, front=front, rear=rear), now=now, limits=limits)
    return whole, tuple(notes.made)


def _axle(document: Document, end: Literal["front", "rear"], axle: Axle, notes: _Notes) -> Axle:
    place: Place = ("axle", end)
    driven = axle.driven
    if driven is None:
        driven = bool(is_driven(document, end))
    steered = axle.steered
    if steered is None:
        steered = end == ENDS[0] or axle.steering.lock_inner_wheel is not None
        if end == ENDS[0]:
            notes.note((*place, "steered"), "true", "the front wheels steer")
    return replace(
        axle,
        driven=driven,
        steered=steered,
        travel=_travel(place, axle, notes),
        steering=_steering(place, axle, notes) if steered else axle.steering,
        lip=tuple(_lip((*place, "lip", index), lip, notes) for index, lip in enumerate(axle.lip)),
        near=tuple(_near((*place, "near", index), near, notes) for index, near in enumerate(axle.near)),
    )


def _travel(place: Place, axle: Axle, notes: _Notes) -> Travel:
    travel, at = axle.travel, (*place, "travel")
    if travel.side_play is None:
        text, what = _side_play(axle)
        why = f"usual sideways play of {what}, either way: common practice; measuring it may gain room"
        travel = replace(travel, side_play=notes.take((*at, "side_play"), text, Kind.LENGTH, why))
    if axle.type != "solid":
        return travel
    if travel.stop_gap is not None and travel.stop_ratio is None:
        why = "on a solid axle the wheel moves as far as the axle does at its stop"
        travel = replace(travel, stop_ratio=notes.take((*at, "stop_ratio"), "1", Kind.RATIO, why))
    if travel.tilt is not None and travel.roll_centre_height is None:
        why = "the axle is taken to roll about its own centre; the real roll centre was not measured"
        height = notes.take((*at, "roll_centre_height"), f"0 {notes.units}", Kind.LENGTH, why)
        travel = replace(travel, roll_centre_height=height)
    return travel


def _side_play(axle: Axle) -> tuple[str, str]:
    """Return the usual sideways play, and of what."""
    if axle.type == "independent":
        return "1/16 in", "an independent wheel"
    names = " ".join(near.what.lower() for near in axle.near)
    if "coil" in names and "leaf" not in names:
        return "1/8 in", "a solid axle on coils"
    return "1/4 in", "a solid axle on leaves" if "leaf" in names else "a solid axle"


def _steering(place: Place, axle: Axle, notes: _Notes) -> Steering:
    steering, at = axle.steering, (*place, "steering")
    if steering.lock_inner_wheel is None and steering.lock_outer_wheel is None:
        return steering
    why = "the usual range of steered axles, not measured; measuring it gains room"
    if steering.kingpin_inclination is None:
        inclination = notes.take((*at, "kingpin_inclination"), "0 to 12 deg", Kind.ANGLE, why)
        steering = replace(steering, kingpin_inclination=inclination)
    if steering.caster is None:
        steering = replace(steering, caster=notes.take((*at, "caster"), "0 to 8 deg", Kind.ANGLE, why))
    return steering


def _lip(place: Place, lip: Lip, notes: _Notes) -> Lip:
    if lip.clock is not None:
        return lip
    why = "a lip without a clock is taken to be straight above the axle's centre"
    return replace(lip, clock=notes.take((*place, "clock"), "0 deg", Kind.ANGLE, why))


def _near(place: Place, near: Near, notes: _Notes) -> Near:
    """Fill in what a thing blocks: nothing on the knuckle, else inboard."""
    if near.blocks is not None:
        return near
    blocks: Blocks = "nothing" if near.moves_with == "knuckle" else "inboard"
    notes.note((*place, "blocks"), blocks, WHY_BLOCKS[blocks])
    return replace(near, blocks=blocks)


def _today(place: Place, today: Today | None, notes: _Notes) -> Today | None:
    if today is None or today.rim is None:
        return today
    why = "overall width is taken as nominal + 1 in: common practice"
    text = "1/2 in" if notes.units == "in" else "12.7 mm"
    if today.flange_in is None:
        today = replace(today, flange_in=notes.take((*place, "flange_in"), text, Kind.LENGTH, why))
    if today.flange_out is None:
        today = replace(today, flange_out=notes.take((*place, "flange_out"), text, Kind.LENGTH, why))
    return today
