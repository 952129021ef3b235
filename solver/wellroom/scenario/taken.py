"""Every measure that a scenario holds, each with the place it stands at."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from wellroom.units import Measure

_NOT_MEASURED = ("stance", "assumptions", "warnings", "text")


def taken(value: Any, path: str = "") -> Iterator[tuple[str, Measure]]:
    """Yield the path and the measure of all that was written, in the order of the file's keys.

    ``value`` is a scenario or a part of one, ``path`` where that part stands.
    """
    if isinstance(value, Measure):
        if value.text:
            yield path, value
    elif is_dataclass(value) and not isinstance(value, type):
        for item in fields(value):
            if item.name not in _NOT_MEASURED:
                name = item.metadata.get("alias", item.name)
                yield from taken(getattr(value, item.name), f"{path}.{name}".lstrip("."))
    elif isinstance(value, tuple):
        named = getattr(value, "_fields", None)
        for index, entry in enumerate(value):
            yield from taken(entry, f"{path}.{named[index] if named else index}")
