"""What a drawing is made of. World coordinates in millimetres, y up; sizes of text and lines in millimetres
of paper.

Lines follow ISO 128, dimensions ISO 129-1 (from memory of those standards). ``scale`` is how many
millimetres of the
world one millimetre of paper shows: 5 for a drawing at 1:5.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Literal

Point = tuple[float, float]
Points = tuple[Point, ...]
Tone = Literal["ink", "soft", "accent", "warn"]
Anchor = Literal["start", "middle", "end"]
Layer = Literal[
    "sheet", "axis", "tire", "wheel", "today", "moved", "brake", "hub", "body", "near", "detail", "notes"
]
"""What an element belongs to; ``moved`` is the wheel, or the body's edge, elsewhere in the motion."""

EM = 0.62
"""Width of a character in heights of its text."""
PITCH = 1.3
"""Height of a row of text in heights of its text."""
_DUST = 1e-6
SMALL, BODY, LARGE = 2.6, 3.2, 4.6
"""The three sizes of text [mm of paper]."""


class Line(Enum):
    """Line types of ISO 128: width and dashes [mm of paper]."""

    OUTLINE = ("outline", 0.5, ())
    EDGE = ("edge", 0.35, ())
    THIN = ("thin", 0.18, ())
    HIDDEN = ("hidden", 0.25, (2.4, 1.2))
    CENTRE = ("centre", 0.18, (6.0, 0.9, 0.4, 0.9))
    OTHER = ("other", 0.25, (5.0, 0.8, 0.4, 0.8, 0.4, 0.8))

    def __init__(self, label: str, width: float, dashes: tuple[float, ...]) -> None:
        self.label = label
        self.width = width
        self.dashes = dashes


@dataclass(frozen=True)
class Box:
    """A rectangle of the world [mm]."""

    left: float
    low: float
    right: float
    high: float

    def grown(self, by: float) -> Box:
        """Return the rectangle larger by ``by`` [mm] on every side."""
        return Box(self.left - by, self.low - by, self.right + by, self.high + by)

    def overlaps(self, other: Box) -> bool:
        """Return whether the two share more than an edge."""
        return (
            self.left < other.right - _DUST
            and other.left < self.right - _DUST
            and self.low < other.high - _DUST
            and other.low < self.high - _DUST
        )

    def joined(self, other: Box) -> Box:
        """Return the least rectangle around both."""
        return Box(
            min(self.left, other.left),
            min(self.low, other.low),
            max(self.right, other.right),
            max(self.high, other.high),
        )

    def distance(self, point: Point) -> float:
        """Return how far a point is from the rectangle [mm], 0 within it."""
        dx = max(self.left - point[0], point[0] - self.right, 0.0)
        dy = max(self.low - point[1], point[1] - self.high, 0.0)
        return math.hypot(dx, dy)

    @property
    def width(self) -> float:
        """Right less left [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """High less low [mm]."""
        return self.high - self.low


def around(points: Sequence[Point]) -> Box:
    """Return the least rectangle around points (one at least)."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True)
class Stroke:
    """A line through points; ``closed`` joins the last to the first."""

    points: Points
    line: Line = Line.EDGE
    closed: bool = False
    tone: Tone = "ink"
    layer: Layer = "sheet"


@dataclass(frozen=True)
class Hatching:
    """Hatch lines, each from one point to another, clipped already."""

    segments: tuple[tuple[Point, Point], ...]
    tone: Tone = "ink"
    layer: Layer = "sheet"


@dataclass(frozen=True)
class Ring:
    """A circle, or the arc from ``start`` to ``end`` [degrees, counter-clockwise from +x]."""

    centre: Point
    radius: float
    line: Line = Line.EDGE
    start: float | None = None
    end: float | None = None
    tone: Tone = "ink"
    layer: Layer = "sheet"

    def points(self, step: float = 4.0) -> Points:
        """Return points along it, ``step`` degrees apart at most."""
        first, last = (0.0, 360.0) if self.start is None or self.end is None else (self.start, self.end)
        if last < first:
            last += 360.0
        count = max(2, math.ceil((last - first) / step) + 1)
        angles = [math.radians(first + (last - first) * k / (count - 1)) for k in range(count)]
        x, y = self.centre
        return tuple((x + self.radius * math.cos(a), y + self.radius * math.sin(a)) for a in angles)


@dataclass(frozen=True)
class Area:
    """A filled polygon; ``strength`` 0..1 is how much of its tone it has."""

    points: Points
    tone: Tone = "ink"
    strength: float = 1.0
    layer: Layer = "sheet"


@dataclass(frozen=True)
class Label:
    """Rows of text whose box has its anchor point at ``at``.

    ``anchor`` is where the point stands along the rows, ``level`` -1, 0 or 1 whether it is at the foot, the
    middle
    or the top of the box. ``upright`` rows read from the right side. ``badge``: a number in a circle before
    the rows.
    """

    at: Point
    rows: tuple[str, ...]
    size: float = SMALL
    anchor: Anchor = "middle"
    level: int = 0
    upright: bool = False
    bold: bool = False
    tone: Tone = "ink"
    badge: str = ""

    def extent(self) -> tuple[float, float]:
        """Return length and height of the block of rows [mm of paper]."""
        wide = max((len(row) for row in self.rows), default=0) * EM * self.size * (1.06 if self.bold else 1.0)
        high = max(len(self.rows), 1) * PITCH * self.size
        if self.badge:
            wide += self.badge_width
            high = max(high, 2.0 * self.badge_radius)
        return wide, high

    @property
    def badge_radius(self) -> float:
        """Radius of the badge's circle [mm of paper]."""
        return 0.62 * SMALL + 0.22 * SMALL * (len(self.badge) - 1)

    @property
    def badge_width(self) -> float:
        """What the badge takes of the length [mm of paper]."""
        return 2.0 * self.badge_radius + (0.8 if self.rows else 0.0)

    def box(self, scale: float) -> Box:
        """Return the box of the rows in the world [mm]."""
        wide, high = (value * scale for value in self.extent())
        start = {"start": 0.0, "middle": -wide / 2.0, "end": -wide}[self.anchor]
        foot = {-1: 0.0, 0: -high / 2.0, 1: -high}[self.level]
        x, y = self.at
        if self.upright:
            return Box(x - foot - high, y + start, x - foot, y + start + wide)
        return Box(x + start, y + foot, x + start + wide, y + foot + high)


@dataclass(frozen=True)
class Dimension:
    """A linear dimension between two points, measured along x (or y where ``vertical``).

    ``at``: the place of the dimension line (its y, or its x where vertical). ``value`` [mm] is the
    distance, which the points have; ``label`` holds the text on the line, or beside it where the line is too
    short. ``outside``: the arrows stand outside and point inward. ``text`` is what stands above the line.
    """

    first: Point
    second: Point
    at: float
    label: Label
    vertical: bool = False
    outside: bool = False
    text: str = ""
    tone: Tone = "ink"

    @property
    def value(self) -> float:
        """The distance [mm]."""
        axis = 1 if self.vertical else 0
        return abs(self.second[axis] - self.first[axis])

    def ends(self) -> tuple[Point, Point]:
        """Return the two ends of the dimension line, the lesser first."""
        axis = 1 if self.vertical else 0
        low, high = sorted((self.first[axis], self.second[axis]))
        return ((self.at, low), (self.at, high)) if self.vertical else ((low, self.at), (high, self.at))


@dataclass(frozen=True)
class Clearance:
    """The shortest line from a wheel to a thing, dimensioned along itself.

    ``beside`` [mm]: how far the dimension line stands to the left of the way from ``first`` to ``second``.
    ``text`` is the clearance with what is asked of it, ``label`` all that is said of it.
    """

    first: Point
    second: Point
    text: str
    label: Label
    beside: float = 0.0
    tone: Tone = "ink"

    @property
    def value(self) -> float:
        """The distance [mm]."""
        return math.dist(self.first, self.second)

    def ends(self) -> tuple[Point, Point]:
        """Return the two ends of the dimension line."""
        long = self.value or 1.0
        dx = -(self.second[1] - self.first[1]) / long * self.beside
        dy = (self.second[0] - self.first[0]) / long * self.beside
        return (self.first[0] + dx, self.first[1] + dy), (self.second[0] + dx, self.second[1] + dy)

    def middle(self) -> Point:
        """Return the middle of the dimension line."""
        a, b = self.ends()
        return ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)


@dataclass(frozen=True)
class Leader:
    """A thin line from a label to what it speaks of; ``tip`` "arrow" ends on an outline, "dot" within it."""

    points: Points
    tip: Literal["arrow", "dot", "none"] = "arrow"
    tone: Tone = "ink"


Element = Stroke | Hatching | Ring | Area | Label | Dimension | Clearance | Leader


@dataclass(frozen=True)
class Drawing:
    """One drawing: what it is called, what it says to who can't see it, its scale, what is on it.

    ``name`` is a slug; ``scale`` [mm of the world per mm of paper]; ``box`` is all that is drawn [mm of
    the world]. ``to_scale`` is false for a chart, whose axes say what they measure.
    """

    name: str
    title: str
    description: str
    scale: float
    elements: tuple[Element, ...]
    box: Box
    to_scale: bool = True

    @property
    def paper(self) -> tuple[float, float]:
        """Width and height on paper [mm]."""
        return self.box.width / self.scale, self.box.height / self.scale

    def labels(self) -> tuple[Label, ...]:
        """Return every label, those of dimensions and clearances too."""
        return tuple(
            element if isinstance(element, Label) else element.label
            for element in self.elements
            if isinstance(element, (Label, Dimension, Clearance))
        )

    def dimensions(self) -> tuple[Dimension, ...]:
        """Return the dimensions."""
        return tuple(element for element in self.elements if isinstance(element, Dimension))

    def clearances(self) -> tuple[Clearance, ...]:
        """Return the clearances that are dimensioned."""
        return tuple(element for element in self.elements if isinstance(element, Clearance))

    def number(self) -> str:
        """Return the sheet's number, made from its content."""
        return digest(self.elements)


def digest(elements: Sequence[Element]) -> str:
    """Return six letters and digits that stand for a content."""
    return hashlib.sha256(repr(elements).encode()).hexdigest()[:6].upper()
