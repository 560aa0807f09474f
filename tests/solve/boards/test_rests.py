"""Of plans that cost the same, the one with the largest end of a board is kept."""

import importlib.util
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from nesting.model.problem import Budget
from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node
from nesting.solve.boards.instance import board_instance_of
from nesting.solve.boards.rests import largest_rest
from nesting.solve.boards.solver import solve_boards
from nesting.solve.boards.trees import streams_of, trees_of

_SPEC = importlib.util.spec_from_file_location(
    "brute", Path(__file__).parent / "brute.py"
)
brute = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(brute)

part, stock, job = brute.part, brute.stock, brute.job


@pytest.fixture(autouse=True)
def _plain(monkeypatch):
    monkeypatch.setenv("NESTING_NO_JIT", "1")


def solved(problem, *, work=60):
    return solve_boards(problem, seed=1, budget=Budget(work=work))


def test_the_rest_is_what_is_behind_the_sections_and_their_kerfs():
    """20 - 7 - 1 - 5 - 1 is 6 of a board 4 wide; a rest of 5 is none if 6 are kept."""
    leaves = (Leaf("a"), Leaf("b"))
    boards = [
        ("b", Node(Plane.CROSSCUT, (7, 5), leaves)),
        ("b", Node(Plane.CROSSCUT, (7, 6), leaves)),
        ("b", Node(Plane.RIP, (2,), (Leaf("a"),))),
    ]
    problem = job([], [stock("b", 20, 4, 1)], keeps=6)
    assert largest_rest(boards, problem) == 6 * 4
    assert largest_rest(boards[1:], problem) == 0
    assert largest_rest(boards, replace(problem, keeps=None)) == 0


def test_short_parts_beside_each_other_leave_the_longest_end():
    """Two of 6 x 4 on a board of 30 x 9 leave 30 - 6 - 1; end to end it would be 16."""
    problem = job([part("a", 6, 4, quantity=2)], [stock("b", 30, 9, 7)], keeps=5)
    answer = solved(problem)
    assert answer.cost == answer.lower_bound == 7
    assert largest_rest(answer.boards, problem) == 23 * 9


def test_two_boards_share_so_that_one_rest_is_large():
    """A board of 30 holds three of 9: three and one leave 20, two and two 10 twice."""
    problem = job([part("a", 9, 4, quantity=4)], [stock("b", 30, 4, 7)], keeps=5)
    answer = solved(problem)
    assert answer.cost == 14
    assert largest_rest(answer.boards, problem) == 20 * 4


def test_fewer_boards_go_before_a_larger_rest():
    """One board at 10 leaves no rest; two at 5 would leave one of 4 each."""
    problem = job(
        [part("a", 10, 4, quantity=2)],
        [stock("long", 21, 4, 10), stock("short", 15, 4, 5)],
        keeps=3,
    )
    answer = solved(problem)
    assert [name for name, _ in answer.boards] == ["long"]


@settings(deadline=None, derandomize=True, max_examples=40)
@given(brute.jobs(9, saws=False, edges=True))
def test_the_rest_decides_only_between_plans_of_one_cost(problem):
    """Never dearer, no more boards, and no smaller a rest than without."""
    keeping = replace(problem, keeps=3)
    plain, kept = solved(problem, work=30), solved(keeping, work=30)
    if kept.unplaced:
        return
    brute.check(keeping, kept.boards)
    if plain.cost == plain.lower_bound:
        assert kept.cost == plain.cost
        assert len(kept.boards) <= len(plain.boards)
        if len(kept.boards) == len(plain.boards):
            rests = [largest_rest(each.boards, keeping) for each in (plain, kept)]
            assert rests[0] <= rests[1]


@settings(deadline=None, derandomize=True, max_examples=60)
@given(brute.jobs(9, saws=False, edges=True))
def test_a_plan_becomes_numbers_and_a_plan_again(problem):
    """With the same boards, the same cost and as large a rest."""
    answer = solved(problem, work=10)
    if answer.unplaced:
        return
    instance = board_instance_of(problem)
    streams = streams_of(answer.boards, instance)
    assert streams is not None
    again = trees_of(streams, instance)
    brute.check(problem, again)
    assert sorted(name for name, _ in again) == sorted(n for n, _ in answer.boards)
    keeping = replace(problem, keeps=1)
    assert largest_rest(again, keeping) >= largest_rest(answer.boards, keeping)


def test_one_seed_gives_one_rest_compiled_or_not(monkeypatch):
    """Two engines that go on from one plan come to the same end of a board."""
    from nesting.solve.boards.engine import BoardEngine

    monkeypatch.delenv("NESTING_NO_JIT")
    parts = [part(f"p{i}", 3 + i * 7 % 11, 2 + i * 5 % 4) for i in range(14)]
    problem = job(parts, [stock("b", 60, 9, 10)], keeps=4)
    answer = solved(replace(problem, keeps=None))
    instance = board_instance_of(problem)
    streams = streams_of(answer.boards, instance)
    engines = [BoardEngine(instance, seed=5) for _ in range(2)]
    engines[0].compile()
    for engine in engines:
        engine.take(streams)
        engine.raise_bound(-1)
        engine.search(150_000)
    assert engines[0].boards == engines[1].boards
    assert engines[0].rank == engines[1].rank
