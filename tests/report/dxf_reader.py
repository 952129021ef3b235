"""Reads a DXF file's tags by itself, as the format's reference describes them (from memory): a second reader
beside the library that wrote the file.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import NamedTuple


class Point(NamedTuple):
    """A place in the drawing's plane [mm]."""

    x: float
    y: float


@dataclass(frozen=True)
class Entity:
    """One entity: its kind, and its tags (group code, value) in order."""

    kind: str
    tags: tuple[tuple[int, str], ...]

    def text(self, code: int) -> str:
        """Return the first value of a group code, "" without one."""
        return next((value for found, value in self.tags if found == code), "")

    def number(self, code: int) -> float:
        """Return the first value of a group code as a number, 0 without one."""
        return float(self.text(code) or 0.0)

    def point(self, code: int) -> Point:
        """Return the point whose x has a group code."""
        return Point(self.number(code), self.number(code + 10))

    def points(self) -> list[Point]:
        """Return every vertex (codes 10 and 20)."""
        xs = [float(value) for code, value in self.tags if code == 10]
        ys = [float(value) for code, value in self.tags if code == 20]
        return [Point(x, y) for x, y in zip(xs, ys, strict=True)]

    @property
    def layer(self) -> str:
        """The layer it is on."""
        return self.text(8)

    def measured(self) -> float:
        """Return what a linear dimension measures: its points 13 and 14 along its angle 50 [mm]."""
        a, b, angle = self.point(13), self.point(14), math.radians(self.number(50))
        return abs((b.x - a.x) * math.cos(angle) + (b.y - a.y) * math.sin(angle))


def read(text: str) -> list[Entity]:
    """Return the entities of a DXF text's ENTITIES section."""
    lines = text.splitlines()
    tags = [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]
    start = tags.index((2, "ENTITIES")) + 1
    body = list(itertools.takewhile(lambda tag: tag != (0, "ENDSEC"), tags[start:]))
    starts = [index for index, (code, _) in enumerate(body) if code == 0]
    return [
        Entity(body[first][1], tuple(body[first + 1 : last]))
        for first, last in itertools.pairwise([*starts, len(body)])
    ]
