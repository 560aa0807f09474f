"""Hardwood thicknesses: rough in quarters of an inch, and what is left surfaced.

Source: a hardwood lumber thickness chart of the trade (teaching practice), whose
columns are headed rough, S1S (surfaced one side) and S2S (two sides).
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType
from typing import Final

from nesting.errors import InputError
from nesting.units import Ticks, Unit, read_length


class Surface(Enum):
    """How a hardwood board comes from the mill."""

    ROUGH = "rough"
    ONE_SIDE = "S1S"
    TWO_SIDES = "S2S"


_ROWS: Final = """
    3/8   -        3/16
    1/2   3/8      5/16
    5/8   1/2      7/16
    3/4   5/8      9/16
    4/4   7/8      13/16
    5/4   1-1/8    1-1/16
    6/4   1-3/8    1-5/16
    7/4   -        1-1/2
    8/4   1-13/16  1-3/4
    12/4  2-13/16  2-3/4
    14/4  -        3-1/4
    16/4  3-13/16  3-3/4
"""


def _surfaces(row: str) -> tuple[str, Mapping[Surface, Ticks]]:
    """Return the name and the thicknesses of one row of the chart."""
    rough, one, two = row.split()
    texts = {Surface.ROUGH: rough, Surface.ONE_SIDE: one, Surface.TWO_SIDES: two}
    sizes = {
        surface: read_length(text, Unit.INCH)
        for surface, text in texts.items()
        if text != "-"
    }
    return rough, MappingProxyType(sizes)


HARDWOOD_THICKNESS: Final[Mapping[str, Mapping[Surface, Ticks]]] = MappingProxyType(
    dict(map(_surfaces, _ROWS.strip().splitlines()))
)
"""Ticks by rough name and surface; a surface that is missing is not on the chart."""


def rough_thickness(thickness: Ticks) -> Ticks:
    """Return the rough thickness of surfaced hardwood, in ticks.

    A thickness that is not on the chart is returned as it is.

    Examples
    --------
    >>> rough_thickness(read_length('13/16"', Unit.INCH)) == Unit.INCH.ticks
    True
    """
    for sizes in HARDWOOD_THICKNESS.values():
        if thickness in sizes.values():
            return sizes[Surface.ROUGH]
    return thickness


def hardwood_thickness(rough: str, surface: Surface) -> Ticks:
    """Return the thickness of hardwood of a rough size, in ticks.

    Parameters
    ----------
    rough
        The rough size as the chart names it, such as ``4/4`` or ``3/8``.
    surface
        How it is surfaced.

    Raises
    ------
    InputError
        The chart has no such rough size, or not that surface of it.

    Examples
    --------
    >>> hardwood_thickness("8/4", Surface.TWO_SIDES) == read_length('1 3/4"', Unit.INCH)
    True
    """
    name = rough.strip()
    if name not in HARDWOOD_THICKNESS:
        raise InputError(
            f"{rough[:32]!r} is no hardwood thickness; "
            f"known are {', '.join(HARDWOOD_THICKNESS)}"
        )
    if surface not in HARDWOOD_THICKNESS[name]:
        raise InputError(f"{name} hardwood is not listed surfaced {surface.value}")
    return HARDWOOD_THICKNESS[name][surface]
