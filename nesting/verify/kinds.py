"""Whether every field of a plan holds its kind of value; the rest relies on it.

The kinds are read off the records themselves: a record that gains a field is checked
without a change here. Numbers are held to 64 bits: nothing in a shop is larger, and no
later sum or message can then go wrong.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
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
    return _test(kind)(value)


@cache
def _test(kind: Any) -> Callable[[object], bool]:
    """Return what tells whether a value is of a kind; made once for each kind."""
    if kind in _SIMPLE:
        return _SIMPLE[kind]
    if isinstance(kind, type) and is_dataclass(kind):
        return _record_test(kind)
    origin, parts = _taken_apart(kind)
    if origin is dict:
        return lambda value: isinstance(value, dict)
    tests = tuple(_test(part) for part in parts if part is not Ellipsis)
    if origin in (Union, UnionType):
        return lambda value: any(test(value) for test in tests)
    if parts[-1] is Ellipsis:
        (each,) = tests
        return lambda value: isinstance(value, tuple) and all(map(each, value))
    return lambda value: (
        isinstance(value, tuple)
        and len(value) == len(tests)
        and all(test(item) for test, item in zip(tests, value, strict=True))
    )


_SIMPLE: Final[dict[Any, Callable[[object], bool]]] = {
    str: lambda value: isinstance(value, str),
    int: lambda value: type(value) is int and value.bit_length() <= MOST_BITS,
    bool: lambda value: type(value) is bool,
    type(None): lambda value: value is None,
    Any: lambda _: True,
}


def _record_test(record: type) -> Callable[[object], bool]:
    tests = tuple((name, _test(kind)) for name, kind in _kinds(record))

    return lambda value: (
        isinstance(value, record)
        and all(test(getattr(value, name, None)) for name, test in tests)
    )


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
