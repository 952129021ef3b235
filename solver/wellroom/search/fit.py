"""The main job: rank every combination that fits, front and rear together."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.candidates import Asked, Candidates, Parts, distinct_closings, find, one_blank
from wellroom.search.case import Case as Case
from wellroom.search.case import Progress as Progress
from wellroom.search.case import prepare as prepare
from wellroom.search.clear import thing_margin
from wellroom.search.gears import options, rolling_of
from wellroom.search.header import header
from wellroom.search.hub import CIRCLE_TOLERANCE
from wellroom.search.judge import judge
from wellroom.search.plan import best_plans
from wellroom.search.plan_data import AxleRows, GearOptions, Joint, PlanResult, PlanRow
from wellroom.search.request import named_rims, named_tires
from wellroom.search.requirements import bare, wording
from wellroom.search.rims import Rims, made_rims, rims_from, stocked_rims
from wellroom.search.tires import Tires, catalog_tires
from wellroom.search.whole import judged_today, whole

_FAR = 10**6


def fit(
    scenario: Scenario,
    catalog: Catalog,
    *,
    stance: str | None = None,
    top: int = 10,
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    progress: Progress | None = None,
) -> results.FitResult:
    """Return the ``top`` best distinct plans of front and rear, in order, with proof.

    ``tires``: catalog ids or markings, ``rims``: sizes such as 20x11 that the builder already has in mind; a
    marking that is in no catalog takes the standard's size. Raises RequestError for a stance, tire or rim
    that can't be read.
    """
    case = prepare(scenario, catalog, stance, progress)
    return fit_case(case, catalog, top=top, tires=tires, rims=rims, progress=progress)


def fit_case(
    case: Case,
    catalog: Catalog,
    *,
    top: int = 10,
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    progress: Progress | None = None,
) -> results.FitResult:
    """Return the ``top`` best distinct plans of a case that is made ready; see ``fit``."""
    work = worked(case, catalog, top, tires, rims, progress)
    plans = tuple(work.plan(rank) for rank in range(1, len(work.answer.plans) + 1))
    found = work.found
    fell = [
        results.Fell(id_, wording(bare(id_)), count)
        for axle in results.AXLES
        for id_, count in found[axle].fell
        if count
    ]
    return results.FitResult(
        status=work.answer.status,
        **header(case, catalog, list(work.notes)),
        counts=results.Counts(found["front"].pairs_open, found["rear"].pairs_open, len(plans)),
        fits=plans,
        today=judged_today(case),
        fell=tuple(fell),
        blocked_by=tuple(results.Blocker(id_, wording(id_)) for id_ in work.answer.blocked_by),
    )


@dataclass(frozen=True)
class Worked:
    """A case with its combinations found and its plans chosen, before they are judged and told."""

    case: Case
    found: dict[results.Axle, Candidates]
    rows: dict[results.Axle, AxleRows]
    keys: dict[results.Axle, Hashable]
    gears: GearOptions
    answer: PlanResult
    notes: tuple[str, ...]

    def plan(self, rank: int) -> results.Plan:
        """Return the plan of a rank [1..], judged."""
        return _plan(self, self.answer.plans[rank - 1], rank, self.case)

    def under(self, case: Case, rank: int) -> results.Plan:
        """Return the plan of a rank [1..] judged by another case of the same vehicle, another stance say."""
        return _plan(self, self.answer.plans[rank - 1], rank, case)

    def parts(self, plan: PlanRow) -> dict[results.Axle, tuple[Tires, Rims, float]]:
        """Return a plan's tire, wheel (one row each) and backspace [mm] on each axle."""
        out: dict[results.Axle, tuple[Tires, Rims, float]] = {}
        for axle, row in zip(results.AXLES, (plan.front_row, plan.rear_row), strict=True):
            have = self.found[axle]
            pair = have.pair[row]
            out[axle] = (
                have.tires.take([have.tire[pair]]),
                have.rims.take([have.rim[pair]]),
                float(have.backspace[row]),
            )
        return out


def worked(
    case: Case,
    catalog: Catalog,
    top: int,
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    progress: Progress | None = None,
) -> Worked:
    """Find every combination of a case and choose the ``top`` best plans of them."""
    notes: list[str] = []
    table = wanted_tires(catalog, tires, notes)
    notes += _not_had(case, catalog, rims)
    found: dict[results.Axle, Candidates] = {}
    rows: dict[results.Axle, AxleRows] = {}
    keys: dict[results.Axle, Hashable] = {}
    for axle in results.AXLES:
        if progress:
            progress(f"{axle} combinations", 0.7)
        key = ("found", case.key(axle), tuple(tires), tuple(rims))
        keys[axle] = case.sweeps.handle(key)
        found[axle], rows[axle] = case.sweeps.once(key, partial(_found, case, catalog, axle, table, rims))
    if progress:
        progress("plans", 0.9)
    gears = options(case.line, catalog, np.unique(rows[case.line.reference].rolling_um))
    answer = best_plans(rows["front"], rows["rear"], gears, joint_of(case), _margins(case, found, keys), top)
    return Worked(case, found, rows, keys, gears, answer, tuple(notes))


def _found(
    case: Case, catalog: Catalog, axle: results.Axle, table: Tires, rims: Sequence[str]
) -> tuple[Candidates, AxleRows]:
    allowed, wheels = within_changes(table, case, axle), wanted_rims(case, axle, catalog, rims)
    mine = one_blank(find(case.asked[axle], allowed, wheels))
    return mine, _axle_rows(case, axle, mine)


def axle_rows(
    case: Case, catalog: Catalog, axle: results.Axle, tires: Sequence[str], rims: Sequence[str]
) -> AxleRows:
    """Return all that one axle has by itself, as the plan takes it."""
    return _found(case, catalog, axle, wanted_tires(catalog, tires, []), rims)[1]


def wanted_tires(catalog: Catalog, named: Sequence[str], notes: list[str]) -> Tires:
    """Return the tires named, all of the catalog's where none is; what is to be said of them is noted."""
    return named_tires(named, catalog, notes) if named else catalog_tires(catalog)


def _wheels(case: Case, axle: results.Axle, catalog: Catalog) -> list[dict[str, Any]]:
    hub = case.asked[axle].hub
    everything = made_rims(catalog) + stocked_rims(catalog, hub.studs, hub.circle, CIRCLE_TOLERANCE)
    if case.scenario.change.adapter is not None and case.scenario.change.adapter.at(axle):
        everything = [row for row in everything if not row["adapter"]]  # adapters are never stacked
    return everything


def wanted_rims(case: Case, axle: results.Axle, catalog: Catalog, named: Sequence[str]) -> Rims:
    """Return the wheels that an axle may take: of the sizes named, or all."""
    everything = _wheels(case, axle, catalog)
    return rims_from(named_rims(named, everything) if named else everything)


def _not_had(case: Case, catalog: Catalog, named: Sequence[str]) -> list[str]:
    """Say which of the rims named no catalog has."""
    everything = [row for axle in results.AXLES for row in _wheels(case, axle, catalog)] if named else []
    return [
        f"no blank and no stocked wheel of these catalogs is a {name}"
        for name in dict.fromkeys(named)
        if not named_rims([name], everything)
    ]


def bought(case: Case, axle: results.Axle) -> int:
    """Return how many of an axle's wheels are bought; the spare is one of the rear's."""
    return 3 if case.scenario.vehicle.spare and axle == "rear" else 2


def _axle_rows(case: Case, axle: results.Axle, found: Candidates) -> AxleRows:
    tire, rim = found.tire[found.pair], found.rim[found.pair]
    have = found.rims
    names = [
        f"made:{material}" if source == "made" else f"{source}:{id_}" + (f"+{plate}" if plate else "")
        for source, id_, material, plate in zip(
            have.source, have.id, have.material, have.adapter, strict=True
        )
    ]
    wheel = np.array(names, dtype=object)
    ids = np.array(
        [i if i is not None else s for i, s in zip(found.tires.id, found.tires.size, strict=True)],
        dtype=object,
    )
    quantity = bought(case, axle)
    price = np.round((found.tires.price[tire] + found.rims.price[rim]) * 100.0) * quantity
    mass = np.nan_to_num(found.tires.mass[tire] + found.rims.mass[rim]) * 1000.0 * quantity
    return AxleRows(
        ids[tire],
        wheel[rim] if len(wheel) else np.zeros(0, dtype=object),
        np.round(found.rims.code[rim] * 10.0).astype(np.int64),
        np.round(found.rims.width[rim] * 100.0).astype(np.int64),
        np.round(found.backspace * 1000.0).astype(np.int64),
        found.score,
        price.astype(np.int64),
        np.round(mass).astype(np.int64),
        np.round(rolling_of(found.tires)[tire] * 1000.0).astype(np.int64),
        found.tires.radial[tire],
    )


def joint_of(case: Case) -> Joint:
    """Return what only front and rear together can meet."""
    limits = case.scenario.limits
    return Joint(
        match_ppm=case.line.match_ppm,
        same_construction=True,
        same_wheel=limits.same_wheel_all_round,
        budget_cents=None if limits.budget is None else math.floor(limits.budget.value * 100.0),
        mass_g=None if limits.mass is None else math.floor(limits.mass.value * 1000.0),
    )


def _margins(
    case: Case, found: dict[results.Axle, Candidates], keys: Mapping[results.Axle, Hashable]
) -> Callable[[results.Axle, NDArray[np.int64]], NDArray[np.int64]]:
    def least(axle: results.Axle, row: int) -> int:
        return case.sweeps.once(
            ("least", keys[axle], row), lambda: _least(case.asked[axle], found[axle], row)
        )

    def margin(axle: results.Axle, rows: NDArray[np.int64]) -> NDArray[np.int64]:
        return np.array([least(axle, int(row)) for row in rows], dtype=np.int64)

    return margin


def _least(asked: Asked, found: Candidates, row: int) -> int:
    """Return the least clearance margin of a row in 0.01 mm, rounded down."""
    pair = found.pair[row]
    tire, rim = found.tires.take([found.tire[pair]]), found.rims.take([found.rim[pair]])
    parts = Parts(asked, tire, rim)
    shift = float(rim.to_centre[0]) - float(found.backspace[row])
    tread = int(tire.kind[0] == "mud")
    low, high = float(rim.backspace_low[0]), float(rim.backspace_high[0])
    margins = [_FAR / 100.0]
    if rim.source[0] == "made":
        backspace = float(found.backspace[row])
        margins.append(min(backspace - low, high - backspace))
    margins += [
        max(thing_margin(asked.swept, thing, tread, parts.of(thing), shift)[0].margin, 0.0)
        for thing, judged, new in distinct_closings(asked, rim)
        if judged[0] and new
    ]
    return math.floor(results.floor_margin(min(margins)) * 100.0 + 0.5)


def _plan(work: Worked, plan: PlanRow, rank: int, case: Case) -> results.Plan:
    gears = work.gears
    price, mass = plan.price_cents / 100.0, plan.mass_g / 1000.0
    parts, judged = work.parts(plan), {}
    for axle, row in zip(results.AXLES, (plan.front_row, plan.rear_row), strict=True):
        asked, (tire, rim, backspace), quantity = case.asked[axle], parts[axle], bought(case, axle)
        key = ("judged", case.key(axle), work.keys[axle], row)
        judged[axle] = case.sweeps.once(key, partial(judge, asked, tire, rim, backspace, quantity))
    tires = {axle: tire for axle, (tire, _, _) in parts.items()}
    ratios: dict[results.Axle, float | None] = {}
    ways: tuple[tuple[results.Axle, Sequence[str | None], NDArray[np.int64]], ...] = (
        ("front", gears.front_id, gears.front_ratio_u),
        ("rear", gears.rear_id, gears.rear_ratio_u),
    )
    for axle, ids, values in ways:
        known = case.line.fitted[axle] is not None or ids[plan.gear] is not None
        ratios[axle] = float(values[plan.gear]) / 1e6 if known else None
    sets: dict[results.Axle, str | None] = {
        "front": gears.front_id[plan.gear],
        "rear": gears.rear_id[plan.gear],
    }
    return whole(case, judged, tires, sets, ratios, rank, price, mass)


def within_changes(table: Tires, case: Case, axle: results.Axle) -> Tires:
    """Return the tires that a shorter or narrower tire leaves, against the stance's tallest and widest.

    Raises RequestError where the stance wishes neither.
    """
    change, stance = case.scenario.change, case.stance
    keep = np.ones(len(table), dtype=bool)
    for name, wish, value in (
        ("shorter_tire", "tire_diameter", table.od),
        ("narrower_tire", "section", table.section),
    ):
        each = getattr(change, name)
        less = 0.0 if each is None else each.at(axle)
        if not less:
            continue
        wished = None if stance is None else getattr(stance, wish)
        band = None if wished is None else getattr(wished, axle)
        if band is None:
            raise RequestError([_no_wish(case, f"change.{name}", wish, axle)])
        keep &= value <= band.high - less + 1e-6
    return table.take(keep)


def _no_wish(case: Case, place: str, wish: str, axle: results.Axle) -> Fault:
    """Return the fault of a change that is held against a wish which is not there."""
    scenario = case.scenario
    wished = f"a stance with a {wish}" if case.stance is None else f"stance.{case.stance_name}.{wish}"
    return Fault(
        scenario.file or "scenario",
        scenario.lines.get(place, 0),
        place,
        "a change of tires",
        f"{wished} of the {axle} axle, to be less than",
    )
