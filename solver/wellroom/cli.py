"""Arguments in, exit code out.

Each command imports what it uses: ``--help`` and usage errors load none of the heavy packages.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

import click

from wellroom import options
from wellroom.errors import Fault, InputError, RequestError, Undecided
from wellroom.options import Reading, Units

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


def _finish(ctx: click.Context, result: Header, reading: Reading, scenario: Any) -> None:
    from wellroom import report

    with _output() as stream:
        if reading.form == "json":
            stream.write(report.json_text(result))
        elif reading.form == "csv":
            stream.write(report.csv_text(result))
        else:
            report.show(result, reading.units_of(scenario), stream)
    ctx.exit(EXIT_OF_STATUS[result.status])


# --- commands -----------------------------------------------------------------------------------


@click.group(cls=Edge, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="wellroom", message="%(prog)s %(version)s")
def app() -> None:
    """Wheel and tire combinations that fit a vehicle as it was measured.

    Exit codes: 0 yes, 1 no, 2 the input can't be used, 3 not decided.
    """


@app.command(short_help="Rank what fits, front and rear together.")
@options.reads(rows="plan and axle")
@options.stance
@click.option("--top", type=click.IntRange(min=1), default=10, show_default=True, help="Ranks to print.")
@options.only
@options.page
@options.place("--drawings", metavar="FOLDER", help="Write the best one's drawings as SVG and DXF.")
@click.pass_context
def fit(
    ctx: click.Context, /, reading: Reading, page: str | None, drawings: str | None, **asked: Any
) -> None:
    """Rank the tires, rims and backspaces that fit SCENARIO, front and rear together.

    SCENARIO is a TOML file, or the name of a shipped one.
    """
    import wellroom
    from wellroom.report.progress import Progress

    scenario, catalog = reading.load()
    if page or drawings:
        from wellroom.report.web.write import must_hold, must_take

        if page:
            must_take(Path(page), "--page")
        if drawings:
            must_hold(Path(drawings), "--drawings")
    with Progress(sys.stderr) as progress:
        asked["progress"] = progress
        if page or drawings:
            result = _pictured(scenario, catalog, page, drawings, reading.units_of(scenario), asked)
        else:
            result = wellroom.fit(scenario, catalog, **asked)
    _finish(ctx, result, reading, scenario)


def _pictured(
    scenario: Any, catalog: Any, page: str | None, drawings: str | None, units: Units, asked: dict[str, Any]
) -> Any:
    """Return what ``fit`` does, its page and drawings written."""
    from wellroom.report.web import page_html, write_text
    from wellroom.report.web.files import write_drawings
    from wellroom.search.pictures import fit_pictures, stance_pictures

    if not page:
        made = fit_pictures(scenario, catalog, **asked)
    else:
        every = stance_pictures(scenario, catalog, **asked)
        names = [one.result.stance for one in every]
        first = names.index(asked["stance"]) if asked["stance"] else 0
        made = every[first]
        asked["progress"]("page", 0.95)
        write_text(page_html(scenario, every, units, first), Path(page), "--page")
    if drawings:
        write_drawings(Path(drawings), made, units)
    return made.result


@app.command(short_help="Judge one combination, or today's wheels.")
@options.reads()
@options.stance
@click.option(
    "--axle", type=click.Choice(["front", "rear", "both"]), default="both", show_default=True, help="Which."
)
@click.option("--tire", metavar="ID|SIZE", help="A catalog id or a marking.")
@click.option("--rim", metavar="20x11", help="Rim diameter and width in inches.")
@click.option("--backspace", metavar="LENGTH", help="Mounting face to the inboard flange's outer edge.")
@click.option("--inset", metavar="LENGTH", help="Rim centre to mounting face, positive = face outboard.")
@click.option("--alone", is_flag=True, help="Leave the axle that is not named out of it.")
@click.pass_context
def check(ctx: click.Context, /, reading: Reading, **asked: Any) -> None:
    """Judge one combination on SCENARIO, requirement by requirement; without one, today's wheels.

    An axle that is not named keeps today's wheels.
    """
    if asked["backspace"] is not None and asked["inset"] is not None:
        raise click.UsageError("--backspace and --inset say the same thing: give one")
    import wellroom

    scenario, catalog = reading.load()
    _finish(ctx, wellroom.check(scenario, catalog, **asked), reading, scenario)


@app.command(short_help="Set the best of several stances side by side.")
@options.reads(rows="measure")
@click.option(
    "--stance", "stances", metavar="NAME", multiple=True, help="A stance; repeat. All unless named."
)
@options.only
@options.page
@click.pass_context
def compare(ctx: click.Context, /, reading: Reading, page: str | None, **asked: Any) -> None:
    """Set the best of each stance of SCENARIO side by side, today's wheels first."""
    import wellroom
    from wellroom.report.progress import Progress

    scenario, catalog = reading.load()
    with Progress(sys.stderr) as progress:
        if page:
            from wellroom.report.web import compare_html, write_text
            from wellroom.search.pictures import compare_pictures

            made = compare_pictures(scenario, catalog, **asked, progress=progress)
            result = made.result
            write_text(compare_html(scenario, made, reading.units_of(scenario)), Path(page), "--page")
        else:
            result = wellroom.compare(scenario, catalog, **asked, progress=progress)
    _finish(ctx, result, reading, scenario)


@app.command(short_help="Turn one or two measures and see what each value buys.")
@options.reads(rows="value and axle")
@options.stance
@click.argument("inputs", nargs=-1, required=True, metavar="PATH=FROM..TO[:STEP]|A,B,C...")
@click.option("--exact", metavar="STEP", help="How exactly to find where the answer turns.")
@options.only
@options.page
@click.pass_context
def vary(
    ctx: click.Context, /, reading: Reading, inputs: tuple[str, ...], page: str | None, **asked: Any
) -> None:
    """Turn one or two measures of SCENARIO over a range or a list of values, and see what each buys.

    A PATH is as for --set; * in it stands for both axles: axle.*.travel.stop_gap=2..4:1/4. Physical changes
    are under change: change.spring_lift=0..3:1/2, change.axle_ratio=4.1..6.8:0.1.
    """
    import wellroom
    from wellroom.report.progress import Progress

    scenario, catalog = reading.load()
    with Progress(sys.stderr) as progress:
        result = wellroom.vary(scenario, catalog, *inputs, **asked, progress=progress)
    if page:
        from wellroom.report.web import vary_html, write_text

        write_text(vary_html(scenario, result, reading.units_of(scenario)), Path(page), "--page")
    _finish(ctx, result, reading, scenario)


@app.command(short_help="Say what stands in the way, and what would let something fit.")
@options.reads()
@options.stance
@click.option("--top", type=click.IntRange(min=1), default=5, show_default=True, help="Ways out to find.")
@options.only
@click.option(
    "--without", metavar="CHANGE", multiple=True, help="A change that is out of the question; repeat."
)
@click.pass_context
def why(ctx: click.Context, /, reading: Reading, **asked: Any) -> None:
    """Say why nothing fits SCENARIO, or no combination meets every wish, and the least that would change it.

    Which requirements can't go together, what comes nearest, and the ways out by cost: physical changes up to
    the caps under limits, and limits of your own word. Each way out is checked like any other fit.
    """
    import wellroom
    from wellroom.report.progress import Progress

    scenario, catalog = reading.load()
    with Progress(sys.stderr) as progress:
        result = wellroom.why(scenario, catalog, **asked, progress=progress)
    _finish(ctx, result, reading, scenario)


@app.command(short_help="Weigh every ring-and-pinion set on sale.")
@options.reads(rows="choice")
@click.option("--tire", metavar="ID|SIZE", help="The tires to come, all round; today's unless named.")
@click.option("--height", metavar="LENGTH", help="The height of the tires to come.")
@click.option(
    "--rpm",
    "rpm_wanted",
    type=options.engine_speed,
    metavar="SPEED",
    help="Engine speed wished at cruise, rpm.",
)
@click.option(
    "--band",
    type=(options.engine_speed, options.engine_speed),
    metavar="LOW HIGH",
    help="Two engine speeds, rpm, to stay between at cruise: --band 1800 2600.",
)
@click.option("--speedometer-teeth", type=click.IntRange(4, 80), help="Teeth of today's driven gear.")
@click.pass_context
def regear(ctx: click.Context, /, reading: Reading, **asked: Any) -> None:
    """Weigh every set on sale for SCENARIO's gear family: speed, crawl, price, feel, and the tires for it."""
    if asked["tire"] is not None and asked["height"] is not None:
        raise click.UsageError("--tire and --height say the same thing: give one")
    band = asked["band"]
    if band is not None and not band[0] < band[1]:
        raise click.UsageError("--band: the lower engine speed first, then the higher")
    import wellroom

    scenario, catalog = reading.load()
    _finish(ctx, wellroom.regear(scenario, catalog, **asked), reading, scenario)


@app.command(short_help="Write the order sheet of one ranked combination.")
@options.reads()
@options.stance
@click.option(
    "--pick", type=click.IntRange(min=1), required=True, metavar="N", help="The rank, as fit lists it."
)
@options.place("-o", "output", metavar="FILE", help="The sheet: a .pdf, a .html, or its drawings as .dxf.")
@click.option("--accept", metavar="NAME", multiple=True, help="Take what is missed or not checked; repeat.")
@options.only
@click.pass_context
def order(ctx: click.Context, /, reading: Reading, output: str | None, **asked: Any) -> None:
    """Write what to order for the combination that fit lists at rank N of SCENARIO, and its dry-fit sheet.

    Refused while a rating or a clearance is missed, or what it hangs on was not checked. A missed wish or
    limit, and tilt that was not checked, may be accepted by name: --accept rear.poke.
    """
    if output is None and reading.form != "json":
        raise click.UsageError("give -o FILE (.pdf, .html or .dxf), or --json")
    path = None if output is None else _sheet_path(output, (reading.scenario, *reading.catalogs))
    from wellroom import report
    from wellroom.report.progress import Progress
    from wellroom.search.order import order as made_order

    scenario, catalog = reading.load()
    with Progress(sys.stderr) as progress:
        made = made_order(scenario, catalog, **asked, catalogs=reading.catalogs, progress=progress)
    units = reading.units_of(scenario)
    if path is not None:
        from wellroom.report.order.files import write_order

        write_order(made, path, units)
    with _output() as stream:
        if reading.form == "json":
            stream.write(report.json_text(made.sheet))
        else:
            report.show(made.sheet, units, stream)


def _sheet_path(output: str, inputs: tuple[str, ...]) -> Path:
    """Return where the sheet goes. Raises RequestError, before any work, where it can't go there."""
    path = Path(output)
    if path.suffix.lower() not in (".pdf", ".html", ".dxf"):
        raise RequestError(
            [Fault(output, 0, "-o", repr(path.suffix), "a file that ends in .pdf, .html or .dxf")]
        )
    if not path.parent.is_dir():
        raise RequestError([Fault(output, 0, "-o", "no such folder", "a folder to write to")])
    if path.exists() and any(Path(name).exists() and path.samefile(name) for name in inputs):
        raise RequestError([Fault(output, 0, "-o", "what is read here", "a file of its own")])
    return path


@app.command(short_help="Check catalog files, your own or the shipped.")
@click.argument("files", nargs=-1)
def catalog(files: tuple[str, ...]) -> None:
    """Check catalog FILES of your own together with the shipped ones, or the shipped ones alone."""
    import wellroom

    loaded = wellroom.load_catalog(options.catalog_files(files, "FILES"))
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
