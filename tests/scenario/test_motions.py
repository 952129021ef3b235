"""The motion of both ends from the measures of an axle, and what is said beside it."""

from __future__ import annotations

import numpy as np
import pytest

from wellroom.data import scenarios_dir
from wellroom.geometry.motion import Motion, Range
from wellroom.scenario import load_scenario
from wellroom.scenario.build import Room, build_room

IN = 25.4
REAR = "axle.rear.travel"


def room(*sets: str, name: str = "rear", scenario: str = "fire_tender") -> Room:
    """Return the room of an axle of a shipped scenario with sets put over it."""
    return build_room(load_scenario(scenarios_dir() / f"{scenario}.toml", sets), name)


def motions(*sets: str) -> tuple[Motion, Motion]:
    """Return the rear axle's motion at the left and the right end."""
    ends = room(*sets).ends
    return ends[0].motion, ends[-1].motion


@pytest.mark.parametrize(
    ("scenario", "name", "inches"),
    [("fire_tender", "rear", 0.25), ("pickup_taller", "front", 0.0625), ("wagon_flush", "rear", 0.125)],
)
def test_side_play_not_given_is_the_usual_one_and_listed(scenario: str, name: str, inches: float) -> None:
    """Leaves 1/4 in, coils 1/8, an independent wheel 1/16; never filled in silently."""
    loaded = load_scenario(scenarios_dir() / f"{scenario}.toml")
    assert build_room(loaded, name).motion.side == Range(-inches * IN, inches * IN)
    assert f"axle.{name}.travel.side_play" in {made.path for made in loaded.assumptions}


def test_play_given_is_taken_either_way() -> None:
    """Side play and fore and aft move go either way; where it moves fore and aft is said to be unknown."""
    with_play = room(f"{REAR}.side_play='3/8 in'", f"{REAR}.fore_aft='1/2 in'")
    assert (with_play.motion.side.low, with_play.motion.side.high) == pytest.approx((-0.375 * IN, 0.375 * IN))
    assert (with_play.motion.fore.low, with_play.motion.fore.high) == pytest.approx((-0.5 * IN, 0.5 * IN))
    assert f"{REAR}.fore_aft" in {made.path for made in with_play.assumptions}


def test_axle_shifted_at_bump_goes_out_on_the_right_and_in_on_the_left() -> None:
    """The shift is in proportion to travel over bump, both ways, and parts the two ends."""
    shifted = room(f"{REAR}.sideways_at_bump=0.5")
    assert [end.side for end in shifted.ends] == ["left", "right"]
    left, right = (end.motion for end in shifted.ends)
    at = np.array([right.up.high, right.up.low, 0.0])
    assert right.aside(at)[0] == pytest.approx([0.5 * IN, 0.5 * IN * right.up.low / right.up.high, 0.0])
    assert left.aside(at)[0] == pytest.approx(-right.aside(at)[0])
    assert len(room().ends) == 1


@pytest.mark.parametrize(("end", "way"), [("right", 1.0), ("left", -1.0)])
def test_track_bar_pushes_the_axle_away_from_its_body_end(end: str, way: float) -> None:
    """34 in of bar, its axle's end 10 degrees lower: 0.46 in at 4 in of bump, towards the axle's end."""
    bar = f"{REAR}.track_bar={{length=34, slope=10, axle_end='{end}'}}"
    left, right = motions(bar)
    four = np.array([4.0 * IN])
    assert right.aside(four)[0][0] / IN == pytest.approx(way * 0.46, abs=0.005)
    assert left.aside(four)[0][0] == pytest.approx(-right.aside(four)[0][0])


def test_track_bar_and_shift_at_bump_meet_there_and_a_disagreement_is_said() -> None:
    """The bar's arc passes through what was measured at full bump; far from it, a measure is wrong."""
    bar = f"{REAR}.track_bar={{length=34, slope=10, axle_end='right'}}"
    bump = motions()[0].up.high
    swung = motions(bar)[1].aside(np.array([bump]))[0][0]
    near = room(bar, f"{REAR}.sideways_at_bump='{swung / IN + 0.05:.4f} in'")
    assert near.ends[1].motion.aside(np.array([bump]))[0][0] == pytest.approx(swung + 0.05 * IN, abs=0.01)
    assert near.warnings == ()
    far = room(bar, f"{REAR}.sideways_at_bump='{swung / IN + 0.5:.4f} in'")
    assert len(far.warnings) == 1
    assert "axle.rear.travel.sideways_at_bump" in far.warnings[0]


@pytest.mark.parametrize(
    ("bar", "says"),
    [
        ("{length=34, slope=10}", "axle.rear.travel.track_bar.axle_end"),
        ("{length=12, slope=30, axle_end='left'}", "too short"),
        ("{length='30 to 36', slope=10, axle_end='left'}", "range"),
    ],
)
def test_track_bar_that_can_not_be_reckoned_with_is_said_to_be_missing(bar: str, says: str) -> None:
    """Half a bar, one too short for the travel or one known as a range is no part of the motion."""
    lacking = room(f"{REAR}.track_bar={bar}")
    assert lacking.motion.bar is None
    assert says in dict(lacking.missing)["track_bar"]


TABLE = "axle.front.travel.table=[[-3, 1, -0.25], [0, 0.5, 0], [3, -1, 0.125]]"


def test_table_leans_and_shifts_the_wheel_against_ride_height() -> None:
    """Camber and track are those against ride height; top outboard turns the hub's outboard end down."""
    m = room(TABLE, name="front", scenario="pickup_taller").motion
    turn, out = m.leaned(np.array([-3.0, 0.0, 3.0, 1.5]) * IN)
    assert np.rad2deg(turn) == pytest.approx([-0.5, 0.0, 1.5, 0.75])
    assert out / IN == pytest.approx([-0.25, 0.0, 0.125, 0.0625])


def test_travel_beyond_the_table_is_said() -> None:
    """What lies beyond the rows holds the last row, and is listed as not checked."""
    short = room("axle.front.travel.table=[[-1, 0, 0], [1, 0, 0]]", name="front", scenario="pickup_taller")
    assert "above 1 in or below -1 in" in dict(short.missing)["camber_and_track"]
    apart = room("axle.front.travel.table=[[1, 0, 0], [2, 0, 0]]", name="front", scenario="pickup_taller")
    assert "ride height" in dict(apart.missing)["table"]
    assert apart.motion.table == ()


def test_lip_at_the_stop_stands_where_it_was_measured_when_the_wheel_is_there() -> None:
    """A lip measured at full bump keeps its place from a hub that has leaned and shifted to be there."""
    from wellroom.geometry import motion as mo
    from wellroom.scenario.posed import seen

    lip = "axle.front.lip=[{clock=20, radius=19, out=3, flange=2, at='stop'}]"
    stopped = room(TABLE, lip, name="front", scenario="pickup_taller")
    m = stopped.motion
    (item,) = (item for item in stopped.ends[0].items if item.id == "front.lip")
    clock, y, radius = item.surfaces[0].corners.T
    q = np.zeros(mo.DIMS)
    q[mo.UP] = m.up.high
    x, y, z = seen(np.stack([radius * np.sin(clock), y, radius * np.cos(clock)], axis=1), m, q, 0.0, True).T
    assert np.rad2deg(np.arctan2(x, z)) == pytest.approx([20.0] * 4)
    assert np.hypot(x, z) / IN == pytest.approx([19.0] * 4)
    assert y / IN == pytest.approx([2.0, 2.0, 3.0, 3.0])
