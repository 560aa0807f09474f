"""Lengths as written: exact for files, rounded and marked for the eye."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting import units
from nesting.errors import InputError
from nesting.units import (
    Display,
    Unit,
    read_exact,
    read_length,
    write_exact,
    write_length,
    write_with_unit,
)

# The inch of 25.4 mm exactly: Federal Register notice of 1 July 1959, as reprinted in
# NIST SP 447, Appendix 5. The tick is 1/1600 mm, the package's own choice.
INCH = Fraction(254, 10) * 1600
MM = Fraction(1600)

ANY_SIZE = st.integers(-1_600_000_000, 1_600_000_000)
# a rounded size may be half an inch more than the true one, and 1 km is the most read
SHOWN_SIZE = st.integers(-1_599_900_000, 1_599_900_000)
UNITS = st.sampled_from(list(Unit))
exactly = settings(deadline=None, derandomize=True, max_examples=300)


@exactly
@given(ANY_SIZE, UNITS, UNITS)
def test_exact_writing_reads_back(ticks: int, unit: Unit, default: Unit) -> None:
    """What `write_exact` writes reads back unrounded, whatever the default unit."""
    text = write_exact(ticks, unit)
    assert read_exact(text, default) == ticks
    assert len(text) <= units.LONGEST_TEXT


@exactly
@given(st.integers(-100_000, 100_000), st.sampled_from([635, 127, 1]), UNITS)
def test_exact_writing_reads_back_on_round_sizes(
    count: int, grid: int, unit: Unit
) -> None:
    """The fraction, decimal and millimetre forms of `write_exact` all read back."""
    text = write_exact(count * grid, unit)
    assert read_exact(text, Unit.M) == count * grid
    if unit in (Unit.INCH, Unit.FOOT):
        assert ("mm" in text) == (count * grid % 127 != 0)
        assert ("." not in text) or (count * grid % 635 != 0)


@pytest.mark.parametrize(
    ("ticks", "unit", "text"),
    [
        (955_040, Unit.INCH, '23 1/2"'),
        (-955_040, Unit.INCH, '-23 1/2"'),
        (0, Unit.INCH, '0"'),
        (0, Unit.FOOT, '0"'),
        (0, Unit.MM, "0 mm"),
        (1_117_600, Unit.FOOT, "2' 3 1/2\""),
        (975_360, Unit.FOOT, "2'"),
        (20_320, Unit.FOOT, '1/2"'),
        (28_448, Unit.INCH, '0.7"'),
        (960_000, Unit.INCH, "600 mm"),
        (29_210, Unit.MM, "18.25625 mm"),
        (960_000, Unit.CM, "60 cm"),
        (1_920_000, Unit.M, "1.2 m"),
        (1, Unit.MM, "0.000625 mm"),
    ],
)
def test_exact_writing(ticks: int, unit: Unit, text: str) -> None:
    """Exact sizes are written in the form a maker would write them."""
    assert write_exact(ticks, unit) == text


@pytest.mark.parametrize(
    ("ticks", "display", "text"),
    [
        (955_040, Display(), "23 1/2"),
        (40_640, Display(), "1"),
        (0, Display(), "0"),
        (-20_320, Display(), "-1/2"),
        (-60_960, Display(), "-1 1/2"),
        # 23/32 in lies halfway between 11/16 and 12/16: the even one, and it says so
        (29_210, Display(denominator=16), "3/4-"),
        (29_210, Display(denominator=32), "23/32"),
        (955_041, Display(), "23 1/2+"),
        (955_039, Display(), "23 1/2-"),
        # rounding carries into the whole number
        (40_639, Display(), "1-"),
        (1, Display(), "0+"),
        (-1, Display(), "0-"),
        # -0.06 in is more, as a number, than -1/16 in
        (-2_438, Display(), "-1/16+"),
        (960_000, Display(unit=Unit.MM), "600"),
        (955_040, Display(unit=Unit.MM), "596.9"),
        (29_210, Display(unit=Unit.MM), "18.26-"),
        (29_210, Display(unit=Unit.MM, decimals=1), "18.3-"),
        (29_210, Display(unit=Unit.MM, decimals=0), "18+"),
        (29_210, Display(unit=Unit.MM, decimals=6), "18.25625"),
        (-29_210, Display(unit=Unit.MM, decimals=1), "-18.3+"),
    ],
)
def test_display(ticks: int, display: Display, text: str) -> None:
    """Sizes for the eye are rounded to the chosen fineness and marked."""
    assert write_length(ticks, display) == text


def test_display_with_unit_and_without_mark() -> None:
    """The unit follows the number and its mark; the mark can be left off."""
    inch, mm = Display(denominator=32), Display(unit=Unit.MM)
    assert write_with_unit(955_040, inch) == '23 1/2"'
    assert write_with_unit(955_041, inch) == '23 1/2+"'
    assert write_with_unit(29_210, mm) == "18.26- mm"
    assert write_with_unit(29_210, mm, mark=False) == "18.26 mm"
    assert write_length(955_041, inch, mark=False) == "23 1/2"


DISPLAYS = st.one_of(
    st.builds(
        Display,
        unit=st.just(Unit.INCH),
        denominator=st.sampled_from([2, 4, 8, 16, 32, 64]),
    ),
    st.builds(
        Display,
        unit=st.just(Unit.MM),
        decimals=st.one_of(st.none(), st.integers(0, 6)),
    ),
)


@exactly
@given(SHOWN_SIZE, DISPLAYS)
def test_the_mark_tells_the_truth(ticks: int, display: Display) -> None:
    """A shown size is within half a step of the true one, on the side it is marked."""
    text = write_length(ticks, display)
    shown = read_exact(text.rstrip("+-"), display.unit)
    if display.unit is Unit.INCH:
        step = INCH / display.denominator
    else:
        step = MM / 10 ** (2 if display.decimals is None else display.decimals)
    assert abs(ticks - shown) <= step / 2
    mark = text[-1] if text[-1] in "+-" else "="
    assert mark == ("+" if ticks > shown else "-" if ticks < shown else "=")
    assert write_length(ticks, display, mark=False) == text.rstrip("+-")


@exactly
@given(SHOWN_SIZE, DISPLAYS)
def test_an_unmarked_size_reads_back(ticks: int, display: Display) -> None:
    """A size shown without a mark reads back to the very same ticks."""
    text = write_with_unit(ticks, display)
    if "+" not in text and "-" not in text.lstrip("-"):
        assert read_length(text, Unit.M) == ticks


@exactly
@given(st.integers(-1000, 1000), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_no_denominator_is_left_unreduced(count: int, denominator: int) -> None:
    """A fraction on the display's grid is written in lowest terms and unmarked."""
    ticks = count * (40_640 // denominator)
    text = write_length(ticks, Display(denominator=denominator))
    assert "+" not in text
    if "/" in text:
        top, bottom = map(int, text.lstrip("-").split(" ")[-1].split("/"))
        assert Fraction(top, bottom).denominator == bottom
        assert top < bottom


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({"unit": Unit.FOOT}, "not ft"),
        ({"unit": Unit.CM}, "not cm"),
        ({"denominator": 10}, "not in 10"),
        ({"denominator": 128}, "not in 128"),
        ({"denominator": 0}, "not in 0"),
        ({"decimals": -1}, "not to -1"),
        ({"decimals": 7}, "not to 7"),
    ],
)
def test_displays_out_of_range(fields: dict[str, object], reason: str) -> None:
    """A display in another unit or fineness is refused in words."""
    with pytest.raises(InputError, match=reason):
        Display(**fields)  # type: ignore[arg-type]
