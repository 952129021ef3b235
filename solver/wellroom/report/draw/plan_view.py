"""The plan view, from above: the wheel straight and at both locks, what it sweeps, the least clearance.
Forward is up.
"""

from __future__ import annotations

import math

from wellroom.report.draw.block import Titles, add_block, draw_datum
from wellroom.report.draw.board import Board, Figure
from wellroom.report.draw.model import (
    SMALL,
    Area,
    Box,
    Drawing,
    Label,
    Line,
    Point,
    Points,
    Ring,
    Stroke,
    Tone,
)
from wellroom.report.draw.shapes import clip_line, hull, rectangle, wrapped
from wellroom.report.draw.words import both, clearance, fitting_scale, said
from wellroom.report.measures import short_size
from wellroom.report.numbers import near_number
from wellroom.search.contact import pose_words
from wellroom.search.results import AxleFit
from wellroom.search.sketch import AxleSketch, NearThing
from wellroom.search.wheel_sketch import Mark, WheelSketch
from wellroom.units import Units

PAPER = (124.0, 165.0)
_STEPS = 24
_FAR = 45.0


def plan_view(
    axle: AxleSketch, wheel: WheelSketch, fit: AxleFit, titles: Titles, units: Units, name: str = "plan"
) -> Drawing:
    """Return the plan view of one wheel, the body standing still; outboard to the right."""
    locks = _locks(axle)
    shapes = {lock: _shadow(wheel, axle, math.radians(lock)) for lock in locks}
    mark = _least(wheel, axle)
    reach = [point for shape in shapes.values() for point in shape]
    if mark is not None and mark.place is not None:
        reach.append((mark.place[1], mark.place[0]))
    xs, ys = [p[0] for p in reach], [p[1] for p in reach]
    left = min([min(xs) - 90.0, *(-axle.kingpin - 20.0,)])
    nears = [y for t in axle.near for y in (t.low[1], t.high[1]) if min(xs) - 260.0 < y]
    left = max(min([left, *[y - 12.0 for y in nears]]), min(xs) - 270.0)
    window = Box(left, min(ys) - 50.0, max(xs) + 90.0, max(ys) + 50.0)
    scale = fitting_scale(window.width, window.height, PAPER)
    grown = Box(window.left - 4.0 * scale, window.low, window.right + 4.0 * scale, window.high)
    beside = Box(grown.left - 26.0 * scale, grown.low, grown.right + 26.0 * scale, grown.high + 6.0 * scale)
    board = Board(scale, grown)
    with board.on("near"):
        for thing in axle.near:
            _thing(board, thing)
    with board.on("axis"):
        board.add(Stroke(((window.left, 0.0), (max(xs) + 20.0, 0.0)), Line.CENTRE))
    with board.on("hub"):
        board.add(Stroke(((0.0, min(ys) * 0.5), (0.0, max(ys) * 0.5)), Line.EDGE))
    for lock, shape in shapes.items():
        with board.on("moved" if lock else "tire"):
            board.line(shape, Line.OTHER if lock else Line.OUTLINE, closed=True)
    if len(locks) > 1:
        with board.on("moved"):
            _swept(board, wheel, axle)
        with board.on("axis"):
            board.add(Ring((-axle.kingpin, 0.0), 1.2 * scale, Line.EDGE))
            board.add(Area(Ring((-axle.kingpin, 0.0), 0.5 * scale).points(45.0)))
    with board.on("body"):
        board.line(_edge(axle), Line.OUTLINE)
    _figures(board, axle, wheel, units, window)
    _names(board, axle, mark, shapes, units, grown, beside)
    add_block(board, titles)
    return board.finish(name, titles.what, describe(axle, wheel, fit, mark, units))


def describe(axle: AxleSketch, wheel: WheelSketch, fit: AxleFit, mark: Mark | None, units: Units) -> str:
    """Return what a reader who can't see the view is told."""
    parts = [
        f"Plan view of the {axle.axle} wheel, {axle.side} side, from above, forward up, outboard right.",
        f"{short_size(fit.tire.size)}, section {said(wheel.section, units)}, "
        f"diameter {said(wheel.od, units)}.",
    ]
    if axle.lock_inner_deg:
        parts.append(
            f"Drawn straight, at {axle.lock_inner_deg:.0f} degrees of inner lock and "
            f"{axle.lock_outer_deg:.0f} degrees of outer lock, "
            f"about a kingpin {said(axle.kingpin, units)} inboard."
        )
    else:
        parts.append("This axle's wheels are not drawn steering.")
    if mark is not None:
        at = pose_words(mark.contact, units)
        parts.append(
            f"Least to spare: {mark.what}, {clearance(mark.distance, mark.asked, units)}"
            f"{f', {at}' if at else ''}."
        )
    return " ".join(parts)


def _locks(axle: AxleSketch) -> list[float]:
    if not axle.lock_inner_deg and not axle.lock_outer_deg:
        return [0.0]
    return [0.0, axle.lock_inner_deg, -axle.lock_outer_deg]


def turned(point: tuple[float, float, float], axle: AxleSketch, lock: float) -> tuple[float, float, float]:
    """Return a point (x, y, z) of the wheel turned by a lock [rad] about the kingpin (Rodrigues' formula).

    Positive lock swings the front of the wheel outboard.
    """
    a, b = math.tan(math.radians(axle.caster_deg)), math.tan(math.radians(axle.inclination_deg))
    norm = math.sqrt(1.0 + a * a + b * b)
    ax, ay, az = -a / norm, -b / norm, 1.0 / norm
    x, y, z = point[0], point[1] + axle.kingpin, point[2]
    sin, cos = math.sin(lock), math.cos(lock)
    along = (ax * x + ay * y + az * z) * (1.0 - cos)
    return (
        x * cos + (ay * z - az * y) * sin + ax * along,
        y * cos + (az * x - ax * z) * sin + ay * along - axle.kingpin,
        z * cos + (ax * y - ay * x) * sin + az * along,
    )


def _rings(wheel: WheelSketch) -> list[tuple[float, float]]:
    """Return (y, radius) of the circles whose hull is the tire."""
    return [(y, r) for y, r in wheel.largest if r > wheel.flange_radius]


def _shadow(wheel: WheelSketch, axle: AxleSketch, lock: float) -> Points:
    points = []
    for y, r in _rings(wheel):
        for n in range(0, 360, 6):
            angle = math.radians(n)
            x, y1, _ = turned((r * math.sin(angle), y, r * math.cos(angle)), axle, lock)
            points.append((y1, x))
    return hull(points)


def _swept(board: Board, wheel: WheelSketch, axle: AxleSketch) -> None:
    """Draw what the tire's shoulders sweep between the locks, forward and rearward of the axle."""
    low, high = math.radians(-axle.lock_outer_deg), math.radians(axle.lock_inner_deg)
    for sign in (1.0, -1.0):
        for side in (min, max):
            y, r = side((p for p in _rings(wheel)), key=lambda p: (p[0], p[1]))
            path: list[Point] = []
            for n in range(_STEPS + 1):
                lock = low + (high - low) * n / _STEPS
                x, y1, _ = turned((sign * r, y, 0.0), axle, lock)
                path.append((y1, x))
            board.line(path, Line.THIN, tone="soft")


def _thing(board: Board, thing: NearThing) -> None:
    (x0, y0, _), (x1, y1, _) = thing.low, thing.high
    if thing.shape == "box":
        board.line(rectangle(y0, x0, y1, x1), Line.EDGE, closed=True, tone="soft")
    elif thing.shape == "bar":
        long = math.hypot(x1 - x0, y1 - y0) or 1.0
        nx, ny = -(x1 - x0) / long * thing.thickness, (y1 - y0) / long * thing.thickness
        board.line(
            ((y0 + nx, x0 + ny), (y1 + nx, x1 + ny), (y1 - nx, x1 - ny), (y0 - nx, x0 - ny)),
            Line.EDGE,
            closed=True,
            tone="soft",
        )
    else:
        board.add(Ring((y0, x0), 1.0 * board.scale, Line.EDGE, tone="soft"))


def _edge(axle: AxleSketch) -> list[Point]:
    """Return the body's outer edge; one place alone is drawn a little to either side."""
    points = [(p.out, p.radius * math.sin(p.clock)) for p in axle.lip if p.out is not None]
    if len(points) == 1:
        (x, y) = points[0]
        return [(x, y - 60.0), (x, y + 60.0)]
    return points


def _figures(board: Board, axle: AxleSketch, wheel: WheelSketch, units: Units, window: Box) -> None:
    figures = []
    if axle.kingpin:
        text = both(axle.kingpin, units)
        face = (0.0, -wheel.od / 4.0)
        figures.append(Figure((-axle.kingpin, 0.0), face, f"kingpin {text[0]}", text[1], badge="27"))
    left, right = wheel.centre - wheel.section / 2.0, wheel.centre + wheel.section / 2.0
    text, foot = both(wheel.section, units), -wheel.od / 2.0 + 0.1 * wheel.section
    figures.append(Figure((left, foot), (right, foot), f"section {text[0]}", text[1]))
    draw_datum(board, board.dimensions(figures, "below", window.low - 2.0 * board.scale, [0.0]))


def _least(wheel: WheelSketch, axle: AxleSketch) -> Mark | None:
    marks = [m for m in wheel.marks if m.place is not None and m.contact.side in (None, "both", axle.side)]
    turning = [m for m in marks if m.contact.lock_deg is not None and ".lip" not in m.id]
    return next(iter(turning or marks), None)


def _names(
    board: Board,
    axle: AxleSketch,
    mark: Mark | None,
    shapes: dict[float, Points],
    units: Units,
    shown: Box,
    zone: Box,
) -> None:
    k = board.scale
    if mark is not None and mark.place is not None:
        tip = (mark.place[1], mark.place[0])
        tone: Tone = "ink" if mark.ok else "warn"
        if shown.left < tip[0] < shown.right and shown.low < tip[1] < shown.high:
            board.add(Area(Ring(tip, 0.9 * k).points(30.0), tone))
            board.add(Ring(tip, 2.2 * k, Line.EDGE, tone=tone))
            pose = pose_words(mark.contact, units)
            rows = [
                "least to spare:",
                *wrapped(mark.what, 17),
                clearance(mark.distance, mark.asked, units, unit=False),
            ]
            rows += wrapped(pose, 17) if pose else ()
            board.callout(tip, rows, zone, tone=tone)
    for n, thing in enumerate(sorted(axle.near, key=lambda t: -max(t.low[0], t.high[0])), 1):
        tip_of = _visible(thing, shown, n / (len(axle.near) + 1.0))
        if tip_of is not None:
            board.callout(
                tip_of, wrapped(thing.what, 14), zone, badge=near_number(thing.index), tone="soft", far=_FAR
            )
    for lock, shape in shapes.items():
        if lock:
            tip = max(shape, key=lambda p: p[1]) if lock > 0.0 else min(shape, key=lambda p: p[1])
            wheel = "inner" if lock > 0.0 else "outer"
            badge = "25" if lock > 0.0 else "26"
            text = (f"{wheel} lock", f"{abs(lock):.0f}\N{DEGREE SIGN}")
            board.callout(tip, text, zone, badge=badge)
    ends = [point for piece in clip_line(_edge(axle), board.window) for point in piece]
    if ends:
        board.callout(max(ends, key=lambda p: p[1]), ("body's edge",), zone, badge="12", tone="soft")
    board.add(
        Label(
            (0.0, board.bounds().high + 3.0 * k), ("forward up, outboard to the right",), SMALL, "middle", -1
        )
    )


def _visible(thing: NearThing, window: Box, share: float) -> Point | None:
    """Return a point of a thing's outline within the window: on its outboard side, ``share`` of the way
    down what is seen of it, so that the leaders of things side by side run apart.
    """
    (x0, y0, _), (x1, y1, _) = thing.low, thing.high
    if thing.shape == "point":
        inside = window.left < y0 < window.right and window.low < x0 < window.high
        return (y0, x0) if inside else None
    ends = ((y0, x0), (y1, x1)) if thing.shape == "bar" else ((max(y0, y1), x1), (max(y0, y1), x0))
    seen = clip_line(ends, window)
    if not seen:
        return None
    (ax, ay), (bx, by) = seen[0][0], seen[0][-1]
    return (ax + share * (bx - ax), ay + share * (by - ay))
