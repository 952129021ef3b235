"""The page of a ``fit``: the answer, one table, why this order, windows, what the rest fell to."""

from __future__ import annotations

from wellroom.report import measures
from wellroom.report.bars import bars
from wellroom.report.blocks import Block, Column, Group, Heading, Row, Table, Text
from wellroom.report.head import head, quoted, tail
from wellroom.report.motion import motion_blocks
from wellroom.search.contact import contact_words
from wellroom.search.results import (
    AXLES,
    AxleFit,
    Check,
    FitResult,
    Plan,
    ScoreTerm,
    floor_margin,
    inward,
    least_check,
    unlimited,
)
from wellroom.units import Units

MOST_FELL = 15


def fit_page(result: FitResult, units: Units) -> list[Block]:
    """Return the page of a fit in the reader's units."""
    blocks: list[Block] = [answer(result, units), *_ask_why(result), *head(result)]
    if result.fits or result.today:
        first = ", today's wheels first" if result.today else ""
        title = f"The combinations by rank{first}" if result.fits else "Today's wheels by the same measures"
        blocks += [Heading(title), table(result, units)]
        blocks.append(Text(_legend(result, units), "dim"))
    if result.fits:
        blocks += [*_order(result, units), *_windows(result, units)]
        for axle, best in result.fits[0].axles.items():
            blocks += [*bars(f"rank 1, {axle}", best, units), *motion_blocks(f"rank 1, {axle}", best, units)]
        blocks += _orders(result, units)
    return [*blocks, *_fell(result), *tail(result)]


def answer(result: FitResult, units: Units) -> Text:
    """Return the answer in one sentence, the reader's units first."""
    name, count = quoted(result), len(result.fits)
    if result.status == "none":
        why = f"; what leaves none: {_joined(result)}" if result.blocked_by else ""
        return Text(f"No: nothing in these catalogs fits {name}{why}.", "bad")
    if result.status == "unproven":
        found = f"the {count} below were found, better may exist" if count else "nothing was found by then"
        return Text(f"Not decided for {name}: a limit struck before a proof; {found}.", "bad")
    what = "the one combination listed fits" if count == 1 else f"the {count} combinations listed fit"
    best = f"; best: {in_words(result.fits[0], units)}" if result.fits else ""
    return Text(f"Yes: {what} {name}, as far as was checked{best}.", "good")


def _ask_why(result: FitResult) -> list[Block]:
    """Point to what says more where nothing fits."""
    if result.status != "none":
        return []
    return [Text("wellroom why tells what can't go together, and the least change that lets something fit.")]


def _joined(result: FitResult) -> str:
    words = [f"{blocker.wording} ({blocker.id.partition('.')[0]})" for blocker in result.blocked_by]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def in_words(plan: Plan, units: Units) -> str:
    said = {}
    for axle, fit in plan.axles.items():
        wheel, back = measures.wheel(fit, units), measures.stands(fit, units)
        said[axle] = f"{measures.short_size(fit.tire.size)} on {wheel}, backspace {back}"
    if len(said) > 1 and len(set(said.values())) == 1:
        return f"{next(iter(said.values()))} all round"
    return "; ".join(f"{axle} {words}" for axle, words in said.items())


# --- the table ----------------------------------------------------------------------------------


def table(result: FitResult, units: Units) -> Table:
    """Return the one table: a group for each plan, a row for each axle, the tightest thing below."""
    load = "lb" if units == "in" else "kg"
    other = "mm" if units == "in" else "in"
    columns = (
        Column("axle"),
        Column("tire"),
        Column("rim in", full="rim, in"),
        Column(f"back {units}", "right", full=f"backspace, {units}"),
        Column(other, "right", full=f"backspace, {other}"),
        Column(f"poke {units}", "right", full=f"poke, {units}"),
        Column(f"gap {units}", "right", full=f"gap, {units}"),
        Column(f"load {load}", "right", full=f"load to spare, {load}"),
        Column(f"least {units}", "right", full=f"least clearance to spare, {units}"),
    )
    groups = [_group(plan, units) for plan in result.fits]
    if result.today is not None:
        groups.insert(0, _group(result.today, units))
    return Table(columns, tuple(groups))


def _group(plan: Plan, units: Units) -> Group:
    rows = tuple(Row(_cells(axle, plan.axles[axle], units)) for axle in AXLES if axle in plan.axles)
    return Group(rows, _caption(plan), _tightest(plan, units))


def _caption(plan: Plan) -> str:
    words = ["today" if plan.rank is None else f"rank {plan.rank}"]
    if plan.rank is None:
        words.append(_missed(plan))
    if plan.rank is not None and plan.score is not None:
        words.append(f"score {plan.score}")
    if plan.price is not None:
        words.append(f"price {measures.money(plan.price)}")
    gearing = plan.gearing
    if gearing is not None and gearing.change_pct is not None:
        words.append(f"effective ratio {measures.amount(gearing.change_pct, '%', 'in', 'near')} on today's")
    if gearing is not None and any(gearing.gearsets.values()):
        words.append("regeared")
    return ": ".join([words[0], ", ".join(words[1:])]) if len(words) > 1 else words[0]


def _missed(plan: Plan) -> str:
    checks = [(f"{axle} ", check) for axle, fit in plan.axles.items() for check in fit.checks]
    checks += [("", check) for check in plan.checks]
    missed = [
        f"{axle}{check.wording}" for axle, check in checks if check.ok is False and check.kind != "wish"
    ]
    return f"misses {', '.join(missed)}" if missed else "misses nothing that was checked, wishes aside"


def _cells(axle: str, fit: AxleFit, units: Units) -> tuple[str, ...]:
    spare = least_check(fit.checks, "rating", "kg")
    least = least_check(fit.checks)
    load = measures.margin(spare, units) if spare else measures.DASH
    margin = measures.length(least.margin, units, "down") if least else measures.DASH
    fraction = measures.length(fit.backspace_in * 25.4, "in")
    metric = measures.length(fit.backspace_mm, "mm", places=0 if units == "in" else 1)
    return (
        f" {axle}",
        measures.short_size(fit.tire.size),
        measures.rim(fit.rim_diameter_in, fit.rim_width_in) + ("+" if fit.wheel.adapter_mm else ""),
        *((fraction, metric) if units == "in" else (metric, fraction)),
        measures.plus(measures.length(fit.poke_mm, units, places=0)),
        measures.length(fit.gap_mm, units, places=0),
        load.split(" ")[0],
        measures.plus(margin),
    )


def _tightest(plan: Plan, units: Units) -> str:
    found = [(axle, least_check(fit.checks)) for axle, fit in plan.axles.items()]
    words = [f"{axle} {tight_words(check, units)}" for axle, check in found if check is not None]
    return f"tightest: {'; '.join(words)}" if words else "no clearance was judged"


def tight_words(check: Check, units: Units) -> str:
    """Return a check's margin in words: "1/2 in at left spring, full inner lock, 2 in down"."""
    at = contact_words(check.contact, units) if check.contact else check.wording
    room = measures.amount(abs(check.margin or 0.0), check.unit, units, "down", sign=False)
    if check.margin is not None and check.margin < 0:
        room = f"{measures.margin(check, units).lstrip('-')} short"
    return f"{room} at {at}"


def _legend(result: FitResult, units: Units) -> str:
    load = "lb" if units == "in" else "kg"
    on_plates = any(fit.wheel.adapter_mm for plan in result.fits for fit in plan.axles.values())
    plates = "rim with +: on an adapter, and its backspace from the hub's face. " if on_plates else ""
    return (
        f"{plates}back: backspace. poke: + beyond the body's edge at the top of the arch, - tucked. gap: "
        f"least from lip to tire at ride height. load: {load} that the axle's two tires, or two wheels if "
        "that is less, carry above the axle's load. least: least clearance above the clearance asked for, at "
        "the worst pose, with the tire at its largest."
    )


# --- why this order -----------------------------------------------------------------------------


def _order(result: FitResult, units: Units) -> list[Block]:
    blocks: list[Block] = [Heading("Why in this order (score 0: every wish met; less is better)")]
    before: Plan | None = None
    for plan in result.fits:
        if plan.score_terms:
            terms = "; ".join(_term(term, units) for term in plan.score_terms)
            said = f"score {plan.score} = {terms}"
        else:
            said = "score 0, every wish met" if result.stance else "no wishes were stated"
        tie = f"; {_tie(before, plan)}" if before is not None and before.score == plan.score else ""
        blocks.append(Text(f"rank {plan.rank}: {said}{tie}", indent=2, hang=2))
        before = plan
    return blocks


def _term(term: ScoreTerm, units: Units) -> str:
    wish = term.wish.replace(".", " ").replace("_", " ")
    miss = measures.amount(term.miss, term.unit, units, "up", sign=False)
    return f"{term.points} for {wish} ({miss} beside the wish)"


def _tie(before: Plan, plan: Plan) -> str:
    """Say what decides between two plans of equal score."""
    if before.price != plan.price:
        dearer = (plan.price or 0.0) - (before.price or 0.0)
        if before.price is None or plan.price is None:
            return f"as rank {before.rank}, but without a price"
        return f"as rank {before.rank}, {measures.money(dearer)} dearer"
    if _least(before) != _least(plan):
        return f"as rank {before.rank} at the same price, with less clearance"
    return f"equal to rank {before.rank}: the order is that of the catalog ids"


def _least(plan: Plan) -> float | None:
    found = [least_check(fit.checks) for fit in plan.axles.values()]
    margins = [floor_margin(check.margin) for check in found if check and check.margin is not None]
    return min(margins, default=None)


# --- windows, what to order, what the rest fell to ----------------------------------------------


def _windows(result: FitResult, units: Units) -> list[Block]:
    blocks: list[Block] = [Heading("Backspaces that would still work, and what ends them")]
    for plan in result.fits:
        said: dict[str, list[str]] = {}
        for axle, fit in plan.axles.items():
            said.setdefault(
                f"{measures.windows(fit.window_mm, units, fit.overall_width_mm)}{_ends(fit)}", []
            ).append(axle)
        for words, axles in said.items():
            blocks.append(Text(f"rank {plan.rank} {' and '.join(axles)}: {words}", indent=2, hang=2))
    return blocks


def _ends(fit: AxleFit) -> str:
    """Name the requirements that end the interval which holds the backspace."""
    here = [(low, high) for low, high in fit.window_mm or () if low <= fit.backspace_mm + 0.01]
    if not here:
        return ""
    low, high = inward((here[-1],))[0] if inward((here[-1],)) else here[-1]
    words = {check.id: check.wording for check in fit.checks}
    below, above = [], []
    no_end = unlimited((low, high), fit.overall_width_mm)
    for name, intervals in sorted(fit.windows_mm.items()):
        for first, last in inward(intervals or ()):
            below += [words.get(name, name)] if first == low and not no_end[0] else []
            above += [words.get(name, name)] if last == high and not no_end[1] else []
    least = f"; ended below by {', '.join(dict.fromkeys(below))}" if below else ""
    most = f"; ended above by {', '.join(dict.fromkeys(above))}" if above else ""
    return least + most


def _orders(result: FitResult, units: Units) -> list[Block]:
    """Say for each rank which catalog rows it is made of, its mass and its gearing."""
    blocks: list[Block] = [Heading("What each is made of")]
    for plan in result.fits:
        parts = [_part(axle, fit, units) for axle, fit in plan.axles.items()]
        if plan.spare is not None:
            parts.append(f"spare as {plan.spare.same_as}")
        if plan.mass_kg is not None:
            parts.append(f"mass {measures.mass(plan.mass_kg, units)}")
        words = "; ".join([*parts, *gearing_words(plan)])
        blocks.append(Text(f"rank {plan.rank}: {words}", indent=2, hang=2))
    return blocks


def _part(axle: str, fit: AxleFit, units: Units) -> str:
    source = {"made": "wheel made to order", "stock": "stocked wheel", None: "wheel"}[fit.wheel.source]
    wheel = f"{source} {fit.wheel.id}" if fit.wheel.id else source
    if fit.wheel.adapter_mm is not None:
        thick = measures.amount(fit.wheel.adapter_mm, "mm", units, "near", sign=False)
        wheel += f" with an adapter {thick} thick"
    tire = fit.tire.id or f"{fit.tire.size} (in no catalog)"
    return f"{axle} {fit.quantity} x {tire} on {wheel}"


def gearing_words(plan: Plan) -> list[str]:
    """Return axle ratios, engine speed at cruise and the speedometer's error in words, where known."""
    gearing = plan.gearing
    if gearing is None:
        return []
    parts = []
    for axle in AXLES:
        ratio, gearset = gearing.axle_ratios.get(axle), gearing.gearsets.get(axle)
        if ratio is not None:
            parts.append(f"{axle} ratio {measures.number(ratio)}" + (f" with {gearset}" if gearset else ""))
    if gearing.rpm_at_cruise is not None:
        parts.append(f"{gearing.rpm_at_cruise:.0f} rpm at cruise")
    if gearing.speedometer_error_pct is not None:
        way = "low" if gearing.speedometer_error_pct < 0 else "high"
        parts.append(f"speedometer reads {abs(gearing.speedometer_error_pct):.1f} % {way}")
    return parts


def _fell(result: FitResult) -> list[Block]:
    counts = result.counts
    pairs = f"Tire and rim pairs with a window: {counts.front} front, {counts.rear} rear."
    blocks: list[Block] = [Heading("What the rest fell to"), Text(pairs, indent=2, hang=2)]
    ordered = sorted((fell for fell in result.fell if fell.count), key=lambda fell: (-fell.count, fell.id))
    rows = [
        Row((f"{fell.count:,}", f"{fell.id.partition('.')[0]} {fell.wording}"))
        for fell in ordered[:MOST_FELL]
    ]
    if rows:
        columns = (Column("candidates", "right"), Column("fell to", flex=True))
        blocks.append(Table(columns, (Group(tuple(rows)),)))
    if len(ordered) > MOST_FELL:
        blocks.append(Text(f"and {len(ordered) - MOST_FELL} more requirements", indent=2))
    return blocks
