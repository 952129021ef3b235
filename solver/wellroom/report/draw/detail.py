"""A detail of the section at a larger scale, where the air in it is too little to read."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from wellroom.report.draw.board import Board
from wellroom.report.draw.model import BODY, SMALL, Box, Label, Line, Point, Ring, Stroke, Tone
from wellroom.report.draw.pieces import arrow
from wellroom.report.draw.section_parts import Subject
from wellroom.report.draw.words import clearance
from wellroom.search.wheel_sketch import Mark

_DETAIL_BELOW = 26.0


def add_detail(board: Board, of: Subject) -> None:
    """Ring the tightest place with a letter, and draw it again at full size or half under the section."""
    k = board.scale
    mark = next((m for m in of.tight if m.foot is not None and m.beside is None), None)
    if mark is None or mark.foot is None or mark.at is None or mark.distance > _DETAIL_BELOW or k <= 1.0:
        return
    middle = ((mark.at[0] + mark.foot[0]) / 2.0, (mark.at[1] + mark.foot[1]) / 2.0)
    reach = max(mark.distance * 0.9, 13.0)
    zone = Box(board.window.left, 0.0, board.window.right, board.window.high)
    with board.on("detail"):
        board.add(Ring(middle, reach, Line.THIN))
        edge = (middle[0], middle[1] + reach)
        board.callout(edge, ("B",), zone, size=BODY, bold=True, mark="plain")
        _enlarged(board, of, mark, middle, reach)


def _enlarged(board: Board, of: Subject, mark: Mark, middle: Point, reach: float) -> None:
    k, wheel = board.scale, of.wheel
    scale = 1.0 if reach < 22.0 else 2.0
    grow = k / scale
    radius = reach * grow
    rows = (f"B (1:{scale:g})", mark.what, clearance(mark.distance, mark.asked, of.units, unit=False))
    centre = _place(board, radius, rows, middle)

    def to(point: Point) -> Point:
        return (centre[0] + (point[0] - middle[0]) * grow, centre[1] + (point[1] - middle[1]) * grow)

    board.add(Ring(centre, radius, Line.THIN))
    for outline, line, closed in (
        (wheel.rim, Line.OUTLINE, True),
        (wheel.disc, Line.OUTLINE, True),
        (wheel.tire, Line.OUTLINE, True),
        (tuple(p for p in wheel.largest if p[1] > wheel.flange_radius), Line.THIN, False),
        (of.axle.brake, Line.OUTLINE, False),
    ):
        for piece in _in_circle([to(p) for p in outline], centre, radius, closed):
            board.add(Stroke(piece, line))
    tone: Tone = "ink" if mark.ok else "warn"
    assert mark.foot is not None
    assert mark.at is not None
    a, b = to(mark.foot), to(mark.at)
    board.add(Stroke((a, b), Line.THIN, tone=tone), arrow(a, b, k, tone), arrow(b, a, k, tone))
    board.add(Label((centre[0], centre[1] - radius - 1.0 * k), rows, SMALL, "middle", 1, tone=tone))


def _place(board: Board, radius: float, rows: tuple[str, ...], middle: Point) -> Point:
    """Return the centre of the enlarged circle: the nearest free place, else under all that is drawn."""
    k = board.scale
    text = [side * k for side in Label((0.0, 0.0), rows).extent()]
    size = (max(2.0 * radius, text[0]) + 1.0 * k, 2.0 * radius + text[1] + 2.0 * k)
    bounds = board.bounds()
    zone = Box(bounds.left, bounds.low, board.window.right, bounds.high)
    place = board.room.place(*size, zone, (middle[0] + 90.0 * k, middle[1] - 40.0 * k))
    if place is None:
        place = Box(bounds.left, bounds.low - size[1] - 2.0 * k, bounds.left + size[0], bounds.low - 2.0 * k)
    return ((place.left + place.right) / 2.0, place.high - radius - 0.5 * k)


def _in_circle(
    points: Sequence[Point], centre: Point, radius: float, closed: bool
) -> list[tuple[Point, ...]]:
    """Return the pieces of a line within a circle, cut finely enough for the eye."""
    path = [*points, points[0]] if closed and points else list(points)
    pieces: list[list[Point]] = [[]]
    for a, b in itertools.pairwise(path):
        length = max(abs(b[0] - a[0]), abs(b[1] - a[1]))
        steps = max(1, int(length / (radius * 0.01)))
        for n in range(steps + 1):
            p = (a[0] + (b[0] - a[0]) * n / steps, a[1] + (b[1] - a[1]) * n / steps)
            if (p[0] - centre[0]) ** 2 + (p[1] - centre[1]) ** 2 <= radius * radius:
                if not pieces[-1] or pieces[-1][-1] != p:
                    pieces[-1].append(p)
            elif pieces[-1]:
                pieces.append([])
    return [tuple(_thin(piece)) for piece in pieces if len(piece) > 1]


def _thin(points: list[Point]) -> list[Point]:
    """Drop points of a run that lie on the line between their neighbours."""
    out = [points[0]]
    for p, q in itertools.pairwise(points):
        o = out[-1]
        cross = (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0])
        if abs(cross) > 1e-6 * ((q[0] - o[0]) ** 2 + (q[1] - o[1]) ** 2):
            out.append(p)
    return [*out, points[-1]]
