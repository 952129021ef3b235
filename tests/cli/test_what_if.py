"""compare, vary and regear from the command line: what is passed on, the pages, and wrong inputs."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from collections.abc import Callable

import pytest
from click.testing import CliRunner, Result

from wellroom import cli

Run = Callable[..., Result]
FEW = ("--tire", "40x13.50R20LT", "--tire", "41x14.50R20LT", "--rim", "20x10")


@pytest.fixture(name="run")
def runner(monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command on what is shipped."""
    monkeypatch.delenv("WELLROOM_DEBUG", raising=False)
    return lambda *arguments: CliRunner().invoke(cli.app, arguments)


def test_regear_page_says_sets_speeds_prices_and_heights(run: Run) -> None:
    """A yes, every set by ratio, and the marks explained below; nothing wider than a page."""
    result = run("regear", "fire_tender", "--height", "42", "--speedometer-teeth", "20")
    assert result.exit_code == cli.EXIT_YES
    assert result.stderr == ""
    assert "nearest to today's feel 6.833" in " ".join(result.stdout.split())
    assert "tender_140-7.17" in result.stdout
    assert "speedometer's driven gear" in result.stdout
    assert "Not checked here: whether tires fit: see fit." in result.stdout
    assert "knows how to check" not in result.stdout
    assert "first gear" not in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_regear_json_and_csv_hold_the_same_choices(run: Run) -> None:
    """One document, or a heading and a line a choice."""
    body = json.loads(run("regear", "fire_tender", "--json").stdout)
    rows = list(csv.DictReader(io.StringIO(run("regear", "fire_tender", "--csv").stdout)))
    assert [float(row["ratio"]) for row in rows] == [choice["ratio"] for choice in body["choices"]]
    assert body["command"] == "regear"
    assert all(caution["text"] for caution in body["cautions"])


def test_regear_of_a_family_that_nobody_sells_is_code_1(run: Run) -> None:
    """No set on sale."""
    sets = ("--set", "axle.front.gear_family=rare_9", "--set", "axle.rear.gear_family=rare_9")
    result = run("regear", "fire_tender", *sets)
    assert result.exit_code == cli.EXIT_NO
    assert result.stdout.startswith("No: ")


def test_compare_page_marks_the_best_and_stays_within_a_page(run: Run) -> None:
    """A column a stance after today's, the best of a row with a star, the legend below."""
    result = run("compare", "fire_tender", "--stance", "saddle", "--stance", "ridge", *FEW)
    assert result.exit_code == cli.EXIT_YES
    heading = next(line for line in result.stdout.splitlines() if line.startswith("measure"))
    assert heading.split() == ["measure", "today", "saddle", "ridge"]
    price = next(line for line in result.stdout.splitlines() if line.startswith(" price"))
    assert price.count("*") == 1
    assert "* best of its row" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_compare_csv_has_a_column_a_stance(run: Run) -> None:
    """Heading: measure, unit, what is better, today, stances, the best."""
    lines = run("compare", "fire_tender", "--stance", "ridge", "--csv", *FEW).stdout.splitlines()
    assert lines[0] == "measure,unit,better,today,ridge,best"


def test_compare_where_nothing_fits_is_code_1(run: Run) -> None:
    """No stance has a plan."""
    result = run("compare", "fire_tender", "--set", "limits.budget=1", *FEW)
    assert result.exit_code == cli.EXIT_NO
    assert result.stdout.startswith("No: ")


def test_vary_page_has_table_chart_and_turns(run: Run) -> None:
    """A row a value, a bar a value, and where the answer turns with how exactly that is known."""
    result = run("vary", "fire_tender", "limits.budget=100..20100:10000", "--exact", "1000", *FEW)
    assert result.exit_code == cli.EXIT_YES
    text = result.stdout
    assert "What each value of limits.budget gives" in text
    assert "####" in text
    assert "something fits from here on" in text
    assert "(exact to 1000)" in text
    assert max(map(len, text.splitlines())) <= 80


def test_vary_of_lifts_prints_the_after_lift_list(run: Run) -> None:
    """A varied lift is a lift: its caution, and what can't be had with its reason."""
    result = run("vary", "fire_tender", "change.spring_lift=0,2,4", *FEW)
    assert result.exit_code == cli.EXIT_YES
    assert "brake hoses at full droop and lock" in " ".join(result.stdout.split())
    assert "at most limits.lift_max, 3 in" in " ".join(result.stdout.split())


def test_vary_json_and_csv_hold_the_same_points(run: Run) -> None:
    """One document, or two lines a point."""
    arguments = ("vary", "fire_tender", "limits.budget=100,20000", *FEW)
    body = json.loads(run(*arguments, "--json").stdout)
    rows = list(csv.DictReader(io.StringIO(run(*arguments, "--csv").stdout)))
    assert [row["value"] for row in rows[::2]] == [point["values"][0] for point in body["points"]]
    assert [point["best"] is None for point in body["points"]] == [True, False]
    assert list(body)[: len(HEADER)] == HEADER


HEADER = ["schema", "command", "status", "scenario", "stance", "checked", "not_checked", "assumptions"]


def test_vary_where_no_point_has_a_plan_is_code_1(run: Run) -> None:
    """All too dear."""
    assert run("vary", "fire_tender", "limits.budget=1,2", *FEW).exit_code == cli.EXIT_NO


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("vary", "fire_tender"), "Missing argument"),
        (("vary", "fire_tender", "axle.front.travel.stop_gp=1..2"), "nearest: stop_gap"),
        (("vary", "fire_tender", "axle.front.travel.stop_gap=two..3"), "a length"),
        (("vary", "fire_tender", "a=1,2"), "an input of the scenario"),
        (("vary", "fire_tender", "axle=1,2"), "an input of the scenario"),
        (("vary", "fire_tender", "axle.²=1,2"), "an input of the scenario"),
        (("vary", "fire_tender", "1=1,2"), "an input of the scenario"),
        (("vary", "fire_tender", "axel.front.travel.tilt=1,2"), "(nearest: axle)"),
        (("vary", "fire_tender", "axle.front.travl.tilt=1,2"), "(nearest: travel)"),
        (("vary", "fire_tender", "limits.budget=1,2", "limits.budget=3,4"), "another input than the first"),
        (
            ("vary", "fire_tender", "axle.*.travel.tilt=1,2", "axle.rear.travel.tilt=1,2"),
            "another input than the first",
        ),
        (("vary", "fire_tender", "limits.budget=1,2", "--page", "a", "--page", "b"), "--page is given 2"),
        (("fit", "fire_tender", "--drawings", "a", "--drawings", "b"), "--drawings is given 2 times"),
        (("check", "fire_tender", "--alone"), "--axle front or --axle rear"),
        (("order", "fire_tender", "--pick", "9999", "--json"), "a rank of fit, 1 to 100"),
        (("vary", "fire_tender", "change.trim=2,3"), "limits.trim_max"),
        (("vary", "fire_tender", "axle.front.travel.tilt=1..2", "--exact", "x"), "--exact"),
        (("vary", "fire_tender", "axle.front.travel.tilt=1,2", "--stance", "rigde"), "one of ridge"),
        (("vary", "fire_tender", "axle.front.travel.tilt=1,2", "--json", "--csv"), "can't both be given"),
        (("compare", "fire_tender", "--stance", "rigde"), "one of ridge, saddle, shelf"),
        (("compare", "least"), "two stances or more"),
        (("compare", "fire_tender", "--json", "--csv"), "can't both be given"),
        (("regear", "least"), "gear_family"),
        (("regear", "fire_tender", "--height", "tall"), "--height"),
        (("regear", "fire_tender", "--height", "-3"), "found '-3', expected a tire's height of 16 to 59 in"),
        (("regear", "fire_tender", "--tire", "x", "--height", "41"), "give one"),
        (("regear", "fire_tender", "--tire", "no such"), "--tire"),
        (("regear", "fire_tender", "--band", "3000", "2000"), "lower engine speed first"),
        (("regear", "fire_tender", "--rpm", "5"), "--rpm"),
        (("regear", "fire_tender", "--rpm", "nan"), "'nan' is no engine speed of 300 to 10000 rpm"),
        (("regear", "fire_tender", "--band", "1800", "inf"), "'inf' is no engine speed"),
        (("regear", "fire_tender", "--band", "0", "fast"), "'0' is no engine speed"),
        (("fit", "fire_tender", "--set", "change.spring_lift=4"), "limits.lift_max, 3 in"),
        (("fit", "fire_tender", "--set", "change.lift=4"), "change.lift"),
    ],
)
def test_wrong_input_is_code_2_and_said_on_standard_error(
    run: Run, arguments: tuple[str, ...], words: str
) -> None:
    """Nothing on standard output; the line names what was given and what would do."""
    result = run(*arguments)
    assert result.exit_code == cli.EXIT_INPUT
    assert result.stdout == ""
    assert words in result.stderr


@pytest.mark.parametrize("command", ["compare", "vary", "regear"])
def test_help_loads_no_heavy_package(command: str) -> None:
    """Help is text: none of the packages that take time are loaded for it."""
    code = (
        "import sys\nfrom wellroom import cli\n"
        f"try:\n    cli.app(['{command}', '--help'])\nexcept SystemExit:\n    pass\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=dict(os.environ)
    )
    names = {name.partition(".")[0] for name in done.stderr.split()}
    assert not {"ortools", "pandas", "numpy", "pydantic", "rich"} & names
    assert done.stdout.startswith("Usage: ")
