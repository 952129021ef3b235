"""The numbers of measures: what a circled number on a drawing, in a list or on a sheet speaks of.

One number for each kind of measure, the same on both axles; what stands near has one number for each thing,
in the
order of the scenario's file.
"""

from __future__ import annotations

KINDS: dict[str, int] = {
    "load": 1,
    "face_to_face": 2,
    "hub.studs": 3,
    "hub.bolt_circle": 4,
    "hub.stud_chord": 4,
    "hub.pilot_diameter": 5,
    "hub.protrusion_diameter": 6,
    "hub.protrusion_length": 7,
    "hub.stud_size": 8,
    "hub.stud_length": 8,
    "hub.disc_clamped": 9,
    "brake.outline": 10,
    "brake.outside_diameter": 10,
    "brake.depth": 10,
    "brake.from_face": 10,
    "lip.radius": 11,
    "lip.out": 12,
    "lip.flange": 13,
    "lip.clock": 11,
    "travel.stop_gap": 14,
    "travel.stop_rubber": 15,
    "travel.stop_ratio": 16,
    "travel.stop_from_face": 17,
    "travel.droop": 18,
    "travel.tilt": 19,
    "travel.roll_centre_height": 20,
    "travel.side_play": 21,
    "travel.fore_aft": 22,
    "travel.sideways_at_bump": 23,
    "travel.track_bar": 23,
    "travel.table": 24,
    "steering.lock_inner_wheel": 25,
    "steering.lock_outer_wheel": 26,
    "steering.kingpin_to_face": 27,
    "steering.kingpin_inclination": 28,
    "steering.caster": 29,
}
FIRST_NEAR = 31


def near_number(index: int) -> str:
    """Return the number of the thing near that stands at ``index`` in its axle's list.

    >>> near_number(0), near_number(9)
    ('31', '40')
    """
    return str(FIRST_NEAR + index)


def number_of(path: str) -> str:
    """Return the number of a measure by its scenario path, "" where it has none.

    >>> number_of("axle.front.lip.0.radius"), number_of("axle.rear.near.2.in_from"), number_of("title")
    ('11', '33', '')
    """
    parts = path.split(".")
    if len(parts) < 3 or parts[0] != "axle":
        return ""
    if parts[2] == "near" and len(parts) > 3 and parts[3].isdigit():
        return near_number(int(parts[3]))
    names = [part for part in parts[2:] if not part.isdigit()]
    found = KINDS.get(".".join(names[:2])) or KINDS.get(names[0])
    return "" if found is None else str(found)
