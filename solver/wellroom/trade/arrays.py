"""What the formulas take: a number or an array of numbers, broadcast against each other."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A formula whose arguments are all numbers returns a number; with one array among them, an array.
Floats = TypeVar("Floats", float, Array)

MM_PER_IN = 25.4


def half_up(value: float) -> int:
    """Return the nearest whole number, halves up, as standards round (Python's ``round`` goes to even).

    >>> half_up(444.5), half_up(157.5)
    (445, 158)
    """
    return int(np.floor(value + 0.5))
