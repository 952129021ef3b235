"""What is wrong in a builder's file is said: all of it, where it is, what was found, what is expected."""

from __future__ import annotations

from pathlib import Path

import pytest

from catalog.sheets import Sheet, places, write_text
from wellroom.catalog import load_catalog
from wellroom.catalog.spec import ADAPTERS, BLANKS, GEARSETS, TABLES, TIRES, WHEELS, Table
from wellroom.errors import CatalogError, Fault


def faults_of(*paths: Path, shipped: bool = False) -> tuple[Fault, ...]:
    with pytest.raises(CatalogError) as caught:
        load_catalog(paths, shipped=shipped)
    return caught.value.faults


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_clean_sheet_loads(tmp_path: Path, table: Table) -> None:
    """The sheets that the other tests break are sound before they are broken."""
    sheet = Sheet(table)
    catalog = load_catalog([sheet.write(tmp_path)], shipped=False)
    assert len(catalog.tables()[table.name]) == len(sheet.rows)
    assert sum(len(frame) for frame in catalog.tables().values()) == len(sheet.rows)


def test_cells_broken_in_several_places_are_all_named(tmp_path: Path) -> None:
    """Five slips in one file are five faults, in the order of lines and columns."""
    sheet = Sheet(TIRES)
    sheet.put(0, "mass_kg", "heavy").put(0, "kind", "muddy").put(2, "price", "1,200.00")
    sheet.put(3, "load_index", "104.5").put(5, "id", "no spaces please")
    path = sheet.write(tmp_path)
    found = faults_of(path)
    assert places(found) == [(2, "kind"), (2, "mass_kg"), (4, "price"), (5, "load_index"), (7, "id")]
    assert {fault.file for fault in found} == {str(path)}
    assert found[0].found == "'muddy'"
    assert "the nearest is mud" in found[0].expected
    assert str(found[1]) == f"{path}:2: mass_kg: found 'heavy', expected a number from 2 to 300 kg"


@pytest.mark.parametrize(
    "text", ["", "nan", "inf", "-inf", "1e999", "7,5", "7 1/2", "7.5 in", "１２", "-5", "99", "1_0"]
)
def test_number_that_is_none_is_a_fault(tmp_path: Path, text: str) -> None:
    """Not a number, infinite, out of range, with a comma, a fraction or a unit: never guessed at."""
    found = faults_of(Sheet(TIRES).put(1, "measuring_rim_in", text).write(tmp_path))
    assert places(found) == [(3, "measuring_rim_in")]
    assert "a number from 3 to 20 in" in found[0].expected


@pytest.mark.parametrize(
    ("column", "text", "word"),
    [
        ("od_min_mm", "780", "at most od_nominal_mm"),
        ("od_max_mm", "700", "at most od_max_mm"),
        ("section_min_mm", "300", "at most section_nominal_mm"),
        ("rim_min_in", "9.5", "at most measuring_rim_in"),
        ("rim_max_in", "3.5", "at most rim_max_in"),
        ("bead_seat_deg", "15", "5 for a whole rim code"),
        ("rim_code", "17", "16 as marked (with size = LT245/75R16)"),
        ("construction", "bias", "radial as marked"),
        ("load_kg", "1500", "within 1 % of 1400 kg"),
        ("tread_width_mm", "290", "at most section_max_mm"),
        ("shoulder_height_mm", "130", "0.6 of the section height"),
        ("size", "LT245/75R16X", "a tire marking"),
        ("size", "LT285/75R16", "within 3 % of the standard's 834"),
    ],
)  # fmt: skip
def test_columns_of_a_tire_at_odds_are_a_fault(tmp_path: Path, column: str, text: str, word: str) -> None:
    """Each rule between columns names a column and what it is at odds with."""
    sheet = Sheet(TIRES, 10_000)
    sheet.rows = [row for row in sheet.rows if row[0] == "longmile-lt245-75r16-120"]
    found = faults_of(sheet.put(0, column, text).write(tmp_path))
    assert any(word in fault.expected for fault in found), found
    assert {fault.line for fault in found} == {2}


@pytest.mark.parametrize(
    ("table", "column", "text", "word"),
    [
        (WHEELS, "bore_mm", "300", "metal between the bore and the holes"),
        (WHEELS, "bolt_circle_mm", "480", "inside the drop centre"),
        (WHEELS, "inset_mm", "-290", "between the flanges"),
        (WHEELS, "disc_outline", "60:0;390:2", "inside the barrel"),
        (WHEELS, "drop_from_flange_mm", "30", "10 mm of bead seat"),
        (BLANKS, "width_min_in", "15", "at most width_max_in"),
        (BLANKS, "width_step_in", "0.7", "a step that leads"),
        (BLANKS, "bore_min_mm", "390", "at most bore_max_mm"),
        (BLANKS, "studs", "5;5", "numbers of studs"),
        (BLANKS, "bolt_circle_max_mm", "480", "inside the drop centre"),
        (ADAPTERS, "bore_mm", "390", "metal between the bore and the holes"),
        (GEARSETS, "ratio", "4.20", "(with ring_teeth = "),
    ],
)  # fmt: skip
def test_columns_of_hardware_at_odds_are_a_fault(
    tmp_path: Path, table: Table, column: str, text: str, word: str
) -> None:
    """The same for blanks, wheels, adapters and gear sets."""
    found = faults_of(Sheet(table).put(0, column, text).write(tmp_path))
    assert any(word in fault.expected for fault in found), found
    assert {fault.line for fault in found} == {2}


def test_passenger_marking_without_derating_is_a_fault(tmp_path: Path) -> None:
    """A passenger tire can't be passed off as a truck tire."""
    sheet = Sheet(TIRES, 10_000)
    sheet.rows = [row for row in sheet.rows if row[0] in ("tourline-p235-75r15-105", "tourline-195-65r15-91")]
    found = faults_of(sheet.put(0, "passenger", "no").put(1, "passenger", "no").write(tmp_path))
    assert places(found) == [(2, "passenger"), (3, "passenger")]


def test_column_misspelt_names_the_nearest(tmp_path: Path) -> None:
    """A misspelt column is named with the one that was meant, and so is the one that is missing."""
    sheet = Sheet(WHEELS)
    sheet.header[sheet.header.index("inset_mm")] = "insets_mm"
    found = faults_of(sheet.write(tmp_path))
    assert places(found) == [(1, "insets_mm"), (1, "inset_mm")]
    assert "the nearest is inset_mm" in found[0].expected


def test_column_twice_and_unknown_are_faults(tmp_path: Path) -> None:
    """Doubled and foreign columns are named; cells are still checked."""
    sheet = Sheet(GEARSETS).put(0, "price", "cheap")
    sheet.header += ["ratio", "colour"]
    sheet.rows = [[*row, "4.1", "red"] for row in sheet.rows]
    found = faults_of(sheet.write(tmp_path))
    assert (1, "ratio") in places(found)
    assert (1, "colour") in places(found)
    assert (2, "price") in places(found)


@pytest.mark.parametrize("cells", [-1, 1])
def test_row_of_another_length_is_a_fault(tmp_path: Path, cells: int) -> None:
    """A row that lacks a cell or has one too many is named by its line, and others are still checked."""
    sheet = Sheet(ADAPTERS).put(3, "load_kg", "?")
    sheet.rows[1] = sheet.rows[1][:-1] if cells < 0 else [*sheet.rows[1], "9"]
    found = faults_of(sheet.write(tmp_path))
    assert places(found) == [(3, "row"), (5, "load_kg")]
    assert found[0].found == f"{len(ADAPTERS.names) + cells} cells"


@pytest.mark.parametrize(
    ("text", "place", "found"),
    [
        ("", "header", "an empty file"),
        ("\n\n", "header", "an empty file"),
        ("# only a remark\n", "header", "no header"),
        ("a,b,c\n1,2,3\n", "header", "'a,b,c'"),
        ("id;maker;gear_family;ratio\nx;y;z;4\n", "header", "semicolons between cells"),
    ],
)
def test_file_without_a_header_is_a_fault(tmp_path: Path, text: str, place: str, found: str) -> None:
    """Empty files and files of another kind are refused in a word."""
    fault = faults_of(write_text(tmp_path, text))[0]
    assert (fault.place, fault.found) == (place, found)


def test_header_without_rows_is_a_fault(tmp_path: Path) -> None:
    """A header alone is no catalog."""
    sheet = Sheet(TIRES)
    sheet.rows = []
    assert faults_of(sheet.write(tmp_path))[0].found == "no row below the header"


def test_bytes_that_are_no_text_name_their_lines(tmp_path: Path) -> None:
    """Bytes of another encoding are named by line."""
    path = tmp_path / "old.csv"
    text = Sheet(GEARSETS).text().split("\n")
    text[2] = text[2].replace("Cogholm", "Cögholm")
    path.write_bytes("\n".join(text).encode("latin-1"))
    found = faults_of(path)
    assert places(found) == [(3, "text")]
    assert found[0].found == "byte 0xF6"


def test_file_that_is_not_there_and_folder_are_faults(tmp_path: Path) -> None:
    """Both paths are named, not only the first."""
    found = faults_of(tmp_path / "gone.csv", tmp_path)
    assert [fault.found for fault in found] == ["no such file", "a folder"]


def test_quotes_that_are_not_closed_name_the_line_where_they_open(tmp_path: Path) -> None:
    """A stray quote swallows what follows: the fault stands where it began."""
    text = Sheet(GEARSETS).text().split("\n")
    text[3] = '"' + text[3]
    found = faults_of(write_text(tmp_path, "\n".join(text)))
    assert places(found) == [(4, "row")]


def test_lines_are_counted_through_remarks_blank_lines_and_line_breaks(tmp_path: Path) -> None:
    """The line in a fault is the line in the file, whatever stands above it."""
    lines = Sheet(GEARSETS).put(2, "price", "x").text().split("\n")
    text = "\r\n".join(["# remark", "# remark", lines[0], "", *lines[1:]])
    assert places(faults_of(write_text(tmp_path, text))) == [(7, "price")]
    broken = Sheet(GEARSETS).put(0, "carrier", "two\nlines").put(2, "price", "x")
    assert places(faults_of(broken.write(tmp_path))) == [(2, "carrier"), (5, "price")]


def test_id_again_with_other_values_is_a_fault(tmp_path: Path) -> None:
    """One id can't stand for two things, in one file or in two."""
    sheet = Sheet(GEARSETS)
    sheet.rows.append(sheet.rows[0].copy())
    first = sheet.put(6, "price", "1.00").write(tmp_path, "one.csv")
    found = faults_of(first)
    assert places(found) == [(8, "id")]
    assert "line 2 has it" in found[0].expected
    apart = [
        Sheet(GEARSETS, 1).write(tmp_path, "two.csv"),
        Sheet(GEARSETS, 1).put(0, "price", "2").write(tmp_path, "3.csv"),
    ]
    assert places(faults_of(*apart)) == [(2, "id")]


def test_many_faults_of_a_sort_are_listed_and_counted(tmp_path: Path) -> None:
    """A column wrong from top to bottom gives a list that ends, and a count."""
    sheet = Sheet(TIRES, 400)
    for row in range(len(sheet.rows)):
        sheet.put(row, "mass_kg", "x")
    found = faults_of(sheet.write(tmp_path))
    assert len(found) == 51
    assert found[-1].found == f"{len(sheet.rows) - 50} more rows like this from here on"


def test_one_fault_and_nothing_is_read(tmp_path: Path) -> None:
    """Faults of several files come together."""
    paths = [
        Sheet(TIRES).put(0, "price", "").write(tmp_path),
        Sheet(WHEELS).write(tmp_path),
        Sheet(GEARSETS).put(0, "ratio", "").write(tmp_path),
    ]
    found = faults_of(*paths, shipped=True)
    assert [(Path(fault.file).name, fault.place) for fault in found] == [
        ("tires.csv", "price"),
        ("gearsets.csv", "ratio"),
    ]
    assert found[0].found == "nothing"
