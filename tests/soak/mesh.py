"""Random wheels past random things, judged by meshes: ``.venv/bin/python tests/soak/mesh.py --cases 100000``.

A scene is a random motion with a few things and wheels; each thing with each wheel is a case, at a shift that
is mostly within a millimetre of where its window ends. The program claims a least line and whether the shift
is open; the meshes (tests/outside/mesh.py) look for a pose that says otherwise. Prints figures; exit code 0
only where no claim is optimistic or understated. ``--seed`` with ``--cases 1`` repeats one scene.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from outside.mesh import Limits, Pair, Search, Thing, Vehicle, Wheel
from wellroom.geometry import items as program
from wellroom.geometry.contacts import touch
from wellroom.geometry.envelope import REACH_HIGH, REACH_LOW, Cells, sweep
from wellroom.geometry.items import Blocks, Item
from wellroom.geometry.motion import Motion, Range
from wellroom.geometry.section import Rims, Sections, Tires, sections
from wellroom.geometry.windows import Closing, fouled_to, item_closing

DEG = np.pi / 180.0
THINGS, WHEELS = 5, 5
BOUND = 0.25
"""How much less [mm] than the true line a claim may be where the motion's own measures are known."""
NEAR = 1.0
BLOCKS = {"inboard": Blocks.INBOARD, "outboard": Blocks.OUTBOARD, "nothing": Blocks.NOTHING}


# --- random motions, things and wheels ------------------------------------------------------------


def random_limits(rng: np.random.Generator) -> Limits:
    """Return a random motion: solid or independent, steered or not; odd ones among them."""
    solid, steered, loose = rng.random() < 0.6, rng.random() < 0.7, rng.random() < 0.2
    travel = (-rng.uniform(0, 120), rng.uniform(0, 120)) if rng.random() < 0.9 else (0.0, 0.0)
    known: dict[str, tuple[float, float] | float] = {}
    if steered:
        locks = -rng.uniform(0.2, 0.65), rng.uniform(0.2, 0.7)
        known["lock"] = [locks, (locks[0], 0.0), (0.0, locks[1])][rng.choice(3, p=[0.8, 0.1, 0.1])]
        known["lean"], known["caster"] = _span(rng, 0, 14 * DEG, loose), _span(rng, -3 * DEG, 9 * DEG, loose)
        known["king"] = _span(rng, 0, 170, loose)
        if rng.random() < 0.15:
            known |= {"caster": (0.0, 0.0), "king": (0.0, 0.0)}
    if solid:
        known |= {"stop": rng.uniform(200, 480), "span": rng.uniform(700, 1200)}
        known |= {"tilt": rng.uniform(2, 12) * DEG, "roll": _span(rng, -50, 200, loose)}
    return Limits(travel, **known)


def _span(rng: np.random.Generator, low: float, high: float, loose: bool) -> tuple[float, float]:
    a, b = sorted(rng.uniform(low, high, 2))
    return (a, b) if loose and rng.random() < 0.5 else (a, a)


def motion_of(m: Limits) -> Motion:
    """Return what the program takes for a motion."""
    return Motion(
        Range(*m.travel),
        Range(*m.lock),
        span=m.span if m.tilt else None,
        stop=m.stop,
        max_tilt=m.tilt,
        roll_centre=Range(*m.roll),
        kingpin=Range(*m.king),
        inclination=Range(*m.lean),
        caster=Range(*m.caster),
    )


def random_thing(rng: np.random.Generator) -> tuple[Thing, Item]:
    """Return a random thing as the judge knows it, and as the program takes it."""
    kinds = ["box", "box inside", "fender box", "bar", "bar inside", "lip", "lip", "point", "point inside"]
    kind = str(rng.choice(kinds))
    inside = kind.endswith("inside")
    charts, polar, thickness, surfaces = _shape(kind, rng)
    blocks = {"lip": "outboard", "fender box": "outboard"}.get(kind, "nothing" if inside else "inboard")
    if not inside and rng.random() < 0.05:
        blocks = "nothing"
    knuckle = bool(rng.random() < (0.4 if inside else 0.05))
    follows = 0.0 if kind == "lip" else float(rng.choice([0.0, 0.0, 0.0, 1.0, rng.uniform(0.1, 0.9)]))
    follows = 1.0 if knuckle or (inside and rng.random() < 0.5) else follows
    straight = bool(rng.random() < 0.07)
    least = float(rng.uniform(2, 26))
    asks = (least,) if rng.random() < 0.8 else (least, 2.0 * least)
    thing = Thing(charts, polar, thickness, follows, knuckle, blocks, straight)
    return thing, Item(kind, surfaces, follows, not knuckle, BLOCKS[blocks], asks, straight)


_Shape = tuple[np.ndarray, bool, float, tuple[program.Surface, ...]]


def _shape(kind: str, rng: np.random.Generator) -> _Shape:
    if kind == "lip":
        return _lip(rng)
    if kind.endswith("box") or kind == "box inside":
        return _box(kind, rng)
    if kind.startswith("bar"):
        reach = np.array([110.0, 330.0, 110.0]) if kind == "bar inside" else np.array([300.0, 500.0, 300.0])
        a, b = rng.uniform(-reach, [reach[0], -20.0, reach[2]], (2, 3))
        if rng.random() < 0.1:
            b = a
        thick = float(rng.uniform(0, 40))
        return np.array([[a, b, a, b]]), False, thick / 2.0, program.bar_surfaces(a, b, thick)
    inside = kind == "point inside"
    clock = rng.uniform(-np.pi, np.pi)
    low = np.array([clock, -rng.uniform(0, 250), rng.uniform(120, 220)])
    if not inside:
        low = np.array([clock, -rng.uniform(60, 400), rng.uniform(120, 640)])
    more = np.array([0.0, *rng.uniform(0, 20, 2) * rng.integers(0, 2, 2)])
    (c, y0, r0), (_, y1, r1) = low, low + more
    chart = np.array([[(c, y0, r0), (c, y1, r0), (c, y0, r1), (c, y1, r1)]])
    return chart, True, 0.0, program.point_surfaces(low, low + more)


def _lip(rng: np.random.Generator) -> _Shape:
    count = int(rng.integers(1, 6))
    clocks, radii = np.sort(rng.uniform(-1.3, 1.3, count)), rng.uniform(540, 690, count)
    flange = rng.uniform(10, 120) + rng.uniform(0, 30, count)
    out = flange + rng.uniform(0, 40, count) * rng.integers(0, 2)
    rows = range(count - 1) if count > 1 else [0]
    after = 1 if count > 1 else 0
    charts = [
        [(clocks[k], y[k], radii[k]) if j == 0 else (clocks[k + after], y[k + after], radii[k + after])
         for y in (flange, out) for j in (0, 1)]
        for k in rows
    ]  # fmt: skip
    surfaces = program.lip_surfaces(clocks.tolist(), radii.tolist(), flange.tolist(), out.tolist())
    return np.array(charts), True, 0.0, surfaces


def _box(kind: str, rng: np.random.Generator) -> _Shape:
    size = rng.uniform(0, [700, 100, 200]) * rng.choice([0, 1, 1, 1, 1], 3)
    low = np.array([rng.uniform(-600, 200), rng.uniform(-480, -120), rng.uniform(-250, 450)])
    if kind == "box inside":
        size = rng.uniform(0, [90, 90, 90])
        low = np.array([rng.uniform(-140, 50), rng.uniform(-260, 40), rng.uniform(-140, 50)])
    elif kind == "fender box":
        low = np.array([rng.uniform(-600, 100), rng.uniform(-100, 200), rng.uniform(300, 640)])
    high = low + size
    corner = [np.array([(low, high)[i][0], (low, high)[j][1], (low, high)[k][2]]) for k in (0, 1)
              for j in (0, 1) for i in (0, 1)]  # fmt: skip
    faces = [(0, 2, 4, 6), (1, 3, 5, 7), (0, 1, 4, 5), (2, 3, 6, 7), (0, 1, 2, 3), (4, 5, 6, 7)]
    return np.array([[corner[n] for n in f] for f in faces]), False, 0.0, program.box_surfaces(low, high)


def random_wheel(rng: np.random.Generator) -> Sections:
    """Return the section of a random tire on a random rim; its well near either flange."""
    code, width = float(rng.choice([15, 16, 16.5, 17, 18, 20, 22])), float(rng.uniform(6, 14)) * 25.4
    seat = code * 12.7 - rng.uniform(0, 1)
    flat, ramp = rng.uniform(20, 45), rng.uniform(5, 30)
    room = width / 2.0 - 15.0 - flat / 2.0
    rim = [seat, width, rng.uniform(8, 30), rng.uniform(8, 30), rng.uniform(12, 20), rng.uniform(3, 9)]
    rim += [rng.uniform(8, 25), flat, rng.uniform(0.2, 1.0) * rng.choice([-1, 1]) * room, ramp]
    radius = rng.uniform(seat + 60, min(seat + 330, 660))
    section = width * rng.uniform(0.95, 1.35)
    shoulder = rng.choice([0.0, rng.uniform(5, 50)])
    tire = [radius, section, code * 12.7, shoulder, section * rng.uniform(0.6, 0.95), rng.integers(0, 2)]
    rims, tires = (np.array(values, dtype=float)[:, None] for values in (rim, tire))
    return sections(Rims(*rims), Tires(*tires))


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
    """A motion seen at one side of the vehicle, with things and wheels, all from one seed."""

    seed: int

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)
        self.vehicle = Vehicle(random_limits(self.rng), int(self.rng.choice([-1, 1])))
        self.motion = motion_of(self.vehicle.limits)

    def verdicts(self, patience: int = 2) -> Iterator[Verdict]:
        """Yield the cases of the scene that are in reach of one another.

        ``patience``: how often the judge looks much harder before it calls a claim understated.
        """
        rng = self.rng
        wheels = [random_wheel(rng) for _ in range(WHEELS)]
        meshes: dict[tuple[int, str], Wheel] = {}
        for number in range(THINGS):
            thing, item = random_thing(rng)
            cells = sweep([item], self.motion)
            if not len(cells.r):
                continue
            tread = len(item.clearances) - 1
            closed = item_closing("thing", [item], cells, [np.arange(len(cells.r))], tread)
            search = Search(thing, self.vehicle, rng)
            for k, parts in enumerate(wheels):
                end = _an_end(closed, parts, rng)
                if end is None:
                    continue
                away, at = end
                sort = rng.random()
                bit = 0.0 if sort < 0.05 else rng.uniform(-NEAR, NEAR) if sort < 0.7 else rng.uniform(-15, 40)
                shift = at + away * bit
                if (k, thing.blocks) not in meshes:
                    sides = parts.r[0], -parts.inboard[0], parts.outboard[0]
                    meshes[k, thing.blocks] = Wheel(*sides, thing.blocks)
                name = f"scene {self.seed} thing {number} ({item.id}) wheel {k} shift {shift:.4f}"
                marks = (*self.marks(thing, item, parts), "at the end" if bit == 0.0 else "off the end")
                is_open, at_end = bool(away * shift >= away * at), abs(bit) <= NEAR
                claim = _Claim(name, marks, cells, item, parts, shift, is_open, at_end)
                yield judged(claim, Pair(meshes[k, thing.blocks], search), rng, patience)

    def marks(self, thing: Thing, item: Item, parts: Sections) -> tuple[str, ...]:
        """Return what sort of case it is."""
        m = self.vehicle.limits
        well = "well inboard" if parts.inboard[0, 0] > parts.outboard[0, 0] else "well outboard"
        return (
            "left" if self.vehicle.side > 0 else "right",
            "solid" if m.tilt else "independent",
            "steered" if m.lock != (0.0, 0.0) else "unsteered",
            "ranges" if m.loose else "known",
            f"{item.id}, {well}" if item.id.endswith("inside") else item.id,
            f"blocks {thing.blocks}",
            "knuckle" if thing.knuckle else {0.0: "body", 1.0: "axle"}.get(thing.follows, "between"),
        )


def _an_end(closed: Closing, parts: Sections, rng: np.random.Generator) -> tuple[int, float] | None:
    """Return an end of a window: which way it is open, and the shift; None where nothing is closed."""
    found = []
    if closed.up is not None:
        found.append((1, float(fouled_to(closed.up, parts)[0])))
    if closed.down is not None:
        found.append((-1, -float(fouled_to(closed.down, parts)[0])))
    if not all(np.isfinite(at) for _, at in found):
        return None
    return found[int(rng.integers(len(found)))]


@dataclass(frozen=True)
class _Claim:
    name: str
    marks: tuple[str, ...]
    cells: Cells
    item: Item
    parts: Sections
    shift: float
    open: bool
    at_end: bool


def judged(claim: _Claim, pair: Pair, rng: np.random.Generator, patience: int) -> Verdict:
    """Return what becomes of a case; where it looks understated the judge looks much harder first."""
    cells, item, thing, wheel = claim.cells, claim.item, pair.thing, pair.wheel
    asked = item.clearances[-1]
    rows = np.arange(len(cells.r))
    found = touch(cells, rows, claim.parts, 0, claim.shift, item.blocks, asked)
    line = found.margin + asked
    least, shares = pair.search.nearest(wheel.section, claim.shift)
    corners = pair.search.corners()
    some = rng.permutation(len(corners))[:12]
    tried = np.concatenate([shares[:4, 2:], corners[some], rng.random((8, shares.shape[1] - 2))])
    mesh = pair.least(claim.shift, tried[:2] if thing.knuckle else tried, rng, 0 if thing.knuckle else 4)
    section = max(float(least[0]) - thing.thickness, 0.0)
    loose = pair.vehicle.limits.loose
    cap = min(REACH_HIGH - wheel.outer, wheel.inner - REACH_LOW) - thing.thickness - 1.0

    def verdict() -> Verdict:
        at = min(max(line, 0.0), asked)  # a sample's growth tells how far off a line claimed through it is
        allowed = float((cells.growth(at) - cells.thickness - at).max()) if loose else BOUND
        chord = wheel.chord + float(thing.error)
        seen = line, mesh, section, chord, allowed
        return Verdict(claim.name, asked, *seen, claim.open, claim.at_end, cap, claim.marks)

    for _ in range(patience):
        if not verdict().understated:
            break
        harder = Search(thing, pair.vehicle, rng, 40_000)
        least, shares = harder.nearest(wheel.section, claim.shift, starts=60, rounds=60, each=16)
        mesh = min(mesh, pair.least(claim.shift, shares[:6, 2:], rng, 12))
        section = min(section, max(float(least[0]) - thing.thickness, 0.0))
    return verdict()


# --- many cases -----------------------------------------------------------------------------------


@dataclass
class Tally:
    """What became of the cases so far."""

    cases: int = 0
    near: int = 0
    judged_below: int = 0
    worst: float = 0.0
    closest: float = np.inf
    bad: list[tuple[str, Verdict]] = field(default_factory=list)
    marks: Counter[str] = field(default_factory=Counter)

    def add(self, verdict: Verdict) -> None:
        """Count one more."""
        self.cases += 1
        self.near += verdict.near
        self.marks.update(verdict.marks)
        self.judged_below += verdict.mesh >= verdict.asked / 2.0
        if verdict.allowed == BOUND:
            self.worst = max(self.worst, verdict.below)
        self.closest = min(self.closest, verdict.mesh + verdict.chord - min(verdict.claim, verdict.cap))
        for sort in ("optimistic", "understated", "astray"):
            if getattr(verdict, sort):
                self.bad.append((sort, verdict))

    def join(self, other: Tally) -> None:
        """Count another tally's cases too."""
        self.cases += other.cases
        self.near += other.near
        self.judged_below += other.judged_below
        self.worst, self.closest = max(self.worst, other.worst), min(self.closest, other.closest)
        self.bad += other.bad
        self.marks.update(other.marks)

    def count(self, sort: str) -> int:
        """Return how many cases were bad in one way."""
        return sum(1 for was, _ in self.bad if was == sort)


def run_scenes(seeds: range, least: int = 0) -> Tally:
    """Judge the scenes of some seeds; with ``least``, no further than that many cases."""
    tally = Tally()
    for seed in seeds:
        for verdict in Scene(seed).verdicts():
            tally.add(verdict)
            if least and tally.cases >= least:
                return tally
    return tally


def figures(tally: Tally) -> str:
    """Return the figures in one line."""
    share = 100.0 * tally.near / max(tally.cases, 1)
    return (
        f"cases {tally.cases}, optimistic {tally.count('optimistic')}, "
        f"understated {tally.count('understated')}, astray {tally.count('astray')}; "
        f"within {NEAR:g} mm of the clearance {share:.0f} %; worst understatement {tally.worst:.3f} mm "
        f"of {tally.judged_below} (ranges of the motion aside); least room to optimism {tally.closest:.3f} mm"
    )


def main() -> int:
    """Run the soak and return its exit code."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=100_000, help="at least so many")
    parser.add_argument("--seed", type=int, default=0, help="the first scene's")
    parser.add_argument("--jobs", type=int, default=min(2, os.cpu_count() or 1))
    asked = parser.parse_args()
    tally, began, seed, each = Tally(), time.perf_counter(), asked.seed, 10
    with ProcessPoolExecutor(asked.jobs) as pool:
        while tally.cases < asked.cases:
            some = 4 * asked.jobs
            lots = [range(seed + k * each, seed + (k + 1) * each) for k in range(some)]
            lots = [range(seed, seed + 1)] if asked.cases == 1 else lots
            known = len(tally.bad)
            for part in pool.map(run_scenes, lots):
                tally.join(part)
            seed = lots[-1].stop
            for sort, verdict in tally.bad[known:]:
                print(f"{sort.upper()} {verdict}", flush=True)
            print(f"{time.perf_counter() - began:.0f} s, next scene {seed}: {figures(tally)}", flush=True)
            if asked.cases == 1:
                break
    print(", ".join(f"{mark} {count}" for mark, count in sorted(tally.marks.items())))
    return 1 if tally.bad else 0


if __name__ == "__main__":
    sys.exit(main())
