"""The pose set: exactly the travel pairs that the limits allow."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellroom.geometry.motion import Motion, Range

bumps = st.floats(0.0, 200.0)
spans = st.floats(500.0, 1400.0)
tilts = st.floats(0.01, 0.3)
shares = st.floats(0.0, 1.0)


def travel(m: Motion, zone: int, tilt: float, up: float) -> tuple[float, float]:
    """Return both ends' travel [mm] at a share of a zone's tilts and a share of the travel there."""
    z = m.zones()[zone]
    g = z.first + tilt * (z.last - z.first)
    low, high = z.low + z.low_g * g, z.high + z.high_g * g
    here = low + up * (high - low)
    return here, here - g * (m.span or 0.0)


@given(bump=bumps, droop=bumps, span=spans, tilt=tilts, at=shares, up=shares, zone=st.integers(0, 1))
def test_zones_hold_only_travel_pairs_within_the_limits(
    bump: float, droop: float, span: float, tilt: float, at: float, up: float, zone: int
) -> None:
    """Both ends stay between droop and bump, and the lean that they give within the tilt limit."""
    m = Motion(Range(-droop, bump), span=span, max_tilt=tilt)
    here, other = travel(m, zone, at, up)
    for z in (here, other):
        assert -droop - 1e-6 <= z <= bump + 1e-6
    assert abs(here - other) <= span * np.sin(tilt) + 1e-6


@given(bump=bumps, droop=bumps, span=spans, tilt=tilts, here=shares, other=shares)
def test_zones_hold_every_travel_pair_within_the_limits(
    bump: float, droop: float, span: float, tilt: float, here: float, other: float
) -> None:
    """Each pair within travel and tilt limits lies in one of the zones."""
    m = Motion(Range(-droop, bump), span=span, max_tilt=tilt)
    most = span * np.sin(tilt)
    z = -droop + here * (bump + droop)
    low, high = max(-droop, z - most), min(bump, z + most)
    z_other = low + other * (high - low)
    g = (z - z_other) / span
    fits = [
        zone.first - 1e-9 <= g <= zone.last + 1e-9
        and zone.low + zone.low_g * g - 1e-6 <= z <= zone.high + zone.high_g * g + 1e-6
        for zone in m.zones()
    ]
    assert any(fits)


def test_zones_without_tilt_are_one_box_of_travel() -> None:
    """An axle whose tilt is not known goes straight up and down."""
    (zone,) = Motion(Range(-90.0, 60.0)).zones()
    assert (zone.first, zone.last, zone.low, zone.high) == (0.0, 0.0, -90.0, 60.0)


def test_zones_with_little_travel_stop_the_tilt_early() -> None:
    """The tilt goes no further than one end at bump with the other at droop."""
    m = Motion(Range(-10.0, 20.0), span=1000.0, max_tilt=0.3)
    assert [zone.first for zone in m.zones()] == pytest.approx([-0.03, 0.0])
    assert [zone.last for zone in m.zones()] == pytest.approx([0.0, 0.03])


@pytest.mark.parametrize(
    ("lock", "steered"), [(Range(0.0, 0.0), False), (Range(-0.3, 0.0), True), (Range(0.0, 0.4), True)]
)
def test_steered_needs_a_lock_on_some_side(lock: Range, steered: bool) -> None:
    """A wheel is steered as soon as one of its locks is not zero."""
    assert Motion(Range(0.0, 0.0), lock).steered is steered
