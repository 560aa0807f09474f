"""Work beside the search: it raises bounds, finds plans, and ends."""

from __future__ import annotations

from nesting.model.problem import Budget
from nesting.model.stock import Edges
from nesting.model.terms import StoppedBy
from nesting.solve.sheets import solve_sheets
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock
from nesting.solve.sheets.tasks import Task, tasks_for


def problem(
    parts: list[tuple[int, int, int]], size: int, limit: int | None = None
) -> SheetProblem:
    """Return a problem on square sheets, without turning."""
    return SheetProblem(
        parts=tuple(
            SheetPart(id=f"p{n}", length=x, width=y, quantity=count, grain_bound=True)
            for n, (x, y, count) in enumerate(parts)
        ),
        stock=(
            SheetStock(
                id="s",
                length=size,
                width=size,
                cost=1,
                limit=limit,
                grain_along_length=True,
                trim=Edges(),
            ),
        ),
        kerf_x=0,
        kerf_y=0,
        least_kerf_x=0,
        least_kerf_y=0,
        stages=None,
    )


PINWHEEL = [(6, 4, 1), (4, 6, 1), (6, 4, 1), (4, 6, 1)]
"""Four parts round a hole of 2 x 2 fill 10 x 10, but no saw cuts them from it."""


def run(task: Task, goal: int | None, most: int = 400) -> int:
    """Let a task do its work; return the effort."""
    effort = 0
    for _ in range(most):
        if task.is_done:
            return effort
        effort += task.advance(known=1, goal=goal)
    raise AssertionError("the task does not end")


def test_the_tasks_prove_what_no_area_shows() -> None:
    """A pinwheel of four takes two sheets: edge to edge only three come from one.

    Arithmetic: the area is 96 of 100; any first cut through the sheet meets a part.
    """
    asked = problem(PINWHEEL, 10)
    tasks = tasks_for(asked, seed=0)
    efforts = [run(task, goal=2) for task in tasks]
    assert all(effort > 0 for effort in efforts)
    assert max(task.value for task in tasks) == 2


def test_a_solver_with_its_tasks_ends_by_proof() -> None:
    """Search and tasks together prove the pinwheel, well within the work given."""
    answer = solve_sheets(problem(PINWHEEL, 10), seed=0, budget=Budget(work=2_000_000))
    assert (answer.cost, answer.lower_bound) == (2, 2)
    assert answer.stopped_by is StoppedBy.PROOF


def test_tasks_that_need_a_plan_say_so() -> None:
    """Without a plan there is nothing cheaper to ask for: such a task waits."""
    waiting = tasks_for(problem(PINWHEEL, 10), seed=0)
    assert [task.needs_plan for task in waiting] == [False, True]
    answer = solve_sheets(
        problem(PINWHEEL, 10, limit=1), seed=0, budget=Budget(work=60_000)
    )
    assert sum(count for _, count in answer.unplaced) == 1
    assert answer.work <= 90_000  # the last piece of work may be a long one
