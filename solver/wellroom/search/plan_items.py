"""From the rows of two axles to one join problem: two sides of items, and gear options between them.

A side's item is one (tire, wheel, rim diameter, rim width) with those of its backspaces that have its least
score: everything a joint requirement asks about is the same for all of them. Where one wheel must serve all
round, the backspace is shared as well, so a single side holds both axles' rows in pairs and the other side is
one empty item.

Items fall into groups by rolling circumference, exactly, and by construction where that must match. For one
gear option and one group of the reference side the groups that go with it are one run of the other side's
groups.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from wellroom.search.plan_data import AxleRows, Bools, GearOptions, Ints, Joint, Names, check_sizes

_BLOCK = 1 << 45  # above every rolling circumference


@dataclass(frozen=True)
class Coded:
    """Both axles' rows in the order of their names, with names as ranks that compare across the axles.

    ``ranks[axle]`` has shape (4, n): tire, wheel, rim diameter, rim width. ``ident[axle]`` is one number for
    the four. ``order[axle]`` sorts rows by ident, then backspace.
    """

    front: AxleRows
    rear: AxleRows
    ranks: tuple[Ints, Ints]
    ident: tuple[Ints, Ints]
    order: tuple[Ints, Ints]


@dataclass(frozen=True)
class Side:
    """Items of one side: n of them in u groups; item i owns members start[i] to start[i + 1].

    A member is a front row, a rear row, or a pair of them; -1 where the side does not hold that axle.
    """

    score: Ints
    price: Ints
    mass: Ints
    group: Ints
    groups: int
    start: Ints
    front_row: Ints
    rear_row: Ints

    def __len__(self) -> int:
        return len(self.score)


@dataclass(frozen=True)
class Problem:
    """Choose one item a side and one gear option g with the other item's group in [low[g, u], high[g, u]).

    u is the group of the reference item. Score and price are sums over the three; ``unit`` makes
    score x unit + price the order. ``gear_score``, ``low`` and ``high`` have shape (m, u).
    """

    coded: Coded
    gears: GearOptions
    ref: Side
    other: Side
    gear_score: Ints
    gear_price: Ints
    low: Ints
    high: Ints
    unit: int
    budget: int | None
    mass: int | None


def code(front: AxleRows, rear: AxleRows) -> Coded:
    """Return both axles coded; raise ValueError where rows of one wheel and tire disagree or come twice."""
    n = len(front)
    columns = [
        _ranks(front.tire, rear.tire),
        _ranks(front.wheel, rear.wheel),
        np.unique(np.concatenate([front.rim_diameter, rear.rim_diameter]), return_inverse=True)[1],
        np.unique(np.concatenate([front.rim_width, rear.rim_width]), return_inverse=True)[1],
    ]
    ident = np.zeros(n + len(rear), dtype=np.int64)
    for column in columns:
        ident = ident * (int(column.max(initial=0)) + 1) + column
    both = np.stack(columns) if ident.size else np.zeros((4, 0), dtype=np.int64)
    idents = (ident[:n], ident[n:])
    order = tuple(
        np.lexsort((rows.backspace_um, key)) for rows, key in zip((front, rear), idents, strict=True)
    )
    coded = Coded(front, rear, (both[:, :n], both[:, n:]), idents, (order[0], order[1]))
    for rows, key, by in zip((front, rear), idents, coded.order, strict=True):
        _check(rows, key[by], by)
    return coded


def problem(coded: Coded, gears: GearOptions, joint: Joint) -> Problem:
    """Return two axles' join problem; ValueError where a row's circumference has no gear column."""
    front, rear = coded.front, coded.rear
    unit = check_sizes(front, rear, gears)
    if joint.same_wheel:
        ref, rolling, ok = _paired(coded, gears, joint)
        nothing = np.zeros(1, dtype=np.int64)
        other = Side(nothing, nothing, nothing, nothing, 1, np.array([0, 1]), nothing - 1, nothing - 1)
        low, high = np.zeros(ok.shape, dtype=np.int64), ok.astype(np.int64)
    else:
        sides = [_side(coded, axle, joint.same_construction) for axle in (0, 1)]
        first = 0 if gears.reference == "front" else 1
        (ref, ref_code), (other, other_code) = sides[first], sides[1 - first]
        rolling = ref_code % _BLOCK
        low, high = _runs(ref_code, other_code, gears, joint.match_ppm)
    column = np.searchsorted(gears.rolling_values_um, rolling)
    known = np.append(gears.rolling_values_um, -1)[column] == rolling
    if not known.all():
        raise ValueError(
            "GearOptions.rolling_values_um: a rolling circumference of the reference axle is missing"
        )
    high = np.where(gears.allowed[:, column], high, low)
    return Problem(
        coded, gears, ref, other, gears.score[:, column], gears.price_cents, low, high, unit,
        joint.budget_cents, joint.mass_g,
    )  # fmt: skip


def _ranks(front: Names, rear: Names) -> Ints:
    codes, different = pd.factorize(np.concatenate([front, rear]), use_na_sentinel=False)
    names = [str(name) for name in different]
    rank = {name: i for i, name in enumerate(sorted(set(names)))}
    return np.array([rank[name] for name in names], dtype=np.int64)[codes]


def _check(rows: AxleRows, key: Ints, by: Ints) -> None:
    again = key[1:] == key[:-1]
    for name in ("price_cents", "mass_g", "rolling_um", "radial"):
        values = getattr(rows, name)[by]
        if (again & (values[1:] != values[:-1])).any():
            raise ValueError(f"AxleRows.{name}: differs between backspaces of one tire, wheel and rim")
    spaces = rows.backspace_um[by]
    if (again & (spaces[1:] == spaces[:-1])).any():
        raise ValueError("AxleRows: two rows of one tire, wheel, rim and backspace")


def _items(key: Ints, score: Ints) -> tuple[Ints, Ints, Ints]:
    """Return, for members in order of key: each key's first, the members kept, and their start per key."""
    first = np.flatnonzero(np.append(True, key[1:] != key[:-1])) if key.size else np.zeros(0, dtype=np.int64)
    if not first.size:
        return first, first, np.zeros(1, dtype=np.int64)
    length = np.diff(np.append(first, len(key)))
    least = np.minimum.reduceat(score, first)
    kept = score == np.repeat(least, length)
    counts = np.add.reduceat(kept.astype(np.int64), first)
    return first, np.flatnonzero(kept), np.append(0, np.cumsum(counts))


def _side(coded: Coded, axle: int, by_construction: bool) -> tuple[Side, Ints]:
    """Return one axle's items and the ascending codes (construction, rolling circumference) of its groups."""
    rows, by = (coded.front, coded.rear)[axle], coded.order[axle]
    _, kept, start = _items(coded.ident[axle][by], rows.score[by])
    member = by[kept]
    row = member[start[:-1]]
    block = rows.radial[row] * _BLOCK if by_construction else 0
    codes, group = np.unique(rows.rolling_um[row] + block, return_inverse=True)
    none = np.full(len(member), -1)
    owns = (member, none) if axle == 0 else (none, member)
    return Side(
        rows.score[row], rows.price_cents[row], rows.mass_g[row], group, len(codes), start, *owns
    ), codes


def _runs(ref: Ints, other: Ints, gears: GearOptions, ppm: int | None) -> tuple[Ints, Ints]:
    """Return low, high (m, u): the run of the other side's groups that goes with option g and group u.

    With A = front ratio x rear circumference and B = rear ratio x front circumference the greater may exceed
    the lesser by ppm millionths; solved for the other axle's circumference in exact integers.
    """
    block, rolling = ref // _BLOCK * _BLOCK, ref % _BLOCK
    least = np.broadcast_to(block, (len(gears), len(ref)))
    most = least + _BLOCK - 1
    if ppm is not None:
        front_first = gears.reference == "front"
        own, across = (gears.front_ratio_u, gears.rear_ratio_u)[:: 1 if front_first else -1]
        known = across.astype(object)[:, None] * rolling.astype(object)[None, :]
        scale = own.astype(object)[:, None] * 1_000_000
        wider = own.astype(object)[:, None] * (1_000_000 + ppm)
        top = (known * (1_000_000 + ppm)) // scale
        bottom = -((-known * 1_000_000) // wider)
        most = block + np.minimum(top, _BLOCK - 1).astype(np.int64)
        least = block + np.minimum(bottom, _BLOCK - 1).astype(np.int64)
    low = np.searchsorted(other, least.ravel(), side="left").reshape(least.shape)
    high = np.searchsorted(other, most.ravel(), side="right").reshape(most.shape)
    return low, np.maximum(low, high)


def _paired(coded: Coded, gears: GearOptions, joint: Joint) -> tuple[Side, Ints, Bools]:
    """Return items of equal rows on both axles, the groups' reference circumferences, and which gears go."""
    front, rear = coded.front, coded.rear
    space = np.concatenate([front.backspace_um, rear.backspace_um])
    steps, step = np.unique(space, return_inverse=True)
    ident = np.unique(np.concatenate(coded.ident), return_inverse=True)[1]
    exact = ident * max(1, len(steps)) + step
    _, f, r = np.intersect1d(exact[: len(front)], exact[len(front) :], return_indices=True)
    score = front.score[f] + rear.score[r]
    first, kept, start = _items(coded.ident[0][f], score)
    if joint.same_construction:
        agree = front.radial[f[first]] == rear.radial[r[first]]
    else:
        agree = np.ones(len(first), dtype=bool)
    rolls = np.stack([front.rolling_um[f[first]], rear.rolling_um[r[first]], agree.astype(np.int64)])
    groups, group = np.unique(rolls, axis=1, return_inverse=True)
    ok = np.broadcast_to(groups[2] == 1, (len(gears), groups.shape[1]))
    if joint.match_ppm is not None:
        a: Any = gears.front_ratio_u.astype(object)[:, None] * groups[1].astype(object)[None, :]
        b: Any = gears.rear_ratio_u.astype(object)[:, None] * groups[0].astype(object)[None, :]
        fits = np.maximum(a, b) * 1_000_000 <= np.minimum(a, b) * (1_000_000 + joint.match_ppm)
        ok = ok & fits.astype(bool)
    items = f[first], r[first]
    side = Side(
        score[kept[start[:-1]]], front.price_cents[items[0]] + rear.price_cents[items[1]],
        front.mass_g[items[0]] + rear.mass_g[items[1]], group.ravel(), groups.shape[1],
        start, f[kept], r[kept],
    )  # fmt: skip
    return side, groups[0 if gears.reference == "front" else 1], ok
