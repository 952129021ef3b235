"""Every combination of tire, rim and backspace that meets what one axle asks: exact and complete.

Requirements are taken in one fixed order; a pair of tire and rim falls to the first that it misses, or that
leaves none of the backspaces that were still open.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry.items import Floats, Item
from wellroom.geometry.section import Sections
from wellroom.scenario.model import Scenario, Stance
from wellroom.search.clear import SweptAxle, Thing, asked_first, fouled_backspaces
from wellroom.search.hub import HubSize, disc_margins, hub_margins
from wellroom.search.rims import Rims
from wellroom.search.sections import Service, in_service, nominal_section
from wellroom.search.steer import Stand, scrub_kept
from wellroom.search.steps import USUAL_STEP, Steps
from wellroom.search.tires import Tires
from wellroom.search.wishes import RATIO, AxleWish, axle_wishes, miss, points
from wellroom.trade.load import load_factor_at_speed, passenger_derating
from wellroom.trade.tire import CHAINS, loaded_radius_mm, rim_margin_in

Ints = NDArray[np.intp]
_HAIR = 1e-9
_AT_ONCE = 1 << 16
"""Pairs taken at once."""


@dataclass(frozen=True)
class Asked:
    """What one axle's combinations are held against: the swept axle, its hub, the limits, the wishes.

    ``now``: where today's wheel stands, None where it is not known.
    """

    scenario: Scenario
    swept: SweptAxle
    hub: HubSize
    wishes: tuple[AxleWish, ...]
    tread: tuple[str, ...] = ()
    now: Stand | None = None

    @property
    def name(self) -> str:
        """front or rear."""
        return self.swept.room.name

    @property
    def load(self) -> float:
        """The axle's load with its ± [kg], nan where it was not weighed."""
        load = self.swept.room.axle.load
        return float("nan") if load is None else load.high + (load.pm or 0.0)

    @property
    def chains(self) -> tuple[float, float]:
        """Room for chains over the tread and at each side wall [mm]; none where the axle is not driven."""
        kind = self.scenario.vehicle.chains
        return CHAINS[kind] if kind and self.swept.room.axle.driven else (0.0, 0.0)

    @property
    def truck(self) -> bool:
        """Whether a passenger tire carries less: on anything that is not said to be a car."""
        return self.scenario.vehicle.kind != "car"


def asked_of(
    scenario: Scenario, swept: SweptAxle, hub: HubSize, stance: Stance | None, now: Stand | None = None
) -> Asked:
    """Return what an axle is held against under a stance, and where its wheel stands today."""
    tread = () if stance is None else stance.tread
    return Asked(scenario, swept, hub, axle_wishes(stance, swept.room.name), tread, now)


@dataclass(frozen=True)
class Candidates:
    """All rows of one axle. Row k is pair ``pair[k]`` at ``backspace[k]`` [mm]; a pair is a tire on a rim.

    ``tire``, ``rim`` (pairs,): rows of the tables; ``score`` (rows,) points; ``fell`` how many pairs fell to
    each requirement id, in order; ``pairs_open`` how many are left.
    """

    tires: Tires
    rims: Rims
    tire: Ints
    rim: Ints
    pair: Ints
    backspace: Floats
    score: NDArray[np.int64]
    fell: tuple[tuple[str, int], ...]
    pairs_open: int


def row_margins(asked: Asked, tires: Tires, rims: Rims) -> dict[str, Floats]:
    """Return the margins (n,) of every requirement that no backspace changes, row by row; nan: can't be
    judged.
    """
    limits, vehicle = asked.scenario.limits, asked.scenario.vehicle
    same = (tires.seat_deg == rims.seat_deg) & (tires.code == rims.code)
    each = np.where(tires.passenger & asked.truck, passenger_derating(tires.load), tires.load)
    top = vehicle.top_speed.high if vehicle.top_speed else np.nan
    if top > HIGH_SPEED:
        speeds, of = np.unique(tires.speed, return_inverse=True)
        each = each * np.array([_high_speed_factor(speed, top) for speed in speeds])[of]
    reserve = limits.load_reserve.value if limits.load_reserve else np.nan
    hub = hub_margins(asked.hub, rims)
    return {
        "rim_type": np.where(same, 0.0, -1.0 - np.abs(tires.seat_deg - rims.seat_deg)),
        "tube": np.where(tires.tube & ~rims.tube_ok, -1.0, 0.0),
        "rim_width_approved": np.asarray(rim_margin_in(rims.width, tires.rim_min, tires.rim_max)),
        "tire_load": 2.0 * each - asked.load,
        "speed": tires.speed - top,
        "load_reserve": 2.0 * np.fmin(each, rims.load) - asked.load * (1.0 + reserve / 100.0),
        **hub,
        "wheel_load": 2.0 * rims.load - asked.load,
        "wheel_pressure": rims.pressure - tires.pressure,
        "disc": disc_margins(asked.swept.room, rims),
    }


HIGH_SPEED = 210.0
"""Above this speed [km/h] a passenger tire carries less (trade.load)."""
_SYMBOLS = {240.0: "V", 270.0: "W", 300.0: "Y"}


def _high_speed_factor(speed: float, top: float) -> float:
    """Return the share of its load that a tire of a rated speed carries at the top speed [km/h]."""
    symbol = _SYMBOLS.get(speed)
    return 1.0 if symbol is None else float(load_factor_at_speed(symbol, top))


def gaps(asked: Asked, tires: Tires) -> Floats:
    """Return lip to tire at ride height, nominal, (ends, n) [mm]; nan where no lip was measured."""
    radii = [end.lip_radius for end in asked.swept.room.ends]
    return np.stack([np.full(len(tires), np.nan) if r is None else r - tires.od / 2.0 for r in radii])


def pokes(asked: Asked, section: Floats, shift: Floats) -> Floats:
    """Return the tire beyond the body's edge, nominal, (ends, n) [mm]; nan where the edge was not
    measured.
    """
    outs = [end.body_out for end in asked.swept.room.ends]
    return np.stack(
        [np.full(len(section), np.nan) if out is None else section / 2.0 + shift - out for out in outs]
    )


def pair_wishes(asked: Asked, tires: Tires, rims: Rims) -> dict[str, tuple[AxleWish, Floats]]:
    """Return the misses (n,) of every wish that no backspace changes; nan: can't be judged."""
    out = {}
    for wish in asked.wishes:
        if wish.name in ("poke", RATIO):
            continue
        if wish.name == "gap":
            missed = miss(wish, gaps(asked, tires)).max(axis=0)
        elif wish.name == "tread":
            missed = np.array([0.0 if kind in asked.tread else 1.0 for kind in tires.kind])
        else:
            value = {
                "tire_diameter": tires.od,
                "section": nominal_section(tires, rims),
                "rim_diameter": rims.code,
                "rim_width": rims.width,
            }[wish.name]
            missed = miss(wish, value)
        out[wish.name] = (wish, missed)
    return out


def closings_of(asked: Asked, rims: Rims) -> Iterator[tuple[Thing, NDArray[np.bool_]]]:
    """Yield every thing that closes backspaces, brake first, with the rims (n,) whose barrel is known well
    enough.
    """
    brake = asked.swept.brake
    things = sorted(asked.swept.things, key=lambda thing: asked_first(thing.id))
    for thing in [brake, *things] if brake is not None else things:
        yield thing, judged_on(thing.items, rims)


def judged_on(items: Sequence[Item], rims: Rims) -> NDArray[np.bool_]:
    """Return the rims (n,) whose barrel is known well enough for a thing: all, where it isn't in a barrel."""
    inside = all(not item.turns for item in items)
    return rims.known if inside else np.ones(len(rims), dtype=bool)


def distinct_closings(asked: Asked, rims: Rims) -> Iterator[tuple[Thing, NDArray[np.bool_], bool]]:
    """Yield what ``closings_of`` does, and whether it closes anything that one before it does not: a thing
    that stands alike on both sides is one to the wheels.
    """
    seen: set[tuple[tuple[int, int], ...]] = set()
    for thing, judged in closings_of(asked, rims):
        curves = tuple((id(closed.up), id(closed.down)) for closed in thing.closed)
        yield thing, judged, curves not in seen
        seen.add(curves)


class Parts:
    """The sections that an axle's clearances are judged by: a plain one, and one with the side walls' bulge
    for what stands low beside the wheel. ``rim`` (n,), where given, numbers the rims: equal for equal rims.
    """

    def __init__(self, asked: Asked, tires: Tires, rims: Rims, rim: Ints | None = None) -> None:
        self._asked, self._tires, self._rims, self._rim = asked, tires, rims, rim
        self._of: dict[bool, Sections] = {}

    def of(self, thing: Thing) -> Sections:
        """Return the sections for a thing."""
        if thing.low not in self._of:
            service = Service(*self._asked.chains, bulge=thing.low)
            self._of[thing.low] = replace(in_service(self._tires, self._rims, service), rim=self._rim)
        return self._of[thing.low]


def thing_interval(
    thing: Thing,
    parts: Sections,
    to_centre: Floats,
    mud: NDArray[np.bool_],
    within: tuple[Floats, Floats] | None = None,
) -> tuple[Floats, Floats]:
    """Return a thing's fouled open interval of backspaces (n,) [mm], each pair at its own tread class.

    ``within``: see ``clear.fouled_backspaces``.
    """
    if len(thing.closed) == 1:
        return fouled_backspaces(thing.closed[0], parts, to_centre, within)
    low, high = np.empty(len(mud)), np.empty(len(mud))
    for rows, tread in ((np.flatnonzero(~mud), 0), (np.flatnonzero(mud), 1)):
        if len(rows):
            ends = None if within is None else (within[0][rows], within[1][rows])
            low[rows], high[rows] = fouled_backspaces(
                thing.closed[tread], parts.take(rows), to_centre[rows], ends
            )
    return low, high


def widest_shift(asked: Asked, section: Floats) -> Floats | None:
    """Return the greatest shift (n,) [mm] within the overall width, None where no limit is given or nothing
    measured.
    """
    limit, face = asked.scenario.limits.overall_width, asked.swept.room.axle.face_to_face
    if limit is None or face is None:
        return None
    return np.asarray((limit.value - face.high - section) / 2.0)


def scrub_shifts(asked: Asked, tires: Tires) -> tuple[Floats, Floats] | None:
    """Return the shifts (low, high), each (n,) [mm], within the limit on scrub radius; None without one."""
    limit = asked.scenario.limits.scrub_change
    if limit is None or asked.now is None:
        return None
    radius = np.asarray(loaded_radius_mm(tires.od))
    return scrub_kept(asked.swept.room.axle, asked.now, radius, limit.value)


def find(asked: Asked, tires: Tires, rims: Rims) -> Candidates:
    """Return every row of the tables' tires on their rims that meets all that this axle asks.

    Pairs are taken so many at once, which bounds the memory; no pair's answer depends on the others.
    """
    fell: dict[str, int] = {}
    tire, rim = _rated(asked, tires, rims, fell)
    found = [
        _opened(asked, tires, rims, tire[at : at + _AT_ONCE], rim[at : at + _AT_ONCE], fell)
        for at in range(0, max(len(tire), 1), _AT_ONCE)
    ]
    before = np.cumsum([0, *(len(part.tire) for part in found)])
    return Candidates(
        tires,
        rims,
        np.concatenate([part.tire for part in found]),
        np.concatenate([part.rim for part in found]),
        np.concatenate([part.pair + start for part, start in zip(found, before[:-1], strict=True)]),
        np.concatenate([part.backspace for part in found]),
        np.concatenate([part.score for part in found]),
        tuple(fell.items()),
        sum(part.pairs_open for part in found),
    )


def _rated(asked: Asked, tires: Tires, rims: Rims, fell: dict[str, int]) -> tuple[Ints, Ints]:
    """Return (tire, rim) of the pairs of one rim diameter that meet all that no backspace changes."""
    pairs = []
    for code in np.unique(tires.code):
        of, on = np.flatnonzero(tires.code == code), np.flatnonzero(rims.code == code)
        left = np.ones((len(of), len(on)), dtype=bool)
        for key, margins in row_margins(asked, tires.take(of[:, None]), rims.take(on)).items():
            _drop(fell, f"{asked.name}.{key}", left, ~(margins < 0.0))
        tire, rim = np.nonzero(left)
        pairs.append((of[tire], on[rim]))
    if not pairs:
        return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp)
    return np.concatenate([tire for tire, _ in pairs]), np.concatenate([rim for _, rim in pairs])


def _drop(fell: dict[str, int], id_: str, left: NDArray[np.bool_], met: NDArray[np.bool_]) -> None:
    """Leave those that are met, in place, and count those that fell."""
    before = int(left.sum())
    left &= met
    fell[id_] = fell.get(id_, 0) + before - int(left.sum())


def _opened(
    asked: Asked, tires: Tires, rims: Rims, tire: Ints, rim: Ints, fell: dict[str, int]
) -> Candidates:
    """Return the rows of some pairs: every step of backspace that all things, limits and musts leave open."""
    on_tires, on_rims = tires.take(tire), rims.take(rim)
    left = np.ones(len(tire), dtype=bool)
    wishes = pair_wishes(asked, on_tires, on_rims)
    for name, (wish, missed) in wishes.items():
        if wish.must:
            _drop(fell, f"{asked.name}.{name}", left, ~(missed > 0.0))
    if not left.all():
        tire, rim, on_tires, on_rims = tire[left], rim[left], on_tires.take(left), on_rims.take(left)
        wishes = {name: (wish, missed[left]) for name, (wish, missed) in wishes.items()}
    pair, backspace, live = cleared(asked, on_tires, on_rims, rim, fell)
    score = np.zeros(len(tire))
    for wish, missed in wishes.values():
        score += np.nan_to_num(points(wish, missed))
    score = score[pair]

    def keep(mask: NDArray[np.bool_], id_: str) -> None:
        nonlocal pair, backspace, score
        pair, backspace, score = pair[mask], backspace[mask], score[mask]
        now = np.zeros(len(tire), dtype=bool)
        now[pair] = True
        _drop(fell, id_, live, now)

    section, to_centre = nominal_section(on_tires, on_rims), on_rims.to_centre
    most = widest_shift(asked, np.asarray(section * on_tires.section_max / on_tires.section))
    if most is not None:
        keep(backspace >= (to_centre - most)[pair], f"{asked.name}.overall_width")
    scrub = scrub_shifts(asked, on_tires)
    if scrub is not None:
        shift = to_centre[pair] - backspace
        keep((shift >= scrub[0][pair]) & (shift <= scrub[1][pair]), f"{asked.name}.scrub_change")
    for wish in asked.wishes:
        if wish.name == "poke":
            missed = miss(wish, pokes(asked, section[pair], to_centre[pair] - backspace)).max(axis=0)
            score = score + np.nan_to_num(points(wish, missed))
            if wish.must:
                keep(~(missed > _HAIR), f"{asked.name}.poke")
    return Candidates(tires, rims, tire, rim, pair, backspace, score.astype(np.int64), (), int(live.sum()))


def cleared(
    asked: Asked, tires: Tires, rims: Rims, rim: Ints, fell: dict[str, int]
) -> tuple[Ints, Floats, NDArray[np.bool_]]:
    """Return (pair, backspace [mm]) of every step that all things leave open to pairs (n,), and which pairs
    have one. ``rim`` (n,) numbers the rims.

    A thing is asked only for what the things before it left open.
    """
    step = asked.scenario.limits.backspace_step
    steps = Steps(rims, step.value if step else USUAL_STEP)
    parts, to_centre = Parts(asked, tires, rims, rim), rims.to_centre
    mud = np.asarray(tires.kind == "mud", dtype=bool)
    live = np.ones(len(tires), dtype=bool)
    _drop(fell, f"{asked.name}.blank", live, steps.open)
    for thing, judged, new in distinct_closings(asked, rims):
        rows = np.flatnonzero(live & judged) if new else np.zeros(0, dtype=np.intp)
        if len(rows):
            low, high = np.full(len(tires), np.inf), np.full(len(tires), -np.inf)
            ends = tuple(end[rows] for end in steps.ends())
            low[rows], high[rows] = thing_interval(
                thing, parts.of(thing).take(rows), to_centre[rows], mud[rows], (ends[0], ends[1])
            )
            steps.close(low, high)
        _drop(fell, thing.id, live, steps.open)
    pair, backspace = steps.rows()
    return pair, backspace, live


def one_blank(found: Candidates) -> Candidates:
    """Return the rows with one blank for each tire, material, rim diameter and width made to order.

    Blanks of one material and size (their wells on either side, say) are one source to a builder. Of each the
    best stays: least score, price, mass, then most backspaces open, then id.
    """
    if not len(found.pair):
        return found
    pairs, start, count = np.unique(found.pair, return_index=True, return_counts=True)
    rim, tire = found.rim[pairs], found.tire[pairs]
    score = np.minimum.reduceat(found.score, start)
    rims = found.rims
    kind = np.unique(
        [f"{s}:{m}" for s, m in zip(rims.source, rims.material, strict=True)], return_inverse=True
    )[1]
    own = np.where(rims.source == "made", -1, np.arange(len(rims)))
    by_id = np.argsort(np.argsort(rims.id.astype(str), kind="stable"), kind="stable")
    group = (tire, rims.code[rim], rims.width[rim], kind[rim], own[rim])
    order = np.lexsort((by_id[rim], -count, rims.mass[rim], rims.price[rim], score, *group))
    first = np.zeros(len(order), dtype=bool)
    first[0] = True
    for key in group:
        first[1:] |= key[order][1:] != key[order][:-1]
    chosen = np.zeros(len(found.tire), dtype=bool)
    chosen[pairs[order[first]]] = True
    rows = chosen[found.pair]
    return replace(found, pair=found.pair[rows], backspace=found.backspace[rows], score=found.score[rows])
