"""The mix of sizes to buy, where the linear bound is too low to prove anything."""

import json
from pathlib import Path

import pytest

from nesting.model.problem import Budget
from nesting.solve.sticks.core import reduce_problem
from nesting.solve.sticks.greedy import first_plan
from nesting.solve.sticks.knapsack import Pricer
from nesting.solve.sticks.master import Master
from nesting.solve.sticks.mix import save_sticks, settle_mix
from nesting.solve.sticks.search import Search
from nesting.solve.sticks.standing import Meter, Standing

DATA = Path(__file__).parents[2] / "data" / "sticks" / "literature.json"
# Haouari and Serairi, Computers & Operations Research 36 (2009) (citation from memory);
# optima by an arc-flow integer program, proven.
SEVEN_LENGTHS = {
    row["name"]: row
    for row in json.loads(DATA.read_text(encoding="utf-8"))
    if len(row["stock"]) > 1
}


def search_of(problem):
    """Return a search that holds a first plan, and nothing else."""
    core = reduce_problem(problem).core
    return Search(
        core=core,
        pricer=Pricer(core),
        meter=Meter(Budget()),
        standing=Standing(core, first_plan(core)),
        seed=0,
    )


@pytest.mark.parametrize("name", SEVEN_LENGTHS)
def test_mix_proves_the_published_optimum(name, make):
    """Seven lengths with prices: the mix alone closes value and bound."""
    row = SEVEN_LENGTHS[name]
    search = search_of(make([tuple(s) for s in row["stock"]], row["parts"]))
    settle_mix(search)
    standing = search.standing
    assert standing.plan.cost == standing.bound == row["optimal"]


def test_mix_beats_the_linear_bound(make):
    """Two parts of 6 need a stick of 12 or two of 10; fractions of sticks say less."""
    # By hand: 12 for one stick of 12, 20 for two of 10, and 7 + 12 with a third part.
    problem = make([(10, 10, None), (12, 12, None), (6, 7, None)], [(6, 3)])
    search = search_of(problem)
    root = search.relax(search.core, Master(search.core))
    settle_mix(search)
    assert root.bound <= 18
    assert search.standing.plan.cost == search.standing.bound == 19


def test_saving_sticks_keeps_the_cost(make):
    """Of plans at equal cost the one with the fewest sticks is found."""
    # By hand: prices by length, so 6 sticks of 50, or 2 of 150, cost the same.
    search = search_of(make([(50, 50, None), (150, 150, None)], [(50, 6)]))
    search.standing.raise_bound(300, "length")
    save_sticks(search)
    assert (search.standing.plan.cost, search.standing.plan.sticks) == (300, 2)
