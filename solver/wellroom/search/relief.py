"""What the motion still allows where something is touched: the lock and the bump before contact.

For the things that one combination fouls, the lock of each direction and the bump are drawn in until they
clear: first until nothing touches, then until the clearance asked for is kept. The pose set is swept again
for each try, so an answer is as safe as a check; amounts are drawn in by whole steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
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

    Only what the contact's own pose is at is drawn in: the lock of the wheel it is met with, and bump where
    it is met above ride height. Empty where every clearance is met.
    """
    parts, shift = Parts(asked, tire, rim), float(rim.to_centre[0]) - backspace
    tread = int(tire.kind[0] == "mud")
    missed = {check.id: check for check in fit.checks if check.kind == "clearance" and check.ok is False}
    out = []
    for thing in asked.swept.things:
        check = missed.get(thing.id)
        if check is None or check.contact is None:
            continue

        def clears(with_asked: bool, change: Change, thing: Thing = thing) -> bool:
            return _clears(asked, thing, parts, shift, tread, change, with_asked)

        for what, unit, full, step, of in _ways(asked.swept.room.ends[thing.end].motion, check.contact):
            touches, keeps = _most(full, step, clears, of)
            shown = math.degrees if unit == "deg" else float
            out.append(
                results.Relief(
                    thing.id,
                    what,
                    unit,
                    shown(full),
                    None if touches is None else shown(touches),
                    None if keeps is None else shown(keeps),
                )
            )
    return tuple(out)


Change = Callable[[Motion], Motion]
Way = tuple[str, str, float, float, Callable[[Motion, float], Motion]]


def _ways(motion: Motion, contact: results.Contact) -> Iterator[Way]:
    """Yield what may be drawn in: its name, unit, whole range, step, and the motion with it drawn in."""
    lock = contact.lock_deg or 0.0
    if motion.steered and lock > 0.0 and motion.lock.high > 0.0:
        yield (
            *("lock of the inner wheel", "deg", motion.lock.high, LOCK_STEP),
            lambda m, v: replace(m, lock=Range(m.lock.low, v)),
        )
    if motion.steered and lock < 0.0 and motion.lock.low < 0.0:
        yield (
            *("lock of the outer wheel", "deg", -motion.lock.low, LOCK_STEP),
            lambda m, v: replace(m, lock=Range(-v, m.lock.high)),
        )
    if (contact.travel_mm or 0.0) > 0.0 and motion.up.high > 0.0:
        yield "bump", "mm", motion.up.high, BUMP_STEP, lambda m, v: replace(m, up=Range(m.up.low, v))


def _clears(
    asked: Asked,
    thing: Thing,
    parts: Parts,
    shift: float,
    tread: int,
    change: Change,
    with_asked: bool,
) -> bool:
    cells = sweep(thing.items, change(asked.swept.room.ends[thing.end].motion))
    for index, item in enumerate(thing.items):
        clearance = item.clearances[min(tread, len(item.clearances) - 1)] if with_asked else 0.0
        rows = np.flatnonzero(cells.item == index)
        if touch(cells, rows, parts.of(thing), 0, shift, item.blocks, clearance).margin < 0.0:
            return False
    return True


def _most(
    full: float,
    step: float,
    clears: Callable[[bool, Change], bool],
    of: Callable[[Motion, float], Motion],
) -> tuple[float | None, float | None]:
    """Return the greatest values that touch nothing, and that keep the clearance, in whole steps up to full.

    None: not even the least helps.
    """
    steps: Sequence[int] = range(int(full / step) + 1)
    answers = []
    for with_asked in (False, True):
        low, high = -1, len(steps)
        while high - low > 1:
            middle = (low + high) // 2
            if clears(with_asked, partial(_at, of, middle * step)):
                low = middle
            else:
                high = middle
        answers.append(None if low < 0 else low * step)
    return answers[0], answers[1]


def _at(of: Callable[[Motion, float], Motion], value: float, motion: Motion) -> Motion:
    return of(motion, value)
