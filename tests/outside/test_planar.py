"""Clearances that need no motion, against shapely's planar distances (shapely.readthedocs.io).

With the wheel straight and at ride height an item's image in (distance from the axis, lateral place) is a
plain figure, and the claimed end of a window must stand off it by the clearance asked for, or by b more.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from geometry import poses as brute
from geometry.claims import end_of_window
from wellroom.geometry.envelope import SLACK, TARGET, sweep
from wellroom.geometry.items import (
    Blocks,
    Item,
    Surface,
    bar_surfaces,
    box_surfaces,
    lip_surfaces,
    point_surfaces,
    polar_point,
)
from wellroom.geometry.motion import Motion, Range

STILL = Motion(Range(0.0, 0.0))
ASKED = 12.7
CLOCK = 0.7
FIGURES: dict[str, tuple[tuple[Surface, ...], Blocks, shapely.Geometry]] = {
    "point": (
        point_surfaces(np.array([CLOCK, -260.0, 380.0]), np.array([CLOCK, -260.0, 380.0])),
        Blocks.INBOARD,
        shapely.Point(380.0, -260.0),
    ),
    "point with ranges": (
        point_surfaces(np.array([CLOCK, -270.0, 370.0]), np.array([CLOCK, -250.0, 390.0])),
        Blocks.INBOARD,
        shapely.box(370.0, -270.0, 390.0, -250.0),
    ),
    "lip at one clock": (
        lip_surfaces([0.0], [600.0], [75.0], [95.0]),
        Blocks.OUTBOARD,
        shapely.LineString([(600.0, 75.0), (600.0, 95.0)]),
    ),
    "lip of one radius": (
        lip_surfaces([-1.0, 1.0], [600.0, 600.0], [60.0, 80.0], [100.0, 100.0]),
        Blocks.OUTBOARD,
        shapely.LineString([(600.0, 60.0), (600.0, 100.0)]),
    ),
    "lip of growing radius": (
        lip_surfaces([0.0, 1.0], [560.0, 640.0], [60.0, 90.0], [60.0, 90.0]),
        Blocks.OUTBOARD,
        shapely.LineString([(560.0, 60.0), (640.0, 90.0)]),
    ),
    "radial bar": (
        bar_surfaces(polar_point(CLOCK, 200.0, -300.0), polar_point(CLOCK, 450.0, -220.0), 52.0),
        Blocks.INBOARD,
        shapely.LineString([(200.0, -300.0), (450.0, -220.0)]).buffer(26.0, quad_segs=512),
    ),
    "box over the axle": (
        box_surfaces(np.array([-300.0, -280.0, 200.0]), np.array([400.0, -220.0, 300.0])),
        Blocks.INBOARD,
        shapely.box(200.0, -280.0, 500.0, -220.0),
    ),
    "box ahead of the axle": (
        box_surfaces(np.array([350.0, -280.0, 120.0]), np.array([420.0, 30.0, 160.0])),
        Blocks.INBOARD,
        shapely.box(np.hypot(350.0, 120.0), -280.0, np.hypot(420.0, 160.0), 30.0),
    ),
}


@pytest.mark.parametrize("name", FIGURES)
def test_window_end_without_motion_stands_off_the_plain_figure(name: str) -> None:
    """The wheel at the claimed end is as far from the figure as asked, within b, by shapely's distance."""
    surfaces, blocks, figure = FIGURES[name]
    cells = sweep([Item(name, surfaces, 0.0, True, blocks, (ASKED,))], STILL)
    rng = np.random.default_rng(3)
    met = 0
    for _ in range(60):
        section = brute.wheel(rng, blocks)
        shift = end_of_window(cells, section, blocks, ASKED)
        if abs(shift) > 2000.0:
            continue
        found = translate(section, yoff=shift).distance(figure)
        assert ASKED - 1e-3 <= found <= ASKED + TARGET + 1.5 * SLACK + 0.01
        met += 1
    assert met >= 5
