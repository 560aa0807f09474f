"""Orders are put so that one walks little, and nothing else of them changes."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from nesting.sequence.habit import order_by_habit
from nesting.sequence.tasks import Task, count_changes, count_walks
from nesting.sequence.walks import with_few_walks

Make = Callable[..., list[Task]]


@pytest.mark.parametrize("seed", range(60))
def test_orders_stay_possible_and_as_good(seed: int, made_forest: Make) -> None:
    """Every task once, behind what it waits for, phase by phase, no more changes."""
    tasks = made_forest(random.Random(seed), most=40, settings=9)
    habit = order_by_habit(tasks)
    order = with_few_walks(tasks, habit)
    place = {number: at for at, number in enumerate(order)}
    assert sorted(order) == list(range(len(tasks)))
    assert all(t.waits < 0 or place[t.waits] < place[n] for n, t in enumerate(tasks))
    assert [tasks[n].phase for n in order] == sorted(task.phase for task in tasks)
    assert count_changes(tasks, order) == count_changes(tasks, habit)


def test_all_at_one_saw_before_the_next(forest: Make) -> None:
    """Four cuts that wait for nothing take one walk, however they were ordered."""
    tasks = forest([("table", 300, -1), ("chop", 500, -1)] * 2)
    assert count_walks(tasks, range(4)) == 3
    assert count_walks(tasks, with_few_walks(tasks, range(4))) == 1
