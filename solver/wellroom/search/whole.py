"""A whole vehicle's combination from its judged axles: gearing, joint checks, score; and today's wheels."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from wellroom.search import results
from wellroom.search.case import Case
from wellroom.search.gears import gearing, rolling_of
from wellroom.search.judge import Judged, judge
from wellroom.search.request import own_wheel
from wellroom.search.requirements import BY_KEY, NO_NUMBER
from wellroom.search.rims import rims_from
from wellroom.search.tires import Tires
from wellroom.search.wishes import miss, points


def whole(
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
    return whole(case, judged, tires, keep, dict(case.line.fitted), None, None, None)
