"""From choices to plans: margins where the order asks for them, the backspaces of a plan, ids as ranks."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from wellroom.search.plan_data import Ints, MarginOf, PlanRow, id_key, order_key
from wellroom.search.plan_items import Problem, Side

Triple = tuple[int, int, int]  # reference item, other item, gear option
FREE = 1 << 62  # the margin of a side that holds no wheel


class Margins:
    """The rows' margins, asked for once each; 0.01 mm."""

    def __init__(self, margin: MarginOf, front: int, rear: int) -> None:
        self._margin = margin
        self._known = {"front": np.zeros(front, dtype=bool), "rear": np.zeros(rear, dtype=bool)}
        self._value = {"front": np.zeros(front, dtype=np.int64), "rear": np.zeros(rear, dtype=np.int64)}

    def members(self, side: Side, at: Ints) -> Ints:
        """Return the margins of members: the lesser of the rows that each holds, FREE if none."""
        return np.minimum(self._rows("front", side.front_row[at]), self._rows("rear", side.rear_row[at]))

    def items(self, side: Side, items: Ints) -> Ints:
        """Return the greatest margin among each item's members."""
        count = side.start[items + 1] - side.start[items]
        if not count.size:
            return np.zeros(0, dtype=np.int64)
        first = np.append(0, np.cumsum(count))[:-1]
        members = np.arange(int(count.sum())) - np.repeat(first - side.start[items], count)
        return np.maximum.reduceat(self.members(side, members), first)

    def _rows(self, axle: str, rows: Ints) -> Ints:
        held = rows >= 0
        if not held.any():
            return np.full(rows.shape, FREE)
        known, value = self._known[axle], self._value[axle]
        new = np.unique(rows[held & ~known[rows]])
        if new.size:
            value[new] = self._margin("front" if axle == "front" else "rear", new)
            known[new] = True
        return np.where(held, value[rows], FREE)


def plan_row(problem: Problem, triple: Triple, margins: Margins) -> PlanRow:
    """Return a choice as a plan with its best backspaces: greatest margin, then least front, then rear."""
    sides = (problem.ref, problem.other)
    members = [np.arange(side.start[i], side.start[i + 1]) for side, i in zip(sides, triple[:2], strict=True)]
    values = [margins.members(side, at) for side, at in zip(sides, members, strict=True)]
    margin = min(int(value.max()) for value in values)
    # members stand in the order of their backspace, so the first that reaches the margin is the one
    chosen = [int(at[np.argmax(value >= margin)]) for at, value in zip(members, values, strict=True)]
    front = max(int(side.front_row[at]) for side, at in zip(sides, chosen, strict=True))
    rear = max(int(side.rear_row[at]) for side, at in zip(sides, chosen, strict=True))
    score, price = score_and_price(problem, triple)
    mass = int(problem.ref.mass[triple[0]] + problem.other.mass[triple[1]])
    return PlanRow(front, rear, triple[2], score, price, mass, margin)


def score_and_price(problem: Problem, triple: Triple) -> tuple[int, int]:
    """Return a choice's score and price."""
    i, j, g = triple
    score = problem.ref.score[i] + problem.other.score[j] + problem.gear_score[g, problem.ref.group[i]]
    return int(score), int(problem.ref.price[i] + problem.other.price[j] + problem.gear_price[g])


def in_order(problem: Problem, triples: Iterable[Triple], margins: Margins) -> list[PlanRow]:
    """Return choices as plans in their total order."""
    front, rear, gears = problem.coded.front, problem.coded.rear, problem.gears
    plans = [plan_row(problem, triple, margins) for triple in triples]
    return sorted(plans, key=lambda plan: order_key(front, rear, gears, plan))


def id_columns(problem: Problem, ref: Ints, other: Ints, gears: Ints) -> list[tuple[Ints, Ints, Ints]]:
    """Return the ids of chosen items and options as ranks, in the order in which plans compare them.

    Each column is values for the reference items, the other items and the options, all but one of them 0.
    """
    columns = []
    zero = [np.zeros(len(part), dtype=np.int64) for part in (ref, other, gears)]
    for kind in range(4):
        for axle in (0, 1):
            for part, side, items in ((0, problem.ref, ref), (1, problem.other, other)):
                rows = (side.front_row, side.rear_row)[axle][side.start[items]]
                if rows.size and rows[0] >= 0:
                    rank = np.unique(problem.coded.ranks[axle][kind, rows], return_inverse=True)[1]
                    columns.append((rank if part == 0 else zero[0], rank if part == 1 else zero[1], zero[2]))
    for ids in (problem.gears.front_id, problem.gears.rear_id):
        names = sorted({id_key(ids[g]) for g in gears.tolist()})
        rank = np.array([names.index(id_key(ids[g])) for g in gears.tolist()], dtype=np.int64)
        columns.append((zero[0], zero[1], rank))
    return columns
