"""A measure of the file: its kind, the range that can be believed, and the slip behind what can't."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from wellroom.scenario.base import Misread, Spec, Tail, Trouble, misread, nearest
from wellroom.scenario.slips import believable, likely_slip
from wellroom.scenario.words import quoted, shown
from wellroom.units import Kind, Measure, ParseError, Units, parse

# A value with its unit may be text, so the forms of every measure are the same; only the words differ.
_VALUE: dict[str, Any] = {"type": ["number", "string"]}
MEASURE: dict[str, Any] = {
    "anyOf": [
        _VALUE,
        {
            "type": "object",
            "properties": {"value": _VALUE, "pm": _VALUE, "how": {"type": "string"}},
            "required": ["value"],
            "additionalProperties": False,
        },
    ]
}


@dataclass(frozen=True)
class Quantity(Spec):
    """A measure between two believable ends, both in the internal unit of its kind (angles in degrees)."""

    kind: Kind
    low: float
    high: float
    says: str
    hint: str = ""

    def read(self, raw: Any, units: Units | None) -> Measure:
        """Return a measure from a number, a text, or a table of value, pm and how."""
        if isinstance(raw, dict):
            return self._table(raw, units)
        return self._single(raw, units, ())

    def _single(self, raw: Any, units: Units | None, tail: Tail) -> Measure:
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            raise misread(raw, f"{self._noun(units)}: {self.says}", tail)
        try:
            measure = parse(raw, self.kind, units or "in")
        except ParseError as error:
            raise misread(raw, f"{error.expected}: {self.says}", tail) from None
        if units is None:
            return measure
        inside = self.low_internal <= measure.low and measure.high <= self.high_internal
        pm = measure.pm or 0.0
        if inside and pm <= self.most_pm:
            return measure
        written = shown(raw, self.kind, units)
        if inside:
            widest = believable(self.kind, units, 0.0, self.most_pm)
            raise Misread(Trouble(tail, written, f"a ± of {widest} at most: {self.says}"))
        ends = (self.low_internal, self.high_internal)
        slip = likely_slip(raw, self.kind, units, *ends, self.hint)
        expected = f"{believable(self.kind, units, *ends)}: {self.says}"
        raise Misread(Trouble(tail, written, f"{expected}; {slip}" if slip else expected))

    def _table(self, raw: dict[str, Any], units: Units | None) -> Measure:
        troubles = [
            Trouble(
                (key,),
                f"the key {quoted(key)}",
                f"one of value, pm, how{nearest(key, ('value', 'pm', 'how'))}",
            )
            for key in raw
            if key not in ("value", "pm", "how")
        ]
        measure, pm, how = None, None, raw.get("how")
        if "value" not in raw:
            troubles.append(Trouble((), "a table without value", f"value, {self.says}"))
        else:
            try:
                measure = self._single(raw["value"], units, ("value",))
            except Misread as error:
                troubles.extend(error.troubles)
        if "pm" in raw:
            try:
                width = Quantity(self.kind, 0, self.most_pm_shown, f"the half width of ± on {self.says}")
                pm = width._single(raw["pm"], units, ("pm",))
                if measure is not None and measure.pm is not None:
                    troubles.append(Trouble(("pm",), shown(raw["pm"]), "one ±, here or in value, not both"))
            except Misread as error:
                troubles.extend(error.troubles)
        if how is not None and not (isinstance(how, str) and how.strip() and len(how) <= 200):
            troubles.append(Trouble(("how",), shown(how), "how it was taken, in a few words"))
        if troubles or measure is None:
            raise Misread(*troubles)
        if pm is not None:
            text = f"{measure.text} ± {pm.text}"
            return Measure(measure.value, measure.low, measure.high, pm.high, how, text)
        return Measure(measure.value, measure.low, measure.high, measure.pm, how, measure.text)

    @property
    def low_internal(self) -> float:
        """The lower end in the internal unit."""
        return math.radians(self.low) if self.kind is Kind.ANGLE else self.low

    @property
    def high_internal(self) -> float:
        """The upper end in the internal unit."""
        return math.radians(self.high) if self.kind is Kind.ANGLE else self.high

    @property
    def most_pm_shown(self) -> float:
        """The widest ± that can be believed: a quarter of the whole range."""
        return (self.high - self.low) / 4

    @property
    def most_pm(self) -> float:
        """The widest ± in the internal unit."""
        return (self.high_internal - self.low_internal) / 4

    def _noun(self, units: Units | None) -> str:
        ends = believable(self.kind, units or "in", self.low_internal, self.high_internal)
        return f"a {self.kind} as a number or text, {ends}"

    def schema(self) -> dict[str, Any]:
        """A number in the file's units, a text, or a table of value, pm and how."""
        inches, metric = (
            believable(self.kind, units, self.low_internal, self.high_internal) for units in ("in", "mm")
        )
        ends = inches if inches == metric else f"{inches} or {metric}"
        return {"anyOf": MEASURE["anyOf"], "description": f"{self.says} [{ends}]"}
