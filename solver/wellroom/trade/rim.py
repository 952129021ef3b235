"""Rims: bead-seat diameters, flange contours, overall width, backspace and inset.

Two diameters carry one code and must not be mixed. This module has the *physical* bead-seat diameter, for the
barrel, the flanges and what sits inside them. The nominal diameter of tire formulas is in ``tire``.
"""
# mypy: disable-error-code="return-value, no-any-return"
# (the checker can't follow numbers and arrays through broadcasting)

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from wellroom.trade.arrays import MM_PER_IN, Floats

SEAT_TOLERANCE_MM = 0.4
"""± of a bead-seat diameter. From memory of ISO 4000-2."""

FLANGE_COMMON_MM = 12.7
"""Thickness of a flange where it is not known. Common practice, no source: overall width = nominal + 1 in."""

FIVE_DEGREE_CODES = (10.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 21.0, 22.0, 23.0, 24.0, 26.0)
FIFTEEN_DEGREE_CODES = (14.5, 16.5, 17.5, 19.5, 22.5, 24.5)


class RimError(ValueError):
    """A rim code or a contour that is not in the tables."""


def _known(code: Floats | float) -> Floats:
    codes = np.asarray(code, dtype=float)
    bad = ~np.isin(codes, FIVE_DEGREE_CODES + FIFTEEN_DEGREE_CODES)
    if np.any(bad):
        first = np.atleast_1d(codes)[np.atleast_1d(bad)][0]
        raise RimError(f"rim diameter code {first:g} is not a known code")
    return codes[()]


def bead_seat_deg(code: float) -> Literal[5, 15]:
    """Return the taper of the bead seats of a one-piece rim: 5 degrees for whole codes, 15 for half codes.

    From memory of ISO 4000-2 (5 degrees) and ISO 4209-2 (15 degrees). Multi-piece rims are not meant.
    A tire of one kind never goes on a rim of the other. Raises RimError.

    >>> bead_seat_deg(16), bead_seat_deg(16.5)
    (5, 15)
    """
    return 15 if float(_known(code)) in FIFTEEN_DEGREE_CODES else 5


def seat_diameter_mm(code: Floats | float) -> Floats:
    """Return the physical bead-seat diameter D of a one-piece rim, mm.

    From memory of ISO 4000-2 table 4: 25.4 x code - 0.8 up to code 16, + 4.8 from code 17; 15-degree rims
    exactly 25.4 x code. ``code`` [10..26]. Raises RimError for other codes.

    >>> float(seat_diameter_mm(16)), float(seat_diameter_mm(17)), float(seat_diameter_mm(22.5))
    (405.6, 436.6, 571.5)
    """
    codes = _known(code)
    extra = np.where(np.isin(codes, FIFTEEN_DEGREE_CODES), 0.0, np.where(codes <= 16.0, -0.8, 4.8))
    return np.round(codes * MM_PER_IN + extra, 4)[()]


def code_mismatch(tire_code: float, rim_code: float) -> str | None:
    """Return why a tire of one diameter code can't go on a rim of another, or None when the codes agree.

    16 and 16.5 are named for what they are: the tire can be forced over the rim and bursts while it is
    inflated. From memory of ISO 4000-2: the seats differ in diameter and in taper.

    >>> code_mismatch(17, 17), code_mismatch(17, 16)
    (None, 'a 17 tire does not go on a 16 rim')
    """
    if tire_code == rim_code:
        return None
    text = f"a {tire_code:g} tire does not go on a {rim_code:g} rim"
    if {tire_code, rim_code} == {16.0, 16.5}:
        return f"{text}: 5 and 15 degree bead seats never mix; forced on, the tire can burst and kill"
    return text


@dataclass(frozen=True)
class Contour:
    """Least and nominal figures of a 5-degree rim contour, mm.

    ``flange_width`` B (least thickness of the flange, across the wheel), ``flange_height`` G above the bead
    seat (± 1.0), ``seat_width`` P and ``seat_width_far`` P1 (least, mounting side and the other),
    ``well_depth`` H (least, below the bead seat), ``well_flat`` L (least), ``well_place_max`` M (from the
    flange, greatest), ``flange_radius`` R2 (least).
    """

    name: str
    width_min_in: float
    width_max_in: float
    code_min: float
    code_max: float
    flange_width_min_mm: float
    flange_height_mm: float
    seat_width_min_mm: float
    seat_width_far_min_mm: float
    well_depth_min_mm: float
    well_flat_min_mm: float
    well_place_max_mm: float
    flange_radius_min_mm: float


_ANY = 99.0
CONTOURS: tuple[Contour, ...] = (
    Contour("B", 3.0, 3.0, 10, 13, 10.0, 14.5, 13.0, 15.0, 15.0, 16.0, 28.0, 7.5),
    Contour("B", 3.5, 3.5, 10, 13, 10.0, 14.5, 15.0, 17.0, 15.0, 19.0, 34.0, 7.5),
    Contour("B", 4.0, 4.0, 10, 13, 10.0, 14.5, 15.0, 17.0, 15.0, 19.0, 45.0, 7.5),
    Contour("B", 4.5, _ANY, 10, 13, 10.0, 14.5, 19.5, 19.5, 15.0, 22.0, 45.0, 7.5),
    Contour("J", 3.0, 3.0, 14, 21, 11.0, 17.5, 13.0, 13.0, 17.3, 16.0, 28.0, 9.5),
    Contour("J", 3.5, 3.5, 14, 21, 11.0, 17.5, 15.0, 17.0, 17.3, 19.0, 34.0, 9.5),
    Contour("J", 4.0, 4.0, 14, 21, 11.0, 17.5, 15.0, 17.0, 17.3, 19.0, 45.0, 9.5),
    Contour("J", 4.5, _ANY, 14, 21, 11.0, 17.5, 19.5, 19.5, 17.3, 22.0, 45.0, 9.5),
    Contour("J", 4.5, _ANY, 22, _ANY, 11.0, 17.5, 19.5, 19.5, 22.0, 22.0, 45.0, 9.5),
    Contour("K", 6.0, _ANY, 16, 16, 11.5, 20.0, 19.5, 19.5, 20.0, 22.0, 47.0, 10.5),
)
"""JIS D 4218:2021 table 3, dimensions of 5-degree drop-centre rim contours."""

FLANGE_HEIGHT_TOLERANCE_MM = 1.0
"""JIS D 4218:2021 table 3: G ± 1.0. J is 17.3 in older ISO and TRA tables."""

FIFTEEN_DEGREE_FLANGE_HEIGHT_MM = 12.7
"""From memory of ISO 4209-2: flange height of 15-degree drop-centre rims."""


def contour(name: str, width_in: float, code: float) -> Contour:
    """Return the contour row for a flange letter, a nominal width (in) and a diameter code. Raises RimError.

    >>> contour("J", 8, 17).well_depth_min_mm
    17.3
    """
    for row in CONTOURS:
        fits = row.width_min_in <= width_in <= row.width_max_in and row.code_min <= code <= row.code_max
        if row.name == name and fits:
            return row
    raise RimError(f"no contour {name} for a rim {code:g} x {width_in:g}")


def flange_diameter_mm(seat_diameter_mm: Floats | float, flange_height_mm: Floats | float) -> Floats:
    """Return the outside diameter of a flange: D + 2 G, mm. Geometry of JIS D 4218:2021 table 3.

    >>> round(flange_diameter_mm(405.6, 17.5), 4)
    440.6
    """
    return seat_diameter_mm + 2.0 * flange_height_mm


def well_diameter_mm(seat_diameter_mm: Floats | float, well_depth_mm: Floats | float) -> Floats:
    """Return the tire-side diameter of the drop centre: D - 2 H, mm. Geometry of JIS D 4218:2021 table 3.

    The inner side, which a drum meets, is smaller again by twice the metal.

    >>> round(well_diameter_mm(405.6, 17.3), 4)
    371.0
    """
    return seat_diameter_mm - 2.0 * well_depth_mm


def overall_width_mm(
    nominal_in: Floats | float,
    flange_in_mm: Floats | float = FLANGE_COMMON_MM,
    flange_out_mm: Floats | float = FLANGE_COMMON_MM,
) -> Floats:
    """Return the width of a rim between the outer edges of its flanges, mm.

    Nominal width x 25.4 + both flange thicknesses (JIS D 4218:2021: A = code x 25.4, B least 11.0 a side;
    nominal + 1 in is common practice). ``nominal_in`` [> 0] in, flanges [> 0] mm.

    >>> round(overall_width_mm(7.0), 4), round(overall_width_mm(8.0, 11.0, 11.0), 4)
    (203.2, 225.2)
    """
    return nominal_in * MM_PER_IN + flange_in_mm + flange_out_mm


def inset_from_backspace(
    backspace_mm: Floats | float, flange_in_mm: Floats | float, width_mm: Floats | float
) -> Floats:
    """Return the inset, mm, positive when the mounting face is outboard of the rim's centre plane.

    backspace - inboard flange - nominal width / 2. Inset as in SAE J393 and ISO 3911; backspace is common
    practice: mounting face to the outer edge of the inboard flange. The flanges may differ.

    >>> round(inset_from_backspace(101.6, 12.7, 203.2), 4)
    -12.7
    """
    return backspace_mm - flange_in_mm - width_mm / 2.0


def backspace_from_inset(
    inset_mm: Floats | float, flange_in_mm: Floats | float, width_mm: Floats | float
) -> Floats:
    """Return the backspace, mm, of a rim with this inset, inboard flange and nominal width (all mm).

    >>> round(backspace_from_inset(0.0, 11.0, 203.2), 4)
    112.6
    """
    return inset_mm + flange_in_mm + width_mm / 2.0


def front_space(backspace_mm: Floats | float, overall_width_mm: Floats | float) -> Floats:
    """Return the front space, mm: mounting face to the outer edge of the outboard flange.

    Backspace + front space = overall width; negative when the face stands outboard of the flange.

    >>> round(front_space(101.6, 279.4), 4)
    177.8
    """
    return overall_width_mm - backspace_mm


@dataclass(frozen=True)
class Tolerances:
    """How far a wheel may be off, mm [>= 0]: backspace less and more, width over flanges less and more."""

    backspace_less: float
    backspace_more: float
    width_less: float
    width_more: float


USUAL_TOLERANCE_MM = 1.5875
"""1/16 in, on backspace and on width over the flanges: what a wheel shop is asked for. Common practice, no
source."""


def tolerances(room_less_mm: float, room_more_mm: float, usual_mm: float = USUAL_TOLERANCE_MM) -> Tolerances:
    """Return the tolerances to ask of a wheel shop so that no wheel within them leaves its window.

    ``room_less_mm``, ``room_more_mm`` [>= 0]: how far the backspace may fall and rise in its window. A rim
    wider by w at one backspace brings the tire's outboard side out by 0.7 w; one narrower by w brings the
    inboard side in by 0.3 w (half the width, and 0.4 of it in section: UN R30 6.1.1.1). Each side's room
    goes to the width first, up to half of it, the rest to the backspace; neither gets more than ``usual_mm``.

    >>> tolerances(20.0, 30.0) == Tolerances(1.5875, 1.5875, 1.5875, 1.5875)
    True
    >>> tolerances(0.0, 1.0)
    Tolerances(backspace_less=0.0, backspace_more=0.52375, width_less=1.5875, width_more=0.0)
    """
    out, inside = 0.7, 0.3
    wider = min(usual_mm, room_less_mm / 2.0 / out)
    narrower = min(usual_mm, room_more_mm / 2.0 / inside)
    less = min(usual_mm, room_less_mm - out * wider)
    more = min(usual_mm, room_more_mm - inside * narrower)
    return Tolerances(less, more, narrower, wider)
