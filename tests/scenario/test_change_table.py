"""The table of changes: what may be written, and the caps."""

from __future__ import annotations

import pytest

from wellroom.data import scenarios_dir
from wellroom.errors import ScenarioError
from wellroom.scenario import load_scenario
from wellroom.scenario.change import Change
from wellroom.scenario.changes import lifted, shifted, told, unchanged
from wellroom.scenario.model import Scenario
from wellroom.units import Kind, parse


def tender(*sets: str) -> Scenario:
    """Return the shipped fire tender with sets put over it."""
    return load_scenario(scenarios_dir() / "fire_tender.toml", sets)


def test_change_of_a_scenario_without_the_table_is_none() -> None:
    """A scenario that says nothing changes nothing, and says nothing of it."""
    scenario = tender()
    assert scenario.change == Change()
    assert unchanged(scenario) is scenario
    assert told(scenario) == ()
    assert not lifted(scenario)


def test_change_amount_is_for_both_axles_or_for_each() -> None:
    """A plain amount is for both, a table for the axles it names; text with a unit as everywhere."""
    both = tender("change.spring_lift=2").change.spring_lift
    rear = tender('change.spring_lift={rear = "40 mm"}').change.spring_lift
    assert both is not None
    assert rear is not None
    assert (both.at("front"), both.at("rear")) == (pytest.approx(50.8), pytest.approx(50.8))
    assert (rear.at("front"), rear.at("rear")) == (0.0, 40.0)


@pytest.mark.parametrize(
    ("sets", "place", "expected"),
    [
        (["change.trim=2"], "change.trim", "at most limits.trim_max, 1 in"),
        (["change.spring_lift=4"], "change.spring_lift", "at most limits.lift_max, 3 in"),
        (["change.body_lift=4"], "change.body_lift", "at most limits.lift_max, 3 in"),
        (["change.steering_stop=5"], "change.steering_stop", "limits.lock_min, 22 deg"),
        (["change.stop_spacer=2"], "change.stop_spacer", "limits.up_travel_min, 3 in"),
        (["change.stop_spacer=3.5"], "change.stop_spacer", "axle.front.travel.stop_gap, 3 in"),
        (["limits.lift_max=9", "change.spring_lift=6"], "change.spring_lift", "axle.front.travel.droop"),
        (["change.trim_clocks=[30, -30]", "change.trim=1"], "change.trim_clocks", "lower clock first"),
        (["change.trim_clocks=[-30, 30]"], "change.trim", "how much is cut"),
        (["change.spring_lift=-1"], "change.spring_lift", "rise on the springs"),
        (["change.spring_lift=1 to 2"], "change.spring_lift", "one amount, not a range"),
        (["change.spring_lift.middle=1"], "change.spring_lift.middle", "front or rear"),
        (["change.roll_lip=1"], "change.roll_lip", "true or false"),
        (["change.roll_lip.front=1"], "change.roll_lip.front", "true or false"),
        (["change.springlift=1"], "change.springlift", "nearest: spring_lift"),
        (["change.adapter={}"], "change.adapter", "an amount"),
    ],
)
def test_change_beyond_its_cap_or_ill_written_is_a_named_fault(
    sets: list[str], place: str, expected: str
) -> None:
    """Each names the place that was set and what would do."""
    with pytest.raises(ScenarioError) as caught:
        tender(*sets)
    assert caught.value.faults[0].place == place
    assert expected in str(caught.value)


def test_change_within_its_cap_is_taken() -> None:
    """At the cap itself there is no fault."""
    tender("change.trim=1", "change.spring_lift=3", "change.body_lift=3", "change.steering_stop=4")
    tender("change.stop_spacer=1")


@pytest.mark.parametrize(
    ("name", "yes"),
    [("trim", True), ("spring_lift", True), ("body_lift", True), ("stop_spacer", True), ("flare", False)],
)
def test_lifted_calls_for_the_list(name: str, yes: bool) -> None:
    """Lifts, spacers and trims print the after-lift list, a flare does not."""
    assert lifted(tender(f"change.{name}=1")) is yes


def test_told_says_what_a_lift_does_to_travel() -> None:
    """The sentence holds the new stop gap and droop of each axle."""
    front, rear = told(tender("change.spring_lift=2"))
    assert front.startswith("change.spring_lift at the front, 2 in: ")
    assert "stop gap to 5 in, droop to 2.5 in" in front
    assert "stop gap to 6 in, droop to 3 in" in rear


def test_shifted_keeps_width_and_plus_minus() -> None:
    """A range stays as wide, a ± stays; nothing stays nothing."""
    measure = shifted(parse("24 ± 1/4", Kind.LENGTH, "in"), 25.4)
    assert measure is not None
    assert (measure.value, measure.low, measure.high) == (635.0, 635.0, 635.0)
    assert measure.pm == 6.35
    assert shifted(None, 3.0) is None
