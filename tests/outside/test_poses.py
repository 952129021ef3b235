"""Measured poses: fixed to the wheel, never wider than without them, and checked against the model's word."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from outside import brute
from wellroom import fit, load_catalog, load_scenario
from wellroom.data import scenarios_dir
from wellroom.scenario.build import Room, build_room
from wellroom.scenario.model import Scenario

IN, DEG = 25.4, np.pi / 180.0
SPOT = "axle.{axle}.near=[{{what='test spot', moves_with='frame', forward=-6, up=12, in=9, clearance='0.5'}}]"


def tender(*sets: str) -> Scenario:
    """Return the fire tender with sets put over it."""
    return load_scenario(scenarios_dir() / "fire_tender.toml", sets)


def seen_by_scipy(axle: brute.Any, side: str, place: list[float], pose: dict[int, float]) -> np.ndarray:
    """Return where the wheel sees a place of the frame (x, y, z) [mm] at a pose."""
    poses = brute.poses_of(axle, side)
    q = np.zeros((1, brute.PARAMETERS))
    q[0, brute.LEAN], q[0, brute.CASTER] = np.mean(poses.lean), np.mean(poses.caster)
    q[0, brute.KING] = np.mean(poses.king)
    for key, value in pose.items():
        q[0, key] = value
    p = brute._off_axle(np.array([place]), poses, q)
    axis = np.array([-np.tan(q[0, brute.CASTER]), -np.tan(q[0, brute.LEAN]), 1.0])
    pivot = np.array([0.0, -q[0, brute.KING], 0.0])
    turn = Rotation.from_rotvec(axis / np.linalg.norm(axis) * q[0, brute.LOCK])
    return np.asarray(turn.inv().apply(p - pivot) + pivot)[0]


def posed(axle: str, side: str, at: np.ndarray, how: str) -> str:
    """Return the set of a pose at which a spot was measured again at a place (x, y, z) [mm]."""
    x, y, z = at / IN
    spot = (
        f"{{what='test spot', moves_with='frame', side='{side}', forward={x:.5f}, up={z:.5f}, in={-y:.5f}}}"
    )
    return f"axle.{axle}.pose=[{{what='again', {how}, near=[{spot}]}}]"


def stands(side: str) -> tuple[dict[int, float], str]:
    """Return a pose of the front axle, tilted and locked to the left: for brute force, and as measured."""
    axle = tender().axle.front
    left, right = (2.0 * IN, -1.0 * IN)  # at the wheels
    sine = (left - right) / axle.face_to_face.value
    stop = axle.travel.stop_from_face.value
    at_stops = left - stop * sine, right + stop * sine
    lock = 20.0 * DEG
    if side == "right":
        lock *= -axle.steering.lock_outer_wheel.high / axle.steering.lock_inner_wheel.high
        at_stops = at_stops[::-1]
    return {brute.HERE: at_stops[0], brute.OTHER: at_stops[1], brute.LOCK: lock}, "left=2, right=-1, lock=20"


@pytest.mark.parametrize("side", ["left", "right"])
def test_pose_as_the_model_has_it_gives_no_warning(side: str) -> None:
    """A place by scipy's rotations at a tilted, steered pose agrees with the model; 2 in off does not."""
    pose, how = stands(side)
    spot = SPOT.format(axle="front")
    at = seen_by_scipy(tender().axle.front, side, [-6 * IN, -9 * IN, 12 * IN], pose)
    agrees = build_room(tender(spot, posed("front", side, at, how)), "front")
    assert agrees.warnings == ()
    # the ± of locks, tilt and travel are wide: what is farther off than they allow is wrong
    exact = how.replace("lock=20", "lock='20 ± 0.1'").replace("left=2", "left='2 ± 0.02'")
    exact = exact.replace("right=-1", "right='-1 ± 0.02'")
    off = build_room(tender(spot, posed("front", side, at + np.array([0.0, 0.0, 2.0 * IN]), exact)), "front")
    assert len(off.warnings) == 1
    assert "axle.front.pose.0.near.0: test spot is 2" in off.warnings[0]


def ends_of(room: Room, thing: str) -> list[tuple[float, bool, float]]:
    """Return share, whether it turns and clearance of the items of a thing at the first end."""
    items = [item for item in room.ends[0].items if item.id == thing]
    return [(item.share, item.turns, item.clearances[0]) for item in items]


def test_pose_adds_what_was_measured_fixed_to_the_wheel() -> None:
    """It carries the thing's id and clearance; a lip the lip's."""
    spot = SPOT.format(axle="rear")
    again = posed("rear", "both", np.array([0.0, -9.0, 10.0]) * IN, "left=2, right=2")
    room = build_room(tender(spot, again), "rear")
    assert ends_of(room, "rear.near.test_spot") == [(0.0, True, 0.5 * IN), (1.0, False, 0.5 * IN)]
    lip = "axle.rear.pose=[{what='on the stop', lip=[{clock=0, radius=18, out=5, flange=4}]}]"
    assert ends_of(build_room(tender(lip), "rear"), "rear.lip")[-1] == (1.0, False, 0.5 * IN)


def test_pose_beyond_what_the_changes_leave_is_left_out() -> None:
    """A spacer under the stop keeps the axle from a pose at full bump; one half way stays."""
    lip = "lip=[{clock=0, radius=18, out=5, flange=4}]"
    bump = build_room(tender(), "rear").motion.up.high / IN
    for up, stays in ((bump, False), (bump / 2.0, True)):
        pose = f"axle.rear.pose=[{{what='up', left={up:.4f}, right={up:.4f}, {lip}}}]"
        assert len(ends_of(build_room(tender(pose), "rear"), "rear.lip")) == 2
        spaced = build_room(tender(pose, "change.stop_spacer=1"), "rear")
        assert (len(ends_of(spaced, "rear.lip")) == 2) is stays
        assert ("axle.rear.pose.0" in {note.path for note in spaced.assumptions}) is not stays


def test_pose_at_the_stop_finds_a_lip_that_is_lower_than_the_model_has_it() -> None:
    """At full bump the lip is its radius at ride height less bump; half an inch each of ± is allowed."""
    room = build_room(tender(), "rear")
    bump, rest = room.motion.up.high / IN, room.ends[0].lip_radius
    assert rest is not None
    clock = next(lip for lip in tender().axle.rear.lip if lip.clock is not None and lip.clock.value == 0.0)
    assert clock.radius is not None
    for lower, warned in ((0.0, False), (0.5, False), (2.0, True)):
        lip = f"{{clock=0, radius={clock.radius.value / IN - bump - lower:.4f}}}"
        pose = f"axle.rear.pose=[{{what='up', left={bump:.4f}, right={bump:.4f}, lip=[{lip}]}}]"
        assert bool(build_room(tender(pose), "rear").warnings) is warned


def test_pose_never_widens_a_window_and_its_disagreement_heads_the_answer() -> None:
    """A spot measured tighter at a pose narrows what fits; the header says where the measures disagree."""
    catalog = load_catalog()
    tight = (
        "axle.rear.pose=[{what='on the stop', left=3, right=3, near=[{what='pump locker', moves_with='body',"
        " shape='box', forward_from=-20, forward_to=-6, up_from=-2, up_to=8, in_from=3, in_to=9}]}]"
    )
    plain, posed_fit = (fit(tender(*sets), catalog=catalog) for sets in ((), (tight,)))
    assert posed_fit.counts.rear < plain.counts.rear
    assert any("pump locker" in words for words in posed_fit.warnings)
    assert not any("pump locker" in words for words in plain.warnings)
