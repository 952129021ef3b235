"""The hub: bolt circles, metal between holes, threads, the moment a wheel puts into them."""
# mypy: disable-error-code="return-value, no-any-return"
# (the checker can't follow numbers and arrays through broadcasting)

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from wellroom.trade.arrays import MM_PER_IN, Floats

HUB_BOLT_CIRCLES_MM = (165.10, 205.00, 222.25, 225.00, 275.00, 285.75, 335.00)
"""Bolt circles of commercial hubs. SAE J1095 as summarised."""


def chord(bolt_circle_mm: Floats | float, studs: Floats | float, skip: int = 1) -> Floats:
    """Return the distance between the centres of two studs, mm: bolt circle x sin(skip x pi / studs).

    ``skip`` 1 for neighbours, 2 to leave one out, studs / 2 for opposite ones. Exact geometry. ``studs``
    [3..].

    >>> [round(float(chord(*case)), 3) for case in ((139.7, 5), (139.7, 5, 2), (100.0, 4, 2))]
    [82.114, 132.863, 100.0]
    """
    return bolt_circle_mm * np.sin(skip * np.pi / studs)


def bolt_circle_from_chord(chord_mm: Floats | float, studs: Floats | float, skip: int = 1) -> Floats:
    """Return the bolt circle, mm, from the distance between the centres of two studs. Exact geometry.

    An error of the chord grows ``chord_error_factor`` times: calipers or a template, no tape.

    >>> round(float(bolt_circle_from_chord(82.114, 5)), 2), round(float(bolt_circle_from_chord(60.0, 6)), 6)
    (139.7, 120.0)
    """
    return chord_mm / np.sin(skip * np.pi / studs)


def chord_error_factor(studs: Floats | float, skip: int = 1) -> Floats:
    """Return by how much an error of the chord grows in the bolt circle: 1 / sin(skip x pi / studs).

    >>> round(float(chord_error_factor(8)), 5)
    2.61313
    """
    return 1.0 / np.sin(skip * np.pi / studs)


def metal_between_holes_mm(
    bolt_circle_mm: Floats | float, studs: Floats | float, hole_mm: Floats | float
) -> Floats:
    """Return the metal between neighbouring stud holes, mm: chord - hole; negative: they run into each other.

    >>> round(float(metal_between_holes_mm(120.0, 6, 15.0)), 6)
    45.0
    """
    return chord(bolt_circle_mm, studs) - hole_mm


def metal_to_bore_mm(
    bolt_circle_mm: Floats | float, bore_mm: Floats | float, hole_mm: Floats | float
) -> Floats:
    """Return the metal between the centre bore and a stud hole, mm: (bolt circle - bore - hole) / 2.

    >>> round(metal_to_bore_mm(139.7, 108.0, 15.7), 4)
    8.0
    """
    return (bolt_circle_mm - bore_mm - hole_mm) / 2.0


def metal_between_patterns_mm(
    first: tuple[float, int, float], second: tuple[float, int, float], clock_rad: float
) -> float:
    """Return the least metal, mm, between the holes of two patterns on one hub, one turned by ``clock_rad``.

    Each pattern is (bolt circle mm, studs, hole mm). Negative: holes run into each other.

    >>> round(metal_between_patterns_mm((120.0, 4, 10.0), (120.0, 4, 10.0), np.pi / 4), 3)
    35.922
    """
    places = [
        circle / 2.0 * np.exp(1j * (2.0 * np.pi * np.arange(count) / count + turn))
        for (circle, count, _), turn in ((first, 0.0), (second, clock_rad))
    ]
    return float(np.abs(places[0][:, None] - places[1][None, :]).min() - (first[2] + second[2]) / 2.0)


class ThreadError(ValueError):
    """A text that is no stud thread."""


@dataclass(frozen=True)
class Thread:
    """A stud thread: diameter and pitch in mm, and how it is written."""

    diameter_mm: float
    pitch_mm: float
    text: str


_METRIC = re.compile(r"M([0-9]{1,2}) ?[xX×] ?([0-9](?:\.[0-9]{1,2})?)")
_INCH = re.compile(r"(?:([0-9]) )?([0-9]{1,2})/([0-9]{1,2})-([0-9]{1,2})")


def parse_thread(text: str) -> Thread:
    """Return a thread written ``M14x1.5`` or ``9/16-18`` (in, turns an inch). Raises ThreadError.

    >>> parse_thread("M14x1.5")
    Thread(diameter_mm=14.0, pitch_mm=1.5, text='M14x1.5')
    >>> round(parse_thread("1/2-20").pitch_mm, 3)
    1.27
    """
    tidy = " ".join(str(text).strip().split())
    metric, inch = _METRIC.fullmatch(tidy), _INCH.fullmatch(tidy)
    if metric and int(metric[1]) >= 6 and 0.5 <= float(metric[2]) <= 4.0:
        return Thread(float(metric[1]), float(metric[2]), f"M{metric[1]}x{metric[2]}")
    if inch and int(inch[3]) and int(inch[4]) >= 4:
        diameter = (int(inch[1] or 0) + int(inch[2]) / int(inch[3])) * MM_PER_IN
        if 6.0 <= diameter <= 40.0:
            return Thread(diameter, MM_PER_IN / int(inch[4]), tidy)
    raise ThreadError(f"found {text!r}, expected a stud thread such as M14x1.5 or 9/16-18")


TURNS_MIN: dict[str, float] = {
    "M12x1.5": 6.5, "M12x1.25": 8.0, "M14x1.5": 7.5, "7/16-20": 8.0, "1/2-20": 8.0, "9/16-18": 8.0,
}  # fmt: skip
"""Least turns of a nut. Common practice, no source, and laxer than one diameter of thread."""

TORQUE_LBF_FT: dict[str, tuple[float, float]] = {
    "M12": (70.0, 80.0), "M14": (85.0, 90.0), "7/16": (70.0, 80.0), "1/2": (75.0, 85.0),
    "9/16": (135.0, 145.0), "5/8": (125.0, 135.0),
}  # fmt: skip
"""Dry torque by stud size. Common practice, no source; lists disagree on M14 and 9/16: the maker's value
comes first."""


def engagement_needed_mm(diameter_mm: Floats | float) -> Floats:
    """Return the least length of thread in the nut, mm: one stud diameter. Common practice, no source.

    >>> engagement_needed_mm(14.0)
    14.0
    """
    return 1.0 * diameter_mm


def turns_needed(diameter_mm: Floats | float, pitch_mm: Floats | float) -> Floats:
    """Return the least full turns of a nut: one stud diameter of thread. Common practice, no source.

    >>> turns_needed(12.0, 1.5), round(turns_needed(14.2875, 25.4 / 18), 1)
    (8.0, 10.1)
    """
    return diameter_mm / pitch_mm


def engagement_mm(
    stud_length_mm: Floats | float, clamped_mm: Floats | float, adapter_mm: Floats | float = 0.0
) -> Floats:
    """Return the thread left for the nut, mm: stud from the mounting face less what is clamped on it.

    >>> engagement_mm(45.0, 12.0), engagement_mm(45.0, 12.0, 25.0)
    (33.0, 8.0)
    """
    return stud_length_mm - clamped_mm - adapter_mm


@dataclass(frozen=True)
class CorneringFactor:
    """Test factors and least cycles of one wheel material."""

    front: float
    rear: float
    cycles: int


CORNERING: dict[str, CorneringFactor] = {
    "steel": CorneringFactor(1.6, 1.45, 18_000),
    "aluminium_cold_formed": CorneringFactor(1.8, 1.55, 50_000),
    "aluminium": CorneringFactor(2.0, 1.75, 50_000),
}
"""SAE J328-2021 table 1 as summarised; "aluminium" is cast and forged."""

CORNERING_FRICTION = 0.7
GRAVITY = 9.80665


def cornering_moment_nm(
    load_kg: Floats | float,
    loaded_radius_mm: Floats | float,
    inset_mm: Floats | float,
    factor: Floats | float,
    friction: float = CORNERING_FRICTION,
) -> Floats:
    """Return the bending moment of the cornering test, N m: L (mu R + d) S, d = inset, negative for outset.

    SAE J328-2021 as summarised: mu 0.7, R the static loaded radius of the largest tire meant, S from
    ``CORNERING``. With ``friction`` 0.9 and S 2.0, from memory of UN R124 annex 6.

    >>> round(cornering_moment_nm(1380.0, 360.0, 10.0, 1.6), 1)
    5673.1
    """
    return load_kg * GRAVITY * (friction * loaded_radius_mm + inset_mm) / 1000.0 * factor


def cornering_moment_to_build_for_nm(
    load_kg: Floats | float,
    loaded_radius_mm: Floats | float,
    inset_mm: Floats | float,
    factor: Floats | float,
) -> Floats:
    """Return the moment, N m, to tell a shop to build for: the standard's with |inset|.

    Outset lowers the standard's figure on deep wheels, yet the inner wheel of a turn is loaded the other way.
    Common practice, no source.

    >>> deep = cornering_moment_to_build_for_nm(1380.0, 360.0, -100.0, 1.6)
    >>> bool(deep > cornering_moment_nm(1380.0, 360.0, -100.0, 1.6))
    True
    """
    return cornering_moment_nm(load_kg, loaded_radius_mm, np.abs(inset_mm), factor)


def bearing_loads_n(
    vertical_n: Floats | float,
    lateral_n: Floats | float,
    wheel_plane_mm: Floats | float,
    spread_mm: Floats | float,
    radius_mm: Floats | float,
) -> tuple[Floats, Floats]:
    """Return the loads on the inner and the outer bearing, N. Statics.

    Lateral places count inboard from the outer bearing: ``spread_mm`` [> 0] to the inner one,
    ``wheel_plane_mm`` to the wheel's centre plane. ``lateral_n`` positive pushes the tire inboard, as on the
    outside wheel of a turn.

    >>> bearing_loads_n(6000.0, 1200.0, 30.0, 60.0, 350.0)
    (10000.0, -4000.0)
    """
    inner = (vertical_n * wheel_plane_mm + lateral_n * radius_mm) / spread_mm
    return inner, vertical_n - inner
