"""Large catalogs: reading, windows of 100,000 tires on six widths each, and a whole fit at 20,000 tires."""

from __future__ import annotations

import tempfile
import tracemalloc
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from statistics import median

import numpy as np

import wellroom
from bench.commands import ROOT, WELLROOM, Figures, spent, timed
from bench.large import on_widths, tire_rows
from wellroom.scenario.build import build_room
from wellroom.search.candidates import Asked, Parts, asked_of, distinct_closings, thing_interval
from wellroom.search.clear import sweep_axle
from wellroom.search.hub import hub_size
from wellroom.search.rims import Rims, made_rims, rims_from
from wellroom.search.tires import Tires, catalog_tires

SEED = 20_000
TIRES, FIT_TIRES = 100_000, 20_000
SCENARIO, AXLE = "fire_tender", "front"
AT_ONCE = 1 << 16
Window = tuple[np.ndarray, np.ndarray, list[tuple[np.ndarray, np.ndarray]]]


def many(rounds: int) -> Figures:
    """Time reading, windows and a whole fit; ``_mib`` is what windows take beyond tires, rims and curves.

    ``read.120k_ratio`` is what a row of the large catalog takes, times a row of the shipped one: checks run
    on whole columns, so it stays small. The fit is a fresh process that reads the catalog with --catalog.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "tires.csv"
        path.write_text(tire_rows(round(TIRES * 1.2), SEED), encoding="utf-8")
        shipped, plain = len(wellroom.load_catalog().tires), timed(wellroom.load_catalog, rounds)
        read = timed(partial(wellroom.load_catalog, [path]), rounds)
        catalog = wellroom.load_catalog([path])
        tires, rims = catalog_tires(catalog), rims_from(made_rims(catalog))
        on_tires, on_rims = on_widths(tires, rims, TIRES)
        asked = asked_axle(SCENARIO, AXLE)
        rim = numbered(on_rims)

        def windows() -> None:
            for _ in each_window(asked, on_tires, on_rims, rim):
                pass

        figures: Figures = {
            "read.120k_s": read,
            "read.120k_ratio": (read / len(catalog.tires)) / (plain / shipped),
            "windows.100k_x6_pairs": float(len(rim)),
            "windows.100k_x6_s": timed(windows, rounds),
        }
        tracemalloc.start()
        windows()
        figures["windows.100k_x6_mib"] = tracemalloc.get_traced_memory()[1] / 2.0**20
        tracemalloc.stop()
        path.write_text(tire_rows(FIT_TIRES, SEED), encoding="utf-8")
        seen = [spent(*WELLROOM, "fit", SCENARIO, "--catalog", str(path)) for _ in range(rounds)]
    figures["fit.20k_s"] = median(seconds for seconds, _ in seen)
    figures["fit.20k_memory_mib"] = median(memory for _, memory in seen)
    return figures


def asked_axle(scenario: str, axle: str) -> Asked:
    """Return a shipped axle, swept, without wishes."""
    found = wellroom.load_scenario(ROOT / "scenarios" / f"{scenario}.toml")
    room = build_room(found, axle)  # type: ignore[arg-type]  # front or rear
    return asked_of(found, sweep_axle(room), hub_size(room), None)


def numbered(rims: Rims) -> np.ndarray:
    """Return a number for each rim, equal for one blank at one width."""
    names = [f"{name} {width}" for name, width in zip(rims.id, rims.width, strict=True)]
    return np.unique(names, return_inverse=True)[1]


def each_window(asked: Asked, tires: Tires, rims: Rims, rim: np.ndarray) -> Iterator[Window]:
    """Yield, for so many pairs at once, (least, most) backspace [mm] and the intervals closed between."""
    for at in range(0, len(tires), AT_ONCE):
        rows = slice(at, at + AT_ONCE)
        on_tires, on_rims = tires.take(rows), rims.take(rows)
        parts, to_centre = Parts(asked, on_tires, on_rims, rim[rows]), on_rims.to_centre
        mud = np.asarray(on_tires.kind == "mud", dtype=bool)
        least, most = np.full(len(mud), -np.inf), np.full(len(mud), np.inf)
        holes = []
        for thing, _, new in distinct_closings(asked, on_rims):
            if not new:
                continue
            low, high = thing_interval(thing, parts.of(thing), to_centre, mud, (least, most))
            if thing.closed[0].up and thing.closed[0].down:
                holes.append((low, high))
            elif thing.closed[0].up:
                most = np.minimum(most, low)
            else:
                least = np.maximum(least, high)
        yield least, most, holes
