"""Why nothing fits: ways out are held against plain fits of the scenario that their own --set lines make."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import combinations, product
from pathlib import Path
from typing import Any

import pytest

import wellroom
from soak import same
from wellroom.data import scenarios_dir
from wellroom.errors import RequestError
from wellroom.search.candidates import find
from wellroom.search.case import prepare
from wellroom.search.document import document
from wellroom.search.fit import wanted_rims, wanted_tires
from wellroom.search.levers import DROPPED, Lever, levers_of, pulled, sets_of
from wellroom.search.openings import Openings
from wellroom.search.sweeps import Sweeps
from wellroom.search.why import why
from wellroom.search.why_results import WhyResult

CATALOG = wellroom.load_catalog()
TENDER = ("fire_tender", "shelf")
PICKUP = ("pickup_taller", "taller")
TIRES = ("41x14.50R20LT", "42x15.50R20LT", "40x13.50R20LT")
RIMS = ("20x11", "20x12.5", "20x13")
MUSTS = 'stance.shelf.must=["poke", "tire_diameter", "section"]'
KEPT = ("steering_stop", "stop_spacer", "roll_lip", "trim", "poke", "section")
"""Changes that may be made where every set of them is tried: few enough."""


@lru_cache(maxsize=16)
def read(name: str, sets: tuple[str, ...] = ()) -> Any:
    """Return a shipped scenario with sets."""
    return wellroom.load_scenario(scenarios_dir() / f"{name}.toml", sets)


@lru_cache(maxsize=8)
def asked(name: str, stance: str, sets: tuple[str, ...], **_: Any) -> WhyResult:
    """Return why a scenario does not fit, with all that may be changed."""
    return why(read(name, sets), CATALOG, stance=stance)


@lru_cache(maxsize=2)
def small() -> WhyResult:
    """Return why few tires do not fit the tender, of few changes."""
    found = read(TENDER[0], (MUSTS,))
    every = {one.name for one in levers_of(found, found.stance["shelf"].must, "shelf").levers}
    without = sorted(every - set(KEPT))
    return why(found, CATALOG, stance=TENDER[1], tires=TIRES, rims=RIMS, without=without, top=99)


def fits(name: str, stance: str, sets: Sequence[str], **only: Any) -> bool:
    """Return whether a plain fit of the file with sets has a plan."""
    return wellroom.fit(read(name, tuple(sets)), CATALOG, stance=stance, top=1, **only).status == "proven"


def test_why_of_what_fits_with_every_wish_says_that_nothing_stands_in_the_way() -> None:
    """Best plan of fit, no clash, no way out."""
    result = why(read("fire_tender"), CATALOG, stance="ridge")
    assert (result.status, result.aim, result.ways, result.clashes) == ("proven", None, (), ())
    best = wellroom.fit(read("fire_tender"), CATALOG, stance="ridge", top=1).fits[0]
    assert result.best == best


def test_why_of_a_hopeless_scenario_names_clashes_and_has_no_way_out() -> None:
    """The tractor: its drums and its fenders each rule out all there is; no change of those known helps."""
    result = asked("nothing_fits", "air", ())
    assert (result.status, result.aim, result.ways, result.complete) == ("none", "fit", (), True)
    assert ("front.disc",) in [clash.ids for clash in result.clashes]
    assert ("rear.disc",) in [clash.ids for clash in result.clashes]
    assert {near.axle for near in result.nearest} == {"front", "rear"}


PICKUP_SETS = ("stance.taller.tire_diameter=[34,35]",)
WAGON_SETS = ("stance.flush.must=['poke', 'rim_diameter']",)


def _less(scenario: Any, stance: str, amounts: Mapping[Lever, float], lever: Lever) -> tuple[str, ...] | None:
    """Return the sets with one lever a step less, or left out at its least; None for a dropped limit."""
    rest = {one: a for one, a in amounts.items() if one is not lever}
    below = [a for a in lever.amounts if abs(a) < abs(amounts[lever]) and a * amounts[lever] > 0.0]
    if lever.most == DROPPED and lever.kind is not None and amounts[lever] != DROPPED:
        step = lever.amounts[0]
        below = [amounts[lever] - step] if abs(amounts[lever]) > 1.5 * abs(step) else []
    if below:
        rest[lever] = below[-1]
    return sets_of(scenario, stance, rest)


@pytest.mark.parametrize(
    ("name", "stance", "sets"),
    [
        (*PICKUP, PICKUP_SETS),
        ("wagon_flush", "flush", WAGON_SETS),
    ],
    ids=["pickup", "wagon"],
)
def test_way_out_fits_by_its_own_lines_and_not_with_any_of_it_less(
    name: str, stance: str, sets: tuple[str, ...]
) -> None:
    """Each way out: the file with its --set lines fits, with the plan told; a step less of any, or one left
    out, does not.
    """
    found, result = read(name, sets), asked(name, stance, sets)
    assert result.aim == "fit"
    assert result.ways
    by_key = {(one.name, one.axle): one for one in levers_of(found, found.stance[stance].must, stance).levers}
    for way in result.ways:
        plain = wellroom.fit(read(name, (*sets, *way.sets)), CATALOG, stance=stance, top=1)
        assert plain.status == "proven"
        assert _told(plain.fits[0]) == _told(way.plan)
        amounts = {
            by_key[pull.name, pull.axle]: _amount(by_key[pull.name, pull.axle], pull.amount)
            for pull in way.pulls
        }
        for lever in amounts:
            less = _less(found, stance, amounts, lever)
            assert less is None or not fits(name, stance, (*sets, *less)), (way.sets, less)


def _amount(lever: Lever, told: float | None) -> float:
    """Return a lever's own amount nearest to what is told of it."""
    if told is None:
        return lever.most
    own = [lever.amounts[0] * k for k in range(1, 2000)] if lever.most == DROPPED else list(lever.amounts)
    scale = 57.29577951308232 if lever.kind is not None and lever.kind.value == "angle" else 1.0
    return min(own, key=lambda a: abs(a * scale - told))


def _told(plan: Any) -> Any:
    body = [
        (axle, fit.tire, fit.wheel, fit.rim_width_in, fit.backspace_mm) for axle, fit in plan.axles.items()
    ]
    return body, plan.price, plan.gearing


def test_ways_out_are_all_the_least_sets_of_plain_fits() -> None:
    """Few tires, few changes: every set of one or two, each at each amount, asked by fit alone."""
    found, result = read(TENDER[0], (MUSTS,)), small()
    assert result.aim == "fit"
    every = [one for one in levers_of(found, found.stance["shelf"].must, "shelf").levers if one.name in KEPT]

    def opens(some: Sequence[Lever]) -> bool:
        choices = [(one.most,) if one.steady else one.amounts for one in some]
        return any(
            fits(*TENDER, (MUSTS, *_sets(found, dict(zip(some, a, strict=True)))), tires=TIRES, rims=RIMS)
            for a in product(*choices)
        )

    minimal: list[frozenset[Lever]] = []
    for size in (1, 2):
        for some in combinations(every, size):
            if not any(had <= set(some) for had in minimal) and opens(some):
                minimal.append(frozenset(some))
    told = [frozenset((pull.name, pull.axle) for pull in way.pulls) for way in result.ways]
    assert {ids for ids in told if len(ids) <= 2} == {
        frozenset((lever.name, lever.axle) for lever in some) for some in minimal
    }
    assert len(set(told)) == len(told)
    assert minimal


def _sets(scenario: Any, amounts: Mapping[Lever, float]) -> tuple[str, ...]:
    return sets_of(scenario, "shelf", amounts)


def test_ways_out_come_by_cost_and_none_is_part_of_another() -> None:
    """Ascending, and each is least by what it is made of."""
    for result in (small(), asked(*PICKUP, PICKUP_SETS)):
        costs = [way.cost for way in result.ways]
        assert costs == sorted(costs)
        parts = [frozenset((pull.name, pull.axle) for pull in way.pulls) for way in result.ways]
        assert all(not one < other for one in parts for other in parts)
        for way in result.ways:
            assert way.cost == sum(pull.cost for pull in way.pulls)


def test_fewer_ways_out_are_the_first_of_more() -> None:
    """--top cuts the list and changes nothing in it."""
    whole = asked(*PICKUP, PICKUP_SETS)
    assert why(read(PICKUP[0], PICKUP_SETS), CATALOG, stance=PICKUP[1], top=2).ways == whole.ways[:2]


def test_ways_out_of_wishes_meet_every_wish() -> None:
    """Something fits but a wish is missed: with each way's lines fit has score 0."""
    result = asked(*PICKUP, ())
    assert (result.status, result.aim) == ("proven", "wishes")
    assert result.best is not None
    assert result.best.score
    for way in result.ways:
        plain = wellroom.fit(read(PICKUP[0], way.sets), CATALOG, stance=PICKUP[1], top=1)
        assert plain.fits[0].score == 0


def test_change_that_is_out_of_the_question_is_in_no_way_out() -> None:
    """--without: neither pulled nor listed as looked at; a name that is none is refused with the nearest."""
    found = read(PICKUP[0], PICKUP_SETS)
    result = why(found, CATALOG, stance=PICKUP[1], top=2, without=["steering_stop", "tire_diameter"])
    assert all(
        pull.name not in ("steering_stop", "tire_diameter") for way in result.ways for pull in way.pulls
    )
    assert all(one.name != "steering_stop" for one in result.tried)
    with pytest.raises(RequestError, match="steering_stop"):
        why(found, CATALOG, stance=PICKUP[1], without=["steering_stp"])


def test_plan_that_only_money_stops_is_told_as_such() -> None:
    """Both axles have wheels, the budget has none: one clash of the plan, and the least budget that does."""
    sets = ("limits.budget=1000", 'stance.taller.must=["tire_diameter"]')
    result = why(read("pickup_taller", sets), CATALOG, stance="taller", top=1, without=["tire_diameter"])
    assert [clash.part for clash in result.clashes] == ["plan"] * len(result.clashes)
    assert ("plan.budget",) in [clash.ids for clash in result.clashes]
    way = next(way for way in result.ways if [pull.name for pull in way.pulls] == ["budget"])
    (pull,) = way.pulls
    assert pull.to is not None
    assert fits(*PICKUP, (*sets, f"limits.budget={pull.to:g}"))
    assert not fits(*PICKUP, (*sets, f"limits.budget={pull.to - 10:g}"))


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_openings_say_what_find_says(axle: Any) -> None:
    """Whether an axle has any combination, swept thing by thing, is what the whole search finds."""
    found = read(TENDER[0], ('stance.shelf.must=["poke", "gap", "section", "tread", "tire_diameter"]',))
    case, sweeps = prepare(found, CATALOG, "shelf"), Sweeps()
    levers = levers_of(found, found.stance["shelf"].must, "shelf").levers
    relaxed = frozenset(key for lever in levers for key in lever.relaxes)
    tables = wanted_tires(CATALOG, (), []), wanted_rims(case, axle, CATALOG, ())
    openings = Openings(case.asked[axle], *tables, relaxed, sweeps)
    seen = set()
    for lever in [None, *levers]:
        amounts = {one: one.most for one in levers if one.steady and one.kind is not None and one.axle}
        if lever is not None:
            amounts = {lever: lever.most, **({} if lever.steady else amounts)}
        after = pulled(found, "shelf", amounts if lever is not None else {})
        now = prepare(after, CATALOG, "shelf", None, sweeps)
        some = len(find(now.asked[axle], tables[0], wanted_rims(now, axle, CATALOG, ())).pair) > 0
        assert openings.any(after, "shelf") == some
        seen.add(some)
    assert seen == {True, False}


def test_why_document_is_the_same_bytes_and_has_every_key() -> None:
    """Asked twice: one answer; what is unknown is null."""
    one, two = (why(read(PICKUP[0], PICKUP_SETS), CATALOG, stance=PICKUP[1], top=2) for _ in range(2))
    texts = [json.dumps(document(result), allow_nan=False) for result in (one, two)]
    assert texts[0] == texts[1]
    body = json.loads(texts[0])
    assert body["command"] == "why"
    assert body["status"] == "none"
    for way in body["ways"]:
        assert set(way) == {"cost", "pulls", "sets", "plan"}
        for pull in way["pulls"]:
            assert set(pull) == {"name", "axle", "path", "amount", "to", "unit", "cost", "follows"}


def test_why_gives_the_same_bytes_for_shuffled_and_doubled_rows_under_any_hash_seed(tmp_path: Path) -> None:
    """Three processes, each with its own hash seed, order of rows and repeated rows: one answer."""
    answers = {same.one_run(tmp_path, "pickup_taller", seed, "why") for seed in range(3)}
    assert len(answers) == 1
    assert len(json.loads(answers.pop())["ways"]) == 2
