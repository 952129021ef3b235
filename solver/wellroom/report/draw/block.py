"""The title block of a drawing (after ISO 7200, from memory), its scale bar and its symbols of projection and
datum.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wellroom.report.draw.board import Board, characters
from wellroom.report.draw.model import (
    BODY,
    PITCH,
    SMALL,
    Anchor,
    Area,
    Label,
    Line,
    Ring,
    Stroke,
    digest,
)
from wellroom.report.draw.shapes import rectangle, wrapped
from wellroom.report.draw.words import scale_text
from wellroom.units import Units

TRIAL = "By the model and these measures only: the trial fit decides."
LENGTHS: dict[Units, str] = {
    "in": "Inches, mm below the line; clearances in inches.",
    "mm": "Millimetres, inches below the line; clearances in mm.",
}
_PAD = 1.4


@dataclass(frozen=True)
class Titles:
    """What a title block says: what is drawn, of which scenario and combination, and what was not checked."""

    what: str
    scenario: str
    combination: str
    not_checked: str
    units: Units = "in"


def add_block(board: Board, titles: Titles, width: float = 0.0) -> None:
    """Add the title block under all that is drawn, ``width`` [mm of paper] wide at least."""
    k = board.scale
    board.add_keys()
    bounds = board.bounds()
    sheet = digest(board.elements)
    wide = max(bounds.width / k, width, 140.0)
    left = (bounds.left + bounds.right) / 2.0 - wide * k / 2.0
    right_cell = 46.0
    text = characters(wide - right_cell - 2.0 * _PAD, SMALL)
    rows: list[tuple[str, float, bool]] = [
        (row, BODY, True)
        for row in wrapped(titles.what, characters(wide - right_cell - 2 * _PAD, BODY * 1.06))
    ]
    lengths = LENGTHS[titles.units]
    for part in (titles.scenario, titles.combination, f"Not checked: {titles.not_checked}.", lengths, TRIAL):
        rows += [(row, SMALL, False) for row in wrapped(part, text)]
    needed = sum(size * PITCH for _, size, _ in rows) + 2.0 * _PAD
    high = max(needed, 24.0)
    top = bounds.low - 3.0 * k
    low = top - high * k
    right = left + wide * k
    split = right - right_cell * k
    board.add(Stroke(rectangle(left, low, right, top), Line.EDGE, closed=True))
    board.add(Stroke(((split, low), (split, top)), Line.THIN))
    y = top - _PAD * k
    for row, size, bold in rows:
        y -= size * PITCH / 2.0 * k
        board.add(Label((left + _PAD * k, y), (row,), size, "start", 0, bold=bold))
        y -= size * PITCH / 2.0 * k
    _corner(board, split, low, right, top, sheet)


def _corner(board: Board, left: float, low: float, right: float, top: float, sheet: str) -> None:
    k = board.scale
    pad = _PAD * k
    row = top - pad - PITCH * BODY / 2.0 * k
    board.add(Label((left + pad, row), (f"Scale {scale_text(k)}",), BODY, "start", 0, bold=True))
    _symbol(board, right - pad - 12.0 * k, row - 2.2 * k)
    bar = row - 10.0 * k
    scale_bar(board, left + pad + 2.0 * k, bar, 34.0)
    board.add(
        Label((left + pad, low + pad + PITCH * SMALL / 2.0 * k), (f"Sheet {sheet}",), SMALL, "start", 0)
    )


def _symbol(board: Board, x: float, y: float) -> None:
    """Add the symbol of third-angle projection (ISO 5456-2): a truncated cone beside its end view, 12 x 5 mm
    of paper.
    """
    k = board.scale
    middle, cone = x + 2.3 * k, x + 6.5 * k
    board.add(Ring((middle, y), 2.2 * k, Line.THIN), Ring((middle, y), 1.1 * k, Line.THIN))
    foot, head = 1.1 * k, 2.2 * k
    outline = ((cone, y - foot), (cone + 5.0 * k, y - head), (cone + 5.0 * k, y + head), (cone, y + foot))
    board.add(Stroke(outline, Line.THIN, closed=True))


def draw_datum(board: Board, low: float, face: float = 0.0) -> None:
    """Add the datum's letter (ISO 5459) under ``low`` [mm]: A, the mounting face, at ``face``."""
    k = board.scale
    top = low - 1.0 * k
    frame = rectangle(face - 2.4 * k, top - 6.8 * k, face + 2.4 * k, top - 2.0 * k)
    board.add(
        Stroke(((face, 0.0), (face, top)), Line.THIN),
        Area(((face, top), (face - 1.3 * k, top - 2.0 * k), (face + 1.3 * k, top - 2.0 * k))),
        Stroke(frame, Line.THIN, closed=True),
        Label((face, top - 4.4 * k), ("A",), BODY, "middle", 0, bold=True),
        Label((face + 3.6 * k, top - 4.4 * k), ("mounting face",), SMALL, "start", 0),
    )


def scale_bar(board: Board, left: float, y: float, paper: float) -> None:
    """Add a bar that measures the drawing in both units, at most ``paper`` [mm of paper] long."""
    k = board.scale
    most = paper * k
    inches = max((n for n in (1, 2, 4, 6, 8, 12, 16, 20, 24, 36, 48) if n * 25.4 <= most), default=1)
    metric = max((n for n in (20, 50, 100, 150, 200, 300, 400, 500, 1000) if n <= most), default=20)
    high = 0.9 * k
    rows: Sequence[tuple[float, str, int, float]] = (
        (inches * 25.4, f"{inches} in", 1, y),
        (float(metric), f"{metric} mm", -1, y - 2.0 * high),
    )
    for length, text, way, at in rows:
        board.add(Stroke(rectangle(left, at, left + length, at + high), Line.THIN, closed=True))
        board.add(Area(rectangle(left, at, left + length / 2.0, at + high), "ink", 0.75))
        label_y = at + high + 0.4 * k if way > 0 else at - 0.4 * k
        anchor: Anchor = "end"
        board.add(Label((left + length, label_y), (text,), SMALL, anchor, -1 if way > 0 else 1))
        board.add(Label((left, label_y), ("0",), SMALL, "start", -1 if way > 0 else 1))
