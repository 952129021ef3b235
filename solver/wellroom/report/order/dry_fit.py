"""The dry-fit sheet: one bare wheel, its centre tacked, measured against what the model says."""

from __future__ import annotations

from collections.abc import Iterator

from wellroom.report.cautions import CAUTIONS
from wellroom.report.measures import length
from wellroom.report.order.form import BLANK, Block, Grid, Heading, Listed, Sign, Words
from wellroom.search.contact import pose_words, thing_words
from wellroom.search.order_data import DryFit, OnAxle, OrderSheet
from wellroom.units import Units

BEFORE = (
    "the wheel seats flat on the face, no light under it",
    "it slides over all studs without force, and onto the pilot",
    "nuts seat fully; full turns of thread counted",
    "nothing touches in a whole turn by hand",
    "the valve hole is clear of drum and caliper",
    "runout across and round, measured on the car",
)


def blocks(sheet: OrderSheet, units: Units) -> Iterator[Block]:
    """Yield the dry-fit sheet: how, what must hold, the places to measure on each axle, who signs."""
    yield Heading("Dry fit", page=True)
    yield Listed("Before you start", (CAUTIONS["measure"],), framed=True)
    made = any(line.source == "made" for line in sheet.lines)
    wheel = "one bare wheel, its centre tacked and not welded out" if made else "one bare wheel"
    before = "before welding out, coating or mounting" if made else "before coating or mounting"
    yield Words(
        f"With {wheel}, no tire on it: turn through full lock, and bring the axle up to its stop with the "
        f"spring unloaded, level and leaning. Do it at both ends of each axle, {before}."
    )
    yield Words(
        "Measure each place below in the pose named. Gap: straight from metal to metal. Place: from the "
        "wheel's axis, and sideways from the outer edge of the flange named, away from the wheel. "
        "Stop if a gap is under the least, or if a thing stands nearer the axis and nearer the wheel's "
        "middle by more than the room, the two added up. Below 0 it stands over the wheel."
    )
    for line in sheet.lines:
        for on in line.on:
            yield _places(on, units)
    yield Grid(
        "At each end",
        ("must hold", "front left", "front right", "rear left", "rear right"),
        tuple((text, BLANK, BLANK, BLANK, BLANK) for text in BEFORE),
        (44, 14, 14, 14, 14),
        tall=True,
    )
    accepted = "welding, coating and mounting" if made else "coating and mounting"
    yield Sign(("Dry fit by", "Date", f"Accepted for {accepted}"))


def _places(on: OnAxle, units: Units) -> Grid:
    rows = tuple(_row(entry, units) for entry in on.dry_fit)
    heads = ("thing", "in this pose", "from axis", "from flange", "least, room", "left", "right")
    title = f"{on.axle.capitalize()} axle, {'inches' if units == 'in' else 'mm'}"
    return Grid(title, heads, rows, (17, 29, 10, 15, 11, 9, 9), tall=True)


def _row(entry: DryFit, units: Units) -> tuple[str, ...]:
    side = str(entry.contact.side)
    pose = pose_words(entry.contact, units) or "any"
    if entry.measured == "gap":
        expected = (f"gap {length(entry.gap_mm, units, 'down')}", "-")
        least = f"least {length(entry.least_mm, units, 'up')}"
    else:
        sideways = f"{length(entry.sideways_mm, units, 'up')} {entry.flange}"
        expected = (length(entry.radius_mm, units, "up"), sideways)
        least = f"room {length(entry.room_mm, units, 'down')}"
    blanks = {"left": (BLANK, "-"), "right": ("-", BLANK)}.get(side, (BLANK, BLANK))
    return (thing_words(entry.contact), pose, *expected, least, *blanks)
