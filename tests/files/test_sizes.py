"""Sizes: typed ones round to the nearest tick, computed ones down."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.files.dimensions import Definition, define
from nesting.files.faults import FaultList, Spot
from nesting.files.sizes import Sizes, number_of
from nesting.units import TICKS_PER_INCH, TICKS_PER_MM, Unit

SPOT = Spot(path="job.toml", line=7, field="width")


def ticks(raw, sizes=None, **kwargs):
    """Return a size that must be sound."""
    faults = FaultList()
    size = (sizes or Sizes(Unit.INCH)).read(raw, SPOT, faults, **kwargs)
    faults.raise_any()
    return size


def refusal(raw, sizes=None, **kwargs):
    """Return the one fault of a size."""
    faults = FaultList()
    assert (sizes or Sizes(Unit.INCH)).read(raw, SPOT, faults, **kwargs) is None
    with pytest.raises(InputError) as caught:
        faults.raise_any()
    (fault,) = caught.value.faults
    assert (fault.path, fault.line, fault.field) == ("job.toml", 7, "width")
    return fault


@pytest.mark.parametrize(
    ("raw", "unit", "wanted"),
    [
        ("23 1/2", Unit.INCH, 955040),  # 23.5 x 40640
        (23, Unit.INCH, 934720),
        (Decimal("0.47"), Unit.INCH, 19101),  # 19100.8, to the nearest
        ("0.47", Unit.INCH, 19101),
        ("1/3", Unit.MM, 533),  # 533.33, to the nearest
        ("2/3", Unit.MM, 1067),  # 1066.67, to the nearest
        ("1/3*2", Unit.MM, 1066),  # the same, computed: down
        (Decimal("18.25"), Unit.MM, 29200),
        ("23-1/2", Unit.INCH, 955040),
        ("24 - 1/2", Unit.INCH, 955040),
    ],
)
def test_rounding(raw, unit, wanted):
    """Typed sizes go to the nearest tick and computed ones down to the next."""
    assert ticks(raw, Sizes(unit)) == wanted


@pytest.mark.parametrize(
    ("length", "count", "inches"),
    [
        # n equal parts and n-1 kerfs of 1/8 in from 48 and 96 in, worked by hand
        (48, 2, "23.9375"),
        (96, 4, "23.90625"),
        (96, 8, "11.890625"),
    ],
)
def test_equal_parts_of_a_board(length, count, inches):
    """The sum for equal parts gives the figures that one gets on paper."""
    text = f"({length} - {count - 1}*1/8)/{count}"
    assert ticks(text) == Fraction(inches) * TICKS_PER_INCH


@given(st.integers(10, 200), st.integers(1, 24), st.integers(1, 16))
def test_equal_parts_never_overflow(length, count, kerf):
    """Equal parts and their kerfs always fit the board they were made for."""
    part = ticks(f"({length} - {count - 1}*{kerf}/64)/{count}")
    kerfs = (count - 1) * Fraction(kerf * TICKS_PER_INCH, 64)
    assert count * part + kerfs <= length * TICKS_PER_INCH
    assert count * (part + 1) + kerfs > length * TICKS_PER_INCH


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (0, "comes to nothing"),
        ("-3", "is less than nothing"),
        ("1/9999999", "comes to nothing"),
        (True, "no number"),
        ([1], "a list is no number"),
        (Decimal("NaN"), "no number"),
        (Decimal("-Infinity"), "no number"),
        (Decimal("1e400"), "far too large"),
        (10**12, "far too large"),
        pytest.param(10**6000, "far too large", id="6000 digits"),
        ("500000*400", "over 1 km"),
        ("", "no length is given"),
        ("depth.__class__", "'depth.__class__' is neither"),
        ("twelve", "'twelve' is neither a unit nor a dimension"),
    ],
)
def test_refused_sizes(raw, words):
    """What is no size of a piece of wood is refused, with what would do."""
    fault = refusal(raw)
    assert words in fault.what
    assert fault.remedy


def test_nothing_will_do_where_it_may():
    """A trim may be nothing at all, but never less."""
    assert ticks("0", zero=True) == 0
    assert "zero or more" in refusal("-1/8", zero=True).remedy


def defined(unit=Unit.INCH, **raws):
    """Return sizes that know these names, and the faults of defining them."""
    faults = FaultList()
    names = [
        Definition(name=name, raw=raw, spot=Spot(field=name))
        for name, raw in raws.items()
    ]
    return define(names, unit, faults), faults


def test_names_may_come_in_any_order():
    """A dimension may be built on one that is defined after it."""
    sizes, faults = defined(inner="outer - 2*side", outer=30, side="3/4")
    faults.raise_any()
    assert ticks("inner", sizes) == Fraction(57, 2) * TICKS_PER_INCH


def test_names_are_not_rounded_on_the_way():
    """Three thirds of a millimetre are a millimetre, though no third is whole ticks."""
    sizes, faults = defined(unit=Unit.MM, third="1/3")
    faults.raise_any()
    assert ticks("3*third", sizes) == TICKS_PER_MM


def test_measured_thickness_is_rounded_once():
    """What is measured is whole ticks before sums use it."""
    faults = FaultList()
    name = Definition(name="birch ply.t", raw="1/3", spot=SPOT, measured=True)
    sizes = define([name], Unit.MM, faults)
    faults.raise_any()
    assert ticks("3*birch_ply.t", sizes) == 3 * 533
    assert sizes.value_of("Birch Ply.t") == 533


@pytest.mark.parametrize(
    ("raws", "words"),
    [
        ({"a": "b", "b": "c + 1", "c": "2*a"}, "a needs b needs c needs a"),
        ({"b": "a", "a": "a - 1"}, "'a' depends on itself"),
    ],
)
def test_cycles_are_told_once(raws, words):
    """A cycle is one fault that names the whole ring, whoever else needs it."""
    sizes, faults = defined(**raws, other="a + 1")
    with pytest.raises(InputError) as caught:
        faults.raise_any()
    (fault,) = caught.value.faults
    assert words in fault.what
    more = FaultList()
    assert sizes.read("other*2", SPOT, more) is None
    assert len(more) == 0


def test_two_rings_are_two_faults():
    """Rings that do not touch are told one by one."""
    _, faults = defined(a="b", b="a", c="d", d="c")
    assert len(faults) == 2


@pytest.mark.parametrize(
    ("name", "words"),
    [("mm", "unit of length"), ("Feet", "unit"), ("2nd", "name"), ("a b", "name")],
)
def test_bad_names_are_refused(name, words):
    """A name that could not be told from a unit or a sum is refused."""
    _, faults = defined(**{name: 3})
    with pytest.raises(InputError, match=words):
        faults.raise_any()


def test_long_chain_of_names_is_no_trouble():
    """Nine hundred dimensions, each built on the next, do not overflow."""
    chain = {f"d{i}": f"d{i + 1} + 1/64" for i in range(900)}
    sizes, faults = defined(**chain, d900=1)
    faults.raise_any()
    assert ticks("d0", sizes) == TICKS_PER_INCH + 900 * 635


def test_numbers_are_taken_exactly():
    """A decimal of a TOML file keeps every digit."""
    assert number_of(Decimal("0.1")) == Fraction(1, 10)
