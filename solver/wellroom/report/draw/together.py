"""Several drawings of one scale set together in one world: for one sheet, for one file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wellroom.report.draw.block import Titles, add_block
from wellroom.report.draw.board import Board
from wellroom.report.draw.model import Clearance, Dimension, Drawing, Element, Hatching, Label, Point, Ring

APART = 8.0
"""Air between two drawings [mm of paper]."""


def together(
    name: str, title: str, drawings: Sequence[Drawing], down: bool = False, titles: Titles | None = None
) -> Drawing:
    """Return drawings of one scale (one at least) as one, from left to right, or ``down`` the page.

    Under them a title block, where ``titles`` are given. Raises ValueError for different scales.
    """
    scale = drawings[0].scale
    if any(drawing.scale != scale for drawing in drawings):
        raise ValueError("drawings of different scales can't be set together")
    board = Board(scale, drawings[0].box)
    at = 0.0
    for drawing in drawings:
        box = drawing.box
        if down:
            by = (-(box.left + box.right) / 2.0, at - box.high)
            at -= box.height + APART * scale
        else:
            by = (at - box.left, -box.low)
            at += box.width + APART * scale
        board.elements += [moved(element, *by) for element in drawing.elements]
    if titles is not None:
        add_block(board, titles)
    return board.finish(name, title, " ".join(drawing.description for drawing in drawings))


def moved(element: Element, dx: float, dy: float) -> Element:
    """Return an element moved by (dx, dy) [mm of the world]."""

    def to(point: Point) -> Point:
        return (point[0] + dx, point[1] + dy)

    if isinstance(element, Ring):
        return replace(element, centre=to(element.centre))
    if isinstance(element, Label):
        return replace(element, at=to(element.at))
    if isinstance(element, Hatching):
        return replace(element, segments=tuple((to(a), to(b)) for a, b in element.segments))
    if isinstance(element, Dimension):
        return replace(
            element,
            first=to(element.first),
            second=to(element.second),
            at=element.at + (dx if element.vertical else dy),
            label=replace(element.label, at=to(element.label.at)),
        )
    if isinstance(element, Clearance):
        label = replace(element.label, at=to(element.label.at))
        return replace(element, first=to(element.first), second=to(element.second), label=label)
    return replace(element, points=tuple(to(point) for point in element.points))
