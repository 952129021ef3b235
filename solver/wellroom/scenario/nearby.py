"""What stands near each wheel of an axle, from its measures: items in the hub frame, and the body's edge."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wellroom.geometry.items import (
    Blocks,
    Floats,
    Item,
    Surface,
    bar_surfaces,
    box_surfaces,
    lip_surfaces,
    moved,
    point_surfaces,
    polar_point,
)
from wellroom.geometry.motion import Motion
from wellroom.scenario.changes import Moves
from wellroom.scenario.model import Axle, Lip, Near, Place
from wellroom.scenario.said import Said
from wellroom.units import MM_PER_IN, Measure

LIP_CLEARANCE, LIP_CLEARANCE_MUD = 0.5 * MM_PER_IN, 1.0 * MM_PER_IN
USUAL = "the usual clearance: common practice, no source"
_BY_WORD = (
    (("hose",), 1.0),
    (("tie-rod", "tie rod", "drag link", "link", "arm", "joint"), 0.375),
    (("leaf", "spring"), 0.75),
)
_STRAIGHT_LEAF = 1.0
LOW_BESIDE = -150.0
"""Half the radius of the smallest tires, below the axle [mm]: below it the loaded tire's bulge counts."""
_BLOCKS = {"inboard": Blocks.INBOARD, "outboard": Blocks.OUTBOARD, "nothing": Blocks.NOTHING}


@dataclass(frozen=True)
class Edge:
    """The body's edge at one clock at ride height: clock [rad], lip radius [mm], skin outboard of the face
    [mm].
    """

    clock: float
    radius: float
    out: float | None


def shifts(moves: Moves, side: str) -> tuple[Floats, Floats]:
    """Return how the changes shift what is on the body and what is on the frame at a side, (x, y, z) [mm]."""
    frame = np.array([moves.ahead, moves.right if side == "right" else -moves.right, 0.0])
    return frame + np.array([0.0, 0.0, moves.body]), frame


def near_side(
    axle: Axle, name: str, side: str, bump: float | None, motion: Motion, moves: Moves, said: Said
) -> tuple[tuple[Item, ...], tuple[Edge, ...]]:
    """Return what stands near the wheel of one side, and the body's edge there at ride height.

    ``bump``: travel to the stop as measured [mm], where the lip may have been measured too.
    """
    path = f"axle.{name}"
    body, frame = shifts(moves, side)
    lips = [lip for lip in axle.lip if lip.side in ("both", side) and lip.radius is not None]
    items = list(_lip_items(lips, f"{name}.lip", bump, motion, body))
    if items:
        said.assume(f"{path}.lip", "1/2 in over the tire, 1 in over a mud tire", USUAL)
        if len({lip.clock.value for lip in lips if lip.clock}) > 1:
            why = "common practice, no source"
            said.assume(f"{path}.lip", "between clocks the lip runs evenly in radius and place", why)
    for index, near in enumerate(axle.near):
        if near.side in ("both", side):
            shift = body if near.moves_with == "body" else frame
            at = f"{path}.near.{index}"
            items.extend(_near_items(near, f"{name}.near.{near.slug}", bump, shift, at, said))
    edges = (
        _edge(lip, body + np.array([0.0, moves.flare, moves.lift]))
        for lip in lips
        if lip.at == "ride" and lip.radius is not None and lip.clock is not None
    )
    return tuple(items), tuple(sorted(edges, key=lambda edge: edge.clock))


def _edge(lip: Lip, shift: Floats) -> Edge:
    assert lip.radius is not None
    clock, radius = _polar(_clock(lip), lip.radius.low, shift)
    return Edge(clock, radius, None if lip.out is None else lip.out.value + float(shift[1]))


def _polar(clock: float, radius: float, shift: Floats) -> tuple[float, float]:
    """Return the clock [rad] and radius [mm] of a place after a shift (x, y, z) [mm]."""
    if not shift[0] and not shift[2]:
        return clock, radius
    ahead, up = radius * np.sin(clock) + shift[0], radius * np.cos(clock) + shift[2]
    return float(np.arctan2(ahead, up)), float(np.hypot(up, ahead))


def _clock(lip: Lip) -> float:
    return lip.clock.value if lip.clock is not None else 0.0


def _lip_items(
    lips: Sequence[Lip], id_: str, bump: float | None, motion: Motion, shift: Floats
) -> Iterable[Item]:
    surfaces = list(lip_strips([lip for lip in lips if lip.at == "ride"], shift))
    if bump is not None:
        at_stop = lip_strips([lip for lip in lips if lip.at == "stop"], np.zeros(3))
        surfaces.extend(_on_body(strip, motion, bump, shift) for strip in at_stop)
    return lip_parts(surfaces, id_, 0.0, True, LOW_BESIDE + (bump or 0.0))


def _on_body(strip: Surface, motion: Motion, bump: float, shift: Floats) -> Surface:
    """Return a strip measured from the hub at full bump as it stands about the hub at ride height."""
    clock, y, radius = strip.corners.T
    turn, out = (float(part[0]) for part in motion.leaned(np.array([bump])))
    out += float(motion.aside(np.array([bump]))[0][0])
    y, z = y + motion.stop, radius * np.cos(clock)
    x = radius * np.sin(clock) + shift[0]
    y, z = y * np.cos(turn) - z * np.sin(turn), y * np.sin(turn) + z * np.cos(turn)
    y, z = y - motion.stop + out + shift[1], z + bump + shift[2]
    return replace(strip, corners=np.stack([np.arctan2(x, z), y, np.hypot(x, z)], axis=1))


def lip_strips(lips: Sequence[Lip], shift: Floats) -> tuple[Surface, ...]:
    """Return the strips of a lip measured at some clocks, shifted by (x, y, z) [mm]."""
    rows = []
    for lip in lips:
        reach = lip.flange or lip.out
        if lip.radius is None or reach is None:
            continue
        out = lip.out or reach
        inner, outer = min(reach.low, out.low) + float(shift[1]), out.high + float(shift[1])
        for at_clock in sorted({lip.clock.low, lip.clock.high} if lip.clock else {0.0}):
            clock, radius = _polar(at_clock, lip.radius.low, shift)
            rows.append((clock, radius, inner, outer))
    return lip_surfaces(*map(list, zip(*sorted(rows), strict=True))) if rows else ()


def lip_parts(surfaces: Iterable[Surface], id_: str, share: float, turns: bool, cut: float) -> Iterable[Item]:
    """Yield a lip's items: what stands above a height [mm], and what reaches below it."""
    for low, some in _by_height(surfaces, cut):
        clearances = (LIP_CLEARANCE, LIP_CLEARANCE_MUD)
        part = ".low_part" if low else ""
        yield Item(id_ + part, some, share, turns, Blocks.OUTBOARD, clearances, low=low)


_PART = {False: "", True: "_low_part"}


def _by_height(surfaces: Iterable[Surface], cut: float) -> Iterable[tuple[bool, tuple[Surface, ...]]]:
    """Yield what stands above a height [mm], and what reaches below it, for which the tire's bulge counts."""
    listed = list(surfaces)
    for low in (False, True):
        some = tuple(surface for surface in listed if (_lowest(surface) < cut) is low)
        if some:
            yield low, some


def _lowest(surface: Surface) -> float:
    c = surface.corners
    heights = c[:, 2] * np.cos(c[:, 0]) if surface.arc else c[:, 2]
    return float(heights.min()) - surface.thickness


def _near_items(
    near: Near, id_: str, bump: float | None, shift: Floats, path: str, said: Said
) -> Iterable[Item]:
    shares = {"axle": [(1.0, 1.0)], "knuckle": [(1.0, 1.0)], "between": [(0.0, 0.0), (1.0, 1.0)]}.get(
        near.moves_with, [(0.0, 0.0)]
    )
    if near.share is not None and near.moves_with == "between":
        shares = [(near.share.low, near.share.high)]
    elif near.moves_with == "between":
        why = "taken as fixed to the frame and as fixed to the axle, not between; a share or a range is swept"
        said.assume(f"{path}.share", "0 and 1", why)
    asked, straight = clearance(near, path, said)
    turns = near.moves_with != "knuckle"
    for least, most in shares:
        cut = LOW_BESIDE + (1.0 - least) * (bump or 0.0) if turns else -np.inf
        x, y, z = (0.0, 0.0, 0.0) if most == least else (-float(part) for part in shift)
        for item in near_parts(near, id_, (1.0 - least) * shift, cut, asked):
            item = replace(item, share=least, more_share=most - least, by_share=(x, y, z), turns=turns)
            yield item
            if straight > asked:
                yield replace(item, clearances=(straight,), straight_only=True)


def near_parts(near: Near, id_: str, shift: Floats, cut: float, asked: float) -> Iterable[Item]:
    """Yield a thing's items, shifted by (x, y, z) [mm] and fixed to the wheel: above and below a height."""
    for solid in _near_solids(near, cut):
        placed = tuple(moved(surface, shift) for surface in solid)
        low = min(map(_lowest, placed)) < cut
        yield Item(id_ + _PART[low], placed, 1.0, False, _BLOCKS[near.blocks or "inboard"], (asked,), low=low)


def _near_solids(near: Near, cut: float) -> Iterable[tuple[Surface, ...]]:
    """Yield a thing's surfaces; a box that reaches below a height [mm] and above it as two boxes."""
    surfaces = _near_surfaces(near)
    if near.shape != "box" or not surfaces:
        yield from (surfaces,) if surfaces else ()
        return
    corners = np.concatenate([surface.corners for surface in surfaces])
    low, high = corners.min(axis=0), corners.max(axis=0)
    if not low[2] < cut < high[2]:
        yield surfaces
        return
    middle = np.array([low[0], low[1], cut])
    yield box_surfaces(middle, high)
    yield box_surfaces(low, np.array([high[0], high[1], cut]))


def clearance(near: Near, path: str, said: Said) -> tuple[float, float]:
    """Return the clearance asked through the motion and with the wheels straight ahead [mm]."""
    if near.clearance is not None:
        return near.clearance.high, near.clearance.high
    words = near.what.lower()
    inches = next((size for keys, size in _BY_WORD if any(key in words for key in keys)), 0.5)
    leaf = "leaf" in words
    text = f"{inches:g} in" + (f", {_STRAIGHT_LEAF:g} in straight ahead" if leaf else "")
    said.assume(f"{path}.clearance", text, USUAL)
    return inches * MM_PER_IN, (_STRAIGHT_LEAF if leaf else inches) * MM_PER_IN


def _near_surfaces(near: Near) -> tuple[Surface, ...]:
    if near.shape == "box":
        ends = (near.forward_from, near.forward_to, near.up_from, near.up_to, near.in_from, near.in_to)
        if any(end is None for end in ends):
            return ()
        rear, front, low, high, outer, inner = (end for end in ends if end is not None)
        return box_surfaces(
            np.array([rear.low, -inner.high, low.low]), np.array([front.high, -outer.low, high.high])
        )
    if near.shape == "bar":
        if near.start is None or near.end is None or near.diameter is None:
            return ()
        start, end = cartesian(near.start), cartesian(near.end)
        if start is None or end is None:
            return ()
        loose = 2.0 * max(_looseness(near.start), _looseness(near.end))
        return bar_surfaces(start, end, near.diameter.high + loose)
    place = Place(near.clock, near.radius, near.forward, near.up, near.inboard)
    if near.inboard is None:
        return ()
    if near.clock is not None and near.radius is not None:
        clock, radius, inner = near.clock, near.radius, near.inboard
        return point_surfaces(
            np.array([clock.value, -inner.high, radius.low]),
            np.array([clock.value, -inner.low, radius.high]),
            (clock.high - clock.low) / 2.0,
        )
    at = cartesian(place)
    if at is None or near.forward is None or near.up is None:
        return ()
    return (
        box_surfaces(
            np.array([near.forward.low, -near.inboard.high, near.up.low]),
            np.array([near.forward.high, -near.inboard.low, near.up.high]),
        )
        if any(m.is_range for m in (near.forward, near.up, near.inboard))
        else bar_surfaces(at, at, 0.0)
    )


def cartesian(place: Place) -> np.ndarray[tuple[int], np.dtype[np.float64]] | None:
    """Return the middle of a place, (x, y, z) [mm], None where it is not all given."""
    if place.inboard is None:
        return None
    if place.clock is not None and place.radius is not None:
        return polar_point(place.clock.value, place.radius.value, -place.inboard.value)
    if place.forward is not None and place.up is not None:
        return np.array([place.forward.value, -place.inboard.value, place.up.value])
    return None


def _looseness(place: Place) -> float:
    """Return how far a place may be from the middle of its ranges [mm]."""

    def half(measure: Measure | None) -> float:
        return 0.0 if measure is None else (measure.high - measure.low) / 2.0

    round_ = half(place.clock) * (place.radius.high if place.radius else 0.0)
    parts = (round_, half(place.radius), half(place.forward), half(place.up), half(place.inboard))
    return float(np.hypot.reduce(np.array(parts)))
