"""What a wheel's place does to a steered axle: scrub radius and turning circle, now and then."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wellroom.geometry.items import Floats
from wellroom.scenario.model import Axle, Scenario
from wellroom.search import results
from wellroom.search.rims import Rims
from wellroom.search.sections import nominal_section
from wellroom.search.tires import Tires
from wellroom.trade.steering import scrub_radius_mm, turning_circle_mm
from wellroom.trade.tire import loaded_radius_mm

Ends = tuple[float, float]


@dataclass(frozen=True)
class Stand:
    """Where a wheel stands: its centre plane outboard of the face, loaded radius, section [mm]."""

    shift: float
    radius: float
    section: float


def stand(tire: Tires, rim: Rims, backspace: float) -> Stand:
    """Return where one tire on one rim stands at a backspace [mm]."""
    shift = float(rim.to_centre[0]) - backspace
    return Stand(shift, float(loaded_radius_mm(tire.od)[0]), float(nominal_section(tire, rim)[0]))


def scrub_kept(axle: Axle, now: Stand, radius: Floats, most: float) -> tuple[Floats, Floats] | None:
    """Return the shifts (low, high), each (n,) [mm], that change the scrub radius by no more than ``most``.

    Over the inclination's whole range; None where the axle does not steer or its lean is not known.
    """
    lean = axle.steering.kingpin_inclination
    if not axle.steered or lean is None:
        return None
    moved = [now.shift + (radius - now.radius) * np.tan(tip) for tip in (lean.low, lean.high)]
    return np.maximum(*moved) - most, np.minimum(*moved) + most


def steering_of(scenario: Scenario, axle: Axle, here: Stand, now: Stand | None) -> results.Steering | None:
    """Return the steering of a wheel's place and today's; None on an axle that does not steer.

    Of ranges the turning circle takes the ends that make it widest; a scrub radius becomes a range.
    """
    if not axle.steered:
        return None
    scrub, change = _scrub(axle, here, now)
    circle, before = _circle(scenario, axle, here), None if now is None else _circle(scenario, axle, now)
    wider = None if circle is None or before is None else circle - before
    return results.Steering(_single(scrub), _single(change), circle, wider, scrub, change)


def _scrub(axle: Axle, here: Stand, now: Stand | None) -> tuple[Ends | None, Ends | None]:
    """Return the ends of the scrub radius, and of its change against today's, over all ranges [mm]."""
    king, lean = axle.steering.kingpin_to_face, axle.steering.kingpin_inclination
    if king is None or lean is None:
        return None, None

    def at(where: Stand, face: float, tip: float) -> float:
        return float(scrub_radius_mm(-where.shift, face, tip, where.radius))

    ends = at(here, king.low, lean.high), at(here, king.high, lean.low)
    if now is None:
        return ends, None
    moved = [at(here, king.value, tip) - at(now, king.value, tip) for tip in (lean.low, lean.high)]
    return ends, (min(moved), max(moved))


def _single(ends: Ends | None) -> float | None:
    return None if ends is None or ends[0] != ends[1] else ends[0]


def _circle(scenario: Scenario, axle: Axle, at: Stand) -> float | None:
    s, base = axle.steering, scenario.vehicle.wheelbase
    if base is None or s.lock_outer_wheel is None or s.kingpin_to_face is None:
        return None
    return float(
        turning_circle_mm(base.high, s.lock_outer_wheel.low, s.kingpin_to_face.high + at.shift, at.section)
    )
