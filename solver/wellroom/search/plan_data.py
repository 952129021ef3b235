"""What a plan is made of: the rows of each axle, the gear options, the joint requirements, the answer.

Everything here is an integer or a name. The unit is in the name; scores are points, lower is better.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Names = NDArray[Any]
Axle = Literal["front", "rear"]
MarginOf = Callable[[Axle, Ints], Ints]

_MOST = 1 << 44  # of any one integer given: sums and keys then stay within 64 bits
_MOST_KEY = 1 << 58


@dataclass(frozen=True, eq=False)
class AxleRows:
    """Candidates of one axle, n rows, each of which meets every requirement of its own.

    One row is one tire on one wheel with one backspace. Rows may come in any order. The rows of one
    (tire, wheel, rim diameter, rim width) may differ in backspace and score and in nothing else.

    Parameters
    ----------
    tire, wheel : names, shape (n,); the wheel's name says its source but not its backspace
    rim_diameter : 1/10 in, shape (n,), [0, 2^20)
    rim_width : 1/100 in, shape (n,), [0, 2^20)
    backspace_um : 1e-6 m, shape (n,)
    score : points, shape (n,), >= 0
    price_cents : for all wheels and tires of the axle, with its share of spares, shape (n,), >= 0
    mass_g : likewise, shape (n,), >= 0
    rolling_um : rolling circumference, shape (n,), > 0
    radial : true for radial, false for bias, shape (n,)
    """

    tire: Names
    wheel: Names
    rim_diameter: Ints
    rim_width: Ints
    backspace_um: Ints
    score: Ints
    price_cents: Ints
    mass_g: Ints
    rolling_um: Ints
    radial: Bools

    def __post_init__(self) -> None:
        n = len(self.tire)
        for field in fields(self):
            values = np.asarray(getattr(self, field.name))
            if field.name == "radial":
                values = values.astype(bool)
            elif field.name not in ("tire", "wheel"):
                values = _whole(values, field.name)
            if values.shape != (n,):
                raise ValueError(f"AxleRows.{field.name}: shape {values.shape}, not ({n},)")
            object.__setattr__(self, field.name, values)
        for name in ("rim_diameter", "rim_width", "score", "price_cents", "mass_g"):
            _at_least(getattr(self, name), 0, f"AxleRows.{name}")
        _at_least(self.rolling_um, 1, "AxleRows.rolling_um")

    def __len__(self) -> int:
        return len(self.tire)


@dataclass(frozen=True, eq=False)
class GearOptions:
    """Gear choices, m >= 1 options with distinct (front_id, rear_id); None keeps what an axle has.

    Parameters
    ----------
    front_id, rear_id : ids of ring-and-pinion sets or None, length m
    front_ratio_u, rear_ratio_u : axle ratio x 1e6, shape (m,), > 0
    price_cents : parts and fitting, shape (m,), >= 0
    reference : the axle whose rolling circumference the effective ratio is reckoned with
    rolling_values_um : ascending distinct values, shape (q,), among them each of the reference axle's rows
    score : points of the effective-ratio wish, shape (m, q), >= 0
    allowed : false where that wish is a must and is missed, shape (m, q)
    """

    front_id: Sequence[str | None]
    rear_id: Sequence[str | None]
    front_ratio_u: Ints
    rear_ratio_u: Ints
    price_cents: Ints
    reference: Axle
    rolling_values_um: Ints
    score: Ints
    allowed: Bools

    def __post_init__(self) -> None:
        for name in ("front_ratio_u", "rear_ratio_u", "price_cents", "rolling_values_um", "score"):
            object.__setattr__(self, name, _whole(np.asarray(getattr(self, name)), name))
        object.__setattr__(self, "allowed", np.asarray(self.allowed, dtype=bool))
        object.__setattr__(self, "front_id", tuple(self.front_id))
        object.__setattr__(self, "rear_id", tuple(self.rear_id))
        m, q = len(self.front_id), len(self.rolling_values_um)
        if m == 0 or len(set(zip(self.front_id, self.rear_id, strict=True))) != m:
            raise ValueError("GearOptions: at least one option, and no pair of sets twice")
        for name in ("front_ratio_u", "rear_ratio_u", "price_cents"):
            if getattr(self, name).shape != (m,):
                raise ValueError(f"GearOptions.{name}: shape {getattr(self, name).shape}, not ({m},)")
        if self.score.shape != (m, q) or self.allowed.shape != (m, q):
            raise ValueError(f"GearOptions.score and .allowed: shape not ({m}, {q})")
        if (np.diff(self.rolling_values_um) <= 0).any():
            raise ValueError("GearOptions.rolling_values_um: not ascending and distinct")
        _at_least(self.front_ratio_u, 1, "GearOptions.front_ratio_u")
        _at_least(self.rear_ratio_u, 1, "GearOptions.rear_ratio_u")
        _at_least(self.price_cents, 0, "GearOptions.price_cents")
        _at_least(self.score, 0, "GearOptions.score")

    def __len__(self) -> int:
        return len(self.front_id)


@dataclass(frozen=True)
class Joint:
    """Requirements that only a whole plan can meet.

    Parameters
    ----------
    match_ppm : greatest difference of (axle ratio x the other axle's rolling circumference) front to rear, in
        millionths of the lesser; None where the axles are not joined
    same_construction : no bias with radial
    same_wheel : tire, wheel, rim diameter, rim width and backspace equal on both axles
    budget_cents, mass_g : greatest sum over both axles (and gears, for money); None for no limit
    """

    match_ppm: int | None = None
    same_construction: bool = True
    same_wheel: bool = False
    budget_cents: int | None = None
    mass_g: int | None = None


@dataclass(frozen=True)
class Limits:
    """How much work may go into an answer.

    ``work`` is in the solver's deterministic seconds over all its solves, so that the same question stops at
    the same place on every machine. ``crowd`` is the number of choices from which on rows that are equal in
    score and price are told apart by margin before they are given to the solver.
    """

    work: float = 60.0
    crowd: int = 200


@dataclass(frozen=True)
class PlanRow:
    """One plan: rows of the two axles, a gear option, and what it is ranked by (margin in 0.01 mm)."""

    front_row: int
    rear_row: int
    gear: int
    score: int
    price_cents: int
    mass_g: int
    margin: int


@dataclass(frozen=True)
class Effort:
    """What it took: items after backspaces are settled, the most literals in a solve, rounds, solves."""

    front_items: int
    rear_items: int
    most_considered: int
    rounds: int
    solves: int


@dataclass(frozen=True)
class PlanResult:
    """The k best distinct plans, in order.

    ``proven``: these are the best, and when fewer than k are given there are no more. ``none``: proven that
    there is no plan. ``unproven``: the limit struck; each plan given is real, but better ones may be missing.
    ``in_force`` are the joint requirements that applied; with ``none``, ``blocked_by`` are those of them that
    would give a plan if dropped alone.
    """

    plans: tuple[PlanRow, ...]
    status: Literal["proven", "unproven", "none"]
    in_force: tuple[str, ...]
    blocked_by: tuple[str, ...]
    effort: Effort


def order_key(front: AxleRows, rear: AxleRows, gears: GearOptions, plan: PlanRow) -> tuple[Any, ...]:
    """Return what plans are ordered by: score, price, margin (greater first), ids, rims, gears, spaces."""
    f, r, g = plan.front_row, plan.rear_row, plan.gear
    return (
        plan.score, plan.price_cents, -plan.margin,
        str(front.tire[f]), str(rear.tire[r]), str(front.wheel[f]), str(rear.wheel[r]),
        int(front.rim_diameter[f]), int(rear.rim_diameter[r]),
        int(front.rim_width[f]), int(rear.rim_width[r]),
        id_key(gears.front_id[g]), id_key(gears.rear_id[g]),
        int(front.backspace_um[f]), int(rear.backspace_um[r]),
    )  # fmt: skip


def id_key(name: str | None) -> tuple[bool, str]:
    """Return what an optional id is ordered by: None first, then by text."""
    return (name is not None, name or "")


def check_sizes(front: AxleRows, rear: AxleRows, gears: GearOptions) -> int:
    """Return the price unit W that makes score x W + price an exact order; raise ValueError past 64 bits."""
    tops = [int(a.price_cents.max(initial=0)) for a in (front, rear, gears)]
    scores = [int(a.score.max(initial=0)) for a in (front, rear, gears)]
    unit = sum(tops) + 1
    if (sum(scores) + 1) * unit >= _MOST_KEY:
        raise ValueError("scores and prices too great to be ordered together in 64 bits")
    return unit


def _whole(values: NDArray[Any], name: str) -> Ints:
    if values.dtype.kind not in "iu" and values.size:
        raise ValueError(f"{name}: {values.dtype} values, integers expected")
    return values.astype(np.int64)


def _at_least(values: Ints, least: int, name: str) -> None:
    if values.size and (values.min() < least or values.max() > _MOST):
        raise ValueError(f"{name}: values from {values.min()} to {values.max()}, outside {least} to {_MOST}")
