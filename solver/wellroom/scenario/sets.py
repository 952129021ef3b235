"""``--set PATH=VALUE``: one value of the file replaced for one run."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from typing import Any

from wellroom.scenario.faults import Place, Problem
from wellroom.scenario.words import printable, quoted, shown


def apply_sets(
    raw: dict[str, Any], sets: Sequence[str]
) -> tuple[list[tuple[Place, str]], list[tuple[str, Problem]]]:
    """Change ``raw`` in place; return each place set with its label, and what can't be set.

    A path names keys and list positions (from 0) with dots between: ``axle.front.lip.0.radius=24``. The value
    is read as TOML, else as text: ``24 1/8`` needs no quotes. A stance must be one of the file's, if it has
    any: one more made by a slip of its name would change nothing, in silence.
    """
    stances = raw.get("stance")
    named = list(stances) if isinstance(stances, dict) else []
    done: list[tuple[Place, str]] = []
    faults: list[tuple[str, Problem]] = []
    for text in sets:
        path, equals, value = text.partition("=")
        steps = [step.strip() for step in path.split(".")]
        label = f"--set {printable(path.strip()[:120])}".rstrip()
        if not equals or not all(steps):
            faults.append((label, Problem((), quoted(text), "PATH=VALUE, as axle.front.travel.tilt=10")))
            continue
        if steps[0] == "stance" and named and len(steps) > 1 and steps[1] not in named:
            expected = f"one of the file's stances: {', '.join(map(printable, named))}"
            faults.append((label, Problem(("stance",), quoted(steps[1]), expected)))
            continue
        place, problem = _put(raw, steps, _value(value.strip()))
        if problem:
            faults.append((label, problem))
        else:
            done.append((place, label))
    return done, faults


def _value(text: str) -> Any:
    try:
        table = tomllib.loads(f"value = {text}")
    except (ValueError, RecursionError):
        return text
    return table["value"] if set(table) == {"value"} else text


def _put(raw: dict[str, Any], steps: list[str], value: Any) -> tuple[Place, Problem | None]:
    here: Any = raw
    place: Place = ()
    for number, step in enumerate(steps):
        last = number == len(steps) - 1
        if isinstance(here, list):
            if not (step.isascii() and step.isdigit() and len(step) < 6 and int(step) < len(here)):
                ends = f"a position from 0 to {len(here) - 1}" if here else "a list that has something in it"
                return place, Problem(place, quoted(step), ends)
            key: str | int = int(step)
        elif isinstance(here, dict):
            key = step
        else:
            return place, Problem(place, shown(here), f"a table, to set {quoted(step)} in it")
        place = (*place, key)
        if last:
            here[key] = value
        elif isinstance(here, dict):
            here = here.setdefault(key, {})
        else:
            here = here[key]
    return place, None
