"""What blocks nothing is met where it is, from every way that a wheel can come."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import KDTree

from wellroom.geometry.envelope import sweep
from wellroom.geometry.items import Blocks, Item, bar_surfaces
from wellroom.geometry.motion import Bar, Motion, Range, place
from wellroom.geometry.roots import roots_of
from wellroom.geometry.samples import REACH_LOW

MOTION = Motion(
    Range(-42.8, 68.5),
    Range(-0.204, 0.256),
    span=985.0,
    stop=460.0,
    max_tilt=0.1,
    roll_centre=Range(72.8, 72.8),
    kingpin=Range(30.2, 30.2),
    inclination=Range(0.143, 0.143),
    caster=Range(-0.0426, -0.0426),
)
LINK = Item(
    "link",
    bar_surfaces(np.array([-37.8, -55.8, 99.4]), np.array([-59.4, -281.1, -8.0]), 24.0),
    *(0.0, True, Blocks.NOTHING, (8.4,)),
)
"""A slanted bar inside the barrel: swept it reaches far out at both ends, and less far between them."""
POINTS = 300_000
FAR = 3.0
"""How far [mm] a place that is reached may be from the nearest of so many random points."""


@pytest.mark.parametrize(
    "motion",
    [
        MOTION,
        replace(MOTION, max_tilt=0.0),
        replace(MOTION, side=Range(-7.0, 7.0), fore=Range(-1.2, 1.2), bar=Bar(778.0, 0.15, 1)),
    ],
    ids=["tilting", "level", "swaying"],
)
def test_sweep_of_what_blocks_nothing_stays_where_something_is(motion: Motion) -> None:
    """No sample in reach stands across room that nothing is ever swept through."""
    rng = np.random.default_rng(1)
    roots, work = roots_of(LINK, motion)
    cells = work.take(rng.integers(len(work.root), size=POINTS))
    share = rng.uniform(-1.0, 1.0, cells.half.shape)
    share = np.where(rng.random(share.shape) < 0.5, np.sign(share), share)
    x, y, z = place(roots.charts.take(cells.root), motion, cells.centre + cells.half * share, ()).point
    swept = sweep([LINK], motion)
    in_reach = swept.r >= REACH_LOW - LINK.halo
    away, _ = KDTree(np.stack([np.hypot(x, z), y], axis=1)).query(
        np.stack([swept.r, swept.y], axis=1)[in_reach]
    )
    assert len(away) > 100
    assert away.max() < FAR
