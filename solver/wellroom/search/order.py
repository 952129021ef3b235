"""The order of one ranked combination: what to have made or to buy, to measure in the dry fit, to check."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError, Undecided
from wellroom.scenario.model import Scenario
from wellroom.scenario.taken import taken
from wellroom.search import results
from wellroom.search.case import Progress, prepare
from wellroom.search.document import document
from wellroom.search.fit import Worked, worked
from wellroom.search.header import header
from wellroom.search.order_data import RUNOUT_MM, OrderSheet, Taken
from wellroom.search.order_lines import Picked, command_base, lines_of
from wellroom.search.order_refused import accepted, not_judged
from wellroom.search.sketch import Sketch, sketch

MOST_RANK = 100
"""The last rank that can be picked: a slip of the keyboard would search for hours."""
CAUTIONS = ("order", "head", "load", "rim_type", "brake", "hub", "law", "measure")


@dataclass(frozen=True)
class Ordered:
    """An order sheet, and what its drawings need; the wheels are those of its rank."""

    sheet: OrderSheet
    sketch: Sketch


def order(
    scenario: Scenario,
    catalog: Catalog,
    *,
    pick: int,
    stance: str | None = None,
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    accept: Sequence[str] = (),
    catalogs: Sequence[str] = (),
    progress: Progress | None = None,
) -> Ordered:
    """Return the order of the combination that ``fit`` lists at rank ``pick``.

    ``accept`` names what is taken though it is missed or not checked (``front.tilt``, ``rear.poke``);
    ``catalogs`` the builder's own files, for the command lines on the sheet. Raises RequestError where there
    is no such rank or the order is refused, Undecided where a limit struck before the rank was found.
    """
    if pick > MOST_RANK:
        raise RequestError([Fault("order", 0, "--pick", str(pick), f"a rank of fit, 1 to {MOST_RANK}")])
    case = prepare(scenario, catalog, stance, progress)
    work = worked(case, catalog, pick, tires, rims, progress)
    plan = _picked(work, pick)
    head = header(case, catalog, list(work.notes))
    taken_so = accepted(case, plan, head["not_checked"], accept)
    row = work.answer.plans[pick - 1]
    parts = work.parts(row)
    picked = {
        axle: Picked(case.asked[axle], parts[axle][0], parts[axle][1], plan.axles[axle])
        for axle in results.AXLES
    }
    made = any(fit.wheel.source == "made" for fit in plan.axles.values())
    cautions = (*CAUTIONS, *(("weld",) if made else ()), *head["cautions"])
    sheet = OrderSheet(
        status=work.answer.status,
        **{**head, "cautions": tuple(dict.fromkeys(cautions))},
        number="",
        rank=pick,
        lines=lines_of(scenario, catalog, picked, command_base(scenario, case.stance_name, tuple(catalogs))),
        runout_mm=RUNOUT_MM,
        accepted=taken_so,
        not_judged=not_judged(plan),
        gearing=plan.gearing,
        measures=tuple(_measures(scenario)),
    )
    answer = results.FitResult(
        status=work.answer.status, **head, counts=results.Counts(0, 0, 1), fits=(plan,)
    )
    return Ordered(replace(sheet, number=_number(sheet)), sketch(scenario, catalog, answer))


def _picked(work: Worked, pick: int) -> results.Plan:
    """Return the plan of a rank. Raises RequestError or Undecided where there is none."""
    count = len(work.answer.plans)
    if count >= pick:
        return work.plan(pick)
    if work.answer.status == "unproven":
        raise Undecided(f"a limit struck before rank {pick} was found")
    file = work.case.scenario.file or "scenario"
    if not count:
        raise RequestError([Fault(file, 0, "--pick", str(pick), "a rank of fit, but nothing fits: try fit")])
    raise RequestError([Fault(file, 0, "--pick", str(pick), f"a rank of fit, which are 1 to {count}")])


def _measures(scenario: Scenario) -> Iterator[Taken]:
    """Yield what was measured round both axles; what was assumed is no measure."""
    assumed = {entry.path for entry in scenario.assumptions}
    names = {
        f"axle.{axle}.near.{index}": near.what
        for axle in results.AXLES
        for index, near in enumerate(getattr(scenario.axle, axle).near)
    }
    for path, measure in taken(scenario):
        if path.startswith("axle.") and path not in assumed:
            of = names.get(".".join(path.split(".")[:4]))
            yield Taken(path, measure.text, measure.how, of)


def _number(sheet: OrderSheet) -> str:
    """Return the sheet's number: letters and digits made from all that it holds."""
    text = json.dumps(document(sheet), sort_keys=True)
    return f"W-{hashlib.sha256(text.encode()).hexdigest()[:8].upper()}"
