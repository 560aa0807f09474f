"""Panels: usual sheet sizes, how thick plywood really is, and what sheets weigh.

Face grain runs with the length, which is the longer side here (common practice).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from nesting.errors import Fault, InputError
from nesting.trade.defaults import COMMON_PRACTICE, FROM_MEMORY, PS_1, TEACHING
from nesting.units import Ticks, Unit, read_length


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSize:
    """A size in which panels are sold, in ticks."""

    name: str
    length: Ticks
    width: Ticks
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelCategory:
    """A performance category of PS 1: what "3/4" plywood may measure, in ticks.

    Unsanded, touch-sanded and overlaid panels. A groove or dado is cut to the measured
    panel, never to its name.
    """

    name: str
    minimum: Ticks
    maximum: Ticks
    label: Ticks
    """The decimal thickness printed on the panel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Density:
    """What a material weighs, for warnings about lifting and nothing else."""

    material: str
    pounds_per_cubic_foot: Fraction
    source: str


_SHEETS: Final = (
    ("4x8", "96", "48", "trade practice, plywood"),
    ("4x10", "120", "48", TEACHING),
    ("4x12", "144", "48", TEACHING),
    ("5x8", "96", "60", FROM_MEMORY),
    ("5x10", "120", "60", FROM_MEMORY),
    ("5x5", "60", "60", "trade practice, Baltic birch"),
    ("1525x1525 mm", "1525 mm", "1525 mm", "trade practice, Baltic birch"),
    ("49x97", "97", "49", "MDF and particleboard, sold about 1 in oversize both ways"),
    ("2440x1220 mm", "2440 mm", "1220 mm", "a mill's schedule"),
    ("2500x1250 mm", "2500 mm", "1250 mm", "a mill's schedule"),
    ("3000x1500 mm", "3000 mm", "1500 mm", FROM_MEMORY),
    ("3050x1525 mm", "3050 mm", "1525 mm", FROM_MEMORY),
    ("2x2", "24", "24", "trade practice, shop-cut panels"),
    ("2x4", "48", "24", "trade practice, shop-cut panels"),
    ("4x4", "48", "48", "trade practice, shop-cut panels"),
)

SHEET_SIZES: Final[Mapping[str, SheetSize]] = MappingProxyType(
    {
        name: SheetSize(
            name=name,
            length=read_length(length, Unit.INCH),
            width=read_length(width, Unit.INCH),
            source=source,
        )
        for name, length, width, source in _SHEETS
    }
)
"""Usual sheets by name; plain names are in feet, but 49x97 in inches."""

CATEGORY_SOURCE: Final = PS_1 + ", performance categories"
_CATEGORIES: Final = """
    1/4    0.219  0.281  0.225
    11/32  0.313  0.375  0.322
    3/8    0.344  0.406  0.354
    7/16   0.406  0.469  0.418
    15/32  0.438  0.500  0.451
    1/2    0.469  0.531  0.483
    19/32  0.563  0.625  0.578
    5/8    0.594  0.656  0.609
    23/32  0.688  0.750  0.703
    3/4    0.719  0.781  0.734
    13/16  0.781  0.844  0.788
    7/8    0.831  0.919  0.849
    1      0.950  1.050  0.970
    1-1/8  1.069  1.181  1.091
"""


def _category(row: str) -> PanelCategory:
    """Return one row of the category table, whose decimals go to the nearest tick."""
    name, minimum, maximum, label = row.split()
    return PanelCategory(
        name=name,
        minimum=read_length(minimum, Unit.INCH),
        maximum=read_length(maximum, Unit.INCH),
        label=read_length(label, Unit.INCH),
    )


PANEL_CATEGORIES: Final[Mapping[str, PanelCategory]] = MappingProxyType(
    {row.split()[0]: _category(row) for row in _CATEGORIES.strip().splitlines()}
)
"""The performance categories of PS 1 by name."""

DENSITIES: Final[Mapping[str, Density]] = MappingProxyType(
    {
        material: Density(
            material=material, pounds_per_cubic_foot=Fraction(density), source=source
        )
        for material, density, source in (
            # 3 lb for each square foot and inch of thickness
            ("plywood", 36, "the panel association's rule, quoted by a shop page"),
            # the middle of 680-830 kg a cubic metre, 42-52 lb a cubic foot
            ("MDF", 48, "panel makers' data, middle of 42 to 52"),
            ("southern pine", 38, "middle of 36 to 40, " + FROM_MEMORY),
            ("thin plywood", 34, COMMON_PRACTICE),
        )
    }
)
"""Densities by material."""


def panel_category(name: str) -> PanelCategory:
    """Return the performance category of that name, such as ``3/4`` or ``23/32``.

    Raises
    ------
    InputError
        PS 1 has no such category.

    Examples
    --------
    >>> category = panel_category("3/4")
    >>> category.minimum < read_length('3/4"', Unit.INCH) < category.maximum
    True
    """
    text = name.strip().removesuffix('"')
    if text not in PANEL_CATEGORIES:
        what = f"{name[:32]!r} is no thickness category of PS 1"
        known = ", ".join(PANEL_CATEGORIES)
        raise InputError(faults=(Fault(what=what, remedy=f"known are {known}"),))
    return PANEL_CATEGORIES[text]
