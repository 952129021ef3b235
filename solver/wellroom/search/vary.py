"""One or two inputs of a scenario over a range: what each value buys, and where the answer changes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError, ScenarioError
from wellroom.scenario.build import Room, build_room
from wellroom.scenario.changes import lifted
from wellroom.scenario.load import parse_scenario
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.case import Case, Progress, prepare
from wellroom.search.fit import Worked, worked
from wellroom.search.header import header
from wellroom.search.inputs import MOST_POINTS, Input, between, read_input
from wellroom.search.results import AXLES, Axle, Plan, floor_margin, least_check
from wellroom.search.sweeps import Sweeps
from wellroom.search.vary_results import (
    Best,
    BestAxle,
    OfAxle,
    Point,
    TodayHere,
    Turn,
    Turning,
    Varied,
    VaryResult,
)
from wellroom.search.whole import judged_today


def vary(
    scenario: Scenario,
    catalog: Catalog,
    *inputs: str,
    stance: str | None = None,
    exact: str | None = None,
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    progress: Progress | None = None,
) -> VaryResult:
    """Return what each value of one or two inputs gives: PATH=FROM..TO[:STEP] or PATH=A,B,C.

    Each point is what ``fit`` gives with the value set. Where the best combination changes between two points
    of one input, the place is found by bisection to the input's own step, or to ``exact``. Status "proven"
    where a point has a plan. Raises RequestError for an input that can't be read, ScenarioError where the
    scenario can't have any of the values.
    """
    read = [read_input(request, scenario, exact) for request in inputs]
    if not 1 <= len(read) <= 2:
        raise RequestError([Fault("vary", 0, "inputs", str(len(read)), "one input or two")])
    if len(read) == 2 and set(read[0].paths) & set(read[1].paths):
        raise RequestError([Fault("vary", 0, "inputs", read[1].path, "another input than the first")])
    count = int(np.prod([len(one.texts) for one in read]))
    if count > MOST_POINTS:
        raise RequestError([Fault("vary", 0, "inputs", f"{count} points", f"up to {MOST_POINTS} points")])
    run = _Run(scenario, catalog, stance, tuple(tires), tuple(rims), Sweeps())
    base = prepare(scenario, catalog, stance, progress, run.sweeps)
    points: list[Point] = []
    every = list(product(*(one.texts for one in read)))
    with run.sweeps.ahead([run.rooms(read, texts) for texts in every]):
        for done, texts in enumerate(every):
            if progress:
                progress(", ".join(texts), done / count)
            points.append(run.point(read, texts))
    if all(point.refused for point in points):
        raise run.refusals[0]
    turns = tuple(_turns(run, read[0], points, progress)) if len(read) == 1 and read[0].step else ()
    head = header(base, catalog, list(run.notes))
    if run.lifts and "lift" not in head["cautions"]:
        head["cautions"] = (*head["cautions"], "lift")
    return VaryResult(
        status=_status(points),
        **head,
        inputs=tuple(_varied(one) for one in read),
        today=judged_today(base),
        points=tuple(points),
        turns=turns,
    )


def _varied(one: Input) -> Varied:
    return Varied(one.path, one.unit, one.texts, None if one.step is None else one.text_of(one.step))


def _status(points: Sequence[Point]) -> results.Status:
    if any(point.status == "unproven" for point in points):
        return "unproven"
    return "proven" if any(point.best for point in points) else "none"


@dataclass
class _Run:
    """What all points share."""

    scenario: Scenario
    catalog: Catalog
    stance: str | None
    tires: tuple[str, ...]
    rims: tuple[str, ...]
    sweeps: Sweeps

    def __post_init__(self) -> None:
        self.notes: dict[str, None] = {}
        self.refusals: list[ScenarioError] = []
        self.lifts = False

    def with_values(self, inputs: Sequence[Input], texts: Sequence[str]) -> Scenario:
        """Return the scenario with the values set; raises ScenarioError."""
        sets = [put for one, text in zip(inputs, texts, strict=True) for put in one.sets(text)]
        return parse_scenario(self.scenario.text, self.scenario.file, [*self.scenario.sets, *sets])

    def rooms(self, inputs: Sequence[Input], texts: Sequence[str]) -> list[Room]:
        """Return the rooms that a point will be worked out in, none where the values can't be had."""
        try:
            scenario = self.with_values(inputs, texts)
        except ScenarioError:
            return []
        return [build_room(scenario, axle) for axle in AXLES]

    def point(self, inputs: Sequence[Input], texts: Sequence[str]) -> Point:
        """Return what the scenario gives with the values set."""
        try:
            scenario = self.with_values(inputs, texts)
        except ScenarioError as error:
            self.refusals.append(error)
            first = error.faults[0]
            why = f"{first.place}: found {first.found}, expected {first.expected}"
            return Point(tuple(texts), None, why, None, dict.fromkeys(AXLES), None)
        self.lifts |= lifted(scenario)
        case = prepare(scenario, self.catalog, self.stance, None, self.sweeps)
        work = worked(case, self.catalog, 1, self.tires, self.rims)
        self.notes |= dict.fromkeys(work.notes)
        point = Point(
            tuple(texts),
            work.answer.status,
            None,
            _today(case),
            {axle: _of_axle(work, axle) for axle in AXLES},
            _best(work.plan(1)) if work.answer.plans else None,
        )
        self.sweeps.next_round()
        return point


def _today(case: Case) -> TodayHere | None:
    plan = judged_today(case)
    if plan is None:
        return None
    checks = [(axle, check) for axle, fit in plan.axles.items() for check in fit.checks]
    checks += [("plan", check) for check in plan.checks]
    least = least_check([check for _, check in checks])
    margin = None if least is None or least.margin is None else floor_margin(least.margin)
    missed = [check.id for _, check in checks if check.ok is False and check.kind != "wish"]
    return TodayHere(margin, tuple(missed))


def _of_axle(work: Worked, axle: Axle) -> OfAxle:
    found = work.found[axle]
    pairs = np.unique(found.pair)
    if not len(pairs):
        return OfAxle(found.pairs_open, None, None, None)
    tire, rim = found.tire[pairs], found.rim[pairs]
    tallest = tire[int(np.argmax(found.tires.od[tire]))]
    return OfAxle(
        found.pairs_open,
        float(found.tires.od[tallest]),
        str(found.tires.size[tallest]),
        float(found.rims.width[rim].max()),
    )


def _best(plan: Plan) -> Best:
    gearing = plan.gearing
    axles = {
        axle: BestAxle(
            fit.tire,
            fit.wheel,
            fit.rim_diameter_in,
            fit.rim_width_in,
            fit.backspace_mm,
            fit.poke_mm,
            fit.gap_mm,
            None if fit.window_mm is None else _width(fit.window_mm, fit.backspace_mm),
        )
        for axle, fit in plan.axles.items()
    }
    return Best(
        plan.score,
        plan.price,
        axles,
        {axle: gearing.gearsets.get(axle) if gearing else None for axle in AXLES},
        gearing.effective_ratio if gearing else None,
        gearing.change_pct if gearing else None,
        gearing.rpm_at_cruise if gearing else None,
    )


def _width(windows: results.Windows, backspace: float) -> float:
    """Return the width of the window that holds a backspace [mm], 0 where none does."""
    held = [high - low for low, high in windows if low - 0.01 <= backspace <= high + 0.01]
    return held[0] if held else 0.0


# --- where the answer turns ---------------------------------------------------------------------


def words_of(best: Best | None) -> str | None:
    """Return what makes one best combination another than the next: tires, rims, wheels, gear sets.

    The backspace alone does not.
    """
    if best is None:
        return None
    parts = []
    for axle, fit in best.axles.items():
        wheel = "to order" if fit.wheel.source == "made" else f"{fit.wheel.id}"
        adapter = "" if fit.wheel.adapter_mm is None else " on an adapter"
        gear = f", {best.gearsets[axle]}" if best.gearsets.get(axle) else ""
        rim = f"{fit.rim_diameter_in:g}x{fit.rim_width_in:g}"
        parts.append(f"{axle} {fit.tire.id or fit.tire.size} on {rim} {wheel}{adapter}{gear}")
    return "; ".join(parts)


def _turns(run: _Run, one: Input, points: Sequence[Point], progress: Progress | None) -> list[Turn]:
    assert one.step is not None
    order = sorted(range(len(points)), key=lambda k: one.numbers[k])
    known = [(one.numbers[k], points[k]) for k in order if points[k].refused is None]
    out: list[Turn] = []
    for (low, at_low), (high, at_high) in pairwise(known):
        grid = list(between(low, high, one.step))
        start, words = low, words_of(at_low.best)
        last = words_of(at_high.best)
        while words != last:
            if progress:
                progress(f"where it turns, from {one.text_of(start)}", 0.9)
            inside = [value for value in grid if value > start]
            left, right, after = _bisect(
                inside, start, (high, last), words, lambda value: words_of(_at(run, one, value).best)
            )
            kind: Turning = "another best" if words and after else "first fit" if after else "last fit"
            apart = one.text_of(right - left)
            out.append(Turn(kind, one.text_of(left), one.text_of(right), apart, words, after))
            start, words = right, after
    return out


def _at(run: _Run, one: Input, value: float) -> Point:
    return run.point([one], [one.text_of(value)])


def _bisect(
    inside: Sequence[float],
    low: float,
    high: tuple[float, str | None],
    words: str | None,
    answer: Callable[[float], str | None],
) -> tuple[float, float, str | None]:
    """Return the neighbours between which an answer turns from ``words``, and what it turns to."""
    left, (right, after) = low, high
    first, last = 0, len(inside)
    while first < last:
        middle = (first + last) // 2
        here = answer(inside[middle])
        if here == words:
            left, first = inside[middle], middle + 1
        else:
            right, after, last = inside[middle], here, middle
    return left, right, after
