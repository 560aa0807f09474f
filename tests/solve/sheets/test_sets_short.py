"""Proofs that sheets are too few: never where there is a plan."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from solve.sheets import brute
from solve.sheets.test_sets_dive import SIDE, cut_up

from nesting.solve.sheets.grid import lies_of
from nesting.solve.sheets.pattern_table import count_of
from nesting.solve.sheets.sets_short import are_too_few, prove_short
from nesting.solve.sheets.sets_states import States

PARTS = st.lists(
    st.tuples(st.integers(1, 6), st.integers(1, 6), st.integers(1, 2), st.booleans()),
    min_size=1,
    max_size=5,
).filter(lambda parts: sum(part[2] for part in parts) <= 6)
SIDES = st.tuples(st.integers(6, 9), st.integers(6, 9))


def last_of(steps):
    """Follow steps to their end; return what they come to."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            return end.value


def states_for(problem, most=20_000):
    stock = problem.stock[0]
    lies = [lies_of(part, True, (0, 0)) for part in problem.parts]
    wanted = [part.quantity for part in problem.parts]
    return States(lies, wanted, (stock.length, stock.width), most=most), wanted


def proof(problem, sheets, rows, found=lambda rows, cuts: None, **more):
    states, wanted = states_for(problem, **more)
    rows = np.array(rows, dtype=np.int16)
    return last_of(
        prove_short(states, rows, wanted, sheets, patience=10**7, found=found)
    )


@settings(deadline=None, derandomize=True, max_examples=60)
@given(PARTS, SIDES, st.lists(st.integers(0, 40), min_size=5, max_size=5))
def test_whatever_parts_are_said_to_be_worth_an_answer_holds(parts, sides, worths):
    """As many sheets as the optimum has are never said to be too few."""
    problem = brute.problem_of(parts, [(*sides, 1, None, True)])
    optimum = brute.least(problem)
    states, wanted = states_for(problem)
    for sheets in range(1, optimum + 2):
        told = are_too_few(states, worths[: len(parts)], wanted, sheets, 1_000_000)
        assert not (last_of(told) and sheets >= optimum)


@settings(deadline=None, derandomize=True, max_examples=40)
@given(PARTS, SIDES)
def test_a_proof_begins_with_the_parts_alone_and_holds(parts, sides):
    """Sets that it comes upon can be cut: so says what lists all that can be cut."""
    problem = brute.problem_of(parts, [(*sides, 1, None, True)])
    optimum = brute.least(problem)
    alone = np.eye(len(parts), dtype=np.int16)

    def found(rows, cuts):
        for row, cut in zip(rows.tolist(), cuts, strict=True):
            counts = count_of(cut)
            assert row == [counts[kind] for kind in range(len(parts))]
            one = problem.wanting(row)
            assert brute.least(one) == 1

    for sheets in range(1, optimum + 1):
        assert not (proof(problem, sheets, alone, found) and sheets >= optimum)


def test_parts_that_are_half_a_sheet_each_tell_how_many_are_too_few():
    """Five of them, by hand: two sheets are, three are not."""
    problem = brute.problem_of([(3, 6, 5, True)], [(6, 6, 1, None, True)])
    states, wanted = states_for(problem)
    answers = [
        last_of(are_too_few(states, [1], wanted, sheets, 1_000)) for sheets in (2, 3)
    ]
    assert answers == [True, False]


def test_a_sheet_fewer_than_long_parts_is_proven_too_few():
    """Of cut up sheets, from parts alone: a long part of each wants its own sheet."""
    problem = cut_up(4, 8)
    alone = np.eye(len(problem.parts), dtype=np.int16)
    assert proof(problem, 7, alone, most=500_000)
    assert not proof(problem, 8, alone, most=500_000)
    assert problem.stock[0].length == SIDE


def test_without_room_nothing_is_proven():
    """Where sets are more than there is room for, whatever parts are worth."""
    problem = brute.problem_of(
        [(2, 2, 4, True), (3, 2, 4, True)], [(7, 7, 1, None, True)]
    )
    assert not proof(problem, 1, np.eye(2), most=1)
