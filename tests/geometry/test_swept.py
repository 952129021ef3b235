"""What lines cover, whenever it is asked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from geometry.cases import random_item
from wellroom.geometry import motion as mo
from wellroom.geometry.bounds import Bounds, bounds_of
from wellroom.geometry.items import Blocks, Item
from wellroom.geometry.motion import Motion, Range
from wellroom.geometry.roots import Work, join_roots, roots_of, split
from wellroom.geometry.samples import REACH_HIGH, Ints
from wellroom.geometry.swept import Swept

DIMS = [mo.SU, mo.SV, mo.LOCK, mo.UP]
MOTION = Motion(Range(-60.0, 80.0), Range(-0.5, 0.6), kingpin=Range(90.0, 90.0), inclination=Range(0.1, 0.1))


def things(seed: int) -> list[Item]:
    """Return three random things that follow the body and block a side."""
    rng = np.random.default_rng(seed)
    return [replace(random_item(rng), share=0.0, straight_only=False) for _ in range(3)]


def generations(items: list[Item], count: int) -> list[tuple[Work, Bounds, Ints]]:
    """Return cells, their bounds and items, each generation split from the one before where it is widest."""
    started = [roots_of(item, MOTION) for item in items]
    roots, work = join_roots(started)
    of_root = np.repeat(np.arange(len(items)), [len(part.root) for _, part in started])
    out = []
    for _ in range(count):
        b = bounds_of(work, roots.charts.take(work.root), MOTION, DIMS)
        out.append((work, b, of_root[work.root]))
        work = split(work, roots, np.array(DIMS)[np.argmax(b.step, axis=0)])
    return out


@pytest.mark.parametrize("endways", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_covers_are_the_same_however_often_they_were_asked_for(seed: int, endways: bool) -> None:
    """Asking between lessons changes nothing, neither in the items asked for nor in their neighbours."""
    items = things(seed)
    sides = np.array([1.0 if item.blocks is Blocks.INBOARD else -1.0 for item in items])
    known = generations(items, 12)
    _, bounds, item = known[-1]
    near, far = np.zeros(len(items)), np.full(len(items), REACH_HIGH)
    often, once = (Swept(sides, near, far, 0.085, endways=endways) for _ in range(2))
    for work, b, of in known:
        often.learn(work, b, DIMS, of)
        often.covers(bounds, item)
        once.learn(work, b, DIMS, of)
    covered = once.covers(bounds, item)
    assert covered.any()
    assert np.array_equal(often.covers(bounds, item), covered)
