"""From the bytes of a CSV file to columns of text: what can be wrong before a single value is looked at."""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from wellroom.catalog.spec import TABLES, Table
from wellroom.errors import Fault

#: As many faults of one sort are listed one by one; the rest is a count.
LISTED = 50


@dataclass(frozen=True)
class RawTable:
    """The cells of one file as text, by column, and the line that each row starts on.

    ``cells`` holds the known columns only; every list is as long as ``lines``.
    """

    file: str
    table: Table
    cells: dict[str, list[str]]
    lines: list[int]


def show(text: str) -> str:
    """Return ``text`` as a fault shows it: quoted, short, "nothing" when blank."""
    if not text.strip():
        return "nothing"
    return repr(text if len(text) <= 40 else text[:37] + "...")


def capped(faults: Iterable[Fault]) -> list[Fault]:
    """Return the first faults of one sort, and one that counts the others."""
    listed = list(faults)
    if len(listed) <= LISTED:
        return listed
    first = listed[LISTED]
    more = f"{len(listed) - LISTED} more rows like this from here on"
    return [*listed[:LISTED], Fault(first.file, first.line, first.place, more, first.expected)]


def read_raw(path: Path, name: str) -> tuple[RawTable | None, list[Fault]]:
    """Read the file at ``path``; ``name`` is what faults call it.

    Returns what could be read (None if nothing can be checked further) and every fault of the file's form:
    not a readable file, bytes that are no UTF-8, no header, unknown, missing or doubled columns, rows of
    another length than the header, broken quotes.
    """
    try:
        data = path.read_bytes()
    except IsADirectoryError:
        return None, [Fault(name, 0, "file", "a folder", "a CSV file")]
    except FileNotFoundError:
        return None, [Fault(name, 0, "file", "no such file", "a CSV file")]
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        return None, [Fault(name, 0, "file", f"it can't be read ({reason})", "a CSV file")]
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return None, _bad_bytes(data, name)
    rows, lines, faults = _rows(text, name)
    if not rows:
        found = "no header" if text.strip() else "an empty file"
        return None, faults or [Fault(name, 1, "header", found, "a line of column names, then rows")]
    table, header_faults = _recognise(rows[0], lines[0], name)
    faults = header_faults + faults
    if table is None:
        return None, faults
    if len(rows) == 1 and not faults:
        faults.append(
            Fault(name, lines[0], "rows", "no row below the header", f"at least one row, {table.one}")
        )
    return _columns(rows, lines, table, name, faults), faults


def _bad_bytes(data: bytes, name: str) -> list[Fault]:
    """Return a fault for each line that is no UTF-8."""
    faults = []
    for line, text in enumerate(data.decode("utf-8", "surrogateescape").split("\n"), start=1):
        bad = next((character for character in text if "\udc80" <= character <= "\udcff"), None)
        if bad is not None:
            found = f"byte 0x{ord(bad) - 0xDC00:02X}"
            faults.append(Fault(name, line, "text", found, "UTF-8 (save the file as CSV UTF-8)"))
    return capped(faults)


def _rows(text: str, name: str) -> tuple[list[list[str]], list[int], list[Fault]]:
    """Split into rows of cells, without blank lines and the remarks (#) above the header."""
    skipped = 0
    stream = io.StringIO(text, newline="")
    while (start := stream.tell()) < len(text) and stream.readline().startswith("# "):
        skipped += 1
    stream.seek(start)
    reader = csv.reader(stream, strict=True)
    rows: list[list[str]] = []
    lines: list[int] = []
    faults: list[Fault] = []
    try:
        rows = list(reader)
    except csv.Error:
        rows = []
    if reader.line_num == len(rows):  # one line a row: no need to count
        lines = list(range(skipped + 1, skipped + 1 + len(rows)))
    else:
        stream.seek(start)
        rows, lines, faults = _rows_counted(stream, skipped, name)
    if not all(rows):
        kept = [(row, line) for row, line in zip(rows, lines, strict=True) if row]
        rows, lines = [row for row, _ in kept], [line for _, line in kept]
    return rows, lines, faults


def _rows_counted(
    stream: io.StringIO, skipped: int, name: str
) -> tuple[list[list[str]], list[int], list[Fault]]:
    """Read row by row: cells with line breaks in them, or broken quotes, where reading ends."""
    reader = csv.reader(stream, strict=True)
    rows: list[list[str]] = []
    lines: list[int] = []
    while True:
        line = skipped + reader.line_num + 1
        try:
            row = next(reader)
        except StopIteration:
            return rows, lines, []
        except csv.Error as error:
            expected = 'a quote mark only around a whole cell, doubled inside it ("")'
            return rows, lines, [Fault(name, line, "row", f"a cell that can't be read ({error})", expected)]
        rows.append(row)
        lines.append(line)


def _recognise(header: list[str], line: int, name: str) -> tuple[Table | None, list[Fault]]:
    """Tell the kind of file by its columns; name what is unknown, missing or there twice."""
    names = [cell.strip() for cell in header]
    table = max(TABLES, key=lambda candidate: _likeness(candidate, names))
    if _likeness(table, names) < 0.4:
        if len(names) == 1 and names[0].count(";") > 1:
            return None, [Fault(name, line, "header", "semicolons between cells", "commas between cells")]
        kinds = ", ".join(candidate.name for candidate in TABLES)
        found = show(",".join(header))
        return None, [Fault(name, line, "header", found, f"the columns of one of these: {kinds}")]
    faults = []
    absent = [column for column in table.names if column not in names]
    for place, column in enumerate(names):
        if column in names[:place]:
            faults.append(Fault(name, line, column or "header", "this column twice", "each column once"))
        elif column not in table.names:
            near = difflib.get_close_matches(column, absent, 1) or difflib.get_close_matches(
                column, table.names, 1
            )
            hint = f"; the nearest is {near[0]}" if near else f"; missing: {', '.join(absent) or 'none'}"
            expected = f"a column of {table.name}{hint}"
            faults.append(Fault(name, line, column or "header", f"the column name {show(column)}", expected))
    for column in absent:
        if table.column(column).required:
            faults.append(
                Fault(name, line, column, "no such column", f"{column}: {table.column(column).what}")
            )
    return table, faults


def _likeness(table: Table, names: list[str]) -> float:
    """Return the share of columns in common, 0 to 1."""
    return len(set(names) & set(table.names)) / max(1, len(set(names) | set(table.names)))


def _columns(
    rows: list[list[str]], lines: list[int], table: Table, name: str, faults: list[Fault]
) -> RawTable:
    """Turn rows into columns; rows of another length become faults and are left out."""
    header = [cell.strip() for cell in rows[0]]
    body, body_lines = rows[1:], lines[1:]
    width = len(header)
    if any(len(row) != width for row in body):
        pairs = list(zip(body, body_lines, strict=True))
        ragged = [(len(row), line) for row, line in pairs if len(row) != width]
        expected = f"{width} cells, as in the header (a comma inside a cell needs quotes around it)"
        faults += capped(Fault(name, line, "row", f"{count} cells", expected) for count, line in ragged)
        body = [row for row, _ in pairs if len(row) == width]
        body_lines = [line for row, line in pairs if len(row) == width]
    by_place = list(zip(*body, strict=True)) if body else [()] * width
    cells: dict[str, list[str]] = {}
    for place, column in enumerate(header):
        if column in table.names and column not in cells:
            cells[column] = list(by_place[place])
    return RawTable(name, table, cells, body_lines)
