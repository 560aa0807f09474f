"""Sums of sizes: exact, safe, and refused where they could be misread."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.files.sums import DEEPEST, Kind, Value, folded, parse_sum, work_out
from nesting.units import TICKS_PER_INCH, TICKS_PER_MM, Unit

NAMES = {
    "depth": Value(Fraction(14 * TICKS_PER_INCH), Kind.LENGTH),
    "ply.t": Value(Fraction(23 * TICKS_PER_INCH, 32), Kind.LENGTH),
    "shelves": Value(Fraction(4), Kind.RATIO),
}


def worked(text, unit=Unit.INCH):
    """Return the value of a sum."""
    return work_out(parse_sum(text, unit), NAMES, unit)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("depth - 2*3/4", Fraction(25, 2)),  # the sum of the reference's first page
        ("depth-2*3/4", Fraction(25, 2)),  # blanks are free
        ("depth - 3-1/2", Fraction(21, 2)),  # a mixed number binds closest
        ("depth - 3 - 1/2", Fraction(21, 2)),
        ("2*2 1/2 + depth", 19),
        ("depth / 4 / 2", Fraction(7, 4)),  # from left to right
        ("(depth - 2*ply.t)/shelves", Fraction(201, 64)),
        ("-(2 - depth)", 12),
        ("depth + 25.4 mm", 15),  # the international inch of 1959
        ("depth + 2' 3 1/2\"", Fraction(83, 2)),
        ("½*depth + ¾", Fraction(31, 4)),
        ("depth − 1", 13),  # a typographic minus
        ("depth × 2 ÷ 7", 4),
        ("DEPTH*1,5", 21),  # capitals do not matter, decimal commas do
        ("depth/ply.t*1/2 mm", Fraction(448, 23) * Fraction(5, 254)),
    ],
)
def test_lengths_come_out_exactly(text, inches):
    """A sum of lengths is worked out as one does it on paper, with nothing rounded."""
    value = worked(text)
    assert value == Value(Fraction(inches) * TICKS_PER_INCH, Kind.LENGTH)


@pytest.mark.parametrize(
    ("text", "kind", "amount"),
    [
        ("3*4 - 1/2", Kind.BARE, Fraction(23, 2)),
        ("depth/ply.t", Kind.RATIO, Fraction(448, 23)),
        ("shelves - 1", Kind.RATIO, Fraction(3)),
        ("2*shelves", Kind.RATIO, Fraction(8)),
    ],
)
def test_numbers_stay_numbers(text, kind, amount):
    """Without a length a sum is a bare number, with a ratio it is a plain one."""
    assert worked(text) == Value(amount, kind)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("depth*depth", "an area"),
        ("2 in * 3 in", "an area"),
        ("shelves/depth", "cannot be divided by a length"),
        ("3/depth", "without a unit cannot be divided by a length"),
        ("depth + shelves", "a length cannot be added to a plain number"),
        ("depth - shelves", "a plain number cannot be subtracted from a length"),
        ("depth/(3 - 3)", "divided by 0"),
        ("depth/3/4", "two ways"),
        ("3/4/depth", "two ways"),
        ("depth/½", "two ways"),
        ("depth depth", "missing before 'depth'"),
        ("depth 3", "missing before '3'"),
        ("2(depth)", "missing before '('"),
        ("depth -", "ends where a size should follow"),
        ("* depth", "a size should stand before '*'"),
        ("()", "a size should stand before ')'"),
        ("(depth", "closing bracket is missing"),
        ("depth)", "closing bracket too many"),
        ("depth % 2", "'%' has no place"),
        ("depth ** 2", "a size should stand before '*'"),
        ("1/0 + depth", "divided by 0"),
        ("9" * 70, "64 characters"),
        ("(" * (DEEPEST + 2) + "1" + ")" * (DEEPEST + 2), "24 brackets"),
        ("-" * (DEEPEST + 2) + "1", "24 brackets or signs"),
    ],
)
def test_nonsense_is_refused(text, reason):
    """What is no size, or could be meant in two ways, is refused with the reason."""
    with pytest.raises(InputError) as caught:
        worked(text)
    fault = caught.value.faults[0]
    assert reason in fault.what
    assert fault.remedy


def test_figures_cannot_grow_without_end():
    """Numbers that square and square are stopped long before memory is."""
    square = parse_sum("n*n", Unit.MM)

    def raised(times):
        value = Value(Fraction(3, 7), Kind.RATIO)
        for _ in range(times):
            value = work_out(square, {"n": value}, Unit.MM)

    raised(9)
    with pytest.raises(InputError, match="grow far too long"):
        raised(64)


@pytest.mark.parametrize("name", ["Inner width", "inner-width", " INNER_WIDTH "])
def test_names_are_folded(name):
    """Capitals, blanks and hyphens make no difference in the name of a dimension."""
    assert folded(name) == "inner_width"


def sums(leaves):
    """Return pairs of a sum as text and as a fraction, of these leaves."""
    return st.recursive(
        leaves,
        lambda inner: st.one_of(
            st.tuples(inner, st.sampled_from("+-*"), inner).map(joined),
            inner.map(lambda pair: (f"(-{pair[0]})", -pair[1])),
        ),
        max_leaves=8,
    )


def joined(parts):
    """Return a sum of two others, in brackets."""
    (left, one), sign, (right, other) = parts
    value = {"+": one + other, "-": one - other, "*": one * other}[sign]
    return f"({left} {sign} {right})", value


WHOLE = st.integers(0, 999).map(lambda n: (str(n), Fraction(n)))
MIXED = st.tuples(st.integers(1, 99), st.integers(1, 63)).map(
    lambda p: (f"{p[0]} {p[1]}/64", p[0] + Fraction(p[1], 64))
)
DECIMAL = st.integers(0, 99999).map(lambda n: (f"{n / 1000:.3f}", Fraction(n, 1000)))


@given(sums(WHOLE | MIXED | DECIMAL))
def test_arithmetic_equals_fractions(pair):
    """Any sum of numbers comes to what `fractions.Fraction` says of it."""
    text, value = pair
    if len(text) <= 200 and text.count("(") <= DEEPEST:
        assert worked(text) == Value(value, Kind.BARE)


@given(
    st.integers(1, 4000), st.integers(1, 40), st.integers(1, 500), st.sampled_from("+-")
)
def test_lengths_in_mixed_units_add_up(millimetres, inches, count, sign):
    """Lengths of two units, multiplied by a number, add up in exact ticks."""
    value = worked(f'{count}*{millimetres} mm {sign} {inches} 1/2"', Unit.MM)
    other = Fraction(2 * inches + 1, 2) * TICKS_PER_INCH
    wanted = count * millimetres * TICKS_PER_MM + (other if sign == "+" else -other)
    assert value == Value(Fraction(wanted), Kind.LENGTH)


@given(st.text("0123456789 +-*/().,½x'\"mint\u2212_", max_size=40))
def test_no_text_does_worse_than_be_refused(text):
    """Whatever is typed is worked out or refused; nothing else ever comes of it."""
    try:
        total = parse_sum(text, Unit.INCH)
        names = dict.fromkeys(total.names, NAMES["depth"])
        value = work_out(total, names, Unit.INCH)
    except InputError:
        return
    assert isinstance(value.amount, Fraction)
