"""DXF files, read back and measured: by a reader of their tags, and by the library that wrote them."""

from __future__ import annotations

import io
import json
import math
import re
from functools import cache
from typing import Any

import pytest

from report.dxf_reader import Entity, read
from report.pictured import CASES, figures, pictures
from wellroom.report import json_text
from wellroom.report.draw.dxf import CLEARANCES, DIMENSIONS, HATCHING, LAYERS, dxf_text
from wellroom.report.draw.model import Drawing, Line
from wellroom.report.web.files import write_drawings
from wellroom.units import ceil_to, floor_to

ezdxf = pytest.importorskip("ezdxf")

EACH = pytest.mark.parametrize(("name", "stance"), CASES)


@cache
def drawings(name: str, stance: str | None) -> dict[str, tuple[Drawing, list[Entity]]]:
    """Return the drawings in mm of a shipped scenario's best, each with the entities of its DXF file."""
    made = figures(name, stance).drawings(1, "mm")
    return {key: (drawing, read(dxf_text(drawing))) for key, drawing in made.items()}


def on_layer(entities: list[Entity], kind: str, layer: str) -> list[Entity]:
    """Return the entities of one kind on one layer."""
    return [entity for entity in entities if entity.kind == kind and entity.layer == layer]


def named(entities: list[Entity]) -> dict[str, float]:
    """Return what each dimension measures [mm], by the words before its figure."""
    found = {}
    for entity in on_layer(entities, "DIMENSION", DIMENSIONS):
        words = entity.text(1).partition(r"\X")[0]
        label = words.partition(") ")[2] if words.startswith("(") else words
        name = " ".join(word for word in label.split(" ") if word[0].isalpha())
        found[name] = entity.measured()
    return found


def document(name: str, stance: str | None) -> dict[str, Any]:
    """Return the best combination as the JSON document has it."""
    best: dict[str, Any] = json.loads(json_text(pictures(name, stance).result))["fits"][0]
    return best


@EACH
def test_dxf_dimensions_measure_what_the_drawing_says(name: str, stance: str | None) -> None:
    """Every dimension and clearance drawn is a dimension entity that measures its own points' distance."""
    for key, (drawing, entities) in drawings(name, stance).items():
        for layer, drawn in ((DIMENSIONS, drawing.dimensions()), (CLEARANCES, drawing.clearances())):
            found = sorted(entity.measured() for entity in on_layer(entities, "DIMENSION", layer))
            assert found == pytest.approx(sorted(d.value for d in drawn), abs=0.01), (key, layer)
        assert on_layer(entities, "DIMENSION", DIMENSIONS), key


@EACH
def test_dxf_dimensions_equal_the_json_document(name: str, stance: str | None) -> None:
    """What the files measure under a name is the document's figure of that name, to 0.01 mm."""
    for axle, fit in document(name, stance)["axles"].items():
        section, well = (named(drawings(name, stance)[f"{axle}-{view}"][1]) for view in ("section", "well"))
        plan = named(drawings(name, stance)[f"{axle}-plan"][1])
        expected = {
            "backspace": fit["backspace_mm"],
            "overall": fit["overall_width_mm"],
            "front space": fit["overall_width_mm"] - fit["backspace_mm"],
            "section": fit["tire"]["section_mm"],
            "radius": fit["tire"]["od_mm"] / 2.0,
            "poke": None if fit["poke_mm"] is None else abs(fit["poke_mm"]),
            "inside": fit["inside_mm"],
        }
        known = {word: value for word, value in expected.items() if value is not None}
        assert {word: section[word] for word in known} == pytest.approx(known, abs=0.01)
        assert well["diameter"] == pytest.approx(fit["tire"]["od_mm"], abs=0.01)
        assert plan["section"] == pytest.approx(fit["tire"]["section_mm"], abs=0.01)
        for view in (section, well):
            assert view.get("gap", fit["gap_mm"]) == pytest.approx(fit["gap_mm"], abs=0.02)


@EACH
def test_dxf_clearances_are_never_below_what_they_state(name: str, stance: str | None) -> None:
    """A clearance's text is the document's, rounded down; its line is as long, or longer by the envelope's
    own bound.
    """
    bound = pictures(name, stance).result.bound_mm or 0.0
    for axle, fit in document(name, stance)["axles"].items():
        wholes = [
            (round(check["margin"] + check["asked"], 2), check["asked"])
            for check in fit["checks"]
            if check["kind"] == "clearance" and None not in (check["margin"], check["asked"])
        ]
        stated = [
            (f"{floor_to(whole, 0.1):.1f} ({ceil_to(asked, 0.1):.1f} asked)", whole)
            for whole, asked in wholes
        ]
        found = on_layer(drawings(name, stance)[f"{axle}-section"][1], "DIMENSION", CLEARANCES)
        assert found
        for entity in found:
            meant = [whole for text, whole in stated if text in entity.text(1)]
            assert any(w - 0.02 <= entity.measured() <= w + bound + 0.02 for w in meant), entity.text(1)


@EACH
def test_dxf_hub_measures_the_scenario(name: str, stance: str | None) -> None:
    """The bolt circle measures what was measured on the hub, and the chord belongs to it."""
    made = pictures(name, stance)
    for axle, sketch in made.sketch.axles.items():
        found = named(drawings(name, stance)[f"{axle}-hub"][1])
        assert sketch.hub.circle is not None
        assert sketch.hub.studs is not None
        assert found["bolt circle"] == pytest.approx(sketch.hub.circle, abs=0.01)
        if "chord" in found:
            chord = sketch.hub.circle * math.sin(math.pi / sketch.hub.studs)
            assert found["chord"] == pytest.approx(chord, abs=0.01)


@EACH
def test_dxf_outlines_measure_what_the_document_says(name: str, stance: str | None) -> None:
    """The outlines themselves are to size: the rim from flange to flange, the tire's circle."""
    for axle, fit in document(name, stance)["axles"].items():
        section = drawings(name, stance)[f"{axle}-section"][1]
        metal = [p.x for e in on_layer(section, "LWPOLYLINE", "WHEEL") for p in e.points()]
        if metal:
            assert min(metal) == pytest.approx(-fit["backspace_mm"], abs=0.01)
            assert max(metal) >= fit["overall_width_mm"] - fit["backspace_mm"] - 0.01
        circles = on_layer(drawings(name, stance)[f"{axle}-well"][1], "CIRCLE", "TIRE")
        assert [c.number(40) for c in circles] == pytest.approx([fit["tire"]["od_mm"] / 2.0], abs=0.01)


def test_dxf_layers_are_named_by_what_is_on_them() -> None:
    """Each entity is on a layer of the list; a line keeps its standard type and width."""
    _, entities = drawings("fire_tender", "saddle")["front-section"]
    assert {e.layer for e in entities} <= {*LAYERS.values(), DIMENSIONS, CLEARANCES, HATCHING}
    for layer in ("TIRE", "WHEEL", "TODAY", "BRAKE", "HUB", "BODY", "MOVED", "NEAR", "AXIS", "SHEET"):
        assert [e for e in entities if e.layer == layer], layer
    for layer, line in (("TODAY", Line.OTHER), ("AXIS", Line.CENTRE)):
        lines = on_layer(entities, "LWPOLYLINE", layer)
        assert {e.text(6).upper() for e in lines} - {"CONTINUOUS"} == {line.label.upper()}
        assert {float(e.text(370)) / 100.0 for e in lines if e.text(6).upper() == line.label.upper()} == {
            line.width
        }


@EACH
def test_dxf_is_taken_by_the_library_that_reads_it(name: str, stance: str | None) -> None:
    """The library reads each file in millimetres, measures the same, and its audit finds nothing."""
    for drawing, entities in drawings(name, stance).values():
        document = ezdxf.read(io.StringIO(dxf_text(drawing)))
        assert document.units == ezdxf.units.MM
        assert not document.audit().errors
        again = sorted(dim.get_measurement() for dim in document.modelspace().query("DIMENSION"))
        assert again == pytest.approx(sorted(e.measured() for e in entities if e.kind == "DIMENSION"))


def test_dxf_of_one_drawing_is_the_same_text_each_time() -> None:
    """No date and no mark of the run is in the file."""
    drawing, _ = drawings("least", None)["front-hub"]
    assert dxf_text(drawing) == dxf_text(drawing)


def test_drawings_written_are_svg_and_dxf_of_the_best(tmp_path: Any) -> None:
    """Each drawing of the best combination is written twice, and read again."""
    made = write_drawings(tmp_path / "out", pictures("wagon_flush"), "mm")
    names = {path.name for path in made}
    assert {"front-section.svg", "front-section.dxf", "rear-well.dxf", "rear-hub.svg"} <= names
    assert all(path.stat().st_size > 2000 for path in made)
    ezdxf.readfile(tmp_path / "out" / "front-section.dxf")
    drawn = (tmp_path / "out" / "front-section.svg").read_text(encoding="utf-8")
    sheet = re.search(r'<svg[^>]* viewBox="0 0 ([0-9.]+) ([0-9.]+)"', drawn)
    assert sheet is not None
    wide, high = sheet.groups()
    assert f'</desc><rect width="{wide}" height="{high}" fill="#fff"/>' in drawn
