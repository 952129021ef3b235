"""What the comparing checks share: walking a document, and saying amounts in the file's units."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wellroom.scenario.faults import Place, Problem
from wellroom.scenario.model import Axle, Document, Hub, Side, Today
from wellroom.scenario.words import place_text
from wellroom.units import Kind, Units, shown, unit_name

ENDS = ("front", "rear")
_DRIVEN = {
    "4x4_part_time": ENDS,
    "4x4_full_time": ENDS,
    "rear": ("rear",),
    "front": ("front",),
}


def axles(document: Document) -> Iterator[tuple[Place, Axle]]:
    """Yield each axle with its place."""
    yield ("axle", "front"), document.axle.front
    yield ("axle", "rear"), document.axle.rear


def todays(document: Document) -> Iterator[tuple[Place, Today]]:
    """Yield what each axle runs on today, where it is given."""
    for end, today in zip(ENDS, (document.now.front, document.now.rear), strict=True):
        if today is not None:
            yield ("now", end), today


def is_driven(document: Document, end: str) -> bool | None:
    """Return whether the vehicle's drive turns an axle; None where no drive is given."""
    drive = document.vehicle.drive
    return None if drive is None else end in _DRIVEN[drive]


def circle_mm(hub: Hub) -> float | None:
    """Return the bolt circle, mm: as given, or chord / sin(pi / studs); None where neither can be had."""
    if hub.bolt_circle is not None:
        return hub.bolt_circle.value
    if hub.stud_chord is not None and hub.studs is not None:
        return hub.stud_chord.value / math.sin(math.pi / hub.studs)
    return None


def amount(value: float, kind: Kind, units: Units) -> str:
    """Return a value in the file's units, to three decimals at most.

    >>> amount(203.2, Kind.LENGTH, "in")
    '8 in'
    """
    text = f"{shown(value, kind, units):.3f}".rstrip("0").rstrip(".")
    return f"{text} {unit_name(kind, units)}".rstrip()


def sides_meet(one: Side, other: Side) -> bool:
    """Return whether two sides have one in common."""
    return one == other or "both" in (one, other)


def needed(missing: Place, because: Place) -> Problem:
    """Return the problem of a key that another key is no use without."""
    return Problem(
        missing, "nothing", f"a value, as {place_text(because)} says nothing without it", (because,)
    )
