"""Lengths: what is read, what is refused, and what is written, all exact."""

from __future__ import annotations

import ast
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting import units
from nesting.errors import InputError
from nesting.units import (
    Display,
    Unit,
    floor_ticks,
    nearest_ticks,
    read_exact,
    read_length,
    read_unit,
    write_length,
)

# The inch of 25.4 mm exactly: Federal Register notice of 1 July 1959, as reprinted in
# NIST SP 447, Appendix 5. The tick is 1/1600 mm, the package's own choice.
INCH = Fraction(254, 10) * 1600
FOOT = 12 * INCH
MM = Fraction(1600)

ANY_SIZE = st.integers(-1_600_000_000, 1_600_000_000)
# a rounded size may be half an inch more than the true one, and 1 km is the most read
SHOWN_SIZE = st.integers(-1_599_900_000, 1_599_900_000)
WHOLE = st.integers(0, 9_999)
UNITS = st.sampled_from(list(Unit))
exactly = settings(deadline=None, derandomize=True, max_examples=300)

VULGAR = {
    "½": (1, 2),
    "⅓": (1, 3),
    "⅔": (2, 3),
    "¼": (1, 4),
    "¾": (3, 4),
    "⅕": (1, 5),
    "⅖": (2, 5),
    "⅗": (3, 5),
    "⅘": (4, 5),
    "⅙": (1, 6),
    "⅚": (5, 6),
    "⅐": (1, 7),
    "⅛": (1, 8),
    "⅜": (3, 8),
    "⅝": (5, 8),
    "⅞": (7, 8),
    "⅑": (1, 9),
    "⅒": (1, 10),
}
SIZE = {
    Unit.INCH: INCH,
    Unit.FOOT: FOOT,
    Unit.MM: MM,
    Unit.CM: 10 * MM,
    Unit.M: 1000 * MM,
}


@st.composite
def proper_fractions(draw: st.DrawFn) -> tuple[int, int]:
    """Draw the top and bottom of a fraction below one."""
    bottom = draw(st.one_of(st.sampled_from([2, 4, 8, 16, 32, 64]), st.integers(2, 99)))
    return draw(st.integers(0, bottom - 1)), bottom


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # Arithmetic on 1 in = 25.4 mm, carried out by hand; 18.25625 mm and the like
        # are also what conversion tables of the trade print.
        ("1/64", "0.396875"),
        ("23/32", "18.25625"),
        ("15/32", "11.90625"),
        ("96", "2438.4"),
        ("48", "1219.2"),
        ("1", "25.4"),
    ],
)
def test_inches_in_millimetres(text: str, mm: str) -> None:
    """An inch size is the millimetre size that conversion tables give."""
    assert read_exact(text, Unit.INCH) == Fraction(mm) * 1600


def test_a_64th_of_an_inch_is_635_ticks() -> None:
    """The tick divides 1/64 in (25.4 / 64 * 1600) and 0.01 mm without a rest."""
    assert read_exact("1/64", Unit.INCH) == 635
    assert read_exact("0.01", Unit.MM) == 16
    assert units.TICKS_PER_INCH == INCH
    assert units.TICKS_PER_FOOT == FOOT
    assert units.TICKS_PER_MM == MM


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        # 18 / 25.4 = 0.708661 in, and 45/64 = 0.703125 is 0.0055 in short of it.
        ("18", "45/64+"),
        # 2440 / 25.4 = 96.0630 in and 4/64 = 0.0625; 1525 / 25.4 = 60.0394 in and
        # 3/64 = 0.046875.
        ("2440", "96 1/16+"),
        ("1525", "60 3/64-"),
    ],
)
def test_metric_sheets_in_64ths(mm: str, shown: str) -> None:
    """A metric size shows as the nearest 1/64 in, marked on the side it lies on."""
    display = Display(unit=Unit.INCH, denominator=64)
    assert write_length(read_length(mm, Unit.MM), display) == shown


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("23 1/2", "23.5"),
        ("23-1/2", "23.5"),
        ("23.5", "23.5"),
        ('23 1/2"', "23.5"),
        ("23 1/2 in", "23.5"),
        ("23 1/2 in.", "23.5"),
        ("23-1/2 inches", "23.5"),
        ("1 inch", "1"),
        ("  23   1/2  ", "23.5"),
        ("23 1 / 2", "23.5"),
        ("5/4", "1.25"),
        (".5", "0.5"),
        ("2.", "2"),
        ("2''", "2"),
        # feet
        ("2' 3 1/2\"", "27.5"),
        ("2'3\"", "27"),
        ("2' 3", "27"),
        ("2' 3-1/2", "27.5"),
        ("2 ft", "24"),
        ("2ft", "24"),
        ("1/2 ft", "6"),
        ("2.5 feet", "30"),
        ("1 foot", "12"),
        ("2 ft 3 in", "27"),
        ("2 ft. 3 1/2 in.", "27.5"),
        ("2 feet 11.5 inches", "35.5"),
        ("0' 3\"", "3"),
        # signs of the printer and the word processor
        ("23½", "23.5"),
        ("23 ½", "23.5"),
        ("23-½", "23.5"),
        ("½", "0.5"),
        ("2′ 3½″", "27.5"),
        ("2’ 3”", "27"),
        ("23\u00a01/2\u2009in", "23.5"),
        ("23\u202f1\u20442", "23.5"),
        ("23 1\u22152", "23.5"),
        ("23\u20111/2", "23.5"),
        # signs
        ("+23 1/2", "23.5"),
        ("-23 1/2", "-23.5"),
        ("-23-1/2", "-23.5"),
        ("- 5", "-5"),
        ("−5", "-5"),
        ("-2' 3\"", "-27"),
        # a comma before three figures is a decimal only where no thousand can be
        ("0,125", "0.125"),
        ("1234,567", "1234.567"),
        ("12,3456", "12.3456"),
    ],
)
def test_forms_in_inches(text: str, inches: str) -> None:
    """Each way of writing inches and feet gives the size it says."""
    assert read_exact(text, Unit.INCH) == Fraction(inches) * INCH


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("600mm", "600"),
        ("600 mm", "600"),
        ("600 MM", "600"),
        ("600 millimetres", "600"),
        ("60 cm", "600"),
        ("60,5 centimeters", "605"),
        ("1.2 m", "1200"),
        ("1,2 metres", "1200"),
        ("12,5 mm", "12.5"),
        ("12.5 mm", "12.5"),
        ("12 1/2 mm", "12.5"),
        ("-3 mm", "-3"),
    ],
)
def test_forms_in_millimetres(text: str, mm: str) -> None:
    """A metric unit overrides the default unit."""
    assert read_exact(text, Unit.INCH) == Fraction(mm) * 1600


@exactly
@given(WHOLE, proper_fractions(), UNITS, st.sampled_from(["", "-", "+", "- "]))
def test_fractions_are_exact(
    whole: int, fraction: tuple[int, int], unit: Unit, sign: str
) -> None:
    """Whole numbers with a fraction, by space or hyphen, have their exact value."""
    top, bottom = fraction
    value = (-1 if "-" in sign else 1) * (whole + Fraction(top, bottom)) * SIZE[unit]
    if abs(value) <= 1_600_000_000:
        assert read_exact(f"{sign}{whole} {top}/{bottom}", unit) == value
        assert read_exact(f"{sign}{whole}-{top}/{bottom}", unit) == value
        assert read_exact(f"{sign}{whole} {top}\u2044{bottom}", unit) == value
        written = f"{sign}{whole} {top}/{bottom}{unit.value}"
        assert read_exact(written, Unit.MM) == value


@exactly
@given(WHOLE, st.sampled_from(sorted(VULGAR)), st.sampled_from(["", " ", "-"]))
def test_fraction_signs_are_exact(whole: int, sign: str, joint: str) -> None:
    """A printed fraction sign after a whole number has its exact value."""
    value = (whole + Fraction(*VULGAR[sign])) * INCH
    assert read_exact(f"{whole}{joint}{sign}", Unit.INCH) == value
    assert read_exact(f"{whole}{joint}{sign}”", Unit.MM) == value


@exactly
@given(
    st.integers(0, 999),
    st.integers(0, 11),
    proper_fractions(),
    st.sampled_from(
        [("'", '"'), ("′", "″"), (" ft ", " in"), ("ft. ", ""), ("’", "”")]
    ),
    st.sampled_from(["", " ", "\u00a0", "\u2009"]),
)
def test_feet_and_inches_are_exact(
    feet: int,
    inches: int,
    fraction: tuple[int, int],
    signs: tuple[str, str],
    space: str,
) -> None:
    """Feet, inches and a fraction add up, whatever the signs and spaces."""
    top, bottom = fraction
    text = f"{feet}{signs[0]}{space}{inches} {top}/{bottom}{signs[1]}"
    value = feet * FOOT + (inches + Fraction(top, bottom)) * INCH
    assert read_exact(text, Unit.MM) == value


@exactly
@given(
    st.integers(0, 99_999),
    st.text("0123456789", min_size=1, max_size=9),
    st.sampled_from([".", ","]),
    UNITS,
    st.sampled_from(["", " ", "\u202f"]),
)
def test_decimals_are_exact(
    whole: int, decimals: str, point: str, unit: Unit, space: str
) -> None:
    """A decimal has its exact value, with point or comma, in every unit."""
    value = (whole + Fraction(int(decimals), 10 ** len(decimals))) * SIZE[unit]
    text = f"{whole}{point}{decimals}"
    if point == "," and len(decimals) == 3 and 0 < whole < 1000:
        with pytest.raises(InputError, match="thousands"):
            read_exact(text, unit)
    elif value <= 1_600_000_000:
        assert read_exact(text, unit) == value
        assert read_exact(f"{text}{space}{unit.value}", Unit.FOOT) == value


@pytest.mark.parametrize(
    ("value", "near", "floor"),
    [
        (Fraction(7, 2), 4, 3),
        (Fraction(5, 2), 2, 2),
        (Fraction(-5, 2), -2, -3),
        (Fraction(1600, 3), 533, 533),
        (Fraction(1601, 3), 534, 533),
        (Fraction(-1, 3), 0, -1),
        (Fraction(4), 4, 4),
    ],
)
def test_rounding(value: Fraction, near: int, floor: int) -> None:
    """Typed sizes go to the nearest tick (halves: the even one), computed ones down."""
    assert nearest_ticks(value) == near
    assert floor_ticks(value) == floor


@exactly
@given(st.integers(2, 40), st.integers(0, 5080), st.integers(500_000, 5_000_000))
def test_equal_parts_and_kerfs_never_overflow(
    parts: int, kerf: int, length: int
) -> None:
    """n equal parts, rounded down, and n - 1 kerfs fit the board they came from."""
    size = floor_ticks(Fraction(length - (parts - 1) * kerf, parts))
    assert parts * size + (parts - 1) * kerf <= length
    assert parts * (size + 1) + (parts - 1) * kerf > length


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("in", Unit.INCH),
        ('"', Unit.INCH),
        ("Inches", Unit.INCH),
        ("ft.", Unit.FOOT),
        ("′", Unit.FOOT),
        (" mm ", Unit.MM),
        ("centimetres", Unit.CM),
        ("metre", Unit.M),
    ],
)
def test_unit_words(text: str, unit: Unit) -> None:
    """A unit is known by its short name, its long names and its sign."""
    assert read_unit(text) is unit


def test_no_float_takes_part() -> None:
    """The module has no float literal, no call of float and no true division of ints.

    Divisions are allowed only where one side is a Fraction by construction; today
    that is the one in `write_length`.
    """
    tree = ast.parse(Path(units.__file__).read_text(encoding="utf-8"))
    nodes = list(ast.walk(tree))
    assert not [
        n for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, float)
    ]
    assert not [n for n in nodes if isinstance(n, ast.Name) and n.id == "float"]
    divisions = [
        ast.unparse(n)
        for n in nodes
        if isinstance(n, ast.BinOp) and isinstance(n.op, ast.Div)
    ]
    assert divisions == ["ticks / size"]
