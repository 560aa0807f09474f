"""Textbook cutting-stock problems: value, bound and linear optimum against the books.

All lengths are whole units of the source; where it has halves, they are doubled.
"""

from fractions import Fraction

import pytest

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy
from nesting.solve.sticks import solve_sticks
from nesting.solve.sticks.columns import generate
from nesting.solve.sticks.core import reduce_problem
from nesting.solve.sticks.knapsack import Pricer
from nesting.solve.sticks.master import Master
from nesting.solve.sticks.standing import Meter

PAPER_ROLLS = [
    (1380, 22),
    (1520, 25),
    (1560, 12),
    (1710, 14),
    (1820, 18),
    (1880, 18),
    (1930, 20),
    (2000, 10),
    (2050, 12),
    (2100, 14),
    (2140, 16),
    (2150, 18),
    (2200, 20),
]
BOOKS = {
    # The encyclopaedic paper-roll example of the cutting-stock problem: 73 rolls.
    "paper rolls": (5600, PAPER_ROLLS, 73, Fraction(729167, 10000)),
    # The Gilmore-Gomory class example, also in Chvatal, Linear Programming, 1983: data
    # read, optimum 453 from memory, re-solved by integer programming over all patterns.
    "class example": (100, [(45, 97), (36, 610), (31, 395), (14, 211)], 453, 452.25),
    # Chvatal, Linear Programming, 1983, p. 198 (widths doubled; stock 91 from memory).
    "Chvatal p. 198": (182, [(51, 78), (45, 40), (40, 30), (30, 30)], 44, 44),
    # A university lecture: the 17-ft board example.
    "17-ft boards": (17, [(3, 25), (5, 20), (9, 15)], 19, Fraction(55, 3)),
    # A general-purpose solver's manual: LP 160.95, 161 rolls (doubled; demands and roll
    # width from memory).
    "solver manual": (
        188,
        [(34, 150), (42, 96), (45, 48), (48, 108), (59, 227)],
        161,
        160.952,
    ),
    # An operations-research course exercise: six maximal patterns; value computed.
    "25-ft boards, 5000": (25, [(7, 5000), (9, 1200), (11, 300)], 2167, 2166.667),
    # An operations-research course exercise; value computed.
    "25-ft boards, 700": (25, [(7, 700), (9, 1200), (10, 500)], 875, 875),
    # An operations-research course exercise; length bound 53.5, value computed.
    "20-ft boards": (20, [(3, 50), (4, 25), (8, 15), (10, 70)], 54, 53.5),
}


@pytest.mark.parametrize("name", BOOKS)
def test_books_give_value_and_bound(name, make, check):
    """Value and bound both equal the published (or re-solved) optimum, with proof."""
    stock, parts, optimum, _ = BOOKS[name]
    problem = make([(stock, 1, None)], parts)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    check(problem, answer)
    assert not answer.unplaced
    assert answer.cost == optimum
    assert answer.lower_bound == optimum
    assert answer.stopped_by is StoppedBy.PROOF


@pytest.mark.parametrize("name", BOOKS)
def test_linear_bound_equals_the_books(name, make):
    """The exact bound of column generation is the linear optimum of the source."""
    stock, parts, _, linear = BOOKS[name]
    core = reduce_problem(make([(stock, 1, None)], parts)).core
    master = Master(core)
    root = generate(
        core,
        master,
        Pricer(core),
        Meter(Budget()),
        demands=core.demands,
        limits=[size.limit for size in core.sizes],
    )
    assert root.is_complete
    assert float(root.bound) == pytest.approx(float(linear), abs=1e-3)
    assert root.bound <= Fraction(root.relaxed.value) + Fraction(1, 10**6)


def test_paper_rolls_waste_matches_the_source(make):
    """73 rolls of 5600 for 407160 of paper waste 0.401 %, as the source says."""
    problem = make([(5600, 1, None)], PAPER_ROLLS)
    answer = solve_sticks(problem, seed=0, budget=Budget())
    total = sum(length * count for length, count in PAPER_ROLLS)
    assert total == 407160  # computed from the source's table
    waste = Fraction(answer.cost * 5600 - total, answer.cost * 5600)
    assert round(float(waste) * 100, 3) == 0.401


@pytest.mark.parametrize(
    ("stock", "parts", "patterns"),
    [
        # The 17-ft board lecture: six maximal patterns.
        (17, [(3, 25), (5, 20), (9, 15)], 6),
        # The 25-ft course exercise lists six patterns.
        (25, [(7, 5000), (9, 1200), (11, 300)], 6),
        # The class example: 12 of its 37 patterns are maximal (computed).
        (100, [(45, 97), (36, 610), (31, 395), (14, 211)], 12),
    ],
)
def test_maximal_patterns_are_as_many_as_listed(stock, parts, patterns, make):
    """The complete list of maximal patterns has the number of the source."""
    core = reduce_problem(make([(stock, 1, None)], parts)).core
    pricer = Pricer(core)
    pricer.load([0] * len(parts), core.demands)
    fills, is_all = pricer.every_fill(core.sizes[0].room, 0, 1000, 100_000)
    assert is_all
    assert len(set(fills)) == len(fills) == patterns
