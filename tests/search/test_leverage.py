"""By how much a measure moves a margin: against margins of the whole sweep with the measure changed."""

from __future__ import annotations

import math
from functools import cache

import pytest

from wellroom import check, load_catalog, load_scenario
from wellroom.catalog import Catalog
from wellroom.data import scenarios_dir
from wellroom.search.results import Check

MOVES = {"mm": 4.0, "deg": 1.0}
"""How far a measure is moved: much, beside what a sweep's own grain leaves open."""
GRAIN = 0.25
CASES = [
    ("fire_tender", "front.near.steering_box"),
    ("fire_tender", "front.lip.left"),
    ("fire_tender", "front.near.drag_link"),
    ("pickup_taller", "front.near.frame_rail"),
    ("wagon_flush", "front.lip"),
    ("wagon_flush", "rear.near.inner_arch"),
]


@cache
def catalog() -> Catalog:
    """Return the shipped catalogs."""
    return load_catalog()


def judged(name: str, id_: str, *sets: str) -> Check:
    """Return one requirement of today's wheels, with measures set."""
    axle = id_.partition(".")[0]
    fit = check(load_scenario(scenarios_dir() / f"{name}.toml", sets), catalog(), axle=axle).plan.axles[axle]
    return next(c for c in fit.checks if c.id.startswith(id_))


@pytest.mark.parametrize(("name", "id_"), CASES)
def test_leverage_is_what_a_whole_sweep_says_of_a_measure_moved(name: str, id_: str) -> None:
    """The margin changes by the derivative times the move, to the sweep's grain and a little bend."""
    here = judged(name, id_)
    assert here.contact is not None
    assert here.contact.by
    assert here.margin is not None
    scenario = load_scenario(scenarios_dir() / f"{name}.toml")
    tried = sorted(here.contact.by.items(), key=lambda pair: -abs(pair[1]))
    compared = 0
    for path, slope in tried:
        owner = scenario
        try:
            for step in path.split("."):
                owner = (
                    owner[int(step)] if step.isdigit() else getattr(owner, {"in": "inboard"}.get(step, step))
                )
        except AttributeError:
            continue  # a bar's ends have other names inside
        angle = path.rsplit(".", 1)[1] in ("lock_inner_wheel", "lock_outer_wheel", "tilt", "caster", "clock")
        angle = angle or path.endswith("kingpin_inclination")
        if path.endswith(("ratio", "clock", "share")) or compared == 5:
            continue
        unit = "deg" if angle else "mm"
        value = math.degrees(owner.value) if angle else owner.value  # type: ignore[attr-defined]  # a measure
        by = MOVES[unit] if path.endswith("side_play") else -MOVES[unit]
        moved = judged(name, id_, f"{path}={value + by} {unit}")
        assert moved.margin is not None
        found = (moved.margin - here.margin) / by
        assert found == pytest.approx(slope, abs=GRAIN / MOVES[unit] + 0.08 * abs(slope)), path
        compared += 1
    assert compared >= 3


def test_leverage_of_the_clearance_asked_is_one() -> None:
    """A mm more of clearance asked is a mm less of margin."""
    contact = judged("fire_tender", "front.near.steering_box").contact
    assert contact is not None
    assert contact.by is not None
    assert contact.by["axle.front.near.2.clearance"] == pytest.approx(-1.0)
