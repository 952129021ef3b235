"""A drawing as DXF: the world at full size in millimetres, dimensions as real dimension entities.

ezdxf takes most of a second to import, so it is imported where a file is written.
"""

from __future__ import annotations

import io
from typing import Any

from wellroom.report.draw.model import (
    ARROW,
    BEYOND,
    BODY,
    OFF,
    PITCH,
    SMALL,
    Area,
    Dimension,
    Drawing,
    Element,
    Hatching,
    Label,
    Leader,
    Line,
    Ring,
    Stroke,
    Tone,
    parts,
)

COLOURS: dict[Tone, int] = {"ink": 7, "soft": 8, "accent": 5, "warn": 30}
"""Colours of the DXF index: 7 is black on white and white on black."""
_WEIGHTS = {0.18: 18, 0.25: 25, 0.35: 35, 0.5: 50}
_CAP = 0.72
"""Height of a capital in heights of text."""


def dxf_document(drawing: Drawing) -> Any:
    """Return the drawing as an ezdxf document in millimetres, one layer for each type of line."""
    from ezdxf import units
    from ezdxf.document import Drawing as Document

    document = Document.new("R2010")
    document.styles.add("BOARD", font="arial.ttf")
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    for line in Line:
        name = line.label.upper()
        if line.dashes:
            k = drawing.scale
            pattern = [k * sum(line.dashes)] + [
                k * (dash if index % 2 == 0 else -dash) for index, dash in enumerate(line.dashes)
            ]
            document.linetypes.add(name, pattern, description=line.label)
        document.layers.add(
            name, linetype=name if line.dashes else "CONTINUOUS", lineweight=_WEIGHTS[line.width]
        )
    for name in ("TEXT", "DIMENSION", "HATCHING"):
        document.layers.add(name, lineweight=18)
    _dimension_style(document, drawing.scale)
    _Writer(document.modelspace(), drawing.scale).all(drawing.elements)
    return document


def dxf_text(drawing: Drawing) -> str:
    """Return the text of the drawing's DXF file: without dates or marks of the run, the same every time."""
    from ezdxf import options  # type: ignore[attr-defined]  # documented, not re-exported by name

    stream = io.StringIO()
    kept = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        dxf_document(drawing).write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = kept
    return stream.getvalue()


def _dimension_style(document: Any, scale: float) -> None:
    style = document.dimstyles.new("BOARD")
    style.dxf.dimtxt = BODY * _CAP * scale
    style.dxf.dimasz = ARROW * scale
    style.dxf.dimexe = BEYOND * scale
    style.dxf.dimexo = OFF * scale
    style.dxf.dimgap = 0.6 * scale
    style.dxf.dimtad = 1
    style.dxf.dimdec = 2
    style.dxf.dimdsep = ord(".")
    style.dxf.dimtxsty = "BOARD"
    style.dxf.dimlwd = style.dxf.dimlwe = 18


class _Writer:
    def __init__(self, space: Any, scale: float) -> None:
        self._space = space
        self._scale = scale

    def all(self, elements: tuple[Element, ...]) -> None:
        for element in elements:
            self.one(element)

    def one(self, element: Element) -> None:
        if isinstance(element, Dimension):
            self._dimension(element)
        elif isinstance(element, Leader):
            for part in parts(element, self._scale):
                self.one(part)
        elif isinstance(element, Label):
            self._label(element)
        elif isinstance(element, Stroke):
            self._space.add_lwpolyline(
                element.points, close=element.closed, dxfattribs=_look(element.line.label, element.tone)
            )
        elif isinstance(element, Hatching):
            for a, b in element.segments:
                self._space.add_line(a, b, dxfattribs=_look("hatching", element.tone))
        elif isinstance(element, Ring):
            look = _look(element.line.label, element.tone)
            if element.start is None or element.end is None:
                self._space.add_circle(element.centre, element.radius, dxfattribs=look)
            else:
                self._space.add_arc(
                    element.centre, element.radius, element.start, element.end, dxfattribs=look
                )
        else:
            self._area(element)

    def _area(self, area: Area) -> None:
        if area.strength >= 1.0:
            fill = self._space.add_hatch(color=COLOURS[area.tone], dxfattribs={"layer": "THIN"})
            fill.paths.add_polyline_path(area.points, is_closed=True)
        else:
            self._space.add_lwpolyline(area.points, close=True, dxfattribs=_look("thin", area.tone))

    def _dimension(self, dim: Dimension) -> None:
        text = r"\X".join(dim.label.rows)
        if dim.label.badge:
            text = f"({dim.label.badge}) {text}"
        look = _look("dimension", dim.tone)
        base = (dim.at, dim.first[1]) if dim.vertical else (dim.first[0], dim.at)
        box = dim.label.box(self._scale)
        middle = ((box.left + box.right) / 2.0, (box.low + box.high) / 2.0)
        entity = self._space.add_linear_dim(
            base=base,
            p1=dim.first,
            p2=dim.second,
            angle=90.0 if dim.vertical else 0.0,
            text=text,
            dimstyle="BOARD",
            dxfattribs=look,
        )
        if dim.outside:
            entity.set_location(middle)
        entity.render()

    def _label(self, label: Label) -> None:
        box = label.box(self._scale)
        k = self._scale
        look = _look("text", label.tone)
        rows = label.rows
        if label.badge:
            rows = (f"({label.badge}) {rows[0] if rows else ''}".strip(), *rows[1:])
        for index, row in enumerate(rows):
            along = {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor]
            down = (index + 0.5) * PITCH * label.size * k
            entity = self._space.add_text(
                row, height=label.size * _CAP * k, rotation=90.0 if label.upright else 0.0, dxfattribs=look
            )
            if label.upright:
                place = (box.left + down, box.low + along * box.height)
            else:
                place = (box.left + along * box.width, box.high - down)
            entity.set_placement(place, align=_align(label))


def _align(label: Label) -> Any:
    from ezdxf.enums import TextEntityAlignment as Align

    return {"start": Align.MIDDLE_LEFT, "middle": Align.MIDDLE_CENTER, "end": Align.MIDDLE_RIGHT}[
        label.anchor
    ]


def _look(layer: str, tone: Tone) -> dict[str, Any]:
    return {"layer": layer.upper(), "color": 256 if tone == "ink" else COLOURS[tone]}


__all__ = ["SMALL", "dxf_document", "dxf_text"]
