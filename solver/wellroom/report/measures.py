"""Numbers to text in the reader's units: margins down, windows inward, looks to the nearest."""

from __future__ import annotations

import re
from typing import Literal

from wellroom.search.results import AxleFit, Check, Windows, unlimited
from wellroom.units import MM_PER_IN, Kind, Units, ceil_to, floor_to, inches_text, shown, unit_name

Way = Literal["near", "down", "up"]
DASH = "-"

_KINDS = {
    "mm": Kind.LENGTH,
    "kg": Kind.MASS,
    "kPa": Kind.PRESSURE,
    "km/h": Kind.SPEED,
    "%": Kind.PERCENT,
    "deg": Kind.ANGLE,
}
_WHOLE = ("kg", "lb", "kPa", "psi", "km/h", "mph")
_LOAD_AND_SPEED = re.compile(r"\s+\d{2,3}(/\d{2,3})?[A-Z]\d?\b.*$")


def length(mm: float | None, units: Units, way: Way = "near", denominator: int = 16, places: int = 1) -> str:
    """Return a length without its unit: inches with a fraction, or mm with ``places`` decimals.

    "down" and "up" never round past the true value. None is "-".

    >>> length(12.6, "in", "down"), length(-12.6, "in", "down"), length(104.775, "mm")
    ('7/16', '-1/2', '104.8')
    """
    if mm is None:
        return DASH
    step = MM_PER_IN / denominator if units == "in" else 10.0**-places
    if way != "near":
        mm = floor_to(mm, step) if way == "down" else ceil_to(mm, step)
    if units == "in":
        return inches_text(mm, denominator)
    return _unsigned_zero(f"{mm:.{places}f}")


def _unsigned_zero(text: str) -> str:
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def plus(text: str) -> str:
    """Put a plus sign before a text that has no sign; "0" and "-" stay."""
    return text if text.startswith("-") or not text.split(" ")[0].strip("0.") else f"+{text}"


def with_unit(text: str, units: Units) -> str:
    """Add the length unit, unless there is no value."""
    return text if text == DASH else f"{text} {units}"


def amount(value: float | None, unit: str, units: Units, way: Way = "down", sign: bool = True) -> str:
    """Return a value of any requirement's unit in the reader's units, rounded to the safe side.

    >>> amount(141.0, "kg", "in"), amount(12.7, "mm", "in"), amount(0.456, "%", "mm")
    ('+310 lb', '+1/2 in', '+0.45 %')
    >>> amount(0.4, "mm across", "in"), amount(0.4, "mm across", "mm"), amount(10550.0, "money", "mm")
    ('+0.015 in', '+0.40 mm', '+10,550.00')
    """
    if value is None:
        return DASH
    in_mm = unit == "mm"
    text = with_unit(length(value, units, way), units) if in_mm else _other(value, unit, units, way)
    return plus(text) if sign else text


def _other(value: float, unit: str, units: Units, way: Way) -> str:
    if unit.startswith("mm "):  # a hub's margins, across or of metal: too fine for sixteenths
        return _rounded(value, "mm", way, 2) if units == "mm" else _rounded(value / MM_PER_IN, "in", way, 3)
    if unit == "money":  # the one unnamed currency
        return f"{floor_to(value, 0.01) if way == 'down' else ceil_to(value, 0.01):,.2f}"
    kind = _KINDS.get(unit)
    if kind is not None and kind is not Kind.ANGLE:
        value = shown(value, kind, units)
        unit = unit_name(kind, units)
    return _rounded(value, unit, way, 0 if unit in _WHOLE else 2)


def _rounded(value: float, unit: str, way: Way, places: int) -> str:
    step = 10.0**-places
    if way != "near":
        value = floor_to(value, step) if way == "down" else ceil_to(value, step)
    return f"{_unsigned_zero(f'{value:.{places}f}')} {unit}".rstrip()


_TO_ORDER = ("bolt_circle", "bore", "hub_protrusion")


def margin(check: Check, units: Units, made: bool = False) -> str:
    """Return a check's margin with its unit, rounded down; "-" when it has none.

    Of a ``made`` wheel, whose holes and bore are cut to the hub's, what is met can be made: how far the blank
    could be cut otherwise is no margin.
    """
    if made and check.ok and check.id.split(".")[1] in _TO_ORDER:
        return "can be made"
    return amount(check.margin, check.unit, units)


def backspace(inches: float, mm: float, units: Units) -> str:
    """Return a backspace as the shop's fraction with mm beside it, the reader's unit first.

    >>> backspace(4.125, 104.775, "in"), backspace(4.125, 104.775, "mm")
    ('4 1/8 in (104.8 mm)', '104.8 mm (4 1/8 in)')
    """
    fraction, metric = f"{inches_text(inches * MM_PER_IN)} in", f"{length(mm, 'mm')} mm"
    first, second = (fraction, metric) if units == "in" else (metric, fraction)
    return f"{first} ({second})"


def number(value: float) -> str:
    """Return a decimal without trailing zeros: 20 for 20.0, 16.5 for 16.5."""
    return f"{value:.4f}".rstrip("0").rstrip(".")


def rim(diameter_in: float, width_in: float) -> str:
    """Return a rim size as the trade writes it: 20x11."""
    return f"{number(diameter_in)}x{number(width_in)}"


def wheel(fit: AxleFit, units: Units) -> str:
    """Return a wheel in words: its rim's size, and the adapter that it stands on."""
    size = rim(fit.rim_diameter_in, fit.rim_width_in)
    if fit.wheel.adapter_mm is None:
        return size
    return f"{size} on an adapter {amount(fit.wheel.adapter_mm, 'mm', units, 'near', sign=False)} thick"


def stands(fit: AxleFit, units: Units) -> str:
    """Return a wheel's backspace in words; on an adapter from the hub's face, with the wheel's own."""
    back = backspace(fit.backspace_in, fit.backspace_mm, units)
    if fit.wheel.adapter_mm is None:
        return back
    own = fit.backspace_mm + fit.wheel.adapter_mm
    return f"{back} from the hub's face, the wheel's own being {backspace(own / MM_PER_IN, own, units)}"


def short_size(size: str) -> str:
    """Return a marking without its load index and speed symbol.

    >>> short_size("LT285/70R17 121/118S"), short_size("7.50-16")
    ('LT285/70R17', '7.50-16')
    """
    return _LOAD_AND_SPEED.sub("", size.strip())


def windows(intervals: Windows | None, units: Units, overall_mm: float | None = None) -> str:
    """Return backspace windows in words, rounded inward; one too narrow for the fraction is given in mm.

    ``overall_mm``, the rim's overall width, tells an end that something sets from one that nothing does.

    >>> windows(((-150.0, 101.6),), "in", 203.2), windows(((50.8, 353.2),), "mm", 203.2)
    ('up to 4 in (101.6 mm), no limit outboard', 'from 50.8 mm, no limit inboard')
    """
    if intervals is None:
        return "any backspace"
    if not intervals:
        return "none"
    return " or ".join(_open_window(window, units, unlimited(window, overall_mm)) for window in intervals)


def _open_window(window: tuple[float, float], units: Units, no_end: tuple[bool, bool]) -> str:
    low, high = window
    if no_end == (True, True):
        return "any (nothing that was measured ends it)"
    if no_end[0]:
        return f"up to {_end(high, units, 'down')}, no limit outboard"
    if no_end[1]:
        return f"from {_end(low, units, 'up')}, no limit inboard"
    return _window(low, high, units)


def _end(mm: float, units: Units, way: Way) -> str:
    metric = f"{length(mm, 'mm', way)} mm"
    return metric if units == "mm" else f"{length(mm, 'in', way)} in ({metric})"


def _window(low: float, high: float, units: Units) -> str:
    first, last, unit = window_ends(low, high, units)
    if unit == "mm":
        return f"{first} to {last} mm"
    inches = f"{first} to {last} in" if first != last else f"{first} in only"
    return f"{inches} ({_window(low, high, 'mm')})"


def window_ends(low: float, high: float, units: Units) -> tuple[str, str, Units]:
    """Return an interval's ends, rounded inward, and their unit: mm where it is too narrow for the fraction.

    >>> window_ends(101.6, 138.01, "in"), window_ends(102.0, 102.5, "in")
    (('4', '5 3/8', 'in'), ('102.0', '102.5', 'mm'))
    """
    if ceil_to(low, 0.1) > floor_to(high, 0.1):
        return f"{ceil_to(low, 0.01):.2f}", f"{floor_to(high, 0.01):.2f}", "mm"
    step = MM_PER_IN / 16
    if units == "mm" or ceil_to(low, step) > floor_to(high, step):
        return f"{ceil_to(low, 0.1):.1f}", f"{floor_to(high, 0.1):.1f}", "mm"
    return length(low, "in", "up"), length(high, "in", "down"), "in"


def money(value: float | None) -> str:
    """Return a sum of the one unnamed currency: 1,234.00."""
    return DASH if value is None else f"{value:,.2f}"


def mass(kg: float | None, units: Units) -> str:
    """Return a mass to the nearest whole unit."""
    return amount(kg, "kg", units, "near", sign=False)
