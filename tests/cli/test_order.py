"""The command ``order``: what it writes, what it refuses, and that nothing is left half-written."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from report.ordered import ordered
from wellroom import cli
from wellroom.data import scenarios_dir
from wellroom.errors import Fault, RequestError, Undecided

Run = Callable[..., Result]
WAGON = (scenarios_dir() / "wagon_flush.toml").read_text(encoding="utf-8")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run ``order`` in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return lambda *arguments: CliRunner().invoke(cli.app, ["order", *arguments])


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> dict[str, object]:
    """Put a made order in the search's place; return what it is asked."""
    given: dict[str, object] = {}

    def answer(*_: object, **options: object) -> object:
        given.update(options)
        return ordered("wagon")

    monkeypatch.setattr("wellroom.search.order.order", answer)
    return given


@pytest.mark.parametrize(
    ("name", "start"), [("a.pdf", b"%PDF-"), ("a.html", b"<!DOCTYPE html>"), ("a.DXF", b"  0\n")]
)
def test_order_writes_the_form_of_the_ending(
    run: Run, asked: dict[str, object], name: str, start: bytes
) -> None:
    """Each ending gives its form, the number is said, exit code 0, and the file is alone in the folder."""
    result = run("wagon_flush", "--pick", "1", "--accept", "front.poke", "-o", name)
    assert result.exit_code == cli.EXIT_YES, result.output
    assert Path(name).read_bytes().startswith(start)
    assert ordered("wagon").sheet.number in result.stdout
    assert "Not checked by this program: balance weights" in result.stdout
    assert "knows how to check" not in result.stdout
    assert os.listdir() == [name]


def test_order_options_reach_the_search(run: Run, asked: dict[str, object]) -> None:
    """Every option arrives as given, repeated ones in order."""
    names = ["--accept", "a.b", "--accept", "c.d"]
    only = ["--tire", "x", "--rim", "18x8", "--rim", "18x9"]
    ran = run("wagon_flush", "--pick", "3", "--stance", "flush", *names, *only, "--json")
    assert ran.exit_code == cli.EXIT_YES
    asked.pop("progress")
    assert asked == {
        "pick": 3,
        "stance": "flush",
        "accept": ("a.b", "c.d"),
        "tires": ("x",),
        "rims": ("18x8", "18x9"),
        "catalogs": (),
    }


def test_order_json_is_one_document_with_the_header(run: Run, asked: dict[str, object]) -> None:
    """The document has the contract's header and the sheet, no path in it, and is the same with a file."""
    result = run("wagon_flush", "--pick", "1", "--json")
    document = json.loads(result.stdout)
    assert list(document)[:2] == ["schema", "command"]
    assert document["command"] == "order"
    header = {"schema", "status", "scenario", "stance", "checked", "not_checked", "assumptions", "cautions"}
    assert header <= set(document)
    assert document["number"] == ordered("wagon").sheet.number
    assert str(scenarios_dir()) not in result.stdout
    assert run("wagon_flush", "--pick", "1", "--json", "-o", "a.html").stdout == result.stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--pick", "0", "-o", "a.pdf"), "0 is not in the range"),
        (("--pick", "x", "-o", "a.pdf"), "not a valid integer"),
        (("-o", "a.pdf"), "Missing option '--pick'"),
        (("--pick", "1"), "give -o FILE"),
        (("--pick", "1", "-o", "a.txt"), "a.txt: -o: found '.txt', expected a file that ends in .pdf"),
        (("--pick", "1", "-o", "none/a.pdf"), "none/a.pdf: -o: found no such folder"),
        (("--pick", "1", "-o", "wagon.html"), "found what is read here"),
        (("--pick", "1", "-o", os.devnull), "expected a file that ends in"),
    ],
)
def test_order_what_cannot_be_written_is_refused_before_any_work(
    run: Run, asked: dict[str, object], words: tuple[str, ...], says: str
) -> None:
    """A wrong rank, ending, folder or target is one line and exit code 2, and the search is not asked."""
    Path("wagon.html").write_text(WAGON, encoding="utf-8")
    result = run("wagon.html", *words)
    assert result.exit_code == cli.EXIT_INPUT
    assert says in result.output
    assert not asked
    assert os.listdir() == ["wagon.html"]
    assert Path("wagon.html").read_text(encoding="utf-8") == WAGON


def test_order_target_that_is_a_folder_or_no_file_stays(run: Run, asked: dict[str, object]) -> None:
    """A folder or a pipe of that name is left as it is."""
    Path("a.pdf").mkdir()
    os.mkfifo("b.pdf")
    for name in ("a.pdf", "b.pdf"):
        assert run("wagon_flush", "--pick", "1", "-o", name).exit_code == cli.EXIT_INPUT
    assert Path("a.pdf").is_dir()
    assert Path("b.pdf").is_fifo()
    assert sorted(os.listdir()) == ["a.pdf", "b.pdf"]


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (RequestError([Fault("x.toml", 0, "front.bump", "not checked", "it measured")]), cli.EXIT_INPUT),
        (Undecided("a limit struck"), cli.EXIT_UNDECIDED),
    ],
)
def test_order_refused_leaves_an_older_sheet_as_it_was(
    run: Run, monkeypatch: pytest.MonkeyPatch, error: Exception, code: int
) -> None:
    """Where the order is refused or not decided, a sheet of that name is not touched."""

    def refuse(*_: object, **__: object) -> object:
        raise error

    monkeypatch.setattr("wellroom.search.order.order", refuse)
    Path("a.pdf").write_bytes(b"older")
    assert run("wagon_flush", "--pick", "1", "-o", "a.pdf").exit_code == code
    assert Path("a.pdf").read_bytes() == b"older"
    assert os.listdir() == ["a.pdf"]


def test_order_without_lock_measured_on_the_steered_axle_is_refused(run: Run) -> None:
    """A real scenario without its lock: refused by name, exit code 2, nothing written."""
    text = "\n".join(line for line in WAGON.splitlines() if not line.startswith("lock_"))
    Path("wagon.toml").write_text(text, encoding="utf-8")
    result = run("wagon.toml", "--pick", "1", "--accept", "front.poke", "-o", "a.pdf")
    assert result.exit_code == cli.EXIT_INPUT
    assert "wagon.toml: front.lock: found not checked" in result.output
    assert os.listdir() == ["wagon.toml"]
