"""Whether wheels bolt to a hub: margins of every rim to the bolt circle, the bore, what stands out, and the
metal left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wellroom.geometry.items import Floats
from wellroom.scenario.build import DISC_CLEARANCE, Room
from wellroom.search.rims import Rims
from wellroom.trade.hub import (
    ThreadError,
    bolt_circle_from_chord,
    metal_between_holes_mm,
    metal_to_bore_mm,
    parse_thread,
)

CIRCLE_TOLERANCE = 0.3
"""Bolt circles closer than this [mm] are the same circle: common practice, no source."""
STUD_PILOTED_AIR = 1.5875
PILOT_AIR = 0.3
"""Most air [mm] between a pilot at its largest and a bore that it centres: common practice, no source."""
HOLE_AIR = 1.0
_LEAST_METAL = 0.5
_PIECE = 0.5


@dataclass(frozen=True)
class HubSize:
    """A hub as wheels see it [mm]; None where it was not measured.

    ``circle_loose``: half the range that the bolt circle is known in; ``centred``: by the pilot;
    ``pilot_pm``, ``protrusion_pm``: the ± of these. What stands out of a length that was not measured is
    taken to reach through any adapter.
    """

    studs: int | None
    circle: float | None
    pilot: float | None
    protrusion: float | None
    protrusion_length: float | None
    stud: float | None
    stud_piloted: bool
    circle_loose: float = 0.0
    centred: bool = False
    pilot_pm: float = 0.0
    protrusion_pm: float = 0.0

    @property
    def to_pilot(self) -> float | None:
        """The least bore [mm] that passes the pilot at its largest, with air where the nut seats centre."""
        if self.pilot is None:
            return None
        return self.pilot + self.pilot_pm + (STUD_PILOTED_AIR if self.stud_piloted else 0.0)

    @property
    def to_protrusion(self) -> float | None:
        """The least bore [mm] that passes what stands out of the hub at its largest."""
        if self.protrusion is None or not self.reaches(0.0):
            return None
        return self.protrusion + self.protrusion_pm

    def reaches(self, adapter: float) -> bool:
        """Return whether what stands out of the hub reaches through an adapter [mm]: if unknown, yes."""
        return self.protrusion_length is None or self.protrusion_length > adapter

    def least_bore(self, adapter: float) -> float | None:
        """Return the least bore [mm] of a wheel, on an adapter of a thickness [mm] or 0."""
        needs = [] if adapter else [self.to_pilot]
        needs += [self.to_protrusion] if self.reaches(adapter) else []
        return max((need for need in needs if need is not None), default=None)

    def most_bore(self, hole: float) -> float | None:
        """Return the largest bore [mm] that leaves metal enough to holes [mm]; None if that is not known."""
        if self.circle is None or self.stud is None:
            return None
        return self.circle - hole - 2.0 * _LEAST_METAL * self.stud


def hub_size(room: Room) -> HubSize:
    """Return the hub of an axle; the bolt circle from its chord where only that was measured."""
    hub = room.axle.hub
    circle = hub.bolt_circle.value if hub.bolt_circle else None
    loose = (hub.bolt_circle.high - hub.bolt_circle.low) / 2.0 if hub.bolt_circle else 0.0
    if circle is None and hub.stud_chord and hub.studs:
        circle, high = (
            float(bolt_circle_from_chord(chord, hub.studs))
            for chord in (hub.stud_chord.value, hub.stud_chord.high)
        )
        loose = high - circle
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
        hub.protrusion_length.high + (hub.protrusion_length.pm or 0.0) if hub.protrusion_length else None,
        stud,
        hub.centred_by == "studs",
        loose,
        hub.centred_by == "pilot",
        (hub.pilot_diameter.pm or 0.0) if hub.pilot_diameter else 0.0,
        (hub.protrusion_diameter.pm or 0.0) if hub.protrusion_diameter else 0.0,
    )


def hub_margins(hub: HubSize, rims: Rims) -> dict[str, Floats]:
    """Return margins (n,) by requirement key, nan where a measure is missing or the rim's own is unknown."""
    n = len(rims)
    out = {key: np.full(n, np.nan) for key in ("bolt_circle", "bore", "hub_protrusion", "bore_metal")}
    if hub.circle is not None and hub.studs is not None:
        drilled = rims.circle_low < rims.circle_high
        slack = np.where(drilled, 0.0, CIRCLE_TOLERANCE)
        margin = np.minimum(hub.circle - rims.circle_low, rims.circle_high - hub.circle) + slack
        margin = margin - hub.circle_loose
        has = np.array([not studs or hub.studs in studs for studs in rims.studs], dtype=bool)
        wrong = np.minimum(np.where(np.isnan(margin), 0.0, margin), 0.0) - hub.circle
        out["bolt_circle"] = np.where(has, margin, wrong)
    if hub.to_pilot is not None:
        # on an adapter the wheel is centred by the adapter's pilot in its turn
        out["bore"] = np.fmin(rims.bore_high - hub.to_pilot, rims.own_bore - rims.plate_pilot)
    if hub.protrusion is not None:
        reaches = np.array([hub.reaches(thick) for thick in rims.adapter_mm], dtype=bool)
        through = np.where(reaches, rims.own_bore, np.nan)
        out["hub_protrusion"] = np.fmin(rims.bore_high, through) - (hub.to_protrusion or 0.0)
    circle, studs, pilot, stud = hub.circle, hub.studs, hub.to_pilot, hub.stud
    if circle is not None and studs is not None and pilot is not None and stud is not None:
        hole = np.where(np.isnan(rims.hole), stud + HOLE_AIR, rims.hole)
        bore = np.maximum(rims.bore_low, pilot)
        between = np.asarray(metal_between_holes_mm(circle, studs, hole))
        inward = np.asarray(metal_to_bore_mm(circle, hole, bore))
        out["bore_metal"] = np.minimum(between, inward) - _LEAST_METAL * stud
    return out


def disc_margins(room: Room, rims: Rims) -> Floats:
    """Return the margin (n,) [mm] of each wheel's disc to what of the brake stands outboard of the face.

    What stands flush with the face or inboard of it passes the disc: with nothing outboard the margin is
    without end. It is nan where the brake was not measured, or a disc's outline is not known.
    """
    out = np.full(len(rims), np.nan)
    if not any(y > 0.0 for _, y in room.brake):
        return np.full(len(rims), np.inf) if room.brake else out
    known: dict[tuple[tuple[float, float], ...], float] = {}
    for k, outline in enumerate(rims.outline):
        if not outline:
            continue
        if outline not in known:
            known[outline] = _disc_gap(outline, room.brake)
        out[k] = known[outline] - DISC_CLEARANCE
    return out


def _disc_gap(outline: tuple[tuple[float, float], ...], brake: tuple[tuple[float, float], ...]) -> float:
    """Return the least distance [mm] of a disc's inner surface to the brake's parts outboard of the face.

    Negative by the lateral overlap where they overlap. Both are tried at points ``_PIECE`` apart, whose half
    is taken off.
    """
    disc_r, disc_y = _points(outline)
    brake_r, brake_y = _points(brake)
    out = brake_y > 0.0
    brake_r, brake_y = brake_r[out], brake_y[out]
    corners = np.array(outline, dtype=float)
    lateral = float((np.interp(brake_r, corners[:, 0], corners[:, 1]) - brake_y).min())
    if lateral <= 0.0:
        return lateral
    apart = np.hypot(disc_r[:, None] - brake_r, disc_y[:, None] - brake_y)
    return max(float(apart.min()) - _PIECE / 2.0, 0.0)


def _points(corners: tuple[tuple[float, float], ...]) -> tuple[Floats, Floats]:
    """Return points along a polyline (r, y) [mm], no more than ``_PIECE`` apart."""
    path = np.array(corners, dtype=float)
    length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    at = np.linspace(0.0, length[-1], max(2, int(np.ceil(length[-1] / _PIECE)) + 1))
    return np.interp(at, length, path[:, 0]), np.interp(at, length, path[:, 1])
