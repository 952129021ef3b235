"""From the annotated dataclasses of ``model`` to the validator and to the JSON Schema.

The core schema is made from the fields directly: pydantic's own way over a ``TypeAdapter`` gives the same
faults, but takes four times as long to start, on every run.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Any, get_args, get_origin, get_type_hints

from wellroom.scenario.base import Misread, Spec
from wellroom.scenario.faults import Place
from wellroom.scenario.model import Document
from wellroom.scenario.quantity import MEASURE

if TYPE_CHECKING:
    from pydantic_core import CoreSchema, SchemaValidator


@dataclass(frozen=True)
class Part:
    """One key of a table: the field it fills, what its value must be, the table or tables it holds."""

    key: str
    field: str
    spec: Spec | None
    table: type | None
    listed: bool
    named: bool


@lru_cache(maxsize=64)
def parts_of(table: type) -> dict[str, Part]:
    """Return the keys that a table may have."""
    hints = get_type_hints(table, include_extras=True)
    found = (
        _part(item.metadata.get("alias", item.name), item.name, hints[item.name]) for item in fields(table)
    )
    return {part.key: part for part in found}


def _part(key: str, field: str, annotation: Any) -> Part:
    spec: Spec | None = None
    listed = named = False
    while not is_dataclass(annotation):
        origin, arguments = get_origin(annotation), get_args(annotation)
        if origin is Annotated:
            spec = next(item for item in arguments[1:] if isinstance(item, Spec)).of(arguments[0])
            return Part(key, field, spec, None, listed, named)
        listed, named = listed or origin is tuple, named or origin is Mapping
        inner = arguments[1:] if origin is Mapping else [a for a in arguments if a is not type(None)]
        annotation = inner[0]
    assert isinstance(annotation, type)
    return Part(key, field, None, annotation, listed, named)


def keys_at(place: Place) -> list[str]:
    """Return the keys that the table at a place may have; [] where there is no table."""
    table = table_at(place)
    return list(parts_of(table)) if table is not None else []


def table_at(place: Place) -> type | None:
    """Return the class of the table at a place, or None where there is none."""
    here: type = Document
    steps = list(place)
    while steps:
        part = parts_of(here).get(str(steps.pop(0)))
        if part is None or part.table is None:
            return None
        if part.listed or part.named:
            if not steps:
                return None
            steps.pop(0)
        here = part.table
    return here


def spec_at(place: Place) -> Spec | None:
    """Return what the value at a place must be."""
    holder = table_at(place[:-1])
    part = parts_of(holder).get(str(place[-1])) if holder is not None else None
    return part.spec if part is not None else None


def _checker(spec: Spec) -> Callable[[Any, Any], Any]:
    from pydantic_core import PydanticCustomError

    def check(raw: Any, info: Any) -> Any:
        try:
            return spec.read(raw, info.context["units"])
        except Misread as error:
            raise PydanticCustomError("misread", "misread", {"troubles": error.troubles}) from None

    return check


def _schema_of(part: Part) -> CoreSchema:
    from pydantic_core import core_schema

    schema: CoreSchema
    if part.spec is not None:
        spec = part.spec
        describe = [lambda _schema, _handler: spec.schema()]
        schema = core_schema.with_info_plain_validator_function(
            _checker(spec), metadata={"pydantic_js_functions": describe}
        )
    else:
        assert part.table is not None
        schema = _schema_of_table(part.table)
    if part.listed:
        schema = core_schema.list_schema(schema)
        schema = core_schema.no_info_after_validator_function(tuple, schema)
    if part.named:
        schema = core_schema.dict_schema(core_schema.str_schema(), schema)
    return schema


def _schema_of_table(table: type) -> CoreSchema:
    from pydantic_core import core_schema

    items = {item.name: item for item in fields(table)}
    arguments = []
    for part in parts_of(table).values():
        item, schema = items[part.field], _schema_of(part)
        if item.default is not MISSING:
            schema = core_schema.with_default_schema(schema, default=item.default)
        elif item.default_factory is not MISSING:
            schema = core_schema.with_default_schema(schema, default_factory=item.default_factory)
        arguments.append(core_schema.dataclass_field(part.field, schema, validation_alias=part.key))
    return core_schema.dataclass_schema(
        table,
        core_schema.dataclass_args_schema(table.__name__, arguments, extra_behavior="forbid"),
        list(items),
    )


@lru_cache(maxsize=1)
def validator() -> SchemaValidator:
    """Return the validator of a whole document; made once."""
    from pydantic_core import SchemaValidator

    return SchemaValidator(_schema_of_table(Document))


def schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a scenario file."""
    from pydantic.json_schema import GenerateJsonSchema

    made = GenerateJsonSchema(by_alias=True).generate(_schema_of_table(Document))
    plain: dict[str, Any] = _with_measure_defined(made)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **plain,
        "title": "A wellroom scenario",
        "$defs": {"measure": MEASURE},
    }


def _with_measure_defined(node: Any) -> Any:
    """Replace each copy of the measure's forms by a reference; drop the titles that only repeat the keys."""
    if isinstance(node, list):
        return [_with_measure_defined(item) for item in node]
    if not isinstance(node, dict):
        return node
    kept = {key: value for key, value in node.items() if not _is_noise(key, value)}
    if kept.get("anyOf") == MEASURE["anyOf"]:
        del kept["anyOf"]
        return {"$ref": "#/$defs/measure", **kept}
    if kept.get("type") == "object" and "properties" in kept:
        kept.setdefault("additionalProperties", False)  # a key that is not known is a fault, in every table
    return {key: _with_measure_defined(value) for key, value in kept.items()}


def _is_noise(key: str, value: Any) -> bool:
    """A title that only repeats the key, and a default that only says that the key may be left out."""
    if key == "title":
        return isinstance(value, str) and value[:1].isupper()
    return key == "default" and value in (None, {}, [], ())
