"""Samples near the ends of the program's windows, judged once more by brute force."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import shapely

from outside import brute
from wellroom.search.candidates import Asked, Parts, closings_of, thing_interval
from wellroom.search.clear import brake_bound
from wellroom.search.rims import Rims, made_rims, rims_from
from wellroom.search.tires import Tires
from wellroom.trade.rim import seat_diameter_mm
from wellroom.trade.tire import nominal_diameter_mm

ROUNDING = 0.02  # what windows are rounded inward by, and lengths in the search's own arithmetic [mm]
FAR, FAR_OFF = 1.0e6, 40.0
CLOSE = 6.0  # a coarse search's distance this much above what is asked [mm] is looked into


@dataclass(frozen=True)
class Wheel:
    """One sample: tire and rim as plain values, a backspace [mm], and the program's verdict of each thing."""

    tire: Any
    rim: Any
    backspace: float
    open: dict[str, bool]

    @property
    def passes(self) -> bool:
        return all(self.open.values())


@dataclass
class Mismatch:
    """A verdict that brute force contradicts: by how much [mm]."""

    axle: str
    thing: str
    wheel: Wheel
    passed: bool
    distance: float
    asked: float
    bound: float

    def __str__(self) -> str:
        verdict = "passed" if self.passed else "failed"
        size = f"{self.wheel.tire.id} on {self.wheel.rim.code:g}x{self.wheel.rim.width:g}@{self.wheel.rim.id}"
        return (
            f"{self.thing}: {size}, backspace {self.wheel.backspace:.3f}: {verdict}, yet brute force finds "
            f"{self.distance:.4f} where {self.asked:.4f} is asked, bound {self.bound:.2f}"
        )


def row(table: Tires | Rims, k: int) -> Any:
    """Return one row as plain values."""
    return SimpleNamespace(**{f.name: getattr(table, f.name)[k] for f in fields(table)})


def printed_bound(asked: Asked) -> float:
    """Return the bound [mm] that an answer on this axle alone would print."""
    return math.ceil(max(asked.swept.bound, brake_bound()) * 100.0) / 100.0


def wheels(asked: Asked, tires: Tires, catalog: Any, count: int, seed: int) -> list[Wheel]:
    """Return samples within two backspace steps of window ends, if it can be half of them passing."""
    drawn = list(_drawn(asked, tires, catalog, 4 * count, seed))
    passing = [wheel for wheel in drawn if wheel.passes][: count // 2]
    failing = [wheel for wheel in drawn if not wheel.passes][: count - len(passing)]
    return passing + failing


def _drawn(asked: Asked, tires: Tires, catalog: Any, count: int, seed: int) -> Iterator[Wheel]:
    rng = np.random.default_rng(seed)
    rims = rims_from(made_rims(catalog))
    step = asked.scenario.limits.backspace_step.value
    tire, rim = _pairs(tires, rims, 2 * count, rng)
    on_tires, on_rims = tires.take(tire), rims.take(rim)
    parts, mud = Parts(asked, on_tires, on_rims), np.asarray(on_tires.kind == "mud", dtype=bool)
    spans = {
        thing.id: thing_interval(thing, parts.of(thing), on_rims.to_centre, mud)
        for thing, _ in closings_of(asked, on_rims)
    }
    for k in range(len(tire)):
        fouled = {id_: (float(low[k]), float(high[k])) for id_, (low, high) in spans.items()}
        places = _ends(list(fouled.values()))
        if k % 8 == 7 or not places:
            real = [span for span in fouled.values() if span[0] < span[1]]
            places = [end for span in real for end in span if math.isfinite(end)]
        if not places:
            continue
        near = min(2.0 * step, 2.5 * printed_bound(asked) + 1.0) if k % 2 else 2.0 * step
        backspace = places[rng.integers(len(places))] + rng.uniform(-near, near)
        verdicts = {id_: not low < backspace < high for id_, (low, high) in fouled.items()}
        yield Wheel(row(on_tires, k), row(on_rims, k), backspace, verdicts)


def _pairs(tires: Tires, rims: Rims, count: int, rng: np.random.Generator) -> tuple[Any, Any]:
    """Return rows of tires and rims that go together, at random."""
    tire, rim = rng.integers(0, len(tires), 400 * count), rng.integers(0, len(rims), 400 * count)
    width = rims.width[rim]
    fit = (tires.code[tire] == rims.code[rim]) & (tires.rim_min[tire] <= width)
    fit &= width <= tires.rim_max[tire]
    return tire[fit][:count], rim[fit][:count]


def _ends(fouled: list[tuple[float, float]]) -> list[float]:
    """Return the ends of what all leave open, but for the far ends that nothing closes."""
    low, out, spans = -math.inf, [], sorted(span for span in fouled if span[0] < span[1])
    for first, last in spans:
        if first > low:
            out += [end for end in (low, first) if math.isfinite(end)]
        low = max(low, last)
    return [*out, low] if math.isfinite(low) else out


class Judge:
    """Brute force on one axle of a scenario: everything is searched once, then close cases again."""

    def __init__(self, asked: Asked, start: int = 40_000, rounds: int = 40) -> None:
        self.asked, self.name = asked, asked.name
        axle = asked.swept.room.axle
        self.poses = {side: brute.poses_of(axle, side) for side in ("left", "right")}
        self.brake = brute.brake_body(axle)
        self.rng = np.random.default_rng(5)
        self.start, self.rounds = start, rounds
        self.by_id: dict[str, brute.Thing] = {}
        self.side_of: dict[str, str] = {}
        for thing in asked.swept.things:
            side = asked.swept.room.ends[thing.end].side
            side = "left" if side == "both" else side
            own = brute.things_of(axle, self.name, side)
            self.by_id[thing.id] = next(one for one in own if one.id == thing.items[0].id)
            self.side_of[thing.id] = side
        self._fronts: dict[Any, list[brute.Front]] = {}

    def fronts(self, part: brute.Part, blocks: str, side: str) -> list[brute.Front]:
        """Return the fronts of a part, searched once for all ends that have it and their motion alike."""
        moves = "" if self.poses["left"].sway is None else side
        key = (part.charts.tobytes(), part.polar, part.follows, part.turns, part.straight, blocks, moves)
        if key not in self._fronts:
            towards = {"inboard": (1,), "outboard": (-1,), "nothing": (1, -1)}[blocks]
            search = brute.Search(part, self.poses[side])
            self._fronts[key] = [search.front(way, self.rng, self.start, self.rounds) for way in towards]
        return self._fronts[key]

    def mismatches(
        self, wheels: list[Wheel], bound: float, effort: int = 60, close: float = CLOSE
    ) -> list[Mismatch]:
        """Return every verdict that brute force contradicts, after searching harder where it must."""
        plain, bulged = (
            [
                brute.section(
                    w.tire,
                    w.rim,
                    seat_diameter_mm(w.rim.code) / 2.0,
                    nominal_diameter_mm(w.tire.code) / 2.0,
                    bulge,
                )
                for w in wheels
            ]
            for bulge in (False, True)
        )
        shifts = [w.rim.flange_in + w.rim.width * brute.IN / 2.0 - w.backspace for w in wheels]
        out = []
        if self.brake is not None:
            out += self._brake(wheels, plain, shifts, bound)
        for id_, thing in self.by_id.items():
            sides = bulged if thing.low else plain
            outlines = np.array(
                [brute.body(side, shift, thing.blocks) for side, shift in zip(sides, shifts, strict=True)]
            )
            out += self._thing(id_, thing, wheels, outlines, bound, effort, close)
        return out

    def least(self, wheel: Wheel) -> dict[str, float]:
        """Return the least line to each thing found, less what is asked [mm], as far as it was looked for."""
        out = {}
        wants = replace(wheel, open=dict.fromkeys(wheel.open, False))
        for one in self.mismatches([wants], -FAR, close=FAR_OFF):
            out[one.thing] = one.distance - one.asked
        return out

    def _brake(self, wheels: list[Wheel], sides: Any, shifts: Any, bound: float) -> list[Mismatch]:
        asked, id_ = 0.25 * brute.IN, f"{self.name}.brake"
        out = []
        for wheel, side, shift in zip(wheels, sides, shifts, strict=True):
            distance = float(shapely.distance(self.brake, brute.body(side, shift, "nothing")))
            if _wrong(wheel.open[id_], distance, asked, bound):
                out.append(Mismatch(self.name, id_, wheel, wheel.open[id_], distance, asked, bound))
        return out

    def _thing(
        self,
        id_: str,
        thing: brute.Thing,
        wheels: list[Wheel],
        outlines: Any,
        bound: float,
        effort: int,
        close: float,
    ) -> list[Mismatch]:
        """Judge one thing: least distance over its parts less each part's own ask, against the verdict."""
        n = len(wheels)
        excess = np.full(n, np.inf)  # the least of (distance - asked) over the parts
        opens = np.array([wheel.open[id_] for wheel in wheels])
        mud = np.array([wheel.tire.kind == "mud" for wheel in wheels])
        starts: list[tuple[brute.Front, Any, Any, Any]] = []
        for part in thing.parts:
            asked = np.where(mud, part.asks[1], part.asks[0]) + part.thickness
            for front in self.fronts(part, thing.blocks, self.side_of[id_]):
                sample, rows = [], []
                for k in range(n):
                    far = asked[k] + max(bound, 0.0) + close
                    least, near = brute.near_front(front, outlines[k], far)
                    excess[k] = min(excess[k], least - asked[k])
                    if least < far:
                        sample += [k] * len(near)
                        rows += list(near)
                starts.append((front, np.array(sample, dtype=int), np.array(rows, dtype=int), asked))
        for more in (effort, 6 * effort):
            for front, sample, rows, asked in starts:
                todo = ~self._settled(opens, excess, bound)[sample]
                if not todo.any():
                    continue
                k, at = sample[todo], rows[todo]

                def settled(distance: Any, k: Any = k, asked: Any = asked) -> Any:
                    np.minimum.at(excess, k, distance - asked[k])
                    return self._settled(opens, excess, bound)[k]

                brute.polish(
                    front.search, front.chart[at], front.q[at].copy(), outlines[k], self.rng, more, settled
                )
        return [
            Mismatch(self.name, id_, wheels[k], bool(opens[k]), float(excess[k]), 0.0, bound)
            for k in np.flatnonzero(
                [_wrong(bool(o), e, 0.0, bound) for o, e in zip(opens, excess, strict=True)]
            )
        ]

    @staticmethod
    def _settled(opens: Any, excess: Any, bound: float) -> Any:
        """A pass is settled once contradicted, or far from it; a failure once it is proven."""
        return np.where(opens, (excess < -ROUNDING) | (excess > CLOSE), excess <= bound)


def _wrong(passed: bool, distance: float, asked: float, bound: float) -> bool:
    return distance < asked - ROUNDING if passed else distance > asked + bound + ROUNDING
