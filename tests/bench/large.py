"""Catalogs of any size, invented: shipped tires again and again, each time a little larger or smaller.

A row keeps its marking, ratings and rim widths; sizes, mass and price are scaled by a few parts in a
thousand, so that no two rows have the same section. The same count and seed give the same bytes.
"""

from __future__ import annotations

import csv
import io
import random

import numpy as np

from wellroom.data import catalogs_dir
from wellroom.search.rims import Rims
from wellroom.search.tires import Tires

REMARK = "# Invented data for timing the program: scaled from the shipped rows, which are invented too.\n"
WIDTHS = 6
_DIAMETERS = ("od_min_mm", "od_nominal_mm", "od_max_mm")
_SECTIONS = ("section_min_mm", "section_nominal_mm", "section_max_mm", "tread_width_mm")
_SHARE = {"od": 0.004, "section": 0.012, "mass": 0.02, "price": 0.2}


def tire_rows(count: int, seed: int) -> str:
    """Return a catalog of ``count`` tires as the text of a CSV file, ids distinct from the shipped ones."""
    rng = random.Random(seed)
    with (catalogs_dir() / "tires.csv").open(encoding="utf-8", newline="") as file:
        shipped = list(csv.DictReader(line for line in file if not line.startswith("# ")))
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(shipped[0]), lineterminator="\n")
    out.write(REMARK)
    writer.writeheader()
    for number in range(count):
        row = dict(rng.choice(shipped))
        row["id"] = f"bench-{number:06d}"
        share = {what: 1.0 + rng.uniform(-by, by) for what, by in _SHARE.items()}
        for name in _DIAMETERS:
            row[name] = f"{float(row[name]) * share['od']:.2f}"
        for name in _SECTIONS:
            row[name] = f"{float(row[name]) * share['section']:.2f}"
        row["mass_kg"] = f"{float(row['mass_kg']) * share['mass']:.2f}"
        row["price"] = f"{float(row['price']) * share['price']:.2f}"
        writer.writerow(row)
    return out.getvalue()


def on_widths(tires: Tires, rims: Rims, count: int, widths: int = WIDTHS) -> tuple[Tires, Rims]:
    """Return ``count`` tires, each on the ``widths`` rims nearest its measuring rim, row by row.

    Of a rim diameter the first blank that is made in so many widths is taken. Of the tires that have one some
    are left out, evenly, to leave as many as asked; raises ValueError where there are fewer.
    """
    rows, chosen = [], []
    for code in np.unique(tires.code):
        ids, first = np.unique(rims.id[rims.code == code].astype(str), return_counts=True)
        enough = ids[first >= widths]
        if not len(enough):
            continue
        blank = np.flatnonzero((rims.code == code) & (rims.id == enough[0]))
        mine = np.flatnonzero(tires.code == code)
        away = np.abs(rims.width[blank][None, :] - tires.measuring[mine][:, None])
        nearest = np.sort(np.argsort(away, axis=1, kind="stable")[:, :widths], axis=1)
        rows.append(np.repeat(mine, widths))
        chosen.append(blank[nearest].ravel())
    tire, rim = np.concatenate(rows), np.concatenate(chosen)
    have = len(tire) // widths
    if have < count:
        raise ValueError(f"{have} tires with {widths} rims, {count} asked for")
    some = (np.linspace(0, have - 1, count).astype(np.intp)[:, None] * widths + np.arange(widths)).ravel()
    return tires.take(tire[some]), rims.take(rim[some])
