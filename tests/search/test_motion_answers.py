"""Scrub radius, turning circle and what is left of lock and bump where something is fouled."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wellroom import check, load_catalog, load_scenario
from wellroom.catalog import Catalog
from wellroom.data import scenarios_dir
from wellroom.scenario import Scenario
from wellroom.scenario.load import parse_scenario
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
    """A steering stop that is said to clear a thing does; half a degree less of it fouls."""
    fit = front_of(load_scenario(PICKUP), catalog, **BIG)
    locks = [r for r in fit.relief if r.what == "lock of the inner wheel" and r.clears not in (None, r.full)]
    assert locks
    for relief in locks:
        assert relief.clears is not None
        for extra, expected in ((0.0, True), (0.5, False)):
            stop = f"change.steering_stop={relief.full - relief.clears - extra}"
            again = front_of(load_scenario(PICKUP, [stop, "limits.lock_min=5"]), catalog, **BIG)
            assert next(c.ok for c in again.checks if c.id == relief.thing) is expected


SHELF = """
[[axle.front.near]]
what = "shelf"
moves_with = "body"
shape = "box"
forward_from = -12
forward_to = 12
up_from = 17
up_to = 19
in_from = -6
in_to = 8
clearance = "1/2"
"""
STOPS = {
    "solid": ("stop_gap = 3\nstop_rubber = 0", 1.0),
    "independent": ("stop_gap = 1.5\nstop_rubber = 0\nstop_ratio = 2", 2.0),
}
RAIL = """
[[axle.front.near]]
what = "rail"
moves_with = "frame"
shape = "box"
forward_from = -30
forward_to = 30
up_from = -3
up_to = 3
in_from = 11
in_to = 16
clearance = "1/2"
"""
WHEEL = {"tire": "LT235/85R16", "rim": "16x6", "backspace": "4.25 in", "axle": "front"}


def plain(kind: str, thing: str, *sets: str) -> Scenario:
    """Return a vehicle of flat numbers: a tire of 31.7 in, locks of 30 and 26 degrees, bump of 3 in."""
    travel, _ = STOPS[kind]
    axle = f'type = "{kind}"\nload = 2500\nface_to_face = 60'
    text = f"""
title = "plain"
units = "in"
[vehicle]
wheelbase = 110
[axle.front]
{axle}
steered = true
[axle.front.travel]
{travel}
droop = 0
side_play = 0
[axle.front.steering]
lock_inner_wheel = 30
lock_outer_wheel = 26
kingpin_to_face = 4
kingpin_inclination = 0
caster = 0
{thing}
[axle.rear]
{axle}
"""
    return parse_scenario(text, "plain.toml", sets)


@pytest.mark.parametrize("kind", STOPS)
def test_relief_of_a_box_over_the_tire_is_bump_and_a_spacer(kind: str, catalog: Catalog) -> None:
    """By hand: 17 in up over a tire of 31.7 in (15.84 in), which grows by up to 3 %: met at full bump, free
    to 0.7 to 1.2 in, and half an inch of clearance is asked. The spacer takes away the rest, by its ratio.
    """
    fit = front_of(plain(kind, SHELF), catalog, **WHEEL)
    (missed,) = (c for c in fit.checks if c.id == "front.near.shelf")
    assert missed.contact is not None
    assert missed.contact.travel_mm == pytest.approx(76.2, abs=0.1)
    (relief,) = (r for r in fit.relief if r.what == "bump")
    assert relief.touches is not None
    assert relief.spacer_mm is not None
    assert 0.65 * 25.4 <= relief.touches <= 1.2 * 25.4
    assert 1.8 * 25.4 + 12.7 <= relief.spacer_mm * STOPS[kind][1] <= 2.4 * 25.4 + 12.7
    again = plain(kind, SHELF, f"change.stop_spacer={relief.spacer_mm / 25.4 + 1e-6}")
    assert next(c.ok for c in front_of(again, catalog, **WHEEL).checks if c.id == missed.id)


def test_relief_of_what_is_met_both_ways_takes_as_much_off_both_locks(catalog: Catalog) -> None:
    """A rail met at either lock: each way its own lock before contact, and one stop that clears both."""
    fit = front_of(plain("solid", RAIL), catalog, **WHEEL)
    locks = [r for r in fit.relief if r.thing == "front.near.rail" and r.unit == "deg"]
    assert [r.what for r in locks] == ["lock of the inner wheel", "lock of the outer wheel"]
    (stop,) = {round(r.full - (r.clears or 0.0), 6) for r in locks}
    assert 0.0 < stop < 26.0
    for less, expected in ((0.0, True), (0.5, False)):
        again = front_of(plain("solid", RAIL, f"change.steering_stop={stop - less}"), catalog, **WHEEL)
        assert next(c.ok for c in again.checks if c.id == "front.near.rail") is expected


POSED = """
[[axle.front.near]]
what = "bracket"
moves_with = "frame"
forward = 12
up = 6
in = 11
clearance = "1/2"
[[axle.front.pose]]
what = "hard over to the left"
lock = 28
[[axle.front.pose.near]]
what = "bracket"
moves_with = "frame"
side = "right"
forward = 13.8
up = 6
in = 5.5
"""


def test_relief_leaves_out_what_was_measured_beyond_the_stop(catalog: Catalog) -> None:
    """What was measured at a lock that the stop no longer lets it reach counts against it no more."""
    fit = front_of(plain("solid", POSED), catalog, **WHEEL)
    (missed,) = (c.id for c in fit.checks if c.id.endswith("bracket.right") and c.ok is False)
    (relief,) = (r for r in fit.relief if r.thing == missed and r.unit == "deg")
    assert relief.clears is not None
    assert relief.posed
    again = plain("solid", POSED, f"change.steering_stop={relief.full - relief.clears}")
    checks = front_of(again, catalog, **WHEEL).checks
    assert all(c.ok for c in checks if c.id.startswith("front.near.bracket"))


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


def test_scrub_radius_of_a_leaning_range_has_the_ends_of_single_measures(catalog: Catalog) -> None:
    """Ranges of inclination and of the kingpin's place: the least and greatest of what single ones give."""
    path = "axle.front.steering"
    sets = [f"{path}.kingpin_inclination=5 to 11", f"{path}.kingpin_to_face=4 to 4.5"]
    ranged = front_of(load_scenario(PICKUP, sets), catalog, **BIG).steering
    assert ranged is not None
    assert (ranged.scrub_radius_mm, ranged.scrub_change_mm) == (None, None)
    singles = []
    for lean in (5, 7, 11):
        for face in (4, 4.2, 4.5):
            one = [f"{path}.kingpin_inclination={lean}", f"{path}.kingpin_to_face={face}"]
            singles.append(front_of(load_scenario(PICKUP, one), catalog, **BIG).steering)
    radii = [one.scrub_radius_mm for one in singles if one is not None]
    changes = [one.scrub_change_mm for one in singles if one is not None]
    assert ranged.scrub_radius_ends_mm == pytest.approx((min(radii), max(radii)))  # type: ignore[type-var]  # all are known
    assert ranged.scrub_change_ends_mm == pytest.approx((min(changes), max(changes)))  # type: ignore[type-var]  # all are known


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


def test_scrub_change_without_todays_wheel_is_not_checked_and_said(catalog: Catalog) -> None:
    """A limit on a change needs what it changes from: without that it is listed, never dropped in silence."""
    result = check(plain("solid", RAIL, "limits.scrub_change=0.25"), catalog, **WHEEL)
    said = {entry.what: entry.missing for entry in result.not_checked}
    assert said["front.scrub_change"] == "now.front.tire, now.front.rim, now.front.backspace"


def test_lip_without_its_place_is_not_checked_and_said(catalog: Catalog) -> None:
    """A lip of which only the radius was measured has a gap; nothing says whether a tire passes it."""
    lip = '[[axle.front.lip]]\nradius = "22 1/2"'
    result = check(plain("solid", lip), catalog, **WHEEL)
    assert any(entry.what == "front.lip" for entry in result.not_checked)


def test_section_measured_on_todays_rim_is_that_on_this_rim(catalog: Catalog) -> None:
    """What was measured over the side walls of the mounted tire is its section, not converted again."""
    sets = ["now.front.tire_section=9.2", "now.front.tire_diameter=30.2"]
    fit = check(load_scenario(PICKUP, sets), catalog).plan.axles["front"]
    assert fit.tire.section_mm == pytest.approx(9.2 * 25.4)


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
