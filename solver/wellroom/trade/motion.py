"""How far a wheel comes up, and what that does to the lip. Common practice, no source, and plane geometry."""
# mypy: disable-error-code="return-value, no-any-return"
# (the checker can't follow numbers and arrays through broadcasting)

from __future__ import annotations

import numpy as np

from wellroom.trade.arrays import Floats

RUBBER_SQUASH = 0.5
"""Share of its height by which a bump rubber squashes. Common practice, no source."""


def bump_mm(
    stop_gap_mm: Floats | float, rubber_mm: Floats | float, stop_ratio: Floats | float = 1.0
) -> Floats:
    """Return the travel of the wheel from ride height to full bump, mm: (gap + rubber / 2) x stop ratio.

    ``stop_ratio`` [> 0] is wheel travel per travel at the stop, 1 on a solid axle at its stop. Common
    practice, no source. A spring lift adds to the gap what it adds to the lip: full bump stays where it was.

    >>> bump_mm(76.0, 50.0), bump_mm(50.0, 30.0, 2.0)
    (101.0, 130.0)
    """
    return (stop_gap_mm + RUBBER_SQUASH * rubber_mm) * stop_ratio


def face_rise_at_stop_mm(stop_to_face_mm: Floats | float, tilt_rad: Floats | float) -> Floats:
    """Return how far the mounting face rises above straight bump when the axle tilts about its stop, mm.

    (stop to face) x sin(tilt); ``stop_to_face_mm`` [0..] is how far inboard of the face the stop bears.

    >>> round(float(face_rise_at_stop_mm(17.0, np.radians(10.0))), 2), float(face_rise_at_stop_mm(17.0, 0.0))
    (2.95, 0.0)
    """
    return stop_to_face_mm * np.sin(tilt_rad)


def lip_radius_mm(radius_mm: Floats | float, clock_rad: Floats | float, rise_mm: Floats | float) -> Floats:
    """Return the distance of a lip from the wheel's axis after the wheel rose relative to it, mm.

    ``radius_mm`` at ride height, ``clock_rad`` from straight up, ``rise_mm`` [negative: the body was lifted].

    >>> float(lip_radius_mm(600.0, 0.0, 100.0)), round(float(lip_radius_mm(23.0, np.pi / 6, -2.0)), 2)
    (500.0, 24.75)
    """
    up = radius_mm * np.cos(clock_rad) - rise_mm
    return np.hypot(up, radius_mm * np.sin(clock_rad))


def gap_mm(lip_radius_mm: Floats | float, od_mm: Floats | float) -> Floats:
    """Return what is between a lip straight over the tread and the tire, mm; negative: the tire is into it.

    >>> gap_mm(24.0, 41.0), gap_mm(24.0, 48.0)
    (3.5, 0.0)
    """
    return lip_radius_mm - od_mm / 2.0


def poke_mm(section_mm: Floats | float, inset_mm: Floats | float, body_out_mm: Floats | float) -> Floats:
    """Return how far the tire stands out beyond the body's edge, mm; negative: tucked.

    ``section_mm`` on the rim used; ``body_out_mm`` from the mounting face out to the body's outer edge. The
    wheel's centre plane is ``-inset_mm`` outboard of the face.

    >>> poke_mm(14.0, -2.0, 5.0)
    4.0
    """
    return section_mm / 2.0 - inset_mm - body_out_mm


def inside_mm(section_mm: Floats | float, poke_mm: Floats | float) -> Floats:
    """Return how much of the tire stands inside the body's edge, mm: section - poke.

    >>> inside_mm(14.0, 4.0)
    10.0
    """
    return section_mm - poke_mm


def vehicle_width_mm(
    face_to_face_mm: Floats | float, inset_mm: Floats | float, section_mm: Floats | float
) -> Floats:
    """Return the width over an axle's tires, mm: face to face + 2 (section / 2 - inset).

    >>> vehicle_width_mm(1600.0, -50.0, 300.0)
    2000.0
    """
    return face_to_face_mm + 2.0 * (section_mm / 2.0 - inset_mm)


def track_change_mm(inset_change_mm: Floats | float) -> Floats:
    """Return the change of track, mm, for a change of inset on both wheels: -2 x the change.

    >>> track_change_mm(-10.0)
    20.0
    """
    return -2.0 * inset_change_mm


def track_bar_shift_mm(
    bar_mm: Floats | float, slope_rad: Floats | float, travel_mm: Floats | float
) -> Floats:
    """Return how far a track bar swings the axle sideways in a travel, mm; positive away from its body end.

    ``bar_mm`` its length, ``slope_rad`` positive when the axle's end is lower at ride height, ``travel_mm``
    positive in bump.

    >>> round(float(track_bar_shift_mm(34.0, 0.0, 4.0)), 2)
    -0.24
    """
    before = bar_mm * np.cos(slope_rad)
    drop = bar_mm * np.sin(slope_rad) - travel_mm
    return np.sqrt(bar_mm * bar_mm - drop * drop) - before
