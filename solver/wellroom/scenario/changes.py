"""What each physical change does: to the measures of an axle, and to where things stand about its wheels.

Lengths in mm, angles in rad. Effects are common practice and plane geometry, no source:

============== ==================================================================================
trim t         lip radius + t at the clocks that are trimmed
roll_lip       the lip's innermost edge is its skin
flare f        what poke is measured from + f; no clearance
spring_lift L  at rest body and frame stand L higher; bump + L, droop - L; at the stop nothing changes
body_lift L    what moves with the body stands L higher, at rest and at the stop
stop_spacer t  bump - t (times the stop's ratio)
steering_stop  both locks less this
centre_axle e  body and frame stand e further out on the left, e further in on the right
axle_forward e body and frame stand e further rearward
adapter t      the mounting face stands t further out: everything measured from it, t further in
============== ==================================================================================

A spring lift needs no sweep of its own: measured from the old ride height body and frame keep their places,
and the wheel its travel. Only what is said about ride height changes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from wellroom.scenario.change import Change, Each
from wellroom.scenario.compare import ENDS, amount, axles
from wellroom.scenario.faults import Place, Problem
from wellroom.scenario.model import Axle, Document, Lip, Near, Scenario
from wellroom.scenario.model import Place as NearPlace
from wellroom.scenario.words import place_text
from wellroom.units import Kind, Measure, Units

LIFTING = ("trim", "spring_lift", "body_lift", "stop_spacer")
"""Changes that call for the after-lift list."""
_CLOCK_HAIR = 1e-6


@dataclass(frozen=True)
class Moves:
    """Where things about an axle's wheels stand after the changes, from where they were measured [mm].

    ``ahead``, ``right``: of body and frame; ``body``: rise of the body alone at any travel; ``lift``: rise of
    body and frame at ride height; ``spacer``: under the bump stop; ``flare``: beyond the body's edge.
    """

    ahead: float = 0.0
    right: float = 0.0
    body: float = 0.0
    lift: float = 0.0
    spacer: float = 0.0
    flare: float = 0.0


def _at(each: Each | None, axle: str) -> float:
    return 0.0 if each is None else each.at(axle)


def moves_of(change: Change, axle: str) -> Moves:
    """Return how things move about the wheels of the axle called front or rear."""
    return Moves(
        ahead=-_at(change.axle_forward, axle),
        right=-_at(change.centre_axle, axle),
        body=_at(change.body_lift, axle),
        lift=_at(change.spring_lift, axle),
        spacer=_at(change.stop_spacer, axle),
        flare=_at(change.flare, axle),
    )


def unchanged(scenario: Scenario) -> Scenario:
    """Return the scenario of the vehicle as it is, without its changes."""
    return scenario if scenario.change == Change() else replace(scenario, change=Change())


def lifted(scenario: Scenario) -> bool:
    """Return whether a change calls for the after-lift list."""
    return any(_at(getattr(scenario.change, name), axle) for name in LIFTING for axle in ENDS)


def spaced(axle: Axle, bump: float | None, spacer: float) -> float | None:
    """Return the bump travel [mm, >= 0] that a spacer under the stop leaves, None where it is not known."""
    if bump is None or spacer == 0.0:
        return bump
    ratio = axle.travel.stop_ratio
    return max(bump - spacer * (1.0 if ratio is None else ratio.high), 0.0)


def shifted(measure: Measure | None, by: float) -> Measure | None:
    """Return a measure moved by an amount in its internal unit; its ± and how it was taken stay."""
    if measure is None or by == 0.0:
        return measure
    return replace(measure, value=measure.value + by, low=measure.low + by, high=measure.high + by)


def changed_axle(scenario: Scenario, name: str) -> Axle:
    """Return the axle called front or rear with the changes that alter its measures: trim, rolled lip,
    steering stop, adapter.
    """
    axle: Axle = getattr(scenario.axle, name)
    change = scenario.change
    if change == Change():
        return axle
    trim = _at(change.trim, name)
    rolled = change.roll_lip is not None and change.roll_lip.at(name)
    stop = _at(change.steering_stop, name) if axle.steered else 0.0

    def lips(given: tuple[Lip, ...]) -> tuple[Lip, ...]:
        return tuple(_lip(lip, trim if _trimmed(lip, change) else 0.0, rolled) for lip in given)

    axle = replace(
        axle,
        lip=lips(axle.lip),
        pose=tuple(replace(pose, lip=lips(pose.lip)) for pose in axle.pose),
        steering=replace(
            axle.steering,
            lock_inner_wheel=shifted(axle.steering.lock_inner_wheel, -stop),
            lock_outer_wheel=shifted(axle.steering.lock_outer_wheel, -stop),
        ),
    )
    thick = _at(change.adapter, name)
    return _on_adapter(axle, thick) if thick else axle


def _trimmed(lip: Lip, change: Change) -> bool:
    if change.trim_clocks is None:
        return True
    clock = 0.0 if lip.clock is None else lip.clock.value
    first, last = change.trim_clocks
    return first.value - _CLOCK_HAIR <= clock <= last.value + _CLOCK_HAIR


def _lip(lip: Lip, trim: float, rolled: bool) -> Lip:
    flange = lip.out if rolled and lip.out is not None else lip.flange
    return replace(lip, radius=shifted(lip.radius, trim), flange=flange)


def _on_adapter(axle: Axle, thick: float) -> Axle:
    """Return an axle measured from a mounting face that stands further out [mm]."""
    brake, steering, travel, hub = axle.brake, axle.steering, axle.travel, axle.hub
    protrusion = shifted(hub.protrusion_length, -thick)
    outline = tuple(corner._replace(place=_moved(corner.place, thick)) for corner in brake.outline)
    return replace(
        axle,
        face_to_face=shifted(axle.face_to_face, 2.0 * thick),
        hub=replace(hub, protrusion_length=_not_below_zero(protrusion)),
        brake=replace(brake, outline=outline, from_face=shifted(brake.from_face, thick)),
        travel=replace(travel, stop_from_face=shifted(travel.stop_from_face, thick)),
        steering=replace(steering, kingpin_to_face=shifted(steering.kingpin_to_face, thick)),
        lip=tuple(_lip_in(lip, thick) for lip in axle.lip),
        near=tuple(_near(near, thick) for near in axle.near),
        pose=tuple(
            replace(
                pose,
                lip=tuple(_lip_in(lip, thick) for lip in pose.lip),
                near=tuple(_near(near, thick) for near in pose.near),
            )
            for pose in axle.pose
        ),
    )


def _lip_in(lip: Lip, thick: float) -> Lip:
    return replace(lip, out=shifted(lip.out, -thick), flange=shifted(lip.flange, -thick))


def _moved(measure: Measure, by: float) -> Measure:
    moved = shifted(measure, by)
    assert moved is not None
    return moved


def _not_below_zero(measure: Measure | None) -> Measure | None:
    if measure is None or measure.low >= 0.0:
        return measure
    return replace(
        measure, value=max(measure.value, 0.0), low=max(measure.low, 0.0), high=max(measure.high, 0.0)
    )


def _near(near: Near, thick: float) -> Near:
    def further_in(place: NearPlace | None) -> NearPlace | None:
        return None if place is None else replace(place, inboard=shifted(place.inboard, thick))

    return replace(
        near,
        inboard=shifted(near.inboard, thick),
        in_from=shifted(near.in_from, thick),
        in_to=shifted(near.in_to, thick),
        start=further_in(near.start),
        end=further_in(near.end),
    )


# --- caps ---------------------------------------------------------------------------------------


def changes_agree(document: Document) -> Iterator[Problem]:
    """Each change keeps within the cap that the builder set, and within what the axle has."""
    yield from _caps(document)
    yield from _clocks(document)
    for place, axle in axles(document):
        yield from _of_axle(document, str(place[1]), place, axle)


def _caps(document: Document) -> Iterator[Problem]:
    limits = document.limits
    caps = (
        ("trim", limits.trim_max, "trim_max"),
        ("spring_lift", limits.lift_max, "lift_max"),
        ("body_lift", limits.lift_max, "lift_max"),
    )
    for name, cap, key in caps:
        most = max(_at(getattr(document.change, name), axle) for axle in ENDS)
        if cap is not None and most > cap.value + 1e-9:
            other: Place = ("limits", key)
            says = f"at most {place_text(other)}, {amount(cap.value, Kind.LENGTH, document.units)}"
            yield Problem(("change", name), amount(most, Kind.LENGTH, document.units), says, (other,))


def _clocks(document: Document) -> Iterator[Problem]:
    clocks = document.change.trim_clocks
    at: Place = ("change", "trim_clocks")
    if clocks is None:
        return
    if clocks.first.value > clocks.last.value:
        says = amount(clocks.first.value, Kind.ANGLE, document.units)
        yield Problem(at, f"{says} first", "the lower clock first")
    if document.change.trim is None:
        yield Problem(("change", "trim"), "nothing", f"how much is cut, as {place_text(at)} is given", (at,))


def _of_axle(document: Document, name: str, place: Place, axle: Axle) -> Iterator[Problem]:
    change, limits, units = document.change, document.limits, document.units
    lift, spacer = _at(change.spring_lift, name), _at(change.stop_spacer, name)
    travel, steering = axle.travel, axle.steering
    if lift and travel.droop is not None and lift > travel.droop.high + 1e-9:
        other = (*place, "travel", "droop")
        says = f"at most {place_text(other)}, {amount(travel.droop.high, Kind.LENGTH, units)}"
        yield Problem(("change", "spring_lift"), amount(lift, Kind.LENGTH, units), says, (other,))
    if spacer and travel.stop_gap is not None and spacer > travel.stop_gap.high + 1e-9:
        other = (*place, "travel", "stop_gap")
        says = f"at most {place_text(other)}, {amount(travel.stop_gap.high, Kind.LENGTH, units)}"
        yield Problem(("change", "stop_spacer"), amount(spacer, Kind.LENGTH, units), says, (other,))
    elif spacer and limits.up_travel_min is not None and travel.stop_gap and travel.stop_rubber:
        ratio = 1.0 if travel.stop_ratio is None else travel.stop_ratio.high
        left = (travel.stop_gap.high + travel.stop_rubber.high / 2.0 - spacer) * ratio + lift
        if left < limits.up_travel_min.value - 1e-9:
            other = ("limits", "up_travel_min")
            least = amount(limits.up_travel_min.value, Kind.LENGTH, units)
            says = f"an amount that leaves {place_text(other)}, {least}, of up-travel; it leaves "
            says += f"{amount(left, Kind.LENGTH, units)} by {place_text((*place, 'travel'))}"
            hangs: tuple[Place, ...] = (
                other,
                *((*place, "travel", key) for key in ("stop_gap", "stop_rubber", "stop_ratio")),
            )
            yield Problem(("change", "stop_spacer"), amount(spacer, Kind.LENGTH, units), says, hangs)
    stop, lock = _at(change.steering_stop, name), steering.lock_inner_wheel
    if stop and lock is not None:
        least_lock = 0.0 if limits.lock_min is None else limits.lock_min.value
        if lock.value - stop < least_lock - 1e-9:
            other = ("limits", "lock_min")
            says = f"an amount that leaves {place_text(other)}, {amount(least_lock, Kind.ANGLE, units)}, of "
            says += f"{place_text((*place, 'steering', 'lock_inner_wheel'))}"
            hangs = (other, (*place, "steering", "lock_inner_wheel"))
            yield Problem(("change", "steering_stop"), amount(stop, Kind.ANGLE, units), says, hangs)
    outer = steering.lock_outer_wheel
    if stop and lock is not None and outer is not None and stop >= min(lock.low, outer.low):
        at = (*place, "steering", "lock_outer_wheel")
        yield Problem(
            ("change", "steering_stop"),
            amount(stop, Kind.ANGLE, units),
            f"less than both locks, {place_text(at)} among them",
            (at,),
        )


# --- in words -----------------------------------------------------------------------------------


def told(scenario: Scenario) -> tuple[str, ...]:
    """Return what the changes do, one sentence each, in the scenario's units."""
    return tuple(words for axle in ENDS for words in _told(scenario, axle))


def _told(scenario: Scenario, name: str) -> Iterator[str]:
    change, units = scenario.change, scenario.units
    axle: Axle = getattr(scenario.axle, name)

    def say(key: str, effect: str, kind: Kind = Kind.LENGTH) -> Iterator[str]:
        value = _at(getattr(change, key), name)
        if value:
            yield f"change.{key} at the {name}, {amount(value, kind, units)}: {effect}"

    where = "at every clock" if change.trim_clocks is None else "at the clocks named"
    yield from say("trim", f"lip radius grows by this {where}; seam, door gap, cab corner; no bare edge")
    if change.roll_lip is not None and change.roll_lip.at(name):
        yield f"change.roll_lip at the {name}: the lip's innermost edge is the skin; heat, paint, seam"
    yield from say("flare", "poke is measured from the flare; no clearance until metal is cut; overall width")
    yield from say("spring_lift", _lift_words(axle, _at(change.spring_lift, name), units))
    yield from say("body_lift", "body and lip rise at rest and at the stop, frame and stops stay")
    yield from say("stop_spacer", "the wheel stops this much lower; leave 3 in (76 mm) of up-travel")
    if axle.steered:
        yield from say("steering_stop", "off both locks; the turning circle grows", Kind.ANGLE)
    yield from say("centre_axle", "the axle moves right (negative: left); bar and perches follow")
    yield from say("axle_forward", "the axle moves forward (negative: rearward); driveshaft and drag link")
    yield from say("adapter", "the mounting face moves out; its load, studs, bore and pilot are not judged")
    yield from say(
        "axle_ratio",
        "the axle is regeared to this; all driven axles together, carrier break; no price is counted for it",
        Kind.RATIO,
    )
    yield from say("shorter_tire", "tires left out from this much below the stance's tallest")
    yield from say("narrower_tire", "tires left out from this much below the stance's widest")


def _lift_words(axle: Axle, lift: float, units: Units) -> str:
    words = ["body and frame rise at rest, full bump stays where it was"]
    travel = axle.travel
    if travel.stop_gap is not None:
        gap = amount(travel.stop_gap.value + lift, Kind.LENGTH, units)
        words.append(f"stop gap to {gap}")
    if travel.droop is not None:
        words.append(f"droop to {amount(travel.droop.value - lift, Kind.LENGTH, units)}")
    return ", ".join(words)
