"""What the program passes and fails, against a brute force that shares no code with its windows."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from outside import brute
from outside.main_job import Judge, Wheel, printed_bound, row, wheels
from wellroom import load_catalog, load_scenario
from wellroom.data import scenarios_dir
from wellroom.search.candidates import Asked
from wellroom.search.fit import Case, prepare
from wellroom.search.judge import judge
from wellroom.search.rims import made_rims, rims_from
from wellroom.search.tires import catalog_tires

EACH = 100
AXLES = [
    (scenario, axle)
    for scenario in ("fire_tender", "pickup_taller", "wagon_flush", "least", "nothing_fits")
    for axle in ("front", "rear")
]
CATALOG = cache(load_catalog)
TIRES = cache(lambda: catalog_tires(CATALOG()))


@cache
def _case(scenario: str, sets: tuple[str, ...]) -> Case:
    return prepare(load_scenario(scenarios_dir() / f"{scenario}.toml", sets), CATALOG(), None)


def _asked(scenario: str, axle: str, sets: tuple[str, ...] = ()) -> Asked:
    return _case(scenario, sets).asked[axle]


@cache
def _judge(scenario: str, axle: str) -> Judge:
    return Judge(_asked(scenario, axle))


@cache
def _wheels(scenario: str, axle: str) -> list[Wheel]:
    return wheels(_asked(scenario, axle), TIRES(), CATALOG(), EACH, 7)


@pytest.mark.parametrize(("scenario", "axle"), AXLES)
def test_verdicts_near_window_ends_match_brute_force(scenario: str, axle: str) -> None:
    """What is passed clears by what is asked; what is failed does not clear by that and the printed bound."""
    found = _judge(scenario, axle).mismatches(_wheels(scenario, axle), printed_bound(_asked(scenario, axle)))
    assert [str(one) for one in found] == []


def test_verdicts_near_window_ends_are_a_thousand_of_both_sorts() -> None:
    """A thousand samples, at least three hundred that pass everything and three hundred that don't."""
    passes = [wheel.passes for axle in AXLES for wheel in _wheels(*axle)]
    assert len(passes) >= 1000
    assert min(sum(passes), len(passes) - sum(passes)) >= 300


# Motions and shapes that the shipped scenarios don't have.
OTHERS = [
    ("fire_tender", "rear", ("axle.rear.travel.roll_centre_height=8", "axle.rear.near.0.share=0.5")),
    (
        "fire_tender",
        "rear",
        (
            "axle.rear.travel.roll_centre_height='2 to 9'",
            "axle.rear.near.0.blocks='outboard'",
            "axle.rear.near.0.in_from=-12",
            "axle.rear.near.0.in_to=-4",
            "axle.rear.near.0.up_from=15",
            "axle.rear.near.0.up_to=25",
        ),
    ),
    (
        "pickup_taller",
        "front",
        (
            "axle.front.near.0.moves_with='frame'",
            "axle.front.near.0.blocks='outboard'",
            "axle.front.near.4.share='0.2 to 0.8'",
        ),
    ),
    (
        "fire_tender",
        "rear",
        (
            "axle.rear.travel.side_play='3/8 in'",
            "axle.rear.travel.fore_aft='1/2 in'",
            "axle.rear.travel.track_bar={length=34, slope=10, axle_end='right'}",
        ),
    ),
    (
        "fire_tender",
        "front",
        (
            "axle.front.travel.sideways_at_bump='0.6 in'",
            "axle.front.travel.track_bar={length=30, slope=-6, axle_end='left'}",
        ),
    ),
    (
        "pickup_taller",
        "front",
        (
            "axle.front.travel.table=[[-3, 1.5, -0.375], [0, 0.5, 0], [1.5, -0.75, 0.125], [5, -3, -0.125]]",
            "axle.front.travel.fore_aft='1/4 in'",
            "axle.front.near.4.share=0.6",
        ),
    ),
    (
        "pickup_taller",
        "rear",
        (
            "axle.rear.pose=[{what='on the stop', left=4, right=4,"
            " lip=[{clock=0, radius=17.5, out=5, flange=4}],"
            " near=[{what='leaf spring', moves_with='frame', clock=20, radius=15, in=5}]}]",
        ),
    ),
]


@pytest.mark.parametrize(("scenario", "axle", "sets"), OTHERS)
def test_verdicts_of_other_motions_match_brute_force(scenario: str, axle: str, sets: tuple[str, ...]) -> None:
    """Roll centres, shares, things that block outboard, play, track bars, tables, poses: the same holds."""
    asked = _asked(scenario, axle, sets)
    samples = wheels(asked, TIRES(), CATALOG(), 40, 11)
    found = Judge(asked).mismatches(samples, printed_bound(asked))
    assert [str(one) for one in found] == []


@pytest.mark.parametrize(("scenario", "axle"), [("fire_tender", "front"), ("wagon_flush", "rear")])
def test_brute_force_contradicts_verdicts_turned_round(scenario: str, axle: str) -> None:
    """The judge can say no: verdicts turned round are contradicted, of every thing and both ways."""
    samples = _wheels(scenario, axle)[::2]
    judge_of = _judge(scenario, axle)
    turned = [replace(wheel, open={id_: not open_ for id_, open_ in wheel.open.items()}) for wheel in samples]
    found = judge_of.mismatches(turned, 0.0)
    assert {m.thing for m in found} == set(samples[0].open)
    assert {m.passed for m in found} == {True, False}


def test_margins_lie_between_brute_force_and_its_bound() -> None:
    """A clearance's margin is at most the line found less what is asked, and within the bound of it."""
    scenario, axle = "pickup_taller", "rear"
    asked, judge_of = _asked(scenario, axle), _judge(scenario, axle)
    bound = printed_bound(asked)
    rims = rims_from(made_rims(CATALOG()))
    for wheel in [w for w in _wheels(scenario, axle) if w.passes][:12]:
        tire = TIRES().take(np.flatnonzero(TIRES().id == wheel.tire.id))
        rim = rims.take(np.flatnonzero((rims.id == wheel.rim.id) & (rims.width == wheel.rim.width)))
        verdict = judge(asked, tire, rim, wheel.backspace, 2)
        margins = {c.id: c.margin for c in verdict.fit.checks if c.id in wheel.open}
        assert {c.id: c.ok for c in verdict.fit.checks if c.id in wheel.open} == wheel.open
        for id_, least in judge_of.least(wheel).items():
            if least < 30.0:
                assert margins[id_] <= least + 0.02, id_
                assert margins[id_] >= least - bound - 0.05, id_


def _box(**sides: float) -> brute.Part:
    x, y, z = ((sides[f"{axis}0"], sides[f"{axis}1"]) for axis in "xyz")
    charts = np.array([[(a, b, c) for b in y for a in x] for c in z])
    return brute.Part(charts, False, 0.0, 0.0, True, (10.0, 10.0))


def test_brute_force_finds_a_lip_straight_up_at_full_bump() -> None:
    """Of a flat thing 600 above the axle, with 100 of bump, the nearest point is 500 away."""
    search = brute.Search(_box(x0=-50, x1=50, y0=-10, y1=10, z0=600, z1=600), brute.Poses((-80.0, 100.0)))
    front = search.front(1, np.random.default_rng(0), 20_000, 30)
    assert front.r.min() == pytest.approx(500.0, abs=brute.BIN)


def test_brute_force_section_is_the_ellipse_and_a_little_more() -> None:
    """The lower side wall drawn by tangents covers the ellipse, by less than a tenth of its height."""
    tire = SimpleNamespace(
        section_max=330.0,
        measuring=10.0,
        od_max=1000.0,
        square=False,
        shoulder=40.0,
        tread=260.0,
        radial=True,
        side_lug=0.0,
    )
    rim = SimpleNamespace(
        width=10.0, flange_in=12.7, flange_out=12.7, flange_height=17.5, metal=4.0, depth=17.5, flat=22.0,
        well=60.0, ramp=15.0,
    )  # fmt: skip
    body = brute.body(brute.section(tire, rim, 254.0, 254.0), 0.0, "nothing")
    turn = np.linspace(0.0, np.pi / 2.0, 50)
    flange, widest, half, wide = 271.5, 377.0, 127.0, 168.3
    r = widest - (widest - flange) * np.cos(turn)
    ellipse = shapely.LineString(np.stack([r, half + (wide - half) * np.sin(turn)], axis=1))
    assert body.is_valid
    assert body.buffer(1e-6).covers(ellipse)
    outer = shapely.points(ellipse.coords)[6:]
    assert max(shapely.distance(body.boundary, outer)) < 0.09 * (widest - flange)


def test_row_holds_one_row_of_every_column() -> None:
    """One row of a table is plain values."""
    assert row(TIRES(), 0).id == TIRES().id[0]
