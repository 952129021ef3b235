"""Windows and verdicts: they agree with each other, and shrink when more is swept."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wellroom import load_catalog, load_scenario
from wellroom.data import scenarios_dir
from wellroom.geometry import windows
from wellroom.geometry.envelope import sweep
from wellroom.geometry.items import Blocks, Item, bar_surfaces, box_surfaces
from wellroom.geometry.motion import Motion, Range
from wellroom.geometry.section import Sections
from wellroom.geometry.windows import allowed
from wellroom.scenario.build import build_room
from wellroom.search.candidates import Asked
from wellroom.search.fit import prepare
from wellroom.search.judge import judge
from wellroom.search.rims import Rims, made_rims, rims_from
from wellroom.search.sections import in_service
from wellroom.search.steps import Steps
from wellroom.search.tires import Tires, catalog_tires


@cache
def asked(axle: str) -> Asked:
    """Return an axle of a shipped scenario, swept."""
    scenario = load_scenario(scenarios_dir() / "wagon_flush.toml")
    return prepare(scenario, load_catalog(), None).asked[axle]


@cache
def pairs() -> tuple[Tires, Rims]:
    """Return tires on rims of their code, row by row."""
    catalog = load_catalog()
    tires, rims = catalog_tires(catalog), rims_from(made_rims(catalog))
    rng = np.random.default_rng(9)
    tire, rim = rng.integers(0, len(tires), 60_000), rng.integers(0, len(rims), 60_000)
    fit = (tires.code[tire] == rims.code[rim]) & (np.abs(tires.measuring[tire] - rims.width[rim]) <= 1.5)
    return tires.take(tire[fit][:400]), rims.take(rim[fit][:400])


@given(st.sampled_from(["front", "rear"]), st.integers(0, 399), st.floats(-60.0, 260.0))
@settings(max_examples=60, deadline=None)
def test_verdict_of_a_thing_is_whether_the_backspace_is_in_its_window(
    axle: str, row: int, backspace: float
) -> None:
    """For each thing: met inside its printed window and missed outside; the margin has the verdict's sign."""
    tires, rims = pairs()
    verdict = judge(asked(axle), tires.take([row]), rims.take([row]), backspace, 2).fit
    for check in verdict.checks:
        window = verdict.windows_mm[check.id]
        if check.kind != "clearance" or window is None or check.ok is None:
            continue
        assert check.ok == any(low <= backspace <= high for low, high in window), check.id
        assert check.margin is None or (check.margin >= 0.0) == check.ok, check.id


@given(st.sampled_from(["front", "rear"]), st.integers(0, 399))
@settings(max_examples=40, deadline=None)
def test_common_window_is_where_every_rating_and_clearance_is_met(axle: str, row: int) -> None:
    """Its ends, its middle and places just outside: inside all windows or outside one."""
    tires, rims = pairs()
    fit = judge(asked(axle), tires.take([row]), rims.take([row]), 100.0, 2).fit
    kinds = {check.id: check.kind for check in fit.checks}
    each = [
        window
        for id_, window in fit.windows_mm.items()
        if window is not None and kinds[id_] in ("rating", "clearance")
    ]
    assert fit.window_mm is not None
    for low, high in fit.window_mm:
        for place, inside in (
            (low, True), ((low + high) / 2.0, True), (high, True), (low - 0.01, False), (high + 0.01, False),
        ):  # fmt: skip
            held = all(any(a <= place <= b for a, b in window) for window in each)
            assert held == inside or (not inside and any(a <= place <= b for a, b in fit.window_mm))


@given(
    st.floats(-100, 100),
    st.floats(0.1, 100),
    st.lists(st.tuples(st.floats(-200, 200), st.floats(-200, 200)), max_size=6),
)
def test_allowed_leaves_what_no_open_interval_covers(
    low: float, size: float, fouled: list[tuple[float, float]]
) -> None:
    """Ascending, disjoint, inside the limits; every end and middle is free, every gap's middle is covered."""
    high = low + size
    out = allowed(low, high, fouled)

    def free(place: float) -> bool:
        return low <= place <= high and not any(a < place < b for a, b in fouled)

    flat = [end for interval in out for end in interval]
    assert flat == sorted(flat)
    assert all(free(end) for end in flat)
    assert all(free((a + b) / 2.0) for a, b in out)
    gaps = [low, *flat, high]
    for a, b in zip(gaps[::2], gaps[1::2], strict=True):
        if a < b:
            assert not free((a + b) / 2.0)


@given(st.integers(0, 399), st.sampled_from([3.175, 1.5875, 3.0, 5.0]))
def test_grid_holds_every_step_that_a_blank_allows(row: int, step: float) -> None:
    """All multiples of the step within the blank's limits, and none beyond them."""
    rims = pairs()[1].take([row])
    _, found = Steps(rims, step).rows()
    low, high = float(rims.backspace_low[0]), float(rims.backspace_high[0])
    expected = [k * step for k in range(2000) if low - 1e-6 <= k * step <= high + 1e-6]
    assert found == pytest.approx(expected)


LESS = Motion(Range(-40.0, 50.0), span=800.0, stop=400.0, max_tilt=0.05, lock=Range(-0.3, 0.35))
MORE = {
    "up": Range(-70.0, 80.0),
    "max_tilt": 0.09,
    "lock": Range(-0.45, 0.5),
    "roll_centre": Range(-20.0, 60.0),
    "kingpin": Range(90.0, 120.0),
}
LESS = replace(LESS, kingpin=Range(100.0, 100.0), inclination=Range(0.1, 0.1), caster=Range(0.05, 0.05))
CLEARANCE = 12.7


def _item(what: str, forward: float, up: float, inboard: float, blocks: Blocks) -> Item:
    at = np.array([forward, -inboard, up])
    surfaces = {
        "point": lambda: bar_surfaces(at, at, 0.0),
        "bar": lambda: bar_surfaces(at, at + np.array([150.0, -90.0, 40.0]), 30.0),
        "box": lambda: box_surfaces(at, at + np.array([200.0, 60.0, 80.0])),
    }[what]()
    return Item("thing", surfaces, 0.0, True, blocks, (CLEARANCE,))


def _ends(item: Item, motion: Motion, clearance: float, parts: Sections) -> tuple[np.ndarray, float]:
    cells = sweep((item,), motion)
    bound = float((cells.growth(CLEARANCE) - CLEARANCE - cells.thickness).max()) if len(cells.r) else 0.0
    closed = windows.closing("thing", item.blocks, [(cells, clearance)])
    curve = closed.up or closed.down
    assert curve is not None
    return windows.fouled_to(curve, parts), bound


@given(
    st.sampled_from(["point", "bar", "box"]),
    st.floats(-400.0, 400.0),
    st.floats(-200.0, 500.0),
    st.floats(-150.0, 400.0),
    st.sampled_from([Blocks.INBOARD, Blocks.OUTBOARD]),
    st.sets(st.sampled_from(["up", "max_tilt", "lock"]), min_size=1),
    st.booleans(),
)
@settings(max_examples=12, deadline=None)
def test_larger_pose_set_gives_windows_within_the_smaller_ones(
    what: str, forward: float, up: float, inboard: float, blocks: Blocks, more: set[str], loose: bool
) -> None:
    """More travel, tilt, lock or a range in place of a value: nothing opens beyond the bound."""
    names = more | ({"roll_centre"} if loose else set())
    item = _item(what, forward, up, inboard, blocks)
    tires, rims = pairs()
    parts = in_service(tires, rims)
    small, bound = _ends(item, LESS, CLEARANCE, parts)
    smaller, _ = _ends(item, LESS, CLEARANCE - bound - 1e-6, parts)
    larger, _ = _ends(item, replace(LESS, **{name: MORE[name] for name in names}), CLEARANCE, parts)
    assert np.all(larger >= smaller - 1e-6)
    assert np.all(small >= smaller - 1e-9)


@given(st.sampled_from(["bar", "box"]), st.floats(0.0, 40.0), st.floats(0.1, 20.0))
@settings(max_examples=8, deadline=None)
def test_greater_clearance_never_opens_a_window(what: str, clearance: float, more: float) -> None:
    """Fouled up to a place at a clearance, fouled at least as far at a greater one."""
    item = _item(what, 50.0, 260.0, 120.0, Blocks.INBOARD)
    tires, rims = pairs()
    parts = in_service(tires, rims)
    less, _ = _ends(item, LESS, clearance, parts)
    greater, _ = _ends(item, LESS, clearance + more, parts)
    assert np.all(greater >= less)


@pytest.mark.parametrize(
    ("place", "middle"),
    [
        ("near.4.from.in='4 to 15'", "near.4.from.in=9.5"),
        ("near.4.to.up='4 to 12'", "near.4.to.up=8"),
        ("lip.2.clock='-10 to 10'", "lip.2.clock=0"),
        ("face_to_face='60 to 76'", "face_to_face=68"),
        ("travel.stop_from_face='14 to 22'", "travel.stop_from_face=18"),
        ("brake.outline.2.1='4 to 4.75'", "brake.outline.2.1='4 3/8'"),
    ],
)
def test_range_of_a_measure_closes_more_than_its_middle(place: str, middle: str) -> None:
    """Windows are those of all values of a range together: never just those of its middle."""
    rooms = [
        build_room(load_scenario(scenarios_dir() / "fire_tender.toml", (f"axle.front.{one}",)), "front")
        for one in (place, middle)
    ]
    wide, plain = (
        [
            (item.id, [(chart.corners.tolist(), chart.thickness) for chart in item.surfaces])
            for end in r.ends
            for item in end.items
        ]
        for r in rooms
    )
    assert (wide, rooms[0].motion, rooms[0].brake) != (plain, rooms[1].motion, rooms[1].brake)
