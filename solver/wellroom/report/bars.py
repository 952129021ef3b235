"""Windows as bars on one ruler of backspaces: a line for each requirement, their intersection, the choice."""

from __future__ import annotations

from collections.abc import Sequence

from wellroom.report import measures
from wellroom.report.blocks import Bars, Block, Column, Group, Heading, Row, Text
from wellroom.search.results import AxleFit, Windows, unlimited
from wellroom.units import Units, floor_to

CELLS = 32
OPEN, SHUT, CHOSEN = "=", ".", "|"
_AROUND = 25.4
_NEAR = 0.015


def bars(axle: str, fit: AxleFit, units: Units) -> list[Block]:
    """Return the chart of one axle's windows, and in words what ends the window at each side."""
    named = {id_: windows for id_, windows in fit.windows_mm.items() if windows is not None}
    if not named or fit.window_mm is None:
        return []
    low, high = _ruler(fit)
    rows = [
        Row((id_.split(".", 1)[1].replace("_", " ").replace("near.", ""), _bar(windows, low, high, None)))
        for id_, windows in named.items()
    ]
    rows.append(Row(("all clearances", _bar(fit.window_mm, low, high, fit.backspace_mm)), "strong"))
    ends = f"{measures.length(low, units)} to {measures.length(high, units)} {units}"
    return [
        Heading(f"{axle}: windows of backspace, {ends} from left to right"),
        Bars((Column("requirement"), Column("")), (Group(tuple(rows)),)),
        Text(f"{OPEN} open, {SHUT} closed, {CHOSEN} the backspace that was judged.", "dim"),
        *(Text(sentence, hang=2) for sentence in what_ends(fit, units)),
    ]


def _ruler(fit: AxleFit) -> tuple[float, float]:
    """Return the backspaces [mm] that the ruler spans: the window and the choice, an inch around."""
    at = [fit.backspace_mm, *(end for window in fit.window_mm or () for end in window)]
    wide = fit.overall_width_mm or 0.0
    return max(min(at) - _AROUND, -_AROUND), min(max(at) + _AROUND, max(wide, max(at)) + _AROUND)


def _bar(windows: Windows, low: float, high: float, chosen: float | None) -> str:
    """Return a bar: a cell is open where all of it is."""
    step = (high - low) / CELLS
    cells = []
    for k in range(CELLS):
        left, right = low + k * step, low + (k + 1) * step
        open_ = any(a <= left + 1e-9 and right - 1e-9 <= b for a, b in windows)
        cells.append(OPEN if open_ else SHUT)
    if chosen is not None and low <= chosen <= high:
        cells[min(int((chosen - low) / step), CELLS - 1)] = CHOSEN
    return "".join(cells)


def what_ends(fit: AxleFit, units: Units) -> list[str]:
    """Return a sentence for each end of the window around the chosen backspace: where, and by what."""
    window = next((w for w in fit.window_mm or () if w[0] <= fit.backspace_mm <= w[1]), None)
    if window is None:
        return ["The backspace that was judged is in no window."]
    out = []
    no_end = unlimited(window, fit.overall_width_mm)
    for side, word, way in ((0, "Less backspace", "up"), (1, "More backspace", "down")):
        if no_end[side]:
            out.append(f"{word}: nothing that was measured ends it.")
            continue
        names = _enders(fit, window[side], side)
        if names:
            end = measures.length(window[side], units, "up" if way == "up" else "down")
            out.append(f"{word} ends at {end} {units} ({window[side]:.2f} mm): {', '.join(names)}.")
    return out


def _enders(fit: AxleFit, end: float, side: int) -> Sequence[str]:
    """Return what has an end of its window here, in the order of the requirements."""
    found = []
    for id_, windows in fit.windows_mm.items():
        kind = next((check.kind for check in fit.checks if check.id == id_), None)
        if kind not in ("rating", "clearance") or not windows:
            continue
        if any(abs(floor_to(window[side], 0.01) - end) < _NEAR for window in windows):
            found.append(id_.split(".", 1)[1].removeprefix("near.").replace("_", " ").replace(".", ", "))
    return found
