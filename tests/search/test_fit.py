"""What `fit` lists and `check` judges: the same verdicts; the same bytes for the same input; the contract."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from click.testing import CliRunner

from soak import same
from wellroom import check, fit, load_catalog, load_scenario
from wellroom.cli import app
from wellroom.data import catalogs_dir, scenarios_dir
from wellroom.scenario.model import Scenario
from wellroom.search import check as checking
from wellroom.search import fit as fitting
from wellroom.search.document import document
from wellroom.search.results import AXLES, AxleFit, Check, FitResult

SHIPPED = tuple(sorted(path.stem for path in scenarios_dir().glob("*.toml")))
CATALOG = cache(load_catalog)
PREPARED: dict[Any, Any] = {}
STANCES = [
    (name, stance)
    for name in SHIPPED
    for stance in (tuple(load_scenario(scenarios_dir() / f"{name}.toml").stance) or (None,))
]


@cache
def scenario(name: str) -> Scenario:
    """Return a shipped scenario."""
    return load_scenario(scenarios_dir() / f"{name}.toml")


@cache
def answer(name: str, stance: str | None = None) -> FitResult:
    """Return the answer on a shipped scenario."""
    return fit(scenario(name), CATALOG(), stance=stance)


@pytest.fixture(autouse=True)
def _sweep_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sweep each scenario once in this module: a sweep is a function of the scenario alone."""
    real = fitting.prepare

    def prepare(read: Scenario, catalog: Any, stance: str | None, *more: Any, **named: Any) -> Any:
        key = (read.file, read.text, read.sets, stance, id(catalog))
        if key not in PREPARED:
            PREPARED[key] = catalog, real(read, catalog, stance, *more, **named)
        return PREPARED[key][1]

    for module in (fitting, checking):
        monkeypatch.setattr(module, "prepare", prepare)


def named(axle: AxleFit) -> dict[str, str]:
    """Return the words by which `check` is asked for an axle's combination."""
    assert axle.wheel.id is not None
    assert axle.tire.id is not None
    backspace = {"backspace": f"{axle.backspace_mm!r} mm"}
    if axle.wheel.source == "made":
        return {
            "tire": axle.tire.id,
            "rim": f"{axle.rim_diameter_in:g}x{axle.rim_width_in:g}@{axle.wheel.id}",
        } | backspace
    return {"tire": axle.tire.id, "rim": axle.wheel.id}


def adapter_of(axle: AxleFit) -> str:
    """Return the id of the adapter of this thickness that the wheel needs, with a plus before it."""
    plates = CATALOG().adapters
    wheel = CATALOG().wheels.set_index("id").loc[axle.wheel.id]
    fitting_ = plates[
        (plates.thickness_mm == axle.wheel.adapter_mm)
        & (plates.wheel_studs == wheel.studs)
        & ((plates.wheel_bolt_circle_mm - wheel.bolt_circle_mm).abs() < 0.2)
    ]
    return f"+{fitting_.id.iloc[0]}"


def without_leverage(judged: AxleFit) -> tuple[Check, ...]:
    """Return the checks without what only `check` says: by how much each measure moves a margin."""
    return tuple(
        replace(one, contact=None if one.contact is None else replace(one.contact, by=None))
        for one in judged.checks
    )


@pytest.mark.parametrize(("name", "stance"), STANCES)
def test_fit_lists_only_what_check_passes(name: str, stance: str | None) -> None:
    """Each listed axle, asked of `check` by its ids: met, with the same margins, windows and contacts."""
    plans = answer(name, stance).fits
    seen: set[Any] = set()
    for plan in plans:
        for axle in AXLES:
            listed = plan.axles[axle]
            words = named(listed)
            if listed.wheel.adapter_mm is not None:
                words["rim"] += adapter_of(listed)
            if (axle, *words.values()) in seen:
                continue
            seen.add((axle, *words.values()))
            judged = check(scenario(name), CATALOG(), stance=stance, axle=axle, **words)
            found = judged.plan.axles[axle]
            assert replace(found, quantity=listed.quantity, checks=without_leverage(found)) == listed
            assert all(c.ok is not False for c in found.checks if c.kind != "wish")
            backspace = listed.backspace_mm
            assert listed.window_mm is not None
            assert any(low - 0.005 <= backspace <= high + 0.005 for low, high in listed.window_mm)
    assert name == "nothing_fits" or plans


def test_fit_where_nothing_fits_says_so_and_exits_1() -> None:
    """Status none, no plan, what all fell to, and exit code 1."""
    result = answer("nothing_fits")
    assert result.status == "none"
    assert result.fits == ()
    assert result.fell
    ran = CliRunner().invoke(app, ["fit", "nothing_fits", "--json"])
    assert ran.exit_code == 1
    assert json.loads(ran.stdout)["counts"]["plans"] == 0


@pytest.mark.parametrize("name", [name for name in SHIPPED if name != "nothing_fits"])
def test_fit_on_a_shipped_scenario_is_proven_and_ranked(name: str) -> None:
    """Ranks 1, 2, ..., scores not falling, each the sum of its terms; at equal score the cheaper first."""
    result = answer(name)
    assert result.status == "proven"
    assert [plan.rank for plan in result.fits] == list(range(1, len(result.fits) + 1))
    keys = [(plan.score, plan.price) for plan in result.fits]
    assert keys == sorted(keys)
    for plan in result.fits:
        assert plan.score == sum(term.points for term in plan.score_terms)


def test_check_without_a_combination_judges_todays_wheels_as_fit_shows_them() -> None:
    """The first row of `fit` and `check` alone are the same verdict."""
    for name in SHIPPED:
        today = answer(name).today
        if today is not None:
            judged = check(scenario(name), CATALOG(), stance=next(iter(scenario(name).stance), None))
            axles = {
                axle: replace(fit, checks=without_leverage(fit)) for axle, fit in judged.plan.axles.items()
            }
            assert replace(judged.plan, axles=axles) == today
            assert judged.judges == "today"


# --- the same bytes -------------------------------------------------------------------------------


def test_fit_gives_the_same_bytes_for_shuffled_and_doubled_rows_under_any_hash_seed(tmp_path: Path) -> None:
    """Three processes, each with its own hash seed, order of rows and repeated rows: one answer."""
    answers = {same.one_run(tmp_path, "wagon_flush", seed) for seed in range(3)}
    assert len(answers) == 1
    assert json.loads(answers.pop())["fits"]


def test_fit_by_process_gives_the_bytes_of_the_library(tmp_path: Path) -> None:
    """`python -m wellroom fit --json` prints what the library gives, and twice the same."""
    command = [sys.executable, "-m", "wellroom", "fit", "wagon_flush", "--json"]
    env = os.environ | {"PYTHONHASHSEED": "77"}
    ran = [subprocess.run(command, capture_output=True, check=True, env=env).stdout for _ in range(2)]
    assert ran[0] == ran[1]
    assert json.loads(ran[0])["fits"] == document(answer("wagon_flush"))["fits"]


def test_fit_with_an_irrelevant_row_moves_no_digit_of_any_plan(tmp_path: Path) -> None:
    """A 13 in tire and a wheel of another pattern more: the plans and today's wheels are the same."""
    tires = pd.read_csv(catalogs_dir() / "tires.csv", comment="#", dtype=str, keep_default_na=False)
    small = tires[tires.rim_code == "13"].iloc[[0]].assign(id="AAA-13")
    wheels = pd.read_csv(catalogs_dir() / "wheels.csv", comment="#", dtype=str, keep_default_na=False)
    other = wheels[wheels.studs == "4"].iloc[[0]].assign(id="AAA-WHEEL")
    paths = [tmp_path / "tires.csv", tmp_path / "wheels.csv"]
    small.to_csv(paths[0], index=False)
    other.to_csv(paths[1], index=False)
    catalog = load_catalog(paths)
    assert len(catalog.tires) == len(CATALOG().tires) + 1
    for name in ("wagon_flush", "pickup_taller"):
        more, less = document(fit(scenario(name), catalog)), document(answer(name))
        for key in more.keys() - {"counts", "fell"}:
            assert more[key] == less[key], key


def test_fit_stance_taken_as_the_first_lists_the_others() -> None:
    """The other stances are listed only where none was named; today's wheels are judged without."""
    first, *others = scenario("fire_tender").stance
    unnamed = answer("fire_tender")
    assert (unnamed.stance, unnamed.other_stances) == (first, tuple(others))
    assert answer("fire_tender", first).other_stances == ()
    assert check(scenario("fire_tender"), CATALOG()).other_stances == ()


def test_fit_rim_that_no_catalog_has_is_noted() -> None:
    """Nothing fits on it, and the answer says why there is nothing."""
    result = fit(scenario("least"), CATALOG(), rims=["20x19", "15x6"], top=1)
    assert [note for note in result.notes if "of these catalogs is a" in note] == [
        "no blank and no stocked wheel of these catalogs is a 20x19"
    ]


@pytest.mark.parametrize(("load", "doubted"), [(400, True), (2500, False), (9000, True)])
def test_fit_load_beside_tires_that_say_none_is_held_against_the_catalogs(load: int, doubted: bool) -> None:
    """Today's 7.50-16LT states no load; the catalogs' does, and shows kg typed as lb or a vehicle's load."""
    sets = [f"axle.front.load={load}"]
    result = check(load_scenario(scenarios_dir() / "least.toml", sets), CATALOG())
    about = [words for words in result.warnings if words.startswith("axle.front.load: ")]
    assert bool(about) is doubted
    assert all("5512 lb" in words and "as the catalogs' 7.50-16LT do" in words for words in about)


@pytest.mark.parametrize(
    ("clocks", "says"),
    [
        ((None, None), "only the top of the arch was measured, no axle.rear.lip"),
        ((-15, 15), "only the top of the arch was measured, no axle.rear.lip"),
        ((-15.1, 0), None),
    ],
)
def test_check_lip_at_the_top_alone_leaves_the_corners_unchecked(
    clocks: tuple[float | None, float | None], says: str | None
) -> None:
    """Within 15 degrees of straight up there is no corner of the arch; the answer says so."""
    sets = [f"axle.rear.lip.{k}.clock={clock}" for k, clock in enumerate(clocks) if clock is not None]
    result = check(load_scenario(scenarios_dir() / "least.toml", sets), CATALOG(), axle="rear")
    lacking = {entry.what: entry.missing for entry in result.not_checked}
    assert "front.lip_corners" in lacking
    assert ("rear.lip_corners" in lacking) is (says is not None)
    assert says is None or says in lacking["rear.lip_corners"]


@pytest.mark.parametrize("name", ["right", "Left"])
def test_check_thing_called_by_a_side_is_judged_like_any(name: str) -> None:
    """A thing whose name is a side's alone keeps an id of its own."""
    scenario = load_scenario(scenarios_dir() / "least.toml", [f"axle.front.near.0.what={name}"])
    checks = check(scenario, CATALOG()).plan.axles["front"].checks
    assert f"front.near.thing_{name.lower()}" in {found.id for found in checks}


# --- the contract of the JSON document ------------------------------------------------------------

HEADER = {
    "schema", "command", "status", "scenario", "stance", "checked", "not_checked", "assumptions",
    "cautions", "warnings", "notes", "bound_mm", "other_stances",
}  # fmt: skip
PLAN = {"rank", "score", "score_terms", "price", "mass_kg", "axles", "spare", "gearing", "checks"}
AXLE = {
    "tire", "wheel", "quantity", "rim_diameter_in", "rim_width_in", "backspace_in", "backspace_mm",
    "inset_mm", "overall_width_mm", "poke_mm", "inside_mm", "gap_mm", "window_mm", "windows_mm", "checks",
}  # fmt: skip
GEARING = {
    "gearsets", "axle_ratios", "effective_ratio", "change_pct", "rpm_at_cruise", "speedometer_error_pct",
}  # fmt: skip
CHECK = {"id", "kind", "wording", "margin", "unit", "ok", "contact", "asked"}
PARTS = {"mounting", "brake", "ride_height", "bump", "tilt", "lock", "load"}


def _numbers(node: Any) -> Iterator[float]:
    if isinstance(node, bool) or node is None or isinstance(node, str):
        return
    if isinstance(node, (int, float)):
        yield node
        return
    for value in node.values() if isinstance(node, dict) else node:
        yield from _numbers(value)


def _two_decimals(value: float) -> bool:
    return abs(value * 100.0 - round(value * 100.0)) < 1e-6 * max(1.0, abs(value))


def _windows_are_contracted(windows: list[list[float]] | None) -> None:
    if windows is None:
        return
    flat = [end for window in windows for end in window]
    assert flat == sorted(flat)
    assert all(high < low for (_, high), (low, _) in pairwise(windows))
    assert all(map(_two_decimals, flat))


@pytest.mark.parametrize("name", SHIPPED)
def test_json_of_fit_and_check_keeps_the_contract(name: str) -> None:
    """Every key is there, every number finite, windows ascend and are disjoint, margins have two decimals."""
    bodies = [document(answer(name))]
    if answer(name).today is not None:
        bodies.append(document(check(scenario(name), CATALOG())))
    for body in bodies:
        extra = {"counts", "fits", "today", "fell", "blocked_by"}
        extra = extra if body["command"] == "fit" else {"axles", "judges", "fits"}
        assert body.keys() >= HEADER | extra
        assert body["schema"] == 1
        assert body["scenario"] == scenario(name).title
        assert {what.split(".")[1] for what in body["checked"]} <= PARTS
        assert {what.split(".")[0] for what in body["checked"]} <= set(AXLES)
        assert all(entry.keys() == {"what", "missing"} for entry in body["not_checked"])
        assert all(entry.keys() == {"path", "value", "why"} for entry in body["assumptions"])
        assert all(map(math.isfinite, _numbers(body)))
        text = json.dumps(body, allow_nan=False)
        assert str(scenarios_dir()) not in text
        plans = [*body["fits"], *filter(None, [body.get("today")])]
        for plan in plans:
            assert plan.keys() >= PLAN
            assert plan["gearing"] is None or plan["gearing"].keys() == GEARING
            assert set(plan["axles"]) == set(AXLES)
            checks = list(plan["checks"])
            for axle in filter(None, plan["axles"].values()):
                assert axle.keys() >= AXLE
                checks += axle["checks"]
                _windows_are_contracted(axle["window_mm"])
                for windows in axle["windows_mm"].values():
                    _windows_are_contracted(windows)
                assert axle["windows_mm"].keys() == {one["id"] for one in axle["checks"]}
                assert axle["inside_mm"] is None or axle["inside_mm"] == pytest.approx(
                    axle["tire"]["section_mm"] - axle["poke_mm"], abs=0.011
                )
            for one in checks:
                assert one.keys() >= CHECK
                assert one["margin"] is None or _two_decimals(one["margin"])
                assert one["ok"] is None or one["margin"] is None or one["ok"] == (one["margin"] >= 0.0), one


@pytest.mark.parametrize("name", [name for name in SHIPPED if name != "nothing_fits"])
def test_counts_and_plans_agree(name: str) -> None:
    """As many plans as counted, at most as many as asked for, all distinct in what makes plans distinct."""
    result = answer(name)
    assert result.counts.plans == len(result.fits) <= 10
    keys = set()
    for plan in result.fits:
        parts = [(plan.axles[a].tire, plan.axles[a].wheel, plan.axles[a].rim_width_in) for a in AXLES]
        gears = tuple(plan.gearing.gearsets.values()) if plan.gearing else None
        keys.add((*parts, gears))
    assert len(keys) == len(result.fits)
