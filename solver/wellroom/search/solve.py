"""The solver: the best choice of one item a side and one option between them, by CP-SAT.

This is the only module that imports ortools (0.6 s). Solves use one worker and a deterministic limit, so the
same question gets the same answer everywhere; their status is read in one place, and values exist only where
it says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from ortools.sat.python import cp_model

from wellroom.search.plan_data import Ints

SMALL = 1 << 29  # a side's literals add no more than this to a row's coefficients times bounds
_DIGIT = 1 << 10

Choice = tuple[int, int, int]


class Verdict(StrEnum):
    """What a solve proved: the best; a choice that may not be the best; that there is none; nothing."""

    BEST = "best"
    FOUND = "found"
    NONE = "none"
    UNDECIDED = "undecided"


@dataclass(frozen=True)
class Answer:
    """A verdict, with a choice (reference item, other item, option) for ``BEST`` and ``FOUND`` only."""

    verdict: Verdict
    choice: Choice | None = None


@dataclass
class Work:
    """Deterministic seconds left for all solves that share it, and how many solves there were."""

    left: float
    solves: int = 0


@dataclass(frozen=True)
class Total:
    """A sum over the three chosen parts: values of the reference items, the other items, the options.

    Lower is better.
    """

    ref: Ints
    other: Ints
    option: Ints

    @property
    def base(self) -> int:
        """The sum of the least values."""
        return sum(int(part.min()) for part in self.parts if part.size)

    @property
    def span(self) -> int:
        """The greatest sum less the least."""
        return sum(int(part.max() - part.min()) for part in self.parts if part.size)

    @property
    def parts(self) -> tuple[Ints, Ints, Ints]:
        """The three arrays of values."""
        return self.ref, self.other, self.option


@dataclass(frozen=True)
class Least:
    """The lesser value of the two chosen items, options apart. Greater is better; values in [0, 2^30)."""

    ref: Ints
    other: Ints


@dataclass(frozen=True)
class Part:
    """A small part of a join problem.

    ``ref_group`` (n,) and ``other_group`` (k,) are group numbers; option c, of shape (c,), goes with
    reference items of group ``option_ref[c]`` and other items of groups in [``option_low[c]``,
    ``option_high[c]``). ``caps`` are sums with their greatest value.
    """

    ref_group: Ints
    other_group: Ints
    option_ref: Ints
    option_low: Ints
    option_high: Ints
    score: Total
    price: Total
    caps: tuple[tuple[Total, int], ...]


class _Model:
    """A part as a CP-SAT model: one literal for each item and option."""

    def __init__(self, part: Part) -> None:
        self.model = cp_model.CpModel()
        self.part = part
        sizes = (len(part.ref_group), len(part.other_group), len(part.option_ref))
        names = ("ref", "other", "option")
        self.literals = [
            [self.model.new_bool_var(f"{name}_{i}") for i in range(size)]
            for name, size in zip(names, sizes, strict=True)
        ]
        for literals in self.literals:
            self.model.add_exactly_one(literals)
        self._join()
        for total, cap in part.caps:
            self.at_most(total, cap)

    def _join(self) -> None:
        part, (ref, other, option) = self.part, self.literals
        for group in sorted(set(part.ref_group.tolist()) | set(part.option_ref.tolist())):
            items = [ref[i] for i in np.flatnonzero(part.ref_group == group).tolist()]
            options = [option[c] for c in np.flatnonzero(part.option_ref == group).tolist()]
            self.model.add(_sum(items) == _sum(options))
        groups, place_of = np.unique(part.other_group, return_inverse=True)
        place = self._weighted(other, place_of)
        low = np.searchsorted(groups, part.option_low, side="left")
        high = np.searchsorted(groups, part.option_high, side="left") - 1
        for c in np.flatnonzero(low > high).tolist():
            self.model.add(option[c] == 0)
        self.model.add(self._weighted(option, np.minimum(low, high)) <= place)
        self.model.add(place <= self._weighted(option, np.maximum(low, high)))

    def _weighted(self, literals: list[cp_model.IntVar], values: Ints) -> cp_model.LinearExpr:
        """Return the chosen literal's value (>= 0) as an expression; in digits where a row would grow."""
        if int(values.sum()) < SMALL:
            return cp_model.LinearExpr.weighted_sum(literals, values.tolist())
        high, low = (self._variable(literals, part) for part in divmod(values, _DIGIT))
        return high * _DIGIT + low

    def _variable(self, literals: list[cp_model.IntVar], values: Ints) -> cp_model.IntVar:
        name = f"digit_{len(self.model.proto.variables)}"
        variable = self.model.new_int_var(0, int(values.max()), name)
        self.model.add(variable == self._weighted(literals, values))
        return variable

    def total(self, total: Total, most: int | None = None) -> tuple[cp_model.LinearExpr, int]:
        """Return a total less its base in steps, and the step; values past ``most`` may read most + 1."""
        parts = [part - part.min() for part in total.parts if part.size]
        if most is not None:
            parts = [np.minimum(part, most + 1) for part in parts]
        step = max(1, int(np.gcd.reduce(np.concatenate(parts))))
        rows = zip(self.literals, parts, strict=True)
        return _sum([self._weighted(row, part // step) for row, part in rows if part.any()]), step

    def at_most(self, total: Total, cap: int) -> None:
        """Hold a total to a greatest value."""
        room = max(cap - total.base, -1)
        if room < total.span:
            steps, step = self.total(total, room)
            self.model.add(steps <= room // step)

    def bound(self, score: int, price: int) -> None:
        """Hold (score, price), as a pair, to a greatest value."""
        self.at_most(self.part.score, score)
        if score < self.part.score.base or price >= self.part.price.base + self.part.price.span:
            return
        room = max(price - self.part.price.base, -1)
        scores, score_step = self.total(self.part.score)
        prices, price_step = self.total(self.part.price, room)
        lower = self.model.new_bool_var("lower_score")
        below = (score - self.part.score.base - 1) // score_step
        self.model.add(scores <= below).only_enforce_if(lower)
        self.model.add(prices <= room // price_step).only_enforce_if(~lower)

    def exactly(self, total: Total, value: int) -> None:
        """Hold a total to one value."""
        room = value - total.base
        steps, step = self.total(total)
        within = 0 <= room <= total.span and room % step == 0
        self.model.add(steps == (room // step if within else -1))

    def forbid(self, choice: Choice) -> None:
        """Take out one choice."""
        self.model.add_bool_or([~row[i] for row, i in zip(self.literals, choice, strict=True)])


def best_choice(
    part: Part,
    aims: Sequence[Total | Least],
    work: Work,
    *,
    forbidden: Sequence[Choice] = (),
    at_most: tuple[int, int] | None = None,
    exactly: tuple[int, int] | None = None,
) -> Answer:
    """Return the best choice of a part by the aims in turn, the first one ruling.

    ``forbidden`` choices are left out; ``at_most`` and ``exactly`` bound (score, price). ``FOUND`` and
    ``UNDECIDED`` mean that the work ran out, never that there is nothing. Empty lists of items: ``NONE``.
    """
    if not (len(part.ref_group) and len(part.other_group) and len(part.option_ref)):
        return Answer(Verdict.NONE)
    build = _Model(part)
    for choice in forbidden:
        build.forbid(choice)
    if at_most is not None:
        build.bound(*at_most)
    if exactly is not None:
        build.exactly(part.score, exactly[0])
        build.exactly(part.price, exactly[1])
    if not aims:
        return _solve(build, work)[0]
    model, found = build.model, Answer(Verdict.UNDECIDED)
    for aim in aims:
        if isinstance(aim, Least):
            most = int(max(aim.ref.max(), aim.other.max()))
            goal: cp_model.LinearExpr = model.new_int_var(0, most, "least")
            model.add(goal <= build._weighted(build.literals[0], aim.ref))
            model.add(goal <= build._weighted(build.literals[1], aim.other))
            model.maximize(goal)
        else:
            goal, _ = build.total(aim)
            model.minimize(goal)
        answer, value = _solve(build, work)
        if answer.verdict is not Verdict.BEST:
            return answer if found.choice is None or answer.choice else Answer(Verdict.FOUND, found.choice)
        found = answer
        model.clear_objective()  # type: ignore[no-untyped-call]  # ortools has no types
        model.add(goal == value)
    return found


def _solve(build: _Model, work: Work) -> tuple[Answer, int]:
    """Run the solver once; the one place where a status is read. Return the answer and the goal's value."""
    if work.left <= 0:
        return Answer(Verdict.UNDECIDED), 0
    fault = build.model.validate()
    if fault:
        raise RuntimeError(f"the plan's model is not valid: {fault}")
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.symmetry_level = 0
    solver.parameters.max_deterministic_time = work.left
    status = solver.solve(build.model)
    work.left -= solver.deterministic_time
    work.solves += 1
    if status == cp_model.INFEASIBLE:
        return Answer(Verdict.NONE), 0
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Answer(Verdict.UNDECIDED), 0
    picked = [next(i for i, x in enumerate(row) if solver.boolean_value(x)) for row in build.literals]
    verdict = Verdict.BEST if status == cp_model.OPTIMAL else Verdict.FOUND
    return Answer(verdict, (picked[0], picked[1], picked[2])), round(solver.objective_value)


def _sum(terms: Sequence[cp_model.LinearExpr | cp_model.IntVar]) -> cp_model.LinearExpr:
    return cp_model.LinearExpr.sum(list(terms))
