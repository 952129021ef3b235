"""The k best plans by a plain join in numpy: the twin of the solver's list, for two axles alone."""

from __future__ import annotations

import numpy as np

from wellroom.search.plan_data import AxleRows, GearOptions, Ints, Joint, MarginOf, PlanRow
from wellroom.search.plan_items import Problem, code, problem
from wellroom.search.plan_rank import Margins, Triple, in_order


def join_plans(
    front: AxleRows, rear: AxleRows, gears: GearOptions, joint: Joint, margin: MarginOf, k: int
) -> tuple[PlanRow, ...]:
    """Return the k best distinct plans, the same as ``best_plans`` gives when it is proven.

    Goes through the reference axle's items by score and price, against all that the other axle and the gears
    offer, until no later item can matter. Exact, without a limit and without a solver; the tests hold the two
    to the same lists. It serves where a solver is not wanted for two axles alone. It slows down with the
    number of plans that a budget or a mass limit forbids, and holds all plans that tie at the cut in score
    and price.

    Takes and raises what ``best_plans`` does.
    """
    if k < 1:
        raise ValueError(f"k = {k}: at least 1")
    task = problem(code(front, rear), gears, joint)
    margins = Margins(margin, len(front), len(rear))
    return tuple(in_order(task, _best(task, k), margins)[:k])


def _best(task: Problem, k: int) -> list[Triple]:
    """Return the choices whose score and price are not worse than the k-th best's, in no order."""
    ref, other = task.ref, task.other
    if not len(ref) or not len(other):
        return []
    keys = [side.score * task.unit + side.price for side in (ref, other)]
    order = [np.argsort(key, kind="stable") for key in keys]
    gear_key = task.gear_score * task.unit + task.gear_price[:, None]
    rest = int(keys[1].min() + gear_key.min())
    fits_at_all = np.ones(len(ref), dtype=bool)
    if task.budget is not None:
        fits_at_all &= ref.price + other.price.min() + task.gear_price.min() <= task.budget
    if task.mass is not None:
        fits_at_all &= ref.mass + other.mass.min() <= task.mass
    cut, found = None, np.zeros((4, 0), dtype=np.int64)
    for i in order[0][fits_at_all[order[0]]].tolist():
        key, u = int(keys[0][i]), int(ref.group[i])
        if cut is not None and key + rest > cut:
            break
        most = None if cut is None else cut - key - int(gear_key[:, u].min())
        count = len(other) if most is None else int(np.searchsorted(keys[1][order[1]], most, side="right"))
        j = order[1][:count]
        group = other.group[j][None, :]
        fits = (group >= task.low[:, u, None]) & (group < task.high[:, u, None])
        if task.budget is not None:
            fits &= ref.price[i] + other.price[j][None, :] + task.gear_price[:, None] <= task.budget
        if task.mass is not None:
            fits &= ref.mass[i] + other.mass[j][None, :] <= task.mass
        g, at = np.nonzero(fits)
        total = key + keys[1][j[at]] + gear_key[g, u]
        new = np.stack([total, np.full_like(g, i), j[at], g])
        found, cut = _cut(np.concatenate([found, new], axis=1), k)
    return [(int(i), int(j), int(g)) for _, i, j, g in found.T]


def _cut(found: Ints, k: int) -> tuple[Ints, int | None]:
    if found.shape[1] <= k:
        return found, int(found[0].max()) if found.shape[1] == k else None
    cut = int(np.partition(found[0], k - 1)[k - 1])
    return found[:, found[0] <= cut], cut
