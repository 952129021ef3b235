"""The clean fixture broken in exactly one way: which fault, warning or assumption comes of it."""

from __future__ import annotations

from typing import Any

import pytest

from scenario.mutate import CLEAN, Place, drop, places, put, rename, tables, toml, value_at
from wellroom.errors import Fault, ScenarioError
from wellroom.scenario import Scenario, parse_scenario
from wellroom.scenario.build import build_room
from wellroom.scenario.words import place_text

CLEAN_TABLES = tables()


def broken(place: str, value: Any) -> tuple[Fault, ...]:
    """Return the faults of the clean fixture with one value changed."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(toml(put(CLEAN_TABLES, _steps(place), value)), "a.toml")
    return tuple(fault for fault in caught.value.faults if isinstance(fault, Fault))


def changed(**values: Any) -> Scenario:
    """Return the scenario of the clean fixture with some values changed; ``__`` for the dots of a place."""
    out = CLEAN_TABLES
    for place, value in values.items():
        steps = _steps(place.replace("__", "."))
        out = drop(out, steps) if value is None else put(out, steps, value)
    return parse_scenario(toml(out), "a.toml")


def _steps(place: str) -> Place:
    return tuple(int(step) if step.isdigit() else step for step in place.split("."))


@pytest.mark.parametrize(
    ("place", "value", "slip"),
    [
        ("axle.front.lip.0.radius", "24 mm", "24 in was probably meant"),
        ("axle.front.lip.0.radius", 600, "600 mm was probably meant"),
        ("axle.front.load", "30 lb", "that reads like a tire pressure"),
        ("axle.front.travel.stop_gap", 24, "24 mm was probably meant"),
        ("axle.front.steering.lock_inner_wheel", 60, "one wheel's lock is 25 to 45 degrees"),
        ("now.front.rim", "400x7", "the diameter 400 reads like mm"),
        ("now.front.rim", "11x20", "the diameter comes first, 20x11 was probably meant"),
        ("now.front.rim", "17x203", "the width 203 reads like mm, 7.99 in was probably meant"),
        ("now.front.rim", "16", "rim diameter x width in inches"),
        ("now.front.rim", "28x10", "rim diameters are 10, 12 to 24, 26"),
        ("now.front.tire", "205/60R11", "rim diameters are 10, 12 to 24, 26"),
        ("stance.tall.rim_width", "7 to 230", "3 to 20 in"),
        ("now.front.backspace", 12, "at most the rim's overall width, 8 in (now.front.rim = 16x7"),
        ("now.front.backspace", "41/2", "such as 1 1/8"),
        ("axle.front.hub.stud_size", "12", "write 5/8-18 or M14x1.5"),
        ("axle.front.hub.stud_size", "M120x1.5", "write 5/8-18 or M14x1.5"),
        ("axle.front.face_to_face", "62 mm", "62 in was probably meant"),
        ("axle.front.travel.droop", -4, "4 in was probably meant"),
        ("vehicle.top_speed", 8, "80 mph was probably meant"),
        ("axle.front.lip.0.radius", "22 1/2 ± 20", "a ± of 0 to 8.86 in at most"),
        ("axle.front.lip.0.radius", "22,5", "without commas"),
        ("now.front.tire", "33 inch", "a tire marking such as"),
    ],
)
def test_value_that_cannot_be_names_the_likely_slip(place: str, value: Any, slip: str) -> None:
    """One impossible value is one fault at its place, and says what was probably meant."""
    (fault,) = broken(place, value)
    assert fault.place == place
    assert slip in fault.expected


@pytest.mark.parametrize("key", ["offset", "wheel_offset", "Offset", "ofset"])
def test_offset_is_refused_by_name(key: str) -> None:
    """A key called offset is refused with what to write instead."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(toml(rename(CLEAN_TABLES, ("now", "rear", "inset"), key)), "a.toml")
    (fault,) = caught.value.faults
    assert (fault.place, fault.expected) == (f"now.rear.{key}", "write inset, positive = face outboard")


@pytest.mark.parametrize(
    ("place", "value", "other"),
    [
        ("axle.rear.driven", False, "vehicle.drive"),
        ("axle.front.hub.bolt_circle", "150 mm", "axle.front.hub.stud_chord"),
        ("axle.front.hub.pilot_diameter", "139.7 mm", "axle.front.hub.bolt_circle"),
        ("axle.rear.hub.pilot_diameter", "140 mm", "axle.rear.hub.stud_chord"),
        ("axle.front.hub.protrusion_diameter", 6, "axle.front.hub.bolt_circle"),
        ("axle.front.near.0.moves_with", "axle", "axle.front.type"),
        ("axle.front.near.0.share", 0.5, "axle.front.near.0.moves_with"),
        ("axle.front.near.1.what", "tie rod END", "axle.front.near.0.what"),
        ("axle.front.near.0.diameter", 1, "axle.front.near.0.shape"),
        ("axle.front.near.0.up", 1, "axle.front.near.0.clock"),
        ("axle.front.near.0.what", "???", None),
        ("axle.rear.near.0.up_to", 3, "axle.rear.near.0.up_from"),
        ("axle.front.lip.0.flange", 6, "axle.front.lip.0.out"),
        ("axle.front.lip.2.radius", 25, "axle.front.lip.0.radius"),
        ("axle.front.lip.1.side", "both", "axle.front.lip.0.clock"),
        ("axle.front.lip.2.at", "ride", "axle.front.lip.0.clock"),
        ("axle.rear.travel.stop_from_face", 30, "axle.rear.face_to_face"),
        ("axle.front.travel.table.1.0", -5, "axle.front.travel.table.0.0"),
        ("axle.front.travel.track_bar", {"length": 30}, "axle.front.type"),
        ("axle.rear.type", "independent", "axle.rear.travel.track_bar"),
        ("axle.front.type", "solid", "axle.front.travel.table"),
        ("axle.rear.brake.outline", [[3, 0], [6, 1]], "axle.rear.brake.outside_diameter"),
        ("axle.front.brake.outline", [[3, 0]], None),
        ("axle.front.steered", False, "axle.front.steering.lock_inner_wheel"),
        ("now.front.inset", "1/2", "now.front.backspace"),
        ("now.rear.inset", "4 1/4", "now.rear.rim"),
        ("now.front.rim", "16.5x7.5", "now.front.tire"),
        ("now.front.tire", "LT285/70R17", "now.front.rim"),
        ("gearing.top_gear", 1.9, "gearing.first_gear"),
        ("stance.tall.tread", [], "stance.tall.weights.tread"),
        ("stance.tall.tread", ["mud", "mud"], None),
        ("stance.tall.tread", ["muddy"], None),
    ],
)
def test_values_that_clash_name_both_places(place: str, value: Any, other: str | None) -> None:
    """What can't be beside another value is a fault that names both places."""
    out = put(CLEAN_TABLES, ("gearing", "first_gear"), 1.6) if place == "gearing.top_gear" else CLEAN_TABLES
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(toml(put(out, _steps(place), value)), "a.toml")
    assert place in str(caught.value)
    assert other is None or other in str(caught.value)


@pytest.mark.parametrize(
    "place",
    [
        "title",
        "units",
        "axle.front",
        "axle.rear.type",
        "axle.front.near.0.what",
        "axle.front.near.0.moves_with",
        "axle.front.near.0.in",
        "axle.front.near.1.to",
        "axle.front.near.1.to.up",
        "axle.rear.near.0.in_to",
        "axle.front.lip.0.radius",
        "axle.rear.brake.depth",
        "axle.front.hub.protrusion_diameter",
    ],
)
def test_key_that_is_needed_is_missed_by_name(place: str) -> None:
    """A key without which nothing can be said is missed at its place, once."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(toml(drop(CLEAN_TABLES, _steps(place))), "a.toml")
    assert [fault.place for fault in caught.value.faults if fault.place == place] == [place]


OPTIONAL = [
    place
    for place in places(CLEAN_TABLES)
    if isinstance(place[-1], str)
    and place_text(place)
    not in {
        "title", "units", "axle", "axle.front", "axle.rear", "axle.front.type", "axle.rear.type",
        "axle.rear.brake.outside_diameter", "axle.rear.brake.depth", "axle.rear.brake.from_face",
        "axle.front.hub.protrusion_diameter", "axle.front.travel.stop_gap.value",
        "stance.tall.poke", "stance.tall.tire_diameter", "stance.tall.tread",
    }
    and place[2:3] not in (("lip",), ("near",), ("pose",))
]  # fmt: skip


@pytest.mark.parametrize("place", OPTIONAL, ids=place_text)
def test_key_that_may_be_missing_is_no_fault(place: Place) -> None:
    """Every other key may be left out: what can't be checked then is no fault of the file."""
    assert parse_scenario(toml(drop(CLEAN_TABLES, place)), "a.toml").title == "Clean fixture"


NAMED = [place for place in places(CLEAN_TABLES) if isinstance(place[-1], str)]


@pytest.mark.parametrize("place", NAMED, ids=place_text)
def test_misspelt_key_is_named_with_the_nearest(place: Place) -> None:
    """Any key with a letter too many is named at its place, with the key that was meant."""
    if place[:-1] == ("stance",):
        return  # a stance may be called anything
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(toml(rename(CLEAN_TABLES, place, f"{place[-1]}_")), "a.toml")
    named = [fault for fault in caught.value.faults if fault.place == f"{place_text(place)}_"]
    assert len(named) == 1
    assert f"(nearest: {place[-1]})" in named[0].expected or len(str(place[-1])) < 3


@pytest.mark.parametrize("value", [True, [], {}, [1], {"a": 1}, "", "soup", float("nan"), 10**40, -(10**9)])
def test_wrong_value_at_any_key_is_named_or_taken(value: Any) -> None:
    """Whatever stands at a key is taken or named there, or at the list that holds it; never another error."""
    for place in places(CLEAN_TABLES):
        try:
            parse_scenario(toml(put(CLEAN_TABLES, place, value)), "a.toml")
        except ScenarioError as error:
            text = str(error)
            holder = place[:-1] if isinstance(place[-1], int) else place
            assert place_text(place) in text or f"{place_text(holder)}: " in text, (place, text)


@pytest.mark.parametrize(
    "place", ["axle.front.load", "axle.front.lip.0.radius", "now.front.rim", "vehicle.drive"]
)
def test_fault_has_the_line_of_its_value(place: str) -> None:
    """A fault's line is the line in the file on which its key stands."""
    name = place.split(".")[-1]
    head = "[[axle.front.lip]]" if "lip" in place else f"[{place.rsplit('.', 1)[0]}]"
    rows = CLEAN.split("\n")
    number = next(n for n in range(rows.index(head), len(rows)) if rows[n].startswith(f"{name} ="))
    rows[number] = f"{name} = true"
    with pytest.raises(ScenarioError) as caught:
        parse_scenario("\n".join(rows), "a.toml")
    (fault,) = caught.value.faults
    assert (fault.line, fault.place, fault.found) == (number + 1, place, "true")


def test_clean_fixture_has_no_warning() -> None:
    """The clean fixture raises no doubt, so each warning below comes of one change."""
    assert parse_scenario(CLEAN, "a.toml").warnings == ()


@pytest.mark.parametrize(
    ("values", "place", "says"),
    [
        (
            {"axle__front__steering__lock_inner_wheel": 25},
            "axle.front.steering.lock_inner_wheel",
            "below the outer's",
        ),
        ({"axle__front__load": "2900 kg"}, "axle.front.load", "is above the"),
        ({"axle__front__travel__tilt": 5}, "axle.front.travel.tilt", "is not used"),
        ({"axle__rear__load": 7000}, "axle.rear.load", "is above the"),
        ({"axle__rear__load": 1500}, "axle.rear.load", "was kg typed as lb?"),
        ({"vehicle__body_width": 60}, "vehicle.body_width", "add up to"),
        (
            {"axle__front__lip__0__radius": 15},
            "axle.front.lip.0.radius",
            "less than the radius of today's tire",
        ),
    ],
)
def test_odd_value_is_warned_of(values: dict[str, Any], place: str, says: str) -> None:
    """What can be but looks odd is a warning at its place."""
    if "lip" in place:
        values = values | {"axle__front__lip__2__radius": 14}
    warnings = changed(**values).warnings
    assert [warning.place for warning in warnings if says in str(warning)] != []
    assert {warning.place for warning in warnings} == {place}


def test_load_of_unknown_tires_is_not_doubted() -> None:
    """Without a load index and without a stated load there is nothing to hold the axle's load against."""
    scenario = changed(axle__rear__load=9000, now__rear__tire="LT245/75R16")
    assert scenario.warnings == ()


def test_assumption_is_filled_in_and_listed() -> None:
    """A steered axle without kingpin angles takes the trade's ranges, and says so."""
    scenario = changed(axle__front__steering__caster=None, axle__front__steering__kingpin_inclination=None)
    listed = {assumption.path: assumption.value for assumption in scenario.assumptions}
    assert listed["axle.front.steering.caster"] == "0 to 8 deg"
    assert listed["axle.front.steering.kingpin_inclination"] == "0 to 12 deg"
    assert scenario.axle.front.steering.caster is not None
    assert scenario.axle.front.steering.caster.is_range


@pytest.mark.parametrize(
    ("place", "path", "value"),
    [
        ("axle__rear__travel__stop_ratio", "axle.rear.travel.stop_ratio", "1"),
        ("axle__rear__travel__roll_centre_height", "axle.rear.travel.roll_centre_height", "0 in"),
        ("limits__backspace_step", "limits.backspace_step", "1/8 in"),
        ("now__front__flange_in", "now.front.flange_in", "1/2 in"),
        ("axle__rear__lip__0__clock", "axle.rear.lip.0.clock", "0 deg"),
        ("axle__front__steered", "axle.front.steered", "true"),
    ],
)
def test_silent_key_is_assumed(place: str, path: str, value: str) -> None:
    """Each thing that the trade assumes is listed when, and only when, the file is silent."""
    before = {assumption.path for assumption in parse_scenario(CLEAN, "a.toml").assumptions}
    after = {assumption.path: assumption.value for assumption in changed(**{place: None}).assumptions}
    assert path not in before
    assert after[path] == value


@pytest.mark.parametrize(
    "place",
    [
        "axle__front__travel__stop_ratio",
        "axle__front__travel__stop_gap",
        "axle__front__steering__lock_inner_wheel",
        "axle__rear__load",
        "axle__rear__travel__stop_rubber",
    ],
)
def test_measure_that_must_be_taken_is_never_assumed(place: str) -> None:
    """Bump, lock, load and an independent wheel's stop ratio stay unknown when they were not measured."""
    scenario = changed(**{place: None})
    steps = _steps(place.replace("__", "."))
    here: Any = scenario
    for step in steps:
        here = getattr(here, str(step))
    assert here is None
    assert place_text(steps) not in {assumption.path for assumption in scenario.assumptions}


def test_blocks_default_follows_what_it_moves_with_and_is_listed() -> None:
    """What is fixed to the knuckle blocks nothing, all else inboard; what is stated is no assumption."""
    scenario = parse_scenario(CLEAN, "a.toml")
    assert scenario.axle.front.near[0].blocks == "nothing"
    assert scenario.axle.rear.near[0].blocks == "inboard"
    listed = {one.path: one.value for one in scenario.assumptions if one.path.endswith(".blocks")}
    assert listed == {
        "axle.front.near.0.blocks": "nothing",
        "axle.rear.near.0.blocks": "inboard",
        "axle.rear.near.1.blocks": "inboard",
    }


def test_blocks_default_of_a_thing_measured_at_a_pose_alone_is_listed() -> None:
    """A thing that only a pose has is no other's, so what it blocks is assumed for itself."""
    room = build_room(parse_scenario(CLEAN, "a.toml"), "front")
    assert ("axle.front.pose.0.near.0.blocks", "inboard") in {(a.path, a.value) for a in room.assumptions}


def test_value_at_place_is_what_was_put() -> None:
    """The helper that breaks the fixture changes one place and nothing else."""
    out = put(CLEAN_TABLES, ("axle", "front", "load"), 1)
    assert value_at(out, ("axle", "front", "load")) == 1
    assert put(out, ("axle", "front", "load"), "1350 kg") == CLEAN_TABLES
