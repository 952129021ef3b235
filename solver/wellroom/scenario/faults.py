"""What is wrong with a scenario, by place; and from place to file and line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wellroom.errors import Fault
from wellroom.scenario.words import place_text

Place = tuple[str | int, ...]


@dataclass(frozen=True)
class Problem:
    """One thing wrong: where, what was found, what is expected, and the other places that it hangs on."""

    place: Place
    found: str
    expected: str
    others: tuple[Place, ...] = ()


def within(place: Place, outer: Place) -> bool:
    """Return whether a place is ``outer`` or inside it."""
    return place[: len(outer)] == outer


@dataclass(frozen=True)
class Locator:
    """Knows the file, the line of each place, and which places came from the command line."""

    file: str
    lines: Mapping[Place, int]
    sets: Sequence[tuple[Place, str]] = ()

    def at(self, place: Place) -> tuple[str, int]:
        """Return file and line of a place, or of the nearest table around it.

        What a --set put there is the --set's: the value itself, and the tables that it made on its way.
        """
        made = place not in self.lines
        for changed, label in reversed(self.sets):
            if within(place, changed) or (place and made and within(changed, place)):
                return label, 0
        for length in range(len(place), 0, -1):
            if place[:length] in self.lines:
                return self.file, self.lines[place[:length]]
        return self.file, 1

    def fault(self, problem: Problem) -> Fault:
        """Return the fault as it is printed."""
        file, line = self.at(problem.place)
        return Fault(file, line, place_text(problem.place), problem.found, problem.expected)
