"""The lines of an order: each wheel with all that a shop must know, alike ones put together."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from wellroom.catalog import Catalog
from wellroom.data import scenarios_dir
from wellroom.scenario.build import BRAKE_CLEARANCE
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.candidates import Asked as Wanted
from wellroom.search.hub import HOLE_AIR, PILOT_AIR
from wellroom.search.order_data import (
    SNAP_IN_KPA,
    Asked,
    Bolts,
    DryFit,
    Moment,
    OnAxle,
    OrderLine,
    Taken,
    TireOrder,
    Well,
)
from wellroom.search.requirements import bare
from wellroom.search.rims import Rims
from wellroom.search.tires import Tires
from wellroom.trade.hub import (
    CORNERING,
    chord_error_factor,
    cornering_moment_nm,
    cornering_moment_to_build_for_nm,
)
from wellroom.trade.load import wheel_load_need_kg
from wellroom.trade.rim import tolerances
from wellroom.units import MM_PER_IN, floor_to

AS_BUILT = "AS-BUILT"
_NONE = Taken("", "", None)
_SAME = 0.02


@dataclass(frozen=True)
class Picked:
    """What was picked for one axle: the tire and the wheel (one row each), the verdict on them."""

    wanted: Wanted
    tire: Tires
    rim: Rims
    fit: results.AxleFit


def lines_of(
    scenario: Scenario, catalog: Catalog, picked: dict[results.Axle, Picked], base: list[str]
) -> tuple[OrderLine, ...]:
    """Return the lines of an order, front first; axles with one wheel, tire and hub share a line.

    ``base`` is how the command line that judges what was delivered begins.
    """
    out: list[OrderLine] = []
    for axle, pick in picked.items():
        line = _line(scenario, catalog, axle, pick, base)
        same = next((index for index, other in enumerate(out) if _key(other) == _key(line)), None)
        if same is None:
            out.append(line)
        else:
            out[same] = _joined(out[same], line)
    return tuple(out)


def _key(line: OrderLine) -> object:
    """Return what two lines must share to be one: everything but the axle, its loads and its measures."""
    bolts = replace(line.bolts, measured=_NONE, bore_least_mm=0.0, hub_circle_pm_mm=0.0)
    return (line.wheel_id, line.adapter_id, line.rim_width_in, round(line.backspace_mm, 6), line.tire, bolts)


def _joined(first: OrderLine, second: OrderLine) -> OrderLine:
    """Return one line for the wheels of two: the stricter of what they ask."""
    bolts = replace(
        first.bolts,
        bore_least_mm=max(first.bolts.bore_least_mm, second.bolts.bore_least_mm),
        hub_circle_pm_mm=max(first.bolts.hub_circle_pm_mm, second.bolts.hub_circle_pm_mm),
    )
    return replace(
        first,
        axles=first.axles + second.axles,
        quantity=first.quantity + second.quantity,
        spares=first.spares + second.spares,
        bolts=bolts,
        backspace_asked=_stricter(first.backspace_asked, second.backspace_asked),
        overall_width_asked=_stricter(first.overall_width_asked, second.overall_width_asked),
        load_kg=max(first.load_kg, second.load_kg),
        moments=first.moments + second.moments,
        on=first.on + second.on,
    )


def _stricter(a: Asked, b: Asked) -> Asked:
    return Asked(
        less_mm=min(a.less_mm, b.less_mm),
        more_mm=min(a.more_mm, b.more_mm),
        less_in=min(a.less_in, b.less_in),
        more_in=min(a.more_in, b.more_in),
    )


def _line(
    scenario: Scenario, catalog: Catalog, axle: results.Axle, pick: Picked, base: list[str]
) -> OrderLine:
    rim, tire, fit = pick.rim, pick.tire, pick.fit
    made = fit.wheel.source == "made"
    row = _row(catalog.blanks if made else catalog.wheels, str(fit.wheel.id))
    adapter = float(rim.adapter_mm[0]) if rim.adapter[0] else 0.0
    backspace, overall = fit.backspace_mm + adapter, float(rim.overall[0])
    on = _on_axle(scenario, axle, pick, base)
    ask = tolerances(on.room_less_mm, on.room_more_mm)
    load = on.load_kg
    pressure = float(tire.pressure[0])
    spare = bool(scenario.vehicle.spare) and axle == "rear"
    return OrderLine(
        axles=(axle,),
        quantity=fit.quantity,
        spares=int(spare),
        source="made" if made else "stock",
        wheel_id=str(fit.wheel.id),
        maker=str(row["maker"]),
        material=str(row["material"]),
        adapter_id=str(rim.adapter[0]) or None,
        adapter_mm=adapter or None,
        rim_diameter_in=fit.rim_diameter_in,
        rim_width_in=fit.rim_width_in,
        backspace_in=backspace / MM_PER_IN,
        backspace_mm=backspace,
        backspace_asked=_asked(ask.backspace_less, ask.backspace_more),
        inset_mm=fit.inset_mm + adapter,
        overall_width_mm=overall,
        overall_width_asked=_asked(ask.width_less, ask.width_more),
        front_space_mm=overall - backspace,
        flange_in_mm=float(rim.flange_in[0]),
        flange_out_mm=float(rim.flange_out[0]),
        disc_mm=float(row["disc_thickness_mm"]),
        well=_well(rim),
        bolts=_bolts(axle, pick, None if made else row),
        load_kg=load,
        pressure_kpa=pressure,
        rated_load_kg=float(rim.load[0]),
        rated_pressure_kpa=float(rim.pressure[0]),
        moments=(_moment(axle, str(row["material"]), load, tire, fit.inset_mm + adapter),) if made else (),
        tire=TireOrder(
            choice=fit.tire,
            od_largest_mm=float(tire.od_max[0]),
            load_kg=float(tire.load[0]),
            pressure_kpa=pressure,
            tube=bool(tire.tube[0]),
            rim_min_in=float(tire.rim_min[0]),
            rim_max_in=float(tire.rim_max[0]),
        ),
        valve="tube" if tire.tube[0] else "metal" if pressure > SNAP_IN_KPA else "snap_in",
        on=(on,),
    )


def _row(frame: Any, id_: str) -> dict[str, Any]:
    return dict(next(row for row in frame.to_dict("records") if row["id"] == id_))


def _asked(less: float, more: float) -> Asked:
    return Asked(
        less_mm=floor_to(less, 0.1),
        more_mm=floor_to(more, 0.1),
        less_in=floor_to(less / MM_PER_IN, 1.0 / 32.0),
        more_in=floor_to(more / MM_PER_IN, 1.0 / 32.0),
    )


def _well(rim: Rims) -> Well:
    place, half = float(rim.well[0]), float(rim.width[0]) * MM_PER_IN / 2.0
    out = place >= 0.0
    edge = half + float((rim.flange_out if out else rim.flange_in)[0])
    return Well(
        side="outboard" if out else "inboard",
        from_edge_mm=edge - abs(place),
        depth_mm=float(rim.depth[0]),
        flat_mm=float(rim.flat[0]),
    )


def _moment(axle: results.Axle, material: str, load: float, tire: Tires, inset: float) -> Moment:
    """Return the cornering moment; the loaded radius is taken as half the largest diameter, which is more."""
    row = CORNERING[material]
    factor = row.front if axle == "front" else row.rear
    arms = (load, float(tire.od_max[0]) / 2.0, inset, factor)
    return Moment(
        axle,
        factor,
        row.cycles,
        float(cornering_moment_nm(*arms)),
        float(cornering_moment_to_build_for_nm(*arms)),
    )


def _bolts(axle: results.Axle, pick: Picked, stocked: dict[str, Any] | None) -> Bolts:
    size, hub, rim = pick.wanted.hub, pick.wanted.swept.room.axle.hub, pick.rim
    assert size.studs is not None
    assert size.circle is not None
    assert size.pilot is not None
    key = "bolt_circle" if hub.bolt_circle else "stud_chord"
    measure = hub.bolt_circle or hub.stud_chord
    assert measure is not None
    grown = 1.0 if hub.bolt_circle else float(chord_error_factor(size.studs))
    hole = None if size.stud is None else size.stud + HOLE_AIR
    least, most = max(size.least_bore(0.0) or 0.0, float(rim.bore_low[0])), float(rim.bore_high[0])
    if hole is not None and stocked is None:
        most = min(most, size.most_bore(hole) or most)
    if size.centred and stocked is None:
        most = min(most, max(least, (size.to_pilot or 0.0) + PILOT_AIR))
    return Bolts(
        studs=size.studs if stocked is None else int(stocked["studs"]),
        bolt_circle_mm=size.circle if stocked is None else float(stocked["bolt_circle_mm"]),
        hub_studs=size.studs,
        hub_circle_mm=size.circle,
        hub_circle_pm_mm=results.ceil_miss(size.circle_loose + (measure.pm or 0.0) * grown),
        measured=Taken(f"axle.{axle}.hub.{key}", measure.text, measure.how),
        stud=hub.stud_size,
        stud_length_mm=hub.stud_length.low - (hub.stud_length.pm or 0.0) if hub.stud_length else None,
        seat=hub.seat,
        centred_by=hub.centred_by,
        hole_mm=hole if stocked is None else float(stocked["hole_mm"]),
        bore_least_mm=least if stocked is None else float(stocked["bore_mm"]),
        bore_most_mm=max(least, most) if stocked is None else float(stocked["bore_mm"]),
        pilot_mm=size.to_pilot if np.isnan(rim.plate_pilot[0]) else float(rim.plate_pilot[0]),
    )


# --- what it meets on an axle ---------------------------------------------------------------------


def _on_axle(scenario: Scenario, axle: results.Axle, pick: Picked, base: list[str]) -> OnAxle:
    fit, room, hub = pick.fit, pick.wanted.swept.room, pick.wanted.hub
    low, high, less_by, more_by = _window(fit)
    reserve = scenario.limits.load_reserve
    load = pick.wanted.load * (1.0 + (reserve.value if reserve else 0.0) / 100.0)
    return OnAxle(
        axle=axle,
        quantity=fit.quantity,
        hub_backspace_mm=fit.backspace_mm,
        window_mm=((low, high),),
        room_less_mm=max(results.floor_margin(fit.backspace_mm - low), 0.0),
        less_by=less_by,
        room_more_mm=max(results.floor_margin(high - fit.backspace_mm), 0.0),
        more_by=more_by,
        load_kg=results.ceil_miss(float(wheel_load_need_kg(load))),
        brake_mm=room.brake,
        brake_clearance_mm=BRAKE_CLEARANCE if room.brake else None,
        protrusion_diameter_mm=hub.protrusion,
        protrusion_length_mm=hub.protrusion_length or None,
        thread=room.axle.hub.thread,
        check=tuple(_commands(axle, pick, base)),
        dry_fit=tuple(_dry_fit(pick)),
    )


def _window(fit: results.AxleFit) -> tuple[float, float, str | None, str | None]:
    """Return the stretch of backspaces round the one chosen that no rating, clearance or limit ends.

    With the ids of what ends it, None where nothing does.
    """
    kinds = {check.id: check.kind for check in fit.checks}
    low, high = -results.BEYOND, (fit.overall_width_mm or 0.0) + results.BEYOND
    less_by = more_by = None
    for id_, windows in fit.windows_mm.items():
        if windows is None or kinds.get(id_) == "wish":
            continue
        within = [(a, b) for a, b in windows if a - _SAME <= fit.backspace_mm <= b + _SAME]
        if not within:  # a limit that was accepted
            continue
        if within[0][0] > low:
            low, less_by = within[0][0], id_
        if within[0][1] < high:
            high, more_by = within[0][1], id_
    return low, high, less_by, more_by


def _commands(axle: results.Axle, pick: Picked, base: list[str]) -> Iterator[str]:
    """Yield the command lines that judge what was delivered, by its backspace and by its inset."""
    fit = pick.fit
    rim = str(fit.wheel.id)
    if fit.wheel.source == "made":
        rim = f"{fit.rim_diameter_in:g}x{fit.rim_width_in:g}@{rim}"
    elif pick.rim.adapter[0]:
        rim = f"{rim}+{pick.rim.adapter[0]}"
    tire = fit.tire.id or fit.tire.size
    for option in ("--backspace", "--inset"):
        words = [*base, "--axle", axle, "--alone", "--tire", tire, "--rim", rim]
        yield f"{shlex.join(words)} {option} {AS_BUILT}"


def command_base(scenario: Scenario, stance: str | None, catalogs: tuple[str, ...]) -> list[str]:
    """Return how the command line begins that judges a wheel on a scenario; files by their names alone."""
    file = Path(scenario.file)
    shipped = file.parent == scenarios_dir()
    words = ["wellroom", "check", file.stem if shipped else file.name]
    words += [] if stance is None else ["--stance", stance]
    for name in catalogs:
        words += ["--catalog", Path(name).name]
    for text in scenario.sets:
        words += ["--set", text]
    return words


def _dry_fit(pick: Picked) -> Iterator[DryFit]:
    """Yield the places to measure on one axle, the tightest first; what is alike on both sides once."""
    fit = pick.fit
    clear = [
        (check.margin, check.id, check, check.contact)
        for check in fit.checks
        if check.kind == "clearance" and check.margin is not None and check.asked is not None
    ]
    for margin, id_, check, contact in sorted(clear, key=lambda entry: entry[:2]):
        if contact is None or contact.r_mm is None or contact.y_mm is None or check.asked is None:
            continue
        plain = bare(id_)
        twins = [c for m, i, _, c in clear if c is not None and i.startswith(f"{plain}.") and m == margin]
        alike = len(twins) == 2 and replace(twins[0], side=None) == replace(twins[1], side=None)
        if alike and id_.endswith(".right"):
            continue
        if alike:
            id_, contact = plain, replace(contact, side="both")
        yield _place(pick, id_, margin, check.asked, contact)


def _place(pick: Picked, id_: str, margin: float, asked: float, contact: results.Contact) -> DryFit:
    fit, rim = pick.fit, pick.rim
    inner = -fit.backspace_mm
    outer = inner + float(rim.overall[0])
    radius, place = contact.r_mm or 0.0, contact.y_mm or 0.0
    flange = float(rim.barrels().seat_radius[0] + rim.flange_height[0])
    within = inner <= place <= outer and radius <= flange
    outboard = place > (inner + outer) / 2.0
    return DryFit(
        id=id_,
        measured="gap" if within else "place",
        contact=contact,
        flange="outboard" if outboard else "inboard",
        radius_mm=radius,
        sideways_mm=place - outer if outboard else inner - place,
        gap_mm=results.floor_margin(margin + asked),
        least_mm=asked,
        room_mm=results.floor_margin(margin),
    )
