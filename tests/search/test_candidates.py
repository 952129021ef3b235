"""All rows of an axle: however many pairs are taken at once, and in whatever order the tables stand."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from wellroom import load_catalog, load_scenario
from wellroom.data import scenarios_dir
from wellroom.search import candidates
from wellroom.search.candidates import Asked, Candidates, find
from wellroom.search.fit import prepare
from wellroom.search.rims import Rims, made_rims, rims_from, stocked_rims
from wellroom.search.tires import Tires, catalog_tires


@cache
def asked(axle: str) -> Asked:
    """Return an axle of a shipped scenario, swept."""
    scenario = load_scenario(scenarios_dir() / "pickup_taller.toml")
    return prepare(scenario, load_catalog(), None).asked[axle]


@cache
def tables(axle: str) -> tuple[Tires, Rims]:
    """Return a part of the shipped tires, and every wheel for the axle's hub."""
    catalog, hub = load_catalog(), asked(axle).hub
    rims = rims_from(made_rims(catalog) + stocked_rims(catalog, hub.studs, hub.circle, 0.3))
    return catalog_tires(catalog).take(slice(None, None, 3)), rims


def named(found: Candidates) -> list[tuple[object, ...]]:
    """Return the rows by names instead of numbers, sorted."""
    tire, rim = found.tire[found.pair], found.rim[found.pair]
    rims = found.rims
    columns = (found.tires.id[tire], rims.id[rim], rims.adapter[rim], rims.width[rim])
    return sorted(zip(*columns, found.backspace.tolist(), found.score.tolist(), strict=True), key=str)


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize("at_once", [1, 17])
def test_find_few_pairs_at_once_gives_the_same_rows(
    axle: str, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows, what fell and what is open are the same bits when the pairs are taken a few at a time."""
    tires, rims = tables(axle)
    tires = tires.take(slice(None, None, 4))
    whole = find(asked(axle), tires, rims)
    monkeypatch.setattr(candidates, "_AT_ONCE", at_once)
    parts = find(asked(axle), tires, rims)
    assert len(whole.pair) > 0
    for name in ("tire", "rim", "pair", "backspace", "score"):
        assert np.array_equal(getattr(whole, name), getattr(parts, name))
    assert (whole.fell, whole.pairs_open) == (parts.fell, parts.pairs_open)


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_find_permuted_tables_give_the_same_rows(axle: str) -> None:
    """Tires and rims in another order: the same rows by name, and as many fell to each requirement."""
    tires, rims = tables(axle)
    rng = np.random.default_rng(3)
    found = find(asked(axle), tires, rims)
    turned = find(asked(axle), tires.take(rng.permutation(len(tires))), rims.take(rng.permutation(len(rims))))
    assert named(found) == named(turned)
    assert len(found.pair) > 0
    assert (found.fell, found.pairs_open) == (turned.fell, turned.pairs_open)
