"""Sizes in a job: typed ones, named ones, and sums of both.

What a maker types rounds to the nearest tick; what is computed rounds down, so that
six equal parts and the kerfs between them never overflow a board. Between the two
nothing is rounded: named dimensions stay exact fractions until a size needs them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Final

from nesting.errors import Fault, InputError
from nesting.files.faults import FaultList, Spot, shown, suggestion
from nesting.files.sums import Kind, Sum, Value, as_length, folded, parse_sum, work_out
from nesting.units import (
    LONGEST,
    Ticks,
    Unit,
    floor_ticks,
    nearest_ticks,
    read_exact,
)

LIKE_THIS: Final = "write a size like 23 1/2 or a sum like depth - 2*3/4"
"""The remedy of a size that cannot be read."""

_LARGEST_NUMBER: Final = 10**9
_MOST_DECIMALS: Final = 40

_STARTS_AS_NUMBER: Final = re.compile(r"\s*[-−–+]?\s*[0-9.,½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒]")
_HOLDS_SIGN: Final = re.compile(r"[*×÷()]|[0-9]\+[0-9]|\s[-−–+]\s|[-−–+/]\s*[^\W\d]")


class Sizes:
    """Reads the sizes of a job, knowing its unit and its names.

    Parameters
    ----------
    unit
        The unit of numbers without one.
    values
        The names that sizes may use, as `folded` writes them.
    broken
        Names whose own definition is faulty: what needs them is passed over in silence,
        since one fault is to be told once.
    """

    def __init__(
        self,
        unit: Unit,
        values: Mapping[str, Value] | None = None,
        broken: Iterable[str] = (),
    ) -> None:
        self.unit = unit
        self._values = dict(values or {})
        self._broken = frozenset(broken)

    def read(
        self, raw: object, spot: Spot, faults: FaultList, *, zero: bool = False
    ) -> Ticks | None:
        """Return a size in ticks, or None after noting what is wrong with it.

        Parameters
        ----------
        raw
            Text, or a number of the job's units.
        spot
            Where it stands.
        faults
            Where its faults are noted.
        zero
            Whether nothing at all will do, as for a trim; a negative size never does.
        """
        try:
            exact, typed = self._exact(raw)
        except InputError as error:
            faults.add_error(spot, error, LIKE_THIS)
            return None
        if exact is None:
            return None
        ticks = nearest_ticks(exact) if typed else floor_ticks(exact)
        if ticks > LONGEST:
            faults.add(spot, f"the size {shown(raw)} is over 1 km", LIKE_THIS)
            return None
        if ticks > 0 or (zero and ticks == 0):
            return ticks
        outcome = "is less than nothing" if exact < 0 else "comes to nothing"
        least = "zero or more" if zero else "more than zero"
        faults.add(spot, f"the size {shown(raw)} {outcome}", f"it must be {least}")
        return None

    def value_of(self, name: str) -> Fraction | None:
        """Return the exact value of a name, or None where its definition is faulty."""
        value = self._values.get(folded(name))
        return None if value is None else value.amount

    def _exact(self, raw: object) -> tuple[Fraction | None, bool]:
        """Return the exact ticks (None if a broken name is needed), and if typed."""
        if not isinstance(raw, str):
            return number_of(raw) * self.unit.ticks, True
        read = plain_or_sum(raw, self.unit)
        if isinstance(read, Fraction):
            return read, True
        if read.names & self._broken:
            return None, False
        check_names(read, set(self._values) | self._broken)
        value = as_length(work_out(read, self._values, self.unit), self.unit)
        if value.kind is Kind.RATIO:
            message = f"{shown(raw)} comes to a plain number; a length is wanted here"
            raise InputError(message)
        return value.amount, False


def plain_or_sum(text: str, unit: Unit) -> Fraction | Sum:
    """Return the exact ticks of a plain length, or else the sum that the text is.

    Raises
    ------
    InputError
        The text is neither; the fault is of whichever was more likely meant.
    """
    try:
        return read_exact(text, unit)
    except InputError as error:
        refused = error
    try:
        return parse_sum(text, unit)
    except InputError:
        plain = _STARTS_AS_NUMBER.match(text) and not _HOLDS_SIGN.search(text)
        if plain or not text.strip():
            raise refused from None
        raise


def check_names(total: Sum, known: Iterable[str]) -> None:
    """Refuse a sum that uses a name nobody defined.

    Raises
    ------
    InputError
        With the nearest known name.
    """
    names = set(known)
    for name in sorted(total.names - names):
        what = f"in {shown(total.text)}, {name!r} is neither a unit nor a dimension"
        remedy = suggestion(name, names) or "define it under [dimensions]"
        raise InputError(faults=(Fault(what=what, remedy=remedy),))


def number_of(raw: object) -> Fraction:
    """Return a number of a TOML file exactly.

    Raises
    ------
    InputError
        It is no number, or none that a size or a price could be.
    """
    if isinstance(raw, bool) or not isinstance(raw, int | Decimal):
        raise InputError(f"{shown(raw)} is no number")
    if isinstance(raw, Decimal):
        exponent = raw.as_tuple().exponent
        if not isinstance(exponent, int):
            raise InputError(f"{shown(raw)} is no number that could be meant here")
        if exponent < -_MOST_DECIMALS:
            raise InputError(f"{shown(raw)} has far too many decimals")
        if raw != 0 and raw.adjusted() > 9:
            raise InputError(f"{shown(raw)} is far too large")
    number = Fraction(raw)
    if abs(number) > _LARGEST_NUMBER:
        raise InputError(f"{shown(raw)} is far too large")
    return number
