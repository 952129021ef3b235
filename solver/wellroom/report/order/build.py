"""An order sheet laid out as a form: what to order, the dry fit, what was delivered, the measures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wellroom.report.cautions import CAUTIONS, NEVER_CHECKED
from wellroom.report.draw.model import Drawing
from wellroom.report.draw.svg import MARGIN, svg_text
from wellroom.report.numbers import number_of
from wellroom.report.order import delivered, dry_fit
from wellroom.report.order.called import called, summary
from wellroom.report.order.drawings import line_drawing
from wellroom.report.order.form import Block, Form, Grid, Heading, Listed, Picture, Words
from wellroom.report.order.lines import line_rows
from wellroom.search.order import Ordered
from wellroom.search.order_data import OrderLine, OrderSheet, Taken
from wellroom.units import Units

MOST_TOP = ("order", "weld", "head", "hub", "load")


def form_of(made: Ordered, units: Units, font: str) -> Form:
    """Return the form of an order in the reader's units; ``font`` is what its drawings are lettered in."""
    sheet = made.sheet
    stance = f", stance {sheet.stance}" if sheet.stance else ""
    return Form(
        title="Wheel order",
        number=sheet.number,
        subject=f"{sheet.scenario}{stance}, rank {sheet.rank}",
        paper="us-letter" if units == "in" else "a4",
        foot="By the model and these measures only: the trial fit decides.",
        blocks=tuple(_blocks(made, units, font)),
    )


def _blocks(made: Ordered, units: Units, font: str) -> Iterator[Block]:
    sheet = made.sheet
    yield Listed("Before anything else", _top(sheet), framed=True)
    yield Words(summary(sheet), "strong")
    yield from _open(sheet)
    for number, line in enumerate(sheet.lines, start=1):
        name = f"Line {number} of {len(sheet.lines)}: {called(line)}"
        yield Heading(name, page=number > 1)
        yield Grid("", ("what", "asked"), tuple(line_rows(line, sheet, units)), (19, 81))
        yield picture(line_drawing(made, line, units), font)
    yield from dry_fit.blocks(sheet, units)
    yield from delivered.blocks(sheet, units)
    yield from _measures(sheet)
    yield from _rest(sheet)


def _top(sheet: OrderSheet) -> tuple[str, ...]:
    return tuple(CAUTIONS[place] for place in MOST_TOP if place in sheet.cautions)


def _open(sheet: OrderSheet) -> Iterator[Block]:
    """Yield what was accepted, what was not checked, what warns: near the top, or it is not read."""
    yield Listed("Accepted by name", tuple(f"{entry.what}: {entry.says}." for entry in sheet.accepted))
    missing = [f"{entry.what}: {entry.missing}." for entry in sheet.not_checked]
    missing += [f"{text} (not judged)." for text in sheet.not_judged]
    yield Listed("Not checked", (*missing, f"By this program never: {'; '.join(NEVER_CHECKED)}."))
    yield Listed("Warnings", sheet.warnings)
    yield Listed("Taken as done, and noted", sheet.notes)
    if sheet.status == "unproven":
        yield Words("The ranking was cut short by a limit: there may be a better combination.", "strong")
    if sheet.gearing is not None:
        sets = [f"{axle} {name}" for axle, name in sheet.gearing.gearsets.items() if name]
        yield Listed("Ordered apart, and taken as fitted", tuple(f"Gear set {name}." for name in sets))


def picture(drawing: Drawing, font: str) -> Picture:
    """Return a drawing as a form prints it."""
    return Picture(
        drawing.title,
        svg_text(drawing, font=font),
        round(drawing.paper[0] + 2.0 * MARGIN, 2),
        drawing.description,
    )


def _measures(sheet: OrderSheet) -> Iterator[Block]:
    """Yield every measure, those of one thing in one row."""
    yield Heading("What was measured", page=True)
    yield Words(
        "Value and ± as written, and how it was taken where that is stated; numbers are the drawings'."
    )
    groups: dict[str, list[Taken]] = {}
    for entry in sheet.measures:
        groups.setdefault(_of(entry), []).append(entry)
    rows = []
    for name, entries in groups.items():
        numbers = dict.fromkeys(number for entry in entries if (number := number_of(entry.path)))
        rows.append((", ".join(numbers) or "-", name, "; ".join(_said(entry) for entry in entries)))
    yield Grid("", ("no.", "of", "measures"), tuple(rows), (11, 24, 65))


def _of(entry: Taken) -> str:
    """Return the thing that a measure is of: front lip 1, rear leaf spring."""
    axle, *parts = entry.path.split(".")[1:-1]
    if entry.of is not None:
        return f"{axle} {entry.of}"
    return " ".join([axle, *(str(int(part) + 1) if part.isdigit() else part for part in parts)])


def _said(entry: Taken) -> str:
    how = f" ({entry.how})" if entry.how else ""
    return f"{entry.path.rpartition('.')[2].replace('_', ' ')} {entry.value}{how}"


def _rest(sheet: OrderSheet) -> Iterator[Block]:
    yield Heading("Assumed, noted, and to mind")
    yield Listed("Assumed, since the scenario does not say", _assumed(sheet))
    bound = (
        ()
        if sheet.bound_mm is None
        else (f"A clearance may be understated by up to {sheet.bound_mm:.2f} mm: the envelope's own bound.",)
    )
    yield Listed("Notes", (*_sources(sheet.lines), *bound))
    rest = [place for place in sheet.cautions if place in CAUTIONS and place not in MOST_TOP]
    yield Listed("Cautions", tuple(CAUTIONS[place] for place in rest))


def _assumed(sheet: OrderSheet) -> tuple[str, ...]:
    return tuple(f"{entry.path} = {entry.value}: {entry.why}." for entry in sheet.assumptions)


def _sources(lines: Sequence[OrderLine]) -> Iterator[str]:
    yield "Ids, makers and ratings are those of the catalogs; the shipped ones are invented samples."
    if any(line.moments for line in lines):
        yield (
            "Cornering moment: L (mu R + d) S of SAE J328-2021 as summarised, mu 0.7; L is the axle's own "
            "load to build for, as in its row, R half the tire's largest diameter (its loaded radius is "
            "less), d the inset, S and cycles of its table 1. With |d|, since the inner wheel of a turn "
            "loads a deep wheel the other way: common practice, no source."
        )
    yield "Runout, 1/16 in on backspace and width, hole 1 mm over the stud: common practice, no source."
