"""What can be, but is worth a second look before the answer is believed."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from wellroom.scenario.compare import ENDS, amount, axles, sides_meet, todays
from wellroom.scenario.faults import Place
from wellroom.scenario.model import Document, Lip, Side, Today
from wellroom.scenario.words import place_text
from wellroom.units import Kind, shown, unit_name

Doubt = tuple[Place, str]
SIDES: tuple[Side, Side] = ("left", "right")
_NEAR_THE_TOP = 0.2  # rad
_HAND_MM = 100.0


def locks_in_order(document: Document) -> Iterator[Doubt]:
    """The wheel on the inside of a turn steers farther than the one on the outside."""
    for place, axle in axles(document):
        inner, outer = axle.steering.lock_inner_wheel, axle.steering.lock_outer_wheel
        if inner is not None and outer is not None and inner.high < outer.low:
            inside, outside = (amount(lock.value, Kind.ANGLE, document.units) for lock in (inner, outer))
            other = place_text((*place, "steering", "lock_outer_wheel"))
            yield (
                (*place, "steering", "lock_inner_wheel"),
                f"the inner wheel's lock, {inside}, is below the outer's, {outside} ({other});"
                " on most vehicles it is the larger: were the two swapped?",
            )


def tire_load_kg(today: Today) -> float | None:
    """Return what one of today's tires carries, kg: as stated, else by the load index of its marking."""
    if today.tire_load is not None:
        return today.tire_load.value
    if today.tire is None:
        return None
    from wellroom.trade.load import UnknownRating, load_index_kg
    from wellroom.trade.marking import parse_marking

    index = parse_marking(today.tire).load_index
    if index is None:
        return None
    try:
        return float(load_index_kg(float(index)))
    except UnknownRating:
        return None


def loads_believable(document: Document) -> Iterator[Doubt]:
    """An axle's load is believable beside what its tires carry, where they or the file say that."""
    for at, today in todays(document):
        each = tire_load_kg(today)
        if each is not None:
            other = place_text((*at, "tire_load" if today.tire_load is not None else "tire"))
            yield from load_doubts(document, str(at[1]), (each, each), other)


def load_doubts(document: Document, end: str, each: tuple[float, float], source: str) -> Iterator[Doubt]:
    """An axle's load is not above what its two tires carry, nor below a quarter of it.

    ``each``: the least and the most that one of them carries, kg, and the ``source`` of that.
    """
    load = (document.axle.front if end == ENDS[0] else document.axle.rear).load
    if load is None:
        return
    place: Place = ("axle", end, "load")
    says = amount(load.value, Kind.MASS, document.units)
    least, most = (
        f"{shown(2 * kg, Kind.MASS, document.units):.0f} {unit_name(Kind.MASS, document.units)}"
        for kg in each
    )
    if load.value > 2 * each[1]:
        yield (
            place,
            f"{says} is above the {most} that today's two tires carry ({source});"
            " is it the axle's own load, and in the right unit?",
        )
    elif load.value < each[0] / 2:
        yield (
            place,
            f"{says} is below a quarter of the {least} that today's two tires carry ({source});"
            " was kg typed as lb?",
        )


def bodies_agree(document: Document) -> Iterator[Doubt]:
    """Body width = face to face + the lips' outs, within a hand's width."""
    width = document.vehicle.body_width
    if width is None:
        return
    for place, axle in axles(document):
        if axle.face_to_face is None:
            continue
        left, right = (_out_on(axle.lip, side) for side in SIDES)
        if left is None or right is None:
            continue
        told = axle.face_to_face.value + left + right
        if abs(told - width.value) > _HAND_MM:
            says, sum_says = (amount(value, Kind.LENGTH, document.units) for value in (width.value, told))
            yield (
                ("vehicle", "body_width"),
                f"{says}, but {place_text(place)}.face_to_face and the outs of its lips add up to {sum_says}",
            )


def _out_on(lips: tuple[Lip, ...], side: Side) -> float | None:
    """Return how far out the lip stands at the top of one side's arch, mm."""
    found = [
        lip.out.value
        for lip in lips
        if lip.out is not None
        and sides_meet(lip.side, side)
        and (lip.clock is None or abs(lip.clock.value) < _NEAR_THE_TOP)
    ]
    return max(found, default=None)


def tires_clear_today(document: Document) -> Iterator[Doubt]:
    """Today's tire is not taller than the room above the axle at rest."""
    from wellroom.trade.marking import UnknownSize, design_size, parse_marking

    lips = {place[1]: (place, axle.lip) for place, axle in axles(document)}
    for at, today in todays(document):
        if today.tire_diameter is not None:
            radius, other = today.tire_diameter.value / 2, (*at, "tire_diameter")
        elif today.tire is not None:
            try:
                radius, other = design_size(parse_marking(today.tire)).od_mm / 2, (*at, "tire")
            except UnknownSize:
                continue
        else:
            continue
        place, all_lips = lips[at[1]]
        for index, lip in enumerate(all_lips):
            if lip.at == "ride" and lip.radius is not None and lip.radius.high < radius:
                lip_says, tire_says = (
                    amount(value, Kind.LENGTH, document.units) for value in (lip.radius.value, radius)
                )
                yield (
                    (*place, "lip", index, "radius"),
                    f"{lip_says} is less than the radius of today's tire, {tire_says} ({place_text(other)})",
                )


def measures_are_used(document: Document) -> Iterator[Doubt]:
    """What only a solid axle has is not used on an independent one."""
    for place, axle in axles(document):
        for key in ("tilt", "stop_from_face", "roll_centre_height"):
            if axle.type == "independent" and getattr(axle.travel, key) is not None:
                yield (*place, "travel", key), "is not used: an independent axle has none"


NOTICES: tuple[Callable[[Document], Iterator[Doubt]], ...] = (
    locks_in_order,
    loads_believable,
    bodies_agree,
    tires_clear_today,
    measures_are_used,
)


def all_doubts(document: Document) -> list[Doubt]:
    """Return everything that is worth a second look."""
    return [doubt for notice in NOTICES for doubt in notice(document)]
