"""Answers together with what their pages draw: the sketch of the vehicle and the feasible sets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wellroom.catalog import Catalog
from wellroom.scenario.model import Scenario
from wellroom.search.case import restanced
from wellroom.search.cloud import Cloud, clouds
from wellroom.search.fit import Case, Progress, fit_case, prepare, worked
from wellroom.search.results import FitResult
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
