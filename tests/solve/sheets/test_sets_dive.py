"""Dives through sets of parts: plans at a known optimum, by every rule."""

import random
from dataclasses import replace

import pytest
from solve.sheets import brute, checking

from nesting.model.terms import StoppedBy
from nesting.solve.sheets.grid import lies_of
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.pattern_table import grown
from nesting.solve.sheets.problem import SheetAnswer
from nesting.solve.sheets.replant import forest_of, keeps_rules
from nesting.solve.sheets.sets import SetBound
from nesting.solve.sheets.sets_dive import FEW_PARTS, SetDives
from nesting.solve.sheets.sets_seen import Listed
from nesting.solve.sheets.sets_states import MOST_WORTH, States

SIDE = 100


def cut_up(seed, sheets, *, kerf=0):
    """Cut sheets into parts, a long one and three more of each.

    All of it is needed but for slivers, and the long parts want a sheet each: so many
    sheets are the optimum.
    """
    rng = random.Random(seed)
    parts = []
    for _ in range(sheets):
        long = rng.randint(55, 70)
        wide = SIDE - kerf - long
        low, mid = rng.randint(20, 30), rng.randint(25, 35)
        high = SIDE - 2 * kerf - low - mid
        less = [rng.randint(0, 1) for _ in range(4)]
        parts += [
            (long - less[0], SIDE, 1, True),
            (wide - less[1], low, 1, True),
            (wide - less[2], mid, 1, True),
            (wide - less[3], high, 1, True),
        ]
    rng.shuffle(parts)
    return brute.problem_of(parts, [(SIDE, SIDE, 1, None, True)], (kerf, kerf))


def dives_for(problem, sheets, *, waste=0.03, seed=0, plain=False):
    """Return dives through all sets that leave so much of a sheet over, at most."""
    kerfs = (problem.kerf_x, problem.kerf_y)
    stock = problem.stock[0]
    sheet = (stock.length + kerfs[0], stock.width + kerfs[1])
    lies = [lies_of(part, stock.grain_along_length, kerfs) for part in problem.parts]
    states = States(lies, [1] * len(lies), sheet, most=400_000)
    areas = [lie[0][0] * lie[0][1] for lie in lies]
    whole = sheet[0] * sheet[1]
    states.load([area * MOST_WORTH // whole for area in areas])
    least = int((1 - waste) * MOST_WORTH)
    for _ in states.enumerate(least, 10**9):
        pass
    assert states.is_complete
    chosen = states.found(least)
    cuts = states.cuts()
    ids = [part.id for part in problem.parts]
    sizes = [(part.length, part.width) for part in problem.parts]

    def planned(sets):
        return tuple((stock.id, grown(cut, ids, sizes, kerfs)[0]) for cut in sets)

    return SetDives(
        problem,
        sheets,
        listed=Listed(states.counts(chosen), lambda n: cuts(int(chosen[n]))),
        valued=[True] * len(lies),
        planned=planned,
        seed=seed,
        plain=plain,
    )


def check(problem, plan, sheets):
    assert len(plan) <= sheets
    instance = instance_of(problem)
    assert keeps_rules(forest_of(plan, instance), instance)
    checking.check_answer(
        problem,
        SheetAnswer(
            sheets=plan,
            unplaced=(),
            cost=len(plan),
            lower_bound=0,
            basis="",
            stopped_by=StoppedBy.WORK,
            work=0,
        ),
    )


@pytest.mark.parametrize(("seed", "kerf"), [(1, 0), (2, 0), (3, 1), (4, 2)])
def test_the_optimum_is_found(seed, kerf):
    """Of problems that were cut up: as many sheets as they were cut from."""
    problem = cut_up(seed, 14, kerf=kerf)
    dives = dives_for(problem, 14)
    for _ in dives.run():
        pass
    assert dives.plan is not None
    check(problem, dives.plan, 14)


def test_fewer_sheets_than_long_parts_are_never_enough():
    """Every long part is more than half as long as a sheet, and as wide."""
    dives = dives_for(cut_up(5, 14), 13)
    for _ in dives.run():
        pass
    assert dives.plan is None


def test_the_same_seed_gives_the_same_plan():
    problem = cut_up(6, 14)
    one, two = (dives_for(problem, 14, seed=3) for _ in range(2))
    assert list(one.run()) == list(two.run())
    assert one.plan == two.plan is not None


def test_without_the_compiler_it_is_the_same():
    problem = cut_up(7, 12)
    one, two = (dives_for(problem, 12, plain=plain) for plain in (False, True))
    assert list(one.run()) == list(two.run())
    assert one.plan == two.plan is not None


@pytest.mark.parametrize("stages", [3, 4])
def test_sheets_keep_the_stage_limit(stages):
    """The sets know of no stages; what is cut of them does."""
    problem = replace(cut_up(8, 14), stages=stages)
    dives = dives_for(problem, 15)
    for _ in dives.run():
        pass
    assert dives.plan is not None
    check(problem, dives.plan, 15)


def test_the_bound_dives_where_it_cannot_tell():
    """A plan that the cover of all sets does not come to in time is dived to."""
    problem = cut_up(4, 14)
    assert sum(part.quantity for part in problem.parts) > FEW_PARTS
    bound = SetBound(problem, known=14, goal=15)
    while bound.advance():
        pass
    assert bound.plan is not None
    check(problem, bound.plan, 14)
