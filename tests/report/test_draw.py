"""Drawings: labels apart, all within the sheet, figures those of the answer, SVG that any reader takes."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from report.pictured import CASES, every_drawing, figures, overlapping, pictures
from wellroom.report.draw.block import Titles
from wellroom.report.draw.board import Board, Figure
from wellroom.report.draw.model import Box, Clearance, Label, Leader, Line, Stroke
from wellroom.report.draw.pieces import extents
from wellroom.report.draw.section import clearances_worth_drawing
from wellroom.report.draw.shapes import clip_line, clip_polygon, cross, hatch, hull, rectangle
from wellroom.report.draw.stances import Panel, stances
from wellroom.report.draw.svg import svg_text
from wellroom.report.draw.wishes import Axis, Named, wishes
from wellroom.report.draw.words import PAGE
from wellroom.search.results import AXLES
from wellroom.units import Units, ceil_to, floor_to

EACH = pytest.mark.parametrize(("name", "stance"), CASES)


@EACH
def test_drawings_of_shipped_scenarios_keep_labels_apart(name: str, stance: str | None) -> None:
    """No label lies over another on any drawing, by the labels' own boxes."""
    assert {key: found for key, d in every_drawing(name, stance).items() if (found := overlapping(d))} == {}


@EACH
def test_drawings_of_shipped_scenarios_go_onto_a_page(name: str, stance: str | None) -> None:
    """Everything drawn lies within the drawing's box, and the box on A4 and Letter."""
    for key, drawing in every_drawing(name, stance).items():
        box, around = drawing.box, extents(drawing.elements, drawing.scale)
        assert (around.left, around.low) >= (box.left - 1e-6, box.low - 1e-6), key
        assert around.right <= box.right + 1e-6, key
        assert around.high <= box.high + 1e-6, key
        assert drawing.paper[0] <= PAGE[0] + 0.5, key
        assert drawing.paper[1] <= PAGE[1] + 0.5, key


@EACH
def test_section_dimensions_equal_the_answer(name: str, stance: str | None) -> None:
    """What the section measures is what the answer says, to 0.01 mm."""
    made = figures(name, stance)
    for rank, plan in made.plans.items():
        drawings = made.drawings(rank, "in")
        for axle in AXLES:
            fit = plan.axles[axle]
            found = {d.text.split(" ")[0]: d.value for d in drawings[f"{axle}-section"].dimensions()}
            assert found["backspace"] == pytest.approx(fit.backspace_mm, abs=0.01)
            assert found["section"] == pytest.approx(fit.tire.section_mm, abs=0.01)
            assert found["radius"] == pytest.approx(fit.tire.od_mm / 2.0, abs=0.01)
            if fit.overall_width_mm is not None:
                assert found["overall"] == pytest.approx(fit.overall_width_mm, abs=0.01)
                assert found["front"] == pytest.approx(fit.overall_width_mm - fit.backspace_mm, abs=0.01)
            if fit.poke_mm is not None:
                assert found["poke"] == pytest.approx(abs(fit.poke_mm), abs=0.01)
                assert found["inside"] == pytest.approx(fit.inside_mm, abs=0.01)
            if "gap" in found:
                assert found["gap"] == pytest.approx(fit.gap_mm, abs=0.01)


@EACH
def test_section_states_every_clearance_that_is_tight(name: str, stance: str | None) -> None:
    """The tightest of the drawn side, and all of which little is left, stand on the section, in place or
    under it: rounded down, with what was asked of it, rounded up.
    """
    made = figures(name, stance)
    for rank in made.plans:
        drawn = made.drawings(rank, "mm")
        for axle in AXLES:
            tight = clearances_worth_drawing(made.sketch.axles[axle], made.sketch.wheels[rank, axle])
            rows = [row for label in drawn[f"{axle}-section"].labels() for row in label.rows]
            assert tight
            for mark in tight:
                shown = f"{floor_to(mark.distance, 0.1):.1f} ({ceil_to(mark.asked, 0.1):.1f} asked)"
                assert shown in rows, (rank, axle, mark.id)


@EACH
def test_marks_are_as_far_from_the_wheel_as_they_state(name: str, stance: str | None) -> None:
    """A mark's line from wheel to thing is no shorter than its clearance, nor longer by more than the
    envelope's own bound: thick bars, the loaded bulge and what lies past the wheel's width included.
    """
    made = pictures(name, stance)
    for (rank, axle), wheel in made.sketch.wheels.items():
        for mark in wheel.marks:
            if mark.foot is None or mark.at is None or mark.distance <= 0.0:
                continue
            spare = math.dist(mark.at, mark.foot) - mark.distance
            assert -0.02 <= spare <= (made.result.bound_mm or 0.0) + 0.02, (rank, axle, mark.id)


@EACH
def test_svg_is_well_formed_and_described(name: str, stance: str | None) -> None:
    """Every drawing is XML, an image with a title and a description, and asks for nothing from elsewhere."""
    for key, drawing in every_drawing(name, stance).items():
        text = svg_text(drawing, key)
        root = ElementTree.fromstring(text)
        space = "{http://www.w3.org/2000/svg}"
        assert root.get("role") == "img"
        named = [root.find(f"{space}title"), root.find(f"{space}desc")]
        assert [node is not None and bool(node.text) for node in named] == [True, True]
        assert root.get("aria-labelledby") == " ".join(
            node.get("id", "") for node in named if node is not None
        )
        assert "href" not in text
        assert not re.search(r"[ML \"](nan|inf)\b", text)
        _, _, wide, high = map(float, root.get("viewBox", "").split())
        assert wide == pytest.approx(drawing.paper[0] + 4.0, abs=0.02)
        assert root.get("width") == f"{wide:g}mm"
        assert root.get("height") == f"{high:g}mm"


def test_svg_escapes_what_a_file_says() -> None:
    """A label that looks like markup stays text."""
    board = Board(1.0, Box(0, 0, 50, 50))
    board.add(Label((10.0, 10.0), ("<script>&\"'",)))
    text = svg_text(board.finish('x"><y', "<b>", "&"))
    assert "<script>" not in text
    assert ElementTree.fromstring(text).findtext("{http://www.w3.org/2000/svg}text") == "<script>&\"'"


def test_drawing_of_the_same_content_has_the_same_number() -> None:
    """A sheet's number stands for its content: made twice it is the same, another rank has another."""
    made = figures("fire_tender", "saddle")
    first, again = (made.drawings(1, "in")["front-section"] for _ in range(2))
    assert first.number() == again.number()
    assert first.number() != made.drawings(0, "in")["front-section"].number()


@given(
    spans=st.lists(
        st.tuples(st.integers(-400, 400), st.integers(5, 500)), min_size=1, max_size=6, unique=True
    ),
    side=st.sampled_from(["above", "below", "left", "right"]),
)
def test_dimensions_of_any_spans_keep_labels_apart(spans: list[tuple[int, int]], side: str) -> None:
    """However dimensions lie, their labels stay apart and each measures its own span."""
    board = Board(5.0, Box(-500, -500, 500, 500))
    figures_ = []
    for low, long in spans:
        a, b = float(low), float(low + long)
        ends = ((0.0, a), (0.0, b)) if side in ("left", "right") else ((a, 0.0), (b, 0.0))
        figures_.append(Figure(ends[0], ends[1], f"{long}", f"{long / 25.4:.1f}"))
    board.dimensions(figures_, side, -100.0 if side in ("below", "left") else 100.0)  # type: ignore[arg-type]  # one of the sides
    drawing = board.finish("t", "t", "t")
    assert overlapping(drawing) == []
    assert sorted(d.value for d in drawing.dimensions()) == sorted(float(long) for _, long in spans)


def test_callout_without_room_is_listed_below_with_its_key() -> None:
    """Where a zone has no room the rows stand under the drawing, with the letter that is at the point."""
    board = Board(1.0, Box(0, 0, 40, 40))
    for k in range(0, 41, 2):
        board.add(Stroke(((0.0, float(k)), (40.0, float(k))), Line.THIN))
    label = board.callout((20.0, 20.0), ("no room", "for this"), Box(0, 0, 40, 40))
    below = board.finish("t", "t", "t").labels()[-1]
    assert below.rows == ("no room", "for this")
    assert below.badge == "a" == (label.badge if label else "a")
    assert below.box(1.0).high < 0.0


def test_hatch_of_a_ring_leaves_its_hole_free() -> None:
    """Hatch lines stay within the outer and out of the inner outline, and keep their spacing."""
    outer, inner = rectangle(0, 0, 40, 40), rectangle(10, 10, 30, 30)
    for a, b in hatch([outer, inner], 45.0, 3.0).segments:
        for share in (0.01, 0.5, 0.99):
            x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
            assert -1e-6 <= x <= 40 + 1e-6
            assert -1e-6 <= y <= 40 + 1e-6
            assert not (10 + 1e-6 < x < 30 - 1e-6 and 10 + 1e-6 < y < 30 - 1e-6)


@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=3, max_size=12))
def test_clipping_of_any_outline_stays_within_the_window(points: list[tuple[float, float]]) -> None:
    """What is cut off at a window lies within it, lines and polygons alike."""
    window = Box(-20, -10, 15, 25)
    pieces = [*clip_line(points, window, closed=True), clip_polygon(points, window)]
    for piece in pieces:
        for x, y in piece:
            assert window.left - 1e-6 <= x <= window.right + 1e-6
            assert window.low - 1e-6 <= y <= window.high + 1e-6


def test_hull_of_a_square_drops_what_is_inside() -> None:
    """The hull of points is its corners alone."""
    assert set(hull([(0, 0), (4, 0), (4, 4), (0, 4), (2, 2), (2, 0)])) == {(0, 0), (4, 0), (4, 4), (0, 4)}


def test_stances_side_by_side_share_one_scale() -> None:
    """Panels stand side by side at one scale, labels apart, each named with its figures."""
    made = pictures("fire_tender", "saddle").sketch
    panels = [
        Panel(
            name,
            "a tire on a rim",
            made.wheels[rank, "front"].tire,
            made.wheels[rank, "front"].cavity,
            made.wheels[rank, "front"].rim,
            made.wheels[rank, "front"].disc,
            made.axles["front"].body_out,
            made.axles["front"].lip_radius,
            (("poke", 12.7), ("gap", 200.0)),
        )
        for rank, name in ((0, "today"), (1, "saddle"), (2, "saddle, second"))
    ]
    drawing = stances(panels, Titles("Stances", "s", "c", "nothing"), "in")
    assert drawing is not None
    assert overlapping(drawing) == []
    assert drawing.paper[0] <= PAGE[0]
    assert all(panel.name in drawing.description for panel in panels)
    assert stances([], Titles("Stances", "s", "c", "n"), "in") is None


def test_wishes_plot_names_the_best_and_shades_the_wish() -> None:
    """Ranks that fall together share one name; the band and all that is named are in the description."""
    points = [(float(x), float(y)) for x in range(0, 100, 5) for y in range(100, 200, 10)]
    named = [Named("rank 1", 50.0, 150.0), Named("rank 2", 50.2, 150.0), Named("today", 0.0, 100.0, "today")]
    drawing = wishes(points, named, Axis("poke", (25.4, 50.8)), Axis("gap", None), "t", "in")
    assert drawing is not None
    rows = [row for label in drawing.labels() for row in label.rows]
    assert "ranks 1, 2" in rows
    assert "today" in rows
    assert overlapping(drawing) == []
    assert "1 in (25.4 mm) to 2 in (50.8 mm)" in drawing.description
    assert wishes([], named, Axis("poke", None), Axis("gap", None), "t", "in") is None


@EACH
@pytest.mark.parametrize("units", ["in", "mm"])
def test_windows_chart_names_the_ends_that_the_table_names(
    name: str, stance: str | None, units: Units
) -> None:
    """Ends are rounded inward: a wheel made to an end that the chart names is within the window."""
    from wellroom.report.draw.windows import windows
    from wellroom.report.measures import window_ends

    for fit in (fit for plan in figures(name, stance).plans.values() for fit in plan.axles.values()):
        every = [*(found for found in fit.windows_mm.values() if found), fit.window_mm or ()]
        ends = [window_ends(*window, units) for found in every for window in found]
        named = {f"{end} {unit}" for first, last, unit in ends for end in (first, last)}
        chart = windows(fit, "front", "t", units)
        assert chart is not None
        drawn = [
            row
            for label in chart.labels()
            if not label.bold or label.anchor != "middle"
            for row in label.rows
        ]
        assert {row for row in drawn if re.fullmatch(r"-?[0-9][0-9 /.]* (in|mm)", row)} <= named


def test_windows_chart_without_a_window_says_none() -> None:
    """A requirement that leaves nothing is shown with a word, not only by a missing bar."""
    from wellroom.report.draw.windows import windows

    fit = figures("least").plans[1].axles["front"]
    closed = replace(fit, windows_mm=dict(fit.windows_mm) | {"front.lip": ()}, window_mm=())
    drawing = windows(closed, "front", "t", "mm")
    assert drawing is not None
    assert [label.rows for label in drawing.labels()].count(("none",)) == 2
    assert "lip: none." in drawing.description


@EACH
def test_section_leaders_cross_no_other_clearance(name: str, stance: str | None) -> None:
    """What is said of one clearance is never led across the line of another, and so read as its."""
    for key, drawing in every_drawing(name, stance).items():
        for before, element in pairwise(drawing.elements):
            if not (isinstance(element, Clearance) and isinstance(before, Leader)):
                continue
            lines = [other.ends() for other in drawing.clearances() if other is not element]
            assert not any(cross(*before.points[:2], *line) for line in lines), (key, element.label.rows)


def test_section_labels_of_two_clearances_side_by_side_stand_each_at_its_own() -> None:
    """The lip's and the body mount's label of the pickup are each nearest to what they state."""
    drawing = figures("pickup_taller").drawings(1, "in")["front-section"]
    both = {c.label.rows[0]: c for c in drawing.clearances() if c.label.rows[0] in ("lip", "body mount low")}
    lip, mount = both["lip"], both["body mount low"]
    for own, other in ((lip, mount), (mount, lip)):
        box = own.label.box(drawing.scale)
        assert box.distance(own.middle()) < box.distance(other.middle())
