"""Where windows end: every edge of a section against every disc, in the plainest way."""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wellroom.geometry.curve import STEP, Curve
from wellroom.geometry.section import Rims, Sections, Tires, sections
from wellroom.geometry.windows import fouled_to


def discs(rng: np.random.Generator, count: int) -> tuple[np.ndarray, ...]:
    """Return (r, y, growth) of discs along a wandering line, some on top of each other."""
    r = 200.0 + np.cumsum(rng.choice([0.0, 0.01, 0.3, 2.0, 30.0], count) * rng.random(count))
    y = -180.0 + np.cumsum(rng.normal(size=count) * rng.choice([0.0, 0.02, 3.0]))
    return r, y, rng.choice([0.0, 0.2, 6.0, 12.7], count) + rng.random(count) * rng.choice([0.0, 0.25])


def wheels(rng: np.random.Generator, count: int) -> Sections:
    """Return tires on rims, rows of equal rims and of equal side walls among them, rims numbered."""
    tire, rim = rng.integers(0, 4, count), rng.integers(0, 3, count)

    def one(low: float, high: float, of: np.ndarray, kinds: int) -> np.ndarray:
        return np.round(rng.uniform(low, high, kinds), int(rng.integers(0, 3)))[of]

    fixed = [one(*limits, rim, 3) for limits in ((205, 215), (150, 260), (8, 14), (8, 14), (12, 18), (4, 9))]
    well = [one(*limits, rim, 3) for limits in ((15, 26), (20, 40), (-40, 40), (10, 18))]
    shoulder = one(0, 30, tire, 4) * rng.integers(0, 2, 4)[tire]
    made = sections(
        Rims(*fixed, *well),
        Tires(
            one(330, 460, tire, 4),
            one(190, 330, tire, 4) + 0.4 * fixed[1],
            one(203, 216, np.zeros(count, dtype=int), 1),
            shoulder,
            one(120, 260, tire, 4),
            rng.integers(0, 2, 4)[tire].astype(float),
        ),
    )
    return Sections(made.r, made.inboard, made.outboard, rim)


def plain(towards: int, r: np.ndarray, y: np.ndarray, growth: np.ndarray, parts: Sections) -> np.ndarray:
    """Return where windows end by trying each edge of each section on each disc: ends, and the tangent."""
    out = np.full(len(parts.r), -np.inf)
    for row, sides in enumerate(parts.inboard if towards > 0 else parts.outboard):
        corners = list(zip(parts.r[row], sides, strict=True))
        for (r0, h0), (r1, h1) in itertools.pairwise(corners):
            if r1 <= r0:
                continue
            slope = (h1 - h0) / (r1 - r0)
            for place, height, size in zip(r, y, growth, strict=True):
                tangent = place + size * slope / np.hypot(1.0, slope)
                low, high = max(r0, place - size), min(r1, place + size)
                for at in (low, high, min(max(tangent, low), high)):
                    if low <= high:
                        far = height + np.sqrt(max(size**2 - (at - place) ** 2, 0.0))
                        out[row] = max(out[row], far + h0 + slope * (at - r0))
    return out


@given(st.integers(0, 10**6), st.sampled_from([1, -1]), st.integers(1, 60))
@settings(max_examples=60, deadline=None)
def test_fouled_to_random_discs_is_what_each_edge_and_disc_give(seed: int, towards: int, count: int) -> None:
    """The greatest of all edges on all discs, to a millionth of a millimetre; nothing where none meets."""
    rng = np.random.default_rng(seed)
    r, y, growth = discs(rng, count)
    parts = wheels(rng, 8)
    found = fouled_to(Curve.of(towards, r, y, growth), parts)
    expected = plain(towards, r, y, growth, parts)
    np.testing.assert_allclose(found, expected, rtol=0.0, atol=1e-6)


@given(st.integers(0, 10**6), st.integers(1, 200))
@settings(max_examples=40, deadline=None)
def test_fouled_to_rows_shared_or_permuted_are_the_same_bits(seed: int, count: int) -> None:
    """What is reckoned once for equal rims and side walls is what each row alone gives, in any order."""
    rng = np.random.default_rng(seed)
    curve = Curve.of(1, *discs(rng, count))
    parts = wheels(rng, 24)
    found = fouled_to(curve, parts)
    alone = [fouled_to(curve, Sections(parts.r, parts.inboard, parts.outboard).take([k])) for k in range(24)]
    order = rng.permutation(24)
    assert np.array_equal(found, np.concatenate(alone))
    assert np.array_equal(found[order], fouled_to(curve, parts.take(order)))


@given(st.integers(0, 10**6), st.integers(1, 200), st.floats(-40.0, 40.0))
@settings(max_examples=40, deadline=None)
def test_fouled_to_with_what_is_fouled_already_is_the_greater(seed: int, count: int, more: float) -> None:
    """What is fouled already only spares work: the result is the greater of the two."""
    rng = np.random.default_rng(seed)
    curve = Curve.of(-1, *discs(rng, count))
    parts = wheels(rng, 12)
    found = fouled_to(curve, parts)
    least = np.where(np.isfinite(found), found, 0.0) + more * rng.random(12)
    np.testing.assert_allclose(fouled_to(curve, parts, least), np.maximum(found, least), rtol=0.0, atol=1e-9)


@given(st.integers(0, 10**6), st.integers(1, 80))
@settings(max_examples=40, deadline=None)
def test_curve_bound_is_never_below_any_point_of_its_bins(seed: int, count: int) -> None:
    """For any slope and bins: no point of any disc in them is above the bound, nor above the reach."""
    rng = np.random.default_rng(seed)
    r, y, growth = discs(rng, count)
    curve = Curve.of(1, r, y, growth)
    turn = rng.uniform(-np.pi, np.pi, 4000)
    which = rng.integers(0, count, 4000)
    at, height = r[which] + growth[which] * np.cos(turn), y[which] + growth[which] * np.sin(turn)
    bins = curve.at(at)
    assert np.all(height <= curve.reach[bins] + 1e-6)
    slope = np.sinh(rng.uniform(-3.0, 3.0, 4000))
    first, last = np.maximum(bins - 5, 0), np.minimum(bins + 9, len(curve.reach) - 1)
    most, peak = curve.bound(slope, first, last)
    assert np.all(height + slope * at <= most + 1e-6)
    assert np.all((first <= peak) & (peak <= last))


def test_fouled_to_steeper_than_any_table_is_taken_exactly() -> None:
    """An edge far steeper than what is tabled still ends where its highest point meets the disc."""
    r = np.array([[200.0, 200.0, 200.0, 200.0, 300.0, 300.0, 300.0, 300.0 + 3.0 * STEP]])
    reach = np.array([[0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1e9]])
    curve = Curve.of(1, np.array([300.0 + 3.0 * STEP]), np.array([5.0]), np.array([2.0]))
    assert fouled_to(curve, Sections(r, reach, reach))[0] == 1e9 + 7.0
