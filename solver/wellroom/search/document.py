"""An answer in the forms that programs read: the JSON document, flat rows, a DataFrame."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

from wellroom.search.contact import Contact, contact_words
from wellroom.search.results import (
    AXLES,
    SCHEMA,
    AxleFit,
    FitResult,
    Header,
    Plan,
    Result,
    Windows,
    ceil_miss,
    floor_margin,
    inward,
    least_check,
)

if TYPE_CHECKING:
    import pandas as pd

# --- the JSON document ----------------------------------------------------------------------------

_DECIMALS = {"in": 4, "ratio": 4, "ratios": 4, "by": 3}
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


def frame_of(result: Result) -> pd.DataFrame:
    """Return the flat rows as a DataFrame."""
    import pandas as pd

    frame = pd.DataFrame(rows(result), columns=list(ROW_COLUMNS))
    for name in ("rank", "plan_score"):
        frame[name] = frame[name].astype("Int64")
    return frame
