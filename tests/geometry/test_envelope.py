"""The grown envelope against a long search that shares no code with it: never optimistic, within b."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry import poses as brute
from geometry.cases import DEG, random_case, random_motion
from geometry.claims import end_of_window, room
from wellroom.geometry.envelope import REACH_HIGH, SLACK, TARGET, sweep, target_of
from wellroom.geometry.items import Blocks, Item, bar_surfaces, box_surfaces, lip_surfaces, point_surfaces
from wellroom.geometry.motion import Motion, Range

FOUND = 0.3
"""What the search may miss of the least distance [mm]."""
AXLE = Motion(
    Range(-100.0, 115.0),
    Range(-30 * DEG, 34 * DEG),
    span=1000.0,
    stop=430.0,
    max_tilt=9 * DEG,
    kingpin=Range(150.0, 150.0),
    inclination=Range(8 * DEG, 8 * DEG),
    caster=Range(4 * DEG, 4 * DEG),
)
LEAF = Item(
    "leaf",
    box_surfaces(np.array([-600.0, -240.0, 40.0]), np.array([600.0, -165.0, 110.0])),
    *(0.0, True, Blocks.INBOARD, (19.0,)),
)


def judge(item: Item, motion: Motion, rng: np.random.Generator, wheels: int = 2) -> int:
    """Hold the samples' window ends for random wheels against the search; return how many were in reach."""
    cells = sweep([item], motion)
    if not len(cells.r):
        return 0
    asked = item.clearances[0]
    bound = float((cells.growth(asked) - cells.thickness - asked).max())
    judged = 0
    for _ in range(wheels):
        section = brute.wheel(rng, item.blocks)
        shift = end_of_window(cells, section, item.blocks, asked)
        if abs(shift) > 2000.0:
            continue
        found = brute.least_distance(section, shift, item, motion, rng)
        if found > asked + bound + FOUND:  # stuck in a lesser trough
            found = min(found, brute.least_distance(section, shift, item, motion, rng, 300_000))
        assert found >= asked - 1e-6
        assert found <= asked + bound + FOUND
        judged += 1
    return judged


@pytest.mark.parametrize("seed", range(40))
def test_sweep_random_case_is_safe_and_within_its_bound(seed: int) -> None:
    """At the end of the claimed window the true distance is the clearance, or up to b more; never less."""
    rng = np.random.default_rng(seed)
    judge(*random_case(rng), rng)


def test_random_cases_are_mostly_in_reach() -> None:
    """The cases above judge something: most of them meet wheels."""
    judged = 0
    for seed in range(8):
        rng = np.random.default_rng(seed)
        judged += judge(*random_case(rng), rng, wheels=1)
    assert judged >= 5


STILL = Motion(Range(0.0, 0.0))
LEVEL = Motion(Range(-76.2, 76.2))
SWUNG = Motion(Range(0.0, 0.0), Range(-0.5, 0.5), kingpin=Range(100.0, 100.0))


@pytest.mark.parametrize("motion", [STILL, LEVEL, SWUNG], ids=["still", "level", "steered"])
@pytest.mark.parametrize(("ahead", "up"), [(20.0, 400.0), (400.0, 400.0), (420.0, 30.0), (700.0, 50.0)])
def test_sweep_box_centred_on_the_axis_is_safe_and_within_its_bound(
    ahead: float, up: float, motion: Motion
) -> None:
    """A face whose middle lies exactly on the axis, at rest or in the middle of its travel, is all kept."""
    rng = np.random.default_rng(11)
    low, high = np.array([-ahead, -300.0, -up]), np.array([ahead, -200.0, up])
    item = Item("box", box_surfaces(low, high), 0.0, True, Blocks.INBOARD, (12.7,))
    assert judge(item, motion, rng) == 2


def lip() -> Item:
    """Return a lip round an arch, with five clocks."""
    clocks, radii = [-1.2, -0.6, 0.0, 0.6, 1.2], [640.0, 610.0, 600.0, 615.0, 650.0]
    strips = lip_surfaces(clocks, radii, [60.0, 70.0, 75.0, 70.0, 60.0], [80.0, 90.0, 95.0, 90.0, 80.0])
    return Item("lip", strips, 0.0, True, Blocks.OUTBOARD, (12.7, 25.4))


STILL = Motion(Range(0.0, 0.0))
ODD = {
    "no motion": (LEAF, STILL),
    "no travel": (LEAF, replace(AXLE, up=Range(0.0, 0.0))),
    "no caster": (LEAF, replace(AXLE, caster=Range(0.0, 0.0))),
    "kingpin at the face": (LEAF, replace(AXLE, kingpin=Range(0.0, 0.0))),
    "one lock only": (LEAF, replace(AXLE, lock=Range(0.0, 34 * DEG))),
    "kingpin's lean a range": (
        LEAF,
        replace(AXLE, inclination=Range(0.0, 12 * DEG), caster=Range(0.0, 8 * DEG)),
    ),
    "kingpin's place a range": (LEAF, replace(AXLE, kingpin=Range(140.0, 170.0))),
    "roll centre a range": (LEAF, replace(AXLE, roll_centre=Range(0.0, 200.0))),
    "half the way": (replace(LEAF, share=0.5), AXLE),
    "on the axle": (replace(LEAF, share=1.0), AXLE),
    "on the knuckle": (replace(LEAF, turns=False), AXLE),
    "straight ahead only": (replace(LEAF, straight_only=True), AXLE),
    "flat box": (
        replace(
            LEAF, surfaces=box_surfaces(np.array([-600.0, -240.0, 90.0]), np.array([600.0, -165.0, 90.0]))
        ),
        AXLE,
    ),
    "thin box": (
        replace(
            LEAF, surfaces=box_surfaces(np.array([-600.0, -165.0, 40.0]), np.array([600.0, -165.0, 110.0]))
        ),
        AXLE,
    ),
    "point": (
        Item(
            "spot",
            point_surfaces(np.array([-1.5, -280.0, 330.0]), np.array([-1.5, -280.0, 330.0])),
            *(0.0, True, Blocks.INBOARD, (12.7,)),
        ),
        AXLE,
    ),
    "point with ranges": (
        Item(
            "spot",
            point_surfaces(np.array([-1.5, -290.0, 320.0]), np.array([-1.5, -270.0, 340.0]), 0.05),
            *(0.0, True, Blocks.INBOARD, (12.7,)),
        ),
        AXLE,
    ),
    "bar": (
        Item(
            "link",
            bar_surfaces(np.array([-150.0, -900.0, -60.0]), np.array([-150.0, -120.0, -60.0]), 32.0),
            *(1.0, True, Blocks.INBOARD, (9.5,)),
        ),
        AXLE,
    ),
    "lip": (lip(), AXLE),
    "one clock": (
        Item("lip", lip_surfaces([0.0], [600.0], [75.0], [95.0]), 0.0, True, Blocks.OUTBOARD, (12.7,)),
        AXLE,
    ),
}


@pytest.mark.parametrize("name", ODD)
def test_sweep_odd_case_is_safe_and_within_its_bound(name: str) -> None:
    """Where something is missing, flat, fixed or only known as a range, the claim holds all the same."""
    item, motion = ODD[name]
    assert judge(item, motion, np.random.default_rng(11)) > 0


@pytest.mark.parametrize(
    ("spot", "motion", "ring", "apart"),
    [
        (
            (-500.0, 100.0, 0.0),
            Motion(Range(-100.0, 100.0), span=700.0, stop=480.0, max_tilt=9 * DEG),
            (300, 600),
            2.5,
        ),
        (
            (-220.0, 30.0, -205.0),
            Motion(Range(-45.0, 80.0), span=830.0, stop=470.0, max_tilt=8 * DEG),
            (263, 493),
            11.0,
        ),
    ],
    ids=["cab corner at axle height", "link behind and below"],
)
def test_sweep_worst_tilt_inside_its_range_is_found(
    spot: tuple[float, float, float], motion: Motion, ring: tuple[int, int], apart: float
) -> None:
    """Worst at a tilt well inside the limits: the ends of the tilt alone would be so much too optimistic."""
    at = np.array(spot)
    item = Item("spot", bar_surfaces(at, at, 0.0), 0.0, True, Blocks.INBOARD, (12.7,))
    section = shapely.Polygon([(ring[0], -90), (ring[1], -90), (ring[1], 1e4), (ring[0], 1e4)])
    shift = end_of_window(sweep([item], motion), section, Blocks.INBOARD, 12.7)
    rng = np.random.default_rng(2)
    poses = brute.random_poses(item, motion, 60_000, rng)
    assert motion.span is not None

    def tilts(free: np.ndarray) -> np.ndarray:
        return np.abs(np.arcsin((free[:, 2] - free[:, 3]) / motion.span))

    r, y = brute.images(poses, item, motion)
    tilt = tilts(poses.free)
    at_ends = (tilt == 0.0) | (tilt > motion.max_tilt - 1e-6)
    ends_alone = brute.distance(section, r[at_ends], y[at_ends] - shift).min()
    for scale in (0.05, 0.01, 0.002):
        r, y = brute.images(poses, item, motion)
        order = np.argsort(brute.distance(section, r, y - shift), kind="stable")[:80]
        poses = brute.near(poses.take(order), item, motion, scale, 60, rng)
    r, y = brute.images(poses, item, motion)
    found = brute.distance(section, r, y - shift)
    assert 1 * DEG < tilts(poses.free)[np.argmin(found)] < motion.max_tilt - 1 * DEG
    assert 12.7 - 1e-6 <= found.min() <= 12.7 + TARGET + SLACK + 0.05
    assert ends_alone >= found.min() + apart


@pytest.mark.parametrize(
    ("looser", "tighter"),
    [
        (AXLE, replace(AXLE, lock=Range(-25 * DEG, 30 * DEG))),
        (AXLE, replace(AXLE, max_tilt=5 * DEG)),
        (AXLE, replace(AXLE, up=Range(-100.0, 60.0))),
        (replace(AXLE, caster=Range(2 * DEG, 6 * DEG)), AXLE),
        (replace(AXLE, kingpin=Range(140.0, 160.0)), AXLE),
    ],
    ids=["lock", "tilt", "bump", "caster", "kingpin"],
)
@pytest.mark.parametrize("item", [LEAF, lip()], ids=["leaf", "lip"])
def test_sweep_more_poses_never_widen_the_window(item: Item, looser: Motion, tighter: Motion) -> None:
    """A pose set within another leaves every wheel at least as much room, up to the bound."""
    rng = np.random.default_rng(4)
    more, fewer = sweep([item], looser), sweep([item], tighter)
    asked = item.clearances[0]
    bound = float((fewer.growth(asked) - fewer.thickness - asked).max())
    away = -1.0 if item.blocks is Blocks.OUTBOARD else 1.0
    for _ in range(6):
        section = brute.wheel(rng, item.blocks)
        wide = end_of_window(fewer, section, item.blocks, asked + bound)
        narrow = end_of_window(more, section, item.blocks, asked + bound)
        assert away * end_of_window(more, section, item.blocks, asked + 2.0 * bound) >= away * wide - 1e-6
        assert away * narrow >= away * end_of_window(fewer, section, item.blocks, asked) - 1e-6


def test_sweep_locks_exchanged_mirror_the_item() -> None:
    """Fore and aft exchanged, with caster turned over, is the same as the two locks exchanged."""
    box = [np.array([100.0, -300.0, -50.0]), np.array([500.0, -250.0, 150.0])]
    ahead = Item("box", box_surfaces(*box), 0.0, True, Blocks.INBOARD, (12.7,))
    behind_box = [np.array([-500.0, -300.0, -50.0]), np.array([-100.0, -250.0, 150.0])]
    behind = replace(ahead, surfaces=box_surfaces(*behind_box))
    caster = AXLE.caster.low
    turned = replace(AXLE, lock=Range(-AXLE.lock.high, -AXLE.lock.low), caster=Range(-caster, -caster))
    one, other = sweep([ahead], AXLE), sweep([behind], turned)
    rng = np.random.default_rng(9)
    for _ in range(5):
        section = brute.wheel(rng, Blocks.INBOARD)
        ends = [end_of_window(cells, section, Blocks.INBOARD, 12.7) for cells in (one, other)]
        assert ends[0] == pytest.approx(ends[1], abs=2.0 * (TARGET + SLACK))


@pytest.mark.parametrize(("x", "deciding"), [(100.0, "outer"), (-500.0, "inner")], ids=["ahead", "behind"])
def test_sweep_box_inboard_is_met_on_the_outer_lock_ahead_and_on_the_inner_behind(
    x: float, deciding: str
) -> None:
    """The front of an outer wheel, and the rear of an inner one, comes in to the frame: never the other."""
    low = np.array([x, -300.0, -50.0])
    box = Item("box", box_surfaces(low, low + np.array([400, 50, 200])), 0.0, True, Blocks.INBOARD, (12.7,))
    section = brute.wheel(np.random.default_rng(9), Blocks.INBOARD)
    locks = {"both": AXLE.lock, "outer": Range(AXLE.lock.low, 0.0), "inner": Range(0.0, AXLE.lock.high)}
    ends = {
        name: end_of_window(sweep([box], replace(AXLE, lock=lock)), section, Blocks.INBOARD, 12.7)
        for name, lock in locks.items()
    }
    other = "inner" if deciding == "outer" else "outer"
    assert ends[deciding] == pytest.approx(ends["both"], abs=TARGET + SLACK)
    assert ends[other] < ends["both"] - 50.0


@pytest.mark.parametrize("king", [0.0, 140.0], ids=["kingpin at the face", "kingpin inboard"])
def test_sweep_upright_kingpin_without_caster_turns_as_in_plan_view(king: float) -> None:
    """A spot ahead of the wheel, by hand: at 30 degrees of outer lock its place in the wheel's plan view."""
    x, y = 350.0, -250.0
    spot = np.array([x, y, 150.0])
    item = Item("spot", bar_surfaces(spot, spot, 0.0), 0.0, True, Blocks.INBOARD, (12.7,))
    motion = replace(STILL, lock=Range(-30 * DEG, 30 * DEG), kingpin=Range(king, king))
    section = shapely.Polygon([(250, -100), (500, -100), (500, brute.FAR), (250, brute.FAR)])
    nearest = -king + x * np.sin(30 * DEG) + (y + king) * np.cos(30 * DEG)
    end = end_of_window(sweep([item], motion), section, Blocks.INBOARD, 12.7)
    assert nearest + 100.0 + 12.7 <= end + 1e-6
    assert end <= nearest + 100.0 + 12.7 + TARGET + SLACK


def spots(*places: tuple[float, float]) -> Item:
    """Return one thing of points straight above the axle, at (r, y)."""
    surfaces = (s for r, y in places for s in point_surfaces(*(np.array([0.0, y, r]),) * 2))
    return Item("spots", tuple(surfaces), 0.0, True, Blocks.INBOARD, (12.7,))


def test_sweep_closer_and_farther_out_does_not_hide_what_is_farther_from_the_axis() -> None:
    """A point in the barrel is nearer to the axis and farther out, yet the side wall meets the other one."""
    barrel = [(230, -120), (250, -120), (250, -140), (270, -140), (400, -150), (500, -110)]
    section = shapely.Polygon([*barrel, (500, brute.FAR), (230, brute.FAR)])
    wall, inside = (400.0, -170.0), (200.0, -100.0)
    ends = [
        end_of_window(sweep([spots(*places)], STILL), section, Blocks.INBOARD, 12.7)
        for places in ((wall,), (inside,), (wall, inside))
    ]
    assert ends[2] == pytest.approx(ends[0], abs=0.01)
    assert ends[2] > ends[1] + 50.0
    found = brute.least_distance(section, ends[2], spots(wall, inside), STILL, np.random.default_rng(0), 4)
    assert 12.7 - 1e-6 <= found <= 12.7 + TARGET + SLACK


def test_sweep_item_exactly_at_the_end_of_its_window_is_clear_and_a_hair_nearer_is_not() -> None:
    """A point beside an upright wall ends the window at its clearance, to the bound and no later."""
    section = shapely.Polygon([(250, -100), (500, -100), (500, brute.FAR), (250, brute.FAR)])
    cells = sweep([spots((400.0, -200.0))], STILL)
    end = end_of_window(cells, section, Blocks.INBOARD, 12.7)
    assert -100.0 + 12.7 <= end <= -100.0 + 12.7 + TARGET + SLACK
    assert room(cells, section, end, 12.7) >= 0.0
    assert room(cells, section, end - 1e-3, 12.7) < 0.0


def test_sweep_is_the_same_every_time_and_by_item() -> None:
    """The samples of an item do not depend on what else is swept, nor on what was swept before."""
    alone = sweep([LEAF], AXLE)
    both = sweep([lip(), LEAF], AXLE)
    mine = both.take(both.item == 1)
    for name in ("r", "y", "tau", "sigma", "closed", "at", "pose"):
        assert np.array_equal(getattr(alone, name), getattr(mine, name))


def test_sweep_nothing_gives_no_samples() -> None:
    """No items, no samples; an item out of every wheel's reach gives none either."""
    far = Item(
        "far", box_surfaces(np.full(3, 2000.0), np.full(3, 2100.0)), 0.0, True, Blocks.INBOARD, (12.7,)
    )
    assert len(sweep([], AXLE).r) == 0
    assert len(sweep([far], STILL).r) == 0


@pytest.mark.parametrize("target", [0.12, 0.5, 1.5])
def test_sweep_growth_stays_within_the_target(target: float) -> None:
    """At the clearance asked no sample grows by more than target and slack, or half of a single bin."""
    for item in (LEAF, lip()):
        cells = sweep([item], AXLE, target)
        asked = item.clearances[0]
        assert (cells.growth(asked) - cells.thickness - asked).max() <= max(target, 0.125) + SLACK + 1e-9


def test_target_is_coarser_where_the_motion_is_a_range() -> None:
    """What is only known as a range is not swept finer than it is known."""
    assert target_of(AXLE) < target_of(replace(AXLE, caster=Range(0.0, 0.1)))


@given(seed=st.integers(0, 10_000))
@settings(max_examples=25, deadline=None)
def test_sweep_points_of_the_item_are_never_nearer_than_claimed(seed: int) -> None:
    """For a wheel anywhere at all, no pose brings the item nearer than the samples' grown discs allow."""
    rng = np.random.default_rng(seed)
    item = LEAF if seed % 2 else lip()
    motion = random_motion(rng, loose=0.1)
    cells = sweep([item], motion)
    if not len(cells.r):
        return
    section = brute.wheel(rng, item.blocks)
    shift = end_of_window(cells, section, item.blocks, item.clearances[0])
    r, y = brute.images(brute.random_poses(item, motion, 20_000, rng), item, motion)
    within = r <= REACH_HIGH
    if within.any():
        assert brute.distance(section, r[within], y[within] - shift).min() >= item.clearances[0] - 1e-6
