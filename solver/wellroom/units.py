"""Text to value and back. Everything inside is mm, rad, kg, kPa and km/h; text becomes a value once, here.

Numbers are held as ``Fraction`` until the last step, so ``24 1/8 in`` is 612.775 mm and not nearly so.
What could be read in two ways (a decimal comma, ``1 000``, ``24 - 1/8``) is refused, never guessed.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from typing import Literal

Units = Literal["in", "mm"]

MM_PER_IN = 25.4
KG_PER_LB = 0.45359237
KPA_PER_PSI = 6.894757293168361
KMH_PER_MPH = 1.609344


class Kind(StrEnum):
    """What a number measures. Internal units: mm, rad, kg, kPa, km/h, percent as a number, 1, 1."""

    LENGTH = "length"
    ANGLE = "angle"
    MASS = "mass"
    PRESSURE = "pressure"
    SPEED = "speed"
    PERCENT = "percent"
    RATIO = "ratio"
    PLAIN = "plain"


class ParseError(ValueError):
    """A text that is no measure of the kind asked for: what was ``found``, what was ``expected``."""

    def __init__(self, found: str, expected: str) -> None:
        self.found = found
        self.expected = expected
        super().__init__(f"found {found}, expected {expected}")


@dataclass(frozen=True)
class Measure:
    """One measured value in the internal unit of its kind.

    ``value`` is the middle of a range and ``low``, ``high`` its ends; for a single value all three are equal.
    ``pm`` is the half width of a stated ± (None: not stated), ``how`` how it was taken, ``text`` the value
    as written, normalised.
    """

    value: float
    low: float
    high: float
    pm: float | None = None
    how: str | None = None
    text: str = ""

    @property
    def is_range(self) -> bool:
        """True when two different ends were given."""
        return self.low != self.high

    @classmethod
    def exact(cls, value: float, text: str = "") -> Measure:
        """Return a single value without a ±, for values that were derived and not written."""
        return cls(value, value, value, None, None, text or f"{value:g}")


@dataclass(frozen=True)
class _Scale:
    """One kind's units: how many internal units each is, and how a bare number is read."""

    noun: str
    factors: dict[str, Fraction]
    bare: dict[str, str]
    spellings: dict[str, str]


_ONE = Fraction(1)
_INCH = Fraction(254, 10)
_POUND = Fraction(45359237, 100_000_000)
_PSI = _POUND * Fraction(980665, 100_000) / (_INCH / 1000) ** 2 / 1000
_SCALES: dict[Kind, _Scale] = {
    Kind.LENGTH: _Scale(
        "a length",
        {"in": _INCH, "ft": _INCH * 12, "mm": _ONE, "cm": Fraction(10), "m": Fraction(1000)},
        {"in": "in", "mm": "mm"},
        {'"': "in", "''": "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft"},
    ),
    Kind.ANGLE: _Scale(
        "an angle", {"deg": _ONE}, {"in": "deg", "mm": "deg"}, {"°": "deg", "degree": "deg", "degrees": "deg"}
    ),
    Kind.MASS: _Scale(
        "a mass",
        {"lb": _POUND, "kg": _ONE},
        {"in": "lb", "mm": "kg"},
        {"lbs": "lb", "pound": "lb", "pounds": "lb"},
    ),
    Kind.PRESSURE: _Scale(
        "a pressure",
        {"psi": _PSI, "kPa": _ONE, "bar": Fraction(100)},
        {"in": "psi", "mm": "kPa"},
        {"kpa": "kPa"},
    ),
    Kind.SPEED: _Scale(
        "a speed",
        {"mph": Fraction(1609344, 1_000_000), "km/h": _ONE},
        {"in": "mph", "mm": "km/h"},
        {"kmh": "km/h", "kph": "km/h"},
    ),
    Kind.PERCENT: _Scale("a percentage", {"%": _ONE}, {"in": "%", "mm": "%"}, {"percent": "%"}),
    Kind.RATIO: _Scale("a ratio", {"": _ONE}, {"in": "", "mm": ""}, {":1": ""}),
    Kind.PLAIN: _Scale("a plain number", {"": _ONE}, {"in": "", "mm": ""}, {}),
}

_REWRITES = str.maketrans(
    {
        "−": "-", "‐": "-", "‑": "-", "⁄": "/", "∕": "/", "′": "'", "’": "'", "″": '"', "”": '"', "“": '"',
        "\u00a0": " ", "\u2009": " ", "\u202f": " ", "º": "°", "\t": " ",
    }
)  # fmt: skip
_MAX_TEXT = 80
_LIMIT = Fraction(10**12)
_SEVERAL = re.compile(r"\s+to\s+|(?<!\.)\s*\.\.\s*(?!\.)", re.IGNORECASE)
_PLUS_MINUS = re.compile(r"\s*(?:±|\+\s?/\s?-|\+-)\s*")
_NUMBER = (
    r"(?:(?P<whole>[0-9]+)(?:\s+|-)(?P<mixed>[0-9]+/[0-9]+)"
    r"|(?P<fraction>[0-9]+/[0-9]+)|(?P<decimal>[0-9]+\.[0-9]+|\.[0-9]+|[0-9]+))"
)
_QUANTITY = re.compile(rf"(?P<sign>[+-]?)\s*{_NUMBER}\s*(?P<unit>:1|[^\s0-9.,+-][^0-9.,+-]*)?")
_FEET_INCHES = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<feet>[0-9]+)\s*(?:ft|feet|foot|')\s*(?P<inches>[0-9][^'ft]*?)\s*(?:in|inch|inches|\"|'')",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class _Part:
    """One number as read: its value in ``unit`` (None when no unit was written) and its tidy digits."""

    number: Fraction
    unit: str | None
    digits: str


def parse(text_or_number: str | int | float, kind: Kind, units: Units) -> Measure:
    """Return the measure that a text or a bare number states.

    ``units`` says how a bare number is read: in, lb, psi, mph or mm, kg, kPa, km/h; angles are in degrees.
    A ± or a range shares the unit of its other half when only one of them has one; ``± 2 %`` of a value that
    is no percentage is a share of the value. Raises ParseError.

    >>> parse("24 1/8", Kind.LENGTH, "in").value
    612.775
    >>> parse("22..24 in", Kind.LENGTH, "mm").low
    558.8
    >>> parse("24,5 cm", Kind.LENGTH, "mm")
    Traceback (most recent call last):
    wellroom.units.ParseError: found '24,5 cm', expected a length without commas, such as 24.5 or 1000
    """
    if isinstance(text_or_number, bool) or not isinstance(text_or_number, str | int | float):
        raise ParseError(repr(text_or_number), f"{_SCALES[kind].noun}, as a number or as text")
    return _parsed(text_or_number, kind, units)


@lru_cache(maxsize=4096, typed=True)
def _parsed(text_or_number: str | int | float, kind: Kind, units: Units) -> Measure:
    """Read a number or a text; the same ones come again and again in a scenario that is asked many times."""
    scale = _SCALES[kind]
    written = text_or_number if isinstance(text_or_number, str) else _decimal_text(text_or_number, scale)
    found = repr(written)
    if len(written) > _MAX_TEXT:
        raise ParseError(f"{written[:20]!r}... ({len(written)} characters)", f"{scale.noun}, written short")
    text = _tidy(written, found, scale)
    halves = _SEVERAL.split(text)
    if len(halves) > 2:
        raise ParseError(found, f"{scale.noun}, with two ends when it is a range")
    if len(halves) == 2:
        if _PLUS_MINUS.search(text):
            raise ParseError(found, f"{scale.noun}: a range or a ±, not both")
        return _range_of(halves[0], halves[1], found, scale, kind, units)
    pieces = _PLUS_MINUS.split(text)
    if len(pieces) > 2:
        raise ParseError(found, f"{scale.noun} with one ±")
    first = _read(pieces[0], found, scale)
    if len(pieces) == 1:
        unit = scale.bare[units] if first.unit is None else first.unit
        value = _internal(first.number, unit, found, scale, kind)
        return Measure(value, value, value, None, None, _join(first.digits, unit))
    return _plus_minus_of(first, pieces[1], found, scale, kind, units)


def _decimal_text(number: int | float, scale: _Scale) -> str:
    if isinstance(number, float) and not math.isfinite(number):
        raise ParseError(repr(number), f"{scale.noun}, finite")
    if isinstance(number, int) and abs(number) > _LIMIT:
        raise ParseError("a number of many digits", f"{scale.noun} of a believable size")
    return format(Decimal(repr(number)), "f")[: _MAX_TEXT + 1]


def _tidy(written: str, found: str, scale: _Scale) -> str:
    """Unicode fractions, primes, minus signs and spaces to plain ones; refuse what is easily misread."""
    out: list[str] = []
    for char in written:
        parts = unicodedata.normalize("NFKC", char).split("⁄")
        fraction = unicodedata.decomposition(char).startswith("<fraction>") and len(parts) == 2 and parts[1]
        out.append(f" {parts[0]}/{parts[1]}" if fraction else char)
    text = " ".join("".join(out).translate(_REWRITES).split())
    if not text:
        raise ParseError(found, scale.noun)
    if "," in text:
        raise ParseError(found, f"{scale.noun} without commas, such as 24.5 or 1000")
    if "–" in text or "—" in text:
        raise ParseError(found, f'{scale.noun}; write a range as "22 to 24"')
    return text


def _read(piece: str, found: str, scale: _Scale) -> _Part:
    piece = piece.strip()
    composite = _FEET_INCHES.fullmatch(piece) if "ft" in scale.factors else None
    if composite:
        inches = _QUANTITY.fullmatch(composite["inches"])
        if inches and not inches["unit"]:
            rest, digits = _number(inches, found, scale)
            if rest >= 12:
                raise ParseError(found, "feet with less than 12 inches")
            sign = -1 if composite["sign"] == "-" else 1
            feet = int(composite["feet"])
            minus = "-" if sign < 0 else ""
            return _Part(sign * (feet * 12 + rest), "in", f"{minus}{feet} ft {digits}")
    match = _QUANTITY.fullmatch(piece)
    if not match:
        raise ParseError(found, _shape(scale))
    number, digits = _number(match, found, scale)
    unit = _unit(match["unit"], found, scale)
    if match["sign"] == "-":
        return _Part(-number, unit, f"-{digits}" if number else digits)
    return _Part(number, unit, digits)


def _number(match: re.Match[str], found: str, scale: _Scale) -> tuple[Fraction, str]:
    if match["decimal"]:
        digits = match["decimal"]
        return Fraction(digits), f"0{digits}" if digits.startswith(".") else digits
    over, under = (int(part) for part in (match["mixed"] or match["fraction"]).split("/"))
    if under == 0:
        raise ParseError(found, f"{scale.noun}; a fraction can't be over 0")
    if match["whole"] is None:
        # 241/8 is 24 1/8 without its space; only a ratio is rightly written 41/11
        if over >= under and scale.bare["in"]:
            raise ParseError(
                found, f"{scale.noun}; 1 and more as a whole number and a fraction, such as 1 1/8"
            )
        return Fraction(over, under), f"{over}/{under}"
    if over >= under:
        raise ParseError(found, f"{scale.noun}; the fraction after a whole number is less than 1")
    whole = int(match["whole"])
    return whole + Fraction(over, under), f"{whole} {over}/{under}"


def _unit(written: str | None, found: str, scale: _Scale) -> str | None:
    if written is None:
        return None
    name = written.strip()
    for candidate in (name, name.lower()):
        if candidate in scale.factors:
            return candidate
        if candidate in scale.spellings:
            return scale.spellings[candidate]
    raise ParseError(found, _shape(scale))


def _shape(scale: _Scale) -> str:
    names = [name for name in scale.factors if name]
    return f"{scale.noun} ({', '.join(names)})" if names else f"{scale.noun}, without a unit"


def _internal(number: Fraction, unit: str, found: str, scale: _Scale, kind: Kind) -> float:
    scaled = number * scale.factors[unit]
    if abs(scaled) > _LIMIT:
        raise ParseError(found, f"{scale.noun} of a believable size")
    return math.radians(float(scaled)) if kind is Kind.ANGLE else float(scaled)


def _join(digits: str, unit: str) -> str:
    return f"{digits} {unit}" if unit else digits


def _range_of(low: str, high: str, found: str, scale: _Scale, kind: Kind, units: Units) -> Measure:
    start, end = _read(low, found, scale), _read(high, found, scale)
    shared = end.unit if start.unit is None else start.unit
    first = start.unit if start.unit is not None else shared
    last = end.unit if end.unit is not None else shared
    first = scale.bare[units] if first is None else first
    last = scale.bare[units] if last is None else last
    if start.number * scale.factors[first] > end.number * scale.factors[last]:
        raise ParseError(found, f"{scale.noun} as a range, its lower end first")
    bottom = _internal(start.number, first, found, scale, kind)
    top = _internal(end.number, last, found, scale, kind)
    left = start.digits if first == last else _join(start.digits, first)
    middle = bottom if bottom == top else (bottom + top) / 2
    return Measure(middle, bottom, top, None, None, f"{left} to {_join(end.digits, last)}")


def _plus_minus_of(first: _Part, piece: str, found: str, scale: _Scale, kind: Kind, units: Units) -> Measure:
    share = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?)\s*%", piece.strip()) if kind is not Kind.PERCENT else None
    if share:
        unit = scale.bare[units] if first.unit is None else first.unit
        value = _internal(first.number, unit, found, scale, kind)
        pm = abs(value) * float(Fraction(share[1]) / 100)
        return Measure(value, value, value, pm, None, f"{_join(first.digits, unit)} ± {share[1]} %")
    second = _read(piece, found, scale)
    if second.number < 0 or piece.strip().startswith("+"):
        raise ParseError(found, f"{scale.noun} with a ± that has no sign of its own")
    shared = second.unit if first.unit is None else first.unit
    shared = scale.bare[units] if shared is None else shared
    unit = shared if first.unit is None else first.unit
    pm_unit = shared if second.unit is None else second.unit
    value = _internal(first.number, unit, found, scale, kind)
    pm = _internal(second.number, pm_unit, found, scale, kind)
    left = first.digits if unit == pm_unit else _join(first.digits, unit)
    return Measure(value, value, value, pm, None, f"{left} ± {_join(second.digits, pm_unit)}")


def unit_name(kind: Kind, units: Units) -> str:
    """Return the unit in which a bare number of this kind is read and shown ("" for ratios and counts)."""
    return _SCALES[kind].bare[units]


def shown(value: float, kind: Kind, units: Units) -> float:
    """Return an internal value in the unit that ``unit_name`` names.

    >>> shown(612.775, Kind.LENGTH, "in")
    24.125
    """
    if kind is Kind.ANGLE:
        return math.degrees(value)
    return value / float(_SCALES[kind].factors[unit_name(kind, units)])


def inches_text(mm: float, denominator: int = 16) -> str:
    """Return a length in inches as a whole number and a fraction, nearest, halves away from zero.

    ``mm`` [any finite], ``denominator`` [1..]. Without the unit. Raises ValueError for NaN and infinities.

    >>> inches_text(104.775), inches_text(-3.0, 8), inches_text(0.1)
    ('4 1/8', '-1/8', '0')
    """
    if denominator < 1:
        raise ValueError(f"denominator = {denominator} is below 1")
    if not math.isfinite(mm):
        raise ValueError(f"mm = {mm} is not finite")
    steps = math.floor(Fraction(repr(float(abs(mm)))) / _INCH * denominator + Fraction(1, 2))
    whole, over = divmod(steps, denominator)
    sign = "-" if mm < 0 and steps else ""
    if not over:
        return f"{sign}{whole}"
    rest = Fraction(over, denominator)
    fraction = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"


def shop_fraction(mm: float) -> str:
    """Return a length as a shop reads it off a tape: nearest 1/16 in, with the unit.

    >>> shop_fraction(101.6)
    '4 in'
    """
    return f"{inches_text(mm, 16)} in"


def mm_text(mm: float, places: int = 1) -> str:
    """Return millimetres with so many decimals and the unit; a rounded zero has no sign.

    >>> mm_text(-0.01), mm_text(104.775, 2)
    ('0.0 mm', '104.78 mm')
    """
    text = format(Decimal(repr(float(mm))), f".{places}f")
    return f"{text.removeprefix('-') if float(text) == 0 else text} mm"


def floor_to(x: float, step: float) -> float:
    """Return the greatest multiple of ``step`` [> 0] that is not above ``x``, free of binary noise.

    >>> floor_to(0.30, 0.1), floor_to(-0.301, 0.1), floor_to(2.999, 0.01)
    (0.3, -0.4, 2.99)
    """
    if not step > 0:
        raise ValueError(f"step = {step} is not above 0")
    exact, unit = Fraction(repr(float(x))), Fraction(repr(float(step)))
    return float(math.floor(exact / unit) * unit)


def ceil_to(x: float, step: float) -> float:
    """Return the least multiple of ``step`` [> 0] that is not below ``x``, free of binary noise.

    >>> ceil_to(0.30, 0.1), ceil_to(0.301, 0.1)
    (0.3, 0.4)
    """
    down = floor_to(-x, step)
    return -down if down else 0.0
