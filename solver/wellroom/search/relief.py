"""What the motion still allows where something is touched: the lock and the bump before contact.

For the things that one combination fouls, the lock of each direction and the bump are drawn in until they
clear: first until nothing touches, each direction by itself, then until the clearance asked for is kept, as
by a steering stop that takes as much off both locks. The pose set is swept again for each try, so an answer
is as safe as a check; amounts are drawn in by whole steps. What was measured at a pose beyond is left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

import numpy as np

from wellroom.geometry.contacts import touch
from wellroom.geometry.envelope import sweep
from wellroom.geometry.motion import Motion, Range
from wellroom.search import results
from wellroom.search.candidates import Asked, Parts
from wellroom.search.clear import Thing
from wellroom.search.rims import Rims
from wellroom.search.tires import Tires
from wellroom.units import MM_PER_IN

LOCK_STEP = math.radians(0.25)
BUMP_STEP = MM_PER_IN / 16.0


def reliefs(
    asked: Asked, tire: Tires, rim: Rims, backspace: float, fit: results.AxleFit
) -> tuple[results.Relief, ...]:
    """Return, for each thing that a combination fouls on its way, how far lock and bump may go for it.

    Lock in each direction that it is met in, if lock has to do with it; bump where it is met above ride
    height. Empty where every clearance is met.
    """
    parts, shift = Parts(asked, tire, rim), float(rim.to_centre[0]) - backspace
    tread = int(tire.kind[0] == "mud")
    missed = {check.id: check for check in fit.checks if check.kind == "clearance" and check.ok is False}
    out: list[results.Relief] = []
    for thing in asked.swept.things:
        check = missed.get(thing.id)
        if check is None or check.contact is None:
            continue
        fouled = _Fouled(asked, thing, parts, shift, tread)
        found: list[results.Relief] = []
        if check.contact.lock_deg:
            found.extend(fouled.by_lock())
        if (check.contact.travel_mm or 0.0) > 0.0 and fouled.motion.up.high > 0.0:
            found.append(fouled.by_bump())
        posed = any(item.stood != (None, None) for item in thing.items)
        out += [replace(relief, posed=posed) for relief in found]
    return tuple(out)


class _Fouled:
    """One thing that one combination fouls: what of the motion lets it clear."""

    def __init__(self, asked: Asked, thing: Thing, parts: Parts, shift: float, tread: int) -> None:
        self.asked, self.thing, self.parts, self.shift, self.tread = asked, thing, parts, shift, tread
        self.motion = asked.swept.room.ends[thing.end].motion

    def by_lock(self) -> Iterator[results.Relief]:
        """Yield for each direction that it is met in the lock before contact, and that a stop would leave."""
        lock = self.motion.lock
        if not self._clears(self._locked(Range(0.0, 0.0)), False):
            yield results.Relief(self.thing.id, "lock", "deg", math.degrees(lock.high), None, None)
            return
        least = min(lock.high, -lock.low)
        left = self._most(least, LOCK_STEP, lambda v: self._locked(_less(lock, least - v)), True)
        for wheel, full, of in (("inner", lock.high, _inner), ("outer", -lock.low, _outer)):
            if full <= 0.0 or self._clears(self._locked(of(full)), True):
                continue
            touches = self._most(full, LOCK_STEP, partial(self._one_way, of), False)
            clears = None if left is None else full - (least - left)
            shown = (None if v is None else math.degrees(v) for v in (full, touches, clears))
            yield results.Relief(self.thing.id, f"lock of the {wheel} wheel", "deg", *shown)  # type: ignore[arg-type]  # full is a number

    def by_bump(self) -> results.Relief:
        """Return the bump before contact, that which clears, and the spacer that would leave it."""
        full = self.motion.up.high
        touches, clears = (self._most(full, BUMP_STEP, self._up_to, asked) for asked in (False, True))
        ratio = self.asked.swept.room.axle.travel.stop_ratio
        spacer = None if clears is None else (full - clears) / (1.0 if ratio is None else ratio.low)
        return results.Relief(self.thing.id, "bump", "mm", full, touches, clears, spacer)

    def _one_way(self, of: Callable[[float], Range], lock: float) -> Motion:
        return self._locked(of(lock))

    def _locked(self, lock: Range) -> Motion:
        return replace(self.motion, lock=lock)

    def _up_to(self, bump: float) -> Motion:
        return replace(self.motion, up=Range(self.motion.up.low, bump))

    def _most(
        self, full: float, step: float, of: Callable[[float], Motion], with_asked: bool
    ) -> float | None:
        """Return the greatest value whose motion clears, in whole steps up to full and full itself; None: not
        even 0.
        """
        low, high = -1, math.ceil(full / step - 1e-9) + 1
        while high - low > 1:
            middle = (low + high) // 2
            if self._clears(of(min(middle * step, full)), with_asked):
                low = middle
            else:
                high = middle
        return None if low < 0 else min(low * step, full)

    def _clears(self, motion: Motion, with_asked: bool) -> bool:
        """Return whether the thing is not touched in a motion, or kept as far off as asked."""
        items = [item for item in self.thing.items if not motion.keeps_from(item.stood, self.motion)]
        cells = sweep(items, motion)
        for index, item in enumerate(items):
            clearance = item.clearances[min(self.tread, len(item.clearances) - 1)] if with_asked else 0.0
            rows, sections = np.flatnonzero(cells.item == index), self.parts.of(self.thing)
            if touch(cells, rows, sections, 0, self.shift, item.blocks, clearance).margin < 0.0:
                return False
        return True


def _inner(lock: float) -> Range:
    return Range(0.0, lock)


def _outer(lock: float) -> Range:
    return Range(-lock, 0.0)


def _less(lock: Range, off: float) -> Range:
    return Range(min(lock.low + off, 0.0), max(lock.high - off, 0.0))
