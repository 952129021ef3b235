"""The rooms of the project, and which may import from which: read from the source, not from what ran."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

import wellroom

PACKAGE = Path(str(wellroom.__file__)).parent
FACE = "the package's face"

_BASE = frozenset({"units", "errors", "data"})
_INPUTS = _BASE | {"trade", "geometry"}
_SEARCH = _INPUTS | {"scenario", "catalog"}
_REPORT = _SEARCH | {"search"}

#: From a room to the rooms above it, from which alone it may import.
ABOVE: dict[str, frozenset[str]] = {
    "units": frozenset(),
    "errors": frozenset(),
    "data": frozenset(),
    "trade": frozenset(),
    "geometry": frozenset({"trade"}),
    "scenario": _INPUTS,
    "catalog": _INPUTS,
    "search": _SEARCH,
    "report": _REPORT,
    FACE: _REPORT | {"report"},
    "options": _REPORT | {"report", FACE},
    "cli": _REPORT | {"report", FACE, "options"},
    "__main__": _REPORT | {"report", FACE, "options", "cli"},
}
#: What the rooms next to the ground import beside the standard library.
OUTSIDE = {
    "units": set[str](),
    "errors": set[str](),
    "data": set[str](),
    "trade": {"numpy"},
    "geometry": {"numpy"},
}

FILES = sorted(PACKAGE.rglob("*.py"))
EACH = [pytest.param(file, id=file.relative_to(PACKAGE).as_posix()) for file in FILES]


def imported(source: str) -> set[str]:
    """Return the dotted names that a source imports anywhere; relative ones start with a dot.

    >>> sorted(imported("import a.b\\ndef f():\\n    from c import d\\n    from . import e"))
    ['.e', 'a.b', 'c.d']
    """
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            found.update(f"{node.module or ''}.{alias.name}" for alias in node.names)
    return found


def names_of(file: Path) -> set[str]:
    """Return the dotted names that a file imports."""
    return imported(file.read_text(encoding="utf-8"))


def room_of(file: Path) -> str:
    """Return the room that a file of the package is in."""
    first = file.relative_to(PACKAGE).parts[0].removesuffix(".py")
    return FACE if first == "__init__" else first


def rooms_used(file: Path) -> set[str]:
    """Return the rooms that a file imports from, its own left out."""
    parts = [name.split(".") for name in names_of(file)]
    ours = [part for part in parts if part[0] == "wellroom"]
    used = {part[1] if len(part) > 1 and part[1] in ABOVE else FACE for part in ours}
    return used - {room_of(file)}


def test_rooms_are_all_named() -> None:
    """Whatever lies in the package is a room of the list, and the list names nothing else."""
    assert {room_of(file) for file in FILES} == set(ABOVE)


def test_rooms_above_hold_those_above_them() -> None:
    """The list is one-way: what stands above a room above is above too, and no room is above itself."""
    for room, above in ABOVE.items():
        assert room not in above
        assert all(ABOVE[other] <= above for other in above)


@pytest.mark.parametrize("file", EACH)
def test_module_imports_only_from_rooms_above(file: Path) -> None:
    """A module imports from its own room and from those above it."""
    assert rooms_used(file) <= ABOVE[room_of(file)]


@pytest.mark.parametrize("file", EACH)
def test_module_writes_its_imports_in_full(file: Path) -> None:
    """No import is relative, so that the room it comes from can be read."""
    assert not [name for name in names_of(file) if name.startswith(".")]


def test_solver_is_imported_in_one_module() -> None:
    """ortools is imported in one module only."""
    places = [file for file in FILES if any(name.split(".")[0] == "ortools" for name in names_of(file))]
    assert [file.relative_to(PACKAGE).as_posix() for file in places] == ["search/solve.py"]


@pytest.mark.parametrize(
    "file", [case for case, file in zip(EACH, FILES, strict=True) if room_of(file) in OUTSIDE]
)
def test_ground_rooms_stand_on_little(file: Path) -> None:
    """Units and errors use the standard library alone, formulas and geometry numpy beside it."""
    outside = {name.split(".")[0] for name in names_of(file)} - {*sys.stdlib_module_names, "wellroom"}
    assert outside <= OUTSIDE[room_of(file)]
