"""The page in a real browser: keyboard, units, phone and desk, light and dark, paper; silent and alone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from report.browser import SIZES, Opened, barriers, texts_on_texts, too_wide, visible
from report.pictured import compared, pictures, scenario, swept
from wellroom.report.web import compare_html, page_html, vary_html

SHIPPED = ("fire_tender", "pickup_taller", "wagon_flush", "nothing_fits", "least")


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Pages of the shipped scenarios, one with a hostile title, one with two stances, and of others."""
    folder = tmp_path_factory.mktemp("pages")
    out = {}
    for name in SHIPPED:
        made = pictures(name, "saddle" if name == "fire_tender" else None)
        results = {name: made.result}
        if name == "least":
            results["hostile"] = replace(made.result, scenario="<img src=x onerror=document.title='gone'>")
        for key, result in results.items():
            out[key] = folder / f"{key}.html"
            text = page_html(scenario(name), [replace(made, result=result)], "in")
            out[key].write_text(text, encoding="utf-8")
    both = [pictures("fire_tender", stance) for stance in ("saddle", "shelf")]
    tender = scenario("fire_tender")
    others = {
        "stances": page_html(tender, both, "in"),
        "compare": compare_html(tender, compared(), "in"),
        "vary": vary_html(tender, swept("axle.front.steering.lock_inner_wheel=24..32:2"), "in"),
    }
    for key, text in others.items():
        out[key] = folder / f"{key}.html"
        out[key].write_text(text, encoding="utf-8")
    return out


@pytest.mark.parametrize("name", [*SHIPPED, "hostile", "stances", "compare", "vary"])
@pytest.mark.parametrize("size", sorted(SIZES))
def test_page_in_browser_fits_its_width_and_stays_silent(
    browser: Any, files: dict[str, Path], name: str, size: str
) -> None:
    """No sideways scrolling of the page, no word on the console, no request but for the file itself."""
    with Opened(browser, files[name], size) as opened:
        assert too_wide(opened.page) <= 0
        assert opened.said == []
        assert opened.asked == [files[name].as_uri()]
        assert "gone" not in opened.page.title() or "<img" in opened.page.title()


def test_page_in_browser_switches_rank_by_keyboard(browser: Any, files: dict[str, Path]) -> None:
    """Arrow keys on the rank change drawings, tables and the spoken line in place."""
    with Opened(browser, files["fire_tender"]) as opened:
        page = opened.page
        first = visible(page, "#section figcaption"), visible(page, "#numbers caption")
        assert all("rank 1" in caption for caption in first[1])
        page.focus("#rank-1")
        page.keyboard.press("ArrowLeft")
        assert page.evaluate("document.activeElement.id") == "rank-0"
        assert (
            page.locator("#now")
            .inner_text()
            .startswith("Shown: stance saddle, today's wheels: front 8.25-20")
        )
        assert all("today's wheels" in caption for caption in visible(page, "#numbers caption"))
        assert page.locator("#ranks tr.chosen").count() == 2
        page.keyboard.press("ArrowRight")
        page.keyboard.press("ArrowRight")
        assert page.locator("#now").inner_text().startswith("Shown: stance saddle, rank 2:")
        shown = page.locator(".ranked:visible")
        assert shown.count() > 0
        for k in range(shown.count()):
            assert "2" in (shown.nth(k).get_attribute("data-ranks") or "").split()
        assert opened.said == []


def test_page_in_browser_reaches_the_ranks_by_tab(browser: Any, files: dict[str, Path]) -> None:
    """From the top the skip link comes first, then the rank, then the units."""
    with Opened(browser, files["fire_tender"]) as opened:
        seen = []
        for _ in range(3):
            opened.page.keyboard.press("Tab")
            seen.append(opened.page.evaluate("document.activeElement.id || document.activeElement.className"))
        assert seen == ["skip", "rank-1", "units-in"]


def test_page_in_browser_switches_stance_by_keyboard(browser: Any, files: dict[str, Path]) -> None:
    """Arrow keys on the stance change answer, ranks, drawings and tables in place; each keeps its rank."""
    with Opened(browser, files["stances"]) as opened:
        page = opened.page
        page.check("#rank-2")
        page.focus("#stance-0")
        page.keyboard.press("ArrowRight")
        assert page.evaluate("document.activeElement.id") == "stance-1"
        assert ['stance "shelf"' in text for text in visible(page, ".answer")] == [True]
        assert page.locator("#now").inner_text().startswith("Shown: stance shelf, rank 1:")
        assert visible(page, "#rank-2") == []
        shown = page.locator("main .stanced:visible")
        assert shown.count() > 3
        assert {shown.nth(k).get_attribute("data-stance") for k in range(shown.count())} == {"1"}
        assert all("rank 1" in caption for caption in visible(page, "#numbers caption"))
        page.keyboard.press("ArrowLeft")
        assert page.locator("#now").inner_text().startswith("Shown: stance saddle, rank 2:")
        assert all("rank 2" in caption for caption in visible(page, "#numbers caption"))
        assert opened.said == []


def test_page_in_browser_prints_the_stance_that_is_chosen(browser: Any, files: dict[str, Path]) -> None:
    """On paper stand the answer and the drawings of what is chosen, and no choices."""
    with Opened(browser, files["stances"]) as opened:
        page = opened.page
        page.check("#stance-1")
        page.check("#units-mm")
        page.emulate_media(media="print")
        assert ['stance "shelf"' in text for text in visible(page, ".answer")] == [True]
        assert visible(page, "fieldset") == []
        assert page.locator("#section .u-mm svg:visible").count() == 2
        assert page.locator("#section .u-in svg:visible").count() == 0


def test_page_in_browser_without_scripts_shows_the_first_stance(browser: Any, files: dict[str, Path]) -> None:
    """Every rank of the first stance stands there, nothing of the other, and nothing to choose."""
    with Opened(browser, files["stances"], scripts=False) as opened:
        page = opened.page
        assert ['stance "saddle"' in text for text in visible(page, ".answer")] == [True]
        assert visible(page, "fieldset") == []
        captions = "".join(visible(page, "#numbers caption"))
        assert "today's wheels" in captions
        assert "rank 2" in captions
        assert page.locator('.stanced[data-stance="1"]:visible').count() == 0


@pytest.mark.parametrize("name", ["fire_tender", "compare", "vary"])
def test_page_in_browser_switches_units(browser: Any, files: dict[str, Path], name: str) -> None:
    """One of the two units is shown at a time, in drawings and tables alike."""
    with Opened(browser, files[name]) as opened:
        page = opened.page
        assert page.locator(".u-mm:visible").count() == 0
        page.check("#units-mm")
        assert page.locator(".u-in:visible").count() == 0
        assert page.locator(".u-mm svg:visible").count() > 0


def test_page_in_browser_chooses_a_rank_by_its_number_in_the_table(
    browser: Any, files: dict[str, Path]
) -> None:
    """A click on a rank's number in the table chooses it."""
    with Opened(browser, files["fire_tender"]) as opened:
        opened.page.locator("#ranks td label, #ranks th label").last.click()
        assert opened.page.locator("#now").inner_text().startswith("Shown: stance saddle, rank 2:")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_page_in_browser_has_contrast(browser: Any, files: dict[str, Path], scheme: str) -> None:
    """Text, soft text, accent and warning stand 4.5 to 1 against the ground, in light and dark."""
    script = """() => {
      const style = getComputedStyle(document.documentElement);
      const probe = document.createElement("span"); document.body.append(probe);
      return ["--paper", "--ink", "--soft", "--accent", "--warn"].map(name => {
        probe.style.color = style.getPropertyValue(name);
        return getComputedStyle(probe).color.match(/\\d+/g).slice(0, 3).map(Number);
      });
    }"""
    with Opened(browser, files["least"], scheme=scheme) as opened:
        ground, *inks = opened.page.evaluate(script)
        assert (sum(ground) < 384) == (scheme == "dark")
        for ink in inks:
            a, b = sorted((luminance(ink), luminance(ground)))
            assert (b + 0.05) / (a + 0.05) >= 4.5


@pytest.mark.parametrize("name", [*SHIPPED, "compare", "vary"])
@pytest.mark.parametrize("size", ["phone", "desk"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_page_in_browser_sets_no_serious_barrier(
    browser: Any, files: dict[str, Path], name: str, size: str, scheme: str
) -> None:
    """axe-core finds nothing serious or critical, on phone and desk, light and dark."""
    with Opened(browser, files[name], size, scheme) as opened:
        assert barriers(opened.page) == []


def test_barriers_are_found_where_there_are_some(browser: Any, tmp_path: Path) -> None:
    """The judge of the pages speaks up about a field without a name."""
    file = tmp_path / "bad.html"
    file.write_text("<!DOCTYPE html><html lang=en><title>x</title><main><input></main>", encoding="utf-8")
    with Opened(browser, file) as opened:
        assert [rule for rule, _, _ in barriers(opened.page)] == ["label"]


def luminance(rgb: list[int]) -> float:
    """Return the relative luminance of a colour (WCAG 2)."""
    parts = [c / 255.0 for c in rgb]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("name", [*SHIPPED, "compare", "vary"])
@pytest.mark.parametrize("size", ["phone", "desk"])
def test_page_in_browser_draws_text_within_the_boxes_that_kept_it_apart(
    browser: Any, files: dict[str, Path], name: str, size: str
) -> None:
    """No two texts of a shown drawing overlap as the browser really sets them."""
    with Opened(browser, files[name], size) as opened:
        assert texts_on_texts(opened.page) == []


@pytest.mark.parametrize("name", ["fire_tender", "compare", "vary"])
@pytest.mark.parametrize(("paper", "wide", "high"), [("A4", 210.0, 297.0), ("Letter", 215.9, 279.4)])
def test_page_in_browser_prints_drawings_at_their_scale(
    browser: Any, files: dict[str, Path], name: str, paper: str, wide: float, high: float
) -> None:
    """On paper every shown drawing has its stated size in millimetres and goes onto the sheet."""
    with Opened(browser, files[name]) as opened:
        page = opened.page
        page.emulate_media(media="print", color_scheme="dark")
        page.set_viewport_size({"width": round((wide - 22.0) / 25.4 * 96.0), "height": 900})
        script = """() => [...document.querySelectorAll("svg")].filter(
          svg => svg.getClientRects().length).map(svg => {
          const b = svg.getBoundingClientRect();
          return [b.width, b.height, svg.viewBox.baseVal.width, svg.viewBox.baseVal.height];
        })"""
        sizes = page.evaluate(script)
        assert sizes
        for width, height, stated_w, stated_h in sizes:
            assert width * 25.4 / 96.0 == pytest.approx(stated_w, abs=0.1)
            assert height * 25.4 / 96.0 == pytest.approx(stated_h, abs=0.1)
            assert stated_w <= wide - 22.0 + 0.5
            assert stated_h <= high - 22.0
        data = page.pdf(format=paper)
        assert data.startswith(b"%PDF")
        assert opened.said == []


@pytest.mark.parametrize("name", SHIPPED)
def test_page_on_paper_begins_with_the_answer_and_what_was_checked(
    browser: Any, files: dict[str, Path], name: str
) -> None:
    """The first sheet holds what was checked and what is tight, not a heading over an empty page."""
    with Opened(browser, files[name]) as opened:
        opened.page.emulate_media(media="print")
        tops = opened.page.evaluate(
            """() => ["closed", "checked", "section", "windows", "views"]
            .map(id => document.getElementById(id))
            .filter(part => part && part.getClientRects().length)
            .map(part => [part.id, part.getBoundingClientRect().top])"""
        )
    order = [id_ for id_, _ in sorted(tops, key=lambda one: one[1])]
    assert order == [id_ for id_ in ("closed", "checked", "section", "windows", "views") if id_ in order]
    assert "checked" in order


def test_compare_page_on_a_phone_begins_with_todays_wheels(browser: Any, files: dict[str, Path]) -> None:
    """The stances scroll from the left, where today's wheels stand; a single wheel is shown by its middle."""
    script = """() => [...document.querySelectorAll(".sheet")].filter(s => s.scrollWidth > s.clientWidth + 4)
      .map(s => s.scrollLeft)"""
    with Opened(browser, files["compare"], "phone") as opened:
        assert set(opened.page.evaluate(script)) == {0}
    with Opened(browser, files["fire_tender"], "phone") as opened:
        assert max(opened.page.evaluate(script)) > 0
