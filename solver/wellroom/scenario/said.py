"""What is said beside an axle's room while it is built."""

from __future__ import annotations

from dataclasses import dataclass, field

from wellroom.scenario.model import Assumption


@dataclass
class Said:
    """What was checked, what is missing (what, measure), what was assumed, and what is worth a warning."""

    checked: list[str] = field(default_factory=list)
    missing: list[tuple[str, str]] = field(default_factory=list)
    notes: list[Assumption] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)

    def assume(self, path: str, value: str, why: str) -> None:
        """List an assumption."""
        self.notes.append(Assumption(path, value, why))
