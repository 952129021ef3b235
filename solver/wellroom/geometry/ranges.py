"""Where the greatest value of a range of bins is, for many ranges at once (sparse tables)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats

Ints = NDArray[np.intp]


class Peaks:
    """Rows of values over the same bins, with a table for each row: where the greatest of a range is.

    Two overlapping powers of two cover a range: exact, as maxima may overlap. ``values`` (rows, bins).
    """

    def __init__(self, values: Floats) -> None:
        self.values = values
        self._places = _places(values)

    def more(self, values: Floats) -> Peaks:
        """Return the same with some rows (m, bins) more."""
        out = Peaks.__new__(Peaks)
        out.values = np.concatenate([self.values, values])
        out._places = np.concatenate([self._places, _places(values)])
        return out

    def at(self, row: Ints | int, first: Ints, last: Ints) -> Ints:
        """Return the bins (n,) of the greatest values of bins first..last of each row, first <= last."""
        _, levels, bins = self._places.shape
        level = np.frexp(last - first + 1)[1].astype(np.intp) - 1
        base = (row * levels + level) * bins
        flat, one = self._places.reshape(-1), self.values.reshape(-1)
        left, right = flat[base + first], flat[base + last + 1 - (1 << level)]
        here = row * bins
        return np.asarray(np.where(one[here + right] > one[here + left], right, left), dtype=np.intp)


def renumbered(numbers: Ints) -> tuple[Ints, Ints]:
    """Return the distinct numbers (m,) of some from 0 on, ascending, and which of them each is (n,).

    As np.unique does, without sorting.
    """
    seen = np.zeros(int(numbers.max(initial=-1)) + 1, dtype=bool)
    seen[numbers] = True
    return np.flatnonzero(seen), (np.cumsum(seen) - 1)[numbers]


def _places(values: Floats) -> NDArray[np.int32]:
    """Return (rows, levels, bins): where the greatest of the 2^level bins from each on is."""
    rows, bins = values.shape
    out = np.empty((rows, max(bins, 1).bit_length(), bins), dtype=np.int32)
    out[:, 0] = np.arange(bins)
    most = values
    for level in range(1, out.shape[1]):
        half = 1 << (level - 1)
        left, right = most[:, :-half], most[:, half:]
        place, other = out[:, level - 1, : bins - half], out[:, level - 1, half:]
        count = left.shape[1]
        out[:, level] = out[:, level - 1]
        out[:, level, :count] = np.where(right > left, other[:, :count], place[:, :count])
        most = np.maximum(left, right)
    return out
