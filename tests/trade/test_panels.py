"""Panels: sheet sizes, PS 1 thickness categories, densities."""

from __future__ import annotations

from fractions import Fraction

import pytest

from nesting.errors import InputError
from nesting.trade.panels import (
    DENSITIES,
    PANEL_CATEGORIES,
    SHEET_SIZES,
    panel_category,
)

INCH = 40_640


@pytest.mark.parametrize(
    ("name", "length_mm", "width_mm"),
    [
        # 48 x 96 in is 1219.2 x 2438.4 mm; 49 x 97 in is 1244.6 x 2463.8 mm (trade)
        ("4x8", "2438.4", "1219.2"),
        ("49x97", "2463.8", "1244.6"),
        ("5x5", "1524", "1524"),
        ("1525x1525 mm", "1525", "1525"),
        ("2440x1220 mm", "2440", "1220"),
    ],
)
def test_sheet_sizes(name: str, length_mm: str, width_mm: str) -> None:
    """Usual sheets have the size the trade gives them."""
    sheet = SHEET_SIZES[name]
    assert Fraction(sheet.length, 1600) == Fraction(length_mm)
    assert Fraction(sheet.width, 1600) == Fraction(width_mm)


def test_the_length_is_the_longer_side() -> None:
    """Face grain runs with the length, the longer side of a usual sheet."""
    assert all(sheet.length >= sheet.width for sheet in SHEET_SIZES.values())
    assert all(sheet.source for sheet in SHEET_SIZES.values())


@pytest.mark.parametrize(
    ("name", "minimum", "maximum", "label"),
    [
        # PS 1-19, performance categories, unsanded panels, inches
        ("1/4", "0.219", "0.281", "0.225"),
        ("11/32", "0.313", "0.375", "0.322"),
        ("15/32", "0.438", "0.500", "0.451"),
        ("1/2", "0.469", "0.531", "0.483"),
        ("23/32", "0.688", "0.750", "0.703"),
        ("3/4", "0.719", "0.781", "0.734"),
        ("7/8", "0.831", "0.919", "0.849"),
        ("1-1/8", "1.069", "1.181", "1.091"),
    ],
)
def test_categories(name: str, minimum: str, maximum: str, label: str) -> None:
    """A category has the limits of PS 1, to the nearest tick."""
    category = panel_category(name)
    for ticks, inches in (
        (category.minimum, minimum),
        (category.maximum, maximum),
        (category.label, label),
    ):
        assert abs(ticks - Fraction(inches) * INCH) <= Fraction(1, 2)


def test_tolerances_follow_the_rule() -> None:
    """PS 1 allows 1/32 in either way up to 13/16, and 5 percent above.

    The table's limits are rounded to 0.001 in.
    """
    for name, category in PANEL_CATEGORIES.items():
        whole, _, part = name.rpartition("-")
        nominal = Fraction(whole or 0) + Fraction(part)
        allowed = Fraction(1, 32) if nominal <= Fraction(13, 16) else nominal / 20
        for ticks, inches in (
            (category.minimum, nominal - allowed),
            (category.maximum, nominal + allowed),
        ):
            assert abs(Fraction(ticks, INCH) - inches) < Fraction("0.00101")
        assert category.minimum <= category.label <= category.maximum


@pytest.mark.parametrize("name", ["", "5/16", "18 mm", "x" * 50])
def test_unknown_categories(name: str) -> None:
    """A thickness that PS 1 has no category for is refused with those it has."""
    with pytest.raises(InputError, match="known are 1/4, 11/32"):
        panel_category(name)


def test_densities() -> None:
    """Plywood is 3 lb a square foot and inch; MDF lies within 42 to 52 lb/ft3."""
    assert DENSITIES["plywood"].pounds_per_cubic_foot / 12 == 3
    assert 42 <= DENSITIES["MDF"].pounds_per_cubic_foot <= 52
    assert all(density.source for density in DENSITIES.values())
