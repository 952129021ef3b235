"""The table of physical changes: what a builder can do to the vehicle, for both axles or for each its own.

What each does stands in ``changes``; here is only what may be written.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, NamedTuple

from wellroom.scenario import spec
from wellroom.scenario.base import Misread, Spec, Tail, Trouble, misread, nearest
from wellroom.scenario.quantity import MEASURE, Quantity
from wellroom.scenario.words import quoted
from wellroom.units import Kind, Measure, Units

_ENDS = ("front", "rear")


@dataclass(frozen=True)
class Each:
    """A change's amount for each axle, internal unit; None where that axle stays as it is."""

    front: Measure | None = None
    rear: Measure | None = None

    def at(self, axle: str) -> float:
        """Return the amount at the axle called front or rear, 0 where it stays as it is."""
        measure: Measure | None = getattr(self, axle)
        return 0.0 if measure is None else measure.value


@dataclass(frozen=True)
class EachFlag:
    """Whether a change is made at each axle."""

    front: bool = False
    rear: bool = False

    def at(self, axle: str) -> bool:
        """Return whether the change is made at the axle called front or rear."""
        return bool(getattr(self, axle))


def _each(raw: dict[str, Any], read: Callable[[Any, Tail], Any]) -> dict[str, Any]:
    """Read a table with a value for front, rear or both."""
    troubles = [
        Trouble((key,), f"the key {quoted(str(key))}", f"front or rear{nearest(str(key), _ENDS)}")
        for key in raw
        if key not in _ENDS
    ]
    values: dict[str, Any] = {}
    for key in _ENDS:
        if key in raw:
            try:
                values[key] = read(raw[key], (key,))
            except Misread as error:
                troubles += error.troubles
    if troubles:
        raise Misread(*troubles)
    return values


@dataclass(frozen=True)
class EachOf(Spec):
    """One amount for both axles, or {front = amount, rear = amount}; a single value, not a range."""

    quantity: Quantity

    @property
    def says(self) -> str:  # type: ignore[override]  # read from the amount's own words
        """What the amount means."""
        return self.quantity.says

    def read(self, raw: Any, units: Units | None) -> Each:
        """Return the amounts by axle."""
        if isinstance(raw, dict) and "value" not in raw:
            if not raw:
                raise misread(raw, f"an amount, or {{front = amount, rear = amount}}: {self.says}")
            return Each(**_each(raw, lambda value, tail: self._one(value, units, tail)))
        both = self._one(raw, units, ())
        return Each(both, both)

    def _one(self, raw: Any, units: Units | None, tail: Tail) -> Measure:
        try:
            measure = self.quantity.read(raw, units)
        except Misread as error:
            raise Misread(*(Trouble((*tail, *t.tail), t.found, t.expected) for t in error.troubles)) from None
        if measure.is_range:
            raise misread(raw, f"one amount, not a range: {self.says}", tail)
        return measure

    def schema(self) -> dict[str, Any]:
        """A measure, or a table with one for each axle."""
        ends = {
            "type": "object",
            "properties": {end: {"anyOf": MEASURE["anyOf"]} for end in _ENDS},
            "additionalProperties": False,
            "minProperties": 1,
        }
        return {"anyOf": [*MEASURE["anyOf"], ends], "description": self.quantity.schema()["description"]}


@dataclass(frozen=True)
class EachFlagOf(Spec):
    """True or false for both axles, or {front = true, rear = false}."""

    says: str

    def read(self, raw: Any, units: Units | None) -> EachFlag:
        """Return whether it is done, by axle."""
        flag = spec.Flag(self.says)
        if isinstance(raw, dict) and raw:

            def one(value: Any, tail: Tail) -> bool:
                if not isinstance(value, bool):
                    raise misread(value, f"true or false: {self.says}", tail)
                return value

            return EachFlag(**_each(raw, one))
        both = bool(flag.read(raw, units))
        return EachFlag(both, both)

    def schema(self) -> dict[str, Any]:
        """A boolean, or a table with one for each axle."""
        flag = {"type": "boolean"}
        ends = {
            "type": "object",
            "properties": dict.fromkeys(_ENDS, flag),
            "additionalProperties": False,
            "minProperties": 1,
        }
        return {"anyOf": [flag, ends], "description": self.says}


class Clocks(NamedTuple):
    """A stretch of the arch, from one clock to another."""

    first: Measure
    last: Measure


def _length(low: float, high: float, says: str) -> EachOf:
    return EachOf(Quantity(Kind.LENGTH, low, high, says))


_CLOCK = "clock, from straight up, positive forward"


@dataclass(frozen=True)
class Change:
    """What is done to the vehicle beside its wheels and tires; today's wheels are judged without it."""

    trim: Annotated[Each | None, _length(0, 200, "cut off the lip: its radius grows by this")] = None
    trim_clocks: Annotated[
        Clocks | None,
        spec.row(Clocks, first=spec.angle(-120, 120, _CLOCK), last=spec.angle(-120, 120, _CLOCK)),
    ] = None
    roll_lip: Annotated[EachFlag | None, EachFlagOf("the return flange is rolled flat to the skin")] = None
    flare: Annotated[
        Each | None,
        _length(0, 300, "a flare stands this far out: it moves what poke is measured from, and no clearance"),
    ] = None
    spring_lift: Annotated[Each | None, _length(0, 400, "body and frame rise on the springs")] = None
    body_lift: Annotated[Each | None, _length(0, 300, "the body rises on the frame")] = None
    stop_spacer: Annotated[Each | None, _length(0, 200, "the bump stop is lowered by this")] = None
    steering_stop: Annotated[
        Each | None, EachOf(Quantity(Kind.ANGLE, 0, 40, "taken off both locks at the steering stops"))
    ] = None
    centre_axle: Annotated[Each | None, _length(-80, 80, "the axle is moved to the right by this")] = None
    axle_forward: Annotated[Each | None, _length(-200, 200, "the axle is moved forward by this")] = None
    adapter: Annotated[
        Each | None, _length(0, 150, "an adapter of this thickness on the hub: the mounting face moves out")
    ] = None
    axle_ratio: Annotated[
        Each | None,
        EachOf(Quantity(Kind.RATIO, 1.5, 12, "the axle is regeared to this; today's stays the reference")),
    ] = None
    shorter_tire: Annotated[
        Each | None, _length(0, 400, "tires at least this much shorter than the stance's tallest")
    ] = None
    narrower_tire: Annotated[
        Each | None, _length(0, 300, "tires at least this much narrower than the stance's widest")
    ] = None
