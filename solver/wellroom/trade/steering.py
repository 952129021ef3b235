"""What a wheel's place does to the steering. Plane geometry; signs as common practice has them, no source."""
# mypy: disable-error-code="return-value, no-any-return"
# (the checker can't follow numbers and arrays through broadcasting)

from __future__ import annotations

import numpy as np

from wellroom.trade.arrays import Floats


def scrub_radius_mm(
    inset_mm: Floats | float,
    kingpin_to_face_mm: Floats | float,
    inclination_rad: Floats | float,
    radius_mm: Floats | float,
) -> Floats:
    """Return how far the contact's middle stands outboard of the kingpin's axis on the ground, mm.

    The axis passes ``kingpin_to_face_mm`` inboard of the mounting face at hub height and leans inboard at the
    top by ``inclination_rad``; ``radius_mm`` [> 0] is the hub's height over the ground. Positive: the contact
    is outboard. The centre plane stands ``-inset_mm`` outboard of the face.

    >>> round(float(scrub_radius_mm(-50.0, 125.0, np.radians(8.0), 500.0)), 1)
    104.7
    >>> float(scrub_radius_mm(20.0, 20.0, 0.0, 500.0))
    0.0
    """
    return kingpin_to_face_mm - inset_mm - radius_mm * np.tan(inclination_rad)


def turning_circle_mm(
    wheelbase_mm: Floats | float,
    outer_lock_rad: Floats | float,
    kingpin_to_centre_mm: Floats | float,
    section_mm: Floats | float,
) -> Floats:
    """Return the diameter of the circle that the outer front tire sweeps, mm: wall to wall at low speed.

    2 (L / sin(outer lock) + kingpin to centre plane + section / 2): Ackermann geometry with the rear axle's
    line through the turn's centre, no slip (an exam book's statement of cot(outer) - cot(inner) = w / L).
    ``wheelbase_mm`` [> 0], ``outer_lock_rad`` (0..pi/2), ``kingpin_to_centre_mm`` outboard positive at hub
    height.

    >>> round(float(turning_circle_mm(2800.0, np.radians(24.657), 0.0, 0.0)) / 2000.0, 3)
    6.712
    """
    return 2.0 * (wheelbase_mm / np.sin(outer_lock_rad) + kingpin_to_centre_mm + section_mm / 2.0)
