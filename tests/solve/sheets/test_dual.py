"""Dual feasible functions keep what fits together within their measure."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.solve.sheets.dual import duals, mirrored, rounded, threshold


def fillings(full: int, least: int = 1) -> list[tuple[int, ...]]:
    """Return every multiset of lengths that add up to at most `full`."""
    found: list[tuple[int, ...]] = [()]
    for first in range(least, full + 1):
        found += [(first, *rest) for rest in fillings(full - first, first)]
    return found


@pytest.mark.parametrize("full", [1, 2, 7, 12, 15])
def test_no_filling_is_worth_more_than_the_whole(full: int) -> None:
    """Every filling of a small length, counted out, stays within every function."""
    every = fillings(full)
    for dual in duals(full, range(1, full + 1)):
        worth = [dual.value(size) if size else 0 for size in range(full + 1)]
        assert worth[full] == dual.most
        assert worth == sorted(worth)
        for filling in every:
            assert sum(worth[size] for size in filling) <= dual.most


@given(
    full=st.integers(1, 10_000_000),
    data=st.data(),
)
def test_long_fillings_stay_within_the_whole(full: int, data: st.DataObject) -> None:
    """Lengths in ticks that fit beside each other never exceed a function's measure."""
    sizes = []
    left = full
    while left and len(sizes) < 12:
        size = data.draw(st.integers(1, left))
        sizes.append(size)
        left -= size
    for dual in itertools.islice(duals(full, sizes), 200):
        assert sum(dual.value(size) for size in sizes) <= dual.most


def test_values_are_those_of_the_papers() -> None:
    """Worked by hand from the definitions, with the whole as 1.

    Fekete & Schepers, Math. Programming 91 (2001) 11-31: u(1) sends more than 1/2 to 1,
    1/2 to 1/2, less to 0; u(2) sends 0.4 to 1/2 and 2/3 to 2/3; U(0.3) sends 0.71 to 1,
    0.29 to 0 and leaves 0.5. Carlier, Clautiaux & Moukrim, Computers & OR 34 (2007)
    2223-2250: with C = 10 and k = 3, f2(2) = 0, f2(4) = 2, f2(5) = 3, f2(7) = 4 of 6.
    """
    one = rounded(100, 1)
    assert [Fraction(one.value(x), one.most) for x in (51, 50, 49)] == [
        1,
        Fraction(1, 2),
        0,
    ]
    two = rounded(300, 2)
    assert Fraction(two.value(120), two.most) == Fraction(1, 2)
    assert Fraction(two.value(200), two.most) == Fraction(2, 3)
    cut = threshold(100, 30)
    assert [cut.value(x) for x in (71, 29, 50, 70)] == [100, 0, 50, 70]
    units = mirrored(10, 3)
    assert [units.value(x) for x in (2, 4, 5, 7)] == [0, 2, 3, 4]
    assert units.most == 6
