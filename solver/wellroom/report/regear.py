"""The page of a ``regear``: every set on sale, what it does, and the tire heights that suit it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wellroom.report import measures
from wellroom.report.blocks import Block, Column, Group, Heading, Row, Table, Text
from wellroom.report.head import head, tail
from wellroom.units import Units

if TYPE_CHECKING:
    from wellroom.search.regear_results import Choice, RegearResult


def regear_page(result: RegearResult, units: Units) -> list[Block]:
    """Return the page of the sets on sale in the reader's units."""
    blocks: list[Block] = [_answer(result), *head(result), *_basis(result, units)]
    if result.choices:
        blocks += [Heading("Sets on sale, by ratio"), _table(result, units), Text(_legend(result), "dim")]
        blocks += _sets(result)
    return [*blocks, *tail(result)]


def _answer(result: RegearResult) -> Text:
    fit = sum(choice.joint_ok for choice in result.choices)
    name = f'"{result.scenario}"'
    if not result.choices:
        return Text(f"No: no set of these catalogs is of the gear family of {name}.", "bad")
    if not fit:
        return Text(f"No: no sets for {name} keep front and rear together.", "bad")
    words = [f"Yes: {fit} choice{'s' if fit != 1 else ''} of sets on sale for {name}"]
    if result.nearest_feel is not None:
        words.append(f"nearest to today's feel {_ratio(result.choices[result.nearest_feel])}")
    if result.nearest_rpm is not None:
        words.append(f"nearest to {result.rpm_wanted:.0f} rpm {_ratio(result.choices[result.nearest_rpm])}")
    return Text(f"{'; '.join(words)}.", "good")


def _ratio(choice: Choice) -> str:
    return measures.number(choice.ratio)


def _basis(result: RegearResult, units: Units) -> list[Block]:
    blocks: list[Block] = [Heading("Reckoned with")]
    for axle, tires in result.tires.items():
        height = measures.with_unit(measures.length(tires.od_mm, units), units)
        was = ""
        if tires.was_mm is not None:
            roll = measures.length(tires.was_mm, units)
            was = f"; today's rolls {measures.with_unit(roll, units)}"
        rolls = measures.with_unit(measures.length(tires.rolling_mm, units), units)
        what = f"{tires.size}, {height} tall" if tires.size else f"a tire {height} tall"
        blocks.append(Text(f"{axle}: {what}, rolling {rolls} a turn{was}", indent=2, hang=2))
    if result.restoring_ratio is not None:
        text = f"today's gearing would need a ratio of {result.restoring_ratio:.3f} with these tires"
        blocks.append(Text(text, indent=2, hang=2))
    return blocks


def _table(result: RegearResult, units: Units) -> Table:
    columns = (
        Column("ratio", "right"),
        Column("note"),
        Column("carrier"),
        Column("price", "right"),
        Column("change %", "right", full="effective ratio against today's, percent"),
        Column("rpm", "right", full="engine speed at cruise in top gear"),
        Column("crawl", "right", full="crawl ratio"),
        Column(f"tires {units}", "right", full=f"tire heights that keep the band, {units}"),
    )
    rows = [Row(_cells(result, index, units)) for index in range(len(result.choices))]
    return Table(columns, (Group(tuple(rows)),))


def _cells(result: RegearResult, index: int, units: Units) -> tuple[str, ...]:
    choice = result.choices[index]
    notes = ["today"] if choice.today else []
    notes += ["feel"] if index == result.nearest_feel else []
    notes += ["rpm"] if index == result.nearest_rpm else []
    notes += [] if choice.joint_ok else ["no match"]
    one = choice.sets[result.reference]
    carrier = measures.DASH
    if one is not None:
        breaks = [part.carrier_break for part in choice.sets.values() if part is not None]
        carrier = f"{one.carrier}, new" if any(breaks) else one.carrier
    heights = measures.DASH
    if choice.heights_mm is not None:
        low, high = choice.heights_mm
        least, most = measures.length(low, units, "up", 4, 0), measures.length(high, units, "down", 4, 0)
        heights = f"{least} to {most}"
    top = choice.rpm_at_cruise.get("top")
    return (
        _ratio(choice),
        "+".join(notes),
        carrier,
        measures.money(choice.price),
        measures.DASH if choice.change_pct is None else f"{choice.change_pct:+.1f}",
        measures.DASH if top is None else f"{top:.0f}",
        measures.DASH if choice.crawl_ratio is None else f"{choice.crawl_ratio:.1f}",
        heights,
    )


def _legend(result: RegearResult) -> str:
    words = ["feel: nearest to today's effective ratio. rpm: nearest to the engine speed wished"]
    words.append("new: another carrier than today's. price: all driven axles, with fitting")
    words.append("change: of the effective ratio, and the speedometer's error until corrected: - reads low")
    if result.match_limit_pct is not None:
        limit = measures.number(result.match_limit_pct)
        words.append(f"no match: front and rear differ by more than {limit} % of ratio over rolling radius")
    if result.rpm_band is not None:
        low, high = result.rpm_band
        words.append(f"tires: heights that keep {low:.0f} to {high:.0f} rpm at cruise in top gear")
    return ". ".join(words) + "."


def _sets(result: RegearResult) -> list[Block]:
    """Say of each choice which sets it is made of, and how front and rear match."""
    blocks: list[Block] = [Heading("What each is made of")]
    for choice in result.choices:
        parts = []
        for axle, one in choice.sets.items():
            if one is None:
                parts.append(f"{axle} none on sale")
                continue
            broken = {True: ", another carrier", False: "", None: ", carrier to be asked for"}
            parts.append(f"{axle} {one.id} ({one.ring_teeth}/{one.pinion_teeth}{broken[one.carrier_break]})")
        if choice.match_pct is not None:
            parts.append(f"front against rear {choice.match_pct:+.2f} %")
        if choice.speedometer_teeth is not None:
            left = f"{choice.speedometer_after_pct:+.1f} % left"
            parts.append(f"speedometer's driven gear {choice.speedometer_teeth} teeth, {left}")
        blocks.append(Text(f"{_ratio(choice)}: {'; '.join(parts)}", indent=2, hang=2))
    return blocks
