"""The plan against judges of its own: SciPy's MILP (HiGHS) and brute force, on random small catalogs.

The cases have planted ties in score, price and margin, budgets and mass limits on exact sums, and rolling
circumferences on both sides of the 0.5 and 1 per cent edges. Lists are equal, ties included.
"""

from __future__ import annotations

from itertools import pairwise, product
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from search.plan_cases import Case, brute, feasible, gear_column, random_case
from wellroom.search.plan import best_plans, join_plans


class Judge:
    """All rows and gears as binaries; what can't stand together, and gear points, as plain inequalities."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.sizes = (len(case.front), len(case.rear), len(case.gears))
        starts = np.cumsum((0, *self.sizes))
        self.at = [range(int(a), int(b)) for a, b in pairwise(starts)]
        self.width = int(starts[-1])
        self.equal: list[np.ndarray] = [self.row([(n, 1) for n in part]) for part in self.at]
        self.rows: list[np.ndarray] = []
        self.tops: list[float] = []
        for i, j, g in product(*map(range, self.sizes)):
            if not feasible(case, i, j, g):
                self.forbid([i], [j], [g])

    def row(self, terms: list[tuple[int, float]]) -> np.ndarray:
        """Return a row of coefficients, last the column of the gear points."""
        row = np.zeros(self.width + 1)
        for n, value in terms:
            row[n] += value
        return row

    def forbid(self, front: list[int], rear: list[int], gears: list[int]) -> None:
        """Forbid every choice of one of each."""
        chosen = zip(self.at, (front, rear, gears), strict=True)
        self.rows.append(self.row([(part[n], 1) for part, numbers in chosen for n in numbers]))
        self.tops.append(2)

    def plans(self, k: int) -> list[tuple[int, int]]:
        """Return (score, price) of distinct plans in order, k of them and all that tie with the last."""
        case, gears = self.case, self.case.gears
        cost = self.row([])
        unit = 10_000
        for axle, part in ((case.front, self.at[0]), (case.rear, self.at[1])):
            for n, place in enumerate(part):
                cost[place] = unit * int(axle.score[n]) + int(axle.price_cents[n])
        for n, place in enumerate(self.at[2]):
            cost[place] = int(gears.price_cents[n])
        cost[-1] = unit
        reference = 0 if gears.reference == "front" else 1
        for n, g in product(range(self.sizes[reference]), range(self.sizes[2])):
            points = int(
                gears.score[g, gear_column(case, n, n)]
            )  # only the reference axle's row is looked at
            self.rows.append(
                self.row([(self.at[reference][n], points), (self.at[2][g], points), (self.width, -1)])
            )
            self.tops.append(points)
        found: list[tuple[int, int]] = []
        while True:
            answer = milp(
                cost,
                integrality=np.append(np.ones(self.width), 0),
                bounds=Bounds(0, np.append(np.ones(self.width), np.inf)),
                constraints=[
                    LinearConstraint(np.array(self.equal), 1, 1),
                    LinearConstraint(np.array(self.rows), -np.inf, self.tops),
                ],
                options={"mip_rel_gap": 0},
            )
            if answer.status == 2:
                return found
            assert answer.status == 0, answer.message
            key = divmod(round(answer.fun), unit)
            if len(found) >= k and key > found[-1]:
                return found
            found.append(key)
            self.forbid(*self.alike(answer.x))

    def alike(self, x: np.ndarray) -> tuple[list[int], list[int], list[int]]:
        """Return the rows that make the same plan as a solution, whatever their backspace."""
        chosen = [int(np.argmax(x[part.start : part.stop])) for part in self.at]
        same = []
        for rows, n in ((self.case.front, chosen[0]), (self.case.rear, chosen[1])):
            names = [list(zip(rows.tire, rows.wheel, rows.rim_diameter, rows.rim_width, strict=True))]
            same.append([m for m, name in enumerate(names[0]) if name == names[0][n]])
        return same[0], same[1], [chosen[2]]


@pytest.mark.parametrize("seed", range(40))
def test_best_plans_random_catalog_equals_milp_and_brute_force(seed: int) -> None:
    """Score and price, and how many tie at the end, are the MILP's; the list is the brute force's."""
    case, k = random_case(1000 + seed, most_rows=9), 1 + seed % 9
    args: Any = (case.front, case.rear, case.gears, case.joint, case.margin)
    plans = best_plans(*args, k).plans
    judged = Judge(case).plans(k)
    assert [(p.score, p.price_cents) for p in plans] == judged[:k]
    more = best_plans(*args, len(judged) + 1).plans
    assert [(p.score, p.price_cents) for p in more[: len(judged)]] == judged
    assert [case.content(p) for p in plans] == brute(case, k)


@pytest.mark.parametrize("block", range(10))
def test_both_twins_larger_random_catalogs_equal_brute_force(block: int) -> None:
    """On larger catalogs the solver, the plain join and brute force give one list, ties included."""
    for seed in range(block * 20, block * 20 + 20):
        case, k = random_case(seed, most_rows=24), 1 + seed % 15
        args: Any = (case.front, case.rear, case.gears, case.joint, case.margin, k)
        expected = brute(case, k)
        assert [case.content(p) for p in best_plans(*args).plans] == expected
        assert [case.content(p) for p in join_plans(*args)] == expected


def test_random_catalogs_have_ties_bands_and_limits_that_bind() -> None:
    """The random catalogs can tell a wrong list: ties at the cut, bands and limits that matter."""
    tied = empty = limited = 0
    for seed in range(200):
        case, k = random_case(seed, most_rows=24), 1 + seed % 15
        plans = brute(case, 10_000)
        tied += len(plans) > k and plans[k - 1][:2] == plans[k][:2]
        empty += not plans
        limited += case.joint.budget_cents is not None or case.joint.mass_g is not None
    assert tied >= 40
    assert 5 <= empty <= 100
    assert limited >= 100
