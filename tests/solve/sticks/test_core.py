"""The reduction to a grid, and plans that are weighed on it."""

from hypothesis import given
from hypothesis import strategies as st

from nesting.solve.sticks.core import (
    Cut,
    fill_weight,
    reachable_sums,
    reduce_problem,
    weigh_plan,
)
from nesting.solve.sticks.greedy import filled_plans, first_plan

INCH = 40640


def test_grid_is_the_greatest_common_divisor(make):
    """Sixteenths of an inch with an eighth of kerf become small whole numbers."""
    problem = make(
        [(96 * INCH, 500, None)], [(30 * INCH, 2), (17 * INCH // 16, 1)], INCH // 8
    )
    core = reduce_problem(problem).core
    # 30 1/8 in and 1 3/16 in are 482 and 19 sixteenths.
    assert core.weights == (482, 19)
    # No sum of parts reaches the 96 1/8 in of room: the best is both 30s and the small.
    assert core.sizes[0].room == 2 * 482 + 19


def test_beaten_stock_is_dropped(make):
    """A stick as dear as a longer endless one is not considered; an owned one is."""
    stock = [(100, 9, None), (80, 9, None), (80, 4, 2), (120, 9, 1), (100, 9, None)]
    reduction = reduce_problem(make(stock, [(7, 50)]))
    assert [stick.id for stick in reduction.stock] == ["stick0", "stick2", "stick3"]


def test_limits_beyond_the_pieces_are_no_limits(make):
    """A limit of as many sticks as pieces, or more, counts as endless."""
    core = reduce_problem(make([(5, 1, 3), (12, 2, 2)], [(5, 3)])).core
    assert [size.endless for size in core.sizes] == [True, False]


@given(
    weights=st.lists(st.integers(1, 20), min_size=1, max_size=5),
    count=st.integers(1, 3),
    room=st.integers(0, 60),
)
def test_reachable_sums_are_all_sums(weights, count, room):
    """The bits set are the sums that brute force reaches."""
    sums = {0}
    for weight in weights:
        sums = {s + n * weight for s in sums for n in range(count + 1)}
    bits = reachable_sums(weights, [count] * len(weights), room)
    assert {s for s in sums if s <= room} == {
        s for s in range(bits.bit_length()) if bits >> s & 1
    }


def test_surplus_is_left_out_and_sizes_are_exchanged(make):
    """Cuts that make too many lose the surplus, then move to the cheapest size."""
    core = reduce_problem(
        make([(40, 4, None), (20, 1, 1), (10, 1, None)], [(10, 3)])
    ).core
    sizes = {size.room: k for k, size in enumerate(core.sizes)}
    assert core.weights == (1,)
    plan = weigh_plan(core, [Cut(sizes[3], ((0, 3),), 2)])
    assert (plan.lost, plan.cost, plan.sticks) == (0, 4, 1)
    plan = weigh_plan(core, [Cut(sizes[3], ((0, 2),), 2)])
    # Two on the one stick of 20, one on a stick of 10: 1 + 1.
    assert (plan.lost, plan.cost, plan.sticks) == (0, 2, 2)


@given(
    parts=st.lists(
        st.tuples(st.integers(5, 90), st.integers(1, 9)), min_size=1, max_size=8
    ),
    stock=st.lists(
        st.tuples(
            st.integers(90, 150), st.integers(0, 9), st.one_of(st.none(), st.just(3))
        ),
        min_size=1,
        max_size=4,
    ),
    kerf=st.integers(0, 4),
)
def test_quick_plans_keep_rooms_and_limits(parts, stock, kerf, make):
    """First plans fit their sticks, keep limits and miss nothing that could be had."""
    core = reduce_problem(make(stock, parts, kerf)).core
    for plan in (first_plan(core), *filled_plans(core)):
        used = [0] * len(core.sizes)
        left = list(core.demands)
        for cut in plan.cuts:
            used[cut.size] += cut.times
            assert fill_weight(core, cut.fill) <= core.sizes[cut.size].room
            for i, n in cut.fill:
                left[i] -= n * cut.times
        assert tuple(left) == plan.missing
        assert all(n <= size.limit for n, size in zip(used, core.sizes, strict=True))
        if any(size.endless for size in core.sizes):
            longest = max(size.room for size in core.sizes if size.endless)
            assert all(
                not n or weight > longest
                for n, weight in zip(left, core.weights, strict=True)
            )
