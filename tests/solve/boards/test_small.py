"""Small board jobs: closed exactly, as trying everything does."""

import importlib.util
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from nesting.model.terms import Plane, StoppedBy
from nesting.model.tree import Leaf, Node
from nesting.solve.boards import small_search
from nesting.solve.boards.small import BASIS, exact_boards
from nesting.solve.boards.small_mixes import Mixes

_SPEC = importlib.util.spec_from_file_location(
    "brute", Path(__file__).parent / "brute.py"
)
brute = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(brute)

MOST = 100_000
part, stock, job, jobs = brute.part, brute.stock, brute.job, brute.jobs


def closed(problem, *, known=0, goal=None, plain=True):
    return exact_boards(problem, known=known, goal=goal, most_work=MOST, plain=plain)


def is_closed_as_by_trying_everything(problem):
    """Hold the answer against the least cost there is, with both kinds of kerf."""
    answer = closed(problem)
    narrow, wide = brute.least(problem, narrow=True), brute.least(problem)
    event(f"narrow {narrow is not None}, wide {wide is not None}, {narrow == wide}")
    assert answer.is_settled == (narrow == wide)
    assert answer.cost == wide
    if narrow is not None:
        assert answer.lower_bound == narrow
    if answer.boards is not None:
        brute.check(problem, answer.boards)
        costs = {each.id: each.cost for each in problem.stock}
        assert sum(costs[name] for name, _ in answer.boards) == wide


@settings(deadline=None, derandomize=True, max_examples=300)
@given(jobs())
def test_it_closes_tiny_jobs_as_trying_everything_does(problem):
    """The cost is the least there is; the plan is of the class and holds everything."""
    is_closed_as_by_trying_everything(problem)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(jobs(), st.integers(-4, 4))
def test_a_goal_is_beaten_or_proved(problem, off):
    """Below a goal it finds the best plan, or proves that there is none."""
    problem = replace(problem, least_kerf_x=problem.kerf_x, least_kerf_y=problem.kerf_y)
    parts = tuple(replace(each, most_layers=each.layers) for each in problem.parts)
    problem = replace(problem, parts=parts)
    best = brute.least(problem)
    goal = max(1, (best or 10) + off)
    answer = closed(problem, goal=goal)
    assert answer.is_settled
    if best is not None and best < goal:
        assert (answer.cost, answer.lower_bound) == (best, best)
    else:
        assert answer.boards is None
        assert answer.lower_bound == goal
        assert answer.basis == BASIS


@st.composite
def jobs_with_rack(draw):
    parts = [
        part(f"p{i}", draw(st.integers(3, 9)), draw(st.integers(2, 5)))
        for i in range(draw(st.integers(3, 6)))
    ]
    rack = [
        stock(
            f"r{i}",
            draw(st.integers(6, 14)),
            draw(st.integers(3, 9)),
            0,
            draw(st.integers(1, 2)),
        )
        for i in range(draw(st.integers(1, 4)))
    ]
    bought = [
        stock(f"b{i}", length, width, draw(st.integers(300, 900)))
        for i, (length, width) in enumerate([(16, 6), (20, 9), (24, 5)])
    ]
    return job(parts, rack + bought, longest_rough=draw(st.sampled_from([None, 10])))


def answers(problem, **given):
    """Return the answers with and without the compiler."""
    return [
        exact_boards(problem, known=0, goal=None, most_work=MOST, plain=plain, **given)
        for plain in (True, False)
    ]


@settings(deadline=None, derandomize=True, max_examples=20)
@given(jobs())
def test_the_compiler_changes_nothing(problem):
    """Compiled or not, the same plan comes out by the same work."""
    one, other = answers(problem)
    assert one == other


def spread(count, seed=5):
    """Return a job with so many parts, all different, on six kinds of board."""
    number = seed
    parts = []
    for i in range(count):
        number = number * 48271 % 2147483647
        parts.append(part(f"p{i}", 20 + number % 130, 8 + number // 130 % 42))
    boards = [
        stock(f"{width} x {length}", length, width, length * width * rate // 100)
        for width, rate in ((28, 10), (58, 11), (90, 12))
        for length in (380, 500)
    ]
    return job(parts, boards, longest_rough=190)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_it_agrees_with_a_program_over_all_sets(seed):
    """Nine parts at a time cost what plain dynamic programs over sets say."""
    problem = spread(9, seed)
    answer = closed(problem, plain=False)
    assert (answer.cost, answer.lower_bound) == (brute.over_sets(problem),) * 2
    brute.check(problem, answer.boards)


def test_fifteen_parts_are_closed_with_little_work():
    """Fifteen parts, all different, take a few million steps."""
    problem = spread(15)
    answer = closed(problem, plain=False)
    assert answer.is_settled
    assert answer.stopped_by is StoppedBy.PROOF
    assert answer.basis == BASIS
    assert answer.effort < 20_000
    brute.check(problem, answer.boards)
    below = closed(problem, goal=answer.cost, plain=False)
    assert below.is_settled
    assert below.boards is None
    assert below.lower_bound == answer.cost


def test_it_gives_up_after_so_much_work():
    """With little work it says what it knows, and that it is not settled."""
    problem = spread(15)
    best = closed(problem, plain=False).cost
    answer = exact_boards(problem, known=7, goal=None, most_work=1_000)
    assert not answer.is_settled
    assert answer.stopped_by is StoppedBy.WORK
    assert 7 <= answer.lower_bound <= best


def test_it_stops_when_told():
    """The clock and a person can end it."""
    problem = spread(15)
    late = exact_boards(problem, known=0, goal=None, most_work=MOST, deadline=0.0)
    assert late.stopped_by is StoppedBy.CLOCK
    told = exact_boards(
        problem, known=3, goal=None, most_work=MOST, cancelled=lambda: True
    )
    assert (told.stopped_by, told.lower_bound) == (StoppedBy.CANCELLED, 3)


def test_too_many_different_parts_are_not_its_job():
    """Beyond sixty-two bits it says at once that it does not know."""
    answer = closed(spread(63), known=5)
    assert not answer.is_settled
    assert (answer.lower_bound, answer.effort) == (5, 0)


def test_a_part_that_fits_nowhere_leaves_no_plan():
    """Too wide, too long between rips, or of the wrong section: no plan."""
    board = [stock("b", 20, 6, 5)]
    for wrong in (
        part("w", 5, 7),
        part("l", 21, 6),
        part("r", 12, 5),
        part("s", 5, 5, layers={"t": 1}),
    ):
        problem = job([part("a", 4, 4), wrong], board, longest_rough=10)
        answer = closed(problem)
        assert answer.is_settled
        assert answer.boards is None
    long = job([part("a", 12, 6)], board, longest_rough=10)
    assert closed(long).cost == 5  # as wide as the board: it is not ripped


def test_nothing_wanted_costs_nothing():
    """Without parts there is nothing to buy."""
    answer = closed(job([part("a", 4, 4, quantity=0)], [stock("b", 9, 9, 5)]))
    assert (answer.cost, answer.boards) == (0, ())


def test_a_kerf_more_than_fits_takes_a_second_board():
    """Three strips and two kerfs fill a board; a tick less of it is too little."""
    parts = [part("a", 10, 4, quantity=3)]
    for width, cost in ((14, 7), (13, 14)):
        problem = job(parts, [stock("b", 10, width, 7)])
        assert closed(problem).cost == cost


def test_slices_are_cut_from_one_strip():
    """Two thin parts lie above each other, and the tree says so."""
    thin = part("a", 10, 4, quantity=2, thickness=3, layers={"s": 2})
    problem = job([replace(thin, may_stay_thick=False)], [stock("b", 12, 4, 7)])
    ((_, tree),) = closed(problem).boards
    assert tree.plane is Plane.CROSSCUT
    assert tree.sizes == (10,)
    assert tree.children == (Node(Plane.RESAW, (3, 3), (Leaf("a"), Leaf("a"))),)


def few_if_any(mixes, least, goal, _):
    """Try mixes wherever they can be listed."""
    return mixes._is_plain and mixes._between(least, goal) is not None


@pytest.mark.parametrize("case", ["jobs", "rack"])
def test_mixes_one_by_one_come_to_the_same(case, monkeypatch):
    """Whether mixes are tried one by one changes nothing but the time."""
    monkeypatch.setattr(small_search, "_LITTLE", -1)
    monkeypatch.setattr(Mixes, "are_few", few_if_any)

    @settings(deadline=None, derandomize=True, max_examples=100)
    @given(jobs() if case == "jobs" else jobs_with_rack())
    def agree(problem):
        is_closed_as_by_trying_everything(problem)

    agree()


@settings(deadline=None, derandomize=True, max_examples=100)
@given(jobs_with_rack())
def test_the_rack_is_used_as_well_as_may_be(problem):
    """Pieces that cost nothing, of which there are few, are used for the best."""
    answer = closed(problem)
    best = brute.least(problem)
    event(f"bought {best}")
    assert (answer.cost, answer.lower_bound) == (best, best)
    brute.check(problem, answer.boards)
