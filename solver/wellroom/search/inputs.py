"""One input of a scenario over a range or a list of values, as it is asked for in text."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wellroom.errors import Fault, RequestError
from wellroom.scenario.base import nearest
from wellroom.scenario.change import EachOf
from wellroom.scenario.faults import Place
from wellroom.scenario.model import Scenario
from wellroom.scenario.quantity import Quantity
from wellroom.scenario.tables import keys_at, spec_at
from wellroom.scenario.words import place_of
from wellroom.units import Kind, ParseError, Units, parse, shown, unit_name

MOST_POINTS = 400
_INTERVALS = 10
_HAIR = 1e-9
_OWN_STEP: dict[Kind, dict[Units, float]] = {
    Kind.LENGTH: {"in": 1.0 / 16.0, "mm": 1.0},
    Kind.ANGLE: {"in": 0.1, "mm": 0.1},
    Kind.MASS: {"in": 1.0, "mm": 1.0},
    Kind.PRESSURE: {"in": 1.0, "mm": 1.0},
    Kind.SPEED: {"in": 1.0, "mm": 1.0},
    Kind.PERCENT: {"in": 0.1, "mm": 0.1},
    Kind.RATIO: {"in": 0.001, "mm": 0.001},
    Kind.PLAIN: {"in": 1.0, "mm": 1.0},
}
"""How finely each kind is measured or set, in the unit it is shown in: common practice, no source."""


@dataclass(frozen=True)
class Input:
    """An input that is varied.

    ``paths`` are the places set (two where ``*`` stood for both axles). ``kind`` None: its values are words.
    ``numbers`` in the unit shown, ascending or as listed; ``texts`` what is set. ``step`` is the input's own.
    """

    path: str
    paths: tuple[str, ...]
    kind: Kind | None
    unit: str
    numbers: tuple[float, ...]
    texts: tuple[str, ...]
    step: float | None

    def text_of(self, number: float) -> str:
        """Return a value as it is set and printed."""
        return f"{_digits(number)} {self.unit}".rstrip()

    def sets(self, text: str) -> list[str]:
        """Return the PATH=VALUE that put a value in place."""
        return [f"{path}={text}" for path in self.paths]


def _digits(number: float) -> str:
    text = f"{number:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def read_input(request: str, scenario: Scenario, exact: str | None = None) -> Input:
    """Return the input that PATH=FROM..TO[:STEP] or PATH=A,B,C asks for.

    ``*`` in place of front and rear sets both axles. Without a step there are ten. ``exact`` overrides the
    input's own step. Raises RequestError.
    """
    path, equals, values = (part.strip() for part in request.partition("="))
    if not equals or not path or not values:
        raise _refuse(request, "PATH=FROM..TO:STEP or PATH=A,B,C, as axle.front.travel.stop_gap=2..4:1/4")
    steps = path.split(".")
    paths = tuple(".".join(end if step == "*" else step for step in steps) for end in ("front", "rear"))
    paths = tuple(dict.fromkeys(paths))
    place: Place = place_of(paths[0])
    spec = spec_at(place) or (spec_at(place[:-1]) if len(place) > 1 else None)
    if spec is None and not _known(place):
        raise _refuse(path, f"an input of the scenario{_nearest(place)}", "PATH")
    quantity = spec.quantity if isinstance(spec, EachOf) else spec
    kind = quantity.kind if isinstance(quantity, Quantity) else None
    units = scenario.units
    if ".." in values:
        return _range(path, paths, values, kind or Kind.PLAIN, units, exact)
    words = _listed(values)
    if len(words) > MOST_POINTS or not all(words):
        raise _refuse(values, f"up to {MOST_POINTS} values with commas between", path)
    if kind is None:
        return Input(path, paths, None, "", (), tuple(words), None)
    numbers = tuple(_number(word, kind, units, path) for word in words)
    return _made(path, paths, numbers, kind, units, exact)


def _nearest(place: Place) -> str:
    """Return the name that the first key that is not known in a place may be a slip of."""
    for depth, step in enumerate(place):
        known = keys_at(place[:depth])
        if known and str(step) not in known:
            return nearest(str(step), known)
    return ""


def _known(place: Place) -> bool:
    """Return whether a place can hold something though no spec says what: within a table of words."""
    return any(spec_at(place[:length]) is not None for length in range(1, len(place)))


def _listed(values: str) -> list[str]:
    """Return the values between commas; a comma within brackets is part of a value."""
    out, depth = [""], 0
    for letter in values:
        depth += (letter in "[{") - (letter in "]}")
        if letter == "," and depth == 0:
            out.append("")
        else:
            out[-1] += letter
    return [word.strip() for word in out]


def _refuse(found: str, expected: str, place: str = "input") -> RequestError:
    return RequestError([Fault("vary", 0, place, repr(found), expected)])


def _number(text: str, kind: Kind, units: Units, path: str) -> float:
    try:
        measure = parse(text, kind, units)
    except ParseError as error:
        raise _refuse(text, error.expected, path) from error
    if measure.is_range or measure.pm is not None:
        raise _refuse(text, "one number, without a ± or a range", path)
    return round(shown(measure.value, kind, units), 9)


def _range(
    path: str, paths: tuple[str, ...], values: str, kind: Kind, units: Units, exact: str | None
) -> Input:
    ends, _, step_text = values.partition(":")
    first, _, last = ends.partition("..")
    low, high = (_number(end.strip(), kind, units, path) for end in (first, last))
    if low >= high:
        raise _refuse(values, "FROM less than TO", path)
    step = _number(step_text.strip(), kind, units, path) if step_text.strip() else (high - low) / _INTERVALS
    if step <= 0.0:
        raise _refuse(step_text.strip(), "a STEP above 0", path)
    count = math.floor((high - low) / step + 1e-6)
    if count + 1 > MOST_POINTS:
        raise _refuse(values, f"up to {MOST_POINTS} points", path)
    numbers = [round(low + k * step, 9) for k in range(count + 1)]
    if numbers[-1] < high - 1e-6 * step:
        numbers.append(high)
    return _made(path, paths, tuple(numbers), kind, units, exact)


def _made(
    path: str,
    paths: tuple[str, ...],
    numbers: tuple[float, ...],
    kind: Kind,
    units: Units,
    exact: str | None,
) -> Input:
    step = _OWN_STEP[kind][units]
    if exact is not None:
        step = _number(exact, kind, units, "--exact")
        if step <= 0.0:
            raise _refuse(exact, "a step above 0", "--exact")
    unit = unit_name(kind, units)
    texts = tuple(f"{_digits(number)} {unit}".rstrip() for number in numbers)
    return Input(path, paths, kind, unit, numbers, texts, step)


def between(low: float, high: float, step: float) -> Sequence[float]:
    """Return the multiples of a step strictly between two numbers, ascending.

    >>> list(between(1.0, 1.3, 0.1))
    [1.1, 1.2]
    """
    return list(_multiples(low, high, step))


def _multiples(low: float, high: float, step: float) -> Iterator[float]:
    k = math.floor(low / step + _HAIR) + 1
    while k * step < high - _HAIR:
        yield round(k * step, 9)
        k += 1
