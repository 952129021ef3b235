"""Varying inputs: every point is what a run of its own gives; turns are where they are said to be."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

import wellroom
from wellroom.catalog import Catalog
from wellroom.data import scenarios_dir
from wellroom.errors import RequestError, ScenarioError
from wellroom.scenario.model import Scenario
from wellroom.search.document import document
from wellroom.search.inputs import between, read_input
from wellroom.search.results import FitResult, floor_margin, least_check
from wellroom.search.vary_results import Point, VaryResult

#: Few tires and rims, so that a run is mostly its sweep.
ONLY = {"tires": ("38x13.50R20LT", "40x13.50R20LT", "41x14.50R20LT"), "rims": ("20x9", "20x10", "20x11")}
WAGON = scenarios_dir() / "wagon_flush.toml"
TENDER = scenarios_dir() / "fire_tender.toml"


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    """Return the shipped catalogs."""
    return wellroom.load_catalog()


@pytest.fixture(scope="module")
def tender() -> Scenario:
    """Return the shipped fire tender."""
    return wellroom.load_scenario(TENDER)


def alone(catalog: Catalog, sets: Sequence[str], **only: Sequence[str]) -> FitResult:
    """Return what a run of its own gives with sets."""
    return wellroom.fit(wellroom.load_scenario(TENDER, sets), catalog, top=1, **only)  # type: ignore[arg-type]


def agrees(point: Point, fit: FitResult) -> None:
    """Hold a point to a run: counts, status, best plan, today's wheels."""
    assert point.status == fit.status
    assert [point.axles[a].pairs for a in ("front", "rear")] == [fit.counts.front, fit.counts.rear]  # type: ignore[union-attr]
    assert (point.best is None) == (not fit.fits)
    if point.best is not None:
        plan = fit.fits[0]
        assert (point.best.score, point.best.price) == (plan.score, plan.price)
        for axle, best in point.best.axles.items():
            own = plan.axles[axle]
            assert (best.tire, best.wheel, best.backspace_mm) == (own.tire, own.wheel, own.backspace_mm)
            assert own.window_mm is not None
            assert best.window_width_mm in [high - low for low, high in own.window_mm]
    assert (point.today is None) == (fit.today is None)
    if point.today is not None and fit.today is not None:
        least = least_check([check for axle in fit.today.axles.values() for check in axle.checks])
        assert least is not None
        assert least.margin is not None
        assert point.today.least_mm == floor_margin(least.margin)


@pytest.mark.parametrize(
    ("request_", "sets"),
    [
        (
            "axle.front.travel.stop_gap=2,3.5",
            [["axle.front.travel.stop_gap=2 in"], ["axle.front.travel.stop_gap=3.5 in"]],
        ),
        (
            "axle.*.axle_ratio=5.5,6.2",
            [[f"axle.{a}.axle_ratio={r}" for a in ("front", "rear")] for r in (5.5, 6.2)],
        ),
        ("change.body_lift=0,2", [["change.body_lift=0"], ["change.body_lift=2"]]),
        ("limits.budget=4000,12000", [["limits.budget=4000"], ["limits.budget=12000"]]),
    ],
)
def test_vary_points_equal_separate_runs(
    catalog: Catalog, tender: Scenario, request_: str, sets: list[list[str]]
) -> None:
    """Whatever points share, each is what fit gives with its value set."""
    result = wellroom.vary(tender, catalog, request_, **ONLY)  # type: ignore[arg-type]
    assert len(result.points) == len(sets)
    for point, own in zip(result.points, sets, strict=True):
        agrees(point, alone(catalog, own, **ONLY))


def test_vary_keeps_the_sets_that_the_scenario_was_read_with(catalog: Catalog) -> None:
    """A set on the command line holds at every point, and gives way only to the varied input."""
    scenario = wellroom.load_scenario(TENDER, ["limits.budget=4000", "axle.front.travel.tilt=3"])
    result = wellroom.vary(scenario, catalog, "limits.budget=12000", **ONLY)  # type: ignore[arg-type]
    agrees(result.points[0], alone(catalog, ["axle.front.travel.tilt=3", "limits.budget=12000"], **ONLY))


@pytest.fixture(scope="module")
def swept(catalog: Catalog, tender: Scenario) -> VaryResult:
    """Return a sweep of the front lock on few tires, in which the best changes and the last fit goes."""
    return wellroom.vary(
        tender, catalog, "axle.front.steering.lock_inner_wheel=26..44:6", exact="1/2", **ONLY
    )  # type: ignore[arg-type]


def test_vary_turns_are_exact_to_the_step_asked_for(catalog: Catalog, swept: VaryResult) -> None:
    """Runs of their own on either side of the last fit, half a degree apart: a plan, and none."""
    last = [turn for turn in swept.turns if turn.kind == "last fit"]
    assert len(last) == 1
    assert last[0].exact_to == "0.5 deg"
    path = "axle.front.steering.lock_inner_wheel"
    assert alone(catalog, [f"{path}={last[0].low}"], **ONLY).fits
    assert not alone(catalog, [f"{path}={last[0].high}"], **ONLY).fits


def test_vary_turns_join_one_answer_to_the_next(swept: VaryResult) -> None:
    """What one turn leads to is what the next one leaves; values ascend."""
    lows = [float(turn.low.split()[0]) for turn in swept.turns]
    assert lows == sorted(lows)
    for before, after in zip(swept.turns, swept.turns[1:], strict=False):
        assert before.after == after.before
    assert all(turn.before != turn.after for turn in swept.turns)


def test_vary_more_lock_never_opens_a_pair(swept: VaryResult) -> None:
    """Poses are nested: pairs that fit never grow with the lock, and stay where nothing steers."""
    front = [point.axles["front"].pairs for point in swept.points if point.axles["front"]]
    rear = {point.axles["rear"].pairs for point in swept.points if point.axles["rear"]}
    assert front == sorted(front, reverse=True)
    assert len(rear) == 1


def test_vary_value_beyond_a_cap_is_refused_and_the_rest_answered(catalog: Catalog, tender: Scenario) -> None:
    """A point that the scenario can't have carries the reason; the others are unharmed."""
    result = wellroom.vary(tender, catalog, "change.trim=0,1,2", **ONLY)  # type: ignore[arg-type]
    assert [point.refused is None for point in result.points] == [True, True, False]
    assert "limits.trim_max" in str(result.points[2].refused)
    assert result.status == "proven"


def test_vary_of_nothing_but_refusals_is_the_fault(catalog: Catalog, tender: Scenario) -> None:
    """Where no value can be had, the input is at fault."""
    with pytest.raises(ScenarioError, match="trim_max"):
        wellroom.vary(tender, catalog, "change.trim=2,3")


def test_vary_two_inputs_give_every_pair(catalog: Catalog, tender: Scenario) -> None:
    """Row by row, the second input running fastest; no turns are sought."""
    result = wellroom.vary(tender, catalog, "limits.budget=4000,9000", "axle.*.axle_ratio=5.8,6.2", **ONLY)  # type: ignore[arg-type]
    assert [point.values for point in result.points] == [
        ("4000", "5.8"),
        ("4000", "6.2"),
        ("9000", "5.8"),
        ("9000", "6.2"),
    ]
    assert result.turns == ()


def test_vary_today_stands_on_the_vehicle_as_it_is(catalog: Catalog, tender: Scenario) -> None:
    """Changes are for what is planned: today's wheels are judged the same at every value of one."""
    result = wellroom.vary(tender, catalog, "change.body_lift=0,1,2", **ONLY)  # type: ignore[arg-type]
    assert len({point.today for point in result.points}) == 1
    assert (
        "lift"
        in wellroom.fit(
            wellroom.load_scenario(TENDER, ["change.body_lift=1"]),
            catalog,
            top=1,
            **ONLY,  # type: ignore[arg-type]
        ).cautions
    )


def test_vary_frame_document_and_rows_agree(swept: VaryResult) -> None:
    """Two rows a point, and the same numbers in every form."""
    body, frame = document(swept), swept.frame()
    assert len(frame) == 2 * len(body["points"])
    assert list(frame["pairs"])[::2] == [point["axles"]["front"]["pairs"] for point in body["points"]]
    assert body["inputs"][0]["step"] == "0.5 deg"


@pytest.mark.parametrize(
    ("request_", "words"),
    [
        ("axle.front.travel.stop_gap", "PATH=FROM..TO"),
        ("axle.front.travel.stop_gap=", "PATH=FROM..TO"),
        ("axle.front.travel.stop_gp=1..2", "nearest: stop_gap"),
        ("axle.front.travel.stop_gap=2..1", "FROM less than TO"),
        ("axle.front.travel.stop_gap=1..2:0", "STEP above 0"),
        ("axle.front.travel.stop_gap=1..2:0.0001", "up to 400 points"),
        ("axle.front.travel.stop_gap=1 kg..2", "a length"),
        ("axle.front.travel.stop_gap=1,,2", "values with commas"),
        ("axle.front.travel.stop_gap=1 ± 1/4", "without a ±"),
    ],
)
def test_vary_input_that_cant_be_read_is_a_named_fault(
    catalog: Catalog, tender: Scenario, request_: str, words: str
) -> None:
    """Nothing is worked out before the input is understood."""
    with pytest.raises(RequestError, match=words):
        wellroom.vary(tender, catalog, request_)


def test_vary_takes_one_input_or_two(catalog: Catalog, tender: Scenario) -> None:
    """None and three are refused, and so are too many points together."""
    with pytest.raises(RequestError, match="one input or two"):
        wellroom.vary(tender, catalog)
    with pytest.raises(RequestError, match="up to 400 points"):
        wellroom.vary(tender, catalog, "limits.budget=1..300:1", "axle.*.axle_ratio=4..7:1")


def test_input_range_reaches_its_end_in_its_own_unit(tender: Scenario) -> None:
    """FROM and TO are both points, whatever the step; units and fractions as in the scenario."""
    one = read_input("axle.front.travel.stop_gap=2 in..3 1/8:1/2", tender)
    assert one.texts == ("2 in", "2.5 in", "3 in", "3.125 in")
    both = read_input("axle.*.travel.stop_gap=50 mm..60 mm", tender, "1/64")
    assert both.paths == ("axle.front.travel.stop_gap", "axle.rear.travel.stop_gap")
    assert len(both.texts) == 11
    assert both.step == pytest.approx(1 / 64)


@pytest.mark.parametrize(
    ("path", "step"),
    [
        ("axle.front.travel.stop_gap", 1 / 16),
        ("axle.front.travel.tilt", 0.1),
        ("change.axle_ratio", 0.001),
        ("change.trim.front", 1 / 16),
        ("limits.budget", 1),
    ],
)
def test_input_has_a_step_of_its_own(tender: Scenario, path: str, step: float) -> None:
    """As finely as its kind is measured or set: a tape's 1/16 in, a tenth of a degree."""
    assert read_input(f"{path}=5..6", tender).step == pytest.approx(step)


def test_input_of_words_has_no_step(tender: Scenario) -> None:
    """A choice is varied as a list of words; brackets hold a value together."""
    assert read_input("vehicle.drive=rear,4x4_full_time", tender).texts == ("rear", "4x4_full_time")
    assert read_input("stance.ridge.poke=[0, 1],[1, 2]", tender).texts == ("[0, 1]", "[1, 2]")


def test_between_holds_multiples_of_the_step_alone() -> None:
    """Strictly between, exact to the step, and empty where there is no room."""
    assert list(between(0.05, 0.3, 0.1)) == [0.1, 0.2]
    assert list(between(1.0, 1.0625, 0.0625)) == []
