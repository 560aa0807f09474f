"""Every bound stays below what brute force finds, whatever prices it is made from."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.model.problem import Budget
from nesting.solve.sticks.bounds import cover_cost, may_save_sticks, sticks_needed
from nesting.solve.sticks.columns import Weighing
from nesting.solve.sticks.core import reduce_problem
from nesting.solve.sticks.greedy import first_plan
from nesting.solve.sticks.knapsack import Pricer
from nesting.solve.sticks.mix import Mixes
from nesting.solve.sticks.search import Search
from nesting.solve.sticks.standing import Meter, Standing

PARTS = st.lists(
    st.tuples(st.integers(5, 50), st.integers(1, 3)), min_size=1, max_size=4
).filter(lambda rows: sum(n for _, n in rows) <= 7)
STOCK = st.lists(
    st.tuples(
        st.integers(50, 100), st.integers(0, 20), st.one_of(st.none(), st.just(4))
    ),
    min_size=1,
    max_size=3,
)


@given(parts=PARTS, room=st.integers(50, 100))
def test_dual_feasible_functions_never_exceed_the_optimum(parts, room, make, oracle):
    """The bound of the shares is at least the length bound, at most the optimum."""
    problem = make([(room, 1, None)], parts)
    core = reduce_problem(problem).core
    needed = sticks_needed(core, core.pieces)
    assert -(-core.total // core.sizes[0].room) <= needed <= oracle(problem)[1]


@pytest.mark.parametrize(
    ("room", "parts", "needed"),
    [
        # Three parts just over half cannot share (computed by hand): length says 2.
        (100, [(51, 3)], 3),
        # Seven parts just over a third, two to a stick: length says 3, truth is 4.
        (100, [(34, 7)], 4),
        # Large parts that leave room only for parts that are not there.
        (100, [(70, 2), (40, 2)], 3),
    ],
)
def test_dual_feasible_functions_see_what_length_does_not(room, parts, needed, make):
    """Halves, thirds and misfits are counted as brute thought counts them."""
    core = reduce_problem(make([(room, 1, None)], parts)).core
    assert sticks_needed(core, core.pieces) == needed


@given(parts=PARTS, stock=STOCK)
def test_cover_is_the_cheapest_that_is_long_enough(parts, stock, make):
    """The covering knapsack equals the best over all small numbers of sticks."""
    core = reduce_problem(make(stock, parts)).core
    best = None
    counts = [()]
    for size in core.sizes:
        counts = [(*c, n) for c in counts for n in range(min(size.limit, 9) + 1)]
    for mix in counts:
        pairs = list(zip(core.sizes, mix, strict=True))
        if sum(size.room * n for size, n in pairs) >= core.total:
            cost = sum(size.cost * n for size, n in pairs)
            best = cost if best is None else min(best, cost)
    assert cover_cost(core) == best


@given(
    parts=PARTS,
    stock=STOCK,
    prices=st.lists(st.integers(0, 30), min_size=4, max_size=4),
    scale=st.integers(1, 20),
)
def test_any_prices_give_a_valid_bound(parts, stock, prices, scale, make, oracle):
    """Whatever whole prices the parts have, bound and mix row hold for the optimum."""
    problem = make(stock, parts)
    core = reduce_problem(problem).core
    values = tuple(prices[: len(core.weights)])
    pricer = Pricer(core)
    pricer.load(values, core.demands)
    most = tuple(pricer.most(size.room) for size in core.sizes)
    weighing = Weighing(scale=scale, values=values, most=most)
    lost, cost, _ = oracle(problem)
    if lost:
        return
    bound = weighing.bound(core, core.demands, [size.limit for size in core.sizes])
    assert bound <= cost
    mixes = Mixes(core)
    mixes.add(weighing)
    mix, least = mixes.cheapest(Meter(Budget()), least=0, most=10_000, seed=0)
    assert mix is not None
    assert least is not None
    assert least <= cost
    assert not mixes.breaks(mix)


def test_bound_counts_limited_sticks_by_what_they_are_worth(make):
    """One owned stick can save one bought stick, not all of them (computed by hand)."""
    core = reduce_problem(make([(10, 6, None), (10, 0, 1)], [(5, 8)])).core
    # Each part is worth 3, a stick holds 6: 8 * 3 for all, less 6 for the owned one.
    weighing = Weighing(scale=1, values=(3,), most=(6, 6))
    bound = weighing.bound(core, core.demands, [size.limit for size in core.sizes])
    assert bound == Fraction(18)


def test_prices_below_nothing_rule_no_fill_out(make):
    """A dual value below 0 leaves a plan for nothing all the sticks it needs."""
    # By hand: 5+5, 5+5 and 3+3 lie on three owned sticks; the prices say 12 - 3 * 6.
    core = reduce_problem(make([(10, 0, 3), (10, 6, None)], [(5, 4), (3, 2)])).core
    search = Search(
        core=core,
        pricer=Pricer(core),
        meter=Meter(Budget()),
        standing=Standing(core, first_plan(core)),
        seed=0,
    )
    weighing = Weighing(scale=1, values=(3, 0), most=(6, 6))
    limits = [size.limit for size in core.sizes]
    assert weighing.dual_value(core, core.demands, limits) == -6
    assert weighing.bound(core, core.demands, limits) == 0
    offer = search.list_better(core, weighing, 0)
    assert {((0, 2),), ((1, 2),)} <= {fill for k, fill in offer.columns if not k}


def test_costs_of_one_step_lift_the_bound(make):
    """Where every price is a multiple of 50, so is the cost of the best plan."""
    core = reduce_problem(make([(10, 100, None), (7, 50, 2)], [(5, 3)])).core
    standing = Standing(core, first_plan(core))
    standing.raise_bound(Fraction(101), "here")
    assert (standing.bound, standing.basis) == (150, "here")
    standing.raise_bound(149, "there")
    assert standing.basis == "here"


def test_saving_sticks_is_ruled_out_only_with_certainty(make):
    """Two sticks cannot become one where none is long enough or cheap enough."""
    core = reduce_problem(make([(10, 5, None), (20, 11, None)], [(10, 2)])).core
    assert not may_save_sticks(core, most_cost=10, sticks=2)
    assert may_save_sticks(core, most_cost=11, sticks=2)
    assert not may_save_sticks(core, most_cost=11, sticks=1)


def test_shares_beyond_what_is_enough_are_not_looked_for(make):
    """The search for shares ends with the first bound that is enough."""
    core = reduce_problem(make([(100, 1, None)], [(51, 4), (49, 1)])).core
    # Length says 3 (253 of 100 each); no two of the four longer share a stick.
    assert sticks_needed(core, 3) == 3
    assert sticks_needed(core, core.pieces) == 4
