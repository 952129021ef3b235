"""Remembers what was swept: the same thing under the same motion is swept once, whichever side or run asks.

What is remembered is what a sweep of that thing alone gives, so an answer does not depend on what was asked
before it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import TypeVar

import numpy as np

from wellroom.geometry import motion as mo
from wellroom.geometry.envelope import Cells, sweep
from wellroom.geometry.items import Item, Surface
from wellroom.geometry.motion import Motion
from wellroom.scenario.build import Room
from wellroom.search.ahead import Ahead, Task, helpers

T = TypeVar("T")
WORTH_IT = 30
"""Fewer sweeps than this are done before another process has started."""


def _surface_key(surface: Surface) -> Hashable:
    tops = None if surface.tops is None else surface.tops.tobytes()
    return (surface.corners.tobytes(), surface.arc, surface.thickness, tops)


def item_key(item: Item) -> Hashable:
    """Return what two items have in common that stand, move and block alike, whatever they are called."""
    return (
        tuple(_surface_key(surface) for surface in item.surfaces),
        item.share,
        item.turns,
        int(item.blocks),
        item.clearances,
        item.straight_only,
        item.more_share,
        item.by_share,
    )


def room_key(room: Room) -> Hashable:
    """Return what two rooms have in common whose sweeps are the same."""
    ends = tuple((e.side, tuple((i.id, item_key(i)) for i in e.items), e.motion) for e in room.ends)
    return (room.name, ends, room.brake)


class Sweeps:
    """A memory of sweeps and of what is made of them; it holds what the last two rounds used."""

    def __init__(self) -> None:
        self._kept: dict[Hashable, object] = {}
        self._used: list[set[Hashable]] = [set(), set()]
        self._handles: dict[Hashable, int] = {}
        self._ahead: dict[Hashable, Ahead] = {}

    def handle(self, key: Hashable) -> int:
        """Return a small number for a large key, the same for equal keys; it is never forgotten."""
        return self._handles.setdefault(key, len(self._handles))

    def once(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what ``make`` gives, made once for each key."""
        if key not in self._kept:
            self._kept[key] = make()
        self._used[-1].add(key)
        return self._kept[key]  # type: ignore[return-value]  # a key is used for one kind of value

    def next_round(self) -> None:
        """Forget what neither this round nor the one before it used."""
        recent = self._used[0] | self._used[1]
        self._kept = {key: value for key, value in self._kept.items() if key in recent}
        self._used = [self._used[1], set()]

    def end(self, items: Sequence[Item], motion: Motion) -> Cells:
        """Return the samples of one end's items, each remembered by itself; see ``envelope.sweep``."""
        self._together(items, motion)
        parts = [self._alone(item, index, motion) for index, item in enumerate(items)]
        if not parts:
            return sweep((), motion)
        names = Cells.__dataclass_fields__
        return Cells(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))

    def _together(self, items: Sequence[Item], motion: Motion) -> None:
        """Sweep at once what is not known yet and moves alike: it is then found as if swept alone."""
        new: dict[Motion, list[Item]] = {}
        for key, (item, moves) in (self._task(item, motion) for item in items):
            if key not in self._kept and key not in self._ahead:
                new.setdefault(moves, []).append(item)
        for moves, some in new.items():
            sweep(some, moves)

    def _alone(self, item: Item, index: int, motion: Motion) -> Cells:
        key, task = self._task(item, motion)
        cells = self.once(key, lambda: self._swept(key, task))
        return replace(cells, item=np.full(len(cells.r), index, dtype=np.intp))

    def _task(self, item: Item, motion: Motion) -> tuple[Hashable, Task]:
        if not (item.turns and item.share < 1.0):
            # it rides with the axle: travel, play and sway are nothing to it
            none = mo.Range(0.0, 0.0)
            motion = replace(motion, up=none, side=none, fore=none, bar=None, sway=0.0, table=())
        return ("cells", item_key(item), motion), (item, motion)

    def _swept(self, key: Hashable, task: Task) -> Cells:
        helper = self._ahead.pop(key, None)
        cells = None if helper is None else helper.take(key)
        return sweep(task[:1], task[1]) if cells is None else cells

    @contextmanager
    def ahead(self, rounds: Sequence[Sequence[Room]]) -> Iterator[None]:
        """Have other processes sweep the rooms of some rounds to come, where that is worth starting them.

        Each other process takes two rounds for one of this process, which has more to do than to sweep.
        """
        parts: list[dict[Hashable, Task]] = [{} for _ in range(1 + helpers())]
        turn = [0, *range(1, len(parts)), *range(1, len(parts))]
        known = set(self._kept)
        for number, rooms in enumerate(rounds):
            for room in rooms:
                for item, motion in ((item, end.motion) for end in room.ends for item in end.items):
                    key, task = self._task(item, motion)
                    if key not in known:
                        known.add(key)
                        parts[turn[number % len(turn)]][key] = task
        started = [Ahead(part) for part in parts[1:] if len(part) >= WORTH_IT]
        self._ahead = {key: helper for helper in started for key in helper.keys}
        try:
            yield
        finally:
            self._ahead = {}
            for helper in started:
                helper.stop()
