"""Each formula gives for an array what it gives for its numbers, and broadcasts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from wellroom.trade import gearing, hub, load, motion, rim, tire

CASES: list[tuple[Callable[..., Any], list[list[float]]]] = [
    (rim.seat_diameter_mm, [[13.0, 16.0, 17.0, 22.5]]),
    (rim.flange_diameter_mm, [[405.6, 436.6], [17.5, 20.0]]),
    (rim.well_diameter_mm, [[405.6, 436.6], [17.3, 22.0]]),
    (rim.overall_width_mm, [[7.0, 11.0], [12.7, 11.0], [12.7, 25.0]]),
    (rim.inset_from_backspace, [[100.0, 150.0], [12.7, 11.0], [203.2, 254.0]]),
    (rim.backspace_from_inset, [[-50.0, 40.0], [12.7, 11.0], [203.2, 254.0]]),
    (rim.front_space, [[100.0, 150.0], [228.6, 304.8]]),
    (tire.nominal_diameter_mm, [[14.0, 16.5, 17.5, 24.0]]),
    (tire.section_on_rim, [[268.0, 318.0], [8.5, 10.0], [7.0, 11.0]]),
    (tire.rolling_circumference_mm, [[700.0, 900.0]]),
    (tire.rolling_radius, [[700.0, 900.0]]),
    (tire.revolutions_per_mile, [[2100.0, 2500.0]]),
    (tire.effective_radius_mm, [[387.0, 400.0], [365.0, 390.0]]),
    (tire.loaded_radius_mm, [[700.0, 900.0]]),
    (tire.lower_bulge_mm, [[250.0, 318.0]]),
    (tire.rim_approved, [[7.0, 9.0], [7.5, 7.5], [9.0, 9.0]]),
    (tire.rim_margin_in, [[7.0, 9.0], [7.5, 7.5], [9.0, 9.5]]),
    (tire.flat_tread_rim_in, [[250.0, 318.0]]),
    (load.load_index_kg, [[60.0, 91.0, 160.0]]),
    (load.passenger_derating, [[615.0, 1450.0]]),
    (load.load_reserve_pct, [[2900.0, 1800.0], [2400.0, 2000.0]]),
    (load.load_at_pressure, [[1380.0, 900.0], [350.0, 500.0], [550.0, 450.0]]),
    (load.pressure_for_load, [[1000.0, 910.0], [1380.0, 900.0], [550.0, 450.0]]),
    (gearing.rpm, [[100.0, 60.0], [4.1, 30.0], [2500.0, 2800.0]]),
    (gearing.speed_at_rpm_kmh, [[2500.0, 800.0], [4.1, 30.0], [2500.0, 2800.0]]),
    (gearing.effective_ratio, [[4.1, 3.73], [2500.0, 2400.0], [2800.0, 2400.0]]),
    (gearing.ratio_to_restore, [[4.1, 3.73], [2500.0, 2400.0], [2800.0, 2400.0]]),
    (gearing.speedometer_error_pct, [[2500.0, 2400.0], [2800.0, 2300.0]]),
    (gearing.speedometer_lawful, [[80.0, 80.0], [92.0, 93.0]]),
    (gearing.rolling_match_pct, [[4.1, 4.1], [400.0, 380.0], [4.11, 4.1], [400.0, 400.0]]),
    (hub.chord, [[139.7, 165.1], [5.0, 8.0]]),
    (hub.bolt_circle_from_chord, [[82.1, 63.2], [5.0, 8.0]]),
    (hub.metal_between_holes_mm, [[139.7, 165.1], [5.0, 8.0], [15.0, 16.0]]),
    (hub.metal_to_bore_mm, [[139.7, 165.1], [108.0, 116.0], [15.0, 16.0]]),
    (hub.cornering_moment_nm, [[1380.0, 1000.0], [360.0, 340.0], [10.0, -90.0], [1.6, 1.45]]),
    (motion.bump_mm, [[76.0, 60.0], [50.0, 30.0], [1.0, 1.6]]),
    (motion.face_rise_at_stop_mm, [[430.0, 400.0], [0.0, 0.2]]),
    (motion.lip_radius_mm, [[600.0, 580.0], [0.0, 0.9], [100.0, -50.0]]),
    (motion.gap_mm, [[600.0, 580.0], [900.0, 1000.0]]),
    (motion.poke_mm, [[318.0, 268.0], [-50.0, 20.0], [100.0, 120.0]]),
    (motion.vehicle_width_mm, [[1600.0, 1500.0], [-50.0, 20.0], [300.0, 268.0]]),
    (motion.track_bar_shift_mm, [[860.0, 900.0], [0.0, 0.17], [100.0, -80.0]]),
]


@pytest.mark.parametrize(("formula", "columns"), CASES, ids=lambda x: getattr(x, "__name__", ""))
def test_formula_of_an_array_equals_its_scalars(
    formula: Callable[..., Any], columns: list[list[float]]
) -> None:
    """Element by element the array form gives the scalar form, and scalars stay scalars."""
    whole = formula(*(np.array(column) for column in columns))
    each = [formula(*row) for row in zip(*columns, strict=True)]
    assert np.ndim(each[0]) == 0
    np.testing.assert_allclose(whole, each, rtol=1e-13)


def test_formula_broadcasts_columns_against_rows() -> None:
    """Tires down, rims across: a table of sections."""
    table = tire.section_on_rim(
        np.array([[268.0], [318.0]]), np.array([[8.5], [10.0]]), np.array([8.0, 9.0, 10.0])
    )
    assert table.shape == (2, 3)
    assert table[1, 2] == 318.0
