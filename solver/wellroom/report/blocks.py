"""What a page of text is made of, and its layout in a width. Nothing here knows what the words say."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Tone = Literal["", "strong", "dim", "good", "bad"]
Align = Literal["left", "right"]
Line = tuple[str, Tone]

INDENT = 2
LEAST_FLEX = 24

_HOLD = "\x00"
_TOGETHER = re.compile(
    r"(?<=\d) (?=\d+/\d)|(?<=±) (?=\d)|(?<=[\d)]) (?=(?:in|mm|lb|kg|%|deg)(?![A-Za-z0-9]))"
)


@dataclass(frozen=True)
class Text:
    """A paragraph; later lines are indented by ``hang``."""

    text: str
    tone: Tone = ""
    indent: int = 0
    hang: int = 0


@dataclass(frozen=True)
class Heading:
    """A heading with an empty line before it."""

    text: str


@dataclass(frozen=True)
class Column:
    """A column; ``flex`` lets its text wrap in what is left of the width (the last column only).

    ``full`` names it where rows are stacked and there is room for words.
    """

    name: str
    align: Align = "left"
    flex: bool = False
    full: str = ""


@dataclass(frozen=True)
class Row:
    """Cells of one row."""

    cells: tuple[str, ...]
    tone: Tone = ""


@dataclass(frozen=True)
class Group:
    """Rows that belong together, a caption above and a remark below."""

    rows: tuple[Row, ...]
    caption: str = ""
    remark: str = ""


@dataclass(frozen=True)
class Table:
    """A table; where it is wider than the page its rows are stacked, each cell with its column's name."""

    columns: tuple[Column, ...]
    groups: tuple[Group, ...]


@dataclass(frozen=True)
class Bars(Table):
    """A table that is a picture made of letters; where there are drawings it is not needed."""


Block = Text | Heading | Table


def clean(text: str) -> str:
    """Replace what could steer a terminal (control and format characters) by a question mark.

    Runs of white space become one space, except at the start.
    """
    lead = " " * (len(text) - len(text.lstrip(" ")))
    return lead + "".join(letter if letter.isprintable() else "?" for letter in " ".join(text.split()))


def held(text: str, by: str = "\u00a0") -> str:
    """Return a text in which no line may break within ``1 1/4 in``: half a number reads as a whole one."""
    return _TOGETHER.sub(by, text)


def wrap(text: str, width: int, first: int = 0, rest: int = 0) -> list[str]:
    """Break a text into lines, never within ``1 1/4 in``."""
    parts = textwrap.wrap(
        held(clean(text), _HOLD),
        width,
        initial_indent=" " * first,
        subsequent_indent=" " * rest,
        break_on_hyphens=False,
    )
    return [part.replace(_HOLD, " ") for part in parts]


def layout(blocks: Sequence[Block], width: int) -> list[Line]:
    """Return the lines of a page that is ``width`` [columns, >= 20] wide; no line is longer."""
    width = max(width, 20)
    lines: list[Line] = []
    for block in blocks:
        if isinstance(block, Heading):
            lines.append(("", ""))
            lines += _wrapped(block.text, width, "strong")
        elif isinstance(block, Text):
            lines += _wrapped(block.text, width, block.tone, block.indent, block.indent + block.hang)
        else:
            lines += _table(block, width)
    return lines


def _wrapped(text: str, width: int, tone: Tone, first: int = 0, rest: int | None = None) -> list[Line]:
    rest = first if rest is None else rest
    if width < 40:
        first, rest = min(first, INDENT), min(rest, 2 * INDENT)
    return [(part, tone) for part in wrap(text, width, first, rest)]


def _table(table: Table, width: int) -> list[Line]:
    widths = _widths(table, width)
    if widths is None:
        return _stacked(table, width)
    lines = _row(Row(tuple(column.name for column in table.columns), "strong"), table, widths)
    for group in table.groups:
        if group.caption:
            lines += _wrapped(group.caption, width, "strong", 0, INDENT)
        for row in group.rows:
            lines += _row(row, table, widths)
        if group.remark:
            lines += _wrapped(group.remark, width, "dim", INDENT, 2 * INDENT)
    return lines


def _widths(table: Table, width: int) -> list[int] | None:
    """Return a width for each column, None when the table is too wide for the page."""
    rows = [row.cells for group in table.groups for row in group.rows]
    natural = [
        max([len(column.name), *(len(clean(cells[index])) for cells in rows)])
        for index, column in enumerate(table.columns)
    ]
    room = width - (len(natural) - 1)
    if table.columns[-1].flex:
        left = room - sum(natural[:-1])
        if left < min(LEAST_FLEX, natural[-1]):
            return None
        return [*natural[:-1], min(left, natural[-1])]
    return natural if sum(natural) <= room else None


def _joined(cells: Sequence[str], table: Table, widths: Sequence[int]) -> str:
    placed = [
        clean(cell).rjust(size) if column.align == "right" else clean(cell).ljust(size)
        for cell, column, size in zip(cells, table.columns, widths, strict=True)
    ]
    return " ".join(placed).rstrip()


def _row(row: Row, table: Table, widths: Sequence[int]) -> list[Line]:
    if not table.columns[-1].flex:
        return [(_joined(row.cells, table, widths), row.tone)]
    parts = wrap(row.cells[-1], widths[-1]) or [""]
    blank = [""] * (len(row.cells) - 1)
    lines = [_joined([*row.cells[:-1], parts[0]], table, widths)]
    lines += [_joined([*blank, part], table, widths) for part in parts[1:]]
    return [(line, row.tone) for line in lines]


def _stacked(table: Table, width: int) -> list[Line]:
    lines: list[Line] = []
    for group in table.groups:
        if group.caption:
            lines += _wrapped(group.caption, width, "strong", 0, INDENT)
        for row in group.rows:
            lines += _wrapped(row.cells[0].strip(), width, "strong", INDENT, 2 * INDENT)
            for column, cell in list(zip(table.columns, row.cells, strict=True))[1:]:
                if cell:
                    name = column.full or column.name
                    text = f"{name}: {cell}" if name else cell
                    lines += _wrapped(text, width, row.tone, 2 * INDENT, 3 * INDENT)
        if group.remark:
            lines += _wrapped(group.remark, width, "dim", INDENT, 2 * INDENT)
    return lines
