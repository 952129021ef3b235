"""why from the command line: what it says, its exit codes, and wrong inputs."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from click.testing import CliRunner, Result

from wellroom import cli

Run = Callable[..., Result]
TALLER = ("--set", "stance.taller.tire_diameter=[34,35]")


@pytest.fixture(name="run")
def runner(monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command on what is shipped."""
    monkeypatch.delenv("WELLROOM_DEBUG", raising=False)
    return lambda *arguments: CliRunner().invoke(cli.app, arguments)


def test_why_page_of_what_does_not_fit_has_clashes_nearest_and_ways_out(run: Run) -> None:
    """A no, in the order of reading, with the lines that show a way out whole; nothing wider than a page."""
    result = run("why", "pickup_taller", *TALLER, "--top", "2")
    assert result.exit_code == cli.EXIT_NO
    assert result.stderr == ""
    text = " ".join(result.stdout.split())
    assert text.startswith("No: nothing in these catalogs fits")
    assert "2 ways out below" in text
    parts = ["What can't go together", "What comes nearest", "Ways out", "changes that were looked at"]
    assert [text.index(part) for part in parts] == sorted(text.index(part) for part in parts)
    assert "steering stops that take 0.5 degrees off both front locks" in text
    assert "--set 'change.steering_stop={front = 0.5}'" in text
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_why_line_of_a_way_out_makes_fit_say_yes(run: Run) -> None:
    """What is printed is taken as it stands."""
    body = json.loads(run("why", "pickup_taller", *TALLER, "--top", "2", "--json").stdout)
    assert (body["command"], body["status"], body["aim"], body["complete"]) == ("why", "none", "fit", True)
    for way in body["ways"]:
        sets = [part for one in way["sets"] for part in ("--set", one)]
        assert run("fit", "pickup_taller", *TALLER, *sets, "--top", "1").exit_code == cli.EXIT_YES


def test_why_of_what_fits_is_a_yes_in_one_sentence(run: Run) -> None:
    """Nothing in the way: no lists."""
    result = run("why", "fire_tender")
    assert result.exit_code == cli.EXIT_YES
    assert "Nothing stands in the way" in result.stdout
    assert "What can't go together" not in result.stdout


def test_why_names_a_change_that_is_none(run: Run) -> None:
    """--without of a slip: the nearest name, code 2, nothing on standard output."""
    result = run("why", "pickup_taller", *TALLER, "--without", "body_lft")
    assert result.exit_code == cli.EXIT_INPUT
    assert result.stdout == ""
    assert "--without: change: found 'body_lft', expected one of" in result.stderr
    assert "body_lift" in result.stderr


def test_fit_that_finds_nothing_points_to_why(run: Run) -> None:
    """The next question is named where it is asked."""
    assert "wellroom why tells" in run("fit", "nothing_fits").stdout
    assert "wellroom why tells" not in run("fit", "least", "--top", "1").stdout
