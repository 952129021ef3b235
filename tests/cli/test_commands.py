"""The commands with a stubbed library: what is passed on, what is written, which exit code."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from click.testing import CliRunner, Result

import wellroom
import wellroom.data
import wellroom.scenario
from report import samples
from wellroom import cli
from wellroom.errors import CatalogError, Fault, RequestError, ScenarioError, Undecided

Run = Callable[..., Result]


class Library:
    """Stands in for the loaders and the search; notes what it was asked."""

    def __init__(self) -> None:
        self.asked: dict[str, Any] = {}
        self.answer: Any = samples.fit_result()
        self.units = "in"

    def load_scenario(self, path: Path, sets: list[str]) -> Any:
        self.asked |= {"path": path, "sets": sets}
        return SimpleNamespace(units=self.units)

    def load_catalog(self, paths: list[Path]) -> Any:
        self.asked |= {"catalogs": paths}
        counts = {name: [0] * size for size, name in enumerate(cli.CATALOG_KINDS, start=400)}
        return SimpleNamespace(**counts, notes=("one row\ndropped",))

    def solve(self, *given: Any, **options: Any) -> Any:
        self.asked |= options
        if isinstance(self.answer, BaseException):
            raise self.answer
        return self.answer


@pytest.fixture
def library(monkeypatch: pytest.MonkeyPatch) -> Library:
    """Put the stub in the place of what the package exports."""
    stub = Library()
    monkeypatch.setitem(wellroom.__dict__, "load_scenario", stub.load_scenario)
    monkeypatch.setitem(wellroom.__dict__, "load_catalog", stub.load_catalog)
    monkeypatch.setitem(wellroom.__dict__, "fit", stub.solve)
    monkeypatch.setitem(wellroom.__dict__, "check", stub.solve)
    return stub


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command in a folder that holds truck.toml and mine.csv, with old_wagon as a shipped scenario."""
    monkeypatch.chdir(tmp_path)
    shipped = tmp_path / "shipped"
    shipped.mkdir()
    for file in (tmp_path / "truck.toml", tmp_path / "mine.csv", shipped / "old_wagon.toml"):
        file.write_text("", encoding="utf-8")
    monkeypatch.setattr(wellroom.data, "scenarios_dir", lambda: shipped)
    monkeypatch.delenv("WELLROOM_DEBUG", raising=False)
    return lambda *arguments: CliRunner().invoke(cli.app, arguments)


def test_fit_options_reach_the_library(library: Library, run: Run) -> None:
    """Every option arrives as given, repeated ones in order."""
    result = run(
        *(
            "fit",
            "truck.toml",
            "--stance",
            "broad",
            "--top",
            "3",
            "--tire",
            "a",
            "--tire",
            "b",
            "--rim",
            "20x11",
        ),
        *("--catalog", "mine.csv", "--set", "axle.front.travel.tilt=10", "--set", "limits.budget=1"),
    )
    assert result.exit_code == cli.EXIT_YES
    asked = library.asked
    assert asked["path"] == Path("truck.toml")
    assert asked["sets"] == ["axle.front.travel.tilt=10", "limits.budget=1"]
    assert asked["catalogs"] == [Path("mine.csv")]
    assert (asked["stance"], asked["top"]) == ("broad", 3)
    assert (asked["tires"], asked["rims"]) == (("a", "b"), ("20x11",))
    assert callable(asked["progress"])


def test_fit_without_options_uses_the_contract_defaults(library: Library, run: Run) -> None:
    """No stance, ten ranks, every tire and rim."""
    run("fit", "truck.toml")
    assert {name: library.asked[name] for name in ("stance", "top", "tires", "rims", "sets", "catalogs")} == {
        "stance": None,
        "top": 10,
        "tires": (),
        "rims": (),
        "sets": [],
        "catalogs": [],
    }


def test_check_options_reach_the_library(library: Library, run: Run) -> None:
    """The combination arrives as given; a negative inset is a value, not an option."""
    library.answer = samples.check_result()
    run("check", "truck.toml", "--axle", "front", "--tire", "a", "--rim", "20x11", "--inset", "-12 mm")
    assert {
        name: library.asked[name] for name in ("stance", "axle", "tire", "rim", "backspace", "inset")
    } == {
        "stance": None,
        "axle": "front",
        "tire": "a",
        "rim": "20x11",
        "backspace": None,
        "inset": "-12 mm",
    }


def test_check_without_a_combination_asks_about_today(library: Library, run: Run) -> None:
    """Nothing given is passed on as nothing, and today's questions are printed."""
    library.answer = samples.check_result("today")
    result = run("check", "truck.toml")
    assert library.asked["axle"] == "both"
    assert library.asked["tire"] is None
    assert "Are your measures right?" in result.stdout


@pytest.mark.parametrize(
    ("answer", "code"),
    [
        (samples.fit_result(), cli.EXIT_YES),
        (samples.nothing(), cli.EXIT_NO),
        (samples.fit_result(status="unproven"), cli.EXIT_UNDECIDED),
        (samples.check_result(), cli.EXIT_YES),
        (samples.check_result(spring_mm=-1.0), cli.EXIT_NO),
    ],
)
@pytest.mark.parametrize("form", [(), ("--json",)])
def test_exit_code_each_status_has_its_own(
    library: Library, run: Run, answer: Any, code: int, form: tuple[str, ...]
) -> None:
    """Yes 0, no 1, not decided 3, in words and as JSON alike; a missed wish changes nothing."""
    library.answer = answer
    result = run(answer.command, "truck.toml", *form)
    assert result.exit_code == code
    assert result.stderr == ""


def test_exit_codes_are_those_of_the_contract() -> None:
    """The numbers that scripts rely on."""
    assert [
        cli.EXIT_YES,
        cli.EXIT_NO,
        cli.EXIT_INPUT,
        cli.EXIT_UNDECIDED,
        cli.EXIT_BUG,
        cli.EXIT_INTERRUPTED,
    ] == [0, 1, 2, 3, 70, 130]


def test_json_is_one_document_and_nothing_else(library: Library, run: Run) -> None:
    """Standard output parses as a whole and is the same every time."""
    first, second = run("fit", "truck.toml", "--json"), run("fit", "truck.toml", "--json")
    assert json.loads(first.stdout)["schema"] == 1
    assert first.stdout == second.stdout
    assert "truck.toml" not in first.stdout


def test_csv_is_rows_and_nothing_else(library: Library, run: Run) -> None:
    """A heading and one line for each plan and axle."""
    lines = run("fit", "truck.toml", "--csv").stdout.splitlines()
    assert lines[0].startswith("rank,today,axle,")
    assert len(lines) == 7


@pytest.mark.parametrize(
    ("file_units", "option", "words"),
    [
        ("in", (), "full inner lock, 2 in down"),
        ("mm", (), "full inner lock, 51 mm down"),
        ("mm", ("--units", "in"), "full inner lock, 2 in down"),
        ("in", ("--units", "mm"), "full inner lock, 51 mm down"),
    ],
)
def test_units_are_the_files_unless_named(
    library: Library, run: Run, file_units: str, option: tuple[str, ...], words: str
) -> None:
    """The answer speaks the scenario's units; --units overrides."""
    library.units = file_units
    assert words in run("fit", "truck.toml", *option).stdout


@pytest.mark.parametrize(
    "arguments",
    [
        ("fit", "truck.toml", "--json", "--csv"),
        ("fit", "truck.toml", "--top", "0"),
        ("fit", "truck.toml", "--units", "ft"),
        ("fit",),
        ("check", "truck.toml", "--backspace", "4", "--inset", "1"),
        ("check", "truck.toml", "--axle", "middle"),
        ("nothing_of_the_kind",),
    ],
)
def test_usage_errors_are_input_errors(library: Library, run: Run, arguments: tuple[str, ...]) -> None:
    """What can't be understood is said on standard error with code 2, and nothing is computed."""
    result = run(*arguments)
    assert result.exit_code == cli.EXIT_INPUT
    assert result.stdout == ""
    assert "Error" in result.stderr
    assert library.asked == {}


# --- scenarios and catalogs by name -------------------------------------------------------------


def test_scenario_bare_name_of_a_shipped_one_works(library: Library, run: Run, tmp_path: Path) -> None:
    """A bare name stands for the shipped file."""
    run("fit", "old_wagon")
    assert library.asked["path"] == tmp_path / "shipped" / "old_wagon.toml"


def test_scenario_own_file_goes_before_a_shipped_name(library: Library, run: Run, tmp_path: Path) -> None:
    """A file in reach is meant before a shipped scenario of the same name."""
    (tmp_path / "old_wagon").write_text("", encoding="utf-8")
    run("fit", "old_wagon")
    assert library.asked["path"] == Path("old_wagon")


@pytest.mark.parametrize(
    ("name", "found", "near"),
    [
        ("old_wagn", "no such file", "(old_wagon)"),
        ("quite/else.toml", "no such file", "(old_wagon)"),
        (".", "a folder", "a scenario's path"),
        ("/dev/null", "no plain file", "a scenario's path"),
    ],
)
def test_scenario_that_is_not_there_is_one_plain_line(
    library: Library, run: Run, name: str, found: str, near: str
) -> None:
    """The line names the argument, what was found, and the nearest shipped name."""
    result = run("check", name)
    assert result.exit_code == cli.EXIT_INPUT
    assert result.stderr.startswith(f"{name}: SCENARIO: found {found}, expected ")
    assert near in result.stderr
    assert result.stderr.count("\n") == 1


def test_names_that_are_empty_or_folders_are_said_to_be(library: Library, run: Run) -> None:
    """An empty name is no folder, and a folder no missing file."""
    result = run("fit", "", "--catalog", "shipped", "--catalog", "")
    assert result.exit_code == cli.EXIT_INPUT
    assert [line.partition(", expected")[0] for line in result.stderr.splitlines()] == [
        "wellroom: SCENARIO: found no name",
        "shipped: --catalog: found a folder",
        "wellroom: --catalog: found no name",
    ]


def test_catalog_files_that_are_not_there_are_all_named(library: Library, run: Run) -> None:
    """Each missing file is a line, together with the scenario's faults."""
    result = run("fit", "no.toml", "--catalog", "a.csv", "--catalog", "mine.csv", "--catalog", "b.csv")
    assert result.exit_code == cli.EXIT_INPUT
    assert [line.split(":")[0] for line in result.stderr.splitlines()] == ["no.toml", "a.csv", "b.csv"]


def test_catalog_command_counts_every_kind(library: Library, run: Run) -> None:
    """One line a kind, notes on one line each, then that there is no fault."""
    result = run("catalog", "mine.csv")
    assert result.exit_code == cli.EXIT_YES
    lines = result.stdout.splitlines()
    assert [line.split()[0] for line in lines[:5]] == list(cli.CATALOG_KINDS)
    assert lines[0].split() == ["tires", "400"]
    assert lines[5:] == ["note: one row dropped", "no fault"]
    assert library.asked["catalogs"] == [Path("mine.csv")]


def test_schema_command_prints_the_schema(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """The scenario's JSON Schema, as JSON."""
    monkeypatch.setattr(wellroom.scenario, "schema", lambda: {"type": "object"}, raising=False)
    assert json.loads(run("schema").stdout) == {"type": "object"}


# --- errors -------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [ScenarioError, CatalogError, RequestError])
def test_faults_are_one_line_each(library: Library, run: Run, kind: type[ScenarioError]) -> None:
    """All faults of an input, one a line, in order, on standard error only."""
    library.answer = kind(
        [
            Fault("truck.toml", 7, "axle.front.lip.0.radius", "24 mm", "a length of 150 to 1500 mm"),
            Fault("--set", 0, "axle.fornt", "no such\nkey", "axle.front"),
        ]
    )
    result = run("fit", "truck.toml")
    assert result.exit_code == cli.EXIT_INPUT
    assert result.stdout == ""
    assert result.stderr.splitlines() == [
        "truck.toml:7: axle.front.lip.0.radius: found 24 mm, expected a length of 150 to 1500 mm",
        "--set: axle.fornt: found no such key, expected axle.front",
    ]


def test_undecided_is_code_3(library: Library, run: Run) -> None:
    """A limit that struck before anything was found is not a no."""
    library.answer = Undecided("60 s were not enough")
    result = run("fit", "truck.toml")
    assert result.exit_code == cli.EXIT_UNDECIDED
    assert result.stderr == "not decided: 60 s were not enough\n"


def test_interrupt_is_code_130(library: Library, run: Run) -> None:
    """Stopping the program is one quiet line."""
    library.answer = KeyboardInterrupt()
    result = run("fit", "truck.toml")
    assert result.exit_code == cli.EXIT_INTERRUPTED
    assert result.stderr == "interrupted\n"


def test_bug_is_one_line_that_asks_to_report(library: Library, run: Run) -> None:
    """An unexpected exception is no traceback but one line, code 70."""
    library.answer = KeyError("a\nb")
    result = run("fit", "truck.toml")
    assert result.exit_code == cli.EXIT_BUG
    assert result.stderr.count("\n") == 1
    assert "please report it" in result.stderr
    assert "KeyError" in result.stderr
    assert "Traceback" not in result.stderr


def test_bug_with_debug_keeps_the_traceback(
    library: Library, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """WELLROOM_DEBUG=1 lets the exception through."""
    monkeypatch.setenv("WELLROOM_DEBUG", "1")
    library.answer = KeyError("a")
    assert isinstance(run("fit", "truck.toml").exception, KeyError)
