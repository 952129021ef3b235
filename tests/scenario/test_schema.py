"""The JSON Schema that the project writes describes the files that it takes."""

from __future__ import annotations

import doctest
import importlib
import json
import math
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenario.mutate import CLEAN, SHIPPED, drop, places, put, rename, tables, toml
from wellroom.data import scenarios_dir
from wellroom.errors import ScenarioError
from wellroom.scenario import load_scenario, parse_scenario, schema
from wellroom.scenario.tables import keys_at, spec_at

SCHEMA = schema()
_TYPES: dict[str, type | tuple[type, ...]] = {
    "string": str,
    "number": (int, float),
    "integer": int,
    "boolean": bool,
    "object": dict,
    "array": list,
}
# What the checker below knows; a schema with another keyword fails the first test, not silently passes.
_KNOWN = {
    "$defs", "$ref", "$schema", "additionalProperties", "anyOf", "default", "description", "enum",
    "exclusiveMinimum", "items", "maxItems", "maxLength", "maximum", "minItems", "minLength",
    "minProperties", "minimum", "pattern", "prefixItems", "properties", "required", "title", "type",
    "uniqueItems",
}  # fmt: skip


def takes(node: dict[str, Any], value: Any) -> bool:
    """Return whether a schema takes a value: the part of JSON Schema 2020-12 that ours uses."""
    if "$ref" in node and not takes(SCHEMA["$defs"][node["$ref"].split("/")[-1]], value):
        return False
    if "anyOf" in node and not any(takes(option, value) for option in node["anyOf"]):
        return False
    if "enum" in node and value not in node["enum"]:
        return False
    kinds = node.get("type", [])
    kinds = [kinds] if isinstance(kinds, str) else kinds
    if kinds and not any(
        isinstance(value, _TYPES[kind]) and (kind == "boolean" or not isinstance(value, bool))
        for kind in kinds
    ):
        return False
    if isinstance(value, dict):
        return _takes_table(node, value)
    if isinstance(value, list):
        items = node.get("prefixItems", [])
        return (
            node.get("minItems", 0) <= len(value) <= node.get("maxItems", math.inf)
            and all(takes(part, item) for part, item in zip(items, value, strict=False))
            and all(takes(node.get("items", {}), item) for item in value[len(items) :])
        )
    if isinstance(value, int | float) and not isinstance(value, bool):
        return bool(
            node.get("minimum", -math.inf) <= value <= node.get("maximum", math.inf)
            and value > node.get("exclusiveMinimum", -math.inf)
        )
    return True


def _takes_table(node: dict[str, Any], value: dict[str, Any]) -> bool:
    known, more = node.get("properties", {}), node.get("additionalProperties", True)
    if not set(node.get("required", [])) <= set(value) or len(value) < node.get("minProperties", 0):
        return False
    for key, item in value.items():
        if key in known:
            if not takes(known[key], item):
                return False
        elif more is False or (isinstance(more, dict) and not takes(more, item)):
            return False
    return True


def keywords(node: Any, inside_names: bool = False) -> set[str]:
    """Return every keyword that a schema uses."""
    if isinstance(node, list):
        return set().union(*(keywords(item) for item in node)) if node else set()
    if not isinstance(node, dict):
        return set()
    own = set() if inside_names else set(node)
    inner = (
        keywords(value, key in ("properties", "$defs") and not inside_names) for key, value in node.items()
    )
    return own.union(*inner)


def test_schema_uses_only_what_the_checker_knows() -> None:
    """The checker of these tests misses no keyword of the schema."""
    assert keywords(SCHEMA) <= _KNOWN


def test_schema_is_json_and_the_same_every_time() -> None:
    """The schema is plain JSON without NaN, and two runs write the same bytes."""
    assert json.dumps(SCHEMA, allow_nan=False) == json.dumps(schema(), allow_nan=False)


@pytest.mark.parametrize("name", SHIPPED)
def test_schema_takes_every_shipped_scenario(name: str) -> None:
    """What is shipped is what the schema says."""
    assert takes(SCHEMA, tables((scenarios_dir() / name).read_text(encoding="utf-8")))


def test_schema_takes_the_clean_fixture() -> None:
    """The fixture with one of everything is taken."""
    assert takes(SCHEMA, tables())


@pytest.mark.parametrize(
    "place",
    [place for place in places(tables()) if isinstance(place[-1], str) and place[:-1] != ("stance",)],
    ids=lambda place: ".".join(map(str, place)),
)
def test_schema_refuses_a_misspelt_key(place: tuple[str | int, ...]) -> None:
    """No table of the schema takes a key that the reader does not know."""
    assert not takes(SCHEMA, rename(tables(), place, f"{place[-1]}_"))


@pytest.mark.parametrize(
    "place", [("title",), ("units",), ("axle",), ("axle", "rear"), ("axle", "front", "type")]
)
def test_schema_requires_what_the_reader_requires(place: tuple[str | int, ...]) -> None:
    """A key without which nothing can be said is required in the schema too."""
    assert not takes(SCHEMA, drop(tables(), place))


@given(
    st.sampled_from(list(places(tables()))),
    st.one_of(st.booleans(), st.integers(-5, 40), st.sampled_from(["x", "1/2", "2 in", "both", "solid"])),
)
def test_schema_takes_whatever_the_reader_takes(place: tuple[str | int, ...], value: Any) -> None:
    """A file that loads is a file that the schema takes (not the other way: values are compared)."""
    changed = put(tables(), place, value)
    try:
        parse_scenario(toml(changed), "a.toml")
    except ScenarioError:
        return
    assert takes(SCHEMA, changed)


def test_every_measure_says_what_it_is() -> None:
    """Each value of the fixture has a spec with words in it, or is a table with keys."""
    for place in places(tables()):
        spec = spec_at(place) if isinstance(place[-1], str) else None
        if spec is not None:
            assert len(spec.says if hasattr(spec, "says") else "row") > 2
    assert "inboard" not in keys_at(("axle", "front", "near", 0))
    assert "in" in keys_at(("axle", "front", "near", 0))


def test_loading_imports_no_more_than_it_needs() -> None:
    """The model comes without pydantic, and reading a scenario without pandas, ortools or rich."""
    code = (
        "import sys, wellroom.scenario.model\n"
        "assert 'pydantic' not in sys.modules and 'pydantic_core' not in sys.modules\n"
        "from wellroom.scenario import load_scenario\n"
        f"load_scenario({str(scenarios_dir() / 'least.toml')!r})\n"
        "print(sorted({'pandas', 'ortools', 'rich', 'click'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_same_text_gives_the_same_scenario() -> None:
    """Two readings of one text are equal, value by value."""
    assert parse_scenario(CLEAN, "a.toml") == parse_scenario(CLEAN, "a.toml")
    least = scenarios_dir() / "least.toml"
    assert load_scenario(least) == load_scenario(least)


@pytest.mark.parametrize("name", ["base", "compare", "lines", "marks", "slips", "words"])
def test_examples_in_docstrings_hold(name: str) -> None:
    """The examples in the room's docstrings give what they say."""
    module = importlib.import_module(f"wellroom.scenario.{name}")
    result = doctest.testmod(module)
    assert result.attempted > 0
    assert result.failed == 0
