"""The program over sets: held against GLOP, against plain Python, and by hand."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.kernel import seeded
from nesting.solve.sheets import simplex
from nesting.solve.sheets.points import line_of
from nesting.solve.sheets.sets_master import Master
from nesting.solve.sheets.sets_program import Program

ALONE = 9.0

TABLES = st.integers(1, 7).flatmap(
    lambda kinds: st.tuples(
        st.lists(
            st.lists(st.integers(0, 2), min_size=kinds, max_size=kinds).filter(any),
            min_size=1,
            max_size=30,
        ),
        st.lists(st.integers(0, 4), min_size=kinds, max_size=kinds),
    )
)


def solved(program, left, basis=None):
    list(program.solve(line_of(left), program.first if basis is None else basis))
    return program.worths()


def by_glop(rows, wanted, left):
    master = Master(wanted, alone=ALONE)
    for number in left:
        master.add(tuple(rows[number]))
    return master.solve()[1]


@settings(deadline=None, derandomize=True, max_examples=60)
@given(TABLES, st.data())
def test_the_optimum_is_that_of_glop(table, data):
    """From the beginning, and from where it ended with other sets allowed."""
    rows, wanted = table
    program = Program(line_of(rows), wanted, alone=ALONE)
    basis = program.first
    for _ in range(3):
        left = sorted(data.draw(st.sets(st.integers(0, len(rows) - 1))))
        worths = solved(program, left, basis)
        most = max((float(line_of(rows[n]) @ worths) for n in left), default=0.0)
        assert most <= 1 + 1e-6
        # What is wanted is more by 1e-4 at most, and so is what it is worth.
        expected = by_glop(rows, wanted, left)
        assert worths @ line_of(wanted) == pytest.approx(expected, rel=2e-4, abs=1e-6)
        numbers, uses = program.uses()
        basis = program.basis
        assert set(numbers[uses > 1e-3].tolist()) <= set(left)
        missing = np.maximum(0, line_of(wanted) - line_of(rows)[numbers].T @ uses)
        total = uses.sum() + ALONE * missing.sum()
        assert total == pytest.approx(expected, rel=1e-6, abs=1e-6)


@settings(deadline=None, derandomize=True, max_examples=25)
@given(TABLES)
def test_compiled_or_not_every_number_is_the_same(table):
    rows, wanted = table
    bases, worths = [], []
    for plain in (False, True):
        program = Program(line_of(rows), wanted, alone=ALONE, plain=plain)
        worths.append(solved(program, range(len(rows))).tolist())
        bases.append(program.basis.tolist())
    assert worths[0] == worths[1]
    assert bases[0] == bases[1]


def test_a_ring_of_pairs():
    """By hand: five kinds, of which neighbours go together, take half a sheet each."""
    rows = [[int(k in {i, (i + 1) % 5}) for k in range(5)] for i in range(5)]
    program = Program(line_of(rows), [1] * 5, alone=ALONE)
    assert solved(program, range(5)) == pytest.approx([0.5] * 5)
    numbers, uses = program.uses()
    assert sorted(numbers.tolist()) == list(range(5))
    assert uses == pytest.approx([0.5] * 5)


def test_fano():
    """Seven lines of three points, two of which have one in common: a third each."""
    lines = [{k, (k + 1) % 7, (k + 3) % 7} for k in range(7)]
    assert all(len(a & b) == 1 for a, b in combinations(lines, 2))
    rows = [[int(k in line) for k in range(7)] for line in lines]
    program = Program(line_of(rows), [1] * 7, alone=ALONE)
    assert solved(program, range(7)) == pytest.approx([1 / 3] * 7)


def test_what_is_not_wanted_is_worth_nothing():
    program = Program(line_of([[1, 1], [1, 0]]), [2, 0], alone=ALONE)
    assert solved(program, [0, 1]) == pytest.approx([1.0, 0.0])


def test_without_sets_parts_lie_alone():
    program = Program(line_of([[1, 1]]), [1, 2], alone=ALONE)
    assert solved(program, []) == pytest.approx([ALONE, ALONE])
    assert not len(program.uses()[0])


def test_a_basis_without_an_inverse_is_refused():
    program = Program(line_of([[1, 1]]), [1, 1], alone=ALONE)
    with pytest.raises(ArithmeticError):
        solved(program, [0], line_of([0, 0]))


def test_shaken_it_is_worth_as_much():
    rows = line_of([[1, 1, 0], [0, 1, 1], [1, 0, 1]])
    program = Program(rows, [1, 1, 1], alone=ALONE)
    rng = [seeded(3)]
    for _ in range(5):
        program.shake(rng)
        assert solved(program, range(3)) == pytest.approx([0.5] * 3)


def test_many_sets_take_more_than_a_slice():
    """All triples of 24 kinds: a third each, however long it takes."""
    kinds = 24
    rows = np.zeros((2024, kinds), dtype=np.int16)
    for number, triple in enumerate(combinations(range(kinds), 3)):
        rows[number, list(triple)] = 1
    program = Program(rows, [1] * kinds, alone=ALONE)
    assert solved(program, range(len(rows))).sum() == pytest.approx(kinds / 3)


def test_sets_are_weighed_in_whole_numbers():
    """Numbers that floats do not tell apart."""
    large = 1 << 60
    program = Program(line_of([[1, 1], [2, 0]]), [1, 1], alone=ALONE)
    sums = program.weigh(line_of([1, 0]), line_of([large, 1]))
    assert sums.tolist() == [2 * large, large + 1]


def test_the_inverse_is_one():
    """Written for columns of all three sorts, in an order that needs exchanges."""
    sets = ([0, 2, 4], [0, 1, 1, 2])
    columns = [1, 2 + 3 + 0, 0]
    matrix = np.array([[0, 1, 1], [-1, 0, 0], [1, 1, 0]], dtype=float)
    inverse, work = [0.0] * 9, [0.0] * 9
    assert simplex.is_inverted(sets, columns, inverse, work)
    # A row for each kind, so the inverse of the matrix whose rows are the columns.
    assert np.reshape(inverse, (3, 3)) @ matrix == pytest.approx(np.eye(3))
