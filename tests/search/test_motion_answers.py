"""Scrub radius, turning circle and what is left of lock and bump where something is fouled."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wellroom import check, load_catalog, load_scenario
from wellroom.catalog import Catalog
from wellroom.data import scenarios_dir
from wellroom.scenario import Scenario
from wellroom.search import results

PICKUP = scenarios_dir() / "pickup_taller.toml"
BIG = {"tire": "37x12.50R17LT", "rim": "17x9", "backspace": "4 in", "axle": "front"}


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    """Return the shipped catalogs."""
    return load_catalog()


def front_of(scenario: Scenario, catalog: Catalog, **asked: str) -> results.AxleFit:
    """Judge a combination on the front axle."""
    return check(scenario, catalog, **asked).plan.axles["front"]


def test_relief_of_a_fouled_thing_clears_it_and_a_step_more_does_not(catalog: Catalog) -> None:
    """The lock that is said to clear a thing does so with the stops set there; half a degree more fouls."""
    fit = front_of(load_scenario(PICKUP), catalog, **BIG)
    locks = [r for r in fit.relief if r.what == "lock of the inner wheel" and r.clears not in (None, r.full)]
    assert locks
    for relief in locks:
        assert relief.clears is not None
        for extra, expected in ((0.0, True), (0.5, False)):
            value = f"axle.front.steering.lock_inner_wheel={relief.clears + extra}"
            outer = f"axle.front.steering.lock_outer_wheel={min(20.0, relief.clears)}"
            again = front_of(load_scenario(PICKUP, [value, outer]), catalog, **BIG)
            assert next(c.ok for c in again.checks if c.id == relief.thing) is expected


def test_relief_of_what_clears_is_empty(catalog: Catalog) -> None:
    """Today's wheels foul nothing, so there is nothing to draw in."""
    fit = front_of(load_scenario(PICKUP), catalog)
    assert all(c.ok is not False for c in fit.checks if c.kind == "clearance")
    assert fit.relief == ()


def test_scrub_radius_moves_with_the_backspace_alone(catalog: Catalog) -> None:
    """The same tire with an inch less backspace has an inch more scrub radius and two inches more circle."""
    scenario = load_scenario(PICKUP)
    near = front_of(scenario, catalog, **BIG)
    far = front_of(scenario, catalog, **{**BIG, "backspace": "3 in"})
    assert near.steering is not None
    assert far.steering is not None
    assert far.steering.scrub_radius_mm - near.steering.scrub_radius_mm == pytest.approx(25.4)  # type: ignore[operator]
    circles = far.steering.turning_circle_mm, near.steering.turning_circle_mm
    assert circles[0] - circles[1] == pytest.approx(50.8)  # type: ignore[operator]


def test_scrub_change_limit_gives_a_window_that_the_verdict_keeps(catalog: Catalog) -> None:
    """A limit on the change of scrub radius is met inside its window and missed outside."""
    scenario = load_scenario(PICKUP, ["limits.scrub_change=1"])
    fit = front_of(scenario, catalog, **BIG)
    windows = fit.windows_mm["front.scrub_change"]
    assert windows
    low, high = windows[0]
    assert high - low == pytest.approx(50.8, abs=0.03)
    for backspace, ok in ((low + 0.1, True), (high - 0.1, True), (low - 0.1, False), (high + 0.1, False)):
        judged = front_of(scenario, catalog, **{**BIG, "backspace": f"{backspace:.3f} mm"})
        assert next(c.ok for c in judged.checks if c.id == "front.scrub_change") is ok


def test_scrub_radius_is_the_line_of_the_kingpin_met_on_the_ground(catalog: Catalog) -> None:
    """Outside check: the kingpin's axis drawn to the ground (plane geometry, common practice, no source)."""
    scenario = load_scenario(PICKUP)
    fit = front_of(scenario, catalog, **BIG)
    steering = scenario.axle.front.steering
    assert steering.kingpin_to_face is not None
    assert steering.kingpin_inclination is not None
    height = 0.48 * fit.tire.od_mm
    axis = np.array([-math.tan(steering.kingpin_inclination.value), 1.0])
    foot = np.array([-steering.kingpin_to_face.value, 0.0]) - axis * height
    contact = -fit.inset_mm
    assert fit.steering is not None
    assert fit.steering.scrub_radius_mm == pytest.approx(contact - foot[0])
