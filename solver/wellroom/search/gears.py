"""What the tires do to gearing, and the ring-and-pinion sets that could follow them."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wellroom.catalog import Catalog
from wellroom.geometry.items import Floats
from wellroom.scenario.model import Axle, Scenario, Stance
from wellroom.search import results
from wellroom.search.plan_data import GearOptions
from wellroom.search.tires import Tires
from wellroom.search.wishes import RATIO, AxleWish, axle_wishes, miss, points
from wellroom.trade.gearing import (
    MATCH_FULL_TIME_PCT,
    MATCH_PART_TIME_PCT,
    change_pct,
    rpm,
)
from wellroom.trade.tire import rolling_circumference_mm

_U = 1_000_000
SAME_RATIO = 5.0e-4
"""A set within this of the ratio that is fitted is no regear."""


@dataclass(frozen=True)
class Driveline:
    """What is known of the driveline. Ratios and circumferences [mm] are None where not known.

    ``ratio`` and ``rolling`` are today's, which all changes are reckoned from; ``fitted`` is what the axles
    have without another set being bought: today's, or what the scenario changes them to; ``held`` the axles
    that it changes, for which no other set is looked for.
    """

    drive: str | None
    reference: results.Axle
    ratio: dict[results.Axle, float | None]
    rolling: dict[results.Axle, float | None]
    family: dict[results.Axle, str | None]
    wish: AxleWish | None
    fitted: dict[results.Axle, float | None]
    held: frozenset[results.Axle]

    @property
    def match_ppm(self) -> int | None:
        """Greatest difference of the joint rule in millionths, None where the axles are not joined."""
        pct = {"4x4_part_time": MATCH_PART_TIME_PCT, "4x4_full_time": MATCH_FULL_TIME_PCT}.get(
            self.drive or ""
        )
        return None if pct is None else round(pct * 10_000)


def rolling_of(tires: Tires) -> Floats:
    """Return rolling circumferences (n,) of nominal tires [mm]."""
    out = np.where(
        tires.radial, rolling_circumference_mm(tires.od, True), rolling_circumference_mm(tires.od, False)
    )
    return np.asarray(out)


def driveline(
    scenario: Scenario, stance: Stance | None, today: Mapping[results.Axle, Tires | None]
) -> Driveline:
    """Return the driveline; the axle whose wheels set the speed is the rear where it is driven, else the
    front.
    """
    reference: results.Axle = (
        "rear" if scenario.axle.rear.driven or not scenario.axle.front.driven else "front"
    )
    axles: dict[results.Axle, Axle] = {"front": scenario.axle.front, "rear": scenario.axle.rear}
    wishes = [w for w in axle_wishes(stance, reference) if w.name == RATIO]
    ratio = {name: axle.axle_ratio.value if axle.axle_ratio else None for name, axle in axles.items()}
    change = scenario.change.axle_ratio
    asked = {name: change.at(name) if change else None for name in axles}
    fitted = {name: asked[name] or ratio[name] for name in axles}
    return Driveline(
        scenario.vehicle.drive,
        reference,
        ratio,
        {name: None if tire is None else float(rolling_of(tire)[0]) for name, tire in today.items()},
        {name: axle.gear_family if axle.driven else None for name, axle in axles.items()},
        wishes[0] if wishes else None,
        fitted,
        frozenset(name for name in axles if asked[name]),
    )


def options(
    line: Driveline, catalog: Catalog, rolling_um: np.ndarray[tuple[int], np.dtype[np.int64]]
) -> GearOptions:
    """Return every choice of gears: today's, and a set for each driven axle from its own family; of an axle
    whose ratio the scenario changes that ratio alone.

    ``rolling_um`` ascending distinct circumferences of the reference axle's rows. Where a ratio is not known
    only today's gears are a choice, and the joint rule takes both axles to have the same.
    """
    choices: list[list[tuple[str | None, float, float]]] = []
    for name in results.AXLES:
        mine: list[tuple[str | None, float, float]] = [(None, line.fitted[name] or 1.0, 0.0)]
        if line.family[name] and line.fitted[name] and name not in line.held:
            sets = catalog.gearsets[catalog.gearsets["gear_family"] == line.family[name]]
            for row in sets.to_dict("records"):
                if abs(row["ratio"] / (line.fitted[name] or 1.0) - 1.0) < SAME_RATIO:
                    continue
                mine.append((row["id"], row["ratio"], row["price"] + row["fitting_price"]))
        choices.append(mine)
    if None in (line.fitted["front"], line.fitted["rear"]) and line.match_ppm is not None:
        choices = [[(None, 1.0, 0.0)], [(None, 1.0, 0.0)]]
    pairs = list(itertools.product(*choices))
    if line.match_ppm is not None:
        pairs = [(f, r) for f, r in pairs if abs(f[1] / r[1] - 1.0) <= 0.25]
    score, allowed = _wish_table(line, pairs, rolling_um)
    return GearOptions(
        [f[0] for f, _ in pairs],
        [r[0] for _, r in pairs],
        np.array([round(f[1] * _U) for f, _ in pairs], dtype=np.int64),
        np.array([round(r[1] * _U) for _, r in pairs], dtype=np.int64),
        np.array([round((f[2] + r[2]) * 100.0) for f, r in pairs], dtype=np.int64),
        line.reference,
        rolling_um,
        score,
        allowed,
    )


def _wish_table(
    line: Driveline,
    pairs: list[tuple[tuple[str | None, float, float], ...]],
    rolling_um: np.ndarray[tuple[int], np.dtype[np.int64]],
) -> tuple[np.ndarray[tuple[int, int], np.dtype[np.int64]], np.ndarray[tuple[int, int], np.dtype[np.bool_]]]:
    shape = (len(pairs), len(rolling_um))
    now_ratio, now_rolling = line.ratio[line.reference], line.rolling[line.reference]
    if line.wish is None or now_ratio is None or now_rolling is None:
        return np.zeros(shape, dtype=np.int64), np.ones(shape, dtype=bool)
    ratio = np.array([pair[results.AXLES.index(line.reference)][1] for pair in pairs])[:, None]
    change = np.asarray(change_pct(ratio * now_rolling / (rolling_um[None, :] / 1000.0), now_ratio))
    missed = miss(line.wish, change)
    score = points(line.wish, missed).astype(np.int64)
    if not line.wish.must:
        return score, np.ones(shape, dtype=bool)
    return np.zeros(shape, dtype=np.int64), missed <= 1e-6


def gearing(
    scenario: Scenario,
    line: Driveline,
    sets: Mapping[results.Axle, str | None],
    ratios: Mapping[results.Axle, float | None],
    rolling: Mapping[results.Axle, float],
) -> results.Gearing:
    """Return what a plan's tires and gears do: ratios, engine speed at cruise, the speedometer's error.

    The speedometer is taken to be driven by the gearbox's output, so it reads the driveshaft: its error is
    the change of the effective ratio (negative reads low).
    """
    ref = line.reference
    ratio, now_ratio, now_rolling = ratios[ref], line.ratio[ref], line.rolling[ref]
    effective = change = None
    if ratio is not None and now_rolling is not None:
        effective = ratio * now_rolling / rolling[ref]
        if now_ratio is not None:
            change = float(change_pct(effective, now_ratio))
    gears, cruise = scenario.gearing, None
    if ratio is not None and gears.cruise_speed and gears.top_gear:
        cruise = float(rpm(gears.cruise_speed.value, ratio * gears.top_gear.value, rolling[ref]))
    return results.Gearing(
        gearsets={str(axle): gearset for axle, gearset in sets.items()},
        axle_ratios={str(axle): value for axle, value in ratios.items()},
        effective_ratio=effective,
        change_pct=change,
        rpm_at_cruise=cruise,
        speedometer_error_pct=change,
    )
