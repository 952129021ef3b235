"""Sections and windows against shapely; what every shop knows, through the real pipeline."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import translate

from wellroom import load_catalog, load_scenario
from wellroom.data import scenarios_dir
from wellroom.geometry import envelope, windows
from wellroom.geometry.contacts import touch
from wellroom.geometry.envelope import Cells, sweep
from wellroom.geometry.items import Blocks, Item, bar_surfaces, box_surfaces, patch
from wellroom.geometry.motion import DIMS, Motion, Range
from wellroom.geometry.section import Rims, Sections, Tires, sections
from wellroom.search import candidates
from wellroom.search.candidates import Asked
from wellroom.search.clear import fouled_backspaces
from wellroom.search.fit import prepare
from wellroom.search.judge import Judged, judge
from wellroom.search.rims import made_rims, own_rim, rims_from
from wellroom.search.sections import in_service
from wellroom.search.tires import catalog_tires, marked_tire

IN = 25.4
STILL = Motion(Range(0.0, 0.0))


@cache
def catalog_sections() -> Sections:
    """Return sections of catalog tires on blanks, a few hundred of every sort."""
    catalog = load_catalog()
    tires, rims = catalog_tires(catalog), rims_from(made_rims(catalog))
    rng = np.random.default_rng(3)
    tire, rim = rng.integers(0, len(tires), 30_000), rng.integers(0, len(rims), 30_000)
    fit = (tires.code[tire] == rims.code[rim]) & (tires.rim_min[tire] <= rims.width[rim])
    fit &= rims.width[rim] <= tires.rim_max[tire]
    return in_service(tires.take(tire[fit][:300]), rims.take(rim[fit][:300]))


def polygon(parts: Sections, row: int) -> shapely.Polygon:
    """Return one section as a polygon in (r, y from the centre plane)."""
    inner = np.stack([parts.r[row], -parts.inboard[row]], axis=1)
    outer = np.stack([parts.r[row], parts.outboard[row]], axis=1)
    return shapely.Polygon(np.concatenate([inner, outer[::-1]]))


def one_sample(r: float, y: float) -> Cells:
    """Return a swept set of one exact point."""
    zero = np.zeros(1)
    none = (zero, zero, zero - envelope.SLACK, zero)
    pose = np.zeros((1, DIMS))
    return Cells(np.zeros(1, dtype=np.intp), np.array([r]), np.array([y]), *none, np.zeros((1, 3)), pose)


def fouled(cells: Cells, clearance: float, parts: Sections) -> tuple[float, float]:
    """Return the shifts [mm] of the first section that foul the swept set at a clearance."""
    closed = windows.closing("thing", Blocks.NOTHING, [(cells, clearance)])
    assert closed.up is not None
    assert closed.down is not None
    return -float(windows.fouled_to(closed.down, parts)[0]), float(windows.fouled_to(closed.up, parts)[0])


@given(st.integers(0, 299), st.floats(0.01, 0.99), st.floats(1.0, 40.0))
def test_fouled_shifts_of_a_point_are_the_slice_of_the_grown_section(
    row: int, share: float, clearance: float
) -> None:
    """The slice [H-, H+] at a point's distance, cut from shapely's buffer of the hollow section."""
    parts = catalog_sections().take([row])
    r = float(parts.r[0, 0] + share * (parts.r[0, -1] - parts.r[0, 0]))
    grown = polygon(parts, 0).buffer(clearance, quad_segs=128)
    across = grown.intersection(shapely.LineString([(r, -2000.0), (r, 2000.0)]))
    slice_ = across.bounds[1], across.bounds[3]
    low, high = fouled(one_sample(r, 0.0), clearance, parts)
    assert low == pytest.approx(-slice_[1], abs=0.01)
    assert high == pytest.approx(-slice_[0], abs=0.01)


@given(st.integers(0, 299), st.floats(-60.0, 60.0), st.floats(1.0, 40.0))
def test_a_point_beyond_the_tread_by_more_than_the_clearance_closes_nothing(
    row: int, beyond: float, clearance: float
) -> None:
    """Near the tread the window is there exactly while the point is within the clearance of it."""
    parts = catalog_sections().take([row])
    r = float(parts.r[0, -1]) + beyond
    low, high = fouled(one_sample(r, 0.0), clearance, parts)
    if beyond > clearance + 1e-6:
        assert not low < high
    elif beyond < clearance - 1e-6:
        assert low < 0.0 < high


@given(st.integers(0, 299), st.floats(0.0, 0.999))
def test_every_slice_of_a_section_holds_the_middle_of_its_well_or_its_centre(row: int, share: float) -> None:
    """All slices of a section have one place in common: what makes the windows of a point one interval."""
    parts = catalog_sections()
    inner, outer = parts.inboard[row], parts.outboard[row]
    place = (outer[0] - inner[0]) / 2.0
    r = parts.r[row, 0] + share * (parts.r[row, -1] - parts.r[row, 0])
    across = polygon(parts, row).intersection(shapely.LineString([(r, -2000.0), (r, 2000.0)]))
    assert across.bounds[1] - 1e-9 <= place <= across.bounds[3] + 1e-9


@given(
    st.integers(0, 299),
    st.sampled_from(["point", "bar", "wall"]),
    st.floats(150.0, 560.0),
    st.floats(-300.0, 100.0),
    st.floats(10.0, 120.0),
    st.floats(3.0, 30.0),
)
def test_window_of_a_thing_above_the_axle_matches_planar_distance(
    row: int, what: str, r: float, y: float, size: float, clearance: float
) -> None:
    """Straight above the axle and standing still, a thing and the wheel meet in one plane."""
    parts = catalog_sections().take([row])
    start, end = np.array([0.0, y, r]), np.array([0.0, y - size, r + size / 2.0])
    flat = {
        "point": shapely.Point(r, y),
        "bar": shapely.LineString([(r, y), (r + size / 2.0, y - size)]).buffer(size / 4.0, quad_segs=128),
        "wall": shapely.LineString([(r, y), (r + size / 2.0, y - size)]),
    }[what]
    surfaces = {
        "point": bar_surfaces(start, start, 0.0),
        "bar": bar_surfaces(start, end, size / 2.0),
        "wall": (patch(start, end, start, end),),
    }[what]
    item = Item("thing", surfaces, 1.0, False, Blocks.INBOARD, (clearance,))
    cells = sweep((item,), STILL)
    bound = float((cells.growth(clearance) - clearance - cells.thickness).max())
    closed = windows.closing("thing", Blocks.INBOARD, [(cells, clearance)])
    edge = float(windows.fouled_to(closed.up, parts)[0])
    wheel = polygon(Sections(parts.r, parts.inboard, np.full_like(parts.outboard, 4000.0)), 0)
    if np.isfinite(edge):
        assert flat.distance(translate(wheel, 0.0, edge)) >= clearance - 1e-6
        assert flat.distance(translate(wheel, 0.0, edge - 0.02)) <= clearance + bound + 1e-6
    else:
        assert flat.distance(translate(wheel, 0.0, -500.0)) >= clearance - 1e-6


@given(st.integers(0, 299), st.floats(200.0, 560.0), st.floats(-300.0, 300.0))
def test_margin_to_a_box_above_the_axle_matches_planar_distance(row: int, r: float, y: float) -> None:
    """A box across the plane above the axle, standing still: what is left is shapely's distance less that."""
    parts = catalog_sections().take([row])
    item = Item(
        "box",
        box_surfaces(np.array([-0.01, y - 80.0, r]), np.array([0.01, y, r + 60.0])),
        1.0,
        False,
        Blocks.NOTHING,
        (12.0,),
    )
    cells = sweep((item,), STILL)
    bound = float((cells.growth(12.0) - 12.0).max())
    found = touch(cells, np.arange(len(cells.r)), parts, 0, 0.0, Blocks.NOTHING, 12.0)
    exact = shapely.box(r, y - 80.0, r + 60.0, y).distance(polygon(parts, 0))
    if 12.0 <= exact < 60.0:
        assert exact - 12.0 - bound - 0.05 <= found.margin <= exact - 12.0 + 1e-6


def test_sections_of_a_square_tire_cover_the_round_one() -> None:
    """A square tire stands at its full width from the flange up: it covers the round one of its size."""
    rim = Rims(*(np.array([v]) for v in (203.0, 203.2, 12.7, 12.7, 17.5, 4.0, 17.5, 22.0, 60.0, 15.0)))
    size = [np.array([v]) for v in (450.0, 300.0, 203.2)]
    square = sections(rim, Tires(*size, np.array([0.0]), np.array([300.0]), np.array([0.0])))
    round_ = sections(rim, Tires(*size, np.array([30.0]), np.array([240.0]), np.array([1.0])))
    assert polygon(square, 0).buffer(1e-9).covers(polygon(round_, 0))
    assert polygon(square, 0).area > polygon(round_, 0).area


# --- common practice, no source, through the real pipeline ----------------------------------------

PLAIN = """
title = "Plain"
units = "in"
[vehicle]
drive = "rear"
[axle.front]
type = "solid"
steered = false
load = 2000
[axle.front.travel]
stop_gap = {gap}
stop_rubber = {rubber}
[[axle.front.lip]]
clock = 0
radius = {lip}
out = 5
flange = 5
[axle.rear]
type = "solid"
load = 2000
"""


def plain(tmp_path: Path, *, lip: float = 24.0, gap: float = 4.0, rubber: float = 0.0) -> Asked:
    """Return the front axle of a plain vehicle: one lip straight up, its skin 5 in outboard of the face."""
    path = tmp_path / "plain.toml"
    path.write_text(PLAIN.format(lip=lip, gap=gap, rubber=rubber), encoding="utf-8")
    return asked_front(path)


def asked_front(path: Path, sets: tuple[str, ...] = (), axle: str = "front") -> Asked:
    """Return one axle of a scenario, swept."""
    scenario = load_scenario(path, sets)
    return prepare(scenario, load_catalog(), None).asked[axle]


def verdict(asked: Asked, diameter_in: float) -> Judged:
    """Judge a tire 14 in wide as mounted, on an 11 in rim with flanges 1/2 in thick, at 4 in of backspace."""
    tire = marked_tire("41x14.50R20", diameter=diameter_in * IN, section=14 * IN)
    rim = rims_from([own_rim(20.0, 11.0, 4 * IN, 0.5 * IN, 0.5 * IN)])
    return judge(asked, replace(tire, measuring=np.array([11.0])), rim, 4 * IN, 2)


def lip_margin(found: Judged) -> float:
    """Return the margin to the lip [in], with what is asked put back: the distance itself."""
    one = next(check for check in found.fit.checks if check.id == "front.lip")
    assert one.margin is not None
    assert one.asked is not None
    return (one.margin + one.asked) / IN


def test_lip_at_24_touches_a_48_tire_and_leaves_three_and_a_half_over_a_41(tmp_path: Path) -> None:
    """Common practice, no source: the gap at rest is 0 and 3 1/2 in."""
    asked = plain(tmp_path)
    assert verdict(asked, 48).fit.gap_mm == pytest.approx(0.0, abs=0.01)
    assert verdict(asked, 41).fit.gap_mm == pytest.approx(3.5 * IN, abs=0.01)


def test_lip_at_24_fouls_a_41_tire_at_4_of_bump_by_half_an_inch(tmp_path: Path) -> None:
    """Common practice, no source: at 4 in of bump it is 1/2 in into it; at 3 in it has 1/2 in left."""
    into = verdict(plain(tmp_path, gap=4.0), 41)
    assert lip_margin(into) < 0.0
    left = verdict(plain(tmp_path, gap=3.0), 41)
    assert lip_margin(left) == pytest.approx(0.5, abs=0.012)
    deep = verdict(plain(tmp_path, gap=4.0), 39.99)
    assert lip_margin(deep) == pytest.approx(0.005, abs=0.012)


def test_tire_that_clears_the_lip_by_the_usual_half_inch_is_an_inch_smaller(tmp_path: Path) -> None:
    """Common practice, no source: with 4 in of bump under a 24 in lip 39 in clears by 1/2 in."""
    asked = plain(tmp_path)
    oks = {}
    for diameter in (38.95, 39.05):
        found = verdict(asked, diameter)
        oks[diameter] = next(c.ok for c in found.fit.checks if c.id == "front.lip")
    assert oks == {38.95: True, 39.05: False}


def test_eleven_inch_rim_gives_four_of_poke_and_ten_inside(tmp_path: Path) -> None:
    """Common practice, no source: flanges 1/2, backspace 4, tire 14 wide as mounted, body's edge 5 out."""
    found = verdict(plain(tmp_path), 41).fit
    assert found.overall_width_mm == pytest.approx(12 * IN, abs=0.01)
    assert found.poke_mm == pytest.approx(4 * IN, abs=0.01)
    assert found.inside_mm == pytest.approx(10 * IN, abs=0.01)


def test_rim_an_inch_narrower_at_the_same_backspace_costs_0_3_inboard() -> None:
    """Common practice, no source: the window's inner end to a frame rail comes 0.3 in closer."""
    item = Item(
        "rail",
        box_surfaces(np.array([-300.0, -500.0, -200.0]), np.array([300.0, -400.0, 200.0])),
        1.0,
        False,
        Blocks.INBOARD,
        (0.5 * IN,),
    )
    closed = windows.closing("rail", Blocks.INBOARD, [(sweep((item,), STILL), 0.5 * IN)])
    tire = marked_tire("41x14.50R20")
    most = {}
    for width in (11.0, 10.0):
        rim = rims_from([own_rim(20.0, width, 4 * IN, 0.5 * IN, 0.5 * IN)])
        low, _ = fouled_backspaces(closed, in_service(tire, rim), rim.to_centre)
        most[width] = float(low[0])
    assert most[11.0] - most[10.0] == pytest.approx(0.3 * IN, abs=0.02)


@pytest.mark.parametrize("lift", [1.0, 2.0, 3.0])
def test_spring_lift_alone_leaves_every_full_bump_window_as_it_was(tmp_path: Path, lift: float) -> None:
    """Common practice, no source: lift raises lip and stop gap alike, so the same windows are left."""
    before, after = (
        plain(tmp_path, gap=3.0, rubber=2.0),
        plain(tmp_path, lip=24 + lift, gap=3 + lift, rubber=2),
    )
    catalog = load_catalog()
    tires, rims = catalog_tires(catalog), rims_from(made_rims(catalog))
    rng = np.random.default_rng(int(lift))
    tire, rim = rng.integers(0, len(tires), 4000), rng.integers(0, len(rims), 4000)
    mine = tires.code[tire] == rims.code[rim]
    some, on = tires.take(tire[mine]), rims.take(rim[mine])
    parts, mud = in_service(some, on), np.asarray(some.kind == "mud", dtype=bool)
    ends = [
        np.concatenate(candidates.thing_interval(asked.swept.things[0], parts, on.to_centre, mud))
        for asked in (before, after)
    ]
    assert np.isfinite(ends[0]).any()
    assert np.array_equal(np.isfinite(ends[0]), np.isfinite(ends[1]))
    real = np.isfinite(ends[0])
    # the two sweeps are cut into cells by other poses, so they agree within the bound, not in every digit
    bound = max(asked.swept.bound for asked in (before, after))
    assert np.abs(ends[0][real] - ends[1][real]).max() <= 12.0 * bound


@pytest.mark.parametrize(("tilt", "rise"), [(8, 2.37), (10, 2.95), (12, 3.53)])
def test_tilt_about_a_stop_17_in_inboard_raises_the_wheel(tilt: float, rise: float) -> None:
    """Common practice, no source: the mounting face comes up by 2.37, 2.95, 3.53 in to what is over it."""
    above = np.array([0.0, 0.0, 26 * IN])
    item = Item("top", bar_surfaces(above, above, 0.0), 0.0, True, Blocks.OUTBOARD, (12.7,))
    level = Motion(Range(-8 * IN, 4 * IN))
    leaning = Motion(Range(-8 * IN, 4 * IN), span=30 * IN, stop=17 * IN, max_tilt=float(np.radians(tilt)))
    least = [float(sweep((item,), motion).r.min()) for motion in (level, leaning)]
    assert least[0] == pytest.approx(22 * IN, abs=0.2)
    # the face's centre rises by the stop's lever, and the thing leans away from straight above it
    point = np.array([0.0, 0.0, 22 * IN])
    angle = np.radians(tilt)
    aside = 15 * IN * (1.0 - np.cos(angle))
    face = np.array([0.0, 17 * IN * (np.cos(angle) - 1.0) - aside, 17 * IN * np.sin(angle)])
    assert face[2] / IN == pytest.approx(rise, abs=0.01)
    across = point - face
    expected = -across[1] * np.sin(angle) + across[2] * np.cos(angle)
    assert least[1] == pytest.approx(expected, abs=0.3)


def test_shipped_drum_is_cleared_by_a_quarter_inch_all_round() -> None:
    """A drum 17 in across in an 18 in barrel: fouled where 1/4 in is not left, by shapely's distance."""
    asked = asked_front(scenarios_dir() / "fire_tender.toml", axle="rear")
    drum = shapely.box(0.0, -(0.25 + 5.25) * IN, 8.5 * IN, -0.25 * IN)
    catalog = load_catalog()
    tires, rims = catalog_tires(catalog), rims_from(made_rims(catalog, frozenset({18.0})))
    brake = asked.swept.brake
    assert brake is not None
    seen = set()
    for k in range(0, len(rims), 3):
        rim, tire = rims.take([k]), tires.take(np.flatnonzero(tires.code == 18.0)[:1])
        parts = in_service(tire, rim)
        low, high = fouled_backspaces(brake.closed[0], parts, rim.to_centre)
        for backspace in (float(low[0]), float(high[0])):
            if not float(low[0]) < float(high[0]):
                continue
            shift = float(rim.to_centre[0]) - backspace
            distance = translate(polygon(parts, 0), 0.0, shift).distance(drum)
            assert 0.25 * IN - 1e-6 <= distance <= 0.25 * IN + 0.25
            seen.add(k)
    assert seen


def test_thick_bar_near_the_axis_closes_what_its_outside_meets() -> None:
    """A bar 11 3/4 in across whose middle is 2 in off the wheel's axis fills a 15 in barrel."""
    start, end = np.array([0.0, -50.0, 50.0]), np.array([0.0, -200.0, 50.0])
    item = Item("joint", bar_surfaces(start, end, 300.0), 1.0, False, Blocks.NOTHING, (9.5,))
    low, high = fouled(sweep((item,), STILL), 9.5, _on_rim(15.0, 800.0))
    assert low < -100.0 < high


def test_thing_far_above_a_tall_tire_closes_what_a_great_clearance_asks() -> None:
    """A point 725 mm up and 150 mm of air asked: a tire of 46 in comes within 141 mm of it."""
    point = np.array([0.0, 0.0, 725.0])
    item = Item("shelf", bar_surfaces(point, point, 0.0), 1.0, True, Blocks.NOTHING, (150.0,))
    low, high = fouled(sweep((item,), STILL), 150.0, _on_rim(20.0, 1168.0))
    assert low < 0.0 < high


def test_thing_deep_in_the_barrel_closes_what_a_great_clearance_asks() -> None:
    """A point 100 mm off the axis and 3 in of air asked: the well of a 15 in rim comes within 69 mm of it."""
    point = np.array([0.0, -60.0, 100.0])
    item = Item("rod end", bar_surfaces(point, point, 0.0), 1.0, False, Blocks.NOTHING, (76.0,))
    low, high = fouled(sweep((item,), STILL), 76.0, _on_rim(15.0, 800.0))
    assert low < high


def _on_rim(code: float, diameter: float) -> Sections:
    """Return a square tire on a rim 8 in wide."""
    sizes = (code * 12.7, 8 * IN, 12.7, 12.7, 17.5, 4.0, 17.5, 22.0, 60.0, 15.0)
    tire = (diameter / 2.0, 300.0, code * 12.7, 0.0, 300.0, 0.0)
    rims, tires = ([np.array([value]) for value in values] for values in (sizes, tire))
    return sections(Rims(*rims), Tires(*tires))
