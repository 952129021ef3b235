"""Blocks in a width, and what reaches a stream."""

from __future__ import annotations

import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from report import samples
from wellroom.report import csv_text, json_text, page, show
from wellroom.report.blocks import Column, Group, Row, Table, Text, clean, layout, wrap
from wellroom.report.page import plain
from wellroom.report.progress import Progress
from wellroom.search.results import CheckResult, FitResult

RESULTS: list[FitResult | CheckResult] = [
    samples.fit_result(),
    samples.nothing(),
    samples.check_result("today"),
    samples.check_result(spring_mm=-5.0),
]


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("result", RESULTS)
@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("width", [30, 46, 60, 80, 100])
def test_layout_any_width_keeps_every_line_within(
    result: FitResult | CheckResult, units: str, width: int
) -> None:
    """No line is wider than the page, in either units."""
    assert max(len(line) for line, _ in layout(page(result, units), width)) <= width  # type: ignore[arg-type]  # in or mm


def test_layout_table_of_wide_cells_fits_80_columns() -> None:
    """The widest markings, sizes and margins that the catalogs can give still make one table."""
    wide = samples.axle_fit(
        "front",
        tire=samples.TireChoice("x", "37x12.50R16.5LT 121/118Q", 940.0, 318.0),
        rim_diameter_in=16.5,
        rim_width_in=12.75,
        backspace_in=4.9375,
        backspace_mm=125.4125,
        poke_mm=-258.8,
        gap_mm=261.9,
    )
    plan = samples.plan(axles={"front": wide, "rear": wide})
    lines = [line for line, _ in layout(page(samples.fit_result(fits=(plan,)), "in"), 80)]
    row = next(line for line in lines if line.startswith(" front 37x12.50R16.5LT"))
    assert "16.5x12.75" in row
    assert "-10 3/16" in row
    assert len(row) <= 80


def test_layout_narrow_page_stacks_the_table() -> None:
    """Where the table is too wide each cell stands on its own line with its column's full name."""
    text = plain(page(samples.fit_result(), "in"), 46)
    assert "    backspace, in: 4 1/8\n" in text
    assert "rim in back in" not in text


def test_wrap_a_mixed_number_is_never_broken() -> None:
    """A line never ends within a mixed number or between a number and its unit."""
    for width in range(16, 60):
        lines = wrap("today's tire clears the left leaf spring by 2 1/4 in at full lock", width)
        assert any("2 1/4 in" in line for line in lines)


@given(st.text(max_size=60))
def test_clean_any_text_can_not_steer_a_terminal(text: str) -> None:
    """Nothing unprintable is left, and the text stays on one line."""
    assert clean(text).isprintable()


def test_layout_flex_column_wraps_beside_the_others() -> None:
    """A long last cell wraps under its own column."""
    table = Table((Column("n", "right"), Column("what", flex=True)), (Group((Row(("7", "word " * 20)),)),))
    lines = [line for line, _ in layout([table], 40)]
    assert lines[1].startswith("7 word")
    assert all(line.startswith("  word") for line in lines[2:])
    assert len(lines) > 3


def test_show_piped_is_plain_and_80_wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pipe gets the plain page, whatever the terminal's width."""
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setenv("FORCE_COLOR", "1")
    stream = io.StringIO()
    show(samples.fit_result(), "in", stream)
    assert stream.getvalue() == plain(page(samples.fit_result(), "in"), 80)


@pytest.mark.parametrize(("columns", "width"), [("40", 40), ("64", 64), ("12", 40), ("wide", 80), ("", 80)])
def test_show_piped_is_narrower_where_columns_says_so(
    monkeypatch: pytest.MonkeyPatch, columns: str, width: int
) -> None:
    """COLUMNS narrows the plain page, down to 40; what is no number changes nothing."""
    monkeypatch.setenv("COLUMNS", columns)
    stream = io.StringIO()
    show(samples.fit_result(), "in", stream)
    assert stream.getvalue() == plain(page(samples.fit_result(), "in"), width)


def test_layout_narrow_page_has_no_label_without_a_name() -> None:
    """A stacked cell of a column without a name stands alone."""
    table = Table((Column("what"), Column("")), (Group((Row(("lip", "=" * 36)),)),))
    assert [line for line, _ in layout([table], 40)] == ["  lip", f"    {'=' * 36}"]


def _terminal(monkeypatch: pytest.MonkeyPatch, **env: str) -> str:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "TERM"):
        monkeypatch.delenv(name, raising=False)
    for name, value in ({"TERM": "xterm-256color"} | env).items():
        monkeypatch.setenv(name, value)
    stream = Terminal()
    show(samples.fit_result(), "in", stream)
    return stream.getvalue()


def test_show_terminal_says_the_same_with_tones(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without its tones the styled page is the plain one."""
    styled = _terminal(monkeypatch, COLUMNS="80")
    assert "\x1b[1;32m" in styled
    assert re.sub(r"\x1b\[[0-9;]*m", "", styled) == plain(page(samples.fit_result(), "in"), 80)


def test_show_no_color_uses_no_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    """NO_COLOR leaves weight only."""
    styled = _terminal(monkeypatch, COLUMNS="80", NO_COLOR="1")
    assert not re.search(r"\x1b\[[0-9;]*3[0-7]m", styled)


def test_show_dumb_terminal_is_plain(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal that can't style gets no escapes."""
    assert "\x1b" not in _terminal(monkeypatch, TERM="dumb")


def test_show_narrow_terminal_is_respected(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page is as wide as the terminal."""
    styled = _terminal(monkeypatch, COLUMNS="44")
    lines = re.sub(r"\x1b\[[0-9;]*m", "", styled).splitlines()
    assert max(map(len, lines)) <= 44


def test_show_ascii_stream_replaces_what_it_can_not_write() -> None:
    """A stream of a poor encoding never fails."""
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding="ascii")
    show(samples.renamed(samples.fit_result(), "Löschwagen"), "in", stream)
    stream.flush()
    assert b"L?schwagen" in raw.getvalue()


def test_json_text_holds_the_caution_texts() -> None:
    """The document that is printed says its cautions in words and is ASCII."""
    text = json_text(samples.renamed(samples.fit_result(cautions=("lift",)), "Löschwagen"))
    assert text.isascii()
    assert '"place": "lift"' in text
    assert "trial fit decides" in text
    assert '"text": null' not in text


def test_csv_text_is_one_line_per_plan_and_axle() -> None:
    """A heading, six rows, unknown empty, lengths in mm."""
    lines = csv_text(samples.fit_result()).split("\n")
    assert len(lines) == 8
    assert lines[-1] == ""
    head, first = lines[0].split(","), lines[3].split(",")
    cells = dict(zip(head, first, strict=True))
    assert cells["backspace_mm"] == "104.78"
    assert cells["rim_width_mm"] == "279.4"
    assert lines[1].startswith(",True,front,,9.00-16,")


def test_progress_quick_work_shows_nothing() -> None:
    """Within the first second the terminal stays untouched."""
    stream = Terminal()
    with Progress(stream, clock=lambda: 5.0) as progress:
        progress("sweep", 0.5)
    assert stream.getvalue() == ""


@pytest.mark.parametrize(("stream", "shown"), [(Terminal(), True), (io.StringIO(), False)])
def test_progress_slow_work_shows_only_on_a_terminal(stream: io.StringIO, shown: bool) -> None:
    """Past one second a terminal sees a bar with the stage, a pipe nothing."""
    times = iter([0.0, 1.5, 2.0, 2.5])
    with Progress(stream, clock=lambda: next(times)) as progress:
        progress("sweep", 0.2)
        progress("plan", 7.0)
    assert ("sweep" in stream.getvalue() or "plan" in stream.getvalue()) is shown


def test_text_without_words_makes_no_line() -> None:
    """An empty paragraph leaves nothing behind."""
    assert layout([Text("")], 40) == []
