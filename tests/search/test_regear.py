"""Regearing: all sets of the family, matched over both axles, with carrier breaks and prices."""

from __future__ import annotations

import pytest

import wellroom
from wellroom.catalog import Catalog
from wellroom.data import scenarios_dir
from wellroom.errors import RequestError
from wellroom.scenario.model import Scenario
from wellroom.search.document import document


def tender(*sets: str) -> Scenario:
    """Return the shipped fire tender with sets put over it."""
    return wellroom.load_scenario(scenarios_dir() / "fire_tender.toml", sets)


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    """Return the shipped catalogs."""
    return wellroom.load_catalog()


def test_regear_lists_every_set_of_the_family(catalog: Catalog) -> None:
    """One choice for each set of the reference axle's family, ascending, none of another family."""
    result = wellroom.regear(tender(), catalog)
    family = catalog.gearsets[catalog.gearsets["gear_family"] == "tender_140"]
    assert [choice.ratio for choice in result.choices] == sorted(family["ratio"])
    assert result.reference == "rear"
    assert result.status == "proven"


def test_regear_price_is_of_all_driven_axles_with_fitting(catalog: Catalog) -> None:
    """Front and rear, parts and labour."""
    rows = catalog.gearsets.set_index("id")
    for choice in wellroom.regear(tender(), catalog).choices:
        ids = [one.id for one in choice.sets.values() if one is not None]
        assert len(ids) == 2
        assert choice.price == pytest.approx(
            sum(rows.loc[id_, "price"] + rows.loc[id_, "fitting_price"] for id_ in ids)
        )


def test_regear_carrier_break_is_another_carrier_than_todays(catalog: Catalog) -> None:
    """Today's 6.167 sits on the short carrier of its family."""
    for choice in wellroom.regear(tender(), catalog).choices:
        for one in choice.sets.values():
            assert one is not None
            assert one.carrier_break == (one.carrier != "short")


def test_regear_carrier_of_an_unknown_ratio_is_not_guessed(catalog: Catalog) -> None:
    """A ratio that no set of the family has says nothing of the carrier."""
    scenario = tender("axle.front.axle_ratio=6.5", "axle.rear.axle_ratio=6.5")
    for choice in wellroom.regear(scenario, catalog).choices:
        assert not choice.today
        assert all(one is None or one.carrier_break is None for one in choice.sets.values())


def test_regear_joint_rule_holds_front_to_rear(catalog: Catalog) -> None:
    """With taller tires behind, the nearest front set is told, and whether it is within 1 %."""
    scenario = tender('now.rear.tire_diameter="42 in"')
    result = wellroom.regear(scenario, catalog)
    assert result.match_limit_pct == 1.0
    assert {choice.joint_ok for choice in result.choices} == {True, False}
    for choice in result.choices:
        front, rear = choice.sets["front"], choice.sets["rear"]
        assert front is not None
        assert rear is not None
        f = front.ratio / result.tires["front"].rolling_mm
        r = rear.ratio / result.tires["rear"].rolling_mm
        assert choice.joint_ok == (max(f, r) / min(f, r) - 1.0 <= 0.01)


def test_regear_rear_drive_needs_the_rear_alone(catalog: Catalog) -> None:
    """A rear-drive car buys one set; no joint rule applies."""
    scenario = wellroom.load_scenario(scenarios_dir() / "wagon_flush.toml")
    result = wellroom.regear(scenario, catalog)
    assert result.match_limit_pct is None
    assert all(list(choice.sets) == ["rear"] and choice.joint_ok for choice in result.choices)


def test_regear_with_a_tire_by_marking(catalog: Catalog) -> None:
    """A marking takes its nominal height; today's tires stay what all is reckoned from."""
    result = wellroom.regear(tender(), catalog, tire="41x14.50R20LT")
    assert {tires.size for tires in result.tires.values()} == {"41x14.50R20LT"}
    assert all(
        tires.was_mm is not None and tires.was_mm < tires.rolling_mm for tires in result.tires.values()
    )
    kept = next(choice for choice in result.choices if choice.today)
    assert kept.change_pct is not None
    assert kept.change_pct < 0.0


def test_regear_family_that_nobody_sells_is_a_no(catalog: Catalog) -> None:
    """No set on sale: status none, nothing listed."""
    scenario = tender("axle.front.gear_family=rare_9", "axle.rear.gear_family=rare_9")
    result = wellroom.regear(scenario, catalog)
    assert (result.status, result.choices) == ("none", ())


def test_regear_without_family_or_ratio_names_all_that_is_missing(catalog: Catalog) -> None:
    """Least.toml knows neither: a fault for each of the driven axle's two."""
    scenario = wellroom.load_scenario(scenarios_dir() / "least.toml", ["vehicle.drive=rear"])
    with pytest.raises(RequestError) as caught:
        wellroom.regear(scenario, catalog, height="33")
    assert {fault.place for fault in caught.value.faults} == {"axle.rear.gear_family", "axle.rear.axle_ratio"}


@pytest.mark.parametrize(
    ("options", "place"),
    [
        ({"height": "tall"}, "height"),
        ({"height": "3 in"}, "height"),
        ({"tire": "no such tire"}, "tire"),
        ({"tire": "41x14.50R20LT", "height": "41"}, "tire"),
    ],
)
def test_regear_wrong_request_is_a_named_fault(catalog: Catalog, options: dict[str, str], place: str) -> None:
    """What can't be read is said by its option."""
    with pytest.raises(RequestError) as caught:
        wellroom.regear(tender(), catalog, **options)  # type: ignore[arg-type]
    assert caught.value.faults[0].place == place


def test_regear_frame_and_document_agree(catalog: Catalog) -> None:
    """The same choices in the same order, every key present."""
    result = wellroom.regear(tender(), catalog, height="42 in")
    frame, body = result.frame(), document(result)
    assert list(frame["ratio"]) == [choice["ratio"] for choice in body["choices"]]
    assert list(frame.columns) == list(result.row_columns())
    assert frame["nearest_feel"].sum() == 1
    assert body["command"] == "regear"
    assert body["bound_mm"] is None
