"""What can't be, seen only when two places of a scenario are compared. Every fault names both places.

Each check is a small public function from a document to problems; ``all_problems`` runs them in this order.
Places are those of the file (``in``, ``from``, ``to``).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

from wellroom.scenario.around import lips_agree, nears_agree
from wellroom.scenario.changes import changes_agree
from wellroom.scenario.compare import amount, axles, circle_mm, is_driven, needed, todays
from wellroom.scenario.faults import Place, Problem
from wellroom.scenario.model import Document
from wellroom.scenario.words import place_text, quoted
from wellroom.units import Kind

_STOPS_APART_MM = 200.0
"""Least distance between the two bump stops of an axle: nearer ones are a slip of the tape."""


def driven_agrees(document: Document) -> Iterator[Problem]:
    """An axle is driven as the vehicle's drive says."""
    other: Place = ("vehicle", "drive")
    for place, axle in axles(document):
        says = is_driven(document, str(place[1]))
        if axle.driven is not None and says is not None and axle.driven != says:
            drive = quoted(str(document.vehicle.drive))
            yield Problem(
                (*place, "driven"),
                str(axle.driven).lower(),
                f"{str(says).lower()}, as {place_text(other)} = {drive} has it",
                (other,),
            )


def steering_agrees(document: Document) -> Iterator[Problem]:
    """An axle that does not steer has no locks."""
    for place, axle in axles(document):
        if axle.steered is False:
            for key in ("lock_inner_wheel", "lock_outer_wheel", "kingpin_to_face"):
                if getattr(axle.steering, key) is not None:
                    other = (*place, "steered")
                    yield Problem(
                        (*place, "steering", key),
                        "a measure of steering",
                        f"none, as {place_text(other)} is false",
                        (other,),
                    )


def suspension_agrees(document: Document) -> Iterator[Problem]:
    """What only a solid axle or only an independent wheel has stands on such a one."""
    for place, axle in axles(document):
        other = (*place, "type")
        why = f"as {place_text(other)} = {quoted(axle.type)}"
        if axle.type == "solid" and axle.travel.table:
            yield Problem((*place, "travel", "table"), "a travel table", f"none, {why}", (other,))
        if axle.type == "independent" and axle.travel.track_bar is not None:
            yield Problem((*place, "travel", "track_bar"), "a track bar", f"none, {why}", (other,))
        for index, near in enumerate(axle.near):
            if axle.type == "independent" and near.moves_with == "axle":
                at = (*place, "near", index, "moves_with")
                yield Problem(at, '"axle"', f"knuckle, frame, body or between, {why}", (other,))
        stop, width = axle.travel.stop_from_face, axle.face_to_face
        if stop is not None and width is not None and width.value - 2.0 * stop.value < _STOPS_APART_MM:
            at, across = (*place, "travel", "stop_from_face"), (*place, "face_to_face")
            apart, told = (amount(v, Kind.LENGTH, document.units) for v in (_STOPS_APART_MM, width.value))
            says = f"the stops at least {apart} apart; {place_text(across)} is {told}"
            yield Problem(at, amount(stop.value, Kind.LENGTH, document.units), says, (across,))
        heights = [row.z.value for row in axle.travel.table]
        for index, (low, high) in enumerate(pairwise(heights)):
            if high <= low:
                at = (*place, "travel", "table", index + 1, 0)
                before = (*place, "travel", "table", index, 0)
                yield Problem(
                    at,
                    amount(high, Kind.LENGTH, document.units),
                    f"more than the row before has, {place_text(before)}",
                    (before,),
                )


def hub_agrees(document: Document) -> Iterator[Problem]:
    """Bolt circle and chord say the same; pilot and protrusion lie within the studs."""
    for place, axle in axles(document):
        hub, at = axle.hub, (*place, "hub")
        circle = circle_mm(hub)
        if hub.bolt_circle is not None and hub.stud_chord is not None and hub.studs is not None:
            told = hub.stud_chord.value / math.sin(math.pi / hub.studs)
            if abs(told - hub.bolt_circle.value) > 1.5:
                others = ((*at, "stud_chord"), (*at, "studs"))
                yield Problem(
                    (*at, "bolt_circle"),
                    amount(hub.bolt_circle.value, Kind.LENGTH, document.units),
                    f"{amount(told, Kind.LENGTH, document.units)}, as {place_text(others[0])} and"
                    f" {place_text(others[1])} have it",
                    others,
                )
        given = (*at, "bolt_circle" if hub.bolt_circle is not None else "stud_chord")
        hangs: tuple[Place, ...] = (given,) if hub.bolt_circle is not None else (given, (*at, "studs"))
        for key in ("pilot_diameter", "protrusion_diameter"):
            measure = getattr(hub, key)
            if measure is not None and circle is not None and measure.value >= circle:
                yield Problem(
                    (*at, key),
                    amount(measure.value, Kind.LENGTH, document.units),
                    f"less than the bolt circle, {amount(circle, Kind.LENGTH, document.units)}"
                    f" ({' and '.join(map(place_text, hangs))})",
                    hangs,
                )
        if hub.protrusion_length is not None and hub.protrusion_diameter is None:
            yield needed((*at, "protrusion_diameter"), (*at, "protrusion_length"))


def brake_agrees(document: Document) -> Iterator[Problem]:
    """A brake is an outline of two corners or more, or a plain drum with all three of its measures."""
    for place, axle in axles(document):
        brake, at = axle.brake, (*place, "brake")
        drum = [key for key in ("outside_diameter", "depth", "from_face") if getattr(brake, key) is not None]
        if brake.outline and drum:
            others = ((*at, "outline"),)
            for key in drum:
                yield Problem((*at, key), "a drum's measure", f"none beside {place_text(others[0])}", others)
        elif drum:
            for key in ("outside_diameter", "depth", "from_face"):
                if key not in drum:
                    yield needed((*at, key), (*at, drum[0]))
        if len(brake.outline) == 1:
            yield Problem((*at, "outline"), "one corner", "two or more: radius and place of each")


def wheels_agree(document: Document) -> Iterator[Problem]:
    """Backspace or inset, within the rim; a tire of the rim's diameter."""
    for at, today in todays(document):
        rim_at = (*at, "rim")
        if today.backspace is not None and today.inset is not None:
            other = (*at, "backspace")
            yield Problem((*at, "inset"), today.inset.text, f"none beside {place_text(other)}", (other,))
        if today.rim is not None:
            width = today.rim.width_in * 25.4
            flanges = [12.7 if part is None else part.value for part in (today.flange_in, today.flange_out)]
            over = width + sum(flanges)
            wide = amount(over, Kind.LENGTH, document.units)
            says = f"{wide} ({place_text(rim_at)} = {today.rim.text} and its flanges)"
            others = (rim_at, (*at, "flange_in"), (*at, "flange_out"))
            if today.backspace is not None and today.backspace.low > over:
                found = amount(today.backspace.value, Kind.LENGTH, document.units)
                yield Problem((*at, "backspace"), found, f"at most the rim's overall width, {says}", others)
            if today.inset is not None and abs(today.inset.value) > over / 2:
                found = amount(today.inset.value, Kind.LENGTH, document.units)
                yield Problem((*at, "inset"), found, f"at most half the rim's overall width, {says}", others)
        if today.tire is not None and today.rim is not None:
            yield from _tire_on_rim(today.tire, today.rim.diameter_in, (*at, "tire"), rim_at)


def _tire_on_rim(tire: str, rim_in: float, at: Place, rim_at: Place) -> Iterator[Problem]:
    from wellroom.trade.marking import parse_marking
    from wellroom.trade.rim import code_mismatch

    wrong = code_mismatch(parse_marking(tire).rim_code, rim_in)
    if wrong:
        yield Problem(
            at, quoted(tire), f"a tire of the rim's diameter ({place_text(rim_at)}): {wrong}", (rim_at,)
        )


def gears_agree(document: Document) -> Iterator[Problem]:
    """The first gear is lower than the top gear."""
    first, top = document.gearing.first_gear, document.gearing.top_gear
    if first is not None and top is not None and first.value < top.value:
        other: Place = ("gearing", "top_gear")
        yield Problem(
            ("gearing", "first_gear"), first.text, f"more than {place_text(other)}, {top.text}", (other,)
        )


def stances_agree(document: Document) -> Iterator[Problem]:
    """What a stance must have or weighs is a wish that it states."""
    for name, stance in document.stance.items():
        at: Place = ("stance", name)
        for index, wish in enumerate(stance.must):
            if not getattr(stance, wish):
                at_wish = (*at, wish)
                found, why = quoted(wish), f"a wish of this stance: {place_text(at_wish)} is not given"
                yield Problem((*at, "must", index), found, why, (at_wish,))
        for wish in stance.weights:
            if not getattr(stance, wish):
                at_wish = (*at, wish)
                why = f"none: {place_text(at_wish)} is not given"
                yield Problem((*at, "weights", wish), "a weight", why, (at_wish,))


CHECKS: tuple[Callable[[Document], Iterator[Problem]], ...] = (
    driven_agrees,
    steering_agrees,
    suspension_agrees,
    hub_agrees,
    brake_agrees,
    lips_agree,
    nears_agree,
    wheels_agree,
    gears_agree,
    stances_agree,
    changes_agree,
)


def all_problems(document: Document) -> list[Problem]:
    """Return what every check finds."""
    return [problem for check in CHECKS for problem in check(document)]
