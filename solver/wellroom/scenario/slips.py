"""The likely slip behind a number that can't be: another unit, a decimal point, one wheel or both."""

from __future__ import annotations

import math
import re

from wellroom.units import Kind, ParseError, Units, parse, shown, unit_name

# The units a builder mixes up, in the order in which they are tried.
_ALIKE: dict[Kind, tuple[str, ...]] = {
    Kind.LENGTH: ("in", "mm", "cm", "ft"),
    Kind.MASS: ("lb", "kg"),
    Kind.PRESSURE: ("psi", "kPa", "bar"),
    Kind.SPEED: ("mph", "km/h"),
}
_NUMBER_FIRST = re.compile(r"\s*([+-]?[0-9][0-9 ./-]*)\s*([^0-9]*)\s*")


def _neat(value: float) -> str:
    """Return three significant digits without an exponent."""
    if value == 0 or not math.isfinite(value):
        return "0"
    digits = max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{round(value, 3 - 1 - math.floor(math.log10(abs(value)))):.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def believable(kind: Kind, units: Units, low: float, high: float) -> str:
    """Return a range in the file's units; a single number where both ends are the same.

    >>> believable(Kind.LENGTH, "in", 203.2, 1100)
    '8 to 43.3 in'
    """
    ends = [_neat(shown(end, kind, units)) for end in (low, high)]
    unit = unit_name(kind, units)
    span = ends[0] if low == high else f"{ends[0]} to {ends[1]}"
    return f"{span} {unit}".rstrip()


def likely_slip(
    raw: str | int | float, kind: Kind, units: Units, low: float, high: float, hint: str = ""
) -> str:
    """Return "24 in was probably meant" where the same digits make sense in another unit, else "".

    ``low`` and ``high`` are the believable ends in the internal unit. Units first, then a sign, then ``hint``
    (what the trade says of such a value), then a lost decimal point.

    >>> likely_slip("24 mm", Kind.LENGTH, "in", 203.2, 1100)
    '24 in was probably meant'
    """
    match = _NUMBER_FIRST.fullmatch(raw if isinstance(raw, str) else repr(raw))
    if not match:
        return hint
    digits, written = match[1].strip(), match[2].strip() or unit_name(kind, units)
    for unit in _ALIKE.get(kind, ()):
        if unit != written and _inside(f"{digits} {unit}", kind, units, low, high):
            return f"{digits} {unit} was probably meant"
    if digits.startswith("-") and _inside(f"{digits[1:]} {match[2]}", kind, units, low, high):
        return f"{digits[1:]} {written}".rstrip() + " was probably meant"
    if hint:
        return hint
    if re.fullmatch(r"[0-9]+(\.[0-9]+)?", digits):
        for tenfold in (0.1, 10.0, 0.01, 100.0):
            other = _neat(float(digits) * tenfold)
            if _inside(f"{other} {match[2]}", kind, units, low, high):
                return f"{other} {written}".rstrip() + " was probably meant"
    return ""


def _inside(text: str, kind: Kind, units: Units, low: float, high: float) -> bool:
    try:
        return low <= parse(text, kind, units).value <= high
    except ParseError:
        return False
