"""What was delivered: blanks for the wheels as built, and the command lines that judge them."""

from __future__ import annotations

from collections.abc import Iterator

from wellroom.report.order.form import BLANK, Block, Grid, Heading, Sign, Words
from wellroom.report.order.words import size, tolerance
from wellroom.search.order_data import OrderLine, OrderSheet
from wellroom.units import Units

HEADS = (
    "wheel",
    "back 1",
    "back 2",
    "back 3",
    "flange in",
    "flange out",
    "over flanges",
    "run across",
    "run round",
    "bore",
    "bolt circle",
    "holes",
)
SHARES = (6, *(8,) * 9, 13, 9)


def blocks(sheet: OrderSheet, units: Units) -> Iterator[Block]:
    """Yield for each line the blanks of its wheels and how to judge them."""
    yield Heading("As built, as delivered", page=True)
    yield Words(
        "Measure every wheel before it is coated or a tire mounted: the backspace at three places a third "
        "of a turn apart, both flanges, the width over them, runout at the bead seats, the bore, the bolt "
        "circle and its holes."
    )
    for line in sheet.lines:
        yield from _line(line, units)
    yield Words(
        "A wheel outside the tolerances above goes back, whatever the command says. The command is for "
        "wheels within them: it answers by the model, exit code 0 where every rating, clearance and limit is "
        "met. A wheel that fails it goes back too."
    )
    yield Sign(("Measured by", "Date", "Taken over"))


def _line(line: OrderLine, units: Units) -> Iterator[Block]:
    name = " and ".join(line.axles).capitalize()
    yield Grid(name, *_asked(line, units))
    rows = tuple((str(number), *(BLANK for _ in HEADS[1:])) for number in range(1, line.quantity + 1))
    yield Grid(f"{name}: as built", HEADS, rows, SHARES, tall=True)
    less = f" less the adapter's {size(line.adapter_mm, units)}" if line.adapter_id else ""
    half = size(line.rim_width_in * 25.4 / 2.0, units)
    for on in line.on:
        by_backspace, by_inset = on.check
        yield Words(
            f"{on.axle.capitalize()}: for AS-BUILT put the least, then the greatest backspace measured{less}:"
        )
        yield Words(by_backspace, "mono")
        yield Words(
            f"Where the inboard flange is not {size(line.flange_in_mm, units)}, judge by the inset as well: "
            f"backspace{less} less inboard flange less {half}:"
        )
        yield Words(by_inset, "mono")


def _asked(
    line: OrderLine, units: Units
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...], tuple[int, ...]]:
    """Return what is asked of a line's wheels, in one row: its heads, the row, the columns' shares."""
    bolts = line.bolts
    bore = size(bolts.bore_least_mm, units)
    if line.source == "made":
        most = "" if bolts.bore_most_mm is None else f" to {size(bolts.bore_most_mm, units)}"
        bore = f"{bore}{most}" if most else f"no less than {bore}"
    row = (
        "asked",
        f"{size(line.backspace_mm, units)} {tolerance(line.backspace_asked, units)}",
        f"{size(line.overall_width_mm, units)} {tolerance(line.overall_width_asked, units)}",
        bore,
        f"{bolts.studs} on {size(bolts.bolt_circle_mm, units)}",
        size(bolts.hole_mm, units),
    )
    heads = ("all wheels", "backspace", "over flanges", "bore", "bolt circle", "holes")
    return heads, (row,), (10, 20, 20, 20, 16, 14)
