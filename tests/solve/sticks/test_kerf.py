"""Kerf: the last cut may run off the end, every other one costs its width."""

from fractions import Fraction
from math import floor

import pytest

from nesting.model.problem import Budget
from nesting.solve.sticks import solve_sticks

INCH = 40640
EIGHTH = INCH // 8


def most_pieces(make, check, stick, part, kerf):
    """Return how many pieces of one length the solver gets out of one stick."""
    asked = stick // part + 1
    problem = make([(stick, 1, 1)], [(part, asked)], kerf)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    return asked - sum(count for _, count in answer.unplaced)


@pytest.mark.parametrize(
    ("part", "kerf", "count"),
    [
        # A newspaper's carpentry column: 8 in blocks from a 96 in board.
        (8 * INCH, 0, 12),
        (8 * INCH, EIGHTH, 11),
        # Computed from n <= (96 + 1/8) / (part + 1/8).
        (12 * INCH, EIGHTH, 7),
        (12 * INCH - EIGHTH, EIGHTH, 8),
        (24 * INCH, EIGHTH, 3),
        (24 * INCH - EIGHTH, EIGHTH, 4),
    ],
)
def test_pieces_out_of_a_96_inch_board(part, kerf, count, make, check):
    """As many blocks come out of a 96 in board as the source counts."""
    assert most_pieces(make, check, 96 * INCH, part, kerf) == count


@pytest.mark.parametrize(
    ("stick", "count", "inches"),
    [  # Computed: (stick + 1/8) / n - 1/8.
        (48, 2, 23.9375),
        (48, 3, 15.9167),
        (48, 4, 11.90625),
        (48, 6, 7.8958),
        (48, 8, 5.890625),
        (96, 2, 47.9375),
        (96, 3, 31.9167),
        (96, 4, 23.90625),
        (96, 8, 11.890625),
    ],
)
def test_largest_equal_parts(stick, count, inches, make, check):
    """So many equal parts of the computed length fit, and one tick more does not."""
    exact = (stick * INCH + EIGHTH) / Fraction(count) - EIGHTH
    assert float(exact / INCH) == pytest.approx(inches, abs=5e-5)
    part = floor(exact)
    problem = make([(stick * INCH, 1, 1)], [(part, count)], EIGHTH)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert not answer.unplaced
    longer = make([(stick * INCH, 1, 1)], [(part + 1, count)], EIGHTH)
    answer = solve_sticks(longer, seed=0, budget=Budget())
    check(longer, answer)
    assert sum(n for _, n in answer.unplaced) == 1


def test_part_as_long_as_the_stick_needs_no_cut(make, check):
    """A stick that is the part already serves whole, whatever the kerf."""
    problem = make([(1000, 7, None)], [(1000, 2)], 50)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert (answer.cost, answer.lower_bound, answer.unplaced) == (14, 14, ())


def test_last_kerf_may_run_off_the_end(make, check):
    """Two parts and one kerf fill a stick although a second kerf would not fit."""
    for rest in (0, 1, 3):
        problem = make([(203 + rest, 1, None)], [(100, 2)], 3)
        answer = solve_sticks(problem, seed=0, budget=Budget())
        check(problem, answer)
        assert answer.cost == 1


def test_bound_assumes_the_narrowest_kerf(make, check):
    """With two kerfs the plan keeps the wide one, the bound only the narrow one."""
    # 96 in boards, 8 in blocks: 11 a board at 1/8 in, 12 a board without loss (above).
    problem = make([(96 * INCH, 1, None)], [(8 * INCH, 24)], EIGHTH, least_kerf=0)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert answer.cost == 3
    assert answer.lower_bound == 2
    assert "narrowest kerf" in answer.basis
    assert answer.stopped_by.value == "work"
