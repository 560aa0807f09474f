"""Branch and bound over listed fills: what it returns is a plan, and repeats."""

import json
from pathlib import Path

import pytest
from ortools.linear_solver import pywraplp

from nesting.model.problem import Budget
from nesting.solve.sticks.core import fill_weight, reduce_problem, weigh_plan
from nesting.solve.sticks.greedy import first_plan
from nesting.solve.sticks.knapsack import Pricer
from nesting.solve.sticks.master import Master
from nesting.solve.sticks.pick import SETTINGS, pick
from nesting.solve.sticks.search import Search
from nesting.solve.sticks.standing import Meter, Standing

LITERATURE = Path(__file__).parents[2] / "data" / "sticks" / "literature.json"


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


def test_settings_are_known_to_the_solver():
    """A name the solver does not know would leave its own settings in force."""
    program = pywraplp.Solver.CreateSolver("SCIP")
    settings = SETTINGS.format(nodes=3, seed=1)
    assert program.SetSolverSpecificParametersAsString(settings)


@pytest.fixture(scope="module")
def hard(make):
    """Return a search of 160 pieces for 63 sticks, relaxed, and its linear optimum."""
    rows = json.loads(LITERATURE.read_text(encoding="utf-8"))
    row = next(row for row in rows if row["name"] == "Hard28_BPP60")
    core = reduce_problem(make(row["stock"], row["parts"])).core
    standing = Standing(core, first_plan(core))
    search = Search(
        core=core,
        pricer=Pricer(core),
        meter=Meter(Budget(work=10**6)),
        standing=standing,
        seed=0,
    )
    return search, search.relax(core, Master(core))


def test_no_more_nodes_than_the_leave_pays(hard):
    """With a small leave a tenth of the nodes does as much as all of them."""
    search, root = hard
    columns = search.list_better(search.core, root.weighing, 63).columns
    spent = []
    for work, nodes in ((300, 20), (300, 200), (10**6, 200)):
        meter = Meter(Budget(work=work))
        pick(search.core, columns, meter, sticks=63, nodes=nodes, seed=0)
        spent.append(meter.work)
    assert spent[0] == spent[1] < spent[2]


def test_a_list_ends_where_it_is_too_long(hard):
    """Several hundred sticks could be in a plan of 63; a hundred are too few."""
    search, root = hard
    columns = search.list_better(search.core, root.weighing, 63).columns
    assert len(columns) > 100
    assert search.list_better(search.core, root.weighing, 63, 100) is None
    few = search.list_better(search.core, root.weighing, 63, len(columns))
    assert few.columns == columns
