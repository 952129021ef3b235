"""Tires as plain columns: from the catalog, or from a marking alone."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wellroom.catalog import Catalog
from wellroom.geometry.items import Floats
from wellroom.trade import load as loads
from wellroom.trade.marking import Marking, UnknownSize, approved_rims_in, design_size, parse_marking
from wellroom.trade.rim import bead_seat_deg
from wellroom.trade.tire import od_limits, section_limits
from wellroom.units import MM_PER_IN

Names = NDArray[Any]


@dataclass(frozen=True)
class Tires:
    """n tires. Sizes on the measuring rim [mm, in]; ``load`` of one, single [kg], nan where unknown; speed
    [km/h].
    """

    id: Names
    size: Names
    kind: Names
    radial: NDArray[np.bool_]
    code: Floats
    seat_deg: Floats
    measuring: Floats
    rim_min: Floats
    rim_max: Floats
    od: Floats
    od_max: Floats
    section: Floats
    section_max: Floats
    square: NDArray[np.bool_]
    tread: Floats
    shoulder: Floats
    side_lug: Floats
    tube: NDArray[np.bool_]
    passenger: NDArray[np.bool_]
    load: Floats
    pressure: Floats
    speed: Floats
    mass: Floats
    price: Floats

    def take(self, rows: Any) -> Tires:
        """Return the rows chosen by a mask or an index array."""
        return Tires(**{field.name: getattr(self, field.name)[rows] for field in fields(self)})

    def __len__(self) -> int:
        return len(self.id)


def catalog_tires(catalog: Catalog) -> Tires:
    """Return the catalog's tires, in the catalog's order."""
    t = catalog.tires

    def number(name: str) -> Floats:
        return t[name].to_numpy(dtype=float)

    def names(name: str) -> Names:
        return t[name].to_numpy(dtype=object)

    def is_(name: str, value: str) -> NDArray[np.bool_]:
        return np.asarray(names(name) == value, dtype=bool)

    symbols = names("speed_symbol")
    known = {symbol: float(loads.speed_kmh(symbol)) for symbol in set(symbols)}
    return Tires(
        names("id"),
        names("size"),
        names("kind"),
        is_("construction", "radial"),
        number("rim_code"),
        number("bead_seat_deg"),
        number("measuring_rim_in"),
        number("rim_min_in"),
        number("rim_max_in"),
        number("od_nominal_mm"),
        number("od_max_mm"),
        number("section_nominal_mm"),
        number("section_max_mm"),
        is_("shoulder", "square"),
        number("tread_width_mm"),
        number("shoulder_height_mm"),
        number("side_lug_mm"),
        is_("tube", "tube"),
        is_("passenger", "yes"),
        number("load_kg"),
        number("pressure_kpa"),
        np.array([known[symbol] for symbol in symbols]),
        number("mass_kg"),
        number("price"),
    )


def marked_tire(
    text: str, *, diameter: float | None = None, section: float | None = None, load: float | None = None
) -> Tires:
    """Return one tire from its marking alone, at the standard's size; measured values [mm, kg] go before it.

    Largest sizes are the standard's limits for a new tire. What the marking does not say is nan. Raises
    MarkingError or UnknownSize (trade.marking) where the marking gives no size and none was measured.
    """
    marking = parse_marking(text)
    od, width, measuring = _size_of(marking, diameter, section)
    low, high = _approved(marking, measuring)
    commercial = marking.family not in ("metric", "p_metric", "t_spare")
    _, od_high = od_limits(od, marking.rim_code, radial=marking.radial, commercial=commercial)
    _, section_high = section_limits(width, radial=marking.radial, commercial=commercial)
    rated = load
    if rated is None and marking.load_index is not None:
        with suppress(loads.UnknownRating):  # an index beyond the table: not known, so not judged
            rated = float(loads.load_index_kg(marking.load_index))
    speed = float(loads.speed_kmh(marking.speed)) if marking.speed else np.nan

    def one(value: float) -> Floats:
        return np.array([value], dtype=float)

    return Tires(
        np.array([None], dtype=object),
        np.array([text], dtype=object),
        np.array(["unknown"], dtype=object),
        np.array([marking.radial]),
        one(marking.rim_code),
        one(bead_seat_deg(marking.rim_code)),
        one(measuring),
        one(low),
        one(high),
        one(od),
        one(od if diameter is not None else float(od_high)),
        one(width),
        one(width if section is not None else float(section_high)),
        np.array([True]),
        one(width),
        one(0.0),
        one(0.0),
        np.array([False]),
        np.array([marking.family in ("metric", "p_metric", "t_spare")]),
        one(np.nan if rated is None else rated),
        one(np.nan),
        one(speed),
        one(np.nan),
        one(0.0),
    )


def _size_of(marking: Marking, diameter: float | None, section: float | None) -> tuple[float, float, float]:
    try:
        size = design_size(marking)
    except UnknownSize:
        width = (
            section if section is not None else (marking.width_mm or (marking.width_in or 0.0) * MM_PER_IN)
        )
        if diameter is None or not width:
            raise
        return diameter, width, round(0.7 * width / MM_PER_IN * 2.0) / 2.0
    return diameter or float(size.od_mm), section or float(size.section_mm), float(size.measuring_rim_in)


def _approved(marking: Marking, measuring: float) -> tuple[float, float]:
    try:
        found = approved_rims_in(marking)
    except UnknownSize:
        found = None
    return (np.nan, np.nan) if found is None else (float(found[0]), float(found[1]))


def concatenated(tables: Sequence[Tires]) -> Tires:
    """Return several tables of tires as one."""
    return Tires(
        **{field.name: np.concatenate([getattr(t, field.name) for t in tables]) for field in fields(Tires)}
    )
