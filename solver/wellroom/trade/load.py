"""Load, speed and pressure: what a tire may carry, how fast, and at what pressure.

Never a bonus: the tables that allow more load at low speed are left out, and nothing here returns more than
the tire's own rating.
"""
# mypy: disable-error-code="return-value, no-any-return"
# (the checker can't follow numbers and arrays through broadcasting)

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wellroom.trade.arrays import Bools, Floats


class UnknownRating(ValueError):
    """A load index, speed symbol or load range that is not in the tables."""


LOAD_INDEX_MIN, LOAD_INDEX_MAX = 60, 160
_KG_60_TO_160 = """
250 257 265 272 280 290 300 307 315 325 335 345 355 365 375 387 400 412 425 437
450 462 475 487 500 515 530 545 560 580 600 615 630 650 670 690 710 730 750 775
800 825 850 875 900 925 950 975 1000 1030 1060 1090 1120 1150 1180 1215 1250 1285 1320 1360
1400 1450 1500 1550 1600 1650 1700 1750 1800 1850 1900 1950 2000 2060 2120 2180 2240 2300 2360 2430
2500 2575 2650 2725 2800 2900 3000 3075 3150 3250 3350 3450 3550 3650 3750 3875 4000 4125 4250 4375
4500
"""
LOAD_INDEX_KG: tuple[float, ...] = tuple(float(word) for word in _KG_60_TO_160.split())
"""Load in kg of the load indices 60..160. French decree of 24 October 1994 on tires, annex II."""

SPEED_KMH: dict[str, float] = {
    "A1": 5, "A2": 10, "A3": 15, "A4": 20, "A5": 25, "A6": 30, "A7": 35, "A8": 40,
    "B": 50, "C": 60, "D": 65, "E": 70, "F": 80, "G": 90, "J": 100, "K": 110, "L": 120, "M": 130, "N": 140,
    "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip
"""Speed symbols in km/h. F to V: French decree of 24 October 1994, annex I; B to E, W, Y: vehicle handbooks;
A1 to A8 from memory of ISO 4000-1."""


def load_index_kg(load_index: Floats | float, *, derived: bool = False) -> Floats:
    """Return the load of one tire, kg, for a load index.

    ``load_index`` [60..160], whole: French decree of 24 October 1994, annex II. With ``derived``, also 0..59
    and 161..200 by the decade rule load(LI + 80) = 10 x load(LI), which is arithmetic: the standard's
    rounded figures differ by up to half a percent. Raises UnknownRating.

    >>> float(load_index_kg(91)), float(load_index_kg(121)), float(load_index_kg(168, derived=True))
    (615.0, 1450.0, 5600.0)
    """
    index = np.asarray(load_index, dtype=float)
    low, high = (0, 200) if derived else (LOAD_INDEX_MIN, LOAD_INDEX_MAX)
    bad = ~((index >= low) & (index <= high) & (index % 1 == 0))
    if np.any(bad):
        first = np.atleast_1d(index)[np.atleast_1d(bad)][0]
        raise UnknownRating(f"load index {first:g} is not a whole number from {low} to {high}")
    shift = np.where(index < LOAD_INDEX_MIN, 80, np.where(index > LOAD_INDEX_MAX, -80, 0))
    table = np.asarray(LOAD_INDEX_KG)[(index + shift).astype(int) - LOAD_INDEX_MIN]
    return (table * np.where(shift == 80, 0.1, np.where(shift == -80, 10.0, 1.0)))[()]


def load_index_for(load_kg: float) -> int:
    """Return the highest load index [60..160] that does not state more than ``load_kg``.

    Raises UnknownRating when there is none.

    >>> load_index_for(1000.0), load_index_for(1029.9)
    (108, 108)
    """
    place = int(np.searchsorted(LOAD_INDEX_KG, load_kg, side="right")) - 1
    if place < 0 or not np.isfinite(load_kg):
        raise UnknownRating(
            f"no load index from {LOAD_INDEX_MIN} to {LOAD_INDEX_MAX} states {load_kg:g} kg or less"
        )
    return LOAD_INDEX_MIN + place


def speed_kmh(symbol: str) -> float:
    """Return the top speed of a speed symbol, km/h. H (210) sits between U and V. Raises UnknownRating.

    >>> speed_kmh("S"), speed_kmh("H")
    (180.0, 210.0)
    """
    try:
        return float(SPEED_KMH[symbol])
    except KeyError:
        raise UnknownRating(f"speed symbol {symbol!r} is not known") from None


_REDUCED = {"V": (210.0, 240.0, 0.91), "W": (240.0, 270.0, 0.85), "Y": (270.0, 300.0, 0.85)}


def load_factor_at_speed(symbol: str, kmh: Floats | float) -> Floats:
    """Return the share of the rated load that may be used at a speed [0..], 0..1.

    1 up to 210 km/h; V falls to 0.91 at 240, W from 240 to 0.85 at 270, linear (a text on chassis engineering
    that restates the rule; rows between from memory of UN R30); Y from 270 to 0.85 at 300 from memory of
    UN R30. 0 above the symbol's own speed: the tire may not be used there. Raises UnknownRating.

    >>> float(load_factor_at_speed("V", 225)), float(load_factor_at_speed("S", 181))
    (0.955, 0.0)
    """
    top = speed_kmh(symbol)
    start, end, share = _REDUCED.get(symbol, (top, top + 1.0, 1.0))
    factor = 1.0 - (1.0 - share) * np.clip((np.asarray(kmh, dtype=float) - start) / (end - start), 0.0, 1.0)
    return np.where(np.asarray(kmh) > top, 0.0, np.round(factor, 12))[()]


PASSENGER_ON_TRUCK = 1.0 / 1.10
"""Share of its rating that a passenger tire keeps on a truck. FMVSS 120 S5.1.2 as quoted in the NHTSA
interpretation of 17 November 1976 (which also quotes the TRA 1976 year book: 91 percent)."""


def passenger_derating(load_kg: Floats | float, passenger: bool | Bools = True) -> Floats:
    """Return the load, kg, that counts on a truck, bus, trailer or multipurpose vehicle: / 1.10 if passenger.

    FMVSS 120 S5.1.2, quoted in the NHTSA interpretation of 17 November 1976.

    >>> round(float(passenger_derating(1090.0)), 1), float(passenger_derating(1090.0, False))
    (990.9, 1090.0)
    """
    return np.where(passenger, load_kg / 1.10, load_kg)[()]


def axle_capacity_kg(load_each_kg: Floats | float, tires: int = 2) -> Floats:
    """Return what an axle's tires carry together, kg. FMVSS 120 S5.1.2 as restated: the sum of the ratings.

    >>> axle_capacity_kg(1450.0)
    2900.0
    """
    return load_each_kg * tires


def load_reserve_pct(capacity_kg: Floats | float, load_kg: Floats | float) -> Floats:
    """Return how much more than the load the rating is, percent of the load [load > 0]; negative: overloaded.

    >>> load_reserve_pct(1500.0, 1200.0)
    25.0
    """
    return 100.0 * (capacity_kg - load_kg) / load_kg


def wheel_load_need_kg(axle_load_kg: Floats | float) -> Floats:
    """Return the least wheel load rating, kg: half the load of the axle. SAE J2530-2024 as summarised.

    >>> wheel_load_need_kg(2400.0)
    1200.0
    """
    return 0.5 * axle_load_kg


PRESSURE_EXPONENTS: dict[str, float] = {"p_metric": 0.5, "lt": 0.7, "etrto_passenger": 0.8, "linear": 1.0}
"""n of L = Lmax (P / Pmax)^n. p_metric follows from the TRA load formula; lt from memory of TRA, and a load
table of 1990 for an LT235/85R16 fits 0.70; etrto_passenger is restated only. The larger n allows less at
reduced pressure."""


def load_at_pressure(
    load_max_kg: Floats | float,
    pressure_kpa: Floats | float,
    pressure_max_kpa: Floats | float,
    exponent: float = 0.7,
) -> Floats:
    """Return the load at a lower pressure, kg: Lmax (P / Pmax)^n, never above Lmax.

    n as in ``PRESSURE_EXPONENTS``: 0.7 for LT and truck radials (fits the 1990 load table of an LT235/85R16
    within 1 %). Pressures [> 0] kPa.

    >>> round(float(load_at_pressure(3042.0, 50.0, 80.0))), float(load_at_pressure(900.0, 500.0, 450.0))
    (2189, 900.0)
    """
    return load_max_kg * np.minimum(pressure_kpa / pressure_max_kpa, 1.0) ** exponent


def pressure_for_load(
    load_kg: Floats | float,
    load_max_kg: Floats | float,
    pressure_max_kpa: Floats | float,
    exponent: float = 0.7,
) -> Floats:
    """Return the least pressure for a load, kPa: Pmax (L / Lmax)^(1 / n); infinite when overloaded.

    >>> round(float(pressure_for_load(2189.2, 3042.0, 80.0)), 1)
    50.0
    >>> float(pressure_for_load(910.0, 900.0, 450.0))
    inf
    """
    share = np.asarray(load_kg, dtype=float) / load_max_kg
    return np.where(share > 1.0, np.inf, pressure_max_kpa * np.minimum(share, 1.0) ** (1.0 / exponent))[()]


def p_metric_load_kg(section_mm: float, aspect: float, code: float, pressure_kpa: float = 240.0) -> float:
    """Return the load of a P-metric tire, kg, before it is rounded to a load index.

    L = K P^0.5 Sd^1.39 (Dr + Sd), K = 6.67e-5, Sd = (0.34848 + 0.6497 A) S70: the TRA formula as a tire
    engineer restates it (Eng-Tips FAQ 108-1148). ``aspect`` [50..80], ``pressure_kpa`` [> 0].

    >>> round(p_metric_load_kg(205, 60, 15), 1)
    589.7
    """
    sd = (0.34848 + 0.6497 * aspect / 100.0) * section_mm
    return float(6.67e-5 * pressure_kpa**0.5 * sd**1.39 * (np.floor(code * 25.4 + 0.5) + sd))


@dataclass(frozen=True)
class LoadRange:
    """A load range letter: ply rating, rated pressure, and that for wide sections (None: not listed)."""

    letter: str
    ply_rating: int
    pressure_psi: float
    pressure_kpa: float
    wide_psi: float | None
    wide_kpa: float | None


WIDE_SECTION_MM = 295.0
LOAD_RANGES: dict[str, LoadRange] = {
    "B": LoadRange("B", 4, 35.0, 250.0, None, None),
    "C": LoadRange("C", 6, 50.0, 350.0, 35.0, 240.0),
    "D": LoadRange("D", 8, 65.0, 450.0, 50.0, 350.0),
    "E": LoadRange("E", 10, 80.0, 550.0, 65.0, 450.0),
    "F": LoadRange("F", 12, 95.0, 650.0, None, None),
}
"""LT tires: from memory of TRA; wide sections as the TRA rule is restated, second hand."""


def load_range_pressure_kpa(letter: str, section_mm: float | None = None) -> float:
    """Return the rated pressure of an LT load range, kPa; sections above 295 mm step down.

    From memory of TRA: C 350, D 450, E 550, F 650. Wide sections (C 240, D 350, E 450) as the TRA rule is
    restated. ``section_mm`` [None: not wide]. Raises UnknownRating, also for a wide F, which is not listed.

    >>> load_range_pressure_kpa("E"), load_range_pressure_kpa("E", 318.0)
    (550.0, 450.0)
    """
    row = LOAD_RANGES.get(letter)
    if row is None:
        raise UnknownRating(f"load range {letter!r} is not one of {', '.join(LOAD_RANGES)}")
    if section_mm is None or section_mm <= WIDE_SECTION_MM:
        return row.pressure_kpa
    if row.wide_kpa is None:
        raise UnknownRating(f"load range {letter} has no listed pressure for sections above 295 mm")
    return row.wide_kpa
