"""Faults: collected, counted, and shown on one line each."""

import pytest

from nesting.errors import InputError
from nesting.files.faults import MOST_SHOWN, FaultList, Spot, nearest, shown, suggestion


def test_all_faults_are_raised_at_once():
    """Every fault is in the one error, in the order in which it was found."""
    faults = FaultList()
    faults.raise_any()  # nothing yet
    for line in (3, 1, 2):
        faults.add(Spot(path="parts.csv", line=line, field="qty"), "none", "write one")
    with pytest.raises(InputError) as caught:
        faults.raise_any()
    assert [fault.line for fault in caught.value.faults] == [3, 1, 2]
    assert str(caught.value.faults[0]) == "parts.csv, line 3, qty: none; write one"


def test_endless_faults_are_counted_not_told():
    """Beyond a screenful only the number of further faults is said."""
    faults = FaultList()
    for line in range(MOST_SHOWN + 41):
        faults.add(Spot(path="parts.csv", line=line), "wrong")
    assert len(faults) == MOST_SHOWN + 41
    with pytest.raises(InputError, match="and 41 more faults") as caught:
        faults.raise_any()
    assert len(caught.value.faults) == MOST_SHOWN + 1


def test_keys_and_columns_are_told_safely():
    """A name of a column that would garble a terminal is told without its signs."""
    faults = FaultList()
    faults.add(Spot(field="le\x1b[2Jngth"), "no column\n", "known are a\u2028b")
    with pytest.raises(InputError) as caught:
        faults.raise_any()
    assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("word", "meant"), [("Thicknes", "thickness"), ("lenght", "length"), ("oak", None)]
)
def test_mistyped_words_are_understood(word, meant):
    """A slip of the finger finds its word, another word does not."""
    assert nearest(word, ["length", "width", "thickness"]) == meant


def test_other_words_get_the_list():
    """Where nothing is near, what is known is listed."""
    assert suggestion("oak", ["pine", "ply"]) == "known are pine, ply"


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        ("a\x1b[31m\nb", "'a\\x1b[31m\\nb'"),
        ("x" * 99, "'" + "x" * 45 + "...'"),
        ([1, [2]], "a list"),
        pytest.param(10**9999, "'an absurdly long number'", id="long"),
        (False, "false"),
    ],
)
def test_what_was_read_is_shown_safely(raw, text):
    """Nothing read can garble a terminal or fill it."""
    assert shown(raw) == text
