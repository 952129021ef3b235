"""What the command says of an order sheet: what is ordered, what was accepted, what was not checked."""

from __future__ import annotations

from wellroom.report.blocks import Block, Heading, Text
from wellroom.report.cautions import CAUTIONS
from wellroom.report.head import head, quoted
from wellroom.report.order.called import summary
from wellroom.report.order.words import size, tolerance
from wellroom.search.order_data import OrderSheet
from wellroom.units import Units


def order_page(sheet: OrderSheet, units: Units) -> list[Block]:
    """Return the page of an order, the sheet's number first."""
    blocks: list[Block] = [
        Text(f"Order {sheet.number}: rank {sheet.rank} of {quoted(sheet)}.", "strong"),
        Text(summary(sheet), hang=2),
    ]
    for line in sheet.lines:
        asked = f"backspace {size(line.backspace_mm, units)} {tolerance(line.backspace_asked, units)}"
        blocks.append(
            Text(f"{' and '.join(line.axles)}: {asked}, for {line.tire.choice.size}", indent=2, hang=2)
        )
    blocks += [Text(f"Accepted: {entry.what}: {entry.says}.", "bad", hang=2) for entry in sheet.accepted]
    blocks += head(sheet)
    blocks += [Text(f"Not judged: {text}.", hang=2) for text in sheet.not_judged]
    first = [CAUTIONS[place] for place in ("order", "weld") if place in sheet.cautions]
    blocks += [Heading("Before anything else"), *(Text(words, indent=2, hang=2) for words in first)]
    return blocks
