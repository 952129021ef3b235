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
)


def blocks(sheet: OrderSheet, units: Units) -> Iterator[Block]:
    """Yield for each line the blanks of its wheels and how to judge them."""
    yield Heading("As built, as delivered", page=True)
    yield Words(
        "Measure every wheel before it is coated or a tire mounted: the backspace at three places a third "
        "of a turn apart, both flanges, the width over them, runout at the bead seats, the bore."
    )
    for line in sheet.lines:
        yield from _line(line, units)
    yield Words(
        "The command answers by the model: exit code 0 where every rating, clearance and limit is met. "
        "A wheel that fails goes back."
    )
    yield Sign(("Measured by", "Date", "Taken over"))


def _line(line: OrderLine, units: Units) -> Iterator[Block]:
    asked = (
        f"asked: backspace {size(line.backspace_mm, units)} {tolerance(line.backspace_asked, units)}, over "
        f"flanges {size(line.overall_width_mm, units)} {tolerance(line.overall_width_asked, units)}"
    )
    rows = tuple((str(number), *(BLANK for _ in HEADS[1:])) for number in range(1, line.quantity + 1))
    yield Grid(
        f"{' and '.join(line.axles).capitalize()}; {asked}", HEADS, rows, (7, *(10,) * 7, 11, 11), tall=True
    )
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
