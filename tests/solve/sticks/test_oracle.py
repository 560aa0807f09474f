"""Tiny jobs against brute force: lost length, cost, sticks and bound, all at once."""

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.solve.sticks import solve_sticks

PARTS = st.lists(
    st.tuples(st.integers(3, 30), st.integers(1, 3)), min_size=1, max_size=4
).filter(lambda rows: sum(n for _, n in rows) <= 7)
PRICES = st.integers(0, 40)


@settings(max_examples=150)
@given(
    stock=st.lists(
        st.tuples(st.integers(10, 60), PRICES, st.none()), min_size=1, max_size=3
    ),
    parts=PARTS,
    kerf=st.integers(0, 3),
)
def test_endless_sizes_with_prices(stock, parts, kerf, make, check, oracle):
    """Several sizes with prices: least cost, then fewest sticks, all proven."""
    problem = make(stock, parts, kerf)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    lost, cost, sticks = oracle(problem)
    assert sum(parts[int(part[4:])][0] * n for part, n in answer.unplaced) == lost
    assert answer.cost == answer.lower_bound == cost
    assert sum(pattern.times for pattern in answer.patterns) == sticks
    assert answer.stopped_by is StoppedBy.PROOF


@settings(max_examples=250)
@given(
    stock=st.lists(
        st.tuples(st.integers(10, 60), PRICES, st.one_of(st.none(), st.integers(0, 3))),
        min_size=1,
        max_size=3,
    ),
    parts=PARTS,
    kerf=st.integers(0, 3),
)
def test_limited_sizes(stock, parts, kerf, make, check, oracle):
    """Limits: the greatest length placed, at the least cost, in the fewest sticks."""
    problem = make(stock, parts, kerf)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    lost, cost, sticks = oracle(problem)
    assert sum(parts[int(part[4:])][0] * n for part, n in answer.unplaced) == lost
    assert answer.cost == cost
    assert sum(pattern.times for pattern in answer.patterns) == sticks
    assert answer.stopped_by is StoppedBy.PROOF


@settings(max_examples=60)
@given(
    stock=st.lists(
        st.tuples(st.integers(20, 60), PRICES, st.one_of(st.none(), st.integers(1, 2))),
        min_size=1,
        max_size=2,
    ),
    parts=PARTS,
    kerf=st.integers(1, 4),
    thinner=st.integers(1, 4),
)
def test_bound_with_a_narrower_kerf(stock, parts, kerf, thinner, make, check, oracle):
    """The bound never exceeds the optimum with the narrowest kerf."""
    narrow = max(0, kerf - thinner)
    problem = make(stock, parts, kerf, least_kerf=narrow)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    lost, cost, _ = oracle(make(stock, parts, narrow))
    if not lost:
        assert answer.lower_bound <= cost
    lost, cost, _ = oracle(make(stock, parts, kerf))
    assert sum(parts[int(part[4:])][0] * n for part, n in answer.unplaced) == lost
    assert answer.cost == cost
