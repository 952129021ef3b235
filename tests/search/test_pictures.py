"""Answers made for pages: each stance's is what a fit of that stance alone gives."""

from __future__ import annotations

from dataclasses import replace

import pytest

import wellroom
from report.pictured import catalog, scenario
from wellroom.errors import RequestError
from wellroom.search.pictures import fit_pictures, stance_pictures

FEW = ("40x13.50R20LT", "41x14.50R20LT")


def test_stance_pictures_are_each_stances_own_fit() -> None:
    """In the file's order, with the same ranks, scores and checks as when asked for one by one."""
    read = scenario("fire_tender")
    made = stance_pictures(read, catalog(), stance="saddle", top=2, tires=FEW)
    assert [one.result.stance for one in made] == list(read.stance)
    for one in made:
        assert one.result == wellroom.fit(read, catalog(), stance=one.result.stance, top=2, tires=FEW)


def test_stance_pictures_without_stances_are_the_one_fit() -> None:
    """A scenario without stances has one answer, without wishes."""
    bare = replace(scenario("least"), stance={})
    made = stance_pictures(bare, catalog(), top=1)
    assert [one.result.stance for one in made] == [None]
    assert made[0].result == fit_pictures(bare, catalog(), top=1).result


def test_stance_pictures_of_an_unknown_stance_name_it() -> None:
    """The stance that was asked for is looked for first."""
    with pytest.raises(RequestError, match="'none'"):
        stance_pictures(scenario("least"), catalog(), stance="none")
