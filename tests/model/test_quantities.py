"""Board feet, areas, weights and money against worked examples of the textbooks."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.model.quantities import (
    area_yield,
    board_feet,
    cost_in_cents,
    hardwood_board_feet,
    kilograms,
    linear_feet,
    section_board_feet,
    square_feet,
    surface_measure,
    tally_surface_measure,
    truncated,
    weight_pounds,
    write_decimal,
    write_duration,
    write_money,
    write_percent,
)
from nesting.trade.lumber import nominal_section
from nesting.trade.panels import DENSITIES, SHEET_SIZES
from nesting.units import Unit, read_length

NOYES = "W. Noyes, Handwork in Wood"
ENGINEERS = "a US military engineering-aid text on board measure"
SHOP_PAGE = "a shop's worked example (teaching practice)"
HARDWOOD = "hardwood measurement practice under the NHLA rules"


def ticks(text: str) -> int:
    """Return a size in inches, or with its unit, in ticks."""
    return read_length(text, Unit.INCH)


SIZES = st.integers(0, 20_000_000)


def test_a_board_foot_is_144_cubic_inches() -> None:
    """1 in x 12 in x 12 in is one, and 144 cubic inches of any shape are one."""
    assert board_feet(ticks("1"), ticks("12"), ticks("12")) == 1
    assert board_feet(ticks("2"), ticks("6"), ticks("12")) == 1
    assert board_feet(ticks("4"), ticks("4"), ticks("9")) == 1


@pytest.mark.parametrize(
    ("thickness", "width", "length", "feet", "source"),
    [
        ("1", "6", "12 ft", "6", NOYES),
        # 12 ft 10 in of board measure, in feet and twelfths
        ("1", "11", "14 ft", "77/6", NOYES),
        # 24 ft 11 in
        ("1", "13", "23 ft", "299/12", NOYES),
        ("1", "9", "5 ft", "15/4", NOYES),
        ("2", "4", "14 ft", "28/3", ENGINEERS),
        ("2", "10", "14 ft", "70/3", SHOP_PAGE),  # printed 23.33
        ("1", "9", "96", "6", SHOP_PAGE),
        ("1-1/2", "9", "96", "9", SHOP_PAGE),
        ("1", "6", "48", "2", SHOP_PAGE),
        # thinner than 1 in counts as 1 in
        ("3/4", "8", "60", "10/3", SHOP_PAGE),  # printed 3.3
        ("3/4", "10", "6 ft", "5", SHOP_PAGE),
        ("1-1/4", "6", "8 ft", "5", SHOP_PAGE),
        ("2", "4", "8 ft", "16/3", SHOP_PAGE),  # printed 5.33
        ("2", "6", "8 ft", "8", SHOP_PAGE),
        ("2", "6", "12 ft", "12", SHOP_PAGE),
        ("2", "4", "10 ft", "20/3", SHOP_PAGE),  # 960 cubic inches
    ],
)
def test_board_feet(
    thickness: str, width: str, length: str, feet: str, source: str
) -> None:
    """Board feet are those of the worked example."""
    size = ticks(thickness), ticks(width), ticks(length)
    assert board_feet(*size) == Fraction(feet), source


@pytest.mark.parametrize(
    ("name", "per_foot"),
    [
        # C. A. King, Elements of Woodwork: board feet in each running foot
        ("2x4", "2/3"),
        ("2x6", "1"),
        ("2x8", "4/3"),
        ("2x12", "2"),
    ],
)
def test_sections_are_counted_on_nominal_size(name: str, per_foot: str) -> None:
    """A section is counted on its nominal size, not on what it measures."""
    section = nominal_section(name)
    assert section_board_feet(section, ticks("1 ft")) == Fraction(per_foot)


def test_an_order() -> None:
    """Six 2x6x8, four 2x4x10 and two 1x12x12 are 48 + 26 2/3 + 24 (by hand)."""
    order = [("2x6", 8, 6), ("2x4", 10, 4), ("1x12", 12, 2)]
    total = sum(
        count * section_board_feet(nominal_section(name), ticks(f"{feet} ft"))
        for name, feet, count in order
    )
    assert total == 48 + Fraction(80, 3) + 24
    assert write_decimal(Fraction(total), 3) == "98.667"


@pytest.mark.parametrize(
    ("width", "length", "measure", "source"),
    [
        ("6-1/2", "8 ft", 4, HARDWOOD),  # 4 1/3
        ("8", "12 ft", 8, HARDWOOD),
        ("10", "13 ft", 11, HARDWOOD),  # 10 10/12
        ("6-1/4", "8 ft", 4, HARDWOOD),  # 4 1/6
        # C. A. King: both boards are read as 9 on the rule
        ("8-3/4", "12 ft", 9, "C. A. King, Elements of Woodwork"),
        ("9-1/4", "12 ft", 9, "C. A. King, Elements of Woodwork"),
        # only whole feet of length count: 8 ft 11 in is 8
        ("6", "8 ft 11 in", 4, HARDWOOD),
    ],
)
def test_surface_measure(width: str, length: str, measure: int, source: str) -> None:
    """Surface measure is that of the worked example."""
    assert surface_measure(ticks(width), ticks(length)) == measure, source


def test_hardwood_board_feet() -> None:
    """8/4, 6 1/4 in by 8 ft: 4 1/6 counts 4, twice 4 is 8 (NHLA practice).

    Unrounded it would be 8 1/3.
    """
    size = ticks("2"), ticks("6 1/4"), ticks("8 ft")
    assert hardwood_board_feet(*size) == 8
    assert board_feet(*size) == Fraction(25, 3)


def test_thin_hardwood_counts_as_one_inch() -> None:
    """Stock thinner than 1 in counts as 1 in (Griffith, bill of material)."""
    assert hardwood_board_feet(ticks("3/4"), ticks("6"), ticks("8 ft")) == 4
    assert hardwood_board_feet(ticks("5/4"), ticks("6"), ticks("8 ft")) == 5


def test_halves_take_turns() -> None:
    """Of the exact halves of a tally, every second one goes down (tally practice)."""
    half = ticks("6-3/4"), ticks("8 ft")  # 4 1/2
    plain = ticks("8"), ticks("12 ft")
    assert tally_surface_measure([half, plain, half, half, plain, half]) == (
        *(5, 8, 4),
        *(5, 8, 4),
    )
    assert surface_measure(*half) == 5
    assert tally_surface_measure([]) == ()


@given(st.lists(st.tuples(SIZES, SIZES), max_size=8))
def test_a_tally_is_never_half_a_foot_out(boards: list[tuple[int, int]]) -> None:
    """Each measure of a tally is within half a foot of width times whole feet."""
    measures = tally_surface_measure(boards)
    assert len(measures) == len(boards)
    for (width, length), measure in zip(boards, measures, strict=True):
        whole_feet = length // (12 * 40_640)
        exact = Fraction(width, 40_640) * whole_feet / 12
        assert abs(measure - exact) <= Fraction(1, 2)


@pytest.mark.parametrize(
    ("size", "kept"),
    [
        # a board 5 1/4 in by 8 1/2 ft tallies as 5 in by 8 ft (NHLA practice)
        (("1", "5-1/4", "8.5 ft"), ("1", "5", "8 ft")),
        # 2 1/8 x 7 3/4 in x 8 ft 3 in tallies as 2 x 7 x 8 (grading practice)
        (("2-1/8", "7-3/4", "8 ft 3 in"), ("2", "7", "8 ft")),
        (("1-1/4", "7", "8 ft"), ("1-1/4", "7", "8 ft")),
    ],
)
def test_truncated_tally(size: tuple[str, ...], kept: tuple[str, ...]) -> None:
    """A tally that drops fractions writes down the whole quarter, inch and foot."""
    thickness, width, length = map(ticks, size)
    assert truncated(thickness, width, length) == tuple(map(ticks, kept))


def test_board_feet_of_a_truncated_board() -> None:
    """2 x 7 x 8 makes 9.3 board feet, surface measure 4.67, so 5 (grading practice)."""
    size = truncated(ticks("2-1/8"), ticks("7-3/4"), ticks("8 ft 3 in"))
    assert write_decimal(board_feet(*size), 1) == "9.3"
    assert surface_measure(size[1], size[2]) == 5


@pytest.mark.parametrize(
    ("name", "feet"),
    [
        # a shop's worked example: 4 x 8 ft is 32 square feet, 5 x 5 ft is 25
        ("4x8", 32),
        ("5x5", 25),
    ],
)
def test_sheet_areas(name: str, feet: int) -> None:
    """A sheet has the square feet its name gives."""
    sheet = SHEET_SIZES[name]
    assert square_feet(sheet.length, sheet.width) == feet


def test_linear_feet() -> None:
    """Two sticks of 8 ft and one of 18 in are 17 1/2 running feet (by hand)."""
    assert linear_feet([ticks("8 ft"), ticks("8 ft"), ticks("18")]) == Fraction(35, 2)
    assert linear_feet([]) == 0


def test_yield() -> None:
    """Three 2 x 2 ft parts from a 4 x 8 ft sheet use 12 of 32 square feet."""
    part, sheet = (ticks("24"), ticks("24")), (ticks("96"), ticks("48"))
    share = area_yield([part] * 3, [sheet])
    assert share == Fraction(3, 8)
    assert write_percent(share) == "37.5 %"
    assert area_yield([], []) == 0
    assert area_yield([sheet], [sheet]) == 1
    with pytest.raises(InputError, match="more area"):
        area_yield([sheet, part], [sheet])


@pytest.mark.parametrize(
    ("size", "material", "pounds", "source"),
    [
        # the panel association's rule, 3 lb a square foot and inch of thickness
        (("96", "48", "3/4"), "plywood", 72, "the panel association's rule"),
        (("96", "48", "0.719"), "plywood", 69, "the panel association's rule"),
        # about 97 lb by panel makers' data; 48 lb/ft3 makes 96
        (("96", "48", "3/4"), "MDF", 96, "panel makers' data"),
        (("97", "49", "3/4"), "MDF", 99, "panel makers' data"),
        # about 19 lb (common practice)
        (("96", "48", "5.2 mm"), "thin plywood", 19, "common practice"),
    ],
)
def test_weights(
    size: tuple[str, str, str], material: str, pounds: int, source: str
) -> None:
    """A sheet weighs, to the pound, what the trade says it does."""
    length, width, thickness = map(ticks, size)
    weight = weight_pounds(length, width, thickness, DENSITIES[material])
    assert round(weight) == pounds, source


def test_a_2x6_of_southern_pine() -> None:
    """A dry 2x6 of southern pine weighs 2.1 to 2.3 lb a foot (from memory)."""
    section = nominal_section("2x6")
    weight = weight_pounds(
        ticks("1 ft"), section.width, section.thickness, DENSITIES["southern pine"]
    )
    assert Fraction("2.1") <= weight <= Fraction("2.3")


def test_kilograms() -> None:
    """51 lb, the load constant of the NIOSH lifting equation, is 23 kg."""
    assert write_decimal(kilograms(Fraction(51)), 0) == "23"
    # by hand: 36 x 0.45359237 / 0.3048 cubed = 576.66
    per_cubic_metre = kilograms(Fraction(36)) / Fraction("0.3048") ** 3
    assert write_decimal(per_cubic_metre, 2) == "576.66"


@pytest.mark.parametrize(
    ("cents", "symbol", "text"),
    [
        (1234, "$", "$12.34"),
        (5, "$", "$0.05"),
        (0, "$", "$0.00"),
        (-5, "$", "-$0.05"),
        (123_456_789, "$", "$1234567.89"),
        (1250, "CHF ", "CHF 12.50"),
        (1250, "CHF", "CHF 12.50"),
        (1250, "", "12.50"),
    ],
)
def test_money(cents: int, symbol: str, text: str) -> None:
    """Cents are written as an amount, never through a float."""
    assert write_money(cents, symbol) == text


@given(st.integers(-(10**12), 10**12))
def test_money_loses_no_cent(cents: int) -> None:
    """The digits of a written amount are the cents."""
    assert int(write_money(cents, "").replace(".", "")) == cents


@pytest.mark.parametrize(
    ("quantity", "each", "cents"),
    [
        ("16/3", 399, 2128),
        ("98/3", 450, 14_700),
        ("1/2", 5, 3),  # half a cent goes up
        ("1/2", 4, 2),
        ("0", 999, 0),
    ],
)
def test_cost(quantity: str, each: int, cents: int) -> None:
    """A quantity at a unit price costs what it does by hand, to the nearest cent."""
    assert cost_in_cents(Fraction(quantity), each) == cents


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        ("28/3", 2, "9.33"),
        ("2/3", 0, "1"),
        ("1/8", 2, "0.12"),
        ("3/8", 2, "0.38"),
        ("-1/3", 1, "-0.3"),
        ("-1/100", 1, "0.0"),
        ("999/1000", 2, "1.00"),
    ],
)
def test_decimals(value: str, decimals: int, text: str) -> None:
    """Quantities are rounded to the nearest, halves to the even figure."""
    assert write_decimal(Fraction(value), decimals) == text


@given(SIZES, SIZES, SIZES)
def test_board_feet_add_up(width: int, one: int, two: int) -> None:
    """Cutting a board in two changes no board foot: nothing is rounded."""
    inch = 40_640
    assert board_feet(inch, width, one) + board_feet(inch, width, two) == board_feet(
        inch, width, one + two
    )


@pytest.mark.parametrize(
    ("minutes", "text"),
    [(0, "0 min"), (59, "59 min"), (120, "2 h"), (153, "2 h 33 min")],
)
def test_durations(minutes: int, text: str) -> None:
    """Hours of sixty minutes; what is nought is left out."""
    assert write_duration(minutes) == text
