"""The page of a ``compare``: stances side by side, the best of each row marked, what serves several."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wellroom.report import measures
from wellroom.report.blocks import Block, Column, Group, Heading, Row, Table, Text
from wellroom.report.head import head, tail
from wellroom.search.results import AXLES
from wellroom.units import Units

if TYPE_CHECKING:
    from wellroom.search.compare import CompareResult, Line, Value

MARK = "*"
_LABELS = {
    "tire": "tire",
    "tire_diameter": "diameter",
    "rim": "rim",
    "backspace": "backspace",
    "poke": "poke",
    "gap": "gap",
    "least_clearance": "least clear",
    "lock_left": "lock left",
    "at_lock": "clear at lock",
    "scrub": "scrub",
    "load_reserve": "load spare",
    "change": "gearing",
    "rpm_at_cruise": "cruise",
    "price": "price",
    "mass": "mass",
    "score": "score",
}
_UNITS = {"mm": {"in": "in", "mm": "mm"}, "kg": {"in": "lb", "mm": "kg"}}


def compare_page(result: CompareResult, units: Units) -> list[Block]:
    """Return the page of a comparison in the reader's units."""
    return [answer(result), *head(result), *side_by_side(result, units), *tail(result)]


def side_by_side(result: CompareResult, units: Units) -> list[Block]:
    """Return the stances measure by measure, where each is tightest, and how each does under the others."""
    blocks: list[Block] = [
        Heading("Side by side, today's wheels first"),
        _table(result, units),
        Text(_legend(), "dim"),
    ]
    return [*blocks, *_places(result), *_serving(result)]


def answer(result: CompareResult) -> Text:
    """Return the answer in one sentence."""
    fitted = [column.stance for column in result.columns if column.plan is not None]
    if result.status == "unproven":
        return Text(f'Not decided for "{result.scenario}": a limit struck before a proof.', "bad")
    if not fitted:
        return Text(f'No: nothing in these catalogs fits any of the stances of "{result.scenario}".', "bad")
    without = [column.stance for column in result.columns if column.plan is None]
    rest = f"; nothing fits {', '.join(without)}" if without else ""
    return Text(
        f'Yes: "{result.scenario}" can have {", ".join(fitted)}{rest}, as far as was checked.', "good"
    )


def _table(result: CompareResult, units: Units) -> Table:
    columns = (
        Column("measure"),
        Column("today", "right"),
        *(Column(name, "right") for name in result.stances),
    )
    groups: dict[str, list[Row]] = {}
    for line in result.lines:
        part, _, key = line.id.partition(".")
        differ = any(v is not None and not best for v, best in zip(line.values, line.best, strict=True))
        marks = (best and differ for best in line.best)
        cells = (_cell(line, v, units, best) for v, best in zip(line.values, marks, strict=True))
        label = f" {_LABELS.get(key or part, line.wording)}{_unit(line, units)}"
        row = Row((label, _cell(line, line.today, units, False), *cells))
        groups.setdefault(part if part in AXLES else "both axles", []).append(row)
    return Table(columns, tuple(Group(tuple(rows), caption) for caption, rows in groups.items()))


def _unit(line: Line, units: Units) -> str:
    unit = _UNITS.get(line.unit, {}).get(units, line.unit)
    return f", {unit}" if unit and unit not in ("points", "money") else ""


def _cell(line: Line, value: Value, units: Units, best: bool) -> str:
    text = _text(line, value, units)
    return text if line.better is None else f"{text} {MARK if best else ' '}"


def _text(line: Line, value: Value, units: Units) -> str:
    if value is None or isinstance(value, str):
        return measures.short_size(value) if value else measures.DASH
    if line.unit == "mm":
        way = "down" if "clearance" in line.wording else "near"
        return measures.length(value, units, way, places=0)  # type: ignore[arg-type]  # one of the two
    if line.unit == "kg":
        return measures.mass(value, units).split(" ")[0]
    if line.unit == "money":
        return measures.money(value)
    return f"{value:.0f}" if line.unit in ("rpm", "points") else f"{value:.1f}"


def _legend() -> str:
    return (
        f"{MARK} best of its row among the stances, where they differ: more diameter, clearance, lock, "
        "reserve; less price, mass, score; poke and gap nearest to the stance's own wish; scrub radius and "
        "gearing nearest to today's. least clear: least clearance to spare; clear at lock: the same at full "
        "lock; lock left: of the inner wheel; load spare: rating above the axle's load; gearing: effective "
        "ratio against today's. Rows without a mark are a matter of taste."
    )


def _places(result: CompareResult) -> list[Block]:
    blocks: list[Block] = [Heading("Where the clearance is least")]
    for line in result.lines:
        for stance, where in zip(result.stances, line.where, strict=True):
            if where is not None:
                blocks.append(Text(f"{line.id.split('.')[0]}, {stance}: {where}", indent=2, hang=2))
    return blocks if len(blocks) > 1 else []


def _serving(result: CompareResult) -> list[Block]:
    """Say how each stance's best does under the others."""
    told = [column for column in result.columns if column.serves]
    if not told:
        return []
    blocks: list[Block] = [Heading("How the best of one stance does under the others")]
    for column in told:
        words = []
        for other, served in column.serves.items():
            score = f"score {served.score}" if served.score is not None else "no score"
            over = f", {served.over} above its own best" if served.over is not None else ""
            limits = "" if served.limits_met else ", misses a limit there"
            well = ": serves it well" if served.well else ""
            words.append(f"{other} {score}{over}{limits}{well}")
        blocks.append(Text(f"{column.stance}: {'; '.join(words)}", indent=2, hang=2))
    if not any(served.well for column in told for served in column.serves.values()):
        blocks.append(Text("No combination serves two of these stances well.", indent=2))
    return blocks
