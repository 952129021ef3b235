"""The page of a fit: parts in reading order, set into one file that needs no other."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from wellroom.report import fit as text_fit
from wellroom.report import measures
from wellroom.report.cautions import CAUTIONS
from wellroom.report.head import places
from wellroom.report.web import tables
from wellroom.report.web.figures import Figures, plots
from wellroom.report.web.parts import Part, placed
from wellroom.report.web.sources import SOURCES
from wellroom.scenario.model import Scenario
from wellroom.search.cloud import Cloud
from wellroom.search.results import FitResult, Plan
from wellroom.search.sketch import TODAY, Sketch
from wellroom.units import Units

_HERE = Path(__file__).parent
MOST_FELL = 15


def page_html(
    scenario: Scenario,
    result: FitResult,
    sketch: Sketch,
    clouds: dict[str, Cloud],
    units: Units,
    more: Sequence[Part] = (),
) -> str:
    """Return the page of a fit as one HTML text; ``units`` are shown first, ``more`` are parts of later
    answers.
    """
    plans = plans_by_rank(result)
    shown = min((rank for rank in plans if rank != TODAY), default=TODAY)
    figures = Figures(result, sketch, plans, shown)
    parts = [part for part in _parts(scenario, result, figures, clouds, plans, shown) if part.body]
    return (
        _environment()
        .get_template("page.html.j2")
        .render(
            title=result.scenario,
            stance=result.stance,
            units=units,
            answer=text_fit.answer(result).text,
            tone=text_fit.answer(result).tone,
            caution=CAUTIONS["head"],
            ranks=[_choice(rank, plan) for rank, plan in plans.items()],
            shown=shown,
            parts=placed(parts, more),
            style=Markup((_HERE / "page.css").read_text(encoding="utf-8")),
            script=Markup((_HERE / "page.js").read_text(encoding="utf-8")),
        )
    )


def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(_HERE),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def plans_by_rank(result: FitResult) -> dict[int, Plan]:
    """Return the plans by rank, today's wheels at rank 0."""
    out = {} if result.today is None else {TODAY: result.today}
    return out | {plan.rank: plan for plan in result.fits if plan.rank is not None}


def _choice(rank: int, plan: Plan) -> dict[str, object]:
    """Return what the choice of one rank shows and says."""
    said = []
    for axle, fit in plan.axles.items():
        rim = measures.rim(fit.rim_diameter_in, fit.rim_width_in)
        back = measures.backspace(fit.backspace_in, fit.backspace_mm, "in")
        said.append(f"{axle} {measures.short_size(fit.tire.size)} on {rim}, backspace {back}")
    name = "today's wheels" if rank == TODAY else f"rank {rank}"
    return {"rank": rank, "name": tables.rank_name(rank), "says": f"Shown: {name}: {'; '.join(said)}."}


def _parts(
    scenario: Scenario,
    result: FitResult,
    figures: Figures,
    clouds: dict[str, Cloud],
    plans: dict[int, Plan],
    shown: int,
) -> list[Part]:
    """Return the parts of the page in reading order; one without content is dropped."""
    return [
        Part("section", "The wheel in its place", figures.sections()),
        Part("checked", "What was checked, what was not, what is tight", _checked(result, plans, shown)),
        Part("windows", "Backspaces that would still work", figures.windows()),
        Part("ranks", "The other ranks", tables.ranks_table(plans) + plots(result, plans, clouds)),
        Part("views", "In the well, from above, at the hub", figures.views()),
        Part("costs", "What it costs in everything else", tables.costs(result, plans, shown)),
        Part("numbers", "Every number", tables.every_check(plans, shown)),
        Part("fell", "What the rest fell to", _fell(result)),
        Part("measures", "Every measure", tables.measured(scenario)),
        Part("assumed", "What was assumed", _assumed(result)),
        Part("sources", "Where the figures come from", _sources()),
        Part("cautions", "Cautions", _cautions(result)),
        Part("scenario", "The scenario's own text", _own_text(scenario)),
    ]


def _checked(result: FitResult, plans: dict[int, Plan], shown: int) -> Markup:
    spoken = [name.replace(".", " ").replace("_", " ") for name in result.checked]
    out = Markup("<p><strong>Checked:</strong> {}.</p>").format(", ".join(spoken) or "nothing")
    if result.not_checked:
        rows = [
            (entry.what.replace(".", " ").replace("_", " "), entry.missing) for entry in result.not_checked
        ]
        out += tables.table("Not checked", ("what", "what is missing for it"), rows)
    else:
        out += Markup("<p><strong>Not checked:</strong> nothing that this program knows how to check.</p>")
    if result.warnings:
        out += Markup("<p><strong>Warnings</strong></p>") + tables.items(result.warnings)
    return out + tables.tight(plans, shown)


def _fell(result: FitResult) -> Markup:
    counts = result.counts
    out = Markup("<p>Tire and rim pairs with a window: {} front, {} rear.</p>").format(
        f"{counts.front:,}", f"{counts.rear:,}"
    )
    ordered = sorted((fell for fell in result.fell if fell.count), key=lambda fell: (-fell.count, fell.id))
    rows = [
        (f"{fell.id.partition('.')[0]}: {fell.wording}", f"{fell.count:,}") for fell in ordered[:MOST_FELL]
    ]
    return out + tables.table(
        "Pairs that fell to each requirement, first come", ("requirement", "pairs"), rows, (1,)
    )


def _assumed(result: FitResult) -> Markup:
    rows = [(a.path, a.value, a.why) for a in result.assumptions]
    notes = list(result.notes)
    if result.bound_mm is not None:
        notes.append(
            f"The envelope's own bound: a clearance may be understated by up to {result.bound_mm:.2f} mm."
        )
    return tables.table(
        "Assumed, since the scenario does not say", ("what", "value", "why"), rows
    ) + tables.items(notes)


def _sources() -> Markup:
    return tables.table("What is computed how, by which source", ("figure", "how", "source"), SOURCES)


def _cautions(result: FitResult) -> Markup:
    return tables.items([CAUTIONS.get(place, place) for place in places(result)])


def _own_text(scenario: Scenario) -> Markup:
    if not scenario.text:
        return Markup("")
    put = [f"--set {text}" for text in scenario.sets]
    over = Markup("<p>Put over the file: {}</p>").format("; ".join(put)) if put else Markup("")
    return over + Markup('<pre tabindex="0" aria-label="The scenario file">{}</pre>').format(scenario.text)
