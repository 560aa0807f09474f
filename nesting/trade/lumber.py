"""Softwood sizes: what a 2x6 really measures, in what lengths it is sold.

The sizes are the minimum dressed sizes of the American Softwood Lumber Standard, PS 20,
for dry lumber (19 percent moisture or less) and for green. A board that has dried
further measures less: what the maker measures goes before this table.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Final

from nesting.errors import Fault, InputError
from nesting.units import Ticks, Unit, read_length

PS_20: Final = "American Softwood Lumber Standard, PS 20, minimum dressed sizes"


class Moisture(Enum):
    """The two states of lumber in PS 20."""

    DRY = "dry"
    """19 percent moisture or less."""
    GREEN = "green"
    """More than 19 percent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A lumber section: its name in the trade and the size it is dressed to."""

    name: str
    """Nominal size, such as ``2x6`` or ``5/4x6``."""
    thickness: Ticks
    width: Ticks
    nominal_thickness: Ticks
    """What board feet are counted on."""
    nominal_width: Ticks
    moisture: Moisture = Moisture.DRY


def _table(rows: str) -> dict[Fraction, dict[Moisture, Ticks]]:
    """Return nominal inches -> dressed ticks from lines of nominal, dry, green."""
    return {
        Fraction(nominal): {
            Moisture.DRY: read_length(dry, Unit.INCH),
            Moisture.GREEN: read_length(green, Unit.INCH),
        }
        for nominal, dry, green in (row.split() for row in rows.strip().splitlines())
    }


_BOARD_THICKNESS: Final = _table(
    """
    3/8   5/16   11/32
    1/2   7/16   15/32
    5/8   9/16   19/32
    3/4   5/8    11/16
    1     3/4    25/32
    5/4   1      1-1/32
    3/2   1-1/4  1-9/32
    """
)
_DIMENSION_THICKNESS: Final = _table(
    """
    2     1-1/2  1-9/16
    5/2   2      2-1/16
    3     2-1/2  2-9/16
    7/2   3      3-1/16
    4     3-1/2  3-9/16
    9/2   4      4-1/16
    """
)
_WIDTH: Final = _table(
    """
    2     1-1/2   1-9/16
    3     2-1/2   2-9/16
    4     3-1/2   3-9/16
    5     4-1/2   4-5/8
    6     5-1/2   5-5/8
    7     6-1/2   6-5/8
    8     7-1/4   7-1/2
    9     8-1/4   8-1/2
    10    9-1/4   9-1/2
    11    10-1/4  10-1/2
    12    11-1/4  11-1/2
    14    13-1/4  13-1/2
    16    15-1/4  15-1/2
    """
)
_THICKNESS: Final = _BOARD_THICKNESS | _DIMENSION_THICKNESS
_LEAST_TIMBER: Final = 5
_MOST_TIMBER: Final = 24

COMMON_SECTIONS: Final = (
    *("1x2", "1x3", "1x4", "1x6", "1x8", "1x10", "1x12"),
    *("5/4x4", "5/4x6"),
    *("2x2", "2x3", "2x4", "2x6", "2x8", "2x10", "2x12"),
    "4x4",
)
"""The sections a builders' yard commonly has (common practice)."""

STOCK_LENGTHS: Final = tuple(
    read_length(text, Unit.FOOT) for text in ("8", "10", "12", "14", "16")
)
"""Lengths commonly stocked; the stated length is the actual one (common practice)."""

STUD_LENGTHS: Final = tuple(
    read_length(text, Unit.INCH) for text in ("92 5/8", "104 5/8", "116 5/8")
)
"""Precut studs for 8, 9 and 10 ft walls (shop pages; the longest from memory)."""

_EXAMPLES: Final = "write it like 2x6 or 5/4x6"
_NOMINAL: Final = re.compile(r"(?P<thickness>[0-9 /-]+?)[x\u00d7](?P<width>[0-9 /-]+)")


def nominal_section(name: str, *, moisture: Moisture = Moisture.DRY) -> Section:
    """Return the section that a nominal size names.

    Parameters
    ----------
    name
        Nominal thickness and width, such as ``2x6``, ``2 X 6``, ``1x4``, ``5/4x6`` or
        ``1-1/4 x 6``; 5/4 and 6/4 are the nominal 1-1/4 and 1-1/2 of PS 20.
    moisture
        Whether the size of dry or of green lumber is wanted.

    Returns
    -------
    Section
        Dressed and nominal sizes in ticks. Thickness and width of boards and dimension
        lumber follow PS 20's tables; from nominal 5 x 5 up (whole inches, to 24 in)
        its rule for timbers holds for both.

    Raises
    ------
    InputError
        The text names no section, or one that PS 20 does not have; the message then
        names the nearest it has.

    Examples
    --------
    >>> section = nominal_section("2x6")
    >>> section.thickness, section.width
    (60960, 223520)
    """
    text = " ".join(name.lower().split())
    match = _NOMINAL.fullmatch(text) if len(text) <= 32 else None
    if match is None:
        raise _unreadable(name)
    thickness = _nominal_inches(name, match["thickness"])
    width = _nominal_inches(name, match["width"])
    sizes = _dressed(thickness, width, moisture)
    if sizes is None:
        raise _unknown(name, thickness, width)
    return Section(
        name=f"{_written(thickness)}x{_written(width)}",
        thickness=sizes[0],
        width=sizes[1],
        nominal_thickness=_ticks(thickness),
        nominal_width=_ticks(width),
        moisture=moisture,
    )


def _dressed(
    thickness: Fraction, width: Fraction, moisture: Moisture
) -> tuple[Ticks, Ticks] | None:
    """Return the dressed thickness and width, or None if PS 20 has no such section."""
    if thickness >= _LEAST_TIMBER:
        whole = thickness.denominator == width.denominator == 1
        if not whole or not thickness <= width <= _MOST_TIMBER:
            return None
        return _timber(thickness, moisture), _timber(width, moisture)
    if thickness not in _THICKNESS or width not in _WIDTH or width < thickness:
        return None
    return _THICKNESS[thickness][moisture], _WIDTH[width][moisture]


def _timber(nominal: Fraction, moisture: Moisture) -> Ticks:
    """Return the dressed side of a timber: a half to one inch less than nominal."""
    if nominal < 7 or moisture is Moisture.GREEN:
        off = Fraction(1, 2)
    elif nominal < 16:
        off = Fraction(3, 4)
    else:
        off = Fraction(1)
    return _ticks(nominal - off)


def _nominal_inches(name: str, text: str) -> Fraction:
    """Return a nominal side in inches."""
    side = text.strip()
    if side in ("4/4", "7/4", "8/4", "10/4", "12/4", "14/4", "16/4"):
        what = f"{name!r}: {side} is a hardwood thickness, which PS 20 does not size"
        raise InputError(faults=(Fault(what=what, remedy=_EXAMPLES),))
    try:
        return Fraction(read_length(side, Unit.INCH), Unit.INCH.ticks)
    except InputError:
        raise _unreadable(name) from None


def _written(inches: Fraction) -> str:
    """Return a nominal side as the trade writes it: 2, 5/4, 3/4, 2-1/2."""
    if inches in (Fraction(5, 4), Fraction(3, 2)):
        return f"{int(inches * 4)}/4"
    whole, rest = divmod(inches, 1)
    if rest == 0:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)


def _ticks(inches: Fraction) -> Ticks:
    """Return nominal inches, which are quarters or eighths, in ticks."""
    return int(inches * Unit.INCH.ticks)


def _unreadable(name: str) -> InputError:
    """Return the error for a text that is no nominal size at all."""
    what = f"cannot read {name[:32]!r} as a nominal lumber size"
    return InputError(faults=(Fault(what=what, remedy=_EXAMPLES),))


def _unknown(name: str, thickness: Fraction, width: Fraction) -> InputError:
    """Return the error for a size that is not in the tables, naming the nearest."""
    if _dressed(width, thickness, Moisture.DRY):
        remedy = f"thickness comes first: {_written(width)}x{_written(thickness)}"
    else:
        sides = range(_LEAST_TIMBER, _MOST_TIMBER + 1)
        known = [(t, w) for t in _THICKNESS for w in _WIDTH if w >= t]
        known += [(Fraction(t), Fraction(w)) for t in sides for w in sides if w >= t]
        known.sort(
            key=lambda size: (abs(size[0] - thickness), abs(size[1] - width), size)
        )
        names = " or ".join(f"{_written(t)}x{_written(w)}" for t, w in known[:2])
        remedy = f"the nearest are {names}"
    what = f"{name!r} is not a softwood size of PS 20"
    return InputError(faults=(Fault(what=what, remedy=remedy),))
