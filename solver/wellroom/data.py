"""Where the shipped catalogs and scenarios are: beside the installed package, else in the checkout."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    installed = _PACKAGE / "_data" / name
    return installed if installed.is_dir() else _PACKAGE.parent.parent / name


def catalogs_dir() -> Path:
    """Return the folder that holds the shipped catalogs."""
    return _folder("catalogs")


def scenarios_dir() -> Path:
    """Return the folder that holds the shipped scenarios."""
    return _folder("scenarios")
