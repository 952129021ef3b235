"""What is inside a fit: reading, the envelope of each axle, windows of all shipped pairs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np

import wellroom
from bench.commands import ROOT, Figures, scenarios, timed
from wellroom.geometry import envelope
from wellroom.geometry.envelope import Cells
from wellroom.scenario.build import End, build_room
from wellroom.search.candidates import thing_interval
from wellroom.search.clear import sweep_axle
from wellroom.search.rims import made_rims, rims_from
from wellroom.search.sections import in_service
from wellroom.search.tires import catalog_tires


def swept(ends: Sequence[End]) -> list[Cells]:
    """Sweep the ends of an axle afresh: what was swept before is forgotten, what they share swept once."""
    envelope.forget()
    return [envelope.sweep(end.items, end.motion) for end in ends]


def inside(rounds: int) -> Figures:
    """Time the parts of a fit: reading, the envelope of each axle end, windows of all pairs."""
    figures: Figures = {"read.catalogs_s": timed(wellroom.load_catalog, rounds)}
    for name in scenarios():
        path = ROOT / "scenarios" / f"{name}.toml"
        figures[f"read.{name}_s"] = timed(partial(wellroom.load_scenario, path), rounds)
        scenario = wellroom.load_scenario(path)
        for axle in ("front", "rear"):
            ends = build_room(scenario, axle).ends
            figures[f"sweep.{name}.{axle}_s"] = timed(partial(swept, ends), rounds)
            figures[f"sweep.{name}.{axle}_samples"] = float(sum(len(cells.r) for cells in swept(ends)))
    catalog = wellroom.load_catalog()
    tires, rims = catalog_tires(catalog), rims_from(made_rims(catalog))
    tire, rim = np.nonzero(tires.code[:, None] == rims.code[None, :])
    axle_swept = sweep_axle(build_room(wellroom.load_scenario(ROOT / "scenarios/fire_tender.toml"), "front"))
    on_tires, on_rims = tires.take(tire), rims.take(rim)
    parts = replace(in_service(on_tires, on_rims), rim=rim)
    mud = np.asarray(on_tires.kind == "mud", dtype=bool)

    def windows() -> None:
        for thing in axle_swept.things:
            thing_interval(thing, parts, on_rims.to_centre, mud)

    figures["windows.pairs"] = float(len(tire))
    figures["windows.things"] = float(len(axle_swept.things))
    figures["windows.sections_s"] = timed(lambda: in_service(on_tires, on_rims), rounds)
    figures["windows.all_s"] = timed(windows, rounds)
    each = len(tire) * len(axle_swept.things)
    figures["windows.per_million_s"] = figures["windows.all_s"] / each * 1e6
    return figures
