"""Wheel and tire combinations for odd hubs.

What is exported is loaded when it is first used, so that ``import wellroom`` costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wellroom.catalog import load_catalog as load_catalog
    from wellroom.errors import CatalogError as CatalogError
    from wellroom.errors import Fault as Fault
    from wellroom.errors import InputError as InputError
    from wellroom.errors import RequestError as RequestError
    from wellroom.errors import ScenarioError as ScenarioError
    from wellroom.errors import Undecided as Undecided
    from wellroom.errors import WellroomError as WellroomError
    from wellroom.scenario import load_scenario as load_scenario
    from wellroom.search.check import check as check
    from wellroom.search.compare import compare as compare
    from wellroom.search.fit import fit as fit
    from wellroom.search.regear import regear as regear
    from wellroom.search.vary import vary as vary
    from wellroom.search.why import why as why

_HOMES = {
    "CatalogError": "wellroom.errors",
    "Fault": "wellroom.errors",
    "InputError": "wellroom.errors",
    "RequestError": "wellroom.errors",
    "ScenarioError": "wellroom.errors",
    "Undecided": "wellroom.errors",
    "WellroomError": "wellroom.errors",
    "check": "wellroom.search.check",
    "compare": "wellroom.search.compare",
    "fit": "wellroom.search.fit",
    "load_catalog": "wellroom.catalog",
    "load_scenario": "wellroom.scenario",
    "regear": "wellroom.search.regear",
    "vary": "wellroom.search.vary",
    "why": "wellroom.search.why",
}

__all__ = [
    "CatalogError",
    "Fault",
    "InputError",
    "RequestError",
    "ScenarioError",
    "Undecided",
    "WellroomError",
    "check",
    "compare",
    "fit",
    "load_catalog",
    "load_scenario",
    "regear",
    "vary",
    "why",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'wellroom' has no attribute {name!r}")
    home = _HOMES[name]
    value = getattr(import_module(home), name)
    if home.startswith("wellroom.search."):
        import_module("wellroom.search.results").Header._repr_html_ = _in_a_notebook
    globals()[name] = value
    return value


def _in_a_notebook(result: Any) -> str:
    """Return a result as a notebook shows it; search can't say, since reports are made from its results."""
    from wellroom.report.notebook import html

    return html(result)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
