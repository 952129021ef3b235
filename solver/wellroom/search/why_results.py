"""What ``why`` answers: what can't go together, what comes nearest, and the ways out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wellroom.search import results
from wellroom.search.results import AxleFit, Counts, Header, Plan

Part = Literal["front", "rear", "plan"]


@dataclass(frozen=True)
class Clash:
    """Requirements that no combination of an axle (or no plan) meets together, though any less it can.

    ``pairs``: how many pairs of tire and rim meet all ratings; None of a plan.
    """

    part: Part
    ids: tuple[str, ...]
    wordings: tuple[str, ...]
    pairs: int | None


@dataclass(frozen=True)
class Near:
    """A combination of one axle that misses little: judged, with the ids that it misses."""

    axle: results.Axle
    missed: tuple[str, ...]
    fit: AxleFit


@dataclass(frozen=True)
class Pull:
    """One change of a way out. ``amount``: by how much, None where it is done or not, or a limit is dropped.

    ``to``: what it comes to, with what was there before; ``unit``: of both.
    """

    name: str
    axle: results.Axle | None
    path: str
    amount: float | None
    to: float | None
    unit: str
    cost: int
    follows: str


@dataclass(frozen=True)
class Way:
    """A way out: its changes, ``sets`` for --set that make them, and the best plan that it gives."""

    cost: int
    pulls: tuple[Pull, ...]
    sets: tuple[str, ...]
    plan: Plan


@dataclass(frozen=True)
class Tried:
    """A change that was looked at: its cost and the most of it; ``cap``: the limit that sets that."""

    name: str
    axle: results.Axle | None
    most: float | None
    unit: str
    cost: int
    cap: str | None


@dataclass(frozen=True, kw_only=True)
class WhyResult(Header):
    """The answer of ``why``. Status "proven": something fits; "none": nothing does.

    ``aim``: what stands in the way of was asked: "fit", where nothing fits, "wishes", where something fits
    but no combination meets every wish; None where nothing stands in the way. ``clashes_complete``: all
    minimal ones are listed. ``complete``: no cheaper way out of up to ``most_changes`` of the changes tried
    was left out.
    """

    command: str = "why"
    aim: Literal["fit", "wishes"] | None
    counts: Counts
    best: Plan | None
    clashes: tuple[Clash, ...] = ()
    clashes_complete: bool = True
    nearest: tuple[Near, ...] = ()
    ways: tuple[Way, ...] = ()
    complete: bool = True
    most_changes: int = 0
    tried: tuple[Tried, ...] = ()
