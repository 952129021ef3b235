"""Text to value: what is read, and what is refused."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellroom.units import KPA_PER_PSI, Kind, Measure, ParseError, Units, parse


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("24 1/8", 612.775),
        ("24-1/8", 612.775),
        ("24⅛", 612.775),
        ("24 ⅛ in", 612.775),
        ("24.125", 612.775),
        ('24 1/8"', 612.775),
        ("24 1/8 inches", 612.775),
        ("2 ft 3 in", 685.8),
        ("2' 3 1/2\"", 698.5),
        ("-2 ft 3 in", -685.8),
        ("2 ft", 609.6),
        ("612 mm", 612.0),
        ("61.2 cm", 612.0),
        ("1.5 m", 1500.0),
        ("½", 12.7),
        ("-1/8", -3.175),
        ("\u22121/8", -3.175),
        ("+3", 76.2),
        (".5", 12.7),
        (24, 609.6),
        (24.125, 612.775),
        (-0.0, 0.0),
    ],
)
def test_parse_length_in_any_usual_form_gives_exact_mm(text: str | float, mm: float) -> None:
    """Each way of writing a length gives the same float as exact arithmetic."""
    assert parse(text, Kind.LENGTH, "in").value == mm


@pytest.mark.parametrize(
    ("text", "kind", "units", "value"),
    [
        ("80", Kind.PRESSURE, "in", 80 * KPA_PER_PSI),
        ("550", Kind.PRESSURE, "mm", 550.0),
        ("5.5 bar", Kind.PRESSURE, "in", 550.0),
        ("5290", Kind.MASS, "in", 2399.5036373),
        ("2400", Kind.MASS, "mm", 2400.0),
        ("100 kg", Kind.MASS, "in", 100.0),
        ("65", Kind.SPEED, "in", 104.60736),
        ("65", Kind.SPEED, "mm", 65.0),
        ("12°", Kind.ANGLE, "in", math.radians(12.0)),
        ("12", Kind.ANGLE, "mm", math.radians(12.0)),
        ("3 %", Kind.PERCENT, "in", 3.0),
        ("4.10", Kind.RATIO, "in", 4.1),
        ("4.10:1", Kind.RATIO, "mm", 4.1),
        ("41/10", Kind.RATIO, "in", 4.1),
        (8, Kind.PLAIN, "in", 8.0),
    ],
)
def test_parse_other_kinds_gives_internal_unit(
    text: str | int, kind: Kind, units: Units, value: float
) -> None:
    """Bare numbers follow the file's units, written units go before them."""
    assert parse(text, kind, units).value == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "value", "pm", "shown"),
    [
        ("24 ± 1/8", 609.6, 3.175, "24 ± 1/8 in"),
        ("24 +/- 1/8 in", 609.6, 3.175, "24 ± 1/8 in"),
        ("24 in +- 1/8", 609.6, 3.175, "24 ± 1/8 in"),
        ("24±⅛", 609.6, 3.175, "24 ± 1/8 in"),
        ("24 in ± 3 mm", 609.6, 3.0, "24 in ± 3 mm"),
        ("24 ± 2 %", 609.6, 12.192, "24 in ± 2 %"),
        ("24 ± 0", 609.6, 0.0, "24 ± 0 in"),
    ],
)
def test_parse_plus_minus_shares_unit_of_other_half(text: str, value: float, pm: float, shown: str) -> None:
    """A ± takes the unit that only one half has, or a share of the value."""
    measure = parse(text, Kind.LENGTH, "in")
    assert (measure.value, measure.text) == (value, shown)
    assert measure.pm == pytest.approx(pm, rel=1e-12)
    assert not measure.is_range


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("0 to 12", 0.0, 304.8),
        ("22..24", 558.8, 609.6),
        ("22 to 24 in", 558.8, 609.6),
        ("22 in to 24", 558.8, 609.6),
        ("500 mm .. 24 in", 500.0, 609.6),
        ("0.5..1.5", 12.7, 38.1),
        ("-2 to -1", -50.8, -25.4),
    ],
)
def test_parse_range_keeps_both_ends(text: str, low: float, high: float) -> None:
    """A range has its ends and its middle, and no ±."""
    measure = parse(text, Kind.LENGTH, "in")
    assert (measure.low, measure.high, measure.pm) == (low, high, None)
    assert measure.value == pytest.approx((low + high) / 2)
    assert measure.is_range


@pytest.mark.parametrize(
    "text",
    [
        "1,000", "24,5", "24,5 cm", "1 000", "1 000 mm", "1'000", "1_000", "1e3", "24 - 1/8", "22-24",
        "22\u201324", "24 9/8", "1/0", "24.5 1/8", "5.", "22...24", "22. .. 24", "24 to 22", "22 to 23 to 24",
        "24 in 3", "2 ft 13 in", "nan", "inf", "", " ", "in", "--3", "- - 3", "24 ± -1", "24 ± +1",
        "24 ± 1 ± 1", "22 to 24 ± 1", "24 lb", "24 furlongs", "٣", "²", "0x10", "24 in in",
        "9" * 100, "9" * 30, "1/8/2", "241/8", "9/8 in",
    ],
)  # fmt: skip
def test_parse_length_that_may_be_misread_is_refused(text: str) -> None:
    """What is no length, or could be read two ways, is refused with what was found."""
    with pytest.raises(ParseError) as caught:
        parse(text, Kind.LENGTH, "in")
    assert caught.value.found
    assert "length" in caught.value.expected or "feet" in caught.value.expected


@pytest.mark.parametrize(
    "number", [float("nan"), float("inf"), -float("inf"), True, 10**400, 1e300, None, [24]]
)
def test_parse_number_that_is_no_measure_is_refused(number: object) -> None:
    """Not finite, not believable or not a number at all: refused, and never an overflow."""
    with pytest.raises(ParseError):
        parse(number, Kind.LENGTH, "in")  # type: ignore[arg-type]


def test_parse_unit_of_another_kind_names_the_kinds_own_units() -> None:
    """A pressure in pounds is told which units a pressure has."""
    with pytest.raises(ParseError, match=r"expected a pressure \(psi, kPa, bar\)"):
        parse("80 lb", Kind.PRESSURE, "in")


def test_parse_comma_is_told_what_to_write() -> None:
    """A decimal comma is refused with the way to write it."""
    with pytest.raises(ParseError, match=r"without commas, such as 24\.5 or 1000"):
        parse("24,5", Kind.LENGTH, "in")


@given(whole=st.integers(0, 400), over=st.integers(0, 63), power=st.integers(1, 6), minus=st.booleans())
def test_parse_mixed_fraction_equals_exact_arithmetic(whole: int, over: int, power: int, minus: bool) -> None:
    """Any tape fraction gives the float nearest to the exact product."""
    under = 2**power
    over %= under
    sign = -1 if minus else 1
    exact = sign * (whole + Fraction(over, under)) * Fraction(254, 10)
    assert parse(f"{'-' if minus else ''}{whole} {over}/{under}", Kind.LENGTH, "in").value == float(exact)


@given(
    text=st.sampled_from(
        ["24 1/8", "2 ft 3 in", "22 to 24", "24 in ± 3 mm", "24 ± 1/8", "-5/8", "0.375", "30 ± 2 %"]
    ),
    units=st.sampled_from(["in", "mm"]),
)
def test_parse_of_its_own_text_gives_the_same_measure(text: str, units: Units) -> None:
    """The text a measure shows is read back as the same measure, whatever the file's units."""
    first = parse(text, Kind.LENGTH, units)
    again = parse(first.text, Kind.LENGTH, "mm" if units == "in" else "in")
    assert again == first


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9))
def test_parse_float_in_mm_is_kept_to_the_bit(number: float) -> None:
    """A bare number in the internal unit comes out as it went in."""
    try:
        measure = parse(number, Kind.LENGTH, "mm")
    except ParseError:
        assert abs(number) < 1e-50
    else:
        assert measure.value == number


@given(text=st.text(max_size=30), kind=st.sampled_from(Kind))
def test_parse_any_text_gives_a_finite_measure_or_a_parse_error(text: str, kind: Kind) -> None:
    """No text ends in anything else than a finite measure or a ParseError."""
    try:
        measure = parse(text, kind, "in")
    except ParseError:
        return
    assert math.isfinite(measure.value)
    assert measure.low <= measure.value <= measure.high


@given(st.text(alphabet="0123456789 ./-'\"±°inftmc⅛½to%+", min_size=1, max_size=14))
def test_parse_text_of_measure_characters_never_breaks_the_rules(text: str) -> None:
    """Texts made of a measure's own characters parse to ordered, finite values, or not at all."""
    try:
        measure = parse(text, Kind.LENGTH, "in")
    except ParseError:
        return
    assert measure.low <= measure.value <= measure.high
    assert measure.pm is None or measure.pm >= 0
    assert parse(measure.text, Kind.LENGTH, "mm").value == measure.value


def test_measure_exact_has_no_plus_minus() -> None:
    """A derived value is no range and states no ±."""
    assert Measure.exact(5.0) == Measure(5.0, 5.0, 5.0, None, None, "5")
