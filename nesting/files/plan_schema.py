"""The JSON Schema of the plan file, made from the records themselves.

``plan.schema.json`` beside this module is what `schema_text` gives; a test holds the
two together, and ``scripts/write_schema.py`` writes the file anew.
"""

from __future__ import annotations

import ast
import inspect
import itertools
import json
import textwrap
import types
import typing
from dataclasses import MISSING, fields, is_dataclass
from typing import Any, Final

from nesting.files.plan_json import hints, key_of, to_json
from nesting.model.plan import FORMAT, Plan

SCHEMA_FILE: Final = "plan.schema.json"

_PLAIN: Final = {int: "integer", str: "string", bool: "boolean"}


def plan_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of a plan file.

    Required are the keys without a default; others may be absent, and keys that are not
    named may be present. Descriptions are the records' own docstrings.
    """
    definitions: dict[str, Any] = {}
    root = _record(Plan, definitions)
    root["properties"]["format"]["const"] = FORMAT
    root["required"] = ["format", *root["required"]]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": FORMAT,
        **root,
        "$defs": dict(sorted(definitions.items())),
    }


def schema_text() -> str:
    """Return the text of the schema's file."""
    return json.dumps(plan_schema(), indent=1, ensure_ascii=False) + "\n"


def _record(record: type, definitions: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of a record; those it holds go into the definitions."""
    notes = _field_notes(record)
    properties: dict[str, Any] = {}
    required: list[str] = []
    for field in fields(record):
        schema = _schema(hints(record)[field.name], definitions)
        if field.name in notes:
            schema["description"] = notes[field.name]
        if field.default is not MISSING:
            schema["default"] = to_json(field.default)
        elif field.default_factory is MISSING:
            required.append(key_of(field))
        properties[key_of(field)] = schema
    return {
        "description": _first_paragraph(inspect.getdoc(record) or ""),
        "type": "object",
        "properties": properties,
        "required": required,
    }


def _schema(kind: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    """Return the schema of an annotated type."""
    inner = typing.get_args(kind)
    origin = typing.get_origin(kind)
    if kind is Any:
        return {}
    if origin in (types.UnionType, typing.Union):
        wanted = next(k for k in inner if k is not types.NoneType)
        schema = _schema(wanted, definitions)
        if isinstance(schema.get("type"), str):
            return {**schema, "type": [schema["type"], "null"]}
        return {"anyOf": [schema, {"type": "null"}]}
    if origin is tuple and inner[-1] is Ellipsis:
        return {"type": "array", "items": _schema(inner[0], definitions)}
    if origin is tuple:
        items = [_schema(k, definitions) for k in inner]
        return {"type": "array", "prefixItems": items, "items": False}
    if origin is dict:
        return {"type": "object"}
    if is_dataclass(kind) and isinstance(kind, type):
        if kind.__name__ not in definitions:
            definitions[kind.__name__] = {}  # taken, should it hold itself
            definitions[kind.__name__] = _record(kind, definitions)
        return {"$ref": f"#/$defs/{kind.__name__}"}
    return {"type": _PLAIN[kind]}


def _field_notes(record: type) -> dict[str, str]:
    """Return the docstrings that stand under a record's fields."""
    source = textwrap.dedent(inspect.getsource(record))
    statements = typing.cast("ast.ClassDef", ast.parse(source).body[0]).body
    notes: dict[str, str] = {}
    for before, after in itertools.pairwise(statements):
        if (
            isinstance(before, ast.AnnAssign)
            and isinstance(before.target, ast.Name)
            and isinstance(after, ast.Expr)
            and isinstance(after.value, ast.Constant)
        ):
            notes[before.target.id] = " ".join(str(after.value.value).split())
    return notes


def _first_paragraph(text: str) -> str:
    return " ".join(text.split("\n\n")[0].split())
