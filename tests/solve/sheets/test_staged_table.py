"""Staged tables: the best there is under a limit of stages and reach, and no more."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.terms import Plane
from nesting.model.tree import Leaf
from nesting.solve.sheets.pattern_table import Table, count_of, grown
from nesting.solve.sheets.staged_table import StagedTable

SIZES = st.tuples(st.integers(2, 9), st.integers(2, 9))


def best_by_trying(sizes, values, sheet, stages, longest):
    """Return the best value of a sheet, by trying every cut at every level.

    A rectangle with levels left and an axis is a row of members; a member is a
    rectangle with one level less on the other axis, and so is a whole one.
    """

    @cache
    def best(level, axis, x, y):
        if level == 0:
            return max(
                (
                    v
                    for (w, h), v in zip(sizes, values, strict=True)
                    if (w, h) == (x, y)
                ),
                default=0,
            )
        return max(row(level, axis, x, y), best(level - 1, 1 - axis, x, y))

    @cache
    def row(level, axis, x, y):
        length, width = (x, y) if axis == 0 else (y, x)
        found = 0
        for size in range(1, length + 1):
            rest = length - size
            ends = ((size, y), (rest, y)) if axis == 0 else ((x, size), (x, rest))
            member = 0
            if longest is None or size <= longest(axis, width):
                member = best(level - 1, 1 - axis, *ends[0])
            found = max(found, member + (row(level, axis, *ends[1]) if rest else 0))
        return found

    return max(best(stages, axis, *sheet) for axis in (0, 1))


def stages_of(tree, x, y, sizes, above=None):
    """Return the levels of cuts in a tree, those that size a blank included."""
    if isinstance(tree, Leaf):
        w, h = sizes[int(tree.blank[1:])]
        levels, now = 0, above
        for axis, (own, full) in enumerate(((w, x), (h, y))):
            if own < full and axis == above:
                now = axis
        for axis in (0, 1) if above == 0 else (1, 0):
            if (w, h)[axis] < (x, y)[axis] and now != axis:
                levels, now = levels + 1, axis
        return levels
    axis = 0 if tree.plane is Plane.CROSSCUT else 1
    below = [
        stages_of(child, *((size, y) if axis == 0 else (x, size)), sizes, axis)
        for size, child in zip(tree.sizes, tree.children, strict=True)
    ]
    return 1 + max(below)


def fence(axis, width):
    """Rips open 6, and nothing is cut off that is longer than the edge on the fence."""
    return min(6, width) if axis == 1 else 8


@settings(deadline=None, derandomize=True, max_examples=150)
@given(
    sizes=st.lists(SIZES, min_size=1, max_size=4, unique=True),
    sheet=st.tuples(st.integers(9, 15), st.integers(9, 15)),
    values=st.lists(st.integers(0, 30), min_size=4, max_size=4),
    stages=st.integers(1, 5),
    reach=st.sampled_from([None, fence]),
)
def test_it_is_what_trying_everything_gives(sizes, sheet, values, stages, reach):
    """Where everything is in reach it is exact, and what is read off is worth it."""
    values = values[: len(sizes)]
    lies = [((x, y, False),) for x, y in sizes]
    table = StagedTable(lies, [sheet], stages=stages, reach=reach, plain=True)
    table.fill(values)
    most = best_by_trying(tuple(sizes), tuple(values), sheet, stages, reach)
    assert table.value(*sheet) <= most
    if reach is None:  # what is in reach depends on sizes that points leave out
        assert table.value(*sheet) == most
    ids = [f"p{n}" for n in range(len(sizes))]
    cuts = table.cuts(*sheet, 4)
    for number, cut in enumerate(cuts):
        tree, (x, y) = grown(cut, ids, sizes, (0, 0))
        assert x <= sheet[0]
        assert y <= sheet[1]
        assert stages_of(tree, *sheet, sizes) <= stages
        worth = sum(values[i] * n for i, n in count_of(cut).items())
        assert worth <= most
        assert number or worth == table.value(*sheet)


@pytest.mark.parametrize("plain", [False, True])
def test_more_stages_come_to_the_table_without_any(plain):
    """Compiled or not, values rise with the stages up to those without a limit.

    By hand: on 200 x 100 one stage cuts nothing, for no part has that length or width;
    two cut a strip of four 50 x 80 and one of ten 20 x 20.
    """
    sizes = [(50, 80), (20, 20), (70, 30)]
    values = [50 * 80, 300, 70 * 30]
    lies = [((x, y, False),) for x, y in sizes]
    found = []
    for stages in range(1, 7):
        table = StagedTable(lies, [(200, 100)], stages=stages, plain=plain)
        table.fill(values)
        found.append(table.value(200, 100))
    whole = Table(lies, [(200, 100)], plain=plain)
    whole.fill(values)
    assert found == sorted(found)
    assert found[:2] == [0, 4 * 4000 + 10 * 300]
    assert found[-1] == whole.value(200, 100)


def test_compiled_and_plain_tables_are_the_same():
    """The kernel and its stand-in in numpy fill the same numbers in."""
    sizes = [(31, 17), (23, 40), (12, 9), (55, 21)]
    lies = [((x, y, False), (y, x, True)) for x, y in sizes]
    cuts = []
    for plain in (False, True):
        table = StagedTable(
            lies, [(200, 150), (120, 90)], stages=4, reach=fence_for(60), plain=plain
        )
        table.fill([31 * 17, 23 * 40 + 3, 12 * 9, 55 * 21])
        cuts.append([table.cuts(x, y, 6) for x, y in ((200, 150), (120, 90))])
    assert cuts[0] == cuts[1]
    assert cuts[0][0]


def fence_for(most):
    return lambda axis, width: min(most, width) if axis == 1 else 2 * most
