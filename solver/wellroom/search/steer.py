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

    Of ranges the turning circle takes the ends that make it widest; a scrub radius needs single measures.
    """
    if not axle.steered:
        return None
    s, lean = axle.steering, axle.steering.kingpin_inclination
    scrub = change = None
    single = [m for m in (s.kingpin_to_face, lean) if m is not None and not m.is_range]
    if s.kingpin_to_face is not None and lean is not None and len(single) == 2:
        king, tip = s.kingpin_to_face.value, lean.value
        scrub = float(scrub_radius_mm(-here.shift, king, tip, here.radius))
        if now is not None:
            change = scrub - float(scrub_radius_mm(-now.shift, king, tip, now.radius))
    circle, before = _circle(scenario, axle, here), None if now is None else _circle(scenario, axle, now)
    wider = None if circle is None or before is None else circle - before
    return results.Steering(scrub, change, circle, wider)


def _circle(scenario: Scenario, axle: Axle, at: Stand) -> float | None:
    s, base = axle.steering, scenario.vehicle.wheelbase
    if base is None or s.lock_outer_wheel is None or s.kingpin_to_face is None:
        return None
    return float(
        turning_circle_mm(base.high, s.lock_outer_wheel.low, s.kingpin_to_face.high + at.shift, at.section)
    )
