"""Hardwood thicknesses against a chart of the trade (teaching practice)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from nesting.errors import InputError
from nesting.trade.hardwood import HARDWOOD_THICKNESS, Surface, hardwood_thickness


@pytest.mark.parametrize(
    ("rough", "two_sides_mm"),
    [
        # the chart's millimetres for stock surfaced on two sides, to 0.1 mm
        ("3/8", "4.8"),
        ("1/2", "7.9"),
        ("5/8", "11.1"),
        ("3/4", "14.3"),
        ("4/4", "20.6"),
        ("5/4", "27.0"),
        ("6/4", "33.3"),
        ("7/4", "38.1"),
        ("8/4", "44.5"),
        ("12/4", "69.9"),
        ("14/4", "82.6"),
        ("16/4", "95.3"),
    ],
)
def test_surfaced_two_sides(rough: str, two_sides_mm: str) -> None:
    """Stock surfaced on two sides has the chart's thickness."""
    ticks = hardwood_thickness(rough, Surface.TWO_SIDES)
    assert abs(Fraction(ticks, 1600) - Fraction(two_sides_mm)) <= Fraction("0.05")


def test_each_planed_side_takes_something() -> None:
    """Rough is thicker than one side surfaced, and that than two."""
    for row in HARDWOOD_THICKNESS.values():
        sizes = [row[surface] for surface in Surface if surface in row]
        assert sizes == sorted(sizes, reverse=True)
        assert len(set(sizes)) == len(sizes) >= 2


def test_rough_is_its_name() -> None:
    """8/4 is 2 in rough, by its name."""
    assert hardwood_thickness("8/4", Surface.ROUGH) == 2 * 40_640
    assert hardwood_thickness(" 3/8 ", Surface.ROUGH) == 3 * 5_080


@pytest.mark.parametrize(
    ("rough", "surface", "reason"),
    [
        ("9/4", Surface.ROUGH, "known are 3/8, 1/2"),
        ("", Surface.ROUGH, "no hardwood thickness"),
        ("7/4", Surface.ONE_SIDE, "not listed surfaced S1S"),
    ],
)
def test_unknown_thickness(rough: str, surface: Surface, reason: str) -> None:
    """A thickness that is not on the chart is refused with those that are."""
    with pytest.raises(InputError, match=reason):
        hardwood_thickness(rough, surface)
