"""Sections of tires on rims: as clearances are judged by, and as they are named."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wellroom.geometry import section as geometry
from wellroom.geometry.items import Floats
from wellroom.search.rims import Rims
from wellroom.search.tires import Tires
from wellroom.trade.tire import (
    lower_bulge_mm,
    nominal_diameter_mm,
    section_on_rim,
    service_od_mm,
    service_section_mm,
)


@dataclass(frozen=True)
class Service:
    """What the tire takes beyond its largest new size: chains [mm] over the tread and at each side wall.

    ``bulge``: whether the loaded side walls' bulge is in it, for things low beside the wheel.
    """

    over_tread: float = 0.0
    at_side: float = 0.0
    bulge: bool = False


PLAIN = Service()


def in_service(tires: Tires, rims: Rims, service: Service = PLAIN) -> geometry.Sections:
    """Return the sections that clearances are judged by, row by row: the largest new tire, grown in service,
    with side lugs, chains, and where asked the bulge of the loaded side walls (5 % of the section a side).
    """
    rim_diameter = np.asarray(nominal_diameter_mm(tires.code))
    od = service_od_mm(tires.od_max, rim_diameter, tires.radial) + 2.0 * service.over_tread
    section = section_on_rim(service_section_mm(tires.section_max, tires.radial), tires.measuring, rims.width)
    bulge = 2.0 * np.asarray(lower_bulge_mm(section)) if service.bulge else 0.0
    extra = 2.0 * (tires.side_lug + service.at_side) + bulge
    return _sections(
        tires, rims, np.asarray(od), np.asarray(section + extra), tires.tread + 2.0 * service.at_side
    )


def _sections(tires: Tires, rims: Rims, od: Floats, section: Floats, tread: Floats) -> geometry.Sections:
    return geometry.sections(
        rims.barrels(),
        geometry.Tires(
            od / 2.0,
            section,
            np.asarray(nominal_diameter_mm(tires.code)) / 2.0,
            tires.shoulder,
            tread,
            np.where(tires.square, 0.0, 1.0),
        ),
    )


def nominal_section(tires: Tires, rims: Rims) -> Floats:
    """Return the nominal section width on the rim [mm], row by row."""
    return np.asarray(section_on_rim(tires.section, tires.measuring, rims.width))
