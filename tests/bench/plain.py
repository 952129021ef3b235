"""A plain feasible set to hold the windows against: every sample at every step of backspace, pair by pair.

This is frozen: it is not made faster, or the ratio to it would tell nothing. It takes the same samples, grown
by the same bound, and the same rounding of what is printed, but knows no windows: at each step of backspace a
thing is in the way when one of its samples' discs reaches into the wheel.
"""

from __future__ import annotations

import math
import tempfile
import time
from pathlib import Path

import numpy as np

import wellroom
from bench.commands import Figures
from bench.large import on_widths, tire_rows
from bench.many import AXLE, SCENARIO, SEED, asked_axle, numbered
from wellroom.geometry.section import Sections
from wellroom.search.candidates import Asked, Parts, cleared, closings_of
from wellroom.search.clear import Thing
from wellroom.search.rims import Rims, made_rims, rims_from
from wellroom.search.tires import Tires, catalog_tires

TIRES, STEP = 1_000, 3.175


def against_plain() -> Figures:
    """Return how much longer the plain way takes for 1,000 tires, and 1 where it opens the same steps."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "tires.csv"
        path.write_text(tire_rows(TIRES * 2, SEED), encoding="utf-8")
        catalog = wellroom.load_catalog([path], shipped=True)
    every, rims = catalog_tires(catalog), rims_from(made_rims(catalog))
    mine = every.take(np.array([str(id_).startswith("bench-") for id_ in every.id]))
    on_tires, on_rims = on_widths(mine, rims, TIRES, 1)
    asked = asked_axle(SCENARIO, AXLE)
    cleared(asked, on_tires.take([0]), on_rims.take([0]), np.array([0]), {})  # what only the axle needs
    start = time.perf_counter()
    pair, backspace, _ = cleared(asked, on_tires, on_rims, numbered(on_rims), {})
    middle = time.perf_counter()
    plain = [(k, step) for k in range(len(on_tires)) for step in open_steps(asked, on_tires, on_rims, k)]
    end = time.perf_counter()
    same = plain == list(zip(pair.tolist(), backspace.tolist(), strict=True))
    return {
        "brute.tires": float(len(on_tires)),
        "brute.open_steps": float(len(plain)),
        "brute.plain_s": end - middle,
        "brute.ratio": (end - middle) / (middle - start),
        "brute.same_set": float(same),
    }


def open_steps(asked: Asked, tires: Tires, rims: Rims, pair: int) -> list[float]:
    """Return the steps of backspace [mm] at which nothing is in the way of one tire on one blank."""
    tire, rim = tires.take([pair]), rims.take([pair])
    low, high = float(rim.backspace_low[0]), float(rim.backspace_high[0])
    steps = [k * STEP for k in range(math.ceil(low / STEP - 1e-9), math.floor(high / STEP + 1e-9) + 1)]
    parts, centre, mud = Parts(asked, tire, rim), float(rim.to_centre[0]), bool(tire.kind[0] == "mud")
    for thing, judged in closings_of(asked, rim):
        if judged[0]:
            steps = clear_of(asked, thing, parts.of(thing), mud, centre, steps)
    return steps


def clear_of(
    asked: Asked, thing: Thing, wheel: Sections, mud: bool, centre: float, steps: list[float]
) -> list[float]:
    """Return the steps at which a thing is not in the way: of what blocks nothing, from neither side."""
    cells = asked.swept.brake_cells if thing is asked.swept.brake else asked.swept.cells[thing.end]
    clearances = [item.clearances[min(int(mud), len(item.clearances) - 1)] for item in thing.items]
    rows = np.concatenate(thing.rows)
    asks = np.repeat(clearances, [len(part) for part in thing.rows])
    r, y, growth = cells.r[rows], cells.y[rows], cells.take(rows).growth(asks)
    closed = np.ones(len(steps), dtype=bool)
    # Printed ends are rounded outward to 0.01 mm: so a step is tried at the hundredth beyond it.
    if int(thing.items[0].blocks) <= 0:
        shift = centre - np.ceil(np.array(steps) * 100.0 - 1e-9) / 100.0
        closed &= _meets(wheel.r[0], wheel.inboard[0], r, y, growth, shift)
    if int(thing.items[0].blocks) >= 0:
        shift = centre - np.floor(np.array(steps) * 100.0 + 1e-9) / 100.0
        closed &= _meets(wheel.r[0], wheel.outboard[0], r, -y, growth, -shift)
    return [step for step, shut in zip(steps, closed, strict=True) if not shut]


def _meets(
    corner: np.ndarray, reach: np.ndarray, r: np.ndarray, y: np.ndarray, growth: np.ndarray, shift: np.ndarray
) -> np.ndarray:
    """Return at which shifts some disc reaches into the wheel run out to its far side, y >= shift - reach."""
    near = (r + growth > corner[0]) & (r - growth < corner[-1])
    r, y, growth = r[near, None], y[near, None], growth[near, None]
    place = y - shift
    within = (r >= corner[0]) & (r <= corner[-1])
    hit = within & (place > -np.interp(r, corner, reach))
    for k in range(len(corner) - 1):
        along, across = corner[k + 1] - corner[k], reach[k] - reach[k + 1]
        length = along**2 + across**2
        if length == 0.0:
            continue
        share = np.clip(((r - corner[k]) * along + (place + reach[k]) * across) / length, 0.0, 1.0)
        away = (r - corner[k] - share * along) ** 2 + (place + reach[k] - share * across) ** 2
        hit |= away < growth**2
    for k in (0, -1):  # the wheel's ends go on to its far side
        beyond = place > -reach[k]
        hit |= beyond & (np.abs(r - corner[k]) < growth)
    return np.asarray(hit.any(axis=0))
