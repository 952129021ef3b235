"""Answers together with what their pages draw: the sketch of the vehicle and the feasible sets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

from wellroom.catalog import Catalog
from wellroom.scenario.model import Scenario
from wellroom.search.case import restanced
from wellroom.search.cloud import Cloud, clouds
from wellroom.search.compare import CompareResult, compare
from wellroom.search.fit import Case, Progress, fit_case, prepare, worked
from wellroom.search.results import Counts, FitResult, Header
from wellroom.search.sketch import Sketch, sketch


@dataclass(frozen=True)
class Pictures:
    """The answer of ``fit``, and what drawings of it need."""

    result: FitResult
    sketch: Sketch
    clouds: dict[str, Cloud]


def fit_pictures(
    scenario: Scenario,
    catalog: Catalog,
    *,
    stance: str | None = None,
    top: int = 10,
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    progress: Progress | None = None,
) -> Pictures:
    """Return what ``fit`` does, and beside it what its page draws. Raises RequestError as ``fit`` does."""
    case = prepare(scenario, catalog, stance, progress)
    return _pictures(case, catalog, top, tires, rims, progress)


def stance_pictures(
    scenario: Scenario,
    catalog: Catalog,
    *,
    stance: str | None = None,
    top: int = 10,
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    progress: Progress | None = None,
) -> tuple[Pictures, ...]:
    """Return what ``fit_pictures`` does for each stance of the scenario, in the file's order.

    ``stance`` is only looked for: RequestError where the scenario does not have it.
    """
    base = prepare(scenario, catalog, stance, progress)
    cases = [restanced(base, name) for name in scenario.stance] or [base]
    return tuple(_pictures(case, catalog, top, tires, rims, progress) for case in cases)


def _pictures(
    case: Case,
    catalog: Catalog,
    top: int,
    tires: Sequence[str],
    rims: Sequence[str],
    progress: Progress | None,
) -> Pictures:
    result = fit_case(case, catalog, top=top, tires=tires, rims=rims, progress=progress)
    work = worked(case, catalog, 1, tires, rims)
    return Pictures(result, sketch(case.scenario, catalog, result), clouds(case, work))


@dataclass(frozen=True)
class ComparePictures:
    """The answer of ``compare``, and what drawings of it need; the stances' wheels are numbered from 1."""

    result: CompareResult
    sketch: Sketch


def compare_pictures(
    scenario: Scenario,
    catalog: Catalog,
    *,
    stances: Sequence[str] = (),
    tires: Sequence[str] = (),
    rims: Sequence[str] = (),
    progress: Progress | None = None,
) -> ComparePictures:
    """Return what ``compare`` does, and beside it what its page draws. Raises RequestError as it does."""
    result = compare(scenario, catalog, stances=stances, tires=tires, rims=rims, progress=progress)
    return ComparePictures(result, sketch(scenario, catalog, _as_ranks(result)))


def _as_ranks(result: CompareResult) -> FitResult:
    """Return the stances' best as if they were the ranks of one answer, which is what a sketch is made of."""
    plans = tuple(
        replace(column.plan, rank=number)
        for number, column in enumerate(result.columns, 1)
        if column.plan is not None
    )
    head = {item.name: getattr(result, item.name) for item in fields(Header)}
    counts = Counts(0, 0, len(plans))
    return FitResult(**head | {"command": "fit"}, counts=counts, fits=plans, today=result.today)
