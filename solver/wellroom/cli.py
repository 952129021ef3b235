"""Arguments in, exit code out.

Each command imports what it uses: ``--help`` and usage errors load none of the heavy packages.
"""

from __future__ import annotations

import io
import math
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from difflib import get_close_matches
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Literal

import click

from wellroom.errors import Fault, InputError, RequestError, Undecided

if TYPE_CHECKING:
    from wellroom.search.results import Header

EXIT_YES = 0
EXIT_NO = 1
EXIT_INPUT = 2
EXIT_UNDECIDED = 3
EXIT_BUG = 70
EXIT_INTERRUPTED = 130

EXIT_OF_STATUS = {"proven": EXIT_YES, "none": EXIT_NO, "unproven": EXIT_UNDECIDED}

CATALOG_KINDS = ("tires", "blanks", "wheels", "adapters", "gearsets")

Units = Literal["in", "mm"]


class Edge(click.Group):
    """The one place where errors become plain lines and exit codes."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; expected errors end in one line a fault, anything else is a bug."""
        try:
            return super().invoke(ctx)
        except InputError as error:
            for fault in error.faults:
                _say(str(fault))
            ctx.exit(EXIT_INPUT)
        except Undecided as error:
            _say(f"not decided: {error}")
            ctx.exit(EXIT_UNDECIDED)
        except KeyboardInterrupt:
            _say("interrupted")
            ctx.exit(EXIT_INTERRUPTED)
        except (click.exceptions.Exit, click.ClickException, click.Abort):
            raise
        except Exception as error:
            if os.environ.get("WELLROOM_DEBUG") == "1":
                raise
            kind, text = type(error).__name__, " ".join(str(error).split())
            _say(f"a fault in wellroom itself ({kind}: {text}): please report it with your command and input")
            ctx.exit(EXIT_BUG)


def _say(line: str) -> None:
    click.echo(_one_line(line), err=True)


def _one_line(text: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in text)


@contextmanager
def _output() -> Iterator[IO[str]]:
    """Give standard output; a reader that has closed the pipe is no error, a full disk a named one.

    What the output's encoding lacks becomes a question mark.
    """
    stream = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - lives until exit
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="replace")
    try:
        yield stream
        stream.flush()
    except BrokenPipeError:
        _close_quietly()
    except OSError as error:
        _close_quietly()
        found = error.strerror or "it can't be written"
        raise RequestError([Fault("standard output", 0, "answer", found, "a place to write to")]) from error


def _close_quietly() -> None:
    """Point standard output at nothing, so that the flush at exit can't fail either."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - lives until exit


def _engine_speed(text: str) -> float:
    """Return an engine speed that can be [rpm]."""
    try:
        speed = float(text)
    except ValueError:
        speed = math.nan
    if not 300.0 <= speed <= 10000.0:
        raise click.BadParameter(f"{text!r} is no engine speed of 300 to 10000 rpm")
    return speed


# --- arguments that several commands share ------------------------------------------------------


def _options(*options: Callable[[Any], Any]) -> Callable[[Any], Any]:
    def add(command: Any) -> Any:
        for option in reversed(options):
            command = option(command)
        return command

    return add


_reading_any = _options(
    click.argument("scenario"),
    click.option("--catalog", "catalogs", metavar="FILE", multiple=True, help="Your own CSV file; repeat."),
    click.option("--set", "sets", metavar="PATH=VALUE", multiple=True, help="Change one measure; repeat."),
    click.option("--units", type=click.Choice(["in", "mm"]), help="Units; else the file's."),
    click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else."),
)
_reading = _options(
    _reading_any,
    click.option("--stance", metavar="NAME", help="The set of wishes to use; the file's first unless named."),
)
_only = _options(
    click.option("--tire", "tires", metavar="ID|SIZE", multiple=True, help="Only this tire; repeat."),
    click.option("--rim", "rims", metavar="20x11", multiple=True, help="Only this rim size; repeat."),
)


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
    found = _not_a_file(name)
    expected = "a scenario's path" + (f", or the name of a shipped one ({named})" if named else "")
    raise RequestError([Fault(name or "wellroom", 0, "SCENARIO", found, expected)])


def _not_a_file(name: str) -> str:
    """Say what stands where a file was named."""
    if not name.strip():
        return "no name"
    path = Path(name)
    return "a folder" if path.is_dir() else "no plain file" if path.exists() else "no such file"


def _files(names: tuple[str, ...], place: str) -> list[Path]:
    missing = [name for name in names if not Path(name).is_file()]
    faults = [Fault(name or "wellroom", 0, place, _not_a_file(name), "a CSV file") for name in missing]
    if faults:
        raise RequestError(faults)
    return [Path(name) for name in names]


def _load(scenario: str, sets: tuple[str, ...], catalogs: tuple[str, ...]) -> tuple[Any, Any]:
    """Load scenario and catalog; the faults of both are reported together."""
    import wellroom

    faults: list[Fault] = []
    loaded: list[Any] = []
    for load in (
        lambda: wellroom.load_scenario(scenario_path(scenario), list(sets)),
        lambda: wellroom.load_catalog(_files(catalogs, "--catalog")),
    ):
        try:
            loaded.append(load())
        except InputError as error:
            faults.extend(error.faults)
    if faults:
        raise InputError(faults)
    return loaded[0], loaded[1]


def _units(asked: Units | None, scenario: Any) -> Units:
    return asked or ("mm" if getattr(scenario, "units", "in") == "mm" else "in")


def _form(as_json: bool, as_csv: bool) -> str:
    """Return the form of the answer that was asked for."""
    if as_json and as_csv:
        raise click.UsageError("--json and --csv can't both be given")
    return "json" if as_json else "csv" if as_csv else "text"


def _finish(ctx: click.Context, result: Header, form: str, units: Units) -> None:
    from wellroom import report

    with _output() as stream:
        if form == "json":
            stream.write(report.json_text(result))
        elif form == "csv":
            stream.write(report.csv_text(result))
        else:
            report.show(result, units, stream)
    ctx.exit(EXIT_OF_STATUS[result.status])


# --- commands -----------------------------------------------------------------------------------


@click.group(cls=Edge, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="wellroom", message="%(prog)s %(version)s")
def app() -> None:
    """Wheel and tire combinations that fit a vehicle as it was measured.

    Exit codes: 0 yes, 1 no, 2 the input can't be used, 3 not decided.
    """


@app.command(short_help="Rank what fits, front and rear together.")
@_reading
@click.option("--csv", "as_csv", is_flag=True, help="Print one row per plan and axle, lengths in mm.")
@click.option("--top", type=click.IntRange(min=1), default=10, show_default=True, help="Ranks to print.")
@_only
@click.option("--page", metavar="FILE", help="Write a page with drawings, one HTML file.")
@click.option("--drawings", metavar="FOLDER", help="Write the best one's drawings as SVG and DXF.")
@click.pass_context
def fit(
    ctx: click.Context,
    scenario: str,
    stance: str | None,
    catalogs: tuple[str, ...],
    sets: tuple[str, ...],
    units: Units | None,
    as_json: bool,
    as_csv: bool,
    top: int,
    tires: tuple[str, ...],
    rims: tuple[str, ...],
    page: str | None,
    drawings: str | None,
) -> None:
    """Rank the tires, rims and backspaces that fit SCENARIO, front and rear together.

    SCENARIO is a TOML file, or the name of a shipped one.
    """
    form = _form(as_json, as_csv)
    import wellroom
    from wellroom.report.progress import Progress

    read, catalog = _load(scenario, sets, catalogs)
    asked: dict[str, Any] = {"stance": stance, "top": top, "tires": tires, "rims": rims}
    with Progress(sys.stderr) as progress:
        if page or drawings:
            result = _pictured(read, catalog, page, drawings, _units(units, read), asked, progress)
        else:
            result = wellroom.fit(read, catalog, **asked, progress=progress)
    _finish(ctx, result, form, _units(units, read))


def _pictured(
    read: Any,
    catalog: Any,
    page: str | None,
    drawings: str | None,
    units: Units,
    asked: dict[str, Any],
    progress: Any,
) -> Any:
    """Return what ``fit`` does, its page and drawings written."""
    from wellroom.report.web import page_html, write_text
    from wellroom.report.web.files import write_drawings
    from wellroom.search.pictures import fit_pictures, stance_pictures

    if not page:
        made = fit_pictures(read, catalog, **asked, progress=progress)
    else:
        every = stance_pictures(read, catalog, **asked, progress=progress)
        names = [one.result.stance for one in every]
        first = names.index(asked["stance"]) if asked["stance"] else 0
        made = every[first]
        progress("page", 0.95)
        write_text(page_html(read, every, units, first), Path(page), "--page")
    if drawings:
        write_drawings(Path(drawings), made, units)
    return made.result


@app.command(short_help="Judge one combination, or today's wheels.")
@_reading
@click.option(
    "--axle", type=click.Choice(["front", "rear", "both"]), default="both", show_default=True, help="Which."
)
@click.option("--tire", metavar="ID|SIZE", help="A catalog id or a marking.")
@click.option("--rim", metavar="20x11", help="Rim diameter and width in inches.")
@click.option("--backspace", metavar="LENGTH", help="Mounting face to the inboard flange's outer edge.")
@click.option("--inset", metavar="LENGTH", help="Rim centre to mounting face, positive = face outboard.")
@click.pass_context
def check(
    ctx: click.Context,
    scenario: str,
    stance: str | None,
    catalogs: tuple[str, ...],
    sets: tuple[str, ...],
    units: Units | None,
    as_json: bool,
    axle: str,
    tire: str | None,
    rim: str | None,
    backspace: str | None,
    inset: str | None,
) -> None:
    """Judge one combination on SCENARIO, requirement by requirement; without one, today's wheels.

    An axle that is not named keeps today's wheels.
    """
    if backspace is not None and inset is not None:
        raise click.UsageError("--backspace and --inset say the same thing: give one")
    import wellroom

    read, catalog = _load(scenario, sets, catalogs)
    result = wellroom.check(
        read, catalog, stance=stance, axle=axle, tire=tire, rim=rim, backspace=backspace, inset=inset
    )
    _finish(ctx, result, "json" if as_json else "text", _units(units, read))


@app.command(short_help="Set the best of several stances side by side.")
@_reading_any
@click.option(
    "--stance", "stances", metavar="NAME", multiple=True, help="A stance; repeat. All unless named."
)
@click.option("--csv", "as_csv", is_flag=True, help="Print one row per measure, lengths in mm.")
@_only
@click.pass_context
def compare(
    ctx: click.Context,
    scenario: str,
    stances: tuple[str, ...],
    catalogs: tuple[str, ...],
    sets: tuple[str, ...],
    units: Units | None,
    as_json: bool,
    as_csv: bool,
    tires: tuple[str, ...],
    rims: tuple[str, ...],
) -> None:
    """Set the best of each stance of SCENARIO side by side, today's wheels first."""
    form = _form(as_json, as_csv)
    import wellroom
    from wellroom.report.progress import Progress

    read, catalog = _load(scenario, sets, catalogs)
    with Progress(sys.stderr) as progress:
        result = wellroom.compare(read, catalog, stances=stances, tires=tires, rims=rims, progress=progress)
    _finish(ctx, result, form, _units(units, read))


@app.command(short_help="Turn one or two measures and see what each value buys.")
@_reading
@click.argument("inputs", nargs=-1, required=True, metavar="PATH=FROM..TO[:STEP]|A,B,C...")
@click.option("--csv", "as_csv", is_flag=True, help="Print one row per value and axle, lengths in mm.")
@click.option("--exact", metavar="STEP", help="How exactly to find where the answer turns.")
@_only
@click.pass_context
def vary(
    ctx: click.Context,
    scenario: str,
    stance: str | None,
    catalogs: tuple[str, ...],
    sets: tuple[str, ...],
    units: Units | None,
    as_json: bool,
    inputs: tuple[str, ...],
    as_csv: bool,
    exact: str | None,
    tires: tuple[str, ...],
    rims: tuple[str, ...],
) -> None:
    """Turn one or two measures of SCENARIO over a range or a list of values, and see what each buys.

    A PATH is as for --set; * in it stands for both axles: axle.*.travel.stop_gap=2..4:1/4. Physical changes
    are under change: change.spring_lift=0..3:1/2, change.axle_ratio=4.1..6.8:0.1.
    """
    form = _form(as_json, as_csv)
    import wellroom
    from wellroom.report.progress import Progress

    read, catalog = _load(scenario, sets, catalogs)
    with Progress(sys.stderr) as progress:
        result = wellroom.vary(
            read, catalog, *inputs, stance=stance, exact=exact, tires=tires, rims=rims, progress=progress
        )
    _finish(ctx, result, form, _units(units, read))


@app.command(short_help="Weigh every ring-and-pinion set on sale.")
@_reading_any
@click.option("--tire", metavar="ID|SIZE", help="The tires to come, all round; today's unless named.")
@click.option("--height", metavar="LENGTH", help="The height of the tires to come.")
@click.option("--rpm", type=_engine_speed, metavar="SPEED", help="Engine speed wished at cruise, rpm.")
@click.option(
    "--band",
    type=(_engine_speed, _engine_speed),
    metavar="LOW HIGH",
    help="Two engine speeds, rpm, to stay between at cruise: --band 1800 2600.",
)
@click.option("--speedometer-teeth", type=click.IntRange(4, 80), help="Teeth of today's driven gear.")
@click.option("--csv", "as_csv", is_flag=True, help="Print one row per choice, lengths in mm.")
@click.pass_context
def regear(
    ctx: click.Context,
    scenario: str,
    catalogs: tuple[str, ...],
    sets: tuple[str, ...],
    units: Units | None,
    as_json: bool,
    tire: str | None,
    height: str | None,
    rpm: float | None,
    band: tuple[float, float] | None,
    speedometer_teeth: int | None,
    as_csv: bool,
) -> None:
    """Weigh every set on sale for SCENARIO's gear family: speed, crawl, price, feel, and the tires for it."""
    form = _form(as_json, as_csv)
    if tire is not None and height is not None:
        raise click.UsageError("--tire and --height say the same thing: give one")
    if band is not None and not band[0] < band[1]:
        raise click.UsageError("--band: the lower engine speed first, then the higher")
    import wellroom

    read, catalog = _load(scenario, sets, catalogs)
    result = wellroom.regear(
        read,
        catalog,
        tire=tire,
        height=height,
        rpm_wanted=rpm,
        band=band,
        speedometer_teeth=speedometer_teeth,
    )
    _finish(ctx, result, form, _units(units, read))


@app.command(short_help="Check catalog files, your own or the shipped.")
@click.argument("files", nargs=-1)
def catalog(files: tuple[str, ...]) -> None:
    """Check catalog FILES of your own together with the shipped ones, or the shipped ones alone."""
    import wellroom

    loaded = wellroom.load_catalog(_files(files, "FILES"))
    lines = [f"{name:<9} {len(getattr(loaded, name)):>6}" for name in CATALOG_KINDS]
    lines += [f"note: {_one_line(note)}" for note in loaded.notes]
    with _output() as stream:
        stream.write("\n".join([*lines, "no fault", ""]))


@app.command()
def schema() -> None:
    """Print the JSON Schema of a scenario."""
    import json

    import wellroom.scenario

    text = json.dumps(wellroom.scenario.schema(), indent=2) + "\n"
    with _output() as stream:
        stream.write(text)


def main() -> None:
    """Run the command line and leave the process with its exit code."""
    app(prog_name="wellroom")
