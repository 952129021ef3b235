"""The bounds that the envelope rests on, held against finite differences."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from wellroom.geometry import motion as mo
from wellroom.geometry.bounds import bounds_of, in_space
from wellroom.geometry.items import Blocks, Floats, Item, bar_surfaces, box_surfaces, lip_surfaces
from wellroom.geometry.motion import Bar, Motion, Range, Row, chart_points, place
from wellroom.geometry.roots import Roots, Work, roots_of

DEG = np.pi / 180.0
TRUCK = Motion(
    Range(-100.0, 115.0),
    Range(-35.0 * DEG, 40.0 * DEG),
    span=900.0,
    stop=430.0,
    max_tilt=12.0 * DEG,
    roll_centre=Range(-40.0, 180.0),
    kingpin=Range(0.0, 160.0),
    inclination=Range(0.0, 14.0 * DEG),
    caster=Range(-3.0 * DEG, 12.0 * DEG),
)
SWAYING = replace(
    TRUCK, side=Range(-6.0, 6.0), fore=Range(-9.0, 9.0), bar=Bar(700.0, 10.0 * DEG, 1), sway=-0.05
)
LEANING = Motion(
    Range(-100.0, 115.0),
    TRUCK.lock,
    kingpin=TRUCK.kingpin,
    inclination=TRUCK.inclination,
    caster=TRUCK.caster,
    side=Range(-2.0, 2.0),
    fore=Range(-4.0, 4.0),
    table=(
        Row(-80.0, 0.03, -9.0),
        Row(-10.0, 0.004, -1.0),
        Row(0.0, 0.0, 0.0),
        Row(60.0, -0.04, 5.0),
        Row(115.0, -0.09, 3.0),
    ),
)
BOX = box_surfaces(np.array([-600.0, -460.0, 40.0]), np.array([500.0, -380.0, 190.0]))
LIP = lip_surfaces(
    [-1.2, -0.5, 0.0, 0.9], [640.0, 605.0, 600.0, 660.0], [60.0, 75.0, 70.0, 55.0], [80.0, 90.0, 95.0, 70.0]
)
BAR = bar_surfaces(np.array([-150.0, -900.0, -60.0]), np.array([120.0, -120.0, 80.0]), 32.0)


ITEMS = [
    Item(name, surfaces, share, True, blocks, (12.7,))
    for share in (0.0, 0.5, 1.0)
    for name, surfaces, blocks in (
        ("box", BOX, Blocks.INBOARD),
        ("lip", LIP, Blocks.OUTBOARD),
        ("bar", BAR, Blocks.INBOARD),
    )
] + [
    Item(f"loose {name}", surfaces, share, True, Blocks.NOTHING, (12.7,), False, False, more, by_share)
    for name, surfaces in (("box", BOX), ("bar", BAR), ("lip", LIP))
    for share, more, by_share in ((0.0, 1.0, (0.0, 0.0, 0.0)), (0.2, 0.7, (30.0, -20.0, -60.0)))
]
every_item = pytest.mark.parametrize("item", ITEMS, ids=lambda item: f"{item.id}-{item.share:g}")
every_motion = pytest.mark.parametrize(
    "motion", [TRUCK, SWAYING, LEANING], ids=["tilting", "swaying", "leaning"]
)


def random_cells(item: Item, motion: Motion, seed: int, count: int) -> tuple[Roots, Work]:
    """Return random cells of an item's roots: centres and half widths of all sizes, within the roots."""
    rng = np.random.default_rng(seed)
    roots, work = roots_of(item, motion)
    cells = work.take(rng.integers(len(work.root), size=count))
    whole = cells.half.copy()
    cells.half = whole * rng.choice([0.0, 0.003, 0.05, 0.4], size=whole.shape)
    cells.centre += (whole - cells.half) * rng.uniform(-1.0, 1.0, whole.shape)
    return roots, cells


def moved(cells: Work, rng: np.random.Generator) -> Floats:
    """Return one random place in each cell, at its corners as often as not."""
    share = rng.uniform(-1.0, 1.0, cells.half.shape)
    share = np.where(rng.random(share.shape) < 0.5, np.sign(share), share)
    return np.asarray(cells.centre + cells.half * share)


def dims_of(motion: Motion) -> list[int]:
    """Return the parameters of a motion: a wheel that leans by a table has no tilt of its own."""
    return [d for d in range(mo.DIMS) if not (motion.table and d in (mo.TILT, mo.ROLL))]


@every_motion
@every_item
def test_place_derivatives_equal_finite_differences(item: Item, motion: Motion) -> None:
    """Every derivative that `place` gives is the limit of differences of points."""
    roots, cells = random_cells(item, motion, 3, 400)
    charts = roots.charts.take(cells.root)
    slopes = place(charts, motion, cells.centre).slopes
    for dim in dims_of(motion):
        step = np.zeros((mo.DIMS, 1))
        step[dim] = 1e-6
        ahead = np.array(place(charts, motion, cells.centre + step).point)
        behind = np.array(place(charts, motion, cells.centre - step).point)
        assert np.abs((ahead - behind) / 2e-6 - slopes[:, dim]).max() < 1e-3


@every_motion
@every_item
def test_second_derivatives_in_cells_stay_within_their_bounds(item: Item, motion: Motion) -> None:
    """No pair's second derivative, times both half widths, passes its bound anywhere in a cell."""
    rng = np.random.default_rng(5)
    roots, cells = random_cells(item, motion, 4, 3000)
    charts = roots.charts.take(cells.root)
    dims = dims_of(motion)
    centre = place(charts, motion, cells.centre, dims)
    space = in_space(cells, charts, motion, centre, dims)
    for _ in range(3):
        at = moved(cells, rng)
        for i in dims:
            step = np.zeros((mo.DIMS, 1))
            step[i] = 1e-5
            ahead = place(charts, motion, at + step).slopes
            behind = place(charts, motion, at - step).slopes
            for j in dims:
                found = np.linalg.norm((ahead[:, j] - behind[:, j]) / 2e-5, axis=0)
                found = found * cells.half[i] * cells.half[j]
                bound = space.pairs.of.get((min(i, j), max(i, j)), np.zeros(len(found)))
                worst = int(np.argmax(found - bound))
                assert found[worst] <= bound[worst] * (1 + 1e-6) + 1e-4, (i, j, found[worst], bound[worst])


@every_motion
@every_item
def test_images_of_cells_stay_within_their_bounds(item: Item, motion: Motion) -> None:
    """Distance, place, derivatives and inward vectors anywhere in a cell are within what is said of it."""
    rng = np.random.default_rng(6)
    roots, cells = random_cells(item, motion, 7, 6000)
    charts = roots.charts.take(cells.root)
    dims = dims_of(motion)
    b = bounds_of(cells, charts, motion, dims)
    for _ in range(6):
        point = Work(cells.root, moved(cells, rng), np.zeros_like(cells.half), cells.open, cells.end)
        a = bounds_of(point, charts, motion, dims)
        assert (a.r >= b.low - 1e-6).all()
        assert (a.r <= b.high + 1e-6).all()
        reach_y = (np.abs(b.by_y) * b.half).sum(axis=0) + b.second
        assert (np.abs(a.y - b.y) <= reach_y + 1e-6).all()
        turn = np.hypot(a.by_r - b.by_r, a.by_y - b.by_y)
        assert (turn * b.half <= b.bend + 1e-6).all()
        assert (turn <= b.drift[:-1] + 1e-6)[b.half == 0.0].all()
        assert (np.hypot(*(a.inward - b.inward)) <= b.drift[-1] + 1e-6).all()


def test_chart_points_of_a_lip_lie_on_its_circle() -> None:
    """A point of an arch's strip stands at the radius and clock that it was measured at."""
    item = Item("lip", LIP, 1.0, False, Blocks.OUTBOARD, (12.7,))
    roots, cells = random_cells(item, TRUCK, 8, 200)
    charts = roots.charts.take(cells.root)
    (x, y, z), *_ = chart_points(charts, cells.centre)
    u, v = cells.centre[mo.SU], cells.centre[mo.SV]
    clock, place_y, radius = (
        (1 - v) * ((1 - u) * charts.corners[0, k] + u * charts.corners[1, k])
        + v * ((1 - u) * charts.corners[2, k] + u * charts.corners[3, k])
        for k in range(3)
    )
    assert np.allclose(np.hypot(x, z), radius)
    assert np.allclose(np.arctan2(x, z), clock)
    assert np.allclose(y, place_y)
