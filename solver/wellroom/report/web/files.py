"""The drawings of a fit's best combination as files."""

from __future__ import annotations

from pathlib import Path

from wellroom.errors import Fault, RequestError
from wellroom.report.draw.svg import svg_text
from wellroom.report.web.build import plans_by_rank
from wellroom.report.web.figures import Figures
from wellroom.report.web.write import write_text
from wellroom.search.pictures import Pictures
from wellroom.search.sketch import TODAY
from wellroom.units import Units


def write_drawings(folder: Path, made: Pictures, units: Units) -> tuple[Path, ...]:
    """Write the drawings of the best combination (today's wheels without one), each as SVG and as DXF.

    Files are called ``front-section.svg`` and so on; returns them. The folder is made if it is not there.
    Raises RequestError where it can't be written to.
    """
    from wellroom.report.draw.dxf import dxf_text

    plans = plans_by_rank(made.result)
    if not plans:
        return ()
    shown = min((rank for rank in plans if rank != TODAY), default=TODAY)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found = error.strerror or "it can't be made"
        raise RequestError([Fault(str(folder), 0, "--drawings", found, "a folder to write to")]) from error
    out = []
    for name, drawing in Figures(made.result, made.sketch, plans, shown).drawings(shown, units).items():
        for ending, text in (("svg", svg_text(drawing, paper=True)), ("dxf", dxf_text(drawing))):
            path = folder / f"{name}.{ending}"
            write_text(text, path, "--drawings")
            out.append(path)
    return tuple(out)
