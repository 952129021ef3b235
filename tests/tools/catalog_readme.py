"""The README of the catalogs, made from the columns' own descriptions."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

from wellroom.catalog.spec import TABLES, Table

HEAD = """\
# Sample catalogs

**All makers, lines, ratings, masses and prices here are invented.** They are for trying the program; order
nothing by them. Before you buy, put in the figures of the tire and wheel makers' own data: load and speed
ratings, approved rim widths, pressures, sizes. Those bind, and so does the law where you drive.

What is not invented: size markings, rim contours and bolt circles are those of the trade, and nominal tire
sizes follow the standards:

- Metric sizes by UN R30 6.1.1.1 (section on the measuring rim) and, from memory, ISO 4000-1 (design diameter,
  measuring rim by the aspect ratio). On 15-degree rims (half codes) the measuring rim is the nearest width
  that such rims come in.
- Flotation sizes: the marking less 1/2 in (from memory of UN R54 annex 5); approved rims to 12.50 from
  memory, wider ones continued in the same manner. Numeric sizes: from memory of UN R54 annex 5 and TRA.
- Load indices are such as these sizes are commonly marked with, from memory; the load is the table's for the
  index. Pressures of LT sizes follow their load range (from memory; above 295 mm or 11.50 in common practice,
  no source).
- The makers' least and largest sizes are scattered inside the tolerances of UN R30 and R54 (from memory).

Numeric sizes whose figures are from memory alone, in no table of this project (diameter / section, mm):
{memory}.

Made by `python tests/tools/make_catalogs.py`; don't edit by hand.

## Your own data

Give your own CSV files with `--catalog FILE`, as many as you like. The columns tell what a file is.
A row with the id of a shipped row replaces it, any other is added, a row that repeats another exactly is
dropped; each is noted. Any fault names file, line and column, and then nothing is read. Numbers are plain
decimals with a point, without units. Lines that start with `# ` above the header are remarks.
"""


def readme(memory: Mapping[str, tuple[float, float]]) -> str:
    """Return the README; ``memory`` maps sizes to diameter and section known from memory alone."""
    listed = ", ".join(f"{size} {od:g} / {section:g}" for size, (od, section) in memory.items())
    return HEAD.format(memory=textwrap.fill(listed, 105)) + "".join(section(table) for table in TABLES)


def section(table: Table) -> str:
    """Return the description of one file."""
    lines = [
        f"\n## {table.name}.csv: {table.one} a row\n",
        "| column | holds | what it is |",
        "|---|---|---|",
    ]
    for column in table.columns:
        optional = "" if column.required else f" (may be left out: {column.default})"
        lines.append(f"| {column.name} | {column.expected} | {column.what}{optional} |")
    return "\n".join(lines) + "\n"
