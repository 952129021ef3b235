"""The parts that every page has: what was checked, what was measured and assumed, sources, cautions."""

from __future__ import annotations

from markupsafe import Markup

from wellroom.report.cautions import CAUTIONS
from wellroom.report.head import places, spoken
from wellroom.report.web import tables
from wellroom.report.web.parts import Part
from wellroom.report.web.sources import SOURCES
from wellroom.scenario.model import Scenario
from wellroom.search.results import Header


def checked(result: Header) -> Markup:
    """Return what was checked, what was not and for want of what, and warnings."""
    names = [spoken(name) for name in result.checked]
    out = Markup("<p><strong>Checked:</strong> {}.</p>").format(", ".join(names) or "nothing")
    if result.not_checked:
        rows = [(spoken(entry.what), entry.missing) for entry in result.not_checked]
        out += tables.table("Not checked", ("what", "what is missing for it"), rows)
    else:
        out += Markup("<p><strong>Not checked:</strong> nothing that this program knows how to check.</p>")
    if result.warnings:
        out += Markup("<p><strong>Warnings</strong></p>") + tables.items(result.warnings)
    return out


def ending(scenario: Scenario, result: Header) -> tuple[Part, ...]:
    """Return the parts that end every page, from the measures to the scenario's own text."""
    return (
        Part("measures", "Every measure", tables.measured(scenario)),
        Part("assumed", "What was assumed", _assumed(result)),
        Part("sources", "Where the figures come from", _sources()),
        Part("cautions", "Cautions", tables.items([CAUTIONS.get(place, place) for place in places(result)])),
        Part("scenario", "The scenario's own text", _own_text(scenario)),
    )


def _assumed(result: Header) -> Markup:
    rows = [(a.path, a.value, a.why) for a in result.assumptions]
    notes = list(result.notes)
    if result.bound_mm is not None:
        notes.append(
            f"The envelope's own bound: a clearance kept may be short by up to {result.bound_mm:.2f} mm."
        )
    return tables.table(
        "Assumed, since the scenario does not say", ("what", "value", "why"), rows
    ) + tables.items(notes)


def _sources() -> Markup:
    return tables.table("What is computed how, by which source", ("figure", "how", "source"), SOURCES)


def _own_text(scenario: Scenario) -> Markup:
    if not scenario.text:
        return Markup("")
    put = [f"--set {text}" for text in scenario.sets]
    over = Markup("<p>Put over the file: {}</p>").format("; ".join(put)) if put else Markup("")
    return over + Markup('<pre tabindex="0" role="group" aria-label="The scenario file">{}</pre>').format(
        scenario.text
    )
