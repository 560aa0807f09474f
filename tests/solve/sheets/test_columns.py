"""Columns can be cut in truth, whichever points are left out."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.sheets import pattern_table
from nesting.solve.sheets.pattern_table import (
    Pair,
    Put,
    Table,
    clipped,
    count_of,
    grown,
    renumbered,
)

SIZES = st.tuples(st.integers(5, 40), st.integers(5, 40))


@settings(deadline=None, derandomize=True, max_examples=40)
@given(
    sizes=st.lists(SIZES, min_size=1, max_size=6),
    sheet=st.tuples(st.integers(41, 90), st.integers(41, 90)),
    values=st.lists(st.integers(0, 50), min_size=6, max_size=6),
    cells=st.sampled_from([40, 150, 600]),
)
def test_a_thin_table_never_cuts_too_much(sizes, sheet, values, cells):
    """What is read off fits the sheet; it is worth what the table says, or more.

    With fewer points it is worth no more than the best there is.
    """
    lies = [((x, y, False), (y, x, True)) for x, y in sizes]
    whole = Table(lies, [sheet], plain=True)
    thin = Table(lies, [sheet], most_cells=cells, thin=True, plain=True)
    for table in (whole, thin):
        table.fill(values[: len(sizes)])
    best = whole.value(*sheet)
    assert thin.value(*sheet) <= best
    ids = [f"p{n}" for n in range(len(sizes))]
    cuts = thin.cuts(*sheet, 5)
    for number, cut in enumerate(cuts):
        _, (x, y) = grown(cut, ids, sizes, (0, 0))
        assert x <= sheet[0]
        assert y <= sheet[1]
        worth = sum(values[i] * n for i, n in count_of(cut).items())
        assert worth <= best
        assert number or worth == thin.value(*sheet)
    assert bool(cuts) == (thin.value(*sheet) > 0)


def test_few_points_are_kept_where_they_matter():
    """A row of four equal parts is found with a tenth of the points."""
    lies = [((250, 100, False),), ((7, 9, False),)]
    table = Table(lies, [(1000, 300)], most_cells=2_000, thin=True, plain=True)
    table.fill([250 * 100, 1])
    assert table.cells < 3_000
    assert table.value(1000, 300) == 12 * 250 * 100


def test_what_is_too_much_is_left_out():
    """A cut keeps its form when pieces go or get other numbers."""
    cut = Pair(0, Pair(1, Put(0, False), Put(1, True)), Put(0, False))
    assert clipped(cut, [1, 1]) == Pair(1, Put(0, False), Put(1, True))
    assert clipped(cut, [2, 0]) == Pair(0, Put(0, False), Put(0, False))
    assert clipped(cut, [0, 0]) is None
    assert renumbered(cut, {0: 5}) == Pair(0, Put(5, False), Put(5, False))


@pytest.mark.parametrize("plain", [False, True])
def test_a_table_filled_in_pieces_is_the_same(plain, monkeypatch):
    """A few rows at a time, or all at once: the same values, and all cells counted."""
    lies = [((x, y, False), (y, x, True)) for x, y in ((31, 17), (23, 40), (12, 9))]
    values = [31 * 17, 23 * 40 + 3, 12 * 9]
    sheets = [(200, 150), (120, 90)]
    whole = Table(lies, sheets, plain=plain)
    whole.fill(values)
    for some in (1, 500, 3_000):
        monkeypatch.setattr(pattern_table, "_AT_ONCE", some)
        pieces = Table(lies, sheets, plain=plain)
        cells = list(pieces.filling(values))
        assert len(cells) > 1
        assert pieces.cells * 0.9 < sum(cells) <= pieces.cells
        for sheet in sheets:
            assert pieces.value(*sheet) == whole.value(*sheet)
            assert pieces.cuts(*sheet, 4) == whole.cuts(*sheet, 4)
