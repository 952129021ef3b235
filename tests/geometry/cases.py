"""Random items and motions, odd ones among them: no caster, kingpin at the face, no travel, flat boxes."""

from __future__ import annotations

import numpy as np

from wellroom.geometry.items import (
    Blocks,
    Item,
    Surface,
    bar_surfaces,
    box_surfaces,
    lip_surfaces,
    point_surfaces,
)
from wellroom.geometry.motion import Motion, Range

DEG = np.pi / 180.0


def _span(rng: np.random.Generator, low: float, high: float, loose: float) -> Range:
    """Return one value as a range, or with a chance of ``loose`` a real range."""
    a, b = sorted(rng.uniform(low, high, 2))
    return Range(a, b) if rng.random() < loose else Range(a, a)


def _surfaces(kind: str, rng: np.random.Generator) -> tuple[Surface, ...]:
    if kind == "box":
        low = np.array([rng.uniform(-600, 300), rng.uniform(-500, -200), rng.uniform(-200, 300)])
        size = rng.uniform([0, 0, 0], [700, 100, 200]) * rng.choice([0, 1, 1, 1], 3)
        return box_surfaces(low, low + size)
    if kind == "lip":
        count = int(rng.integers(1, 5))
        flange = rng.uniform(30, 90, count)
        clocks, radii = np.sort(rng.uniform(-1.2, 1.2, count)), rng.uniform(560, 700, count)
        return lip_surfaces(
            clocks.tolist(), radii.tolist(), flange.tolist(), (flange + rng.uniform(0, 40, count)).tolist()
        )
    if kind == "bar":
        ends = rng.uniform([-300, -500, -300], [300, -100, 300], (2, 3))
        return bar_surfaces(ends[0], ends[1], float(rng.uniform(0, 40)))
    low = np.array([rng.uniform(-3, 3), -rng.uniform(100, 400), rng.uniform(120, 400)])
    more = np.array([0.0, rng.uniform(0, 20), rng.uniform(0, 20)]) * rng.integers(0, 2)
    return point_surfaces(low, low + more, float(rng.uniform(0, 0.03)))


def random_item(rng: np.random.Generator) -> Item:
    """Return a random item that blocks a side."""
    kind = str(rng.choice(["box", "box", "lip", "bar", "point"]))
    blocks = Blocks.OUTBOARD if kind == "lip" else Blocks.INBOARD
    share = float(rng.choice([0.0, 0.0, 0.5, 1.0]))
    clearance, straight = float(rng.uniform(6, 26)), bool(rng.random() < 0.1)
    return Item(kind, _surfaces(kind, rng), share, True, blocks, (clearance,), straight)


def random_motion(rng: np.random.Generator, loose: float = 0.2) -> Motion:
    """Return a random motion; ``loose``: how often a measure of it is a range."""
    tilts, steers, plain = rng.random() < 0.6, rng.random() < 0.7, rng.random() < 0.2
    still = Range(0.0, 0.0)
    return Motion(
        Range(-rng.uniform(0, 120), rng.uniform(0, 120)) if rng.random() < 0.9 else still,
        Range(-rng.uniform(0, 0.6), rng.uniform(0, 0.7)) if steers else still,
        span=float(rng.uniform(700, 1200)) if tilts else None,
        stop=float(rng.uniform(200, 480)) if tilts else 0.0,
        max_tilt=float(rng.uniform(2, 12) * DEG) if tilts else 0.0,
        roll_centre=_span(rng, -50, 200, loose) if tilts else still,
        kingpin=still if plain else _span(rng, 0, 170, loose),
        inclination=_span(rng, 0, 14 * DEG, loose),
        caster=still if plain else _span(rng, -3 * DEG, 10 * DEG, loose),
    )


def random_case(rng: np.random.Generator) -> tuple[Item, Motion]:
    """Return a random item and motion."""
    return random_item(rng), random_motion(rng)
