"""Gearing and the speedometer, on rolling circumference (mm)."""
# mypy: disable-error-code="return-value, no-any-return"
# (the checker can't follow numbers and arrays through broadcasting)

from __future__ import annotations

import numpy as np

from wellroom.trade.arrays import Bools, Floats

MATCH_PART_TIME_PCT = 1.0
"""Greatest difference of front and rear that a part-time 4x4 takes. Common practice, no source."""

MATCH_FULL_TIME_PCT = 0.5
"""The same for a full-time 4x4. Common practice, no source."""


def rpm(speed_kmh: Floats | float, ratio: Floats | float, circumference_mm: Floats | float) -> Floats:
    """Return the engine speed in turns a minute: speed / circumference x ratio.

    ``ratio`` is the whole of it: gear x transfer case x axle. Exact form of "336 takes into account pi,
    inches in a mile, minutes in an hour" (Baldwin Wallace University, Gear Math). km/h [0..], mm [> 0].

    >>> round(rpm(96.56064, 4.10, 838.2 * 3.05), 1), rpm(0.0, 4.10, 2500.0)
    (2581.0, 0.0)
    """
    return speed_kmh * 1e6 / 60.0 / circumference_mm * ratio


def speed_at_rpm_kmh(
    engine_rpm: Floats | float, ratio: Floats | float, circumference_mm: Floats | float
) -> Floats:
    """Return the road speed, km/h, at an engine speed: the inverse of ``rpm``. ``ratio`` [> 0].

    >>> round(speed_at_rpm_kmh(2500.0, 4.0, 2400.0), 4)
    90.0
    """
    return engine_rpm / ratio * circumference_mm * 60.0 / 1e6


def effective_ratio(ratio: Floats | float, old_mm: Floats | float, new_mm: Floats | float) -> Floats:
    """Return the axle ratio as it feels after a change of tire: ratio x old / new.

    ``old_mm`` and ``new_mm`` are both rolling circumferences, or both rolling radii [> 0].

    >>> round(effective_ratio(4.10, 29.0, 33.0), 3)
    3.603
    """
    return ratio * old_mm / new_mm


def ratio_to_restore(ratio: Floats | float, old_mm: Floats | float, new_mm: Floats | float) -> Floats:
    """Return the axle ratio that gives the old gearing on the new tire: ratio x new / old.

    >>> round(ratio_to_restore(4.10, 29.0, 33.0), 3)
    4.666
    """
    return ratio * new_mm / old_mm


def change_pct(value: Floats | float, reference: Floats | float) -> Floats:
    """Return by how much a value is above a reference [not 0], percent of the reference.

    >>> round(change_pct(3.603, 4.10), 2)
    -12.12
    """
    return 100.0 * (value - reference) / reference


def speedometer_error_pct(
    old_circumference_mm: Floats | float, new_circumference_mm: Floats | float
) -> Floats:
    """Return 100 (indicated - true) / true after a change of tire; negative: reads low.

    From a speedometer that was right on the old tire (formula of a tire-safety page). Circumferences [> 0].

    >>> round(speedometer_error_pct(29.0, 33.0), 2), speedometer_error_pct(2400.0, 2400.0)
    (-12.12, 0.0)
    """
    return 100.0 * (old_circumference_mm / new_circumference_mm - 1.0)


def true_speed_kmh(
    indicated_kmh: Floats | float, old_circumference_mm: Floats | float, new_circumference_mm: Floats | float
) -> Floats:
    """Return the true speed when the speedometer was right on the old tire: indicated x new / old.

    >>> round(true_speed_kmh(60.0, 29.0, 33.0), 2)
    68.28
    """
    return indicated_kmh * new_circumference_mm / old_circumference_mm


def speedometer_lawful(true_kmh: Floats | float, indicated_kmh: Floats | float) -> bool | Bools:
    """Return whether 0 <= indicated - true <= 0.1 true + 4 km/h. UN R39 paragraph 5.3 as quoted.

    >>> bool(speedometer_lawful(80.0, 92.0)), bool(speedometer_lawful(80.0, 79.9))
    (True, False)
    """
    over = np.asarray(indicated_kmh) - true_kmh
    return (over >= 0.0) & (over <= 0.1 * np.asarray(true_kmh) + 4.0 + 1e-9)


def rolling_match_pct(
    ratio_f: Floats | float, radius_f: Floats | float, ratio_r: Floats | float, radius_r: Floats | float
) -> Floats:
    """Return how much more the front drive shaft turns than the rear one over the same ground, percent.

    Shaft turns go with axle ratio / rolling radius. The difference is taken of the smaller, so that its size
    is the same either way round. Common practice, no source: within ``MATCH_PART_TIME_PCT``, or
    ``MATCH_FULL_TIME_PCT``. Radii [> 0] both in one unit.

    >>> round(float(rolling_match_pct(4.10, 400.0, 4.11, 400.0)), 3)
    -0.244
    """
    front, rear = ratio_f / radius_f, ratio_r / radius_r
    return 100.0 * (front - rear) / np.minimum(front, rear)
