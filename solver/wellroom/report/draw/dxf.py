"""A drawing as DXF: the world at full size in millimetres, dimensions and clearances as real dimension
entities, a layer for each thing that is drawn.

ezdxf takes most of a second to import, so it is imported where a file is written.
"""

from __future__ import annotations

import io
import math
from dataclasses import replace
from typing import Any

from wellroom.report.draw.model import (
    BODY,
    PITCH,
    Area,
    Clearance,
    Dimension,
    Drawing,
    Element,
    Hatching,
    Label,
    Layer,
    Leader,
    Line,
    Point,
    Ring,
    Stroke,
    Tone,
)
from wellroom.report.draw.pieces import ARROW, BEYOND, OFF, parts

COLOURS: dict[Tone, int] = {"ink": 7, "soft": 8, "accent": 5, "warn": 30}
"""Colours of the DXF index: 7 is black on white and white on black."""
_WEIGHTS = {0.18: 18, 0.25: 25, 0.35: 35, 0.5: 50}
_CAP = 0.72
"""Height of a capital in heights of text."""
LAYERS: dict[Layer, str] = {
    "sheet": "SHEET",
    "axis": "AXIS",
    "tire": "TIRE",
    "wheel": "WHEEL",
    "today": "TODAY",
    "moved": "MOVED",
    "brake": "BRAKE",
    "hub": "HUB",
    "body": "BODY",
    "near": "NEAR",
    "detail": "DETAIL",
    "notes": "NOTES",
}
DIMENSIONS, CLEARANCES, HATCHING = "DIMENSIONS", "CLEARANCES", "HATCHING"


def dxf_document(drawing: Drawing) -> Any:
    """Return the drawing as an ezdxf document in millimetres, its layers named by what is on them."""
    from ezdxf import units
    from ezdxf.document import Drawing as Document

    document = Document.new("R2010")
    document.styles.add("BOARD", font="arial.ttf")
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    for line in Line:
        if line.dashes:
            k = drawing.scale
            pattern = [k * sum(line.dashes)] + [
                k * (dash if index % 2 == 0 else -dash) for index, dash in enumerate(line.dashes)
            ]
            document.linetypes.add(line.label.upper(), pattern, description=line.label)
    for name in (*LAYERS.values(), DIMENSIONS, CLEARANCES, HATCHING):
        document.layers.add(name, lineweight=_WEIGHTS[Line.THIN.width])
    _dimension_style(document, drawing.scale)
    writer = _Writer(document.modelspace(), drawing.scale)
    for element in drawing.elements:
        writer.one(element)
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

    def one(self, element: Element) -> None:
        if isinstance(element, Dimension):
            self._dimension(element)
        elif isinstance(element, Clearance):
            self._clearance(element)
        elif isinstance(element, Leader):
            for part in parts(element, self._scale):
                self.one(part if isinstance(part, Label) else replace(part, layer="notes"))
        elif isinstance(element, Label):
            self._label(element)
        elif isinstance(element, Stroke):
            look = _look(LAYERS[element.layer], element.tone) | _pen(element.line)
            self._space.add_lwpolyline(element.points, close=element.closed, dxfattribs=look)
        elif isinstance(element, Hatching):
            for a, b in element.segments:
                self._space.add_line(a, b, dxfattribs=_look(HATCHING, element.tone))
        elif isinstance(element, Ring):
            look = _look(LAYERS[element.layer], element.tone) | _pen(element.line)
            if element.start is None or element.end is None:
                self._space.add_circle(element.centre, element.radius, dxfattribs=look)
            else:
                self._space.add_arc(
                    element.centre, element.radius, element.start, element.end, dxfattribs=look
                )
        else:
            self._area(element)

    def _area(self, area: Area) -> None:
        layer = LAYERS[area.layer]
        if area.strength >= 1.0:
            fill = self._space.add_hatch(color=COLOURS[area.tone], dxfattribs={"layer": layer})
            fill.paths.add_polyline_path(area.points, is_closed=True)
        else:
            self._space.add_lwpolyline(area.points, close=True, dxfattribs=_look(layer, area.tone))

    def _dimension(self, dim: Dimension) -> None:
        self._linear(
            dim,
            r"\X".join(dim.label.rows),
            base=(dim.at, dim.first[1]) if dim.vertical else (dim.first[0], dim.at),
            angle=90.0 if dim.vertical else 0.0,
            look=_look(DIMENSIONS, dim.tone),
        )

    def _clearance(self, dim: Clearance) -> None:
        dx, dy = dim.second[0] - dim.first[0], dim.second[1] - dim.first[1]
        self._linear(
            dim,
            r"\P".join(dim.label.rows) or dim.text,
            base=dim.ends()[0],
            angle=math.degrees(math.atan2(dy, dx)),
            look=_look(CLEARANCES, dim.tone),
        )

    def _linear(
        self, dim: Dimension | Clearance, text: str, base: Point, angle: float, look: dict[str, Any]
    ) -> None:
        """Add a dimension entity whose text stands where the label does."""
        label = dim.label
        box = label.box(self._scale)
        entity = self._space.add_linear_dim(
            base=base,
            p1=dim.first,
            p2=dim.second,
            angle=angle,
            text=f"({label.badge}) {text}" if label.badge else text,
            text_rotation=90.0 if label.upright else 0.0,
            dimstyle="BOARD",
            override={"dimtxt": label.size * _CAP * self._scale, "dimtmove": 2},
            dxfattribs=look,
        )
        entity.set_location(((box.left + box.right) / 2.0, (box.low + box.high) / 2.0))
        entity.render()

    def _label(self, label: Label) -> None:
        box = label.box(self._scale)
        k = self._scale
        look = _look(LAYERS["notes"], label.tone)
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
    return {"layer": layer, "color": 256 if tone == "ink" else COLOURS[tone]}


def _pen(line: Line) -> dict[str, Any]:
    return {
        "linetype": line.label.upper() if line.dashes else "CONTINUOUS",
        "lineweight": _WEIGHTS[line.width],
    }
