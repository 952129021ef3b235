"""What is left of a sweep: samples that each stand for a part of the swept items."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats

Ints = NDArray[np.intp]

REACH_LOW, REACH_HIGH = 110.0, 720.0
"""Distances from the wheel's axis [mm] within which a wheel can be met: tires up to 56 in."""
SLACK = 0.08
"""How far [mm] the swept items may pass beyond what is kept of them."""


@dataclass(frozen=True)
class Cells:
    """Samples (m of them) that together stand for all the swept items, for every wheel.

    If the shortest line from a wheel to the swept items has length d, then to some sample the line is no
    longer than sqrt((d + sigma)^2 + tau^2) + closed + SLACK.

    ``item`` (m,) index into the items; ``r``, ``y`` (m,) [mm]: distance from the axis and lateral place in
    the wheel's frame; ``tau``: a sample's travel over the parameters that the line is perpendicular to,
    ``sigma``: what that travel can add along the line, ``closed``: travel over the rest, each (m,) [mm];
    ``thickness`` (m,) [mm]; ``at`` (m, 3) place on the item in the hub frame [mm]; ``pose`` (m, DIMS)
    parameters.
    """

    item: Ints
    r: Floats
    y: Floats
    tau: Floats
    sigma: Floats
    closed: Floats
    thickness: Floats
    at: Floats
    pose: Floats

    def growth(self, clearance: Floats | float) -> Floats:
        """Return the radius [mm] to which each sample grows for a clearance [mm]."""
        asked = self.thickness + clearance
        return np.asarray(np.sqrt((asked + self.sigma) ** 2 + self.tau**2) + self.closed + SLACK)

    def take(self, rows: NDArray[np.bool_] | Ints) -> Cells:
        """Return the samples chosen by a mask or an index array."""
        return Cells(**{name: getattr(self, name)[rows] for name in self.__dataclass_fields__})
