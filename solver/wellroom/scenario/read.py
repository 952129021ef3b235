"""From the file's tables to the tree of ``model``, with everything that is wrong with them in one go.

Pydantic walks the tables and the specs read the values. A value that can't be used is reported, taken out,
and the rest is read again, so that the checks that compare values still run on everything else.
"""

from __future__ import annotations

import copy
from typing import Any

from wellroom.scenario.base import nearest
from wellroom.scenario.faults import Place, Problem, within
from wellroom.scenario.model import Document
from wellroom.scenario.tables import keys_at, spec_at, validator
from wellroom.scenario.words import key_text, quoted, shown
from wellroom.units import Units

# What stands in for a key that is needed and missing, so that the rest can still be read. Never shown.
_STAND_INS: dict[str, Any] = {
    "title": "untitled",
    "units": "in",
    "axle": {},
    "front": {},
    "rear": {},
    "type": "solid",
    "what": "unnamed",
    "moves_with": "frame",
}
_ROUNDS = 8
_OFFSET = "write inset, positive = face outboard"
_STANCE_NAME = "a stance's name of letters, digits, - and _, at most 40 of them"


def read(raw: dict[str, Any]) -> tuple[Document | None, list[Problem], list[Place]]:
    """Return the document, what is wrong with it, and the places that were left out of it for that.

    The document is None when not even the rest can be read.
    """
    given = raw.get("units")
    units: Units | None = "in" if given == "in" else "mm" if given == "mm" else None
    document, problems, removed = _read_in(raw, units)
    other: Units = "mm" if units == "in" else "in"
    if units and len(problems) >= 3:
        left = len(_read_in({**raw, "units": other}, other)[1])
        if left * 3 <= len(problems):
            count = len(problems) - left
            slip = f"{quoted(other)}: {count} values that can't be in {units} can be in {other}"
            problems.insert(0, Problem(("units",), quoted(units), slip))
    return document, problems, removed


def _read_in(raw: dict[str, Any], units: Units | None) -> tuple[Document | None, list[Problem], list[Place]]:
    from pydantic_core import ValidationError

    raw = copy.deepcopy(raw)
    problems = _stance_names(raw)
    removed: list[Place] = []
    for _ in range(_ROUNDS):
        try:
            return validator().validate_python(raw, context={"units": units}), problems, removed
        except ValidationError as error:
            faulty = [problem.place for problem in problems]
            for detail in error.errors(include_url=False):
                new = [
                    problem
                    for problem in _problems(detail, raw)
                    if not any(within(problem.place, place) for place in faulty)
                ]
                problems += new
                removed.append(_repair(raw, detail["loc"], detail["type"]))
    return None, problems, removed


def _stance_names(raw: dict[str, Any]) -> list[Problem]:
    stances = raw.get("stance")
    bad = []
    if isinstance(stances, dict):
        for name in list(stances):
            if len(name) > 40 or key_text(name) != name or not name:
                bad.append(Problem(("stance", name), f"the name {quoted(name)}", _STANCE_NAME))
                del stances[name]
    return bad


def _problems(detail: Any, raw: dict[str, Any]) -> list[Problem]:
    place: Place = detail["loc"]
    kind = detail["type"]
    if kind == "misread":
        return [Problem((*place, *t.tail), t.found, t.expected) for t in detail["ctx"]["troubles"]]
    if kind in ("unexpected_keyword_argument", "extra_forbidden"):
        return [_unknown_key(place, raw)]
    if kind == "missing":
        spec = spec_at(place)
        says = f": {spec.says}" if spec is not None else ""
        return [Problem(place, "nothing", f"the key {quoted(str(place[-1]))}{says}")]
    if kind in ("tuple_type", "list_type"):
        return [Problem(place, shown(detail["input"]), _list_of(place))]
    return [Problem(place, shown(detail["input"]), f"a table of {_some(keys_at(place))}")]


def _unknown_key(place: Place, raw: dict[str, Any]) -> Problem:
    key, known = str(place[-1]), keys_at(place[:-1])
    found = f"the key {quoted(key)}"
    if "offset" in key.lower() or "offset" in nearest(key, [*known, "offset"]):
        return Problem(place, found, _OFFSET)
    close = nearest(key, known)
    if close:
        return Problem(place, found, f"a key that is known here{close}")
    return Problem(place, found, f"one of {_some(known)}" if known else "no key here")


def _some(keys: list[str]) -> str:
    return ", ".join(keys[:14]) + (", …" if len(keys) > 14 else "")


def _list_of(place: Place) -> str:
    name = ".".join(str(part) for part in place if isinstance(part, str))
    if place[-1] == "outline":
        return "a list of [radius, place] pairs"
    if place[-1] == "table":
        return "a list of [travel, camber, track] rows"
    return f"a list of tables, each under [[{name}]]"


def _repair(raw: dict[str, Any], place: Place, kind: str) -> Place:
    """Take the faulty place out, or put a stand-in where something is missing; return what was changed."""
    here: Any = raw
    holder, key, depth = raw, str(place[0]) if place else "", 0
    for number, part in enumerate(place[:-1]):
        if isinstance(part, str):
            holder, key, depth = here, part, number
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            return place[:number]
    last = place[-1] if place else ""
    if isinstance(here, list) and isinstance(last, int):
        if last < len(here) and kind != "misread":
            here[last] = {}
            return place
        holder.pop(key, None)
        return place[: depth + 1]
    if isinstance(here, dict):
        needed = kind == "missing" or place[:1] in (("axle",), ("title",), ("units",))
        if last in _STAND_INS and needed:
            here[str(last)] = copy.deepcopy(_STAND_INS[str(last)])
        else:
            here.pop(str(last), None)
    return place
