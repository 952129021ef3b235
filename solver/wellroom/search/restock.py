"""Finds the tire and the wheel of an answer again, in the catalogs or as the builder stated them."""

from __future__ import annotations

from typing import Any

import numpy as np

from wellroom.catalog import Catalog
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.hub import CIRCLE_TOLERANCE, HubSize
from wellroom.search.request import own_wheel, today_tire
from wellroom.search.rims import Rims, made_rims, own_rim, rims_from, stocked_rims
from wellroom.search.tires import Tires
from wellroom.units import MM_PER_IN


class Restock:
    """Finds the tire and the wheel of a fit again, by their ids."""

    def __init__(self, scenario: Scenario, catalog: Catalog, hub: HubSize, table: Tires) -> None:
        self._scenario, self._catalog, self._table = scenario, catalog, table
        self._hub = hub
        self._made: list[dict[str, Any]] | None = None
        self._stocked: list[dict[str, Any]] | None = None
        self._disc = {
            row["id"]: float(row["disc_thickness_mm"])
            for frame in (catalog.blanks, catalog.wheels)
            for row in frame[["id", "disc_thickness_mm"]].to_dict("records")
        }

    def parts(self, axle: str, fit: results.AxleFit) -> tuple[Tires, Rims, float] | None:
        """Return tire (one row), rim (one row) and thickness of the disc [mm]."""
        now = getattr(self._scenario.now, axle)
        tire: Tires | None = None
        if fit.tire.id is not None:
            rows = np.flatnonzero(self._table.id == fit.tire.id)
            tire = self._table.take(rows[:1]) if len(rows) else None
        else:
            tire = today_tire(now, self._catalog)
        wheel = self._wheel(fit, now)
        if tire is None or wheel is None:
            return None
        return tire, rims_from([wheel]), self._disc.get(str(fit.wheel.id), 10.0)

    def _wheel(self, fit: results.AxleFit, now: Any) -> dict[str, Any] | None:
        if fit.wheel.source == "made":
            if self._made is None:
                self._made = made_rims(self._catalog)
            return next(
                (
                    row
                    for row in self._made
                    if row["id"] == fit.wheel.id and abs(row["width"] - fit.rim_width_in) < 1e-6
                ),
                None,
            )
        if fit.wheel.source == "stock":
            if self._stocked is None:
                self._stocked = stocked_rims(
                    self._catalog, self._hub.studs, self._hub.circle, CIRCLE_TOLERANCE
                )
            thick = fit.wheel.adapter_mm or 0.0
            return next(
                (
                    row
                    for row in self._stocked
                    if row["id"] == fit.wheel.id and abs(row["adapter_mm"] - thick) < 1e-6
                ),
                None,
            )
        own = own_wheel(now)
        if (
            own is not None
            and abs(own["code"] - fit.rim_diameter_in) + abs(own["width"] - fit.rim_width_in) < 1e-6
        ):
            return own
        half = MM_PER_IN / 2.0
        return own_rim(fit.rim_diameter_in, fit.rim_width_in, fit.backspace_mm, half, half)
