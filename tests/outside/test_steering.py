"""Turning circle and scrub radius against figures drawn: lines met in a plane, and scipy's rotations.

Sources of the judges: plane geometry (a wheel rolls square to the line from the centre that it turns about,
and the rear axle's line goes through that centre) and SciPy's rotations (scipy.org). Where the outer front
tire passes, and the sign of the scrub radius: common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from wellroom.trade.steering import scrub_radius_mm, turning_circle_mm

DEG = np.pi / 180.0


@pytest.mark.parametrize(
    ("wheelbase", "lock", "out", "section"),
    [
        (2800.0, 24.657, 0.0, 0.0),
        (2900.0, 32.0, 135.0, 310.0),
        (3300.0, 28.0, 60.0, 368.0),
        (2500.0, 38.0, -20.0, 205.0),
    ],
)
def test_turning_circle_is_that_of_the_outer_side_wall_about_the_centre_drawn(
    wheelbase: float, lock: float, out: float, section: float
) -> None:
    """The outer wheel's axis meets the rear axle's line; the circle goes through the outer side wall."""
    kingpin = np.array([wheelbase, 0.0])  # x forward of the rear axle, y outboard
    axis = np.array([np.sin(lock * DEG), np.cos(lock * DEG)])  # a wheel that turns away from its side
    along = np.linalg.solve(np.stack([axis, [0.0, -1.0]], axis=1), -kingpin)
    centre = kingpin + along[0] * axis
    assert centre[0] == pytest.approx(0.0, abs=1e-9)
    outer = kingpin + (out + section / 2.0) * axis
    drawn = 2.0 * float(np.hypot(*(outer - centre)))
    assert float(turning_circle_mm(wheelbase, lock * DEG, out, section)) == pytest.approx(drawn)


def test_turning_circle_keeps_the_rule_of_both_locks() -> None:
    """cot(outer) - cot(inner) = w / L, as an exam book states it: both wheels turn about one centre."""
    wheelbase, outer, between = 2800.0, 30.0 * DEG, 1400.0
    inner = np.arctan(1.0 / (1.0 / np.tan(outer) - between / wheelbase))
    radius = float(turning_circle_mm(wheelbase, outer, 0.0, 0.0)) / 2.0
    beside = np.sqrt(radius**2 - wheelbase**2)
    assert beside - between == pytest.approx(wheelbase / np.tan(inner))


@pytest.mark.parametrize("lean", [0.0, 8.0, 12.5])
@pytest.mark.parametrize(
    ("inset", "king", "radius"), [(-50.0, 125.0, 500.0), (35.0, 140.0, 330.0), (0.0, 0.0, 410.0)]
)
def test_scrub_radius_is_where_the_kingpin_meets_the_ground_and_stays_put_as_the_wheel_turns(
    lean: float, inset: float, king: float, radius: float
) -> None:
    """The ground's point on the axis does not move when the knuckle turns; the contact goes round it."""
    scrub = float(scrub_radius_mm(inset, king, lean * DEG, radius))
    pivot, contact = np.array([0.0, -king, 0.0]), np.array([0.0, -inset, -radius])
    turn = Rotation.from_rotvec(0.5 * np.array([0.0, -np.sin(lean * DEG), np.cos(lean * DEG)]))
    foot = contact - np.array([0.0, scrub, 0.0])
    assert turn.apply(foot - pivot) + pivot == pytest.approx(foot, abs=1e-9)


def test_scrub_radius_is_positive_with_the_contact_outboard() -> None:
    """Common practice, no source: less inset, or a kingpin farther in, stands the contact farther out."""
    plain = float(scrub_radius_mm(0.0, 100.0, 8.0 * DEG, 400.0))
    assert float(scrub_radius_mm(-25.4, 100.0, 8.0 * DEG, 400.0)) - plain == pytest.approx(25.4)
    assert float(scrub_radius_mm(0.0, 110.0, 8.0 * DEG, 400.0)) - plain == pytest.approx(10.0)
    assert plain == pytest.approx(100.0 - 400.0 * np.tan(8.0 * DEG))
