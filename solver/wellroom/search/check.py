"""The second main job: judge one combination, or today's wheels. A catalog of one row."""

from __future__ import annotations

from dataclasses import replace

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError
from wellroom.scenario.changes import unchanged
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.case import Progress, prepare, wishless
from wellroom.search.header import header
from wellroom.search.judge import Judged
from wellroom.search.leverage import with_leverage
from wellroom.search.relief import reliefs
from wellroom.search.request import Wanted, wanted
from wellroom.search.tires import Tires
from wellroom.search.whole import whole


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
    alone: bool = False,
    progress: Progress | None = None,
) -> results.CheckResult:
    """Judge one combination on the asked axles, the other keeping today's; without one, today's wheels.

    ``alone`` leaves the other axle out, and with it what the two must hold together.

    ``tire``: a catalog id or a marking. ``rim``: a size such as 20x11 (made from a blank that can make it;
    20x11@ID names the blank), a stocked wheel's id, or ID+ADAPTER. ``backspace`` or ``inset``: lengths as in
    the scenario. Raises RequestError for what can't be read or is missing.
    """
    if alone and axle == "both":
        raise RequestError([Fault("check", 0, "--alone", "both axles", "one: --axle front or --axle rear")])
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
        if alone and name not in axles:
            unknown.append(results.NotChecked(f"{name}.wheels", "left out, with what both axles must hold"))
            continue
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
            levers = with_leverage(
                case.scenario, case.asked[name], pick.tire, pick.rim, pick.backspace, verdict.fit
            )
            judged[name] = replace(verdict, fit=replace(levers, relief=found))
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
    plan = whole(case, judged, tires, keep, dict(case.line.fitted), None, None, None)
    head = header(case, catalog, notes)
    head["not_checked"] = (*head["not_checked"], *unknown)
    if alone:
        head["checked"] = tuple(what for what in head["checked"] if what.partition(".")[0] in axles)
        terms = tuple(term for term in plan.score_terms if not term.wish.startswith("plan."))
        plan = replace(plan, checks=(), score_terms=terms, score=sum(term.points for term in terms))
    missed = any(c.ok is False and c.kind != "wish" for f in plan.axles.values() for c in f.checks) or any(
        c.ok is False and c.kind != "wish" for c in plan.checks
    )
    return results.CheckResult(
        status="none" if missed else "proven",
        **head,
        axles=axles,
        judges="today" if ask == Wanted() else "given",
        fits=(plan,),
    )
