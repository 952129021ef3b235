"""The page of a ``check``: requirement by requirement; for today's wheels, questions on the measures."""

from __future__ import annotations

from collections.abc import Sequence

from wellroom.report import measures
from wellroom.report.bars import bars
from wellroom.report.blocks import Block, Column, Group, Heading, Row, Table, Text, Tone
from wellroom.report.fit import gearing_words
from wellroom.report.head import head, quoted, tail
from wellroom.report.leverage import leverage_blocks
from wellroom.report.motion import motion_blocks
from wellroom.search.contact import contact_words, pose_words, thing_words
from wellroom.search.results import AxleFit, Check, CheckResult
from wellroom.units import Units

COLUMNS = (
    Column("result"),
    Column("margin", "right"),
    Column("requirement, and where it is least", flex=True),
)


def check_page(result: CheckResult, units: Units) -> list[Block]:
    """Return the page of a check in the reader's units."""
    blocks: list[Block] = [answer(result), *head(result)]
    for axle in result.axles:
        if axle in result.plan.axles:
            blocks += _axle(axle, result.plan.axles[axle], units)
    if result.plan.checks:
        blocks.append(Heading("both axles together"))
        blocks += [Text(f"{words[0].upper()}{words[1:]}.") for words in _kept(result)]
        blocks.append(_table(result.plan.checks, units))
    gearing = gearing_words(result.plan)
    if gearing:
        blocks += [Heading("Gearing"), Text("; ".join(gearing), indent=2, hang=2)]
    if result.judges == "today":
        blocks += questions(result, units)
    return [*blocks, *tail(result)]


def answer(result: CheckResult) -> Text:
    """Return the answer in one sentence."""
    what = "today's wheels" if result.judges == "today" else "this combination"
    passes, misses = ("pass", "miss") if result.judges == "today" else ("passes", "misses")
    missed = [check for check in _all(result) if check.ok is False]
    hard = [check.wording for check in missed if check.kind != "wish"]
    wishes = len(missed) - len(hard)
    if result.status == "unproven":
        return Text(f"Not decided: a limit struck before {what} on {quoted(result)} could be judged.", "bad")
    if result.status == "none":
        joint = any(check.ok is False and check.kind != "wish" for check in result.plan.checks)
        kept = "".join(f"; {words}" for words in _kept(result)) if joint else ""
        return Text(f"No: {what} on {quoted(result)} {misses} {_listed(hard)}{kept}.", "bad")
    beside = f"; {wishes} wish{'es' if wishes != 1 else ''} missed" if wishes else ""
    return Text(f"Yes: {what} on {quoted(result)} {passes}, as far as was checked{beside}.", "good")


def _all(result: CheckResult) -> list[Check]:
    fits = [result.plan.axles[axle] for axle in result.axles if axle in result.plan.axles]
    return [*(check for fit in fits for check in fit.checks), *result.plan.checks]


def _kept(result: CheckResult) -> list[str]:
    """Say which axle was not asked for and so stands on today's wheels."""
    if result.judges == "today":
        return []
    return [
        f"the {axle} axle keeps today's {measures.short_size(fit.tire.size)}"
        for axle, fit in result.plan.axles.items()
        if axle not in result.axles
    ]


def _listed(words: Sequence[str]) -> str:
    unique = list(dict.fromkeys(words))
    if not unique:
        return "a requirement"
    return unique[0] if len(unique) == 1 else f"{', '.join(unique[:-1])} and {unique[-1]}"


def _axle(axle: str, fit: AxleFit, units: Units) -> list[Block]:
    back = measures.stands(fit, units)
    inset = measures.with_unit(measures.plus(measures.length(fit.inset_mm, units)), units)
    gives = [f"backspace {back}", f"inset {inset}"]
    for name, value in (("poke", fit.poke_mm), ("inside", fit.inside_mm), ("gap", fit.gap_mm)):
        if value is not None:
            text = measures.length(value, units)
            text = measures.plus(text) if name == "poke" else text
            gives.append(f"{name} {measures.with_unit(text, units)}")
    return [
        Heading(f"{axle}: {fit.tire.size} on {measures.wheel(fit, units)}"),
        Text(f"{', '.join(gives)}.", hang=2),
        Text(
            f"Backspaces that would work: {measures.windows(fit.window_mm, units, fit.overall_width_mm)}.",
            hang=2,
        ),
        _table(fit.checks, units, made=fit.wheel.source == "made"),
        *bars(axle, fit, units),
        *motion_blocks(axle, fit, units),
        *leverage_blocks(axle, fit, units),
    ]


def _table(checks: Sequence[Check], units: Units, made: bool = False) -> Table:
    rows = []
    for check in checks:
        word, tone = _verdict(check)
        at = f": {contact_words(check.contact, units)}" if check.contact else ""
        room = measures.amount(check.asked, "mm", units, "near", sign=False)
        asked = f" ({room} asked)" if check.asked is not None else ""
        rows.append(Row((word, measures.margin(check, units, made), f"{check.wording}{asked}{at}"), tone))
    return Table(COLUMNS, (Group(tuple(rows)),))


def _verdict(check: Check) -> tuple[str, Tone]:
    if check.ok is None:
        return "unknown", "dim"
    if check.ok:
        return "ok", ""
    return ("wish missed", "") if check.kind == "wish" else ("missed", "bad")


def questions(result: CheckResult, units: Units) -> list[Block]:
    """Return what the measures say of today's wheels, sentence by sentence, for the builder to deny."""
    asked: list[str] = []
    for axle, fit in result.plan.axles.items():
        if axle in result.axles:
            asked += _of_axle(axle, fit, units)
    if not asked:
        return []
    lead = "Go to the vehicle with these. A no means that a measure is wrong: find it before you order."
    return [
        Heading("Are your measures right?"),
        Text(lead),
        *(Text(f"By your measures {sentence}: so?", indent=2, hang=2) for sentence in asked),
    ]


def _of_axle(axle: str, fit: AxleFit, units: Units) -> list[str]:
    sentences = []
    if fit.gap_mm is not None:
        gap = measures.with_unit(measures.length(fit.gap_mm, units), units)
        sentences.append(f"the lip stands {gap} from today's {axle} tire at ride height, where it is nearest")
    if fit.poke_mm is not None:
        poke = measures.with_unit(measures.length(abs(fit.poke_mm), units), units)
        way = "beyond" if fit.poke_mm >= 0 else "inside"
        sentences.append(f"today's {axle} tire stands {poke} {way} the body's edge at the top of the arch")
    for check in fit.checks:
        if check.kind == "clearance" and check.unit == "mm" and check.margin is not None and check.contact:
            sentences.append(_clears(axle, check, check.margin, units))
    return sentences


def _clears(axle: str, check: Check, margin: float, units: Units) -> str:
    assert check.contact is not None
    thing = thing_words(check.contact)
    pose = pose_words(check.contact, units)
    at = f" at {pose}" if pose else ""
    if check.asked is None:
        spare = measures.amount(abs(margin), "mm", units, "near", sign=False)
        more = "more" if margin >= 0 else "less"
        return f"today's {axle} wheel has {spare} {more} than the clearance asked for at the {thing}{at}"
    distance = margin + check.asked
    room = measures.amount(abs(distance), "mm", units, "near", sign=False)
    if distance < 0:
        return f"today's {axle} tire, at its largest, is {room} into the {thing}{at}"
    return f"today's {axle} tire, at its largest, clears the {thing} by {room}{at}"
