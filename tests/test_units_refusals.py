"""Lengths that are refused, and the one sentence that says why."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.units import Unit, read_exact, read_length, read_unit, write_exact

UNITS = st.sampled_from(list(Unit))
exactly = settings(deadline=None, derandomize=True, max_examples=300)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "\u00a0",
        "-",
        "+",
        "'",
        '"',
        "in",
        "nan",
        "inf",
        "-inf",
        "infinity",
        "1e3",
        "1e9999",
        "1E-3 mm",
        "0x10",
        "1_000",
        "١٢",
        "\uff12\uff13",
        "²³",
        "1/0",
        "23 1/0",
        "0/0",
        "1/2/3",
        "1.5/2",
        "23 3/2",
        "23 2/2",
        "2.5 1/2",
        "2.5½",
        "½5",
        "½½",
        "1/½",
        "231\u20442",
        "12 13",
        "1.2.3",
        "1,2,3",
        "23 - 1/2",
        "23 -1/2",
        "23- 1/2",
        "23-1",
        "2'-3\"",
        "--5",
        "+-5",
        "5-",
        "2*3",
        "2+3",
        "23 1/2+",
        '23 1/2-"',
        "8.47- mm",
        "5 furlongs",
        "5 x",
        "mm 5",
        "5 mm mm",
        "1 m 20 cm",
        "2' 12\"",
        "2'11/2\"",
        "2' 31/2",
        "2' 3 mm",
        "2 1/2' 3\"",
        "3\" 2'",
        "2' -3\"",
        "12\n1/2",
        "23\u200b1/2",
        "one",
        "None",
        "1000.1 m",
        "-1000.1 m",
        "99999999999999999999",
        "9" * 64,
        "0" * 65,
        " " * 65,
        "1/" + "9" * 10_000,
    ],
)
def test_nonsense_is_refused(text: str) -> None:
    """What is no length is refused with one short line that says what would do."""
    with pytest.raises(InputError) as caught:
        read_exact(text, Unit.INCH)
    message = str(caught.value)
    assert "\n" not in message
    assert len(message) < 260
    assert "write it like 23 1/2" in message
    assert text.strip() == "" or repr(text)[1:10] in message


@pytest.mark.parametrize(
    "text", ["1,000", "12,500 mm", "1'000", "1 000", "1\u202f000 mm", "1.000,5"]
)
def test_thousands_separators_are_refused(text: str) -> None:
    """A thousands separator is named as the reason: 1,000 must not become 1 mm."""
    with pytest.raises(InputError, match="a thousands separator is not understood"):
        read_exact(text, Unit.MM)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "no length is given"),
        ("1/0", "divided by 0"),
        ("1 3/2", "less than 1"),
        ("1001 m", "over 1 km"),
        ("5 furlong", "'furlong' is no unit"),
        ("23 1/2+", "marks a rounded size"),
        ("23 - 1/2", "not a sum"),
        ("2' 12\"", "less than 12 inches"),
        ("9" * 65, "more than 64 characters"),
        ("12\n1/2", "more than one line"),
        ("nan", "no form of a length"),
    ],
)
def test_the_refusal_says_why(text: str, reason: str) -> None:
    """The message gives the reason, and carries it as one fault without a place."""
    with pytest.raises(InputError, match=reason) as caught:
        read_length(text, Unit.INCH)
    (fault,) = caught.value.faults
    assert reason in fault.what
    assert fault.remedy
    assert fault.line is None


def test_one_kilometre_is_the_longest() -> None:
    """1 km is read, a tick more is not, and the same below zero."""
    assert read_length("1000 m", Unit.MM) == 1_600_000_000
    assert read_length("-1000 m", Unit.MM) == -1_600_000_000
    with pytest.raises(InputError, match="over 1 km"):
        read_length("1000.000000625 m", Unit.MM)


@exactly
@given(st.text(max_size=70), UNITS)
def test_any_text_is_read_or_refused(text: str, unit: Unit) -> None:
    """No text raises anything but `InputError`, and what is read is within 1 km."""
    try:
        value = read_exact(text, unit)
    except InputError:
        return
    assert abs(value) <= 1_600_000_000


@exactly
@given(st.text("0123456789 /.,'\"-+½¼′″mincft\u00a0", max_size=16), UNITS)
def test_trade_like_text_is_read_or_refused(text: str, unit: Unit) -> None:
    """Scrambled sizes are refused, or mean the same after a second reading."""
    try:
        value = read_length(text, unit)
    except InputError:
        return
    assert read_length(write_exact(value, unit), unit) == value


@pytest.mark.parametrize("text", ["", "furlong", "mmm", "5 mm", "m" * 70])
def test_unknown_unit_words(text: str) -> None:
    """A word that names no unit is refused with those that do."""
    with pytest.raises(InputError, match="write in, ft, mm, cm or m"):
        read_unit(text)
