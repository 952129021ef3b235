"""The motion map against scipy.spatial.transform.Rotation, pose by pose.

Source of the judge: SciPy's rotations (scipy.org). Where the faces of a tilted axle go: common practice, no
source.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from geometry import poses as brute
from geometry.cases import random_case
from wellroom.geometry import motion as mo
from wellroom.geometry.items import Blocks, Item, bar_surfaces
from wellroom.geometry.motion import Motion, Range, place
from wellroom.geometry.roots import roots_of

DEG = np.pi / 180.0


@pytest.mark.parametrize("seed", range(30))
def test_place_random_poses_equal_scipy_rotations(seed: int) -> None:
    """Any point of any item, at any pose that the roots can express, lands where scipy's rotations put it."""
    rng = np.random.default_rng(seed)
    item, motion = random_case(rng)
    roots, work = roots_of(item, motion)
    cells = work.take(rng.integers(len(work.root), size=500))
    q = cells.centre + cells.half * rng.uniform(-1.0, 1.0, cells.half.shape)
    charts = roots.charts.take(cells.root)
    x, y, z = place(charts, motion, q).point
    low, low_g, width, width_g = charts.travel
    up = low + low_g * q[mo.TILT] + q[mo.UP] * (width + width_g * q[mo.TILT])
    spots = mo.chart_points(charts, q)[0]
    free = np.stack([0 * up, 0 * up, up, up - q[mo.TILT] * (motion.span or 0.0)])
    free = np.concatenate([free, q[[mo.LOCK, mo.KPI, mo.CASTER, mo.KING, mo.ROLL, mo.SIDE, mo.FORE]]])
    r_there, y_there = brute.carried(np.array(spots).T, free, item, motion)
    assert np.allclose(np.hypot(x, z), r_there, atol=1e-6)
    assert np.allclose(y, y_there, atol=1e-6)


def one_point(motion: Motion, spot: list[float], share: float = 0.0, **pose: float) -> np.ndarray:
    """Return where one point lands in the wheel's frame at a pose given by parameter."""
    item = Item(
        "spot", bar_surfaces(np.array(spot), np.array(spot), 0.0), share, True, Blocks.NOTHING, (1.0,)
    )
    roots, work = roots_of(item, motion)
    q = work.centre[:, :1] * 0.0
    for name, value in pose.items():
        q[getattr(mo, name)] = value
    zone = len(work.root) - 1 if pose.get("TILT", 0.0) > 0.0 else 0
    return np.array(place(roots.charts.take(np.array([zone])), motion, q).point)[:, 0]


def test_lock_positive_swings_the_front_outboard() -> None:
    """What stands still ahead of the wheel comes to lie inboard of it, as the front swings outboard."""
    motion = Motion(Range(0.0, 0.0), Range(-30 * DEG, 30 * DEG))
    ahead = one_point(motion, [400.0, 0.0, 0.0], LOCK=30 * DEG)
    assert ahead == pytest.approx([400 * np.cos(30 * DEG), -400 * np.sin(30 * DEG), 0.0])


@pytest.mark.parametrize(("tilt", "inches"), [(8.0, 2.37), (10.0, 2.95), (12.0, 3.53)])
def test_tilt_about_a_stop_17_in_inboard_raises_the_face(tilt: float, inches: float) -> None:
    """Common practice, no source: extra up-travel at the wheel = (stop to face) x sin(tilt)."""
    motion = Motion(Range(0.0, 400.0), span=800.0, stop=17 * 25.4, max_tilt=12 * DEG)
    at_stop = [0.0, -17 * 25.4, 0.0]
    seen = one_point(motion, at_stop, TILT=float(np.sin(tilt * DEG)), UP=1.0)
    face = at_stop + Rotation.from_rotvec([tilt * DEG, 0.0, 0.0]).apply(-seen)
    assert (face[2] - 400.0) / 25.4 == pytest.approx(inches, abs=0.006)


def test_share_one_stays_with_the_axle_and_half_goes_half_the_way() -> None:
    """A thing that follows the axle does not move; one between goes its part of the body's way."""
    motion = Motion(Range(-80.0, 100.0), span=900.0, stop=400.0, max_tilt=9 * DEG)
    spot = [-200.0, -500.0, 150.0]
    body, half, axle = (one_point(motion, spot, share, TILT=0.12, UP=0.3) for share in (0.0, 0.5, 1.0))
    assert axle == pytest.approx(spot)
    assert half == pytest.approx((body + axle) / 2.0)
