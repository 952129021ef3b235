"""What each tire, rim and backspace of an axle misses, as sets: what comes nearest, what can't go together.

Ratings are facts that nothing relaxes: only what meets all of them is looked at, and the sets are of what it
misses beside them. Where nothing meets all ratings the sets are of ratings alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats
from wellroom.search.candidates import (
    Asked,
    Ints,
    Parts,
    distinct_closings,
    pair_wishes,
    pokes,
    row_margins,
    scrub_shifts,
    thing_interval,
    widest_shift,
)
from wellroom.search.requirements import BY_KEY, bare
from wellroom.search.rims import Rims
from wellroom.search.sections import nominal_section
from wellroom.search.steps import USUAL_STEP, Steps
from wellroom.search.tires import Tires
from wellroom.search.wishes import STEPS, miss
from wellroom.units import MM_PER_IN

_HAIR = 1e-9
_AT_ONCE = 1 << 14
"""Pairs taken at once."""
_WORD = 60
"""Requirements that one integer holds."""
_LIKE = {"mm": MM_PER_IN, "mm across": MM_PER_IN, "kg": 100.0, "kPa": 50.0, "km/h": 10.0}
"""How much of a unit counts alike, where of several misses the nearest is chosen to be shown."""
_MOST_AWAY = 1e3


@dataclass(frozen=True)
class Nearest:
    """The nearest of all that miss one set of requirements: rows of the tables, backspace [mm] (nan: any).

    ``away``: how far it is from meeting them, in units that count alike.
    """

    missed: frozenset[str]
    away: float
    tire: int
    rim: int
    backspace: float


@dataclass(frozen=True)
class Misses:
    """The minimal sets of requirements that an axle's combinations miss, smaller ones first, each with its
    nearest. ``rated``: pairs of tire and rim that meet all ratings.
    """

    rated: int
    nearest: tuple[Nearest, ...]

    @property
    def sets(self) -> tuple[frozenset[str], ...]:
        """The minimal sets; one of them empty: something fits."""
        return tuple(one.missed for one in self.nearest)


def misses(asked: Asked, tires: Tires, rims: Rims) -> Misses:
    """Return what the combinations of some tires on some rims miss on one axle."""
    rated, unrated = by_rating(asked, tires, rims)
    if not len(rated[0]):
        return Misses(0, _minimal(unrated))
    found: list[Nearest] = []
    for at in range(0, len(rated[0]), _AT_ONCE):
        tire, rim = (side[at : at + _AT_ONCE] for side in rated)
        found += [
            Nearest(ids, away, int(tire[pair]), int(rim[pair]), backspace)
            for ids, away, pair, backspace in _opened(asked, tires.take(tire), rims.take(rim), rim)
        ]
    return Misses(len(rated[0]), _minimal(found))


def by_rating(asked: Asked, tires: Tires, rims: Rims) -> tuple[tuple[Ints, Ints], list[Nearest]]:
    """Return (tire, rim) of the pairs of one rim diameter that meet all ratings, and what others miss; both
    in an order of names, so that it does not matter how the tables are ordered.
    """
    good: list[tuple[Ints, Ints]] = [(np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp))]
    bad: list[Nearest] = []
    by_name = np.lexsort((tires.size.astype(str), tires.id.astype(str)))
    of_rims = np.lexsort((rims.width, rims.adapter.astype(str), rims.id.astype(str), rims.source.astype(str)))
    for code in np.unique(tires.code):
        of, on = by_name[tires.code[by_name] == code], of_rims[rims.code[of_rims] == code]
        shape = (len(of), len(on))
        sets = _Sets(len(of) * len(on))
        for key, margin in row_margins(asked, tires.take(of[:, None]), rims.take(on)).items():
            if BY_KEY[key].kind == "rating":
                sets.put(f"{asked.name}.{key}", _away(key, np.broadcast_to(margin, shape).ravel()))
        tire, rim = (side.ravel() for side in np.broadcast_arrays(of[:, None], on[None, :]))
        met = np.flatnonzero(sets.away == 0.0)
        good.append((tire[met], rim[met]))
        bad += [Nearest(ids, away, int(tire[k]), int(rim[k]), np.nan) for ids, away, k in sets.nearest()]
    tires_, rims_ = (np.concatenate(side) for side in zip(*good, strict=True))
    return (tires_, rims_), bad


def _opened(
    asked: Asked, tires: Tires, rims: Rims, rim: Ints
) -> Iterator[tuple[frozenset[str], float, int, float]]:
    """Yield (set missed, how far off, pair, backspace [mm]) of pairs (n,) that meet all ratings, the nearest
    of each set. ``rim`` (n,) numbers the rims.
    """
    pair, backspace = steps_of(asked, rims).rows()
    parts = Parts(asked, tires, rims, rim)
    mud = np.asarray(tires.kind == "mud", dtype=bool)
    sets = _Sets(len(pair))
    for name, away in other_misses(asked, tires, rims, pair, backspace):
        sets.put(name, away)
    things = list(distinct_closings(asked, rims))
    alike = {bare(thing.id) for thing, _, new in things if not new}
    for thing, judged, new in things:
        if new:
            fouled = thing_interval(thing, parts.of(thing), rims.to_centre, mud)
            name = bare(thing.id) if bare(thing.id) in alike else thing.id
            sets.put(name, fouled_by(fouled, judged, pair, backspace))
    for ids, off, row in sets.nearest():
        yield ids, off, int(pair[row]), float(backspace[row])


def other_misses(
    asked: Asked, tires: Tires, rims: Rims, pair: Ints, backspace: Floats
) -> Iterator[tuple[str, Floats]]:
    """Yield each requirement but ratings and things near, and how far (m,) rows are from meeting it: 0, they
    do. Row k is pair ``pair[k]`` of tires on rims (n,) at ``backspace[k]`` [mm].
    """
    name = asked.name
    for key, margin in row_margins(asked, tires, rims).items():
        if BY_KEY[key].kind != "rating":
            yield f"{name}.{key}", _away(key, margin)[pair]
    for key, (wish, missed) in pair_wishes(asked, tires, rims).items():
        if wish.must:
            yield f"{name}.{key}", np.nan_to_num(missed)[pair] / STEPS[key]
    section, shift = nominal_section(tires, rims), rims.to_centre[pair] - backspace
    most = widest_shift(asked, np.asarray(section * tires.section_max / tires.section))
    if most is not None:
        over = np.where(backspace >= (rims.to_centre - most)[pair], 0.0, shift - most[pair])
        yield f"{name}.overall_width", over / MM_PER_IN
    scrub = scrub_shifts(asked, tires)
    if scrub is not None:
        over = np.maximum(scrub[0][pair] - shift, shift - scrub[1][pair])
        yield f"{name}.scrub_change", np.maximum(over, 0.0) / MM_PER_IN
    for wish in asked.wishes:
        if wish.name == "poke" and wish.must:
            missed = np.nan_to_num(miss(wish, pokes(asked, section[pair], shift)).max(axis=0))
            yield f"{name}.poke", np.where(missed > _HAIR, missed, 0.0) / STEPS["poke"]


def fouled_by(
    fouled: tuple[Floats, Floats], judged: NDArray[np.bool_], pair: Ints, backspace: Floats
) -> Floats:
    """Return how far (m,) [in] rows are inside the open interval of backspaces (n,) that a thing fouls."""
    low, high = fouled
    inside = np.minimum(backspace - low[pair], high[pair] - backspace) / MM_PER_IN
    return np.where(judged[pair], np.clip(inside, 0.0, _MOST_AWAY), 0.0)


def steps_of(asked: Asked, rims: Rims) -> Steps:
    """Return the steps of backspace that rims can have, all open."""
    step = asked.scenario.limits.backspace_step
    return Steps(rims, step.value if step else USUAL_STEP)


def _away(key: str, margin: Floats) -> Floats:
    """Return how far margins (n,) are from being met, 0 where they are or can't be judged."""
    away = np.minimum(-margin / _LIKE.get(BY_KEY[key].unit, 1.0), _MOST_AWAY)
    return np.where(margin < 0.0, away, 0.0)


class _Sets:
    """The sets that n rows miss, put together requirement by requirement."""

    def __init__(self, count: int) -> None:
        self.away = np.zeros(count)
        self._words: list[Ints] = [np.zeros(count, dtype=np.intp)]
        self._names: list[str] = []

    def put(self, name: str, away: Floats) -> None:
        """Say how far (n,) each row is from meeting one requirement more; 0: it meets it."""
        if len(self._names) == _WORD * len(self._words):
            self._words.append(np.zeros(len(self.away), dtype=np.intp))
        bit = len(self._names) % _WORD
        self._words[-1] = self._words[-1] + np.where(away > 0.0, 1 << bit, 0)
        self._names.append(name)
        self.away = self.away + away

    def nearest(self) -> Iterator[tuple[frozenset[str], float, int]]:
        """Yield (set, how far off, row) of the nearest row of each set; of equals the first row."""
        codes, of = np.unique(np.stack(self._words), axis=1, return_inverse=True)
        of = np.reshape(of, -1)
        order = np.lexsort((self.away, of))
        first = order[np.flatnonzero(np.diff(of[order], prepend=-1))]
        for word, row in zip(codes.T, first, strict=True):
            yield self._named(word), float(self.away[row]), int(row)

    def _named(self, code: Ints) -> frozenset[str]:
        every = enumerate(self._names)
        return frozenset(name for k, name in every if int(code[k // _WORD]) >> (k % _WORD) & 1)


def _minimal(found: list[Nearest]) -> tuple[Nearest, ...]:
    """Return those whose set holds no other's, smaller ones first; of each set the nearest, or the first."""
    best: dict[frozenset[str], Nearest] = {}
    for one in found:
        have = best.get(one.missed)
        if have is None or one.away < have.away:
            best[one.missed] = one
    out: list[Nearest] = []
    for one in sorted(best.values(), key=lambda n: (len(n.missed), sorted(n.missed))):
        if not any(have.missed <= one.missed for have in out):
            out.append(one)
    return tuple(out)


def clashes(sets: tuple[frozenset[str], ...], most: int) -> tuple[tuple[frozenset[str], ...], bool]:
    """Return the minimal sets of requirements that can't be met together, smaller first, and whether all.

    ``sets`` are the minimal sets missed by everything there is. A set can't be met together if and only if it
    shares a requirement with each of them: the minimal ones are the minimal hitting sets, found one set
    missed after the other (Berge's way, from memory). Beyond ``most`` under way the rest is left out.

    >>> one, two = frozenset({"lip", "spring"}), frozenset({"lip", "brake"})
    >>> [sorted(ids) for ids in clashes((one, two), 99)[0]]
    [['lip'], ['brake', 'spring']]
    >>> clashes((frozenset(),), 99)
    ((), True)
    """
    here: list[frozenset[str]] = [frozenset()]
    complete = True
    for missed in sets:
        hit = [ids for ids in here if ids & missed]
        grown = {ids | {more} for ids in here if not ids & missed for more in missed}
        new = [ids for ids in grown if not any(have <= ids for have in hit)]
        here = sorted([*hit, *new], key=lambda ids: (len(ids), sorted(ids)))
        complete, here = complete and len(here) <= most, here[:most]
    return tuple(here), complete
