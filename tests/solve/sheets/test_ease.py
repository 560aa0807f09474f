"""Sheets laid out again hold every part and cost no more than they may."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest

from nesting.model.problem import Budget
from nesting.model.stock import Edges
from nesting.model.tree import Leaf, Tree
from nesting.solve.meter import Meter
from nesting.solve.sheets.ease import sheets_again
from nesting.solve.sheets.problem import (
    SheetGoal,
    SheetPart,
    SheetProblem,
    SheetStock,
)

PARTS = [(40, 30, 6), (55, 20, 5), (25, 25, 7), (60, 35, 3)]
SETTINGS = SheetGoal(keeps=(), setting=2_000, cut=50)


def problem(goal: SheetGoal | None = SETTINGS) -> SheetProblem:
    """Return parts that three sheets of 100 x 100 hold, by their area."""
    return SheetProblem(
        parts=tuple(
            SheetPart(id=f"p{n}", length=x, width=y, quantity=count, grain_bound=False)
            for n, (x, y, count) in enumerate(PARTS)
        ),
        stock=(
            SheetStock(
                id="s",
                length=100,
                width=100,
                cost=10,
                limit=None,
                grain_along_length=True,
                trim=Edges(),
            ),
        ),
        kerf_x=1,
        kerf_y=1,
        least_kerf_x=1,
        least_kerf_y=1,
        goal=goal,
    )


def leaves(tree: Tree) -> Iterator[str]:
    """Yield the parts of a tree."""
    if isinstance(tree, Leaf):
        yield tree.blank
    else:
        for child in tree.children:
            yield from leaves(child)


def levels(tree: Tree) -> int:
    """Return how many levels of cuts a tree has."""
    if isinstance(tree, Leaf):
        return 0
    return 1 + max(levels(child) for child in tree.children)


def meter(work: int = 10**9) -> Meter:
    """Return a meter without a clock."""
    return Meter(Budget(work=work), "")


@pytest.mark.parametrize("enough", [30, 40])
def test_every_part_has_a_place_for_no_more_than_is_enough(enough: int) -> None:
    """Cost and parts are counted again from the trees."""
    found = sheets_again(problem(), enough=enough, stages=(4, 3), seed=0, meter=meter())
    assert 1 <= len(found) <= 2
    for sheets, cost in found:
        assert cost == 10 * len(sheets) <= enough
        counted = Counter(name for _, tree in sheets for name in leaves(tree))  # type: ignore[arg-type]
        assert counted == {f"p{n}": count for n, (_, _, count) in enumerate(PARTS)}


def test_a_limit_of_stages_is_kept() -> None:
    """Two stages: strips, and parts as wide as their strip."""
    ((sheets, _),) = sheets_again(
        problem(), enough=60, stages=(2,), seed=0, meter=meter()
    )
    assert all(levels(tree) <= 2 for _, tree in sheets)  # type: ignore[arg-type]


def test_it_repeats() -> None:
    """Counted work, so equal trees."""
    one, two = (
        sheets_again(problem(), enough=40, stages=(3, 2), seed=5, meter=meter())
        for _ in range(2)
    )
    assert one == two != []


def test_what_cannot_be_had_is_not_found() -> None:
    """The parts' area is more than two sheets (arithmetic: 23375 of 20000)."""
    assert sum(x * y * count for x, y, count in PARTS) > 2 * 100 * 100
    assert not sheets_again(problem(), enough=20, stages=(4,), seed=0, meter=meter())


def test_a_search_cut_short_tells_nothing() -> None:
    """It need not be what a longer one finds."""
    short = Meter(Budget(cancelled=lambda: True), "")
    assert not sheets_again(problem(), enough=40, stages=(4, 3), seed=0, meter=short)


def test_without_a_goal_there_is_nothing_to_look_for() -> None:
    """It is our mistake, not the maker's."""
    with pytest.raises(ValueError, match="goal"):
        sheets_again(problem(None), enough=40, stages=(4,), seed=0, meter=meter())


def test_sheets_that_cost_nothing_are_enough_at_once() -> None:
    """What is owned is free, and nothing can be cheaper."""
    asked = problem()
    free = replace(asked, stock=(replace(asked.stock[0], cost=0, limit=4),))
    found = sheets_again(free, enough=0, stages=(4, 3), seed=0, meter=meter())
    assert [cost for _, cost in found] == [0] * len(found) != []
