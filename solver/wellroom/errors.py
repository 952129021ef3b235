"""Typed errors. Every expected failure is one of these; anything else is a bug.

::

    WellroomError
     ├─ InputError (ValueError)     something given can't be used; exit 2
     │   ├─ ScenarioError           faults in a scenario file or a --set
     │   ├─ CatalogError            faults in a catalog file
     │   └─ RequestError            a request that can't be met as worded (unknown stance, tire, rim)
     └─ Undecided (RuntimeError)    a limit struck before an answer was proven; exit 3
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Fault:
    """One fault of one input: where it is, what was found there, what is expected.

    ``line`` is 1-based, 0 when the input has no lines (a command-line value). An option that names the place
    itself says it once.

    >>> print(Fault("truck.toml", 7, "units", "nothing", "in or mm"))
    truck.toml:7: units: found nothing, expected in or mm
    >>> print(Fault("--set units", 0, "units", "nothing", "in or mm"))
    --set units: found nothing, expected in or mm
    """

    file: str
    line: int
    place: str
    found: str
    expected: str

    def __str__(self) -> str:
        at = f"{self.file}:{self.line}" if self.line else self.file
        where = at if at in (f"--{self.place}", f"--set {self.place}") else f"{at}: {self.place}"
        return f"{where}: found {self.found}, expected {self.expected}"


class WellroomError(Exception):
    """Base of all expected errors."""


class InputError(WellroomError, ValueError):
    """Faults of an input, all of them at once, in the order of the file."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class ScenarioError(InputError):
    """Faults in a scenario file or in a ``--set``."""


class CatalogError(InputError):
    """Faults in a catalog file."""


class RequestError(InputError):
    """A request that can't be met as worded."""


class Undecided(WellroomError, RuntimeError):
    """A limit struck before the answer was proven."""
