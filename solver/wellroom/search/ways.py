"""The ways out: the least sets of changes, by cost, with which something fits that does not.

Sets of up to five levers are looked at in order of cost. Of each the levers are pulled to their most, the
scenario is swept again and asked like any other. A set is passed over where its levers can't relax all of any
set that the combinations miss (`misses`), where a way out found before is part of it, or where it is part of
a larger set that was seen to leave nothing: levers are *steady*, more of one never takes a fit away. Those
that are not are tried at each amount; of those that move axle or body, flares and adapters one goes alone at
each axle.

Of a set that lets something fit the amounts are drawn in by whole steps, the hardest lever first, until each
is the least that the others leave it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product

import numpy as np

from wellroom.catalog import Catalog
from wellroom.scenario.model import Scenario
from wellroom.search import results
from wellroom.search.case import Case, prepare
from wellroom.search.fit import Worked, axle_rows, joint_of, worked
from wellroom.search.gears import options
from wellroom.search.levers import DROPPED, Amounts, Lever, pulled
from wellroom.search.openings import Openings
from wellroom.search.plan import has_plan
from wellroom.search.plan_data import AxleRows
from wellroom.search.sweeps import Sweeps

MOST_CHANGES = 5
MOST_TRIALS = 600
"""Scenarios tried before the search ends unfinished."""
_MOST_DOUBLINGS = 20
_KEEP = 16
"""Trials between which what was swept is kept."""

State = frozenset[tuple[Lever, float]]
Part = results.Axle | None
"""An axle by itself, or None: front and rear together."""
Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class WayOut:
    """A set of levers with their amounts, and the scenario that they make, worked out."""

    amounts: Amounts
    work: Worked

    @property
    def cost(self) -> int:
        """What its levers cost together."""
        return sum(lever.cost for lever in self.amounts)


@dataclass
class Trials:
    """A scenario with levers pulled: whether anything fits, each state worked out once."""

    scenario: Scenario
    catalog: Catalog
    stance: str | None
    tires: Sequence[str]
    rims: Sequence[str]
    sweeps: Sweeps
    openings: Mapping[results.Axle, Openings]
    count: int = 0
    _rows: dict[tuple[results.Axle, State], AxleRows] = field(default_factory=dict)
    _known: dict[tuple[Part, State, frozenset[str]], bool] = field(default_factory=dict)

    def shut(self, amounts: Amounts) -> tuple[bool, Part]:
        """Return whether nothing fits with levers at these amounts, and on which part: an axle by itself, or
        None.
        """
        for axle in results.AXLES:
            if not self.opens(axle, amounts):
                return True, axle
        return not self.opens(None, amounts), None

    def opens(self, part: Part, amounts: Amounts, but: frozenset[str] = frozenset()) -> bool:
        """Return whether a part has a combination with levers at these amounts; of an axle by itself ``but``
        the requirements of some keys.
        """
        mine = {lever: a for lever, a in amounts.items() if part is None or lever.touches(part)}
        key = (part, frozenset(mine.items()), but)
        if key not in self._known:
            self.count += 1
            if part is None:
                self._known[key] = self._has_plan(mine)
            else:
                after = pulled(self.scenario, self.stance, mine)
                self._known[key] = self.openings[part].any(after, self.stance, but)
            if self.count % _KEEP == 0:
                self.sweeps.next_round()
        return self._known[key]

    def _has_plan(self, amounts: Amounts) -> bool:
        """Return whether what each axle has by itself makes a plan."""
        rows = {axle: self._of(axle, amounts) for axle in results.AXLES}
        case = self._case({lever: a for lever, a in amounts.items() if not lever.bodily})
        gears = options(case.line, self.catalog, np.unique(rows[case.line.reference].rolling_um))
        return has_plan(rows["front"], rows["rear"], gears, joint_of(case))

    def _of(self, axle: results.Axle, amounts: Amounts) -> AxleRows:
        mine = {lever: a for lever, a in amounts.items() if lever.touches(axle)}
        key = (axle, frozenset(mine.items()))
        if key not in self._rows:
            if len(self._rows) == _KEEP:
                self._rows.clear()
            self._rows[key] = axle_rows(self._case(mine), self.catalog, axle, self.tires, self.rims)
        return self._rows[key]

    def worked(self, amounts: Amounts) -> Worked:
        """Return the scenario with levers at these amounts, worked out for its best plan."""
        return worked(self._case(amounts), self.catalog, 1, self.tires, self.rims)

    def _case(self, amounts: Amounts) -> Case:
        after = pulled(self.scenario, self.stance, amounts)
        return prepare(after, self.catalog, self.stance, None, self.sweeps)


class _Closed:
    """Sets of steady levers that, pulled to their most, leave nothing on a part, with what is not steady."""

    def __init__(self, trials: Trials, steady: Sequence[Lever], ways: Sequence[frozenset[Lever]]) -> None:
        """``ways``: the sets found so far, as they grow: no set that holds one of them is asked for."""
        self._trials, self._steady, self._ways = trials, steady, ways
        self._known: dict[tuple[Part, State], list[frozenset[Lever]]] = {}

    def holds(self, amounts: Amounts) -> bool:
        """Return whether nothing fits with levers at their most, from what is known or by trying."""
        if any(self._within(part, amounts) for part in (*results.AXLES, None)):
            return True
        shut, part = self._trials.shut(amounts)
        if shut:
            self._learn(part, amounts)
        return shut

    def _within(self, part: Part, amounts: Amounts) -> bool:
        some, loose = _apart(part, amounts)
        return any(some <= had for had in self._known.get((part, loose), ()))

    def _learn(self, part: Part, amounts: Amounts) -> None:
        """Take in as many more levers as still leave nothing on the part."""
        more = [
            lever for lever in self._steady if lever not in amounts and (part is None or lever.touches(part))
        ]
        used = frozenset().union(*self._ways)
        grown = {**amounts, **{lever: lever.most for lever in more if lever not in used}}
        if self._opens(part, grown):
            grown = dict(amounts)
            for lever in more:
                if not self._opens(part, {**grown, lever: lever.most}):
                    grown[lever] = lever.most
        steady, loose = _apart(part, grown)
        self._known.setdefault((part, loose), []).append(steady)

    def _opens(self, part: Part, amounts: Amounts) -> bool:
        return self._trials.opens(part, amounts) if part else not self._trials.shut(amounts)[0]


def _apart(part: Part, amounts: Amounts) -> tuple[frozenset[Lever], State]:
    """Return the steady levers among those that touch a part, and those that are not, with their amounts."""
    mine = {lever: a for lever, a in amounts.items() if part is None or lever.touches(part)}
    loose = frozenset((lever, a) for lever, a in mine.items() if not lever.steady)
    return frozenset(lever for lever in mine if lever.steady), loose


def ways_out(
    trials: Trials,
    levers: Sequence[Lever],
    missed: Mapping[results.Axle, Sequence[frozenset[str]]],
    most: int,
    progress: Progress | None = None,
) -> tuple[tuple[WayOut, ...], bool]:
    """Return up to ``most`` ways out, cheapest first, and whether none cheaper was left out.

    ``missed``: the minimal sets of requirements that each axle's combinations miss; an empty one among them:
    something fits that axle.
    """
    ways: list[WayOut] = []
    done: list[frozenset[Lever]] = []
    closed = _Closed(trials, [lever for lever in levers if lever.steady], done)
    for some in _by_cost(levers):
        if len(ways) == most:
            break
        if trials.count >= MOST_TRIALS:
            return tuple(ways), False
        if any(had <= set(some) for had in done) or not all(
            _may(some, axle, missed[axle]) for axle in missed
        ):
            continue
        if progress:
            progress(f"ways out of cost {sum(lever.cost for lever in some)}", trials.count / MOST_TRIALS)
        if not _helped(trials, some):
            continue
        for amounts in _at_most(some):
            if not closed.holds(amounts):
                least = _least(trials, amounts)
                work = trials.worked(least)
                if not work.answer.plans:  # the plan's own limit struck
                    return tuple(ways), False
                ways.append(WayOut(least, work))
                done.append(frozenset(some))
                break
    return tuple(ways), True


def _helped(trials: Trials, some: Sequence[Lever]) -> bool:
    """Return whether something would fit each axle if the levers of a set that are not steady relaxed all
    that they can: without that no amount of them helps.
    """
    steady = {lever: lever.most for lever in some if lever.steady}
    for axle in results.AXLES:
        loose = [lever for lever in some if not lever.steady and lever.touches(axle)]
        but = frozenset(key for lever in loose for key in lever.relaxes)
        if loose and not trials.opens(axle, steady, but):
            return False
    return True


def _at_most(some: Sequence[Lever]) -> Iterator[dict[Lever, float]]:
    """Yield levers at their most; those that are not steady at each of their amounts, smaller ones first."""
    loose = [lever for lever in some if not lever.steady]
    for amounts in product(*(lever.amounts for lever in loose)):
        steady = {lever: lever.most for lever in some if lever.steady}
        yield steady | dict(zip(loose, amounts, strict=True))


def _by_cost(levers: Sequence[Lever]) -> Iterator[tuple[Lever, ...]]:
    """Yield sets of levers, one an axle at most that goes alone, by cost, then by number, then by name."""
    every = [
        some
        for size in range(1, MOST_CHANGES + 1)
        for some in combinations(levers, size)
        if all(sum(one.alone and one.axle in (axle, None) for one in some) <= 1 for axle in results.AXLES)
    ]
    yield from sorted(every, key=lambda some: (sum(lever.cost for lever in some), len(some)))


def _may(some: Sequence[Lever], axle: results.Axle, missed: Sequence[frozenset[str]]) -> bool:
    """Return whether levers can relax all of some set that an axle misses."""
    relaxed = {key for lever in some if lever.axle in (None, axle) for key in lever.relaxes}
    return any(all(id_.split(".")[1] in relaxed for id_ in ids) for ids in missed)


def _least(trials: Trials, most: Amounts) -> dict[Lever, float]:
    """Return the amounts drawn in, the hardest lever first, each to the least that still lets something
    fit.
    """
    amounts = dict(most)
    for lever in sorted(most, key=lambda one: (-one.cost, one.name, one.axle or "")):
        if not lever.steady or lever.kind is None:
            continue
        grid = lever.amounts
        if lever.most == DROPPED:
            grid = _doubled(trials, lever, amounts)
        low, high = -1, len(grid) - 1
        while high - low > 1:
            middle = (low + high) // 2
            if trials.shut({**amounts, lever: grid[middle]})[0]:
                low = middle
            else:
                high = middle
        amounts[lever] = grid[high]
    return amounts


def _doubled(trials: Trials, lever: Lever, amounts: Amounts) -> tuple[float, ...]:
    """Return the steps by which a limit may have to move, up to a doubled amount with which something
    fits.
    """
    step = lever.amounts[0]
    for doubling in range(_MOST_DOUBLINGS):
        if not trials.shut({**amounts, lever: step * 2**doubling})[0]:
            return tuple(step * k for k in range(1, 2**doubling + 1))
    return (DROPPED,)
