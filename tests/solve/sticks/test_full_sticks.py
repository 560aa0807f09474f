"""Plans with next to no waste: threes, and nearly full sticks drawn by chance."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from nesting.model.problem import Budget
from nesting.solve.sticks import solve_sticks
from nesting.solve.sticks.core import fill_weight, reduce_problem
from nesting.solve.sticks.problem import StickPart, StickProblem, StickStock
from nesting.solve.sticks.sampled import pays_to_sample, sampled_plan
from nesting.solve.sticks.standing import Meter
from nesting.solve.sticks.threes import full_threes, may_be_threes

ROOM = 1_000


def problem_of(lengths: list[int], limit: int | None = None) -> StickProblem:
    """Return the pieces to be cut from sticks of 1000, without kerf."""
    return StickProblem(
        parts=tuple(
            StickPart(id=f"p{length}", length=length, quantity=count)
            for length, count in sorted(Counter(lengths).items())
        ),
        stock=(StickStock(id="stick", length=ROOM, cost=1, limit=limit),),
        kerf=0,
        least_kerf=0,
    )


def threes(sticks: int, seed: int) -> list[int]:
    """Return pieces that fill so many sticks, three in each, as Falkenauer draws them.

    Journal of Heuristics 2 (1996) 5-30: the first from 380 to 490, the second at least
    250, the third what is left and at least 250.
    """
    rng = random.Random(seed)
    pieces = []
    for _ in range(sticks):
        first = rng.randint(380, 490)
        second = rng.randint(250, (ROOM - first) // 2)
        pieces += [first, second, ROOM - first - second]
    return pieces


@pytest.mark.parametrize(("sticks", "seed"), [(20, 1), (40, 2), (83, 3), (167, 4)])
def test_threes_are_sorted_without_waste(sticks: int, seed: int) -> None:
    """All sticks are full, each holds three, and nothing is left."""
    core = reduce_problem(problem_of(threes(sticks, seed))).core
    assert may_be_threes(core)
    cuts = full_threes(core, Meter(Budget(work=10**7)), seed=0)
    assert cuts is not None
    assert sum(cut.times for cut in cuts) == sticks
    made: Counter[int] = Counter()
    for cut in cuts:
        assert fill_weight(core, cut.fill) == core.sizes[0].room
        assert sum(n for _, n in cut.fill) == 3
        for i, n in cut.fill:
            made[i] += n * cut.times
    assert [made[i] for i in range(len(core.weights))] == list(core.demands)


def test_what_is_no_threes_is_not_tried() -> None:
    """A piece too many, a stick with waste, or a limit."""
    pieces = threes(20, 1)
    assert not may_be_threes(reduce_problem(problem_of([*pieces, 300])).core)
    assert not may_be_threes(reduce_problem(problem_of([*pieces[:-1], 251])).core)
    assert not may_be_threes(reduce_problem(problem_of(pieces, limit=19)).core)


def test_none_where_there_is_no_plan_of_threes() -> None:
    """Some three make 1000, as 500, 300 and 200 do, but never all nine in threes."""
    pieces = [500, 300, 200, 400, 400, 400, 270, 270, 260]
    core = reduce_problem(problem_of(pieces)).core
    assert may_be_threes(core)
    assert full_threes(core, Meter(Budget(work=10**6)), seed=0) is None


def test_the_solver_proves_threes_soon() -> None:
    """A plan of 167 full sticks for 501 pieces, and the same each time."""
    problem = problem_of(threes(167, 5))
    answers = [
        solve_sticks(problem, seed=0, budget=Budget(work=20_000)) for _ in range(2)
    ]
    assert answers[0].cost == answers[0].lower_bound == 167
    assert answers[0].patterns == answers[1].patterns


def test_many_lengths_with_little_waste() -> None:
    """400 pieces cut out of 130 sticks, 2 wasted on each: drawn fills find a plan."""
    rng = random.Random(7)
    pieces: list[int] = []
    for _ in range(130):
        first, second = rng.randint(240, 420), rng.randint(240, 420)
        pieces += [first, second, ROOM - 2 - first - second]
    core = reduce_problem(problem_of(pieces)).core
    meter = Meter(Budget(work=10**7))
    goal = -(-sum(pieces) // ROOM)
    best = min(
        sum(
            cut.times
            for cut in sampled_plan(core, goal, meter, random.Random(f"{seed}"))
        )
        for seed in range(3)
    )
    assert goal <= best <= goal + 1
    answer = solve_sticks(problem_of(pieces), seed=0, budget=Budget(work=60_000))
    assert answer.unplaced == ()
    assert answer.cost <= best


def test_fine_or_many_lengths_are_sampled_first(make):
    """Where the table of the knapsack is large; not where lengths come again and again.

    200 lengths in a stick of 100,000 make twenty million cells (arithmetic).
    """
    fine = make([(100_000, 1, None)], [(20_001 + 70 * i, 1) for i in range(200)])
    coarse = make([(1_000, 1, None)], [(201 + i, 1) for i in range(150)])
    alike = make([(100_000, 1, None)], [(20_001 + 70 * i, 10) for i in range(120)])
    assert pays_to_sample(reduce_problem(fine).core)
    assert not pays_to_sample(reduce_problem(coarse).core)
    assert not pays_to_sample(reduce_problem(alike).core)
