"""The page of a fit: the answer of each stance, its pictures and tables by rank, one of them shown."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from wellroom.report import fit as text_fit
from wellroom.report import measures
from wellroom.report.web import shared, tables
from wellroom.report.web.figures import Figures, plots
from wellroom.report.web.parts import Part, placed
from wellroom.report.web.shell import Answer, Rank, page_text, prefix
from wellroom.scenario.model import Scenario
from wellroom.search.pictures import Pictures
from wellroom.search.requirements import requirement
from wellroom.search.results import AXLES, Axle, FitResult, Plan
from wellroom.search.sketch import TODAY
from wellroom.units import Units

MOST_FELL = 15


def page_html(
    scenario: Scenario, made: Sequence[Pictures], units: Units, first: int = 0, more: Sequence[Part] = ()
) -> str:
    """Return the page of a fit as one HTML text: an answer for each stance that was made.

    ``units`` and the answer number ``first`` are shown to begin with; ``more`` are parts of later answers.
    """
    answers = [_answer(scenario, one, units, prefix(number), more) for number, one in enumerate(made)]
    return page_text(made[0].result.scenario, "wheels and tires", answers, units, first)


def plans_by_rank(result: FitResult) -> dict[int, Plan]:
    """Return the plans by rank, today's wheels at rank 0."""
    out = {} if result.today is None else {TODAY: result.today}
    return out | {plan.rank: plan for plan in result.fits if plan.rank is not None}


def _answer(scenario: Scenario, made: Pictures, units: Units, ids: str, more: Sequence[Part]) -> Answer:
    result = made.result
    plans = plans_by_rank(result)
    shown = min((rank for rank in plans if rank != TODAY), default=TODAY)
    return Answer(
        text_fit.answer(result, units),
        tuple(placed(_parts(scenario, made, plans, shown, ids), more)),
        result.stance,
        tuple(_rank(result.stance, rank, plan, units) for rank, plan in plans.items()),
        shown,
    )


def _rank(stance: str | None, rank: int, plan: Plan, units: Units) -> Rank:
    said = []
    for axle, fit in plan.axles.items():
        wheel, back = measures.wheel(fit, units), measures.stands(fit, units)
        said.append(f"{axle} {measures.short_size(fit.tire.size)} on {wheel}, backspace {back}")
    name = "today's wheels" if rank == TODAY else f"rank {rank}"
    where = f"stance {stance}, {name}" if stance else name
    return Rank(rank, tables.rank_name(rank), f"Shown: {where}: {'; '.join(said)}.")


def _parts(
    scenario: Scenario, made: Pictures, plans: dict[int, Plan], shown: int, ids: str
) -> tuple[Part, ...]:
    """Return the parts of an answer in reading order."""
    result = made.result
    figures = Figures(result, made.sketch, plans, shown, ids)
    ranks = tables.ranks_table(plans, ids) + plots(result, plans, made.clouds, ids)
    return (
        Part("closed", "What leaves none", _closed(result)),
        Part("section", "The wheel in its place", figures.sections()),
        Part(
            "checked",
            "What was checked, what was not, what is tight",
            shared.checked(result) + tables.tight(plans, shown),
        ),
        Part("windows", "Backspaces that would still work", figures.windows()),
        Part("ranks", "The other ranks", ranks),
        Part("views", "In the well, from above, at the hub", figures.views() + figures.bare()),
        Part("costs", "What it costs in everything else", tables.costs(result, plans, shown)),
        Part("numbers", "Every number", tables.every_check(plans, shown)),
        Part("fell", "What the rest fell to", _fell(result)),
        *shared.ending(scenario, result),
    )


KINDS = (
    "A rating is met only by another part. A clearance gives way only to a physical change. A limit is your "
    "own word."
)


def _closed(result: FitResult) -> Markup:
    """Return, where nothing fits, on which axle what took the last pairs, and what both axles fell to."""
    if result.status != "none":
        return Markup("")
    out = Markup("").join(
        _cascade(axle, result) for axle in AXLES if getattr(result.counts, axle) == 0 and result.fell
    )
    joint = [(one.wording, requirement(one.id).kind) for one in result.blocked_by]
    out += tables.table(
        "What leaves no two axles together: without one of these there would be some",
        ("requirement", "kind"),
        joint,
    )
    told = [KINDS] if out else []
    if result.today is None:
        told.append("Today's wheels were not judged: the scenario does not say enough of them.")
    return out + Markup("").join(Markup("<p>{}</p>").format(text) for text in told)


def _cascade(axle: Axle, result: FitResult) -> Markup:
    """Return what the pairs of an axle fell to in the order in which it was judged, down to the last."""
    fell = [one for one in result.fell if one.id.startswith(f"{axle}.") and one.count]
    left = sum(one.count for one in fell)
    rows = []
    for one in fell:
        left -= one.count
        rows.append((one.wording, requirement(one.id).kind, f"{one.count:,}", f"{left:,}"))
    total = sum(one.count for one in fell)
    words = f"{axle.capitalize()}: of {total:,} pairs of a tire and a rim of its diameter none is left"
    return tables.table(words, ("requirement, in the order judged", "kind", "fell", "left"), rows, (2, 3))


def _fell(result: FitResult) -> Markup:
    """Return what the pairs of both axles fell to, the most first; nothing where all are counted down."""
    counts = result.counts
    if result.status == "none" and counts.front == counts.rear == 0:
        return Markup("")
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
