"""Wishes of a stance: a band from low to high, for both axles or for each its own, and their weights."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from wellroom.scenario.base import Misread, Spec, Tail, Trouble, misread, nearest
from wellroom.scenario.quantity import Quantity
from wellroom.scenario.words import quoted, shown
from wellroom.units import MM_PER_IN, Kind, Measure, Units

WISHES = (
    "poke",
    "gap",
    "tire_diameter",
    "section",
    "rim_diameter",
    "rim_width",
    "effective_ratio_change_pct",
    "tread",
)
_ENDS = ("front", "rear")


@dataclass(frozen=True)
class Band:
    """From low to high, in the wish's own unit: mm, inches for a rim, percent for a ratio."""

    low: float
    high: float
    text: str = ""


@dataclass(frozen=True)
class Wish:
    """A band for each axle; ``None`` where only the other axle has one."""

    front: Band | None
    rear: Band | None


@dataclass(frozen=True)
class BandOf(Spec):
    """[low, high] in the file's units, a text such as "3 to 4 in", or a table with one for each axle."""

    quantity: Quantity
    inches: bool
    says: str

    def read(self, raw: Any, units: Units | None) -> Wish:
        """Return the wish."""
        if not isinstance(raw, dict):
            both = self._band(raw, units, ())
            return Wish(both, both)
        bands: dict[str, Band] = {}
        troubles = [] if raw else [Trouble((), "an empty table", self._form())]
        for key, value in raw.items():
            if key not in _ENDS:
                troubles.append(
                    Trouble((key,), f"the key {quoted(key)}", f"front or rear{nearest(key, _ENDS)}")
                )
                continue
            try:
                bands[key] = self._band(value, units, (key,))
            except Misread as error:
                troubles += error.troubles
        if troubles:
            raise Misread(*troubles)
        return Wish(bands.get("front"), bands.get("rear"))

    def _band(self, raw: Any, units: Units | None, tail: Tail) -> Band:
        # rims are sold in inches everywhere, so their bare numbers are inches in a metric file too
        read_as: Units | None = "in" if self.inches and units else units
        if isinstance(raw, str):
            one = self._end(raw, read_as, tail)
            if not one.is_range:
                raise misread(raw, self._form(), tail)
            return self._made(one.low, one.high, one.text)
        if not isinstance(raw, list) or len(raw) != 2:
            raise misread(raw, self._form(), tail)
        ends: list[Measure] = []
        troubles: list[Trouble] = []
        for index, value in enumerate(raw):
            try:
                end = self._end(value, read_as, (*tail, index))
                if end.is_range or end.pm is not None:
                    raise misread(value, "one number, without a ± or a range", (*tail, index))
                ends.append(end)
            except Misread as error:
                troubles += error.troubles
        if troubles:
            raise Misread(*troubles)
        low, high = ends
        if low.value > high.value:
            raise Misread(
                Trouble(tail, f"[{shown(raw[0])}, {shown(raw[1])}]", f"the lower end first: {self.says}")
            )
        return self._made(low.value, high.value, f"{low.text} to {high.text}")

    def _made(self, low: float, high: float, text: str) -> Band:
        scale = MM_PER_IN if self.inches else 1.0
        return Band(low / scale, high / scale, text)

    def _end(self, raw: Any, units: Units | None, tail: Tail) -> Measure:
        try:
            if isinstance(raw, dict):
                raise misread(raw, self._form())
            return self.quantity.read(raw, units)
        except Misread as error:
            raise Misread(*(Trouble((*tail, *t.tail), t.found, t.expected) for t in error.troubles)) from None

    def _form(self) -> str:
        return f"[low, high], or {{front = [low, high], rear = [low, high]}}: {self.says}"

    def schema(self) -> dict[str, Any]:
        """A pair, a text, or a table with one for each axle."""
        value = {"type": ["number", "string"]}
        pair = {"type": "array", "items": value, "minItems": 2, "maxItems": 2}
        band = {"anyOf": [pair, {"type": "string"}]}
        ends = {
            "type": "object",
            "properties": dict.fromkeys(_ENDS, band),
            "additionalProperties": False,
            "minProperties": 1,
        }
        return {"anyOf": [pair, {"type": "string"}, ends], "description": self.says}


def band(kind: Literal["length", "inch", "percent"], low: float, high: float, says: str) -> BandOf:
    """A band whose ends lie between low and high: mm, inches of a rim, or percent."""
    if kind == "percent":
        return BandOf(Quantity(Kind.PERCENT, low, high, says), False, says)
    scale = MM_PER_IN if kind == "inch" else 1.0
    return BandOf(Quantity(Kind.LENGTH, low * scale, high * scale, says), kind == "inch", says)


@dataclass(frozen=True)
class Weights(Spec):
    """A weight above 0 for some of the wishes."""

    says: str

    def read(self, raw: Any, units: Units | None) -> dict[str, float]:
        """Return the weights by wish."""
        if not isinstance(raw, dict):
            raise misread(raw, f"a table of wish = weight: {self.says}")
        troubles: list[Trouble] = []
        out: dict[str, float] = {}
        for key, value in raw.items():
            if key not in WISHES:
                one_of = f"one of {', '.join(WISHES)}{nearest(key, WISHES)}"
                troubles.append(Trouble((key,), f"the key {quoted(key)}", one_of))
            elif isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= 1000:
                troubles.append(Trouble((key,), shown(value), f"a number above 0, up to 1000: {self.says}"))
            else:
                out[key] = float(value)
        if troubles:
            raise Misread(*troubles)
        return out

    def schema(self) -> dict[str, Any]:
        """A table of numbers by wish."""
        number = {"type": "number", "exclusiveMinimum": 0, "maximum": 1000}
        return {
            "type": "object",
            "properties": dict.fromkeys(WISHES, number),
            "additionalProperties": False,
            "description": self.says,
        }


def weights(says: str) -> Weights:
    """A table of weights by wish."""
    return Weights(says)
