"""The hollow section of a tire on a rim, for many pairs at once.

A section is given in the half plane of distance from the axis r and lateral place y, relative to the wheel's
centre plane (middle between the flanges), y outboard. At each r from the inside of the well up to the tread
it is one interval [low(r), high(r)]; everything inside the barrel is open. ``low`` and ``-high`` are
polylines in r, so a side is a list of vertices (r, reach): reach is how far the section stands out on that
side, positive outward.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats
from wellroom.geometry.ranges import renumbered

VERTICES = 8
BARREL = 4
"""So many edges, from the inside of the well to the flange, are the rim's alone."""
_TANGENT = float(np.tan(np.pi / 8.0))


@dataclass(frozen=True)
class Sections:
    """Sides of n sections: ``r`` (n, VERTICES) ascending [mm]; ``inboard``, ``outboard`` (n, VERTICES):
    reach [mm].

    The two sides have the same r. The inside of the well is at r[:, 0]. ``rim`` (n,), where given, numbers
    the rims from 0 on: sections of one number are the same up to the flange, at vertices 3 and 4.
    """

    r: Floats
    inboard: Floats
    outboard: Floats
    rim: NDArray[np.intp] | None = None

    def take(self, rows: NDArray[np.bool_] | NDArray[np.intp]) -> Sections:
        """Return the sections chosen by a mask or an index array."""
        rim = None if self.rim is None else self.rim[rows]
        return Sections(self.r[rows], self.inboard[rows], self.outboard[rows], rim)

    @cached_property
    def barrels(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """A row (m,) of each distinct barrel, and which of them each section has (n,)."""
        if self.rim is None:
            every = np.arange(len(self.r))
            return every, every
        used, back = renumbered(self.rim)
        first = np.empty(len(used), dtype=np.intp)
        first[back[::-1]] = np.arange(len(back))[::-1]
        return first, back

    @cached_property
    def walls(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """The first row (m,) of each run of sections with the same r from the flange on, and the run of each
        section (n,).
        """
        new = np.zeros(len(self.r), dtype=bool)
        new[:1] = True
        for r in self.r[:, BARREL:].T:
            new[1:] |= r[1:] != r[:-1]
        return np.flatnonzero(new), np.cumsum(new) - 1


@dataclass(frozen=True)
class Rims:
    """Barrels of n rims [mm]: seat radius, nominal width, flanges, metal, and the well.

    ``well`` is the place of the middle of the well's flat from the centre plane, y outboard; ``flat`` its
    width, ``depth`` below the seat on the tire's side, ``ramp`` the lateral run of each ramp.
    """

    seat_radius: Floats
    width: Floats
    flange_in: Floats
    flange_out: Floats
    flange_height: Floats
    metal: Floats
    depth: Floats
    flat: Floats
    well: Floats
    ramp: Floats


@dataclass(frozen=True)
class Tires:
    """Tires of n sections as mounted [mm]: outer radius, section width on the rim, nominal rim radius, tread.

    ``shoulder`` is the radial drop from the crown to where the side wall starts (0: square), ``tread`` the
    width at the crown, ``round_side`` whether the lower side wall may be taken as an ellipse; else it stands
    straight up from the rim.
    """

    radius: Floats
    section: Floats
    rim_radius: Floats
    shoulder: Floats
    tread: Floats
    round_side: Floats


def sections(rims: Rims, tires: Tires) -> Sections:
    """Return the sections of n tires on n rims, each outline outside the true one.

    The inside of the well is its outside less the metal, its flat widened by the metal; the ramps are
    straight. The lower side wall is a quarter ellipse from the flange to the widest place at half the
    section's height, replaced by its tangents at 0, 45 and 90 degrees, which lie outside it; a square tire
    stands at its full width from the flange to the tread. Common practice, no source.
    """
    half = rims.width / 2.0
    seat = rims.seat_radius - rims.metal
    well = np.minimum(rims.seat_radius - rims.depth - rims.metal, seat)
    flange = rims.seat_radius + rims.flange_height
    wide = tires.section / 2.0
    widest = np.maximum((tires.rim_radius + tires.radius) / 2.0, flange)
    bulge = np.maximum(wide - half, 0.0)
    foot = np.where(tires.round_side > 0.0, half + _TANGENT * bulge, half + bulge)
    start = np.where(tires.round_side > 0.0, widest - _TANGENT * (widest - flange), flange)
    side = np.maximum(wide, half)
    shoulder = np.maximum(tires.radius - tires.shoulder, start)
    crown = np.minimum(np.where(tires.shoulder > 0.0, tires.tread / 2.0, side), side)
    r = np.stack(
        [well, seat, seat, flange, flange, start, shoulder, np.maximum(tires.radius, shoulder)], axis=1
    )

    def one_side(flat_edge: Floats, flange_width: Floats) -> Floats:
        edge = half + flange_width
        flat = np.minimum(flat_edge + rims.metal, edge)
        ramped = np.minimum(flat + rims.ramp, edge)
        return np.stack([flat, ramped, edge, edge, foot, side, side, crown], axis=1)

    outboard = one_side(rims.well + rims.flat / 2.0, rims.flange_out)
    inboard = one_side(-rims.well + rims.flat / 2.0, rims.flange_in)
    return Sections(r, inboard, outboard)
