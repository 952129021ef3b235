"""Orders of shipped scenarios, made once for the tests of sheets."""

from __future__ import annotations

from functools import cache

from report.pictured import catalog, scenario
from wellroom.search.order import Ordered, order

CASES: dict[str, tuple[str, str | None, tuple[str, ...]]] = {
    "ridge": ("fire_tender", "ridge", ()),
    "saddle": ("fire_tender", "saddle", ()),
    "shelf": ("fire_tender", "shelf", ("front.tire_diameter", "front.tread")),
    "pickup": ("pickup_taller", None, ("front.poke",)),
    "wagon": ("wagon_flush", None, ("front.poke",)),
    "least": ("least", None, ("front.tilt", "rear.tilt")),
}


@cache
def ordered(case: str) -> Ordered:
    """Return the order of a shipped scenario's first rank."""
    name, stance, accept = CASES[case]
    return order(scenario(name), catalog(), pick=1, stance=stance, accept=accept)
