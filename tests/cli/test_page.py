"""Pages from the command line: what is written, what is printed beside it, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from wellroom import cli

Run = Callable[..., Result]
FEW = ("--tire", "41x14.50R20LT", "--rim", "20x10")
ASKS = (
    pytest.param(("fit", "fire_tender", "--stance", "saddle", "--top", "1"), id="fit"),
    pytest.param(("compare", "fire_tender", "--stance", "saddle"), id="compare"),
    pytest.param(("vary", "fire_tender", "axle.front.travel.stop_gap=2,3", "--stance", "saddle"), id="vary"),
)


@pytest.fixture(name="run")
def runner(monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command on what is shipped."""
    monkeypatch.delenv("WELLROOM_DEBUG", raising=False)
    return lambda *arguments: CliRunner().invoke(cli.app, arguments)


@pytest.mark.parametrize("ask", ASKS)
def test_page_is_written_beside_the_same_answer(run: Run, tmp_path: Path, ask: tuple[str, ...]) -> None:
    """The answer is printed as without a page; the file is a whole page, the same for the same input."""
    file, again = tmp_path / "out.html", tmp_path / "again.html"
    result = run(*ask, *FEW, "--page", str(file))
    assert result.exit_code == cli.EXIT_YES, result.stderr
    assert result.stdout == run(*ask, *FEW).stdout
    run(*ask, *FEW, "--page", str(again))
    assert file.read_bytes() == again.read_bytes()
    assert file.read_text(encoding="utf-8").rstrip().endswith("</html>")


def test_fit_page_opens_on_the_stance_asked_for(run: Run, tmp_path: Path) -> None:
    """All stances of the file are there to choose from, in its order."""
    file = tmp_path / "out.html"
    run("fit", "fire_tender", "--stance", "saddle", "--top", "1", *FEW, "--page", str(file))
    text = file.read_text(encoding="utf-8")
    radios = text.split("<legend>Stance</legend>")[1].split("</fieldset>")[0]
    assert [name in radios for name in ("ridge", "saddle", "shelf")] == [True] * 3
    assert radios.split(" checked>")[1].startswith('<label for="stance-1">saddle')


@pytest.mark.parametrize("ask", ASKS)
def test_page_over_a_scenario_is_refused(run: Run, tmp_path: Path, ask: tuple[str, ...]) -> None:
    """A page never replaces what can be read, and the fault is one line."""
    file = tmp_path / "mine.toml"
    file.write_text("title = 1", encoding="utf-8")
    result = run(*ask, *FEW, "--page", str(file))
    assert result.exit_code == cli.EXIT_INPUT
    assert file.read_text(encoding="utf-8") == "title = 1"
    assert "--page" in result.stderr


@pytest.mark.parametrize("within", ["", "within"])
def test_fit_with_one_place_that_cannot_be_written_writes_neither(
    run: Run, tmp_path: Path, within: str
) -> None:
    """Both places are looked at before any work: no page is left beside drawings that can't be there."""
    file, page = tmp_path / "file", tmp_path / "ok.html"
    file.write_text("mine", encoding="utf-8")
    folder = file / within if within else file
    result = run("fit", "fire_tender", "--top", "1", *FEW, "--page", str(page), "--drawings", str(folder))
    assert result.exit_code == cli.EXIT_INPUT
    assert "--drawings: found a file, file" in result.stderr
    assert not page.exists()
    assert file.read_text(encoding="utf-8") == "mine"
