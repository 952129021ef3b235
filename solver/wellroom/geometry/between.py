"""What is swept between an item's two lines, where no wheel can stand.

A thing that blocks nothing is covered from both sides: what lies between the two lines of a distance is not
looked at. From farther out or nearer in, past the end of the lines or where they jump, a wheel can meet what
lies between: there the side is open, and samples stand across it as a wall. Such a wall can stand far from
all that is swept, so what has tall ones is swept once more, endways: between a nearer and a farther line of
each place, which has walls of its own. What either sweep kept is kept; what both hid lies between both pairs
of lines, and a way out of there leads through lines or through those parts of the walls that lie between the
other pair. No other part is kept.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats
from wellroom.geometry.samples import SLACK, Ints
from wellroom.geometry.swept import BIN, FIRST_Y, Samples, Swept

_JUMP = 0.02
"""Lines of neighbouring bins closer than this [mm] are one: it is within what a line stands for."""
_TALL = 0.5
"""Walls up to this [mm] are left as they are."""
_EPS = 1e-9


class Between:
    """An item's two lines, looked at one way: ``upper`` of side +1, ``lower`` of side -1."""

    def __init__(self, upper: Swept, lower: Swept, item: int) -> None:
        self.upper, self.lower, self.item = upper, lower, item
        self.lines = upper.of(item)
        self.x, self.low, self.high, self.bins = self._walls()

    @property
    def tall(self) -> bool:
        """Whether a wall is tall enough to be worth a second look."""
        return bool((self.high - self.low > _TALL).any())

    def walls(self, asked: float, other: Between | None) -> Samples:
        """Return samples across the open sides, close enough for the target at a clearance [mm]; only what
        lies between the lines of the other way to look, if there is one.
        """
        swept = self.upper
        extra = swept.tolerance - SLACK
        most = np.sqrt((asked + swept.target - extra) ** 2 - asked**2)
        count = np.maximum(np.ceil((self.high - self.low) / (2.0 * most)), 1.0).astype(np.intp)
        row = np.repeat(np.arange(len(count)), count)
        number = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
        share, spread = (number + 0.5) / count[row], ((self.high - self.low) / 2.0 / count)[row]
        x, along = self.x[row], self.low[row] + (self.high - self.low)[row] * share
        r, y = swept.placed(x, along)
        if other is not None:
            keep = np.flatnonzero(other.holds(r, y, spread))
            r, y, spread, row = r[keep], y[keep], spread[keep], row[keep]
        at = self.bins[row]
        return r, y, spread, np.full(len(r), extra), self.lines.root[at], self.lines.pose[:, at]

    def holds(self, r: Floats, y: Floats, spread: Floats) -> NDArray[np.bool_]:
        """Return a mask (n,) of the places, and all along these bins within ``spread`` [mm] of them, between
        the lines.
        """
        x, along = (y - FIRST_Y, r) if self.upper.endways else (r, y)
        top, bottom = (
            swept.over(swept.top(self.item), x - spread, x + spread) + swept.tolerance
            for swept in (self.upper, self.lower)
        )
        return np.asarray((along <= top) & (-along <= bottom))

    def _walls(self) -> tuple[Floats, Floats, Floats, Ints]:
        """Return where along the bins walls stand, from where to where, and bins whose lines they end.

        At each end of a run of bins that have both lines from one to the other, and at each jump of one.
        """
        upper, lower, item = self.lines, self.lower.of(self.item), self.item
        first, last = np.maximum(upper.first, lower.first), np.minimum(upper.last, lower.last)
        both = last >= first
        old = np.stack([self.upper.replaced_height(item), self.lower.replaced_height(item)])
        left, right = (np.maximum([upper.height(at), lower.height(at)], old) for at in (first, last))
        left[1], right[1] = -left[1], -right[1]
        whole = both & (last - first > BIN - _EPS)
        to_next = np.append(whole[1:] & whole[:-1], False)
        to_last = np.append(False, to_next[:-1])
        mended = np.isfinite(old).any(axis=0)
        middle = (np.arange(len(both)) + 0.5) * BIN
        start, end = np.flatnonzero(both & (~to_last | mended)), np.flatnonzero(both & (~to_next | mended))
        jumps = np.flatnonzero(to_last)
        parts = [
            (middle[start] + first[start], left[1, start], left[0, start], start),
            (middle[end] + last[end], right[1, end], right[0, end], end),
            *((middle[jumps] - BIN / 2.0, right[k, jumps - 1], left[k, jumps], jumps) for k in (0, 1)),
        ]
        x, one, other, bins = (np.concatenate([part[k] for part in parts]) for k in range(4))
        wide = np.flatnonzero(np.abs(other - one) > _JUMP)
        return x[wide], np.minimum(one, other)[wide], np.maximum(one, other)[wide], bins[wide]
