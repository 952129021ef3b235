"""From columns of text to columns of values: every cell against its column, whole columns at a time."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from wellroom.catalog import cells
from wellroom.catalog.read import RawTable, capped, show
from wellroom.catalog.spec import RIM_CODES, Column
from wellroom.errors import Fault

Bools = npt.NDArray[np.bool_]
Values = npt.NDArray[Any]

_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}", re.ASCII)
_LONGEST_TEXT = 120


@dataclass
class Checked:
    """Values by column with a mask of the good ones; ``faults`` fills as checks run.

    Numeric columns are float64 (NaN where a cell is no number), the others object arrays of stripped text.
    """

    raw: RawTable
    values: dict[str, Values] = field(default_factory=dict)
    ok: dict[str, Bools] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def report(self, column: str, bad: Bools, expected: Callable[[int], str] | str) -> None:
        """Add a fault for each row where ``bad`` holds; ``expected`` may depend on the row."""
        raw = self.raw
        self.faults += capped(
            Fault(raw.file, raw.lines[row], column, show(self.text(column, row)),
                  expected if isinstance(expected, str) else expected(row))
            for row in np.flatnonzero(bad).tolist()
        )  # fmt: skip

    def text(self, column: str, row: int) -> str:
        """Return the cell as it was written, or the default where the column was left out."""
        written = self.raw.cells.get(column)
        return written[row] if written is not None else str(self.values[column][row])

    def all_ok(self, *columns: str) -> Bools:
        """Return the rows whose cells in all ``columns`` are good; none if a column is missing."""
        mask = np.ones(len(self.raw.lines), dtype=bool)
        for column in columns:
            mask &= self.ok.get(column, False)
        return mask


def check_cells(raw: RawTable) -> Checked:
    """Check every cell of ``raw`` against its column and return the values with all faults."""
    checked = Checked(raw)
    late = []
    for column in raw.table.columns:
        written = raw.cells.get(column.name)
        if written is None:
            if column.default is not None:
                late.append((column, ["" for _ in raw.lines]))
        elif column.default is not None:
            late.append((column, written))
        else:
            _check_column(checked, column, written)
    for column, written in late:  # a default may be another column's value
        _check_column(checked, column, _with_defaults(checked, column, written))
    return checked


def _with_defaults(checked: Checked, column: Column, written: list[str]) -> list[str]:
    other = checked.raw.cells.get(column.default or "")
    if other is not None:
        return [cell if cell.strip() else instead for cell, instead in zip(written, other, strict=True)]
    return [cell if cell.strip() else column.default or "" for cell in written]


def _check_column(checked: Checked, column: Column, written: list[str]) -> None:
    name = column.name
    if column.is_numeric:
        values = _numbers(written)
        if column.kind == "code":
            good = np.isin(values, RIM_CODES)
        else:
            good = (values >= column.low) & (values <= column.high)  # NaN is never good
        if column.kind == "integer":
            good &= values == np.floor(values)
        checked.values[name], checked.ok[name] = values, good
        if not good.all():
            checked.report(name, ~good, column.expected)
        return
    different = {cell: cell.strip() for cell in set(written)}
    bad = {cell for cell, text in different.items() if not _good_text(column, text)}
    changed = any(cell != text for cell, text in different.items())
    texts = [different[cell] for cell in written] if changed else written
    checked.values[name] = np.array(texts, dtype=object)
    good = np.ones(len(written), dtype=bool)
    if bad:
        good = np.fromiter((cell not in bad for cell in written), dtype=bool, count=len(written))
        checked.report(name, ~good, lambda row: column.expected + _nearest(column, texts[row]))
    checked.ok[name] = good


def _numbers(written: list[str]) -> npt.NDArray[np.float64]:
    """Return the numbers; NaN for what is none, infinite, or only Python takes for one (1_000)."""
    joined = "".join(written)
    if "_" not in joined and joined.isascii():
        try:
            values = np.fromiter(map(float, written), dtype=np.float64, count=len(written))
        except ValueError:
            pass
        else:
            values[~np.isfinite(values)] = math.nan
            return values
    values = np.fromiter(map(cells.number, written), dtype=np.float64, count=len(written))
    values[~np.isfinite(values)] = math.nan
    return values


def _good_text(column: Column, text: str) -> bool:
    if not text or not text.isprintable() or (len(text) > _LONGEST_TEXT and column.kind != "outline"):
        return False
    try:
        match column.kind:
            case "id":
                return _ID.fullmatch(text) is not None
            case "choice":
                return text in column.choices
            case "studs":
                cells.parse_studs(text, column.low, column.high)
            case "outline":
                cells.parse_outline(text)
    except ValueError:
        return False
    return True


def _nearest(column: Column, text: str) -> str:
    near = difflib.get_close_matches(text, column.choices, 1) if column.kind == "choice" else []
    return f"; the nearest is {near[0]}" if near else ""
