"""What every shop knows. Common practice, no source: the figures are the trade's, in inches."""

from __future__ import annotations

import numpy as np
import pytest

from wellroom.trade.motion import (
    bump_mm,
    face_rise_at_stop_mm,
    gap_mm,
    inside_mm,
    lip_radius_mm,
    poke_mm,
    track_bar_shift_mm,
)
from wellroom.trade.rim import inset_from_backspace, overall_width_mm
from wellroom.trade.tire import section_on_rim

IN = 25.4


def test_lip_at_24_touches_a_48_tire() -> None:
    """Common practice, no source: a lip at 24 in straight over the tread touches a tire that measures 48."""
    assert gap_mm(24 * IN, 48 * IN) == pytest.approx(0.0, abs=1e-9)


def test_lip_at_24_leaves_three_and_a_half_over_a_41_tire() -> None:
    """Common practice, no source: 3 1/2 in over a tire that measures 41, at rest."""
    assert gap_mm(24 * IN, 41 * IN) / IN == pytest.approx(3.5)


def test_lip_at_24_is_half_an_inch_into_a_41_tire_at_4_in_of_bump() -> None:
    """Common practice, no source: at 4 in of bump that tire is 1/2 in into the lip."""
    assert gap_mm(lip_radius_mm(24 * IN, 0.0, 4 * IN), 41 * IN) / IN == pytest.approx(-0.5)


def test_eleven_inch_rim_gives_four_of_poke_and_ten_inside() -> None:
    """Common practice, no source: flanges 1/2, backspace 4, tire 14 wide, body's edge 5 out from the face."""
    inset = inset_from_backspace(4 * IN, 0.5 * IN, 11 * IN)
    poke = poke_mm(14 * IN, inset, 5 * IN)
    assert overall_width_mm(11, 0.5 * IN, 0.5 * IN) / IN == pytest.approx(12.0)
    assert poke / IN == pytest.approx(4.0)
    assert inside_mm(14 * IN, poke) / IN == pytest.approx(10.0)


def _inner_side(width_in: float, inset: float) -> float:
    """How far inboard of the face the inner side stands, for a 12 in section measured on a 10 in rim."""
    return inset + section_on_rim(12 * IN, 10.0, width_in) / 2


def _outer_side(width_in: float, inset: float) -> float:
    return section_on_rim(12 * IN, 10.0, width_in) / 2 - inset


def test_rim_an_inch_narrower_at_the_same_backspace_costs_0_3_inboard() -> None:
    """Common practice, no source: inboard clearance 0.3 in worse, the outer side 0.7 in further in."""
    wide, narrow = (inset_from_backspace(4 * IN, 0.5 * IN, w * IN) for w in (10, 9))
    assert (_inner_side(9, narrow) - _inner_side(10, wide)) / IN == pytest.approx(0.3)
    assert (_outer_side(9, narrow) - _outer_side(10, wide)) / IN == pytest.approx(-0.7)


def test_rim_an_inch_narrower_at_the_same_inset_gains_0_2_each_side() -> None:
    """Common practice, no source: 0.2 in better inboard, 0.2 in less outside."""
    assert (_inner_side(9, -20.0) - _inner_side(10, -20.0)) / IN == pytest.approx(-0.2)
    assert (_outer_side(9, -20.0) - _outer_side(10, -20.0)) / IN == pytest.approx(-0.2)


@pytest.mark.parametrize(("tilt", "rise"), [(8, 2.37), (10, 2.95), (12, 3.53)])
def test_tilt_about_a_stop_17_in_inboard_raises_the_face(tilt: float, rise: float) -> None:
    """Common practice, no source: 2.37, 2.95 and 3.53 in at 8, 10 and 12 degrees."""
    assert face_rise_at_stop_mm(17 * IN, np.radians(tilt)) / IN == pytest.approx(rise, abs=0.005)


@pytest.mark.parametrize(("clock", "gain"), [(0, 2.00), (30, 1.75), (60, 1.06), (90, 0.09)])
def test_two_inches_of_lift_at_the_clocks_of_a_23_in_lip(clock: float, gain: float) -> None:
    """Common practice, no source: a 23 in lip gains 2.00, 1.75, 1.06 and 0.09 in at rest."""
    after = lip_radius_mm(23 * IN, np.radians(clock), -2 * IN)
    assert after / IN - 23 == pytest.approx(gain, abs=0.006)


def test_spring_lift_alone_buys_nothing_at_full_bump() -> None:
    """Common practice, no source: lip and stop gain the same, at every clock the lip meets the same tire."""
    clocks = np.radians([0.0, 30.0, 60.0, 85.0])
    stock = lip_radius_mm(23 * IN, clocks, bump_mm(3 * IN, 2 * IN))
    lifted_lip = lip_radius_mm(23 * IN, clocks, -2 * IN)
    lifted_clock = np.arctan2(23 * IN * np.sin(clocks), 23 * IN * np.cos(clocks) + 2 * IN)
    assert lip_radius_mm(lifted_lip, lifted_clock, bump_mm(5 * IN, 2 * IN)) == pytest.approx(stock)


@pytest.mark.parametrize(("slope", "shift"), [(0.0, 0.24), (10.0, 0.46), (-10.0, 0.96)])
def test_track_bar_of_34_in_swings_the_axle_over_4_in_of_bump(slope: float, shift: float) -> None:
    """Common practice, no source: level 0.24 in, axle end 10 degrees lower 0.46, higher 0.96."""
    assert abs(track_bar_shift_mm(34 * IN, np.radians(slope), 4 * IN)) / IN == pytest.approx(shift, abs=0.005)


def test_track_bar_moves_the_axle_away_while_it_comes_level_and_back_beyond() -> None:
    """Common practice, no source: out with the axle's end lower, back in with it level or higher."""
    shifts = [track_bar_shift_mm(34 * IN, np.radians(slope), 4 * IN) for slope in (10.0, 0.0, -10.0)]
    assert [bool(shift > 0) for shift in shifts] == [True, False, False]
