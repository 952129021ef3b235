"""Arguments that several commands share: what is read, how the answer is printed, values that need a check.

As in ``cli`` nothing heavy is imported before it is used.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import wraps
from pathlib import Path
from typing import Any, Literal, TypeVar

import click

from wellroom.errors import Fault, InputError, RequestError

Units = Literal["in", "mm"]
Form = Literal["text", "json", "csv"]
_Command = TypeVar("_Command", bound=Callable[..., Any])


@dataclass(frozen=True)
class Reading:
    """What a command reads, and the form in which it answers."""

    scenario: str
    catalogs: tuple[str, ...]
    sets: tuple[str, ...]
    units: Units | None
    form: Form

    def load(self) -> tuple[Any, Any]:
        """Load scenario and catalog; the faults of both are reported together."""
        import wellroom

        faults: list[Fault] = []
        loaded: list[Any] = []
        for load in (
            lambda: wellroom.load_scenario(scenario_path(self.scenario), list(self.sets)),
            lambda: wellroom.load_catalog(catalog_files(self.catalogs, "--catalog")),
        ):
            try:
                loaded.append(load())
            except InputError as error:
                faults.extend(error.faults)
        if faults:
            raise InputError(faults)
        return loaded[0], loaded[1]

    def units_of(self, scenario: Any) -> Units:
        """Return the units of the answer: those asked for, else the scenario's."""
        return self.units or ("mm" if getattr(scenario, "units", "in") == "mm" else "in")


def reads(rows: str = "") -> Callable[[Any], Any]:
    """Give a command its scenario and what goes with it as one ``reading``.

    ``rows``: what a row of --csv holds, where the command has that form.
    """
    options = [
        click.argument("scenario"),
        click.option(
            "--catalog", "catalogs", metavar="FILE", multiple=True, help="Your own CSV file; repeat."
        ),
        click.option(
            "--set", "sets", metavar="PATH=VALUE", multiple=True, help="Change one measure; repeat."
        ),
        click.option("--units", type=click.Choice(["in", "mm"]), help="Units; else the file's."),
        click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else."),
    ]
    if rows:
        help_ = f"Print one row per {rows}, lengths in mm."
        options.append(click.option("--csv", "as_csv", is_flag=True, help=help_))

    def add(command: Any) -> Any:
        @wraps(command)
        def gathered(
            scenario: str,
            catalogs: tuple[str, ...],
            sets: tuple[str, ...],
            units: Units | None,
            as_json: bool,
            as_csv: bool = False,
            **rest: Any,
        ) -> Any:
            if as_json and as_csv:
                raise click.UsageError("--json and --csv can't both be given")
            form: Form = "json" if as_json else "csv" if as_csv else "text"
            return command(reading=Reading(scenario, catalogs, sets, units, form), **rest)

        return _with(gathered, options)

    return add


stance = click.option(
    "--stance", metavar="NAME", help="The set of wishes to use; the file's first unless named."
)


def _once(_: click.Context, param: click.Parameter, given: tuple[str, ...]) -> str | None:
    """Return the place to write to; two are refused, as one of them would not be written."""
    if len(given) > 1:
        raise click.UsageError(f"{param.opts[0]} is given {len(given)} times: give one")
    return given[0] if given else None


def place(*names: str, metavar: str, help: str) -> Callable[[_Command], _Command]:
    """Return an option that names one place to write to."""
    return click.option(*names, metavar=metavar, help=help, multiple=True, callback=_once)


page = place("--page", metavar="FILE", help="Write a page with drawings, one HTML file.")


def only(command: Any) -> Any:
    """Give a command --tire and --rim, each to be repeated."""
    options = [
        click.option("--tire", "tires", metavar="ID|SIZE", multiple=True, help="Only this tire; repeat."),
        click.option("--rim", "rims", metavar="20x11", multiple=True, help="Only this rim size; repeat."),
    ]
    return _with(command, options)


def _with(command: Any, options: list[Callable[[Any], Any]]) -> Any:
    for option in reversed(options):
        command = option(command)
    return command


def engine_speed(text: str) -> float:
    """Return an engine speed that can be [rpm]."""
    try:
        speed = float(text)
    except ValueError:
        speed = math.nan
    if not 300.0 <= speed <= 10000.0:
        raise click.BadParameter(f"{text!r} is no engine speed of 300 to 10000 rpm")
    return speed


def scenario_path(name: str) -> Path:
    """Return the path of a scenario: a file, or the bare name of a shipped one.

    Raises RequestError when there is neither.
    """
    path = Path(name)
    if path.is_file():
        return path
    from wellroom.data import scenarios_dir

    shipped = {file.stem: file for file in sorted(scenarios_dir().glob("*.toml"))}
    if name in shipped:
        return shipped[name]
    near = get_close_matches(path.stem, list(shipped), n=1)
    named = near[0] if near else ", ".join(shipped)
    expected = "a scenario's path" + (f", or the name of a shipped one ({named})" if named else "")
    raise RequestError([Fault(name or "wellroom", 0, "SCENARIO", _not_a_file(name), expected)])


def catalog_files(names: tuple[str, ...], place: str) -> list[Path]:
    """Return the paths of catalog files; raises RequestError with all that are none."""
    missing = [name for name in names if not Path(name).is_file()]
    faults = [Fault(name or "wellroom", 0, place, _not_a_file(name), "a CSV file") for name in missing]
    if faults:
        raise RequestError(faults)
    return [Path(name) for name in names]


def _not_a_file(name: str) -> str:
    """Say what stands where a file was named."""
    if not name.strip():
        return "no name"
    path = Path(name)
    return "a folder" if path.is_dir() else "no plain file" if path.exists() else "no such file"
