"""The shipped scenarios hold together: today's wheels go round today, and brakes go into rims on sale.

A hand's check in one plane, at ride height, wheels straight, with the standard's sizes: it shares nothing
with the program's own geometry.
"""

from __future__ import annotations

import csv
import math

import pytest

from scenario.mutate import SHIPPED
from wellroom.data import catalogs_dir, scenarios_dir
from wellroom.scenario import load_scenario
from wellroom.scenario.model import Axle, Near, Place, Today
from wellroom.trade.marking import UnknownSize, design_size, parse_marking
from wellroom.trade.rim import seat_diameter_mm

ENDS = [(name, end) for name in SHIPPED for end in ("front", "rear")]
DRIVABLE = [(name, end) for name, end in ENDS if name != "nothing_fits.toml"]

# Not in the standard's table: the diagonal size is taken as its radial twin (UN R54 annex 5, from memory).
TWINS = {"8.25-20": "8.25R20"}


def read(name: str, end: str) -> tuple[Axle, Today]:
    """Return one axle of a shipped scenario and what it runs on today."""
    scenario = load_scenario(scenarios_dir() / name)
    axle, today = getattr(scenario.axle, end), getattr(scenario.now, end)
    assert isinstance(axle, Axle)
    assert isinstance(today, Today)
    return axle, today


def tire_of(today: Today) -> tuple[float, float, float, float]:
    """Return today's tire radius, outer and inner place (outboard of the face) and rim's seat radius, mm."""
    assert today.tire is not None
    assert today.rim is not None
    assert today.flange_in is not None
    size = design_size(parse_marking(TWINS.get(today.tire, today.tire)), today.rim.width_in)
    if today.inset is not None:
        inset = today.inset.value
    else:
        assert today.backspace is not None
        inset = today.backspace.value - today.flange_in.value - today.rim.width_in * 25.4 / 2
    half = size.section_mm / 2
    return size.od_mm / 2, half - inset, -half - inset, float(seat_diameter_mm(today.rim.diameter_in)) / 2


def radius_and_place(thing: Near | Place) -> tuple[float, float]:
    """Return the radius from the wheel's axis and the inboard place of a point, mm."""
    assert thing.inboard is not None
    if thing.radius is not None:
        return thing.radius.value, thing.inboard.value
    assert thing.forward is not None
    assert thing.up is not None
    return math.hypot(thing.forward.value, thing.up.value), thing.inboard.value


@pytest.mark.parametrize(("name", "end"), DRIVABLE)
def test_todays_tire_clears_every_lip(name: str, end: str) -> None:
    """Today's tire stays clear of every lip it stands under, at ride height and at the stop."""
    axle, today = read(name, end)
    radius, outer, _, _ = tire_of(today)
    for lip in axle.lip:
        assert lip.radius is not None
        assert lip.flange is not None
        assert lip.radius.value > radius or outer < lip.flange.value, lip


@pytest.mark.parametrize(("name", "end"), DRIVABLE)
def test_todays_tire_clears_what_is_near(name: str, end: str) -> None:
    """What is as near to the axis as the tire reaches lies inboard of it, or inside the rim."""
    axle, today = read(name, end)
    radius, _, inner, seat = tire_of(today)
    for near in axle.near:
        if near.shape == "box":
            corners = [near.forward_from, near.forward_to, near.up_from, near.up_to, near.in_from]
            assert all(corners)
            rear, front, low, high, place = (part.value for part in corners if part is not None)
            x, z = min(max(rear, 0.0), front), min(max(low, 0.0), high)
            spots = [(math.hypot(x, z), place)]
        elif near.shape == "bar":
            assert near.start is not None
            assert near.end is not None
            assert near.diameter is not None
            half = near.diameter.value / 2
            spots = [(r, place - half) for r, place in map(radius_and_place, (near.start, near.end))]
        else:
            spots = [radius_and_place(near)]
        for reach, place in spots:
            assert place > -inner or reach > radius or reach < seat - 20, (near.what, reach, place)


@pytest.mark.parametrize(("name", "end"), DRIVABLE)
def test_brake_fits_into_a_rim_on_sale_and_into_todays(name: str, end: str) -> None:
    """The brake goes with 1/8 in to spare into today's barrel, and with 1/4 in under some blank's well."""
    axle, today = read(name, end)
    brake = axle.brake
    drum = brake.outside_diameter.value / 2 if brake.outside_diameter is not None else 0.0
    largest = max([drum, *(point.radius.value for point in brake.outline)])
    *_, seat = tire_of(today)
    well = (
        6.0 if today.multi_piece else 17.3 + 5.0
    )  # a loose ring needs no well: JIS D 4218 least depth and metal
    assert largest + 3.2 < seat - well
    with (catalogs_dir() / "blanks.csv").open(encoding="utf-8") as stream:
        rows = list(csv.DictReader(row for row in stream if not row.startswith("#")))
    inside = [
        float(seat_diameter_mm(float(row["rim_code"]))) / 2
        - float(row["drop_depth_mm"])
        - float(row["metal_mm"])
        for row in rows
    ]
    assert any(largest + 6.35 < room for room in inside)


def test_tenders_brake_needs_twenty_inches() -> None:
    """No well of a rim below 20 in lets the fire tender's drums through."""
    axle, _ = read("fire_tender.toml", "front")
    largest = max(point.radius.value for point in axle.brake.outline)
    assert largest > float(seat_diameter_mm(18)) / 2 - 17.3 - 3.0


def test_tractor_has_no_room_for_a_rim_over_its_drums() -> None:
    """On the baggage tractor a rim over the drum is taller than the room under the fender for its tire."""
    scenario = load_scenario(scenarios_dir() / "nothing_fits.toml")
    for axle in (scenario.axle.front, scenario.axle.rear):
        assert axle.brake.outside_diameter is not None
        lips = [lip.radius.value for lip in axle.lip if lip.radius is not None]
        least_rim = next(
            code
            for code in (16, 17, 18, 19, 20)
            if float(seat_diameter_mm(code)) > axle.brake.outside_diameter.value + 46
        )
        with (catalogs_dir() / "tires.csv").open(encoding="utf-8") as stream:
            rows = csv.DictReader(row for row in stream if not row.startswith("#"))
            tires = [float(row["od_min_mm"]) / 2 for row in rows if float(row["rim_code"]) >= least_rim]
        assert min(lips) < min(tires)


def test_eight_studs_of_the_tender_are_on_no_stocked_wheel() -> None:
    """The fire tender's bolt circle, from its chord, is 209.6 mm, and no stocked wheel is drilled so."""
    axle, _ = read("fire_tender.toml", "front")
    assert axle.hub.stud_chord is not None
    circle = axle.hub.stud_chord.value / math.sin(math.pi / 8)
    assert circle == pytest.approx(209.6, abs=0.1)
    with (catalogs_dir() / "wheels.csv").open(encoding="utf-8") as stream:
        rows = csv.DictReader(row for row in stream if not row.startswith("#"))
        circles = {float(row["bolt_circle_mm"]) for row in rows if row["studs"] == "8"}
    assert min(abs(circle - other) for other in circles) > 2.0


def test_twins_are_not_tabulated_themselves() -> None:
    """A size that the standard's table comes to hold needs no twin here."""
    for marking in TWINS:
        with pytest.raises(UnknownSize):
            design_size(parse_marking(marking))
