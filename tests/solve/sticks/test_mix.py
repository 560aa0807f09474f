"""The mix of sizes to buy, where the linear bound is too low to prove anything."""

import json
from pathlib import Path

import pytest

from nesting.model.problem import Budget
from nesting.solve.sticks import mix as mixing
from nesting.solve.sticks.core import Cut, reduce_problem, weigh_plan
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


def test_mix_set_aside_takes_no_cheaper_one_with_it(make, monkeypatch):
    """A master stopped short of its cheapest mix leaves the bound where it was."""
    # By hand: eight parts of 6 cost 48 on four sticks of 12, 56 on eight of 6.
    search = search_of(make([(12, 12, None), (6, 7, None)], [(6, 8)]))
    costs = [size.cost for size in search.core.sizes]
    too_much = tuple(4 if cost == 12 else 1 for cost in costs)
    search.standing.plan = weigh_plan(search.core, [Cut(costs.index(7), ((0, 1),), 8)])
    monkeypatch.setattr(search.standing, "offer", lambda plan: False)
    calls = []
    cheapest = mixing.Mixes.cheapest

    def stopped_short(self, meter, **bounds):
        calls.append(bounds)
        if len(calls) == 1:
            return too_much, bounds["least"]
        return cheapest(self, meter, **bounds)

    monkeypatch.setattr(mixing.Mixes, "cheapest", stopped_short)
    monkeypatch.setattr(mixing, "_try", lambda search, mix: False)
    settle_mix(search)
    assert len(calls) > 1
    assert search.standing.bound <= 48
