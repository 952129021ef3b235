"""Rims and hubs against published and remembered tables. Each names its source."""

from __future__ import annotations

import pytest

from wellroom.trade.hub import (
    CORNERING,
    TURNS_MIN,
    bearing_loads_n,
    bolt_circle_from_chord,
    chord,
    chord_error_factor,
    cornering_moment_nm,
    parse_thread,
    turns_needed,
)
from wellroom.trade.rim import (
    CONTOURS,
    backspace_from_inset,
    contour,
    flange_diameter_mm,
    inset_from_backspace,
    overall_width_mm,
    seat_diameter_mm,
    well_diameter_mm,
)
from wellroom.trade.tire import nominal_diameter_mm


@pytest.mark.parametrize(
    ("code", "diameter"),
    [
        (10, 253.2), (12, 304.0), (13, 329.4), (14, 354.8), (15, 380.2), (16, 405.6), (17, 436.6),
        (18, 462.0),
        (19, 487.4), (20, 512.8), (21, 538.2), (22, 563.6), (23, 589.0), (24, 614.4), (26, 665.2),
        (14.5, 368.3), (16.5, 419.1), (17.5, 444.5), (19.5, 495.3), (22.5, 571.5), (24.5, 622.3),
    ],
)  # fmt: skip
def test_seat_diameter_matches_the_remembered_table(code: float, diameter: float) -> None:
    """Source: from memory of ISO 4000-2 table 4 (5 degrees) and ISO 4209-2 (15 degrees)."""
    assert seat_diameter_mm(code) == diameter


def test_seat_diameter_and_nominal_diameter_are_two_things() -> None:
    """Source: from memory of ISO 4000-2 and UN R30: + 4.6 mm at code 17, - 0.4 at 16."""
    assert seat_diameter_mm(17) - nominal_diameter_mm(17) == pytest.approx(4.6)
    assert seat_diameter_mm(16) - nominal_diameter_mm(16) == pytest.approx(-0.4)


@pytest.mark.parametrize(
    ("name", "width", "code", "row"),
    [
        ("J", 3.0, 15, (11.0, 17.5, 13.0, 13.0, 17.3, 16.0, 28.0, 9.5)),
        ("J", 3.5, 15, (11.0, 17.5, 15.0, 17.0, 17.3, 19.0, 34.0, 9.5)),
        ("J", 7.0, 16, (11.0, 17.5, 19.5, 19.5, 17.3, 22.0, 45.0, 9.5)),
        ("J", 9.0, 22, (11.0, 17.5, 19.5, 19.5, 22.0, 22.0, 45.0, 9.5)),
        ("B", 4.5, 13, (10.0, 14.5, 19.5, 19.5, 15.0, 22.0, 45.0, 7.5)),
        ("K", 6.0, 16, (11.5, 20.0, 19.5, 19.5, 20.0, 22.0, 47.0, 10.5)),
    ],
)
def test_contour_matches_jis(name: str, width: float, code: float, row: tuple[float, ...]) -> None:
    """Source: JIS D 4218:2021 table 3: B, G, P, P1, H, L, M, R2."""
    found = contour(name, width, code)
    assert row == (
        found.flange_width_min_mm,
        found.flange_height_mm,
        found.seat_width_min_mm,
        found.seat_width_far_min_mm,
        found.well_depth_min_mm,
        found.well_flat_min_mm,
        found.well_place_max_mm,
        found.flange_radius_min_mm,
    )
    assert len(CONTOURS) == 10


@pytest.mark.parametrize(
    ("width", "code", "flange", "least", "common", "well"),
    [
        (7, 16, 440.6, 199.8, 203.2, 371.0),
        (8, 17, 471.6, 225.2, 228.6, 402.0),
        (10, 15, 415.2, 276.0, 279.4, 345.6),
    ],
)
def test_rim_geometry_from_the_contour(
    width: float, code: float, flange: float, least: float, common: float, well: float
) -> None:
    """Source: JIS D 4218:2021 table 3 (B 11, G 17.5, H 17.3) on seats from memory of ISO 4000-2."""
    row = contour("J", width, code)
    seat = seat_diameter_mm(code)
    assert flange_diameter_mm(seat, row.flange_height_mm) == pytest.approx(flange)
    assert overall_width_mm(width, row.flange_width_min_mm, row.flange_width_min_mm) == pytest.approx(least)
    assert overall_width_mm(width) == pytest.approx(common)
    assert well_diameter_mm(seat, row.well_depth_min_mm) == pytest.approx(well)


@pytest.mark.parametrize(
    ("width", "flange", "inset", "backspace_in"),
    [
        (7, 12.7, 0.0, 4.0),
        (7, 12.7, 25.4, 5.0),
        (8, 12.7, -12.7, 4.0),
        (10, 12.7, -38.1, 4.0),
        (8, 11.0, 0.0, 112.6 / 25.4),
    ],
)
def test_inset_and_backspace_follow_the_standards_sign(
    width: float, flange: float, inset: float, backspace_in: float
) -> None:
    """Source: SAE J393-2022, J876-2021 as summarised: inset when the centre line is inboard of the face."""
    backspace = backspace_from_inset(inset, flange, width * 25.4)
    assert backspace == pytest.approx(backspace_in * 25.4)
    assert inset_from_backspace(backspace, flange, width * 25.4) == pytest.approx(inset)


@pytest.mark.parametrize(
    ("studs", "factor"), [(4, 1.41421), (5, 1.70130), (6, 2.0), (8, 2.61313), (10, 3.23607)]
)
def test_bolt_circle_factor(studs: int, factor: float) -> None:
    """Source: exact geometry, 1 / sin(pi / n); 1.701 for five studs is widely printed (common practice)."""
    assert chord_error_factor(studs) == pytest.approx(factor, abs=5e-6)
    assert bolt_circle_from_chord(100.0, studs) == pytest.approx(100.0 * factor, abs=1e-3)


@pytest.mark.parametrize(
    ("circle", "studs", "adjacent", "skip_one"),
    [
        (100, 4, 70.711, 100.0),
        (114.3, 5, 67.184, 108.706),
        (127, 5, 74.649, 120.784),
        (139.7, 5, 82.114, 132.863),
        (139.7, 6, 69.850, 120.984),
        (165.1, 8, 63.181, 116.743),
        (180, 8, 68.883, 127.279),
        (285.75, 10, 88.302, 167.960),
    ],
)
def test_chords_of_usual_bolt_circles(circle: float, studs: int, adjacent: float, skip_one: float) -> None:
    """Source: exact geometry; 1.05 of the skip-one chord for five studs is printed on wheel sheets."""
    assert chord(circle, studs) == pytest.approx(adjacent, abs=6e-4)
    assert chord(circle, studs, 2) == pytest.approx(skip_one, abs=6e-4)


@pytest.mark.parametrize(
    ("kg", "radius", "inset", "factor", "sae", "r124"),
    [
        (1380, 360, 10, 1.6, 5673.1, 9040.2),
        (1000, 340, 0, 1.6, 3734.4, 6001.7),
        (600, 300, 45, 2.0, 3000.8, 3706.9),
    ],
)
def test_cornering_moment(
    kg: float, radius: float, inset: float, factor: float, sae: float, r124: float
) -> None:
    """Source: SAE J328-2021 as summarised, L (mu R + d) S; from memory of UN R124 annex 6 (mu 0.9, S 2.0)."""
    assert cornering_moment_nm(kg, radius, inset, factor) == pytest.approx(sae, abs=0.06)
    assert cornering_moment_nm(kg, radius, inset, 2.0, 0.9) == pytest.approx(r124, abs=0.06)


def test_cornering_factors() -> None:
    """Source: SAE J328-2021 table 1 as summarised."""
    assert [(row.front, row.rear, row.cycles) for row in CORNERING.values()] == [
        (1.6, 1.45, 18_000),
        (1.8, 1.55, 50_000),
        (2.0, 1.75, 50_000),
    ]


@pytest.mark.parametrize(
    ("fy", "inner", "outer"), [(0.0, 3000.0, 3000.0), (1200.0, 10000.0, -4000.0), (-1200.0, -4000.0, 10000.0)]
)
def test_bearing_loads_of_a_two_bearing_hub(fy: float, inner: float, outer: float) -> None:
    """Source: statics, worked by hand: 6000 N, bearings 60 mm apart, wheel plane 30 mm in, radius 350 mm."""
    assert bearing_loads_n(6000.0, fy, 30.0, 60.0, 350.0) == (pytest.approx(inner), pytest.approx(outer))


@pytest.mark.parametrize(
    ("thread", "turns"),
    [("M12x1.5", 8.0), ("M12x1.25", 9.6), ("M14x1.5", 9.33), ("1/2-20", 10.0), ("9/16-18", 10.1)],
)
def test_turns_for_one_diameter_of_thread(thread: str, turns: float) -> None:
    """Common practice, no source: at least one stud diameter in the nut."""
    read = parse_thread(thread)
    assert turns_needed(read.diameter_mm, read.pitch_mm) == pytest.approx(turns, abs=0.05)


@pytest.mark.parametrize("thread", sorted(TURNS_MIN))
def test_one_diameter_of_thread_is_stricter_than_the_trades_list_of_turns(thread: str) -> None:
    """Common practice, no source: 6.5 to 8 turns are 0.79 to 1 stud diameter; we ask for a whole one."""
    read = parse_thread(thread)
    assert 0.78 <= TURNS_MIN[thread] * read.pitch_mm / read.diameter_mm <= 1.0
    assert turns_needed(read.diameter_mm, read.pitch_mm) >= TURNS_MIN[thread]
