"""The drawings of an order: each line's wheel and its bolt circle, to one scale."""

from __future__ import annotations

from dataclasses import replace

from wellroom.report.draw.block import Titles
from wellroom.report.draw.hub import hub
from wellroom.report.draw.model import Drawing
from wellroom.report.draw.svg import MARGIN
from wellroom.report.draw.together import together
from wellroom.report.draw.wheel import WheelFigures, wheel
from wellroom.report.draw.words import PAGE, SCALES
from wellroom.report.measures import rim, short_size
from wellroom.search.order import Ordered
from wellroom.search.order_data import OrderLine
from wellroom.search.sketch import WheelSketch
from wellroom.units import MM_PER_IN, Units


def line_drawing(made: Ordered, line: OrderLine, units: Units, least_scale: float = 1.0) -> Drawing:
    """Return the drawing of one line: the wheel's section over its bolt circle.

    The scale is the largest at which it goes onto a page, no larger than 1:``least_scale``.
    """
    for scale in (scale for scale in SCALES[1:] if scale >= least_scale):
        parts = _parts(made, line, units, scale)
        if any(part.scale != scale for part in parts):
            continue
        titles = _titles(made, line, parts[0].title, units)
        drawing = together(f"wheel-{line.axles[0]}", titles.what, parts, down=True, titles=titles)
        if drawing.paper[0] <= PAGE[0] and drawing.paper[1] <= PAGE[1] - 2.0 * MARGIN:
            break
    return drawing


def all_drawings(made: Ordered, units: Units) -> tuple[Drawing, ...]:
    """Return the drawing of every line, all at the smallest scale that one of them needs."""
    lines = made.sheet.lines
    scale = max(line_drawing(made, line, units).scale for line in lines)
    return tuple(line_drawing(made, line, units, scale) for line in lines)


def _parts(made: Ordered, line: OrderLine, units: Units, scale: float) -> list[Drawing]:
    """Return the wheel's section and its bolt circle, the latter at a smaller scale where it must."""
    sketch = made.sketch.wheels[made.sheet.rank, line.axles[0]]
    if line.source == "made":
        sketch = replace(sketch, bore=line.bolts.bore_least_mm, hole=line.bolts.hole_mm)
    axles = [made.sketch.axles[axle] for axle in line.axles]
    what = f"Wheel to {'make' if line.source == 'made' else 'buy'}, {' and '.join(line.axles)}"
    what += "; below it the hub's side of its adapter" if line.adapter_id else ""
    section = wheel(axles, sketch, _figures(line, sketch), what, units, scale)
    titles = _titles(made, line, what, units)
    fullest = max(axles, key=lambda axle: axle.hub.protrusion or 0.0)
    face = hub(fullest.hub, sketch, titles, units, least_scale=scale, block=False)
    return [section] if face is None else [section, face]


def _figures(line: OrderLine, sketch: WheelSketch) -> WheelFigures:
    face = line.adapter_mm or 0.0
    inner = face - line.backspace_mm
    edge, way = (inner + line.overall_width_mm, -1.0) if line.well.side == "outboard" else (inner, 1.0)
    return WheelFigures(
        backspace=line.backspace_mm,
        overall=line.overall_width_mm,
        width=line.rim_width_in * MM_PER_IN,
        face=face,
        well=edge + way * line.well.from_edge_mm,
        well_edge=edge,
        well_radius=sketch.seat_radius - line.well.depth_mm,
    )


def _titles(made: Ordered, line: OrderLine, what: str, units: Units) -> Titles:
    sheet = made.sheet
    stance = f", stance {sheet.stance}" if sheet.stance else ""
    open_ = ", ".join(entry.what.replace(".", " ").replace("_", " ") for entry in sheet.not_checked)
    size = rim(line.rim_diameter_in, line.rim_width_in)
    return Titles(
        what,
        f"{sheet.scenario}{stance}",
        f"Order {sheet.number}: {line.quantity} of {size} for {short_size(line.tire.choice.size)}",
        f"{open_}, and what the sheet lists" if open_ else "what the sheet lists",
        units,
    )
