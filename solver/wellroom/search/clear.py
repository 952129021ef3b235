"""The backspaces that everything around an axle leaves open, for many tires on rims at once.

A swept axle end becomes closings (one for each thing and tread class); a closing and a section give one
fouled open interval of backspaces. Ends are rounded to 0.01 mm against the candidate, so that what is
printed is what was used.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.contacts import Touch, touch
from wellroom.geometry.envelope import SLACK, Cells, sweep
from wellroom.geometry.items import Blocks, Floats, Item
from wellroom.geometry.section import Sections
from wellroom.geometry.windows import Closing, closing, fouled_to, item_closing
from wellroom.scenario.build import BRAKE_CLEARANCE, End, Room
from wellroom.search.sweeps import Sweeps, item_key, room_key

TREADS = 2
"""Tread classes: 0 all others, 1 mud."""
_BRAKE_PIECE = 0.2
_SQUARE = 1e-9
_CENT = 0.01


@dataclass(frozen=True)
class Thing:
    """One thing of one axle end: its id, its items (shares and poses of one thing), and their rows in
    ``cells``.
    """

    id: str
    end: int
    items: tuple[Item, ...]
    rows: tuple[NDArray[np.intp], ...]
    closed: tuple[Closing, ...]

    @property
    def low(self) -> bool:
        """Whether it stands so low beside the wheel that the loaded tire's bulge meets it."""
        return self.items[0].low


@dataclass(frozen=True)
class SweptAxle:
    """An axle swept once: for each end its samples, and all things that close backspaces.

    ``bound`` [mm]: what is allowed at the asked clearance is allowed, and what fails may only fail, within
    it.
    """

    room: Room
    cells: tuple[Cells, ...]
    things: tuple[Thing, ...]
    brake: Thing | None
    brake_cells: Cells
    bound: float


def sweep_axle(
    room: Room, progress: Callable[[str, float], None] | None = None, sweeps: Sweeps | None = None
) -> SweptAxle:
    """Sweep all that stands near both ends of an axle; ``sweeps`` remembers what was swept before."""
    sweeps = sweeps or Sweeps()
    swept = sweeps.once(("axle", room_key(room)), lambda: _sweep_axle(room, progress, sweeps))
    return replace(swept, room=room)


def _sweep_axle(room: Room, progress: Callable[[str, float], None] | None, sweeps: Sweeps) -> SweptAxle:
    cells, things, bound = [], [], 0.0
    for index, end in enumerate(room.ends):
        if progress:
            progress(f"{room.name} axle, {end.side} side", index / len(room.ends))
        swept = sweeps.end(end.items, end.motion)
        cells.append(swept)
        things.extend(_things(room, index, end, swept, sweeps))
        if len(swept.r):
            asked = np.array([min(item.clearances) for item in end.items])[swept.item]
            bound = max(bound, float((swept.growth(asked) - asked - swept.thickness).max()))
    brake_cells, brake = _brake(room)
    return SweptAxle(room, tuple(cells), tuple(things), brake, brake_cells, bound)


def _things(room: Room, index: int, end: End, swept: Cells, sweeps: Sweeps) -> list[Thing]:
    ids = list(dict.fromkeys(item.id for item in end.items))
    return [_thing(room, index, id_, range(len(end.items)), swept, sweeps) for id_ in ids]


def _thing(room: Room, index: int, id_: str, of: Sequence[int], swept: Cells, sweeps: Sweeps) -> Thing:
    """Return one thing of an end; the samples ``swept`` are of the items numbered ``of``, in that order."""
    end = room.ends[index]
    mine = [(k, number) for k, number in enumerate(of) if end.items[number].id == id_]
    items = tuple(end.items[number] for _, number in mine)
    rows = tuple(np.flatnonzero(swept.item == k) for k, _ in mine)
    name = _name(room, index, id_)
    closed = sweeps.once(
        ("closed", tuple(item_key(item) for item in items), end.motion),
        partial(_closed, name, items, swept, rows),
    )
    return Thing(name, index, items, rows, tuple(replace(part, id=name) for part in closed))


def _name(room: Room, index: int, id_: str) -> str:
    """Return a thing's id, with its side where the other end has one of that id too."""
    other_sides = {item.id for k, end in enumerate(room.ends) if k != index for item in end.items}
    return f"{id_}.{room.ends[index].side}" if id_ in other_sides else id_


@dataclass(frozen=True)
class Late:
    """A thing that is swept when it is asked for. ``key``: equal for what closes the same."""

    key: Hashable
    items: tuple[Item, ...]
    swept: Callable[[], Thing]


def late_things(room: Room, sweeps: Sweeps) -> Iterator[Late]:
    """Yield the brake and each thing of an axle as ``closings_of`` orders them, none swept yet.

    What stands alike on both sides comes once.
    """
    brake = sweeps.once(("brake", room.name, room.brake), lambda: _brake(room))[1]
    if brake is not None:
        yield Late(("brake", room.brake), brake.items, lambda: brake)
    every = {(_name(room, k, item.id), k, item.id) for k, end in enumerate(room.ends) for item in end.items}
    seen: set[Hashable] = set()
    for _, index, id_ in sorted(every, key=lambda one: asked_first(one[0])):
        end = room.ends[index]
        of = [number for number, item in enumerate(end.items) if item.id == id_]
        items = tuple(end.items[number] for number in of)
        key = (tuple(item_key(item) for item in items), end.motion)
        if key not in seen:
            seen.add(key)
            yield Late(key, items, partial(_late, room, index, id_, of, sweeps))


def _late(room: Room, index: int, id_: str, of: Sequence[int], sweeps: Sweeps) -> Thing:
    end = room.ends[index]
    swept = sweeps.end([end.items[number] for number in of], end.motion)
    return _thing(room, index, id_, of, swept, sweeps)


def asked_first(id_: str) -> tuple[bool, str]:
    """Return what things are asked in order of: what is near, then the lips, by id."""
    return id_.split(".")[1] == "lip", id_


def _closed(
    name: str, items: tuple[Item, ...], swept: Cells, rows: tuple[NDArray[np.intp], ...]
) -> tuple[Closing, ...]:
    """Return what one thing closes, once for each kind of tread that it asks another clearance of."""
    alike = all(len(item.clearances) == 1 for item in items)
    return tuple(item_closing(name, items, swept, rows, tread) for tread in range(1 if alike else TREADS))


def _brake(room: Room) -> tuple[Cells, Thing | None]:
    """Return the brake's outline as samples, and what it closes: all that is under it down to the axle."""
    id_ = f"{room.name}.brake"
    corners = np.array(room.brake, dtype=float).reshape(-1, 2)
    if not len(corners):
        return sweep((), room.motion), None
    ends = [(0.0, corners[0, 1]), *map(tuple, corners), (0.0, corners[-1, 1])]
    r, y = [], []
    for (r0, y0), (r1, y1) in itertools.pairwise(ends):
        steps = max(1, int(np.ceil(np.hypot(r1 - r0, y1 - y0) / _BRAKE_PIECE)))
        share = np.arange(steps + 1) / steps
        r.append(r0 + share * (r1 - r0))
        y.append(y0 + share * (y1 - y0))
    radius, place = np.concatenate(r), np.concatenate(y)
    n = len(radius)
    zero = np.zeros(n)
    cells = Cells(
        np.zeros(n, dtype=np.intp),
        radius,
        place,
        zero,
        zero,
        np.full(n, _BRAKE_PIECE / 2.0),
        zero,
        np.stack([zero, place, radius], axis=1),
        np.zeros((n, sweep((), room.motion).pose.shape[1])),
    )
    item = Item(id_, (), 1.0, False, Blocks.NOTHING, (BRAKE_CLEARANCE,))
    closed = closing(id_, Blocks.NOTHING, [(cells, BRAKE_CLEARANCE)])
    return cells, Thing(id_, 0, (item,), (np.arange(n),), (closed,))


def brake_bound() -> float:
    """Return the growth bound of the brake's samples [mm]."""
    return _BRAKE_PIECE / 2.0 + SLACK


def fouled_backspaces(
    closed: Closing, parts: Sections, to_centre: Floats, within: tuple[Floats, Floats] | None = None
) -> tuple[Floats, Floats]:
    """Return the fouled open interval (low, high) of backspaces [mm], each (n,), ends rounded outward to
    0.01.

    ``within``: the least and the greatest backspace (n,) [mm] that matter; an end beyond them may be told
    anywhere beyond them.
    """
    n = len(to_centre)
    low, high = np.full(n, -np.inf), np.full(n, np.inf)
    both = closed.up is not None and closed.down is not None
    if closed.up:
        past = None if both or within is None else to_centre - (within[1] + _CENT)
        low = to_centre - fouled_to(closed.up, parts, past)
    if closed.down:
        past = None if both or within is None else (within[0] - _CENT) - to_centre
        high = to_centre + fouled_to(closed.down, parts, past)
    return np.floor(low * 100.0 + _SQUARE) / 100.0, np.ceil(high * 100.0 - _SQUARE) / 100.0


def thing_margin(
    axle: SweptAxle, thing: Thing, tread: int, parts: Sections, shift: float
) -> tuple[Touch, Item, Cells]:
    """Return the least margin [mm] of one section at a shift to one thing, with the item and samples it is
    on.
    """
    cells = axle.brake_cells if thing is axle.brake else axle.cells[thing.end]
    best: tuple[Touch, Item] | None = None
    for item, rows in zip(thing.items, thing.rows, strict=True):
        asked = item.clearances[min(tread, len(item.clearances) - 1)]
        found = touch(cells, rows, parts, 0, shift, item.blocks, asked)
        if best is None or found.margin < best[0].margin:
            best = (found, item)
    assert best is not None
    return best[0], best[1], cells
