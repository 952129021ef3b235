"""Bolt circle, bore and holes, seen from outboard."""

from __future__ import annotations

import math
from dataclasses import replace

from wellroom.report.draw.block import Titles, add_block
from wellroom.report.draw.board import Board, Figure
from wellroom.report.draw.model import Box, Drawing, Line, Point, Ring, Stroke, Tone
from wellroom.report.draw.words import PAGE, SCALES, exact, said
from wellroom.search.hub import HubSize
from wellroom.search.sketch import WheelSketch
from wellroom.units import Units

_HOLE_AIR = 1.0
_AXIS = 1.06


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
    drawing = None
    for scale in (scale for scale in SCALES[1:] if scale >= least_scale):
        drawing = _at_scale(size, bore, hole, titles if block else None, units, scale)
        if drawing.paper[0] <= PAGE[0] and drawing.paper[1] <= PAGE[1]:
            break
    return None if drawing is None else replace(drawing, name=name, title=titles.what)


def _at_scale(
    size: HubSize, bore: float | None, hole: float, titles: Titles | None, units: Units, scale: float
) -> Drawing:
    circle = size.circle or 0.0
    edge = circle / 2.0 + max(hole, 12.0) * 1.6
    board = Board(scale, Box(-edge, -edge, edge, edge))
    centres = _centres(size.studs or 0, circle / 2.0)
    with board.on("axis"):
        board.add(
            Ring((0.0, 0.0), circle / 2.0, Line.CENTRE),
            Stroke(((-edge * _AXIS, 0.0), (edge * _AXIS, 0.0)), Line.CENTRE),
            Stroke(((0.0, -edge * _AXIS), (0.0, edge * _AXIS)), Line.CENTRE),
        )
        within, out = (1.0 + way * 2.0 * max(hole, 10.0) / circle for way in (-1.0, 1.0))
        for x, y in centres:
            board.add(Stroke(((x * within, y * within), (x * out, y * out)), Line.CENTRE))
    with board.on("wheel"):
        board.add(Ring((0.0, 0.0), edge, Line.THIN, tone="soft"))
        if hole > _HOLE_AIR:
            board.add(*(Ring(centre, hole / 2.0, Line.OUTLINE) for centre in centres))
        if bore:
            board.add(Ring((0.0, 0.0), bore / 2.0, Line.OUTLINE))
    with board.on("hub"):
        if size.pilot:
            board.add(Ring((0.0, 0.0), size.pilot / 2.0, Line.HIDDEN))
        if size.protrusion:
            board.add(Ring((0.0, 0.0), size.protrusion / 2.0, Line.HIDDEN, tone="soft"))
    _dimensions(board, size, centres, bore, units, edge)
    _names(board, size, centres, hole, units, edge)
    if titles is not None:
        add_block(board, titles)
    return board.finish("hub", "", describe(size, bore, hole, units))


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


def _dimensions(
    board: Board, size: HubSize, centres: list[Point], bore: float | None, units: Units, edge: float
) -> None:
    start = edge * _AXIS + 2.0 * board.scale
    circle = size.circle or 0.0
    text, half = exact(circle, units), circle / 2.0
    across = Figure((-half, 0.0), (half, 0.0), f"bolt circle {text[0]}", text[1], badge="4", tone="accent")
    board.dimensions([across], "below", -start)
    if len(centres) % 2 == 0:
        low, high = sorted(centres[:2])
        text = exact(high[0] - low[0], units)
        chord = Figure(low, high, f"chord {text[0]}", text[1], badge="4")
        board.dimensions([chord], "above", start)
    if bore:
        text = exact(bore, units)
        figure = Figure((0.0, -bore / 2.0), (0.0, bore / 2.0), f"bore {text[0]}", text[1])
        board.dimensions([figure], "right", start)


def _names(board: Board, size: HubSize, centres: list[Point], hole: float, units: Units, edge: float) -> None:
    k = board.scale
    side = max((PAGE[0] - 2.0 * edge / k) / 2.0 - 1.0, 20.0) * k
    zone = Box(-edge - side, -edge, edge + side, edge + 30.0 * k)
    wanted: list[tuple[Point, str, float | None, str, Tone]] = [
        (_on_circle(size.pilot, 135.0), "pilot", size.pilot, "5", "ink"),
        (_on_circle(size.protrusion, 225.0), "hub", size.protrusion, "6", "soft"),
    ]
    if hole > _HOLE_AIR:
        wanted.append((_on_circle(hole, 45.0, centres[min(1, len(centres) - 1)]), "holes", hole, "", "ink"))
    wanted.append((centres[min(2, len(centres) - 1)], "stud", size.stud, "8", "ink"))
    for tip, name, value, badge, tone in wanted:
        if value:
            text = exact(value, units)
            many = f"{size.studs} " if name == "holes" else ""
            board.callout(tip, (f"{many}{name} {text[0]}", f"({text[1]})"), zone, badge=badge, tone=tone)
    board.callout(centres[-1], (f"{size.studs} studs",), zone, badge="3", tone="soft", mark="dot")


def _on_circle(diameter: float | None, degrees: float, centre: Point = (0.0, 0.0)) -> Point:
    """Return the point of a circle at an angle from +x."""
    angle, radius = math.radians(degrees), (diameter or 0.0) / 2.0
    return (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
