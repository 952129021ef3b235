"""How a raw value of the file is shown in a fault: on one line, never long, never raising."""

from __future__ import annotations

import json

from wellroom.units import Kind, Units, unit_name

_LONGEST = 60


def quoted(text: str) -> str:
    """Return a text in quotes, on one line, cut where it is long.

    >>> quoted('24 1/8"'), quoted(chr(10))
    ('"24 1/8\\\\""', '"\\\\n"')
    """
    cut = text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"
    return printable(json.dumps(cut, ensure_ascii=False))


def printable(text: str) -> str:
    """Return a text on one line: what can't be printed is written as an escape.

    >>> printable("a" + chr(0) + "b")
    'a\\\\u0000b'
    """
    return "".join(char if char.isprintable() else f"\\u{ord(char):04x}" for char in text)


def shown(raw: object, kind: Kind | None = None, units: Units | None = None) -> str:
    """Return what the file holds; a bare number with the unit it was read in.

    >>> shown(24, Kind.LENGTH, "in"), shown([1, 2]), shown({}), shown(True)
    ('24 in', 'a list of 2', 'an empty table', 'true')
    """
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, str):
        return quoted(raw)
    if isinstance(raw, int) and abs(raw) >= 10**30:
        return "a whole number of more than 30 digits"
    if isinstance(raw, int | float):
        unit = unit_name(kind, units) if kind is not None and units is not None else ""
        return f"{raw!r} {unit}".rstrip()
    if isinstance(raw, dict):
        if not raw:
            return "an empty table"
        keys = ", ".join(quoted(str(key))[1:-1] for key in list(raw)[:4])
        return f"a table of {keys}{', …' if len(raw) > 4 else ''}"
    if isinstance(raw, list | tuple):
        return f"a list of {len(raw)}" if raw else "an empty list"
    return f"{raw} (a {type(raw).__name__})"


def key_text(part: str | int) -> str:
    """Return one step of a place; a key that is no bare key in quotes."""
    if isinstance(part, int):
        return str(part)
    bare = part.isascii() and part.replace("_", "").replace("-", "").isalnum()
    return part if bare else quoted(part)


def place_text(place: tuple[str | int, ...]) -> str:
    """Return a place as ``--set`` takes it.

    >>> place_text(("axle", "front", "lip", 0, "radius"))
    'axle.front.lip.0.radius'
    """
    return ".".join(map(key_text, place)) or "the file"


def place_of(path: str) -> tuple[str | int, ...]:
    """Return the place that a path with dots names, positions in a list as numbers.

    >>> place_of("axle.front.lip.0.radius")
    ('axle', 'front', 'lip', 0, 'radius')
    """
    return tuple(int(step) if step.isascii() and step.isdigit() else step for step in path.split("."))
