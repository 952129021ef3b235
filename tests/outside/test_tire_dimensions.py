"""Tire dimensions against published and remembered tables.

Each table names its source. "From memory of" a standard means that the paper was not read again.
"""

from __future__ import annotations

import numpy as np
import pytest

from wellroom.trade.marking import approved_rims_in, design_size, parse_marking
from wellroom.trade.sizes import APPROVED_METRIC_RIMS
from wellroom.trade.tire import (
    effective_radius_mm,
    nominal_diameter_mm,
    od_limits,
    revolutions_per_mile,
    rolling_circumference_mm,
    section_limits,
    section_on_rim,
)


def test_p205_60r15_matches_the_tra_row() -> None:
    """Source: TRA data quoted by a tire-industry writer, 1999: 6.0 rim, section 8.23, diameter 24.69 in."""
    size = design_size(parse_marking("P205/60R15"))
    assert size.measuring_rim_in == 6.0
    assert round(size.section_mm / 25.4, 2) == 8.23
    assert round(size.od_mm / 25.4, 2) == 24.69


@pytest.mark.parametrize(
    ("marking", "rim", "section_in", "od_in"),
    [("LT245/75R16", 7.0, 9.76, 30.5), ("LT285/70R17", 8.5, 11.5, None), ("LT275/70R18", 8.0, 11.0, None)],
)
def test_lt_metric_matches_remembered_tra_rows(
    marking: str, rim: float, section_in: float, od_in: float | None
) -> None:
    """Source: from memory of TRA."""
    size = design_size(parse_marking(marking))
    assert size.measuring_rim_in == rim
    assert size.section_mm / 25.4 == pytest.approx(section_in, abs=0.02)
    assert od_in is None or size.od_mm / 25.4 == pytest.approx(od_in, abs=0.05)


@pytest.mark.parametrize(
    ("marking", "rim", "section", "od"),
    [
        ("195/65R15", 6.0, 201, 635),
        ("205/55R16", 6.5, 214, 632),
        ("245/40R18", 8.5, 248, 653),
        ("295/80R22.5", 9.0, 298, 1044),
        ("315/80R22.5", 9.0, 312, 1076),
        ("265/70R19.5", 7.5, 262, 867),
        ("245/70R19.5", 7.5, 248, 839),
    ],
)
def test_metric_matches_remembered_etrto_rows(marking: str, rim: float, section: float, od: float) -> None:
    """Source: from memory of ETRTO."""
    size = design_size(parse_marking(marking))
    assert (size.measuring_rim_in, size.section_mm, size.od_mm) == (rim, section, od)


@pytest.mark.parametrize(
    ("code", "d"),
    [
        (10, 254), (12, 305), (13, 330), (14, 356), (15, 381), (16, 406), (17, 432), (18, 457), (19, 483),
        (20, 508),
        (21, 533), (22, 559), (24, 610), (14.5, 368), (16.5, 419), (17.5, 445), (19.5, 495), (22.5, 572),
        (24.5, 622),
    ],
)  # fmt: skip
def test_nominal_diameter_matches_the_regulation(code: float, d: float) -> None:
    """Source: from memory of UN R30 and UN R54, definition of the nominal rim diameter."""
    assert nominal_diameter_mm(code) == d


def test_section_grows_5_mm_for_half_an_inch_of_rim() -> None:
    """Source: UN R30 6.1.1.1, K = 0.4; a tire data sheet: "approximately 5 mm for each 0.5 in change"."""
    assert section_on_rim(250.0, 7.0, 7.5) - 250.0 == pytest.approx(5.08)


def test_section_grows_a_tenth_of_an_inch_for_a_quarter() -> None:
    """Source: truck tire data sheet, 2011, note 1 (0.10 in); "for each 1/4 in" from memory of TRA."""
    assert section_on_rim(254.0, 7.0, 7.25) - 254.0 == pytest.approx(2.54)


def test_section_on_approved_rims_of_31x10_50r15() -> None:
    """Source: 268 mm on 8.50 from memory of UN R54 annex 5, carried by K = 0.4 of UN R30."""
    sections = section_on_rim(268.0, 8.5, np.array([7.0, 8.0, 8.5, 9.0]))
    assert sections.round(1).tolist() == [252.8, 262.9, 268.0, 273.1]


@pytest.mark.parametrize(
    ("marking", "od", "section", "rim"),
    [
        ("27x8.50R14LT", 674, 218, 7.0),
        ("28x8.50R15LT", 699, 218, 7.0),
        ("29x9.50R15LT", 724, 240, 7.5),
        ("30x9.50R15LT", 750, 240, 7.5),
        ("31x10.50R15LT", 775, 268, 8.5),
        ("32x11.50R15LT", 801, 290, 9.0),
    ],
)
def test_flotation_rule_reproduces_remembered_rows(
    marking: str, od: float, section: float, rim: float
) -> None:
    """Source: rows from memory of UN R54 annex 5 part II; marking less 1/2 in rounded up; 25.4 x width."""
    read = parse_marking(marking)
    assert read.outside_in is not None
    assert read.width_in is not None
    assert np.ceil(25.4 * read.outside_in - 12.7) == od
    assert abs(25.4 * read.width_in - section) <= 2.5
    assert (design_size(read).od_mm, design_size(read).measuring_rim_in) == (od, rim)
    other_code = marking.replace("R14", "R13").replace("R15", "R16")
    untabulated = design_size(parse_marking(other_code))
    assert untabulated.source == "pattern"
    assert (untabulated.od_mm, untabulated.measuring_rim_in) == (od, rim)


def test_full_profile_numeric_height_is_over_nine_tenths_of_its_width() -> None:
    """Source: 7.50-16LT from memory of UN R54 annex 5 (808 mm, 220 mm); full profile 0.91 to 0.95."""
    size = design_size(parse_marking("7.50-16LT"))
    assert size.height_mm / size.section_mm == pytest.approx(0.914, abs=0.001)


@pytest.mark.parametrize(
    ("marking", "rims"),
    [
        ("8R19.5", (5.25, 6.75)),
        ("9R22.5", (6.0, 7.5)),
        ("10R22.5", (6.75, 8.25)),
        ("12R22.5", (8.25, 9.0)),
        ("225/70R19.5", (6.0, 6.75)),
        ("245/70R19.5", (6.75, 7.5)),
        ("265/70R19.5", (7.5, 8.25)),
        ("295/75R22.5", (8.25, 9.0)),
        ("445/50R22.5", (14.0, 14.0)),
    ],
)
def test_approved_rims_of_medium_truck_sizes(marking: str, rims: tuple[float, float]) -> None:
    """Source: "Medium Truck Approved Rim Width & Minimum Dual Spacing", February 2011."""
    assert approved_rims_in(parse_marking(marking)) == rims


@pytest.mark.parametrize("size", sorted(APPROVED_METRIC_RIMS))
def test_measuring_rim_is_within_the_approved_rims(size: str) -> None:
    """Source: approved rims from memory of TRA and ETRTO, or the medium truck table of February 2011."""
    low, high, _ = APPROVED_METRIC_RIMS[size]
    assert low <= design_size(parse_marking(size)).measuring_rim_in <= high


def test_new_tire_limits_of_lt245_75r16() -> None:
    """Source: from memory of UN R30 and R54: 0.97 and 1.04 of the heights, + 4 % of section."""
    low, high = od_limits(774.0, 16)
    assert (round(float(low), 1), round(float(high), 1)) == (763.0, 788.7)
    assert round(section_limits(248.0)[1], 1) == 257.9


def test_new_tire_limits_of_7_50_16_bias() -> None:
    """Source: from memory of UN R54: 1.07 of the heights and + 8 % of section on diagonal tires."""
    assert round(float(od_limits(808.0, 16, radial=False, commercial=True)[1]), 1) == 836.1
    assert round(section_limits(220.0, radial=False, commercial=True)[1], 1) == 237.6


@pytest.mark.parametrize(
    ("marking", "circumference", "per_mile"),
    [
        ("195/65R15", 1937, 831),
        ("205/55R16", 1928, 835),
        ("LT235/85R16", 2458, 655),
        ("LT245/75R16", 2361, 682),
        ("LT265/75R16", 2452, 656),
    ],
)
def test_rolling_circumference_and_revolutions(marking: str, circumference: float, per_mile: float) -> None:
    """Source: 3.05 x diameter from memory of ETRTO (1937, 1928 from catalogs); 63,360 in a mile."""
    rolling = rolling_circumference_mm(design_size(parse_marking(marking)).od_mm)
    assert round(rolling) == circumference
    assert round(revolutions_per_mile(rolling)) == per_mile


def test_effective_radius_agrees_with_the_exact_arc() -> None:
    """Source: Jazar, Vehicle Dynamics, chapter 1: Rw = Rg sin(phi) / phi, cos(phi) = Rh / Rg."""
    phi = np.arccos(365.0 / 387.0)
    assert effective_radius_mm(387.0, 365.0) == pytest.approx(379.67, abs=0.005)
    assert effective_radius_mm(387.0, 365.0) == pytest.approx(387.0 * np.sin(phi) / phi, abs=0.05)
