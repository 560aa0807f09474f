"""What boards hold: against every way to cut tiny boards, and against the solver."""

from __future__ import annotations

from functools import cache
from itertools import combinations_with_replacement

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.solve.boards.table import BoardTable
from nesting.verify.rectangles import TooLarge
from nesting.verify.strips import Strip, best_boards


def strip(long: int, wide: int, worth: int, **more: int) -> Strip:
    """Return a blank that is not resawn."""
    given: dict[str, int] = {"count": 9, "thickness": 0, "layers": 1, **more}
    return Strip(long=long, wide=wide, worth=worth, may_be_long=False, **given)


def by_hand(strips: list[Strip], rough: int, long: int, wide: int) -> int:
    """Return the best board by trying all rows, strips and sections."""

    def rows(x: int, width: int, members: list[Strip]) -> int:
        able = [each for each in members if each.wide <= width]
        best = 0
        for count in range(5):
            for row in combinations_with_replacement(range(len(able)), count):
                fits = sum(able[k].long for k in row) <= x
                wanted = all(row.count(k) <= able[k].count for k in row)
                if fits and wanted:
                    best = max(best, sum(able[k].worth for k in row))
        return best

    def one(x: int, width: int) -> int:
        best = rows(x, width, strips)
        for each in strips:
            if each.layers > 1:
                alike = [
                    other
                    for other in strips
                    if (other.thickness, other.layers) == (each.thickness, each.layers)
                ]
                best = max(best, each.layers * rows(x, width, alike))
        return best

    @cache
    def section(x: int, width: int) -> int:
        return max(
            (
                one(x, first) + section(x, width - first)
                for first in range(1, width + 1)
            ),
            default=0,
        )

    @cache
    def board(x: int) -> int:
        return max(
            (
                section(first, wide) + board(x - first)
                for first in range(1, min(x, rough) + 1)
            ),
            default=0,
        )

    return board(long)


PIECES = st.builds(
    strip,
    st.integers(1, 4),
    st.integers(1, 3),
    st.integers(0, 9),
    count=st.integers(1, 2),
    thickness=st.integers(1, 2),
    layers=st.integers(1, 3),
)


@given(
    st.lists(PIECES, min_size=1, max_size=3),
    st.integers(1, 6),
    st.integers(1, 7),
    st.integers(1, 4),
)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_the_best_board_is_that_of_all_ways(
    strips: list[Strip], rough: int, long: int, wide: int
) -> None:
    """Every row, strip, section and board of a tiny instance is tried."""
    # Blanks of one thickness have as many layers: both come from the thickness.
    strips = [s for s in strips if s.layers == 1 or s.thickness == strips[0].thickness]
    layers = {s.thickness: s.layers for s in strips}
    strips = [s for s in strips if s.layers in (1, layers[s.thickness])]
    found = best_boards(strips, rough, {"board": (long, wide)})
    assert found == {"board": by_hand(strips, min(rough, long), long, wide)}


def test_a_board_by_hand() -> None:
    """10 x 4: two strips of 2 hold two of 5 each, worth 3: 12; one of 4 is worth 7."""
    pieces = [strip(5, 2, 3), strip(10, 4, 7)]
    assert best_boards(pieces, 10, {"b": (10, 4)}) == {"b": 12}
    assert best_boards(pieces, 10, {"b": (10, 3)}) == {"b": 6}
    # No section longer than 4 is ripped: nothing fits.
    assert best_boards(pieces, 4, {"b": (10, 4)}) == {"b": 0}
    # Slices: three of each, though only one row of each is counted.
    sawn = [strip(5, 2, 3, thickness=9, layers=3)]
    assert best_boards(sawn, 10, {"b": (10, 4)}) == {"b": 36}


def test_what_keeps_the_width_of_its_board_may_be_long() -> None:
    """It is crosscut only."""
    long = Strip(
        long=9, wide=4, worth=5, count=1, thickness=0, layers=1, may_be_long=True
    )
    assert best_boards([long], 4, {"b": (10, 4), "c": (8, 4)}) == {"b": 5, "c": 0}


def test_what_is_too_large_is_refused() -> None:
    """By size, and by sums."""
    with pytest.raises(TooLarge, match="too fine"):
        best_boards([strip(1, 1, 1)], 90_000, {"b": (90_000, 4)})
    with pytest.raises(TooLarge, match="weights"):
        best_boards([strip(1, 1, 1 << 60)], 9, {"b": (9, 9)})


@given(
    st.lists(
        st.tuples(
            st.integers(3, 40),
            st.integers(1, 12),
            st.integers(1, 99),
            st.integers(1, 3),
        ),
        min_size=1,
        max_size=8,
    ),
    st.integers(10, 60),
    st.integers(0, 2),
)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_the_solver_counts_as_the_checker_does(
    rows: list[tuple[int, int, int, int]], rough: int, kerf: int
) -> None:
    """Two programs that share no line find the same, where nothing is resawn."""
    parts = tuple(
        BoardPart(
            id=f"p{n}",
            length=long,
            width=wide,
            thickness=5,
            quantity=count,
            layers={"s": 1},
            most_layers={"s": 1},
        )
        for n, (long, wide, _, count) in enumerate(rows)
        if long <= rough
    )
    worth = [w for long, _, w, _ in rows if long <= rough]
    board = BoardStock(id="b", section="s", length=100, width=14, cost=1, limit=None)
    problem = BoardProblem(
        parts=parts,
        stock=(board,),
        kerf_x=kerf,
        kerf_y=kerf,
        least_kerf_x=kerf,
        least_kerf_y=kerf,
        longest_rough=rough,
    )
    if not parts:
        return
    table = BoardTable(problem, plain=True)
    (most,) = table.fill(worth)
    strips = [
        strip(table.long[n], table.wide[n], w, count=p.quantity)
        for n, (p, w) in enumerate(zip(parts, worth, strict=True))
    ]
    size = (table.lengths[0], table.board_widths[0])
    reach = (rough + kerf) // table.unit_x
    assert best_boards(strips, reach, {"b": size}) == {"b": most}
