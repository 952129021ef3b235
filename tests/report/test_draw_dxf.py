"""DXF files, read back and measured."""

from __future__ import annotations

import io
from typing import Any

import pytest

from report.pictured import figures, pictures
from wellroom.report.draw.dxf import dxf_document
from wellroom.report.draw.model import Drawing, Line
from wellroom.report.web.files import write_drawings

ezdxf = pytest.importorskip("ezdxf")


def read_back(drawing: Drawing) -> Any:
    """Return a drawing's DXF as another reader has it."""
    stream = io.StringIO()
    dxf_document(drawing).write(stream)
    return ezdxf.read(io.StringIO(stream.getvalue()))


@pytest.mark.parametrize("name", ["front-section", "front-well", "front-plan", "front-hub", "rear-section"])
def test_dxf_dimensions_measure_what_the_model_says(name: str) -> None:
    """Every dimension is a real entity, in millimetres at full size, and measures its own value."""
    drawing = figures("fire_tender", "saddle").drawings(1, "in")[name]
    document = read_back(drawing)
    measured = sorted(dim.get_measurement() for dim in document.modelspace().query("DIMENSION"))
    assert document.units == ezdxf.units.MM
    assert measured == pytest.approx(sorted(d.value for d in drawing.dimensions()), abs=0.01)
    assert measured


def test_dxf_backspace_equals_the_answer() -> None:
    """The dimension that is called backspace measures the answer's backspace."""
    made = figures("pickup_taller")
    document = read_back(made.drawings(1, "in")["rear-section"])
    found = [
        d.get_measurement() for d in document.modelspace().query("DIMENSION") if "backspace" in d.dxf.text
    ]
    assert found == pytest.approx([made.plans[1].axles["rear"].backspace_mm], abs=0.01)


def test_dxf_has_a_layer_for_each_line_type() -> None:
    """Line types of the standard are layers with their dashes and widths; the file passes an audit."""
    document = read_back(figures("wagon_flush").drawings(1, "mm")["front-section"])
    for line in Line:
        layer = document.layers.get(line.label.upper())
        assert layer.dxf.lineweight == round(line.width * 100)
        assert (layer.dxf.linetype.upper() == line.label.upper()) == bool(line.dashes)
    assert not document.audit().errors


def test_drawings_written_are_svg_and_dxf_of_the_best(tmp_path: Any) -> None:
    """Each drawing of the best combination is written twice, and read again."""
    made = write_drawings(tmp_path / "out", pictures("wagon_flush"), "mm")
    names = {path.name for path in made}
    assert {"front-section.svg", "front-section.dxf", "rear-well.dxf", "rear-hub.svg"} <= names
    assert all(path.stat().st_size > 2000 for path in made)
    ezdxf.readfile(tmp_path / "out" / "front-section.dxf")
