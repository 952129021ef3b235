"""What every answer on a case states first: what was checked and what not, assumptions, warnings, notes."""

from __future__ import annotations

import math
from typing import Any

from wellroom.catalog import Catalog
from wellroom.scenario.changes import lifted, told
from wellroom.search import results
from wellroom.search.case import Case
from wellroom.search.clear import brake_bound
from wellroom.search.request import load_warnings

CAUTIONS = ("head", "load", "rim_type", "brake", "hub", "law")
GROWTH = "clearances: largest new tire, grown in service by 2 % in width (bias 1 %, and 1 % in height)"


def header(case: Case, catalog: Catalog, notes: list[str]) -> dict[str, Any]:
    """Return what every answer states first, by the names of ``results.Header``; not command and status."""
    scenario = case.scenario
    rooms = [case.asked[axle].swept.room for axle in results.AXLES]
    missing = [results.NotChecked(f"{r.name}.{what}", lack) for r in rooms for what, lack in r.missing]
    notes = [*notes, *told(scenario)]
    if scenario.vehicle.top_speed is None:
        missing.append(results.NotChecked("speed", "vehicle.top_speed"))
    made = [results.Assumption(a.path, a.value, a.why) for a in scenario.assumptions]
    made += [results.Assumption(a.path, a.value, a.why) for r in rooms for a in r.assumptions]
    made.append(results.Assumption("tires", GROWTH, "the usual growth in service, not measured"))
    bounds = [case.asked[axle].swept.bound for axle in results.AXLES]
    return {
        "scenario": scenario.title,
        "stance": case.stance_name,
        "other_stances": case.others,
        "checked": tuple(f"{r.name}.{what}" for r in rooms for what in r.checked),
        "not_checked": tuple(missing),
        "assumptions": tuple(made),
        "cautions": (*CAUTIONS, "lift") if lifted(scenario) else CAUTIONS,
        "warnings": (
            *(f"{w.place}: {w.says}" for w in scenario.warnings),
            *load_warnings(scenario, catalog),
            *(words for room in rooms for words in room.warnings),
        ),
        "notes": tuple(notes),
        "bound_mm": math.ceil(max([*bounds, brake_bound()]) * 100.0) / 100.0,
    }
