"""What is asked for by name: tires and rims from the command line, and today's wheels from the scenario."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError
from wellroom.scenario import marks
from wellroom.scenario.base import Misread
from wellroom.scenario.compare import amount
from wellroom.scenario.model import Scenario, Today
from wellroom.scenario.notices import load_doubts, tire_load_kg
from wellroom.scenario.tables import spec_at
from wellroom.scenario.words import place_text, quoted
from wellroom.search.candidates import Asked
from wellroom.search.hub import CIRCLE_TOLERANCE
from wellroom.search.judge import Judged, judge
from wellroom.search.rims import Rims, made_rims, own_rim, rims_from, stocked_rims
from wellroom.search.tires import Tires, catalog_tires, concatenated, marked_tire
from wellroom.trade.marking import MarkingError, UnknownSize, parse_marking, parse_rim
from wellroom.trade.rim import RimError
from wellroom.trade.tire import section_on_rim
from wellroom.units import MM_PER_IN, Kind, Measure

_SAME = 0.05
"""Two lengths closer than this are one [mm]: as they may be typed."""
_AS_MADE = 6.35
"""How far [mm] a stocked wheel as measured may be off its catalog's backspace and still be that wheel:
1/4 in, common practice, no source.
"""


def _refuse(option: str, found: str, expected: str) -> RequestError:
    return RequestError([Fault(option, 0, option.lstrip("-"), found, expected)])


def named_tires(names: Sequence[str], catalog: Catalog, notes: list[str]) -> Tires:
    """Return the tires called by catalog id or marking; a marking that is in no catalog takes the standard's
    size.
    """
    table = catalog_tires(catalog)
    return concatenated([_named(name, table, notes) for name in dict.fromkeys(names)])


def _named(name: str, table: Tires, notes: list[str]) -> Tires:
    rows = table.id == name
    if not rows.any():
        rows = _same_size(name, table)
    if rows.any():
        return table.take(rows)
    try:
        tire = marked_tire(name)
    except (MarkingError, UnknownSize, RimError) as error:
        expected = "a tire's id in the catalog, or a marking such as LT285/70R17 or 37x12.50R17LT"
        raise _refuse("--tire", quoted(name), f"{expected}{_why(error)}") from error
    notes.append(
        f"{name} is in no catalog: it is taken at the standard's size, "
        f"with what its marking does not say left unjudged"
    )
    return tire


def _why(error: Exception) -> str:
    return "" if isinstance(error, MarkingError) else f"; {error}"


def _same_size(name: str, table: Tires) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    try:
        size = parse_marking(name).size
    except MarkingError:
        return np.zeros(len(table), dtype=bool)
    known = {text: _size(text) for text in set(table.size)}
    return np.array([known[text] == size for text in table.size], dtype=bool)


def _size(text: str) -> str:
    return parse_marking(text).size


def named_rims(names: Sequence[str], everything: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the wheels whose size (20x11) or id is named."""
    out: list[dict[str, Any]] = []
    for name in dict.fromkeys(names):
        by_id = [row for row in everything if row["id"] == name]
        if by_id:
            out.extend(by_id)
            continue
        code, width = _rim_size(name, "--rim")
        out.extend(row for row in everything if row["code"] == code and abs(row["width"] - width) < 1e-6)
    return out


def _rim_size(text: str, option: str) -> tuple[float, float]:
    """Return the diameter and width [in] of a rim size; a flange's letter may stand beside it, as 16x7J."""
    try:
        rim = parse_rim(text)
        plain = f"{rim.code:g}x{rim.width_in:g}"
    except MarkingError:
        plain = text  # read as a scenario's rim: that names the likely slip
    try:
        size = marks.rim("a rim size, diameter first, such as 20x11 or 16x7J").read(plain, None)
    except Misread as error:
        raise _refuse(option, quoted(text), error.troubles[0].expected) from error
    return size.diameter_in, size.width_in


def today_tire(today: Today | None, catalog: Catalog) -> Tires | None:
    """Return the tire an axle runs on today, None where it is not known."""
    if today is None or today.tire is None:
        return None
    diameter = today.tire_diameter.value if today.tire_diameter else None
    section = today.tire_section.value if today.tire_section else None
    load = today.tire_load.value if today.tire_load else None
    measured_on = None if section is None else today.rim
    try:
        return _as_measured(
            marked_tire(today.tire, diameter=diameter, section=section, load=load), measured_on
        )
    except UnknownSize:
        table = catalog_tires(catalog)
        rows = np.flatnonzero(_same_size(today.tire, table))
        if not len(rows):
            return None
        known = table.take(rows[:1])
        tire = marked_tire(
            today.tire,
            diameter=diameter or float(known.od[0]),
            section=section or float(known.section[0]),
            load=load,
        )
        return _as_measured(tire, measured_on)


def _as_measured(tire: Tires, rim: marks.Rim | None) -> Tires:
    """Return a tire whose section was measured on a rim, where it was, as on its measuring rim."""
    if rim is None:
        return tire
    off = tire.section - np.asarray(section_on_rim(tire.section, tire.measuring, np.array([rim.width_in])))
    return replace(tire, section=tire.section + off, section_max=tire.section_max + off)


def load_warnings(scenario: Scenario, catalog: Catalog) -> list[str]:
    """Doubt an axle's load beside the catalogs' tires of today's size, where today's say not what they carry.

    A slip of units that the scenario alone can't show; it never rates a tire.
    """
    table, out = catalog_tires(catalog), []
    for axle, today in (("front", scenario.now.front), ("rear", scenario.now.rear)):
        if today is None or today.tire is None or tire_load_kg(today) is not None:
            continue
        loads = table.load[_same_size(today.tire, table)]
        if len(loads):
            source = f"as the catalogs' {today.tire} do"
            each = float(loads.min()), float(loads.max())
            found = load_doubts(scenario, axle, each, source)
            out += [f"{place_text(place)}: {says}" for place, says in found]
    return out


def own_wheel(today: Today | None) -> dict[str, Any] | None:
    """Return the wheel an axle runs on today, None where its size or place is not known."""
    if today is None or today.rim is None or today.flange_in is None or today.flange_out is None:
        return None
    width = today.rim.width_in * MM_PER_IN
    if today.backspace is not None:
        backspace = today.backspace.value
    elif today.inset is not None:
        backspace = today.inset.value + width / 2.0 + today.flange_in.value
    else:
        return None
    return own_rim(
        today.rim.diameter_in, today.rim.width_in, backspace, today.flange_in.value, today.flange_out.value
    )


@dataclass(frozen=True)
class Wanted:
    """One combination as it was asked for, each part as text or not at all."""

    tire: str | None = None
    rim: str | None = None
    backspace: str | None = None
    inset: str | None = None


@dataclass(frozen=True)
class Pick:
    """The tire and the wheel chosen for an axle, its backspace [mm], and the verdict."""

    tire: Tires
    rim: Rims
    backspace: float
    verdict: Judged


def wanted(
    ask: Wanted, asked: Asked, today: Tires | None, now: Today | None, catalog: Catalog, notes: list[str]
) -> Pick | None:
    """Judge what is asked for on one axle; a part not asked for is today's. None: a part is not known at
    all.
    """
    tire = today
    if ask.tire is not None:
        tire = _named(ask.tire, catalog_tires(catalog), notes).take([0])
    wheels = _wheels(ask, asked, now, catalog, notes)
    if tire is None or not wheels:
        return None
    verdicts = []
    for row in wheels:
        rim = rims_from([row])
        backspace = _backspace(ask, row, asked)
        verdicts.append(Pick(tire, rim, backspace, judge(asked, tire, rim, backspace, 2)))
    return min(verdicts, key=lambda p: (_misses(p.verdict), float(p.rim.price[0]), str(p.rim.id[0])))


def _misses(verdict: Judged) -> int:
    return sum(check.ok is False and check.kind != "wish" for check in verdict.fit.checks)


def _wheels(
    ask: Wanted, asked: Asked, now: Today | None, catalog: Catalog, notes: list[str]
) -> list[dict[str, Any]]:
    if ask.rim is None:
        wheel = own_wheel(now)
        return [] if wheel is None else [wheel]
    stocked = stocked_rims(catalog, asked.hub.studs, asked.hub.circle, CIRCLE_TOLERANCE)
    name, _, plate = ask.rim.partition("+")
    by_id = [row for row in stocked if row["id"] == name and row["adapter"] == plate]
    if by_id:
        return by_id
    size, _, blank = ask.rim.partition("@")
    code, width = _rim_size(size, "--rim")
    if ask.backspace is None and ask.inset is None:
        raise _refuse("--backspace", "nothing", f"the backspace (or --inset) of the {size}")
    made = [
        row
        for row in made_rims(catalog, frozenset({code}))
        if abs(row["width"] - width) < 1e-6 and blank in ("", row["id"])
    ]
    if not made:
        notes.append(f"no blank makes a {size}: its barrel, ratings and hub are not known and not judged")
        half = 0.5 * MM_PER_IN
        made = [own_rim(code, width, 0.0, half, half)]
    return made


def _backspace(ask: Wanted, row: dict[str, Any], asked: Asked) -> float:
    """Return the backspace [mm] at which a wheel is judged: as asked for, within its rim, else its own."""
    own = float(row["backspace_low"])
    option, text = ("--backspace", ask.backspace) if ask.inset is None else ("--inset", ask.inset)
    if text is None:
        return own
    units = asked.scenario.units
    over = row["width"] * MM_PER_IN + row["flange_in"] + row["flange_out"]
    value = _measure(option, text, asked)
    most = over if option == "--backspace" else over / 2.0
    if abs(value) > most + _SAME:
        part = "" if option == "--backspace" else "half "
        rim = f"{row['code']:g}x{row['width']:g}"
        expected = f"at most {part}the overall width of the {rim}, {amount(most, Kind.LENGTH, units)}"
        raise _refuse(option, quoted(text), expected)
    backspace = (
        value if option == "--backspace" else value + row["width"] * MM_PER_IN / 2.0 + row["flange_in"]
    )
    if row["source"] == "stock" and abs(backspace - own) > _AS_MADE:
        near = amount(_AS_MADE, Kind.LENGTH, units)
        expected = f"within {near} of the backspace of {row['id']}, {amount(own, Kind.LENGTH, units)}"
        raise _refuse(option, quoted(text), expected)
    return backspace


def _measure(option: str, text: str, asked: Asked) -> float:
    """Return a length of the command line [mm], read as the scenario's own would be."""
    spec = spec_at(("now", asked.name, option.lstrip("-")))
    assert spec is not None
    try:
        measure: Measure = spec.read(text, asked.scenario.units)
    except Misread as error:
        raise _refuse(option, error.troubles[0].found, error.troubles[0].expected) from error
    if measure.is_range or measure.pm is not None:
        raise _refuse(option, quoted(text), "one length, without a ± or a range")
    return measure.value
