"""Sizes that have no formula: flotation and numeric tires as tabulated, and approved rim widths.

From memory of UN R54 annex 5 part II and of TRA, unless a row says more; the approved rims least sure. Rows
marked seen carry approved rims read in "Medium Truck Approved Rim Width & Minimum Dual Spacing"
(manufacturer's technical information, February 2011).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class TabulatedSize:
    """One row: measuring rim, in; outside diameter, for highway and for snow or traction, and section, mm.

    ``rims_in`` are the least and greatest approved rim widths, in; None where none are listed. ``status``:
    "memory" from memory of the standard, "pattern" continued here by the standard's pattern.
    ``rims_status``: "seen" or "memory".
    """

    size: str
    measuring_rim_in: float
    od_mm: float
    od_traction_mm: float | None
    section_mm: float
    rims_in: tuple[float, float] | None
    status: Literal["memory", "pattern"] = "memory"
    rims_status: Literal["seen", "memory"] = "memory"


_ROWS: tuple[TabulatedSize, ...] = (
    TabulatedSize("27x8.50R14LT", 7.0, 674, 680, 218, (6.0, 7.0)),
    TabulatedSize("28x8.50R15LT", 7.0, 699, 705, 218, (6.0, 7.0)),
    TabulatedSize("29x9.50R15LT", 7.5, 724, 731, 240, (6.5, 8.5)),
    TabulatedSize("30x9.50R15LT", 7.5, 750, 756, 240, (6.5, 8.5)),
    TabulatedSize("31x10.50R15LT", 8.5, 775, 781, 268, (7.0, 9.0)),
    TabulatedSize("31x11.50R15LT", 9.0, 775, 781, 290, (8.0, 10.0)),
    TabulatedSize("32x11.50R15LT", 9.0, 801, 807, 290, (8.0, 10.0)),
    TabulatedSize("35x12.50R15LT", 10.0, 877, None, 318, (8.5, 11.0), "pattern"),
    TabulatedSize("35x12.50R17LT", 10.0, 877, None, 318, (8.5, 11.0), "pattern"),
    TabulatedSize("37x12.50R17LT", 10.0, 928, None, 318, (8.5, 11.0), "pattern"),
    TabulatedSize("6.50R16LT", 4.5, 755, 767, 182, (4.5, 5.5)),
    TabulatedSize("7.00R15LT", 5.5, 752, 763, 202, (5.0, 6.0)),
    TabulatedSize("7.00R16LT", 5.5, 778, 788, 202, (5.0, 6.0)),
    TabulatedSize("7.50R16LT", 6.0, 808, 819, 220, (5.5, 6.5)),
    TabulatedSize("8.25R16LT", 6.5, 859, 869, 241, (6.0, 7.0)),
    TabulatedSize("7.50R20", 6.0, 928, None, 210, None),
    TabulatedSize("8.25R20", 6.5, 962, None, 230, None),
    TabulatedSize("10.00R20", 7.5, 1052, None, 275, None),
    TabulatedSize("8R19.5", 6.0, 859, None, 203, (5.25, 6.75), "memory", "seen"),
    TabulatedSize("9R22.5", 6.75, 970, None, 229, (6.0, 7.5), "memory", "seen"),
    TabulatedSize("10R22.5", 7.5, 1020, None, 254, (6.75, 8.25), "memory", "seen"),
    TabulatedSize("12R22.5", 9.0, 1084, None, 300, (8.25, 9.0), "memory", "seen"),
)
TABULATED: dict[str, TabulatedSize] = {row.size: row for row in _ROWS}
"""By size, written radial; the LT rows hold for their diagonal form as well."""

APPROVED_METRIC_RIMS: dict[str, tuple[float, float, Literal["seen", "memory"]]] = {
    "P205/60R15": (5.5, 7.5, "memory"),
    "195/65R15": (5.5, 7.0, "memory"),
    "205/55R16": (5.5, 7.5, "memory"),
    "245/40R18": (8.0, 9.5, "memory"),
    "P215/75R15": (5.5, 7.5, "memory"),
    "P235/75R15": (6.0, 8.0, "memory"),
    "LT215/85R16": (5.5, 7.0, "memory"),
    "LT225/75R16": (6.0, 7.0, "memory"),
    "LT235/85R16": (6.0, 7.5, "memory"),
    "LT245/75R16": (6.5, 8.0, "memory"),
    "LT285/75R16": (7.5, 9.0, "memory"),
    "LT265/70R17": (7.0, 8.5, "memory"),
    "LT285/70R17": (7.5, 9.0, "memory"),
    "LT275/70R18": (7.0, 8.5, "memory"),
    "225/70R19.5": (6.0, 6.75, "seen"),
    "245/70R19.5": (6.75, 7.5, "seen"),
    "265/70R19.5": (7.5, 8.25, "seen"),
    "295/75R22.5": (8.25, 9.0, "seen"),
    "445/50R22.5": (14.0, 14.0, "seen"),
}
"""Least and greatest approved rim width, in, of metric sizes; "seen" as in the head of this module."""
