"""The plan file: records to JSON text and back, by their own annotations.

Writing is deterministic and made for reading differences: keys stand in the order of
the records, and a record that holds no other record stands on one line.
"""

from __future__ import annotations

import functools
import json
import types
import typing
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from pathlib import Path
from typing import Any, Final, TypeVar

from nesting.files.faults import FaultList, Spot, shown, suggestion
from nesting.files.text import read_text
from nesting.model.plan import FORMAT, Plan
from nesting.units import TICKS_PER_MM

LARGEST_PLAN: Final = 200_000_000
"""Bytes of the largest plan that is read."""

Record = TypeVar("Record")


def key_of(field: Field[Any]) -> str:
    """Return the key of a record's field: its name without a trailing underscore."""
    return field.name.removesuffix("_")


def hints(record: Any) -> Mapping[str, Any]:
    """Return the types of a record's fields by their names."""
    return _hints(record)


@functools.cache
def _hints(record: type[Any]) -> Mapping[str, Any]:
    return types.MappingProxyType(typing.get_type_hints(record))


def write_plan(plan: Plan) -> str:
    """Return a plan as the JSON text of its file.

    Parameters
    ----------
    plan
        The plan; floats in a certificate must be finite.

    Returns
    -------
    str
        One JSON object and a newline. The same plan gives the same text everywhere.
    """
    return _laid_out(to_json(plan), "") + "\n"


def to_json(value: object) -> Any:
    """Return a record, with all it holds, as dicts, lists and plain values."""
    if is_dataclass(value) and not isinstance(value, type):
        return {key_of(f): to_json(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {str(key): to_json(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [to_json(inner) for inner in value]
    return value


def read_plan(path: Path | str) -> Plan:
    """Return the plan of a plan file, faulty or not as a plan.

    Parameters
    ----------
    path
        The file, as `write_plan` writes it. Keys that are not known are passed over,
        since later versions may add some; missing ones take the records' defaults.

    Raises
    ------
    InputError
        The file is no JSON, or a value has the wrong type or is missing: with the
        place in the file as a path of keys, ``layouts[2].cuts[14].at``.
    """
    faults = FaultList()
    file = read_text(Path(path), faults, LARGEST_PLAN)
    faults.raise_any()
    assert file is not None  # or there would have been a fault
    return parse_plan(file.text, str(path))


def parse_plan(text: str, path: str = "") -> Plan:
    """Return the plan of a JSON text; `path` is for the messages of `InputError`."""
    faults = FaultList()
    spot = Spot(path=path)
    try:
        raw = json.loads(text, object_pairs_hook=_no_twins, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        where = Spot(path=path, line=error.lineno)
        faults.add(where, f"this is not JSON: {error.msg[0].lower()}{error.msg[1:]}")
    except RecursionError:
        faults.add(spot, "lists or objects are nested far too deep")
    except ValueError as error:
        faults.add(spot, f"this is not JSON as a plan has it: {error}")
    faults.raise_any()
    if not isinstance(raw, dict) or raw.get("format") != FORMAT:
        found = raw.get("format") if isinstance(raw, dict) else None
        what = "this is no plan" if found is None else f"the format is {shown(found)}"
        faults.add(spot, what, f"a plan file says {FORMAT!r} under 'format'")
    elif raw.get("ticks_per_mm", TICKS_PER_MM) != TICKS_PER_MM:
        what = f"its lengths are in {shown(raw['ticks_per_mm'])} ticks per mm"
        faults.add(spot, what, f"only {TICKS_PER_MM} are read")
    faults.raise_any()
    plan = _Decoder(path, faults).record(Plan, raw, "")
    faults.raise_any()
    assert plan is not None  # or there would have been a fault
    return plan


class _Decoder:
    """Turns JSON values into records, noting every value of a wrong type."""

    def __init__(self, path: str, faults: FaultList) -> None:
        self._path = path
        self._faults = faults

    def record(self, kind: type[Record], raw: object, where: str) -> Record | None:
        """Return a record, or None after noting what is wrong with its value."""
        if not isinstance(raw, dict):
            self._fault(where, "an object is wanted", raw)
            return None
        before = len(self._faults)
        given: dict[str, Any] = {}
        kinds = hints(kind)
        for field in fields(kind):  # type: ignore[arg-type]  # every kind is a record
            key = key_of(field)
            place = f"{where}.{key}" if where else key
            if key in raw:
                given[field.name] = self.value(kinds[field.name], raw[key], place)
            elif field.default is MISSING and field.default_factory is MISSING:
                near = suggestion(key, raw)
                remedy = near if near.startswith("did") else ""
                self._faults.add(self._spot(place), "it is missing", remedy)
        return kind(**given) if len(self._faults) == before else None

    def value(self, kind: Any, raw: Any, where: str) -> Any:
        """Return a value of an annotated type, or None after noting what is wrong."""
        origin = typing.get_origin(kind)
        if kind is Any:
            return raw
        if origin in (types.UnionType, typing.Union):
            if raw is None:
                return None
            inner = next(k for k in typing.get_args(kind) if k is not types.NoneType)
            return self.value(inner, raw, where)
        if origin is tuple:
            return self._items(typing.get_args(kind), raw, where)
        if origin is dict:
            if not isinstance(raw, dict):
                self._fault(where, "an object is wanted", raw)
            return raw
        if is_dataclass(kind) and isinstance(kind, type):
            return self.record(kind, raw, where)
        if not isinstance(raw, kind) or (isinstance(raw, bool) and kind is not bool):
            self._fault(where, f"{_NAMES[kind]} is wanted", raw)
        elif kind is str and not raw.isascii() and not _encodable(raw):
            self._fault(where, "half a character stands alone", raw)
        return raw

    def _items(self, kinds: tuple[Any, ...], raw: object, where: str) -> object:
        if not isinstance(raw, list):
            self._fault(where, "a list is wanted", raw)
            return ()
        if kinds[-1] is Ellipsis:
            kinds = (kinds[0],) * len(raw)
        if len(kinds) != len(raw):
            self._fault(where, f"a list of {len(kinds)} is wanted", raw)
            return ()
        return tuple(
            self.value(kind, inner, f"{where}[{place}]")
            for place, (kind, inner) in enumerate(zip(kinds, raw, strict=True))
        )

    def _fault(self, where: str, what: str, raw: object) -> None:
        plain = raw is None or isinstance(raw, bool)
        found = json.dumps(raw) if plain else shown(raw)
        self._faults.add(self._spot(where), f"{what}, not {found}")

    def _spot(self, where: str) -> Spot:
        return Spot(path=self._path, field=where)


_NAMES: Final = {int: "a whole number", str: "a text", bool: "true or false"}


def _encodable(text: str) -> bool:
    """Tell whether a text can be written down; half a surrogate pair cannot."""
    return not any("\ud800" <= sign <= "\udfff" for sign in text)


def _no_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return the object of these pairs; the same key twice would hide a value."""
    found = dict(pairs)
    if len(found) < len(pairs):
        keys = [key for key, _ in pairs]
        twin = next(key for key in keys if keys.count(key) > 1)
        message = f"the key {shown(twin)} stands twice in one object"
        raise ValueError(message)
    return found


def _no_constant(name: str) -> float:
    """Refuse NaN and the infinities, which JSON does not have."""
    message = f"{name} is no number"
    raise ValueError(message)


def _laid_out(value: Any, indent: str) -> str:
    """Return JSON with a line for each item, but one line for what is flat."""
    if _is_flat(value):
        return json.dumps(value, ensure_ascii=False, allow_nan=False)
    deeper = indent + " "
    if isinstance(value, dict):
        rows = [
            f"{json.dumps(key, ensure_ascii=False)}: {_laid_out(inner, deeper)}"
            for key, inner in value.items()
        ]
        opening, closing = "{", "}"
    else:
        rows = [_laid_out(inner, deeper) for inner in value]
        opening, closing = "[", "]"
    inner = f",\n{deeper}".join(rows)
    return f"{opening}\n{deeper}{inner}\n{indent}{closing}"


def _is_flat(value: Any) -> bool:
    """Tell whether a value holds no object within a list or object of its own."""
    if isinstance(value, dict):
        return not any(_holds_object(inner) for inner in value.values())
    return not _holds_object(value)


def _holds_object(value: Any) -> bool:
    if isinstance(value, dict):
        return True
    return isinstance(value, list) and any(_holds_object(inner) for inner in value)
