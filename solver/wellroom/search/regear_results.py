"""What ``regear`` answers: the choices of sets, what each does; and its flat rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from wellroom.search import results
from wellroom.search.results import Axle

if TYPE_CHECKING:
    import pandas as pd

ROW_COLUMNS = (
    "axle",
    "gearset",
    "ratio",
    "carrier",
    "carrier_break",
    "today",
    "gearset_other",
    "ratio_other",
    "match_pct",
    "joint_ok",
    "price",
    "effective_ratio",
    "change_pct",
    "rpm_top",
    "rpm_first",
    "crawl_ratio",
    "speedometer_before_pct",
    "speedometer_after_pct",
    "height_low_mm",
    "height_high_mm",
    "nearest_feel",
    "nearest_rpm",
)


@dataclass(frozen=True)
class RegearTires:
    """The tires that ratios are reckoned with: nominal diameter and rolling circumference [mm] of an axle.

    ``was`` are today's rolling circumferences; ``size`` is a marking, or None where a height was given.
    """

    size: str | None
    od_mm: float
    rolling_mm: float
    was_mm: float | None


@dataclass(frozen=True)
class Set:
    """One set of one axle. ``carrier_break``: another carrier than today's; None: today's is not known."""

    id: str
    ratio: float
    ring_teeth: int
    pinion_teeth: int
    carrier: str
    carrier_break: bool | None
    price: float
    fitting_price: float


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One choice of sets for all driven axles.

    ``sets`` maps each driven axle to its set, None where none of its family goes with the others.
    ``today``: it is the ratio that the vehicle has. ``match_pct`` front against rear by ratio over rolling
    radius; ``joint_ok`` within the drive's limit. ``price`` with fitting, of all driven axles.
    ``speedometer_after_pct``: with the nearest whole tooth of the driven gear, 0 where it is set by numbers.
    ``heights_mm``: nominal tire diameters that keep the engine within the band at cruise.
    """

    sets: Mapping[str, Set | None]
    ratio: float
    today: bool
    match_pct: float | None
    joint_ok: bool
    price: float | None
    effective_ratio: float | None
    change_pct: float | None
    rpm_at_cruise: Mapping[str, float]
    crawl_ratio: float | None
    speedometer_before_pct: float | None
    speedometer_after_pct: float | None
    speedometer_teeth: int | None
    heights_mm: tuple[float, float] | None


@dataclass(frozen=True, kw_only=True)
class RegearResult(results.Header):
    """The answer of ``regear``: choices by ratio, ascending.

    ``reference`` is the axle whose wheels set the road speed. ``nearest_feel`` and ``nearest_rpm`` index the
    choices that meet the joint rule; None where nothing tells.
    """

    command: str = "regear"
    reference: Axle
    today_ratios: Mapping[str, float | None]
    tires: Mapping[str, RegearTires]
    rpm_wanted: float | None
    rpm_band: tuple[float, float] | None
    restoring_ratio: float | None
    match_limit_pct: float | None
    choices: tuple[Choice, ...]
    nearest_feel: int | None
    nearest_rpm: int | None

    def rows(self) -> list[dict[str, Any]]:
        """Return one flat row per choice; lengths in mm."""
        return [_row(self, index, choice) for index, choice in enumerate(self.choices)]

    def row_columns(self) -> tuple[str, ...]:
        """Return the names of the columns of ``rows``."""
        return ROW_COLUMNS

    def frame(self) -> pd.DataFrame:
        """Return one row per choice."""
        import pandas as pd

        return pd.DataFrame(self.rows(), columns=list(ROW_COLUMNS))


def _row(result: RegearResult, index: int, choice: Choice) -> dict[str, Any]:
    ref = result.reference
    one = choice.sets[ref]
    other = next((part for axle, part in choice.sets.items() if axle != ref), None)
    assert one is not None
    low, high = choice.heights_mm or (None, None)
    row: dict[str, Any] = {
        "axle": ref,
        "gearset": one.id,
        "ratio": one.ratio,
        "carrier": one.carrier,
        "carrier_break": one.carrier_break,
        "today": choice.today,
        "gearset_other": other.id if other else None,
        "ratio_other": other.ratio if other else None,
        "match_pct": choice.match_pct,
        "joint_ok": choice.joint_ok,
        "price": choice.price,
        "effective_ratio": choice.effective_ratio,
        "change_pct": choice.change_pct,
        "rpm_top": choice.rpm_at_cruise.get("top"),
        "rpm_first": choice.rpm_at_cruise.get("first"),
        "crawl_ratio": choice.crawl_ratio,
        "speedometer_before_pct": choice.speedometer_before_pct,
        "speedometer_after_pct": choice.speedometer_after_pct,
        "height_low_mm": low,
        "height_high_mm": high,
        "nearest_feel": index == result.nearest_feel,
        "nearest_rpm": index == result.nearest_rpm,
    }
    places = {"ratio": 4, "ratio_other": 4, "effective_ratio": 4}
    return {
        key: round(value, places.get(key, 2)) + 0.0 if isinstance(value, float) else value
        for key, value in row.items()
    }
