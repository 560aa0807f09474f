"""The pattern solver: published optima, a naive search, and trees cut again by hand."""

import json
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.terms import Plane
from nesting.model.tree import Leaf
from nesting.solve.sheets.pattern_table import Table
from nesting.solve.sheets.patterns import PatternPiece, best_pattern

DATA = Path(__file__).parents[2] / "data" / "sheets" / "patterns.json"
INSTANCES = {row["name"]: row for row in json.loads(DATA.read_text(encoding="utf-8"))}

CHRISTOFIDES_WHITLOCK = (
    *((8, 4, 66), (3, 7, 35), (8, 2, 24), (3, 4, 17), (3, 3, 11), (3, 2, 8), (2, 1, 2)),
)
"""Operations Research 25 (1977) 30-44, their first instance without the limits."""


def pieces_of(rows, turned=False):
    return [
        PatternPiece(id=f"p{i}", length=w, width=h, value=v, turned=turned)
        for i, (w, h, v) in enumerate(rows)
    ]


def cut_again(tree, length, width, pieces, kerfs):
    """Return the leaves of a tree, having checked that each comes out of its sheet."""
    if isinstance(tree, Leaf):
        piece = pieces[tree.blank]
        x, y = piece.length, piece.width
        if tree.turned:
            assert piece.turned
            x, y = y, x
        else:
            assert piece.straight
        assert x <= length
        assert y <= width
        return [tree.blank]
    leaves = []
    axis = 0 if tree.plane is Plane.CROSSCUT else 1
    total = sum(tree.sizes) + kerfs[axis] * (len(tree.sizes) - 1)
    assert total <= (length, width)[axis]
    for size, child in zip(tree.sizes, tree.children, strict=True):
        inner = (size, width) if axis == 0 else (length, size)
        leaves += cut_again(child, *inner, pieces, kerfs)
    return leaves


def assert_cuts(pattern, pieces, length, width, kerfs=(0, 0)):
    """Check that a pattern is worth what it says and can be cut."""
    by_id = {piece.id: piece for piece in pieces}
    assert pattern.value == sum(by_id[id_].value * n for id_, n in pattern.counts)
    if pattern.tree is None:
        assert pattern.value == 0
        return
    leaves = cut_again(pattern.tree, length, width, by_id, kerfs)
    assert {id_: leaves.count(id_) for id_ in leaves} == dict(pattern.counts)


@pytest.mark.parametrize("name", INSTANCES)
def test_published_optimum_is_met(name):
    """Instances of the literature come to their optimum; sources stand in the data."""
    row = INSTANCES[name]
    pieces = pieces_of(row["pieces"], turned=row["turning"])
    pattern = best_pattern(pieces, *row["sheet"])
    assert pattern.value == row["optimal"]
    assert_cuts(pattern, pieces, *row["sheet"])


@pytest.mark.parametrize(("sheet", "value"), [((15, 10), 249), ((10, 15), 260)])
def test_pieces_do_not_turn_unless_they_may(sheet, value):
    """A sheet turned gives another optimum: 249 (published) and 260 (computed apart).

    249: Hifi & Zissimopoulos, European J. Operational Research 91 (1996) 553-564.
    """
    pieces = pieces_of(CHRISTOFIDES_WHITLOCK)
    assert best_pattern(pieces, *sheet).value == value
    both = best_pattern(pieces_of(CHRISTOFIDES_WHITLOCK, turned=True), *sheet)
    assert both.value >= 260


def test_kerf_costs_the_pieces_it_must():
    """Of 24 x 24 in parts a 96 x 48 in sheet gives 8 without kerf, 3 with 1/8 in.

    Arithmetic: with kerf k, n parts of size p need n p + (n - 1) k. At 23 15/16 by
    23 29/32 in all 8 come out again: 2 * 23 15/16 + 1/8 = 48, 4 * 23 29/32 + 3/8 = 96.
    """
    inch = 40_640

    def count(length, width, kerf):
        piece = PatternPiece(id="p", length=length, width=width, value=1)
        kerfs = {"kerf_x": kerf, "kerf_y": kerf}
        pattern = best_pattern([piece], 96 * inch, 48 * inch, **kerfs)
        assert_cuts(pattern, [piece], 96 * inch, 48 * inch, (kerf, kerf))
        return pattern.value

    assert count(24 * inch, 24 * inch, 0) == 8
    assert count(24 * inch, 24 * inch, inch // 8) == 3
    assert count(23 * inch + 29 * inch // 32, 23 * inch + 15 * inch // 16, 5_080) == 8


def naive(rows, length, width, kerf_x, kerf_y):
    """Return the best value by trying every cut at every unit, real kerfs and all."""

    @cache
    def best(x, y):
        found = 0
        for w, h, value, straight, turned in rows:
            if (straight and w <= x and h <= y) or (turned and h <= x and w <= y):
                found = max(found, value)
        for a in range(1, x):
            found = max(found, best(a, y) + best(max(0, x - a - kerf_x), y))
        for b in range(1, y):
            found = max(found, best(x, b) + best(x, max(0, y - b - kerf_y)))
        return found

    return best(length, width)


SIZES = st.integers(1, 9)
ROWS = st.lists(
    st.tuples(SIZES, SIZES, st.integers(0, 30), st.booleans(), st.booleans()),
    min_size=1,
    max_size=5,
)


@settings(deadline=None, derandomize=True)
@given(
    ROWS, st.integers(1, 14), st.integers(1, 14), st.integers(0, 2), st.integers(0, 2)
)
def test_no_cut_at_any_unit_does_better(rows, length, width, kerf_x, kerf_y):
    """The value equals that of a search which tries every cut at every unit."""
    pieces = [
        PatternPiece(id=f"p{i}", length=w, width=h, value=v, straight=s, turned=t)
        for i, (w, h, v, s, t) in enumerate(rows)
    ]
    pattern = best_pattern(pieces, length, width, kerf_x=kerf_x, kerf_y=kerf_y)
    assert pattern.value == naive(rows, length, width, kerf_x, kerf_y)
    assert_cuts(pattern, pieces, length, width, (kerf_x, kerf_y))


@settings(deadline=None, derandomize=True)
@given(
    ROWS,
    st.lists(st.tuples(st.integers(1, 40), st.integers(1, 40)), min_size=1, max_size=3),
)
def test_one_table_serves_several_sheets(rows, sheets):
    """A table over several sheets says of each what a table for it alone says."""
    lies = [
        ((w, h, False), (h, w, True)) if t else ((w, h, False),)
        for w, h, _, _, t in rows
    ]
    values = [row[2] for row in rows]
    table = Table(lies, sheets)
    table.fill(values)
    for sheet in sheets:
        alone = Table(lies, [sheet])
        alone.fill(values)
        assert table.value(*sheet) == alone.value(*sheet)


@pytest.mark.parametrize("name", ["cgcut1_unc", "gcut2", "gcut4r", "Herz"])
def test_table_is_the_same_without_a_compiler(name):
    """The numpy table has the same value in every cell, by a plainer recursion."""
    row = INSTANCES[name]
    turns = ((False,), (False, True))[row["turning"]]
    lies = [
        tuple((h, w, True) if t else (w, h, False) for t in turns)
        for w, h, _ in row["pieces"]
    ]
    values = [v for *_, v in row["pieces"]]
    tables = [
        Table(lies, [tuple(row["sheet"])], plain=plain) for plain in (True, False)
    ]
    for table in tables:
        table.fill(values)
    assert (tables[0]._values == tables[1]._values).all()


def test_a_long_list_of_widths_spills_over_safely(monkeypatch):
    """With room for two widths a column, the rest is tried point by point: the same."""
    row = INSTANCES["gcut8r"]
    monkeypatch.setattr("nesting.solve.sheets.pattern_table._LISTED", 2)
    pieces = pieces_of(row["pieces"], turned=True)
    assert best_pattern(pieces, *row["sheet"]).value == row["optimal"]


def test_values_too_large_to_add_are_refused():
    """Values whose sums might pass 62 bits raise ValueError instead of wrapping."""
    piece = PatternPiece(id="p", length=1, width=1, value=2**60)
    with pytest.raises(ValueError, match="too large"):
        best_pattern([piece], 10, 10)


def test_nothing_fits():
    """Where no piece fits, the pattern is empty and worth nothing."""
    piece = PatternPiece(id="p", length=5, width=5, value=3)
    pattern = best_pattern([piece], 4, 9)
    assert (pattern.value, pattern.counts, pattern.tree) == (0, (), None)
