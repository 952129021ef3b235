"""Play, track bar, sideways shift and travel tables, alone and together, against scipy's rotations."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from geometry import poses as brute
from geometry.cases import DEG, random_item, random_motion
from geometry.claims import end_of_window
from geometry.test_envelope import AXLE, LEAF, judge, lip
from wellroom.geometry import motion as mo
from wellroom.geometry.bounds import place
from wellroom.geometry.envelope import SLACK, TARGET, Cells, sweep
from wellroom.geometry.items import Blocks, Item, bar_surfaces, point_surfaces
from wellroom.geometry.motion import Bar, Motion, Range, Row
from wellroom.geometry.roots import drawn_out, roots_of
from wellroom.trade.motion import track_bar_shift_mm

IN = 25.4
STRAIGHT = Motion(Range(-90.0, 100.0))
WHEEL = replace(
    STRAIGHT,
    lock=AXLE.lock,
    kingpin=AXLE.kingpin,
    inclination=AXLE.inclination,
    caster=AXLE.caster,
    table=(
        Row(-70.0, 1.2 * DEG, -6.0),
        Row(0.0, 0.0, 0.0),
        Row(40.0, -0.9 * DEG, 2.0),
        Row(90.0, -3 * DEG, 1.0),
    ),
)
PLAY, AHEAD, BAR = Range(-6.35, 6.35), Range(-9.0, 9.0), Bar(34.0 * IN, 10.0 * DEG, -1)
MOTIONS = {
    "side play": replace(AXLE, side=PLAY),
    "fore and aft": replace(AXLE, fore=AHEAD),
    "track bar": replace(AXLE, bar=BAR),
    "track bar, no tilt": replace(STRAIGHT, bar=BAR),
    "sideways at bump": replace(AXLE, sway=0.06),
    "all of a solid axle": replace(AXLE, side=PLAY, fore=AHEAD, bar=BAR, sway=0.02),
    "table": WHEEL,
    "table, straight ahead": replace(WHEEL, lock=Range(0.0, 0.0)),
    "table, travel beyond it": replace(WHEEL, up=Range(-120.0, 130.0)),
    "all of a wheel": replace(WHEEL, side=Range(-1.6, 1.6), fore=Range(-4.0, 4.0)),
}
LINK = Item(
    "link",
    bar_surfaces(np.array([-150.0, -700.0, 60.0]), np.array([60.0, -250.0, 120.0]), 32.0),
    *(0.4, True, Blocks.INBOARD, (9.5,)),
)
SPOT = Item(
    "spot",
    point_surfaces(np.array([-1.2, -260.0, 390.0]), np.array([-1.2, -250.0, 405.0]), 0.02),
    *(0.0, True, Blocks.INBOARD, (12.7,)),
)
every_motion = pytest.mark.parametrize("motion", MOTIONS.values(), ids=MOTIONS)


@every_motion
@pytest.mark.parametrize("item", [LEAF, lip(), LINK, SPOT], ids=["leaf", "lip", "link", "spot"])
def test_sweep_moving_axle_is_safe_and_within_its_bound(item: Item, motion: Motion) -> None:
    """At the end of the claimed window the true distance is the clearance, or up to b more; never less."""
    assert judge(item, motion, np.random.default_rng(5)) > 0


def random_moving(rng: np.random.Generator) -> Motion:
    """Return a random motion with some of what moves an axle or a wheel besides travel, tilt and lock."""
    m = random_motion(rng)

    def play(most: float) -> Range:
        width = float(rng.uniform(0.0, most)) if rng.random() < 0.6 else 0.0
        return Range(-width, width)

    m = replace(m, side=play(10.0), fore=play(12.0))
    if m.span is None and rng.random() < 0.6:
        ups = np.unique(np.concatenate([rng.uniform(-120.0, 120.0, rng.integers(0, 4)), [0.0]]))
        rows = (Row(float(z), float(rng.normal() * 2 * DEG), float(rng.normal() * 6.0)) for z in ups)
        return replace(m, table=tuple(row if row.up else Row(0.0, 0.0, 0.0) for row in rows))
    bar = Bar(float(rng.uniform(500.0, 1000.0)), float(rng.uniform(-12, 12) * DEG), int(rng.choice([-1, 1])))
    return replace(
        m, bar=bar if rng.random() < 0.6 else None, sway=float(rng.normal() * 0.05 * (rng.random() < 0.5))
    )


@pytest.mark.parametrize("seed", range(40))
def test_sweep_random_moving_case_is_safe_and_within_its_bound(seed: int) -> None:
    """The same for random things and motions, with everything that moves."""
    rng = np.random.default_rng(1000 + seed)
    judge(random_item(rng), random_moving(rng), rng, wheels=1)


@every_motion
def test_place_equals_the_rotations_of_scipy(motion: Motion) -> None:
    """Points of a cell's parameters, and of the same pose by scipy's rotations, are the same."""
    rng = np.random.default_rng(3)
    roots, work = roots_of(LINK, replace(motion, fore=Range(0.0, 0.0)))
    cells = work.take(rng.integers(len(work.root), size=400))
    q = cells.centre + cells.half * rng.uniform(-1.0, 1.0, cells.half.shape)
    q[mo.FORE] = rng.uniform(motion.fore.low, motion.fore.high, 400)  # which a link is drawn out by
    charts = roots.charts.take(cells.root)
    x, y, z = place(charts, motion, q, ()).point
    low, low_g, width, width_g = charts.travel
    tilt = q[mo.TILT]
    here = low + low_g * tilt + q[mo.UP] * (width + width_g * tilt)
    order = (mo.LOCK, mo.KPI, mo.CASTER, mo.KING, mo.ROLL, mo.SIDE, mo.FORE)
    other = here - tilt * (motion.span or 0.0)
    free = np.stack([q[mo.SU], q[mo.SV], here, other, *(q[d] for d in order)], axis=1)
    r, place_y = brute.images(brute.Poses(np.zeros(400, dtype=np.intp), free), LINK, motion)
    assert np.allclose(np.hypot(x, z), r)
    assert np.allclose(y, place_y)


@pytest.mark.parametrize("share", [0.0, 0.4])
@pytest.mark.parametrize("item", [LEAF, lip(), SPOT, LINK], ids=lambda item: item.id)
def test_drawn_out_is_the_thing_shifted_by_all_of_the_play(item: Item, share: float) -> None:
    """What is drawn out, with the play that is left, meets a wheel where the thing itself does at many places
    within the play, its ends among them.
    """
    side, fore = Range(-5.0, 3.0), Range(-2.0, 7.0)
    item = replace(item, share=share)
    drawn, left_side, left_fore = drawn_out(item, side, fore)
    still = Motion(Range(0.0, 0.0))
    one = sweep([drawn], replace(still, side=left_side, fore=left_fore), 0.05)
    places = [
        (Range(a, a), Range(b, b)) for a in np.linspace(-5.0, 3.0, 5) for b in np.linspace(-2.0, 7.0, 6)
    ]
    each = [sweep([item], replace(still, side=a, fore=b), 0.05) for a, b in places]
    other = Cells(
        *(np.concatenate([getattr(cells, f) for cells in each]) for f in Cells.__dataclass_fields__)
    )
    rng = np.random.default_rng(2)
    for _ in range(6):
        section = brute.wheel(rng, item.blocks)
        ends = [end_of_window(cells, section, item.blocks, item.clearances[0]) for cells in (one, other)]
        assert ends[0] == pytest.approx(ends[1], abs=2.0 * SLACK + 0.15)


@pytest.mark.parametrize("share", [0.0, 0.4])
def test_fore_and_aft_of_a_tilting_axle_is_drawn_out_whatever_a_thing_follows(share: float) -> None:
    """Tilt turns about the way fore and aft: a box takes no parameter for it, sideways only if it is tied."""
    _, work = roots_of(replace(LEAF, share=share), MOTIONS["all of a solid axle"])
    assert not work.half[mo.FORE].any()
    assert work.half[mo.SIDE].any() == (share > 0.0)


LOOSER = {
    "side play": (MOTIONS["side play"], AXLE),
    "more side play": (replace(AXLE, side=Range(-9.0, 9.0)), MOTIONS["side play"]),
    "fore and aft": (MOTIONS["fore and aft"], AXLE),
    "bump, with a track bar": (
        MOTIONS["track bar"],
        replace(MOTIONS["track bar"], up=Range(-100.0, 80.0)),
    ),
    "play, with a table": (MOTIONS["all of a wheel"], WHEEL),
    "bump, with a table": (WHEEL, replace(WHEEL, up=Range(-90.0, 45.0))),
}


@pytest.mark.parametrize(("looser", "tighter"), LOOSER.values(), ids=LOOSER)
@pytest.mark.parametrize("item", [LEAF, lip(), LINK], ids=["leaf", "lip", "link"])
def test_sweep_more_play_never_widens_the_window(item: Item, looser: Motion, tighter: Motion) -> None:
    """A pose set within another leaves every wheel at least as much room, up to the bound."""
    rng = np.random.default_rng(4)
    more, fewer = sweep([item], looser), sweep([item], tighter)
    asked = item.clearances[0]
    bound = float((fewer.growth(asked) - fewer.thickness - asked).max())
    away = -1.0 if item.blocks is Blocks.OUTBOARD else 1.0
    for _ in range(4):
        section = brute.wheel(rng, item.blocks)
        wide = end_of_window(fewer, section, item.blocks, asked)
        assert away * end_of_window(more, section, item.blocks, asked + bound) >= away * wide - 1e-6


@pytest.mark.parametrize(
    ("slope", "inches"), [(0.0, -0.24), (10.0, 0.46), (-10.0, -0.96)], ids=["level", "lower", "higher"]
)
@pytest.mark.parametrize("way", [1, -1])
def test_track_bar_moves_what_is_near_as_the_trade_says(slope: float, inches: float, way: int) -> None:
    """34 in of bar and 4 in of bump: 0.24 in level, 0.46 with the axle's end lower, 0.96 with it higher."""
    m = Motion(Range(4.0 * IN, 4.0 * IN), bar=Bar(34.0 * IN, slope * DEG, way))
    ahead, _ = m.aside(np.array([4.0 * IN]))
    assert ahead[0] / IN == pytest.approx(way * inches, abs=0.005)
    assert ahead[0] == pytest.approx(way * float(track_bar_shift_mm(34.0 * IN, slope * DEG, 4.0 * IN)))
    still = Motion(Range(4.0 * IN, 4.0 * IN))
    section = brute.wheel(np.random.default_rng(1), LEAF.blocks)
    shifted, plain = (end_of_window(sweep([LEAF], x), section, LEAF.blocks, 19.0) for x in (m, still))
    assert shifted - plain == pytest.approx(-way * inches * IN, abs=0.15 + SLACK)


def test_side_play_of_a_still_wheel_moves_the_window_by_itself() -> None:
    """With nothing else moving, a quarter inch of play costs a quarter inch of window."""
    section = brute.wheel(np.random.default_rng(1), LEAF.blocks)
    still = Motion(Range(0.0, 0.0))
    ends = [
        end_of_window(sweep([LEAF], m), section, LEAF.blocks, 19.0)
        for m in (still, replace(still, side=PLAY))
    ]
    assert ends[1] - ends[0] == pytest.approx(PLAY.high, abs=TARGET + SLACK)


def test_zones_of_a_table_meet_at_its_rows() -> None:
    """One zone lies between two rows, they meet exactly, and beyond the table the last row holds."""
    zones = MOTIONS["table, travel beyond it"].zones()
    assert len(zones) == 5
    ups = [
        zone.low + share * (zone.high - zone.low) for zone in zones for share in (zone.first_up, zone.last_up)
    ]
    assert ups == pytest.approx([-120, -70, -70, 0, 0, 40, 40, 90, 90, 130])
    turns = [zone.lean[0] + zone.lean[1] * up for zone in zones for up in (zone.first_up, zone.last_up)]
    assert np.rad2deg(turns) == pytest.approx([-1.2, -1.2, -1.2, 0, 0, 0.9, 0.9, 3, 3, 3])


def test_camber_with_the_top_outboard_brings_the_tire_to_the_lip() -> None:
    """Positive camber leans the top of the tire outboard: a lip there needs more room, a spring less."""
    leans = [
        Motion(Range(50.0, 50.0), table=(Row(0.0, 0.0, 0.0), Row(50.0, camber * DEG, 0.0)))
        for camber in (0, 3)
    ]
    section = brute.wheel(np.random.default_rng(1), Blocks.OUTBOARD)
    upright, leaned = (end_of_window(sweep([lip()], m), section, Blocks.OUTBOARD, 12.7) for m in leans)
    assert leaned < upright - 10.0
