"""What a value of the scenario file must be: its kind, its unit, the range that can be believed, in words.

A ``Spec`` stands beside each field of ``model``. It reads one value of the file (``read``), says what is
wrong with it (``Misread``: never another exception, whatever TOML can hold), and describes itself for the
JSON Schema. ``tables`` makes the validator of the whole file from them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, get_args

from wellroom.scenario.base import Misread, Spec, Trouble, misread, nearest
from wellroom.scenario.quantity import Quantity
from wellroom.scenario.words import quoted, shown
from wellroom.units import Kind, Measure, Units


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
