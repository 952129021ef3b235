"""The motion of both ends of an axle, from its measures: travel, tilt, lock, play, sway, a wheel's table."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from wellroom.geometry.motion import Bar, Motion, Range, Row
from wellroom.scenario.changes import spaced
from wellroom.scenario.compare import amount
from wellroom.scenario.model import Axle, TrackBar
from wellroom.scenario.said import Said
from wellroom.trade.motion import bump_mm, track_bar_shift_mm
from wellroom.units import MM_PER_IN, Kind, Measure, Units

TOP = np.deg2rad(15.0)
"""Clocks within this are straight up."""
SIDES = ("left", "right")
_SINGLE = ("travel.stop_from_face", "face_to_face")
_MOST_DROP = 0.9
"""Share of its length that a track bar may drop by before it is no longer believed."""
_SWAY_PM = MM_PER_IN / 8.0


@dataclass(frozen=True)
class Known:
    """What the motion is built from besides the axle's measures.

    ``bump`` [mm] as measured, None where it can't be known; ``spacer``, ``adapter`` [mm]: changes that were
    made to stop and mounting face; ``units`` of the file, for words.
    """

    bump: float | None
    spacer: float = 0.0
    adapter: float = 0.0
    units: Units = "in"


def _range(measure: Measure | None) -> Range:
    return Range(0.0, 0.0) if measure is None else Range(measure.low, measure.high)


def _either_way(measure: Measure | None) -> Range:
    return Range(0.0, 0.0) if measure is None else Range(-measure.high, measure.high)


def bump_of(axle: Axle, path: str, said: Said) -> float | None:
    """Return wheel travel to full bump at the stop (solid) or wheel [mm], None where it can't be known."""
    travel = axle.travel
    if travel.stop_gap is not None and travel.stop_rubber is not None and travel.stop_ratio is not None:
        return float(bump_mm(travel.stop_gap.high, travel.stop_rubber.high, travel.stop_ratio.high))
    at: dict[str, list[float]] = {"ride": [], "stop": []}
    for lip in axle.lip:
        if lip.radius is not None and lip.clock is not None and abs(lip.clock.value) <= TOP:
            at[lip.at].append(lip.radius.high if lip.at == "ride" else lip.radius.low)
    if not (at["ride"] and at["stop"]):
        return None
    bump = max(at["ride"]) - min(at["stop"])
    why = "from the lip straight up at rest, less the same at the stop"
    said.assume(f"{path}.travel", f"bump {bump / MM_PER_IN:.2f} in", why)
    return bump if bump >= 0.0 else None


def motions_of(axle: Axle, path: str, known: Known, said: Said) -> tuple[Motion, Motion]:
    """Return the motion of the left and of the right end; they differ where the axle sways."""
    travel = axle.travel
    bump = spaced(axle, known.bump, known.spacer)
    droop = 0.0 if travel.droop is None else travel.droop.high
    if travel.droop is None:
        said.missing.append(("droop", f"{path}.travel.droop"))
    motion = Motion(Range(-droop, bump or 0.0))
    if axle.type == "solid":
        motion = _tilted(motion, axle, path, bump, said)
    if axle.steered:
        motion = _steered(motion, axle, path, said)
    motion = replace(motion, side=_either_way(travel.side_play), fore=_either_way(travel.fore_aft))
    if travel.fore_aft is not None:
        why = "where in the travel it moves is not known"
        said.assume(f"{path}.travel.fore_aft", f"{travel.fore_aft.text}, either way at any travel", why)
    if axle.type == "independent":
        if travel.sideways_at_bump is not None:
            words = f"{path}.travel.sideways_at_bump is a solid axle's; a wheel's is the track of its table"
            said.missing.append(("sideways_at_bump", words))
        motion = _leaning(motion, axle, path, known, said)
        return motion, motion
    return _swaying(motion, axle, path, known, said)


def _tilted(motion: Motion, axle: Axle, path: str, bump: float | None, said: Said) -> Motion:
    travel = axle.travel
    need = {
        "travel.tilt": travel.tilt,
        "travel.stop_from_face": travel.stop_from_face,
        "face_to_face": axle.face_to_face,
        "travel.droop": travel.droop,
    }
    lacking = [f"{path}.{key}" for key, measure in need.items() if measure is None]
    if bump is None:
        lacking.append(f"{path}.travel.stop_gap")
    loose = [f"{path}.{key}" for key in _SINGLE if (m := need[key]) is not None and m.is_range]
    if lacking or loose:
        words = [f"{key} is given as a range, which the tilt can't be reckoned with" for key in loose]
        said.missing.append(("tilt", ", ".join(lacking + words)))
        return motion
    assert travel.tilt is not None
    assert travel.stop_from_face is not None
    assert axle.face_to_face is not None
    span = axle.face_to_face.value - 2.0 * travel.stop_from_face.value
    if span <= 0.0:
        return motion
    said.checked.append("tilt")
    return replace(
        motion,
        span=span,
        stop=travel.stop_from_face.value,
        max_tilt=travel.tilt.high,
        roll_centre=_range(travel.roll_centre_height),
    )


def _steered(motion: Motion, axle: Axle, path: str, said: Said) -> Motion:
    steering = axle.steering
    need = {
        "lock_inner_wheel": steering.lock_inner_wheel,
        "lock_outer_wheel": steering.lock_outer_wheel,
        "kingpin_to_face": steering.kingpin_to_face,
    }
    lacking = [f"{path}.steering.{key}" for key, measure in need.items() if measure is None]
    if lacking:
        said.missing.append(("lock", ", ".join(lacking)))
        return motion
    assert steering.lock_inner_wheel is not None
    assert steering.lock_outer_wheel is not None
    said.checked.append("lock")
    return replace(
        motion,
        lock=Range(-steering.lock_outer_wheel.high, steering.lock_inner_wheel.high),
        kingpin=_range(steering.kingpin_to_face),
        inclination=_range(steering.kingpin_inclination),
        caster=_range(steering.caster),
    )


# --- a solid axle's sway ------------------------------------------------------------------------


def _swaying(motion: Motion, axle: Axle, path: str, known: Known, said: Said) -> tuple[Motion, Motion]:
    """Return both ends' motion with the axle's shift sideways: the track bar's arc, and what was measured.

    A shift measured at full bump goes in proportion to travel, both ways; beside a track bar it is what the
    bar's arc lacks there. Positive to the right: outboard at the right end, inboard at the left.
    """
    travel, measured = axle.travel, axle.travel.sideways_at_bump
    bar = None if travel.track_bar is None else _track_bar(travel.track_bar, motion, path, said)
    per, loose = 0.0, 0.0
    if measured is not None and not known.bump:
        said.missing.append(("sideways_at_bump", f"{path}.travel.stop_gap"))
    elif measured is not None and known.bump:
        swung = 0.0 if bar is None else bar.way * float(track_bar_shift_mm(bar.length, bar.slope, known.bump))
        middle = (measured.low + measured.high) / 2.0
        per = (middle - swung) / known.bump
        loose = (measured.high - measured.low) / 2.0 / known.bump
        allowed = (_SWAY_PM if measured.pm is None else measured.pm) + (measured.high - measured.low) / 2.0
        if bar is not None and abs(middle - swung) > allowed:
            both = [amount(value, Kind.LENGTH, known.units) for value in (measured.value, swung)]
            said.warnings.append(
                f"{path}.travel.sideways_at_bump: {both[0]} where the track bar gives {both[1]} to the right "
                "at full bump: the bar's arc is taken, set right in proportion to travel; measure both again"
            )
    # what a range leaves open grows with travel; taken as play it is never too little
    more = loose * max(motion.up.high, -motion.up.low)
    motion = replace(motion, side=Range(motion.side.low - more, motion.side.high + more))
    right = replace(motion, bar=bar, sway=per)
    left = replace(motion, bar=None if bar is None else replace(bar, way=-bar.way), sway=-per + 0.0)
    return left, right


def _track_bar(bar: TrackBar, motion: Motion, path: str, said: Said) -> Bar | None:
    """Return the track bar with its way to the right, None where it can't be reckoned with."""
    at = f"{path}.travel.track_bar"
    need = {"length": bar.length, "slope": bar.slope}
    wrong = [f"{at}.{key}" for key in (*need, "axle_end") if getattr(bar, key) is None]
    words = "is given as a range, which the sway can't be reckoned with"
    wrong += [f"{at}.{key} {words}" for key, m in need.items() if m is not None and m.is_range]
    if not wrong:
        assert bar.length is not None
        assert bar.slope is not None
        level = bar.length.value * float(np.sin(bar.slope.value))
        drop = max(abs(level - motion.up.low), abs(level - motion.up.high))
        if drop <= _MOST_DROP * bar.length.value:
            return Bar(bar.length.value, bar.slope.value, 1 if bar.axle_end == "right" else -1)
        wrong = [f"{at}.length is too short for the travel"]
    said.missing.append(("track_bar", ", ".join(wrong)))
    return None


# --- an independent wheel's table ---------------------------------------------------------------


def _leaning(motion: Motion, axle: Axle, path: str, known: Known, said: Said) -> Motion:
    """Return a wheel's motion with the lean and shift of its table, against those at ride height."""
    table, at = axle.travel.table, f"{path}.travel.table"
    if not table:
        return motion
    ups = [row.z.value for row in table]
    if any(m.is_range for row in table for m in row):
        said.missing.append(("table", f"{at} holds ranges, which the motion can't be reckoned with"))
        return motion
    if not ups[0] <= 0.0 <= ups[-1]:
        said.missing.append(("table", f"{at} has no rows on both sides of ride height, 0"))
        return motion
    cambers, tracks = [row.camber.value for row in table], [row.track.value for row in table]
    camber, track = float(np.interp(0.0, ups, cambers)), float(np.interp(0.0, ups, tracks))
    rows = tuple(Row(*row) for row in zip(ups, cambers, tracks, strict=True))
    why = "a straightedge on the face carries the camber of ride height; straight from row to row"
    said.assume(at, "lean and shift against those at ride height", why)
    beyond = []
    if motion.up.high > ups[-1] + 1e-9:
        beyond.append(f"above {amount(ups[-1], Kind.LENGTH, known.units)}")
    if motion.up.low < ups[0] - 1e-9:
        beyond.append(f"below {amount(ups[0], Kind.LENGTH, known.units)}")
    if beyond:
        words = f"{at} has no rows {' or '.join(beyond)}: the last camber and track are held there"
        said.missing.append(("camber_and_track", words))
    rows = tuple(Row(row.up, row.camber - camber, row.out - track) for row in rows)
    return replace(motion, table=rows, stop=known.adapter)
