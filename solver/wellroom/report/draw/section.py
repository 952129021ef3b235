"""The section through wheel, tire, brake, disc, mounting face, lip and what stands near: the upper half, to
scale.

What stands at another clock is turned into the plane of the section at its own distance from the axis, and
drawn
thin. The viewer looks along the axle's wheel with outboard to the right.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Literal

from wellroom.report.draw.block import Titles, add_block
from wellroom.report.draw.board import Board, Figure
from wellroom.report.draw.model import (
    ARROW,
    BODY,
    SMALL,
    Area,
    Box,
    Drawing,
    Label,
    Line,
    Point,
    Ring,
    Stroke,
    Tone,
    around,
    arrow,
)
from wellroom.report.draw.shapes import clip_polygon, hatch, rectangle, wrapped
from wellroom.report.draw.words import PAGE, SCALES, both, clearance, said
from wellroom.report.measures import short_size
from wellroom.report.numbers import near_number
from wellroom.search.contact import pose_words
from wellroom.search.results import AxleFit
from wellroom.search.sketch import AxleSketch, LipPoint, Mark, WheelSketch
from wellroom.units import Units

_TIERS = 24.0
SIDES = (36.0, 30.0)
"""Paper kept beside the tire for what stands near and for what is said of it [mm of paper]; less where it
must.
"""
MARKS = 6
_ROW = 17
_MUCH = 75.0
_FAR = 34.0
_DETAIL_BELOW = 26.0


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
    ways = [(scale, side, detail) for scale in SCALES[1:] for side in SIDES for detail in (True, False)]
    drawing = None
    for scale, side, detail in ways:
        if _width(wheel, today) / scale + 2.0 * side > PAGE[0]:
            continue
        drawing = _at_scale(axle, wheel, fit, today, titles, units, name, scale, side, detail)
        if drawing.paper[0] <= PAGE[0] and drawing.paper[1] <= PAGE[1]:
            break
    assert drawing is not None
    return drawing


def _width(wheel: WheelSketch, today: WheelSketch | None) -> float:
    """Return the width of tire and rim, today's among them [mm]."""
    outlines = [*wheel.largest, *wheel.rim, *(today.tire if today else ()), *(today.rim if today else ())]
    return around(outlines).width


def _at_scale(
    axle: AxleSketch,
    wheel: WheelSketch,
    fit: AxleFit,
    today: WheelSketch | None,
    titles: Titles,
    units: Units,
    name: str,
    scale: float,
    side: float,
    detail: bool,
) -> Drawing:
    box = around([*wheel.largest, *wheel.rim])
    if today is not None:
        box = box.joined(around([*today.tire, *today.rim]))
    top = _top(axle, box)
    slack = max((PAGE[0] - _TIERS - 2.0 * side) * scale - box.width, 0.0)
    cut = [y0 for y0, y1, _, _, across in (t.section() for t in axle.near) if across and y1 < box.left]
    least = box.left - side * scale
    left = min(max(min(cut, default=box.left) - 8.0 * scale, least - slack), least)
    window = Box(left, -2.0 * scale, box.right + side * scale, top)
    board = Board(scale, window)
    _axis(board, window, axle)
    if today is not None:
        board.line(today.tire, Line.OTHER, closed=True, tone="soft")
        board.line(today.rim, Line.OTHER, closed=True, tone="soft")
    draw_brake(board, axle)
    draw_hub(board, axle)
    _wheel(board, wheel)
    lips = _lip(board, axle, window, units)
    nears = _near(board, axle, window)
    _below(board, axle, wheel, fit, units)
    _above(board, axle, wheel, fit, units, top)
    _beside(board, axle, wheel, fit, units, window)
    tight = _tight(axle, wheel)
    _marks(board, tight, window, units, axle)
    _names(board, axle, wheel, today, nears, lips, window, tight)
    if detail:
        _detail(board, axle, wheel, tight, units)
    add_block(board, titles)
    return board.finish(name, titles.what, describe(axle, wheel, fit, tight, units))


def _top(axle: AxleSketch, box: Box) -> float:
    known = [point.radius for point in axle.lip if abs(point.clock) < 0.3]
    return max([box.high, *known]) + 20.0


def _tight(axle: AxleSketch, wheel: WheelSketch) -> list[Mark]:
    """Return the clearances worth drawing: the tightest, and others of which little is left."""
    mine: list[Mark] = []
    for mark in wheel.marks:
        thing = _thing_of(mark, axle)
        if _on_this_end(mark, axle) and (not thing or all(_thing_of(m, axle) != thing for m in mine)):
            mine.append(mark)
    return [mark for k, mark in enumerate(mine) if k < 2 or mark.margin < _MUCH][:MARKS]


def _thing_of(mark: Mark, axle: AxleSketch) -> str:
    """Return the id of the thing near that a mark is on, "" for lip and brake."""
    return next((thing.id for thing in axle.near if mark.id.startswith(thing.id)), "")


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


# --- parts ----------------------------------------------------------------------------------------


def _axis(board: Board, window: Box, axle: AxleSketch) -> None:
    k = board.scale
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
    if len(shell) > 2:
        for angle in (45.0, -45.0):
            board.add(hatch([shell], angle, 1.8 * board.scale, "soft"))
    board.line(polygon, Line.OUTLINE)


def draw_hub(board: Board, axle: AxleSketch) -> None:
    """Draw the pilot, what stands out of the hub, and the line of the studs."""
    hub = axle.hub
    if hub.protrusion and hub.protrusion_length > 0.0:
        board.line(
            (
                (0.0, hub.protrusion / 2.0),
                (hub.protrusion_length, hub.protrusion / 2.0),
                (hub.protrusion_length, 0.0),
            ),
            Line.EDGE,
        )
    if hub.pilot:
        reach = max((axle.disc_clamped or 8.0), 6.0)
        board.line(((0.0, hub.pilot / 2.0), (reach, hub.pilot / 2.0), (reach, 0.0)), Line.EDGE)
    if hub.circle:
        r = hub.circle / 2.0
        board.line(((-30.0, r), (45.0, r)), Line.CENTRE)


def _wheel(board: Board, wheel: WheelSketch) -> None:
    k = board.scale
    outside = clip_polygon(wheel.tire, board.window)
    cavity = clip_polygon(wheel.cavity, board.window)
    board.add(hatch([outside, cavity], -45.0, 3.2 * k, "soft"))
    board.line(wheel.cavity, Line.THIN, closed=True, tone="soft")
    board.line(wheel.tire, Line.OUTLINE, closed=True)
    tread = [point for point in wheel.largest if point[1] > wheel.flange_radius]
    board.line(tread, Line.THIN)
    if wheel.known:
        board.cut(wheel.rim, (45.0,), 1.0)
        if wheel.disc:
            board.cut(wheel.disc, (45.0,), 1.0)
        if wheel.adapter:
            board.cut(wheel.adapter, (-45.0,), 1.0)
    else:
        board.line(wheel.rim, Line.HIDDEN, closed=True)


def _lip(board: Board, axle: AxleSketch, window: Box, units: Units) -> list[tuple[Point, str, str]]:
    """Draw the body's edge at the clock nearest to straight up, at ride height and at full bump."""
    k = board.scale
    out = []
    at_top = _nearest(axle.lip)
    if at_top is not None:
        text = "lip at ride height"
        if at_top.flange is not None and at_top.flange != at_top.out:
            text += f", flange {both(at_top.flange, units)[0]} out"
        out.append((_edge(board, at_top, at_top.radius, window, Line.OUTLINE), text, "13"))
    if at_top is not None and axle.bump > 0.0:
        low = _nearest(axle.lip_at_stop)
        radius = low.radius if low is not None else at_top.radius - axle.bump
        point = low if low is not None else at_top
        tip = _edge(board, point, radius, Box(window.left, 0.0, window.right, radius + 9.0 * k), Line.OTHER)
        out.append((tip, "lip at full bump", ""))
    return out


def _nearest(points: Sequence[LipPoint]) -> LipPoint | None:
    return min(points, key=lambda point: abs(point.clock), default=None)


def _edge(board: Board, point: LipPoint, radius: float, window: Box, line: Line) -> Point:
    outer = point.out if point.out is not None else point.flange
    inner = point.flange if point.flange is not None else outer
    if outer is None or inner is None:
        return (0.0, radius)
    rise = min(window.high - 4.0 * board.scale, radius + 9.0 * board.scale)
    path = (
        [(inner, radius + 3.0), (inner, radius), (outer, radius), (outer, rise)]
        if outer != inner
        else [
            (outer, radius),
            (outer, rise),
        ]
    )
    for piece in (path,):
        board.add(Stroke(tuple(piece), line))
    return (outer, (radius + rise) / 2.0)


def _near(board: Board, axle: AxleSketch, window: Box) -> list[tuple[int, Point, bool]]:
    """Draw what stands near; return index, a point on it, and whether the section's plane cuts it."""
    out = []
    inner = Box(window.left + 1.0 * board.scale, window.low, window.right, window.high)
    for thing in axle.near:
        y0, y1, r0, r1, across = thing.section()
        if thing.shape == "point":
            if inner.left < y0 < inner.right and inner.low < r0 < inner.high:
                board.add(Ring((y0, r0), 1.1 * board.scale, Line.EDGE))
                board.add(Area(Ring((y0, r0), 0.4 * board.scale).points(45.0)))
                out.append((thing.index, (y0, r0), False))
            continue
        shape = clip_polygon(rectangle(y0, r0, y1, r1), inner)
        if len(shape) < 3:
            continue
        if across:
            board.add(hatch([shape], 45.0, 2.4 * board.scale, "soft"))
        board.line(rectangle(y0, r0, y1, r1), Line.EDGE if across else Line.THIN, closed=True)
        edge = max(shape, key=lambda p: (p[0] if y1 < 0 else -p[0], -p[1]))
        middle = (edge[0], (min(p[1] for p in shape) + max(p[1] for p in shape)) / 2.0)
        out.append((thing.index, middle, across))
    return out


# --- dimensions -----------------------------------------------------------------------------------


def _below(board: Board, axle: AxleSketch, wheel: WheelSketch, fit: AxleFit, units: Units) -> None:
    inner, outer = -fit.backspace_mm, wheel.overall - fit.backspace_mm
    r = wheel.flange_radius - 4.0
    back, front = both(fit.backspace_mm, units), both(outer, units)
    wide = both(wheel.overall, units)
    figures = [
        Figure((inner, r), (0.0, 0.0), f"backspace {back[0]}", back[1], tone="accent"),
        Figure((0.0, 0.0), (outer, r), f"front space {front[0]}", front[1]),
        Figure((inner, r), (outer, r), f"overall {wide[0]}", wide[1]),
    ]
    k = board.scale
    end = board.dimensions(figures, "below", -4.0 * k, [0.0])
    draw_datum(board, end)


def draw_datum(board: Board, low: float, face: float = 0.0) -> None:
    """Add the datum's letter (ISO 5459): A, the mounting face, which stands at ``face``."""
    k = board.scale
    board.add(Stroke(((face, 0.0), (face, low - 2.0 * k)), Line.THIN))
    top = low - 2.0 * k
    board.add(Area(((face, top), (face - 1.3 * k, top - 2.0 * k), (face + 1.3 * k, top - 2.0 * k))))
    frame = rectangle(face - 2.4 * k, top - 6.8 * k, face + 2.4 * k, top - 2.0 * k)
    board.add(Stroke(frame, Line.THIN, closed=True))
    board.add(Label((face, top - 4.4 * k), ("A",), BODY, "middle", 0, bold=True))
    board.add(Label((face + 3.6 * k, top - 4.4 * k), ("mounting face",), SMALL, "start", 0))


def _above(
    board: Board, axle: AxleSketch, wheel: WheelSketch, fit: AxleFit, units: Units, top: float
) -> None:
    left, right = wheel.centre - wheel.section / 2.0, wheel.centre + wheel.section / 2.0
    widest = (wheel.seat_radius + wheel.od / 2.0) / 2.0
    section = both(wheel.section, units)
    figures = [Figure((left, widest), (right, widest), f"section {section[0]}", section[1])]
    skin = _nearest(axle.lip)
    if fit.poke_mm is not None and skin is not None and skin.out is not None:
        edge = right - fit.poke_mm
        poke, inside = both(fit.poke_mm, units), both(wheel.section - fit.poke_mm, units)
        high = skin.radius + 9.0 * board.scale
        figures.append(Figure((edge, high), (right, widest), f"poke {poke[0]}", poke[1], tone="accent"))
        figures.append(Figure((left, widest), (edge, high), f"inside {inside[0]}", inside[1]))
        out = both(skin.out, units)
        figures.append(Figure((0.0, skin.radius), (skin.out, high), out[0], out[1], badge="12"))
    board.dimensions(figures, "above", max(board.bounds().high, top) + 1.0 * board.scale)


def _beside(
    board: Board, axle: AxleSketch, wheel: WheelSketch, fit: AxleFit, units: Units, window: Box
) -> None:
    k = board.scale
    radius = wheel.od / 2.0
    skin = _nearest(axle.lip)
    crown = (
        wheel.centre
        + min(wheel.tread / 2.0 if wheel.tread == wheel.tread else 40.0, wheel.section / 2.0)
        - 8.0
    )
    tall = both(radius, units)
    figures = [Figure((wheel.centre, 0.0), (crown, radius), f"radius {tall[0]}", tall[1])]
    if skin is not None:
        lip = both(skin.radius, units)
        edge = skin.out if skin.out is not None else skin.flange or 0.0
        figures.append(Figure((0.0, 0.0), (edge, skin.radius), lip[0], lip[1], badge="11"))
        straight = skin.radius - radius
        if fit.gap_mm is not None and abs(straight - fit.gap_mm) < 0.02:
            gap = both(fit.gap_mm, units)
            figures.append(
                Figure((crown, radius), (edge, skin.radius), f"gap {gap[0]}", gap[1], tone="accent")
            )
    board.dimensions(figures, "right", window.right - 3.0 * k)


# --- clearances -----------------------------------------------------------------------------------


def _marks(board: Board, marks: Sequence[Mark], window: Box, units: Units, axle: AxleSketch) -> None:
    k = board.scale
    zone = Box(window.left - 2.0 * k, 1.0 * k, window.right - 4.0 * k, board.bounds().high)
    for mark in marks:
        rows = [*wrapped(mark.what, _ROW), clearance(mark.distance, mark.asked, units, unit=False)]
        pose = pose_words(mark.contact, units)
        rows += wrapped(pose, _ROW) if pose else ()
        tone: Tone = "ink" if mark.ok else "warn"
        if mark.at is None or not (window.left < mark.at[0] < window.right and mark.at[1] < window.high):
            continue
        board.add(Area(Ring(mark.at, 0.7 * k).points(30.0), tone))
        if mark.foot is not None:
            long = ((mark.at[0] - mark.foot[0]) ** 2 + (mark.at[1] - mark.foot[1]) ** 2) ** 0.5
            board.add(Stroke((mark.foot, mark.at), Line.EDGE, tone=tone))
            if long > 2.2 * ARROW * k:
                board.add(arrow(mark.foot, mark.at, k, tone), arrow(mark.at, mark.foot, k, tone))
        if not mark.ok:
            rows.insert(1, "too close")
        badge = next((near_number(t.index) for t in axle.near if mark.id.startswith(t.id)), "")
        board.callout(mark.at, rows, zone, tone=tone, badge=badge)


def _names(
    board: Board,
    axle: AxleSketch,
    wheel: WheelSketch,
    today: WheelSketch | None,
    nears: Sequence[tuple[int, Point, bool]],
    lips: Sequence[tuple[Point, str, str]],
    window: Box,
    tight: Sequence[Mark],
) -> None:
    k = board.scale
    zone = Box(window.left - 2.0 * k, 1.0 * k, window.right - 4.0 * k, board.bounds().high)
    things = {thing.index: thing for thing in axle.near}
    said_already = {_thing_of(mark, axle) for mark in tight}
    for index, tip, across in nears:
        name = things[index].what
        if things[index].id in said_already:
            if any(m.at is not None and math.dist(m.at, tip) < 3.0 * k for m in tight):
                continue
            loose = things[index].shape == "box" and not across
            reach = 30.0 * k
            inside = Box(tip[0] - reach, tip[1] - reach, tip[0] + reach, tip[1] + reach)
            mark: Literal["none", "arrow"] = "none" if loose else "arrow"
            board.callout(
                tip, (), inside if loose else zone, badge=near_number(index), tone="soft", mark=mark
            )
            continue
        rows = [*wrapped(name, 16), *(() if across or things[index].shape == "point" else ("(turned in)",))]
        board.callout(tip, rows, zone, badge=near_number(index), tone="soft")
    for tip, text, badge in lips:
        board.callout(tip, wrapped(text, 15), zone, tone="soft", badge=badge, far=_FAR)
    if axle.brake:
        top = max(axle.brake, key=lambda p: p[1])
        board.callout((top[0], top[1] * 0.8), ("brake",), zone, badge="10", tone="soft", mark="dot")
    if today is not None:
        tip = max(today.tire, key=lambda p: p[0])
        board.callout((tip[0], tip[1]), ("today's tire",), zone, tone="soft", far=_FAR)
    crown = max(wheel.largest, key=lambda p: (p[1], -p[0]))
    board.callout((crown[0] + 6.0, crown[1]), ("largest new", "tire"), zone, tone="soft", far=_FAR)


def _detail(board: Board, axle: AxleSketch, wheel: WheelSketch, tight: Sequence[Mark], units: Units) -> None:
    """Ring the tightest place with a letter where the air in it is too little to read at this scale."""
    k = board.scale
    mark = next((m for m in tight if m.foot is not None and m.at is not None), None)
    if mark is None or mark.foot is None or mark.at is None or mark.distance > _DETAIL_BELOW or k <= 1.0:
        return
    middle = ((mark.at[0] + mark.foot[0]) / 2.0, (mark.at[1] + mark.foot[1]) / 2.0)
    reach = max(mark.distance * 0.9, 13.0)
    board.add(Ring(middle, reach, Line.THIN))
    zone = Box(board.window.left, 0.0, board.window.right, board.window.high)
    board.callout((middle[0], middle[1] + reach), ("B",), zone, size=BODY, bold=True, mark="none")
    _enlarged(board, axle, wheel, mark, middle, reach, units)


def _enlarged(
    board: Board, axle: AxleSketch, wheel: WheelSketch, mark: Mark, middle: Point, reach: float, units: Units
) -> None:
    """Draw the ringed place again at full size or half, under the section."""
    k = board.scale
    scale = 1.0 if reach < 22.0 else 2.0
    grow = k / scale
    radius = reach * grow
    rows = (f"B (1:{scale:g})", mark.what, clearance(mark.distance, mark.asked, units, unit=False))
    text = [side * k for side in Label((0.0, 0.0), rows).extent()]
    size = (max(2.0 * radius, text[0]) + 1.0 * k, 2.0 * radius + text[1] + 2.0 * k)
    bounds = board.bounds()
    zone = Box(bounds.left, bounds.low, board.window.right, bounds.high)
    place = board.room_for(*size, zone, (middle[0] + 90.0 * k, middle[1] - 40.0 * k))
    if place is None:
        place = Box(bounds.left, bounds.low - size[1] - 2.0 * k, bounds.left + size[0], bounds.low - 2.0 * k)
    centre = ((place.left + place.right) / 2.0, place.high - radius - 0.5 * k)

    def to(point: Point) -> Point:
        return (centre[0] + (point[0] - middle[0]) * grow, centre[1] + (point[1] - middle[1]) * grow)

    board.add(Ring(centre, radius, Line.THIN))
    for outline, line, closed in (
        (wheel.rim, Line.OUTLINE, True),
        (wheel.disc, Line.OUTLINE, True),
        (wheel.tire, Line.OUTLINE, True),
        (tuple(p for p in wheel.largest if p[1] > wheel.flange_radius), Line.THIN, False),
        (axle.brake, Line.OUTLINE, False),
    ):
        for piece in _in_circle([to(p) for p in outline], centre, radius, closed):
            board.add(Stroke(piece, line))
    tone: Tone = "ink" if mark.ok else "warn"
    assert mark.foot is not None
    assert mark.at is not None
    a, b = to(mark.foot), to(mark.at)
    board.add(Stroke((a, b), Line.EDGE, tone=tone), arrow(a, b, k, tone), arrow(b, a, k, tone))
    board.add(Label((centre[0], centre[1] - radius - 1.0 * k), rows, SMALL, "middle", 1, tone=tone))


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
