"""The README says what is so: its commands, its sample, its lists, its links."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tools.make_readme import README, ROOT, renewed
from wellroom import cli
from wellroom.search.wishes import STEPS

TEXT = README.read_text(encoding="utf-8")
BLOCKS = re.findall(r"```(\w+)\n(.*?)```", TEXT, re.DOTALL)
COMMANDS = [body.strip() for kind, body in BLOCKS if kind == "sh"]


def test_readme_opens_with_one_paragraph_and_two_commands() -> None:
    """After the title comes one paragraph; the first two blocks each set up and run, on one line."""
    parts = TEXT.split("\n\n")
    assert parts[0] == "# wellroom"
    assert parts[1].count("\n") == 0
    assert len(COMMANDS) >= 2
    for command in COMMANDS[:2]:
        assert "\n" not in command
        assert command.startswith("python3 -m venv .venv && .venv/bin/pip install -q -e ")


def test_readme_runs_the_tests_by_the_line_that_ci_runs() -> None:
    """The README's second command stands in the script, as a line of its own, last of its tools."""
    lines = (ROOT / ".ci/run").read_text(encoding="utf-8").splitlines()
    assert COMMANDS[1] in lines
    assert [line for line in lines if "pytest" in line] == [COMMANDS[1]]


def test_readme_runs_the_main_job_on_a_shipped_scenario() -> None:
    """The first command ends in a fit of a scenario that is shipped."""
    command, _, name = COMMANDS[0].rpartition(" ")
    assert command.endswith(".venv/bin/wellroom fit")
    assert (ROOT / "scenarios" / f"{name}.toml").is_file()


def test_readme_sample_is_what_the_command_prints() -> None:
    """The sample is current; ``python tests/tools/make_readme.py`` renews it."""
    assert renewed(TEXT) == TEXT


def test_readme_python_runs(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """The example in Python runs as it stands and prints an answer."""
    monkeypatch.chdir(ROOT)
    (code,) = (body for kind, body in BLOCKS if kind == "python")
    exec(compile(code, "README.md", "exec"), {})
    assert capsys.readouterr().out.startswith("proven ")


@pytest.mark.parametrize("command", sorted(cli.app.commands))
def test_readme_names_every_command(command: str) -> None:
    """Each command has its row."""
    assert re.search(rf"^\| `wellroom {command}\b", TEXT, re.MULTILINE)


def test_readme_lists_every_exit_code() -> None:
    """The table of exit codes has those of the program, and no other."""
    codes = {
        value for name, value in vars(cli).items() if name.startswith("EXIT_") and isinstance(value, int)
    }
    assert {int(code) for code in re.findall(r"^\| (\d+) \|", TEXT, re.MULTILINE)} == codes


def test_readme_says_which_commands_take_a_set_and_what_each_answers_by() -> None:
    """The sentence names the commands that take no --set, the table of codes each that judges."""
    bare = [name for name, one in cli.app.commands.items() if "sets" not in {p.name for p in one.params}]
    assert f"All of these but {' and '.join(f'`{name}`' for name in sorted(bare))} also take `--set" in TEXT
    yes = next(line for line in TEXT.splitlines() if line.startswith("| 0 |"))
    assert all(f"({name})" in yes for name in cli.app.commands if name != "schema")


def test_readme_gives_the_steps_of_every_wish() -> None:
    """Each wish that scores stands in the table of steps, and no other."""
    table = TEXT.partition("| wish | a point for each |")[2].partition("\n\n")[0]
    named = {
        name.strip().replace(" ", "_")
        for row in table.splitlines()[2:]
        for name in row.split("|")[1].split(",")
    }
    assert named == {name.removesuffix("_change_pct") for name in STEPS}


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_page_links_only_to_what_exists(name: str) -> None:
    """Links lead to files of the project and to headings of the page."""
    text = (ROOT / name).read_text(encoding="utf-8")
    headings = {
        "#" + line.lstrip("# ").lower().replace(" ", "-") for line in text.splitlines() if line[:1] == "#"
    }
    for target in re.findall(r"\]\(([^)]+)\)", text):
        assert target in headings or (ROOT / target).exists(), target


def test_pages_hold_no_paths_of_a_machine() -> None:
    """Neither page speaks of places on somebody's machine."""
    for name in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / name).read_text(encoding="utf-8")
        assert not re.search(r"(?<![\w.])/(home|work|tmp|root|usr|opt|Users)\b", text), name


def test_shipped_scenarios_are_all_in_the_readme() -> None:
    """Each shipped scenario has its row."""
    names = {Path(path).stem for path in (ROOT / "scenarios").glob("*.toml")}
    assert names <= set(re.findall(r"^\| `(\w+)` \|", TEXT, re.MULTILINE))
