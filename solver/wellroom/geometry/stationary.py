"""Whether a cell can hold the end of a shortest line from some wheel.

In the (r, y) plane such a line has one direction, from the wheel to the item. Every open derivative is
perpendicular to it, and a step inward from an end of a parameter's range, or from a face into its solid, must
not shorten it. The wheel lies on the open side of an item that blocks, so the line points away from there. A
fan of directions, each standing for its sector, is tried; a cell that allows none is out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.bounds import Bounds
from wellroom.geometry.roots import Work

_DIRECTIONS = 36
"""Sectors of a half turn: 5 degrees each, beside which a derivative's own turn in a cell is seldom small."""
_SECTOR = np.pi / _DIRECTIONS


def may_be_nearest(w: Work, b: Bounds, dims: list[int], side: int) -> NDArray[np.bool_]:
    """Return a mask (n,) of the cells that can hold the end of a shortest line.

    ``side``: +1 where the wheel lies outboard of the item, -1 inboard, 0 where it may lie on either side.
    """
    up = side or 1
    angle = (np.arange(_DIRECTIONS if side else 2 * _DIRECTIONS)[:, None] + 0.5) * _SECTOR
    cos, sin = np.cos(angle), -up * np.sin(angle)
    allowed = np.ones((len(angle), len(b.r)), dtype=bool)
    half_sector = np.hypot(b.by_r, b.by_y) * (_SECTOR / 2.0)
    for k, dim in enumerate(dims):
        free = np.flatnonzero(w.open[dim])
        if len(free):
            blur = b.bend[k, free] / b.half[k, free] + half_sector[k, free]
            allowed[:, free] &= np.abs(b.by_r[k, free] * cos + b.by_y[k, free] * sin) <= blur
        held = np.flatnonzero(w.end[dim])
        if len(held):
            end = w.end[dim, held]
            blur = b.drift[k, held] + half_sector[k, held]
            allowed[:, held] &= (end * b.by_r[k, held]) * cos + (end * b.by_y[k, held]) * sin <= blur
    if b.inward.any():
        in_r, in_y = b.inward
        into = b.drift[-1] + np.hypot(in_r, in_y) * (_SECTOR / 2.0)
        allowed &= in_r * cos + in_y * sin >= -into
    return np.asarray(allowed.any(axis=0))
