"""One line of an order as rows of what is asked."""

from __future__ import annotations

from collections.abc import Iterator

from wellroom.report.measures import length, number, windows
from wellroom.report.order.words import moment, rating, size, tolerance
from wellroom.search.hub import PILOT_AIR
from wellroom.search.order_data import OnAxle, OrderLine, OrderSheet
from wellroom.search.requirements import bare
from wellroom.trade.hub import engagement_mm
from wellroom.units import Units

Row = tuple[str, str]

VALVES = {
    "tube": "the tube's own; its hole without a burr",
    "metal": "metal, clamped in: the pressure is above the 65 psi (448 kPa) of a snap-in valve",
    "snap_in": "snap-in or metal, to the maker's hole",
}
SEATS = {"cone": "cone", "ball": "ball", "flat": "flat"}
THREADS = {"right": "right-hand", "left": "left-hand", "left_on_left": "left-hand on the left side"}


def line_rows(line: OrderLine, sheet: OrderSheet, units: Units) -> Iterator[Row]:
    """Yield what is asked of a line's wheels, or looked for on those bought."""
    yield "quantity", _quantity(line)
    yield from (_wheel(line) if line.source == "made" else _bought(line, units))
    yield (
        "diameter x width",
        f"{number(line.rim_diameter_in)} x {number(line.rim_width_in)} in, between flanges",
    )
    yield (
        "width over flanges",
        f"{size(line.overall_width_mm, units)} {tolerance(line.overall_width_asked, units)}; flanges "
        f"{size(line.flange_in_mm, units)} inboard, {size(line.flange_out_mm, units)} outboard",
    )
    yield (
        "backspace",
        f"{size(line.backspace_mm, units)} {tolerance(line.backspace_asked, units)}, from the mounting face "
        "to the outer edge of the inboard flange",
    )
    yield from (room for on in line.on for room in _room(on, units))
    yield "front space", size(line.front_space_mm, units)
    yield "inset", f"{size(line.inset_mm, units)}; positive is the face outboard of the rim's centre"
    yield (
        "drop centre",
        f"in the {line.well.side} half: its middle {size(line.well.from_edge_mm, units)} from the outer edge "
        f"of that flange, {size(line.well.depth_mm, units)} deep, {size(line.well.flat_mm, units)} flat; the "
        f"tire is mounted from the {line.well.side} side",
    )
    yield from _bolts(line, units)
    yield from (hub for on in line.on for hub in _hub(on, units))
    yield from (brake for on in line.on for brake in _brake(on, units))
    yield from _ratings(line, units)
    yield "for the tire", _tire(line, units)
    yield "valve", f"{VALVES[line.valve]}; its stem clear of drum and caliper"
    runout = size(sheet.runout_mm, units)
    yield "runout", f"no more than {runout}, across and round, at both bead seats"
    bare = "no coating on nut seats, mounting faces and bore"
    yield "finish", f"{bare}; the rest after the dry fit is signed" if line.source == "made" else bare
    if line.source == "made":
        yield (
            "marking",
            "maker, size, inset, load and date stamped or welded where they can be read when mounted",
        )


def _quantity(line: OrderLine) -> str:
    each = ", ".join(f"{on.quantity} {on.axle}" for on in line.on)
    split = f"{line.quantity}: {each}" if len(line.on) > 1 else each
    return split + (", one of the rear's the spare" if line.spares else "")


def _wheel(line: OrderLine) -> Iterator[Row]:
    yield "wheel", f"made to order, {line.material}, blank {line.wheel_id} of {line.maker}"


def _bought(line: OrderLine, units: Units) -> Iterator[Row]:
    yield "wheel", f"stocked, {line.material}: {line.wheel_id} of {line.maker}. No wheel need be made"
    if line.adapter_id:
        yield (
            "adapter",
            f"{line.quantity} of {line.adapter_id}, {size(line.adapter_mm, units)} thick, centred on the "
            "hub, never stacked; from the hub's face the backspace is "
            f"{size(line.on[0].hub_backspace_mm, units)}",
        )
        past = (line.bolts.stud_length_mm or 0.0) - (line.adapter_mm or 0.0)
        if past > 0.0:
            yield (
                "hub's studs",
                f"stand {size(past, units)} past the adapter: the wheel needs pockets for them, or they are "
                "shortened, or a thicker adapter is taken; look at this before buying",
            )


def _room(on: OnAxle, units: Units) -> Iterator[Row]:
    """Yield how far the backspace may be off before something is too close; which way is the tight one."""
    sides = {"less": (on.room_less_mm, on.less_by), "more": (on.room_more_mm, on.more_by)}
    ended = {way: side for way, side in sides.items() if side[1] is not None}
    whole = f"{windows(on.window_mm, units)}; " if len(ended) == len(sides) else ""
    rooms = [
        f"{way} by {length(room, units, 'down')} {units} ({_spoken(by)})" if by else f"{way}: no end found"
        for way, (room, by) in sides.items()
    ]
    tight = min(ended, key=lambda way: ended[way][0], default=None)
    last = f"; {tight} is the tight side" if tight else ""
    yield f"window, {on.axle}", f"{whole}{', '.join(rooms)}{last}"


def _spoken(id_: str) -> str:
    """Return what ends a window: front.near.leaf_spring is the leaf spring."""
    key = bare(id_).split(".")[-1]
    return "what the shop can make" if key == "blank" else key.replace("_", " ")


def _bolts(line: OrderLine, units: Units) -> Iterator[Row]:
    bolts = line.bolts
    how = f", {bolts.measured.how}" if bolts.measured.how else ", how it was taken is not stated"
    hub = (
        f"{bolts.hub_studs} studs on {size(bolts.hub_circle_mm, units)}, measured to within "
        f"± {number(bolts.hub_circle_pm_mm)} mm, which is no drilling tolerance"
    )
    chord = "chord" if bolts.measured.path.endswith("chord") else "circle"
    taken = f"{hub}, from the {chord} measured (4): {bolts.measured.value}{how}"
    if (bolts.studs, bolts.bolt_circle_mm) == (bolts.hub_studs, bolts.hub_circle_mm):
        yield (
            "bolt circle",
            f"{taken}. By calipers or a full-size template before it is drilled, never by tape",
        )
    else:
        yield (
            "bolt circle",
            f"the wheel's {bolts.studs} on {size(bolts.bolt_circle_mm, units)}; the hub's {taken}",
        )
    yield from _studs(line, units)
    if bolts.stud_length_mm is not None and line.adapter_id is None:
        left = engagement_mm(bolts.stud_length_mm, line.disc_mm)
        yield (
            "thread for the nut",
            f"{size(left, units)}: studs stand {size(bolts.stud_length_mm, units)} out of the hub's face, "
            f"less the disc's {size(line.disc_mm, units)}; the nut's maker says how much is needed",
        )
    seat = f"{SEATS[bolts.seat]}, to the nuts used" if bolts.seat else "not stated: match the nuts used"
    yield "nut seat", seat
    yield "centred", _centred(line, units)
    bore = size(bolts.bore_least_mm, units)
    most = "" if bolts.bore_most_mm is None else f", no more than {size(bolts.bore_most_mm, units)}"
    yield "bore", bore if line.source == "stock" else f"no less than {bore}{most}"


def _centred(line: OrderLine, units: Units) -> str:
    bolts = line.bolts
    if line.adapter_id:
        by = f"by the adapter's pilot, {size(bolts.pilot_mm, units)}"
    elif bolts.centred_by != "pilot":
        return {"studs": "by the nut seats"}.get(bolts.centred_by or "", "not stated")
    else:
        by = f"by the hub's pilot, {size(bolts.pilot_mm, units)} at its largest"
    loose = None if bolts.pilot_mm is None else bolts.bore_least_mm - bolts.pilot_mm
    if loose is None or loose <= PILOT_AIR:
        return by
    return (
        f"{by}: but the bore is {size(loose, units)} larger than that, so it needs a ring, or the nut seats "
        "centre it: ask the maker"
    )


def _studs(line: OrderLine, units: Units) -> Iterator[Row]:
    """Yield studs and holes: in one row, or a row for each axle where the thread's hand differs."""
    bolts = line.bolts
    stud = bolts.stud or "stud size not measured"
    holes = f"holes {size(bolts.hole_mm, units)}" + (
        " or by the nut maker's data" if line.source == "made" else ""
    )
    if line.adapter_id:
        yield "studs and holes", f"the adapter's own studs, by its maker's data; {holes}"
        return
    hands = [THREADS[on.thread] if on.thread else "thread hand not stated" for on in line.on]
    if len(set(hands)) == 1:
        yield "studs and holes", f"{stud}, {hands[0]}; {holes}"
        return
    for on, hand in zip(line.on, hands, strict=True):
        yield f"studs, {on.axle}", f"{stud}, {hand}"
    yield "holes", holes


def _hub(on: OnAxle, units: Units) -> Iterator[Row]:
    if on.protrusion_diameter_mm is not None:
        yield (
            f"hub, {on.axle}",
            f"{size(on.protrusion_diameter_mm, units)} across, stands {size(on.protrusion_length_mm, units)} "
            "out of its face",
        )


def _brake(on: OnAxle, units: Units) -> Iterator[Row]:
    if on.brake_mm:
        across = size(2.0 * max(r for r, _ in on.brake_mm), units)
        deep = size(-min(y for _, y in on.brake_mm), units)
        yield (
            f"brake, {on.axle}",
            f"as drawn: {across} across at its largest, to {deep} inboard of the hub's face; "
            f"{size(on.brake_clearance_mm, units)} to the barrel",
        )


def _ratings(line: OrderLine, units: Units) -> Iterator[Row]:
    made = line.source == "made"
    yield (
        "load and pressure" if made else "marked rating",
        f"{'build for' if made else 'no less than'} {rating(line.load_kg, 'kg', units)} each, at "
        f"{rating(line.pressure_kpa, 'kPa', units)}; the catalog's rating is "
        f"{rating(line.rated_load_kg, 'kg', units, 'down')}, "
        f"{rating(line.rated_pressure_kpa, 'kPa', units, 'down')}",
    )
    loads = {on.axle: on.load_kg for on in line.on}
    for each in line.moments:
        yield (
            f"cornering, {each.axle}",
            f"{moment(each.printed_nm, units)} as the standard has it; build for "
            f"{moment(each.build_nm, units)}, with |d|; L {rating(loads[each.axle], 'kg', units)}, "
            f"S {number(each.factor)}, "
            f"{each.cycles:,} cycles at least",
        )


def _tire(line: OrderLine, units: Units) -> str:
    tire = line.tire
    name = tire.choice.size + (f" ({tire.choice.id})" if tire.choice.id else "")
    tube = ", with a tube" if tire.tube else ", tubeless"
    return (
        f"{name}{tube}; up to {size(tire.od_largest_mm, units)} high; approved rims "
        f"{number(tire.rim_min_in)} to {number(tire.rim_max_in)} in"
    )
