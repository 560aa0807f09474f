"""Published benchmark instances; each carries its citation and optimum in the data."""

import json
from pathlib import Path

import pytest

from nesting.model.problem import Budget
from nesting.solve.sticks import solve_sticks

DATA = Path(__file__).parents[2] / "data" / "sticks" / "literature.json"
INSTANCES = {row["name"]: row for row in json.loads(DATA.read_text(encoding="utf-8"))}


@pytest.mark.parametrize("name", INSTANCES)
def test_literature_optimum_is_reached_and_never_passed(name, make, check):
    """The plan costs the published optimum; bound and plan never contradict it."""
    row = INSTANCES[name]
    problem = make([tuple(s) for s in row["stock"]], row["parts"])
    answer = solve_sticks(problem, seed=3, budget=Budget(work=200_000))
    check(problem, answer)
    assert not answer.unplaced
    assert answer.lower_bound <= row["optimal"]
    assert answer.cost == row["optimal"]
