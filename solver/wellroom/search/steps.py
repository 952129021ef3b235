"""The steps of backspace that many wheels can have, and those of them that are still open."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats
from wellroom.search.rims import Rims

Ints = NDArray[np.intp]
_HAIR = 1e-9
USUAL_STEP = 3.175
"""The step [mm] that wheel builders work to, 1/8 in: common practice."""


class Steps:
    """The open steps of n wheels: of each a run from ``first`` to ``last``, less the holes in it.

    Step k of a made wheel is the backspace k times the step [mm]; a wheel that exists has its own alone,
    called step 0. Neither end of a run is in a hole, so a wheel is open where its run is not empty.
    """

    def __init__(self, rims: Rims, step: float) -> None:
        self._step, self._fixed, self._own = step, rims.source != "made", rims.backspace_low
        first = np.ceil(rims.backspace_low / step - _HAIR)
        last = np.floor(rims.backspace_high / step + _HAIR)
        self.first: Ints = np.where(self._fixed, 0.0, first).astype(np.intp)
        self.last: Ints = np.where(self._fixed, 0.0, last).astype(np.intp)
        self._holes: list[tuple[Ints, Ints]] = []

    @property
    def open(self) -> NDArray[np.bool_]:
        """Which wheels have an open step left (n,)."""
        return self.first <= self.last

    def ends(self) -> tuple[Floats, Floats]:
        """Return the least and the greatest open backspace (n,) [mm] of wheels that are open."""
        every = np.arange(len(self.first))
        return self._backspace(every, self.first), self._backspace(every, self.last)

    def close(self, low: Floats, high: Floats) -> None:
        """Close all steps strictly between low and high, each (n,) [mm]; nothing where low is not below."""
        below, above = self._up_to(low), self._from(high)
        some = (low < high) & (above - below > 1)
        bottom, top = some & (below < self.first), some & (above > self.last)
        self.first = np.where(bottom, above, self.first)
        self.last = np.where(top, below, self.last)
        hole = some & ~bottom & ~top
        if hole.any():
            self._holes.append((np.where(hole, below + 1, 1), np.where(hole, above - 1, 0)))
        for _ in self._holes:
            for start, end in self._holes:
                self.first = np.where((start <= self.first) & (self.first <= end), end + 1, self.first)
                self.last = np.where((start <= self.last) & (self.last <= end), start - 1, self.last)

    def rows(self) -> tuple[Ints, Floats]:
        """Return (wheel, backspace [mm]) of every open step, wheel by wheel, ascending."""
        count = np.maximum(self.last - self.first + 1, 0)
        wheel = np.repeat(np.arange(len(count)), count)
        step = self.first[wheel] + np.arange(len(wheel)) - np.repeat(np.cumsum(count) - count, count)
        for start, end in self._holes:
            left = (step < start[wheel]) | (step > end[wheel])
            wheel, step = wheel[left], step[left]
        return wheel, self._backspace(wheel, step)

    def _backspace(self, wheel: Ints, step: Ints) -> Floats:
        return np.where(self._fixed[wheel], self._own[wheel], step * self._step)

    def _up_to(self, low: Floats) -> Ints:
        """Return the last step (n,) that is not above ``low``, or the one before the first."""
        limit = np.clip(low, (self.first - 1) * self._step, self.last * self._step)
        step = np.floor(limit / self._step)
        step += (step + 1.0) * self._step <= limit
        step -= step * self._step > limit
        step = np.where(self._fixed, np.where(self._own <= low, 0.0, -1.0), step)
        return np.clip(step.astype(np.intp), self.first - 1, self.last)

    def _from(self, high: Floats) -> Ints:
        """Return the first step (n,) that is not below ``high``, or the one after the last."""
        limit = np.clip(high, self.first * self._step, (self.last + 1) * self._step)
        step = np.ceil(limit / self._step)
        step -= (step - 1.0) * self._step >= limit
        step += step * self._step < limit
        step = np.where(self._fixed, np.where(self._own >= high, 0.0, 1.0), step)
        return np.clip(step.astype(np.intp), self.first, self.last + 1)
