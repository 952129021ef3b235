"""Scenario texts with one value changed, for tests that break a file in exactly one way."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from wellroom.data import scenarios_dir

Place = tuple[str | int, ...]

SHIPPED = sorted(path.name for path in scenarios_dir().glob("*.toml"))

# The clean fixture: everything a file can say in one short text, faultless.
CLEAN = Path(__file__).with_name("clean.toml").read_text(encoding="utf-8")


def tables(text: str = CLEAN) -> dict[str, Any]:
    """Return the tables of a TOML text."""
    return tomllib.loads(text)


def places(node: Any, at: Place = ()) -> Iterator[Place]:
    """Yield every place of a tree of tables and lists, outer ones first."""
    steps = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in steps:
        yield (*at, key)
        yield from places(value, (*at, key))


def value_at(root: Any, place: Place) -> Any:
    """Return what stands at a place."""
    for step in place:
        root = root[step]
    return root


def put(root: dict[str, Any], place: Place, value: Any) -> dict[str, Any]:
    """Return a copy of the tables with another value at one place."""
    out = copy.deepcopy(root)
    value_at(out, place[:-1])[place[-1]] = value
    return out


def drop(root: dict[str, Any], place: Place) -> dict[str, Any]:
    """Return a copy of the tables without one place."""
    out = copy.deepcopy(root)
    del value_at(out, place[:-1])[place[-1]]
    return out


def rename(root: dict[str, Any], place: Place, name: str) -> dict[str, Any]:
    """Return a copy of the tables in which one key is called otherwise."""
    out = copy.deepcopy(root)
    holder = value_at(out, place[:-1])
    holder[name] = holder.pop(place[-1])
    return out


def toml(value: Any) -> str:
    """Return a TOML text of tables: the outer two levels as headers are not needed, inline tables will do."""
    return "".join(f"{_key(key)} = {_inline(item)}\n" for key, item in value.items())


def _key(key: str) -> str:
    return _inline(key)


def _inline(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(key)} = {_inline(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_inline, value)) + "]"
    if isinstance(value, str):
        escaped = "".join(
            f"\\u{ord(char):04x}" if ord(char) < 32 or char in '"\\' or ord(char) == 127 else char
            for char in value
        )
        return f'"{escaped}"'
    return str(value)
