"""Random wheels past random things, judged by meshes: ``.venv/bin/python tests/soak/mesh.py --cases 100000``.

A scene is a random motion with a few things, past the wheels of a rack; each thing with each wheel is a case,
or two, at a shift that is mostly within a millimetre of where its window ends. The program claims a least
line and whether the shift is open; the meshes (tests/outside/mesh.py) look for a pose that says otherwise.
Exit code 0 only where no claim is optimistic or understated. A case depends on ``--seed`` and its scene
alone: a run can go on where another ended (``--from``, or by itself with ``--keep FILE``), with any number
of ``--workers``. ``--cases 1 --from SCENE`` repeats one scene.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field, replace
from functools import lru_cache
from itertools import pairwise, repeat
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from outside.mesh import FOLLOW, POSES, Pair, Search, Thing, Vehicle, Wheel
from soak.scenery import motion_of, random_limits, random_wheels, shape
from wellroom.geometry import items as program
from wellroom.geometry.contacts import touch
from wellroom.geometry.envelope import REACH_HIGH, REACH_LOW, Cells, sweep
from wellroom.geometry.items import Blocks, Item
from wellroom.geometry.samples import Ints
from wellroom.geometry.section import Sections
from wellroom.geometry.windows import fouled_to, item_closing

THINGS, WHEELS = 4, 14
SCENES = 8
"""Scenes that share one rack of wheels, and with it their meshes."""
BOUND = 0.25
"""How much less [mm] than the true line a claim may be where the motion's own measures are known."""
NEAR = 1.0
BLOCKS = {"inboard": Blocks.INBOARD, "outboard": Blocks.OUTBOARD, "nothing": Blocks.NOTHING}


# --- random things ------------------------------------------------------------


@dataclass(frozen=True)
class Near:
    """One thing: its parts as the judge knows them, and its items as the program takes them."""

    kind: str
    parts: tuple[Thing, ...]
    items: tuple[Item, ...]
    mark: str

    @property
    def asked(self) -> float:
        """The clearance [mm] of the tread class that is judged: the last."""
        return self.items[0].clearances[-1]


def random_thing(rng: np.random.Generator, vehicle: Vehicle) -> Near:
    """Return a random thing; what is measured again at a pose is fixed to the wheel, beside itself."""
    kinds = ["box", "box inside", "fender box", "bar", "bar inside", "lip", "lip", "point", "point inside"]
    kind = str(rng.choice(kinds))
    inside = kind.endswith("inside")
    charts, polar, thickness, surfaces = shape(kind, rng)
    blocks = {"lip": "outboard", "fender box": "outboard"}.get(kind, "nothing" if inside else "inboard")
    if not inside and rng.random() < 0.05:
        blocks = "nothing"
    knuckle = bool(rng.random() < (0.4 if inside else 0.05))
    follows = float(rng.choice([0.0, 0.0, 0.0, 1.0, rng.uniform(0.1, 0.9)]))
    follows = 0.0 if kind == "lip" else follows
    follows = 1.0 if knuckle or (inside and rng.random() < 0.5) else follows
    shares = follows, follows
    if not knuckle and kind != "lip" and rng.random() < 0.15:
        shares = (0.0, 1.0) if rng.random() < 0.5 else tuple(sorted(rng.uniform(0, 1, 2).tolist()))
    straight = bool(rng.random() < 0.07)
    least = float(rng.uniform(2, 26))
    asks = (least,) if rng.random() < 0.8 else (least, 2.0 * least)
    thing = Thing(charts, polar, thickness, shares, knuckle, blocks, straight)
    more = shares[1] - shares[0]
    item = Item(kind, surfaces, shares[0], not knuckle, BLOCKS[blocks], asks, straight, more_share=more)
    mark = "knuckle" if knuckle else {0.0: "body", 1.0: "axle", None: "range"}.get(thing.share, "between")
    if kind == "lip" and rng.random() < 0.3:
        lift = rng.uniform([-25, -12, 0], [25, 12, 80])
        surfaces = tuple(program.moved(surface, lift) for surface in surfaces)
        return Near(kind, (replace(thing, raised=tuple(lift.tolist())),),
                    (replace(item, surfaces=surfaces),), "lifted")  # fmt: skip
    if kind.startswith("bar") and not knuckle and thing.share is not None and rng.random() < 0.4:
        again, there = _measured_again(thing, item, vehicle, rng)
        return Near(kind, (thing, again), (item, there), "measured again")
    return Near(kind, (thing,), (item,), mark)


def _measured_again(
    thing: Thing, item: Item, vehicle: Vehicle, rng: np.random.Generator
) -> tuple[Thing, Item]:
    """Return a bar as measured from the wheel's face at some pose, up to a centimetre off where it stands."""
    q = Search(thing, vehicle, rng, 3).poses(rng.random((1, POSES)))
    q[:, FOLLOW] = thing.follows[0]
    ends = thing.charts[0, :2]
    there = vehicle.wheel(q).undo(vehicle.carried(thing, ends, np.repeat(q, 2, axis=0)))
    a, b = there * [vehicle.side, 1.0, 1.0] + rng.uniform(-10, 10, 3)
    again = replace(thing, charts=np.array([[a, b, a, b]]), follows=(1.0, 1.0), knuckle=True)
    bar = program.bar_surfaces(a, b, 2.0 * thing.thickness)
    return again, replace(item, surfaces=bar, share=1.0, turns=False)


class Rack:
    """Random wheels with their meshes, which are made when they are first asked for."""

    def __init__(self, seed: int, number: int) -> None:
        self.parts = random_wheels(np.random.default_rng([seed, number, 1]), WHEELS)
        self._wheels: dict[tuple[int, str], Wheel] = {}

    def wheel(self, k: int, blocks: str) -> Wheel:
        """Return one wheel, run out to the side that a thing closes."""
        if (k, blocks) not in self._wheels:
            parts = self.parts
            self._wheels[k, blocks] = Wheel(parts.r[k], -parts.inboard[k], parts.outboard[k], blocks)
        return self._wheels[k, blocks]


@lru_cache(maxsize=1)
def rack(seed: int, number: int) -> Rack:
    """Return the rack of some scenes."""
    return Rack(seed, number)


# --- one case -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Verdict:
    """What the program claims of one case, and what the meshes say [mm].

    ``claim``: least line; ``mesh``: least distance found; ``search``: the same by the section alone;
    ``chord``: what the meshes may be off; ``allowed``: what the claim may be below; ``open``: whether the
    windows let the shift be; ``cap``: lines beyond it were not swept; ``marks``: what sort of case it is.
    """

    name: str
    asked: float
    claim: float
    mesh: float
    search: float
    chord: float
    allowed: float
    open: bool
    at_end: bool
    cap: float
    marks: tuple[str, ...]

    @property
    def optimistic(self) -> bool:
        """Whether a pose was found that comes nearer than claimed, or that fouls an open shift."""
        claimed = max(self.claim, self.asked) if self.open else self.claim
        return min(claimed, self.cap) > self.mesh + self.chord

    @property
    def over(self) -> float:
        """How far the claim is above what the meshes say, their own error aside [mm]; 0 or less is safe."""
        return min(self.claim, self.cap) - self.mesh - self.chord

    @property
    def below(self) -> float:
        """How far the claim is below what the meshes say [mm], where they say enough to judge it."""
        return self.mesh - self.claim if self.mesh >= self.asked / 2.0 else 0.0

    @property
    def understated(self) -> bool:
        """Whether the claim is below the meshes by more than it may, or a shift is closed that is clear."""
        closed = self.at_end and not self.open and self.mesh > self.asked + self.allowed + self.chord
        return self.below > self.allowed + self.chord or closed

    @property
    def astray(self) -> bool:
        """Whether mesh and section disagree on a pose: then the judge itself is wrong."""
        return self.mesh > self.search + self.chord

    @property
    def near(self) -> bool:
        """Whether the case is within a millimetre of the clearance asked for."""
        return abs(self.mesh - self.asked) <= NEAR


@dataclass
class Scene:
    """A motion seen at one side of the vehicle, with things past a rack of wheels, all from its number."""

    seed: int
    number: int

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng([self.seed, self.number])
        self.vehicle = Vehicle(random_limits(self.rng), int(self.rng.choice([-1, 1])))
        self.motion = motion_of(self.vehicle.limits, self.vehicle.side)
        self.rack = rack(self.seed, self.number // SCENES)

    def verdicts(self, patience: int = 2) -> Iterator[Verdict]:
        """Yield the cases of the scene that are in reach of one another.

        ``patience``: how often the judge looks much harder before it calls a claim understated.
        """
        for near, claims in self.claims():
            if claims:
                yield from Judge(near, self.vehicle, self.rack, self.rng, patience).verdicts(claims)

    def claims(self) -> Iterator[tuple[Near, list[Claim]]]:
        """Yield each thing with what the program claims of the wheels that it is in reach of."""
        for number in range(THINGS):
            near = random_thing(self.rng, self.vehicle)
            cells = sweep(near.items, self.motion)
            rows = [np.flatnonzero(cells.item == k) for k in range(len(near.items))]
            yield near, list(self._claims(number, near, cells, rows))

    def _claims(self, number: int, near: Near, cells: Cells, rows: list[Ints]) -> Iterator[Claim]:
        if not len(cells.r):
            return
        rng, parts, first = self.rng, self.rack.parts, near.items[0]
        closed = item_closing("thing", near.items, cells, rows, len(first.clearances) - 1)
        curves = [curve for curve in (closed.up, closed.down) if curve is not None]
        ends = np.array([curve.towards * fouled_to(curve, parts) for curve in curves])
        for k in np.flatnonzero(np.isfinite(ends).all(axis=0)):
            for curve, at in zip(curves, ends[:, k], strict=True):
                away, sort = curve.towards, rng.random()
                bit = 0.0 if sort < 0.05 else rng.uniform(-NEAR, NEAR) if sort < 0.7 else rng.uniform(-15, 40)
                shift = float(at + away * bit)
                one = parts.take(np.array([k]))
                line = min(
                    touch(cells, mine, one, 0, shift, first.blocks, near.asked).margin for mine in rows
                )
                line += near.asked
                name = f"seed {self.seed} scene {self.number} thing {number} ({near.kind}, {near.mark})"
                yield Claim(
                    name=f"{name} wheel {k} shift {shift:.4f}",
                    wheel=int(k),
                    shift=shift,
                    line=line,
                    allowed=self._allowed(near, cells, line),
                    open=bool(away * shift >= away * at),
                    at_end=abs(bit) <= NEAR,
                    marks=(*self.marks(near, one), "at the end" if bit == 0.0 else "off the end"),
                )

    def _allowed(self, near: Near, cells: Cells, line: float) -> float:
        """Return how much less [mm] than the true line a claim may be.

        A moved arc lies up to a thickness off what stands for it, which is thicker by as much.
        """
        thicker = max(s.thickness for item in near.items for s in item.surfaces) - near.parts[0].thickness
        thicker *= 2.0
        if not (self.vehicle.limits.loose or near.items[0].more_share):
            return BOUND + thicker
        at = min(max(line, 0.0), near.asked)  # a sample's growth tells how far off a line through it is
        return float((cells.growth(at) - cells.thickness - at).max()) + thicker

    def marks(self, near: Near, parts: Sections) -> tuple[str, ...]:
        """Return what sort of case it is."""
        m = self.vehicle.limits
        well = "well inboard" if parts.inboard[0, 0] > parts.outboard[0, 0] else "well outboard"
        moves = {"side play": m.aside != (0, 0), "fore and aft": m.ahead != (0, 0), "track bar": m.bar,
                 "sideways": m.sway, "table": m.table}  # fmt: skip
        inside = near.kind.endswith("inside")
        return (
            "left" if self.vehicle.side > 0 else "right",
            "tilts" if m.tilt else "level",
            "steered" if m.lock != (0.0, 0.0) else "unsteered",
            "ranges" if m.loose else "known",
            f"{near.kind}, {well}" if inside else near.kind,
            f"blocks {near.parts[0].blocks}",
            near.mark,
            *(["in the barrel"] if inside else []),
            *(name for name, there in moves.items() if there),
        )


@dataclass(frozen=True)
class Claim:
    """What the program says of one wheel at a shift: the least ``line`` [mm], and whether it is ``open``."""

    name: str
    wheel: int
    shift: float
    line: float
    allowed: float
    open: bool
    at_end: bool
    marks: tuple[str, ...]


class Judge:
    """Judges claims for one thing; where one looks understated it looks much harder first."""

    def __init__(
        self, near: Near, vehicle: Vehicle, wheels: Rack, rng: np.random.Generator, patience: int
    ) -> None:
        self.near, self.vehicle, self.wheels, self.rng = near, vehicle, wheels, rng
        self.patience = patience

    def verdicts(self, claims: Sequence[Claim]) -> Iterator[Verdict]:
        """Yield what becomes of the claims."""
        wheels = [self.wheels.wheel(claim.wheel, self.near.parts[0].blocks) for claim in claims]
        polygons, shifts = [wheel.section for wheel in wheels], [claim.shift for claim in claims]
        found = [np.full(2, np.inf) for _ in claims]  # by the meshes, by the section
        for part in self.near.parts:
            search = Search(part, self.vehicle, self.rng)
            nearest = search.nearest(polygons, shifts)
            for k, (least, shares) in enumerate(nearest):
                found[k] = np.minimum(found[k], self._by_mesh(search, wheels[k], shifts[k], least, shares))
        for claim, wheel, (mesh, section) in zip(claims, wheels, found, strict=True):
            yield self._verdict(claim, wheel, mesh, section)

    def _by_mesh(
        self, search: Search, wheel: Wheel, shift: float, least: np.ndarray, shares: np.ndarray
    ) -> np.ndarray:
        corners, poses = search.corners(), shares[:, 2:]
        if search.thing.knuckle:
            tried, local = poses[:2], 0
        else:
            some = self.rng.permutation(len(corners))[:6]
            tried = np.concatenate([poses[:4], corners[some], self.rng.random((2, POSES))])
            local = 3
        mesh = Pair(wheel, search).least(shift, tried, self.rng, local)
        return np.array([mesh, max(float(least[0]) - search.thing.thickness, 0.0)])

    def _verdict(self, claim: Claim, wheel: Wheel, mesh: float, section: float) -> Verdict:
        thick = max(part.thickness for part in self.near.parts)
        cap = min(REACH_HIGH - wheel.outer, wheel.inner - REACH_LOW) - thick - 1.0
        chord = wheel.chord + max(float(part.error) for part in self.near.parts)
        verdict = Verdict(
            claim.name,
            self.near.asked,
            claim.line,
            mesh,
            section,
            chord,
            claim.allowed,
            claim.open,
            claim.at_end,
            cap,
            claim.marks,
        )
        for _ in range(self.patience):
            if not verdict.understated:
                break
            for part in self.near.parts:
                harder = Search(part, self.vehicle, self.rng, 40_000)
                [(least, shares)] = harder.nearest([wheel.section], [claim.shift], 60, 60, 16)
                found = Pair(wheel, harder).least(claim.shift, shares[:6, 2:], self.rng, 12)
                mesh = min(verdict.mesh, found)
                section = min(verdict.search, max(float(least[0]) - part.thickness, 0.0))
                verdict = replace(verdict, mesh=mesh, search=section)
        return verdict


# --- many cases -----------------------------------------------------------------------------------


@dataclass
class Tally:
    """What became of the cases so far; ``next``: the first scene that is not in it."""

    next: int = 0
    cases: int = 0
    near: int = 0
    judged_below: int = 0
    over: float = -np.inf
    below: float = 0.0
    bad: list[tuple[str, str]] = field(default_factory=list)
    marks: dict[str, int] = field(default_factory=dict)

    def add(self, verdict: Verdict) -> None:
        """Count one more."""
        self.cases += 1
        self.near += int(verdict.near)
        self.marks = dict(Counter(self.marks) + Counter(verdict.marks))
        self.judged_below += int(verdict.mesh >= verdict.asked / 2.0)
        if verdict.allowed == BOUND:
            self.below = max(self.below, float(verdict.below - verdict.chord))
        self.over = max(self.over, float(verdict.over))
        bad = (sort for sort in ("optimistic", "understated", "astray") if getattr(verdict, sort))
        self.bad += [(sort, str(verdict)) for sort in bad]

    def join(self, other: Tally) -> None:
        """Count another tally's cases too."""
        self.next = max(self.next, other.next)
        self.cases += other.cases
        self.near += other.near
        self.judged_below += other.judged_below
        self.over, self.below = max(self.over, other.over), max(self.below, other.below)
        self.bad += other.bad
        self.marks = dict(Counter(self.marks) + Counter(other.marks))

    def count(self, sort: str) -> int:
        """Return how many cases were bad in one way."""
        return sum(1 for was, _ in self.bad if was == sort)


def run_scenes(scenes: range, seed: int = 0, most: int = 0) -> Tally:
    """Judge some scenes of a seed; with ``most``, no further than that many cases."""
    tally = Tally(scenes.stop)
    for number in scenes:
        for verdict in Scene(seed, number).verdicts():
            tally.add(verdict)
            if most and tally.cases >= most:
                return tally
    return tally


def figures(tally: Tally) -> str:
    """Return the figures in one line."""
    share = 100.0 * tally.near / max(tally.cases, 1)
    return (
        f"cases {tally.cases}, optimistic {tally.count('optimistic')}, "
        f"understated {tally.count('understated')}, astray {tally.count('astray')}; within {NEAR:g} mm of "
        f"the clearance {share:.0f} %; most overstated {tally.over:.3f} mm (0 or less: never), "
        f"most understated {tally.below:.3f} mm of {tally.judged_below} (ranges of the motion aside), "
        "the meshes' own error taken off"
    )


def main() -> int:
    """Run the soak and return its exit code."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=100_000, help="at least so many")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--from", type=int, default=0, dest="first", metavar="SCENE", help="the first scene")
    parser.add_argument("--workers", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument(
        "--keep", type=Path, metavar="FILE", help="keep the figures here, and go on from them"
    )
    asked = parser.parse_args()
    tally = Tally(asked.first)
    if asked.keep and asked.keep.exists():
        tally = Tally(**json.loads(asked.keep.read_text()))
    began, known, cases = time.perf_counter(), 0, tally.cases
    with ProcessPoolExecutor(asked.workers) as pool:
        while tally.cases < asked.cases:
            for part in pool.map(
                run_scenes, lots(tally.next, asked.cases, asked.workers), repeat(asked.seed)
            ):
                tally.join(part)
            if asked.keep:
                kept = asked.keep.with_suffix(".new")
                kept.write_text(json.dumps(asdict(tally)))
                kept.replace(asked.keep)
            for sort, words in tally.bad[known:]:
                print(f"{sort.upper()} {words}", flush=True)
            known = len(tally.bad)
            pace = (time.perf_counter() - began) / max(tally.cases - cases, 1)
            print(f"--from {tally.next}, {1000.0 * pace:.0f} ms a case: {figures(tally)}", flush=True)
    print(", ".join(f"{mark} {count}" for mark, count in sorted(tally.marks.items())))
    return 1 if tally.bad else 0


def lots(first: int, cases: int, workers: int) -> list[range]:
    """Return the next scenes, one lot a rack of wheels; a single one where one case is enough."""
    if cases == 1:
        return [range(first, first + 1)]
    starts = [first, *(SCENES * (first // SCENES + k) for k in range(1, 4 * workers + 1))]
    return [range(a, b) for a, b in pairwise(starts)]


if __name__ == "__main__":
    sys.exit(main())
