"""The narrow face of the package."""

from __future__ import annotations

import pytest

import wellroom
from wellroom import errors


def test_package_exports_exactly_these_names() -> None:
    """What is public is listed, and stays."""
    assert wellroom.__all__ == [
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
    assert set(wellroom.__all__) <= set(dir(wellroom))
    assert set(wellroom.__all__) == set(wellroom._HOMES)


def test_package_errors_are_those_of_the_errors_module() -> None:
    """Each error class is the one that is raised."""
    for name in wellroom.__all__:
        if name.endswith("Error") or name in ("Fault", "Undecided"):
            assert getattr(wellroom, name) is getattr(errors, name)


def test_package_unknown_name_is_an_attribute_error() -> None:
    """A misspelt name fails as on any module."""
    with pytest.raises(AttributeError, match="load_scenari"):
        wellroom.load_scenari  # noqa: B018
