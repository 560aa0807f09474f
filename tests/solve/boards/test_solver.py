"""Board plans: of the class, complete, never worse than a habit, and repeatable."""

import importlib.util
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.solve.boards.edges import keeps_none, lost_across
from nesting.solve.boards.instance import fits
from nesting.solve.boards.naive import habit_plan, narrowest_boards, one_width_each
from nesting.solve.boards.solver import solve_boards, unplaced_of
from nesting.solve.boards.volume import volume_bound

_SPEC = importlib.util.spec_from_file_location(
    "brute", Path(__file__).parent / "brute.py"
)
brute = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(brute)


@pytest.fixture(autouse=True)
def _plain(monkeypatch):
    monkeypatch.setenv("NESTING_NO_JIT", "1")


part, stock, job = brute.part, brute.stock, brute.job


def solved(problem, *, seed=1, work=40):
    return solve_boards(problem, seed=seed, budget=Budget(work=work))


def placed(problem, unplaced):
    """Return the problem without what is unplaced."""
    out = dict(unplaced)
    return replace(
        problem,
        parts=tuple(
            replace(each, quantity=each.quantity - out.get(each.id, 0))
            for each in problem.parts
        ),
    )


@settings(deadline=None, derandomize=True, max_examples=40)
@given(brute.jobs(saws=False))
def test_tiny_jobs_come_near_what_trying_everything_finds(problem):
    """What has a plan gets one, of the class and within a quarter of the least cost."""
    least = brute.least(problem)
    answer = solved(problem)
    brute.check(placed(problem, answer.unplaced), answer.boards)
    if least is None:
        assert answer.unplaced
    else:
        assert not answer.unplaced
        assert answer.lower_bound <= least <= answer.cost
        assert answer.cost <= least * 5 // 4


@settings(deadline=None, derandomize=True, max_examples=40)
@given(brute.jobs(14, saws=False))
def test_plans_are_of_the_class_and_no_habit_is_better(problem):
    """Larger jobs: the plan is cut in the stages, and the habits cost no less."""
    answer = solved(problem, work=2)
    brute.check(placed(problem, answer.unplaced), answer.boards)
    assert answer.unplaced == unplaced_of(problem, answer.boards)
    for habit in (narrowest_boards(problem), one_width_each(problem)):
        brute.check(placed(problem, habit.unplaced), habit.boards)
        if not habit.unplaced:
            assert not answer.unplaced
            assert answer.cost <= habit.cost
    if not answer.unplaced:
        assert volume_bound(problem) <= answer.lower_bound <= answer.cost


@settings(deadline=None, derandomize=True, max_examples=60)
@given(brute.jobs(saws=False, edges=True))
def test_square_edges_lose_the_rounded_ones(problem):
    """What is to have square edges finds room for them, and no bound is too high."""
    least = brute.least(problem)
    answer = solved(problem, work=20)
    brute.check(placed(problem, answer.unplaced), answer.boards)
    for habit in (narrowest_boards(problem), one_width_each(problem)):
        brute.check(placed(problem, habit.unplaced), habit.boards)
    if least is None:
        assert answer.unplaced
    elif not answer.unplaced:
        assert answer.lower_bound <= least <= answer.cost


@settings(deadline=None, derandomize=True, max_examples=40)
@given(brute.jobs(14, saws=False, edges=True))
def test_larger_jobs_with_square_edges_are_of_the_class(problem):
    """Rows that take in parts, and boards that are exchanged, keep to the edges."""
    answer = solved(problem, work=4)
    brute.check(placed(problem, answer.unplaced), answer.boards)


def test_plain_strips_lie_outside_of_one_with_square_edges():
    """4 + 1 + 2 + 1 + 4 is all of 12; with square edges 2 + 2 is lost besides."""
    boards = [stock("b", 10, 12, 7, eased=2)]
    plain = part("plain", 10, 4, quantity=2)
    square = part("square", 10, 2, square=True)
    assert solved(job([plain, square], boards)).cost == 7
    other = replace(plain, square=True)
    assert solved(job([other, square], boards)).cost == 14


def test_an_only_strip_with_square_edges_loses_both():
    """A part of 8 comes from a board of 12 with rounds of 2, not from one of 11."""
    square = part("a", 10, 8, square=True)
    answer = solved(
        job(
            [square], [stock("11", 10, 11, 1, eased=2), stock("12", 10, 12, 7, eased=2)]
        )
    )
    assert (answer.cost, answer.unplaced) == (7, ())
    assert solved(job([square], [stock("11", 10, 11, 1, eased=2)])).unplaced


@settings(deadline=None, derandomize=True, max_examples=60)
@given(brute.jobs(9, saws=False, edges=True), st.integers(1, 9))
def test_ripped_sections_lose_their_crook(problem, crook):
    """Plans leave room for it, and straight boards are never dearer when proved."""
    bent = replace(problem, crook=crook * 10**11)
    straight, answer = solved(problem, work=10), solved(bent, work=10)
    assert keeps_none(answer.boards, bent)
    for habit in (narrowest_boards(bent), one_width_each(bent)):
        assert keeps_none(habit.boards, bent)
    brute.check(placed(bent, answer.unplaced), answer.boards)
    if straight.cost == straight.lower_bound and not answer.unplaced:
        assert answer.cost >= straight.cost


def test_a_strip_widened_to_what_may_be_ripped_has_room_beside_the_crook():
    """A part of 1 in a strip of 2 finds 1 of 4 after a loss of 3, and a board of 5."""
    narrow, wide = stock("4", 7, 4, 3), stock("5", 7, 5, 9)
    problem = job([part("a", 7, 1)], [narrow, wide])
    problem = replace(problem, narrowest_rip=2, crook=7 * 10**11)
    assert lost_across(problem, 7) == 3
    assert fits(problem.parts[0], wide, problem)
    assert not fits(problem.parts[0], narrow, problem)
    for boards in (solved(problem).boards, one_width_each(problem).boards):
        assert [name for name, _ in boards] == ["5"]


def test_a_whole_board_is_changed_for_a_wider_one_only_beside_the_crook():
    """A part of 4 is a whole straight 4; rounds of 2 and a loss of 1 leave 3 of 8."""
    parts = [part("a", 1, 2), part("b", 1, 4, square=True)]
    rounded, narrow = stock("8", 6, 8, 0, eased=2), stock("4", 6, 4, 1)
    problem = job(parts, [rounded, narrow], kerfs=(0, 0), crook=10**11)
    answer = solved(problem)
    assert keeps_none(answer.boards, problem)
    assert "4" in dict(answer.boards)
    # in cells of 5, which parts of 5 make, 5 and 6 are one width
    parts = [part("a", 9, 5), part("b", 1, 5)]
    boards = [stock("5", 9, 5, 1), stock("6", 9, 6, 0)]
    problem = job(parts, boards, kerfs=(0, 0), crook=2 * 10**11)
    assert keeps_none(solved(problem).boards, problem)


def test_a_habit_changes_no_board_for_one_with_larger_rounds():
    """A part of 2 is what rounds of 1 leave of 4; rounds of 2 leave nothing."""
    problem = job(
        [part("a", 2, 2, square=True)],
        [stock("rounder", 6, 4, 5, eased=2), stock("b", 15, 4, 12, eased=1)],
    )
    for habit in (narrowest_boards, one_width_each):
        assert [name for name, _ in habit(problem).boards] == ["b"]


def test_the_habit_takes_the_narrowest_board():
    """Two parts of width 3 go on a board of width 4, not beside each other on a 9."""
    problem = job(
        [part("a", 10, 3, quantity=2)],
        [stock("narrow", 21, 4, 5), stock("wide", 21, 9, 1)],
    )
    plan = narrowest_boards(problem)
    assert ([name for name, _ in plan.boards], plan.cost) == (["narrow"], 5)


def test_the_second_habit_rips_side_by_side():
    """Two parts of width 4 come from a length of 10 of a board 9 wide."""
    problem = job([part("a", 10, 4, quantity=2)], [stock("wide", 10, 9, 7)])
    assert one_width_each(problem).cost == 7
    assert habit_plan(problem).cost == 7
    assert narrowest_boards(problem).cost == 14


def test_what_costs_nothing_is_used_first():
    """A piece of the rack gives what it can; one board is bought for the rest."""
    problem = job(
        [part("a", 10, 4, quantity=3)],
        [stock("rack", 10, 4, 0, 1), stock("bought", 21, 4, 9)],
    )
    answer = solved(problem)
    assert answer.cost == 9
    assert sorted(name for name, _ in answer.boards) == ["bought", "rack"]


def test_thin_parts_are_resawn_two_from_one():
    """Four thin parts of half a board's width take one board; thick ones take two."""
    board = [stock("b", 10, 9, 8)]
    thin = part("a", 10, 4, quantity=4, thickness=2, layers={"s": 2})
    answer = solved(job([thin], board))
    assert (answer.cost, answer.stopped_by) == (8, StoppedBy.PROOF)
    thick = part("a", 10, 4, quantity=4)
    assert solved(job([thick], board)).cost == 16


def test_what_fits_nowhere_is_unplaced():
    """A part too long for any board, or for ripping, stays out; the rest is cut."""
    problem = job(
        [part("long", 30, 3), part("rough", 12, 3), part("a", 9, 3)],
        [stock("b", 20, 4, 5)],
        longest_rough=10,
    )
    answer = solved(problem)
    assert answer.unplaced == (("long", 1), ("rough", 1))
    assert answer.cost == 5


def test_a_part_as_wide_as_the_board_may_be_longer_than_what_is_ripped():
    """Nothing is ripped, so the limit of a rip does not matter."""
    problem = job([part("a", 18, 4)], [stock("b", 20, 4, 5)], longest_rough=10)
    assert solved(problem).unplaced == ()


def test_scarce_boards_hold_as_much_as_they_can():
    """One board for three parts: the two large ones are cut from it."""
    problem = job(
        [part("small", 5, 4), part("large", 10, 4, quantity=2)],
        [stock("b", 21, 4, 5, 1)],
    )
    assert solved(problem).unplaced == (("small", 1),)


def _mixed():
    return job(
        [part(f"p{i}", 5 + i * 7 % 11, 2 + i * 5 % 4) for i in range(14)],
        [stock("b", 30, 6, 10), stock("c", 24, 9, 13), stock("d", 40, 5, 11)],
        longest_rough=16,
    )


def test_one_seed_gives_one_plan():
    """The same seed and work give the same answer; the work is kept to."""
    first, second = (solved(_mixed(), work=30) for _ in range(2))
    assert first == second
    assert first.stopped_by in (StoppedBy.WORK, StoppedBy.PROOF)


def test_compiled_kernels_do_the_same(monkeypatch):
    """With and without the compiler the search comes to the same plan."""
    from nesting.solve.boards.engine import BoardEngine
    from nesting.solve.boards.instance import board_instance_of

    monkeypatch.delenv("NESTING_NO_JIT")
    instance = board_instance_of(_mixed())
    engines = [BoardEngine(instance, seed=5) for _ in range(2)]
    engines[0].compile()
    for engine in engines:
        engine.start()
        engine.search(150_000)
    assert engines[0].boards == engines[1].boards
    assert engines[0].done == engines[1].done > 0
