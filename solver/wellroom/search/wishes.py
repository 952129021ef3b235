"""What a stance wishes of an axle, as bands; points for what misses them.

points = ceil(weight x miss / step) for each axle and wish. Steps: poke, gap and section 1/4 in, diameters 1
in, rim width 1/2 in, ratio 1 %, tread 1 for another kind.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wellroom.geometry.items import Floats
from wellroom.scenario.model import Stance
from wellroom.units import MM_PER_IN

RATIO = "effective_ratio_change_pct"
STEPS = {
    "poke": MM_PER_IN / 4.0,
    "gap": MM_PER_IN / 4.0,
    "section": MM_PER_IN / 4.0,
    "tire_diameter": MM_PER_IN,
    "rim_diameter": 1.0,
    "rim_width": 0.5,
    RATIO: 1.0,
    "tread": 1.0,
}
UNITS = {"rim_diameter": "in", "rim_width": "in", RATIO: "%", "tread": "kind"}
_HAIR = 1e-6


@dataclass(frozen=True)
class AxleWish:
    """One wish of one axle: its band in its own unit, weight, and whether it is a limit (``must``)."""

    name: str
    low: float
    high: float
    weight: float
    must: bool

    @property
    def unit(self) -> str:
        """The unit of the band."""
        return UNITS.get(self.name, "mm")


def axle_wishes(stance: Stance | None, axle: str) -> tuple[AxleWish, ...]:
    """Return the banded wishes of a stance for the axle called front or rear, in a fixed order."""
    if stance is None:
        return ()
    out = []
    for name in STEPS:
        if name == "tread":
            if stance.tread:
                out.append(AxleWish(name, 0.0, 0.0, stance.weights.get(name, 1.0), name in stance.must))
            continue
        wish = getattr(stance, name)
        band = getattr(wish, axle) if wish is not None else None
        if band is not None:
            out.append(
                AxleWish(name, band.low, band.high, stance.weights.get(name, 1.0), name in stance.must)
            )
    return tuple(out)


def miss(wish: AxleWish, value: Floats | float) -> Floats:
    """Return how far values miss a wish's band, >= 0, in its unit; 0 within it.

    >>> miss(AxleWish("poke", 0.0, 10.0, 1.0, False), [-1.0, 5.0, 12.5]).tolist()
    [1.0, 0.0, 2.5]
    """
    value = np.asarray(value, dtype=float)
    return np.asarray(np.maximum(np.maximum(wish.low - value, value - wish.high), 0.0))


def points(wish: AxleWish, missed: Floats | float) -> Floats:
    """Return the whole points of a miss: ceil(weight x miss / step). A miss of rounding dust is none.

    >>> points(AxleWish("poke", 0.0, 10.0, 2.0, False), [0.0, 6.35, 6.4]).tolist()
    [0.0, 2.0, 3.0]
    """
    return np.asarray(
        np.ceil(np.maximum(wish.weight * np.asarray(missed, dtype=float) / STEPS[wish.name] - _HAIR, 0.0))
    )
