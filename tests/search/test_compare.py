"""Stances side by side, and what physical changes do to the windows of one combination."""

from __future__ import annotations

import math

import pytest

import wellroom
from wellroom.catalog import Catalog
from wellroom.data import scenarios_dir
from wellroom.errors import RequestError
from wellroom.scenario.load import parse_scenario
from wellroom.scenario.model import Scenario
from wellroom.search.compare import CompareResult, Line
from wellroom.search.document import document
from wellroom.search.results import AxleFit, Windows

TENDER = scenarios_dir() / "fire_tender.toml"
ONE = {"tire": "41x14.50R20LT", "rim": "20x10", "backspace": "3 3/4"}


def tender(*sets: str) -> Scenario:
    """Return the shipped fire tender with sets put over it."""
    return wellroom.load_scenario(TENDER, sets)


def with_stances(*names: str, sets: tuple[str, ...] = ()) -> Scenario:
    """Return the shipped fire tender with more stances, each of which wishes for the same poke alone."""
    more = [f"[stance.{name}]\npoke = [0, 1]\n" for name in names]
    return parse_scenario("\n".join([TENDER.read_text(encoding="utf-8"), *more]), "tender.toml", sets)


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    """Return the shipped catalogs."""
    return wellroom.load_catalog()


@pytest.fixture(scope="module")
def compared(catalog: Catalog) -> CompareResult:
    """Return the tender's three stances side by side."""
    return wellroom.compare(tender(), catalog)


def lines(result: CompareResult) -> dict[str, Line]:
    """Return the lines by id."""
    return {line.id: line for line in result.lines}


def test_compare_columns_are_the_best_of_each_stance(catalog: Catalog, compared: CompareResult) -> None:
    """Each column holds what fit puts first under that stance."""
    assert compared.stances == ("ridge", "saddle", "shelf")
    for column in compared.columns:
        best = wellroom.fit(tender(), catalog, stance=column.stance, top=1).fits[0]
        assert column.plan == best


def test_compare_marks_the_best_of_each_row(compared: CompareResult) -> None:
    """Most clearance, least price and mass; ties are all marked; a matter of taste has no mark."""
    for line in compared.lines:
        values = [value for value in line.values if isinstance(value, float | int)]
        marked = [v for v, best in zip(line.values, line.best, strict=True) if best]
        if line.better is None:
            assert not marked
        elif line.better == "more":
            assert set(marked) == {max(values)}
        elif line.better == "less":
            assert set(marked) == {min(values)}
        else:
            assert marked


def test_compare_has_the_rows_that_a_builder_asks_for(compared: CompareResult) -> None:
    """Tire, rim, backspace, poke, gap, clearance and where, lock, reserve, gearing, scrub, price, mass."""
    ids = set(lines(compared))
    for key in ("tire", "rim", "backspace", "poke", "gap", "least_clearance", "load_reserve"):
        assert {f"front.{key}", f"rear.{key}"} <= ids
    assert {"front.lock_left", "front.scrub", "gearing.change", "price", "mass"} <= ids
    assert "rear.scrub" not in ids
    assert all(lines(compared)["front.least_clearance"].where)


def test_compare_scrub_is_that_of_plane_geometry(compared: CompareResult) -> None:
    """Kingpin 5 in inboard of the face, leaning 8 degrees: face out to the tire's middle, less the lean, at
    the loaded radius, 0.48 of the diameter.
    """
    line = lines(compared)["front.scrub"]
    for column, value in zip(compared.columns, line.values, strict=True):
        assert column.plan is not None
        fit = column.plan.axles["front"]
        drawn = 127.0 - fit.inset_mm - 0.48 * fit.tire.od_mm * math.tan(math.radians(8.0))
        assert value == pytest.approx(drawn)


def test_compare_tells_each_best_under_the_other_stances(compared: CompareResult) -> None:
    """A plan's score under another stance is never below that stance's own best, where its limits are met."""
    for column in compared.columns:
        assert set(column.serves) == {name for name in compared.stances if name != column.stance}
        for served in column.serves.values():
            assert served.over is not None
            assert served.over >= 0 or not served.limits_met
            assert served.well == (served.limits_met and served.over <= 2)


def test_compare_stance_with_itself_renamed_serves_well(catalog: Catalog) -> None:
    """Two stances of the same wishes are served by each other's best with nothing above."""
    scenario = with_stances("ridge_2", "ridge_3")
    result = wellroom.compare(scenario, catalog, stances=("ridge_2", "ridge_3"))
    for column in result.columns:
        assert all(served.well and served.over == 0 for served in column.serves.values())


def test_compare_today_has_no_score_and_no_wishes(compared: CompareResult) -> None:
    """Today's wheels stand first, judged without any stance."""
    assert compared.today is not None
    assert lines(compared)["score"].today is None
    assert not [c for f in compared.today.axles.values() for c in f.checks if c.kind == "wish"]


def test_compare_stance_that_is_not_there_is_a_named_fault(catalog: Catalog) -> None:
    """All unknown names in one go; a scenario without stances says what it wants."""
    with pytest.raises(RequestError) as caught:
        wellroom.compare(tender(), catalog, stances=("ridge", "rigde", "self"))
    assert [fault.found for fault in caught.value.faults] == ["'rigde'", "'self'"]
    with pytest.raises(RequestError, match="'ridge' 2 times, expected each stance once"):
        wellroom.compare(tender(), catalog, stances=("ridge", "saddle", "ridge"))
    with pytest.raises(RequestError, match="two stances or more"):
        wellroom.compare(wellroom.load_scenario(scenarios_dir() / "least.toml"), catalog)


def test_compare_frame_and_document_agree(compared: CompareResult) -> None:
    """A row a measure, the stances as columns."""
    frame, body = compared.frame(), document(compared)
    assert list(frame["measure"]) == [line["id"] for line in body["lines"]]
    assert list(frame.columns) == ["measure", "unit", "better", "today", *compared.stances, "best"]
    assert body["status"] == "proven"


# --- changes and the windows of one combination -------------------------------------------------


def windows(catalog: Catalog, *sets: str) -> dict[str, Windows | None]:
    """Return the windows of one combination by requirement id, both axles."""
    fits: dict[str, AxleFit] = dict(wellroom.check(tender(*sets), catalog, **ONE).plan.axles)  # type: ignore[arg-type]
    return {id_: window for fit in fits.values() for id_, window in fit.windows_mm.items()}


def gap(catalog: Catalog, *sets: str) -> float:
    """Return the front gap of the combination [mm]."""
    found = wellroom.check(tender(*sets), catalog, **ONE).plan.axles["front"].gap_mm  # type: ignore[arg-type]
    assert found is not None
    return found


def differing(before: dict[str, Windows | None], after: dict[str, Windows | None]) -> set[str]:
    """Return the ids whose windows differ."""
    assert set(before) == set(after)
    return {id_ for id_ in before if before[id_] != after[id_]}


def test_spring_lift_alone_moves_no_window(catalog: Catalog) -> None:
    """The stop sets full bump: all clearances stay to the last digit; only the gap at rest grows."""
    assert differing(windows(catalog), windows(catalog, "change.spring_lift=2")) == set()
    assert gap(catalog, "change.spring_lift=2") > gap(catalog) + 20.0


def test_body_lift_moves_only_the_bodys_windows(catalog: Catalog) -> None:
    """Lip, cab corner and locker open or stay; frame, box, springs, rods and brakes keep theirs."""
    moved = differing(windows(catalog), windows(catalog, "change.body_lift=2"))
    bodies = {"front.lip", "rear.lip", "front.near.cab_corner", "rear.near.pump_locker"}
    assert moved
    assert {id_.removesuffix(".left").removesuffix(".right") for id_ in moved} <= bodies


def test_flare_moves_the_poke_window_alone(catalog: Catalog) -> None:
    """No clearance until metal is cut."""
    assert differing(windows(catalog), windows(catalog, "change.flare=1")) == {"front.poke", "rear.poke"}


def test_adapter_moves_every_window_by_its_thickness(catalog: Catalog) -> None:
    """s + t: the backspaces that clear a thing beside the tire grow by just the adapter's thickness."""
    before, after = windows(catalog), windows(catalog, "change.adapter=1")
    for id_ in ("front.near.frame_rail.left", "rear.near.leaf_spring", "front.lip.left"):
        first, second = before[id_], after[id_]
        assert first
        assert second
        for (low, high), (low_2, high_2) in zip(first, second, strict=True):
            ends = [(low, low_2), (high, high_2)]
            assert any(b - a == pytest.approx(25.4, abs=0.02) for a, b in ends)


def test_steering_stop_opens_windows_and_closes_none(catalog: Catalog) -> None:
    """Poses are nested: less lock leaves every window as wide or wider, the rear's as they were."""
    before, after = windows(catalog), windows(catalog, "change.steering_stop=3")
    assert all(id_.startswith("front.") for id_ in differing(before, after))
    assert sum_of(after) > sum_of(before)


def sum_of(found: dict[str, Windows | None]) -> float:
    """Return the widths of all windows added up [mm]."""
    return sum(high - low for windows_ in found.values() for low, high in windows_ or ())


def test_shorter_and_narrower_tire_leave_out_what_is_not(catalog: Catalog) -> None:
    """Tires are held to the stance's tallest and widest, less the amount; else it is a fault."""
    scenario = tender("change.shorter_tire=1", "change.narrower_tire=1")
    result = wellroom.fit(scenario, catalog, stance="saddle", top=3)
    for plan in result.fits:
        for fit in plan.axles.values():
            assert fit.tire.od_mm <= 41.0 * 25.4 + 1e-6
    with pytest.raises(RequestError, match=r"change.narrower_tire: .* stance.bare.section of the front"):
        wellroom.fit(with_stances("bare", sets=("change.narrower_tire=1",)), catalog, stance="bare")


def test_regeared_axle_keeps_todays_ratio_as_the_reference(catalog: Catalog) -> None:
    """A change of ratio shows in the effective ratio against today's, which stays the reference."""
    scenario = tender("change.axle_ratio=5.5", "axle.front.gear_family=none_such")
    scenario = wellroom.load_scenario(TENDER, [*scenario.sets, "axle.rear.gear_family=none_such"])
    plan = wellroom.check(scenario, catalog, **ONE).plan  # type: ignore[arg-type]
    assert plan.gearing is not None
    assert plan.gearing.axle_ratios == {"front": 5.5, "rear": 5.5}
    today = wellroom.check(tender(), catalog, **ONE).plan.gearing  # type: ignore[arg-type]
    assert today is not None
    assert plan.gearing.effective_ratio == pytest.approx(today.effective_ratio * 5.5 / 6.167)  # type: ignore[operator]
    assert plan.gearing.change_pct < today.change_pct  # type: ignore[operator]


def test_regeared_axle_is_offered_no_other_set(catalog: Catalog) -> None:
    """The ratio asked for is held, in fit and at every point of vary; no set is bought beside it."""
    read = wellroom.load_scenario(scenarios_dir() / "pickup_taller.toml", ["change.axle_ratio=4"])
    result = wellroom.fit(read, catalog, top=2)
    assert result.fits
    for plan in result.fits:
        assert plan.gearing is not None
        assert plan.gearing.axle_ratios == {"front": 4.0, "rear": 4.0}
        assert not any(plan.gearing.gearsets.values())
    assert any("no price is counted for it" in note for note in result.notes)
