"""Markings: what is read, how it is written again, what is refused, and the design sizes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellroom.trade.marking import (
    Family,
    MarkingError,
    UnknownSize,
    approved_rims_in,
    design_size,
    parse_marking,
    parse_rim,
)
from wellroom.trade.sizes import TABULATED


@pytest.mark.parametrize(
    ("text", "family", "tidy", "load_range", "load_index", "dual", "speed"),
    [
        ("205/55R16 91V", "metric", "205/55R16 91V", None, 91, None, "V"),
        ("205/55 r 16 91 v", "metric", "205/55R16 91V", None, 91, None, "V"),
        ("205/55R16 91 H", "metric", "205/55R16 91H", None, 91, None, "H"),
        ("245/40ZR18 (97Y) XL", "metric", "245/40R18 97Y XL", "XL", 97, None, "Y"),
        ("P265/70R16 111S", "p_metric", "P265/70R16 111S", None, 111, None, "S"),
        ("T145/80D18 103M", "t_spare", "T145/80D18 103M", None, 103, None, "M"),
        ("LT285/70R17 121/118S", "lt_metric", "LT285/70R17 121/118S", None, 121, 118, "S"),
        ("LT245/75R16 120/116S E", "lt_metric", "LT245/75R16 120/116S E", "E", 120, 116, "S"),
        ("LT245/75R16/E 120/116S", "lt_metric", "LT245/75R16 120/116S E", "E", 120, 116, "S"),
        ("LT285/70R17 121/118 E", "lt_metric", "LT285/70R17 121/118 E", "E", 121, 118, None),
        ("215/75R16C 113/111R", "commercial", "215/75R16C 113/111R", None, 113, 111, "R"),
        ("225/70R19.5 128/126N LRG", "commercial", "225/70R19.5 128/126N G", "G", 128, 126, "N"),
        ("395/85R20 168G", "commercial", "395/85R20 168G", None, 168, None, "G"),
        ("185R14C 102/100R", "commercial", "185R14C 102/100R", None, 102, 100, "R"),
        ("37x12.50R17LT", "flotation", "37x12.50R17LT", None, None, None, None),
        ("31×10.5 R15 LT", "flotation", "31x10.50R15LT", None, None, None, None),
        ("40X13.50-17LT 121Q LR D", "flotation", "40x13.50-17LT 121Q D", "D", 121, None, "Q"),
        ("7.50-16LT/D", "lt_numeric", "7.50-16LT D", "D", None, None, None),
        ("8-16.5LT", "lt_numeric", "8.00-16.5LT", None, None, None, None),
        ("8.25-20", "truck_numeric", "8.25-20", None, None, None, None),
        ("11R22.5 144/142L", "truck_numeric", "11R22.5 144/142L", None, 144, 142, "L"),
        ("10R20 146K", "truck_numeric", "10.00R20 146K", None, 146, None, "K"),
    ],
)
def test_parse_marking_of_each_family_reads_all_it_states(
    text: str,
    family: str,
    tidy: str,
    load_range: str | None,
    load_index: int | None,
    dual: int | None,
    speed: str | None,
) -> None:
    """Family, load range, load indices, speed symbol and the usual way of writing."""
    marking = parse_marking(text)
    assert (marking.family.value, marking.text) == (family, tidy)
    assert (marking.load_range, marking.load_index) == (load_range, load_index)
    assert (marking.load_index_dual, marking.speed) == (dual, speed)
    assert parse_marking(marking.text) == marking


def test_parse_marking_gives_the_numbers_of_the_size() -> None:
    """Widths in the unit of the family, the other fields None."""
    metric, flotation = parse_marking("LT285/70R17"), parse_marking("37x12.50-17LT")
    assert (metric.width_mm, metric.width_in, metric.aspect, metric.outside_in) == (285.0, None, 70.0, None)
    assert (metric.rim_code, metric.radial) == (17.0, True)
    assert (flotation.width_mm, flotation.width_in, flotation.outside_in) == (None, 12.5, 37.0)
    assert not flotation.radial


@pytest.mark.parametrize(
    "text",
    [
        "", "37", "285/70", "LT285/7R17", "17x9", "20x11", "12.50x37R17", "37x12.50R35", "LT285/70R17 zz",
        "LT285/70R17 121S 118S", "LT285/70R17 118/121S", "LT285/70R17 E D", "P215/75R15C", "205/55R16 999V",
        "285/70R45", "25-16", "LT285/70R1٧", "x" * 70, "205/55R16 91V 91V", "2050/55R16", "205/150R16",
    ],
)  # fmt: skip
def test_parse_marking_of_what_is_none_is_refused(text: str) -> None:
    """No marking, or one that contradicts itself, is refused with what was expected."""
    with pytest.raises(MarkingError) as caught:
        parse_marking(text)
    assert caught.value.expected


@given(st.text(max_size=24))
def test_parse_marking_of_any_text_reads_or_refuses(text: str) -> None:
    """No text ends in anything but a marking or a MarkingError."""
    try:
        marking = parse_marking(text)
    except MarkingError:
        return
    assert parse_marking(marking.text) == marking


@given(
    prefix=st.sampled_from(["", "P", "LT", "T"]),
    width=st.integers(14, 44).map(lambda i: i * 10 + 5),
    aspect=st.integers(5, 18).map(lambda i: i * 5),
    build=st.sampled_from(["R", "D", "ZR", "-"]),
    code=st.sampled_from([13, 14, 15, 16, 17, 18, 20, 22.5]),
)
def test_design_size_of_metric_is_the_sum_of_its_parts(
    prefix: str, width: int, aspect: int, build: str, code: float
) -> None:
    """Diameter is the nominal rim and two heights; a wider rim gives a wider section."""
    marking = parse_marking(f"{prefix}{width}/{aspect}{build}{code:g}")
    size = design_size(marking)
    assert abs(size.od_mm - (code * 25.4 + 2 * width * aspect / 100)) <= 1.5
    wider = design_size(marking, size.measuring_rim_in + 1)
    assert wider.section_mm - size.section_mm == pytest.approx(10.16)
    assert (wider.od_mm, wider.height_mm) == (size.od_mm, size.height_mm)


def test_design_size_on_measuring_rim_is_the_default() -> None:
    """Asking for the measuring rim by name changes nothing."""
    marking = parse_marking("LT285/70R17")
    assert design_size(marking, 8.5) == design_size(marking)


@pytest.mark.parametrize("text", ["11R22.5", "8.25-20", "185R14C", "8.00-16.5LT", "9.00-16"])
def test_design_size_of_untabulated_numeric_is_refused(text: str) -> None:
    """A numeric size that is in no table has no formula either."""
    with pytest.raises(UnknownSize, match="maker's dimensions"):
        design_size(parse_marking(text))


@pytest.mark.parametrize("size", sorted(TABULATED))
def test_tabulated_size_reads_as_marking_and_gives_its_row(size: str) -> None:
    """Every key of the table is written as the marking writes itself, and its row comes back."""
    marking = parse_marking(size)
    row = TABULATED[size]
    assert marking.text == size
    assert (design_size(marking).od_mm, design_size(marking).section_mm) == (row.od_mm, row.section_mm)


def test_lt_diagonal_takes_the_row_of_the_radial_and_truck_does_not() -> None:
    """LT rows hold for both constructions; truck rows only as written."""
    assert design_size(parse_marking("7.50-16LT")) == design_size(parse_marking("7.50R16LT"))
    assert approved_rims_in(parse_marking("7.50-16LT")) == (5.5, 6.5)
    assert approved_rims_in(parse_marking("10-22.5")) is None


@pytest.mark.parametrize(
    ("text", "code", "width", "flange", "tidy"),
    [
        ("20x11", 20, 11, None, "20x11"),
        ("16 x 7 J", 16, 7, "J", "16x7J"),
        ("7Jx16", 16, 7, "J", "16x7J"),
        ("22.5×8.25", 22.5, 8.25, None, "22.5x8.25"),
    ],
)
def test_parse_rim_reads_diameter_first_or_by_letter(
    text: str, code: float, width: float, flange: str | None, tidy: str
) -> None:
    """Diameter first as the shop says it; width first only with the flange letter."""
    rim = parse_rim(text)
    assert (rim.code, rim.width_in, rim.flange, rim.text) == (code, width, flange, tidy)


@pytest.mark.parametrize("text", ["20", "20x", "x11", "400x11", "20x11x3", "20/11", "7x16"])
def test_parse_rim_of_what_is_none_is_refused(text: str) -> None:
    """No rim size is refused."""
    with pytest.raises(MarkingError):
        parse_rim(text)


def test_parse_rim_the_wrong_way_round_is_told_the_right_one() -> None:
    """11x20 is told 20x11."""
    with pytest.raises(MarkingError, match="20x11"):
        parse_rim("11x20")


def test_families_are_the_eight_of_the_trade() -> None:
    """The names other rooms and the catalogs rely on."""
    assert [family.value for family in Family] == [
        "metric", "p_metric", "t_spare", "lt_metric", "commercial", "flotation", "lt_numeric",
        "truck_numeric",
    ]  # fmt: skip
