"""What an answer holds: frozen values that mirror the JSON document key by key.

Everything a reader sees (tables, CSV, JSON, DataFrames) is read from these. Lengths are millimetres, angles
degrees, masses kilograms, money one unnamed currency. ``None`` means unknown and becomes ``null``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from wellroom.search.contact import Contact as Contact
from wellroom.search.contact import Place as Place
from wellroom.search.contact import contact_words as contact_words
from wellroom.units import ceil_to, floor_to

if TYPE_CHECKING:
    import pandas as pd

SCHEMA = 1
Axle = Literal["front", "rear"]
AXLES: tuple[Axle, ...] = ("front", "rear")
Kind = Literal["rating", "clearance", "limit", "wish"]
Status = Literal["proven", "unproven", "none"]
Windows = tuple[tuple[float, float], ...]

BEYOND = 150.0
"""Windows are listed from this far inboard of the rim to this far outboard of it [mm]."""


def unlimited(window: tuple[float, float], overall_mm: float | None) -> tuple[bool, bool]:
    """Return whether an interval of backspaces [mm] ends below, and above, only where listing ends.

    Nothing that was measured ends it there. ``overall_mm``: the rim's overall width.

    >>> unlimited((-150.0, 120.0), 228.6), unlimited((20.0, 378.6), 228.6)
    ((True, False), (False, True))
    """
    farthest = math.inf if overall_mm is None else floor_to(overall_mm + BEYOND, _STEP)
    return window[0] <= -BEYOND, window[1] >= farthest


_STEP = 0.01


def floor_margin(value: float) -> float:
    """Return ``value`` rounded down to 0.01, in its own unit; a value that has two decimals stays as it is.

    >>> floor_margin(0.29), floor_margin(1.239), floor_margin(-0.001)
    (0.29, 1.23, -0.01)
    """
    return floor_to(value, _STEP)


def ceil_miss(value: float) -> float:
    """Return ``value`` rounded up to 0.01, in its own unit, so that no miss is printed as none."""
    return ceil_to(value, _STEP)


def inward(windows: Windows) -> Windows:
    """Return closed intervals [mm] rounded inward to 0.01; one that closes up in this is dropped.

    >>> inward(((1.001, 2.009), (3.001, 3.009)))
    ((1.01, 2.0),)
    """
    rounded = ((ceil_miss(low), floor_margin(high)) for low, high in windows)
    return tuple((low, high) for low, high in rounded if low <= high)


@dataclass(frozen=True)
class Assumption:
    """A value the trade usually assumes, taken because the scenario gives none."""

    path: str
    value: str
    why: str


@dataclass(frozen=True)
class NotChecked:
    """Something the answer does not cover (``front.tilt``) and the measure that is missing for it."""

    what: str
    missing: str


@dataclass(frozen=True)
class Counts:
    """Tire and rim pairs that have a window, for each axle, and plans in the answer."""

    front: int
    rear: int
    plans: int


@dataclass(frozen=True)
class ScoreTerm:
    """What one missed wish (``front.poke``) adds to the score; ``miss`` is >= 0, in ``unit``."""

    wish: str
    miss: float
    unit: str
    points: int


@dataclass(frozen=True)
class TireChoice:
    """A tire: catalog id (None: a marking that is in no catalog) and nominal sizes on the rim used."""

    id: str | None
    size: str
    od_mm: float
    section_mm: float


@dataclass(frozen=True)
class WheelChoice:
    """A wheel: made to order from a blank or stocked, its catalog id, the adapter's thickness or None.

    ``source`` None is a wheel that the builder has already.
    """

    source: Literal["made", "stock"] | None
    id: str | None
    adapter_mm: float | None = None


@dataclass(frozen=True)
class Check:
    """One requirement judged: margin in its own unit (>= 0 is met), ok (None: not judged), contact.

    ``asked`` is the clearance asked for [mm], already taken off the margin: the distance is their sum.
    """

    id: str
    kind: Kind
    wording: str
    margin: float | None
    unit: str
    ok: bool | None
    contact: Contact | None = None
    asked: float | None = None


@dataclass(frozen=True)
class Relief:
    """How far a part of the motion may go for one thing that is fouled.

    ``full`` as it is; ``touches``: how far it may go before contact, the other direction of lock aside;
    ``clears``: how far, with the clearance asked for, both locks being drawn in by as much. None: not even
    the least of it helps. ``spacer_mm``: what under the bump stop leaves as much bump as clears. ``posed``:
    the thing was measured again at a pose, which counts no more once a stop keeps the axle from it.
    """

    thing: str
    what: str
    unit: str
    full: float
    touches: float | None
    clears: float | None
    spacer_mm: float | None = None
    posed: bool = False


@dataclass(frozen=True)
class Steering:
    """What the wheel's place does to a steered axle, and against today's [mm]; None where not known.

    Where a measure of the kingpin is a range the scrub radius is known by its ends alone.
    """

    scrub_radius_mm: float | None
    scrub_change_mm: float | None
    turning_circle_mm: float | None
    turning_circle_change_mm: float | None
    scrub_radius_ends_mm: tuple[float, float] | None
    scrub_change_ends_mm: tuple[float, float] | None


@dataclass(frozen=True, kw_only=True)
class AxleFit:
    """One axle's tire and wheel, what they give, and every requirement judged on it."""

    tire: TireChoice
    wheel: WheelChoice
    quantity: int
    rim_diameter_in: float
    rim_width_in: float
    backspace_in: float
    backspace_mm: float
    inset_mm: float
    overall_width_mm: float | None
    poke_mm: float | None
    inside_mm: float | None
    gap_mm: float | None
    window_mm: Windows | None
    windows_mm: Mapping[str, Windows | None] = field(default_factory=dict)
    checks: tuple[Check, ...] = ()
    steering: Steering | None = None
    relief: tuple[Relief, ...] = ()


@dataclass(frozen=True)
class Spare:
    """The spare: the same tire and wheel as one axle."""

    same_as: Axle
    tire: TireChoice
    wheel: WheelChoice
    quantity: int = 1


@dataclass(frozen=True, kw_only=True)
class Gearing:
    """Gearing with the tires of a plan; gearsets are catalog ids by axle, None: today's stays."""

    gearsets: Mapping[str, str | None]
    axle_ratios: Mapping[str, float | None]
    effective_ratio: float | None
    change_pct: float | None
    rpm_at_cruise: float | None
    speedometer_error_pct: float | None


@dataclass(frozen=True, kw_only=True)
class Plan:
    """A whole combination. ``rank`` None: today's wheels, or the one combination that is checked.

    ``axles`` maps "front" and "rear"; ``checks`` are the joint requirements (``plan.budget``).
    """

    rank: int | None
    score: int | None
    score_terms: tuple[ScoreTerm, ...] = ()
    price: float | None
    mass_kg: float | None
    axles: Mapping[str, AxleFit]
    spare: Spare | None = None
    gearing: Gearing | None = None
    checks: tuple[Check, ...] = ()


@dataclass(frozen=True)
class Fell:
    """How many candidates fell to one requirement."""

    id: str
    wording: str
    count: int


@dataclass(frozen=True)
class Blocker:
    """A requirement without which something would be left, where nothing fits."""

    id: str
    wording: str


@dataclass(frozen=True, kw_only=True)
class Header:
    """What every answer states first. ``cautions`` are places of the caution texts ("rim_type").

    ``other_stances``: what the scenario has beside ``stance`` where that was taken as the first, unnamed.
    """

    command: str
    status: Status
    scenario: str
    stance: str | None
    checked: tuple[str, ...]
    not_checked: tuple[NotChecked, ...]
    assumptions: tuple[Assumption, ...]
    cautions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    bound_mm: float | None = None
    other_stances: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class FitResult(Header):
    """The answer of ``fit``: plans by rank, today's wheels, and what the others fell to."""

    command: str = "fit"
    counts: Counts
    fits: tuple[Plan, ...]
    today: Plan | None = None
    fell: tuple[Fell, ...] = ()
    blocked_by: tuple[Blocker, ...] = ()

    def frame(self) -> pd.DataFrame:
        """Return one row per plan and axle, today's wheels first (rank missing)."""
        from wellroom.search.document import frame_of

        return frame_of(self)


@dataclass(frozen=True, kw_only=True)
class CheckResult(Header):
    """The answer of ``check``: one combination, whether it passes or not.

    ``axles`` are those that were asked for; ``judges`` tells today's wheels from a given combination.
    Status "none": a rating, clearance or limit is missed.
    """

    command: str = "check"
    axles: tuple[Axle, ...] = AXLES
    judges: Literal["today", "given"] = "given"
    fits: tuple[Plan]

    @property
    def plan(self) -> Plan:
        """The combination that was judged."""
        return self.fits[0]

    def frame(self) -> pd.DataFrame:
        """Return one row per axle."""
        from wellroom.search.document import frame_of

        return frame_of(self)


Result = FitResult | CheckResult


def least_check(checks: Sequence[Check], kind: Kind = "clearance", unit: str = "mm") -> Check | None:
    """Return the check of this kind and unit with the least margin (ties: the first id), None without."""
    judged = [
        (floor_margin(check.margin), check.id, check)
        for check in checks
        if check.kind == kind and check.unit == unit and check.margin is not None
    ]
    return min(judged, key=lambda entry: entry[:2])[2] if judged else None
