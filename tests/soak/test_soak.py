"""Five hundred of the soak's mutants; the soak's own judge must be able to say no."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from soak import judge
from soak.judge import Bench, unnamed
from soak.mutants import Mutant, cheap_text, places_of
from soak.run import every_key, soak
from wellroom.errors import Fault
from wellroom.scenario.words import place_text


def test_soak_of_500_mutants_gives_answers_or_named_faults(tmp_path: Path) -> None:
    """No traceback, no nameless fault, nothing infinite; two fifths can be read; every key is hit."""
    tally = soak(500, 3, tmp_path)
    assert [f"{one.mutant.key}: {one.mutant.what}: {one.says}" for one in tally.bad] == []
    assert tally.count == 500
    assert tally.parsed >= 200
    assert tally.missed == frozenset()


def test_keys_of_the_soak_are_those_of_the_base_and_of_the_catalogs() -> None:
    """Every place of the scenario that is mutated, and every column, counts as a key."""
    keys = every_key()
    assert {place_text(place) for place in places_of(cheap_text())} < keys
    assert {"axle.front.near.1.share", "axle.rear.travel.track_bar.slope", "tires.od_max_mm"} < keys


def _fault(place: str, line: int = 4) -> Sequence[Fault]:
    return (Fault("mutant.toml", line, place, "24", "a length"),)


@pytest.mark.parametrize(
    ("place", "named"),
    [("limits.mass", True), ("limits", True), ("limits.mass.value", True), ("limits.budget", False)],
)
def test_fault_names_the_mutated_place_or_its_table(place: str, named: bool) -> None:
    """The place itself, its table or a part of it; not its neighbour."""
    mutant = Mutant("scenario", "odd", "limits.mass", "", ("limits.mass", "limits"))
    assert (unnamed(mutant, tuple(_fault(place))) is None) == named


@pytest.mark.parametrize(
    ("key", "holder", "expected", "named"),
    [
        ("stance", "the file", "a stance with a section of the front axle", True),
        ("stance.tall.section", "stance.tall", "stance.tall.section of the front axle", True),
        ("stance.tall.section", "stance.tall", "what stance.tall says", True),
        ("stance.tall.section", "stance.tall", "stance.taller.section or stance.tall.poke", False),
    ],
)
def test_fault_elsewhere_that_speaks_of_the_mutated_place_names_it(
    key: str, holder: str, expected: str, named: bool
) -> None:
    """A fault of what hangs on the mutated place may stand there, if it names this one or its table."""
    mutant = Mutant("scenario", "dropped", key, "", (key, holder))
    fault = Fault("mutant.toml", 4, "change.narrower_tire", "a change of tires", expected)
    assert (unnamed(mutant, (fault,)) is None) == named


def test_fault_of_two_lines_is_bad() -> None:
    """A fault is one printable line."""
    mutant = Mutant("scenario", "odd", "limits.mass", "", ("limits.mass", "limits"))
    assert unnamed(mutant, tuple(_fault("limits.mass\nx"))) is not None
    assert unnamed(mutant, ()) is not None


def test_outcome_of_a_crash_is_bad(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the program did not foresee is shown with its place, not passed over."""

    def crash(*_: object, **__: object) -> None:
        raise ZeroDivisionError("division by zero")

    bench = Bench(tmp_path)
    good = bench.outcome(Mutant("scenario", "as it is", "title", cheap_text()))
    assert (good.sort, good.parsed) == ("answer", True)
    monkeypatch.setattr(judge, "fit", crash)
    monkeypatch.setattr(judge, "check", crash)
    monkeypatch.setattr(judge, "why", crash)
    bad = bench.outcome(Mutant("scenario", "as it is", "title", cheap_text()))
    assert bad.sort == "bad"
    assert "ZeroDivisionError" in bad.says
