"""How far grown samples reach at each distance from the axis, and how far at most along an edge.

Discs are sorted into bins of r. A bin holds the discs that reach farthest somewhere in it, so whatever is
asked of a bin is exact from those few. Over many bins, for an edge that rises by ``slope``, the greatest of
Y(r) + slope r is sought by bound: tables hold the exact maxima of each bin for some slopes, and between two
of them the chord is an upper bound, since a maximum of lines is convex in the slope.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats
from wellroom.geometry.ranges import Peaks

Ints = NDArray[np.intp]

STEP = 0.25
"""Width of a bin [mm]. Not an error: what a bin holds is taken exactly."""
_WIDEST, _PARTS = 16.0 * STEP, 8
"""Discs are held against each other over places this wide, then narrower, last over such parts of a bin."""
_HAIR, _NOWHERE = 1e-9, -1e9
_TURN = 1.0 / 16.0
"""Between the slopes that are tabled: of the area hyperbolic sine of the slope."""
_SLOPES = 192
"""Tabled on either side of level; beyond the steepest there is no bound and every bin is taken exactly."""


@dataclass(frozen=True)
class Curve:
    """How far discs reach at each distance from the axis, in one direction.

    ``towards`` +1: largest y, closing shifts below; -1: largest -y, closing shifts above. Bin k of the curve
    holds r from (first + k) STEP on, and discs ``start[k]`` to ``start[k + 1]`` of ``r``, ``y`` (in that
    direction) and ``growth`` [mm]. ``reach`` (bins,) [mm]: the farthest in each bin, -inf where none is.
    """

    towards: int
    first: int
    start: Ints
    r: Floats
    y: Floats
    growth: Floats
    reach: Floats

    @classmethod
    def of(cls, towards: int, r: Floats, y: Floats, growth: Floats) -> Curve:
        """Return the curve of discs (n,); of each bin those that surely stay below the others are left out.

        Places of r are split, wide ones first, and a disc is followed only where it may still show.
        """
        low, high = (np.floor(end / _WIDEST).astype(np.intp) for end in (r - growth, r + growth))
        disc, place = spread(low, high)
        first, reach, width = 0, np.zeros(0), _WIDEST
        for parts in (1, 4, 4, _PARTS):
            width /= parts
            disc, place = np.repeat(disc, parts), (place[:, None] * parts + np.arange(parts)).ravel()
            most, least = _over(r[disc], y[disc], growth[disc], np.asarray(place * width), width)
            start = int(place.min(initial=0))
            surely = _greatest(place - start, least)[place - start]
            kept = np.flatnonzero((most >= surely - _HAIR) & (most > -np.inf))
            disc, place, most = disc[kept], place[kept], most[kept]
            if width == STEP:
                first = int(place.min(initial=0))
                reach = _greatest(place - first, most)
        both = np.unique(place // _PARTS * len(r) + disc)
        bins, disc = np.divmod(both, max(len(r), 1))
        edges = np.searchsorted(bins, np.arange(first, first + len(reach) + 1)).astype(np.intp)
        return cls(towards, first, edges, r[disc], y[disc], growth[disc], reach)

    def at(self, r: Floats) -> Ints:
        """Return the bins (n,) of distances from the axis, which may lie outside of the curve's own."""
        return np.floor(r / STEP).astype(np.intp) - self.first

    def along(self, bins: Ints, low: Floats, high: Floats, slope: Floats) -> Floats:
        """Return the exact maximum (n,) of Y(r) + slope r over r in [low, high], each within its bin [mm]."""
        out = np.full(len(bins), -np.inf)
        here, end = self.start[bins], self.start[bins + 1]
        lean = slope / np.sqrt(1.0 + slope**2)
        rows = np.flatnonzero(here < end)
        disc = here[rows]
        while len(rows):
            r, growth, steep = self.r[disc], self.growth[disc], slope[rows]
            place = np.minimum(np.maximum(r + growth * lean[rows], low[rows]), high[rows])
            rise = growth**2 - (place - r) ** 2
            value = self.y[disc] + np.sqrt(np.maximum(rise, 0.0)) + steep * place
            out[rows] = np.maximum(out[rows], np.where(rise >= 0.0, value, -np.inf))
            disc = disc + 1
            more = disc < end[rows]
            rows, disc = rows[more], disc[more]
        return out

    @cached_property
    def flat(self) -> Peaks:
        """The peaks of the bins."""
        return Peaks(self.reach[None, :])

    def farthest(self, low: Floats, high: Floats) -> Floats:
        """Return an upper bound (n,) of Y over r in [low, high]: that of its bins [mm]."""
        first = np.maximum(self.at(low), 0)
        last = np.minimum(self.at(high), len(self.reach) - 1)
        out = np.full(len(first), -np.inf)
        some = np.flatnonzero(first <= last)
        out[some] = self.reach[self.flat.at(0, first[some], last[some])]
        return out

    @cached_property
    def _tables(self) -> _Tables:
        return _Tables(self)

    def bound(self, slope: Floats, first: Ints, last: Ints) -> tuple[Floats, Ints]:
        """Return an upper bound (n,) of Y(r) + slope r over bins first..last, first <= last, and the bin that
        promises most.
        """
        return self._tables.bound(slope, first, last)


class _Tables:
    """Maxima of Y(r) + slope r over each bin, for slopes between which others are bounded; made as asked."""

    def __init__(self, curve: Curve) -> None:
        self._curve = curve
        self._row = np.full(2 * _SLOPES + 2, -1, dtype=np.intp)
        self._peaks = Peaks(np.zeros((0, len(curve.reach))))

    def bound(self, slope: Floats, first: Ints, last: Ints) -> tuple[Floats, Ints]:
        turn = np.arcsinh(slope) / _TURN
        kind = np.clip(np.floor(turn), -_SLOPES, _SLOPES - 1).astype(np.intp)
        below, above = np.sinh(kind * _TURN), np.sinh((kind + 1) * _TURN)
        share = (slope - below) / (above - below)
        self._learn(kind)
        one, two = self._row[kind + _SLOPES], self._row[kind + 1 + _SLOPES]
        left, right = self._peaks.at(one, first, last), self._peaks.at(two, first, last)
        values = self._peaks.values
        most = (1.0 - share) * values[one, left] + share * values[two, right]
        most = np.where(most > _NOWHERE / 2.0, most, -np.inf)
        return np.where(np.abs(turn) < _SLOPES, most, np.inf), np.where(share < 0.5, left, right)

    def _learn(self, kind: Ints) -> None:
        """Make the tables that slopes of these kinds lie between."""
        asked = np.zeros(len(self._row), dtype=bool)
        asked[kind + _SLOPES] = asked[kind + 1 + _SLOPES] = True
        new = np.flatnonzero(asked & (self._row < 0)) - _SLOPES
        if not len(new):
            return
        curve, count = self._curve, len(self._peaks.values)
        bins, rows = np.tile(np.arange(len(curve.reach)), len(new)), np.repeat(new, len(curve.reach))
        left = np.asarray((bins + curve.first) * STEP)
        values = np.maximum(curve.along(bins, left, left + STEP, np.sinh(rows * _TURN)), _NOWHERE)
        self._peaks = self._peaks.more(values.reshape(len(new), -1))
        self._row[new + _SLOPES] = np.arange(count, count + len(new))


def spread(low: Ints, high: Ints) -> tuple[Ints, Ints]:
    """Return (owner, bin) of every bin from low to high of each owner (n,)."""
    count = np.maximum(high - low + 1, 0)
    owner = np.repeat(np.arange(len(low)), count)
    return owner, low[owner] + np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)


def _greatest(place: Ints, values: Floats) -> Floats:
    """Return the greatest value of each place from 0 on, -inf where there is none."""
    out = np.full(int(place.max(initial=-1)) + 1, -np.inf)
    np.maximum.at(out, place, values)
    return out


def _over(r: Floats, y: Floats, growth: Floats, left: Floats, width: float) -> tuple[Floats, Floats]:
    """Return the farthest that discs (n,) reach somewhere in [left, left + width], and everywhere in it
    [mm].
    """
    before, after = left - r, left + width - r
    square = growth**2
    near = np.where((before <= 0.0) & (after >= 0.0), 0.0, np.minimum(before**2, after**2))
    far = np.maximum(before**2, after**2)
    most = np.where(near <= square + _HAIR, y + np.sqrt(np.maximum(square - near, 0.0)), -np.inf)
    least = np.where(far <= square, y + np.sqrt(np.maximum(square - far, 0.0)), -np.inf)
    return most, least
