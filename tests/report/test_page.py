"""The page: one file, nothing from elsewhere, text from files escaped, all in it that an answer holds."""

from __future__ import annotations

import os
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from markupsafe import Markup

import wellroom
from report.pictured import catalog, every_drawing, pictures, scenario
from wellroom.data import scenarios_dir
from wellroom.errors import RequestError
from wellroom.report import measures
from wellroom.report.blocks import Text
from wellroom.report.draw.svg import svg_text
from wellroom.report.web import Part, page_html, write_text
from wellroom.report.web.pack import packed
from wellroom.report.web.parts import placed
from wellroom.report.web.shell import Answer, sections
from wellroom.search.document import document
from wellroom.search.pictures import fit_pictures

HOSTILE = '<img src=x onerror="alert(1)">&\'</title></script><script>alert(2)</script>'


def page(name: str, stance: str | None = None, **changes: object) -> str:
    """Return the page of a shipped scenario, with changes to its answer."""
    made = pictures(name, stance)
    result = replace(made.result, **changes)  # type: ignore[arg-type]  # fields by name
    return page_html(scenario(name), [replace(made, result=result)], scenario(name).units)


class Reader(HTMLParser):
    """Collects tags, ids, headings and text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag with its attributes."""
        self.tags.append((tag, dict(attrs)))

    def ids(self) -> list[str]:
        """Return every id in order."""
        return [value for _, attrs in self.tags if (value := attrs.get("id"))]


@pytest.mark.parametrize("name", ["fire_tender", "pickup_taller", "wagon_flush", "least", "nothing_fits"])
def test_page_asks_for_nothing_from_elsewhere(name: str) -> None:
    """No element names a file or an address, no style imports one, and the page forbids itself to."""
    text = page(name)
    reader = Reader(text)
    for tag, attrs in reader.tags:
        assert tag not in ("link", "img", "iframe", "object", "embed", "base")
        assert "src" not in attrs
        href = attrs.get("href")
        assert href is None or href.startswith("#")
    assert not re.search(r"url\(|@import", text)
    assert "default-src 'none'" in text
    addresses = set(re.findall(r"https?://[^\"'\s<]+", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}


@pytest.mark.parametrize("name", ["fire_tender", "nothing_fits"])
def test_page_has_each_id_once_and_its_labels_lead_to_them(name: str) -> None:
    """Ids are single; what refers to an id finds it."""
    reader = Reader(page(name))
    ids = reader.ids()
    assert len(ids) == len(set(ids))
    for _, attrs in reader.tags:
        for key in ("for", "aria-labelledby"):
            for name_ in (attrs.get(key) or "").split():
                assert name_ in ids


def test_page_reads_in_the_order_of_the_answer() -> None:
    """Answer, section, what was checked, windows, ranks, cost, every number, in this order."""
    ids = Reader(page("fire_tender", "saddle")).ids()
    order = [
        "section",
        "checked",
        "windows",
        "ranks",
        "views",
        "costs",
        "numbers",
        "measures",
        "assumed",
        "sources",
    ]
    assert [i for i in ids if i in order] == order


def test_page_escapes_a_hostile_title() -> None:
    """A scenario's title that looks like markup stays text, in the page and in the drawings."""
    text = page("wagon_flush", scenario=HOSTILE)
    assert "<img" not in text
    assert "alert(2)</script>" not in text
    assert [tag for tag, _ in Reader(text).tags].count("script") == 1
    assert not [tag for tag, attrs in Reader(text).tags if "onerror" in attrs]


def test_page_escapes_the_scenario_file() -> None:
    """The scenario's own text is shown as it is, and stays text."""
    made = pictures("least")
    hostile = replace(scenario("least"), text=f"# {HOSTILE}")
    text = page_html(hostile, [made], "in")
    assert "<img" not in text
    assert "&lt;img src=x" in text


def test_page_holds_every_number_of_the_document() -> None:
    """Backspace, window and price of every rank stand on the page as the document has them."""
    made = pictures("wagon_flush")
    text = page("wagon_flush")
    for plan, told in zip(made.result.fits, document(made.result)["fits"], strict=True):
        assert f"{told['price']:,.2f}" in text
        for axle, fit in plan.axles.items():
            assert measures.backspace(fit.backspace_in, fit.backspace_mm, "mm") in text
            assert told["axles"][axle]["tire"]["size"] in text
            for low, high in told["axles"][axle]["window_mm"]:
                assert measures.windows(((low, high),), "mm") in text


def test_page_shows_rank_one_first_and_hides_the_rest() -> None:
    """Of what belongs to some ranks only that of the first is shown; today's wheels are rank 0."""
    reader = Reader(page("fire_tender", "saddle"))
    ranked = [attrs for _, attrs in reader.tags if attrs.get("class") == "ranked"]
    assert ranked
    for attrs in ranked:
        assert ("hidden" not in attrs) == ("1" in (attrs["data-ranks"] or "").split())
    radios = [attrs for tag, attrs in reader.tags if tag == "input" and attrs.get("name") == "rank"]
    assert [attrs["value"] for attrs in radios] == ["0", "1", "2"]
    assert [attrs["value"] for attrs in radios if "checked" in attrs] == ["1"]


def part_of(text: str, id_: str) -> str:
    """Return what stands in one part of a page."""
    return text.split(f'<section id="{id_}"')[1].split("</section>")[0]


def test_page_where_nothing_fits_counts_down_to_none() -> None:
    """Each axle's pairs fall one requirement after the other until none is left; the gaps are named."""
    text = page("nothing_fits")
    assert "No: nothing in these catalogs fits" in text
    assert Reader(text).ids().index("closed") < Reader(text).ids().index("checked")
    for axle in ("front", "rear"):
        rows = re.findall(
            r'<td class="n">([\d,]+)</td><td class="n">([\d,]+)</td></tr>',
            part_of(text, "closed").split(f"<caption>{axle.capitalize()}: of")[1].split("</table>")[0],
        )
        fell, left = ([int(row[k].replace(",", "")) for row in rows] for k in (0, 1))
        assert sum(fell) == fell[0] + left[0]
        assert left[-1] == 0
        assert all(a - b == c for a, b, c in zip(left[:-1], fell[1:], left[1:], strict=True))
    assert "axle.front.travel.droop" in part_of(text, "checked")
    assert "were not judged" in part_of(text, "closed")
    assert part_of(text, "views").count("Bolt circle as measured, front wheel, either side</title>") == 2
    assert "fell" not in Reader(text).ids()


def test_page_where_no_two_axles_fit_draws_today_and_names_what_leaves_none() -> None:
    """A budget that buys nothing is named as a limit, and today's wheels are drawn and judged."""
    poor = wellroom.load_scenario(scenarios_dir() / "fire_tender.toml", ["limits.budget=1"])
    made = fit_pictures(poor, catalog(), stance="saddle", top=2, tires=["41x14.50R20LT"])
    text = page_html(poor, [made], "in")
    assert made.result.status == "none"
    assert "price of everything bought</th><td>limit" in part_of(text, "closed")
    assert "today, 8.25-20 on 20x6.5" in part_of(text, "section")
    assert "Tightest places, today&#39;s wheels" in text


def two_stances() -> str:
    """Return a page of the tender with the answers of two stances, the second shown first."""
    made = [pictures("fire_tender", "saddle"), pictures("fire_tender", "shelf")]
    return page_html(scenario("fire_tender"), made, "in", first=1)


def test_page_of_two_stances_shows_one_and_holds_both() -> None:
    """What belongs to the stance that is not chosen is hidden; what both share is there once."""
    reader = Reader(two_stances())
    own = [attrs for _, attrs in reader.tags if "stanced" in (attrs.get("class") or "")]
    assert {attrs["data-stance"] for attrs in own} == {"0", "1"}
    for attrs in own:
        assert ("hidden" in attrs) == (attrs["data-stance"] == "0")
    radios = [attrs for tag, attrs in reader.tags if tag == "input" and attrs.get("name") == "stance"]
    assert [attrs["value"] for attrs in radios if "checked" in attrs] == ["1"]
    text = two_stances()
    assert text.count("Every measure, as written</caption>") == 1
    assert "stance &#34;saddle&#34;" in text
    assert "stance &#34;shelf&#34;" in text
    ids = reader.ids()
    assert len(ids) == len(set(ids))
    assert {"section-front-0-in-t", "s2-section-front-0-in-t", "rank-1", "s2-rank-1"} <= set(ids)


def test_sections_hide_a_part_that_one_answer_alone_has() -> None:
    """A part without content in every answer is dropped, one with content in some is theirs."""
    says = Text("x")
    first = Answer(
        says, (Part("a", "A", Markup("same")), Part("b", "B", Markup("")), Part("c", "C", Markup("")))
    )
    other = Answer(
        says, (Part("a", "A", Markup("same")), Part("b", "B", Markup("y")), Part("c", "C", Markup("")))
    )
    assert [(s.id, s.answers) for s in sections([first, other], 0)] == [("a", None), ("b", (1,))]


def test_packed_draws_the_same_lines() -> None:
    """Every point of every path of a drawing is still there, in order, under its paint."""
    for drawing in every_drawing("least").values():
        whole = svg_text(drawing)
        assert points(packed(whole)) == points(whole)


def points(svg: str) -> list[tuple[str, float, float]]:
    """Return the points of the paths of an SVG with the class they are painted by."""
    out = []
    for path, cls in re.findall(r'<path d="([^"]*)" class="([^"]*)"', svg):
        x = y = 0.0
        for letter, numbers in re.findall(r"([MLHVA])([-\d. ]*)", path):
            values = [float(number) for number in numbers.split()]
            x = x if letter == "V" else values[0] if letter != "A" else values[-2]
            y = y if letter == "H" else values[-1]
            out.append((cls, x, y))
    return out


def test_page_takes_parts_of_later_answers_where_they_belong() -> None:
    """A part is set in after the one that it names, several in their own order, others at the end."""
    base = [Part(name, name, Markup("x")) for name in ("a", "b", "c")]
    more = [
        Part("why", "Why", Markup("y"), after="a"),
        Part("sure", "Sure", Markup("z"), after="a"),
        Part("last", "Last", Markup("w")),
    ]
    assert [part.id for part in placed(base, more)] == ["a", "why", "sure", "b", "c", "last"]
    made = pictures("least")
    text = page_html(scenario("least"), [made], "in", more=[more[0]])
    assert '<section id="why"' in text


def test_page_in_millimetres_starts_in_millimetres() -> None:
    """The reader's units are chosen at first, both are there."""
    text = page("wagon_flush")
    assert '<html lang="en" data-units="mm">' in text
    assert 'class="u-in"' in text


def test_write_text_replaces_a_file_whole(tmp_path: Path) -> None:
    """The file is replaced, nothing else is left in the folder."""
    path = tmp_path / "out.html"
    path.write_text("old", encoding="utf-8")
    write_text("new \N{CHECK MARK}", path, "--page")
    assert path.read_text(encoding="utf-8") == "new \N{CHECK MARK}"
    assert list(tmp_path.iterdir()) == [path]


def test_write_text_without_its_folder_names_the_fault(tmp_path: Path) -> None:
    """A folder that is not there is a fault of the option, in one line."""
    with pytest.raises(RequestError, match="--page: found no such folder"):
        write_text("x", tmp_path / "none" / "out.html", "--page")


def test_write_text_to_a_folder_names_the_fault(tmp_path: Path) -> None:
    """A folder can't be the file."""
    with pytest.raises(RequestError, match="--page: found a folder"):
        write_text("x", tmp_path, "--page")


def test_write_text_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the last step fails the old file is as it was and no part is left."""
    path = tmp_path / "out.html"
    path.write_text("old", encoding="utf-8")

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(RequestError, match="No space left"):
        write_text("new", path, "--page")
    assert path.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [path]
