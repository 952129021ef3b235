"""Shipped scenarios made into pictures once, for the tests of drawings and pages."""

from __future__ import annotations

from functools import cache

import wellroom
from wellroom.catalog import Catalog
from wellroom.data import scenarios_dir
from wellroom.report.draw.model import Box, Drawing, Label
from wellroom.report.draw.windows import windows
from wellroom.report.web.build import plans_by_rank
from wellroom.report.web.figures import Figures
from wellroom.scenario.model import Scenario
from wellroom.search.pictures import ComparePictures, Pictures, compare_pictures, fit_pictures
from wellroom.search.vary_results import VaryResult

CASES = (
    ("fire_tender", "ridge"),
    ("fire_tender", "saddle"),
    ("fire_tender", "shelf"),
    ("pickup_taller", None),
    ("wagon_flush", "flush"),
    ("wagon_flush", "discreet"),
    ("least", None),
)
TOP = 2
FEW = ("38x13.50R20LT", "40x13.50R20LT", "41x14.50R20LT")


@cache
def catalog() -> Catalog:
    """Return the shipped catalogs."""
    return wellroom.load_catalog()


@cache
def scenario(name: str) -> Scenario:
    """Return a shipped scenario."""
    return wellroom.load_scenario(scenarios_dir() / f"{name}.toml")


@cache
def pictures(name: str, stance: str | None = None) -> Pictures:
    """Return the two best combinations of a shipped scenario with what their page draws."""
    return fit_pictures(scenario(name), catalog(), stance=stance, top=TOP)


@cache
def compared(name: str = "fire_tender") -> ComparePictures:
    """Return the stances of a shipped scenario side by side."""
    return compare_pictures(scenario(name), catalog())


@cache
def swept(*inputs: str) -> VaryResult:
    """Return a sweep of the tender's inputs, of a few tires."""
    read = scenario("fire_tender")
    return wellroom.vary(read, catalog(), *inputs, stance="saddle", tires=FEW, rims=("20x10", "20x11"))


@cache
def figures(name: str, stance: str | None = None) -> Figures:
    """Return the maker of a shipped scenario's figures."""
    made = pictures(name, stance)
    return Figures(made.result, made.sketch, plans_by_rank(made.result), 1)


@cache
def every_drawing(name: str, stance: str | None = None) -> dict[str, Drawing]:
    """Return the drawings and window charts of every rank of a shipped scenario, in both units."""
    out = {}
    made = figures(name, stance)
    for rank, plan in made.plans.items():
        for units in ("in", "mm"):
            for key, drawing in made.drawings(rank, units).items():
                out[f"{rank}-{units}-{key}"] = drawing
            for axle, fit in plan.axles.items():
                chart = windows(fit, axle, "windows", units)
                if chart is not None:
                    out[f"{rank}-{units}-{axle}-windows"] = chart
    return out


def overlapping(drawing: Drawing) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Return the pairs of labels whose boxes overlap."""
    boxes: list[tuple[Label, Box]] = [(label, label.box(drawing.scale)) for label in drawing.labels()]
    return [
        (a.rows, b.rows)
        for index, (a, box) in enumerate(boxes)
        for b, other in boxes[:index]
        if box.overlaps(other)
    ]
