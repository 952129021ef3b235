"""The solver's face: verdicts, bounds and large numbers on parts small enough to see through."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from wellroom.search import solve
from wellroom.search.solve import Answer, Least, Part, Total, Verdict, Work, best_choice


def ints(*values: int) -> np.ndarray:
    """Return an array of integers."""
    return np.array(values, dtype=np.int64)


def part(**more: object) -> Part:
    """Return a part of two items a side and one option for each group: prices 5, 3 and 20, 10."""
    price = Total(ints(5, 3), ints(20, 10), ints(0, 0))
    score = Total(ints(0, 0), ints(0, 1), ints(0, 0))
    base = Part(ints(0, 1), ints(0, 1), ints(0, 1), ints(0, 0), ints(2, 1), score, price, ())
    return replace(base, **more)  # type: ignore[arg-type]


def test_best_choice_aims_in_turn_first_rules() -> None:
    """Score before price, price before score: two different choices."""
    small = part()
    assert best_choice(small, (small.score, small.price), Work(9)) == Answer(Verdict.BEST, (1, 0, 1))
    assert best_choice(small, (small.price, small.score), Work(9)) == Answer(Verdict.BEST, (0, 1, 0))


def test_best_choice_forbidden_gives_next_until_none() -> None:
    """No-goods go through all three choices, best first, and end in a proof that there is no more."""
    small, seen = part(), []
    while (answer := best_choice(small, (small.price,), Work(9), forbidden=seen)).choice:
        seen.append(answer.choice)
    assert seen == [(0, 1, 0), (1, 0, 1), (0, 0, 0)]
    assert answer.verdict is Verdict.NONE


def test_best_choice_least_is_maximised() -> None:
    """The lesser of the two items' values is made as great as it can be."""
    small = part()
    assert best_choice(small, (Least(ints(4, 9), ints(7, 8)),), Work(9)).choice == (1, 0, 1)


@pytest.mark.parametrize(
    ("bounds", "choice"),
    [
        ({"at_most": (0, 22)}, None),
        ({"at_most": (0, 23)}, (1, 0, 1)),
        ({"at_most": (1, 14)}, (1, 0, 1)),
        ({"at_most": (1, 15)}, (0, 1, 0)),
        ({"exactly": (0, 25)}, (0, 0, 0)),
        ({"exactly": (1, 25)}, None),
        ({"exactly": (0, 99)}, None),
    ],
)
def test_best_choice_bound_is_of_the_pair(bounds: dict[str, tuple[int, int]], choice: object) -> None:
    """at_most and exactly bound (score, price) as a pair."""
    small = part()
    assert best_choice(small, (small.price,), Work(9), **bounds).choice == choice  # type: ignore[arg-type]


def test_best_choice_no_work_undecided_without_values() -> None:
    """With no work left there is no verdict on existence, and no choice."""
    small = part()
    assert best_choice(small, (small.price,), Work(0.0)) == Answer(Verdict.UNDECIDED)


def test_best_choice_no_items_none() -> None:
    """An empty side has no choice, and no solve is needed to say so."""
    work = Work(9)
    empty = part(ref_group=ints(), option_ref=ints())
    assert best_choice(empty, (), work) == Answer(Verdict.NONE)
    assert work.solves == 0


def test_best_choice_no_aims_any_choice() -> None:
    """Without an aim some choice that meets the bounds comes back."""
    assert best_choice(part(), (), Work(9), exactly=(1, 15)).choice == (0, 1, 0)


def test_best_choice_coefficients_past_a_row_go_in_digits() -> None:
    """Caps of sums far beyond 2^31 hold exactly, to the unit."""
    mass = Total(ints(10**12, 2 * 10**12), ints(10**12 + 1, 3 * 10**12), ints(0, 0))
    for cap, choice in ((2 * 10**12, None), (2 * 10**12 + 1, (0, 0, 0)), (3 * 10**12 + 1, (1, 0, 1))):
        small = part(caps=((mass, cap),))
        assert best_choice(small, (small.price,), Work(9)).choice == choice


def test_model_prices_of_many_items_rows_stay_small() -> None:
    """Hundreds of items in whole cents: no row's coefficients times bounds reach 2^31, the best is found."""
    rng = np.random.default_rng(1)
    n = 400
    prices = [rng.integers(0, 4_000_000, n), rng.integers(0, 4_000_000, n), ints(0)]
    assert int(prices[0].sum()) > solve.SMALL
    price, zero = Total(*prices), np.zeros(n, dtype=np.int64)
    score = Total(zero, zero, ints(0))
    big = Part(zero, zero, ints(0), ints(0), ints(1), score, price, ((price, 7_900_000),))
    model = solve._Model(big).model.proto
    tops = [max(abs(bound) for bound in variable.domain) for variable in model.variables]
    for row in model.constraints:
        terms = zip(row.linear.vars, row.linear.coeffs, strict=True)
        assert sum(abs(factor) * tops[place] for place, factor in terms) < 2**31
    answer = best_choice(big, (price,), Work(20))
    assert answer == Answer(Verdict.BEST, (int(prices[0].argmin()), int(prices[1].argmin()), 0))
