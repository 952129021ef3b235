"""What can't be about the lips and the things near a tire, seen when their measures are compared."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wellroom.scenario.compare import amount, axles, sides_meet
from wellroom.scenario.faults import Place, Problem
from wellroom.scenario.model import Document, Lip, Near
from wellroom.scenario.words import place_text, quoted
from wellroom.units import Kind, Units


def lips_agree(document: Document) -> Iterator[Problem]:
    """Each lip has a radius, its flange is not outboard of its skin, and no two say the same place."""
    for place, axle in axles(document):
        for index, lip in enumerate(axle.lip):
            at = (*place, "lip", index)
            if lip.radius is None:
                yield Problem(
                    (*at, "radius"), "nothing", "the key radius: axle centre to the lip's lower edge"
                )
            if lip.out is not None and lip.flange is not None and lip.flange.low > lip.out.high:
                yield Problem(
                    (*at, "flange"),
                    amount(lip.flange.value, Kind.LENGTH, document.units),
                    f"not more than {place_text((*at, 'out'))},"
                    f" {amount(lip.out.value, Kind.LENGTH, document.units)}: the flange turns inboard",
                    ((*at, "out"),),
                )
            for earlier, before in enumerate(axle.lip[:index]):
                yield from _two_lips(document.units, (*place, "lip", earlier), before, at, lip)


def _two_lips(units: Units, was: Place, before: Lip, at: Place, lip: Lip) -> Iterator[Problem]:
    clocks = [0.0 if measure is None else measure.value for measure in (before.clock, lip.clock)]
    if abs(clocks[0] - clocks[1]) > math.radians(0.5) or not sides_meet(before.side, lip.side):
        return
    hang_on = (was, *((*lip_at, key) for lip_at in (was, at) for key in ("clock", "side", "at")))
    if before.at == lip.at:
        clock = amount(clocks[1], Kind.ANGLE, units)
        found = f"{clock}, side {lip.side}, at {lip.at}"
        side_at, at_at = place_text((*at, "side")), place_text((*at, "at"))
        expected = f"another than {place_text((*was, 'clock'))}, or another {side_at} or {at_at}"
        yield Problem((*at, "clock"), found, expected, hang_on)
        return
    ride, stop, ride_at, stop_at = (before, lip, was, at) if lip.at == "stop" else (lip, before, at, was)
    if ride.radius is not None and stop.radius is not None and stop.radius.low > ride.radius.high:
        yield Problem(
            (*stop_at, "radius"),
            amount(stop.radius.value, Kind.LENGTH, units),
            f"at most {place_text((*ride_at, 'radius'))}, {amount(ride.radius.value, Kind.LENGTH, units)}:"
            " at the stop the axle stands nearer to the lip",
            ((*ride_at, "radius"), *hang_on),
        )


def nears_agree(document: Document) -> Iterator[Problem]:
    """Each thing near the tire has the measures of its shape, and a name of its own on its side."""
    for place, axle in axles(document):
        for index, near in enumerate(axle.near):
            at = (*place, "near", index)
            yield from _shape(near, at)
            if near.share is not None and near.moves_with != "between":
                other = (*at, "moves_with")
                why = f"none, as {place_text(other)} = {quoted(near.moves_with)} leaves no share open"
                yield Problem((*at, "share"), near.share.text, why, (other,))
            if not near.slug:
                yield Problem((*at, "what"), quoted(near.what), "a name with a letter or a digit in it")
            for earlier, before in enumerate(axle.near[:index]):
                if before.slug == near.slug and sides_meet(before.side, near.side):
                    was = (*place, "near", earlier, "what")
                    yield Problem(
                        (*at, "what"),
                        quoted(near.what),
                        f"another name: {place_text(was)} is {quoted(before.what)} on the same side",
                        (was, (*at, "side")),
                    )


_POLAR, _SQUARE = ("clock", "radius", "in"), ("forward", "up", "in")
_OF_SHAPE = {
    "point": ("clock", "radius", "forward", "up", "in"),
    "bar": ("from", "to", "diameter"),
    "box": ("forward_from", "forward_to", "up_from", "up_to", "in_from", "in_to"),
}
_FIELD = {"in": "inboard", "from": "start", "to": "end"}


def _has(holder: object, key: str) -> bool:
    return getattr(holder, _FIELD.get(key, key)) is not None


def _shape(near: Near, at: Place) -> Iterator[Problem]:
    other = (*at, "shape")
    for shape, keys in _OF_SHAPE.items():
        for key in keys:
            if shape != near.shape and _has(near, key):
                yield Problem(
                    (*at, key),
                    f"a measure of a {shape}",
                    f"{', '.join(_OF_SHAPE[near.shape])}, as {place_text(other)} = {quoted(near.shape)}",
                    (other,),
                )
    if near.shape == "point":
        yield from _where(near, at)
        return
    for key in _OF_SHAPE[near.shape]:
        if not _has(near, key):
            yield Problem(
                (*at, key), "nothing", f"the key {key}, as {place_text(other)} = {near.shape}", (other,)
            )
    if near.shape == "bar":
        for key, end in (("from", near.start), ("to", near.end)):
            if end is not None:
                yield from _where(end, (*at, key))
        return
    for low_key in ("forward_from", "up_from", "in_from"):
        high_key = low_key.replace("_from", "_to")
        low, high = getattr(near, low_key), getattr(near, high_key)
        if low is not None and high is not None and low.low > high.high:
            yield Problem(
                (*at, low_key), low.text, f"at most {place_text((*at, high_key))}", ((*at, high_key),)
            )


def _where(holder: object, at: Place) -> Iterator[Problem]:
    polar = [key for key in ("clock", "radius") if _has(holder, key)]
    square = [key for key in ("forward", "up") if _has(holder, key)]
    if polar and square:
        other = (*at, polar[0])
        for key in square:
            yield Problem((*at, key), "a second way to say it", f"none beside {place_text(other)}", (other,))
        return
    for key in _SQUARE if square else _POLAR:
        if not _has(holder, key):
            yield Problem((*at, key), "nothing", f"the key {key}: where it is ({', '.join(_POLAR)})", (at,))
