"""What samples claim of a wheel, by their own definition: discs grown by the clearance."""

from __future__ import annotations

import shapely

from geometry import poses as brute
from wellroom.geometry.envelope import Cells
from wellroom.geometry.items import Blocks


def room(cells: Cells, section: shapely.Polygon, shift: float, clearance: float) -> float:
    """Return the least room [mm] that the samples leave a section at a shift beyond a clearance."""
    return float((brute.distance(section, cells.r, cells.y - shift) - cells.growth(clearance)).min())


def end_of_window(cells: Cells, section: shapely.Polygon, blocks: Blocks, clearance: float) -> float:
    """Return the shift nearest to an item that the samples still call clear, by bisection."""
    away = -1.0 if blocks is Blocks.OUTBOARD else 1.0
    near, far = -3000.0, 3000.0
    for _ in range(34):
        middle = (near + far) / 2.0
        if room(cells, section, away * middle, clearance) >= 0.0:
            far = middle
        else:
            near = middle
    return away * far
