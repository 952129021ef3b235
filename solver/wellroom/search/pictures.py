"""A fit together with what its page draws: the sketch of the vehicle and the feasible sets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wellroom.catalog import Catalog
from wellroom.scenario.model import Scenario
from wellroom.search.cloud import Cloud, clouds
from wellroom.search.fit import Progress, fit_case, prepare, worked
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
    result = fit_case(case, catalog, top=top, tires=tires, rims=rims, progress=progress)
    work = worked(case, catalog, 1, tires, rims)
    return Pictures(result, sketch(scenario, catalog, result), clouds(case, work))
