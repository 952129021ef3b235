"""The k best plans against brute force, and what must hold of any list of plans."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from search.plan_cases import Case, axle, brute, cases, random_case, wide_case
from wellroom.search.plan import GearOptions, Joint, Limits, best_plans, join_plans

MANY = 10_000


def found(case: Case, k: int, **more: Any) -> list[tuple[Any, ...]]:
    """Return the contents of the k best plans, which must be proven."""
    result = best_plans(case.front, case.rear, case.gears, case.joint, case.margin, k, **more)
    assert result.status == ("proven" if result.plans else "none")
    return [case.content(plan) for plan in result.plans]


def joined(case: Case, k: int) -> list[tuple[Any, ...]]:
    """Return the contents of the k best plans by the plain join."""
    plans = join_plans(case.front, case.rear, case.gears, case.joint, case.margin, k)
    return [case.content(plan) for plan in plans]


def no_gears(*rolling: int) -> GearOptions:
    """Return the one option that keeps the gears."""
    values = np.array(sorted(rolling))
    ratio = np.array([4_100_000])
    zero = np.zeros((1, len(values)), dtype=np.int64)
    return GearOptions([None], [None], ratio, ratio, np.array([0]), "rear", values, zero, zero == 0)


@settings(max_examples=250, deadline=None)
@given(cases(), st.integers(1, 14), st.sampled_from([0, 3, 8, 200]))
def test_best_plans_random_case_equals_brute_force(case: Case, k: int, crowd: int) -> None:
    """The solver's list is the brute force's list, ties and backspaces included, crowded or not."""
    assert found(case, k, limits=Limits(crowd=crowd)) == brute(case, k)


@settings(max_examples=400, deadline=None)
@given(cases(), st.integers(1, 14))
def test_join_plans_random_case_equals_brute_force(case: Case, k: int) -> None:
    """The plain join's list is the brute force's list."""
    assert joined(case, k) == brute(case, k)


@settings(max_examples=100, deadline=None)
@given(cases(), st.integers(1, 8), st.integers(0, 2**32))
def test_best_plans_rows_permuted_same_plans(case: Case, k: int, seed: int) -> None:
    """The order of the rows changes nothing."""
    other = case.shuffled(seed)
    assert found(other, k) == found(case, k)
    assert joined(other, k) == joined(case, k)


@settings(max_examples=60, deadline=None)
@given(cases(), st.integers(1, 6))
def test_best_plans_limit_relaxed_never_worse(case: Case, k: int) -> None:
    """Dropping or widening a joint requirement gives as many plans or more, each as good or better."""
    before = [plan[:2] for plan in found(case, k)]
    joint = case.joint
    relaxed = [
        replace(joint, match_ppm=None),
        replace(joint, match_ppm=joint.match_ppm and 2 * joint.match_ppm),
        replace(joint, same_construction=False),
        replace(joint, same_wheel=False),
        replace(joint, budget_cents=joint.budget_cents and joint.budget_cents + 50),
        replace(joint, mass_g=None),
    ]
    for looser in relaxed:
        after = [plan[:2] for plan in found(replace(case, joint=looser), k)]
        assert len(after) >= len(before)
        assert all(new <= old for new, old in zip(after, before, strict=False))


@settings(max_examples=80, deadline=None)
@given(cases())
def test_best_plans_nothing_fits_blocked_by_those_that_open(case: Case) -> None:
    """With no plan, blocked_by is exactly what gives a plan when dropped alone."""
    case = replace(case, joint=replace(case.joint, budget_cents=200, mass_g=60))
    result = best_plans(case.front, case.rear, case.gears, case.joint, case.margin, 1)
    dropped = {
        "plan.same_wheel": replace(case, joint=replace(case.joint, same_wheel=False)),
        "plan.construction": replace(case, joint=replace(case.joint, same_construction=False)),
        "plan.rolling_match": replace(case, joint=replace(case.joint, match_ppm=None)),
        "plan.budget": replace(case, joint=replace(case.joint, budget_cents=None)),
        "plan.mass": replace(case, joint=replace(case.joint, mass_g=None)),
        "plan.gearing": replace(case, gears=replace(case.gears, allowed=case.gears.score >= 0)),
    }
    opening = {name for name, looser in dropped.items() if brute(looser, 1)}
    assert set(result.blocked_by) == (set() if result.plans else opening)
    assert set(result.blocked_by) <= set(result.in_force)


def test_best_plans_limits_against_the_order_widened_and_equal() -> None:
    """Where a budget and a mass limit forbid the best, bounds are widened, and the lists stay the same."""
    widened = 0
    for seed in range(40):
        case = wide_case(seed)
        result = best_plans(case.front, case.rear, case.gears, case.joint, case.margin, 3)
        assert [case.content(plan) for plan in result.plans] == joined(case, 3)
        widened += result.effort.rounds > 1
    assert widened >= 3


@pytest.mark.parametrize("seed", range(3))
def test_join_plans_limits_against_the_order_equals_brute_force(seed: int) -> None:
    """The plain join's list is the brute force's where limits forbid the best."""
    case = wide_case(seed)
    assert joined(case, 5) == brute(case, 5)


def test_best_plans_margins_asked_once_a_row_and_for_few() -> None:
    """Of 400 rows only those of plans that are given, or tie with them, are asked for a margin, each once."""
    rows = [
        (f"T{n:03d}", "made:B", 160, 700, 3175 * b, 0, 1000 + n, 10, 2_500_000, True)
        for n in range(100)
        for b in range(4)
    ]
    asked: list[tuple[str, int]] = []

    def margin(axle: str, at: Any) -> Any:
        asked.extend((axle, int(row)) for row in at)
        return np.full(len(at), 7, dtype=np.int64)

    both = axle(rows)
    result = best_plans(both, both, no_gears(2_500_000), Joint(10_000), margin, 3)
    assert [(p.price_cents, p.front_row, p.rear_row) for p in result.plans] == [
        (2000, 0, 0),
        (2001, 0, 4),
        (2001, 4, 0),
    ]
    assert len(asked) == len(set(asked)) == 16


def test_best_plans_work_used_up_unproven_never_none() -> None:
    """A limit that strikes is a status of its own; what is given then is real."""
    case = random_case(5)
    everything = set(brute(replace(case, joint=Joint(None, False)), MANY))
    assert len(everything) > 5
    args = (case.front, case.rear, case.gears, Joint(None, False), case.margin, 5)
    stopped = best_plans(*args, limits=Limits(work=0.0))
    assert (stopped.status, stopped.plans, stopped.blocked_by) == ("unproven", (), ())
    solves = best_plans(*args).effort.solves
    assert solves > 1
    for work in (1e-5, 1e-4, 1e-3, 1e-2):
        some = best_plans(*args, limits=Limits(work=work))
        assert {case.content(plan) for plan in some.plans} <= everything
        assert some.status in ("unproven", "proven")


def test_best_plans_greater_margin_wins_then_lesser_backspace() -> None:
    """Of backspaces that tie in score the least margin over both axles rules, then the lesser backspace."""
    rows = axle([("T", "made:B", 160, 700, 3175 * b, 0, 100, 10, 2_500_000, True) for b in range(4)])
    case = Case(rows, rows, no_gears(2_500_000), Joint(), {"front": [1, 9, 9, 3], "rear": [5, 4, 8, 8]})
    result = best_plans(case.front, case.rear, case.gears, case.joint, case.margin, 5)
    assert [(p.front_row, p.rear_row, p.margin) for p in result.plans] == [(1, 2, 8)]


def test_best_plans_same_wheel_backspace_is_joint() -> None:
    """With one wheel all round the backspace serves both axles, though each alone would take another."""
    front = axle(
        [("T", "made:B", 160, 700, 3175 * b, s, 100, 10, 2_500_000, True) for b, s in ((1, 0), (2, 3))]
    )
    rear = axle(
        [("T", "made:B", 160, 700, 3175 * b, s, 100, 10, 2_500_000, True) for b, s in ((2, 4), (3, 0))]
    )
    case = Case(front, rear, no_gears(2_500_000), Joint(same_wheel=True), {"front": [9, 9], "rear": [9, 9]})
    result = best_plans(front, rear, case.gears, case.joint, case.margin, 5)
    assert [(p.front_row, p.rear_row, p.score) for p in result.plans] == [(1, 0, 7)]


@pytest.mark.parametrize(
    ("rear", "fits"), [(2_525_000, True), (2_525_001, False), (2_475_248, True), (2_475_247, False)]
)
def test_best_plans_rolling_match_edge_is_exact(rear: int, fits: bool) -> None:
    """One per cent is met at the last micrometre and missed one further."""
    one = axle([("A", "made:B", 160, 700, 0, 0, 1, 1, 2_500_000, True)])
    two = axle([("B", "made:B", 160, 700, 0, 0, 1, 1, rear, True)])
    case = Case(one, two, no_gears(rear), Joint(10_000), {"front": [0], "rear": [0]})
    assert bool(found(case, 1)) is fits
    assert bool(joined(case, 1)) is fits


def test_best_plans_no_rows_none_and_nothing_blocks() -> None:
    """An axle without rows has no plan, and no joint requirement is to blame."""
    rows = axle([("A", "made:B", 160, 700, 0, 0, 1, 1, 2_500_000, True)])
    for front, rear in ((axle([]), rows), (rows, axle([])), (axle([]), axle([]))):
        for joint in (Joint(10_000), Joint(same_wheel=True, budget_cents=5, mass_g=5)):
            case = Case(front, rear, no_gears(2_500_000), joint, {"front": [0], "rear": [0]})
            result = best_plans(front, rear, case.gears, joint, case.margin, 3)
            assert (result.status, result.plans, result.blocked_by) == ("none", (), ())
            assert joined(case, 3) == []


def test_best_plans_large_numbers_no_overflow() -> None:
    """Prices of billions and scores of thousands are ordered exactly."""
    rows = axle(
        [
            (f"T{n}", "made:B", 160, 700, 0, 1000 * (n % 3), 3 * 10**9 + 7 * n, 10**9, 2_500_000, True)
            for n in range(40)
        ]
    )
    joint = Joint(10_000, True, False, 6 * 10**9 + 300, 2 * 10**9)
    case = Case(rows, rows, no_gears(2_500_000), joint, {"front": [1] * 40, "rear": [1] * 40})
    assert found(case, 9) == brute(case, 9)


@pytest.mark.parametrize(
    ("rows", "match"),
    [
        (
            [("A", "B", 160, 700, 0, 0, 1, 1, 5, True), ("A", "B", 160, 700, 1, 0, 2, 1, 5, True)],
            "price_cents: differs",
        ),
        (
            [("A", "B", 160, 700, 0, 0, 1, 1, 5, True), ("A", "B", 160, 700, 0, 1, 1, 1, 5, True)],
            "two rows of one",
        ),
        ([("A", "B", 160, 700, 0, 0, 1, 1, 6, True)], "rolling circumference"),
    ],
)
def test_best_plans_rows_contradict_refused(rows: list[Any], match: str) -> None:
    """Rows of one wheel and tire that disagree, or a circumference without a column, are refused by name."""
    given_rows = axle(rows)
    with pytest.raises(ValueError, match=match):
        best_plans(given_rows, given_rows, no_gears(5), Joint(), lambda _, at: at, 1)


def test_axle_rows_bad_values_refused() -> None:
    """Floats, negative prices and unequal lengths are refused by name."""
    good = axle([("A", "B", 160, 700, 0, 0, 1, 1, 5, True)])
    with pytest.raises(ValueError, match="price_cents: float64"):
        replace(good, price_cents=np.array([1.0]))
    with pytest.raises(ValueError, match="price_cents: values from -1"):
        replace(good, price_cents=np.array([-1]))
    with pytest.raises(ValueError, match="score: shape"):
        replace(good, score=np.array([1, 2]))
    ratio, zero = np.array([1, 1]), np.zeros((2, 1), dtype=np.int64)
    with pytest.raises(ValueError, match="no pair of sets twice"):
        GearOptions([None, None], [None, None], ratio, ratio, ratio, "rear", np.array([5]), zero, zero == 0)


def test_best_plans_twice_same_answer_and_effort() -> None:
    """The same question takes the same solves and gets the same answer."""
    case = random_case(11)
    args = (case.front, case.rear, case.gears, Joint(), case.margin, 6)
    assert best_plans(*args) == best_plans(*args)
