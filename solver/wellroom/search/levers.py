"""What a builder can change so that something fits: physical changes, and limits of their own making.

Each lever has a cost, which is how hard it is on the vehicle (common practice, no source; 0 is nothing), a
step that it is done in, and the most of it: the builder's own cap under ``limits``, or what the trade usually
stops at, which the answer lists as assumed. What it can relax is a fact of the model, held by a test.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from wellroom.scenario.build import build_room
from wellroom.scenario.change import Each, EachFlag
from wellroom.scenario.changes import shifted
from wellroom.scenario.model import Axle, Scenario
from wellroom.scenario.quantity import Quantity
from wellroom.scenario.tables import spec_at
from wellroom.search import results
from wellroom.search.wishes import RATIO, STEPS
from wellroom.units import KG_PER_LB, MM_PER_IN, Kind, Measure, Units, shown

DROPPED = math.inf
"""The amount of a limit that is given up altogether."""
_MOST: dict[str, tuple[float, Kind, str]] = {
    "trim_max": (2.0 * MM_PER_IN, Kind.LENGTH, "as much as most fenders take before door gap and cab corner"),
    "lift_max": (3.0 * MM_PER_IN, Kind.LENGTH, "more asks for other shafts, links and steering joints"),
    "lock_min": (math.radians(25.0), Kind.ANGLE, "less is hard to turn with"),
    "up_travel_min": (3.0 * MM_PER_IN, Kind.LENGTH, "a rough road asks for it"),
}
"""Caps taken where the builder states none: common practice, no source."""
_FLARE, _CENTRE, _FORWARD = 4.0 * MM_PER_IN, 0.5 * MM_PER_IN, 1.0 * MM_PER_IN
_ADAPTER = (1.0 * MM_PER_IN, 4.0 * MM_PER_IN)
_HAIR = 1e-9
_WISH = "it counts in the score again, as any other wish"
_REQUIRED = {RATIO: "gearing"}
"""Requirements that are called otherwise than their wish."""
NAMES = (
    *("trim", "roll_lip", "stop_spacer", "steering_stop", "body_lift", "spring_lift", "flare", "centre_axle"),
    *("axle_forward", "adapter", "budget", "mass", "overall_width", "scrub_change", "load_reserve"),
    *("same_wheel_all_round", *STEPS),
)
"""All that a lever may be called."""
_OF_BOTH = frozenset({"budget", "mass", "same_wheel", "gearing"})
"""Requirements of front and rear together, which no axle has by itself."""


@dataclass(frozen=True)
class Lever:
    """One thing that may be changed, at one axle or (``axle`` None) on the whole vehicle.

    ``amounts``: in the internal unit of ``kind``, ascending by size. Kind None: it is done or not, or a limit
    is given up. ``steady``: more of it never takes a fit away; else each amount has to be tried. ``alone``:
    no two such levers are pulled at one axle. ``relaxes``: keys of the requirements that it can relax.
    ``follows``: what else it asks for.
    """

    name: str
    axle: results.Axle | None
    path: str
    kind: Kind | None
    cost: int
    amounts: tuple[float, ...]
    relaxes: frozenset[str]
    follows: str
    steady: bool = True
    alone: bool = False
    cap: str | None = None

    @property
    def most(self) -> float:
        """The greatest amount."""
        return self.amounts[-1]

    @property
    def bodily(self) -> bool:
        """Whether it changes the vehicle, and not only what is asked of it."""
        return self.path.startswith("change.")

    def touches(self, axle: results.Axle) -> bool:
        """Return whether it changes what an axle has by itself."""
        return self.axle == axle or (self.axle is None and not self.relaxes <= _OF_BOTH)

    @property
    def key(self) -> tuple[int, str, str]:
        """What levers are ordered by: cost, name, axle."""
        return (self.cost, self.name, self.axle or "")


Amounts = Mapping[Lever, float]


def _steps(most: float, step: float, least: float = 0.0) -> tuple[float, ...]:
    """Return the multiples of a step above ``least``, or from it where it is not 0, up to ``most``."""
    first = math.ceil(least / step - _HAIR) if least else 1
    return tuple(k * step for k in range(first, math.floor(most / step + _HAIR) + 1))


def _either_way(most: float, step: float, done: float) -> tuple[float, ...]:
    """Return steps either way that stay within ``most`` of what was measured, ``done`` being there."""
    both = (way * amount for amount in _steps(2.0 * most, step) for way in (1.0, -1.0))
    return tuple(amount for amount in both if abs(done + amount) <= most + _HAIR)


_LIP, _ROOM = frozenset({"lip"}), frozenset({"lip", "near"})
_LOOKS = frozenset({"poke", "gap"})
_PLACE = _ROOM | _LOOKS


@dataclass(frozen=True)
class Levers:
    """The levers of a scenario, and which of their caps the scenario does not state."""

    levers: tuple[Lever, ...]
    assumed: tuple[results.Assumption, ...]


def levers_of(scenario: Scenario, musts: tuple[str, ...], stance: str | None) -> Levers:
    """Return what may be changed; ``musts``: the wishes of the stance that may be given up as limits."""
    assumed: dict[str, results.Assumption] = {}
    caps = _Caps(scenario, assumed)
    levers = [lever for axle in results.AXLES for lever in _physical(scenario, axle, caps.of)]
    levers += _body(scenario, caps.of)
    levers += _limits(scenario)
    levers += [
        Lever(
            name,
            None,
            f"stance.{stance}.must",
            None,
            1,
            (DROPPED,),
            frozenset({_REQUIRED.get(name, name)}),
            _WISH,
        )
        for name in musts
    ]
    return Levers(tuple(sorted(levers, key=lambda lever: lever.key)), tuple(assumed.values()))


class _Caps:
    """The builder's caps, or the usual ones, which are listed."""

    def __init__(self, scenario: Scenario, assumed: dict[str, results.Assumption]) -> None:
        self._scenario, self._assumed = scenario, assumed

    def of(self, name: str) -> float:
        """Return a cap [internal unit]."""
        stated: Measure | None = getattr(self._scenario.limits, name)
        if stated is not None:
            return stated.value
        value, kind, why = _MOST[name]
        units = self._scenario.units
        text = f"{shown(value, kind, units):g} {'deg' if kind is Kind.ANGLE else units}"
        self._assumed[name] = results.Assumption(f"limits.{name}", text, f"{why}: common practice, no source")
        return value


def _physical(scenario: Scenario, name: results.Axle, cap: Callable[[str], float]) -> Iterator[Lever]:
    axle: Axle = getattr(scenario.axle, name)
    change, inch = scenario.change, scenario.units == "in"
    fine = MM_PER_IN / 8.0 if inch else 2.0
    middling = MM_PER_IN / 4.0 if inch else 5.0
    coarse = MM_PER_IN / 2.0 if inch else 10.0

    def lever(
        key: str,
        cost: int,
        amounts: tuple[float, ...],
        relaxes: frozenset[str],
        follows: str,
        *,
        steady: bool = True,
        alone: bool = False,
        cap: str | None = None,
        kind: Kind | None = Kind.LENGTH,
    ) -> Iterator[Lever]:
        if amounts:
            path, steady = f"change.{key}", steady and not alone
            yield Lever(key, name, path, kind, cost, amounts, relaxes, follows, steady, alone, cap)

    done = {
        key: 0.0 if each is None else each.at(name)
        for key, each in vars(change).items()
        if key != "trim_clocks"
    }
    if axle.lip:
        most = cap("trim_max") - done["trim"]
        follows = "seam, door gap, cab corner; no bare edge"
        steps = _steps(most, middling)
        yield from lever("trim", 4, steps, _LIP | {"gap"}, follows, steady=False, cap="trim_max")
        if not done["roll_lip"] and any(lip.flange is not None and lip.out is not None for lip in axle.lip):
            follows = "heat, paint, seam"
            yield from lever("roll_lip", 3, (1.0,), _LIP, follows, kind=None)
    # a pose that was measured at a stop is no guide to a tighter one: there no stop is moved
    most = 0.0 if axle.pose else _spacer_most(scenario, name, cap)
    yield from lever(
        "stop_spacer", 2, _steps(most, fine), _ROOM, "less up-travel: a harsher ride", cap="up_travel_min"
    )
    lock = axle.steering.lock_inner_wheel
    if axle.steered and lock is not None and not axle.pose:
        outer = axle.steering.lock_outer_wheel
        most = lock.value - done["steering_stop"] - cap("lock_min")
        if outer is not None:
            most = min(most, min(lock.low, outer.low) - done["steering_stop"] - math.radians(1.0))
        steps = _steps(most, math.radians(0.5))
        follows = "only ever inward; the turning circle grows"
        yield from lever("steering_stop", 2, steps, _ROOM, follows, cap="lock_min", kind=Kind.ANGLE)
    lift, droop = cap("lift_max"), axle.travel.droop
    spring = _steps((lift if droop is None else min(lift, droop.high)) - done["spring_lift"], coarse)
    follows = "at full bump nothing changes; the after-lift list; measure the lip again after it settles"
    yield from lever(
        "spring_lift", 6, spring, frozenset({"gap", "poke"}), follows, alone=True, cap="lift_max"
    )
    flare = _steps(_FLARE - done["flare"], middling)
    follows = "it moves what poke is measured from, and gives no clearance; overall width"
    yield from lever("flare", 4, flare, frozenset({"poke"}), follows, alone=True)
    if _sides(axle) - {"both"}:
        follows = "track bar, perches; driveshaft angle"
        yield from lever(
            "centre_axle", 3, _either_way(_CENTRE, middling, done["centre_axle"]), _PLACE, follows, alone=True
        )
    follows = "driveshaft, drag link, spring perches"
    ways = _either_way(_FORWARD, coarse, done["axle_forward"])
    yield from lever("axle_forward", 3, ways, _PLACE, follows, alone=True)
    follows = "its own load rating, studs, bore and pilot are not judged here, nor its price; never stack two"
    out = _PLACE | {"disc", "brake", "hub_protrusion", "overall_width", "scrub_change"}
    plates = _steps(_ADAPTER[1] - done["adapter"], coarse, 0.0 if done["adapter"] else _ADAPTER[0])
    yield from lever("adapter", 7, plates, out, follows, alone=True)


def _sides(axle: Axle) -> set[str]:
    return {*(lip.side for lip in axle.lip), *(near.side for near in axle.near)}


def _spacer_most(scenario: Scenario, name: results.Axle, cap: Callable[[str], float]) -> float:
    """Return the thickest spacer [mm], beside one that is there, that leaves the up-travel asked for; 0 where
    the bump is not known.
    """
    travel = getattr(scenario.axle, name).travel
    bump = build_room(scenario, name).motion.up.high
    if not bump:
        return 0.0
    change, ratio = scenario.change, 1.0 if travel.stop_ratio is None else travel.stop_ratio.high
    lift = 0.0 if change.spring_lift is None else change.spring_lift.at(name)
    had = 0.0 if change.stop_spacer is None else change.stop_spacer.at(name)
    most = (bump + lift - cap("up_travel_min")) / ratio
    return most if travel.stop_gap is None else min(most, travel.stop_gap.high - had)


def _body(scenario: Scenario, cap: Callable[[str], float]) -> Iterator[Lever]:
    done = scenario.change.body_lift
    had = 0.0 if done is None else max(done.at(axle) for axle in results.AXLES)
    amounts = _steps(cap("lift_max") - had, MM_PER_IN / 2.0 if scenario.units == "in" else 10.0)
    if amounts:
        path, relaxes = "change.body_lift", _PLACE
        follows = "steering shaft, hoses, bumper, fan shroud; the law"
        yield Lever(
            *("body_lift", None, path, Kind.LENGTH, 7, amounts, relaxes, follows),
            steady=False,
            alone=True,
            cap="lift_max",
        )


def _greatest(limit: str) -> float:
    """Return the greatest value that a scenario may state for a limit, in its internal unit."""
    quantity = spec_at(("limits", limit))
    assert isinstance(quantity, Quantity)
    return quantity.high


def _limits(scenario: Scenario) -> Iterator[Lever]:
    limits, units = scenario.limits, scenario.units
    fine = MM_PER_IN / 8.0 if units == "in" else 2.0
    for key, kind, step in (
        ("budget", Kind.PLAIN, 10.0),
        ("mass", Kind.MASS, 1.0 if units == "mm" else KG_PER_LB),
        ("overall_width", Kind.LENGTH, fine),
        ("scrub_change", Kind.LENGTH, fine),
    ):
        measure: Measure | None = getattr(limits, key)
        if measure is not None:
            path, words = f"limits.{key}", "the limit is your own word"
            amounts = (step, DROPPED) if key == "budget" else _steps(_greatest(key) - measure.value, step)
            if amounts:
                yield Lever(key, None, path, kind, 2, amounts, frozenset({key}), words)
    if limits.load_reserve is not None and limits.load_reserve.value > 0.0:
        value = limits.load_reserve.value
        amounts = (*(-less for less in _steps(value - _HAIR, 1.0)), -value)
        words = "weigh the axle as loaded; never below what tires and wheels are rated for"
        path = "limits.load_reserve"
        yield Lever("load_reserve", None, path, Kind.PERCENT, 2, amounts, frozenset({"load_reserve"}), words)
    if limits.same_wheel_all_round:
        words = "front and rear differ: spare and rotation"
        path = "limits.same_wheel_all_round"
        yield Lever("same_wheel_all_round", None, path, None, 4, (DROPPED,), frozenset({"same_wheel"}), words)


# --- what a lever does to the scenario ------------------------------------------------------------


def pulled(scenario: Scenario, stance: str | None, amounts: Amounts) -> Scenario:
    """Return a scenario with levers at their amounts, on top of what it has already."""
    for lever, amount in sorted(amounts.items(), key=lambda entry: entry[0].key):
        scenario = _pulled(scenario, stance, lever, amount)
    return scenario


def _pulled(scenario: Scenario, stance: str | None, lever: Lever, amount: float) -> Scenario:
    if lever.path.startswith("stance."):
        assert stance is not None
        old = scenario.stance[stance]
        new = replace(old, must=tuple(name for name in old.must if name != lever.name))
        return replace(scenario, stance={**scenario.stance, stance: new})
    if lever.path.startswith("limits."):
        moved: dict[str, Any] = {lever.name: _limit(scenario, lever, amount)}
        limits = replace(scenario.limits, **moved)
        return replace(scenario, limits=limits)
    each = getattr(scenario.change, lever.name)
    for axle in results.AXLES if lever.axle is None else (lever.axle,):
        if lever.kind is None:
            each = replace(each or EachFlag(), **{axle: True})
        else:
            had = getattr(each, axle) if each is not None else None
            each = replace(each or Each(), **{axle: shifted(had or Measure.exact(0.0), amount)})
    return replace(scenario, change=replace(scenario.change, **{lever.name: each}))


def _limit(scenario: Scenario, lever: Lever, amount: float) -> Measure | bool | None:
    if lever.name == "same_wheel_all_round":
        return False
    if amount == DROPPED:
        return Measure.exact(_greatest(lever.name))
    return shifted(getattr(scenario.limits, lever.name), amount)


def sets_of(scenario: Scenario, stance: str | None, amounts: Amounts) -> tuple[str, ...]:
    """Return the PATH=VALUE for --set that pull levers on the scenario, as its file would say it."""
    after = pulled(scenario, stance, amounts)
    out: dict[str, str] = {}
    for lever in sorted(amounts, key=lambda one: one.key):
        if lever.path.startswith("stance."):
            musts = after.stance[stance or ""].must
            out[lever.path] = "[" + ", ".join(f'"{name}"' for name in musts) + "]"
        elif lever.name == "same_wheel_all_round":
            out[lever.path] = "false"
        elif lever.path.startswith("limits."):
            assert lever.kind is not None
            out[lever.path] = number(getattr(after.limits, lever.name).value, lever.kind, scenario.units)
        else:
            out[lever.path] = _each(getattr(after.change, lever.name), lever.kind, scenario.units)
    return tuple(f"{path}={value}" for path, value in out.items())


def _each(each: Each | EachFlag, kind: Kind | None, units: Units) -> str:
    parts = []
    for axle in results.AXLES:
        value = getattr(each, axle)
        if value and kind is None:
            parts.append(f"{axle} = true")
        elif kind is not None and value is not None:
            parts.append(f"{axle} = {number(value.value, kind, units)}")
    return "{" + ", ".join(parts) + "}"


def number(value: float, kind: Kind, units: Units) -> str:
    """Return an internal value as a bare number of the file's units."""
    text = f"{shown(value, kind, units):.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
