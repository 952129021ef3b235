"""What is asked of a wheel shop stays within the room that there is."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from wellroom.trade.rim import USUAL_TOLERANCE_MM, tolerances

ROOMS = st.floats(0.0, 40.0)
SHARES = st.floats(-1.0, 1.0)
HAIR = 1e-9


@given(ROOMS, ROOMS, SHARES, SHARES)
def test_tolerances_any_wheel_within_them_stays_in_its_window(
    less: float, more: float, back: float, wide: float
) -> None:
    """Both sides of the tire on any wheel within the tolerances stay within what the window's ends gave.

    Worked from the wheel itself: centre by backspace and width, half the section that grows by 0.4 of it.
    """
    ask = tolerances(less, more)
    db = back * (ask.backspace_more if back > 0.0 else ask.backspace_less)
    dw = wide * (ask.width_more if wide > 0.0 else ask.width_less)
    centre, half_section = dw / 2.0 - db, 0.4 * dw / 2.0
    assert centre + half_section <= less + HAIR
    assert -(centre - half_section) <= more + HAIR


@given(ROOMS, ROOMS)
def test_tolerances_are_none_where_there_is_no_room_and_usual_where_there_is(
    less: float, more: float
) -> None:
    """Never negative, never above the usual 1/16 in; all of it where both sides have a quarter inch."""
    ask = tolerances(less, more)
    each = (ask.backspace_less, ask.backspace_more, ask.width_less, ask.width_more)
    assert all(0.0 <= value <= USUAL_TOLERANCE_MM for value in each)
    if min(less, more) >= 6.35:
        assert set(each) == {USUAL_TOLERANCE_MM}
    if less == 0.0:
        assert (ask.backspace_less, ask.width_more) == (0.0, 0.0)
