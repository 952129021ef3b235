"""Small plans drawn at random, and a brute force that shares no code with what it judges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np
from hypothesis import strategies as st

from wellroom.search.plan import AxleRows, GearOptions, Joint, PlanRow

ROLLING = (
    2_500_000,
    2_525_000,
    2_525_001,
    2_512_500,
    2_537_562,
    2_537_563,
)  # 1 % and 0.5 % bands, on the edge and off


@dataclass(frozen=True)
class Case:
    """One question: rows of two axles, gears, joint requirements, each row's margin."""

    front: AxleRows
    rear: AxleRows
    gears: GearOptions
    joint: Joint
    margins: dict[str, list[int]]

    def margin(self, axle: str, rows: Any) -> Any:
        """Return margins as the search asks for them."""
        return np.array([self.margins[axle][row] for row in rows], dtype=np.int64)

    def content(self, plan: PlanRow) -> tuple[Any, ...]:
        """Return a plan without its row numbers."""
        f, r, g = self.front, self.rear, self.gears
        i, j, n = plan.front_row, plan.rear_row, plan.gear
        return (
            plan.score, plan.price_cents, plan.margin, plan.mass_g,
            *(column[k] for rows, k in ((f, i), (r, j)) for column in
              (rows.tire, rows.wheel, rows.rim_diameter, rows.rim_width, rows.backspace_um)),
            g.front_id[n], g.rear_id[n],
        )  # fmt: skip

    def shuffled(self, seed: int) -> Case:
        """Return the same case with each axle's rows in another order."""
        rng = np.random.default_rng(seed)
        axles, margins = {}, {}
        for name, rows in (("front", self.front), ("rear", self.rear)):
            by = rng.permutation(len(rows))
            axles[name] = AxleRows(**{key: getattr(rows, key)[by] for key in AxleRows.__dataclass_fields__})
            margins[name] = [self.margins[name][i] for i in by]
        return replace(self, **axles, margins=margins)


def axle(rows: list[tuple[str, str, int, int, int, int, int, int, int, bool]]) -> AxleRows:
    """Return rows given one tuple each, in the order of the fields."""
    columns = list(zip(*rows, strict=True)) if rows else [()] * 10
    texts, numbers = columns[:2], columns[2:9]
    return AxleRows(
        *(np.array(text, dtype=object) for text in texts),
        *(np.array(number, dtype=np.int64) for number in numbers),
        np.array(columns[9], dtype=bool),
    )


def brute(case: Case, k: int) -> list[tuple[Any, ...]]:
    """Return the contents of the k best plans by going through all pairs of rows and all gears."""
    best: dict[Any, Any] = {}
    for order, key, content in _all(case):
        if key not in best or order < best[key][0]:
            best[key] = (order, content)
    return [content for _, content in sorted(best.values(), key=lambda found: found[0])][:k]


def feasible(case: Case, i: int, j: int, g: int) -> bool:
    """Return whether rows i and j go together with gear option g."""
    f, r, gears, joint = case.front, case.rear, case.gears, case.joint
    if joint.match_ppm is not None:
        a = int(gears.front_ratio_u[g]) * int(r.rolling_um[j])
        b = int(gears.rear_ratio_u[g]) * int(f.rolling_um[i])
        if max(a, b) * 10**6 > min(a, b) * (10**6 + joint.match_ppm):
            return False
    if joint.same_construction and f.radial[i] != r.radial[j]:
        return False
    names = ("tire", "wheel", "rim_diameter", "rim_width", "backspace_um")
    if joint.same_wheel and any(getattr(f, name)[i] != getattr(r, name)[j] for name in names):
        return False
    price = int(f.price_cents[i]) + int(r.price_cents[j]) + int(gears.price_cents[g])
    if joint.budget_cents is not None and price > joint.budget_cents:
        return False
    if joint.mass_g is not None and int(f.mass_g[i]) + int(r.mass_g[j]) > joint.mass_g:
        return False
    return bool(gears.allowed[g, gear_column(case, i, j)])


def gear_column(case: Case, i: int, j: int) -> int:
    """Return the column of the gear tables for rows i and j."""
    rolling = case.front.rolling_um[i] if case.gears.reference == "front" else case.rear.rolling_um[j]
    return case.gears.rolling_values_um.tolist().index(int(rolling))


def _all(case: Case) -> Any:
    f, r, gears = case.front, case.rear, case.gears
    for i, j, g in product(range(len(f)), range(len(r)), range(len(gears))):
        if not feasible(case, i, j, g):
            continue
        score = int(f.score[i]) + int(r.score[j]) + int(gears.score[g, gear_column(case, i, j)])
        price = int(f.price_cents[i]) + int(r.price_cents[j]) + int(gears.price_cents[g])
        margin = min(case.margins["front"][i], case.margins["rear"][j])
        ids = (f.tire[i], r.tire[j], f.wheel[i], r.wheel[j], f.rim_diameter[i], r.rim_diameter[j])
        ids += (f.rim_width[i], r.rim_width[j])
        sets = tuple((name is not None, name or "") for name in (gears.front_id[g], gears.rear_id[g]))
        spaces = (f.backspace_um[i], r.backspace_um[j])
        plan = PlanRow(i, j, g, score, price, int(f.mass_g[i]) + int(r.mass_g[j]), margin)
        yield (score, price, -margin, *ids, *sets, *spaces), (ids, sets), case.content(plan)


def case_from(pick: Callable[[int, int], int], *, most_rows: int = 12) -> Case:
    """Return a case made of the numbers that ``pick(least, most)`` gives, with ties and edges in it."""
    fine = pick(0, 1)
    tires = [
        (
            f"T{n}",
            ROLLING[pick(0, len(ROLLING) - 1)],
            pick(0, 3) > 0,
            100 * pick(1, 3) + fine * pick(0, 9),
            pick(1, 3),
        )
        for n in range(pick(1, 4))
    ]
    wheels = [(f"made:B{n}", 50 * pick(0, 2), pick(0, 2)) for n in range(pick(1, 3))]
    rims = [(150 + 10 * pick(0, 2), 700 + 50 * pick(0, 2)) for _ in range(pick(1, 2))]
    worth = (pick(0, 1), pick(1, 4))
    axles, margins = {}, {}
    for name in ("front", "rear"):
        seen: dict[Any, Any] = {}
        for _ in range(pick(1, most_rows)):
            tire, wheel = tires[pick(0, len(tires) - 1)], wheels[pick(0, len(wheels) - 1)]
            rim, space = rims[pick(0, len(rims) - 1)], 3175 * pick(20, 23)
            price = tire[3] + wheel[1] + (rim[1] - 700)
            row = (
                tire[0],
                wheel[0],
                *rim,
                space,
                worth[0] * pick(0, worth[1]),
                price,
                10 * (tire[4] + wheel[2]),
            )
            seen[(tire[0], wheel[0], *rim, space)] = (*row, tire[1], tire[2])
        axles[name] = axle(list(seen.values()))
        margins[name] = [pick(-2, 4) for _ in seen]
    count = pick(1, 4)
    ids = [(None if n == 0 else f"F{(4 - n) // 2}", None if n == 0 else f"R{n}") for n in range(count)]
    ratios = [(4_100_000, 4_110_000, 4_141_000, 3_730_000)[pick(0, 3)] for _ in range(2 * count)]
    values = sorted({tire[1] for tire in tires})
    gears = GearOptions(
        [a for a, _ in ids],
        [b for _, b in ids],
        np.array(ratios[:count]),
        np.array(ratios[count:]),
        np.array([50 * pick(0, 2) for _ in ids]),
        "front" if pick(0, 1) else "rear",
        np.array(values),
        np.array([[worth[0] * pick(0, 2) for _ in values] for _ in ids]),
        np.array([[pick(0, 4) > 0 for _ in values] for _ in ids]),
    )
    joint = Joint(
        (None, 10_000, 5_000)[pick(0, 2)],
        bool(pick(0, 1)),
        pick(0, 3) == 0,
        (None, 50 * pick(4, 20))[pick(0, 1)],
        (None, 10 * pick(2, 10))[pick(0, 1)],
    )
    return Case(axles["front"], axles["rear"], gears, joint, margins)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Draw a case."""
    return case_from(lambda least, most: draw(st.integers(least, most)))


def wide_case(seed: int, rows: int = 160) -> Case:
    """Return a case of many tires and wheels whose best plans a budget and a mass limit forbid."""
    rng = np.random.default_rng(seed)
    axles, margins = {}, {}
    tires = [
        (f"T{n:03d}", 2_000_000 + 4_000 * int(rng.integers(0, 300)), int(rng.integers(10, 400)))
        for n in range(60)
    ]
    for name in ("front", "rear"):
        seen = {}
        for _ in range(rows):
            tire, wheel = tires[rng.integers(0, 60)], int(rng.integers(0, 9))
            # dear is light and scores well, so that each limit pulls against the order
            dear = (int(tire[0][1:]) * 37 + wheel * 11) % 50
            space, rim = 3175 * int(rng.integers(20, 23)), (170, 800)
            score, price, mass = (50 - dear) // 7 + space % 2, tire[2] + 20 * dear, 500 - 7 * dear
            row = (tire[0], f"made:B{wheel}", *rim, space, score, price, mass, tire[1], True)
            seen[(tire[0], wheel, space)] = row
        axles[name] = axle(list(seen.values()))
        margins[name] = [int(x) for x in rng.integers(0, 50, len(seen))]
    values = np.array(sorted({tire[1] for tire in tires}))
    ratios, price = np.array([4_100_000, 3_730_000, 4_560_000]), np.array([0, 90, 60])
    score = rng.integers(0, 4, (3, len(values)))
    sets = [None, "F1", "F2"], [None, "R1", "R2"]
    gears = GearOptions(*sets, ratios, ratios, price, "rear", values, score, score >= 0)
    joint = Joint(10_000, True, False, int(rng.integers(500, 1500)), int(rng.integers(650, 800)))
    return Case(axles["front"], axles["rear"], gears, joint, margins)


def random_case(seed: int, most_rows: int = 12) -> Case:
    """Return the case of a seed."""
    rng = np.random.default_rng(seed)
    return case_from(lambda least, most: int(rng.integers(least, most + 1)), most_rows=most_rows)
