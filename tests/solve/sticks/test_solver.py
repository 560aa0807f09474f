"""The door: limits, preferences, stops, progress, and the same answer every time."""

import subprocess
import sys
import time

import pytest

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.solve.sticks import solve_sticks
from nesting.solve.sticks.problem import StickPart, StickProblem

INCH = 40640
FOOT = 12 * INCH
# An invented hall bench and its shelves: rails, slats and battens in 1/16 in.
BENCH = [
    (1107, 4),
    (1042, 6),
    (931, 5),
    (873, 8),
    (818, 3),
    (777, 9),
    (701, 7),
    (668, 4),
    (590, 9),
    (546, 8),
    (494, 6),
    (433, 11),
    (387, 5),
    (342, 4),
]
PARTS = [(sixteenths * INCH // 16, count) for sixteenths, count in BENCH]
# Invented prices in cents for 8, 10, 12 and 16 ft, and two pieces from the rack.
STOCK = [
    (8 * FOOT, 625, None),
    (10 * FOOT, 790, None),
    (12 * FOOT, 985, None),
    (16 * FOOT, 1310, None),
    (70 * INCH, 0, 1),
    (55 * INCH, 0, 2),
]


@pytest.fixture(scope="module")
def hall_bench(make):
    """Return a furniture job with four lengths to buy and a rack."""
    return make(STOCK, PARTS, INCH // 8)


def test_furniture_job_is_proven(hall_bench, check):
    """A job of 89 parts, four prices and a rack is cut at a proven least cost."""
    answer = solve_sticks(hall_bench, seed=0, budget=Budget())
    check(hall_bench, answer)
    assert not answer.unplaced
    assert answer.cost == answer.lower_bound
    assert answer.stopped_by is StoppedBy.PROOF
    assert answer.basis


def test_same_seed_gives_the_same_answer(hall_bench):
    """Two solves of one problem with one seed are equal in every field."""
    for budget in (Budget(work=300), Budget()):
        first = solve_sticks(hall_bench, seed=7, budget=budget)
        assert solve_sticks(hall_bench, seed=7, budget=budget) == first


def test_order_of_the_lists_does_not_change_the_cost(hall_bench, check):
    """Parts and stock in another order cost the same when both are proven."""
    turned = StickProblem(
        parts=hall_bench.parts[::-1],
        stock=hall_bench.stock[::-1],
        kerf=hall_bench.kerf,
        least_kerf=hall_bench.least_kerf,
    )
    answer = solve_sticks(turned, seed=0, budget=Budget())
    check(turned, answer)
    assert answer.cost == solve_sticks(hall_bench, seed=0, budget=Budget()).cost


def test_more_work_never_gives_a_dearer_plan(hall_bench, check):
    """The plan of a small budget is sound, and a larger budget betters or equals it."""
    costs = []
    for work in (0, 50, 500, 100_000):
        answer = solve_sticks(hall_bench, seed=0, budget=Budget(work=work))
        check(hall_bench, answer)
        assert not answer.unplaced
        costs.append(answer.cost)
        if work == 0:
            assert answer.stopped_by is StoppedBy.WORK
    assert costs == sorted(costs, reverse=True)


def test_deadline_in_the_past_still_gives_a_plan(hall_bench, check):
    """With no time left the first plan comes back, stopped by the clock."""
    budget = Budget(deadline=time.monotonic() - 1)
    answer = solve_sticks(hall_bench, seed=0, budget=budget)
    check(hall_bench, answer)
    assert not answer.unplaced
    assert answer.stopped_by is StoppedBy.CLOCK


def test_cancelled_search_keeps_its_plan(hall_bench, check):
    """A wish to cancel ends the search with the best plan so far."""
    asked = []

    def cancelled():
        asked.append(1)
        return len(asked) > 5

    answer = solve_sticks(hall_bench, seed=0, budget=Budget(cancelled=cancelled))
    check(hall_bench, answer)
    assert not answer.unplaced
    assert answer.stopped_by is StoppedBy.CANCELLED


@pytest.mark.parametrize("narrow", [0, INCH // 8])
def test_keyboard_interrupt_keeps_the_incumbent(narrow, make, check):
    """Ctrl-C inside the search returns the plan held, with a bound where it has one."""
    told = []

    def watch(progress):
        told.append(progress)
        if len(told) == 2:
            raise KeyboardInterrupt

    problem = make(STOCK, PARTS, INCH // 8, least_kerf=narrow)
    answer = solve_sticks(problem, seed=0, budget=Budget(progress=watch))
    check(problem, answer)
    assert answer.stopped_by is StoppedBy.CANCELLED
    assert answer.cost == min(progress.value for progress in told)
    assert 0 < answer.lower_bound <= answer.cost


def test_progress_tells_a_story(hall_bench):
    """Values fall, bounds and shares rise, and the last word is the answer."""
    told = []
    budget = Budget(progress=told.append)
    answer = solve_sticks(hall_bench, seed=0, budget=budget, scope="pine 1x4")
    assert {progress.scope for progress in told} == {"pine 1x4"}
    values = [progress.value for progress in told]
    assert values == sorted(values, reverse=True)
    bounds = [progress.lower_bound for progress in told]
    assert bounds == sorted(bounds)
    shares = [progress.share for progress in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    last = told[-1]
    assert (last.value, last.lower_bound) == (answer.cost, answer.lower_bound)
    assert last.unplaced == 0


def test_solver_is_silent(hall_bench, capfd):
    """Neither this room nor the libraries below it write to the terminal."""
    solve_sticks(hall_bench, seed=0, budget=Budget())
    assert capfd.readouterr() == ("", "")


def test_numeric_libraries_load_only_when_needed():
    """Neither the import nor a job settled at sight loads numpy or OR-Tools."""
    code = (
        "import sys\n"
        "from nesting.model.problem import Budget\n"
        "from nesting.solve.sticks import solve_sticks\n"
        "from nesting.solve.sticks.problem import *\n"
        "p = StickProblem(parts=(StickPart(id='a', length=5, quantity=4),),\n"
        "  stock=(StickStock(id='s', length=10, cost=3, limit=None),),\n"
        "  kerf=0, least_kerf=0)\n"
        "assert solve_sticks(p, seed=0, budget=Budget()).cost == 6\n"
        "print([m for m in ('numpy', 'ortools') if m in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_nothing_to_cut(make):
    """No parts, or none wanted, is an empty plan with proof."""
    for parts in ([], [(10, 0)]):
        answer = solve_sticks(make([(5, 1, None)], parts), seed=0, budget=Budget())
        assert (answer.patterns, answer.unplaced, answer.cost) == ((), (), 0)
        assert answer.stopped_by is StoppedBy.PROOF


def test_no_stock_leaves_everything(make):
    """Without a stick, or with a limit of none, every part is unplaced."""
    for stock in ([], [(100, 5, 0)]):
        answer = solve_sticks(make(stock, [(10, 3)]), seed=0, budget=Budget())
        assert answer.unplaced == (("part0", 3),)
        assert answer.patterns == ()


def test_too_long_a_part_does_not_spoil_the_rest(make, check):
    """A part longer than any stick is unplaced, the others are cut at least cost."""
    problem = make([(100, 5, None)], [(101, 2), (60, 2), (40, 2)])
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert answer.unplaced == (("part0", 2),)
    assert (answer.cost, answer.lower_bound) == (10, 10)


def test_owned_sticks_are_used_where_they_save(make, check):
    """A rack piece that replaces a bought stick is used."""
    problem = make([(100, 500, None), (45, 0, 1)], [(60, 1), (40, 2)])
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert answer.cost == answer.lower_bound == 500
    assert {pattern.stock for pattern in answer.patterns} == {"stick0", "stick1"}


def test_owned_sticks_are_left_where_they_do_not_save(make, check):
    """A rack piece that saves nothing stays on the rack: one stick fewer to cut."""
    problem = make([(100, 500, None), (45, 0, 4)], [(60, 1), (40, 1)])
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert answer.cost == 500
    assert sum(pattern.times for pattern in answer.patterns) == 1


def test_fewer_sticks_at_equal_cost(make, check):
    """Where the price goes by length, one long stick is taken before two short ones."""
    problem = make([(100, 100, None), (200, 200, None)], [(50, 4)])
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert answer.cost == 200
    assert [(p.stock, p.times) for p in answer.patterns] == [("stick1", 1)]


def test_equal_lengths_keep_their_own_names(make, check):
    """Parts of one length are merged for the search and named apart in the plan."""
    problem = StickProblem(
        parts=tuple(
            StickPart(id=name, length=30, quantity=n)
            for name, n in (("a", 2), ("b", 3))
        ),
        stock=make([(100, 1, None)], []).stock,
        kerf=0,
        least_kerf=0,
    )
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert answer.cost == 2


def test_too_few_sticks_place_the_greatest_length(make, check):
    """With one stick of 10, the 6 is placed and not the two shorter 4 and 1."""
    problem = make([(10, 3, 1)], [(6, 1), (5, 1), (4, 1)])
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert answer.unplaced == (("part1", 1),)
    assert answer.cost == 3
    assert answer.stopped_by is StoppedBy.PROOF


def test_large_job_under_a_limit_is_filled_well(make, check):
    """Sixty parts on sticks for half of them fill those sticks to at least 99 %."""
    parts = [(length, 1) for length in range(201, 801, 10)]
    problem = make([(2000, 9, 7), (1500, 7, 1)], parts, 3)
    answer = solve_sticks(problem, seed=0, budget=Budget(work=100_000))
    check(problem, answer)
    lost = sum(parts[int(part[4:])][0] * n for part, n in answer.unplaced)
    placed = sum(length for length, _ in parts) - lost
    assert placed >= 0.99 * (7 * 2000 + 1500)


def test_lengths_without_a_common_unit(make, check):
    """Odd ticks, a stick of 20 ft and mixed sizes are solved on their own fine grid."""
    parts = [(1_234_567 + 7_919 * i, 2) for i in range(12)]
    problem = make([(20 * FOOT + 1, 1800, None), (9 * FOOT, 795, None)], parts, 5081)
    answer = solve_sticks(problem, seed=0, budget=Budget(work=60_000))
    check(problem, answer)
    assert not answer.unplaced
    assert answer.cost <= 1.01 * answer.lower_bound


def test_enormous_sticks_do_not_exhaust_memory(make, check):
    """Sticks of a kilometre in odd ticks are cut without listing every tick."""
    kilometre = 1_600_000_000
    parts = [(123_456_789 + 1_000_003 * i, 1) for i in range(20)]
    problem = make([(kilometre - 1, 1, None)], parts, 5081)
    answer = solve_sticks(problem, seed=0, budget=Budget(work=20_000))
    check(problem, answer)
    assert not answer.unplaced
    # The parts are 2.66 km long together, so two sticks do; computed.
    assert answer.cost == answer.lower_bound == 2
