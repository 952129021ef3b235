"""Whether a cell can hold the end of a shortest line from some wheel.

In the (r, y) plane such a line has one direction, from the wheel to the item. Every open derivative is
perpendicular to it, and a step inward from an end of a parameter's range, or from a face into its solid, must
not shorten it. The wheel lies on the open side of an item that blocks, so the line points away from there.
The open derivative whose turn in the cell is least against its size leaves an arc of directions; a few, each
standing for its part of that arc, are tried on all the rest; a cell that allows none is out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.bounds import Bounds
from wellroom.geometry.items import Floats, length
from wellroom.geometry.roots import Work

_PARTS = 4
"""Directions tried in the arc, half of them on each side of its middle."""
_OFFSETS = (2.0 * np.arange(_PARTS // 2)[:, None] + 1.0) / _PARTS
_EPS = 1e-9


def may_be_nearest(w: Work, b: Bounds, dims: list[int], side: Floats) -> NDArray[np.bool_]:
    """Return a mask (n,) of the cells that can hold the end of a shortest line.

    ``side`` (n,): +1 where the wheel lies outboard of the item, -1 inboard, 0 where it may lie on either.
    """
    opened, end = w.open[dims], w.end[dims]
    size = length(b.by_r, b.by_y)
    turn = np.divide(b.bend, b.half, out=np.full_like(size, np.inf), where=opened)
    (to_r, to_y), spread = _arc(b, size, turn)
    part = spread / _PARTS
    aside_r, aside_y = np.cos(spread * _OFFSETS), np.sin(spread * _OFFSETS)
    cos = np.concatenate([to_r * aside_r - to_y * aside_y, to_r * aside_r + to_y * aside_y])
    sin = np.concatenate([to_y * aside_r + to_r * aside_y, to_y * aside_r - to_r * aside_y])
    allowed = np.ones(cos.shape, dtype=bool)
    along = [b.by_r[k] * cos + b.by_y[k] * sin for k in range(len(dims))]
    for k, value in enumerate(along):
        allowed &= np.abs(value) <= turn[k] + size[k] * part
    held = np.flatnonzero(end.any(axis=1)).tolist()
    in_r, in_y = b.inward
    into, solid = length(in_r, in_y), b.inward.any()
    found = np.zeros(len(b.r), dtype=bool)
    for sign in (1.0, -1.0):
        ok = allowed & (side * sign * sin <= np.sin(part) + _EPS)
        for k in held:
            blur = np.where(end[k] != 0, b.drift[k] + size[k] * part, np.inf)
            ok &= (sign * end[k]) * along[k] <= blur
        if solid:
            ok &= sign * (in_r * cos + in_y * sin) >= -(b.drift[-1] + into * part)
        found |= ok.any(axis=0)
    return found


def _arc(b: Bounds, size: Floats, turn: Floats) -> tuple[tuple[Floats, Floats], Floats]:
    """Return of an arc, of either sign, that holds each cell's directions its middle, as a unit vector (r,
    y), and its half width [rad].
    """
    rows = np.arange(len(b.r))
    share = np.divide(turn, size, out=np.full_like(size, np.inf), where=size > 0.0)
    best = np.argmin(share, axis=0)
    spread = np.arcsin(np.minimum(share[best, rows], 1.0)) + _EPS
    whole = size[best, rows]
    scale = np.divide(1.0, whole, out=np.zeros_like(whole), where=whole > 0.0)
    to_r = np.where(whole > 0.0, -b.by_y[best, rows] * scale, 1.0)
    return (to_r, b.by_r[best, rows] * scale), spread
