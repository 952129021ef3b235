"""The page of a ``vary``: what each value buys, a small chart, and where the answer turns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wellroom.report import measures
from wellroom.report.blocks import Bars, Block, Column, Group, Heading, Row, Table, Text
from wellroom.report.head import head, quoted, tail
from wellroom.units import Units

if TYPE_CHECKING:
    from wellroom.search.vary_results import Best, Point, TodayHere, Turn, VaryResult

BAR = 40
_KEYS = "abcdefghijklmnopqrstuvwxyz"


def vary_page(result: VaryResult, units: Units) -> list[Block]:
    """Return the page of a sweep in the reader's units."""
    names = " and ".join(one.path for one in result.inputs)
    keys = letters(result)
    blocks: list[Block] = [answer(result), *head(result), Heading(f"What each value of {names} gives")]
    blocks += [_table(result, keys, units), Text(_legend(units), "dim"), *_named(keys)]
    blocks += _chart(result)
    blocks += _refused(result)
    return [*blocks, *_turns(result), *tail(result)]


def answer(result: VaryResult) -> Text:
    """Return the answer in one sentence."""
    fits = sum(point.best is not None for point in result.points)
    count = len(result.points)
    if result.status == "unproven":
        return Text(f"Not decided for {quoted(result)}: a limit struck at some of the points.", "bad")
    if not fits:
        return Text(f"No: at none of the {count} points anything fits {quoted(result)}.", "bad")
    return Text(
        f"Yes: {quoted(result)} has a fit at {fits} of {count} points, as far as was checked.", "good"
    )


def letters(result: VaryResult) -> dict[str, str]:
    """Return a short name for each different best combination's words, in the order of the points."""
    found = dict.fromkeys(best_words(point.best) for point in result.points if point.best is not None)
    return {words: _letters(index) for index, words in enumerate(found)}


def _letters(index: int) -> str:
    return (_letters(index // 26 - 1) if index >= 26 else "") + _KEYS[index % 26]


def best_words(best: Best) -> str:
    """Return what a best combination is made of."""
    parts = [f"price {measures.money(best.price)}"]
    for axle, fit in best.axles.items():
        rim = measures.rim(fit.rim_diameter_in, fit.rim_width_in)
        wheel = "to order" if fit.wheel.source == "made" else f"{fit.wheel.id}"
        wheel += " on an adapter" if fit.wheel.adapter_mm else ""
        gear = f" with {best.gearsets[axle]}" if best.gearsets.get(axle) else ""
        parts.append(f"{axle} {fit.tire.id or fit.tire.size} on {rim} {wheel}{gear}")
    return "; ".join([*parts[1:], parts[0]])


def _table(result: VaryResult, keys: dict[str, str], units: Units) -> Table:
    two = len(result.inputs) == 2
    names = ("first", "second") if two else ("value",)
    columns = (
        *(Column(name, "right", full=one.path) for name, one in zip(names, result.inputs, strict=True)),
        Column("today", "right", full="today's wheels: least clearance to spare"),
        Column("best"),
        Column("score", "right"),
        Column(f"tallest {units}", "right", full=f"tallest tire, {units}, front and rear"),
        *(() if two else (Column("rim in", "right", full="widest rim, in, front and rear"),)),
        Column("fit", "right", full="pairs with a window, front and rear"),
        Column(f"window {units}", "right", full=f"window about the best, {units}, front and rear"),
    )
    rows = [Row(_cells(point, keys, units)) for point in result.points]
    return Table(columns, (Group(tuple(rows)),))


def _short(path: str) -> str:
    return path.rsplit(".", 1)[-1].replace("_", " ")


def _cells(point: Point, keys: dict[str, str], units: Units) -> tuple[str, ...]:
    if point.refused is not None:
        return (*point.values, "", "x", *[""] * (5 if len(point.values) == 1 else 4))
    best = point.best
    axles = [axle for axle in point.axles.values() if axle is not None]
    widest = [axle.widest_in for axle in axles]
    rims = ", ".join(measures.DASH if wide is None else measures.number(wide) for wide in widest)
    windows = [fit.window_width_mm for fit in best.axles.values()] if best else []
    return (
        *point.values,
        today_words(point.today, units),
        keys[best_words(best)] if best else "none",
        _score(best),
        ", ".join(measures.length(axle.tallest_mm, units, places=0) for axle in axles),
        *(() if len(point.values) == 2 else (rims,)),
        ", ".join(str(axle.pairs) for axle in axles),
        ", ".join(measures.length(width, units, "down", places=0) for width in windows) or measures.DASH,
    )


def _score(best: Best | None) -> str:
    return measures.DASH if best is None or best.score is None else str(best.score)


def today_words(today: TodayHere | None, units: Units) -> str:
    """Return today's least clearance to spare, and whether they miss anything."""
    if today is None:
        return measures.DASH
    margin = measures.plus(measures.length(today.least_mm, units, "down"))
    return f"{margin} miss" if today.missed else margin


def _legend(units: Units) -> str:
    return (
        f"today: least clearance to spare of today's wheels, {units}; 'miss' where they miss a rating, "
        "clearance or limit. best: the combination named below, x where the scenario can't have the value. "
        "fit: pairs of tire and rim with a window. Where two numbers stand, front and rear. window: "
        "backspaces about the best one that work."
    )


def _named(keys: dict[str, str]) -> list[Block]:
    return [Text(f"{key}: {words}", indent=2, hang=4) for words, key in keys.items()]


def _chart(result: VaryResult) -> list[Block]:
    """Return bars of how many pairs fit; with two inputs a grid of the same."""
    known = [point for point in result.points if point.refused is None]
    most = max((pairs(point) for point in known), default=0)
    if not most or len(result.points) < 2:
        return []
    if len(result.inputs) == 2:
        return [Heading("Pairs that fit, both axles together"), _grid(result)]
    rows = [Row((point.values[0], _bar(point, most))) for point in result.points]
    columns = (Column(_short(result.inputs[0].path), "right"), Column(f"pairs (full bar: {most})"))
    return [Heading("Pairs that fit, both axles together"), Bars(columns, (Group(tuple(rows)),))]


def _bar(point: Point, most: int) -> str:
    return "not possible" if point.refused else "#" * round(BAR * pairs(point) / most)


def pairs(point: Point) -> int:
    """Return the pairs of tire and rim that fit, both axles together."""
    return sum(axle.pairs for axle in point.axles.values() if axle is not None)


def _grid(result: VaryResult) -> Table:
    first, second = result.inputs
    cells = {point.values: "x" if point.refused else str(pairs(point)) for point in result.points}
    columns = (Column(_short(first.path)), *(Column(value, "right") for value in second.values))
    rows = [Row((value, *(cells[value, other] for other in second.values))) for value in first.values]
    return Table(columns, (Group(tuple(rows)),))


def _refused(result: VaryResult) -> list[Block]:
    points = [point for point in result.points if point.refused]
    if not points:
        return []
    texts = [Text(f"{', '.join(p.values)}: {p.refused}", indent=2, hang=2) for p in points]
    return [Heading("What the scenario can't have"), *texts]


def _turns(result: VaryResult) -> list[Block]:
    if len(result.inputs) > 1:
        return []
    blocks: list[Block] = [Heading("Where the answer turns")]
    if result.inputs[0].step is None:
        return []
    if not result.turns:
        blocks.append(Text("The best combination is the same at every value (backspaces aside).", indent=2))
    blocks += [Text(_turn(turn), indent=2, hang=2) for turn in result.turns]
    return blocks


def _turn(turn: Turn) -> str:
    what = {
        "another best": f"another is best: {turn.after}",
        "first fit": f"something fits from here on: {turn.after}",
        "last fit": "nothing fits from here on",
    }[turn.kind]
    return f"between {turn.low} and {turn.high} (exact to {turn.exact_to}): {what}"
