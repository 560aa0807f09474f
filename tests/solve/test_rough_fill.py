"""The guess counts what can be counted by hand, and no less than the area asks for."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from nesting.solve.rough_fill import Wanted, guess


def test_halves_are_counted_by_the_sheet() -> None:
    """Five parts, two on each sheet."""
    found = guess([Wanted(((100, 50),), 5)], [(100, 50), (100, 50)], (3, 3))
    assert (found.unheld, found.sheets, found.held) == (0, 3, 5 * 5000)
    assert found.free == -5000
    assert found.area_per_sheet == 25_000 // 3


def test_what_no_rectangle_holds_is_told() -> None:
    """Unless it may be turned."""
    flat = Wanted(((100, 50),), 1)
    assert guess([flat], [(60, 110)], (3, 3)).unheld == 5000
    turned = Wanted(((100, 50), (50, 100)), 1)
    assert guess([turned], [(60, 110)], (3, 3)).unheld == 0


@given(
    sizes=st.lists(
        st.tuples(st.integers(1, 90), st.integers(1, 60), st.integers(1, 4)),
        min_size=1,
        max_size=6,
    ),
    rects=st.lists(
        st.tuples(st.integers(20, 100), st.integers(20, 60)), min_size=1, max_size=3
    ),
)
def test_no_sheet_holds_more_than_its_area(
    sizes: list[tuple[int, int, int]], rects: list[tuple[int, int]]
) -> None:
    """However parts and rectangles are."""
    wanted = [Wanted(((x, y), (y, x)), count) for x, y, count in sizes]
    found = guess(wanted, rects, (1, 1))
    area = sum(x * y for x, y in rects)
    total = sum(x * y * count for x, y, count in sizes)
    assert found.held + found.unheld == total
    assert found.held <= found.sheets * area
