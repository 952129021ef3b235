"""The two main jobs: rank every combination that fits, and judge one. Check is a catalog of one row."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError
from wellroom.scenario.changes import lifted, told, unchanged
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.candidates import Asked, Candidates, Parts, distinct_closings, find, one_blank
from wellroom.search.case import Case as Case
from wellroom.search.case import Progress as Progress
from wellroom.search.case import prepare as prepare
from wellroom.search.case import wishless
from wellroom.search.clear import brake_bound, thing_margin
from wellroom.search.gears import gearing, options, rolling_of
from wellroom.search.hub import CIRCLE_TOLERANCE
from wellroom.search.judge import Judged, judge
from wellroom.search.plan import best_plans
from wellroom.search.plan_data import AxleRows, GearOptions, Joint, PlanResult, PlanRow
from wellroom.search.relief import reliefs
from wellroom.search.request import load_warnings, named_rims, named_tires, own_wheel
from wellroom.search.requirements import BY_KEY, NO_NUMBER, wording
from wellroom.search.stock import (
    Rims,
    Tires,
    catalog_tires,
    made_rims,
    rims_from,
    stocked_rims,
)
from wellroom.search.wishes import miss, points

CAUTIONS = ("head", "load", "rim_type", "brake", "hub", "law")
_FAR = 10**6
GROWTH = "clearances: largest new tire, grown in service by 2 % in width (bias 1 %, and 1 % in height)"


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
        results.Fell(id_, wording(_bare(id_)), count)
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
    table = named_tires(tires, catalog, notes) if tires else catalog_tires(catalog)
    notes += _not_had(case, catalog, rims)
    found: dict[results.Axle, Candidates] = {}
    rows: dict[results.Axle, AxleRows] = {}
    keys: dict[results.Axle, Hashable] = {}
    for axle in results.AXLES:
        if progress:
            progress(f"{axle} combinations", 0.7)
        key = ("found", case.key(axle), tuple(tires), tuple(rims))
        keys[axle] = case.sweeps.handle(key)

        def both(axle: results.Axle = axle) -> tuple[Candidates, AxleRows]:
            allowed = within_changes(table, case, axle)
            mine = one_blank(find(case.asked[axle], allowed, _rims(case, axle, catalog, rims)))
            return mine, _axle_rows(case, axle, mine)

        found[axle], rows[axle] = case.sweeps.once(key, both)
    if progress:
        progress("plans", 0.9)
    gears = options(case.line, catalog, np.unique(rows[case.line.reference].rolling_um))
    answer = best_plans(rows["front"], rows["rear"], gears, _joint(case), _margins(case, found, keys), top)
    return Worked(case, found, keys, gears, answer, tuple(notes))


def _bare(id_: str) -> str:
    return id_.removesuffix(".left").removesuffix(".right")


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


def _wheels(case: Case, axle: results.Axle, catalog: Catalog) -> list[dict[str, Any]]:
    hub = case.asked[axle].hub
    everything = made_rims(catalog) + stocked_rims(catalog, hub.studs, hub.circle, CIRCLE_TOLERANCE)
    if case.scenario.change.adapter is not None and case.scenario.change.adapter.at(axle):
        everything = [row for row in everything if not row["adapter"]]  # adapters are never stacked
    return everything


def _rims(case: Case, axle: results.Axle, catalog: Catalog, named: Sequence[str]) -> Rims:
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


def _quantity(case: Case, axle: results.Axle) -> int:
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
    quantity = _quantity(case, axle)
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


def _joint(case: Case) -> Joint:
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
        asked, (tire, rim, backspace), quantity = case.asked[axle], parts[axle], _quantity(case, axle)
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
    return _whole(case, judged, tires, sets, ratios, rank, price, mass)


def _whole(
    case: Case,
    judged: dict[results.Axle, Judged],
    tires: dict[results.Axle, Tires],
    sets: Mapping[results.Axle, str | None],
    ratios: Mapping[results.Axle, float | None],
    rank: int | None,
    price: float | None,
    mass: float | None,
) -> results.Plan:
    """Return a plan from its judged axles: gearing, joint checks, score."""
    gear = None
    rolling = {axle: float(rolling_of(tire)[0]) for axle, tire in tires.items()}
    if case.line.reference in rolling:
        gear = gearing(case.scenario, case.line, sets, ratios, rolling)
    checks, terms = _joint_checks(case, judged, tires, ratios, rolling, gear, price, mass)
    terms = tuple(term for axle in judged for term in judged[axle].terms) + terms
    limits = {c.id for j in judged.values() for c in j.fit.checks if c.kind == "limit"} | {
        c.id for c in checks if c.kind == "limit"
    }
    terms = tuple(term for term in terms if term.wish not in limits)
    spare = None
    if case.scenario.vehicle.spare and "rear" in judged and rank is not None:
        spare = results.Spare("rear", judged["rear"].fit.tire, judged["rear"].fit.wheel)
    return results.Plan(
        rank=rank,
        score=sum(term.points for term in terms),
        score_terms=terms,
        price=price,
        mass_kg=mass if mass else None,
        axles={axle: judged[axle].fit for axle in results.AXLES if axle in judged},
        spare=spare,
        gearing=gear,
        checks=checks,
    )


def _joint_checks(
    case: Case,
    judged: dict[results.Axle, Judged],
    tires: dict[results.Axle, Tires],
    ratios: Mapping[results.Axle, float | None],
    rolling: Mapping[results.Axle, float],
    gear: results.Gearing | None,
    price: float | None,
    mass: float | None,
) -> tuple[tuple[results.Check, ...], tuple[results.ScoreTerm, ...]]:
    checks: list[results.Check] = []
    terms: tuple[results.ScoreTerm, ...] = ()

    def add(key: str, margin: float | None, ok: bool | None = None, kind: results.Kind | None = None) -> None:
        declared = BY_KEY[key]
        met = (None if margin is None else margin >= 0.0) if ok is None else ok
        shown = None if margin is None or declared.unit in NO_NUMBER else results.floor_margin(margin)
        checks.append(
            results.Check(f"plan.{key}", kind or declared.kind, declared.wording, shown, declared.unit, met)
        )

    if len(tires) == 2:
        same = bool(tires["front"].radial[0] == tires["rear"].radial[0])
        add("construction", 0.0 if same else -1.0)
        if case.line.match_ppm is not None:
            front, rear = (ratios[axle] or 1.0 for axle in results.AXLES)
            a, b = front * rolling["rear"], rear * rolling["front"]
            add("rolling_match", case.line.match_ppm / 10_000.0 - (max(a, b) / min(a, b) - 1.0) * 100.0)
        if case.scenario.limits.same_wheel_all_round:
            f, r = judged["front"].fit, judged["rear"].fit
            equal = (f.tire, f.wheel, f.rim_width_in, f.backspace_mm) == (
                r.tire,
                r.wheel,
                r.rim_width_in,
                r.backspace_mm,
            )
            add("same_wheel", 0.0 if equal else -1.0)
    limits = case.scenario.limits
    if limits.budget is not None and price is not None:
        add("budget", limits.budget.value - price)
    if limits.mass is not None and mass:
        add("mass", limits.mass.value - mass)
    wish = case.line.wish
    if wish is not None:
        if gear is None or gear.change_pct is None:
            add("gearing", None, kind="limit" if wish.must else "wish")
        else:
            missed = float(miss(wish, gear.change_pct))
            add("gearing", -missed + 0.0, missed <= 1e-6, "limit" if wish.must else "wish")
            if missed > 1e-6:
                terms = (results.ScoreTerm("plan.gearing", missed, "%", int(points(wish, missed))),)
    return tuple(checks), terms


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


def judged_today(case: Case) -> results.Plan | None:
    """Return today's wheels judged on the vehicle as it is, None where no axle's are known."""
    case = case.as_is or case
    judged: dict[results.Axle, Judged] = {}
    tires: dict[results.Axle, Tires] = {}
    for axle in results.AXLES:
        tire = case.today[axle]
        wheel = own_wheel(getattr(case.scenario.now, axle))
        if tire is not None and wheel is not None:
            rim = rims_from([wheel])
            asked, backspace = case.asked[axle], float(rim.backspace_low[0])
            key = ("today", case.key(axle), getattr(case.scenario.now, axle))
            judged[axle] = case.sweeps.once(key, partial(judge, asked, tire, rim, backspace, 2))
            tires[axle] = tire
    if not judged:
        return None
    keep: dict[results.Axle, str | None] = {"front": None, "rear": None}
    return _whole(case, judged, tires, keep, dict(case.line.fitted), None, None, None)


def check(
    scenario: Scenario,
    catalog: Catalog,
    *,
    stance: str | None = None,
    axle: str = "both",
    tire: str | None = None,
    rim: str | None = None,
    backspace: str | None = None,
    inset: str | None = None,
    progress: Progress | None = None,
) -> results.CheckResult:
    """Judge one combination on the asked axles, the other keeping today's; without one, today's wheels.

    ``tire``: a catalog id or a marking. ``rim``: a size such as 20x11 (made from a blank that can make it;
    20x11@ID names the blank), a stocked wheel's id, or ID+ADAPTER. ``backspace`` or ``inset``: lengths as in
    the scenario. Raises RequestError for what can't be read or is missing.
    """
    from wellroom.search.request import Wanted, wanted

    ask = Wanted(tire, rim, backspace, inset)
    if ask == Wanted():
        scenario = unchanged(scenario)  # today's wheels stand on the vehicle as it is
    case = prepare(scenario, catalog, stance, progress)
    if ask == Wanted() and stance is None:
        case = wishless(case)  # the question is whether the measures are right, not whether they please
    notes: list[str] = []
    axles: tuple[results.Axle, ...] = results.AXLES if axle == "both" else (axle,)  # type: ignore[assignment]  # front or rear
    judged: dict[results.Axle, Judged] = {}
    tires: dict[results.Axle, Tires] = {}
    unknown = []
    for name in results.AXLES:
        pick = wanted(
            ask if name in axles else Wanted(),
            case.asked[name],
            case.today[name],
            getattr(scenario.now, name),
            catalog,
            notes,
        )
        if pick is None:
            unknown.append(results.NotChecked(f"{name}.wheels", f"now.{name}"))
            continue
        judged[name], tires[name] = pick.verdict, pick.tire
        if name in axles:
            verdict = pick.verdict
            found = reliefs(case.asked[name], pick.tire, pick.rim, pick.backspace, verdict.fit)
            judged[name] = replace(verdict, fit=replace(verdict.fit, relief=found))
    if not judged:
        raise RequestError(
            [
                Fault(
                    scenario.file or "scenario",
                    0,
                    "now",
                    "nothing",
                    "today's tire, rim and backspace, or --tire, --rim and --backspace",
                )
            ]
        )
    keep: dict[results.Axle, str | None] = {"front": None, "rear": None}
    whole = _whole(case, judged, tires, keep, dict(case.line.fitted), None, None, None)
    head = header(case, catalog, notes)
    head["not_checked"] = (*head["not_checked"], *unknown)
    missed = any(c.ok is False and c.kind != "wish" for f in whole.axles.values() for c in f.checks) or any(
        c.ok is False and c.kind != "wish" for c in whole.checks
    )
    return results.CheckResult(
        status="none" if missed else "proven",
        **head,
        axles=axles,
        judges="today" if ask == Wanted() else "given",
        fits=(whole,),
    )
