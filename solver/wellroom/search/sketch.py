"""What drawings need, as plain data: outlines of wheels, tires and brake, the body's edge, what stands
near, contacts.

Made from a scenario, the catalogs and an answer; no sweep is done again. Lengths in mm. In the section
plane a point
is (y, r): y outboard of the hub's face, r from the wheel's axis. In space it is (x forward, y outboard, z
up).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from wellroom.catalog import Catalog
from wellroom.geometry import contacts as geometry_contacts
from wellroom.geometry.items import Blocks, Floats, Item
from wellroom.geometry.section import Sections
from wellroom.scenario.build import End, Room, build_room
from wellroom.scenario.model import Lip, Scenario
from wellroom.search import outlines, results
from wellroom.search.hub import CIRCLE_TOLERANCE, HubSize, hub_size
from wellroom.search.outlines import Outline
from wellroom.search.request import own_wheel, today_tire
from wellroom.search.stock import (
    Rims,
    Service,
    Tires,
    catalog_tires,
    in_service,
    made_rims,
    own_rim,
    rims_from,
    stocked_rims,
)

INCH = 25.4
TODAY = 0
"""The rank that today's wheels have."""


@dataclass(frozen=True)
class LipPoint:
    """The body's edge at one clock [rad]: lip radius, skin and innermost edge outboard of the face."""

    index: int
    clock: float
    radius: float
    out: float | None
    flange: float | None


@dataclass(frozen=True)
class NearThing:
    """One thing near the wheel. ``shape``: box (low and high corners), bar (two ends) or point (one place
    twice).
    """

    index: int
    id: str
    what: str
    shape: str
    low: tuple[float, float, float]
    high: tuple[float, float, float]
    thickness: float

    def section(self) -> tuple[float, float, float, float, bool]:
        """Return y and r ranges (y low, y high, r low, r high), and whether the plane straight up cuts it."""
        (x0, y0, z0), (x1, y1, z1) = self.low, self.high
        t = self.thickness
        ys = sorted((y0, y1))
        if self.shape == "box":
            across = x0 <= 0.0 <= x1 and z1 > 0.0
            if across:
                return ys[0], ys[1], max(z0, 0.0), z1, True
            near_x = 0.0 if x0 <= 0.0 <= x1 else min(abs(x0), abs(x1))
            near_z = 0.0 if z0 <= 0.0 <= z1 else min(abs(z0), abs(z1))
            far = math.hypot(max(abs(x0), abs(x1)), max(abs(z0), abs(z1)))
            return ys[0], ys[1], math.hypot(near_x, near_z), far, False
        radii = sorted((math.hypot(x0, z0), math.hypot(x1, z1)))
        return ys[0] - t, ys[1] + t, max(radii[0] - t, 0.0), radii[1] + t, False


@dataclass(frozen=True)
class AxleSketch:
    """What was measured round one end of an axle, as it is drawn; ``side`` is the end with the tightest
    contact.
    """

    axle: str
    side: str
    both_alike: bool
    lip: tuple[LipPoint, ...]
    lip_at_stop: tuple[LipPoint, ...]
    near: tuple[NearThing, ...]
    brake: Outline
    bump: float
    droop: float
    tilt_deg: float
    lock_inner_deg: float
    lock_outer_deg: float
    kingpin: float
    inclination_deg: float
    caster_deg: float
    body_out: float | None
    lip_radius: float | None
    hub: HubSize
    hub_protrusion: float
    disc_clamped: float | None


@dataclass(frozen=True)
class Mark:
    """Where one clearance is least: the place, its image in the section plane, and the nearest of the wheel.

    ``distance`` is the clearance there (margin + asked); ``foot`` None: the wheel's own outline is not what
    is
    nearest, or the barrel is not known.
    """

    id: str
    what: str
    place: tuple[float, float, float] | None
    at: tuple[float, float] | None
    foot: tuple[float, float] | None
    distance: float
    asked: float
    margin: float
    ok: bool
    contact: results.Contact


@dataclass(frozen=True)
class WheelSketch:
    """One tire on one wheel at its backspace. Outlines are closed polygons (y, r); ``disc`` may be empty.

    ``largest`` is the largest new tire with its wheel, as the clearances take it. ``known``: the barrel is.
    """

    tire: Outline
    cavity: Outline
    rim: Outline
    disc: Outline
    adapter: Outline
    largest: Outline
    known: bool
    centre: float
    overall: float
    od: float
    od_largest: float
    section: float
    seat_radius: float
    flange_radius: float
    bore: float | None
    hole: float | None
    tread: float
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Sketch:
    """Everything the drawings of an answer need. ``wheels`` by (rank, axle); today's have rank 0."""

    axles: Mapping[str, AxleSketch]
    wheels: Mapping[tuple[int, str], WheelSketch]


def sketch(scenario: Scenario, catalog: Catalog, result: results.Result) -> Sketch:
    """Return the sketch of an answer: both axles, every plan, today's wheels.

    A wheel whose tire or rim is in no catalog and is not today's is left out.
    """
    axles: dict[str, AxleSketch] = {}
    wheels: dict[tuple[int, str], WheelSketch] = {}
    table = catalog_tires(catalog)
    plans: list[tuple[int, results.Plan]] = [(plan.rank or TODAY, plan) for plan in result.fits]
    if isinstance(result, results.FitResult) and result.today is not None:
        plans.insert(0, (TODAY, result.today))
    for axle in results.AXLES:
        room = build_room(scenario, axle)
        hub = hub_size(room)
        fits = [plan.axles[axle] for _, plan in plans if axle in plan.axles]
        end = _end(room, fits)
        axles[axle] = _axle(scenario, room, end, hub)
        stock = _Stock(scenario, catalog, hub, table)
        for rank, plan in plans:
            fit = plan.axles.get(axle)
            parts = None if fit is None else stock.parts(axle, fit)
            if fit is not None and parts is not None:
                wheels[rank, axle] = _wheel(room, hub, fit, *parts)
    return Sketch(axles, wheels)


def _end(room: Room, fits: list[results.AxleFit]) -> End:
    """Return the end to draw: the one with the tightest contact of the first plan that has one."""
    for fit in reversed(fits[:2]):
        least = results.least_check(fit.checks)
        for end in room.ends:
            if least is not None and least.contact is not None and least.contact.side == end.side:
                return end
    return max(room.ends, key=lambda end: len(end.items))


def _axle(scenario: Scenario, room: Room, end: End, hub: HubSize) -> AxleSketch:
    axle = room.axle
    side = "left" if end.side == "both" else end.side
    steering, motion = axle.steering, room.motion
    return AxleSketch(
        axle=room.name,
        side=side,
        both_alike=end.side == "both",
        lip=_as_moved(_lip(axle.lip, side, "ride"), end),
        lip_at_stop=_lip(axle.lip, side, "stop"),
        near=_near(scenario, room, end, side),
        brake=tuple((y, r) for r, y in room.brake),
        bump=motion.up.high,
        droop=-motion.up.low,
        tilt_deg=math.degrees(motion.max_tilt),
        lock_inner_deg=math.degrees(motion.lock.high),
        lock_outer_deg=math.degrees(-motion.lock.low),
        kingpin=steering.kingpin_to_face.value if steering.kingpin_to_face else 0.0,
        inclination_deg=math.degrees((motion.inclination.low + motion.inclination.high) / 2.0),
        caster_deg=math.degrees((motion.caster.low + motion.caster.high) / 2.0),
        body_out=end.body_out,
        lip_radius=end.lip_radius,
        hub=hub,
        hub_protrusion=hub.protrusion_length,
        disc_clamped=axle.hub.disc_clamped.value if axle.hub.disc_clamped else None,
    )


def _lip(lips: tuple[Lip, ...], side: str, at: str) -> tuple[LipPoint, ...]:
    found = [
        LipPoint(
            index,
            lip.clock.value if lip.clock else 0.0,
            lip.radius.low,
            lip.out.value if lip.out else None,
            lip.flange.value if lip.flange else None,
        )
        for index, lip in enumerate(lips)
        if lip.at == at and lip.radius is not None and lip.side in ("both", side)
    ]
    return tuple(sorted(found, key=lambda point: point.clock))


def _as_moved(points: tuple[LipPoint, ...], end: End) -> tuple[LipPoint, ...]:
    """Return the lip's points where the scenario's changes have put them."""
    if len(points) != len(end.edges):
        return points
    return tuple(
        replace(point, clock=edge.clock, radius=edge.radius, out=edge.out)
        for point, edge in zip(points, end.edges, strict=True)
    )


def _near(scenario: Scenario, room: Room, end: End, side: str) -> tuple[NearThing, ...]:
    listed = [(index, near) for index, near in enumerate(room.axle.near) if near.side in ("both", side)]
    out = []
    for index, near in listed:
        id_ = f"{room.name}.near.{near.slug}"
        item = next((item for item in end.items if item.id == id_), None)
        if item is not None:
            out.append(NearThing(index, id_, near.what, near.shape, *_corners(item, near.shape)))
    return tuple(out)


def _corners(item: Item, shape: str) -> tuple[tuple[float, float, float], tuple[float, float, float], float]:
    points = []
    for surface in item.surfaces:
        corners = surface.corners
        if surface.arc:
            clock, y, radius = corners.T
            corners = np.stack([radius * np.sin(clock), y, radius * np.cos(clock)], axis=1)
        points.append(corners)
    every = np.concatenate(points)
    thick = float(item.surfaces[0].thickness)
    if shape == "bar":
        return _three(every[0]), _three(every[1]), thick
    return _three(every.min(axis=0)), _three(every.max(axis=0)), thick


def _three(values: Floats) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])


class _Stock:
    """Finds the tire and the wheel of a fit again, by their ids."""

    def __init__(self, scenario: Scenario, catalog: Catalog, hub: HubSize, table: Tires) -> None:
        self._scenario, self._catalog, self._table = scenario, catalog, table
        self._hub = hub
        self._made: list[dict[str, Any]] | None = None
        self._stocked: list[dict[str, Any]] | None = None
        self._disc = {
            row["id"]: float(row["disc_thickness_mm"])
            for frame in (catalog.blanks, catalog.wheels)
            for row in frame[["id", "disc_thickness_mm"]].to_dict("records")
        }

    def parts(self, axle: str, fit: results.AxleFit) -> tuple[Tires, Rims, float] | None:
        """Return tire (one row), rim (one row) and thickness of the disc [mm]."""
        now = getattr(self._scenario.now, axle)
        tire: Tires | None = None
        if fit.tire.id is not None:
            rows = np.flatnonzero(self._table.id == fit.tire.id)
            tire = self._table.take(rows[:1]) if len(rows) else None
        else:
            tire = today_tire(now, self._catalog)
        wheel = self._wheel(fit, now)
        if tire is None or wheel is None:
            return None
        return tire, rims_from([wheel]), self._disc.get(str(fit.wheel.id), 10.0)

    def _wheel(self, fit: results.AxleFit, now: Any) -> dict[str, Any] | None:
        if fit.wheel.source == "made":
            if self._made is None:
                self._made = made_rims(self._catalog)
            return next(
                (
                    row
                    for row in self._made
                    if row["id"] == fit.wheel.id and abs(row["width"] - fit.rim_width_in) < 1e-6
                ),
                None,
            )
        if fit.wheel.source == "stock":
            if self._stocked is None:
                self._stocked = stocked_rims(
                    self._catalog, self._hub.studs, self._hub.circle, CIRCLE_TOLERANCE
                )
            thick = fit.wheel.adapter_mm or 0.0
            return next(
                (
                    row
                    for row in self._stocked
                    if row["id"] == fit.wheel.id and abs(row["adapter_mm"] - thick) < 1e-6
                ),
                None,
            )
        own = own_wheel(now)
        if (
            own is not None
            and abs(own["code"] - fit.rim_diameter_in) + abs(own["width"] - fit.rim_width_in) < 1e-6
        ):
            return own
        half = INCH / 2.0
        return own_rim(fit.rim_diameter_in, fit.rim_width_in, fit.backspace_mm, half, half)


def _wheel(
    room: Room, hub: HubSize, fit: results.AxleFit, tire: Tires, rim: Rims, disc_mm: float
) -> WheelSketch:
    shift = -fit.inset_mm
    largest = in_service(tire, rim, Service())
    body = outlines.body_of(tire, rim, fit.tire.section_mm)
    known = bool(rim.known[0])
    seat = float(rim.barrels().seat_radius[0])
    adapter = float(rim.adapter_mm[0])
    bore = _bore(hub, rim)
    return WheelSketch(
        tire=outlines.moved(body.outside, shift),
        cavity=outlines.moved(body.inside, shift),
        rim=outlines.moved(outlines.barrel(rim), shift),
        disc=outlines.disc(rim, shift, disc_mm, bore) if known else (),
        adapter=outlines.adapter(rim, bore) if adapter else (),
        largest=_outline(largest, shift),
        known=known,
        centre=shift,
        overall=float(rim.overall[0]),
        od=float(tire.od[0]),
        od_largest=float(tire.od_max[0]),
        section=fit.tire.section_mm,
        seat_radius=seat,
        flange_radius=seat + float(rim.flange_height[0]),
        bore=bore if known else None,
        hole=float(rim.hole[0]) if known and not np.isnan(rim.hole[0]) else None,
        tread=float(tire.tread[0]),
        marks=tuple(_marks(room, fit, largest, shift, known)),
    )


def _bore(hub: HubSize, rim: Rims) -> float | None:
    """Return the bore [mm]: a stocked wheel's own; on one to be made what the hub needs, within its
    limits.
    """
    low, high = float(rim.bore_low[0]), float(rim.bore_high[0])
    if np.isnan(low):
        return None
    need = max(hub.pilot or 0.0, hub.protrusion or 0.0)
    return min(max(low, need), high)


def _outline(parts: Sections, shift: float) -> Outline:
    r, y = geometry_contacts.outline(parts, 0, shift, Blocks.NOTHING)
    return tuple((float(b), float(a)) for a, b in zip(r[:-1], y[:-1], strict=True))


def _marks(room: Room, fit: results.AxleFit, parts: Sections, shift: float, known: bool) -> list[Mark]:
    blocks = {item.id: item.blocks for end in room.ends for item in end.items}
    out = []
    for check in fit.checks:
        contact = check.contact
        if contact is None or check.margin is None or check.asked is None or check.kind != "clearance":
            continue
        bare = check.id.removesuffix(".left").removesuffix(".right")
        place = contact.place
        at = foot = None
        if contact.r_mm is not None and contact.y_mm is not None:
            at = (contact.y_mm, contact.r_mm)
            foot = _foot(parts, shift, blocks.get(bare, Blocks.NOTHING), at)
        out.append(
            Mark(
                id=check.id,
                what=contact.what,
                place=None if place is None else (place.x, place.y, place.z),
                at=at,
                foot=foot if known or (foot is not None and foot[1] > float(parts.r[0, 3])) else None,
                distance=check.margin + check.asked,
                asked=check.asked,
                margin=check.margin,
                ok=check.ok is not False,
                contact=contact,
            )
        )
    return sorted(out, key=lambda mark: (mark.margin, mark.id))


def _foot(
    parts: Sections, shift: float, blocks: Blocks, at: tuple[float, float]
) -> tuple[float, float] | None:
    """Return the point of a section's outline that is nearest to a point; None where it is not on the
    wheel.
    """
    r, y = geometry_contacts.outline(parts, 0, shift, blocks)
    ar, ay, dr, dy = r[:-1], y[:-1], np.diff(r), np.diff(y)
    length = np.maximum(dr * dr + dy * dy, 1e-12)
    along = np.clip(((at[1] - ar) * dr + (at[0] - ay) * dy) / length, 0.0, 1.0)
    fr, fy = ar + along * dr, ay + along * dy
    best = int(np.argmin(np.hypot(fr - at[1], fy - at[0])))
    foot = (float(fy[best]), float(fr[best]))
    low, high = shift - float(parts.inboard[0].max()), shift + float(parts.outboard[0].max())
    return foot if low - 1.0 <= foot[0] <= high + 1.0 else None
