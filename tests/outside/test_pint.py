"""Plain decimals against pint. Only plain decimals: pint misreads fractions, primes and commas."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellroom.units import Kind, parse

UREG = pint.UnitRegistry()
INTERNAL = {
    Kind.LENGTH: ("mm", {"in": "inch", "ft": "foot", "mm": "mm", "cm": "cm", "m": "m"}),
    Kind.ANGLE: ("radian", {"deg": "degree"}),
    Kind.MASS: ("kg", {"lb": "pound", "kg": "kg"}),
    Kind.PRESSURE: ("kPa", {"psi": "psi", "kPa": "kPa", "bar": "bar"}),
    Kind.SPEED: ("km/hour", {"mph": "mile/hour", "km/h": "km/hour"}),
}
PAIRS = [(kind, unit) for kind, (_, units) in INTERNAL.items() for unit in units]


@pytest.mark.parametrize(("kind", "unit"), PAIRS)
@given(value=st.decimals(-5000, 5000, places=3))
def test_parse_plain_decimal_agrees_with_pint(kind: Kind, unit: str, value: object) -> None:
    """Source: pint's unit definitions. Every unit of every kind, on any plain decimal."""
    internal, units = INTERNAL[kind]
    ours = parse(f"{value} {unit}", kind, "in").value
    theirs = UREG.Quantity(float(str(value)), units[unit]).to(internal).magnitude
    assert math.isclose(ours, theirs, rel_tol=1e-12, abs_tol=1e-12)
