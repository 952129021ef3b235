"""The shipped catalogs: that they load, what they cover, and that they keep to the standards."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tools import make_catalogs
from wellroom.catalog import Catalog, load_catalog, parse_outline, parse_studs
from wellroom.catalog.spec import TABLES
from wellroom.data import catalogs_dir
from wellroom.trade.load import load_index_kg
from wellroom.trade.marking import UnknownSize, design_size, parse_marking
from wellroom.trade.rim import CONTOURS, seat_diameter_mm
from wellroom.trade.tire import od_limits, section_limits


@pytest.fixture(scope="module")
def shipped() -> Catalog:
    return load_catalog()


def test_shipped_loads_without_notes(shipped: Catalog) -> None:
    """Nothing in the shipped files is dropped or replaced."""
    assert shipped.notes == ()


def test_shipped_tables_are_typed_sorted_and_complete(shipped: Catalog) -> None:
    """Columns as specified, rows by id, no gaps, numbers as numbers."""
    for table in TABLES:
        frame = shipped.tables()[table.name]
        assert list(frame.columns) == [*table.names, "source_file", "source_line"]
        assert frame["id"].tolist() == sorted(set(frame["id"]))
        assert not frame.isna().any().any()
        for column in table.columns:
            assert pd.api.types.is_numeric_dtype(frame[column.name]) == (
                column.is_numeric or column.name == "bead_seat_deg"
            )


def test_shipped_counts_are_as_promised(shipped: Catalog) -> None:
    """Enough tires and wheels for a search worth the name."""
    assert len(shipped.tires) >= 400
    assert len(shipped.wheels) >= 100
    assert set(shipped.tires["kind"]) == {"highway", "all_terrain", "mud", "commercial", "classic"}
    assert set(shipped.tires["construction"]) == {"radial", "bias"}
    assert {13, 14, 15, 16, 16.5, 17, 18, 19, 19.5, 20, 21, 22, 22.5, 24} <= set(shipped.tires["rim_code"])
    inches = shipped.tires["od_nominal_mm"] / 25.4
    assert inches.min() < 24
    assert 45 < inches.max() <= 46
    families = {parse_marking(size).family.value for size in shipped.tires["size"]}
    assert {
        "metric",
        "p_metric",
        "lt_metric",
        "commercial",
        "flotation",
        "lt_numeric",
        "truck_numeric",
    } <= families


@pytest.mark.parametrize("code", [16, 17, 18, 20])
def test_shipped_tall_tires_carry_a_truck(shipped: Catalog, code: float) -> None:
    """Each truck rim diameter has tires of 37 to 44 in that carry 1,700 kg or more."""
    tall = shipped.tires[(shipped.tires["rim_code"] == code) & (shipped.tires["od_nominal_mm"] > 36.4 * 25.4)]
    assert (tall["load_kg"] >= 1600).sum() >= 3


def test_shipped_wheels_leave_the_odd_circle_to_the_shop(shipped: Catalog) -> None:
    """No stocked wheel and no adapter has eight studs on 209.6 mm; a blank can be drilled so."""
    near = (shipped.wheels["studs"] == 8) & ((shipped.wheels["bolt_circle_mm"] - 209.6).abs() < 3)
    assert not near.any()
    assert not ((shipped.adapters["hub_bolt_circle_mm"] - 209.6).abs() < 3).any()
    circles = shipped.blanks[(shipped.blanks["bolt_circle_min_mm"] <= 209.6)]
    assert ((circles["bolt_circle_max_mm"] >= 209.6) & (circles["rim_code"] == 20)).any()


def test_shipped_blanks_cover_the_truck_diameters(shipped: Catalog) -> None:
    """Steel from 15 to 22.5, to 14 in wide, wells on either side; a 432 mm drum with 1/4 in passes a 20."""
    steel = shipped.blanks[shipped.blanks["material"] == "steel"]
    assert {15, 16, 16.5, 17, 18, 19.5, 20, 22.5} <= set(steel["rim_code"])
    twenty = steel[steel["rim_code"] == 20]
    assert set(twenty["drop_side"]) == {"in", "out"}
    assert twenty["width_max_in"].max() == 14
    inner = float(seat_diameter_mm(20.0)) / 2 - twenty["drop_depth_mm"] - twenty["metal_mm"]
    assert (inner >= 216 + 6.35).all()


def test_shipped_rims_keep_to_the_contours(shipped: Catalog) -> None:
    """Flange thickness, well depth, flat and place, bead seats: JIS D 4218:2021 table 3 (5 degrees)."""
    for frame in (shipped.blanks, shipped.wheels):
        width = "width_in" if "width_in" in frame else "width_min_in"
        for row in frame[frame["bead_seat_deg"] == 5].to_dict("records"):
            contour = next(
                c for c in CONTOURS
                if c.name == ("B" if row["rim_code"] < 14 else "J")
                and c.width_min_in <= row[width] <= c.width_max_in
                and c.code_min <= row["rim_code"] <= c.code_max
            )  # fmt: skip
            assert row["flange_in_mm"] >= contour.flange_width_min_mm
            assert row["drop_depth_mm"] >= contour.well_depth_min_mm
            assert row["drop_flat_mm"] >= contour.well_flat_min_mm
            assert row["drop_from_flange_mm"] <= contour.well_place_max_mm
            seat = row["drop_from_flange_mm"] - row["drop_flat_mm"] / 2 - row["drop_ramp_mm"]
            assert seat >= contour.seat_width_min_mm


def test_shipped_discs_start_flat_and_end_in_the_barrel(shipped: Catalog) -> None:
    """The pad is flat past the bolt holes; the outline rises in radius and ends inside the barrel."""
    for row in shipped.wheels.to_dict("records"):
        outline = parse_outline(str(row["disc_outline"]))
        assert all(a[0] < b[0] for a, b in pairwise(outline))
        assert outline[1][1] == 0
        assert outline[1][0] > (row["bolt_circle_mm"] + row["hole_mm"]) / 2
        assert outline[-1][0] < float(seat_diameter_mm(row["rim_code"])) / 2 - row["metal_mm"]
    assert all(parse_studs(text) for text in shipped.blanks["studs"])


def test_shipped_nominal_sizes_are_the_standards(shipped: Catalog) -> None:
    """Diameter and section on the measuring rim equal the design size of the marking, where it has one."""
    unknown = set()
    for row in shipped.tires.to_dict("records"):
        try:
            design = design_size(parse_marking(row["size"]))
        except UnknownSize:
            unknown.add(row["size"])
            continue
        found = (row["od_nominal_mm"], row["section_nominal_mm"], row["measuring_rim_in"])
        assert found == (design.od_mm, design.section_mm, design.measuring_rim_in), row["size"]
    readme = (catalogs_dir() / "README.md").read_text(encoding="utf-8")
    assert unknown
    assert all(size in readme for size in unknown)


def test_shipped_least_and_largest_sizes_are_inside_the_tolerances(shipped: Catalog) -> None:
    """Makers' scatter stays inside UN R30 for passenger tires and UN R54 for the others (from memory)."""
    for row in shipped.tires.to_dict("records"):
        radial, commercial = row["construction"] == "radial", row["passenger"] == "no"
        wide = commercial and row["section_nominal_mm"] > 305
        low, high = od_limits(row["od_nominal_mm"], row["rim_code"], radial=radial, commercial=commercial)
        assert low <= row["od_min_mm"] < row["od_nominal_mm"] < row["od_max_mm"] <= high
        low, high = section_limits(
            row["section_nominal_mm"], radial=radial, commercial=commercial, dual_wide=wide
        )
        assert row["section_min_mm"] < row["section_nominal_mm"] < row["section_max_mm"] <= high


def test_shipped_loads_are_the_tables(shipped: Catalog) -> None:
    """Every load is the load index table's (French arrete of 24 Oct 1994, annexe II)."""
    expected = load_index_kg(shipped.tires["load_index"].to_numpy(dtype=float))
    assert np.array_equal(expected, shipped.tires["load_kg"].to_numpy())


def test_generator_run_again_writes_the_same_bytes(tmp_path: Path) -> None:
    """The shipped files are what the generator makes, byte for byte."""
    made = make_catalogs.files()
    assert set(made) == {path.name for path in catalogs_dir().iterdir()}
    for name, text in made.items():
        assert (catalogs_dir() / name).read_bytes() == text.encode(), name


def test_every_file_says_that_it_is_invented() -> None:
    """Nobody takes the samples for makers' data."""
    for path in catalogs_dir().iterdir():
        assert "nvented" in path.read_text(encoding="utf-8")[:300]
