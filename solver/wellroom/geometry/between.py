"""The sides of what is swept between its inboard and its outboard lines.

A thing that blocks nothing is covered from both sides: what lies between the two lines of a distance is not
looked at, and a wheel can't stand there. But from farther out or nearer in, past the end of the lines or
where they jump, it can meet what lies between; so there samples stand across, from line to line. What is
swept may be farther off than they are: such a clearance is understated.
"""

from __future__ import annotations

import numpy as np

from wellroom.geometry.items import Floats
from wellroom.geometry.samples import SLACK, Ints
from wellroom.geometry.swept import BIN, Samples, Swept

_JUMP = 0.02
"""Lines of neighbouring bins closer than this [mm] are one: it is within what a line stands for."""
_EPS = 1e-9


def across(outboard: Swept, inboard: Swept, item: int, asked: float) -> Samples:
    """Return samples across what lies between an item's two lines, wherever its side is open.

    At each end of a run of bins that have both lines from one to the other, and at each jump of one of them.
    """
    upper, lower = outboard.of(item), inboard.of(item)
    first, last = np.maximum(upper.first, lower.first), np.minimum(upper.last, lower.last)
    both = last >= first
    old = np.stack([outboard.replaced_height(item), inboard.replaced_height(item)])
    left, right = (np.maximum([upper.height(at), lower.height(at)], old) for at in (first, last))
    left[1], right[1] = -left[1], -right[1]
    whole = both & (last - first > BIN - _EPS)
    to_next = np.append(whole[1:] & whole[:-1], False)
    to_last = np.append(False, to_next[:-1])
    mended = np.isfinite(old).any(axis=0)
    middle = (np.arange(len(both)) + 0.5) * BIN
    start, end = np.flatnonzero(both & (~to_last | mended)), np.flatnonzero(both & (~to_next | mended))
    jumps = np.flatnonzero(to_last)
    parts = [
        (middle[start] + first[start], left[1, start], left[0, start], start),
        (middle[end] + last[end], right[1, end], right[0, end], end),
        *((middle[jumps] - BIN / 2.0, right[k, jumps - 1], left[k, jumps], jumps) for k in (0, 1)),
    ]
    r, one, other, at = (np.concatenate([part[k] for part in parts]) for k in range(4))
    wide = np.flatnonzero(np.abs(other - one) > _JUMP)
    low, high = np.minimum(one, other)[wide], np.maximum(one, other)[wide]
    return _stretched(r[wide], low, high, outboard, asked, upper.root[at[wide]], upper.pose[:, at[wide]])


def _stretched(
    r: Floats, low: Floats, high: Floats, swept: Swept, asked: float, root: Ints, pose: Floats
) -> Samples:
    """Return samples in rows from y ``low`` to ``high`` [mm], close enough for the target."""
    extra = swept.tolerance - SLACK
    most = np.sqrt((asked + swept.target - extra) ** 2 - asked**2)
    count = np.maximum(np.ceil((high - low) / (2.0 * most)), 1.0).astype(np.intp)
    row = np.repeat(np.arange(len(r)), count)
    number = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    y = low[row] + (high - low)[row] * (number + 0.5) / count[row]
    return r[row], y, ((high - low) / 2.0 / count)[row], np.full(len(row), extra), root[row], pose[:, row]
