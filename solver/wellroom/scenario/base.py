"""What every spec is: something that reads one value of the file, or says in words what is wrong with it."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from wellroom.scenario.words import shown
from wellroom.units import Units

Tail = tuple[str | int, ...]


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
    """Return the name that ids carry: never a side's alone, as an id may end in one.

    >>> slug("Leaf spring, 2nd leaf"), slug("Right")
    ('leaf_spring_2nd_leaf', 'thing_right')
    """
    plain_text = unicodedata.normalize("NFKD", what).encode("ascii", "ignore").decode()
    name = re.sub(r"[^a-z0-9]+", "_", plain_text.lower()).strip("_")
    return f"thing_{name}" if name in ("left", "right") else name


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


def nearest(word: str, among: tuple[str, ...] | list[str]) -> str:
    """Return " (nearest: name)" or nothing; capitals make no difference.

    >>> nearest("TITL", ["tilt", "title"]), nearest("x", ["tilt"])
    (' (nearest: title)', '')
    """
    names = {name.lower(): name for name in among}
    close = get_close_matches(word[:60].lower(), list(names), n=1, cutoff=0.6)
    return f" (nearest: {names[close[0]]})" if close else ""
