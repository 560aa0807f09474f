"""The linear bound: never above the optimum, and as high as the literature's orders."""

import importlib.util
import json
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.sheets.bounds import full_bound
from nesting.solve.sheets.linear import BASIS, linear_bound

_SPEC = importlib.util.spec_from_file_location(
    "brute", Path(__file__).parent / "brute.py"
)
brute = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(brute)

DATA = Path(__file__).parents[2] / "data" / "sheets" / "orders.json"
ORDERS = {row["name"]: row for row in json.loads(DATA.read_text(encoding="utf-8"))}
ENDLESS = 10**9

PARTS = st.lists(
    st.tuples(st.integers(1, 8), st.integers(1, 8), st.integers(1, 2), st.booleans()),
    min_size=1,
    max_size=3,
)
STOCK = st.lists(
    st.tuples(
        st.integers(4, 10),
        st.integers(4, 10),
        st.integers(0, 20),
        st.none() | st.integers(0, 2),
        st.booleans(),
    ),
    min_size=1,
    max_size=3,
)


def order(name, turning):
    row = ORDERS[name]
    return brute.problem_of(
        [(w, h, n, not turning) for w, h, n in row["parts"]],
        [(*row["sheet"], 1, None, True)],
    )


@settings(deadline=None, derandomize=True, max_examples=80)
@given(
    PARTS,
    STOCK,
    st.integers(0, 1),
    st.integers(0, 1),
    st.sampled_from([1, 3, ENDLESS]),
    st.sampled_from([30, 100, 10**6]),
)
def test_bound_is_never_above_the_optimum(parts, stock, kerf_x, kerf_y, work, cells):
    """At whatever moment it ends, on a grid however coarse, the bound is a bound."""
    problem = brute.problem_of(parts, stock, (kerf_x, kerf_y))
    best = brute.least(problem)
    bound = linear_bound(problem, most_work=work, most_cells=cells)
    if best is not None:
        assert bound.value <= best
        assert bound.exact <= best


@pytest.mark.parametrize(
    ("name", "turning", "least", "value"),
    [
        # The linear program's optimum over a 2 mm or 5 mm grid (rounded down), by a
        # program apart from this one; and the whole sheets it comes to.
        ("a07", False, 12.87, 13),
        ("a41", False, 17.19, 18),
        ("a15", False, 38, 39),
        ("a07", True, 10, 11),
        ("a41", True, 16.99, 18),
        ("a15", True, 36, 37),
    ],
)
def test_orders_of_a_furniture_maker(name, turning, least, value):
    """Real orders get the bound that column generation elsewhere gave them, or more.

    Orders: Macedo, Alves & Valerio de Carvalho, Computers & OR 37 (2010) 991-1001.
    """
    problem = order(name, turning)
    bound = linear_bound(problem, most_work=ENDLESS)
    assert bound.value == value
    assert bound.exact >= least
    assert bound.basis == BASIS
    assert full_bound(problem).value <= value


def test_half_used_sheets_by_hand():
    """Parts of 6 x 10 on sheets of 10 x 10 take a sheet each; 4 x 10 fill them up.

    By hand: with one kind of each, the linear program cuts 5 sheets for 5 and 3 parts,
    and all of its patterns can be cut.
    """
    problem = brute.problem_of(
        [(6, 10, 5, True), (4, 10, 3, True)], [(10, 10, 7, None, True)]
    )
    bound = linear_bound(problem, most_work=ENDLESS)
    assert bound.value == 35
    assert bound.exact > Fraction(35) - Fraction(1, 10**6)
    assert all(column.tree is not None for column in bound.columns)
    assert sum(column.use for column in bound.columns) == pytest.approx(5)


def test_whole_sheets_of_several_prices_are_counted_as_whole():
    """Nine parts, four to a dear sheet and one to a cheap one: 2 * 10 + 4 = 24.

    By hand: 9/4 dear sheets would cost 22.5, which no whole sheets cost.
    """
    problem = brute.problem_of(
        [(5, 5, 9, False)], [(10, 10, 10, None, True), (5, 5, 4, None, True)]
    )
    bound = linear_bound(problem, most_work=ENDLESS)
    assert Fraction(22) < bound.exact <= Fraction(45, 2)
    assert bound.value == 24


def test_limits_are_counted_in():
    """Only one cheap sheet there is: the rest has to come from the dear ones.

    By hand: two parts need two sheets, one at 3 and one at 10.
    """
    problem = brute.problem_of(
        [(9, 9, 2, False)], [(10, 10, 3, 1, True), (10, 10, 10, None, True)]
    )
    assert linear_bound(problem, most_work=ENDLESS).value == 13


def test_work_cuts_it_off_the_same_way_each_time():
    """Two runs with the same little work end alike, below the whole bound."""
    problem = order("a41", turning=True)
    one, two = (linear_bound(problem, most_work=20_000) for _ in range(2))
    whole = linear_bound(problem, most_work=ENDLESS)
    assert one == two
    assert not one.is_complete
    assert one.work < whole.work
    assert one.exact < whole.exact


def test_deadline_and_cancelling_end_it_at_once():
    """With the deadline past, or cancelled, nothing is done and nothing claimed."""
    problem = order("a41", turning=False)
    late = linear_bound(problem, most_work=ENDLESS, deadline=0.0)
    stopped = linear_bound(problem, most_work=ENDLESS, cancelled=lambda: True)
    assert late.rounds == stopped.rounds == 0
    assert late.value <= 17


def test_a_known_bound_is_kept_and_a_goal_is_enough():
    """It stops as soon as the bound is what was found, or cannot pass what is known."""
    problem = order("a41", turning=False)
    whole = linear_bound(problem, most_work=ENDLESS)
    early = linear_bound(problem, most_work=ENDLESS, goal=18)
    assert (early.value, whole.value) == (18, 18)
    assert early.rounds <= whole.rounds
    known = linear_bound(problem, most_work=ENDLESS, known=18)
    assert known.value == 18
    assert known.rounds <= whole.rounds
