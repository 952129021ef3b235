"""Gearing and speedometer against published rules and worked examples."""

from __future__ import annotations

import math

import pytest

from wellroom.trade.gearing import (
    effective_ratio,
    ratio_to_restore,
    rolling_match_pct,
    rpm,
    speedometer_error_pct,
    speedometer_lawful,
    true_speed_kmh,
)

KMH_PER_MPH = 1.609344


@pytest.mark.parametrize(
    ("mph", "ratio", "inches", "exact", "by_336"),
    [(70, 3.73 * 0.70, 28, 2194.1, 2193.2), (60, 4.10, 33, 2505.7, 2504.7)],
)
def test_rpm_agrees_with_the_336_rule(
    mph: float, ratio: float, inches: float, exact: float, by_336: float
) -> None:
    """Source: Baldwin Wallace University, Gear Math: "336 takes into account pi, inches in a mile, ..."."""
    ours = rpm(mph * KMH_PER_MPH, ratio, math.pi * inches * 25.4)
    assert ours == pytest.approx(exact, abs=0.06)
    assert mph * ratio * 336.0 / inches == pytest.approx(by_336, abs=0.06)
    assert ours == pytest.approx(by_336, rel=0.0005)


def test_rpm_on_rolling_circumference_is_3_percent_above_the_nominal() -> None:
    """Source: 3.05 from memory of ETRTO: a rolling circumference of 3.05 D turns pi / 3.05 times as often."""
    nominal = rpm(60 * KMH_PER_MPH, 4.10, math.pi * 33 * 25.4)
    assert rpm(60 * KMH_PER_MPH, 4.10, 3.05 * 33 * 25.4) / nominal == pytest.approx(1.030, abs=0.0005)


def test_effective_ratio_and_ratio_to_restore() -> None:
    """Source: definition, worked for 4.10 and 29 to 33 in."""
    assert effective_ratio(4.10, 29, 33) == pytest.approx(3.603, abs=5e-4)
    assert ratio_to_restore(4.10, 29, 33) == pytest.approx(4.666, abs=5e-4)


def test_speedometer_error() -> None:
    """Source: formula on a tire-safety page, 100 (indicated - true) / true: 29 to 33 in reads 60 at 68.28."""
    assert true_speed_kmh(60, 29, 33) == pytest.approx(68.28, abs=0.005)
    assert speedometer_error_pct(29, 33) == pytest.approx(-12.12, abs=0.005)


@pytest.mark.parametrize(
    ("true", "most"),
    [(40, 48), (80, 92), (120, 136), (50, 59), (70, 81), (90, 103), (110, 125), (130, 147)],
)
def test_speedometer_band(true: float, most: float) -> None:
    """Source: UN R39 paragraph 5.3 as quoted, and the press's worked figures."""
    assert speedometer_lawful(true, most)
    assert speedometer_lawful(true, true)
    assert not speedometer_lawful(true, most + 0.01)
    assert not speedometer_lawful(true, true - 0.01)


def test_4_10_with_4_11_is_normal() -> None:
    """Common practice, no source: the usual pair of a 4x4 is within half a percent."""
    assert abs(rolling_match_pct(4.10, 400.0, 4.11, 400.0)) < 0.5
