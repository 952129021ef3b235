"""An order sheet as a file: PDF or HTML for people, DXF for the shop. One data behind all three."""

from __future__ import annotations

import json
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from wellroom.report.draw.svg import FONT
from wellroom.report.draw.together import together
from wellroom.report.order.build import form_of
from wellroom.report.order.drawings import all_drawings
from wellroom.report.order.form import Form, Picture
from wellroom.report.web.write import write_bytes
from wellroom.search.order import Ordered
from wellroom.units import Units

_HERE = Path(__file__).parent
PAPER_FONT = "DejaVu Sans Mono"
"""The typesetter's own, so that the same sheet is the same bytes everywhere."""
_PAGE_SIZES = {"us-letter": "letter", "a4": "A4"}


def write_order(made: Ordered, path: Path, units: Units) -> None:
    """Write the sheet in the form that the file's ending names. Raises RequestError where it can't be."""
    make = {".pdf": pdf_bytes, ".html": html_bytes, ".dxf": dxf_bytes}[path.suffix.lower()]
    write_bytes(make(made, units), path, "-o")


def html_bytes(made: Ordered, units: Units) -> bytes:
    """Return the sheet as one HTML file that needs no other."""
    form = form_of(made, units, FONT)
    loader = FileSystemLoader(_HERE)
    setting = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    style = (_HERE / "sheet.css").read_text(encoding="utf-8").replace("{{PAPER}}", _PAGE_SIZES[form.paper])
    text = setting.get_template("sheet.html.j2").render(form=_drawn(form), style=Markup(style))
    return text.encode("utf-8")


def _drawn(form: Form) -> dict[str, object]:
    """Return a form's data with its drawings as markup: they were made here, with their text escaped."""
    data = form.data()
    for block, part in zip(data["blocks"], form.blocks, strict=True):
        if isinstance(part, Picture):
            block["svg"] = Markup(part.svg)
    return data


def pdf_bytes(made: Ordered, units: Units) -> bytes:
    """Return the sheet as a PDF, without a date, in fonts that the typesetter brings: the same every time."""
    import typst

    form = form_of(made, units, PAPER_FONT)
    compiler = typst.Compiler(
        (_HERE / "sheet.typ").read_bytes(),
        ignore_system_fonts=True,
        sys_inputs={"form": json.dumps(form.data())},
    )
    out = compiler.compile(format="pdf")
    assert isinstance(out, bytes)
    return out


def dxf_bytes(made: Ordered, units: Units) -> bytes:
    """Return the sheet's drawings as one DXF at full size, side by side."""
    from wellroom.report.draw.dxf import dxf_text

    whole = together("order", f"Wheel order {made.sheet.number}", all_drawings(made, units))
    return dxf_text(whole).encode("utf-8")
