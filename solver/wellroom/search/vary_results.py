"""What ``vary`` answers: points, what is best at each, where that turns; and its flat rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from wellroom.search import results
from wellroom.search.results import AXLES, Axle, Plan

if TYPE_CHECKING:
    import pandas as pd

Turning = Literal["another best", "first fit", "last fit"]
ROW_COLUMNS = (
    "value",
    "value_2",
    "status",
    "refused",
    "axle",
    "today_least_mm",
    "today_missed",
    "pairs",
    "tallest_mm",
    "tallest_tire",
    "widest_in",
    "tire_id",
    "tire_size",
    "rim_diameter_in",
    "rim_width_in",
    "wheel_source",
    "wheel_id",
    "backspace_mm",
    "window_width_mm",
    "gearset",
    "plan_score",
    "plan_price",
)


@dataclass(frozen=True)
class Varied:
    """An input: its path, unit, values as they were set, and its own step, None for words."""

    path: str
    unit: str
    values: tuple[str, ...]
    step: str | None


@dataclass(frozen=True)
class OfAxle:
    """What one value leaves open on one axle: pairs of tire and rim with a window, and their extremes."""

    pairs: int
    tallest_mm: float | None
    tallest_tire: str | None
    widest_in: float | None


@dataclass(frozen=True)
class BestAxle:
    """One axle of the best combination; ``window_width_mm`` of the backspaces about it that work."""

    tire: results.TireChoice
    wheel: results.WheelChoice
    rim_diameter_in: float
    rim_width_in: float
    backspace_mm: float
    poke_mm: float | None
    gap_mm: float | None
    window_width_mm: float | None


@dataclass(frozen=True)
class Best:
    """The best combination at a value."""

    score: int | None
    price: float | None
    axles: Mapping[str, BestAxle]
    gearsets: Mapping[str, str | None]
    effective_ratio: float | None
    change_pct: float | None
    rpm_at_cruise: float | None


@dataclass(frozen=True)
class TodayHere:
    """Today's wheels at a value: least clearance margin [mm] and what they miss, wishes aside."""

    least_mm: float | None
    missed: tuple[str, ...]


@dataclass(frozen=True)
class Point:
    """One value (or pair of values). ``refused``: why the scenario can't have it; then nothing is known."""

    values: tuple[str, ...]
    status: results.Status | None
    refused: str | None
    today: TodayHere | None
    axles: Mapping[str, OfAxle | None]
    best: Best | None


@dataclass(frozen=True)
class Turn:
    """Where the answer changes: ``low`` still has one, ``high`` already the other.

    ``exact_to`` is how far apart the two are.
    """

    kind: Turning
    low: str
    high: str
    exact_to: str
    before: str | None
    after: str | None


@dataclass(frozen=True, kw_only=True)
class VaryResult(results.Header):
    """The answer of ``vary``: today's wheels, then the points in order, and where the answer turns."""

    command: str = "vary"
    inputs: tuple[Varied, ...]
    today: Plan | None
    points: tuple[Point, ...]
    turns: tuple[Turn, ...]

    def rows(self) -> list[dict[str, Any]]:
        """Return one flat row per point and axle; lengths in mm, rims in inches."""
        return [_row(point, axle) for point in self.points for axle in AXLES]

    def row_columns(self) -> tuple[str, ...]:
        """Return the names of the columns of ``rows``."""
        return ROW_COLUMNS

    def frame(self) -> pd.DataFrame:
        """Return one row per point and axle."""
        import pandas as pd

        return pd.DataFrame(self.rows(), columns=list(ROW_COLUMNS))


def _row(point: Point, axle: Axle) -> dict[str, Any]:
    here, best = point.axles[axle], point.best.axles.get(axle) if point.best else None
    row: dict[str, Any] = dict.fromkeys(ROW_COLUMNS)
    row |= {
        "value": point.values[0],
        "value_2": point.values[1] if len(point.values) > 1 else None,
        "status": point.status,
        "refused": point.refused,
        "axle": axle,
    }
    if point.today is not None:
        row |= {"today_least_mm": point.today.least_mm, "today_missed": " ".join(point.today.missed)}
    if here is not None:
        row |= {
            "pairs": here.pairs,
            "tallest_mm": here.tallest_mm,
            "tallest_tire": here.tallest_tire,
            "widest_in": here.widest_in,
        }
    if best is not None and point.best is not None:
        row |= {
            "tire_id": best.tire.id,
            "tire_size": best.tire.size,
            "rim_diameter_in": best.rim_diameter_in,
            "rim_width_in": best.rim_width_in,
            "wheel_source": best.wheel.source,
            "wheel_id": best.wheel.id,
            "backspace_mm": best.backspace_mm,
            "window_width_mm": best.window_width_mm,
            "gearset": point.best.gearsets.get(axle),
            "plan_score": point.best.score,
            "plan_price": point.best.price,
        }
    return {key: round(v, 2) + 0.0 if isinstance(v, float) else v for key, v in row.items()}
