"""How much wood, in the measures of the yard: board feet, area, weight, money.

All exact: lengths are ticks, quantities are Fractions, money is integer cents. Rules
and where they are from:

- A board foot is 1 in x 12 in x 12 in, 144 cubic inches. Softwood is counted on nominal
  sizes, and stock thinner than 1 in counts as 1 in (board measure in the textbooks of
  Griffith and Noyes).
- Hardwood is bought by surface measure: width in inches *with* its fraction times
  length in *whole* feet, over 12, to the nearest whole number; board feet are that
  times the nominal thickness (practice under the NHLA rules). Exact halves go up and
  down by turns through a tally; for one board alone, up.
- Some tallies drop the fractions of a board before they multiply: see `truncated`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction

from nesting.errors import InputError
from nesting.trade.lumber import Section
from nesting.trade.panels import Density
from nesting.units import TICKS_PER_FOOT, TICKS_PER_INCH, Ticks

CUBIC_INCHES_PER_BOARD_FOOT = 144
KILOGRAMS_PER_POUND = Fraction("0.45359237")
"""Exact, by the international agreement of 1959."""


def board_feet(thickness: Ticks, width: Ticks, length: Ticks) -> Fraction:
    """Return the board feet of one softwood piece.

    Parameters
    ----------
    thickness, width
        Nominal size; less than 1 in of thickness counts as 1 in.
    length
        Actual length.

    Examples
    --------
    >>> board_feet(2 * TICKS_PER_INCH, 4 * TICKS_PER_INCH, 8 * TICKS_PER_FOOT)
    Fraction(16, 3)
    """
    counted = max(thickness, TICKS_PER_INCH)
    cubic_inches = Fraction(counted * width * length, TICKS_PER_INCH**3)
    return cubic_inches / CUBIC_INCHES_PER_BOARD_FOOT


def section_board_feet(section: Section, length: Ticks) -> Fraction:
    """Return the board feet of one piece of a nominal section, such as a 2x6."""
    return board_feet(section.nominal_thickness, section.nominal_width, length)


def surface_measure(width: Ticks, length: Ticks) -> int:
    """Return the surface measure of one hardwood board, in whole square feet.

    Parameters
    ----------
    width
        Measured width, of which the fraction counts.
    length
        Measured length, of which only whole feet count.

    Returns
    -------
    int
        The nearest whole number; an exact half goes up.
    """
    return math.floor(_unrounded_measure(width, length) + Fraction(1, 2))


def tally_surface_measure(boards: Iterable[tuple[Ticks, Ticks]]) -> tuple[int, ...]:
    """Return the surface measure of each board of a tally, in order.

    Parameters
    ----------
    boards
        Width and length of each, as `surface_measure` takes them.

    Returns
    -------
    tuple of int
        As `surface_measure`, but of the exact halves every second one goes down: the
        first up, the next down, and so on.
    """
    measures = []
    halves = 0
    for width, length in boards:
        exact = _unrounded_measure(width, length)
        measure = math.floor(exact + Fraction(1, 2))
        if exact.denominator == 2:
            measure -= halves % 2
            halves += 1
        measures.append(measure)
    return tuple(measures)


def hardwood_board_feet(thickness: Ticks, width: Ticks, length: Ticks) -> Fraction:
    """Return the board feet of one hardwood board: surface measure times thickness.

    Parameters
    ----------
    thickness
        Nominal (rough) thickness, such as 2 in for 8/4; under 1 in it counts as 1 in.
    width, length
        As measured; see `surface_measure`.
    """
    counted = Fraction(max(thickness, TICKS_PER_INCH), TICKS_PER_INCH)
    return counted * surface_measure(width, length)


def truncated(
    thickness: Ticks, width: Ticks, length: Ticks
) -> tuple[Ticks, Ticks, Ticks]:
    """Return a board's size as a tally that drops fractions writes it down.

    Thickness goes down to a whole quarter of an inch, width to a whole inch, length to
    a whole foot. Feed the result to `board_feet` or `surface_measure`.
    """
    quarter = TICKS_PER_INCH // 4
    return (
        thickness - thickness % quarter,
        width - width % TICKS_PER_INCH,
        length - length % TICKS_PER_FOOT,
    )


def square_feet(length: Ticks, width: Ticks) -> Fraction:
    """Return the area of a rectangle in square feet."""
    return Fraction(length * width, TICKS_PER_FOOT**2)


def linear_feet(lengths: Iterable[Ticks]) -> Fraction:
    """Return the running feet of some pieces together."""
    return Fraction(sum(lengths), TICKS_PER_FOOT)


def area_yield(
    used: Iterable[tuple[Ticks, Ticks]], stock: Iterable[tuple[Ticks, Ticks]]
) -> Fraction:
    """Return the share of the stock's area that becomes parts.

    Parameters
    ----------
    used, stock
        Length and width of each blank, and of each piece of stock it was cut from.

    Returns
    -------
    Fraction
        Between 0 and 1; 0 where there is no stock at all.

    Raises
    ------
    InputError
        More is used than there is.
    """
    whole = sum(length * width for length, width in stock)
    taken = sum(length * width for length, width in used)
    if taken > whole:
        raise InputError("the parts have more area than the stock they are cut from")
    return Fraction(taken, whole) if whole else Fraction(0)


def weight_pounds(
    length: Ticks, width: Ticks, thickness: Ticks, density: Density
) -> Fraction:
    """Return what a piece weighs, in pounds."""
    cubic_feet = Fraction(length * width * thickness, TICKS_PER_FOOT**3)
    return cubic_feet * density.pounds_per_cubic_foot


def kilograms(pounds: Fraction) -> Fraction:
    """Return a weight in kilograms; the pound is 0.45359237 kg exactly."""
    return pounds * KILOGRAMS_PER_POUND


def write_decimal(value: Fraction, decimals: int) -> str:
    """Return a quantity as a decimal with that many places, halves to the even figure.

    Examples
    --------
    >>> write_decimal(Fraction(28, 3), 2)
    '9.33'
    """
    count = round(value * 10**decimals)
    whole, rest = divmod(abs(count), 10**decimals)
    point = f".{rest:0{decimals}d}" if decimals else ""
    return f"{'-' * (count < 0)}{whole}{point}"


def write_percent(share: Fraction, decimals: int = 1) -> str:
    """Return a share as a percentage: ``84.3 %``."""
    return f"{write_decimal(100 * share, decimals)} %"


def write_money(cents: int, symbol: str) -> str:
    """Return an amount with its currency symbol in front: ``$12.34``.

    Parameters
    ----------
    cents
        Whole cents; below zero the sign stands before the symbol.
    symbol
        What to put in front; a word (``"CHF"``) gets a space behind it.
    """
    whole, rest = divmod(abs(cents), 100)
    space = " " if symbol[-1:].isalpha() else ""
    return f"{'-' * (cents < 0)}{symbol}{space}{whole}.{rest:02d}"


def cost_in_cents(quantity: Fraction, cents_each: int) -> int:
    """Return the price of a quantity at a unit price, to the nearest cent.

    Parameters
    ----------
    quantity
        Board feet, square feet or running feet; not negative.
    cents_each
        Cents for one of them.

    Returns
    -------
    int
        Whole cents; an exact half cent goes up.
    """
    return math.floor(quantity * cents_each + Fraction(1, 2))


def _unrounded_measure(width: Ticks, length: Ticks) -> Fraction:
    """Return width in inches times whole feet over 12, before it is rounded."""
    return Fraction(width * (length // TICKS_PER_FOOT), 12 * TICKS_PER_INCH)


def write_duration(minutes: int) -> str:
    """Return minutes as hours and minutes, such as ``2 h 40 min``."""
    hours, rest = divmod(minutes, 60)
    words = ([f"{hours} h"] if hours else []) + ([f"{rest} min"] if rest else [])
    return " ".join(words) or "0 min"
