"""Choosing ring-and-pinion sets against worked gearing examples, through the real reader and catalogs."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import wellroom
from wellroom.search.regear_results import RegearResult

INCH = 25.4
WORKED = """
title = "Worked example"
units = "in"
[vehicle]
drive = "rear"
[axle.front]
type = "solid"
[axle.rear]
type = "solid"
gear_family = "ridge_88"
axle_ratio = 4.10
[now.rear]
tire = "235/75R15"
tire_diameter = 29
[gearing]
top_gear = 1
first_gear = 4
low_range = 2.5
cruise_speed = 60
cruise_rpm = 2400
"""


def worked(tmp_path: Path, height: str = "33", **options: object) -> RegearResult:
    """Return what regearing says of 4.10 with 29 in tires that become as tall as ``height``."""
    file = tmp_path / "worked.toml"
    file.write_text(WORKED, encoding="utf-8")
    scenario = wellroom.load_scenario(file)
    return wellroom.regear(scenario, wellroom.load_catalog(), height=height, **options)  # type: ignore[arg-type]  # options by name


def test_regear_effective_ratio_restoring_ratio_and_speedometer(tmp_path: Path) -> None:
    """Source: definition, worked for 4.10 and 29 to 33 in: 3.603, 4.666, - 12.12 %; nearest on sale 4.556."""
    result = worked(tmp_path)
    assert result.restoring_ratio == pytest.approx(4.666, abs=5e-4)
    kept = next(choice for choice in result.choices if choice.today)
    assert kept.ratio == 4.10
    assert kept.effective_ratio == pytest.approx(3.603, abs=5e-4)
    assert kept.speedometer_before_pct == pytest.approx(-12.12, abs=0.005)
    assert result.nearest_feel is not None
    assert result.choices[result.nearest_feel].ratio == 4.556


def test_regear_engine_speed_agrees_with_the_336_rule(tmp_path: Path) -> None:
    """Source: Baldwin Wallace University, Gear Math: 336 v i / D, D 3.05 / pi of 33 in."""
    rolling_in = 3.05 * 33.0 / math.pi
    for choice in worked(tmp_path).choices:
        by_336 = 60.0 * choice.ratio * 336.0 / rolling_in
        assert choice.rpm_at_cruise["top"] == pytest.approx(by_336, rel=0.0005)
        assert choice.rpm_at_cruise["first"] == pytest.approx(4.0 * by_336, rel=0.0005)
        assert choice.crawl_ratio == pytest.approx(4.0 * 2.5 * choice.ratio)


def test_regear_heights_keep_the_band_at_their_ends(tmp_path: Path) -> None:
    """The other direction: with a tire of either height the engine turns at the band's end (336 rule)."""
    result = worked(tmp_path, band=(2200.0, 2600.0))
    for choice in result.choices:
        assert choice.heights_mm is not None
        for height, speed in zip(choice.heights_mm, (2600.0, 2200.0), strict=True):
            rolling_in = 3.05 * height / INCH / math.pi
            assert 60.0 * choice.ratio * 336.1352 / rolling_in == pytest.approx(speed, rel=1e-5)


@pytest.mark.parametrize("teeth", [16, 20, 34])
def test_regear_corrected_speedometer_is_within_half_a_tooth(tmp_path: Path, teeth: int) -> None:
    """Counting teeth: a driven gear of n teeth turns n / m as fast with m; no whole m does better."""
    for choice in worked(tmp_path, speedometer_teeth=teeth).choices:
        assert choice.speedometer_before_pct is not None
        assert choice.speedometer_teeth is not None
        reads = 1.0 + choice.speedometer_before_pct / 100.0
        after = 100.0 * (reads * teeth / choice.speedometer_teeth - 1.0)
        assert choice.speedometer_after_pct == pytest.approx(after)
        assert abs(reads * teeth - choice.speedometer_teeth) <= 0.5
