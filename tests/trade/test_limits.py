"""Invariants, ends and refusals of the formulas."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellroom.trade import gearing, hub, load, motion, rim, tire

LENGTH = st.floats(1.0, 3000.0)


@given(
    backspace=st.floats(-50, 300),
    flange_in=st.floats(8, 40),
    flange_out=st.floats(8, 40),
    width=st.floats(3, 16),
)
def test_rim_backspace_and_front_space_add_up(
    backspace: float, flange_in: float, flange_out: float, width: float
) -> None:
    """Backspace + front space = overall width, and inset turns back into backspace, flanges equal or not."""
    overall = rim.overall_width_mm(width, flange_in, flange_out)
    assert backspace + rim.front_space(backspace, overall) == pytest.approx(overall)
    inset = rim.inset_from_backspace(backspace, flange_in, width * 25.4)
    assert rim.backspace_from_inset(inset, flange_in, width * 25.4) == pytest.approx(backspace)


@pytest.mark.parametrize("code", [9, 11, 15.25, 28, 0, -16, float("nan")])
def test_seat_diameter_of_unknown_code_is_refused(code: float) -> None:
    """A code that is not tabulated has no seat."""
    with pytest.raises(rim.RimError):
        rim.seat_diameter_mm(code)


def test_bead_seat_of_half_codes_is_15_degrees() -> None:
    """Half codes are 15-degree, whole ones 5-degree; none is both."""
    assert {rim.bead_seat_deg(code) for code in rim.FIVE_DEGREE_CODES} == {5}
    assert {rim.bead_seat_deg(code) for code in rim.FIFTEEN_DEGREE_CODES} == {15}


def test_code_mismatch_names_the_danger_of_16_and_16_5() -> None:
    """16 on 16.5 and the reverse say that the tire can burst; 17 on 16 only says no."""
    for pair in ((16, 16.5), (16.5, 16)):
        assert "burst" in str(rim.code_mismatch(*pair))
    assert "burst" not in str(rim.code_mismatch(17, 16))
    assert rim.code_mismatch(16, 16) is None


@pytest.mark.parametrize(("name", "width", "code"), [("J", 8, 12), ("K", 8, 17), ("B", 4, 14), ("Z", 8, 16)])
def test_contour_that_is_not_tabulated_is_refused(name: str, width: float, code: float) -> None:
    """No row, no contour."""
    with pytest.raises(rim.RimError):
        rim.contour(name, width, code)


@given(od=st.floats(600, 1200), code=st.sampled_from([15, 16, 17, 20, 22.5]), commercial=st.booleans())
def test_od_limits_hold_the_design_size_between_them(od: float, code: float, commercial: bool) -> None:
    """Least <= design <= greatest; diagonal, special use and snow only ever widen."""
    low, high = tire.od_limits(od, code, commercial=commercial)
    assert low <= od <= high
    assert tire.od_limits(od, code, commercial=commercial, radial=False)[1] >= high
    assert (
        tire.od_limits(od, code, commercial=True, special=True)[1]
        >= tire.od_limits(od, code, commercial=True)[1]
    )
    assert tire.od_limits(od, code, commercial=commercial, snow=True)[1] == pytest.approx(high * 1.01)


@given(section=st.floats(100, 500), radial=st.booleans(), commercial=st.booleans(), wide=st.booleans())
def test_section_limits_hold_the_design_size_between_them(
    section: float, radial: bool, commercial: bool, wide: bool
) -> None:
    """Least < design < greatest, whatever the kind."""
    low, high = tire.section_limits(section, radial=radial, commercial=commercial, dual_wide=wide)
    assert low < section < high


@given(li=st.integers(60, 159))
def test_load_index_rises(li: int) -> None:
    """A higher index carries more, and the greatest index of a load is the index."""
    assert load.load_index_kg(li + 1) > load.load_index_kg(li)
    assert load.load_index_for(float(load.load_index_kg(li))) == li


@pytest.mark.parametrize("li", [59, 161, 91.5, -1, float("nan")])
def test_load_index_outside_the_table_is_refused(li: float) -> None:
    """Not tabulated, not whole: refused."""
    with pytest.raises(load.UnknownRating):
        load.load_index_kg(li)


def test_load_index_derived_reaches_0_to_200_only() -> None:
    """The decade rule is used on request, and ends."""
    assert load.load_index_kg(0, derived=True) == 45.0
    assert load.load_index_kg(200, derived=True) == 14000.0
    with pytest.raises(load.UnknownRating):
        load.load_index_kg(201, derived=True)


@pytest.mark.parametrize("kg", [249.9, 0.0, -5.0, float("nan"), float("inf")])
def test_load_index_for_no_load_is_refused(kg: float) -> None:
    """Less than the least load, or no number, has no index."""
    with pytest.raises(load.UnknownRating):
        load.load_index_for(kg)


@given(symbol=st.sampled_from(sorted(load.SPEED_KMH)), kmh=st.floats(0, 400))
def test_load_factor_is_never_a_bonus(symbol: str, kmh: float) -> None:
    """Between 0 and 1, falling with speed, 1 at rest, 0 above the symbol."""
    factor = load.load_factor_at_speed(symbol, kmh)
    assert 0.0 <= factor <= 1.0
    assert load.load_factor_at_speed(symbol, kmh + 5.0) <= factor
    assert load.load_factor_at_speed(symbol, 0.0) == 1.0
    assert (factor == 0.0) == (kmh > load.speed_kmh(symbol))


def test_speed_symbol_unknown_is_refused() -> None:
    """I, O and X are no symbols."""
    for symbol in ("I", "O", "X", "", "s"):
        with pytest.raises(load.UnknownRating):
            load.speed_kmh(symbol)


@given(share=st.floats(0.05, 1.0), exponent=st.sampled_from([0.5, 0.7, 0.8, 1.0]))
def test_pressure_for_load_undoes_load_at_pressure(share: float, exponent: float) -> None:
    """The pressure for the load at a pressure is that pressure."""
    kg = load.load_at_pressure(1380.0, 550.0 * share, 550.0, exponent)
    assert load.pressure_for_load(kg, 1380.0, 550.0, exponent) == pytest.approx(550.0 * share)


def test_load_range_unknown_or_wide_without_a_row_is_refused() -> None:
    """G is not tabulated, and a wide F is not either."""
    for letter, section in (("G", None), ("F", 320.0), ("XL", None)):
        with pytest.raises(load.UnknownRating):
            load.load_range_pressure_kpa(letter, section)


def test_load_range_wide_never_has_more_pressure() -> None:
    """A wide section steps down, never up; 295 mm itself is not wide."""
    for letter in "CDE":
        assert load.load_range_pressure_kpa(letter, 305.0) < load.load_range_pressure_kpa(letter, 295.0)


@given(studs=st.sampled_from([3, 4, 5, 6, 8, 10]), circle=st.floats(80, 340), skip=st.integers(1, 2))
def test_bolt_circle_and_chord_undo_each_other(studs: int, circle: float, skip: int) -> None:
    """From circle to chord and back; the error factor is the ratio of the two."""
    span = hub.chord(circle, studs, skip)
    assert hub.bolt_circle_from_chord(span, studs, skip) == pytest.approx(circle)
    assert hub.chord_error_factor(studs, skip) == pytest.approx(circle / span)


@given(studs=st.sampled_from([4, 5, 6, 8, 10]), circle=st.floats(80, 340), clock=st.floats(0, 6.3))
def test_metal_between_patterns_is_periodic_and_symmetric(studs: int, circle: float, clock: float) -> None:
    """Turning by one hole changes nothing; on top of each other the holes overlap by a whole hole."""
    first, second = (circle, studs, 14.0), (circle * 0.9, studs, 16.0)
    here = hub.metal_between_patterns_mm(first, second, clock)
    assert hub.metal_between_patterns_mm(first, second, clock + 2 * np.pi / studs) == pytest.approx(
        here, abs=1e-6
    )
    assert hub.metal_between_patterns_mm(second, first, -clock) == pytest.approx(here, abs=1e-6)
    assert hub.metal_between_patterns_mm(first, first, 0.0) == pytest.approx(-14.0)


@pytest.mark.parametrize("text", ["M14", "14x1.5", "M3x0.5", "9/16", "9/0-18", "1/2-2", "", "M14x9"])
def test_parse_thread_of_what_is_none_is_refused(text: str) -> None:
    """No stud thread is refused."""
    with pytest.raises(hub.ThreadError):
        hub.parse_thread(text)


def test_parse_thread_reads_metric_and_inch_threads() -> None:
    """Diameter and pitch of both kinds."""
    assert hub.parse_thread("m14x1.5".upper().replace("X", "x")) == hub.Thread(14.0, 1.5, "M14x1.5")
    inch = hub.parse_thread("1 1/8-16")
    assert (inch.diameter_mm, inch.pitch_mm) == (pytest.approx(28.575), pytest.approx(1.5875))


@given(inset=st.floats(-200, 200))
def test_cornering_moment_to_build_for_is_never_below_the_standards(inset: float) -> None:
    """Outset never lowers the figure for the shop."""
    build = hub.cornering_moment_to_build_for_nm(1000.0, 350.0, inset, 1.6)
    assert build >= hub.cornering_moment_nm(1000.0, 350.0, inset, 1.6)
    assert build >= hub.cornering_moment_nm(1000.0, 350.0, 0.0, 1.6)


@given(
    fz=st.floats(0, 20000),
    fy=st.floats(-8000, 8000),
    e=st.floats(-100, 100),
    s=st.floats(20, 200),
    r=st.floats(200, 600),
)
def test_bearing_loads_sum_to_the_vertical_load(fz: float, fy: float, e: float, s: float, r: float) -> None:
    """The two bearings carry the vertical load together, and their moment is that of load and side force."""
    inner, outer = hub.bearing_loads_n(fz, fy, e, s, r)
    assert inner + outer == pytest.approx(fz, abs=1e-6)
    assert inner * s == pytest.approx(fz * e + fy * r, abs=1e-5)


@given(front=st.floats(3, 6), rear=st.floats(3, 6), rf=st.floats(300, 600), rr=st.floats(300, 600))
def test_rolling_match_is_as_large_either_way_round(front: float, rear: float, rf: float, rr: float) -> None:
    """Swapping front and rear changes only the sign; equal axles match."""
    one, other = (
        gearing.rolling_match_pct(front, rf, rear, rr),
        gearing.rolling_match_pct(rear, rr, front, rf),
    )
    assert one == pytest.approx(-other)
    assert gearing.rolling_match_pct(front, rf, front, rf) == 0.0


@given(ratio=st.floats(2, 8), old=st.floats(1500, 3500), new=st.floats(1500, 3500), kmh=st.floats(1, 200))
def test_restored_ratio_gives_back_the_engine_speed(ratio: float, old: float, new: float, kmh: float) -> None:
    """With the ratio to restore, the engine turns as before, and the effective ratio says the same."""
    restored = gearing.ratio_to_restore(ratio, old, new)
    before = gearing.rpm(kmh, ratio, old)
    assert gearing.rpm(kmh, restored, new) == pytest.approx(before)
    assert gearing.effective_ratio(restored, old, new) == pytest.approx(ratio)
    assert gearing.speed_at_rpm_kmh(before, ratio, old) == pytest.approx(kmh)


@given(old=st.floats(1500, 3500), new=st.floats(1500, 3500), kmh=st.floats(10, 200))
def test_speedometer_error_is_that_of_the_true_speed(old: float, new: float, kmh: float) -> None:
    """Error and true speed tell one story; a taller tire reads low."""
    error = gearing.speedometer_error_pct(old, new)
    assert error == pytest.approx(gearing.change_pct(kmh, gearing.true_speed_kmh(kmh, old, new)), abs=1e-9)
    assert (error < 0) == (new > old)


@given(radius=LENGTH, clock=st.floats(-1.57, 1.57), lift=st.floats(0, 150))
def test_lip_radius_grows_with_lift_and_less_off_the_top(radius: float, clock: float, lift: float) -> None:
    """A lift never brings a lip above the axle nearer, and gains at most the lift."""
    gain = motion.lip_radius_mm(radius, clock, -lift) - radius
    assert -1e-9 <= gain <= lift + 1e-9


@given(gap=st.floats(0, 200), rubber=st.floats(0, 100), lift=st.floats(0, 150), radius=st.floats(300, 900))
def test_spring_lift_alone_leaves_the_lip_at_full_bump(
    gap: float, rubber: float, lift: float, radius: float
) -> None:
    """The stop opens by what the lip gains: full bump is as it was. Common practice, no source."""
    before = motion.lip_radius_mm(radius, 0.0, motion.bump_mm(gap, rubber))
    after = motion.lip_radius_mm(radius + lift, 0.0, motion.bump_mm(gap + lift, rubber))
    assert after == pytest.approx(before, abs=1e-9)


@given(section=LENGTH, inset=st.floats(-200, 200), out=st.floats(-100, 300))
def test_poke_and_inside_add_up_to_the_section(section: float, inset: float, out: float) -> None:
    """What pokes out and what stands inside is the whole tire; less inset by 1 is 1 more poke."""
    poke = motion.poke_mm(section, inset, out)
    assert poke + motion.inside_mm(section, poke) == pytest.approx(section)
    assert motion.poke_mm(section, inset - 1.0, out) == pytest.approx(poke + 1.0)
