"""Several stances side by side: the best of each, today's wheels first, and what serves more than one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Literal

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.case import Case, Progress, prepare, restanced, wishless
from wellroom.search.contact import contact_words
from wellroom.search.fit import Worked, worked
from wellroom.search.header import header
from wellroom.search.results import Axle, AxleFit, Plan, floor_margin, least_check
from wellroom.search.whole import judged_today
from wellroom.trade.steering import scrub_radius_mm
from wellroom.trade.tire import loaded_radius_mm

if TYPE_CHECKING:
    import pandas as pd

Better = Literal["more", "less", "nearer"]
Value = float | str | None
WELL = 2
"""A plan serves a stance well within this many points of that stance's own best."""
_HAIR = 1e-9


@dataclass(frozen=True)
class Served:
    """How a plan does under another stance: its score there, points above that stance's best, limits met."""

    score: int | None
    over: int | None
    limits_met: bool
    well: bool


@dataclass(frozen=True)
class Column:
    """The best plan of one stance, None where nothing fits; ``serves`` by the other stances' names."""

    stance: str
    status: results.Status
    plan: Plan | None
    serves: Mapping[str, Served]


@dataclass(frozen=True)
class Line:
    """One measure side by side: today's value, then each stance's; ``best`` marks the best of the stances'.

    ``better`` None: a matter of taste, nothing is marked. "nearer": nearer to what ``to`` says.
    """

    id: str
    wording: str
    unit: str
    better: Better | None
    to: str
    today: Value
    values: tuple[Value, ...]
    best: tuple[bool, ...]
    where: tuple[str | None, ...]


@dataclass(frozen=True, kw_only=True)
class CompareResult(results.Header):
    """The answer of ``compare``."""

    command: str = "compare"
    stances: tuple[str, ...]
    today: Plan | None
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]

    def rows(self) -> list[dict[str, Any]]:
        """Return one flat row per measure: today's value and one for each stance, the best ones named."""
        return [
            {
                "measure": line.id,
                "unit": line.unit,
                "better": line.better,
                "today": _plain(line.today),
                **{name: _plain(value) for name, value in zip(self.stances, line.values, strict=True)},
                "best": " ".join(n for n, best in zip(self.stances, line.best, strict=True) if best),
            }
            for line in self.lines
        ]

    def row_columns(self) -> tuple[str, ...]:
        """Return the names of the columns of ``rows``."""
        return ("measure", "unit", "better", "today", *self.stances, "best")

    def frame(self) -> pd.DataFrame:
        """Return one row per measure."""
        import pandas as pd

        return pd.DataFrame(self.rows(), columns=list(self.row_columns()))


def _plain(value: Value) -> Value:
    return round(value, 4) + 0.0 if isinstance(value, float) else value


def compare(
    scenario: Scenario,
    catalog: Catalog,
    *,
    stances: Sequence[str] = (),
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    progress: Progress | None = None,
) -> CompareResult:
    """Return the best plan of each stance (all of the scenario's unless named), today's wheels first.

    Status "proven" where at least one stance has a plan, "none" where none has. Raises RequestError for a
    stance, tire or rim that can't be read, and for a scenario without stances.
    """
    names = tuple(stances) or tuple(scenario.stance)
    if not names:
        expected = "a scenario with two stances or more, each under [stance.NAME]"
        raise RequestError([Fault(scenario.file or "scenario", 0, "stance", "none", expected)])
    known = ", ".join(scenario.stance) or "none: the scenario has no stances"
    faults = [
        Fault("--stance", 0, "stance", repr(name), f"one of {known}")
        for name in names
        if name not in scenario.stance
    ]
    faults += [
        Fault("--stance", 0, "stance", f"{name!r} {stances.count(name)} times", "each stance once")
        for name in dict.fromkeys(stances)
        if stances.count(name) > 1
    ]
    if faults:
        raise RequestError(faults)
    base = prepare(scenario, catalog, names[0], progress)
    cases = {name: restanced(base, name) for name in names}
    work = {name: worked(case, catalog, 1, tires, rims, progress) for name, case in cases.items()}
    best = {name: w.plan(1) if w.answer.plans else None for name, w in work.items()}
    columns = tuple(
        Column(name, work[name].answer.status, best[name], _serves(name, work[name], cases, best))
        for name in names
    )
    today = judged_today(wishless(base))
    notes = list(dict.fromkeys(note for w in work.values() for note in w.notes))
    head = header(base, catalog, notes) | {"stance": None}
    lines = tuple(_lines(scenario, cases, today, [best[name] for name in names]))
    return CompareResult(
        status=_status(columns), **head, stances=names, today=today, columns=columns, lines=lines
    )


def _status(columns: Sequence[Column]) -> results.Status:
    if any(column.status == "unproven" for column in columns):
        return "unproven"
    return "proven" if any(column.plan for column in columns) else "none"


def _serves(
    name: str, work: Worked, cases: Mapping[str, Case], best: Mapping[str, Plan | None]
) -> dict[str, Served]:
    out: dict[str, Served] = {}
    if not work.answer.plans:
        return out
    for other, case in cases.items():
        if other == name:
            continue
        plan, own = work.under(case, 1), best[other]
        met = not any(check.ok is False and check.kind != "wish" for check in all_checks(plan))
        over = None if own is None or own.score is None or plan.score is None else plan.score - own.score
        out[other] = Served(plan.score, over, met, met and over is not None and over <= WELL)
    return out


def all_checks(plan: Plan) -> tuple[results.Check, ...]:
    """Return every check of a plan, its axles' and the joint ones."""
    return tuple(check for fit in plan.axles.values() for check in fit.checks) + plan.checks


# --- the measures side by side ------------------------------------------------------------------


def _lines(
    scenario: Scenario, cases: Mapping[str, Case], today: Plan | None, plans: Sequence[Plan | None]
) -> Iterable[Line]:
    base = next(iter(cases.values()))

    def line(
        id_: str,
        wording: str,
        unit: str,
        better: Better | None,
        read: Callable[[Plan], Value],
        *,
        to: str = "",
        target: float | None = None,
        miss: Callable[[Plan], float | None] | None = None,
        where: Callable[[Plan], str | None] | None = None,
    ) -> Line:
        values = tuple(None if plan is None else read(plan) for plan in plans)
        badness = [
            None if plan is None else (miss(plan) if miss else _badness(value, better, target))
            for plan, value in zip(plans, values, strict=True)
        ]
        known = [bad for bad in badness if bad is not None]
        best = tuple(better is not None and bad is not None and bad <= min(known) + _HAIR for bad in badness)
        places = tuple(where(plan) if where and plan else None for plan in plans)
        return Line(id_, wording, unit, better, to, read(today) if today else None, values, best, places)

    for axle in results.AXLES:

        def of(read: Callable[[AxleFit], Value], axle: Axle = axle) -> Callable[[Plan], Value]:
            return lambda plan: read(plan.axles[axle]) if axle in plan.axles else None

        def wish(name: str, axle: Axle = axle) -> Callable[[Plan], float | None]:
            return lambda plan: sum(t.miss for t in plan.score_terms if t.wish == f"{axle}.{name}")

        load = base.asked[axle].load
        yield line(f"{axle}.tire", f"{axle} tire", "", None, of(lambda fit: fit.tire.size))
        yield line(
            f"{axle}.tire_diameter", f"{axle} tire diameter", "mm", "more", of(lambda fit: fit.tire.od_mm)
        )
        yield line(f"{axle}.rim", f"{axle} rim", "", None, of(_rim))
        yield line(f"{axle}.backspace", f"{axle} backspace", "mm", None, of(lambda fit: fit.backspace_mm))
        for name, reads in (("poke", lambda fit: fit.poke_mm), ("gap", lambda fit: fit.gap_mm)):
            yield line(
                f"{axle}.{name}",
                f"{axle} {name}",
                "mm",
                "nearer",
                of(reads),
                to="the stance's own wish",
                miss=wish(name),
            )
        yield line(
            f"{axle}.least_clearance",
            f"{axle} least clearance",
            "mm",
            "more",
            of(_least),
            where=partial(_where, axle),
        )
        if base.asked[axle].swept.room.axle.steered:
            yield from _steered(base, today, axle, line, of)
        if load == load:
            yield line(
                f"{axle}.load_reserve",
                f"{axle} load reserve",
                "%",
                "more",
                of(partial(_reserve, load)),
            )
    yield from _of_plan(scenario, line)


def _badness(value: Value, better: Better | None, target: float | None) -> float | None:
    if value is None or isinstance(value, str) or better is None:
        return None
    if better == "nearer":
        return abs(value - (target or 0.0))
    return -value if better == "more" else value


def _rim(fit: AxleFit) -> str:
    return f"{fit.rim_diameter_in:g}x{fit.rim_width_in:g}"


def _least(fit: AxleFit) -> float | None:
    least = least_check(fit.checks)
    return None if least is None or least.margin is None else floor_margin(least.margin)


def _where(axle: Axle, plan: Plan) -> str | None:
    least = least_check(plan.axles[axle].checks) if axle in plan.axles else None
    if least is None:
        return None
    return contact_words(least.contact) if least.contact else least.wording


def _reserve(load: float, fit: AxleFit) -> float | None:
    """Return the least rating of tires and wheels above the axle's load [percent of it]."""
    margins = [
        check.margin
        for check in fit.checks
        if check.kind == "rating" and check.unit == "kg" and check.margin is not None
    ]
    return min(margins) / load * 100.0 if margins else None


def _steered(base: Case, today: Plan | None, axle: Axle, line: Any, of: Any) -> Iterable[Line]:
    steering = base.asked[axle].swept.room.axle.steering
    lock = steering.lock_inner_wheel
    if lock is not None:
        degrees = lock.value * 57.29577951308232

        def left(fit: AxleFit) -> float | None:
            clear = all(check.ok is not False for check in fit.checks if check.kind == "clearance")
            return degrees if clear else None

        def at_lock(fit: AxleFit) -> float | None:
            found = [
                floor_margin(check.margin)
                for check in fit.checks
                if check.margin is not None and check.contact and "lock" in check.contact.extreme
            ]
            return min(found, default=None)

        yield line(f"{axle}.lock_left", f"{axle} lock left, inner wheel", "deg", "more", of(left))
        yield line(f"{axle}.at_lock", f"{axle} least clearance at full lock", "mm", "more", of(at_lock))
    king, lean = steering.kingpin_to_face, steering.kingpin_inclination
    if king is not None and lean is not None:

        def scrub(fit: AxleFit) -> float:
            radius = float(loaded_radius_mm(fit.tire.od_mm))
            return float(scrub_radius_mm(fit.inset_mm, king.value, lean.value, radius))

        now = scrub(today.axles[axle]) if today is not None and axle in today.axles else None
        to = "today's" if now is not None else "0"
        yield line(
            f"{axle}.scrub", f"{axle} scrub radius", "mm", "nearer", of(scrub), to=to, target=now or 0.0
        )


def _of_plan(scenario: Scenario, line: Any) -> Iterable[Line]:
    def gearing(name: str) -> Callable[[Plan], Value]:
        return lambda plan: None if plan.gearing is None else getattr(plan.gearing, name)

    rpm = scenario.gearing.cruise_rpm
    yield line(
        "gearing.change",
        "effective ratio against today's",
        "%",
        "nearer",
        gearing("change_pct"),
        to="today's",
        target=0.0,
    )
    yield line(
        "gearing.rpm_at_cruise",
        "engine speed at cruise",
        "rpm",
        None if rpm is None else "nearer",
        gearing("rpm_at_cruise"),
        to="" if rpm is None else "the engine speed wished",
        target=None if rpm is None else rpm.value,
    )
    yield line("price", "price", "money", "less", lambda plan: plan.price)
    yield line("mass", "mass of wheels and tires", "kg", "less", lambda plan: plan.mass_kg)
    yield line(
        "score",
        "score under its own stance",
        "points",
        "less",
        lambda plan: None if plan.rank is None else plan.score,
    )
