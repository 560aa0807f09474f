"""Whether every field of a plan holds its kind of value; the rest relies on it.

The kinds are read off the records themselves: a record that gains a field is checked
without a change here. Numbers are held to 64 bits: nothing in a shop is larger, and no
later sum or message can then go wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, Final, Union, get_args, get_origin, get_type_hints

from nesting.model.plan import Plan, Violation
from nesting.units import Ticks
from nesting.verify.rules import Rule, broken

MOST_BITS: Final = 63


def check_kinds(plan: object) -> Iterator[Violation]:
    """Find the fields that hold the wrong kind of value (rule ``type``).

    A text may be a `str` of any class (the enums of the model are), a number must be an
    `int` and no `bool`, a list must be a tuple; None stands only where it may.
    """
    if not _fits(plan, Plan):
        yield from _walk(plan, Plan, "plan")


@cache
def _kinds(record: type) -> tuple[tuple[str, Any], ...]:
    """Return the fields of a record with what each may hold."""
    # Named aloud, for a module may import them for annotations alone.
    hints = get_type_hints(record, localns={"Ticks": Ticks, "Any": Any})
    return tuple((field.name, hints[field.name]) for field in fields(record))


@cache
def _taken_apart(kind: Any) -> tuple[Any, tuple[Any, ...]]:
    return get_origin(kind), get_args(kind)


def _fits(value: object, kind: Any) -> bool:
    """Tell whether a value and all it holds are of a kind."""
    if kind is str:
        return isinstance(value, str)
    if kind is int:
        return type(value) is int and value.bit_length() <= MOST_BITS
    if kind is bool:
        return type(value) is bool
    if kind is Any or kind is type(None):
        return kind is Any or value is None
    if isinstance(kind, type) and is_dataclass(kind):
        return isinstance(value, kind) and all(
            _fits(getattr(value, name, None), part) for name, part in _kinds(kind)
        )
    origin, parts = _taken_apart(kind)
    if origin in (Union, UnionType):
        return any(_fits(value, part) for part in parts)
    if origin is dict:
        return isinstance(value, dict)
    if not isinstance(value, tuple):
        return False
    if parts[-1] is Ellipsis:
        return all(_fits(item, parts[0]) for item in value)
    return len(value) == len(parts) and all(map(_fits, value, parts))


def _walk(value: object, kind: Any, path: str) -> Iterator[Violation]:
    """Name the innermost fields of a value that does not fit."""
    if _fits(value, kind):
        return
    origin, parts = _taken_apart(kind)
    if origin in (Union, UnionType):
        kind = next((part for part in parts if part is not type(None)), kind)
        origin, parts = _taken_apart(kind)
    if isinstance(kind, type) and is_dataclass(kind) and isinstance(value, kind):
        for name, part in _kinds(kind):
            yield from _walk(getattr(value, name, None), part, f"{path}.{name}")
    elif origin is tuple and isinstance(value, tuple) and parts[-1] is Ellipsis:
        for number, item in enumerate(value):
            yield from _walk(item, parts[0], f"{path}[{number}]")
    elif type(value) is int and kind is int:
        yield broken(Rule.TYPE, path, "the number is beyond 64 bits")
    else:
        held = type(value).__name__
        wanted = getattr(kind, "__name__", str(kind))
        yield broken(Rule.TYPE, path, f"it holds a {held} where a {wanted} must stand")
