"""Sweeping ahead in other processes: the same samples, and no harm where there is no other process."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from wellroom.data import scenarios_dir
from wellroom.geometry.envelope import Cells
from wellroom.scenario import load_scenario
from wellroom.scenario.build import Room, build_room
from wellroom.search import ahead, sweeps
from wellroom.search.sweeps import Sweeps


@pytest.fixture(scope="module")
def rooms() -> list[Room]:
    """Return the rear room of the tender at four stop gaps."""
    path = scenarios_dir() / "fire_tender.toml"
    sets = ([f"axle.rear.travel.stop_gap={gap}"] for gap in (3.017, 3.018, 3.019, 3.021))
    return [build_room(load_scenario(path, s), "rear") for s in sets]


def swept(memory: Sweeps, rooms: list[Room]) -> list[Cells]:
    """Return the samples of each room's first end."""
    return [memory.end(room.ends[0].items, room.motion) for room in rooms]


def same(one: list[Cells], other: list[Cells]) -> bool:
    """Return whether samples are equal to the last bit."""
    return all(
        np.array_equal(getattr(a, name), getattr(b, name))
        for a, b in zip(one, other, strict=True)
        for name in Cells.__dataclass_fields__
    )


def test_ahead_gives_the_same_samples_to_the_last_bit(
    rooms: list[Room], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Which process swept a thing can't be told from the answer."""
    monkeypatch.setattr(sweeps, "WORTH_IT", 1)
    monkeypatch.setattr(sweeps, "helpers", lambda: 1)
    memory = Sweeps()
    with memory.ahead([[room] for room in rooms]):
        there = swept(memory, rooms)
    assert same(there, swept(Sweeps(), rooms))


@pytest.mark.parametrize("program", ["", "/no/such/interpreter", "/bin/true"])
def test_ahead_without_another_process_sweeps_here(
    rooms: list[Room], monkeypatch: pytest.MonkeyPatch, program: str
) -> None:
    """An interpreter that is not there, or ends at once, costs nothing but the attempt."""
    monkeypatch.setattr(sweeps, "WORTH_IT", 1)
    monkeypatch.setattr(sweeps, "helpers", lambda: 1)
    monkeypatch.setattr(sys, "executable", program)
    memory = Sweeps()
    with memory.ahead([[room] for room in rooms[:2]]):
        there = swept(memory, rooms[:2])
    assert same(there, swept(Sweeps(), rooms[:2]))


def test_ahead_without_an_interpreter_starts_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that holds Python inside itself has no interpreter to start."""
    monkeypatch.setattr(sys, "executable", "")
    assert ahead.helpers() == 0


def test_ahead_starts_nothing_for_a_few_sweeps(rooms: list[Room], monkeypatch: pytest.MonkeyPatch) -> None:
    """Below the number worth it all is swept here."""
    started: list[object] = []
    monkeypatch.setattr(sweeps, "Ahead", started.append)
    monkeypatch.setattr(sweeps, "helpers", lambda: 1)
    with Sweeps().ahead([[room] for room in rooms[:2]]):
        pass
    assert started == []
