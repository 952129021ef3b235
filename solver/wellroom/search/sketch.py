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

import numpy as np

from wellroom.catalog import Catalog
from wellroom.geometry.items import Floats, Item
from wellroom.scenario.build import End, Room, build_room
from wellroom.scenario.model import Lip, Scenario
from wellroom.search import results
from wellroom.search.hub import HubSize, hub_size
from wellroom.search.outlines import Outline
from wellroom.search.restock import Restock
from wellroom.search.tires import catalog_tires
from wellroom.search.wheel_sketch import WheelSketch as WheelSketch
from wellroom.search.wheel_sketch import wheel_sketch
from wellroom.trade.tire import CHAINS

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
        kind = scenario.vehicle.chains
        chains = CHAINS[kind] if kind and room.axle.driven else (0.0, 0.0)
        stock = Restock(scenario, catalog, hub, table)
        for rank, plan in plans:
            fit = plan.axles.get(axle)
            parts = None if fit is None else stock.parts(axle, fit)
            if fit is not None and parts is not None:
                wheels[rank, axle] = wheel_sketch(room, hub, fit, *parts, chains)
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
        hub_protrusion=hub.protrusion_length or 0.0,
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
