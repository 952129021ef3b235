"""Range maxima over bins, for many queries at once (sparse tables)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats

Ints = NDArray[np.intp]


class RangeMax:
    """Maxima over ranges of bins of several rows at once.

    ``values`` (rows, bins). ``query(row, first, last)`` gives the maximum over bins first..last inclusive,
    clipped to the table; -inf where the range is empty. Two overlapping powers of two: exact, as maxima may
    overlap.
    """

    def __init__(self, values: Floats) -> None:
        self.bins = values.shape[1]
        levels = [values]
        width = 1
        while 2 * width <= self.bins:
            last = levels[-1]
            levels.append(np.maximum(last[:, : last.shape[1] - width], last[:, width:]))
            width *= 2
        self._flat = np.concatenate([level.ravel() for level in levels])
        sizes = np.array([level.size for level in levels], dtype=np.intp)
        self._start = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.intp)
        self._stride = np.array([level.shape[1] for level in levels], dtype=np.intp)
        self._log = np.zeros(self.bins + 1, dtype=np.intp)
        for k in range(2, self.bins + 1):
            self._log[k] = self._log[k // 2] + 1

    def query(self, row: Ints | int, first: Ints, last: Ints) -> Floats:
        """Return the maxima (n,) of bins first..last of each row."""
        lo = np.maximum(first, 0)
        hi = np.minimum(last, self.bins - 1)
        empty = lo > hi
        lo, hi = np.where(empty, 0, lo), np.where(empty, 0, hi)
        level = self._log[hi - lo + 1]
        base = self._start[level] + row * self._stride[level]
        best = np.maximum(self._flat[base + lo], self._flat[base + hi - (1 << level) + 1])
        return np.asarray(np.where(empty, -np.inf, best))
