"""The tables and lists of a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from markupsafe import Markup, escape

from wellroom.report import measures
from wellroom.report.draw.words import clearance
from wellroom.report.numbers import number_of
from wellroom.report.web.parts import dual, for_ranks
from wellroom.scenario.model import Scenario
from wellroom.scenario.taken import taken
from wellroom.search.contact import pose_words, thing_words
from wellroom.search.results import AXLES, AxleFit, Check, FitResult, Plan, ScoreTerm, least_check
from wellroom.search.sketch import TODAY
from wellroom.units import Units

Cell = str | Markup


def table(
    caption: str, heads: Sequence[str], rows: Sequence[Sequence[Cell]], numeric: Sequence[int] = ()
) -> Markup:
    """Return a table whose rows start with their headings; what is wider than the screen scrolls."""
    if not rows:
        return Markup("")

    head = Markup("").join(
        Markup('<th scope="col"{}>{}</th>').format(cell_class(k, numeric), text)
        for k, text in enumerate(heads)
    )
    body = Markup("").join(
        Markup("<tr>{}</tr>").format(
            Markup("").join(
                Markup('<th scope="row"{}>{}</th>' if k == 0 else "<td{}>{}</td>").format(
                    cell_class(k, numeric), cell
                )
                for k, cell in enumerate(row)
            )
        )
        for row in rows
    )
    return framed(caption, head, Markup("<tbody>{}</tbody>").format(body))


def cell_class(index: int, numeric: Sequence[int]) -> Markup:
    """Return the class of a cell by its column."""
    return Markup(' class="n"') if index in numeric else Markup("")


def framed(caption: str, head: Markup, bodies: Markup) -> Markup:
    """Return a table of ready rows under its caption, in a frame that scrolls."""
    return Markup(
        '<div class="wide" tabindex="0" role="group" aria-label="{0}"><table><caption>{0}</caption>'
        "<thead><tr>{1}</tr></thead>{2}</table></div>"
    ).format(caption, head, bodies)


def items(texts: Sequence[Cell]) -> Markup:
    """Return a plain list; nothing for no text."""
    if not texts:
        return Markup("")
    return Markup("<ul>{}</ul>").format(Markup("").join(Markup("<li>{}</li>").format(text) for text in texts))


def length(mm: float | None) -> Markup:
    """Return a length in either unit, with its unit."""
    return dual(lambda u: measures.with_unit(measures.length(mm, u), u))


def rank_name(rank: int) -> str:
    """Return what a rank is called."""
    return "today" if rank == TODAY else str(rank)


def ranks_table(plans: dict[int, Plan], ids: str = "") -> Markup:
    """Return all ranks and both axles in one table; a rank's number chooses it.

    ``ids`` start the names of the answer's choices.
    """
    rows: list[list[Cell]] = []
    for rank, plan in plans.items():
        for axle in AXLES:
            fit = plan.axles.get(axle)
            if fit is None:
                continue
            name = Markup('<label for="{}rank-{}">{}</label>').format(ids, rank, rank_name(rank))
            rows.append(
                [
                    name,
                    axle,
                    measures.short_size(fit.tire.size),
                    dual(partial(measures.wheel, fit)),
                    back(fit),
                    length(fit.poke_mm),
                    length(fit.gap_mm),
                    _least_to_spare(fit),
                    "" if plan.score is None else str(plan.score),
                    measures.money(plan.price),
                ]
            )
    heads = ("rank", "axle", "tire", "rim", "backspace", "poke", "gap", "least to spare", "score", "price")
    return table("All ranks; choose one by its number", heads, rows, numeric=(4, 5, 6, 7, 8, 9))


def _least_to_spare(fit: AxleFit) -> Markup:
    least = least_check(fit.checks)
    return dual(lambda u: measures.margin(least, u) if least else measures.DASH)


def back(fit: AxleFit) -> Markup:
    """Return a backspace in both units, the reader's first."""
    return dual(lambda u: measures.backspace(fit.backspace_in, fit.backspace_mm, u))


def tight(plans: dict[int, Plan], shown: int) -> Markup:
    """Return for every rank the clearances from the tightest up, with the place in the motion."""
    out = []
    for rank, plan in plans.items():
        rows: list[list[Cell]] = []
        for axle, fit in plan.axles.items():
            listed = [
                c for c in fit.checks if (c.kind, c.unit) == ("clearance", "mm") and c.asked is not None
            ]
            listed = [c for c in listed if c.margin is not None]
            for check in sorted(listed, key=lambda c: (c.margin or 0.0, c.id))[:6]:
                name = f"{axle}: {_thing(check)}"
                rows.append([name, _verdict(check), _distance(check), _spare(check), _pose(check)])
        heads = ("what", "verdict", "clearance (asked)", "to spare", "at its least")
        body = table(f"Tightest places, {_called(rank)}", heads, rows, numeric=(2, 3))
        out.append(for_ranks([rank], shown, body))
    return Markup("").join(out)


def _called(rank: int) -> str:
    return "today's wheels" if rank == TODAY else f"rank {rank}"


def _thing(check: Check) -> str:
    if check.contact is None:
        return check.wording
    return check.contact.what if check.id.endswith(".brake") else thing_words(check.contact)


def _verdict(check: Check) -> Markup:
    if check.ok is None:
        return Markup('<span class="unknown">? not judged</span>')
    if check.ok:
        return Markup('<span class="met">\N{CHECK MARK} met</span>')
    word = "wish missed" if check.kind == "wish" else "missed"
    return Markup('<span class="missed">\N{MULTIPLICATION X} {}</span>').format(word)


def _distance(check: Check) -> Markup:
    if check.margin is None or check.asked is None:
        return escape(measures.DASH)
    distance, asked = check.margin + check.asked, check.asked
    return dual(lambda u: clearance(distance, asked, u))


def _spare(check: Check, made: bool = False) -> Markup:
    return dual(lambda u: measures.margin(check, u, made))


def _pose(check: Check) -> Markup:
    contact = check.contact
    return escape("") if contact is None else dual(lambda u: pose_words(contact, u))


def every_check(plans: dict[int, Plan], shown: int) -> Markup:
    """Return for every rank all requirements with margins, contacts and windows."""
    out = []
    for rank, plan in plans.items():
        parts = []
        for axle, fit in plan.axles.items():
            rows: list[Sequence[Cell]] = [
                (
                    check.wording,
                    check.kind,
                    _verdict(check),
                    _spare(check, fit.wheel.source == "made"),
                    dual(partial(_window, check, fit)),
                    Markup("{} {}").format(_thing(check), _pose(check)) if check.contact else "",
                )
                for check in fit.checks
            ]
            heads = ("requirement", "kind", "verdict", "margin", "backspaces", "where it is least")
            parts.append(_gives(axle, fit, rank))
            parts.append(table(f"Requirements, {axle}, {_called(rank)}", heads, rows, numeric=(3,)))
        if plan.checks:
            joint: list[Sequence[Cell]] = [(c.wording, c.kind, _verdict(c), _spare(c)) for c in plan.checks]
            parts.append(
                table(
                    f"Both axles together, {_called(rank)}",
                    ("requirement", "kind", "verdict", "margin"),
                    joint,
                    numeric=(3,),
                )
            )
        out.append(for_ranks([rank], shown, Markup("").join(parts)))
    return Markup("").join(out)


def _window(check: Check, fit: AxleFit, units: Units) -> str:
    found = fit.windows_mm.get(check.id)
    return "" if found is None else measures.windows(found, units, fit.overall_width_mm)


def _gives(axle: str, fit: AxleFit, rank: int) -> Markup:
    wheel = fit.wheel
    source = {"made": "made to order", "stock": "stocked"}.get(wheel.source or "", "as it is")
    rows: list[Sequence[Cell]] = [
        ("tire", f"{fit.tire.size}" + (f" ({fit.tire.id})" if fit.tire.id else "")),
        ("tire's diameter, section on this rim", _pair(fit.tire.od_mm, fit.tire.section_mm)),
        (
            "wheel",
            f"{measures.rim(fit.rim_diameter_in, fit.rim_width_in)}, {source}"
            + (f" ({wheel.id})" if wheel.id else ""),
        ),
        ("quantity", str(fit.quantity)),
        ("backspace", back(fit)),
        ("inset, positive with the face outboard", length(fit.inset_mm)),
        ("overall width of the rim", length(fit.overall_width_mm)),
        ("poke", length(fit.poke_mm)),
        ("inside", length(fit.inside_mm)),
        ("gap at ride height", length(fit.gap_mm)),
        (
            "backspaces that would work",
            dual(lambda u: measures.windows(fit.window_mm, u, fit.overall_width_mm)),
        ),
    ]
    if wheel.adapter_mm:
        rows.insert(3, ("adapter", length(wheel.adapter_mm)))
    return table(f"What it is, {axle}, {_called(rank)}", ("figure", "value"), rows)


def _pair(first: float, second: float) -> Markup:
    return dual(lambda u: f"{measures.length(first, u)} {u}, {measures.length(second, u)} {u}")


def costs(result: FitResult, plans: dict[int, Plan], shown: int) -> Markup:
    """Return for every rank what it costs in money, mass, gearing and missed wishes."""
    out = []
    for rank, plan in plans.items():
        rows: list[Sequence[Cell]] = []
        if plan.price is not None:
            rows.append(("price of everything bought", measures.money(plan.price)))
        if plan.mass_kg is not None:
            rows.append(("mass of wheels and tires", dual(partial(measures.mass, plan.mass_kg))))
        rows += list(_gearing(plan))
        if plan.score is not None:
            rows.append(("score, 0 with every wish met", str(plan.score)))
        for term in plan.score_terms:
            name = term.wish.replace(".", " ").replace("_", " ")
            miss = _missed_by(term)
            rows.append((f"wish missed: {name}", Markup("{} beside it, {} points").format(miss, term.points)))
        if plan.spare is not None:
            rows.append(("spare", f"as the {plan.spare.same_as}"))
        content = table(f"What it costs, {_called(rank)}", ("what", "how much"), rows)
        out.append(for_ranks([rank], shown, content))
    return Markup("").join(out)


def _missed_by(term: ScoreTerm) -> Markup:
    return dual(lambda u: measures.amount(term.miss, term.unit, u, "up", sign=False))


def _gearing(plan: Plan) -> Iterator[Sequence[Cell]]:
    gear = plan.gearing
    if gear is None:
        return
    for axle, gearset in gear.gearsets.items():
        if gearset:
            yield f"new gears, {axle}", gearset
    for axle, ratio in gear.axle_ratios.items():
        if ratio is not None:
            yield f"axle ratio, {axle}", f"{ratio:.3f}"
    if gear.effective_ratio is not None:
        yield "effective ratio on today's tires", f"{gear.effective_ratio:.3f}"
    if gear.change_pct is not None:
        yield "change of the effective ratio", f"{gear.change_pct:+.2f} %"
    if gear.rpm_at_cruise is not None:
        yield "engine at cruise", f"{gear.rpm_at_cruise:.0f} rpm"
    if gear.speedometer_error_pct is not None:
        way = "reads low" if gear.speedometer_error_pct < 0 else "reads high"
        yield "speedometer", f"{abs(gear.speedometer_error_pct):.2f} %, {way}"


# --- what was measured ----------------------------------------------------------------------------


def measured(scenario: Scenario) -> Markup:
    """Return every measure of the scenario: number, place, value as written, ±, how it was taken."""
    rows: list[Sequence[Cell]] = []
    names = {
        f"axle.{axle}.near.{index}": near.what
        for axle in AXLES
        for index, near in enumerate(getattr(scenario.axle, axle).near)
    }
    for path, measure in taken(scenario):
        of = next((f" ({what})" for prefix, what in names.items() if path.startswith(f"{prefix}.")), "")
        rows.append((number_of(path) or measures.DASH, f"{path}{of}", measure.text, measure.how or ""))
    return table("Every measure, as written", ("no.", "measure", "value", "how it was taken"), rows)
