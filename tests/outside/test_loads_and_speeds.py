"""Load, speed and pressure against published tables. Each names its source."""

from __future__ import annotations

import numpy as np
import pytest

from wellroom.trade.load import (
    SPEED_KMH,
    load_at_pressure,
    load_factor_at_speed,
    load_index_for,
    load_index_kg,
    load_range_pressure_kpa,
    p_metric_load_kg,
    passenger_derating,
    speed_kmh,
    wheel_load_need_kg,
)

LB_PER_KG = 2.2046226
# French decree of 24 October 1994 on tires (EQUS9401799A), annex II.
DECREE = {60: 250, 75: 387, 91: 615, 95: 690, 100: 800, 108: 1000, 111: 1090, 120: 1400, 121: 1450, 128: 1800,
          139: 2430, 144: 2800, 150: 3350, 160: 4500}  # fmt: skip


def test_load_index_matches_the_decree() -> None:
    """Source: French decree of 24 October 1994, annex II."""
    assert {li: load_index_kg(li) for li in DECREE} == DECREE


def test_load_index_in_pounds_matches_dealer_lists() -> None:
    """Source: published lists in lb for 71 to 110; they agree within 1 lb."""
    published = {71: 761, 87: 1201, 91: 1356, 99: 1709, 107: 2149, 108: 2205, 110: 2337}
    for li, pounds in published.items():
        assert abs(load_index_kg(li) * LB_PER_KG - pounds) <= 1.0


def test_load_index_follows_the_decade_rule() -> None:
    """Source: structure of the decree's own table: 80 indices are a factor of 10, within 0.42 %."""
    low = np.arange(60.0, 81.0)
    ratio = load_index_kg(low + 80) / load_index_kg(low) / 10.0
    assert np.abs(ratio - 1.0).max() <= 0.0042
    every = np.arange(60.0, 161.0)
    assert np.abs(load_index_kg(every) / (45.0 * 10.0 ** (every / 80.0)) - 1.0).max() <= 0.0194


def test_load_index_derived_is_near_remembered_values() -> None:
    """Source: from memory of ISO 4000-1: 0 is 45 kg, 59 is 243 kg, 170 is 6000 kg."""
    for li, kg in ((0, 45.0), (59, 243.0), (170, 6000.0)):
        assert load_index_kg(li, derived=True) == pytest.approx(kg, rel=0.005)


@pytest.mark.parametrize(
    ("symbol", "kmh"),
    [
        ("F", 80), ("G", 90), ("J", 100), ("K", 110), ("L", 120), ("M", 130), ("N", 140), ("P", 150),
        ("Q", 160),
        ("R", 170), ("S", 180), ("T", 190), ("U", 200), ("H", 210), ("V", 240), ("W", 270), ("Y", 300),
        ("B", 50), ("C", 60), ("D", 65), ("E", 70),
    ],
)  # fmt: skip
def test_speed_symbols(symbol: str, kmh: float) -> None:
    """Source: French decree of 24 October 1994, annex I (F to V); vehicle handbooks (B to E, W, Y)."""
    assert speed_kmh(symbol) == kmh


def test_speed_symbols_a1_to_a8() -> None:
    """Source: from memory of ISO 4000-1: 5 km/h a step."""
    assert [SPEED_KMH[f"A{i}"] for i in range(1, 9)] == [5 * i for i in range(1, 9)]


@pytest.mark.parametrize(
    ("symbol", "kmh", "percent"),
    [
        ("V", 210, 100), ("V", 215, 98.5), ("V", 220, 97), ("V", 225, 95.5), ("V", 230, 94), ("V", 235, 92.5),
        ("V", 240, 91), ("W", 240, 100), ("W", 250, 95), ("W", 260, 90), ("W", 270, 85), ("Y", 270, 100),
        ("Y", 280, 95), ("Y", 290, 90), ("Y", 300, 85), ("S", 180, 100), ("H", 210, 100),
    ],
)  # fmt: skip
def test_load_factor_above_210(symbol: str, kmh: float, percent: float) -> None:
    """Source: a chassis-engineering text (V 91 %, W 85 %); the other rows from memory of UN R30."""
    assert 100 * load_factor_at_speed(symbol, kmh) == pytest.approx(percent)


def test_passenger_tire_on_a_truck_loses_a_tenth_over() -> None:
    """Source: FMVSS 120 S5.1.2 in the NHTSA interpretation of 17 November 1976; TRA 1976: 91 percent."""
    assert passenger_derating(2403.0) == pytest.approx(2184.5, abs=0.05)
    assert passenger_derating(1090.0) == pytest.approx(990.9, abs=0.05)
    assert passenger_derating(100.0) == pytest.approx(91.0, abs=0.1)


def test_lt235_85r16_table_fits_exponent_0_7() -> None:
    """Source: a tire maker's load and inflation table of 1990, single loads in lb at 35 to 80 psi."""
    psi = np.arange(35.0, 81.0, 5.0)
    table = np.array([1700, 1870, 2030, 2205, 2335, 2485, 2623, 2765, 2905, 3042])
    error = load_at_pressure(3042.0, psi, 80.0, 0.7) / table - 1.0
    assert np.abs(error).max() <= 0.0075
    assert np.abs(np.delete(error, 3)).max() <= 0.0034
    x, y = np.log(psi / 80.0), np.log(table / 3042.0)
    assert (x * y).sum() / (x * x).sum() == pytest.approx(0.7016, abs=5e-5)


def test_lt265_75r16_rating_points_fit_exponent_0_7() -> None:
    """Source: restated TRA rating points: 2470 lb at 50 psi, 3415 lb at 80 psi."""
    assert load_at_pressure(3415.0, 50.0, 80.0, 0.7) == pytest.approx(2470.0, rel=0.01)


@pytest.mark.parametrize(
    ("width", "aspect", "code", "raw", "marked"),
    [
        (195, 75, 14, 637.1, 635),
        (205, 60, 15, 589.7, 590),
        (215, 75, 15, 788.4, 790),
        (225, 60, 16, 721.3, 730),
        (265, 70, 16, 1101.3, 1090),
    ],
)
def test_p_metric_load_formula(width: float, aspect: float, code: float, raw: float, marked: float) -> None:
    """Source: the TRA formula as restated in Eng-Tips FAQ 108-1148; sidewall loads from memory."""
    kg = p_metric_load_kg(width, aspect, code)
    assert kg == pytest.approx(raw, abs=0.06)
    assert kg == pytest.approx(marked, rel=0.013)


def test_p_metric_load_goes_with_the_root_of_pressure() -> None:
    """Source: the same formula: exponent 0.5."""
    half = load_at_pressure(p_metric_load_kg(205, 60, 15), 120.0, 240.0, 0.5)
    assert p_metric_load_kg(205, 60, 15, 120.0) == pytest.approx(half)


def test_load_range_pressures() -> None:
    """Source: from memory of TRA (C to F); wide sections step down as a forum restates the TRA rule."""
    assert [load_range_pressure_kpa(letter) for letter in "CDEF"] == [350.0, 450.0, 550.0, 650.0]
    for letter, psi in (("C", 35), ("D", 50), ("E", 65)):
        assert load_range_pressure_kpa(letter, 318.0) == pytest.approx(psi * 6.894757, rel=0.02)


def test_wheel_carries_half_the_heaviest_axle() -> None:
    """Source: SAE J2530-2024 as summarised."""
    assert wheel_load_need_kg(2800.0) == 1400.0


def test_load_index_for_rounds_down() -> None:
    """Source: French decree of 24 October 1994, annex II: 1000 kg is 108, 1030 is 109."""
    assert (load_index_for(1029.0), load_index_for(1030.0)) == (108, 109)
