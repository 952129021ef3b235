"""Whether wheels bolt to a hub: margins of every rim to the bolt circle, the bore, what stands out, and the metal left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wellroom.geometry.items import Floats
from wellroom.scenario.build import DISC_CLEARANCE, Room
from wellroom.search.stock import Rims
from wellroom.trade.hub import (
    ThreadError,
    bolt_circle_from_chord,
    metal_between_holes_mm,
    metal_to_bore_mm,
    parse_thread,
)

CIRCLE_TOLERANCE = 0.3
"""Bolt circles closer than this [mm] are the same circle: common practice, no source."""
_STUD_PILOTED_AIR = 1.5875
_HOLE_AIR = 1.0
_LEAST_METAL = 0.5


@dataclass(frozen=True)
class HubSize:
    """A hub as wheels see it [mm]; None where it was not measured."""

    studs: int | None
    circle: float | None
    pilot: float | None
    protrusion: float | None
    protrusion_length: float
    stud: float | None
    stud_piloted: bool


def hub_size(room: Room) -> HubSize:
    """Return the hub of an axle; the bolt circle from its chord where only that was measured."""
    hub = room.axle.hub
    circle = hub.bolt_circle.value if hub.bolt_circle else None
    if circle is None and hub.stud_chord and hub.studs:
        circle = float(bolt_circle_from_chord(hub.stud_chord.value, hub.studs))
    stud = None
    if hub.stud_size:
        try:
            stud = float(parse_thread(hub.stud_size).diameter_mm)
        except ThreadError:
            stud = None
    return HubSize(
        hub.studs,
        circle,
        hub.pilot_diameter.high if hub.pilot_diameter else None,
        hub.protrusion_diameter.high if hub.protrusion_diameter else None,
        hub.protrusion_length.high if hub.protrusion_length else 0.0,
        stud,
        hub.centred_by == "studs",
    )


def hub_margins(hub: HubSize, rims: Rims) -> dict[str, Floats]:
    """Return margins (n,) by requirement key, nan where a measure is missing or the rim's own is unknown."""
    n = len(rims)
    out = {key: np.full(n, np.nan) for key in ("bolt_circle", "bore", "hub_protrusion", "bore_metal")}
    if hub.circle is not None and hub.studs is not None:
        drilled = rims.circle_low < rims.circle_high
        slack = np.where(drilled, 0.0, CIRCLE_TOLERANCE)
        margin = np.minimum(hub.circle - rims.circle_low, rims.circle_high - hub.circle) + slack
        has = np.array([not studs or hub.studs in studs for studs in rims.studs], dtype=bool)
        wrong = np.minimum(np.where(np.isnan(margin), 0.0, margin), 0.0) - hub.circle
        out["bolt_circle"] = np.where(has, margin, wrong)
    air = _STUD_PILOTED_AIR if hub.stud_piloted else 0.0
    if hub.pilot is not None:
        out["bore"] = rims.bore_high - hub.pilot - air
    if hub.protrusion is not None:
        passes = hub.protrusion_length <= rims.adapter_mm
        out["hub_protrusion"] = np.where(
            passes, rims.bore_high - rims.bore_low + 1.0, rims.bore_high - hub.protrusion
        )
    if None not in (hub.circle, hub.studs, hub.pilot, hub.stud):
        assert (
            hub.circle is not None
            and hub.studs is not None
            and hub.pilot is not None
            and hub.stud is not None
        )
        hole = np.where(np.isnan(rims.hole), hub.stud + _HOLE_AIR, rims.hole)
        bore = np.maximum(rims.bore_low, hub.pilot + air)
        between = np.asarray(metal_between_holes_mm(hub.circle, hub.studs, hole))
        inward = np.asarray(metal_to_bore_mm(hub.circle, hole, bore))
        out["bore_metal"] = np.minimum(between, inward) - _LEAST_METAL * hub.stud
    return out


def disc_margins(room: Room, rims: Rims) -> Floats:
    """Return the margin (n,) [mm] of each wheel's disc to what of the brake stands outboard of the face.

    What stands flush with the face or inboard of it passes the disc; with nothing outboard the margin is nan.
    """
    out = np.full(len(rims), np.nan)
    outboard = [(r, y) for r, y in room.brake if y > 0.0]
    if not outboard:
        return out
    known: dict[tuple[tuple[float, float], ...], float] = {}
    for k, outline in enumerate(rims.outline):
        if not outline:
            continue
        if outline not in known:
            known[outline] = _disc_gap(outline, room.brake)
        out[k] = known[outline] - DISC_CLEARANCE
    return out


def _disc_gap(outline: tuple[tuple[float, float], ...], brake: tuple[tuple[float, float], ...]) -> float:
    """Return the least lateral gap [mm] between a disc's inner surface and the brake's parts outboard of the face."""
    radii = np.unique(np.concatenate([np.array(outline)[:, 0], np.array(brake)[:, 0]]))
    place = np.array([max(y for _, y in brake)] * len(radii))
    top = max(r for r, y in brake if y > 0.0)
    low = min(r for r, y in brake if y > 0.0)
    inside = (radii >= low) & (radii <= top)
    disc = np.interp(radii, [r for r, _ in outline], [y for _, y in outline])
    return float((disc - place)[inside].min()) if inside.any() else float("inf")
