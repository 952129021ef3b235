"""Many mutants in a row, and the tally of what became of them."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from soak import mutants
from soak.judge import Bench, Outcome
from wellroom.catalog.spec import TABLES
from wellroom.scenario.words import place_text


@dataclass
class Tally:
    """What became of the mutants so far."""

    all_keys: frozenset[str]
    count: int = 0
    parsed: int = 0
    answers: int = 0
    faults: int = 0
    slowest: float = 0.0
    hit: set[str] = field(default_factory=set)
    bad: list[Outcome] = field(default_factory=list)

    def add(self, outcome: Outcome) -> None:
        """Count one more."""
        self.count += 1
        self.parsed += outcome.parsed
        self.answers += outcome.sort == "answer"
        self.faults += outcome.sort == "fault"
        self.slowest = max(self.slowest, outcome.seconds)
        self.hit.add(outcome.mutant.key)
        if outcome.sort == "bad":
            self.bad.append(outcome)

    @property
    def missed(self) -> frozenset[str]:
        """The keys that no mutant has touched."""
        return self.all_keys - self.hit

    @property
    def good(self) -> bool:
        """Whether nothing was bad, enough could be read and every key was hit."""
        return not self.bad and self.parsed >= 0.4 * self.count and not self.missed


def every_key() -> frozenset[str]:
    """Return the places of the base scenario and the columns of every catalog."""
    places = {place_text(place) for place in mutants.places_of()}
    columns = {f"{table.name}.{name}" for table in TABLES for name in mutants.Sheet(table, 1).header}
    return frozenset(places | columns)


def soak(count: int, seed: int, folder: Path, say: Callable[[str], None] | None = None) -> Tally:
    """Try ``count`` mutants, two scenarios to one catalog; ``say`` is told what is bad."""
    chance = random.Random(seed)
    bench, tally = Bench(folder), Tally(every_key())
    scenarios, catalogs = mutants.scenarios(chance), mutants.catalogs(chance)
    for k in range(count):
        outcome = bench.outcome(next(catalogs) if k % 3 == 2 else next(scenarios))
        tally.add(outcome)
        if say and outcome.sort == "bad":
            one = outcome.mutant
            say(f"BAD {one.kind} {one.key}: {one.what}: {outcome.says}")
        if say and tally.count % 500 == 0:
            say(f"{tally.count}: read {tally.parsed}, bad {len(tally.bad)}, slowest {tally.slowest:.1f} s")
    return tally
