"""Markings of the trade: a rim's size, a tire's size, a stud's thread."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from wellroom.scenario.base import Spec, misread
from wellroom.scenario.spec import Text
from wellroom.units import Units

# Nominal rim diameters: whole codes with 5-degree seats, half codes with 15-degree ones (from memory of
# ISO 4000-2 and ISO 4209-2).
RIM_CODES = frozenset([10.0, *map(float, range(12, 25)), 26.0, 14.5, 16.5, 17.5, 19.5, 22.5, 24.5])
_CODES = "rim diameters are 10, 12 to 24, 26 and 14.5, 16.5, 17.5, 19.5, 22.5, 24.5 in"
NARROWEST_IN, WIDEST_IN = 3.0, 20.0

_RIM = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,3})?)\s*[x×X]\s*([0-9]{1,4}(?:\.[0-9]{1,3})?)")
_STUD = re.compile(
    r"(?:M([0-9]{1,2}(?:\.[0-9])?)\s*x\s*([0-9](?:\.[0-9]{1,2})?))"
    r"|(?:(?:([0-9]) )?([0-9]{1,2})/([0-9]{1,2})-([0-9]{1,2}))"
)


@dataclass(frozen=True)
class Rim:
    """A rim as it is marked: diameter code x nominal width, both in inches."""

    diameter_in: float
    width_in: float
    text: str


@dataclass(frozen=True)
class RimSize(Spec):
    """Diameter x width, as 16x7; the slips that swap or mistake them are named."""

    says: str

    def read(self, raw: Any, units: Units | None) -> Rim:
        """Return the rim."""
        match = _RIM.fullmatch(raw.strip()) if isinstance(raw, str) else None
        if not match:
            raise misread(raw, self.says)
        diameter, width = float(match[1]), float(match[2])
        if diameter in RIM_CODES and NARROWEST_IN <= width <= min(WIDEST_IN, diameter):
            return Rim(diameter, width, f"{diameter:g}x{width:g}")
        raise misread(raw, f"{self.says}{_rim_slip(diameter, width)}")

    def schema(self) -> dict[str, Any]:
        """A string of two numbers."""
        pattern = r"^\s*[0-9]+(\.[0-9]+)?\s*[xX×]\s*[0-9]+(\.[0-9]+)?\s*$"
        return {"type": "string", "pattern": pattern, "description": self.says}


def _rim_slip(diameter: float, width: float) -> str:
    if width in RIM_CODES and NARROWEST_IN <= diameter < width:
        return f"; the diameter comes first, {width:g}x{diameter:g} was probably meant"
    for name, size, low, high in (
        ("diameter", diameter, 10.0, 30.0),
        ("width", width, NARROWEST_IN, WIDEST_IN),
    ):
        if size > high and low <= size / 25.4 <= high:
            return f"; the {name} {size:g} reads like mm, {size / 25.4:.3g} in was probably meant"
    if diameter not in RIM_CODES:
        return f"; {_CODES}"
    return f"; a rim is {NARROWEST_IN:g} to {min(WIDEST_IN, diameter):g} in wide"


def rim(says: str) -> RimSize:
    """A rim's size, diameter first."""
    return RimSize(says)


def _tire_form(line: str) -> str | None:
    from wellroom.trade.marking import MarkingError, parse_marking

    try:
        code = parse_marking(line).rim_code
    except MarkingError as error:
        return error.expected
    return None if code in RIM_CODES else _CODES


def tire(says: str) -> Text:
    """A tire's marking, of a family that can be read."""
    return Text(says, _tire_form)


def stud_diameter_mm(size: str) -> float | None:
    """Return the diameter that a stud size names, in mm, or None where it names none.

    >>> stud_diameter_mm("5/8-18"), stud_diameter_mm("M14x1.5"), stud_diameter_mm("big")
    (15.875, 14.0, None)
    """
    match = _STUD.fullmatch(size.strip())
    if not match:
        return None
    if match[1]:
        return float(match[1])
    under = int(match[5])
    return (int(match[3] or 0) + int(match[4]) / under) * 25.4 if under else None


def _stud_form(line: str) -> str | None:
    diameter = stud_diameter_mm(line)
    if diameter is None:
        return "write 5/8-18 or M14x1.5"
    return None if 9 <= diameter <= 30 else "a wheel stud is 3/8 to 1 1/8 in, or M10 to M30"


def stud(says: str) -> Text:
    """A stud's diameter and thread."""
    return Text(says, _stud_form)
