"""What the section shows: axis, brake, hub, wheel and tire, the body's edge, what stands near."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wellroom.report.draw.board import Board
from wellroom.report.draw.model import Area, Box, Line, Point, Ring, Stroke
from wellroom.report.draw.shapes import clip_polygon, hatch, rectangle
from wellroom.report.draw.words import both
from wellroom.search.results import AxleFit
from wellroom.search.sketch import AxleSketch, LipPoint
from wellroom.search.wheel_sketch import Mark, WheelSketch
from wellroom.units import Units

TALL = 4.5
"""How much of the body's side is drawn above its lip [mm of paper]."""


@dataclass(frozen=True)
class Subject:
    """What is drawn: one axle's wheel with its answer, today's behind it, in the reader's units; ``tight``
    are the clearances worth drawing.
    """

    axle: AxleSketch
    wheel: WheelSketch
    fit: AxleFit
    today: WheelSketch | None
    units: Units
    tight: Sequence[Mark]


@dataclass(frozen=True)
class Shown:
    """Something drawn that wants a name: where its leader points, the name, the worksheet's number."""

    tip: Point
    name: str
    badge: str = ""


@dataclass(frozen=True)
class ShownNear:
    """A thing near that is drawn: its place in the axle's list, a point on it, whether the plane cuts it."""

    index: int
    tip: Point
    across: bool


def add_parts(board: Board, of: Subject) -> tuple[list[Shown], list[ShownNear]]:
    """Draw all parts; return the body's edges and the things near that are to be named."""
    with board.on("axis"):
        _axis(board, of.axle)
    if of.today is not None:
        with board.on("today"):
            board.line(of.today.tire, Line.OTHER, closed=True, tone="soft")
            board.line(of.today.rim, Line.OTHER, closed=True, tone="soft")
    draw_brake(board, of.axle)
    draw_hub(board, of.axle)
    _wheel(board, of.wheel, bulged=any(mark.low for mark in of.tight))
    lips = _lips(board, of.axle, of.units)
    with board.on("near"):
        return lips, _near(board, of.axle)


def nearest_up(points: Sequence[LipPoint]) -> LipPoint | None:
    """Return the point of a lip that is nearest to straight up."""
    return min(points, key=lambda point: abs(point.clock), default=None)


def _axis(board: Board, axle: AxleSketch) -> None:
    k, window = board.scale, board.window
    board.add(Stroke(((window.left + 6 * k, 0.0), (window.right - 6 * k, 0.0)), Line.CENTRE))
    high = max(axle.hub.circle / 2.0 + 20.0 if axle.hub.circle else 120.0, 60.0)
    board.add(Stroke(((0.0, 0.0), (0.0, high)), Line.EDGE))


def draw_brake(board: Board, axle: AxleSketch) -> None:
    """Draw the brake's outline, its shell cross-hatched."""
    if len(axle.brake) < 2:
        return
    first, last = axle.brake[0], axle.brake[-1]
    polygon = ((first[0], 0.0), *axle.brake, (last[0], 0.0))
    shell = clip_polygon(polygon, Box(-1e6, max(last[1] * 0.62, 0.0), 1e6, 1e6))
    with board.on("brake"):
        if len(shell) > 2:
            for angle in (45.0, -45.0):
                board.add(hatch([shell], angle, 1.8 * board.scale, "soft"))
        board.line(polygon, Line.OUTLINE)


def draw_hub(board: Board, axle: AxleSketch) -> None:
    """Draw the pilot, what stands out of the hub, and the line of the studs."""
    hub = axle.hub
    with board.on("hub"):
        if hub.protrusion and hub.protrusion_length:
            _stub(board, hub.protrusion / 2.0, hub.protrusion_length)
        if hub.pilot:
            _stub(board, hub.pilot / 2.0, max(axle.disc_clamped or 8.0, 6.0))
    if hub.circle:
        r = hub.circle / 2.0
        with board.on("axis"):
            board.line(((-30.0, r), (45.0, r)), Line.CENTRE)


def _stub(board: Board, radius: float, reach: float) -> None:
    """Draw the upper half of a cylinder that stands out of the face."""
    board.line(((0.0, radius), (reach, radius), (reach, 0.0)), Line.EDGE)


def _wheel(board: Board, wheel: WheelSketch, bulged: bool) -> None:
    with board.on("tire"):
        walls = [clip_polygon(outline, board.window) for outline in (wheel.tire, wheel.cavity)]
        board.add(hatch(walls, -45.0, 3.2 * board.scale, "soft"))
        board.line(wheel.cavity, Line.THIN, closed=True, tone="soft")
        board.line(wheel.tire, Line.OUTLINE, closed=True)
        board.line([point for point in wheel.largest if point[1] > wheel.flange_radius], Line.THIN)
        if bulged:
            board.line([point for point in wheel.bulged if point[1] > wheel.flange_radius], Line.HIDDEN)
    with board.on("wheel"):
        if not wheel.known:
            board.line(wheel.rim, Line.HIDDEN, closed=True)
            return
        for outline, angle in ((wheel.rim, 45.0), (wheel.disc, 45.0), (wheel.adapter, -45.0)):
            if outline:
                board.cut(outline, (angle,), 1.0)


def _lips(board: Board, axle: AxleSketch, units: Units) -> list[Shown]:
    """Draw the body's edge at the clock nearest to straight up, at ride height and at full bump."""
    at_top = nearest_up(axle.lip)
    if at_top is None:
        return []
    text = "lip at ride height"
    if at_top.flange is not None and at_top.flange != at_top.out:
        text += f", flange {both(at_top.flange, units)[0]} out"
    with board.on("body"):
        out = [Shown(_edge(board, at_top, at_top.radius, TALL, Line.OUTLINE), text, "13")]
    if axle.bump > 0.0:
        low = nearest_up(axle.lip_at_stop)
        radius = low.radius if low is not None else at_top.radius - axle.bump
        with board.on("moved"):
            out.append(Shown(_edge(board, low or at_top, radius, 0.6 * TALL, Line.OTHER), "lip at full bump"))
    return out


def _edge(board: Board, point: LipPoint, radius: float, tall: float, line: Line) -> Point:
    """Draw the body's edge with its flange, ``tall`` [mm of paper]; return the point to name it by."""
    outer = point.out if point.out is not None else point.flange
    inner = point.flange if point.flange is not None else outer
    if outer is None or inner is None:
        return (0.0, radius)
    rise = min(board.window.high - 4.0 * board.scale, radius + tall * board.scale)
    flange = ((inner, radius + 3.0), (inner, radius)) if outer != inner else ()
    board.add(Stroke((*flange, (outer, radius), (outer, rise)), line))
    return (outer, (radius + rise) / 2.0)


def _near(board: Board, axle: AxleSketch) -> list[ShownNear]:
    out, window = [], board.window
    inner = Box(window.left + 1.0 * board.scale, window.low, window.right, window.high)
    for thing in axle.near:
        y0, y1, r0, r1, across = thing.section()
        if thing.shape == "point":
            if inner.left < y0 < inner.right and inner.low < r0 < inner.high:
                board.add(Ring((y0, r0), 1.1 * board.scale, Line.EDGE))
                board.add(Area(Ring((y0, r0), 0.4 * board.scale).points(45.0)))
                out.append(ShownNear(thing.index, (y0, r0), False))
            continue
        shape = clip_polygon(rectangle(y0, r0, y1, r1), inner)
        if len(shape) < 3:
            continue
        if across:
            board.add(hatch([shape], 45.0, 2.4 * board.scale, "soft"))
        board.line(rectangle(y0, r0, y1, r1), Line.EDGE if across else Line.THIN, closed=True)
        edge = max(shape, key=lambda p: (p[0] if y1 < 0 else -p[0], -p[1]))
        middle = (edge[0], (min(p[1] for p in shape) + max(p[1] for p in shape)) / 2.0)
        out.append(ShownNear(thing.index, middle, across))
    return out
