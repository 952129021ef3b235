"""The page of a ``compare``: the stances drawn side by side at one scale, then measure by measure."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from wellroom.report import compare as text_compare
from wellroom.report import measures
from wellroom.report.draw.block import Titles
from wellroom.report.draw.stances import Panel, stances
from wellroom.report.web import shared
from wellroom.report.web.figures import figure, side_by_side
from wellroom.report.web.parts import Part, dual_block
from wellroom.report.web.shell import Answer, page_text
from wellroom.report.web.words import parts_of
from wellroom.scenario.model import Scenario
from wellroom.search.compare import CompareResult
from wellroom.search.pictures import ComparePictures
from wellroom.search.results import AXLES, Axle, Plan
from wellroom.search.sketch import TODAY
from wellroom.units import Units


def compare_html(scenario: Scenario, made: ComparePictures, units: Units) -> str:
    """Return the page of a comparison as one HTML text; ``units`` are shown to begin with."""
    result = made.result
    parts = (
        Part("stances", "Side by side, at one scale", _drawn(made)),
        Part("checked", "What was checked, what was not", shared.checked(result)),
        *parts_of(lambda u: text_compare.side_by_side(result, u)),
        *shared.ending(scenario, result),
    )
    return page_text(result.scenario, "stances compared", [Answer(text_compare.answer(result), parts)], units)


def _drawn(made: ComparePictures) -> Markup:
    """Return a drawing of each axle with all stances on it, in both units."""
    out = []
    for axle in AXLES:
        panels = tuple(_panels(made, axle))

        def one(units: Units, axle: Axle = axle, panels: tuple[Panel, ...] = panels) -> Markup:
            drawing = stances(panels, _titles(made.result, axle, units), units)
            return Markup("") if drawing is None else figure(drawing, f"stances-{axle}-{units}", "left")

        out.append(dual_block(one))
    return side_by_side(out)


def _titles(result: CompareResult, axle: Axle, units: Units) -> Titles:
    lacking = [entry.what for entry in result.not_checked if entry.what.startswith(axle)]
    words = ", ".join(name.partition(".")[2].replace("_", " ") for name in lacking)
    return Titles(
        f"Stances side by side, {axle} wheel",
        result.scenario,
        "the best of each stance",
        words or "nothing that this program knows how to check",
        units,
    )


def _panels(made: ComparePictures, axle: Axle) -> Iterator[Panel]:
    result, end = made.result, made.sketch.axles[axle]
    columns: list[tuple[str, Plan | None]] = [("today", result.today)]
    columns += [(column.stance, column.plan) for column in result.columns]
    for number, (name, plan) in enumerate(columns, TODAY):
        wheel = made.sketch.wheels.get((number, axle))
        fit = plan.axles.get(axle) if plan else None
        if wheel is None or fit is None:
            continue
        figures = {
            "backspace": fit.backspace_mm,
            "poke": fit.poke_mm,
            "gap": fit.gap_mm,
            "tire": fit.tire.od_mm,
            "section": fit.tire.section_mm,
        }
        yield Panel(
            name,
            f"{measures.short_size(fit.tire.size)} on {measures.rim(fit.rim_diameter_in, fit.rim_width_in)}",
            wheel.tire,
            wheel.cavity,
            wheel.rim,
            wheel.disc,
            end.body_out,
            end.lip_radius,
            tuple((what, value) for what, value in figures.items() if value is not None),
        )
