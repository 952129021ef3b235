"""What the section says: dimensions from the mounting face, clearances with what is asked, names."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wellroom.report.draw.block import draw_datum
from wellroom.report.draw.board import Board, Figure
from wellroom.report.draw.model import Area, Box, Clearance, Label, Line, Point, Ring, Stroke, Tone
from wellroom.report.draw.pieces import BEYOND
from wellroom.report.draw.section_parts import TALL, Shown, ShownNear, Subject, nearest_up
from wellroom.report.draw.shapes import wrapped
from wellroom.report.draw.words import both, clearance
from wellroom.report.numbers import near_number
from wellroom.search.contact import pose_words
from wellroom.search.sketch import AxleSketch
from wellroom.search.wheel_sketch import Mark

_ROW = 17
_FAR = 34.0
_KEYED = 55.0
"""What a place may cost a clearance with a number before what it says goes to the key [mm of paper]."""
_APART = 2.2
_BESIDE = (0.0, 4.0, -4.0, 8.0, -8.0)


def add_dimensions(board: Board, of: Subject, top: float) -> None:
    """Add the dimensions below, above and beside the section, and the datum."""
    _below(board, of)
    _above(board, of, top)
    _beside(board, of)


def _below(board: Board, of: Subject) -> None:
    fit, wheel, units, k = of.fit, of.wheel, of.units, board.scale
    inner, outer = -fit.backspace_mm, wheel.overall - fit.backspace_mm
    r = wheel.flange_radius - 4.0
    back, front, wide = (both(value, units) for value in (fit.backspace_mm, outer, wheel.overall))
    figures = [
        Figure((inner, r), (0.0, 0.0), f"backspace {back[0]}", back[1], tone="accent"),
        Figure((0.0, 0.0), (outer, r), f"front space {front[0]}", front[1]),
        Figure((inner, r), (outer, r), f"overall {wide[0]}", wide[1]),
    ]
    draw_datum(board, board.dimensions(figures, "below", -3.0 * k, [0.0]))


def _above(board: Board, of: Subject, top: float) -> None:
    fit, wheel, units, k = of.fit, of.wheel, of.units, board.scale
    left, right = wheel.centre - wheel.section / 2.0, wheel.centre + wheel.section / 2.0
    widest = (wheel.seat_radius + wheel.od / 2.0) / 2.0
    section = both(wheel.section, units)
    figures = [Figure((left, widest), (right, widest), f"section {section[0]}", section[1])]
    skin = nearest_up(of.axle.lip)
    if fit.poke_mm is not None and skin is not None and skin.out is not None:
        edge = right - fit.poke_mm
        poke, inside = both(fit.poke_mm, units), both(wheel.section - fit.poke_mm, units)
        high = skin.radius + TALL * k
        figures.append(Figure((edge, high), (right, widest), f"poke {poke[0]}", poke[1], tone="accent"))
        figures.append(Figure((left, widest), (edge, high), f"inside {inside[0]}", inside[1]))
        out = both(skin.out, units)
        figures.append(Figure((0.0, skin.radius), (skin.out, high), out[0], out[1], badge="12"))
    board.dimensions(figures, "above", max(board.bounds().high, top) + 1.0 * k)


def _beside(board: Board, of: Subject) -> None:
    wheel, units, k = of.wheel, of.units, board.scale
    radius = wheel.od / 2.0
    tread = 80.0 if math.isnan(wheel.tread) else wheel.tread
    crown = wheel.centre + min(tread, wheel.section) / 2.0 - 8.0
    axis = (board.window.right - 8.0 * k, 0.0)
    tall = both(radius, units)
    figures = [Figure(axis, (crown, radius), f"radius {tall[0]}", tall[1])]
    skin = nearest_up(of.axle.lip)
    if skin is not None:
        lip = both(skin.radius, units)
        edge = (skin.out if skin.out is not None else skin.flange or 0.0, skin.radius)
        figures.append(Figure(axis, edge, f"lip radius {lip[0]}", lip[1], badge="11"))
        if of.fit.gap_mm is not None and abs(skin.radius - radius - of.fit.gap_mm) < 0.02:
            gap = both(of.fit.gap_mm, units)
            figures.append(Figure((crown, radius), edge, f"gap {gap[0]}", gap[1], tone="accent"))
    board.dimensions(figures, "right", board.window.right - 3.0 * k)


# --- clearances -----------------------------------------------------------------------------------


def thing_of(mark: Mark, axle: AxleSketch) -> str:
    """Return the id of the thing near that a mark is on, "" for lip and brake."""
    return next((thing.id for thing in axle.near if mark.id.startswith(thing.id)), "")


def _zone(board: Board) -> Box:
    """Return where names and clearances may stand."""
    k, window = board.scale, board.window
    return Box(window.left - 2.0 * k, 1.0 * k, window.right - 4.0 * k, board.bounds().high)


def add_clearances(board: Board, of: Subject) -> None:
    """Add the clearances worth drawing, each as a dimension with what is asked beside it; one whose place is
    off the drawing stands under it.
    """
    window, zone = board.window, _zone(board)
    lines = _lines(board, of.tight)
    board.keep_apart([_clearance(mark, "", lines[mark.id]) for mark in of.tight if mark.id in lines])
    for mark in of.tight:
        tone = _tone(mark)
        text = clearance(mark.distance, mark.asked, of.units, unit=False)
        pose = pose_words(mark.contact, of.units)
        rows = [
            *wrapped(mark.what, _ROW),
            *(() if mark.ok else ("too close",)),
            text,
            *(wrapped(pose, _ROW) if pose else ()),
        ]
        badge = next((near_number(t.index) for t in of.axle.near if mark.id.startswith(t.id)), "")
        if mark.at is None or not (window.left < mark.at[0] < window.right and mark.at[1] < window.high):
            board.key((*rows, "(off this drawing)"), badge, tone)
            continue
        board.add(Area(Ring(mark.at, 0.7 * board.scale).points(30.0), tone))
        if mark.foot is None:
            board.callout(mark.at, rows, zone, tone=tone, badge=badge)
            continue
        if mark.beside is not None:
            _drawn_out(board, mark.beside, mark.foot)
        line = _clearance(mark, text, lines[mark.id])
        far = _KEYED if badge else math.inf
        board.callout(line.middle(), rows, zone, tone=tone, badge=badge, mark="plain", far=far, of=line)


def _tone(mark: Mark) -> Tone:
    return "ink" if mark.ok else "warn"


def _clearance(mark: Mark, text: str, beside: float) -> Clearance:
    """Return the dimension of a mark, without its label; ``beside`` [mm] as in ``Clearance``."""
    assert mark.foot is not None
    assert mark.at is not None
    return Clearance(mark.foot, mark.at, text, Label((0.0, 0.0), ()), beside, _tone(mark))


def _drawn_out(board: Board, start: Point, end: Point) -> None:
    """Add the extension line to where a clearance is measured past the wheel's own width."""
    past = math.copysign(BEYOND * board.scale, end[0] - start[0])
    board.add(Stroke((start, (end[0] + past, end[1])), Line.THIN))


def _lines(board: Board, marks: Sequence[Mark]) -> dict[str, float]:
    """Return how far beside its points [mm] each clearance's line stands, so that no two run together."""
    out: dict[str, float] = {}
    taken: list[list[Point]] = []
    for mark in marks:
        if mark.foot is None or mark.at is None:
            continue
        for beside in _BESIDE:
            line = Clearance(mark.foot, mark.at, "", Label((0.0, 0.0), ()), beside * board.scale)
            a, b = line.ends()
            run = [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for t in (0.3, 0.5, 0.7, 0.85, 1.0)]
            near = min((math.dist(p, q) for p in run for other in taken for q in other), default=math.inf)
            if near > _APART * board.scale:
                break
        out[mark.id] = line.beside
        taken.append(run)
    return out


# --- names ----------------------------------------------------------------------------------------


def add_names(board: Board, of: Subject, lips: Sequence[Shown], nears: Sequence[ShownNear]) -> None:
    """Name what is drawn and has no name yet."""
    zone, axle, hub = _zone(board), of.axle, of.axle.hub
    _name_near(board, of, nears, zone)
    for lip in lips:
        board.callout(lip.tip, wrapped(lip.name, 15), zone, tone="soft", badge=lip.badge, far=_FAR)
    if axle.brake:
        top = max(axle.brake, key=lambda p: p[1])
        board.callout((top[0], top[1] * 0.8), ("brake",), zone, badge="10", tone="soft", mark="dot")
    if hub.protrusion and hub.protrusion_length:
        long, r = hub.protrusion_length, hub.protrusion / 2.0
        text = f"hub {both(long, of.units)[0]} long"
        board.callout((long * 0.5, r), (), zone, badge="6", tone="soft")
        board.callout((long, r * 0.5), wrapped(text, 10), zone, badge="7", tone="soft", far=_FAR)
    if of.today is not None:
        tip = max(of.today.tire, key=lambda p: p[0])
        board.callout(tip, ("today's tire",), zone, tone="soft", far=_FAR)
    if any(mark.low for mark in of.tight):
        side = min(of.wheel.bulged, key=lambda p: (p[0], p[1]))
        board.callout(side, ("bulge", "under load"), zone, tone="soft", far=_FAR)
    crown = max(of.wheel.largest, key=lambda p: (p[1], -p[0]))
    board.callout((crown[0] + 6.0, crown[1]), ("largest new", "tire"), zone, tone="soft", far=_FAR)


def _name_near(board: Board, of: Subject, nears: Sequence[ShownNear], zone: Box) -> None:
    k = board.scale
    things = {thing.index: thing for thing in of.axle.near}
    said_already = {thing_of(mark, of.axle) for mark in of.tight}
    for shown in nears:
        thing, tip, badge = things[shown.index], shown.tip, near_number(shown.index)
        if thing.id not in said_already:
            turned = not shown.across and thing.shape != "point"
            rows = [*wrapped(thing.what, 16), *(("(turned in)",) if turned else ())]
            board.callout(tip, rows, zone, badge=badge, tone="soft")
        elif not any(m.at is not None and math.dist(m.at, tip) < 3.0 * k for m in of.tight):
            within = thing.shape == "box" and not shown.across
            reach = 30.0 * k
            inside = Box(tip[0] - reach, tip[1] - reach, tip[0] + reach, tip[1] + reach)
            place = inside if within else zone
            board.callout(tip, (), place, badge=badge, tone="soft", mark="none" if within else "arrow")
