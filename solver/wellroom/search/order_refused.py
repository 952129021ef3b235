"""When an order is refused, and what may be accepted by name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wellroom.errors import Fault, RequestError
from wellroom.scenario.model import Axle
from wellroom.search import results
from wellroom.search.case import Case
from wellroom.search.order_data import Accepted
from wellroom.search.requirements import NO_NUMBER
from wellroom.units import MM_PER_IN, Kind, Units, ceil_to, inches_text, shown, unit_name

MUST_BE_CHECKED = ("mounting", "brake", "bump", "load")
_UNCHECKED = "not checked"
_MAY_BE_OPEN = ("speed", "bore_metal", "hub_protrusion", "disc")
"""What may be unjudged, and the sheet says so; the last two are where nothing stands out of the hub."""


def accepted(
    case: Case, plan: results.Plan, unchecked: Sequence[results.NotChecked], names: Sequence[str]
) -> tuple[Accepted, ...]:
    """Return what is accepted of a combination by name.

    Raises RequestError with all that refuses the order: a missed or unjudged rating or clearance, what must
    be checked and is not, what is neither met nor accepted, names that there is nothing to accept under.
    """
    file = case.scenario.file or "scenario"
    faults = [
        Fault(file, 0, what, found, expected) for what, found, expected in _never(case, plan, unchecked)
    ]
    open_ = dict(_by_name(case, plan, unchecked))
    faults += [
        Fault(
            file,
            0,
            what,
            says,
            f"it {'measured' if says.startswith(_UNCHECKED) else 'met'}, or --accept {what}",
        )
        for what, says in open_.items()
        if what not in names
    ]
    known = ", ".join(open_) or "no --accept: nothing here needs it"
    faults += [
        Fault("--accept", 0, "accept", repr(name), known)
        for name in dict.fromkeys(names)
        if name not in open_
    ]
    if faults:
        raise RequestError(faults)
    return tuple(Accepted(what, says) for what, says in open_.items())


def _checks(plan: results.Plan) -> Iterator[results.Check]:
    for fit in plan.axles.values():
        yield from fit.checks
    yield from plan.checks


def _axle(case: Case, what: str) -> tuple[Axle | None, str]:
    """Return the axle and the part that a name such as front.tilt speaks of."""
    name, _, part = what.partition(".")
    found = next((case.asked[axle].swept.room.axle for axle in results.AXLES if axle == name), None)
    return found, part


def _never(
    case: Case, plan: results.Plan, unchecked: Sequence[results.NotChecked]
) -> Iterator[tuple[str, str, str]]:
    """Yield what refuses an order and is never accepted: its name, what was found, what is expected."""
    for check in _checks(plan):
        if check.kind not in ("rating", "clearance"):
            continue
        if check.ok is False:
            yield check.id, f"missed: {check.wording}", f"a {check.kind} met; it is never accepted"
        elif check.ok is None and check.id.split(".")[1] not in _MAY_BE_OPEN:
            yield check.id, f"not judged: {check.wording}", "it known; an order needs it"
    for entry in unchecked:
        axle, what = _axle(case, entry.what)
        if axle is not None and (what in MUST_BE_CHECKED or (what == "lock" and axle.steered)):
            yield entry.what, f"{_UNCHECKED} ({entry.missing})", "it measured; an order needs it"


def _by_name(
    case: Case, plan: results.Plan, unchecked: Sequence[results.NotChecked]
) -> Iterator[tuple[str, str]]:
    """Yield what the builder may accept: its name, and what it is."""
    for entry in unchecked:
        axle, what = _axle(case, entry.what)
        if axle is not None and what == "tilt" and axle.type == "solid":
            yield entry.what, f"{_UNCHECKED} ({entry.missing})"
    for check in _checks(plan):
        if check.kind in ("limit", "wish") and check.ok is False:
            yield check.id, _missed(check, case.scenario.units)


def _missed(check: results.Check, units: Units) -> str:
    by = ""
    if check.margin is not None and check.unit not in NO_NUMBER:
        by = f" by {_said(-check.margin, check.unit, units)}"
    return f"{check.kind} missed{by}: {check.wording}"


def _said(miss: float, unit: str, units: Units) -> str:
    """Return a miss, rounded up, in the scenario's units, a length with the other's beside it.

    >>> _said(12.92, "mm", "in"), _said(12.92, "mm", "mm"), _said(10.0, "kg", "in"), _said(2.0, "%", "in")
    ('9/16 in (12.92 mm)', '12.92 mm (9/16 in)', '22.05 lb', '2 %')
    """
    if unit == "mm":
        said = f"{inches_text(ceil_to(miss, MM_PER_IN / 16.0))} in", f"{results.ceil_miss(miss):g} mm"
        return f"{said[0]} ({said[1]})" if units == "in" else f"{said[1]} ({said[0]})"
    kind = {"kg": Kind.MASS, "kPa": Kind.PRESSURE, "km/h": Kind.SPEED}.get(unit)
    if kind is not None:
        miss, unit = shown(miss, kind, units), unit_name(kind, units)
    return f"{results.ceil_miss(miss):.12g} {'' if unit == 'money' else unit}".rstrip()


def not_judged(plan: results.Plan) -> tuple[str, ...]:
    """Return in words the ratings and limits of a combination that could not be judged."""
    return tuple(
        f"{check.id}: {check.wording}"
        for check in _checks(plan)
        if check.ok is None and check.id.split(".")[1] in ("speed", "bore_metal")
    )
