"""The section through wheel, tire, brake, disc, mounting face, lip and what stands near: the upper half, to
scale.

What stands at another clock is turned into the plane of the section at its own distance from the axis, and
drawn
thin. The viewer looks along the axle's wheel with outboard to the right.
"""

from __future__ import annotations

from collections.abc import Sequence

from wellroom.report.draw.block import Titles, add_block
from wellroom.report.draw.board import Board
from wellroom.report.draw.detail import add_detail
from wellroom.report.draw.model import Box, Drawing, around
from wellroom.report.draw.section_figures import add_clearances, add_dimensions, add_names, thing_of
from wellroom.report.draw.section_parts import Subject, add_parts
from wellroom.report.draw.words import PAGE, SCALES, clearance, said
from wellroom.report.measures import short_size
from wellroom.search.contact import pose_words
from wellroom.search.results import AxleFit
from wellroom.search.sketch import AxleSketch
from wellroom.search.wheel_sketch import Mark, WheelSketch
from wellroom.units import Units

_TIERS = 24.0
SIDES = (36.0, 30.0)
"""Paper kept beside the tire for what stands near and for what is said of it [mm of paper]; less where it
must.
"""
MARKS = 6
_MUCH = 75.0
_BADGED = 40.0
"""What the label of a thing with its number takes beside its line [mm of paper]."""


def section(
    axle: AxleSketch,
    wheel: WheelSketch,
    fit: AxleFit,
    today: WheelSketch | None,
    titles: Titles,
    units: Units,
    name: str = "section",
) -> Drawing:
    """Return the section of one axle's wheel; ``today`` is ghosted behind it.

    The scale is the largest at which the drawing goes onto a page.
    """
    of = Subject(axle, wheel, fit, today, units, clearances_worth_drawing(axle, wheel))
    ways = [(scale, side, detail) for scale in SCALES[1:] for side in SIDES for detail in (True, False)]
    drawing = None
    for scale, side, detail in ways:
        if _width(wheel, today) / scale + 2.0 * side > PAGE[0]:
            continue
        drawing = _at_scale(of, titles, name, scale, side, detail)
        if drawing.paper[0] <= PAGE[0] and drawing.paper[1] <= PAGE[1]:
            break
    assert drawing is not None
    return drawing


def _width(wheel: WheelSketch, today: WheelSketch | None) -> float:
    """Return the width of tire and rim, today's among them [mm]."""
    outlines = [*wheel.largest, *wheel.rim, *(today.tire if today else ()), *(today.rim if today else ())]
    return around(outlines).width


def _at_scale(of: Subject, titles: Titles, name: str, scale: float, side: float, detail: bool) -> Drawing:
    box = around([*of.wheel.largest, *of.wheel.rim])
    if of.today is not None:
        box = box.joined(around([*of.today.tire, *of.today.rim]))
    top = _top(of.axle, box)
    most = box.left + (PAGE[0] - _TIERS - side) * scale
    right = _right(of, box.right + side * scale, most, scale)
    slack = max(most - right, 0.0)
    cut = [y0 for y0, y1, _, _, across in (t.section() for t in of.axle.near) if across and y1 < box.left]
    least = box.left - side * scale
    left = min(max(min(cut, default=box.left) - 8.0 * scale, least - slack), least)
    board = Board(scale, Box(left, -2.0 * scale, right, top))
    lips, nears = add_parts(board, of)
    add_dimensions(board, of, top)
    add_clearances(board, of)
    add_names(board, of, lips, nears)
    if detail:
        add_detail(board, of)
    add_block(board, titles)
    return board.finish(name, titles.what, describe(of.axle, of.wheel, of.fit, of.tight, of.units))


def _right(of: Subject, right: float, most: float, scale: float) -> float:
    """Return the window's right side [mm], moved out a little for a clearance at its edge, and so far that
    the label of one outboard of the wheel stands beside it where the page has that room (``most``).
    """
    marks = [(m, m.at[0]) for m in of.tight if m.at and m.at[0] < right + 10.0 * scale]
    needed = [at + 8.0 * scale for _, at in marks]
    edge = around(of.wheel.largest).right - 8.0 * scale
    beside = [at + _BADGED * scale for m, at in marks if edge < at < right and thing_of(m, of.axle)]
    return max([right, *needed, *(min(place, most) for place in beside)])


def _top(axle: AxleSketch, box: Box) -> float:
    known = [point.radius for point in axle.lip if abs(point.clock) < 0.3]
    return max([box.high, *known]) + 20.0


def clearances_worth_drawing(axle: AxleSketch, wheel: WheelSketch) -> list[Mark]:
    """Return the clearances worth drawing: the tightest, and others of which little is left."""
    mine: list[Mark] = []
    for mark in wheel.marks:
        thing = thing_of(mark, axle)
        if _on_this_end(mark, axle) and (not thing or all(thing_of(m, axle) != thing for m in mine)):
            mine.append(mark)
    return [mark for k, mark in enumerate(mine) if k < 2 or mark.margin < _MUCH][:MARKS]


def _on_this_end(mark: Mark, axle: AxleSketch) -> bool:
    return mark.contact.side in (None, "both", axle.side)


def describe(axle: AxleSketch, wheel: WheelSketch, fit: AxleFit, tight: Sequence[Mark], units: Units) -> str:
    """Return what a reader who can't see the section is told: its key dimensions and clearances."""
    parts = [
        f"Upper half section through the {axle.axle} wheel, {axle.side} side, outboard to the right.",
        f"{short_size(fit.tire.size)}: diameter {said(wheel.od, units)}, "
        f"section {said(wheel.section, units)}.",
        f"Backspace {said(fit.backspace_mm, units)}, front space "
        f"{said(wheel.overall - fit.backspace_mm, units)}, "
        f"overall width of the rim {said(wheel.overall, units)}, inset {said(fit.inset_mm, units)}.",
    ]
    if fit.poke_mm is not None:
        parts.append(f"Poke {said(fit.poke_mm, units)}, inside {said(fit.inside_mm or 0.0, units)}.")
    if fit.gap_mm is not None:
        parts.append(f"Gap to the lip at ride height {said(fit.gap_mm, units)}.")
    parts += [
        f"{mark.what.capitalize()}: {clearance(mark.distance, mark.asked, units)}{_at(mark, units)}."
        for mark in tight
    ]
    parts.append("The thickness of the tire's walls is drawn as usual, it was not measured.")
    return " ".join(parts)


def _at(mark: Mark, units: Units) -> str:
    pose = pose_words(mark.contact, units)
    return f" at {pose}" if pose else ""
