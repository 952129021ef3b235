"""What the cases on meshes are drawn from: random motions, shapes of things, and wheels."""

from __future__ import annotations

from typing import Any

import numpy as np

from outside.mesh import Limits
from wellroom.geometry import items as program
from wellroom.geometry.motion import Bar, Motion, Range, Row
from wellroom.geometry.section import Rims, Sections, Tires, sections

DEG = np.pi / 180.0


def random_limits(rng: np.random.Generator) -> Limits:
    """Return a random motion: solid or independent, steered or not; odd ones among them."""
    solid, steered, loose = rng.random() < 0.6, rng.random() < 0.7, rng.random() < 0.2
    travel = (-rng.uniform(0, 120), rng.uniform(0, 120)) if rng.random() < 0.9 else (0.0, 0.0)
    if rng.random() < 0.15:
        travel = (-travel[1], travel[1])
    known: dict[str, Any] = {}
    if steered:
        locks = -rng.uniform(0.2, 0.65), rng.uniform(0.2, 0.7)
        known["lock"] = [locks, (locks[0], 0.0), (0.0, locks[1])][rng.choice(3, p=[0.8, 0.1, 0.1])]
        known["lean"], known["caster"] = _span(rng, 0, 14 * DEG, loose), _span(rng, -3 * DEG, 9 * DEG, loose)
        known["king"] = _span(rng, 0, 170, loose)
        if rng.random() < 0.15:
            known |= {"caster": (0.0, 0.0), "king": (0.0, 0.0)}
    if solid and rng.random() < 0.9:
        known |= {"stop": rng.uniform(200, 480), "span": rng.uniform(700, 1200)}
        known |= {"tilt": rng.uniform(2, 12) * DEG, "roll": _span(rng, -50, 200, loose)}
    if solid and rng.random() < 0.35:
        known["bar"] = rng.uniform(500, 1000), rng.uniform(-12, 12) * DEG, int(rng.choice([-1, 1]))
    if solid and rng.random() < 0.25:
        known["sway"] = float(rng.normal()) * 0.05
    if not solid and rng.random() < 0.6:
        known["table"] = _random_table(rng)
    for key, most, often in (("aside", 10.0, 0.5), ("ahead", 13.0, 0.35)):
        play = rng.uniform(0, most)
        known[key] = (-play, play) if rng.random() < often else (0.0, 0.0)
    return Limits(travel, **known)


def _random_table(rng: np.random.Generator) -> tuple[tuple[float, float, float], ...]:
    """Return rows of travel, camber and shift outboard, none at ride height."""
    ups = np.sort(rng.uniform(-120, 120, int(rng.integers(1, 4))))
    rows = [(float(up), float(rng.normal()) * 2 * DEG, float(rng.normal()) * 6.0) for up in ups]
    return tuple(sorted([*rows, (0.0, 0.0, 0.0)]))


def _span(rng: np.random.Generator, low: float, high: float, loose: bool) -> tuple[float, float]:
    a, b = sorted(rng.uniform(low, high, 2))
    return (a, b) if loose and rng.random() < 0.5 else (a, a)


def motion_of(m: Limits, side: int) -> Motion:
    """Return what the program takes for the motion of the left (+1) or right (-1) end."""
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
        side=Range(*m.aside),
        fore=Range(*m.ahead),
        bar=None if m.bar is None else Bar(m.bar[0], m.bar[1], m.bar[2] * side),
        sway=m.sway * side,
        table=tuple(Row(*row) for row in m.table),
    )


Shape = tuple[np.ndarray, bool, float, tuple[program.Surface, ...]]


def shape(kind: str, rng: np.random.Generator) -> Shape:
    """Return a random thing: its charts as the judge takes them, whether they are polar, its thickness [mm],
    and its surfaces as the program takes them.
    """
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


def _lip(rng: np.random.Generator) -> Shape:
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


def _box(kind: str, rng: np.random.Generator) -> Shape:
    size = rng.uniform(0, [700, 100, 200]) * rng.choice([0, 1, 1, 1, 1], 3)
    low = np.array([rng.uniform(-600, 200), rng.uniform(-480, -120), rng.uniform(-250, 450)])
    if kind == "box inside":
        size = rng.uniform(0, [90, 90, 90])
        low = np.array([rng.uniform(-140, 50), rng.uniform(-260, 40), rng.uniform(-140, 50)])
    elif kind == "fender box":
        low = np.array([rng.uniform(-600, 100), rng.uniform(-100, 200), rng.uniform(300, 640)])
    if rng.random() < 0.1:
        low[[0, 2]] = -size[[0, 2]] / 2.0  # on the axis, where no way is outward
    high = low + size
    corner = [np.array([(low, high)[i][0], (low, high)[j][1], (low, high)[k][2]]) for k in (0, 1)
              for j in (0, 1) for i in (0, 1)]  # fmt: skip
    faces = [(0, 2, 4, 6), (1, 3, 5, 7), (0, 1, 4, 5), (2, 3, 6, 7), (0, 1, 2, 3), (4, 5, 6, 7)]
    return np.array([[corner[n] for n in f] for f in faces]), False, 0.0, program.box_surfaces(low, high)


def random_wheels(rng: np.random.Generator, count: int = 1) -> Sections:
    """Return the sections of random tires on random rims; their wells near either flange."""
    rims, tires = zip(*(_random_wheel(rng) for _ in range(count)), strict=True)
    return sections(Rims(*np.array(rims, dtype=float).T), Tires(*np.array(tires, dtype=float).T))


def _random_wheel(rng: np.random.Generator) -> tuple[list[float], list[float]]:
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
    return rim, tire
