"""Stances side by side at one scale: each the upper half section of one wheel under its body's edge, plain
data in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wellroom.report.draw.block import Titles, add_block
from wellroom.report.draw.board import Board, characters
from wellroom.report.draw.model import BODY, SMALL, Box, Drawing, Label, Line, Points, Stroke, around
from wellroom.report.draw.shapes import clip_polygon, hatch, wrapped
from wellroom.report.draw.words import both, fitting_scale, said
from wellroom.units import Units

WIDE, HIGH = 180.0, 120.0
_GAP = 40.0


@dataclass(frozen=True)
class Panel:
    """One stance: its name, what it is, the outlines (y, r) of tire, its cavity, rim and disc, and where
    the body's edge is [mm].

    ``figures``: (name, value [mm]) written under it.
    """

    name: str
    combination: str
    tire: Points
    cavity: Points
    rim: Points
    disc: Points
    body_out: float | None
    lip_radius: float | None
    figures: tuple[tuple[str, float], ...]


def stances(panels: Sequence[Panel], titles: Titles, units: Units, name: str = "stances") -> Drawing | None:
    """Return the panels side by side, one scale, mounting faces in line; None without a panel."""
    if not panels:
        return None
    boxes = [around([*p.tire, *p.rim, (p.body_out or 0.0, p.lip_radius or 0.0), (0.0, 0.0)]) for p in panels]
    wide = max(b.right for b in boxes) - min(b.left for b in boxes) + _GAP
    high = max(b.high for b in boxes)
    scale = fitting_scale(wide * len(panels), high, (WIDE, HIGH))
    pitch = max(wide, 34.0 * scale)
    board = Board(scale, Box(-pitch, -10.0, pitch * (len(panels) + 1), high + 60.0))
    for index, panel in enumerate(panels):
        _panel(board, panel, index * pitch - min(b.left for b in boxes), pitch, units)
    add_block(board, titles)
    return board.finish(name, titles.what, describe(panels, units))


def describe(panels: Sequence[Panel], units: Units) -> str:
    """Return what a reader who can't see the drawing is told."""
    parts = []
    for panel in panels:
        figures = ", ".join(f"{name} {said(value, units)}" for name, value in panel.figures)
        parts.append(f"{panel.name}: {panel.combination}; {figures}.")
    return " ".join(parts)


def _panel(board: Board, panel: Panel, x: float, pitch: float, units: Units) -> None:
    k = board.scale

    def at(points: Points) -> Points:
        return tuple((y + x, r) for y, r in points)

    if panel.tire:
        walls = [clip_polygon(at(outline), board.window) for outline in (panel.tire, panel.cavity) if outline]
        with board.on("tire"):
            board.add(hatch(walls, -45.0, 2.4 * k, "soft"))
            if panel.cavity:
                board.line(at(panel.cavity), Line.THIN, closed=True, tone="soft")
            board.line(at(panel.tire), Line.OUTLINE, closed=True)
    with board.on("wheel"):
        for outline in (panel.rim, panel.disc):
            if outline:
                board.cut(at(outline), (45.0,), 1.0)
    box = around(at(panel.tire or panel.rim))
    with board.on("axis"):
        board.add(Stroke(((box.left - 8.0, 0.0), (box.right + 8.0, 0.0)), Line.CENTRE))
        board.add(Stroke(((x, 0.0), (x, box.high + 6.0 * k)), Line.CENTRE))
    if panel.body_out is not None and panel.lip_radius is not None:
        edge, lip = x + panel.body_out, panel.lip_radius
        with board.on("body"):
            board.add(Stroke(((edge - 4.0 * k, lip), (edge, lip), (edge, lip + 6.0 * k)), Line.OUTLINE))
    middle = x + (box.left + box.right - 2.0 * x) / 2.0
    most = max(characters(pitch / k - 3.0), 8)
    rows = [*wrapped(panel.combination, most)]
    for name, value in panel.figures:
        first, second = both(value, units)
        rows += wrapped(f"{name} {first} ({second})", most)
    board.add(Label((middle, -3.0 * k), tuple(rows), SMALL, "middle", 1))
    top = max(box.high, (panel.lip_radius or 0.0) + 6.0 * k)
    board.add(Label((middle, top + 3.0 * k), (panel.name,), BODY, "middle", -1, bold=True))
