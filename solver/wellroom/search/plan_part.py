"""A small part of a join problem, numbered for the solver, with the aims that make the plans' order."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wellroom.search.plan_bound import NEVER, Bounds
from wellroom.search.plan_data import Ints
from wellroom.search.plan_items import Problem
from wellroom.search.plan_rank import Triple, id_columns
from wellroom.search.solve import SMALL, Choice, Least, Part, Total


class SmallPart:
    """Chosen items of both sides with those options that can go with them within a bound."""

    def __init__(self, task: Problem, ref: Ints, other: Ints, bound: Bounds, guess: int) -> None:
        groups = np.zeros(task.ref.groups, dtype=bool)
        groups[task.ref.group[ref]] = True
        self._task, self._ref, self._other = task, ref, other
        self._gear, self._option_ref = np.nonzero((bound.option <= min(guess, NEVER - 1)) & groups[None, :])
        gear, u = self._gear, self._option_ref
        score = Total(task.ref.score[ref], task.other.score[other], task.gear_score[gear, u])
        price = Total(task.ref.price[ref], task.other.price[other], task.gear_price[gear])
        mass = Total(task.ref.mass[ref], task.other.mass[other], np.zeros_like(gear))
        caps = ((price, task.budget), (mass, task.mass))
        self.part = Part(
            task.ref.group[ref], task.other.group[other],
            u, task.low[gear, u], task.high[gear, u], score, price,
            tuple((total, cap) for total, cap in caps if cap is not None),
        )  # fmt: skip
        self.key_aims: tuple[Total | Least, ...] = pack([_by_gcd(score), _by_gcd(price)])
        self._place = {
            (int(g), int(group)): c
            for c, (g, group) in enumerate(zip(gear.tolist(), u.tolist(), strict=True))
        }

    @property
    def size(self) -> int:
        """How many literals the solver gets."""
        return len(self._ref) + len(self._other) + len(self._gear)

    def triple(self, choice: Choice) -> Triple:
        """Return a choice by the problem's own numbers."""
        return int(self._ref[choice[0]]), int(self._other[choice[1]]), int(self._gear[choice[2]])

    def local(self, triples: Sequence[Triple]) -> list[Choice]:
        """Return those of some choices that are in this part, by its numbers."""
        ref = {int(item): i for i, item in enumerate(self._ref)}
        other = {int(item): j for j, item in enumerate(self._other)}
        found = []
        for i, j, g in triples:
            place = self._place.get((g, int(self._task.ref.group[i])))
            if i in ref and j in other and place is not None:
                found.append((ref[i], other[j], place))
        return found

    def tie_aims(self, ref_margin: Ints, other_margin: Ints) -> tuple[Total | Least, ...]:
        """Return the order of plans that are equal in score and price: margin, then ids."""
        rank = np.unique(np.concatenate([ref_margin, other_margin]), return_inverse=True)[1]
        least = Least(rank[: len(ref_margin)], rank[len(ref_margin) :])
        columns = id_columns(self._task, self._ref, self._other, self._gear)
        return (least, *pack([Total(*column) for column in columns]))


def pack(totals: Sequence[Total]) -> tuple[Total, ...]:
    """Return totals that order the same, neighbours merged as digits while the solver's rows stay small."""
    packed: list[Total] = []
    for total in totals:
        if total.span == 0:
            continue
        merged = _merged(packed[-1], total) if packed else None
        if merged is None:
            packed.append(total)
        else:
            packed[-1] = merged
    return tuple(packed)


def _merged(before: Total, after: Total) -> Total | None:
    unit = after.span + 1
    most, least = (sum(int(_from_zero(part).sum()) for part in total.parts) for total in (before, after))
    if most * unit + least >= SMALL:
        return None
    pairs = zip(before.parts, after.parts, strict=True)
    return Total(*(_from_zero(a) * unit + _from_zero(b) for a, b in pairs))


def _by_gcd(total: Total) -> Total:
    parts = [_from_zero(part) for part in total.parts]
    step = max(1, int(np.gcd.reduce(np.concatenate(parts))) if sum(map(len, parts)) else 1)
    return Total(*(part // step for part in parts))


def _from_zero(part: Ints) -> Ints:
    return part - part.min() if part.size else part
