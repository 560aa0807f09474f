"""The linear bound of boards holds under every plan, and is met where it must be."""

from __future__ import annotations

import importlib.util
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.boards.linear import board_bound
from nesting.solve.boards.problem import BoardProblem
from nesting.solve.boards.small import exact_boards
from nesting.solve.boards.table import BoardTable

if TYPE_CHECKING:
    import pytest


_SPEC = importlib.util.spec_from_file_location(
    "brute", Path(__file__).parent / "brute.py"
)
brute = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(brute)

part, board, asked = brute.part, brute.stock, brute.job


def bound(problem: BoardProblem) -> int:
    """Return the bound, the program run to its end, without the compiler."""
    found = board_bound(problem, most_work=100_000, plain=True)
    assert found.exact <= found.value
    return found.value


def test_a_board_is_filled_by_hand() -> None:
    """Two strips of 4 in 9 with a kerf of 1; five of 9 in 49 with four kerfs of 1.

    So 10 of 9 x 4 come from a board of 49 x 9, and an eleventh takes a second board.
    """
    stock = (board("b", 49, 9, 100),)
    assert bound(asked((part("p", 9, 4, quantity=10),), stock)) == 100
    assert bound(asked((part("p", 9, 4, quantity=11),), stock)) == 200
    ten = part("p", 9, 4, quantity=10)
    assert bound(asked((ten,), (board("b", 48, 9, 100),))) == 200
    assert bound(asked((ten,), (board("b", 49, 8, 100),))) == 200


def test_slices_count_as_often_as_they_come_out() -> None:
    """Resawn in two, a board of ten holds twenty."""
    thin = part("p", 9, 4, quantity=20, layers={"s": 2})
    stock = (board("b", 49, 9, 100),)
    assert bound(asked((thin,), stock)) == 100
    assert bound(asked((replace(thin, quantity=21),), stock)) == 200


def test_a_rough_length_keeps_rips_short() -> None:
    """A part of 30 is ripped from no section over 20; as wide as the board it is not.

    What cannot be cut at all does not count.
    """
    stock = (board("b", 61, 9, 100),)
    long = part("p", 30, 4, quantity=2)
    assert bound(asked((long,), stock)) == 100
    assert bound(asked((long,), stock, longest_rough=20)) == 0
    wide = part("p", 30, 9, quantity=4)
    assert bound(asked((wide,), stock, longest_rough=20)) == 200


def test_limited_boards_give_what_they_can() -> None:
    """One free board on the rack holds ten of eleven; the last has to be bought."""
    stock = (board("rack", 49, 9, 0, 1), board("b", 49, 9, 100))
    assert bound(asked((part("p", 9, 4, quantity=10),), stock)) == 0
    assert bound(asked((part("p", 9, 4, quantity=11),), stock)) == 100
    assert bound(asked((part("p", 9, 4, quantity=21),), stock)) == 200


def test_no_board_and_no_part_are_no_trouble() -> None:
    """There is nothing to pay, and the known bound stays."""
    stock = (board("b", 49, 9, 100),)
    assert board_bound(asked((), stock), most_work=10, known=7).value == 7
    problem = asked((part("p", 60, 4),), stock)
    assert board_bound(problem, most_work=10).value == 0


problems = brute.jobs(4, saws=False)


@settings(max_examples=60)
@given(problems)
def test_no_plan_is_cheaper(problem: BoardProblem) -> None:
    """The exact program for small jobs is the judge."""
    best = exact_boards(problem, known=0, goal=None, most_work=100_000, plain=True)
    if best.is_settled and best.cost is not None:
        assert bound(problem) <= best.cost


@settings(max_examples=20)
@given(problems, st.lists(st.integers(0, 50), min_size=4, max_size=4))
def test_patterns_are_worth_what_the_table_says(
    problem: BoardProblem, values: list[int]
) -> None:
    """What is read off a table has the value at its end, compiled or not."""
    own = values[: len(problem.parts)]
    plain = BoardTable(problem, plain=True)
    most = plain.fill(own)
    for kind, held in enumerate(most):
        if problem.stock[kind].limit == 0:
            assert held == 0
            continue
        counts: Counter[int] = plain.pattern(kind)
        assert sum(own[i] * n for i, n in counts.items()) == held
    table = BoardTable(problem, plain=False)
    assert table.fill(own) == most


def test_a_coarser_grid_only_gives_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a tenth of the units the bound is no greater."""
    parts = tuple(part(f"p{n}", 101 + 37 * n, 31 + 7 * n, quantity=3) for n in range(6))
    problem = asked(parts, (board("b", 997, 199, 100), board("c", 1501, 139, 120)))
    fine = bound(problem)
    monkeypatch.setattr("nesting.solve.boards.table.MOST_LONG", 150)
    monkeypatch.setattr("nesting.solve.boards.table.MOST_WIDE", 20)
    coarse = bound(problem)
    assert 0 < coarse <= fine
