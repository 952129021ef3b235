"""The wheel for the shop: half section of barrel, drop centre and disc, its measures, the brake to clear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wellroom.report.draw.block import draw_datum
from wellroom.report.draw.board import Board, Figure
from wellroom.report.draw.model import Box, Drawing, Line, Point, Stroke, around
from wellroom.report.draw.section_parts import draw_brake, draw_hub
from wellroom.report.draw.words import exact, said
from wellroom.search.sketch import AxleSketch, WheelSketch
from wellroom.units import Units

_SIDE = 26.0


@dataclass(frozen=True)
class WheelFigures:
    """A wheel's own measures [mm]: of its backspace from the face at ``face``, ``well`` from the centre plane
    of its axis outward as the drawing stands, ``well_edge`` the flange edge it is measured from.
    """

    backspace: float
    overall: float
    width: float
    face: float
    well: float
    well_edge: float
    well_radius: float


def wheel(
    axles: Sequence[AxleSketch],
    sketch: WheelSketch,
    figures: WheelFigures,
    title: str,
    units: Units,
    scale: float,
    name: str = "wheel",
) -> Drawing:
    """Return the drawing of one wheel with the brakes of all the axles that it goes on, without a block."""
    box = around([*sketch.rim, *sketch.disc, *(point for axle in axles for point in axle.brake)])
    window = Box(box.left - 4.0 * scale, -2.0 * scale, box.right + _SIDE * scale, box.high + 4.0 * scale)
    board = Board(scale, window)
    board.add(Stroke(((box.left - 3.0 * scale, 0.0), (box.right + 6.0 * scale, 0.0)), Line.CENTRE))
    for axle in axles:
        draw_brake(board, axle)
        draw_hub(board, axle)
    board.cut(sketch.rim, (45.0,), 1.0)
    if sketch.disc:
        board.cut(sketch.disc, (45.0,), 1.0)
    if sketch.adapter:
        board.cut(sketch.adapter, (-45.0,), 1.0)
    _dimensions(board, sketch, figures, units, box)
    _brakes(board, axles, units, window)
    return board.finish(name, title, describe(axles, figures, units))


def describe(axles: Sequence[AxleSketch], figures: WheelFigures, units: Units) -> str:
    """Return what a reader who can't see the drawing is told."""
    parts = [
        "Upper half section of the wheel, outboard to the right, measured from its mounting face.",
        f"Backspace {said(figures.backspace, units)}, front space "
        f"{said(figures.overall - figures.backspace, units)}, overall width {said(figures.overall, units)}.",
        f"Middle of the drop centre {said(abs(figures.well_edge - figures.well), units)} from the "
        f"{'outboard' if figures.well_edge > figures.well else 'inboard'} flange's outer edge.",
    ]
    for axle in axles:
        if axle.brake:
            largest = max(r for _, r in axle.brake)
            parts.append(f"The {axle.axle} brake, {said(2.0 * largest, units)} across at its largest.")
    return " ".join(parts)


def _dimensions(board: Board, sketch: WheelSketch, figures: WheelFigures, units: Units, box: Box) -> None:
    k = board.scale
    inner = figures.face - figures.backspace
    outer = inner + figures.overall
    r = sketch.flange_radius - 4.0
    back, front = exact(figures.backspace, units), exact(outer - figures.face, units)
    wide, nominal = exact(figures.overall, units), exact(figures.width, units)
    end = board.dimensions(
        [
            Figure((inner, r), (figures.face, 0.0), f"backspace {back[0]}", back[1], tone="accent"),
            Figure((figures.face, 0.0), (outer, r), f"front space {front[0]}", front[1]),
            Figure((inner, r), (outer, r), f"overall {wide[0]}", wide[1]),
        ],
        "below",
        -4.0 * k,
        [figures.face],
    )
    draw_datum(board, end, figures.face)
    place = exact(abs(figures.well_edge - figures.well), units)
    half = figures.width / 2.0
    seats = (sketch.centre - half, sketch.centre + half)
    board.dimensions(
        [
            Figure((figures.well, figures.well_radius), (figures.well_edge, r), f"well {place[0]}", place[1]),
            Figure(
                (seats[0], sketch.seat_radius),
                (seats[1], sketch.seat_radius),
                f"rim {nominal[0]}",
                nominal[1],
            ),
        ],
        "above",
        box.high + 3.0 * k,
    )
    seat, floor = exact(sketch.seat_radius, units), exact(figures.well_radius, units)
    board.dimensions(
        [
            Figure((figures.face, 0.0), (figures.well, figures.well_radius), f"well R {floor[0]}", floor[1]),
            Figure((figures.face, 0.0), (seats[1], sketch.seat_radius), f"seat R {seat[0]}", seat[1]),
        ],
        "right",
        box.right + 14.0 * k,
    )


def _brakes(board: Board, axles: Sequence[AxleSketch], units: Units, window: Box) -> None:
    """Name each brake with its largest part: how far across, how far inboard of the hub's face it ends."""
    k = board.scale
    zone = Box(window.left, 2.0 * k, window.right, window.high)
    for axle in axles:
        if not axle.brake:
            continue
        tip: Point = max(axle.brake, key=lambda point: (point[1], -point[0]))
        across, deep = exact(2.0 * tip[1], units), exact(-min(y for y, _ in axle.brake), units)
        rows = (f"{axle.axle} brake {across[0]} across, to {deep[0]} inboard",)
        board.callout(tip, rows, zone, badge="10", tone="soft")
