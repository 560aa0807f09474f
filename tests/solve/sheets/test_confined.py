"""The mix of sheets under several demands, and parts that fit only some sheets."""

import importlib.util
import itertools
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.least_mix import Row, least_mix
from nesting.solve.sheets.bounds import full_bound
from nesting.solve.sheets.confined import confined_bound, confined_rows

_SPEC = importlib.util.spec_from_file_location(
    "brute", Path(__file__).parent / "brute.py"
)
brute = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(brute)


@st.composite
def mixes(draw):
    """Draw costs, limits and rows of up to three kinds and three rows."""
    kinds = draw(st.integers(1, 3))
    several = {"min_size": kinds, "max_size": kinds}
    costs = draw(st.lists(st.integers(1, 9), **several))
    limits = draw(st.lists(st.none() | st.integers(0, 3), **several))
    holds = st.lists(st.integers(0, 6), **several).map(tuple)
    rows = draw(st.lists(st.builds(Row, holds, st.integers(0, 20)), max_size=3))
    return costs, limits, rows


@settings(deadline=None, derandomize=True, max_examples=300)
@given(mixes())
def test_mix_costs_the_least(mix):
    """The cost equals the least over all numbers of sheets, tried one by one."""
    costs, limits, rows = mix
    best = None
    for counts in itertools.product(
        *(range((20 if limit is None else limit) + 1) for limit in limits)
    ):
        if all(
            sum(h * n for h, n in zip(row.holds, counts, strict=True)) >= row.need
            for row in rows
        ):
            cost = sum(c * n for c, n in zip(costs, counts, strict=True))
            best = cost if best is None else min(best, cost)
    if best is None:
        best = sum(c * (n or 0) for c, n in zip(costs, limits, strict=True))
    assert least_mix(costs, limits, rows) == best


def test_parts_confined_to_the_dear_sheet_count_on_it_alone():
    """Two parts of 8 x 8 fit only the sheet of 10 x 10 and cost two of it.

    By hand: they hold 128 of 200, so that by area alone 60 of the 6 x 10 sheets' worth
    would be enough; confined they need 2 * 100, and the 72 that is left over on the
    two holds the four parts of 3 x 6 by area.
    """
    problem = brute.problem_of(
        [(8, 8, 2, False), (3, 6, 4, False)],
        [(10, 10, 100, None, True), (6, 10, 30, None, True)],
    )
    assert confined_bound(problem).value == 200
    # Twelve more of the small parts take 216 of area: two small sheets are not enough.
    problem = brute.problem_of(
        [(8, 8, 2, False), (3, 6, 16, False)],
        [(10, 10, 100, None, True), (6, 10, 30, None, True)],
    )
    assert confined_bound(problem).value == 200 + 4 * 30
    assert full_bound(problem).value < confined_bound(problem).value


def test_each_set_of_kinds_makes_its_own_demand():
    """Three kinds nested one in the next give a row of area for each set of kinds."""
    problem = brute.problem_of(
        [(9, 9, 1, False), (6, 6, 1, False), (2, 2, 5, False)],
        [(10, 10, 9, None, True), (7, 7, 5, None, True), (3, 3, 1, None, True)],
    )
    rows = confined_rows(problem)[::2]
    assert Row((100, 49, 9), 81 + 36 + 20) in rows
    assert Row((100, 49, 0), 81 + 36) in rows
    assert Row((100, 0, 0), 81) in rows


PARTS = st.lists(
    st.tuples(st.integers(1, 8), st.integers(1, 8), st.integers(1, 2), st.booleans()),
    min_size=1,
    max_size=3,
)
STOCK = st.lists(
    st.tuples(
        st.integers(4, 10),
        st.integers(4, 10),
        st.integers(1, 20),
        st.none() | st.integers(0, 2),
        st.booleans(),
    ),
    min_size=1,
    max_size=3,
)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(PARTS, STOCK, st.integers(0, 1), st.integers(0, 1))
def test_bound_is_never_above_the_optimum(parts, stock, kerf_x, kerf_y):
    """On tiny problems the bound is at most the cost found by trying everything."""
    problem = brute.problem_of(parts, stock, (kerf_x, kerf_y))
    best = brute.least(problem)
    if best is not None:
        assert confined_bound(problem).value <= best
