"""What each physical change does, against the shop's table and plane geometry; no other source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from wellroom.data import scenarios_dir
from wellroom.geometry.items import Item
from wellroom.scenario import load_scenario
from wellroom.scenario.build import Room, build_room
from wellroom.scenario.model import Lip, Scenario
from wellroom.search.sweeps import item_key, room_key
from wellroom.units import Measure

INCH = 25.4
L = 2.0 * INCH


def tender(*sets: str) -> Scenario:
    """Return the shipped fire tender, its caps out of the way, with sets put over it."""
    caps = ("limits.trim_max=7", "limits.lift_max=9", "limits.lock_min=5", "limits.up_travel_min=0")
    return load_scenario(scenarios_dir() / "fire_tender.toml", [*caps, *sets])


def rooms(*sets: str) -> tuple[Room, Room]:
    """Return the front room as it is and with the sets."""
    return build_room(tender(), "front"), build_room(tender(*sets), "front")


def by_id(room: Room, id_: str, end: int = 0) -> list[Item]:
    """Return the items of one thing at one end."""
    return [item for item in room.ends[end].items if item.id == id_]


def moved_by(before: Room, after: Room, id_: str, end: int = 0) -> np.ndarray:
    """Return how far the first corner of a thing that is no arc has moved [mm]."""
    a, b = by_id(before, id_, end)[0], by_id(after, id_, end)[0]
    shifts = [y.corners - x.corners for x, y in zip(a.surfaces, b.surfaces, strict=True)]
    assert all(np.allclose(shift, shifts[0][0]) for shift in shifts)
    return shifts[0][0]


def changed(before: Room, after: Room) -> set[str]:
    """Return the ids of the things whose items differ at the first end."""
    pairs = zip(before.ends[0].items, after.ends[0].items, strict=True)
    return {a.id for a, b in pairs if item_key(a) != item_key(b)}


@pytest.mark.parametrize(("clock", "gain"), [(0, 2.00), (30, 1.75), (60, 1.06), (90, 0.09)])
def test_spring_lift_lip_at_rest_gains_as_the_table_has_it(clock: float, gain: float) -> None:
    """Shop table: at rest a 23 in lip gains 2.00, 1.75, 1.06, 0.09 in at 0, 30, 60, 90 degrees for 2 in."""
    scenario = tender("change.spring_lift=2")
    lip = Lip(
        radius=Measure.exact(23.0 * INCH),
        out=Measure.exact(100.0),
        flange=Measure.exact(90.0),
        clock=Measure.exact(np.radians(clock)),
    )
    front = replace(scenario.axle.front, lip=(lip,))
    scenario = replace(scenario, axle=replace(scenario.axle, front=front))
    edge = build_room(scenario, "front").ends[0].edges[0]
    assert edge.radius / INCH - 23.0 == pytest.approx(gain, abs=0.005)


def test_spring_lift_alone_changes_nothing_that_is_swept() -> None:
    """Trap 1: the stop sets full bump, so body and frame against the wheel are the same at every travel."""
    before, after = rooms("change.spring_lift=2")
    assert room_key(before) == room_key(after)
    assert after.lift == pytest.approx(L)


def test_body_lift_moves_body_and_lip_and_nothing_else() -> None:
    """Shop table: z + L for the body only; frame, box, stops, axle and knuckle stay."""
    before, after = rooms("change.body_lift=2")
    bodies = {id_.removesuffix("_low_part") for id_ in changed(before, after)}
    assert bodies == {"front.lip", "front.near.cab_corner"}
    assert moved_by(before, after, "front.near.cab_corner") == pytest.approx([0.0, 0.0, L])
    assert before.motion == after.motion
    top_before, top_after = (room.ends[0].edges[2] for room in (before, after))
    assert (top_after.clock, top_after.radius) == pytest.approx((0.0, top_before.radius + L))


def test_body_lift_lip_is_the_point_risen() -> None:
    """Plane geometry: (r sin c, r cos c + L), at every measured clock, at rest and at every travel alike."""
    before, after = rooms("change.body_lift=2")
    for a, b in zip(before.ends[0].edges, after.ends[0].edges, strict=True):
        up, ahead = a.radius * np.cos(a.clock) + L, a.radius * np.sin(a.clock)
        assert b.radius == pytest.approx(np.hypot(up, ahead))
        assert b.clock == pytest.approx(np.arctan2(ahead, up))
    for a, b in zip(
        by_id(before, "front.lip")[0].surfaces, by_id(after, "front.lip")[0].surfaces, strict=True
    ):
        ahead, up = a.corners[:, 2] * np.sin(a.corners[:, 0]), a.corners[:, 2] * np.cos(a.corners[:, 0]) + L
        assert b.corners[:, 2] == pytest.approx(np.hypot(ahead, up))


def test_stop_spacer_takes_its_thickness_off_bump_and_moves_nothing() -> None:
    """Shop table: bump - t."""
    before, after = rooms("change.stop_spacer=1")
    assert before.motion.up.high - after.motion.up.high == pytest.approx(INCH)
    assert before.motion.up.low == after.motion.up.low
    assert changed(before, after) == set()


def test_spring_lift_with_a_spacer_of_its_height_keeps_the_travel_and_gains_at_the_stop() -> None:
    """Shop table: a spring lift gains at full bump only together with a stop spacer."""
    before, after = rooms("change.spring_lift=1", "change.stop_spacer=1")
    assert after.motion.up.high + after.lift == pytest.approx(before.motion.up.high)


def test_steering_stop_takes_degrees_off_both_locks() -> None:
    """Shop table: only ever inward, each lock less by it."""
    before, after = rooms("change.steering_stop=2")
    two = np.radians(2.0)
    assert after.motion.lock.high == pytest.approx(before.motion.lock.high - two)
    assert after.motion.lock.low == pytest.approx(before.motion.lock.low + two)


def test_trim_adds_to_the_radius_at_its_clocks_alone() -> None:
    """Shop table: radius + t at those clocks."""
    before, after = rooms("change.trim=1", "change.trim_clocks=[-45, 45]")
    gains = [b.radius - a.radius for a, b in zip(before.ends[0].edges, after.ends[0].edges, strict=True)]
    assert gains == pytest.approx([0.0, INCH, INCH, INCH, 0.0])
    assert changed(before, after) == {"front.lip"}


def test_roll_lip_brings_the_flange_to_the_skin_and_leaves_poke() -> None:
    """Shop table: the flange to about 0; 1/2 to 3/4 in at the lip; poke same."""
    before, after = rooms("change.roll_lip=true")
    inner = [
        min(s.corners[:, 1].min() for s in by_id(room, "front.lip")[0].surfaces) for room in (before, after)
    ]
    assert inner[1] - inner[0] == pytest.approx(0.75 * INCH)
    assert after.ends[0].body_out == before.ends[0].body_out


def test_flare_moves_the_poke_reference_alone() -> None:
    """Shop table: poke reference + f only, no clearance."""
    before, after = rooms("change.flare=3")
    assert after.ends[0].body_out == pytest.approx(before.ends[0].body_out + 3.0 * INCH)
    assert room_key(before) == room_key(after)


def test_centre_axle_goes_out_one_side_and_in_the_other() -> None:
    """Shop table: out + e one side, - e other; what is fixed to the axle or the knuckle stays."""
    before, after = rooms("change.centre_axle=1/4")
    quarter = INCH / 4.0
    assert moved_by(before, after, "front.near.frame_rail", 0) == pytest.approx([0.0, quarter, 0.0])
    assert moved_by(before, after, "front.near.frame_rail", 1) == pytest.approx([0.0, -quarter, 0.0])
    left, right = (end.body_out for end in after.ends)
    assert left - right == pytest.approx(2.0 * quarter)
    assert "front.near.tie_rod_end" not in changed(before, after)
    springs = zip(
        by_id(before, "front.near.leaf_spring"), by_id(after, "front.near.leaf_spring"), strict=True
    )
    assert all((item_key(a) == item_key(b)) == (a.share == 1.0) for a, b in springs)


def test_axle_forward_changes_the_lip_by_clock() -> None:
    """Plane geometry: the axle 1 in forward brings the lip's front nearer and its rear farther."""
    before, after = rooms("change.axle_forward=1")
    for a, b in zip(before.ends[0].edges, after.ends[0].edges, strict=True):
        ahead, up = a.radius * np.sin(a.clock) - INCH, a.radius * np.cos(a.clock)
        assert b.radius == pytest.approx(np.hypot(ahead, up))
    assert moved_by(before, after, "front.near.frame_rail") == pytest.approx([-INCH, 0.0, 0.0])


def test_adapter_moves_the_face_out() -> None:
    """Shop table: s + t, so all that is measured from the face stands t further in, and the axle t wider."""
    before, after = rooms("change.adapter=1")
    for id_ in ("front.near.frame_rail", "front.near.cab_corner"):
        assert moved_by(before, after, id_) == pytest.approx([0.0, -INCH, 0.0])
    assert [a[1] - b[1] for a, b in zip(before.brake, after.brake, strict=True)] == pytest.approx(
        [INCH] * len(before.brake)
    )
    assert after.ends[0].body_out == pytest.approx(before.ends[0].body_out - INCH)
    assert after.motion.kingpin.low == pytest.approx(before.motion.kingpin.low + INCH)
    assert after.motion.span == pytest.approx(before.motion.span)
    assert after.axle.face_to_face.value == pytest.approx(before.axle.face_to_face.value + 2.0 * INCH)


def test_change_of_one_axle_leaves_the_other() -> None:
    """A table with front or rear changes that axle alone."""
    plain, scenario = tender(), tender("change.trim.rear=1")
    assert room_key(build_room(scenario, "front")) == room_key(build_room(plain, "front"))
    assert room_key(build_room(scenario, "rear")) != room_key(build_room(plain, "rear"))
