"""Everything that fits an axle as points: what each combination of tire, rim and backspace looks like."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wellroom.geometry.items import Floats
from wellroom.search import candidates as rows
from wellroom.search import results
from wellroom.search.fit import Case, Worked
from wellroom.search.sections import nominal_section

WISHED = ("poke", "gap", "tire_diameter", "section")
"""Values that a cloud holds, in the order in which they are plotted."""


@dataclass(frozen=True)
class Cloud:
    """One axle's feasible set: values (n,) [mm] by name, and the band that the stance wishes of each, if any.

    Where the two ends of the axle differ, poke is the greater and gap the lesser. nan: not measured.
    """

    axle: str
    values: dict[str, Floats]
    bands: dict[str, tuple[float, float]]

    def __len__(self) -> int:
        return len(next(iter(self.values.values())))

    def axes(self) -> tuple[str, str] | None:
        """Return the two values to plot against each other: wished ones first; None where two are not
        known.
        """
        known = [name for name in WISHED if not np.isnan(self.values[name]).all()]
        known.sort(key=lambda name: name not in self.bands)
        return (known[0], known[1]) if len(self) and len(known) > 1 else None


def clouds(case: Case, work: Worked) -> dict[str, Cloud]:
    """Return the feasible set of each axle of a worked case."""
    out: dict[str, Cloud] = {}
    for axle in results.AXLES:
        asked, found = case.asked[axle], work.found[axle]
        tires, rims = found.tires.take(found.tire), found.rims.take(found.rim)
        section = nominal_section(tires, rims)[found.pair]
        shift = rims.to_centre[found.pair] - found.backspace
        with np.errstate(all="ignore"):
            poke = rows.pokes(asked, section, shift).max(axis=0)
            gap = rows.gaps(asked, tires).min(axis=0)[found.pair]
        values = {"poke": poke, "gap": gap, "tire_diameter": tires.od[found.pair], "section": section}
        bands = {wish.name: (wish.low, wish.high) for wish in asked.wishes if wish.name in WISHED}
        out[axle] = Cloud(axle, values, bands)
    return out
