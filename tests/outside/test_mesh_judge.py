"""2,000 random cases through their motion, wheel against thing, held to meshes by trimesh and python-fcl.

The judge and its sources: tests/outside/mesh.py. The cases, and many more by a command: tests/soak/mesh.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import islice
from typing import Any

import numpy as np
import pytest
import shapely

from outside import mesh
from outside.mesh import POSES, SECTIONS, Limits, Pair, Search, Thing, Vehicle, Wheel
from soak import mesh as soak
from soak.mesh import (
    BOUND,
    SCENES,
    Near,
    Scene,
    Verdict,
    figures,
    run_scenes,
)
from soak.scenery import motion_of, random_wheels
from wellroom.geometry.envelope import sweep
from wellroom.geometry.items import Blocks, Item, Surface, bar_surfaces, moved
from wellroom.geometry.section import Rims, Sections, Tires, sections
from wellroom.geometry.windows import fouled_to, item_closing

CASES, LOTS, SEED = 2_000, 20, 1


@pytest.mark.parametrize("number", range(LOTS))
def test_claims_of_a_hundred_random_cases_hold_on_meshes(number: int) -> None:
    """No claim above the meshes, none below them by more than the bound; three in ten near the clearance."""
    tally = run_scenes(range(number * SCENES, (number + 1) * SCENES), SEED, CASES // LOTS)
    assert [f"{sort}: {verdict}" for sort, verdict in tally.bad] == []
    assert tally.cases == CASES // LOTS
    assert tally.near >= 0.3 * tally.cases, figures(tally)
    assert tally.judged_below >= 0.5 * tally.cases, figures(tally)


def test_random_cases_are_of_every_sort() -> None:
    """Both sides, every kind of thing and motion, both wells with things in the barrel, and exact ends."""
    inside = {f"{thing} inside, well {side}" for thing in ("box", "bar", "point")
              for side in ("inboard", "outboard")}  # fmt: skip
    plain = {"left", "right", "tilts", "level", "steered", "unsteered", "ranges", "known", "lip", "box",
             "fender box", "bar", "point", "knuckle", "axle", "body", "between", "range", "lifted",
             "measured again", "side play", "fore and aft", "track bar", "sideways", "table",
             "at the end"}  # fmt: skip
    blocks = {f"blocks {side}" for side in ("inboard", "outboard", "nothing")}
    missing = inside | plain | blocks
    for scene in (Scene(SEED, SCENES * number + k) for k in (0, 1) for number in range(LOTS)):
        missing -= {mark for _, claims in scene.claims() for claim in claims for mark in claim.marks}
        if not missing:
            break
    assert missing == set()


@pytest.mark.parametrize("well", [-60.0, 60.0])
def test_rod_end_in_the_barrel_leaves_a_window_on_either_side_of_the_well(well: float) -> None:
    """Both windows are real: just at their ends the meshes stand off by the clearance, between them not."""
    rim = [203.0, 254.0, 13.0, 13.0, 18.0, 4.0, 18.0, 40.0, well, 15.0]
    tire = [420.0, 300.0, 203.2, 0.0, 300.0, 0.0]
    rims, tires = (np.array(values)[:, None] for values in (rim, tire))
    parts = sections(Rims(*rims), Tires(*tires))
    a, b = np.array([-40.0, -150.0, -170.0]), np.array([-40.0, -120.0, -170.0])
    thing = Thing(np.array([[a, b, a, b]]), False, 12.0, (1.0, 1.0), False, "nothing")
    item = Item("rod end", bar_surfaces(a, b, 24.0), 1.0, True, Blocks.NOTHING, (9.5,))
    limits = Limits((-80.0, 90.0), (-0.5, 0.6), (0.14, 0.14), (0.05, 0.05), (120.0, 120.0))
    cells = sweep([item], motion_of(limits, -1))
    closed = item_closing(item.id, [item], cells, [np.arange(len(cells.r))], 0)
    assert closed.up is not None
    assert closed.down is not None
    low, high = -float(fouled_to(closed.down, parts)[0]), float(fouled_to(closed.up, parts)[0])
    assert -400.0 < low < high < 300.0
    wheel = Wheel(parts.r[0], -parts.inboard[0], parts.outboard[0], "nothing")
    rng = np.random.default_rng(5)
    search = Search(thing, Vehicle(limits, -1), rng)

    def least(shift: float) -> float:
        [(_, shares)] = search.nearest([wheel.section], [shift])
        return Pair(wheel, search).least(shift, shares[:4, 2:], rng, 4)

    for end in (low, high):
        assert 9.5 - wheel.chord <= least(end) <= 9.5 + BOUND + wheel.chord
    assert least((low + high) / 2.0) == 0.0


def test_thing_that_follows_half_way_is_no_nearer_than_a_range_of_shares_has_it() -> None:
    """A wheel comes 20 mm inboard over the last 50 of 100 mm of bump; what follows it half comes down 50.

    At its ends the thing stays beside the side wall, or comes down into the open barrel before it is nearer:
    the ends of a range of shares are not enough.
    """
    limits = Limits((0.0, 100.0), table=((0.0, 0.0, 0.0), (50.0, 0.0, 0.0), (100.0, 0.0, -20.0)))
    at = np.array([0.0, -200.0, 300.0])
    items = [Item("link", bar_surfaces(at, at, 0.0), 0.0, True, Blocks.NOTHING, (10.0,), more_share=1.0)]
    cells = sweep(items, motion_of(limits, 1))
    rows = [np.arange(len(cells.r))]
    r, side = np.array([250.0, 260.0, 270.0, 280.0, 370.0, 380.0, 390.0, 400.0])[None], np.full((1, 8), 100.0)
    closed = item_closing("link", items, cells, rows, 0)
    assert closed.up is not None
    shift = float(fouled_to(closed.up, Sections(r, side, side))[0])
    wheel = Wheel(r[0], -side[0], side[0], "nothing")
    thing = replace(spot(*at), follows=(0.0, 1.0))
    halfway = Pair(wheel, Search(thing, Vehicle(limits, 1), np.random.default_rng(1), 30))
    assert halfway.distances(pose(HERE=100.0, FOLLOW=0.5), shift)[0] >= 10.0 - wheel.chord


# --- the judge can say no -------------------------------------------------------------------------

Change = Callable[[Limits], object]


def found_wrong(told: dict[str, Change], sort: str, scenes: range) -> Verdict | None:
    """Return the first case of a sort found where the program is told another motion than the judge."""
    for number in scenes:
        scene = Scene(2, number)
        limits = scene.vehicle.limits
        changes: dict[str, Any] = {name: change(limits) for name, change in told.items()}
        if all(getattr(limits, name) == value for name, value in changes.items()):
            continue
        scene.motion = motion_of(replace(limits, **changes), scene.vehicle.side)
        for verdict in scene.verdicts(patience=1 if sort == "understated" else 0):
            if getattr(verdict, sort):
                return verdict
    return None


WRONG: dict[str, dict[str, Change]] = {
    "locks exchanged": {"lock": lambda m: (-m.lock[1], -m.lock[0])},
    "no caster": {"caster": lambda _: (0.0, 0.0)},
    "kingpin at the face": {"king": lambda _: (0.0, 0.0)},
    "kingpin upright": {"lean": lambda _: (0.0, 0.0)},
    "no tilt": {"tilt": lambda _: 0.0},
    "tilt about a stop at the face": {"stop": lambda _: 0.0},
    "roll centre on the axle": {"roll": lambda _: (0.0, 0.0)},
    "a tenth less bump": {"travel": lambda m: (m.travel[0], 0.9 * m.travel[1])},
    "no side play": {"aside": lambda _: (0.0, 0.0)},
    "no fore and aft move": {"ahead": lambda _: (0.0, 0.0)},
    "no track bar": {"bar": lambda _: None},
    "track bar's ends exchanged": {"bar": lambda m: m.bar and (*m.bar[:2], -m.bar[2])},
    "track bar level at rest": {"bar": lambda m: m.bar and (m.bar[0], 0.0, m.bar[2])},
    "no sideways shift": {"sway": lambda _: 0.0},
    "no table": {"table": lambda _: ()},
    "no camber in the table": {"table": lambda m: tuple((up, 0.0, out) for up, _, out in m.table)},
    "no track in the table": {"table": lambda m: tuple((up, lean, 0.0) for up, lean, _ in m.table)},
    "camber's sign turned": {"table": lambda m: tuple((up, -lean, out) for up, lean, out in m.table)},
}


@pytest.mark.parametrize("name", WRONG)
def test_judge_finds_claims_for_a_wrong_motion_optimistic(name: str) -> None:
    """A program that forgot a part of the motion would be found out."""
    assert found_wrong(WRONG[name], "optimistic", range(100)) is not None


FORGETS: dict[str, Callable[[Near], Near]] = {
    "what was measured again": lambda near: replace(near, items=near.items[:1]),
    "all but one end of a range": lambda near: replace(
        near,
        items=tuple(replace(item, share=item.share + item.more_share, more_share=0.0) for item in near.items),
    ),
    "a lift": lambda near: replace(
        near, items=tuple(replace(item, surfaces=tuple(lowered(item, near))) for item in near.items)
    ),
}
OF = {"what was measured again": "measured again", "all but one end of a range": "range", "a lift": "lifted"}


def lowered(item: Item, near: Near) -> list[Surface]:
    """Return the surfaces of an item as they were before it was moved."""
    back = -np.array(near.parts[0].raised)
    return [replace(moved(surface, back), thickness=0.0) for surface in item.surfaces]


@pytest.mark.parametrize("name", FORGETS)
def test_judge_finds_claims_for_less_than_there_is_optimistic(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program that forgot a measured pose, an end of a range of shares or a change would be found out."""
    real = soak.random_thing

    def less(rng: np.random.Generator, vehicle: Vehicle) -> Near:
        near = real(rng, vehicle)
        while near.mark != OF[name]:
            near = real(rng, vehicle)
        return FORGETS[name](near)

    monkeypatch.setattr(soak, "random_thing", less)
    found = (verdict for number in range(100) for verdict in Scene(2, number).verdicts(patience=0))
    assert any(verdict.optimistic for verdict in found)


def test_judge_finds_claims_for_more_motion_understated() -> None:
    """A program that took a degree more of lock than there is would be found out."""
    told: dict[str, Change] = {"lock": lambda m: (m.lock[0] - np.radians(1.0), m.lock[1] + np.radians(1.0))}
    assert found_wrong(told, "understated", range(100)) is not None


@pytest.mark.parametrize(("off", "sort"), [(0.4, "optimistic"), (-BOUND - 0.1, "understated")])
def test_judge_finds_claims_a_little_off(off: float, sort: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Lines four tenths of a millimetre too long, or a tenth more than the bound too short, are found."""
    real = soak.touch

    def wrong(*given: object) -> object:
        found = real(*given)  # type: ignore[arg-type]  # handed on as it came
        return replace(found, margin=found.margin + off)

    monkeypatch.setattr(soak, "touch", wrong)
    found = (v for number in range(100) for v in Scene(3, number).verdicts(patience=1))
    assert any(getattr(verdict, sort) for verdict in islice(found, 30))


# --- the judge by itself --------------------------------------------------------------------------

RING = np.array([[200.0, -100.0, 120.0], [400.0, -100.0, 120.0]])
STILL = Limits((0.0, 0.0))


def spot(x: float, y: float, z: float, thickness: float = 0.0, follows: float = 0.0) -> Thing:
    """Return a point (with all that lies near it) that blocks nothing."""
    return Thing(np.full((1, 4, 3), [x, y, z]), False, thickness, (follows, follows), False, "nothing")


def pose(**values: float) -> np.ndarray:
    """Return one pose (1, POSES), its parameters by name."""
    q = np.zeros((1, POSES))
    for name, value in values.items():
        q[0, getattr(mesh, name)] = value
    return q


def pair(thing: Thing, vehicle: Vehicle | None = None) -> Pair:
    """Return a thing and a plain ring of 200 to 400 mm, 100 mm inboard to 120 outboard."""
    rng = np.random.default_rng(1)
    return Pair(Wheel(*RING.T, thing.blocks), Search(thing, vehicle or Vehicle(STILL, 1), rng, 30))


@pytest.mark.parametrize(
    ("at", "distance"),
    [
        ((0.0, -130.0, 300.0), 30.0),  # inboard of its side
        ((0.0, 150.0, 300.0), 30.0),  # outboard
        ((0.0, 0.0, 450.0), 50.0),  # beyond the tread
        ((150.0, 0.0, 0.0), 50.0),  # in the open barrel
        ((0.0, -140.0, 430.0), 50.0),  # off the corner
        ((0.0, 0.0, 300.0), 0.0),  # within: to the mesh's surface it is 100
    ],
)
@pytest.mark.parametrize("side", [1, -1])
def test_distance_of_a_point_is_that_of_the_ring(
    at: tuple[float, float, float], distance: float, side: int
) -> None:
    """By hand, on both sides of the vehicle; what is within the wheel has no distance."""
    found = pair(spot(*at), Vehicle(STILL, side)).distances(np.zeros((1, POSES)), 0.0)[0]
    assert found == pytest.approx(distance, abs=400.0 * (1.0 - np.cos(np.pi / SECTIONS)) + 1e-3)


def test_distance_of_a_thick_point_is_less_by_its_thickness() -> None:
    """A ball of 20 mm is so much nearer, and meets the wheel from there on."""
    assert pair(spot(0.0, -130.0, 300.0, 20.0)).distances(np.zeros((1, POSES)), 0.0)[0] == pytest.approx(
        10.0, abs=0.01
    )
    assert pair(spot(0.0, -115.0, 300.0, 20.0)).distances(np.zeros((1, POSES)), 0.0)[0] == 0.0


@pytest.mark.parametrize("seed", range(5))
def test_wheel_meshes_are_watertight_and_hold_the_volume_of_their_section(seed: int) -> None:
    """Pappus: area times the way of its centre, less what flats cut off a circle."""
    parts = random_wheels(np.random.default_rng(seed))
    for blocks in ("nothing", "inboard", "outboard"):
        wheel = Wheel(parts.r[0], -parts.inboard[0], parts.outboard[0], blocks)
        assert wheel.mesh.is_watertight
        flats = np.sin(2 * np.pi / SECTIONS) / (2 * np.pi / SECTIONS)
        round_volume = 2 * np.pi * wheel.section.centroid.x * wheel.section.area
        assert abs(wheel.mesh.volume) == pytest.approx(flats * round_volume, rel=1e-9)


def test_wheel_holds_what_its_section_holds() -> None:
    """The sum of solid angles agrees with the polygon, but for what lies within the chord error."""
    rng = np.random.default_rng(3)
    parts = random_wheels(rng)
    wheel = Wheel(parts.r[0], -parts.inboard[0], parts.outboard[0], "nothing")
    r, y = rng.uniform(wheel.inner - 20, wheel.outer + 20, 300), rng.uniform(-250, 250, 300)
    clock = rng.uniform(0, 2 * np.pi, 300)
    points = np.stack([r * np.sin(clock), y, r * np.cos(clock)], axis=1)
    held = np.array([wheel.holds(p) for p in points])
    clear = shapely.distance(shapely.points(r, y), wheel.section.boundary) > wheel.chord
    assert (held == shapely.contains_xy(wheel.section, r, y))[clear].all()
    assert 30 < held.sum() < 270


def test_axle_of_a_solid_axle_raises_both_stops_by_their_travels() -> None:
    """By definition; and its roll centre stays in the middle of the vehicle."""
    limits = Limits((-90.0, 90.0), roll=(120.0, 120.0), stop=400.0, span=900.0, tilt=0.2)
    q = pose(HERE=70.0, OTHER=-60.0, ROLL=120.0)
    for side in (1, -1):
        axle = Vehicle(limits, side).axle(q)
        stops = (
            axle.apply(np.array([[0.0, side * 450.0, 0.0]])),
            axle.apply(np.array([[0.0, side * -450.0, 0.0]])),
        )
        assert [float(stop[0, 2]) for stop in stops] == pytest.approx([70.0, -60.0])
        assert axle.apply(np.array([[0.0, 0.0, 120.0]]))[0, 1] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("side", [1, -1])
def test_lock_of_the_judge_swings_the_front_outboard(side: int) -> None:
    """The front of the wheel goes away from the vehicle's middle on either side."""
    frames = Vehicle(Limits((0.0, 0.0), (0.0, 0.5), king=(100.0, 100.0)), side)
    front = np.array([[side * 300.0, 0.0, 0.0]])  # a right wheel is turned half round: its x runs rearward
    ahead, straight = (frames.wheel(q).apply(front) for q in (pose(LOCK=0.5, KING=100.0), pose()))
    assert straight[0, 0] == pytest.approx(300.0)
    assert side * (ahead[0, 1] - straight[0, 1]) > 100.0


IN = 25.4


@pytest.mark.parametrize(
    ("slope", "inches"), [(0.0, -0.24), (10.0, 0.46), (-10.0, -0.96)], ids=["level", "lower", "higher"]
)
@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("end", [1, -1])
def test_track_bar_of_the_judge_swings_the_axle_as_the_trade_says(
    slope: float, inches: float, side: int, end: int
) -> None:
    """Common practice, no source: 34 in of bar, 4 of bump; to the side of its axle end as it comes level."""
    limits = Limits((0.0, 4.0 * IN), bar=(34.0 * IN, np.radians(slope), end))
    axle = Vehicle(limits, side).axle(pose(HERE=4.0 * IN))
    assert axle.move[0] / IN == pytest.approx([0.0, end * inches, 4.0], abs=0.005)


@pytest.mark.parametrize("side", [1, -1])
def test_table_of_the_judge_leans_the_top_and_shifts_the_face_outboard(side: int) -> None:
    """By hand: half way between two rows 3 degrees and 8 mm apart, and beyond the last row as in it."""
    limits = Limits((-50.0, 90.0), table=((0.0, 0.0, 0.0), (60.0, np.radians(3.0), 8.0)))
    vehicle = Vehicle(limits, side)
    for up, lean, out in ((30.0, 1.5, 4.0), (90.0, 3.0, 8.0), (-50.0, 0.0, 0.0)):
        spots = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 300.0]])
        face, top = vehicle.wheel(np.repeat(pose(HERE=up), 2, axis=0)).apply(spots)
        assert face == pytest.approx([0.0, side * (limits.face + out), up], abs=1e-9)
        leaned = [0.0, side * 300.0 * np.sin(np.radians(lean)), 300.0 * np.cos(np.radians(lean))]
        assert top - face == pytest.approx(leaned, abs=1e-9)


@pytest.mark.parametrize("side", [1, -1])
def test_play_of_the_judge_moves_the_axle_outboard_and_forward(side: int) -> None:
    """By definition; what follows the axle by a share goes its share of the way."""
    vehicle = Vehicle(Limits((0.0, 0.0), aside=(-5.0, 5.0), ahead=(-9.0, 9.0)), side)
    q = pose(ASIDE=5.0, AHEAD=9.0, FOLLOW=0.25)
    assert vehicle.axle(q).move[0] == pytest.approx([9.0, side * 5.0, 0.0])
    thing = spot(100.0, -200.0, 300.0, follows=0.25)
    at, moved_to = (vehicle.carried(thing, thing.charts[0, :1], p)[0] for p in (pose(FOLLOW=0.25), q))
    assert moved_to - at == pytest.approx([0.25 * 9.0, side * 0.25 * 5.0, 0.0])
