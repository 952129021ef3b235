"""Lower bounds of the joins that each item can be part of, in the order score x unit + price.

An item's bound is its own key + the least key of a rest that goes with it. The rest is exact as to gear
options, rolling match and construction; a budget or a mass limit is held in 128 equal steps, rounded so that
the bound stays below the truth. Without those two limits every finite bound is the key of a real plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wellroom.search.plan_data import Ints
from wellroom.search.plan_items import Problem, Side

NEVER = 1 << 60  # the bound of what no plan can hold
_STEPS = 128


@dataclass(frozen=True)
class Bounds:
    """Lower bounds of keys: (n,) for the items of each side, (m, u) for an option on a reference group."""

    ref: Ints
    other: Ints
    option: Ints


@dataclass(frozen=True)
class _Resource:
    """A limited sum as whole levels from each part's least: parts that fit have levels with a sum < steps."""

    ref: Ints
    other: Ints
    option: Ints
    steps: int


def bounds(problem: Problem) -> Bounds:
    """Return the greatest of the bounds under each limit that the problem has."""
    options = np.broadcast_to(problem.gear_price[:, None], problem.low.shape)
    zero = np.zeros_like(problem.low)
    found = []
    if problem.budget is not None:
        found.append(_resource(problem, problem.ref.price, problem.other.price, options, problem.budget))
    if problem.mass is not None:
        found.append(_resource(problem, problem.ref.mass, problem.other.mass, zero, problem.mass))
    if not found:
        free = _Resource(np.zeros_like(problem.ref.mass), np.zeros_like(problem.other.mass), zero, 1)
        found.append(free)
    each = [_bounds(problem, resource) for resource in found]
    return Bounds(
        np.maximum.reduce([b.ref for b in each]),
        np.maximum.reduce([b.other for b in each]),
        np.maximum.reduce([b.option for b in each]),
    )


def _resource(problem: Problem, ref: Ints, other: Ints, option: Ints, limit: int) -> _Resource:
    least = [int(part.min(initial=NEVER)) for part in (ref, other, option)]
    room = limit - sum(least)
    size = max(1, -(-(room + 1) // _STEPS))
    steps = room // size + 1 if room >= 0 else 0
    levels = [(part - low) // size for part, low in zip((ref, other, option), least, strict=True)]
    return _Resource(levels[0], levels[1], levels[2], steps)


def _bounds(problem: Problem, resource: _Resource) -> Bounds:
    ref, other, steps = problem.ref, problem.other, resource.steps
    never = Bounds(*(np.full(part.shape, NEVER) for part in (ref.score, other.score, problem.low)))
    if steps <= 0 or not len(ref) or not len(other):
        return never
    keys = [side.score * problem.unit + side.price for side in (ref, other)]
    gear_key = problem.gear_score * problem.unit + problem.gear_price[:, None]
    ref_least = _least(ref, keys[0], resource.ref, steps)
    other_runs = _run_table(_least(other, keys[1], resource.other, steps))
    ref_rest = np.full((ref.groups, steps), NEVER)
    spread = np.full(other_runs.shape, NEVER)
    option = never.option
    for g in range(len(gear_key)):
        u = np.flatnonzero((problem.high[g] > problem.low[g]) & (resource.option[g] < steps))
        if not u.size:
            continue
        low, high, level, key = problem.low[g, u], problem.high[g, u], resource.option[g, u], gear_key[g, u]
        size = np.frexp(high - low)[1].astype(np.int64) - 1
        last = high - (1 << size)
        rest = np.minimum(other_runs[size, low], other_runs[size, last])
        rest = _shift(rest, level) + key[:, None]
        ref_rest[u] = np.minimum(ref_rest[u], rest)
        option[g, u] = np.minimum(rest[:, -1] + ref_least[u, -1], NEVER)
        back = _shift(ref_least[u], level) + key[:, None]
        for at in (low, last):
            _lower(spread, size, at, back)
    return Bounds(
        _with_rest(ref, keys[0], ref_rest, resource.ref, steps),
        _with_rest(other, keys[1], _unspread(spread), resource.other, steps),
        option,
    )


def _least(side: Side, key: Ints, level: Ints, steps: int) -> Ints:
    """Return (groups, steps): the least key among a group's items of that level or below."""
    table = np.full((side.groups, steps), NEVER)
    within = level < steps
    np.minimum.at(table, (side.group[within], level[within]), key[within])
    return np.minimum.accumulate(table, axis=1)


def _run_table(base: Ints) -> Ints:
    """Return (levels, groups, steps): level l holds minima over runs of 2^l groups."""
    levels = [base]
    while (width := 1 << len(levels)) <= len(base):
        half, longer = width >> 1, np.full_like(base, NEVER)
        count = len(base) - width + 1
        longer[:count] = np.minimum(levels[-1][:count], levels[-1][half : half + count])
        levels.append(longer)
    return np.stack(levels)


def _unspread(table: Ints) -> Ints:
    """Return (groups, steps): the least entry of all runs that cover a group; the run table turned about."""
    for size in range(len(table) - 1, 0, -1):
        half, below = 1 << (size - 1), table[size - 1]
        below[:] = np.minimum(below, table[size])
        below[half:] = np.minimum(below[half:], table[size][:-half])
    base: Ints = table[0]
    return base


def _lower(table: Ints, size: Ints, at: Ints, rows: Ints) -> None:
    """Lower table[size, at] to rows in place; places may repeat."""
    place = size * table.shape[1] + at
    by = np.argsort(place, kind="stable")
    first = np.flatnonzero(np.append(True, np.diff(place[by]) != 0))
    least = np.minimum.reduceat(rows[by], first, axis=0)
    flat = table.reshape(-1, table.shape[2])
    flat[place[by[first]]] = np.minimum(flat[place[by[first]]], least)


def _shift(rows: Ints, level: Ints) -> Ints:
    """Return rows moved right by each row's level, filled with NEVER."""
    if not level.any():
        return rows
    at = np.arange(rows.shape[1])[None, :] - level[:, None]
    moved = np.take_along_axis(rows, np.maximum(at, 0), axis=1)
    return np.where(at >= 0, moved, NEVER)


def _with_rest(side: Side, key: Ints, rest: Ints, level: Ints, steps: int) -> Ints:
    left = steps - 1 - level
    total = key + rest[side.group, np.maximum(left, 0)]
    return np.where(left >= 0, np.minimum(total, NEVER), NEVER)
