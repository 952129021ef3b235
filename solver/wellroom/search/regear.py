"""Every ring-and-pinion set on sale for a vehicle, with the tires it has or will have: what each would do."""

from __future__ import annotations

from collections.abc import Mapping

from wellroom.catalog import Catalog
from wellroom.errors import Fault, RequestError
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.gears import Driveline, driveline, rolling_of
from wellroom.search.regear_results import Choice, RegearResult, RegearTires, Set
from wellroom.search.request import named_tires, today_tire
from wellroom.search.results import AXLES, Axle
from wellroom.trade.gearing import (
    MATCH_FULL_TIME_PCT,
    MATCH_PART_TIME_PCT,
    change_pct,
    ratio_to_restore,
    rolling_match_pct,
    rpm,
)
from wellroom.trade.tire import rolling_circumference_mm
from wellroom.units import Kind, ParseError, parse

BAND_PCT = 5.0
"""Half width of the engine-speed band about the speed wished, percent. Common practice, no source."""
_SAME_RATIO = 0.01


def regear(
    scenario: Scenario,
    catalog: Catalog,
    *,
    tire: str | None = None,
    height: str | None = None,
    rpm_wanted: float | None = None,
    band: tuple[float, float] | None = None,
    speedometer_teeth: int | None = None,
) -> RegearResult:
    """Return every choice of sets on sale for the driven axles, with a tire (id or marking), a height, or
    today's tires.

    ``rpm_wanted`` and ``band`` [rpm] at cruise: the scenario's cruise_rpm and 5 % either way unless given.
    ``speedometer_teeth``: of today's driven gear. Raises RequestError where family, ratio or tires are not
    known.
    """
    notes: list[str] = []
    before = {axle: today_tire(getattr(scenario.now, axle), catalog) for axle in AXLES}
    line = driveline(scenario, None, before)
    tires = _tires(scenario, catalog, line, tire, height, notes)
    _need(scenario, line)
    wish = scenario.gearing.cruise_rpm
    wanted = rpm_wanted if rpm_wanted is not None else (None if wish is None else wish.value)
    if band is None and wanted is not None:
        band = (wanted * (1.0 - BAND_PCT / 100.0), wanted * (1.0 + BAND_PCT / 100.0))
    choices = tuple(
        _choice(scenario, line, tires, sets, band, speedometer_teeth) for sets in _sets(catalog, line, tires)
    )
    fit = [k for k, choice in enumerate(choices) if choice.joint_ok]
    feel = [k for k in fit if choices[k].change_pct is not None]
    speed = [k for k in fit if "top" in choices[k].rpm_at_cruise and wanted is not None]
    ref = line.reference
    was, ratio = tires[ref].was_mm, line.ratio[ref]
    return RegearResult(
        status="proven" if fit else "none",
        scenario=scenario.title,
        stance=None,
        checked=("gearing",),
        not_checked=_unknown(scenario, tires[ref]),
        assumptions=(
            results.Assumption(
                "speedometer", "driven by the gearbox", "it reads the driveshaft, right with today's tires"
            ),
        ),
        cautions=("head", "brake", "law"),
        notes=tuple(notes),
        reference=ref,
        today_ratios={str(axle): value for axle, value in line.ratio.items()},
        tires={str(axle): value for axle, value in tires.items()},
        rpm_wanted=wanted,
        rpm_band=band,
        restoring_ratio=None
        if was is None or ratio is None
        else float(ratio_to_restore(ratio, was, tires[ref].rolling_mm)),
        match_limit_pct=_match_limit(scenario),
        choices=choices,
        nearest_feel=min(feel, key=lambda k: (abs(choices[k].change_pct or 0.0), k), default=None),
        nearest_rpm=min(
            speed, key=lambda k: (abs(choices[k].rpm_at_cruise["top"] - (wanted or 0.0)), k), default=None
        ),
    )


def _refuse(place: str, found: str, expected: str, option: str = "regear") -> RequestError:
    return RequestError([Fault(option, 0, place, found, expected)])


def _need(scenario: Scenario, line: Driveline) -> None:
    """Raise RequestError with all that is missing to know a driven axle's sets."""
    driven = _driven(scenario)
    faults = []
    for axle in driven:
        for key, value in (("gear_family", line.family[axle]), ("axle_ratio", line.ratio[axle])):
            if value is None:
                expected = (
                    "the family its ring-and-pinion sets belong to" if key == "gear_family" else "a ratio"
                )
                faults.append(
                    Fault(scenario.file or "scenario", 0, f"axle.{axle}.{key}", "nothing", expected)
                )
    if not driven:
        expected = "a drive: 4x4_part_time, 4x4_full_time, rear or front"
        faults.append(Fault(scenario.file or "scenario", 0, "vehicle.drive", "nothing", expected))
    if faults:
        raise RequestError(faults)


def _driven(scenario: Scenario) -> list[Axle]:
    return [axle for axle in AXLES if getattr(scenario.axle, axle).driven]


def _match_limit(scenario: Scenario) -> float | None:
    drive = scenario.vehicle.drive or ""
    return {"4x4_part_time": MATCH_PART_TIME_PCT, "4x4_full_time": MATCH_FULL_TIME_PCT}.get(drive)


def _tires(
    scenario: Scenario,
    catalog: Catalog,
    line: Driveline,
    tire: str | None,
    height: str | None,
    notes: list[str],
) -> dict[Axle, RegearTires]:
    if tire is not None and height is not None:
        raise _refuse("tire", "a tire and a height", "one of them", "--tire")
    out: dict[Axle, RegearTires] = {}
    chosen = named_tires([tire], catalog, notes).take([0]) if tire is not None else None
    od = _height(height, scenario) if height is not None else None
    for axle in _driven(scenario):
        was, now = line.rolling[axle], today_tire(getattr(scenario.now, axle), catalog)
        if od is not None:
            out[axle] = RegearTires(None, od, float(rolling_circumference_mm(od, True)), was)
            continue
        have = chosen if chosen is not None else now
        if have is None:
            expected = f"today's {axle} tire (now.{axle}.tire), or --tire, or --height"
            raise _refuse(f"now.{axle}.tire", "nothing", expected)
        out[axle] = RegearTires(str(have.size[0]), float(have.od[0]), float(rolling_of(have)[0]), was)
    if od is not None:
        notes.append("a height alone is taken as a radial tire's nominal diameter, rolling 3.05 times it")
    return out


_HEIGHTS = {"in": "16 to 59 in", "mm": "400 to 1500 mm"}
"""The heights of tires that can be, as each reader is told."""


def _height(text: str, scenario: Scenario) -> float:
    try:
        value = parse(text, Kind.LENGTH, scenario.units).value
    except ParseError as error:
        raise _refuse("height", error.found, error.expected, "--height") from error
    if not 400.0 <= value <= 1500.0:
        raise _refuse("height", repr(text), f"a tire's height of {_HEIGHTS[scenario.units]}", "--height")
    return value


def _family(catalog: Catalog, family: str | None, ratio: float | None) -> list[Set]:
    frame = catalog.gearsets
    rows = frame[frame["gear_family"] == family].to_dict("records")
    now = [row["carrier"] for row in rows if ratio is not None and abs(row["ratio"] - ratio) <= _SAME_RATIO]
    return sorted(
        (
            Set(
                row["id"],
                float(row["ratio"]),
                int(row["ring_teeth"]),
                int(row["pinion_teeth"]),
                row["carrier"],
                row["carrier"] != now[0] if now else None,
                float(row["price"]),
                float(row["fitting_price"]),
            )
            for row in rows
        ),
        key=lambda one: (one.ratio, one.id),
    )


def _sets(
    catalog: Catalog, line: Driveline, tires: Mapping[Axle, RegearTires]
) -> list[dict[Axle, Set | None]]:
    """Return for each set of the reference axle the nearest match of the other driven axle's family."""
    ref = line.reference
    others = [axle for axle in tires if axle != ref]
    out: list[dict[Axle, Set | None]] = []
    for one in _family(catalog, line.family[ref], line.ratio[ref]):
        chosen: dict[Axle, Set | None] = {ref: one}
        for axle in others:
            family = _family(catalog, line.family[axle], line.ratio[axle])
            wanted = one.ratio / tires[ref].rolling_mm * tires[axle].rolling_mm
            ordered = sorted(family, key=lambda part: (part.price, part.id))
            away = [abs(part.ratio / wanted - 1.0) for part in ordered]
            chosen[axle] = ordered[away.index(min(away))] if ordered else None
        out.append(chosen)
    return out


def _choice(
    scenario: Scenario,
    line: Driveline,
    tires: Mapping[Axle, RegearTires],
    sets: Mapping[Axle, Set | None],
    band: tuple[float, float] | None,
    teeth: int | None,
) -> Choice:
    ref, limit = line.reference, _match_limit(scenario)
    one = sets[ref]
    assert one is not None
    match, ok = None, all(part is not None for part in sets.values())
    front, rear = sets.get("front"), sets.get("rear")
    if limit is not None and front is not None and rear is not None:
        match = float(
            rolling_match_pct(front.ratio, tires["front"].rolling_mm, rear.ratio, tires["rear"].rolling_mm)
        )
        ok = abs(match) <= limit
    now, was, rolling = line.ratio[ref], tires[ref].was_mm, tires[ref].rolling_mm
    effective = None if was is None else one.ratio * was / rolling
    change = None if effective is None or now is None else float(change_pct(effective, now))
    after, needed = _corrected(change, teeth)
    same = all(
        part is not None and abs(part.ratio - (line.ratio[axle] or 0.0)) <= _SAME_RATIO
        for axle, part in sets.items()
    )
    known = [part for part in sets.values() if part is not None]
    return Choice(
        sets={str(axle): part for axle, part in sets.items()},
        ratio=one.ratio,
        today=same,
        match_pct=match,
        joint_ok=ok,
        price=sum(part.price + part.fitting_price for part in known) if len(known) == len(sets) else None,
        effective_ratio=effective,
        change_pct=change,
        rpm_at_cruise=_speeds(scenario, one.ratio, rolling),
        crawl_ratio=_crawl(scenario, one.ratio),
        speedometer_before_pct=change,
        speedometer_after_pct=after,
        speedometer_teeth=needed,
        heights_mm=_heights(scenario, one.ratio, rolling / tires[ref].od_mm, band),
    )


def _speeds(scenario: Scenario, ratio: float, rolling: float) -> dict[str, float]:
    """Return engine speeds at cruise by gear, those that are known [rpm]."""
    gears, speed = scenario.gearing, scenario.gearing.cruise_speed
    if speed is None:
        return {}
    named = {"top": gears.top_gear, "first": gears.first_gear}
    return {
        name: float(rpm(speed.value, ratio * gear.value, rolling))
        for name, gear in named.items()
        if gear is not None
    }


def _crawl(scenario: Scenario, ratio: float) -> float | None:
    first, low = scenario.gearing.first_gear, scenario.gearing.low_range
    return None if first is None else first.value * (1.0 if low is None else low.value) * ratio


def _corrected(change: float | None, teeth: int | None) -> tuple[float | None, int | None]:
    """Return the speedometer's error after correction [percent], and the driven gear's teeth for it."""
    if change is None:
        return None, None
    if teeth is None:
        return 0.0, None
    turns = 1.0 + change / 100.0
    needed = max(round(teeth * turns), 1)
    return 100.0 * (turns * teeth / needed - 1.0), needed


def _heights(
    scenario: Scenario, ratio: float, rolls: float, band: tuple[float, float] | None
) -> tuple[float, float] | None:
    """Return the nominal diameters [mm] with which the engine stays in a band at cruise in top gear."""
    speed, top = scenario.gearing.cruise_speed, scenario.gearing.top_gear
    if band is None or speed is None or top is None:
        return None
    one = float(rpm(speed.value, ratio * top.value, 1.0)) / rolls
    return one / band[1], one / band[0]


def _unknown(scenario: Scenario, tires: RegearTires) -> tuple[results.NotChecked, ...]:
    gears = scenario.gearing
    needs = {
        "engine speed": ("gearing.cruise_speed", gears.cruise_speed),
        "engine speed in top gear": ("gearing.top_gear", gears.top_gear),
        "crawl ratio": ("gearing.first_gear", gears.first_gear),
        "crawl ratio in low range": ("gearing.low_range", gears.low_range),
        "nearest to a wanted engine speed": ("gearing.cruise_rpm", gears.cruise_rpm),
    }
    out = [results.NotChecked(what, path) for what, (path, value) in needs.items() if value is None]
    if tires.was_mm is None:
        out.append(results.NotChecked("change against today", "now"))
    return tuple(out)
