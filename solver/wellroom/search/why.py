"""Why nothing fits, or no combination meets every wish: what clashes, what comes nearest, the ways out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError
from wellroom.scenario.base import nearest as nearest_name
from wellroom.scenario.changes import LIFTING
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.case import Case, Progress, prepare
from wellroom.search.fit import Worked, bought, joint_of, wanted_rims, wanted_tires, within_changes, worked
from wellroom.search.header import header
from wellroom.search.judge import judge
from wellroom.search.levers import DROPPED, NAMES, Lever, Levers, levers_of, pulled, sets_of
from wellroom.search.misses import Misses, clashes, misses
from wellroom.search.openings import Openings
from wellroom.search.plan import drops
from wellroom.search.requirements import bare, wording
from wellroom.search.rims import Rims
from wellroom.search.sweeps import Sweeps
from wellroom.search.tires import Tires
from wellroom.search.ways import MOST_CHANGES, Trials, WayOut, ways_out
from wellroom.search.why_results import Clash, Near, Pull, Tried, Way, WhyResult
from wellroom.search.wishes import STEPS
from wellroom.units import Kind

MOST_CLASHES = 12
_UNDER_WAY = 2000
MOST_NEAR = 3
_UNITS = {
    Kind.LENGTH: "mm",
    Kind.ANGLE: "deg",
    Kind.MASS: "kg",
    Kind.PERCENT: "%",
    Kind.PLAIN: "money",
}


def why(
    scenario: Scenario,
    catalog: Catalog,
    *,
    stance: str | None = None,
    top: int = 5,
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    without: Sequence[str] = (),
    progress: Progress | None = None,
) -> WhyResult:
    """Return what stands in the way, and up to ``top`` ways out, cheapest first.

    Where nothing fits, in the way of fitting; where something fits but no combination meets every wish, in
    the way of the wishes. ``tires``, ``rims``: as for ``fit``; ``without``: names of changes that are out of
    the question. Raises RequestError for what can't be read.
    """
    for name in without:
        if name not in NAMES:
            expected = f"one of {', '.join(NAMES)}{nearest_name(name, NAMES)}"
            raise RequestError([Fault("--without", 0, "change", repr(name), expected)])
    sweeps = Sweeps()
    case = prepare(scenario, catalog, stance, progress, sweeps)
    work = worked(case, catalog, 1, tires, rims, progress)
    best = work.plan(1) if work.answer.plans else None
    found = {axle: work.found[axle].pairs_open for axle in results.AXLES}
    counts = results.Counts(found["front"], found["rear"], len(work.answer.plans))
    head = header(case, catalog, list(work.notes))
    if work.answer.status == "unproven" or (best is not None and not best.score):
        return WhyResult(status=work.answer.status, **head, aim=None, counts=counts, best=best)
    if best is not None:
        scenario = _all_musts(scenario, case.stance_name)
        case = prepare(scenario, catalog, stance, None, sweeps)
        work = worked(case, catalog, 1, tires, rims)
    levers = _wanted(scenario, case, without, aims_at_wishes=best is not None)
    tables = {
        axle: (
            within_changes(wanted_tires(catalog, tires, []), case, axle),
            wanted_rims(case, axle, catalog, rims),
        )
        for axle in results.AXLES
    }
    missed = {axle: misses(case.asked[axle], *tables[axle]) for axle in results.AXLES}
    told, all_told = _clashes(work, missed)
    relaxed = frozenset(key for lever in levers.levers for key in lever.relaxes)
    openings = {axle: Openings(case.asked[axle], *tables[axle], relaxed, sweeps) for axle in results.AXLES}
    trials = Trials(scenario, catalog, case.stance_name, tires, rims, sweeps, openings)
    sets = {axle: one.sets for axle, one in missed.items()}
    ways, complete = ways_out(trials, levers.levers, sets, top, progress)
    head["assumptions"] = (*head["assumptions"], *levers.assumed)
    if any(lever.name in LIFTING for way in ways for lever in way.amounts):
        head["cautions"] = tuple(dict.fromkeys((*head["cautions"], "lift")))
    return WhyResult(
        status="none" if best is None else "proven",
        **head,
        aim="fit" if best is None else "wishes",
        counts=counts,
        best=best,
        clashes=told,
        clashes_complete=all_told,
        nearest=tuple(_nearest(case, missed, tables)),
        ways=tuple(_way(scenario, case.stance_name, way) for way in ways),
        complete=complete,
        most_changes=MOST_CHANGES,
        tried=tuple(_tried(lever) for lever in levers.levers),
    )


def _wanted(scenario: Scenario, case: Case, without: Sequence[str], *, aims_at_wishes: bool) -> Levers:
    """Return the levers but those that are out of the question; a must may be given up only for a fit."""
    musts = () if case.stance is None or aims_at_wishes else case.stance.must
    levers = levers_of(scenario, musts, case.stance_name)
    left = tuple(lever for lever in levers.levers if lever.name not in without)
    caps = {f"limits.{lever.cap}" for lever in left}
    return Levers(left, tuple(one for one in levers.assumed if one.path in caps))


def _all_musts(scenario: Scenario, name: str | None) -> Scenario:
    """Return a scenario whose stance must have every wish."""
    assert name is not None
    stance = scenario.stance[name]
    every = tuple(wish for wish in STEPS if getattr(stance, wish))
    return replace(scenario, stance={**scenario.stance, name: replace(stance, must=every)})


# --- what clashes, and what comes nearest -------------------------------------------------------


def _clashes(work: Worked, missed: Mapping[results.Axle, Misses]) -> tuple[tuple[Clash, ...], bool]:
    """Return what can't go together on an axle, or between them where each has something; whether all."""
    out: list[Clash] = []
    complete = True
    for axle, one in missed.items():
        sets, whole = clashes(one.sets, _UNDER_WAY)
        complete = complete and whole
        out += [Clash(axle, *_named(ids), one.rated) for ids in sets[:MOST_CLASHES] if ids]
        complete = complete and len(sets) <= MOST_CLASHES
    if not out:
        rows = work.rows
        sets, whole = clashes(drops(rows["front"], rows["rear"], work.gears, joint_of(work.case)), _UNDER_WAY)
        complete = complete and whole
        out += [Clash("plan", *_named(ids), None) for ids in sets if ids]
    return tuple(out), complete


def _named(ids: frozenset[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    names = tuple(sorted(ids))
    return names, tuple(wording(name) for name in names)


def _nearest(
    case: Case,
    missed: Mapping[results.Axle, Misses],
    tables: Mapping[results.Axle, tuple[Tires, Rims]],
) -> Iterator[Near]:
    """Yield the few combinations of each axle that come nearest, judged."""
    for axle, one in missed.items():
        if any(not ids for ids in one.sets):
            continue
        tires, rims = tables[axle]
        near = [found for found in one.nearest if not math.isnan(found.backspace)]
        for found in sorted(near, key=lambda n: (n.away, len(n.missed), sorted(n.missed)))[:MOST_NEAR]:
            tire, rim = tires.take([found.tire]), rims.take([found.rim])
            judged = judge(case.asked[axle], tire, rim, found.backspace, bought(case, axle))
            ids = (check.id for check in judged.fit.checks)
            yield Near(axle, tuple(id_ for id_ in ids if {id_, bare(id_)} & found.missed), judged.fit)


# --- ways out -----------------------------------------------------------------------------------


def _way(scenario: Scenario, stance: str | None, way: WayOut) -> Way:
    after = pulled(scenario, stance, way.amounts)
    pulls = tuple(
        _pull(after, lever, amount) for lever, amount in sorted(way.amounts.items(), key=lambda e: e[0].key)
    )
    return Way(way.cost, pulls, sets_of(scenario, stance, way.amounts), way.work.plan(1))


def _shown(value: float, kind: Kind) -> float:
    return math.degrees(value) if kind is Kind.ANGLE else value


def _pull(after: Scenario, lever: Lever, amount: float) -> Pull:
    by = to = None
    unit = ""
    if lever.kind is not None and amount != DROPPED:
        unit, by = _UNITS[lever.kind], _shown(amount, lever.kind)
        if lever.path.startswith("limits."):
            to = _shown(getattr(after.limits, lever.name).value, lever.kind)
        else:
            to = _shown(getattr(after.change, lever.name).at(lever.axle or "front"), lever.kind)
    return Pull(lever.name, lever.axle, lever.path, by, to, unit, lever.cost, lever.follows)


def _tried(lever: Lever) -> Tried:
    known = lever.kind is not None and lever.most != DROPPED
    most = _shown(abs(lever.most), lever.kind) if known and lever.kind is not None else None
    unit = _UNITS[lever.kind] if known and lever.kind is not None else ""
    cap = None if lever.cap is None else f"limits.{lever.cap}"
    return Tried(lever.name, lever.axle, most, unit, lever.cost, cap)
