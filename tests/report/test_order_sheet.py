"""The order sheet: one data behind PDF, HTML and DXF, text as text, the same bytes, nothing left out."""

from __future__ import annotations

import io
import json
import re
import shutil
import subprocess
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from report.ordered import CASES, ordered
from report.pictured import overlapping
from wellroom.report import json_text
from wellroom.report.cautions import CAUTIONS, NEVER_CHECKED
from wellroom.report.draw.model import Ring, Stroke
from wellroom.report.draw.together import moved, together
from wellroom.report.draw.words import PAGE
from wellroom.report.measures import number
from wellroom.report.order.drawings import all_drawings, line_drawing
from wellroom.report.order.files import dxf_bytes, html_bytes, pdf_bytes
from wellroom.report.order.words import size
from wellroom.search.order import Ordered

ezdxf = pytest.importorskip("ezdxf")
UNITS = {"wagon": "mm"}
HOSTILE = '#pagebreak() *b* $x$ <script>alert(1)</script> \\ `c` @d "e" // f'


def units(case: str) -> Any:
    """Return the units of a case's scenario."""
    return UNITS.get(case, "in")


def plain(text: str) -> str:
    """Return a text with every run of white space, kept ones too, as one space."""
    return re.sub(r"\s+", " ", text.replace("\u00a0", " "))


def pdf_text(data: bytes) -> str:
    """Return a PDF's text as another program reads it; skips, with a word, where that is missing."""
    tool = shutil.which("pdftotext")
    if tool is None:
        pytest.skip("pdftotext (poppler-utils) is not on this machine: the PDF is not read back")
    ran = subprocess.run([tool, "-layout", "-", "-"], input=data, capture_output=True, timeout=60, check=True)
    return plain(ran.stdout.decode("utf-8"))


def html_text(data: bytes) -> str:
    """Return a page's text without its tags."""
    return plain(unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", data.decode("utf-8"), flags=re.DOTALL)))


def figures(document: dict[str, Any]) -> list[str]:
    """Return the texts that a sheet must show, from its JSON document."""
    out = [document["number"], document["scenario"]]
    out += [f"{entry['what']}: {entry['says']}" for entry in document["accepted"]]
    for line in document["lines"]:
        out += [line["wheel_id"], line["maker"], line["tire"]["choice"]["size"]]
        out += [f"{number(line[key])}" for key in ("backspace_mm", "inset_mm", "overall_width_mm")]
        out += [number(line["well"]["from_edge_mm"]), number(line["bolts"]["hub_circle_mm"])]
        out += [number(line["bolts"]["bore_least_mm"]), line["bolts"]["measured"]["value"]]
        out += [f"{-int(-line['load_kg'] // 1):,} kg", f"{-int(-line['pressure_kpa'] // 1):,} kPa"]
        for moment in line["moments"]:
            out += [f"{-int(-moment[key] // 1):,} N m" for key in ("printed_nm", "build_nm")]
    return out


@pytest.mark.parametrize("case", CASES)
def test_pdf_text_holds_what_the_json_holds(case: str) -> None:
    """Every figure of the document is read back from the PDF by another program."""
    text = pdf_text(pdf_bytes(ordered(case), units(case)))
    document = json.loads(json_text(ordered(case).sheet))
    for figure in figures(document):
        assert figure in text, figure
    for line in document["lines"]:
        for on in line["on"]:
            for command in on["check"]:
                assert command.replace(" ", "") in text.replace(" ", ""), command


@pytest.mark.parametrize("case", CASES)
def test_html_text_holds_what_the_json_holds(case: str) -> None:
    """The HTML sheet holds the same figures, and every measure with its value."""
    text = html_text(html_bytes(ordered(case), units(case)))
    sheet = ordered(case).sheet
    for figure in figures(json.loads(json_text(sheet))):
        assert figure in text, figure
    for entry in sheet.measures:
        assert plain(entry.value) in text, entry.path


@pytest.mark.parametrize("case", ["saddle", "wagon"])
@pytest.mark.parametrize("make", [pdf_bytes, html_bytes, dxf_bytes])
def test_sheet_is_the_same_bytes_every_time(case: str, make: Any) -> None:
    """The same order gives the same file, which knows no date."""
    first = make(ordered(case), units(case))
    assert make(ordered(case), units(case)) == first
    assert b"CreationDate" not in first
    assert b"ModDate" not in first


def test_sheet_paper_goes_by_the_units() -> None:
    """Inches are printed on Letter, millimetres on A4; both pages are named in the HTML too."""
    for unit, paper, name in (("in", b"612 792", "letter"), ("mm", b"595.2756 841.8898", "A4")):
        assert paper in pdf_bytes(ordered("least"), unit)  # type: ignore[arg-type]  # in or mm
        assert f"size: {name};" in html_bytes(ordered("least"), unit).decode()  # type: ignore[arg-type]  # in or mm


@pytest.mark.parametrize("case", CASES)
def test_sheet_has_its_cautions_before_the_first_line(case: str) -> None:
    """What must be read first stands first, and the paragraphs that belong to the dry fit stand there."""
    text = html_text(html_bytes(ordered(case), units(case)))
    first = text.index("Line 1 of")
    for place in ("order", "head", "hub", "load"):
        assert 0 <= text.index(CAUTIONS[place]) < first
    for entry in ordered(case).sheet.not_checked:
        assert text.index(entry.what) < first
    assert text.index("Dry fit") < text.index(CAUTIONS["measure"]) < text.index("As built")


def hostile() -> Ordered:
    """Return an order whose builder wrote markup for a title."""
    made = ordered("least")
    return replace(made, sheet=replace(made.sheet, scenario=HOSTILE))


def test_sheet_takes_text_as_text() -> None:
    """Markup of the page or of the typesetter in a title is printed, not obeyed."""
    assert plain(HOSTILE) in pdf_text(pdf_bytes(hostile(), "in"))
    page = html_bytes(hostile(), "in").decode()
    assert "<script" not in page
    assert HOSTILE in html_text(page.encode())
    assert ezdxf.read(io.StringIO(dxf_bytes(hostile(), "in").decode()))


@pytest.mark.parametrize("case", ["shelf", "wagon"])
def test_html_asks_for_nothing_from_elsewhere(case: str) -> None:
    """The page runs nothing and loads nothing."""
    page = html_bytes(ordered(case), units(case)).decode()
    assert "default-src 'none'" in page
    assert not re.search(r"<script|<link|<img|url\(|@import|src=", page)
    assert set(re.findall(r"https?://[^\"'\s<]+", page)) <= {"http://www.w3.org/2000/svg"}


@pytest.mark.parametrize("case", CASES)
def test_dxf_measures_what_the_order_says(case: str) -> None:
    """Read back at full size: the dimensions called backspace, overall, well, circle and bore measure it."""
    document = ezdxf.read(io.StringIO(dxf_bytes(ordered(case), units(case)).decode()))
    assert not document.audit().errors
    found: dict[str, list[float]] = {}
    for entity in document.modelspace().query("DIMENSION"):
        name = re.sub(r"^\(\d+\) ", "", entity.dxf.text)
        found.setdefault(re.split(r" [-\d]", name)[0], []).append(entity.get_measurement())
    lines = ordered(case).sheet.lines
    assert found["backspace"] == pytest.approx([line.backspace_mm for line in lines], abs=0.01)
    assert found["overall"] == pytest.approx([line.overall_width_mm for line in lines], abs=0.01)
    assert found["front space"] == pytest.approx([line.front_space_mm for line in lines], abs=0.01)
    assert found["well"] == pytest.approx([line.well.from_edge_mm for line in lines], abs=0.01)
    circles = [circle.dxf.radius * 2.0 for circle in document.modelspace().query("CIRCLE")]
    for line in lines:
        assert any(abs(circle - line.bolts.hub_circle_mm) < 0.01 for circle in circles)
        if line.source == "made":
            assert any(abs(circle - line.bolts.bore_least_mm) < 0.01 for circle in circles)
    if all(line.source == "made" for line in lines):
        assert found["bore"] == pytest.approx([line.bolts.bore_least_mm for line in lines], abs=0.01)


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("case", CASES)
def test_drawings_go_onto_a_page_and_no_labels_overlap(case: str, unit: Any) -> None:
    """Each line's drawing is to a scale, fits A4 and Letter, and can be read."""
    for line in ordered(case).sheet.lines:
        drawing = line_drawing(ordered(case), line, unit)
        assert drawing.paper[0] <= PAGE[0]
        assert drawing.paper[1] <= PAGE[1]
        assert overlapping(drawing) == []
        assert "Backspace" in drawing.description
    assert len({drawing.scale for drawing in all_drawings(ordered(case), unit)}) == 1


def test_together_keeps_each_drawing_whole_and_apart() -> None:
    """Moved drawings keep their shapes; set side by side their boxes share nothing."""
    drawings = all_drawings(ordered("shelf"), "in")
    whole = together("both", "Both", drawings)
    assert len(whole.elements) == sum(len(drawing.elements) for drawing in drawings)
    assert whole.box.width > sum(drawing.box.width for drawing in drawings)
    with pytest.raises(ValueError, match="scales"):
        together("both", "Both", [drawings[0], replace(drawings[1], scale=7.0)])
    assert moved(Ring((1.0, 2.0), 3.0), 1.0, -1.0) == Ring((2.0, 1.0), 3.0)
    assert moved(Stroke(((0.0, 0.0), (1.0, 0.0))), 0.0, 5.0) == Stroke(((0.0, 5.0), (1.0, 5.0)))


def test_dry_fit_sheet_has_a_blank_for_each_side_that_is_measured() -> None:
    """A thing on the left alone has one blank and a dash; what stands on both sides has two."""
    page = html_bytes(ordered("saddle"), "in").decode()
    row = re.search(r"<tr><th scope=\"row\">left steering box</th>.*?</tr>", page)
    assert row is not None
    assert row.group().count('class="blank"') == 1
    row = re.search(r"<tr><th scope=\"row\">leaf spring</th>.*?</tr>", page)
    assert row is not None
    assert row.group().count('class="blank"') == 2


def test_as_built_sheet_has_a_row_for_each_wheel() -> None:
    """Five wheels make five rows of eleven blanks, backspace at three places among them."""
    page = html_bytes(ordered("saddle"), "in").decode()
    table = page[page.index("back 1") : page.index("for AS-BUILT put")]
    assert re.findall(r"<tr><th scope=\"row\">(\d+)</th>", table) == ["1", "2", "3", "4", "5"]
    assert table.count('class="blank"') == 5 * 11


def test_as_built_sheet_says_what_is_asked_and_that_it_stands_above_the_command() -> None:
    """Beside the blanks stands what they are measured against; the command is for wheels within it."""
    text = html_text(html_bytes(ordered("saddle"), "in"))
    built = text[text.index("As built, as delivered") : text.index("What was measured")]
    bolts = ordered("saddle").sheet.lines[0].bolts
    assert "3 3/4 in (95.25 mm) ± 1/16 in (± 1.5 mm)" in built
    assert f"{bolts.studs} on {size(bolts.bolt_circle_mm, 'in')}" in built
    assert size(bolts.bore_least_mm, "in") in built
    for head in ("bolt circle", "holes"):
        assert built.count(head) >= 2
    assert "outside the tolerances above goes back, whatever the command says" in built


def hands(front: str | None, rear: str | None) -> Ordered:
    """Return an order of one line for both axles, its studs' hands as given."""
    made = ordered("saddle")
    (line,) = made.sheet.lines
    on = tuple(replace(one, thread=hand) for one, hand in zip(line.on, (front, rear), strict=True))
    return replace(made, sheet=replace(made.sheet, lines=(replace(line, on=on),)))


def test_joined_line_has_a_row_of_studs_for_each_axle_where_the_hands_differ() -> None:
    """The thread's hand is the axle's own: never the front's for all wheels."""
    text = html_text(html_bytes(hands("left_on_left", "right"), "in"))
    assert re.search(r"studs, front [^;]*left-hand on the left side", text)
    assert re.search(r"studs, rear [^;]*right-hand", text)
    assert "studs and holes" not in text
    assert "thread hand not stated" in html_text(html_bytes(hands("right", None), "in"))
    assert "studs and holes" in html_text(html_bytes(hands("right", "right"), "in"))


@pytest.mark.parametrize("case", CASES)
def test_sheet_lists_what_is_never_checked(case: str) -> None:
    """No sheet says that nothing was left unchecked; the fixed list stands at its head, and in the README."""
    text = html_text(html_bytes(ordered(case), units(case)))
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    for words in NEVER_CHECKED:
        assert text.index(words) < text.index("Line 1 of")
        assert f"- {words}" in readme
    assert "knows how to check" not in text


def test_each_cornering_row_has_the_load_it_was_made_with() -> None:
    """The front's moment is of the front's own load, and its row says which."""
    text = html_text(html_bytes(ordered("saddle"), "in"))
    (line,) = ordered("saddle").sheet.lines
    loads = [-int(-on.load_kg // 1) for on in line.on]
    assert loads[0] != loads[1]
    for on, load in zip(line.on, loads, strict=True):
        assert re.search(rf"cornering, {on.axle} [^;]*; build for [^;]*; L [0-9,]+ lb \({load:,} kg\)", text)


def test_sheet_of_bought_wheels_speaks_of_no_welding() -> None:
    """Where no wheel is made nothing is welded; where one is, a qualified welder does it."""
    bought = [case for case in CASES if all(one.source == "stock" for one in ordered(case).sheet.lines)]
    assert bought
    for case in CASES:
        text = html_text(html_bytes(ordered(case), units(case)))
        assert ("weld" in text.replace("re-welded", "").replace("welded where", "")) == (case not in bought)


def test_ratings_stand_in_both_units_the_wheels_own_rounded_down() -> None:
    """An inch sheet gives a rating in lb and psi as well; what a wheel can carry is never rounded up."""
    text = html_text(html_bytes(ordered("saddle"), "in"))
    (line,) = ordered("saddle").sheet.lines
    pounds = int(line.rated_load_kg / 0.45359237)
    psi = int(line.rated_pressure_kpa / 6.894757)
    said = f"{pounds:,} lb ({line.rated_load_kg:,.0f} kg), {psi} psi ({line.rated_pressure_kpa:.0f} kPa)"
    assert f"the catalog's rating is {said}" in text
