"""A page of text as parts of a web page: each heading a part, each table a table, in both units."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import groupby

from markupsafe import Markup

from wellroom.report.blocks import Block, Group, Heading, Table, Text
from wellroom.report.web.parts import BOTH, Part, dual_block
from wellroom.report.web.tables import cell_class, framed, items
from wellroom.units import Units

Page = Callable[[Units], Sequence[Block]]


def parts_of(page: Page) -> tuple[Part, ...]:
    """Return the headed parts of a page of text that has the same headings in both units."""
    sides = [headed(page(units))[1] for units in BOTH]
    return tuple(
        Part(slug(title), title, _both(inches, metric, title))
        for (title, inches), (_, metric) in zip(*sides, strict=True)
    )


def slug(title: str) -> str:
    """Return a heading as an id.

    >>> slug("Side by side, today's wheels first")
    'side-by-side-today-s-wheels-first'
    """
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")


def blocks_markup(blocks: Sequence[Block], caption: str = "") -> Markup:
    """Return blocks in one unit; ``caption`` names their tables where they have no other name."""
    out = []
    for listed, run in groupby(blocks, _listed):
        if listed:
            out.append(items([block.text for block in run if isinstance(block, Text)]))
        else:
            out += [_single(block, caption) for block in run]
    return Markup("").join(out)


def headed(blocks: Sequence[Block]) -> tuple[list[Block], list[tuple[str, list[Block]]]]:
    """Return what stands before the first heading, and then each heading with what stands under it."""
    lead: list[Block] = []
    parts: list[tuple[str, list[Block]]] = []
    for block in blocks:
        if isinstance(block, Heading):
            parts.append((block.text, []))
        else:
            (parts[-1][1] if parts else lead).append(block)
    return lead, parts


def _both(inches: Sequence[Block], metric: Sequence[Block], caption: str) -> Markup:
    """Return blocks in both units, list by list and table by table where they run alike."""
    runs = [list(_runs(blocks)) for blocks in (inches, metric)]
    if len(runs[0]) != len(runs[1]):
        runs = [[list(inches)], [list(metric)]]
    return Markup("").join(dual_block(partial(_one, a, b, caption)) for a, b in zip(*runs, strict=True))


def _one(inches: Sequence[Block], metric: Sequence[Block], caption: str, units: Units) -> Markup:
    return blocks_markup(inches if units == "in" else metric, caption)


def _runs(blocks: Sequence[Block]) -> Iterator[list[Block]]:
    for listed, run in groupby(blocks, _listed):
        together = list(run)
        yield from [together] if listed else [[block] for block in together]


def _listed(block: Block) -> bool:
    return isinstance(block, Text) and block.indent > 0


def _single(block: Block, caption: str) -> Markup:
    if isinstance(block, Text):
        cls = Markup(' class="{}"').format(block.tone) if block.tone else Markup("")
        return Markup("<p{}>{}</p>").format(cls, block.text)
    assert isinstance(block, Table), block
    return _table(block, caption)


def _table(table: Table, caption: str) -> Markup:
    numeric = [index for index, column in enumerate(table.columns) if column.align == "right"]
    heads = Markup("").join(
        Markup('<th scope="col"{}>{}</th>').format(cell_class(k, numeric), column.name)
        for k, column in enumerate(table.columns)
    )
    groups = Markup("").join(_group(group, len(table.columns), numeric) for group in table.groups)
    return framed(caption, heads, groups)


def _group(group: Group, wide: int, numeric: Sequence[int]) -> Markup:
    out = []
    if group.caption:
        words = Markup('<tr><th scope="rowgroup" colspan="{}" class="group">{}</th></tr>')
        out.append(words.format(wide, group.caption))
    for row in group.rows:
        cells = [
            Markup('<th scope="row"{}>{}</th>' if k == 0 else "<td{}>{}</td>").format(
                cell_class(k, numeric), cell.strip()
            )
            for k, cell in enumerate(row.cells)
        ]
        out.append(Markup("<tr>{}</tr>").format(Markup("").join(cells)))
    if group.remark:
        out.append(Markup('<tr><td colspan="{}" class="dim">{}</td></tr>').format(wide, group.remark))
    return Markup("<tbody>{}</tbody>").format(Markup("").join(out))
