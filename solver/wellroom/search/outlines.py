"""Outlines of a tire, a barrel and a disc as they are drawn: closed polygons of (y, r) [mm].

Clearances are judged on the plain sections of the geometry room; these are for the eye. The thickness of a
tire's
side wall and tread, and the curl of a flange, are drawn as usual, from no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wellroom.search.rims import Rims
from wellroom.search.tires import Tires
from wellroom.trade.tire import nominal_diameter_mm
from wellroom.units import MM_PER_IN

Outline = tuple[tuple[float, float], ...]
_ARC = 8


@dataclass(frozen=True)
class Body:
    """A tire's section: its outside from bead to bead, and the cavity within it."""

    outside: Outline
    inside: Outline


def moved(points: Outline, shift: float) -> Outline:
    """Return an outline shifted outboard [mm]."""
    return tuple((y + shift, r) for y, r in points)


def body_of(tire: Tires, rim: Rims, section: float) -> Body:
    """Return a nominal tire's section about the rim's centre plane; ``section`` its width on this rim
    [mm].
    """
    seat = float(rim.barrels().seat_radius[0])
    height = float(rim.flange_height[0])
    half = float(rim.width[0]) * MM_PER_IN / 2.0
    radius = float(tire.od[0]) / 2.0
    wide = max(section / 2.0, half + 1.0)
    flange = seat + 0.55 * height
    widest = max((float(nominal_diameter_mm(tire.code[0])) / 2.0 + radius) / 2.0, flange + 5.0)
    square = bool(tire.square[0])
    drop = 12.0 if square or np.isnan(tire.shoulder[0]) else max(float(tire.shoulder[0]), 6.0)
    drop = min(drop, (radius - widest) * 0.9)
    crown = wide - 8.0 if square or np.isnan(tire.tread[0]) else min(float(tire.tread[0]) / 2.0, wide - 2.0)
    side, tread, toe = 6.0 + 0.02 * section, 12.0 + 0.012 * radius * 2.0, min(16.0, 0.3 * half)
    outer = [(half - toe, seat), (half, seat)]
    outer += _wall(half, flange, wide, widest)
    outer += [(wide, radius - drop), (crown, radius)]
    inner = [(half - toe, seat), (half - toe, flange)]
    inner += _wall(half - toe, flange + 4.0, wide - side, widest)[1:]
    high = max(radius - drop - tread * 0.5, widest)
    inner += [(wide - side, high), (max(crown - side, 0.0), radius - tread)]
    return Body(_mirrored(outer), _mirrored(inner))


def _wall(foot: float, low: float, wide: float, widest: float) -> list[tuple[float, float]]:
    """Return points of a lower side wall: a quarter ellipse from the flange to the widest place."""
    out = []
    for k in range(_ARC + 1):
        angle = math.pi / 2.0 * k / _ARC
        out.append((foot + (wide - foot) * math.sin(angle), widest - (widest - low) * math.cos(angle)))
    return out


def _mirrored(right: list[tuple[float, float]]) -> Outline:
    """Return a closed outline from its outboard half, foot first."""
    left = [(-y, r) for y, r in reversed(right)]
    return tuple(right + left)


def barrel(rim: Rims) -> Outline:
    """Return the metal of a barrel about the rim's centre plane, from one flange's curl to the other's."""
    seat = float(rim.barrels().seat_radius[0])
    half = float(rim.width[0]) * MM_PER_IN / 2.0
    metal = float(rim.metal[0])
    depth, well, flat, ramp = (float(v[0]) for v in (rim.depth, rim.well, rim.flat, rim.ramp))
    height = float(rim.flange_height[0])
    floor = seat - depth
    outer = [*_curl(half, float(rim.flange_out[0]), seat, height, 0.0)][::-1]
    outer += [(half, seat)]
    tire_side = [
        (min(well + flat / 2.0 + ramp, half), seat),
        (well + flat / 2.0, floor),
        (well - flat / 2.0, floor),
        (max(well - flat / 2.0 - ramp, -half), seat),
    ]
    outer += tire_side
    outer += [(-half, seat)]
    outer += [(-y, r) for y, r in _curl(half, float(rim.flange_in[0]), seat, height, 0.0)]
    inner = [(-y, r) for y, r in reversed(_curl(half, float(rim.flange_in[0]), seat, height, metal))]
    inner += [
        (-half - metal, seat - metal),
        (max(well - flat / 2.0 - ramp - metal, -half), seat - metal),
        (well - flat / 2.0 - metal, floor - metal),
        (well + flat / 2.0 + metal, floor - metal),
        (min(well + flat / 2.0 + ramp + metal, half), seat - metal),
        (half + metal, seat - metal),
    ]
    inner += [*_curl(half, float(rim.flange_out[0]), seat, height, metal)]
    return tuple(outer + inner)


def _curl(half: float, thick: float, seat: float, height: float, metal: float) -> list[tuple[float, float]]:
    """Return the outboard flange's curl from foot to edge, on the tire's side (metal 0) or behind it."""
    bend = max(min(0.55 * height, thick), metal + 0.5)
    y, r = half + bend, seat + height - bend
    reach = bend - metal
    out = []
    for k in range(_ARC // 2 + 1):
        angle = math.pi - math.pi / 2.0 * k / (_ARC // 2)
        out.append((y + reach * math.cos(angle), r + reach * math.sin(angle)))
    edge = half + thick
    if edge > y + 0.1:
        out.append((edge, seat + height - metal))
    return out


def disc(rim: Rims, shift: float, thick: float, bore: float | None) -> Outline:
    """Return a wheel's disc from its bore to the barrel, outboard of the hub's face; () where it is not
    known.

    ``shift`` is the rim's centre plane outboard of the face, ``thick`` the disc's thickness [mm].
    """
    inner = [(float(y), float(r)) for r, y in rim.outline[0]]
    if len(inner) < 2:
        return ()
    start = (bore or 0.0) / 2.0
    first = inner[0][0]
    inner = [(first, start), *((y, r) for y, r in inner if r > start + 1.0)]
    outer = [(y + thick, r) for y, r in inner]
    tops = [barrel_inside(rim, y - shift) for y, _ in (inner[-1], outer[-1])]
    if tops[0] is not None and tops[0] > inner[-1][1]:
        inner.append((inner[-1][0], tops[0]))
    if tops[1] is not None and tops[1] > outer[-1][1]:
        outer.append((outer[-1][0], tops[1]))
    return tuple(inner + outer[::-1])


def barrel_inside(rim: Rims, place: float) -> float | None:
    """Return the barrel's inner radius [mm] at a place from the centre plane, None beside the barrel."""
    half = float(rim.width[0]) * MM_PER_IN / 2.0
    if abs(place) > half + float(rim.metal[0]):
        return None
    seat, metal = float(rim.barrels().seat_radius[0]), float(rim.metal[0])
    depth, well, flat, ramp = (float(v[0]) for v in (rim.depth, rim.well, rim.flat, rim.ramp))
    away = abs(place - well) - flat / 2.0 - metal
    share = min(max(away / ramp, 0.0), 1.0) if ramp else float(away > 0.0)
    return seat - metal - depth * (1.0 - share)


def adapter(rim: Rims, bore: float | None) -> Outline:
    """Return the section of the plate between hub and wheel: from the bore out to the disc's flat."""
    thick = float(rim.adapter_mm[0])
    low = (bore or 0.0) / 2.0
    flat = [float(r) for r, y in rim.outline[0] if abs(y - thick) < 1e-6]
    high = max([*flat, low + 20.0])
    return ((0.0, low), (thick, low), (thick, high), (0.0, high))
