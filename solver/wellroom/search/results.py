"""What an answer holds: frozen values that mirror the JSON document key by key.

Everything a reader sees (tables, CSV, JSON, DataFrames) is read from these. Lengths are millimetres, angles
degrees, masses kilograms, money one unnamed currency. ``None`` means unknown and becomes ``null``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from typing import TYPE_CHECKING, Any, Literal

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

    ``full`` as it is, ``touches`` before contact, ``clears`` with the clearance asked for; None: not even the
    least of it helps.
    """

    thing: str
    what: str
    unit: str
    full: float
    touches: float | None
    clears: float | None


@dataclass(frozen=True)
class Steering:
    """What the wheel's place does to a steered axle, and against today's [mm]; None where not known."""

    scrub_radius_mm: float | None
    scrub_change_mm: float | None
    turning_circle_mm: float | None
    turning_circle_change_mm: float | None


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
        return _frame(rows(self))


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
        return _frame(rows(self))


Result = FitResult | CheckResult


def least_check(checks: Sequence[Check], kind: Kind = "clearance", unit: str = "mm") -> Check | None:
    """Return the check of this kind and unit with the least margin (ties: the first id), None without."""
    judged = [
        (floor_margin(check.margin), check.id, check)
        for check in checks
        if check.kind == kind and check.unit == unit and check.margin is not None
    ]
    return min(judged, key=lambda entry: entry[:2])[2] if judged else None


# --- the JSON document ----------------------------------------------------------------------------

_DECIMALS = {"in": 4, "ratio": 4, "ratios": 4}
_WINDOWS = ("window_mm", "windows_mm")
_BY_AXLE = ("axles", "gearsets", "axle_ratios")


def document(result: Header, cautions: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Return the answer as a JSON-ready dict: every key present, mm to 0.01, margins rounded down, no NaN.

    ``cautions`` maps a place to its text. Raises ValueError, with the key's path, for a number that is not
    finite: unknown is None.
    """
    body: dict[str, Any] = {"schema": SCHEMA}
    for item in fields(result):
        body[item.name] = _plain(getattr(result, item.name), item.name, item.name)
    texts = cautions or {}
    body["cautions"] = [{"place": place, "text": texts.get(place)} for place in result.cautions]
    return body


def _plain(value: Any, name: str, path: str) -> Any:
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if name in _WINDOWS and not isinstance(value, Mapping):
        return [[low, high] for low, high in inward(value)]
    if isinstance(value, (int, float)):
        return _number(value, name, path)
    if is_dataclass(value) and not isinstance(value, type):
        return {item.name: _of_field(value, item.name, path) for item in fields(value)}
    if isinstance(value, Mapping):
        if name in _BY_AXLE:
            value = {axle: value.get(axle) for axle in AXLES}
        return {str(key): _plain(entry, name, f"{path}.{key}") for key, entry in value.items()}
    return [_plain(entry, name, f"{path}.{index}") for index, entry in enumerate(value)]


def _of_field(owner: Any, name: str, path: str) -> Any:
    value = getattr(owner, name)
    if isinstance(owner, Contact):
        if name == "words":
            return contact_words(owner)
        if name == "extreme":
            return list(owner.extreme)
    return _plain(value, name, f"{path}.{name}")


def _number(value: float, name: str, path: str) -> float | int:
    if not math.isfinite(value):
        raise ValueError(f"{path} = {value} is not finite; unknown is None")
    if isinstance(value, int):
        return value
    if name == "margin":
        return floor_margin(value)
    if name == "miss":
        return ceil_miss(value)
    return round(float(value), _DECIMALS.get(name.rsplit("_", 1)[-1], 2)) + 0.0


# --- rows for CSV and DataFrames ------------------------------------------------------------------


ROW_COLUMNS = (
    "rank",
    "today",
    "axle",
    "tire_id",
    "tire_size",
    "tire_od_mm",
    "tire_section_mm",
    "wheel_source",
    "wheel_id",
    "adapter_mm",
    "quantity",
    "rim_nominal_mm",
    "rim_width_mm",
    "backspace_mm",
    "inset_mm",
    "overall_width_mm",
    "poke_mm",
    "inside_mm",
    "gap_mm",
    "window_mm",
    "load_margin_kg",
    "least_margin_mm",
    "least_margin_id",
    "gearset",
    "axle_ratio",
    "effective_ratio",
    "ratio_change_pct",
    "plan_score",
    "plan_price",
    "plan_mass_kg",
    "not_checked",
)


def rows(result: Result) -> list[dict[str, Any]]:
    """Return one flat row per plan and axle: lengths in mm, masses in kg; today's wheels first, rank None."""
    plans: list[Plan] = list(result.fits)
    if isinstance(result, FitResult) and result.today is not None:
        plans.insert(0, result.today)
    return [
        _row(result, plan, axle, plan.axles[axle]) for plan in plans for axle in AXLES if axle in plan.axles
    ]


def _row(result: Result, plan: Plan, axle: str, fit: AxleFit) -> dict[str, Any]:
    least = least_check(fit.checks)
    load = least_check(fit.checks, "rating", "kg")
    gearing = plan.gearing
    known_today = plan.rank is None and (isinstance(result, FitResult) or result.judges == "today")
    row: dict[str, Any] = {
        "rank": plan.rank,
        "today": known_today,
        "axle": axle,
        "tire_id": fit.tire.id,
        "tire_size": fit.tire.size,
        "tire_od_mm": fit.tire.od_mm,
        "tire_section_mm": fit.tire.section_mm,
        "wheel_source": fit.wheel.source,
        "wheel_id": fit.wheel.id,
        "adapter_mm": fit.wheel.adapter_mm,
        "quantity": fit.quantity,
        "rim_nominal_mm": fit.rim_diameter_in * 25.4,
        "rim_width_mm": fit.rim_width_in * 25.4,
        "backspace_mm": fit.backspace_mm,
        "inset_mm": fit.inset_mm,
        "overall_width_mm": fit.overall_width_mm,
        "poke_mm": fit.poke_mm,
        "inside_mm": fit.inside_mm,
        "gap_mm": fit.gap_mm,
        "window_mm": _window_text(fit.window_mm),
        "load_margin_kg": load.margin if load else None,
        "least_margin_mm": least.margin if least else None,
        "least_margin_id": least.id if least else None,
        "gearset": gearing.gearsets.get(axle) if gearing else None,
        "axle_ratio": gearing.axle_ratios.get(axle) if gearing else None,
        "effective_ratio": gearing.effective_ratio if gearing else None,
        "ratio_change_pct": gearing.change_pct if gearing else None,
        "plan_score": plan.score,
        "plan_price": plan.price,
        "plan_mass_kg": plan.mass_kg,
        "not_checked": " ".join(entry.what for entry in result.not_checked),
    }
    for key, value in row.items():
        if isinstance(value, float):
            row[key] = _number(value, "margin" if "_margin_" in key else key, key)
    return row


def _window_text(windows: Windows | None) -> str | None:
    """Join intervals as "98.43..114.30 130.00..131.00"; None stays None, no interval is ""."""
    if windows is None:
        return None
    return " ".join(f"{low:.2f}..{high:.2f}" for low, high in inward(windows))


def _frame(entries: list[dict[str, Any]]) -> pd.DataFrame:
    import pandas as pd

    frame = pd.DataFrame(entries, columns=list(ROW_COLUMNS))
    for name in ("rank", "plan_score"):
        frame[name] = frame[name].astype("Int64")
    return frame
