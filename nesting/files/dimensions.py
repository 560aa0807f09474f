"""Named dimensions: each worked out once, whatever their order, cycles refused."""

from __future__ import annotations

import graphlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.errors import InputError
from nesting.files.faults import FaultList, Spot, shown
from nesting.files.sizes import LIKE_THIS, Sizes, check_names, number_of, plain_or_sum
from nesting.files.sums import Kind, Sum, Value, as_length, folded, work_out
from nesting.units import LONGEST, Unit, floor_ticks, nearest_ticks, read_unit

MOST_NAMES: Final = 1000
"""Named dimensions that a job may have."""

_NAME: Final = re.compile(r"[^\W\d]\w{0,39}")
_LONGEST_RING: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Definition:
    """A name that sizes may use, and what it is defined as."""

    name: str
    """As the maker wrote it; ``ply.t`` for the thickness of the material ply."""
    raw: object
    """What stands in the file: text, or a number (of the job's units, for a length).

    None where it is missing, which has been told.
    """
    spot: Spot
    kind: Kind = Kind.LENGTH
    """LENGTH, or RATIO for a plain number."""
    measured: bool = False
    """Whether it is a real piece's size, which must be above zero and whole ticks."""


def define(definitions: Iterable[Definition], unit: Unit, faults: FaultList) -> Sizes:
    """Return a reader of sizes that knows these names, however they need each other.

    Parameters
    ----------
    definitions
        The names, in any order.
    unit
        The unit of bare numbers.
    faults
        Where faulty definitions are noted: each once, cycles with all their names.
    """
    values: dict[str, Value] = {}
    broken: set[str] = set()
    sums: dict[str, tuple[Definition, Sum]] = {}
    for definition in definitions:
        name = folded(definition.name)
        if name in values or name in sums or name in broken:
            what = f"the name {definition.name!r} is given twice"
            remedy = "capitals, and spaces for _, make no difference"
            faults.add(definition.spot, what, remedy)
            continue
        if len(values) + len(sums) + len(broken) == MOST_NAMES:
            what = f"there are more than {MOST_NAMES} names for sizes"
            faults.add(definition.spot, what, "write the sizes where they are needed")
            break
        _check_name(definition, faults)
        if definition.raw is None:
            broken.add(name)
            continue
        try:
            read = _understood(definition, unit)
            if isinstance(read, Sum):
                sums[name] = (definition, read)
            else:
                values[name] = _settled(definition, read, unit, typed=True)
        except InputError as error:
            faults.add_error(definition.spot, error, LIKE_THIS)
            broken.add(name)
    known = {*values, *sums, *broken}
    for name in _order(sums, broken, faults):
        definition, total = sums[name]
        if total.names & broken:
            broken.add(name)
            continue
        try:
            check_names(total, known)
            value = work_out(total, values, unit)
            values[name] = _settled(definition, value, unit, typed=False)
        except InputError as error:
            faults.add_error(definition.spot, error, LIKE_THIS)
            broken.add(name)
    return Sizes(unit, values, broken)


def _understood(definition: Definition, unit: Unit) -> Value | Sum:
    """Return the value of a plain definition, or the sum that it is."""
    if not isinstance(definition.raw, str):
        return Value(number_of(definition.raw), Kind.BARE)
    read = plain_or_sum(definition.raw, unit)
    if isinstance(read, Sum):
        return read
    if definition.kind is Kind.RATIO:
        return _bare(definition.raw, read, unit)
    return Value(read, Kind.LENGTH)


def _bare(text: str, ticks: Fraction, unit: Unit) -> Value:
    """Return a plain number that was read as a length of bare unit."""
    if re.search(r"[^\W\d]|['\"′’‘ʹ´″”“ʺ]", text):
        return Value(ticks, Kind.LENGTH)
    return Value(ticks / unit.ticks, Kind.BARE)


def _settled(definition: Definition, value: Value, unit: Unit, *, typed: bool) -> Value:
    """Return a value as the kind that its definition promises, or refuse it."""
    raw = shown(definition.raw)
    if definition.kind is Kind.RATIO:
        if value.kind is Kind.LENGTH:
            raise InputError(f"{raw} is a length; a plain number is wanted here")
        return Value(value.amount, Kind.RATIO)
    value = as_length(value, unit)
    if value.kind is Kind.RATIO:
        raise InputError(f"{raw} comes to a plain number; a length is wanted here")
    if abs(value.amount) > LONGEST:
        raise InputError(f"{raw} is over 1 km")
    if not definition.measured:
        return value
    ticks = nearest_ticks(value.amount) if typed else floor_ticks(value.amount)
    if ticks <= 0:
        raise InputError(f"the size {raw} must be more than zero")
    return Value(Fraction(ticks), Kind.LENGTH)


def _order(
    sums: Mapping[str, tuple[Definition, Sum]], broken: set[str], faults: FaultList
) -> list[str]:
    """Return the names so that each follows what it needs; cycles become broken."""
    needs = {name: total.names & sums.keys() for name, (_, total) in sums.items()}
    places = {name: place for place, name in enumerate(sums)}
    while True:
        try:
            return list(graphlib.TopologicalSorter(needs).static_order())
        except graphlib.CycleError as error:
            ring = list(error.args[1])[:0:-1]  # reversed: each needs the next
        first = min(range(len(ring)), key=lambda i: places[ring[i]])
        ring = ring[first:] + ring[:first]
        names = [sums[name][0].name for name in ring]
        what = f"{names[0]!r} depends on itself"
        if len(names) > 1:
            told = names[1:] if len(names) <= _LONGEST_RING else [*names[1:6], "..."]
            what += ": " + " needs ".join([names[0], *told, names[0]])
        faults.add(sums[ring[0]][0].spot, what, "give one of them a size of its own")
        broken.update(ring)
        needs = {
            name: others - set(ring)
            for name, others in needs.items()
            if name not in ring
        }


def _check_name(definition: Definition, faults: FaultList) -> None:
    """Note a name that no sum could use; a material's may be of any form."""
    name = definition.name
    if definition.measured:
        return
    if not _NAME.fullmatch(name):
        what = f"{shown(name)} will not do as a name in sizes"
        faults.add(definition.spot, what, "use letters, digits and _ (inner_width)")
        return
    try:
        read_unit(name)
    except InputError:
        return
    what = f"{name!r} is a unit of length and cannot name a dimension"
    faults.add(definition.spot, what, "choose a longer name")
