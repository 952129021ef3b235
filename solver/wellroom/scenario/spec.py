"""What a value of the scenario file must be: its kind, its unit, the range that can be believed, in words.

A ``Spec`` stands beside each field of ``model``. It reads one value of the file (``read``), says what is
wrong with it (``Misread``: never another exception, whatever TOML can hold), and describes itself for the
JSON Schema. ``tables`` makes the validator of the whole file from them.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, get_args

from wellroom.scenario.slips import believable, likely_slip
from wellroom.scenario.words import quoted, shown
from wellroom.units import Kind, Measure, ParseError, Units, parse

Tail = tuple[str | int, ...]


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
class Trouble:
    """One thing wrong inside a value: where in it, what was found, what is expected."""

    tail: Tail
    found: str
    expected: str


class Misread(Exception):
    """A value that is not what its spec says; every trouble in it."""

    def __init__(self, *troubles: Trouble) -> None:
        self.troubles = troubles
        super().__init__("; ".join(f"found {t.found}, expected {t.expected}" for t in troubles))


def misread(raw: object, expected: str, tail: Tail = ()) -> Misread:
    """Return the error for one raw value."""
    return Misread(Trouble(tail, shown(raw), expected))


def slug(what: str) -> str:
    """Return the name that ids carry.

    >>> slug("Leaf spring, 2nd leaf")
    'leaf_spring_2nd_leaf'
    """
    plain_text = unicodedata.normalize("NFKD", what).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "_", plain_text.lower()).strip("_")


class Spec:
    """Reads one value of the file; subclasses say how."""

    says: str

    def read(self, raw: Any, units: Units | None) -> Any:
        """Return the value that ``raw`` states; ``units`` is None when the file's own are unusable."""
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        """Return the JSON Schema of what ``read`` accepts."""
        raise NotImplementedError

    def of(self, _source: Any) -> Spec:
        """Return the spec made definite by the annotation it stands on."""
        return self


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


@dataclass(frozen=True)
class Choice(Spec):
    """One of a few words."""

    says: str
    words: tuple[str, ...] = ()

    def of(self, source: Any) -> Spec:
        """Return the choice among the words of the annotated ``Literal``."""
        return Choice(self.says, words_of(source))

    def read(self, raw: Any, units: Units | None) -> str:
        """Return the word."""
        if isinstance(raw, str) and raw in self.words:
            return raw
        close = nearest(raw, self.words) if isinstance(raw, str) else ""
        raise misread(raw, f"one of {', '.join(map(quoted, self.words))}: {self.says}{close}")

    def schema(self) -> dict[str, Any]:
        """An enum."""
        return {"enum": list(self.words), "description": self.says}


@dataclass(frozen=True)
class Flag(Spec):
    """True or false."""

    says: str

    def read(self, raw: Any, units: Units | None) -> bool:
        """Return the flag."""
        if not isinstance(raw, bool):
            raise misread(raw, f"true or false: {self.says}")
        return raw

    def schema(self) -> dict[str, Any]:
        """A boolean."""
        return {"type": "boolean", "description": self.says}


@dataclass(frozen=True)
class Count(Spec):
    """A whole number."""

    low: int
    high: int
    says: str

    def read(self, raw: Any, units: Units | None) -> int:
        """Return the number."""
        if isinstance(raw, bool) or not isinstance(raw, int) or not self.low <= raw <= self.high:
            raise misread(raw, f"a whole number from {self.low} to {self.high}: {self.says}")
        return raw

    def schema(self) -> dict[str, Any]:
        """An integer with both ends."""
        return {"type": "integer", "minimum": self.low, "maximum": self.high, "description": self.says}


@dataclass(frozen=True)
class Text(Spec):
    """A short line of text, with a check of its own where it has a form."""

    says: str
    form: Callable[[str], str | None] | None = None

    def read(self, raw: Any, units: Units | None) -> str:
        """Return the text without surrounding space."""
        if not isinstance(raw, str):
            raise misread(raw, f"text: {self.says}")
        line = raw.strip()
        if not line or len(line) > 120 or not line.isprintable():
            raise misread(raw, f"one line of text of 1 to 120 characters: {self.says}")
        wrong = self.form(line) if self.form else None
        if wrong:
            raise misread(raw, f"{self.says}; {wrong}")
        return line

    def schema(self) -> dict[str, Any]:
        """A string."""
        return {"type": "string", "minLength": 1, "maxLength": 120, "description": self.says}


@dataclass(frozen=True)
class Names(Spec):
    """A list of different words from a few."""

    says: str
    words: tuple[str, ...]

    def read(self, raw: Any, units: Units | None) -> tuple[str, ...]:
        """Return the words in the order given."""
        if not isinstance(raw, list):
            raise misread(raw, f"a list of {', '.join(map(quoted, self.words))}: {self.says}")
        word, troubles = Choice(self.says, self.words), []
        for index, item in enumerate(raw):
            try:
                word.read(item, units)
            except Misread as error:
                troubles += [Trouble((index,), t.found, t.expected) for t in error.troubles]
            else:
                if item in raw[:index]:
                    troubles.append(Trouble((index,), shown(item), "each word once"))
        if troubles:
            raise Misread(*troubles)
        return tuple(raw)

    def schema(self) -> dict[str, Any]:
        """A list of an enum."""
        return {
            "type": "array",
            "items": {"enum": list(self.words)},
            "uniqueItems": True,
            "description": self.says,
        }


@dataclass(frozen=True)
class Row(Spec):
    """A short list of measures with a name each, as [radius, place]."""

    make: Callable[..., Any]
    parts: tuple[tuple[str, Quantity], ...]

    def read(self, raw: Any, units: Units | None) -> Any:
        """Return the row as the named tuple that holds it."""
        if not isinstance(raw, list) or len(raw) != len(self.parts):
            raise misread(raw, f"[{', '.join(name for name, _ in self.parts)}]")
        values: list[Measure] = []
        troubles: list[Trouble] = []
        for index, (item, (_, quantity)) in enumerate(zip(raw, self.parts, strict=True)):
            try:
                values.append(quantity.read(item, units))
            except Misread as error:
                troubles += [Trouble((index, *t.tail), t.found, t.expected) for t in error.troubles]
        if troubles:
            raise Misread(*troubles)
        return self.make(*values)

    def schema(self) -> dict[str, Any]:
        """A list with one item for each part."""
        return {
            "type": "array",
            "prefixItems": [{**quantity.schema(), "title": name} for name, quantity in self.parts],
            "minItems": len(self.parts),
            "maxItems": len(self.parts),
        }


def words_of(source: Any) -> tuple[str, ...]:
    """Return the words of a ``Literal``, inside an optional too."""
    if source is type(None):
        return ()
    arguments = get_args(source)
    if arguments and all(isinstance(word, str) for word in arguments):
        return arguments
    return tuple(word for part in arguments for word in words_of(part))


def nearest(word: str, among: tuple[str, ...] | list[str]) -> str:
    """Return " (nearest: name)" or nothing."""
    close = get_close_matches(word[:60], among, n=1, cutoff=0.6)
    return f" (nearest: {close[0]})" if close else ""


def length(low: float, high: float, says: str, hint: str = "") -> Quantity:
    """A length between two ends in mm."""
    return Quantity(Kind.LENGTH, low, high, says, hint)


def angle(low: float, high: float, says: str, hint: str = "") -> Quantity:
    """An angle between two ends in degrees; read into radians."""
    return Quantity(Kind.ANGLE, low, high, says, hint)


def mass(low: float, high: float, says: str, hint: str = "") -> Quantity:
    """A mass between two ends in kg."""
    return Quantity(Kind.MASS, low, high, says, hint)


def speed(low: float, high: float, says: str, hint: str = "") -> Quantity:
    """A speed between two ends in km/h."""
    return Quantity(Kind.SPEED, low, high, says, hint)


def ratio(low: float, high: float, says: str, hint: str = "") -> Quantity:
    """A ratio between two ends."""
    return Quantity(Kind.RATIO, low, high, says, hint)


def percent(low: float, high: float, says: str, hint: str = "") -> Quantity:
    """A percentage between two ends."""
    return Quantity(Kind.PERCENT, low, high, says, hint)


def plain(low: float, high: float, says: str, hint: str = "") -> Quantity:
    """A plain number between two ends."""
    return Quantity(Kind.PLAIN, low, high, says, hint)


def choice(says: str) -> Choice:
    """One of the words of the annotated ``Literal``."""
    return Choice(says)


def flag(says: str) -> Flag:
    """True or false."""
    return Flag(says)


def count(low: int, high: int, says: str) -> Count:
    """A whole number between two ends."""
    return Count(low, high, says)


def text(says: str) -> Text:
    """A short line of text."""
    return Text(says)


def names(says: str, *words: str) -> Names:
    """A list of different words."""
    return Names(says, words)


def row(make: Callable[..., Any], **parts: Quantity) -> Row:
    """A row of measures read into ``make``."""
    return Row(make, tuple(parts.items()))
