"""Scenarios and small catalogs broken in one place each, by every key and in every way we could think of."""

from __future__ import annotations

import copy
import random
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog.sheets import Sheet
from scenario import mutate
from wellroom.catalog.spec import TABLES
from wellroom.scenario.words import place_text

Place = mutate.Place

# What no measure, name or choice is.
ODD: tuple[Any, ...] = (
    0, -1, 1, 24, 1e308, -1e308, 1e-320, -0.0, 10**40, 2**63, 0.1 + 0.2, True, False,
    float("nan"), float("inf"), float("-inf"), date(1962, 5, 1),
    "", " ", "24 1/8", "24,5", "1/0", "0/0", "nan", "inf", "1e999", "٣", "½", "24\n1/8", "x" * 5000, "\x00",
    "..", "0 to 12", "12 to 0", "5 ± 99", "5 ± -1", "24 1/8 lb", "61 cm", "3 kg", "12 deg", "40 psi",
    "90 mph", "5 %", "24 in in", "-24 in", "1_000", "0x18", "offset", "left", "solid", "independent", "mud",
    "16x7", "7x16",
    "LT285/70R17 121/118S", "37x12.50R17LT", "8.25-20", "M12x1.5", "½-20", "🛞", "\u202e24",
    [], [1], [1, 2], [2, 1], [[1, 2]], [[]], ["a", "b"], [1, "2 in"], [None.__class__.__name__],
    {}, {"value": 24}, {"value": "24 in", "pm": "1/8", "how": "tape"}, {"pm": 1}, {"value": {}},
    {"front": [1, 2]},
    {"front": [1, 2], "rear": [2, 1]}, {"value": 24, "pm": -1}, {"value": 24, "offset": 1},
)  # fmt: skip
CHOICES = (
    "left", "right", "both", "body", "frame", "axle", "knuckle", "between", "inboard", "outboard", "nothing",
    "cuts", "rubs", "point", "ride", "stop", "solid", "independent", "pilot", "studs", "cone", "ball", "flat",
    "4x4_full_time", "4x4_part_time", "rear", "front", "car", "truck",
)  # fmt: skip
NAMES = ("offset", "backspce", "Radius", "x" * 300, "", "radius ", "in_", "🛞", "value", "lip", "front")


@dataclass(frozen=True)
class Mutant:
    """A text to be read; ``places``: what a fault may call the place; ``lines``: or where it may point."""

    kind: str
    what: str
    key: str
    text: str
    places: tuple[str, ...] = ()
    lines: tuple[int, ...] = ()


def cheap_text() -> str:
    """Return the clean fixture with a few of its measures plainer, so that its poses are swept in no time."""
    tables = mutate.tables()
    tables["axle"]["front"]["steering"] |= {"kingpin_inclination": 9}
    return mutate.toml(tables)


def places_of(text: str | None = None) -> list[Place]:
    """Return every place of the base scenario."""
    return list(mutate.places(mutate.tables(text or cheap_text())))


def scenarios(chance: random.Random) -> Iterator[Mutant]:
    """Yield mutated scenarios without end: each round goes once over every place."""
    text = cheap_text()
    base = mutate.tables(text)
    while True:
        order = places_of(text)
        chance.shuffle(order)
        for place in order:
            yield chance.choice(_SCENARIO_WAYS)(base, place, chance)


def _near_names(place: Place) -> tuple[str, ...]:
    return (place_text(place), place_text(place[:-1]))


def _mutant(what: str, place: Place, tables: dict[str, Any], *more: str) -> Mutant:
    return Mutant("scenario", what, place_text(place), mutate.toml(tables), (*_near_names(place), *more))


def _odd(base: dict[str, Any], place: Place, chance: random.Random) -> Mutant:
    value = chance.choice(ODD)
    return _mutant(f"odd {value!r:.60}", place, mutate.put(base, place, value))


def _drop(base: dict[str, Any], place: Place, chance: random.Random) -> Mutant:
    return _mutant("dropped", place, mutate.drop(base, place))


def _rename(base: dict[str, Any], place: Place, chance: random.Random) -> Mutant:
    if isinstance(place[-1], int):
        return _gentle(base, place, chance)
    name = chance.choice((*NAMES, place[-1] + "s", place[-1][:-1], place[-1].upper()))
    if name in mutate.value_at(base, place[:-1]):
        return _drop(base, place, chance)
    return _mutant(
        f"renamed {name!r:.40}", place, mutate.rename(base, place, name), place_text((*place[:-1], name))
    )


def _double(base: dict[str, Any], place: Place, chance: random.Random) -> Mutant:
    """Write a key twice (no TOML), or a list's entry twice."""
    if isinstance(place[-1], int):
        tables = copy.deepcopy(base)
        held = mutate.value_at(tables, place[:-1])
        held.insert(place[-1], copy.deepcopy(held[place[-1]]))
        return _mutant("doubled", place, tables, *(place_text((*place[:-1], k)) for k in range(len(held))))
    text, last = mutate.toml(base), str(place[-1])
    spots = [spot.end() for spot in re.finditer(rf'"{re.escape(last)}" = ', text)]
    spot = chance.choice(spots)
    line = text.count("\n", 0, spot) + 1
    broken = f'{text[:spot]}1, "{last}" = {text[spot:]}'
    if spot < 4 or text[text.rfind("\n", 0, spot) + 1 : spot].count('"') == 2:
        broken = f'{text[:spot]}1\n"{last}" = {text[spot:]}'
    return Mutant("scenario", "key doubled", place_text(place), broken, _near_names(place), (line, line + 1))


def _gentle(base: dict[str, Any], place: Place, chance: random.Random) -> Mutant:
    """Change a value to another that it well may have."""
    value = mutate.value_at(base, place)
    if isinstance(value, bool):
        new: Any = not value
    elif isinstance(value, (int, float)):
        new = chance.choice(
            (
                value * chance.uniform(0.85, 1.15),
                f"{value * 0.97:.3f} to {value:.3f}" if value > 0 else value,
                f"{value} ± {abs(value) * 0.02:.3f}",
                {"value": value, "how": "tape"},
                value + chance.choice((-1, 1)),
            )
        )
    elif isinstance(value, str):
        new = chance.choice((f" {value} ", {"value": value}, value, chance.choice(CHOICES), value.upper()))
    elif isinstance(value, list):
        new = chance.choice((value[::-1], value[:1], value + value[-1:], value[1:]))
    else:
        names = sorted(value)
        new = {name: value[name] for name in names if chance.random() < 0.8}
    deeper = [place_text((*place, step)) for step in (value if isinstance(value, dict) else ())]
    return _mutant(f"gentle {new!r:.60}", place, mutate.put(base, place, new), *deeper)


def _swap(base: dict[str, Any], place: Place, chance: random.Random) -> Mutant:
    """Put there what stands under the same key somewhere else."""
    others = [other for other in places_of() if other[-1] == place[-1] and other != place]
    if not others:
        return _gentle(base, place, chance)
    value = copy.deepcopy(mutate.value_at(base, chance.choice(others)))
    return _mutant(f"swapped {value!r:.60}", place, mutate.put(base, place, value))


def _mangle(base: dict[str, Any], place: Place, chance: random.Random) -> Mutant:
    """Strike or put in a few characters somewhere in the text: mostly no TOML any more."""
    text = mutate.toml(base)
    at = chance.randrange(len(text))
    line = text.count("\n", 0, at) + 1
    junk = chance.choice(("", '"', "=", "[", "]", "#", "\n", "\\", "}", "24 1/8", "'", "\x00", "\ufeff", "½"))
    broken = text[:at] + junk + text[at + chance.randrange(3) :]
    return Mutant("scenario", f"mangled {junk!r}", place_text(place), broken, (), (0, line))


_SCENARIO_WAYS: tuple[Callable[[dict[str, Any], Place, random.Random], Mutant], ...] = (
    _odd, _odd, _drop, _drop, _rename, _double, _mangle, _swap, _swap,
    _gentle, _gentle, _gentle, _gentle, _gentle, _gentle, _gentle, _gentle,
)  # fmt: skip


# --- catalogs -------------------------------------------------------------------------------------

CELLS = (
    "", " ", "0", "-1", "1e308", "nan", "inf", "NaN", "1,5", "1/2", "x" * 4000, "\x00", "½", "٣", "=1+1",
    "yes", "no", "out", "in", "steel", "mud", "radial", "bias", "tube", "20", "20.0", "16.5", "2e1", " 20",
    "20 ", "+20", "0x14", "LT285/70R17 121/118S", "37x12.50R17LT", "1:2;3:4", "4,5,6", "6;5", '"', "a\nb",
    "A1", "Y", "round", "square",
)  # fmt: skip


def catalogs(chance: random.Random) -> Iterator[Mutant]:
    """Yield mutated small catalogs without end: each round goes once over every column of every table."""
    while True:
        columns = [(table, column.name) for table in TABLES for column in table.columns]
        chance.shuffle(columns)
        for table, column in columns:
            sheet = Sheet(table, 5)
            if column in sheet.header:
                yield _catalog(sheet, column, chance)


def _catalog(sheet: Sheet, column: str, chance: random.Random) -> Mutant:
    name, row = sheet.table.name, chance.randrange(len(sheet.rows))
    at, line = sheet.header.index(column), row + 2
    way = chance.randrange(12)
    lines: tuple[int, ...] = (line,)
    if way in (0, 1, 2, 3):
        text = chance.choice(CELLS)
        sheet.rows[row][at], what = text, f"cell {text!r:.40}"
    elif way in (4, 10, 11):
        held = sheet.rows[row][at]
        factor = chance.uniform(0.9, 1.1)
        sheet.rows[row][at] = f"{float(held) * factor:.3f}" if _is_number(held) else held
        what = f"cell {sheet.rows[row][at]!r:.40}"
    elif way == 5:
        sheet.rows[row][at] = sheet.rows[chance.randrange(len(sheet.rows))][at]
        what, lines = f"cell {sheet.rows[row][at]!r:.40}", tuple(range(1, len(sheet.rows) + 2))
    elif way == 6:
        sheet.header[at] = chance.choice(("", "offset", column + "x", column.upper(), sheet.header[0]))
        what, lines = f"column {sheet.header[at]!r}", (1,)
    elif way == 7:
        del sheet.header[at]
        for cells in sheet.rows:
            del cells[at]
        what, lines = "column gone", (1,)
    elif way == 8:
        sheet.rows[row] = sheet.rows[row][:at]
        what = "row cut"
    else:
        sheet.rows.append(list(sheet.rows[row]))
        if chance.random() < 0.5:
            sheet.rows[-1][at] = chance.choice(CELLS)
        what, lines = "row doubled", (line, len(sheet.rows) + 1)
    return Mutant(name, what, f"{name}.{column}", sheet.text(), (column,), lines)


def _is_number(text: str) -> bool:
    try:
        return abs(float(text)) < 1e9
    except ValueError:
        return False
