"""What stands round every answer: what was checked and what not, cautions, assumptions, warnings, notes."""

from __future__ import annotations

from collections.abc import Sequence

from wellroom.report.blocks import Block, Heading, Text
from wellroom.report.cautions import ALWAYS, CAUTIONS, NEVER_CHECKED
from wellroom.report.measures import length
from wellroom.search.results import Assumption, Header


def places(result: Header) -> tuple[str, ...]:
    """Return the places of the cautions that belong to an answer: the usual ones, and those it names."""
    named = [place for place in CAUTIONS if place in ALWAYS or place in result.cautions]
    return (*named, *(place for place in result.cautions if place not in CAUTIONS))


def spoken(name: str) -> str:
    """Return a dotted name in words: front.ride_height as "front ride height"."""
    return name.replace(".", " ").replace("_", " ")


def _by_axle(names: Sequence[str]) -> str:
    """Join "front.bump", "front.load", "rear.load" as "front: bump, load; rear: load"."""
    groups: dict[str, list[str]] = {}
    for name in names:
        axle, _, what = name.partition(".")
        groups.setdefault(axle if what else "", []).append(spoken(what or axle))
    parts = [f"{axle}: {', '.join(what)}" if axle else ", ".join(what) for axle, what in groups.items()]
    return "; ".join(parts)


def head(result: Header) -> list[Block]:
    """Return what was checked, what was not and for want of which measure, and the first caution."""
    blocks: list[Block] = _wishes(result)
    blocks.append(Text(f"Checked: {_by_axle(result.checked) or 'nothing'}.", hang=2))
    if result.not_checked:
        blocks.append(Text("Not checked:", "strong"))
    for entry in result.not_checked:
        missing = entry.missing if " " in entry.missing else f"{entry.missing} is missing"
        blocks.append(Text(f"{spoken(entry.what)}: {missing}", indent=2, hang=2))
    if result.command == "regear":
        blocks.append(Text("Not checked here: whether tires fit: see fit."))
    elif result.command == "order":
        blocks.append(Text(f"Not checked by this program: {'; '.join(NEVER_CHECKED)}.", hang=2))
    elif not result.not_checked:
        blocks.append(Text("Not checked: nothing that this program knows how to check."))
    blocks.append(Text(f"Caution: {CAUTIONS['head']}", hang=2))
    blocks += [Text(f"Warning: {warning}", "bad", hang=2) for warning in result.warnings]
    return blocks


def _wishes(result: Header) -> list[Block]:
    """Say what the order goes by where no wish was named for it."""
    if result.stance is None and result.command in ("fit", "vary") and result.status != "none":
        return [Text("No wishes stated: ordered by price.")]
    if result.other_stances:
        others = ", ".join(result.other_stances)
        return [Text(f'Stance "{result.stance}" is the first in the file; --stance takes another: {others}.')]
    return []


def tail(result: Header) -> list[Block]:
    """Return assumptions, notes and the cautions that belong to the parts of the answer."""
    blocks: list[Block] = []
    if result.assumptions:
        blocks.append(Heading("Assumed, since the scenario does not say"))
        blocks += [Text(words, indent=2, hang=2) for words in _assumed(result.assumptions)]
    notes = list(result.notes)
    if result.bound_mm is not None:
        bound = length(result.bound_mm, "mm", "up", places=2)
        notes.append(f"the envelope's own bound: a clearance kept may be understated by up to {bound} mm")
    if notes:
        blocks.append(Heading("Notes"))
        blocks += [Text(note, indent=2, hang=2) for note in notes]
    blocks.append(Heading("Cautions"))
    for place in places(result):
        if place != "head":
            label = f"{spoken(place)}: " if place in CAUTIONS else ""
            blocks.append(Text(f"{label}{CAUTIONS.get(place, place)}", indent=2, hang=2))
    return blocks


def _assumed(made: Sequence[Assumption]) -> list[str]:
    """Say what is assumed; what is assumed alike at several places of one axle in one line."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for one in made:
        axle = ".".join(one.path.split(".")[:2])
        alike.setdefault((axle, one.value, one.why), []).append(one.path)
    return [
        f"{', '.join([paths[0], *(path.removeprefix(f'{axle}.') for path in paths[1:])])} = {value} ({why})"
        for (axle, value, why), paths in alike.items()
    ]


def quoted(result: Header) -> str:
    """Return the scenario's title and stance as they stand in a sentence."""
    stance = f', stance "{result.stance}"' if result.stance else ""
    return f'"{result.scenario}"{stance}'
