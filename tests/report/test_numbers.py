"""The circled numbers of measures: the same on drawings, on the page and in the scenario's order."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

import pytest

from report.pictured import CASES, every_drawing, pictures, scenario
from wellroom.report.numbers import FIRST_NEAR, KINDS, near_number, number_of
from wellroom.report.web.tables import measured
from wellroom.search.results import AXLES

EACH = pytest.mark.parametrize(("name", "stance"), CASES)
DRAWN = {
    "hub.studs",
    "hub.bolt_circle",
    "hub.stud_chord",
    "hub.pilot_diameter",
    "hub.protrusion_diameter",
    "hub.protrusion_length",
    "hub.stud_size",
    "brake.outline",
    "brake.depth",
    "lip.radius",
    "lip.out",
    "lip.flange",
    "travel.droop",
    "steering.lock_inner_wheel",
    "steering.lock_outer_wheel",
    "steering.kingpin_to_face",
}
"""Measures that a drawing can show as a length, a circle or an angle; the rest only move what is drawn."""


def given(value: Any, path: str) -> Iterator[str]:
    """Yield the path of every field that a scenario gives a value."""
    if is_dataclass(value) and not isinstance(value, type):
        for item in fields(value):
            if getattr(value, item.name) not in (None, (), ""):
                yield f"{path}.{item.name}"
                yield from given(getattr(value, item.name), f"{path}.{item.name}")
    elif isinstance(value, tuple):
        for index, entry in enumerate(value):
            yield from given(entry, f"{path}.{index}")


def badges(name: str, stance: str | None, axle: str) -> dict[str, list[str]]:
    """Return what stands beside each circled number on the drawings of an axle's best wheel."""
    found: dict[str, list[str]] = {}
    for key, drawing in every_drawing(name, stance).items():
        if key.startswith(f"1-in-{axle}"):
            for label in drawing.labels():
                if label.badge.isdigit():
                    found.setdefault(label.badge, []).append(" ".join(label.rows).replace("-", " "))
    return found


def test_numbers_of_kinds_leave_room_for_what_stands_near() -> None:
    """Kinds are numbered from 1 without a gap; the first thing near comes after the last of them."""
    assert sorted(set(KINDS.values())) == list(range(1, max(KINDS.values()) + 1))
    assert max(KINDS.values()) < FIRST_NEAR


def test_number_of_a_kind_is_shared_only_by_other_ways_of_taking_it() -> None:
    """Two measures share a number where either is taken for the other, or the two make one thing."""
    shared: dict[int, set[str]] = {}
    for kind, number in KINDS.items():
        shared.setdefault(number, set()).add(kind)
    assert sorted(sorted(kinds) for kinds in shared.values() if len(kinds) > 1) == [
        ["brake.depth", "brake.from_face", "brake.outline", "brake.outside_diameter"],
        ["hub.bolt_circle", "hub.stud_chord"],
        ["hub.stud_length", "hub.stud_size"],
        ["lip.clock", "lip.radius"],
        ["travel.sideways_at_bump", "travel.track_bar"],
    ]


@EACH
def test_drawing_numbers_are_measures_that_the_builder_took(name: str, stance: str | None) -> None:
    """No circle stands on a drawing of an axle without a measure of that number in the scenario."""
    for axle in AXLES:
        taken = {number_of(path) for path in given(getattr(scenario(name).axle, axle), f"axle.{axle}")}
        assert set(badges(name, stance, axle)) <= taken, axle


@EACH
def test_measures_that_can_be_drawn_carry_their_number(name: str, stance: str | None) -> None:
    """Every such measure of the scenario has its circle on one of the axle's drawings at least."""
    for axle in AXLES:
        model = getattr(scenario(name).axle, axle)
        kinds = {
            re.sub(r"\.\d+", "", path).removeprefix(f"axle.{axle}.") for path in given(model, f"axle.{axle}")
        }
        wanted = {str(KINDS[kind]) for kind in kinds & DRAWN}
        assert wanted <= set(badges(name, stance, axle)), axle


@EACH
def test_things_near_carry_the_number_of_their_place_in_the_file(name: str, stance: str | None) -> None:
    """Each thing near on the drawn side is named beside its own number, by its place in the file's list."""
    for axle, sketch in pictures(name, stance).sketch.axles.items():
        found = badges(name, stance, axle)
        for index, thing in enumerate(getattr(scenario(name).axle, axle).near):
            if thing.side in ("both", sketch.side):
                what = thing.what.replace("-", " ")
                assert any(said.startswith(what) for said in found[near_number(index)]), (axle, what)


@EACH
def test_page_gives_measures_the_numbers_of_the_drawings(name: str, stance: str | None) -> None:
    """In the page's list of measures a number stands beside the same measure as on the drawings."""
    cells = re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", str(measured(scenario(name))), re.DOTALL)
    rows = [(no, path) for no, path in itertools.pairwise(cells) if path.startswith("axle.")]
    assert len(rows) > 20
    for number, path in rows:
        assert number == (number_of(path.partition(" ")[0]) or "-"), path
    listed = " ".join(cells)
    for axle in AXLES:
        for index, thing in enumerate(getattr(scenario(name).axle, axle).near):
            assert f"axle.{axle}.near.{index}" in listed, thing.what
