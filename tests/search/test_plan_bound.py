"""Lower bounds against every plan of small problems."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings

from search.plan_cases import Case, axle, cases, wide_case
from wellroom.search.plan import GearOptions, Joint
from wellroom.search.plan_bound import NEVER, bounds
from wellroom.search.plan_items import Problem, code, problem


def least_keys(task: Problem) -> tuple[list[int], list[int], dict[tuple[int, int], int]]:
    """Return the least key of any plan that holds each item, and each option on each group; NEVER if none."""
    ref, other = [NEVER] * len(task.ref), [NEVER] * len(task.other)
    option = dict.fromkeys(product(range(len(task.gear_price)), range(task.ref.groups)), NEVER)
    for i, j, g in product(range(len(ref)), range(len(other)), range(len(task.gear_price))):
        u = int(task.ref.group[i])
        price = int(task.ref.price[i] + task.other.price[j] + task.gear_price[g])
        fits = task.low[g, u] <= task.other.group[j] < task.high[g, u]
        fits &= task.budget is None or price <= task.budget
        fits &= task.mass is None or task.ref.mass[i] + task.other.mass[j] <= task.mass
        if fits:
            score = int(task.ref.score[i] + task.other.score[j] + task.gear_score[g, u])
            key = score * task.unit + price
            ref[i], other[j] = min(ref[i], key), min(other[j], key)
            option[g, u] = min(option[g, u], key)
    return ref, other, option


@settings(max_examples=200, deadline=None)
@given(cases())
def test_bounds_random_problem_never_above_a_plan(case: Case) -> None:
    """No bound is above the key of a plan that holds what it bounds."""
    task = problem(code(case.front, case.rear), case.gears, case.joint)
    bound = bounds(task)
    ref, other, option = least_keys(task)
    assert all(low <= key for low, key in zip(bound.ref.tolist(), ref, strict=True))
    assert all(low <= key for low, key in zip(bound.other.tolist(), other, strict=True))
    assert all(int(bound.option[place]) <= key for place, key in option.items())


@settings(max_examples=200, deadline=None)
@given(cases())
def test_bounds_no_budget_no_mass_attained(case: Case) -> None:
    """Without a budget and a mass limit each bound is the key of a real plan, NEVER where there is none."""
    task = problem(code(case.front, case.rear), case.gears, case.joint)
    task = replace(task, budget=None, mass=None)
    bound = bounds(task)
    ref, other, option = least_keys(task)
    assert bound.ref.tolist() == ref
    assert bound.other.tolist() == other
    assert {place: int(bound.option[place]) for place in option} == option


@pytest.mark.parametrize("name", ["budget", "mass"])
@pytest.mark.parametrize("seed", range(6))
def test_bounds_one_limit_within_three_steps(name: str, seed: int) -> None:
    """Under a limit a bound is no lower than the best plan under the limit and three of its 128 steps."""
    case = wide_case(seed)
    free = replace(problem(code(case.front, case.rear), case.gears, case.joint), budget=None, mass=None)
    limit = {"budget": case.joint.budget_cents, "mass": case.joint.mass_g}[name]
    parts = [free.ref.mass, free.other.mass]
    if name == "budget":
        parts = [free.ref.price, free.other.price, free.gear_price]
    assert limit is not None
    step = -(-(limit - sum(int(part.min()) for part in parts) + 1) // 128)
    bound = bounds(replace(free, **{name: limit}))
    ref, other, _ = least_keys(replace(free, **{name: limit + 3 * step}))
    assert max(ref) == NEVER or max(other) == NEVER
    assert all(low >= key for low, key in zip(bound.ref.tolist(), ref, strict=True))
    assert all(low >= key for low, key in zip(bound.other.tolist(), other, strict=True))


def test_bounds_many_groups_runs_are_exact() -> None:
    """Runs of groups of every length give the least key in them."""
    rng = np.random.default_rng(3)
    rolling = np.unique(rng.integers(2_000_000, 3_000_000, 300))
    rows = axle(
        [
            (f"T{n:03d}", "B", 160, 700, 0, 0, int(rng.integers(1, 10**6)), 1, int(x), True)
            for n, x in enumerate(rolling)
        ]
    )
    ratios = np.array([4_100_000, 3_730_000])
    zero = np.zeros((2, len(rolling)), dtype=np.int64)
    for ppm in (5_000, 50_000, 400_000):
        gears = GearOptions(
            [None, "F"], [None, "R"], ratios, ratios, np.array([0, 50]), "front", rolling, zero, zero == 0
        )
        task = problem(code(rows, rows), gears, Joint(ppm))
        ref, other, option = least_keys(task)
        bound = bounds(task)
        assert (bound.ref.tolist(), bound.other.tolist()) == (ref, other)
        assert {place: int(bound.option[place]) for place in option} == option
