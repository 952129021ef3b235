"""What an order and its lines are called."""

from __future__ import annotations

from wellroom.report.measures import rim
from wellroom.search.order_data import OrderLine, OrderSheet


def called(line: OrderLine) -> str:
    """Return what a line is called: 5 wheels 20x10, front and rear."""
    noun = "wheel" if line.quantity == 1 else "wheels"
    return (
        f"{line.quantity} {noun} {rim(line.rim_diameter_in, line.rim_width_in)}, {' and '.join(line.axles)}"
    )


def summary(sheet: OrderSheet) -> str:
    """Return the order in one sentence."""
    parts = []
    for line in sheet.lines:
        way = "to be made" if line.source == "made" else f"bought as {line.wheel_id}"
        spare = ", one of them the spare" if line.spares else ""
        parts.append(f"{called(line)}{spare}, {way}")
    made = any(line.source == "made" for line in sheet.lines)
    return "; ".join(parts) + ("." if made else ". No wheel need be made.")
