"""Bolt circle, bore and holes, seen from outboard."""

from __future__ import annotations

import math

from wellroom.report.draw.block import Titles, add_block
from wellroom.report.draw.board import Board, Figure
from wellroom.report.draw.model import Box, Drawing, Line, Point, Ring, Stroke
from wellroom.report.draw.words import exact, fitting_scale, said
from wellroom.search.hub import HubSize
from wellroom.search.sketch import WheelSketch
from wellroom.units import Units

PAPER = (120.0, 110.0)
_HOLE_AIR = 1.0


def hub(
    size: HubSize,
    wheel: WheelSketch | None,
    titles: Titles,
    units: Units,
    name: str = "hub",
    least_scale: float = 1.0,
    block: bool = True,
) -> Drawing | None:
    """Return the bolt circle's drawing; None where the hub's studs or their circle were not measured.

    The chord is centre to centre of neighbouring studs. The scale is no larger than 1:``least_scale``;
    ``block`` says whether it has a title block of its own.
    """
    if size.studs is None or size.circle is None:
        return None
    hole = wheel.hole if wheel is not None and wheel.hole else (size.stud or 0.0) + _HOLE_AIR
    bore = wheel.bore if wheel is not None else None
    edge = size.circle / 2.0 + max(hole, 12.0) * 1.6
    scale = max(fitting_scale(2.0 * edge, 2.0 * edge, PAPER), least_scale)
    window = Box(-edge, -edge, edge, edge)
    board = Board(scale, window)
    board.add(Ring((0.0, 0.0), edge, Line.THIN, tone="soft"))
    board.add(Ring((0.0, 0.0), size.circle / 2.0, Line.CENTRE))
    board.add(
        Stroke(((-edge * 1.06, 0.0), (edge * 1.06, 0.0)), Line.CENTRE),
        Stroke(((0.0, -edge * 1.06), (0.0, edge * 1.06)), Line.CENTRE),
    )
    centres = _centres(size.studs, size.circle / 2.0)
    for centre in centres:
        if hole > _HOLE_AIR:
            board.add(Ring(centre, hole / 2.0, Line.OUTLINE))
        out = (size.circle / 2.0 + max(hole, 10.0)) / (size.circle / 2.0)
        within = (size.circle / 2.0 - max(hole, 10.0)) / (size.circle / 2.0)
        board.add(
            Stroke(
                ((centre[0] * within, centre[1] * within), (centre[0] * out, centre[1] * out)), Line.CENTRE
            )
        )
    if bore:
        board.add(Ring((0.0, 0.0), bore / 2.0, Line.OUTLINE))
    if size.pilot:
        board.add(Ring((0.0, 0.0), size.pilot / 2.0, Line.HIDDEN))
    if size.protrusion:
        board.add(Ring((0.0, 0.0), size.protrusion / 2.0, Line.HIDDEN, tone="soft"))
    _figures(board, size, centres, bore, hole, units, edge)
    if block:
        add_block(board, titles)
    return board.finish(name, titles.what, describe(size, bore, hole, units))


def describe(size: HubSize, bore: float | None, hole: float, units: Units) -> str:
    """Return what a reader who can't see the drawing is told."""
    circle = size.circle or 0.0
    parts = [f"{size.studs} studs on a circle of {said(circle, units)}, seen from outboard."]
    if bore:
        parts.append(f"Bore {said(bore, units)}.")
    if size.pilot:
        parts.append(f"Hub pilot {said(size.pilot, units)}.")
    if hole > _HOLE_AIR:
        parts.append(f"Holes {said(hole, units)}.")
    parts.append("Order by calipers or a full-size template, not by tape.")
    return " ".join(parts)


def _centres(studs: int, radius: float) -> list[Point]:
    first = math.pi / 2.0 + (math.pi / studs if studs % 2 == 0 else 0.0)
    return [
        (
            radius * math.cos(first - 2.0 * math.pi * n / studs),
            radius * math.sin(first - 2.0 * math.pi * n / studs),
        )
        for n in range(studs)
    ]


def _figures(
    board: Board,
    size: HubSize,
    centres: list[Point],
    bore: float | None,
    hole: float,
    units: Units,
    edge: float,
) -> None:
    k = board.scale
    circle = size.circle or 0.0
    text = exact(circle, units)
    half = circle / 2.0
    board.dimensions(
        [Figure((-half, 0.0), (half, 0.0), f"bolt circle {text[0]}", text[1], badge="4", tone="accent")],
        "below",
        -edge - 3.0 * k,
    )
    if size.studs and size.studs % 2 == 0:
        low, high = sorted(centres[:2])
        chord = exact(high[0] - low[0], units)
        board.dimensions(
            [Figure(low, high, f"chord {chord[0]}", chord[1], badge="4")], "above", edge + 3.0 * k
        )
    figures = []
    if bore:
        text = exact(bore, units)
        figures.append(Figure((0.0, -bore / 2.0), (0.0, bore / 2.0), f"bore {text[0]}", text[1]))
    if figures:
        board.dimensions(figures, "right", edge + 3.0 * k)
    zone = Box(-edge - 46.0 * k, -edge, edge + 46.0 * k, edge + 30.0 * k)
    if size.pilot:
        text = exact(size.pilot, units)
        tip = (-size.pilot / 2.0 * 0.7071, size.pilot / 2.0 * 0.7071)
        board.callout(tip, (f"pilot {text[0]}", f"({text[1]})"), zone, badge="5")
    if size.protrusion:
        text = exact(size.protrusion, units)
        tip = (-size.protrusion / 2.0 * 0.7071, -size.protrusion / 2.0 * 0.7071)
        board.callout(tip, (f"hub {text[0]}", f"({text[1]})"), zone, badge="6", tone="soft")
    if hole > _HOLE_AIR:
        text = exact(hole, units)
        tip = centres[min(2, len(centres) - 1)]
        board.callout(
            (tip[0] + hole / 2.0 * 0.7, tip[1] + hole / 2.0 * 0.7),
            (f"{size.studs} holes {text[0]}", f"({text[1]})"),
            zone,
            badge="8",
        )
