"""A drawing as SVG: presentation attributes only, so that the file stands alone; a page may restyle its
classes.
"""

from __future__ import annotations

from html import escape

from wellroom.report.draw.model import (
    PITCH,
    SMALL,
    Area,
    Clearance,
    Dimension,
    Drawing,
    Element,
    Hatching,
    Label,
    Leader,
    Line,
    Point,
    Ring,
    Stroke,
    Tone,
)
from wellroom.report.draw.pieces import parts

COLOURS: dict[Tone, str] = {
    "ink": "#1a1a1a",
    "soft": "#5f6368",
    "accent": "#00609c",
    "warn": "#a63c00",
}
FONT = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"
MARGIN = 2.0
"""White round the drawing [mm of paper]."""


def svg_text(drawing: Drawing, ident: str = "", font: str = FONT, paper: bool = False) -> str:
    """Return the drawing as one SVG element, in millimetres of paper; ``ident`` keeps ids apart on a page.

    ``paper``: on white of its own, where no page is behind it.
    """
    name = ident or drawing.name
    wide, high = (side + 2.0 * MARGIN for side in drawing.paper)
    writer = _Writer(drawing)
    sheet = f'<rect width="{_n(wide)}" height="{_n(high)}" fill="#fff"/>' if paper else ""
    body = sheet + "".join(writer.element(element) for element in drawing.elements)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" width="{_n(wide)}mm" '
        f'height="{_n(high)}mm" viewBox="0 0 {_n(wide)} {_n(high)}" aria-labelledby="{escape(name)}-t '
        f'{escape(name)}-d" fill="none" stroke-linecap="butt" stroke-linejoin="round" '
        f'font-family="{font}"><title id="{escape(name)}-t">{escape(drawing.title)}</title>'
        f'<desc id="{escape(name)}-d">{escape(drawing.description)}</desc>{body}</svg>'
    )


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class _Writer:
    def __init__(self, drawing: Drawing) -> None:
        self._box = drawing.box
        self._scale = drawing.scale

    def at(self, point: Point) -> tuple[float, float]:
        return (
            (point[0] - self._box.left) / self._scale + MARGIN,
            (self._box.high - point[1]) / self._scale + MARGIN,
        )

    def xy(self, point: Point) -> str:
        x, y = self.at(point)
        return f"{_n(x)} {_n(y)}"

    def element(self, element: Element) -> str:
        if isinstance(element, (Dimension, Clearance, Leader)):
            return "".join(self.element(part) for part in parts(element, self._scale))
        if isinstance(element, Stroke):
            path = "M" + "L".join(self.xy(point) for point in element.points)
            return f'<path d="{path}{"Z" if element.closed else ""}" {_pen(element.line, element.tone)}/>'
        if isinstance(element, Hatching):
            path = "".join(f"M{self.xy(a)}L{self.xy(b)}" for a, b in element.segments)
            return f'<path d="{path}" {_pen(Line.THIN, element.tone)}/>' if path else ""
        if isinstance(element, Area):
            path = "M" + "L".join(self.xy(point) for point in element.points) + "Z"
            see = "" if element.strength >= 1.0 else f' fill-opacity="{_n(element.strength)}"'
            return f'<path d="{path}" class="f-{element.tone}" fill="{COLOURS[element.tone]}"{see}/>'
        if isinstance(element, Ring):
            return self._ring(element)
        return self._label(element)

    def _ring(self, ring: Ring) -> str:
        pen = _pen(ring.line, ring.tone)
        radius = _n(ring.radius / self._scale)
        if ring.start is None or ring.end is None:
            x, y = self.at(ring.centre)
            return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{radius}" {pen}/>'
        points = ring.points()
        large = 1 if (ring.end - ring.start) % 360.0 > 180.0 else 0
        return f'<path d="M{self.xy(points[0])}A{radius} {radius} 0 {large} 0 {self.xy(points[-1])}" {pen}/>'

    def _label(self, label: Label) -> str:
        wide, high = label.extent()
        x, y = self.at(label.at)
        left = x - {"start": 0.0, "middle": wide / 2.0, "end": wide}[label.anchor]
        top = y - {-1: high, 0: high / 2.0, 1: 0.0}[label.level]
        out = []
        paint = f'class="f-{label.tone}" fill="{COLOURS[label.tone]}"'
        rows_left, rows_wide = left, wide
        if label.badge:
            r = label.badge_radius
            middle = top + max(PITCH * label.size / 2.0, r)
            small = SMALL * 0.9
            out.append(
                f'<circle cx="{_n(left + r)}" cy="{_n(middle)}" r="{_n(r)}" {_pen(Line.THIN, label.tone)}/>'
                f'<text x="{_n(left + r)}" y="{_n(middle + 0.36 * small)}" font-size="{_n(small)}" '
                f'text-anchor="middle" {paint}>{escape(label.badge)}</text>'
            )
            rows_left, rows_wide = left + label.badge_width, wide - label.badge_width
        start = {"start": rows_left, "middle": rows_left + rows_wide / 2.0, "end": rows_left + rows_wide}
        bold = ' font-weight="bold"' if label.bold else ""
        first = top + (high - len(label.rows) * PITCH * label.size) / 2.0
        for index, row in enumerate(label.rows):
            base = first + (index + 0.5) * PITCH * label.size + 0.36 * label.size
            out.append(
                f'<text x="{_n(start[label.anchor])}" y="{_n(base)}" font-size="{_n(label.size)}" '
                f'text-anchor="{label.anchor}"{bold} {paint}>{escape(row)}</text>'
            )
        body = "".join(out)
        return f'<g transform="rotate(-90 {_n(x)} {_n(y)})">{body}</g>' if label.upright else body


def _pen(line: Line, tone: Tone) -> str:
    dashes = f' stroke-dasharray="{" ".join(_n(d) for d in line.dashes)}"' if line.dashes else ""
    return f'class="s-{tone}" stroke="{COLOURS[tone]}" stroke-width="{_n(line.width)}"{dashes}'
