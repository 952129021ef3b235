"""Rims as plain columns: from the catalogs, or as they stand on the vehicle today.

One row of ``Rims`` is one wheel that can be had: a blank at one width, a stocked wheel, or a stocked wheel
on an adapter. Places are measured from the hub's face, so an adapter is already in them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wellroom.catalog import Catalog, parse_outline, parse_studs
from wellroom.geometry import section as geometry
from wellroom.geometry.items import Floats
from wellroom.trade.rim import bead_seat_deg, seat_diameter_mm
from wellroom.units import MM_PER_IN

Names = NDArray[Any]


@dataclass(frozen=True)
class Rims:
    """n wheels that can be had.

    ``source`` made, stock or own; ``adapter`` its id or ""; ``backspace_low``, ``backspace_high`` [mm] from
    the hub's face, equal for a wheel that exists; ``well`` place of the well's middle from the centre plane,
    y outboard [mm]; ``known`` whether the barrel is known. On an adapter ``bore_low``, ``bore_high`` are the
    adapter's, ``own_bore`` the wheel's and ``plate_pilot`` the adapter's own pilot, which centres it; else
    nan. ``outline``: the disc's inner surface ((r, y),
    ...) from the hub's face.
    """

    source: Names
    id: Names
    material: Names
    adapter: Names
    adapter_mm: Floats
    code: Floats
    width: Floats
    flange_in: Floats
    flange_out: Floats
    flange_height: Floats
    seat_deg: Floats
    metal: Floats
    depth: Floats
    flat: Floats
    well: Floats
    ramp: Floats
    backspace_low: Floats
    backspace_high: Floats
    studs: Names
    circle_low: Floats
    circle_high: Floats
    bore_low: Floats
    bore_high: Floats
    own_bore: Floats
    plate_pilot: Floats
    hole: Floats
    load: Floats
    pressure: Floats
    tube_ok: NDArray[np.bool_]
    mass: Floats
    price: Floats
    known: NDArray[np.bool_]
    outline: Names

    def take(self, rows: Any) -> Rims:
        """Return the rows chosen by a mask or an index array."""
        return Rims(**{field.name: getattr(self, field.name)[rows] for field in fields(self)})

    def __len__(self) -> int:
        return len(self.id)

    @property
    def overall(self) -> Floats:
        """Overall width over the flanges [mm]."""
        return np.asarray(self.width * MM_PER_IN + self.flange_in + self.flange_out)

    @property
    def to_centre(self) -> Floats:
        """Outer edge of the inboard flange to the centre plane [mm]: shift = to_centre - backspace."""
        return np.asarray(self.flange_in + self.width * MM_PER_IN / 2.0)

    def barrels(self) -> geometry.Rims:
        """Return the barrels as geometry takes them."""
        return geometry.Rims(
            np.asarray(seat_diameter_mm(self.code)) / 2.0,
            self.width * MM_PER_IN,
            self.flange_in,
            self.flange_out,
            self.flange_height,
            self.metal,
            self.depth,
            self.flat,
            self.well,
            self.ramp,
        )


_FIELDS = tuple(field.name for field in fields(Rims))
_FLAGS = ("tube_ok", "known")
_NAMES = ("source", "id", "material", "adapter", "studs", "outline")


def rims_from(rows: Iterable[dict[str, Any]]) -> Rims:
    """Return the column form of rows that hold every field of ``Rims``."""
    listed = list(rows)
    columns: dict[str, Any] = {}
    for name in _FIELDS:
        values = [row[name] for row in listed]
        if name in _NAMES:
            column = np.empty(len(values), dtype=object)
            column[:] = values
            columns[name] = column
        else:
            columns[name] = np.array(values, dtype=bool if name in _FLAGS else float)
    return Rims(**columns)


def _barrel(row: dict[str, Any], width: float) -> dict[str, Any]:
    """Return what a blank and a stocked wheel have alike."""
    half = width * MM_PER_IN / 2.0
    side = 1.0 if row["drop_side"] == "out" else -1.0
    return {
        "id": row["id"],
        "material": row["material"],
        "code": row["rim_code"],
        "width": width,
        "flange_in": row["flange_in_mm"],
        "flange_out": row["flange_out_mm"],
        "flange_height": row["flange_height_mm"],
        "seat_deg": row["bead_seat_deg"],
        "metal": row["metal_mm"],
        "depth": row["drop_depth_mm"],
        "flat": row["drop_flat_mm"],
        "well": side * (half - row["drop_from_flange_mm"]),
        "ramp": row["drop_ramp_mm"],
        "load": row["load_kg"],
        "pressure": row["pressure_kpa"],
        "tube_ok": row["tube_ok"] == "yes",
        "known": True,
        "adapter": "",
        "adapter_mm": 0.0,
        "own_bore": np.nan,
        "plate_pilot": np.nan,
    }


def _records(frame: Any) -> list[dict[str, Any]]:
    return list(frame.to_dict("records"))


def made_rims(catalog: Catalog, codes: frozenset[float] | None = None) -> list[dict[str, Any]]:
    """Return every blank at every width it is made in."""
    out = []
    for row in _records(catalog.blanks):
        if codes is not None and row["rim_code"] not in codes:
            continue
        outline, studs = parse_outline(row["disc_outline"]), parse_studs(row["studs"])
        count = int(np.floor((row["width_max_in"] - row["width_min_in"]) / row["width_step_in"] + 1e-9))
        for k in range(count + 1):
            width = row["width_min_in"] + k * row["width_step_in"]
            overall = width * MM_PER_IN + row["flange_in_mm"] + row["flange_out_mm"]
            out.append(
                _barrel(row, width)
                | {
                    "source": "made",
                    "backspace_low": row["backspace_min_mm"],
                    "backspace_high": overall - row["front_space_min_mm"],
                    "studs": studs,
                    "circle_low": row["bolt_circle_min_mm"],
                    "circle_high": row["bolt_circle_max_mm"],
                    "bore_low": row["bore_min_mm"],
                    "bore_high": row["bore_max_mm"],
                    "hole": np.nan,
                    "mass": row["mass_base_kg"] + row["mass_per_in_kg"] * width,
                    "price": row["price_base"] + row["price_per_in"] * width,
                    "outline": outline,
                }
            )
    return out


def stocked_rims(
    catalog: Catalog, studs: int | None, circle: float | None, tolerance: float
) -> list[dict[str, Any]]:
    """Return every stocked wheel as it is, and on each adapter that takes it to a hub of this pattern."""
    out = []
    fitting = [
        row
        for row in _records(catalog.adapters)
        if studs == row["hub_studs"]
        and circle is not None
        and abs(circle - row["hub_bolt_circle_mm"]) <= tolerance
    ]
    for row in _records(catalog.wheels):
        inset = row["inset_mm"]
        backspace = inset + row["width_in"] * MM_PER_IN / 2.0 + row["flange_in_mm"]
        wheel = _barrel(row, row["width_in"]) | {
            "source": "stock",
            "backspace_low": backspace,
            "backspace_high": backspace,
            "studs": (int(row["studs"]),),
            "circle_low": row["bolt_circle_mm"],
            "circle_high": row["bolt_circle_mm"],
            "bore_low": row["bore_mm"],
            "bore_high": row["bore_mm"],
            "hole": row["hole_mm"],
            "mass": row["mass_kg"],
            "price": row["price"],
            "outline": parse_outline(row["disc_outline"]),
        }
        out.append(wheel)
        for plate in fitting:
            same = plate["wheel_studs"] == row["studs"]
            if same and abs(plate["wheel_bolt_circle_mm"] - row["bolt_circle_mm"]) <= tolerance:
                out.append(_on_adapter(wheel, plate))
    return out


def _on_adapter(wheel: dict[str, Any], plate: dict[str, Any]) -> dict[str, Any]:
    thick = plate["thickness_mm"]
    return wheel | {
        "adapter": plate["id"],
        "adapter_mm": thick,
        "backspace_low": wheel["backspace_low"] - thick,
        "backspace_high": wheel["backspace_high"] - thick,
        "studs": (int(plate["hub_studs"]),),
        "circle_low": plate["hub_bolt_circle_mm"],
        "circle_high": plate["hub_bolt_circle_mm"],
        "bore_low": plate["bore_mm"],
        "bore_high": plate["bore_mm"],
        "own_bore": wheel["bore_low"],
        "plate_pilot": plate["pilot_mm"],
        "hole": plate["hole_mm"],
        "load": min(wheel["load"], plate["load_kg"]),
        "mass": wheel["mass"] + plate["mass_kg"],
        "price": wheel["price"] + plate["price"],
        "outline": tuple((r, y + thick) for r, y in wheel["outline"]),
    }


def own_rim(
    code: float, width: float, backspace: float, flange_in: float, flange_out: float
) -> dict[str, Any]:
    """Return a wheel of which only size and backspace are known; its barrel is taken as usual and marked
    unknown.
    """
    return {
        "source": "own",
        "id": None,
        "material": "",
        "adapter": "",
        "adapter_mm": 0.0,
        "code": code,
        "width": width,
        "flange_in": flange_in,
        "flange_out": flange_out,
        "flange_height": 17.5 if bead_seat_deg(code) == 5 else 12.7,
        "seat_deg": bead_seat_deg(code),
        "metal": 4.0,
        "depth": 17.5,
        "flat": 22.0,
        "well": width * MM_PER_IN / 2.0 - 45.0,
        "ramp": 15.0,
        "backspace_low": backspace,
        "backspace_high": backspace,
        "studs": (),
        "circle_low": np.nan,
        "circle_high": np.nan,
        "bore_low": np.nan,
        "bore_high": np.nan,
        "own_bore": np.nan,
        "plate_pilot": np.nan,
        "hole": np.nan,
        "load": np.nan,
        "pressure": np.nan,
        "tube_ok": True,
        "mass": np.nan,
        "price": 0.0,
        "known": False,
        "outline": (),
    }
