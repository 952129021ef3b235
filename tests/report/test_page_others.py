"""The pages of a comparison and of a sweep: what they hold, in which order, and their pictures."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest

from report.pictured import compared, overlapping, scenario, swept
from wellroom.report import measures
from wellroom.report.blocks import Column, Group, Heading, Row, Table, Text
from wellroom.report.compare import compare_page
from wellroom.report.draw.model import SMALL, Label
from wellroom.report.draw.sweep import Curve, Plot, Stretch, Sweep, nice, sweep
from wellroom.report.vary import vary_page
from wellroom.report.web import compare_html, tables, vary_html
from wellroom.report.web.parts import Part
from wellroom.report.web.vary import chart
from wellroom.report.web.words import parts_of
from wellroom.search.vary_results import VaryResult

LOCK = "axle.front.steering.lock_inner_wheel=24..32:2"
GAP = "axle.front.travel.stop_gap=2,3"
HOSTILE = "<img src=x onerror=alert(1)>"
ENDING = ["measures", "assumed", "sources", "cautions", "scenario"]


def headings(text: str) -> list[str]:
    """Return the ids of a page's parts in order."""
    return re.findall(r'<section id="([^"]+)"', text)


def part(text: str, id_: str) -> str:
    """Return what stands in one part of a page."""
    return text.split(f'<section id="{id_}"')[1].split("</section>")[0]


def turned() -> VaryResult:
    """Return a sweep of the tender's lock, which turns."""
    result = swept(LOCK)
    assert result.turns
    return result


def test_compare_page_reads_in_the_order_of_the_answer() -> None:
    """Pictures, what was checked, the measures side by side, and then what every page ends with."""
    ids = headings(compare_html(scenario("fire_tender"), compared(), "in"))
    assert ids[:2] == ["stances", "checked"]
    assert ids[-5:] == ENDING
    assert ids[2] == "side-by-side-today-s-wheels-first"


def test_compare_page_draws_every_stance_at_one_scale_on_each_axle() -> None:
    """Today and each stance are named on the drawing of either axle, and in its description."""
    text = part(compare_html(scenario("fire_tender"), compared(), "in"), "stances")
    for axle in ("front", "rear"):
        for units in ("in", "mm"):
            drawing = text.split(f'id="stances-{axle}-{units}-d">')[1].split("</svg>")[0]
            told, drawn = drawing.split("</desc>")
            for name in ("today", *compared().result.stances):
                assert f"{name}: " in told
                assert f">{name}</text>" in drawn


def test_compare_page_holds_every_value_with_its_mark() -> None:
    """Each line stands in the table, in both units, the best ones marked."""
    text = compare_html(scenario("fire_tender"), compared(), "mm")
    for plan in (column.plan for column in compared().result.columns):
        assert plan is not None
        assert f"{measures.money(plan.price)}" in text
        for fit in plan.axles.values():
            assert measures.length(fit.backspace_mm, "mm", places=0) in text
            assert measures.length(fit.backspace_mm, "in") in text
    assert text.count(" *</td>") >= 2 * sum(
        any(line.best) and not all(line.best) for line in compared().result.lines
    )


def test_compare_page_where_a_stance_has_nothing_leaves_it_out_of_the_drawing() -> None:
    """A stance without a plan has no panel, and the answer says so."""
    made = compared()
    columns = (*made.result.columns[:-1], replace(made.result.columns[-1], plan=None))
    wheels = {key: wheel for key, wheel in made.sketch.wheels.items() if key[0] != len(columns)}
    without = replace(
        made, result=replace(made.result, columns=columns), sketch=replace(made.sketch, wheels=wheels)
    )
    text = compare_html(scenario("fire_tender"), without, "in")
    assert ">shelf</text>" not in text
    assert "nothing fits shelf" in text


@pytest.mark.parametrize("kind", ["compare", "vary"])
def test_pages_escape_a_hostile_title(kind: str) -> None:
    """A title that looks like markup stays text."""
    if kind == "compare":
        made = compared()
        made = replace(made, result=replace(made.result, scenario=HOSTILE))
        text = compare_html(scenario("fire_tender"), made, "in")
    else:
        text = vary_html(scenario("fire_tender"), replace(turned(), scenario=HOSTILE), "in")
    assert "<img" not in text
    assert "&lt;img" in text


def test_vary_page_reads_in_the_order_of_the_answer() -> None:
    """The chart, the turns, what was checked, the values, and then what every page ends with."""
    ids = headings(vary_html(scenario("fire_tender"), turned(), "in"))
    assert ids == ["chart", "turns", "checked", "values", "left", *ENDING]


def test_vary_page_numbers_its_turns_alike_on_chart_and_table() -> None:
    """Each turn has its number over the chart, and in the table the two values it lies between."""
    result = turned()
    text = vary_html(scenario("fire_tender"), result, "in")
    rows = part(text, "turns")
    for number, turn in enumerate(result.turns, 1):
        assert f'<th scope="row" class="n">{number}</th>' in rows
        assert f'<td class="n">{turn.low}</td><td class="n">{turn.high}</td>' in rows
    drawing = chart(result, "in")
    assert drawing is not None
    assert [label.at[0] for label in drawing.labels() if label.badge] == sorted(
        label.at[0] for label in drawing.labels() if label.badge
    )
    badges = [label.badge for label in drawing.labels() if label.badge]
    assert badges == [str(number) for number, _ in enumerate(result.turns, 1)]


def test_vary_page_holds_every_point_on_each_axle() -> None:
    """Value, pairs and tallest tire of every point and axle stand in the table."""
    result = turned()
    rows = part(vary_html(scenario("fire_tender"), result, "mm"), "left")
    for point in result.points:
        for axle, here in point.axles.items():
            assert here is not None
            tall = tables.length(here.tallest_mm)
            row = f'>{point.values[0]}</th><td>{axle}</td><td class="n">{tall}</td>'
            assert row in rows
            assert f">{here.pairs:,}</td>" in rows.split(row)[1].split("</tr>")[0]


def test_vary_page_of_two_inputs_is_a_grid() -> None:
    """Each pair of values has a cell with the best one's letter and the pairs that fit."""
    text = vary_html(scenario("fire_tender"), swept("axle.front.steering.lock_inner_wheel=24,32", GAP), "in")
    assert headings(text)[:2] == ["chart", "checked"]
    cells = re.findall(r"<strong>(\w+)</strong> ([\d,]+)</td>", part(text, "chart"))
    assert len(cells) == 4
    assert part(text, "chart").count("<svg") == 0


def test_vary_chart_keeps_its_labels_apart() -> None:
    """No two labels of the chart overlap, in either unit."""
    for units in ("in", "mm"):
        drawing = chart(turned(), units)  # type: ignore[arg-type]  # one of the two
        assert drawing is not None
        assert overlapping(drawing) == []


def test_vary_chart_of_refused_values_says_so() -> None:
    """Values that the scenario can't have are a stretch of their own, without marks."""
    result = swept("change.spring_lift=0..40:10")
    assert any(point.refused for point in result.points)
    drawing = chart(result, "in")
    assert drawing is not None
    assert "x" in [label.rows[0] for label in drawing.labels() if label.rows]
    assert "can&#39;t have" in vary_html(scenario("fire_tender"), result, "in")


def test_sweep_turns_close_together_keep_their_badges_apart() -> None:
    """Turns nearer to each other than a badge is wide stand one above the other."""
    data = Sweep(
        "gap, in",
        (0.0, 1.0),
        ("0", "1"),
        (Stretch(0.0, 1.0, "a"),),
        (0.5, 0.505, 0.51),
        (Plot("pairs", (Curve("front", (1.0, None)),)),),
    )
    drawing = sweep(data, "t", "d")
    assert drawing is not None
    assert overlapping(drawing) == []
    assert len({label.at[1] for label in drawing.labels() if label.badge}) == 3


def test_sweep_of_one_place_is_no_chart() -> None:
    """Two different places are needed for a scale."""
    assert sweep(Sweep("x", (1.0, 1.0), ("1", "1"), (), (), ()), "t", "d") is None


def test_nice_steps_hold_the_range() -> None:
    """Round numbers reach from below the least to above the most, few enough."""
    for low, high in ((0.0, 1.0), (33.56, 34.31), (-3.0, 2714.0), (1e-3, 2e-3)):
        found = nice(low, high, 4)
        assert found[0] <= low + 1e-9
        assert found[-1] >= high - 1e-9
        assert len(found) <= 5


def test_parts_of_a_page_of_text_are_its_headings_in_both_units() -> None:
    """Lists stay lists, tables tables with their groups, and what is alike in both units is there once."""

    def page(units: str) -> list[Heading | Text | Table]:
        rows = Group((Row(("<b>", f"1 {units}")),), "front", "a remark")
        table = Table((Column("what"), Column("much", "right")), (rows,))
        return [Heading("One & two"), table, Text("same", "dim"), Text("a", indent=2), Text("b", indent=2)]

    (made,) = parts_of(page)  # type: ignore[arg-type]  # a list of one kind of block
    assert isinstance(made, Part)
    assert (made.id, made.title) == ("one-two", "One & two")
    assert made.body.count("<table>") == 2
    assert made.body.count('<p class="dim">same</p>') == 1
    assert made.body.count("<ul><li>a</li><li>b</li></ul>") == 1
    assert "&lt;b&gt;" in made.body
    assert '<th scope="rowgroup" colspan="2" class="group">front</th>' in made.body


def test_label_sizes_of_charts_are_the_drawings_own() -> None:
    """No text of the chart is smaller than the small size of drawings."""
    drawing = chart(turned(), "in")
    assert drawing is not None
    assert all(label.size >= SMALL for label in drawing.labels() if isinstance(label, Label))


def test_vary_of_two_inputs_keeps_the_score_and_says_what_x_is() -> None:
    """In text the score stands beside the best, within a page's width; the page explains its letters."""
    result = swept(GAP, "limits.budget=100,20000")
    (table,) = [b for b in vary_page(result, "in") if isinstance(b, Table) and b.columns[0].name == "first"]
    names = [column.name for column in table.columns]
    assert "score" in names
    assert "rim in" not in names
    assert all(len(row.cells) == len(names) for group in table.groups for row in group.rows)
    assert "x: the scenario can't have these values." in unescape(
        part(vary_html(scenario("fire_tender"), result, "in"), "chart")
    )


def test_compare_stars_only_where_the_stances_differ() -> None:
    """A row on which every stance is as good as the other has no star."""
    result = compared().result
    line = next(line for line in result.lines if any(line.best) and not all(line.best))
    alike = replace(line, values=(line.values[0],) * len(line.values), best=(True,) * len(line.best))
    for shown, starred in ((line, True), (alike, False)):
        (table,) = [b for b in compare_page(replace(result, lines=(shown,)), "in") if isinstance(b, Table)]
        cells = [cell for group in table.groups for row in group.rows for cell in row.cells]
        assert any(cell.endswith("*") for cell in cells) == starred
