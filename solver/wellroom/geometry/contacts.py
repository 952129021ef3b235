"""Margins and contacts of one wheel against what was swept.

The shortest line from a section to a sample bounds the shortest line to all that the sample stands for
(envelope module), so the least over the samples is a safe margin, and the sample where it is least is the
contact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.envelope import SLACK, Cells
from wellroom.geometry.items import Blocks, Floats
from wellroom.geometry.section import Sections


@dataclass(frozen=True)
class Touch:
    """The least margin to one item: signed [mm], and the row of the sample where it is least (-1: none in
    reach).
    """

    margin: float
    cell: int


def outline(parts: Sections, row: int, shift: float, blocks: Blocks) -> tuple[Floats, Floats]:
    """Return the closed outline (r, y) of one section at a shift, opened to the far side of an item that
    blocks.

    Each (m,) [mm]. An item that blocks inboard lies inboard: the wheel stands for all that is outboard of
    its inner side, so its outline runs out far outboard, and the other way round.
    """
    far = 1.0e5
    r, low, high = parts.r[row], shift - parts.inboard[row], shift + parts.outboard[row]
    if blocks is Blocks.INBOARD:
        high = np.full_like(high, far)
    elif blocks is Blocks.OUTBOARD:
        low = np.full_like(low, -far)
    return np.concatenate([r, r[::-1], r[:1]]), np.concatenate([low, high[::-1], low[:1]])


def signed_distance(r: Floats, y: Floats, outline_r: Floats, outline_y: Floats) -> Floats:
    """Return the distance (n,) [mm] of points to a closed polygon, negative inside."""
    ar, ay = outline_r[:-1], outline_y[:-1]
    dr, dy = np.diff(outline_r), np.diff(outline_y)
    length = dr * dr + dy * dy
    real = length > 0.0
    ar, ay, dr, dy, length = ar[real], ay[real], dr[real], dy[real], length[real]
    pr, py = r[:, None] - ar, y[:, None] - ay
    along = np.clip((pr * dr + py * dy) / length, 0.0, 1.0)
    distance = np.sqrt(((pr - along * dr) ** 2 + (py - along * dy) ** 2).min(axis=1))
    br = ar + dr
    crosses = (ar > r[:, None]) != (br > r[:, None])
    with np.errstate(divide="ignore", invalid="ignore"):
        at = ay + (r[:, None] - ar) * dy / dr
    inside = (crosses & (at > y[:, None])).sum(axis=1) % 2 == 1
    return np.asarray(np.where(inside, -distance, distance))


def line_bounds(distance: Floats, cells: Cells) -> Floats:
    """Return a safe lower bound (n,) [mm] of the line to all that each sample stands for."""
    clear = np.maximum(distance - cells.closed - SLACK, 0.0)
    outside = np.sqrt(np.maximum(clear**2 - cells.tau**2, 0.0)) - cells.sigma
    overlap = distance - cells.closed - SLACK - cells.tau
    return np.asarray(np.where(clear > cells.tau, outside, np.minimum(overlap, outside)) - cells.thickness)


def touch(
    cells: Cells,
    rows: NDArray[np.intp],
    parts: Sections,
    row: int,
    shift: float,
    blocks: Blocks,
    clearance: float,
) -> Touch:
    """Return the least margin [mm] of one section at a shift to one item's samples at an asked clearance."""
    if not len(rows):
        return Touch(np.inf, -1)
    outline_r, outline_y = outline(parts, row, shift, blocks)
    away = _at_least(cells.r[rows], cells.y[rows], parts, row, shift, blocks)
    more = cells.closed[rows] + cells.tau[rows] + cells.sigma[rows] + cells.thickness[rows]
    slack = float(more.max()) + SLACK
    first = np.argpartition(away, min(_FIRST, len(rows) - 1))[:_FIRST]
    bound = np.full(len(rows), np.inf)
    for chosen in (first, None):
        if chosen is None:
            chosen = np.flatnonzero((away - slack <= bound.min()) & np.isinf(bound))
        part = cells.take(rows[chosen])
        bound[chosen] = line_bounds(signed_distance(part.r, part.y, outline_r, outline_y), part)
    best = int(np.argmin(bound))
    return Touch(float(bound[best]) - clearance, int(rows[best]))


_FIRST = 128


def _at_least(r: Floats, y: Floats, parts: Sections, row: int, shift: float, blocks: Blocks) -> Floats:
    """Return a cheap lower bound (n,) [mm] of each sample's distance to a section: to the box around it."""
    out = np.maximum(r - parts.r[row, -1], parts.r[row, 0] - r)
    if blocks is not Blocks.OUTBOARD:
        out = np.maximum(out, shift - parts.inboard[row].max() - y)
    if blocks is not Blocks.INBOARD:
        out = np.maximum(out, y - shift - parts.outboard[row].max())
    return np.asarray(out)
