"""Backspace windows on one ruler: a bar for each requirement, what all leave below, the chosen backspace as
a line.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from wellroom.report.draw.board import Board, characters
from wellroom.report.draw.model import BODY, PITCH, SMALL, Area, Box, Drawing, Label, Line, Stroke
from wellroom.report.draw.shapes import rectangle, wrapped
from wellroom.report.draw.words import both, said
from wellroom.report.measures import window_ends
from wellroom.report.measures import windows as window_words
from wellroom.search.results import BEYOND, AxleFit, Windows, inward
from wellroom.units import Units, inches_text

WIDE = 178.0
_NAMES = 46.0
_BAR = 3.2


def windows(fit: AxleFit, axle: str, title: str, units: Units, name: str = "windows") -> Drawing | None:
    """Return the chart of an axle's windows; None where no requirement depends on the backspace."""
    words = {check.id: check for check in fit.checks}
    rows = [
        (id_, _name(id_, words), inward(found)) for id_, found in fit.windows_mm.items() if found is not None
    ]
    if not rows:
        return None
    low, high = _range(fit, [found for _, _, found in rows])
    reach = (-BEYOND, round((fit.overall_width_mm or 0.0) + BEYOND, 2))
    every = rows
    rows, open_ = _gathered(rows, low, high)
    board = Board(1.0, Box(0.0, -20.0 - 12.0 * len(rows), WIDE, 20.0))

    def x(mm: float) -> float:
        return _NAMES + (min(max(mm, low), high) - low) / (high - low) * (WIDE - _NAMES - 4.0)

    _ruler(board, low, high, x, units)
    y = -6.0
    for _, text, found in rows:
        y = _row(board, y, text, found, x, (low, high), units)
    if open_:
        text = f"within this ruler open throughout: {', '.join(open_)}"
        label = Label((0.0, y), wrapped(text, characters(WIDE - 6.0)), SMALL, "start", 1, tone="soft")
    y -= 1.5
    board.add(Stroke(((0.0, y), (WIDE - 4.0, y)), Line.THIN, tone="soft"))
    y -= 1.0
    common = inward(fit.window_mm or ())
    ends = {id_: found for id_, _, found in every}
    y = _row(board, y, "all of it, wishes aside", common, x, (low, high), units, strong=True)
    chosen = x(fit.backspace_mm)
    _chosen_line(board, chosen, -3.0, y)
    first, second = both(fit.backspace_mm, units)
    other = "mm" if units == "in" else "in"
    chosen_label = Label(
        (min(max(chosen, _NAMES + 20.0), WIDE - 24.0), y - 0.6),
        (f"{first} {units} ({second} {other})",),
        BODY,
        "middle",
        1,
        bold=True,
        tone="accent",
    )
    board.add(chosen_label)
    y -= chosen_label.extent()[1] + 1.4
    for first_, last_ in common:
        y = _end_names(board, y, (first_, last_), reach, ends, words)
    if open_:
        board.add(replace(label, at=(0.0, y)))
    return board.finish(name, title, describe(fit, axle, every, units), to_scale=False)


def _chosen_line(board: Board, x: float, high: float, low: float) -> None:
    """Add the chosen backspace's line, left out where it would run through a label."""
    boxes = sorted((e.box(1.0) for e in board.elements if isinstance(e, Label)), key=lambda box: -box.high)
    top = high
    for box in boxes:
        if box.left - 0.4 < x < box.right + 0.4 and low < box.high < high + 0.1:
            board.add(Stroke(((x, top), (x, box.high)), Line.EDGE, tone="accent"))
            top = box.low
    board.add(Stroke(((x, top), (x, low)), Line.EDGE, tone="accent"))


def _gathered(
    rows: Sequence[tuple[str, str, Windows]], low: float, high: float
) -> tuple[list[tuple[str, str, Windows]], list[str]]:
    """Join left and right that leave the same, and part from the rest what leaves all of the ruler open."""
    out: list[tuple[str, str, Windows]] = []
    open_: list[str] = []
    seen: dict[tuple[str, Windows], int] = {}
    for id_, text, found in rows:
        bare = text.removesuffix(", left").removesuffix(", right")
        if any(a <= low and b >= high for a, b in found):
            open_.append(bare)
        elif (bare, found) in seen:
            out[seen[bare, found]] = (id_, bare, found)
        else:
            seen[bare, found] = len(out)
            out.append((id_, text, found))
    return out, list(dict.fromkeys(open_))


def describe(fit: AxleFit, axle: str, rows: Sequence[tuple[str, str, Windows]], units: Units) -> str:
    """Return what a reader who can't see the chart is told."""
    parts = [
        f"Backspaces that each requirement of the {axle} wheel leaves open.",
        f"All together: {window_words(fit.window_mm, units)}. Chosen: {said(fit.backspace_mm, units)}.",
    ]
    parts += [f"{text}: {window_words(found, units)}." for _, text, found in rows]
    return " ".join(parts)


def _name(id_: str, checks: Mapping[str, object]) -> str:
    parts = id_.split(".")
    base = parts[2].replace("_", " ") if parts[1] == "near" and len(parts) > 2 else parts[1].replace("_", " ")
    side = f", {parts[-1]}" if parts[-1] in ("left", "right") else ""
    kind = getattr(checks.get(id_), "kind", None)
    mark = " (wish)" if kind == "wish" else ""
    return {"blank": "what the shop can make"}.get(base, base) + side + mark


def _range(fit: AxleFit, found: Sequence[Windows]) -> tuple[float, float]:
    ends = [fit.backspace_mm]
    room = fit.rim_width_in * 25.4 + 40.0
    for windows_ in found:
        ends += [end for interval in windows_ for end in interval if -20.0 < end < room + 20.0]
    pad = max((max(ends) - min(ends)) * 0.08, 6.0 if len(ends) > 1 else 2.0 * 25.4)
    return min(ends) - pad, max(ends) + pad


def _ruler(board: Board, low: float, high: float, x: object, units: Units) -> None:
    assert callable(x)
    board.add(Stroke(((_NAMES, -3.0), (WIDE - 4.0, -3.0)), Line.THIN))
    for unit, step in (("in", 25.4), ("mm", 25.0 if high - low < 260.0 else 50.0)):
        if unit != units:
            continue
        fine = step / 8.0 if unit == "in" else step / 5.0
        for n in range(math.ceil(low / fine), math.floor(high / fine) + 1):
            whole = n % (8 if unit == "in" else 5) == 0
            long = 2.6 if whole else 1.2
            at = x(n * fine)
            board.add(Stroke(((at, -3.0), (at, -3.0 + long)), Line.THIN))
            if whole:
                text = inches_text(n * fine) if unit == "in" else f"{n * fine:.0f}"
                board.add(Label((at, 0.2), (text,), SMALL, "middle", -1))
    board.add(Label((0.0, -1.0), (f"backspace, {units}",), SMALL, "start", 0))


def _row(
    board: Board,
    y: float,
    text: str,
    found: Windows,
    x: object,
    limits: tuple[float, float],
    units: Units,
    strong: bool = False,
) -> float:
    assert callable(x)
    rows = wrapped(text, characters(_NAMES - 2.0))
    high = max(len(rows) * SMALL * PITCH, _BAR + SMALL * PITCH + 0.6)
    middle = y - _BAR / 2.0 - 0.4
    board.add(Label((0.0, y), rows, SMALL, "start", 1, bold=strong))
    if not found:
        board.add(Label((_NAMES, middle), ("none",), SMALL, "start", 0, tone="warn"))
    ends: list[tuple[float, str, float]] = []
    for first, last in found:
        left, right = x(first), x(last)
        least, most, unit = window_ends(first, last, units)
        shape = rectangle(left, middle - _BAR / 2.0, max(right, left + 0.6), middle + _BAR / 2.0)
        board.add(Area(shape, "accent" if strong else "soft", 0.55 if strong else 0.18))
        if first > limits[0]:
            board.add(Stroke(((left, middle - _BAR / 2.0), (left, middle + _BAR / 2.0)), Line.OUTLINE))
            ends.append((left, f"{least} {unit}", 1.0))
        if last < limits[1]:
            board.add(Stroke(((right, middle - _BAR / 2.0), (right, middle + _BAR / 2.0)), Line.OUTLINE))
            ends.append((right, f"{most} {unit}", -1.0))
        for edge in (middle - _BAR / 2.0, middle + _BAR / 2.0):
            board.add(Stroke(((left, edge), (right, edge)), Line.THIN, tone="soft"))
    for at, words, way in ends:
        label = Label(
            (at, middle - _BAR / 2.0 - 0.3), (words,), SMALL, "start" if way > 0 else "end", 1, tone="soft"
        )
        box = label.box(1.0)
        turned = replace(label, anchor="end" if way > 0 else "start")
        for one_ in (turned, label) if box.right > WIDE or box.left < _NAMES else (label, turned):
            at_ = one_.box(1.0)
            if at_.left >= _NAMES and at_.right <= WIDE and board.room.is_free(at_, ink=False):
                board.add(one_)
                break
    return y - high - 1.0


def _end_names(
    board: Board,
    y: float,
    interval: tuple[float, float],
    reach: tuple[float, float],
    ends: Mapping[str, Windows],
    checks: Mapping[str, object],
) -> float:
    """Name what ends an interval on either side; ``reach`` is how far windows are listed, no end of one."""
    first, last = interval
    below = [id_ for id_, found in ends.items() for a, _ in found if abs(a - first) < 0.011 and a > reach[0]]
    above = [id_ for id_, found in ends.items() for _, b in found if abs(b - last) < 0.011 and b < reach[1]]
    said_ = []
    if below:
        said_.append(f"less backspace is ended by {' and '.join(_name(i, checks) for i in below)}")
    if above:
        said_.append(f"more by {' and '.join(_name(i, checks) for i in above)}")
    if not said_:
        return y
    rows = wrapped("; ".join(said_), characters(WIDE - _NAMES - 6.0))
    label = Label((_NAMES, y), rows, SMALL, "start", 1)
    board.add(label)
    return y - label.extent()[1] - 1.0
