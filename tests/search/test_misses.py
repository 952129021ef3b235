"""What combinations miss: held against the verdict on one, and the clashes against plain enumeration."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, combinations
from typing import Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import wellroom
from wellroom.data import scenarios_dir
from wellroom.search.candidates import find
from wellroom.search.case import Case, prepare
from wellroom.search.fit import wanted_rims, wanted_tires
from wellroom.search.judge import judge
from wellroom.search.misses import Misses, _Sets, by_rating, clashes, misses, steps_of
from wellroom.search.requirements import bare
from wellroom.search.results import AxleFit
from wellroom.search.rims import Rims
from wellroom.search.tires import Tires

Axle = Literal["front", "rear"]
CATALOG = wellroom.load_catalog()
HELD = 'stance.taller.must=["tire_diameter", "gap", "poke", "rim_diameter", "tread"]'
CASES: list[tuple[str, Axle, tuple[str, ...]]] = [
    ("nothing_fits", "front", ()),
    ("nothing_fits", "rear", ()),
    ("pickup_taller", "front", (HELD,)),
    ("fire_tender", "rear", ('stance.ridge.must=["poke", "section"]', "limits.overall_width=90")),
    ("wagon_flush", "front", ("stance.flush.must=['poke']",)),
    ("least", "front", ()),
]
NAMES = [f"{name}-{axle}" for name, axle, _ in CASES]


def asked(name: str, axle: Axle, sets: Sequence[str]) -> tuple[Case, Tires, Rims]:
    """Return a shipped scenario's case with the tires and rims that it may take."""
    case = prepare(wellroom.load_scenario(scenarios_dir() / f"{name}.toml", sets), CATALOG, None)
    return case, wanted_tires(CATALOG, (), []), wanted_rims(case, axle, CATALOG, ())


def missed_by(fit: AxleFit) -> frozenset[str]:
    """Return what a verdict says is missed, wishes and ratings aside."""
    return frozenset(c.id for c in fit.checks if c.ok is False and c.kind in ("clearance", "limit"))


@pytest.mark.parametrize(("name", "axle", "sets"), CASES, ids=NAMES)
def test_nearest_of_each_set_is_judged_to_miss_just_that_set(
    name: str, axle: Axle, sets: tuple[str, ...]
) -> None:
    """The row that is shown for a set misses what the set says, no more and no less, and no rating."""
    case, tires, rims = asked(name, axle, sets)
    found = misses(case.asked[axle], tires, rims)
    assert found.nearest
    for near in found.nearest:
        verdict = judge(
            case.asked[axle], tires.take([near.tire]), rims.take([near.rim]), near.backspace, 2
        ).fit
        assert _sided(missed_by(verdict)) == _sided(near.missed)
        assert all(check.ok is not False for check in verdict.checks if check.kind == "rating")


def _sided(ids: frozenset[str]) -> frozenset[str]:
    """Return ids without their sides: what stands alike on both is told once."""
    return frozenset(bare(id_) for id_ in ids)


@pytest.mark.parametrize(("name", "axle", "sets"), CASES, ids=NAMES)
def test_every_combination_misses_all_of_a_set_listed(name: str, axle: Axle, sets: tuple[str, ...]) -> None:
    """Combinations drawn at random, each judged by itself: what one misses holds one of the sets."""
    case, tires, rims = asked(name, axle, sets)
    asked_, listed = case.asked[axle], [_sided(ids) for ids in misses(case.asked[axle], tires, rims).sets]
    (tire, rim), _ = by_rating(asked_, tires, rims)
    rng = np.random.default_rng(7)
    for k in rng.choice(len(tire), 40, replace=False):
        one, on = tires.take([tire[k]]), rims.take([rim[k]])
        _, backspaces = steps_of(asked_, on).rows()
        if len(backspaces):
            verdict = judge(asked_, one, on, float(rng.choice(backspaces)), 2).fit
            assert any(ids <= _sided(missed_by(verdict)) for ids in listed)


@pytest.mark.parametrize(("name", "axle", "sets"), CASES, ids=NAMES)
def test_nothing_missed_is_listed_just_where_something_is_found(
    name: str, axle: Axle, sets: tuple[str, ...]
) -> None:
    """The empty set is there if and only if the axle has a combination."""
    case, tires, rims = asked(name, axle, sets)
    some = len(find(case.asked[axle], tires, rims).pair) > 0
    assert (frozenset() in misses(case.asked[axle], tires, rims).sets) == some


def test_misses_are_of_ratings_alone_where_none_meets_them_all() -> None:
    """A load that no tire carries: no clearance is blamed."""
    case, tires, rims = asked("least", "front", ("axle.front.load=33000",))
    found = misses(case.asked["front"], tires, rims)
    assert found.rated == 0
    assert {id_ for ids in found.sets for id_ in ids} >= {"front.tire_load"}
    assert all(np.isnan(near.backspace) for near in found.nearest)


NAMED = st.frozensets(st.sampled_from("abcdef"), min_size=1)


@given(st.lists(NAMED, max_size=7))
@settings(max_examples=300, deadline=None)
def test_clashes_are_the_minimal_sets_that_meet_every_set_missed(sets: list[frozenset[str]]) -> None:
    """The same as trying every set of names."""
    every = chain.from_iterable(combinations("abcdef", size) for size in range(7))
    hitting = [frozenset(some) for some in every if all(set(some) & missed for missed in sets)]
    minimal = {some for some in hitting if not any(other < some for other in hitting)}
    found, whole = clashes(tuple(sets), 10_000)
    assert whole
    assert set(found) == minimal
    assert len(found) == len(minimal)


def test_clashes_beyond_what_is_allowed_are_said_to_be_incomplete() -> None:
    """Many sets without a name in common have a great many clashes: the list is cut, and says so."""
    sets = tuple(frozenset({f"{k}.a", f"{k}.b"}) for k in range(12))
    found, whole = clashes(sets, 50)
    assert not whole
    assert len(found) == 50


@given(st.lists(st.lists(st.booleans(), min_size=4, max_size=4), min_size=1, max_size=30))
@settings(max_examples=100, deadline=None)
def test_sets_are_kept_apart_beyond_what_one_integer_holds(rows: list[list[bool]]) -> None:
    """More than sixty requirements: each row's set is what was put, whichever integer it is in."""
    table = np.array(rows)
    sets = _Sets(len(table))
    for copy in range(20):
        for k in range(4):
            sets.put(f"{copy}.{k}", table[:, k] * 1.0)
    told = {ids for ids, _, _ in sets.nearest()}
    assert told == {frozenset(f"{c}.{k}" for c in range(20) for k in range(4) if row[k]) for row in table}


def test_minimal_sets_do_not_depend_on_the_order_of_the_tables() -> None:
    """Rows of tires and rims in another order: the same sets, the same nearest ones."""
    case, tires, rims = asked("nothing_fits", "front", ())
    found = misses(case.asked["front"], tires, rims)
    rng = np.random.default_rng(3)
    mixed, others = tires.take(rng.permutation(len(tires))), rims.take(rng.permutation(len(rims)))
    again = misses(case.asked["front"], mixed, others)
    assert again.sets == found.sets
    assert told(again, mixed, others) == told(found, tires, rims)


def told(found: Misses, tires: Tires, rims: Rims) -> list[tuple[object, ...]]:
    """Return the nearest by their catalog rows."""
    return [
        (near.away, tires.id[near.tire], rims.id[near.rim], rims.width[near.rim], near.backspace)
        for near in found.nearest
    ]
