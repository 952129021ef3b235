"""One tire on one wheel as it is drawn: outlines, and where each clearance is least."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wellroom.geometry import contacts as geometry_contacts
from wellroom.geometry.items import Blocks, Floats, Item
from wellroom.geometry.section import Sections
from wellroom.scenario.build import Room
from wellroom.search import outlines, results
from wellroom.search.hub import HubSize
from wellroom.search.outlines import Outline
from wellroom.search.requirements import bare
from wellroom.search.rims import Rims
from wellroom.search.sections import Service, in_service
from wellroom.search.tires import Tires

Point = tuple[float, float]


@dataclass(frozen=True)
class Mark:
    """Where one clearance is least: the place, its image in the section plane, and the nearest of the wheel.

    ``at`` is the point of the thing's surface that is nearest, ``foot`` that of the wheel: None where the
    barrel is not known. ``beside`` is the place of the outline's edge from which ``foot`` is drawn out: what
    lies beyond a thing that blocks is closed too, so the wheel is taken to reach past its own width; None
    where ``foot`` is on the wheel itself. ``distance`` is the clearance there (margin + asked). ``low``: to
    the bulge of the loaded tire.
    """

    id: str
    what: str
    place: tuple[float, float, float] | None
    at: Point | None
    foot: Point | None
    beside: Point | None
    distance: float
    asked: float
    margin: float
    ok: bool
    low: bool
    contact: results.Contact


@dataclass(frozen=True)
class WheelSketch:
    """One tire on one wheel at its backspace. Outlines are closed polygons (y, r); ``disc`` may be empty.

    ``largest`` is the largest new tire with its wheel, as the clearances take it; ``bulged`` the same with
    the loaded side walls' bulge, for what stands low beside it, () where nothing does. ``known``: the barrel
    is.
    """

    tire: Outline
    cavity: Outline
    rim: Outline
    disc: Outline
    adapter: Outline
    largest: Outline
    bulged: Outline
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


def wheel_sketch(
    room: Room,
    hub: HubSize,
    fit: results.AxleFit,
    tire: Tires,
    rim: Rims,
    disc_mm: float,
    chains: tuple[float, float],
) -> WheelSketch:
    """Return what is drawn of a fit's tire (one row) on its rim (one row), judged with chains of a size."""
    shift = -fit.inset_mm
    service = {low: in_service(tire, rim, Service(*chains, bulge=low)) for low in (False, True)}
    low_too = any(item.low for end in room.ends for item in end.items)
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
        largest=_outline(service[False], shift),
        bulged=_outline(service[True], shift) if low_too else (),
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
        marks=tuple(_marks(room, fit, service, shift, known)),
    )


def _bore(hub: HubSize, rim: Rims) -> float | None:
    """Return the bore [mm]: a stocked wheel's own; on one to be made what the hub needs, within its
    limits.
    """
    low, high = float(rim.bore_low[0]), float(rim.bore_high[0])
    if np.isnan(low):
        return None
    return min(max(low, hub.least_bore(0.0) or 0.0), high)


def _outline(parts: Sections, shift: float) -> Outline:
    r, y = geometry_contacts.outline(parts, 0, shift, Blocks.NOTHING)
    return tuple((float(b), float(a)) for a, b in zip(r[:-1], y[:-1], strict=True))


def _marks(
    room: Room, fit: results.AxleFit, service: Mapping[bool, Sections], shift: float, known: bool
) -> list[Mark]:
    items = {item.id: item for end in room.ends for item in end.items}
    out = []
    for check in fit.checks:
        contact = check.contact
        if contact is None or check.margin is None or check.asked is None or check.kind != "clearance":
            continue
        item = items.get(bare(check.id))
        low = item is not None and item.low
        place = contact.place
        at = foot = beside = None
        if contact.r_mm is not None and contact.y_mm is not None:
            at = (contact.y_mm, contact.r_mm)
            parts = service[low]
            foot, beside = _foot(parts, shift, item.blocks if item else Blocks.NOTHING, at)
            if not known and foot[1] <= float(parts.r[0, 3]):
                foot = beside = None
            else:
                at = _towards(at, foot, 0.0 if item is None else _thickness(item))
        out.append(
            Mark(
                id=check.id,
                what=contact.what,
                place=None if place is None else (place.x, place.y, place.z),
                at=at,
                foot=foot,
                beside=beside,
                distance=round(check.margin + check.asked, 6),
                asked=check.asked,
                margin=check.margin,
                ok=check.ok is not False,
                low=low,
                contact=contact,
            )
        )
    return sorted(out, key=lambda mark: (mark.margin, mark.id))


def _thickness(item: Item) -> float:
    """Return how far a thing reaches round the lines that it was swept by [mm]."""
    return max((surface.thickness for surface in item.surfaces), default=0.0)


def _towards(point: Point, goal: Point, by: float) -> Point:
    """Return a point moved toward another by a distance [mm], to that other at most."""
    long = math.dist(point, goal)
    share = min(by / long, 1.0) if long > 0.0 else 0.0
    return (point[0] + share * (goal[0] - point[0]), point[1] + share * (goal[1] - point[1]))


def _foot(parts: Sections, shift: float, blocks: Blocks, at: Point) -> tuple[Point, Point | None]:
    """Return the point of a section's outline that is nearest to a point, and where it is past the wheel's
    own width, the edge of the wheel that it is drawn out from.
    """
    r, y = geometry_contacts.outline(parts, 0, shift, blocks)
    ar, ay, dr, dy = r[:-1], y[:-1], np.diff(r), np.diff(y)
    length = np.maximum(dr * dr + dy * dy, 1e-12)
    along = np.clip(((at[1] - ar) * dr + (at[0] - ay) * dy) / length, 0.0, 1.0)
    fr, fy = ar + along * dr, ay + along * dy
    best = int(np.argmin(np.hypot(fr - at[1], fy - at[0])))
    foot = (float(fy[best]), float(fr[best]))
    low = shift - _reach(parts.r[0], parts.inboard[0], foot[1])
    high = shift + _reach(parts.r[0], parts.outboard[0], foot[1])
    if low - 1.0 <= foot[0] <= high + 1.0:
        return foot, None
    return foot, (low if foot[0] < low else high, foot[1])


def _reach(r: Floats, reach: Floats, at: float) -> float:
    """Return how far a side reaches at one radius, at a step the farther of its two ends [mm]."""
    return max(float(np.interp(at, r, reach)), float(reach[np.abs(r - at) < 0.01].max(initial=0.0)))
