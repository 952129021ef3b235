"""The side view in the well: lip by clock, the tire now and then, gap, bump and droop. Forward is to the
right.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from wellroom.report.draw.block import Titles, add_block
from wellroom.report.draw.board import Board, Figure
from wellroom.report.draw.model import SMALL, Box, Drawing, Label, Line, Point, Ring, Stroke
from wellroom.report.draw.shapes import clip_line, rectangle, wrapped
from wellroom.report.draw.words import both, fitting_scale, said
from wellroom.report.measures import short_size
from wellroom.report.numbers import near_number
from wellroom.search.results import AxleFit
from wellroom.search.sketch import AxleSketch, LipPoint, NearThing, WheelSketch
from wellroom.units import Units

PAPER = (164.0, 170.0)
_FAR = 40.0


def well(
    axle: AxleSketch,
    wheel: WheelSketch,
    fit: AxleFit,
    today: WheelSketch | None,
    titles: Titles,
    units: Units,
    name: str = "well",
) -> Drawing:
    """Return the side view of one wheel in its well, the body standing still and the wheel moving."""
    radius = max(wheel.od / 2.0, today.od / 2.0 if today else 0.0)
    lip = max([point.radius for point in axle.lip], default=radius)
    wide = max((abs(place(point.clock, point.radius)[0]) for point in axle.lip), default=0.0)
    points = [thing.low for thing in axle.near if thing.shape == "point"]
    half = max([radius * 1.08, wide * 1.08, *(abs(x) + 20.0 for x, _, _ in points)])
    top = max([lip, radius + axle.bump, *(z for _, _, z in points)]) + 40.0
    scale = fitting_scale(2.0 * half, top + radius + axle.droop + 20.0, PAPER)
    window = Box(-half, -radius - axle.droop - 20.0, half, top)
    board = Board(scale, window)
    with board.on("axis"):
        board.add(
            Stroke(((-radius * 1.06, 0.0), (radius * 1.06, 0.0)), Line.CENTRE),
            Stroke(((0.0, -radius * 0.5), (0.0, top - 10.0)), Line.CENTRE),
        )
    with board.on("tire"):
        board.add(Ring((0.0, 0.0), wheel.od / 2.0, Line.OUTLINE))
    with board.on("wheel"):
        board.add(Ring((0.0, 0.0), wheel.flange_radius, Line.EDGE))
        board.add(Ring((0.0, 0.0), wheel.seat_radius, Line.THIN))
        if wheel.bore:
            board.add(Ring((0.0, 0.0), wheel.bore / 2.0, Line.EDGE))
    if today is not None:
        with board.on("today"):
            board.add(Ring((0.0, 0.0), today.od / 2.0, Line.OTHER, tone="soft"))
    with board.on("moved"):
        if axle.bump > 0.0:
            _arc(board, (0.0, axle.bump), wheel.od_largest / 2.0, 18.0, 162.0)
        if axle.droop > 0.0:
            _arc(board, (0.0, -axle.droop), wheel.od_largest / 2.0, 198.0, 342.0)
    with board.on("near"):
        for thing in axle.near:
            _thing(board, thing)
    with board.on("body"):
        _lip(board, axle.lip, Line.OUTLINE)
        if axle.lip_at_stop:
            _lip(board, [_raised(point, axle.bump) for point in axle.lip_at_stop], Line.HIDDEN)
    _figures(board, axle, wheel, fit, units, window)
    _names(board, axle, wheel, today, units, window)
    add_block(board, titles)
    return board.finish(name, titles.what, describe(axle, wheel, fit, today, units))


def describe(
    axle: AxleSketch, wheel: WheelSketch, fit: AxleFit, today: WheelSketch | None, units: Units
) -> str:
    """Return what a reader who can't see the view is told."""
    parts = [
        f"Side view of the {axle.axle} wheel in its well, {axle.side} side, forward to the right.",
        f"{short_size(fit.tire.size)}, diameter {said(wheel.od, units)}"
        + (f"; today {said(today.od, units)}." if today else "."),
    ]
    if fit.gap_mm is not None:
        parts.append(f"Least gap to the lip at ride height {said(fit.gap_mm, units)}.")
    if axle.bump:
        parts.append(f"Bump {said(axle.bump, units)}.")
    if axle.droop:
        parts.append(f"Droop {said(axle.droop, units)}.")
    parts += [
        f"Lip radius {said(point.radius, units)} at {math.degrees(point.clock):.0f} degrees."
        for point in axle.lip
    ]
    return " ".join(parts)


def place(clock: float, radius: float) -> Point:
    """Return the point of the view at a clock [rad, 0 up, positive forward] and a radius [mm]."""
    return (radius * math.sin(clock), radius * math.cos(clock))


def _raised(point: LipPoint, by: float) -> LipPoint:
    x, z = place(point.clock, point.radius)
    return LipPoint(point.index, math.atan2(x, z + by), math.hypot(x, z + by), point.out, point.flange)


def _arc(board: Board, centre: Point, radius: float, start: float, end: float) -> None:
    points = Ring(centre, radius, start=start, end=end).points()
    for piece in clip_line(points, board.window):
        board.add(Stroke(piece, Line.OTHER))


def _lip(board: Board, lip: Sequence[LipPoint], line: Line) -> None:
    points: list[Point] = []
    for a, b in itertools.pairwise(lip):
        for n in range(9):
            share = n / 8
            points.append(
                place(a.clock + share * (b.clock - a.clock), a.radius + share * (b.radius - a.radius))
            )
    if not points and lip:
        spread = math.radians(7.0)
        points = [place(lip[0].clock + share * spread, lip[0].radius) for share in (-1.0, 0.0, 1.0)]
    if points:
        board.line(points, line)
    for point in lip:
        board.add(Ring(place(point.clock, point.radius), 0.7 * board.scale, Line.EDGE))


def _thing(board: Board, thing: NearThing) -> None:
    (x0, _, z0), (x1, _, z1) = thing.low, thing.high
    if thing.shape == "box":
        board.line(rectangle(x0, z0, x1, z1), Line.HIDDEN, closed=True, tone="soft")
    elif thing.shape == "bar":
        board.line(((x0, z0), (x1, z1)), Line.HIDDEN, tone="soft")
    else:
        board.add(Ring((x0, z0), 1.0 * board.scale, Line.EDGE, tone="soft"))


def _figures(
    board: Board, axle: AxleSketch, wheel: WheelSketch, fit: AxleFit, units: Units, window: Box
) -> None:
    k = board.scale
    radius = wheel.od / 2.0
    tall = both(wheel.od, units)
    right = [Figure((0.0, -radius), (0.0, radius), f"diameter {tall[0]}", tall[1])]
    left = []
    if axle.bump > 0.0:
        text = both(axle.bump, units)
        left.append(Figure((0.0, radius), (0.0, radius + axle.bump), f"bump {text[0]}", text[1]))
    if axle.droop > 0.0:
        text = both(axle.droop, units)
        left.append(
            Figure((0.0, -radius), (0.0, -radius - axle.droop), f"droop {text[0]}", text[1], badge="18")
        )
    top = min(axle.lip, key=lambda p: p.radius, default=None)
    gap = fit.gap_mm
    straight_up = top is not None and abs(top.clock) < 0.02
    if top is not None and straight_up and gap is not None and abs(top.radius - radius - gap) < 0.02:
        text = both(gap, units)
        right.append(Figure((0.0, radius), (0.0, top.radius), f"gap {text[0]}", text[1], tone="accent"))
    board.dimensions(right, "right", window.right + 2.0 * k)
    board.dimensions(left, "left", window.left - 2.0 * k)


def _names(
    board: Board,
    axle: AxleSketch,
    wheel: WheelSketch,
    today: WheelSketch | None,
    units: Units,
    window: Box,
) -> None:
    k = board.scale
    bounds = board.bounds()
    zone = Box(window.left - 20.0 * k, window.low, window.right - k, bounds.high + 14.0 * k)
    for index, point in enumerate(axle.lip):
        clock = f"at {math.degrees(point.clock):.0f}\N{DEGREE SIGN}"
        text = both(point.radius, units)
        badge = "11" if index == 0 or len(axle.lip) <= 5 else ""
        board.callout(place(point.clock, point.radius), (text[0], clock), zone, badge=badge)
    for thing in axle.near:
        tip = _visible(thing, window)
        if tip is not None:
            board.callout(
                tip, wrapped(thing.what, 14), zone, badge=near_number(thing.index), tone="soft", far=_FAR
            )
    if today is not None and abs(today.od - wheel.od) > 1.0:
        board.callout(place(math.radians(-128.0), today.od / 2.0), ("today's tire",), zone, tone="soft")
    if axle.bump > 0.0:
        centre = place(math.radians(22.0), wheel.od_largest / 2.0)
        board.callout(
            (centre[0], centre[1] + axle.bump), ("full bump,", "largest tire"), zone, tone="soft", far=_FAR
        )
    if axle.droop > 0.0:
        centre = place(math.radians(152.0), wheel.od_largest / 2.0)
        board.callout((centre[0], centre[1] - axle.droop), ("full droop",), zone, tone="soft", far=_FAR)
    board.add(Label((0.0, board.bounds().high + 3.0 * k), ("forward to the right",), SMALL, "middle", -1))


def _visible(thing: NearThing, window: Box) -> Point | None:
    """Return a point of a thing's outline that lies within the window."""
    (x0, _, z0), (x1, _, z1) = thing.low, thing.high
    shape = rectangle(x0, z0, x1, z1) if thing.shape == "box" else ((x0, z0), (x1, z1))
    pieces = clip_line(shape, window, closed=thing.shape == "box")
    if not pieces:
        inside = window.left < x0 < window.right and window.low < z0 < window.high
        return (x0, z0) if inside else None
    a, b = max(pieces[0:1] or pieces, key=len)[:2]
    return ((a[0] + 3 * b[0]) / 4.0, (a[1] + 3 * b[1]) / 4.0)
