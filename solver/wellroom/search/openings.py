"""Whether one axle has any combination at all, as cheaply as can be: for a scenario that is changed often.

What no change moves is worked out once: the pairs that meet all ratings, their sections, their steps. Things
are swept one at a time, and only while a step is open that they could close.
"""

from __future__ import annotations

from collections.abc import Hashable

import numpy as np

from wellroom.geometry.items import Floats
from wellroom.scenario.build import build_room
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.candidates import Asked, Parts, asked_of, judged_on, thing_interval
from wellroom.search.clear import SweptAxle, late_things
from wellroom.search.hub import hub_size
from wellroom.search.misses import by_rating, fouled_by, other_misses, steps_of
from wellroom.search.rims import Rims
from wellroom.search.sweeps import Sweeps
from wellroom.search.tires import Tires


class Openings:
    """The combinations of one axle, to be asked whether any is open in a changed scenario.

    Changes move no rating, nor any requirement whose key is not in ``relaxed``, nor the step of backspace.
    """

    def __init__(
        self, asked: Asked, tires: Tires, rims: Rims, relaxed: frozenset[str], sweeps: Sweeps
    ) -> None:
        self._asked, self._sweeps = asked, sweeps
        (tire, rim), _ = by_rating(asked, tires, rims)
        on_tires, on_rims = tires.take(tire), rims.take(rim)
        pair, backspace = steps_of(asked, on_rims).rows()
        left = np.ones(len(pair), dtype=bool)
        for name, away in other_misses(asked, on_tires, on_rims, pair, backspace):
            left &= (away == 0.0) | (name.split(".")[1] in relaxed)
        some, self._pair = np.unique(pair[left], return_inverse=True)
        self._backspace = backspace[left]
        self._tires, self._rims = on_tires.take(some), on_rims.take(some)
        self._parts = Parts(asked, self._tires, self._rims, rim[some])
        self._mud = np.asarray(self._tires.kind == "mud", dtype=bool)
        self._fouled: dict[Hashable, tuple[Floats, Floats]] = {}

    def any(self, scenario: Scenario, stance: str | None, but: frozenset[str] = frozenset()) -> bool:
        """Return whether a step of backspace of any pair meets all that the axle asks by itself, ``but`` the
        requirements of some keys.
        """
        name: results.Axle = self._asked.name  # type: ignore[assignment]  # front or rear
        room = build_room(scenario, name)
        swept = SweptAxle(room, (), (), None, self._asked.swept.brake_cells, 0.0)
        chosen = None if stance is None else scenario.stance[stance]
        asked = asked_of(scenario, swept, hub_size(room), chosen, self._asked.now)
        pair, backspace = self._pair, self._backspace
        left = np.ones(len(pair), dtype=bool)
        for id_, away in other_misses(asked, self._tires, self._rims, pair, backspace):
            left &= (away == 0.0) | (id_.split(".")[1] in but)
        if scenario.change.adapter is not None and scenario.change.adapter.at(name):
            left &= ~self._rims.adapter.astype(bool)[pair]  # adapters are never stacked
        pair, backspace = pair[left], backspace[left]
        for late in late_things(room, self._sweeps):
            if not len(pair):
                break
            if late.items[0].id.split(".")[1] in but:
                continue
            if late.key not in self._fouled:
                thing = late.swept()
                found = thing_interval(thing, self._parts.of(thing), self._rims.to_centre, self._mud)
                self._fouled[late.key] = found
            judged = judged_on(late.items, self._rims)
            left = fouled_by(self._fouled[late.key], judged, pair, backspace) == 0.0
            pair, backspace = pair[left], backspace[left]
        return bool(len(pair))
