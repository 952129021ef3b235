"""The plan: front and rear wheels and tires with one choice of gears, the k best of them, with proof.

Every item has a lower bound of the plans that can hold it. Items within a bound go to the solver, which finds
the best plans among them one after another. Once the k-th is within the bound no item left out can matter;
otherwise more are let in. Plans that tie at the cut in score and price are told apart by margin and ids in
the same way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Any

import numpy as np

from wellroom.search import solve
from wellroom.search.plan_bound import NEVER, Bounds, bounds
from wellroom.search.plan_data import (
    AxleRows,
    Effort,
    GearOptions,
    Ints,
    Joint,
    Limits,
    MarginOf,
    PlanResult,
    PlanRow,
)
from wellroom.search.plan_items import Coded, Problem, code, problem
from wellroom.search.plan_join import join_plans
from wellroom.search.plan_part import SmallPart
from wellroom.search.plan_rank import FREE, Margins, Triple, in_order, score_and_price
from wellroom.search.solve import Least, Total, Verdict, Work

__all__ = [
    "AxleRows",
    "Effort",
    "GearOptions",
    "Joint",
    "Limits",
    "PlanResult",
    "PlanRow",
    "best_plans",
    "drops",
    "has_plan",
    "join_plans",
]

_WIDER = 4


def best_plans(
    front: AxleRows,
    rear: AxleRows,
    gears: GearOptions,
    joint: Joint,
    margin: MarginOf,
    k: int,
    *,
    limits: Limits | None = None,
) -> PlanResult:
    """Return the k best distinct plans, by the solver on as few rows as the proof needs.

    Order: score, price, least clearance margin over both axles (greater first), front tire, rear tire, front
    wheel, rear wheel, rim diameters, rim widths, gear sets (none first), front backspace, rear backspace;
    never a row's number. Two plans are distinct when a tire, a rim diameter, a rim width, a wheel or a gear
    set differs; of the backspaces of one plan only the first by that order is given.

    ``margin(axle, rows)`` gives the least clearance margin of each of some rows: 0.01 mm, rounded down,
    between -2^60 and 2^60. It is asked once a row at most, and only for rows that the order can't do without.
    ``k`` is at least 1; fewer plans come back when there are no more. ``limits`` bounds the work; when it
    strikes, the status says so.

    Raises ValueError where rows contradict each other or numbers are out of range.
    """
    limits = limits or Limits()
    if k < 1:
        raise ValueError(f"k = {k}: at least 1")
    coded = code(front, rear)
    task = problem(coded, gears, joint)
    work = Work(limits.work)
    search = _Search(task, work, limits, Margins(margin, len(front), len(rear)))
    search.run(k)
    plans = tuple(in_order(task, search.found, search.margins)[:k])
    in_force = _in_force(gears, joint)
    blocked: tuple[str, ...] = ()
    status = "proven" if plans else "none"
    if not search.proven:
        status = "unproven"
    elif not plans:
        blocked = tuple(name for name in in_force if _opens((name,), coded, gears, joint, limits, work))
    sizes = (len(task.ref), len(task.other))
    if gears.reference == "rear" and not joint.same_wheel:
        sizes = sizes[::-1]
    effort = Effort(*sizes, search.most, search.rounds, work.solves)
    return PlanResult(plans, status, in_force, blocked, effort)  # type: ignore[arg-type]  # the status is one of its words


@dataclass
class _Search:
    """One search: what is found so far, and whether it is all that the bound lets in."""

    task: Problem
    work: Work
    limits: Limits
    margins: Margins
    found: list[Triple] = field(default_factory=list)
    proven: bool = True
    most: int = 0
    rounds: int = 0

    def run(self, k: int, *, any_will_do: bool = False) -> None:
        """Find the k best choices; with ``any_will_do`` k of them, not told apart at the cut."""
        bound = bounds(self.task)
        low = [np.sort(side[side < NEVER]) for side in (bound.ref, bound.other)]
        if not all(side.size for side in low):
            return
        count = k
        while True:
            self.rounds += 1
            guess = min(int(side[count - 1]) if len(side) >= count else NEVER for side in low)
            crowded = not any_will_do and self._within(bound, guess) > self.limits.crowd and guess < NEVER
            if not self._widen(bound, guess - 1 if crowded else guess, k):
                return
            if len(self.found) == k:
                if not any_will_do:
                    self._settle(bound, max(self._key(triple) for triple in self.found), k)
                return
            if crowded:
                self._settle(bound, guess, k)
                if not self.proven or len(self.found) == k:
                    return
            if guess >= NEVER:
                return
            count *= _WIDER

    def _within(self, bound: Bounds, guess: int) -> int:
        return int((bound.ref <= guess).sum() + (bound.other <= guess).sum())

    def _key(self, triple: Triple) -> int:
        score, price = score_and_price(self.task, triple)
        return score * self.task.unit + price

    def _widen(self, bound: Bounds, guess: int, k: int) -> bool:
        """Find the best choices with keys up to a guess, until k or no more are left; False: work ran out."""
        part = SmallPart(self.task, _chosen(bound.ref, guess), _chosen(bound.other, guess), bound, guess)
        self.most = max(self.most, part.size)
        limit = divmod(guess, self.task.unit) if guess < NEVER else None
        while len(self.found) < k:
            triple = self._next(part, part.key_aims, self.found, at_most=limit)
            if triple is None:
                return self.proven
            self.found.append(triple)
        return True

    def _settle(self, bound: Bounds, cut: int, k: int) -> None:
        """Choose, of all choices with the key at the cut, those that the order puts first, up to k in all."""
        tied = [triple for triple in self.found if self._key(triple) == cut]
        strict = [triple for triple in self.found if self._key(triple) < cut]
        ref, other = (_chosen(values, cut) for values in (bound.ref, bound.other))
        level = divmod(cut, self.task.unit)
        if len(ref) + len(other) <= self.limits.crowd:
            part = SmallPart(self.task, ref, other, bound, cut)
            if tied and self._next(part, (), self.found, exactly=level) is None:
                return
        best = [
            self.margins.items(side, items)
            for side, items in ((self.task.ref, ref), (self.task.other, other))
        ]
        width = max(1, self.limits.crowd // 2)
        while True:
            floor = min(
                max(_nth_greatest(values, width) for values in best),
                min(int(values.max(initial=-FREE)) for values in best),
            )
            part = SmallPart(self.task, ref[best[0] >= floor], other[best[1] >= floor], bound, cut)
            self.most = max(self.most, part.size)
            aims = part.tie_aims(best[0][best[0] >= floor], best[1][best[1] >= floor])
            chosen = list(strict)
            while len(chosen) < k:
                triple = self._next(part, aims, chosen, exactly=level)
                if triple is None:
                    break
                chosen.append(triple)
            if not self.proven:
                self.found = (chosen + [triple for triple in tied if triple not in chosen])[:k]
                return
            if len(chosen) == k or all(len(values) <= width for values in best):
                self.found = chosen
                return
            width *= _WIDER

    def _next(
        self,
        part: SmallPart,
        aims: Sequence[Total | Least],
        forbidden: Sequence[Triple],
        *,
        at_most: tuple[int, int] | None = None,
        exactly: tuple[int, int] | None = None,
    ) -> Triple | None:
        """Return a part's next choice; None: there is none or, ``proven`` then being false, none is known."""
        answer = solve.best_choice(
            part.part,
            aims,
            self.work,
            forbidden=part.local(forbidden),
            at_most=at_most,
            exactly=exactly,
        )
        if answer.verdict in (Verdict.UNDECIDED, Verdict.FOUND):
            self.proven = False
        return (
            part.triple(answer.choice) if answer.verdict is not Verdict.UNDECIDED and answer.choice else None
        )


def _chosen(values: Ints, guess: int) -> Ints:
    return np.flatnonzero(values <= min(guess, NEVER - 1))


def _nth_greatest(values: Ints, n: int) -> int:
    return int(np.partition(values, len(values) - n)[len(values) - n]) if len(values) > n else -FREE


def _in_force(gears: GearOptions, joint: Joint) -> tuple[str, ...]:
    applies = {
        "plan.same_wheel": joint.same_wheel,
        "plan.construction": joint.same_construction,
        "plan.rolling_match": joint.match_ppm is not None,
        "plan.gearing": not gears.allowed.all(),
        "plan.budget": joint.budget_cents is not None,
        "plan.mass": joint.mass_g is not None,
    }
    return tuple(name for name, yes in applies.items() if yes)


def has_plan(front: AxleRows, rear: AxleRows, gears: GearOptions, joint: Joint) -> bool:
    """Return whether a plan is found; no is not proven where the limit of work strikes first."""
    limits = Limits()
    return _opens((), code(front, rear), gears, joint, limits, Work(limits.work))


def drops(front: AxleRows, rear: AxleRows, gears: GearOptions, joint: Joint) -> tuple[frozenset[str], ...]:
    """Return the minimal sets of joint requirements without which there is a plan, smaller ones first.

    One of them empty: there is a plan with all. None: there is none even without any.
    """
    coded, names = code(front, rear), _in_force(gears, joint)
    out: list[frozenset[str]] = []
    for size in range(len(names) + 1):
        for some in combinations(names, size):
            if not any(have <= set(some) for have in out):
                limits = Limits()
                if _opens(some, coded, gears, joint, limits, Work(limits.work)):
                    out.append(frozenset(some))
    return tuple(out)


_DROPPED: dict[str, dict[str, Any]] = {
    "plan.same_wheel": {"same_wheel": False},
    "plan.construction": {"same_construction": False},
    "plan.rolling_match": {"match_ppm": None},
    "plan.budget": {"budget_cents": None},
    "plan.mass": {"mass_g": None},
}


def _opens(
    names: Sequence[str], coded: Coded, gears: GearOptions, joint: Joint, limits: Limits, work: Work
) -> bool:
    """Return whether there is a plan once some joint requirements are dropped."""
    for name in names:
        joint = replace(joint, **_DROPPED.get(name, {}))
    if "plan.gearing" in names:
        gears = replace(gears, allowed=np.ones_like(gears.allowed))
    task = problem(coded, gears, joint)
    search = _Search(task, work, limits, Margins(_no_margin, len(coded.front), len(coded.rear)))
    search.run(1, any_will_do=True)
    return bool(search.found)


def _no_margin(axle: str, rows: Ints) -> Ints:
    raise AssertionError(f"{axle}: margins don't decide whether there is a plan")
