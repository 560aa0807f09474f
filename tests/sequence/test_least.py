"""The bound on changes is never above the fewest there are, and the search near it.

The fewest are found by trying every order of tiny jobs.
"""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from nesting.sequence.habit import order_by_habit
from nesting.sequence.least import least_changes
from nesting.sequence.search import search_order
from nesting.sequence.tasks import Key, Task, count_changes

Make = Callable[..., list[Task]]


def fewest(tasks: list[Task]) -> int:
    """Return the fewest changes, by looking at every set of cuts and what saws are at.

    A cut that needs no change never waits, which loses nothing.
    """
    level = {(0, frozenset[Key]())}
    changes = 0
    full = (1 << len(tasks)) - 1
    while True:
        closed = {cut_all(tasks, *state) for state in level}
        if any(done == full for done, _ in closed):
            return changes
        level = {
            (done, stands - {k for k in stands if k.saw == key.saw} | {key})
            for done, stands in closed
            for key in {tasks[n].key for n in possible(tasks, done)}
        }
        changes += 1


def possible(tasks: list[Task], done: int) -> list[int]:
    """Return the tasks of the present phase whose piece is there."""
    open_ = [n for n in range(len(tasks)) if not done >> n & 1]
    phase = min((tasks[n].phase for n in open_), default=0)
    return [
        n
        for n in open_
        if tasks[n].phase == phase
        and (tasks[n].waits < 0 or done >> tasks[n].waits & 1)
    ]


def cut_all(
    tasks: list[Task], done: int, stands: frozenset[Key]
) -> tuple[int, frozenset[Key]]:
    """Cut whatever needs no change."""
    while True:
        free = [
            n
            for n in possible(tasks, done)
            if not tasks[n].key.is_held or tasks[n].key in stands
        ]
        if not free:
            return done, stands
        for number in free:
            done |= 1 << number


@pytest.mark.parametrize("seed", range(150))
def test_bound_fewest_search_habit(seed: int, made_forest: Make) -> None:
    """Bound <= fewest <= search <= habit, and every order is a possible one."""
    tasks = made_forest(random.Random(seed), most=11)
    least, exact = least_changes(tasks), fewest(tasks)
    habit = order_by_habit(tasks)
    found = search_order(tasks, habit, least)
    assert least <= exact <= count_changes(tasks, found) <= count_changes(tasks, habit)
    assert count_changes(tasks, found) <= exact + 1


def test_the_search_finds_the_fewest_in_most_tiny_jobs(made_forest: Make) -> None:
    """In 142 of 150 made jobs or more; the bound is the fewest in as many."""
    found = met = 0
    for seed in range(150):
        tasks = made_forest(random.Random(seed), most=11)
        least, exact = least_changes(tasks), fewest(tasks)
        order = search_order(tasks, order_by_habit(tasks), least)
        found += count_changes(tasks, order) == exact
        met += least == exact
    assert found >= 142
    assert met >= 142


def test_two_sheets_cut_in_opposite_orders(forest: Make) -> None:
    """300 before 200 in one, 200 before 300 in the other: three changes, not two."""
    tasks = forest([("table", 300, -1), ("table", 200, 0)] * 1)
    assert least_changes(tasks) == 2
    tasks = forest(
        [("table", 300, -1), ("table", 200, 0), ("table", 200, -1), ("table", 300, 2)]
    )
    assert least_changes(tasks) == fewest(tasks) == 3


def test_a_cut_elsewhere_moves_no_fence(forest: Make) -> None:
    """300 at the table, 500 at the chop saw, 300 at the table: two changes."""
    tasks = forest([("table", 300, -1), ("chop", 500, 0), ("table", 300, 1)])
    assert least_changes(tasks) == count_changes(tasks, range(3)) == 2


def test_a_pencil_line_is_no_setting(forest: Make) -> None:
    """Only what is held is counted."""
    tasks = forest([("rail", 0, -1), ("rail", 0, 0)])
    assert least_changes(tasks) == count_changes(tasks, range(2)) == 0


def test_a_chain_forces_a_setting_twice(forest: Make) -> None:
    """300, 200, 300 on one chain needs the first setting two times."""
    tasks = forest([("table", 300, -1), ("table", 200, 0), ("table", 300, 1)])
    assert least_changes(tasks) == 3


def test_phases_force_a_setting_twice(forest: Make) -> None:
    """300 and 200 broken down, then 200 and 300: one of them stays set, not both."""
    both = [("table", 300, -1), ("table", 200, -1)]
    tasks = forest([*both, *both], phases=[0, 0, 1, 1])
    assert least_changes(tasks) == fewest(tasks) == 3


def test_a_ring_of_three(forest: Make) -> None:
    """1 before 2, 2 before 3, 3 before 1, in three sheets: four changes."""
    pairs = [(1, 2), (2, 3), (3, 1)]
    cuts = []
    for count, (first, second) in enumerate(pairs):
        cuts += [("table", first, -1), ("table", second, 2 * count)]
    assert least_changes(forest(cuts)) == fewest(forest(cuts)) == 4
