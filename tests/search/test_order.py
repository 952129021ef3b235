"""What an order holds, when it is refused, and that its figures are those of the answer."""

from __future__ import annotations

import math
import shlex
from collections.abc import Sequence
from dataclasses import replace

import pytest
from click.testing import CliRunner

import wellroom
from report.ordered import CASES, ordered
from report.pictured import catalog, scenario
from wellroom import cli
from wellroom.data import scenarios_dir
from wellroom.errors import RequestError
from wellroom.search import results
from wellroom.search.case import prepare
from wellroom.search.fit import worked
from wellroom.search.header import header
from wellroom.search.order import order
from wellroom.search.order_refused import accepted

shapely = pytest.importorskip("shapely")


def refused(
    name: str, *sets: str, stance: str | None = None, pick: int = 1, accept: Sequence[str] = ()
) -> list[str]:
    """Return the faults that refuse an order of a shipped scenario."""
    read = wellroom.load_scenario(scenarios_dir() / f"{name}.toml", list(sets)) if sets else scenario(name)
    with pytest.raises(RequestError) as caught:
        order(read, catalog(), pick=pick, stance=stance, accept=accept)
    return [f"{fault.place}: {fault.found}; {fault.expected}" for fault in caught.value.faults]


def test_order_alike_wheels_are_one_line_with_the_spare() -> None:
    """Two front, two rear and the spare of one wheel make five; different wheels a line each."""
    (line,) = ordered("saddle").sheet.lines
    assert (line.axles, line.quantity, line.spares) == (("front", "rear"), 5, 1)
    assert [on.quantity for on in line.on] == [2, 3]
    assert [(line.axles, line.quantity, line.spares) for line in ordered("shelf").sheet.lines] == [
        (("front",), 2, 0),
        (("rear",), 3, 1),
    ]
    assert sum(line.spares for line in ordered("wagon").sheet.lines) == 0


@pytest.mark.parametrize("case", CASES)
def test_order_figures_are_those_of_fit(case: str) -> None:
    """Tire, rim, backspace and width are what fit lists at this rank, an adapter's thickness apart."""
    name, stance, _ = CASES[case]
    (plan,) = wellroom.fit(scenario(name), catalog(), stance=stance, top=1).fits
    for line in ordered(case).sheet.lines:
        for on in line.on:
            fit = plan.axles[on.axle]
            assert on.hub_backspace_mm == fit.backspace_mm
            assert line.backspace_mm == pytest.approx(fit.backspace_mm + (line.adapter_mm or 0.0))
            assert line.inset_mm == pytest.approx(fit.inset_mm + (line.adapter_mm or 0.0))
            assert (line.overall_width_mm, line.rim_width_in) == (fit.overall_width_mm, fit.rim_width_in)
            assert line.tire.choice.size == fit.tire.size
            assert on.quantity == fit.quantity
        assert line.front_space_mm + line.backspace_mm == pytest.approx(line.overall_width_mm)


@pytest.mark.parametrize("case", CASES)
def test_order_ratings_are_what_the_axle_asks(case: str) -> None:
    """Each wheel is asked half the axle's load, ± and reserve in it, which the catalog's rating covers."""
    name, _, _ = CASES[case]
    read = scenario(name)
    reserve = read.limits.load_reserve.value if read.limits.load_reserve else 0.0
    for line in ordered(case).sheet.lines:
        for on in line.on:
            load = getattr(read.axle, on.axle).load
            assert load is not None
            need = (load.high + (load.pm or 0.0)) * (1.0 + reserve / 100.0) / 2.0
            assert need <= on.load_kg <= need + 0.02
        assert line.load_kg == max(on.load_kg for on in line.on) <= line.rated_load_kg
        assert line.pressure_kpa <= line.rated_pressure_kpa


def test_order_cornering_moment_is_the_standards_and_with_the_greater_arm() -> None:
    """M = L (0.7 R + d) S by hand; S 1.6 front, 1.45 rear for steel (SAE J328-2021 as summarised)."""
    (line,) = ordered("ridge").sheet.lines
    assert line.inset_mm < 0.0
    assert [(moment.axle, moment.factor) for moment in line.moments] == [("front", 1.6), ("rear", 1.45)]
    for moment, on in zip(line.moments, line.on, strict=True):
        force, arm = on.load_kg * 9.80665, 0.7 * line.tire.od_largest_mm / 2.0
        assert moment.printed_nm == pytest.approx(force * (arm + line.inset_mm) / 1000.0 * moment.factor)
        assert moment.build_nm == pytest.approx(force * (arm - line.inset_mm) / 1000.0 * moment.factor)
    assert all(not line.moments for line in ordered("pickup").sheet.lines)


def test_order_bore_and_bolt_circle_carry_the_plus_minus() -> None:
    """The bore is no less than the pilot at its largest; the circle's ± is the chord's, grown by 2.613."""
    bolts = ordered("saddle").sheet.lines[0].bolts
    assert bolts.bore_least_mm == pytest.approx(149.9 + 0.13)
    assert bolts.hub_circle_mm == pytest.approx(80.2 / math.sin(math.pi / 8.0))
    assert 0.25 / math.sin(math.pi / 8.0) <= bolts.hub_circle_pm_mm < 0.67


def test_order_wheel_on_an_adapter_is_measured_from_its_own_face() -> None:
    """The wheel on an adapter keeps its own pattern; from the hub's face the plate's thickness comes off."""
    line = ordered("pickup").sheet.lines[0]
    assert line.adapter_mm == 38.0
    assert line.inset_mm == pytest.approx(10.0)
    assert (line.bolts.studs, line.bolts.bolt_circle_mm) == (5, 127.0)
    assert (line.bolts.hub_studs, line.bolts.hub_circle_mm) == (6, 139.7)


@pytest.mark.parametrize("case", CASES)
def test_order_bore_of_a_made_wheel_leaves_metal_and_centres(case: str) -> None:
    """The largest bore asked for leaves half a stud's width of metal to the holes; on a pilot little air."""
    for line in ordered(case).sheet.lines:
        bolts = line.bolts
        if line.source != "made" or bolts.bore_most_mm is None:
            continue
        assert bolts.bore_least_mm <= bolts.bore_most_mm
        if bolts.hole_mm is not None:
            stud = bolts.hole_mm - 1.0
            assert bolts.bolt_circle_mm - bolts.hole_mm - bolts.bore_most_mm >= stud - 1e-6
        if bolts.centred_by == "pilot" and bolts.pilot_mm is not None:
            assert bolts.bore_most_mm - max(bolts.pilot_mm, bolts.bore_least_mm) <= 0.3 + 1e-9


@pytest.mark.parametrize("case", CASES)
def test_order_tolerances_stay_in_the_window(case: str) -> None:
    """A wheel at the ends of what is asked, its width too, is within the window of each of its axles."""
    for line in ordered(case).sheet.lines:
        back, wide = line.backspace_asked, line.overall_width_asked
        for on in line.on:
            assert back.less_mm + 0.7 * wide.more_mm <= on.room_less_mm + 1e-9
            assert back.more_mm + 0.3 * wide.less_mm <= on.room_more_mm + 1e-9
            assert (back.less_in + 0.7 * wide.more_in) * 25.4 <= on.room_less_mm + 1e-9
            assert (back.more_in + 0.3 * wide.less_in) * 25.4 <= on.room_more_mm + 1e-9
            ((low, high),) = on.window_mm
            assert low <= on.hub_backspace_mm <= high


@pytest.mark.parametrize("case", ["ridge", "shelf", "pickup", "wagon"])
def test_order_command_lines_judge_what_was_ordered(case: str) -> None:
    """Each printed command runs, and says yes to the wheel as ordered."""
    for line in ordered(case).sheet.lines:
        for on in line.on:
            figures = (on.hub_backspace_mm, line.inset_mm - (line.adapter_mm or 0.0))
            for command, figure in zip(on.check, figures, strict=True):
                words = shlex.split(command.replace("AS-BUILT", f"'{figure:.3f} mm'"))
                ran = CliRunner().invoke(cli.app, words[1:])
                assert ran.exit_code == 0, ran.output


def test_order_command_line_says_no_outside_the_window() -> None:
    """A backspace just beyond the window's tight end is refused by the printed command."""
    (on,) = ordered("wagon").sheet.lines[1].on
    ((_, high),) = on.window_mm
    for figure, code in ((high - 0.1, 0), (high + 0.5, 1)):
        words = shlex.split(on.check[0].replace("AS-BUILT", f"'{figure:.2f} mm'"))
        assert CliRunner().invoke(cli.app, words[1:]).exit_code == code


@pytest.mark.parametrize("case", CASES)
def test_dry_fit_places_keep_the_clearance_to_the_largest_tire(case: str) -> None:
    """Shapely's distance from each place to wheel and largest tire is no less than the sheet's gap."""
    made = ordered(case)
    judged = 0
    brakes = 0
    for line in made.sheet.lines:
        for on in line.on:
            wheel = made.sketch.wheels[1, on.axle]
            outline = shapely.Polygon(wheel.largest)
            inner = -on.hub_backspace_mm
            for entry in on.dry_fit:
                contact = entry.contact
                assert contact.y_mm is not None
                assert entry.room_mm == pytest.approx(entry.gap_mm - entry.least_mm, abs=0.011)
                edge = inner + wheel.overall if entry.flange == "outboard" else inner
                way = 1.0 if entry.flange == "outboard" else -1.0
                assert edge + way * entry.sideways_mm == pytest.approx(contact.y_mm)
                if entry.measured == "place":
                    point = shapely.Point(contact.y_mm, entry.radius_mm)
                    assert outline.distance(point) >= entry.gap_mm - 0.02, entry.id
                    judged += 1
                if entry.id.endswith(".brake"):
                    brake = shapely.LineString(made.sketch.axles[on.axle].brake)
                    assert shapely.Polygon(wheel.rim).distance(brake) >= entry.gap_mm - 0.02
                    brakes += 1
    assert judged >= 2
    assert brakes == 2


def test_order_number_is_stable_and_of_the_content() -> None:
    """The same order has the same number; another rank, or one more acceptance's stance, another."""
    again = order(scenario("wagon_flush"), catalog(), pick=1, accept=["front.poke"])
    assert again.sheet == ordered("wagon").sheet
    numbers = {ordered(case).sheet.number for case in CASES}
    assert len(numbers) == len(CASES)
    assert all(len(number) == 10 and number.startswith("W-") for number in numbers)


def test_order_lists_measures_and_not_what_was_assumed() -> None:
    """Each measure of the axles is on the sheet with its value as written; an assumed value is none."""
    sheet = ordered("saddle").sheet
    listed = {entry.path: entry for entry in sheet.measures}
    assert listed["axle.front.hub.stud_chord"].value == "80.2 ± 0.25 mm"
    assert listed["axle.rear.near.0.in_from"].of == "leaf spring"
    assert "axle.front.travel.side_play" in {entry.path for entry in sheet.assumptions}
    assert not set(listed) & {entry.path for entry in sheet.assumptions}


def test_check_alone_leaves_the_other_axle_and_the_joint_rules_out() -> None:
    """Alone, one axle is judged, the other named as left out; the joint rules say nothing."""
    asked = {"axle": "front", "tire": "9.00R20", "rim": "20x7", "backspace": "2 7/8"}
    read = scenario("fire_tender")
    whole = wellroom.check(read, catalog(), stance="ridge", **asked)
    alone = wellroom.check(read, catalog(), stance="ridge", alone=True, **asked)
    assert (whole.status, alone.status) == ("none", "proven")
    assert [check.id for check in whole.plan.checks if check.ok is False and check.kind == "rating"]
    assert (set(alone.plan.axles), alone.plan.checks) == ({"front"}, ())
    assert alone.plan.axles["front"].checks == whole.plan.axles["front"].checks
    assert "rear.wheels" in {entry.what for entry in alone.not_checked}
    assert {what.partition(".")[0] for what in alone.checked} == {"front"}


# --- refused ------------------------------------------------------------------------------------


def test_order_missed_wish_is_refused_until_accepted_by_name() -> None:
    """Each missed wish is named with the option that accepts it; accepted, it stands on the sheet."""
    assert refused("fire_tender", stance="shelf", accept=["front.tread"]) == [
        "front.tire_diameter: wish missed by 1/2 in (12.41 mm): tire diameter; it met, or --accept "
        "front.tire_diameter"
    ]
    assert [entry.what for entry in ordered("shelf").sheet.accepted] == ["front.tire_diameter", "front.tread"]


def test_order_unchecked_tilt_is_refused_until_accepted_by_name() -> None:
    """Tilt that was not measured on a solid axle refuses; on an independent one it is not asked."""
    faults = refused("least")
    assert [fault.partition(":")[0] for fault in faults] == ["front.tilt", "rear.tilt"]
    assert faults[0].endswith("it measured, or --accept front.tilt")
    assert {entry.what for entry in ordered("least").sheet.accepted} == {"front.tilt", "rear.tilt"}


def test_order_name_without_anything_to_accept_is_refused() -> None:
    """A name that nothing needs is a fault of its own, so that no sheet claims what was not so."""
    (fault,) = refused("wagon_flush", accept=["front.poke", "front.lip"])
    assert fault == "accept: 'front.lip'; front.poke"
    (fault,) = refused("fire_tender", stance="saddle", accept=["nonsense"])
    assert fault == "accept: 'nonsense'; no --accept: nothing here needs it"


def test_order_rank_that_is_not_there_is_refused() -> None:
    """Where nothing fits there is no rank to order; the message says so."""
    (fault,) = refused("nothing_fits")
    assert fault == "--pick: 1; a rank of fit, but nothing fits: try fit"


def _judged(**changes: object) -> tuple[results.Plan, object, object]:
    """Return the wagon's first plan with one front check changed, its case and what was not checked."""
    case = prepare(scenario("wagon_flush"), catalog(), None)
    plan = worked(case, catalog(), 1).plan(1)
    front = plan.axles["front"]
    key = changes.pop("key")
    checks = tuple(
        replace(check, **changes) if check.id == key else check  # type: ignore[arg-type]
        for check in front.checks
    )
    changed = replace(plan, axles={**plan.axles, "front": replace(front, checks=checks)})
    return changed, case, header(case, catalog(), [])["not_checked"]


@pytest.mark.parametrize(
    ("key", "ok", "says"),
    [
        ("front.tire_load", False, "missed"),
        ("front.rim_width_approved", False, "missed"),
        ("front.lip", False, "missed"),
        ("front.wheel_pressure", None, "not judged"),
        ("front.brake", None, "not judged"),
        ("front.bolt_circle", None, "not judged"),
    ],
)
def test_order_missed_or_unjudged_rating_is_never_accepted(key: str, ok: bool | None, says: str) -> None:
    """A rating or clearance that is missed or unjudged refuses, and accepting it by name does not help."""
    plan, case, unchecked = _judged(key=key, ok=ok)
    with pytest.raises(RequestError) as caught:
        accepted(case, plan, unchecked, ["front.poke", key])  # type: ignore[arg-type]
    faults = [(fault.place, fault.found) for fault in caught.value.faults]
    assert [place for place, _ in faults] == [key, "accept"]
    assert faults[0][1].startswith(says)


@pytest.mark.parametrize("what", ["front.mounting", "rear.brake", "front.bump", "rear.load", "front.lock"])
def test_order_unchecked_part_is_never_accepted(what: str) -> None:
    """Mounting, brake, bump, load, and lock where the axle steers must have been checked."""
    plan, case, _ = _judged(key="")
    lacking = (results.NotChecked(what, "a measure"),)
    with pytest.raises(RequestError) as caught:
        accepted(case, plan, lacking, ["front.poke", what])  # type: ignore[arg-type]
    assert [fault.place for fault in caught.value.faults] == [what, "accept"]


def test_order_unchecked_lock_of_an_axle_that_does_not_steer_is_no_matter() -> None:
    """A rear axle that does not steer has no lock to check."""
    plan, case, _ = _judged(key="")
    found = accepted(case, plan, (results.NotChecked("rear.lock", "a measure"),), ["front.poke"])  # type: ignore[arg-type]
    assert [entry.what for entry in found] == ["front.poke"]
