"""Tires: design section and diameter, new-tire tolerances, rolling and loaded radius.

Design diameters are built on the *nominal* rim diameter (``nominal_diameter_mm``), never on the bead seat.
"""
# mypy: disable-error-code="return-value, no-any-return"
# (the checker can't follow numbers and arrays through broadcasting)

from __future__ import annotations

import numpy as np

from wellroom.trade.arrays import MM_PER_IN, Bools, Floats, half_up

SECTION_PER_RIM = 0.4
"""Section width gained per rim width gained. UN R30 6.1.1.1, K = 0.4."""

ROLLING_RADIAL = 3.05
"""Rolling circumference / outside diameter, radial. From memory of ETRTO (60 km/h)."""

ROLLING_BIAS = 2.99
"""The same for diagonal and bias-belted tires. From memory of ETRTO; not firm."""

FIFTEEN_DEGREE_WIDTHS_IN = (5.25, 6.0, 6.75, 7.5, 8.25, 9.0, 9.75, 10.5, 11.75, 13.0, 14.0)
"""Rim widths on 15-degree seats. From memory of ISO 4209-2."""

MM_PER_MILE = 1_609_344.0
FLAT_TREAD_SHARE = 0.75
"""Rim width over section width from which a tread stands flat. Common practice, no source."""


def nominal_diameter_mm(code: Floats | float) -> Floats:
    """Return the nominal rim diameter d of tire formulas, mm: 25.4 x code to the nearest millimetre.

    From memory of UN R30 and R54, definition of d (16: 406, 17: 432, 17.5: 445). ``code`` [10..30].

    >>> float(nominal_diameter_mm(16)), float(nominal_diameter_mm(17.5))
    (406.0, 445.0)
    """
    return np.floor(np.round(np.asarray(code, dtype=float) * MM_PER_IN, 6) + 0.5)[()]


def theoretical_rim_ratio(aspect: float, code: float = 15.0) -> float:
    """Return x, the theoretical rim width over the section width. From memory of ISO 4000-1 and ETRTO.

    15-degree rims (half codes) have 0.75, from memory of ETRTO: it gives the remembered 298 mm of a
    295/80R22.5 on 9.00, 312 of a 315/80R22.5 on 9.00 and 262 of a 265/70R19.5 on 7.50.

    >>> theoretical_rim_ratio(70), theoretical_rim_ratio(40), theoretical_rim_ratio(25)
    (0.7, 0.85, 0.9)
    """
    if code % 1.0 == 0.5:
        return 0.75
    return 0.70 if aspect >= 50 else 0.85 if aspect >= 30 else 0.90


def measuring_rim_in(section_mm: float, aspect: float, code: float = 15.0) -> float:
    """Return the measuring rim width, in, of a metric size.

    From memory of ISO 4000-1 and ETRTO: 0.70, 0.75, 0.80, 0.85, 0.90 of the section by aspect, to the nearest
    1/2 in. 15-degree rims come in their own widths: the nearest of those (arithmetic, no standard).

    >>> measuring_rim_in(285, 70), measuring_rim_in(225, 70, 19.5)
    (8.5, 6.75)
    """
    ratio = 0.70 if aspect >= 75 else 0.75 if aspect >= 60 else 0.80 if aspect >= 50 else 0.85
    ratio = 0.90 if aspect < 45 else ratio
    width = ratio * section_mm / MM_PER_IN
    if code % 1.0 == 0.5:
        width = max(ratio, 0.75) * section_mm / MM_PER_IN
        return min(FIFTEEN_DEGREE_WIDTHS_IN, key=lambda offered: abs(offered - width))
    return half_up(width * 2.0) / 2.0


def section_height_mm(section_mm: float, aspect: float) -> float:
    """Return the design section height, mm: section x aspect / 100 to the millimetre.

    From memory of UN R30, UN R54, ISO 4000-1.

    >>> section_height_mm(285, 70)
    200.0
    """
    return float(half_up(round(section_mm * aspect / 100.0, 6)))


def design_diameter_mm(section_mm: float, aspect: float, code: float) -> float:
    """Return the design outside diameter, mm: d + 2 H with H rounded first. From memory of UN R30.

    >>> design_diameter_mm(285, 70, 17)
    832.0
    """
    return float(nominal_diameter_mm(code)) + 2.0 * section_height_mm(section_mm, aspect)


def design_section_mm(section_mm: float, aspect: float, rim_in: float, code: float = 15.0) -> float:
    """Return the design section width on a rim, mm: S1 + 0.4 (A - x S1), to the millimetre.

    UN R30 6.1.1.1, A = rim width code x 25.4; x from memory of ISO 4000-1.

    >>> design_section_mm(205, 60, 6.0), design_section_mm(295, 80, 9.0, 22.5)
    (209.0, 298.0)
    """
    theoretical = theoretical_rim_ratio(aspect, code) * section_mm
    return float(half_up(round(section_mm + SECTION_PER_RIM * (rim_in * MM_PER_IN - theoretical), 6)))


def section_on_rim(
    section_mm: Floats | float, measuring_rim_in: Floats | float, rim_in: Floats | float
) -> Floats:
    """Return the section width on another rim, mm: + 0.4 x the change of rim width.

    UN R30 6.1.1.1 (K = 0.4); "approximately 5 mm for each 0.5 in" in a tire data sheet. ``section_mm`` on the
    measuring rim, rims in in. Valid within the approved rim widths.

    >>> round(section_on_rim(268.0, 8.5, 7.0), 2), section_on_rim(268.0, 8.5, 8.5)
    (252.76, 268.0)
    """
    return section_mm + SECTION_PER_RIM * MM_PER_IN * (rim_in - measuring_rim_in)


def od_limits(
    od_mm: Floats | float,
    code: Floats | float,
    *,
    radial: bool = True,
    commercial: bool = False,
    special: bool = False,
    snow: bool = False,
) -> tuple[Floats, Floats]:
    """Return the least and greatest outside diameter of a new tire, mm.

    d + 0.97 x 2H and d + b x 2H, 2H = design diameter - d. From memory of UN R30 (b 1.04 radial, 1.08
    diagonal) and, ``commercial``, UN R54 (1.04, 1.07; ``special`` use 1.06, 1.09); the greatest + 1 % for
    ``snow`` tires.

    >>> [round(float(x), 2) for x in od_limits(774.0, 16)]
    [762.96, 788.72]
    """
    nominal = nominal_diameter_mm(code)
    heights = od_mm - nominal
    if commercial:
        most = (1.06 if special else 1.04) if radial else (1.09 if special else 1.07)
    else:
        most = 1.04 if radial else 1.08
    return nominal + 0.97 * heights, (nominal + most * heights) * (1.01 if snow else 1.0)


def section_limits(
    section_mm: Floats | float,
    *,
    radial: bool = True,
    commercial: bool = False,
    dual_wide: bool = False,
) -> tuple[Floats, Floats]:
    """Return the least and greatest section width of a new tire, mm.

    Greatest: from memory of UN R30 (+ 4 % radial, + 6 % diagonal) and, ``commercial``, UN R54 (+ 4 %, + 8 %;
    ``dual_wide``, sections over 305 mm made for dual fitting: + 2 %, + 4 %). Least: - 3 %, common practice,
    no source.

    >>> [round(x, 2) for x in section_limits(248.0)]
    [240.56, 257.92]
    """
    if dual_wide and commercial:
        most = 1.02 if radial else 1.04
    else:
        most = 1.04 if radial else (1.08 if commercial else 1.06)
    return 0.97 * section_mm, most * section_mm


def rolling_circumference_mm(od_mm: Floats | float, radial: bool = True) -> Floats:
    """Return the rolling circumference, mm: 3.05 x diameter, radial; 2.99 diagonal. From memory of ETRTO.

    >>> round(rolling_circumference_mm(632.0), 1)
    1927.6
    """
    return (ROLLING_RADIAL if radial else ROLLING_BIAS) * od_mm


def rolling_radius(od_mm: Floats | float, radial: bool = True) -> Floats:
    """Return the rolling circumference / 2 pi, mm. From memory of ETRTO.

    >>> round(rolling_radius(806.0), 1)
    391.3
    """
    return rolling_circumference_mm(od_mm, radial) / (2.0 * np.pi)


def revolutions_per_mile(circumference_mm: Floats | float) -> Floats:
    """Return the turns in a mile of 63,360 in. Definition.

    >>> round(revolutions_per_mile(3.05 * 806.0))
    655
    """
    return MM_PER_MILE / circumference_mm


def effective_radius_mm(free_mm: Floats | float, loaded_mm: Floats | float) -> Floats:
    """Return the effective rolling radius from the free and the loaded one, mm: (2 R + R_loaded) / 3.

    Jazar, Vehicle Dynamics, chapter 1; for small deflections (loaded within about 10 % of free).

    >>> round(effective_radius_mm(387.0, 365.0), 2), effective_radius_mm(400.0, 400.0)
    (379.67, 400.0)
    """
    return (2.0 * free_mm + loaded_mm) / 3.0


def loaded_radius_mm(od_mm: Floats | float) -> Floats:
    """Return the static loaded radius, mm: 0.96 x half the diameter. Common practice, no source: measure it.

    >>> round(loaded_radius_mm(800.0), 1)
    384.0
    """
    return 0.48 * od_mm


def lower_bulge_mm(section_mm: Floats | float, share: float = 0.05, aired_down: bool = False) -> Floats:
    """Return how far each side wall stands out under load near the ground, mm. Common practice, no source.

    ``share`` [0.03..0.05] of the section a side, doubled when aired down. For things below half a radius
    under the axle.

    >>> round(lower_bulge_mm(300.0), 2), round(lower_bulge_mm(300.0, aired_down=True), 2)
    (15.0, 30.0)
    """
    return section_mm * share * (2.0 if aired_down else 1.0)


def rim_approved(
    rim_in: Floats | float, rim_min_in: Floats | float, rim_max_in: Floats | float
) -> bool | Bools:
    """Return whether a rim width is within the approved range, ends included (in, all three).

    >>> bool(rim_approved(8.5, 7.5, 9.0)), bool(rim_approved(10.0, 7.5, 9.0))
    (True, False)
    """
    return (np.asarray(rim_in) >= rim_min_in) & (np.asarray(rim_in) <= rim_max_in)


def rim_margin_in(rim_in: Floats | float, rim_min_in: Floats | float, rim_max_in: Floats | float) -> Floats:
    """Return how far inside the approved range a rim width is, in; negative outside of it.

    >>> float(rim_margin_in(8.5, 7.5, 9.0)), float(rim_margin_in(10.0, 7.5, 9.0))
    (0.5, -1.0)
    """
    return np.minimum(rim_in - rim_min_in, rim_max_in - rim_in)


def flat_tread_rim_in(section_mm: Floats | float) -> Floats:
    """Return the least rim width, in, for a flat tread: 3/4 of section. Common practice, no source.

    >>> round(flat_tread_rim_in(304.8), 4)
    9.0
    """
    return FLAT_TREAD_SHARE * section_mm / MM_PER_IN


CHAINS: dict[str, tuple[float, float]] = {"S": (37.0, 15.0), "U": (50.0, 23.0), "W": (64.0, 38.0)}
"""Room that traction devices of an SAE class take over the tread face and at each side wall [mm].

Source: encyclopaedia article "Snow chains" (classes S, U, W); the SAE document's number is from memory
(J1232).
"""


def service_section_mm(section_max_mm: Floats | float, radial: Bools | bool) -> Floats:
    """Return the section width of a tire grown in service, mm, from its largest new section [50..700].

    Radial + 2 %, bias + 1 %: a maximum in-service factor of 1.06 (radial) and about 1.09 (bias) on the design
    section, of which new tires may already have 1.04 and 1.08. From memory of ETRTO and TRA, low confidence.

    >>> service_section_mm(300.0, True), service_section_mm(300.0, False)
    (306.0, 303.0)
    """
    return section_max_mm * (1.01 + 0.01 * radial)


def service_od_mm(od_max_mm: Floats | float, rim_diameter_mm: Floats | float, radial: Bools | bool) -> Floats:
    """Return the outside diameter of a tire grown in service, mm, from its largest new diameter [400..1500].

    Radial: none beyond the new limit; bias: the section height grows by 1 %. From memory of ETRTO and TRA,
    low confidence. ``rim_diameter_mm`` is the nominal rim diameter.

    >>> service_od_mm(1000.0, 400.0, True), service_od_mm(1000.0, 400.0, False)
    (1000.0, 1006.0)
    """
    return od_max_mm + (od_max_mm - rim_diameter_mm) * (0.01 - 0.01 * radial)
