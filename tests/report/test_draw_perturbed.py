"""Labels stay apart on drawings of vehicles that nobody measured: shipped ones, changed."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from report.pictured import catalog, figures, overlapping
from wellroom.data import scenarios_dir
from wellroom.report.draw.model import Drawing
from wellroom.report.draw.pieces import extents
from wellroom.report.web.build import plans_by_rank
from wellroom.report.web.figures import Figures
from wellroom.scenario.load import load_scenario
from wellroom.search.pictures import fit_pictures
from wellroom.search.sketch import AxleSketch, LipPoint, NearThing, Sketch
from wellroom.units import Units

CASES = (("fire_tender", "saddle"), ("pickup_taller", None), ("wagon_flush", "flush"), ("least", None))
UNITS: tuple[Units, Units] = ("in", "mm")
SLOW = [HealthCheck.too_slow]
FIRST = [Phase.explicit, Phase.reuse, Phase.generate]
"""Without shrinking: each example takes seconds, and what overlaps is named already."""

shares = st.floats(0.6, 1.5)
shifts = st.floats(-60.0, 60.0)


def faults(drawing: Drawing) -> list[object]:
    """Return the labels that overlap, and what is drawn outside the drawing's box."""
    box, around = drawing.box, extents(drawing.elements, drawing.scale)
    return [*overlapping(drawing), *([] if box.joined(around) == box else [around])]


@st.composite
def moved_things(draw: st.DrawFn, thing: NearThing) -> NearThing:
    """Return a thing near, moved as a whole."""
    dx, dy, dz = (draw(shifts) for _ in range(3))
    (x0, y0, z0), (x1, y1, z1) = thing.low, thing.high
    return replace(thing, low=(x0 + dx, y0 + dy, z0 + dz), high=(x1 + dx, y1 + dy, z1 + dz))


@st.composite
def perturbed(draw: st.DrawFn, axle: AxleSketch) -> AxleSketch:
    """Return an axle's surroundings with other lips, things, travel, locks and hub."""
    lip = tuple(
        LipPoint(p.index, p.clock, p.radius * draw(shares), p.out and p.out + draw(shifts), p.flange)
        for p in axle.lip
    )
    return replace(
        axle,
        lip=lip,
        near=tuple(draw(moved_things(thing)) for thing in axle.near),
        bump=axle.bump * draw(shares),
        droop=axle.droop * draw(shares),
        lock_inner_deg=axle.lock_inner_deg * draw(shares),
        lock_outer_deg=axle.lock_outer_deg * draw(shares),
        kingpin=axle.kingpin * draw(shares),
        hub=replace(
            axle.hub,
            studs=draw(st.integers(4, 12)),
            circle=(axle.hub.circle or 150.0) * draw(shares),
            pilot=draw(st.none() | st.floats(40.0, 120.0)),
        ),
    )


@settings(max_examples=12, deadline=None, suppress_health_check=SLOW, phases=FIRST)
@given(data=st.data(), case=st.sampled_from(CASES), units=st.sampled_from(UNITS))
def test_drawings_of_other_surroundings_keep_labels_apart(
    data: st.DataObject, case: tuple[str, str | None], units: Units
) -> None:
    """However lips, things near, travel, locks and hub are, no label lies over another or off the sheet."""
    made = figures(*case)
    axles = {name: data.draw(perturbed(axle)) for name, axle in made.sketch.axles.items()}
    other = replace(made, sketch=Sketch(axles, made.sketch.wheels))
    rank = data.draw(st.sampled_from(sorted(made.plans)))
    drawn = other.drawings(rank, units)
    assert {key: found for key, drawing in drawn.items() if (found := faults(drawing))} == {}


@settings(max_examples=4, deadline=None, suppress_health_check=SLOW, phases=FIRST)
@given(
    tilt=st.integers(0, 14),
    gap=st.floats(1.0, 6.0),
    lock=st.integers(20, 40),
    units=st.sampled_from(UNITS),
)
def test_drawings_of_a_perturbed_scenario_keep_labels_apart(
    tilt: int, gap: float, lock: int, units: Units
) -> None:
    """A scenario solved again with another tilt, stop gap and lock gives drawings with labels apart."""
    sets = (
        f"axle.front.travel.tilt={tilt}",
        f"axle.front.travel.stop_gap={gap:.2f}",
        f"axle.front.steering.lock_inner_wheel={lock}",
    )
    scenario = load_scenario(scenarios_dir() / "fire_tender.toml", sets)
    made = fit_pictures(scenario, catalog(), stance="saddle", top=1)
    plans = plans_by_rank(made.result)
    drawer = Figures(made.result, made.sketch, plans, 1)
    for rank in plans:
        drawn = drawer.drawings(rank, units)
        assert {key: found for key, drawing in drawn.items() if (found := faults(drawing))} == {}, sets
