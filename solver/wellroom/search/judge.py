"""One tire on one wheel at one backspace, judged requirement by requirement with margins, windows and
contacts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from wellroom.geometry import motion as mo
from wellroom.geometry.envelope import Cells
from wellroom.geometry.items import Blocks, Item
from wellroom.geometry.roots import carries_travel
from wellroom.geometry.windows import allowed
from wellroom.scenario.build import DISC_CLEARANCE, End
from wellroom.search import candidates as rows
from wellroom.search import results
from wellroom.search.candidates import Asked
from wellroom.search.clear import Thing, thing_margin
from wellroom.search.requirements import BY_KEY, NO_NUMBER, bare, wording
from wellroom.search.rims import Rims
from wellroom.search.sections import nominal_section
from wellroom.search.steer import stand, steering_of
from wellroom.search.tires import Tires
from wellroom.search.wishes import AxleWish, miss, points
from wellroom.trade.rim import code_mismatch
from wellroom.units import MM_PER_IN

_NEAR = 0.02


@dataclass(frozen=True)
class Judged:
    """An axle's verdict, and the points of its wishes."""

    fit: results.AxleFit
    terms: tuple[results.ScoreTerm, ...]


def judge(asked: Asked, tire: Tires, rim: Rims, backspace: float, quantity: int) -> Judged:
    """Judge one tire (one row) on one rim (one row) at a backspace [mm] from the hub's face."""
    name = asked.name
    shift = float(rim.to_centre[0]) - backspace
    section = float(nominal_section(tire, rim)[0])
    checks: list[results.Check] = []
    windows: dict[str, results.Windows | None] = {}
    for key, margin in rows.row_margins(asked, tire, rim).items():
        id_ = f"{name}.{key}"
        text = wording(id_)
        if key == "rim_type" and margin[0] < 0.0:
            text = code_mismatch(float(tire.code[0]), float(rim.code[0])) or text
        checks.append(
            _check(id_, key, text, float(margin[0]), asked=DISC_CLEARANCE if key == "disc" else None)
        )
        windows[id_] = None
    _clearances(asked, tire, rim, backspace, shift, checks, windows)
    poke = _farther(asked, "poke", rows.pokes(asked, np.array([section]), np.array([shift]))[:, 0])
    gap = _farther(asked, "gap", rows.gaps(asked, tire)[:, 0])
    terms = _wishes(asked, tire, rim, poke, checks, windows)
    hard = [
        w
        for id_, w in windows.items()
        if w is not None and BY_KEY[id_.split(".")[1]].kind in ("rating", "clearance")
    ]
    fit = results.AxleFit(
        tire=results.TireChoice(tire.id[0], str(tire.size[0]), float(tire.od[0]), section),
        wheel=_choice(rim),
        quantity=quantity,
        rim_diameter_in=float(rim.code[0]),
        rim_width_in=float(rim.width[0]),
        backspace_in=backspace / MM_PER_IN,
        backspace_mm=backspace,
        inset_mm=-shift,
        overall_width_mm=float(rim.overall[0]),
        poke_mm=poke,
        inside_mm=None if poke is None else section - poke,
        gap_mm=gap,
        window_mm=_common(hard),
        windows_mm=windows,
        checks=tuple(checks),
        steering=steering_of(asked.scenario, asked.swept.room.axle, stand(tire, rim, backspace), asked.now),
    )
    return Judged(fit, terms)


def _choice(rim: Rims) -> results.WheelChoice:
    source = {"made": "made", "stock": "stock"}.get(rim.source[0])
    thick = float(rim.adapter_mm[0])
    return results.WheelChoice(source, rim.id[0], thick if rim.adapter[0] else None)  # type: ignore[arg-type]  # one of the two


def _check(
    id_: str,
    key: str,
    text: str,
    margin: float,
    *,
    ok: bool | None = None,
    contact: results.Contact | None = None,
    asked: float | None = None,
    kind: results.Kind | None = None,
) -> results.Check:
    declared = BY_KEY[key]
    unknown = math.isnan(margin)
    met = None if unknown else (margin >= 0.0 if ok is None else ok)
    no_number = unknown or math.isinf(margin) or declared.unit in NO_NUMBER
    shown = None if no_number else results.floor_margin(margin)
    return results.Check(id_, kind or declared.kind, text, shown, declared.unit, met, contact, asked)


def _clearances(
    asked: Asked,
    tire: Tires,
    rim: Rims,
    backspace: float,
    shift: float,
    checks: list[results.Check],
    windows: dict[str, results.Windows | None],
) -> None:
    name = asked.name
    parts = rows.Parts(asked, tire, rim)
    mud = np.asarray(tire.kind == "mud", dtype=bool)
    low, high = float(rim.backspace_low[0]), float(rim.backspace_high[0])
    made = rim.source[0] == "made"
    if made:
        id_ = f"{name}.blank"
        windows[id_] = ((_up(low), _down(high)),) if _up(low) <= _down(high) else ()
        checks.append(_check(id_, "blank", wording(id_), min(backspace - low, high - backspace) + 0.0))
    for thing, judged in rows.closings_of(asked, rim):
        text = wording(bare(thing.id))
        if not judged[0]:
            windows[thing.id] = None
            checks.append(_check(thing.id, thing.id.split(".")[1], text + " (barrel not known)", math.nan))
            continue
        section_of = parts.of(thing)
        fouled = rows.thing_interval(thing, section_of, rim.to_centre, mud)
        span = (float(fouled[0][0]), float(fouled[1][0]))
        closed = [span] if span[0] < span[1] else []
        windows[thing.id] = _rounded(allowed(-results.BEYOND, float(rim.overall[0]) + results.BEYOND, closed))
        open_ = not (span[0] < backspace < span[1])
        found, item, cells = thing_margin(asked.swept, thing, int(mud[0]), section_of, shift)
        margin = found.margin if open_ else min(found.margin, -0.01)
        clearance = item.clearances[min(int(mud[0]), len(item.clearances) - 1)]
        contact = _contact(asked, thing, item, cells, found.cell)
        if contact is not None and contact.y_mm is not None:
            outer, inner = shift + section_of.outboard[0].max(), shift - section_of.inboard[0].max()
            past = contact.y_mm > outer if item.blocks is Blocks.INBOARD else contact.y_mm < inner
            contact = replace(contact, beyond=bool(past and item.blocks is not Blocks.NOTHING))
        checks.append(
            _check(
                thing.id,
                thing.id.split(".")[1],
                text,
                max(margin, 0.0) if open_ else margin,
                ok=open_,
                contact=contact,
                asked=clearance,
            )
        )
    section = nominal_section(tire, rim)
    most = rows.widest_shift(asked, section * tire.section_max / tire.section)
    if most is not None:
        id_ = f"{name}.overall_width"
        windows[id_] = _rounded(
            [(float(rim.to_centre[0]) - float(most[0]), float(rim.overall[0]) + results.BEYOND)]
        )
        checks.append(_check(id_, "overall_width", wording(id_), 2.0 * (float(most[0]) - shift)))
    scrub = rows.scrub_shifts(asked, tire)
    if scrub is not None:
        id_ = f"{name}.scrub_change"
        low, high = float(scrub[0][0]), float(scrub[1][0])
        centre = float(rim.to_centre[0])
        windows[id_] = _rounded([(centre - high, centre - low)]) if low <= high else ()
        checks.append(_check(id_, "scrub_change", wording(id_), min(shift - low, high - shift)))


def _up(value: float) -> float:
    return math.ceil(value * 100.0 - 1e-6) / 100.0


def _down(value: float) -> float:
    return math.floor(value * 100.0 + 1e-6) / 100.0


def _rounded(intervals: list[tuple[float, float]]) -> results.Windows:
    return tuple((_up(a), _down(b)) for a, b in intervals if _up(a) <= _down(b))


def _common(windows: list[results.Windows]) -> results.Windows | None:
    """Return the intersection of windows, ascending; None where none depends on the backspace."""
    if not windows:
        return None
    out = list(windows[0])
    for window in windows[1:]:
        out = [(max(a, c), min(b, d)) for a, b in out for c, d in window if max(a, c) <= min(b, d)]
    return tuple(sorted(out))


def _farther(asked: Asked, name: str, values: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float | None:
    """Return of the two ends' values the one farther from the wish; without one, the least gap, the greatest
    poke.
    """
    known = [float(value) for value in values if not math.isnan(value)]
    if not known:
        return None
    wish = next((w for w in asked.wishes if w.name == name), None)
    if wish is not None:
        misses = [float(miss(wish, value)) for value in known]
        if max(misses) > 0.0:
            return known[misses.index(max(misses))]
    return max(known) if name == "poke" else min(known)


def _wishes(
    asked: Asked,
    tire: Tires,
    rim: Rims,
    poke: float | None,
    checks: list[results.Check],
    windows: dict[str, results.Windows | None],
) -> tuple[results.ScoreTerm, ...]:
    found: dict[str, tuple[AxleWish, float]] = {
        name: (wish, float(missed[0])) for name, (wish, missed) in rows.pair_wishes(asked, tire, rim).items()
    }
    for wish in asked.wishes:
        if wish.name == "poke":
            found["poke"] = (wish, math.nan if poke is None else float(miss(wish, poke)))
    terms = []
    for name, (wish, missed) in found.items():
        id_ = f"{asked.name}.{name}"
        key = name
        kind: results.Kind = "limit" if wish.must else "wish"
        met = None if math.isnan(missed) else missed <= 1e-6
        checks.append(_check(id_, key, wording(id_), -missed + 0.0, ok=met, kind=kind))
        windows[id_] = _poke_window(asked, wish, tire, rim) if name == "poke" and poke is not None else None
        if not math.isnan(missed) and missed > 1e-6:
            terms.append(results.ScoreTerm(id_, missed, wish.unit, int(points(wish, missed))))
    return tuple(terms)


def _poke_window(asked: Asked, wish: AxleWish, tire: Tires, rim: Rims) -> results.Windows:
    outs = [end.body_out for end in asked.swept.room.ends]
    half, centre = float(nominal_section(tire, rim)[0]) / 2.0, float(rim.to_centre[0])
    known = [out for out in outs if out is not None]
    low = max(centre + half - wish.high - out for out in known)
    high = min(centre + half - wish.low - out for out in known)
    return _rounded([(low, high)]) if low <= high else ()


def _contact(asked: Asked, thing: Thing, item: Item, cells: Cells, row: int) -> results.Contact | None:
    if row < 0:
        return None
    what = thing.id.split(".")[-1 if not thing.id.endswith((".left", ".right")) else -2].replace("_", " ")
    x, y, z = (float(v) for v in cells.at[row])
    end = asked.swept.room.ends[thing.end]
    place = results.Place(x, y, z)
    if thing is asked.swept.brake:
        return results.Contact(what, place, r_mm=float(cells.r[row]), y_mm=float(cells.y[row]), side="both")
    pose, motion = cells.pose[row], end.motion
    tilt = float(np.arcsin(pose[mo.TILT]))
    lock = float(pose[mo.LOCK])
    if item.stood != (None, None):
        return _as_stood(what, place, item, (float(cells.r[row]), float(cells.y[row])), end, asked)
    travel = _travel(motion, item, pose, z) if item.turns and item.share < 1.0 else None
    return results.Contact(
        what,
        place,
        math.degrees(lock) if item.turns else None,
        None if travel is None else travel + asked.swept.room.lift,
        math.degrees(tilt) if travel is not None else None,
        float(cells.r[row]),
        float(cells.y[row]),
        end.side,  # type: ignore[arg-type]  # left, right or both
        None,
        _extremes(motion, lock, travel, tilt),
    )


def _as_stood(
    what: str, place: results.Place, item: Item, at: tuple[float, float], end: End, asked: Asked
) -> results.Contact:
    """Return the contact of what was measured at a pose: it stands so there."""
    lock, travel = item.stood
    return results.Contact(
        what,
        place,
        math.degrees(lock) if lock is not None and end.motion.steered else None,
        None if travel is None else travel + asked.swept.room.lift,
        None,
        *at,
        end.side,  # type: ignore[arg-type]  # left, right or both
        None,
        _extremes(end.motion, lock or 0.0, travel, 0.0),
    )


def _travel(
    motion: mo.Motion, item: Item, pose: np.ndarray[tuple[int], np.dtype[np.float64]], z: float
) -> float:
    """Return this end's travel [mm]; where a box carries its travel itself, the one nearest to rest at which
    some height of the box stands at ``z``.
    """
    sine = float(pose[mo.TILT])
    zone = next(z for z in motion.zones() if z.first - _NEAR <= sine <= z.last + _NEAR)
    low, high = zone.low + zone.low_g * sine, zone.high + zone.high_g * sine
    if not carries_travel(item, motion):
        return low + float(pose[mo.UP]) * (high - low)
    heights = np.concatenate([surface.corners[:, 2] for surface in item.surfaces])
    first = min(max(low, float(heights.min()) - z), high)
    last = max(min(high, float(heights.max()) - z), low)
    return min(max(0.0, first), max(first, last))


def _extremes(motion: mo.Motion, lock: float, travel: float | None, tilt: float) -> tuple[str, ...]:
    out = []
    if (
        motion.lock.high > motion.lock.low
        and min(abs(lock - motion.lock.low), abs(lock - motion.lock.high)) < _NEAR
    ):
        out.append("lock")
    if travel is not None:
        if abs(travel - motion.up.high) < 1.0:
            out.append("bump")
        elif abs(travel - motion.up.low) < 1.0:
            out.append("droop")
        if motion.lean and abs(abs(tilt) - motion.max_tilt) < _NEAR:
            out.append("tilt")
    return tuple(out)
