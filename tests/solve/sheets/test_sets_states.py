"""The sets that one sheet can give: all of them, by trying everything."""

import importlib.util
from dataclasses import replace
from itertools import product
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.sheets.pattern_table import count_of
from nesting.solve.sheets.sets_states import States

_SPEC = importlib.util.spec_from_file_location(
    "brute", Path(__file__).parent / "brute.py"
)
brute = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(brute)

SHEET = (9, 7)
PARTS = st.lists(
    st.tuples(st.integers(1, 6), st.integers(1, 6), st.integers(1, 2), st.booleans()),
    min_size=1,
    max_size=4,
).filter(lambda parts: sum(part[2] for part in parts) <= 6)


def fits(problem, counts):
    """Tell whether one sheet gives so many of each kind."""
    parts = tuple(
        replace(part, quantity=n)
        for part, n in zip(problem.parts, counts, strict=True)
        if n
    )
    return brute.least(replace(problem, parts=parts)) == 1


def found(parts, values, least, too=None, least_too=0, *, sharp):
    lies = [
        ((w, h, False),) if bound or w == h else ((w, h, False), (h, w, True))
        for w, h, _, bound in parts
    ]
    states = States(lies, [part[2] for part in parts], SHEET, most=5_000, plain=True)
    states.load(values, too)
    if sharp:
        for _ in states.sharpen():
            pass
    for _ in states.enumerate(least, 10**9, least_too):
        pass
    assert states.is_complete
    chosen = states.found(least, least_too)
    rows = [tuple(row) for row in states.counts(chosen).tolist()]
    for state, row in zip(chosen, rows, strict=True):
        counts = count_of(states.cut(int(state)))
        assert tuple(counts[kind] for kind in range(len(parts))) == row
    largest = states.counts(states.largest(chosen)).tolist()
    return sorted(rows), sorted(map(tuple, largest))


@settings(deadline=None, derandomize=True, max_examples=50)
@given(
    PARTS,
    st.lists(st.integers(1, 9), min_size=4, max_size=4),
    st.lists(st.integers(0, 9), min_size=4, max_size=4),
    st.integers(1, 20),
    st.integers(0, 12),
    st.booleans(),
)
def test_all_sets_that_are_worth_enough(parts, values, too, least, least_too, sharp):
    """Every combination of parts is tried, and every way to cut it."""
    values, too = values[: len(parts)], too[: len(parts)]
    problem = brute.problem_of(parts, [(*SHEET, 1, None, True)])
    expected = []
    for counts in product(*(range(part[2] + 1) for part in parts)):
        worth = sum(v * n for v, n in zip(values, counts, strict=True))
        worth_too = sum(v * n for v, n in zip(too, counts, strict=True))
        if worth >= least and worth_too >= least_too and fits(problem, counts):
            expected.append(counts)
    rows, largest = found(parts, values, least, too, least_too, sharp=sharp)
    assert rows == sorted(expected)
    assert largest == [
        row
        for row in rows
        if not any(
            all(a <= b for a, b in zip(row, other, strict=True)) and row != other
            for other in rows
        )
    ]


def test_kinds_worth_nothing_are_left_out():
    """Two parts of 4 x 7 fill the sheet of 9 x 7 but for a strip; by hand."""
    rows, _ = found([(4, 7, 2, True), (1, 7, 1, True)], [3, 0], 6, sharp=True)
    assert rows == [(2, 0)]


def test_it_gives_up_where_there_is_no_room():
    """With room for few states it says that it did not find all."""
    states = States([((1, 1, False),)] * 9, [1] * 9, (3, 3), most=20, plain=True)
    states.load([1] * 9)
    for _ in states.enumerate(1, 10**9):
        pass
    assert not states.is_complete
