"""Small clean catalogs that tests break in one way each."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from wellroom.catalog.spec import Table
from wellroom.data import catalogs_dir


class Sheet:
    """A catalog file in the making: a header and rows of text cells."""

    def __init__(self, table: Table, rows: int = 6) -> None:
        with (catalogs_dir() / f"{table.name}.csv").open(encoding="utf-8", newline="") as file:
            lines = [line for line in file if not line.startswith("#")]
        cells = list(csv.reader(lines))
        step = max(1, (len(cells) - 1) // rows)
        self.table = table
        self.header = cells[0]
        self.rows = cells[1::step][:rows]

    def get(self, row: int, column: str) -> str:
        return self.rows[row][self.header.index(column)]

    def put(self, row: int, column: str, text: str) -> Sheet:
        self.rows[row][self.header.index(column)] = text
        return self

    def text(self) -> str:
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(self.header)
        writer.writerows(self.rows)
        return out.getvalue()

    def write(self, folder: Path, name: str = "") -> Path:
        path = folder / (name or f"{self.table.name}.csv")
        path.write_text(self.text(), encoding="utf-8", newline="\n")
        return path


def write_text(folder: Path, text: str, name: str = "own.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8", newline="")
    return path


def places(faults: Sequence[object]) -> list[tuple[int, str]]:
    """Return line and place of each fault."""
    return [(fault.line, fault.place) for fault in faults]  # type: ignore[attr-defined]  # all faults have both
