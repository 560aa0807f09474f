"""Branch and bound over listed fills: what it returns is a plan, and repeats."""

import pytest

from nesting.model.problem import Budget
from nesting.solve.sticks.core import fill_weight, reduce_problem, weigh_plan
from nesting.solve.sticks.pick import pick
from nesting.solve.sticks.standing import Meter


@pytest.fixture
def core(make):
    """Return six pieces that fill two sticks of 100 in one way: 50+30+20, 45+35+20."""
    parts = [(50, 1), (45, 1), (35, 1), (30, 1), (20, 2)]
    return reduce_problem(make([(100, 1, None)], parts)).core


def columns_of(core, *fills):
    """Return fills, named by the weights in them, as columns of the only size."""
    places = {weight: i for i, weight in enumerate(core.weights)}
    unit = 100 // core.sizes[0].room
    return [
        (0, tuple(sorted((places[weight // unit], 1) for weight in fill)))
        for fill in fills
    ]


FILLS = [(50, 45), (50, 30, 20), (45, 35, 20), (35, 30, 20), (50, 35)]


def test_picked_sticks_make_every_piece(core):
    """The one pair of fills that makes everything is found among five."""
    meter = Meter(Budget(work=10**6))
    columns = columns_of(core, *FILLS)
    cuts = pick(core, columns, meter, sticks=2, nodes=50, seed=0)
    assert cuts is not None
    assert {(cut.size, cut.fill) for cut in cuts} == set(columns[1:3])
    plan = weigh_plan(core, cuts)
    assert (plan.lost, plan.sticks) == (0, 2)
    assert all(fill_weight(core, cut.fill) <= core.sizes[0].room for cut in cuts)
    assert meter.work > 0


def test_nothing_is_picked_where_the_sticks_are_too_few(core):
    """Without one of the two fills, two sticks do not do, and three do."""
    columns = columns_of(core, *FILLS[:2], *FILLS[3:])
    meter = Meter(Budget(work=10**6))
    assert pick(core, columns, meter, sticks=2, nodes=50, seed=0) is None
    # 45 is in no other fill than (50, 45), and one 20 is in each of two more.
    cuts = pick(core, columns, meter, sticks=3, nodes=50, seed=0)
    assert cuts is not None
    assert weigh_plan(core, cuts).lost == 0
