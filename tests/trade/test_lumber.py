"""Softwood sizes against the table of the American Softwood Lumber Standard, PS 20."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.trade.lumber import (
    COMMON_SECTIONS,
    STOCK_LENGTHS,
    STUD_LENGTHS,
    Moisture,
    nominal_section,
)

INCH = 40_640  # ticks of 1/1600 mm

# PS 20, minimum dressed sizes: nominal, dry in inches, dry in mm (to 0.01), green in
# inches, as its table is reprinted in an engineering reference.
THICKNESSES = [
    ("3/8", "5/16", "7.94", "11/32"),
    ("1/2", "7/16", "11.11", "15/32"),
    ("5/8", "9/16", "14.29", "19/32"),
    ("3/4", "5/8", "15.88", "11/16"),
    ("1", "3/4", "19.05", "25/32"),
    ("1-1/4", "1", "25.40", "33/32"),
    ("1-1/2", "5/4", "31.75", "41/32"),
    ("2", "3/2", "38.10", "25/16"),
    ("2-1/2", "2", "50.80", "33/16"),
    ("3", "5/2", "63.50", "41/16"),
    ("3-1/2", "3", "76.20", "49/16"),
    ("4", "7/2", "88.90", "57/16"),
    ("4-1/2", "4", "101.60", "65/16"),
]
WIDTHS = [
    ("2", "3/2", "38.10", "25/16"),
    ("3", "5/2", "63.50", "41/16"),
    ("4", "7/2", "88.90", "57/16"),
    ("5", "9/2", "114.30", "37/8"),
    ("6", "11/2", "139.70", "45/8"),
    ("7", "13/2", "165.10", "53/8"),
    ("8", "29/4", "184.15", "15/2"),
    ("9", "33/4", "209.55", "17/2"),
    ("10", "37/4", "234.95", "19/2"),
    ("11", "41/4", "260.35", "21/2"),
    ("12", "45/4", "285.75", "23/2"),
    ("14", "53/4", "336.55", "27/2"),
    ("16", "61/4", "387.35", "31/2"),
]


@pytest.mark.parametrize(("nominal", "dry", "mm", "green"), THICKNESSES)
def test_thickness(nominal: str, dry: str, mm: str, green: str) -> None:
    """Thickness of boards and dimension lumber is that of PS 20, dry and green."""
    section = nominal_section(f"{nominal}x6")
    assert section.thickness == Fraction(dry) * INCH
    assert abs(Fraction(section.thickness, 1600) - Fraction(mm)) <= Fraction("0.005")
    wet = nominal_section(f"{nominal}x6", moisture=Moisture.GREEN)
    assert wet.thickness == Fraction(green) * INCH


@pytest.mark.parametrize(("nominal", "dry", "mm", "green"), WIDTHS)
def test_width(nominal: str, dry: str, mm: str, green: str) -> None:
    """Face width is that of PS 20, dry and green."""
    section = nominal_section(f"2x{nominal}")
    assert section.width == Fraction(dry) * INCH
    assert abs(Fraction(section.width, 1600) - Fraction(mm)) <= Fraction("0.005")
    wet = nominal_section(f"2x{nominal}", moisture=Moisture.GREEN)
    assert wet.width == Fraction(green) * INCH


@pytest.mark.parametrize(
    ("name", "dry", "green"),
    [
        # PS 20, timbers: nominal 5 and 6 are dressed 1/2 in off; 7 to 15 are 3/4 off
        # dry and 1/2 off green; 16 and over 1 in off dry and 1/2 off green.
        ("5x5", ("4.5", "4.5"), ("4.5", "4.5")),
        ("6x6", ("5.5", "5.5"), ("5.5", "5.5")),
        ("6x8", ("5.5", "7.25"), ("5.5", "7.5")),
        ("8x12", ("7.25", "11.25"), ("7.5", "11.5")),
        ("12x16", ("11.25", "15"), ("11.5", "15.5")),
        # below nominal 5 it is dimension lumber
        ("4x16", ("3.5", "15.25"), ("3.5625", "15.5")),
    ],
)
def test_timbers(name: str, dry: tuple[str, str], green: tuple[str, str]) -> None:
    """From nominal 5 x 5 the rule for timbers holds."""
    for moisture, sizes in ((Moisture.DRY, dry), (Moisture.GREEN, green)):
        section = nominal_section(name, moisture=moisture)
        assert (section.thickness, section.width) == tuple(
            Fraction(size) * INCH for size in sizes
        )


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("2x6", "2x6"),
        ("2 x 6", "2x6"),
        ("2X6", "2x6"),
        ("2\u00d76", "2x6"),
        (" 2\u00a0x 6 ", "2x6"),
        ("1x4", "1x4"),
        ("5/4x6", "5/4x6"),
        ("1-1/4 x 6", "5/4x6"),
        ("1 1/4 x 6", "5/4x6"),
        ("6/4x4", "6/4x4"),
        ("3/4x6", "3/4x6"),
        ("2-1/2x4", "2-1/2x4"),
    ],
)
def test_ways_of_writing(text: str, name: str) -> None:
    """A nominal size is known however it is written, and has one name."""
    section = nominal_section(text)
    assert section == nominal_section(name)
    assert section.name == name


def test_nominal_sizes_are_kept() -> None:
    """Board feet need the nominal size, so the section carries it: 5/4 is 1 1/4 in."""
    section = nominal_section("5/4x6")
    assert section.nominal_thickness == Fraction(5, 4) * INCH
    assert section.nominal_width == 6 * INCH


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("2x13", "the nearest are 2x12 or 2x14"),
        ("2x20", "the nearest are 2x16 or 2x14"),
        ("2-1/4x6", "the nearest are 2x6 or 2-1/2x6"),
        ("1x1", "the nearest are 1x2 or 1x3"),
        ("0x4", "the nearest are 3/8x4"),
        ("6x25", "the nearest are 6x24 or 6x23"),
        ("6x8-1/2", "the nearest are 6x8 or 6x9"),
        ("4x2", "thickness comes first: 2x4"),
        ("6x4", "thickness comes first: 4x6"),
        ("12x2", "thickness comes first: 2x12"),
        ("8/4x6", "8/4 is a hardwood thickness"),
        ("4/4 x 6", "4/4 is a hardwood thickness"),
        ("2x6x8", "write it like 2x6"),
        ("2x", "write it like 2x6"),
        ("2/x6", "write it like 2x6"),
        ("x6", "write it like 2x6"),
        ("", "write it like 2x6"),
        ("two by four", "write it like 2x6"),
        ("2x4" * 40, "write it like 2x6"),
        ("1/0x4", "write it like 2x6"),
    ],
)
def test_unknown_sections(text: str, remedy: str) -> None:
    """What PS 20 does not size is refused, with the nearest that it does."""
    with pytest.raises(InputError) as caught:
        nominal_section(text)
    assert remedy in str(caught.value)
    assert len(str(caught.value)) < 160


@given(st.text("0123456789x/- \u00d7X", max_size=12))
def test_any_text_is_a_section_or_refused(text: str) -> None:
    """A section that is found is named so that the name finds it again."""
    try:
        section = nominal_section(text)
    except InputError:
        return
    assert nominal_section(section.name) == section
    assert 0 < section.thickness < section.nominal_thickness
    assert 0 < section.width < section.nominal_width


def test_green_is_never_smaller_than_dry() -> None:
    """Lumber shrinks as it dries, so PS 20's green sizes are no smaller."""
    for name in (*COMMON_SECTIONS, "6x6", "8x16", "16x16"):
        dry = nominal_section(name)
        green = nominal_section(name, moisture=Moisture.GREEN)
        assert green.thickness >= dry.thickness
        assert green.width >= dry.width


def test_stock_lengths() -> None:
    """Boards are sold from 8 to 16 ft by 2 ft; studs are 92 5/8 in (common practice).

    A precut stud, three plates of 1 1/2 in and a ceiling make the 8 ft wall: 92.625 +
    4.5 = 97.125 in.
    """
    assert tuple(feet * 12 * INCH for feet in (8, 10, 12, 14, 16)) == STOCK_LENGTHS
    plates = 3 * nominal_section("2x4").thickness
    assert STUD_LENGTHS[0] + plates == Fraction("97.125") * INCH
    assert STUD_LENGTHS[1] - STUD_LENGTHS[0] == 12 * INCH
    assert STUD_LENGTHS[2] - STUD_LENGTHS[1] == 12 * INCH
