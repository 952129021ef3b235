"""Steps of backspace: what is open is what each step, asked alone, says."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wellroom import load_catalog
from wellroom.search.rims import made_rims, rims_from, stocked_rims
from wellroom.search.steps import Steps

CATALOG = load_catalog()
RIMS = rims_from(made_rims(CATALOG)[::9] + stocked_rims(CATALOG, None, None, 0.0)[::4])
SPANS = st.tuples(st.floats(-50.0, 300.0), st.floats(-30.0, 120.0), st.sampled_from(["both", "up", "down"]))


@given(
    st.integers(0, 10**6),
    st.lists(SPANS, max_size=6),
    st.sampled_from([3.175, 1.5875, 6.35, 3.0, 0.7]),
    st.booleans(),
)
@settings(max_examples=120, deadline=None)
def test_steps_closed_by_intervals_are_those_strictly_inside(
    seed: int, spans: list[tuple[float, float, str]], step: float, on_steps: bool
) -> None:
    """After each interval the open steps are those in no interval, and the ends are the outermost of them."""
    rng = np.random.default_rng(seed)
    rims = RIMS.take(rng.permutation(len(RIMS))[:25])
    steps = Steps(rims, step)
    wheel, backspace = steps.rows()
    for start, size, side in spans:
        low = start + rng.integers(-3, 4, len(rims)) * step
        high = low + size
        if on_steps:
            low, high = np.round(low / step) * step, np.round(high / step) * step
        low = np.full(len(rims), -np.inf) if side == "down" else low
        high = np.full(len(rims), np.inf) if side == "up" else high
        steps.close(low, high)
        free = (backspace <= low[wheel]) | (backspace >= high[wheel]) | (low >= high)[wheel]
        wheel, backspace = wheel[free], backspace[free]
        found = steps.rows()
        assert np.array_equal(found[0], wheel)
        assert np.array_equal(found[1], backspace)
        assert np.array_equal(np.flatnonzero(steps.open), np.unique(wheel))
        least, most = steps.ends()
        for one in np.unique(wheel):
            assert (least[one], most[one]) == (
                backspace[wheel == one].min(),
                backspace[wheel == one].max(),
            )
