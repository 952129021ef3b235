"""Own files beside the shipped ones, repeats, defaults, order."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

from catalog.sheets import Sheet, write_text
from wellroom.catalog import Catalog, load_catalog
from wellroom.catalog.spec import BLANKS, GEARSETS, TABLES, TIRES, WHEELS
from wellroom.errors import CatalogError

SOURCE = ["source_file", "source_line"]


def same(one: Catalog, other: Catalog) -> None:
    for name, frame in one.tables().items():
        pd.testing.assert_frame_equal(
            frame.drop(columns=SOURCE), other.tables()[name].drop(columns=SOURCE), check_exact=True
        )


def test_own_row_replaces_the_shipped_one(tmp_path: Path) -> None:
    """A row with a shipped id takes its place and is noted; the others stay."""
    sheet = Sheet(TIRES, 1).put(0, "price", "1.25")
    path = sheet.write(tmp_path)
    catalog, shipped = load_catalog([path]), load_catalog()
    assert len(catalog.tires) == len(shipped.tires)
    row = catalog.tires.set_index("id").loc[sheet.get(0, "id")]
    assert (row["price"], row["source_file"], row["source_line"]) == (1.25, str(path), 2)
    assert catalog.notes == (f"{path}:2: {sheet.get(0, 'id')} replaces the shipped one",)


def test_own_row_is_added_in_its_place(tmp_path: Path) -> None:
    """A new id is added where its name belongs, and moves no other row's values."""
    path = Sheet(WHEELS, 1).put(0, "id", "mine").write(tmp_path)
    catalog, shipped = load_catalog([path]), load_catalog()
    assert catalog.wheels["id"].tolist() == sorted([*shipped.wheels["id"], "mine"])
    rest = catalog.wheels[catalog.wheels["id"] != "mine"].reset_index(drop=True)
    pd.testing.assert_frame_equal(rest, shipped.wheels)


def test_rows_repeated_exactly_are_dropped_with_a_note(tmp_path: Path) -> None:
    """Repeats within a file, in two files and of one file given twice: once each, and noted."""
    sheet = Sheet(GEARSETS)
    alone = load_catalog([sheet.write(tmp_path, "a.csv")], shipped=False)
    sheet.rows.append([f" {cell} " for cell in sheet.rows[0]])
    path = sheet.write(tmp_path, "b.csv")
    within = load_catalog([path], shipped=False)
    same(alone, within)
    assert within.notes == (f"{path}: dropped 1 row that repeat earlier ones exactly (line 8)",)
    twice = load_catalog([tmp_path / "a.csv", tmp_path / "a.csv"], shipped=False)
    same(alone, twice)
    assert len(twice.notes) == len(sheet.rows) - 1


def test_rows_shuffled_give_the_same_tables(tmp_path: Path) -> None:
    """The order of a file's rows and columns leaves no trace."""
    for table in TABLES:
        sheet = Sheet(table, 40)
        before = load_catalog([sheet.write(tmp_path)], shipped=False)
        order = list(range(len(sheet.header)))
        random.Random(table.name).shuffle(order)
        random.Random(table.name).shuffle(sheet.rows)
        sheet.header = [sheet.header[place] for place in order]
        sheet.rows = [[row[place] for place in order] for row in sheet.rows]
        same(before, load_catalog([sheet.write(tmp_path, "shuffled.csv")], shipped=False))


def test_columns_left_out_take_the_safe_default(tmp_path: Path) -> None:
    """Without a known shoulder the tire is a square block as wide as its section."""
    sheet = Sheet(TIRES)
    optional = [table.name for table in TIRES.columns if not table.required]
    assert optional == ["shoulder", "tread_width_mm", "shoulder_height_mm", "side_lug_mm"]
    keep = [place for place, name in enumerate(sheet.header) if name not in optional]
    sheet.header = [sheet.header[place] for place in keep]
    sheet.rows = [[row[place] for place in keep] for row in sheet.rows]
    tires = load_catalog([sheet.write(tmp_path)], shipped=False).tires
    assert set(tires["shoulder"]) == {"square"}
    assert tires["tread_width_mm"].tolist() == tires["section_nominal_mm"].tolist()
    assert set(tires["shoulder_height_mm"]) == {0.0}


def test_cells_left_empty_take_the_default_too(tmp_path: Path) -> None:
    """An empty optional cell is a default, beside cells that are filled."""
    sheet = Sheet(TIRES).put(0, "tread_width_mm", " ")
    tires = load_catalog([sheet.write(tmp_path)], shipped=False).tires.set_index("id")
    assert tires.loc[sheet.get(0, "id"), "tread_width_mm"] == float(sheet.get(0, "section_nominal_mm"))
    assert tires.loc[sheet.get(1, "id"), "tread_width_mm"] == float(sheet.get(1, "tread_width_mm"))


def test_nothing_asked_for_gives_empty_typed_tables() -> None:
    """No file and nothing shipped: tables without rows and with the same types."""
    empty, shipped = load_catalog(shipped=False), load_catalog()
    for name, frame in empty.tables().items():
        assert len(frame) == 0
        assert frame.dtypes.equals(shipped.tables()[name].dtypes)


def test_byte_order_mark_and_windows_lines_are_read(tmp_path: Path) -> None:
    """What a spreadsheet writes is read like any other."""
    sheet = Sheet(BLANKS)
    plain = load_catalog([sheet.write(tmp_path)], shipped=False)
    marked = write_text(tmp_path, "\ufeff" + sheet.text().replace("\n", "\r\n"))
    same(plain, load_catalog([marked], shipped=False))


def test_mutated_cells_load_or_are_named(tmp_path: Path) -> None:
    """Cells changed at random: the file loads, or a fault names the line; nothing else is raised."""
    chance = random.Random(20)
    junk = [
        "",
        " ",
        "nan",
        "-1",
        "0",
        "1e9",
        "x",
        '"',
        "a,b",
        "9\n9",
        "\x00",
        "½",
        "7.5in",
        "5,6",
        "60:0",
        "#",
    ]
    loaded = 0
    for _ in range(300):
        sheet = Sheet(chance.choice(TABLES), 5)
        line = chance.randrange(len(sheet.rows) + 1)
        cells = sheet.header if line == 0 else sheet.rows[line - 1]
        place = chance.randrange(len(cells))
        old = cells[place]
        choices = [*junk, old[:-1], old + "0", old.upper(), old + " ", f"{len(old)}", old.replace("1", "2")]
        cells[place] = chance.choice(choices)
        path = sheet.write(tmp_path)
        try:
            load_catalog([path], shipped=False)
        except CatalogError as error:
            faults = error.faults
        else:
            loaded += 1
            continue
        assert all(fault.file == str(path) for fault in faults)
        there = [fault for fault in faults if fault.line == line + 1]
        named = {"row", "header", sheet.table.names[place]}
        assert any(fault.place in named or sheet.table.names[place] in fault.expected for fault in there), (
            faults
        )
    assert 60 <= loaded <= 240


def test_columns_are_known_without_pandas() -> None:
    """The columns can be shown without loading pandas or numpy."""
    code = (
        "import sys, wellroom.catalog, wellroom.catalog.spec; "
        "assert not {'pandas', 'numpy'} & set(sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_unknown_name_of_the_package_is_an_attribute_error() -> None:
    """The lazy names hide no typing slip."""
    import wellroom.catalog

    with pytest.raises(AttributeError):
        _ = wellroom.catalog.load_catalogue
