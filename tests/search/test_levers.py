"""Levers: what each can relax, and what more of it never takes away, held against the geometry itself."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Literal

import numpy as np
import pytest

import wellroom
from wellroom.data import scenarios_dir
from wellroom.geometry.items import Floats
from wellroom.report.why import pull_words
from wellroom.scenario.load import parse_scenario
from wellroom.scenario.model import Scenario
from wellroom.search.candidates import Parts, distinct_closings, thing_interval
from wellroom.search.case import Case, prepare
from wellroom.search.fit import wanted_rims, wanted_tires
from wellroom.search.levers import DROPPED, Lever, levers_of, pulled, sets_of
from wellroom.search.misses import by_rating, other_misses, steps_of
from wellroom.search.sweeps import Sweeps
from wellroom.search.why_results import Pull

Axle = Literal["front", "rear"]
CATALOG, SWEEPS = wellroom.load_catalog(), Sweeps()
EVERY_LIMIT = (
    "limits.budget=9000",
    "limits.mass=900",
    "limits.overall_width=95",
    "limits.scrub_change=2",
    "limits.load_reserve=5",
    "limits.same_wheel_all_round=true",
)
SCENARIOS: dict[str, tuple[tuple[str, ...], str]] = {
    "fire_tender": (('stance.shelf.must=["poke", "gap", "tread"]', *EVERY_LIMIT), "shelf"),
    "pickup_taller": (('stance.taller.must=["gap"]',), "taller"),
    "wagon_flush": ((), "flush"),
    "nothing_fits": ((), "air"),
}
STEADY_WITHIN = 0.5
"""By how much [mm] a window may seem to shrink though the motion does: the envelope's own bound, aslant."""


@lru_cache(maxsize=8)
def scenario(name: str) -> Scenario:
    """Return a shipped scenario with its sets."""
    return wellroom.load_scenario(scenarios_dir() / f"{name}.toml", SCENARIOS[name][0])


def levers(name: str) -> tuple[Lever, ...]:
    """Return all levers of a scenario."""
    found, stance = scenario(name), SCENARIOS[name][1]
    return levers_of(found, found.stance[stance].must, stance).levers


EACH = [
    pytest.param(name, lever, id=f"{name}-{lever.name}-{lever.axle or 'both'}")
    for name in SCENARIOS
    for lever in levers(name)
]


def at(name: str, lever: Lever | None, amount: float = 0.0) -> Case:
    """Return a scenario's case with one lever pulled."""
    found, stance = scenario(name), SCENARIOS[name][1]
    amounts = {} if lever is None else {lever: amount}
    SWEEPS.next_round()
    return prepare(pulled(found, stance, amounts), CATALOG, stance, None, SWEEPS)


class Sample:
    """Some pairs of an axle, and how far each row is from meeting each requirement by its key."""

    def __init__(self, name: str, axle: Axle) -> None:
        case, self.axle = at(name, None), axle
        tires, rims = wanted_tires(CATALOG, (), []), wanted_rims(case, axle, CATALOG, ())
        (tire, rim), _ = by_rating(case.asked[axle], tires, rims)
        some = np.random.default_rng(4).choice(len(tire), min(160, len(tire)), replace=False)
        self.tires, self.rims = tires.take(tire[some]), rims.take(rim[some])
        self.pair, self.backspace = steps_of(case.asked[axle], self.rims).rows()
        self.others, self.fouled = self.of(case)

    def of(self, case: Case) -> tuple[dict[str, Floats], dict[str, tuple[Floats, Floats]]]:
        """Return how far rows miss each requirement by id, and the interval that each thing fouls by id."""
        asked, parts = case.asked[self.axle], Parts(case.asked[self.axle], self.tires, self.rims)
        others = dict(other_misses(asked, self.tires, self.rims, self.pair, self.backspace))
        mud = np.asarray(self.tires.kind == "mud", dtype=bool)
        fouled = {
            thing.id: thing_interval(thing, parts.of(thing), self.rims.to_centre, mud)
            for thing, _, _ in distinct_closings(asked, self.rims)
        }
        return others, fouled


@lru_cache(maxsize=16)
def sample(name: str, axle: Axle) -> Sample:
    """Return a sample of a scenario's axle as it is."""
    return Sample(name, axle)


def amounts(lever: Lever) -> Iterator[float]:
    """Yield the least and the greatest amount of a lever."""
    yield from dict.fromkeys((lever.amounts[0], lever.amounts[-1]))


@pytest.mark.parametrize(("name", "lever"), EACH)
def test_lever_relaxes_nothing_but_what_it_says(name: str, lever: Lever) -> None:
    """What a row misses beside the lever's own requirements it still misses, whatever the amount."""
    for axle in ("front", "rear"):
        before = sample(name, axle)
        for amount in amounts(lever):
            others, fouled = before.of(at(name, lever, amount))
            for id_, away in before.others.items():
                if id_.split(".")[1] not in lever.relaxes or not lever.touches(axle):
                    assert (others[id_][away > 0.0] > 0.0).all(), id_
            for id_, (low, high) in before.fouled.items():
                if id_.split(".")[1] not in lever.relaxes or not lever.touches(axle):
                    now_low, now_high = fouled[id_]
                    held = np.isfinite(low) | np.isfinite(high)
                    assert (now_low <= low + STEADY_WITHIN)[held].all(), id_
                    assert (now_high >= high - STEADY_WITHIN)[held].all(), id_


@pytest.mark.parametrize(("name", "lever"), [one for one in EACH if one.values[1].steady])  # type: ignore[union-attr]  # a Lever
def test_steady_lever_takes_nothing_away(name: str, lever: Lever) -> None:
    """What a row meets it still meets with the lever pulled, a little and to its most."""
    for axle in ("front", "rear"):
        before = sample(name, axle)
        for amount in amounts(lever):
            others, fouled = before.of(at(name, lever, amount))
            for id_, away in others.items():
                assert (away[before.others[id_] == 0.0] == 0.0).all(), id_
            for id_, (low, high) in fouled.items():
                then_low, then_high = before.fouled[id_]
                closed = low < high
                assert (low >= then_low - STEADY_WITHIN)[closed].all(), id_
                assert (high <= then_high + STEADY_WITHIN)[closed].all(), id_


@pytest.mark.parametrize(("name", "lever"), EACH)
def test_sets_of_a_lever_make_the_same_scenario(name: str, lever: Lever) -> None:
    """What --set makes of the file is what the lever makes of the scenario."""
    found, stance = scenario(name), SCENARIOS[name][1]
    for amount in amounts(lever):
        if amount == DROPPED and lever.kind is not None:
            continue
        sets = sets_of(found, stance, {lever: amount})
        read = parse_scenario(found.text, found.file, [*found.sets, *sets])
        made = pulled(found, stance, {lever: amount})
        assert read.stance == made.stance
        for axle in ("front", "rear"):
            each, other = getattr(read.change, lever.name, None), getattr(made.change, lever.name, None)
            if each is not None and other is not None:
                assert each.at(axle) == pytest.approx(other.at(axle), abs=1e-9)
        assert read.limits.same_wheel_all_round == made.limits.same_wheel_all_round
        if lever.path.startswith("limits.") and lever.kind is not None:
            one, two = getattr(read.limits, lever.name), getattr(made.limits, lever.name)
            assert one.value == pytest.approx(two.value, rel=1e-9)


@pytest.mark.parametrize(("name", "lever"), EACH)
def test_lever_is_said_in_words(name: str, lever: Lever) -> None:
    """Each lever has its sentence in both units, with its amount in it."""
    del name
    amount = None if lever.kind is None else 25.4
    pull = Pull(lever.name, lever.axle, lever.path, amount, amount, "mm" if amount else "", 1, "")
    for units in ("in", "mm"):
        words = pull_words(pull, units)  # type: ignore[arg-type]  # one of the two
        assert "{" not in words
        assert (amount is None) or "1 in" in words or "25.4" in words or "25 mm" in words


def test_levers_at_their_caps_are_within_what_the_scenario_allows() -> None:
    """Each at its most is no fault of the file."""
    for name in SCENARIOS:
        found, stance = scenario(name), SCENARIOS[name][1]
        for lever in levers(name):
            sets = sets_of(found, stance, {lever: lever.most})
            assert parse_scenario(found.text, found.file, [*found.sets, *sets])


def test_caps_that_are_not_stated_are_listed_as_assumed() -> None:
    """Each usual cap that ends a lever is said; a stated one is not."""
    bare = levers_of(scenario("nothing_fits"), (), "air")
    paths = ["limits.trim_max", "limits.up_travel_min", "limits.lock_min", "limits.lift_max"]
    assert [one.path for one in bare.assumed] == paths
    stated = levers_of(scenario("fire_tender"), (), "shelf")
    assert stated.assumed == ()


def test_stops_are_not_moved_where_a_pose_was_measured() -> None:
    """A pose measured at a lock is left out once a stop keeps the axle from it: that is no way out."""
    pose = (
        '[[axle.front.pose]]\nwhat = "full lock"\nlock = 30\n[[axle.front.pose.near]]\nwhat = "bracket"\n'
        'moves_with = "frame"\nclock = 80\nradius = 12\nin = -4\n\n[axle.rear]\n'
    )
    text = (scenarios_dir() / "least.toml").read_text(encoding="utf-8").replace("[axle.rear]\n", pose, 1)
    names = {(one.name, one.axle) for one in levers_of(parse_scenario(text, "pose.toml"), (), None).levers}
    assert not {("steering_stop", "front"), ("stop_spacer", "front")} & names
    assert ("trim", "front") in names


def test_load_reserve_is_given_up_to_nothing_and_no_further() -> None:
    """The last amount leaves no reserve; none leaves less than the rating."""
    found = wellroom.load_scenario(scenarios_dir() / "least.toml", ["limits.load_reserve=2.5"])
    lever = next(one for one in levers_of(found, (), None).levers if one.name == "load_reserve")
    assert lever.amounts == (-1.0, -2.0, -2.5)
    assert sets_of(found, None, {lever: lever.most}) == ("limits.load_reserve=0",)


def test_lever_adds_to_what_is_changed_already() -> None:
    """A change that the file makes is kept; the lever comes on top, and ends at the cap all the same."""
    sets = ("change.trim={front = 0.5}",)
    found = wellroom.load_scenario(scenarios_dir() / "fire_tender.toml", sets)
    lever = next(
        one for one in levers_of(found, (), "ridge").levers if (one.name, one.axle) == ("trim", "front")
    )
    assert lever.most == pytest.approx(12.7)
    after = pulled(found, "ridge", {lever: lever.most})
    assert after.change.trim is not None
    assert after.change.trim.at("front") == pytest.approx(25.4)
    assert sets_of(found, "ridge", {lever: lever.most}) == ("change.trim={front = 1}",)
