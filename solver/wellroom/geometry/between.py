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
from wellroom.geometry.swept import BIN, FIRST_Y, Samples, Swept, over_bins

_JUMP = 0.02
"""Lines of neighbouring bins closer than this [mm] are one: it is within what a line stands for."""
_TALL = 0.1
"""Walls up to this [mm] are left as they are."""
_EPS = 1e-9

Walls = tuple[Floats, Floats, Floats, Ints]
"""Where along the bins walls stand, from where to where [mm], and bins whose lines they end, each (n,)."""


class Between:
    """An item's two lines, looked at one way: ``upper`` of side +1, ``lower`` of side -1."""

    def __init__(self, upper: Swept, lower: Swept, item: int) -> None:
        self.upper, self.lower, self.item = upper, lower, item
        self.lines = upper.of(item)
        self.open = self._walls()

    @property
    def tall(self) -> bool:
        """Whether a wall is tall enough to be worth a second look."""
        _, low, high, _ = self.open
        return bool((high - low > _TALL).any())

    def walls(self, asked: float, other: Between | None) -> Samples:
        """Return samples across the open sides, close enough for the target at a clearance [mm]; only what
        lies between the lines of the other way to look, if there is one.
        """
        swept = self.upper
        x, low, high, bins = self.open if other is None else self._within(other)
        extra = swept.tolerance - SLACK
        most = np.sqrt((asked + swept.target - extra) ** 2 - asked**2)
        count = np.maximum(np.ceil((high - low) / (2.0 * most)), 1.0).astype(np.intp)
        row = np.repeat(np.arange(len(count)), count)
        number = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
        along = low[row] + (high - low)[row] * (number + 0.5) / count[row]
        spread, at = ((high - low) / 2.0 / count)[row], bins[row]
        r, y = swept.placed(x[row], along)
        return r, y, spread, np.full(len(r), extra), self.lines.root[at], self.lines.pose[:, at]

    def _within(self, other: Between) -> Walls:
        """Return the stretches of the walls that lie between the other lines, bin by bin of these."""
        x, low, high, bins = self.open
        turn = 0.0 if self.upper.endways else FIRST_Y
        row, bin_, _ = over_bins(low - turn, high - turn)
        low, high = np.maximum(low[row], bin_ * BIN + turn), np.minimum(high[row], (bin_ + 1) * BIN + turn)
        across = x[row] + (FIRST_Y if self.upper.endways else 0.0)
        inside = other._holds(low - turn, high - turn, across)
        joined = inside[1:] & inside[:-1] & (row[1:] == row[:-1])
        first = np.flatnonzero(inside & ~np.append(False, joined))
        last = np.flatnonzero(inside & ~np.append(joined, False))
        return x[row[first]], low[first], high[last], bins[row[first]]

    def _holds(self, low: Floats, high: Floats, along: Floats) -> NDArray[np.bool_]:
        """Return a mask (n,) of places ``along`` [mm] that lie between the lines somewhere from ``low`` to
        ``high`` along the bins, or a little past them.
        """
        past = self.upper.tolerance / 2.0  # more than what a line covers can lie past its end
        row, bins, _ = over_bins(low - past, high + past)
        out = []
        for swept in (self.upper, self.lower):
            most = np.full(len(low), -np.inf)
            np.maximum.at(most, row, swept.top(self.item)[bins])
            out.append(most + past)
        return np.asarray((along <= out[0]) & (-along <= out[1]))

    def _walls(self) -> Walls:
        """Return the walls.

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
