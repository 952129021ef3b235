"""What the steering and the motion of an axle come to, in sentences."""

from __future__ import annotations

import math

from wellroom.report import measures
from wellroom.report.blocks import Block, Heading, Text
from wellroom.search.results import AxleFit, Relief
from wellroom.units import MM_PER_IN, Units, ceil_to

_FOOT = 304.8
_SIXTEENTH = MM_PER_IN / 16.0


def motion_blocks(axle: str, fit: AxleFit, units: Units) -> list[Block]:
    """Return scrub radius and turning circle against today's, and for what is fouled how far it may move."""
    said = [*_steering(fit, units), *(_relief(relief, units) for relief in fit.relief)]
    if not said:
        return []
    return [Heading(f"{axle}: steering and travel"), *(Text(sentence, indent=2, hang=2) for sentence in said)]


def _steering(fit: AxleFit, units: Units) -> list[str]:
    steering = fit.steering
    if steering is None:
        return []
    out = []
    if steering.scrub_radius_ends_mm is not None:
        scrub = f"{_between(steering.scrub_radius_ends_mm, units)} {units}"
        change = ""
        if steering.scrub_change_ends_mm is not None:
            change = f" ({_between(steering.scrub_change_ends_mm, units, sign=True)} {units} against today's)"
        out.append(
            f"scrub radius {scrub}{change}; positive: the contact stands outboard of the kingpin's axis"
        )
    if steering.turning_circle_mm is not None:
        circle = steering.turning_circle_mm
        size = f"{circle / _FOOT:.1f} ft" if units == "in" else f"{circle / 1000.0:.2f} m"
        out.append(
            f"turning circle, wall to wall, {size}{_against(steering.turning_circle_change_mm, units)}"
        )
    return out


def _between(ends: tuple[float, float], units: Units, sign: bool = False) -> str:
    """Return a length, or both ends of its range, rounded outward."""
    if ends[0] == ends[1]:
        text = measures.length(ends[0], units)
        return measures.plus(text) if sign else text
    low, high = measures.length(ends[0], units, "down"), measures.length(ends[1], units, "up")
    if sign:
        low, high = measures.plus(low), measures.plus(high)
    return low if low == high else f"{low} to {high}"


def _against(change: float | None, units: Units) -> str:
    if change is None:
        return ""
    return f" ({measures.plus(measures.length(change, units))} {units} against today's)"


def _relief(relief: Relief, units: Units) -> str:
    """Return how far one thing lets one part of the motion go."""
    again = "; what was measured at a pose beyond that counts no more, so measure it again at the new stop"
    return _moves(relief, units) + (again if relief.posed and relief.clears is not None else "")


def _moves(relief: Relief, units: Units) -> str:
    thing = relief.thing.split(".", 1)[1].removeprefix("near.").replace("_", " ").replace(".", ", ")
    if relief.unit == "deg":
        lead = f"{thing}: {_before(relief, _degrees(relief.touches), 'degrees of ')}"
        if relief.clears is None:
            return f"{lead}; no steering stop by itself clears it as asked"
        less = math.ceil((relief.full - relief.clears) * 100.0 - 1e-6) / 100.0
        amount = "1 degree" if less == 1.0 else f"{less:g} degrees"
        return (
            f"{lead}; a steering stop that takes {amount} off both locks, here to "
            f"{_degrees(relief.clears)}, clears it as asked ({_degrees(relief.full)} now)"
        )
    lead = f"{thing}: {_before(relief, measures.length(relief.touches, units, 'down'), f'{units} of ')}"
    if relief.spacer_mm is None:
        return f"{lead}; no stop spacer by itself clears it as asked"
    spacer = ceil_to(relief.spacer_mm, _SIXTEENTH)
    amount = measures.with_unit(measures.length(spacer, units, "up"), units)
    return f"{lead}; a stop spacer of {amount} clears it as asked"


def _before(relief: Relief, touches: str, unit: str) -> str:
    if relief.touches is None:
        return f"touched at any {relief.what}"
    if relief.touches == relief.full:
        return f"nothing touches at any {relief.what}, but it comes too close"
    return f"nothing touches up to {touches} {unit}{relief.what}"


def _degrees(value: float | None) -> str:
    return "no" if value is None else f"{math.floor(value * 100.0 + 1e-6) / 100.0:g}"
