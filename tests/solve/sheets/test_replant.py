"""Trees become the forest they came from, and the rules are asked of every cut."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from nesting.model.shop import Saw
from nesting.model.stock import Edges
from nesting.model.terms import Form, Guide, Plane
from nesting.model.tree import Leaf, Node
from nesting.solve.kernel import seeded
from nesting.solve.reach import ways_to_cut
from nesting.solve.sheets.engine import Engine, _all_out
from nesting.solve.sheets.forest import (
    FIRST,
    IS_DIVIDED,
    IS_PART,
    NEXT,
    NONE,
    OUT,
    ROOTS,
    STATE,
)
from nesting.solve.sheets.instance import instance_of, scratch_for
from nesting.solve.sheets.moves import FAR, recreate, ruin
from nesting.solve.sheets.plant import trees_of
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock
from nesting.solve.sheets.replant import forest_of, keeps_rules

_SPEC = importlib.util.spec_from_file_location(
    "test_forest", Path(__file__).parent / "test_forest.py"
)
forests = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(forests)

ENDLESS = 10**12
SIZES = st.integers(4, 60)
FENCE = Saw(
    name="fence",
    kerf=1,
    planes=(Plane.CROSSCUT, Plane.RIP),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.LINE,
    longest_cut=90,
    widest_rip=50,
)


def problem_of(parts, stock, kerf=(0, 0), stages=None, saws=()):
    return SheetProblem(
        parts=tuple(
            SheetPart(id=f"p{n}", length=a, width=b, quantity=q, grain_bound=bound)
            for n, (a, b, q, bound) in enumerate(parts)
        ),
        stock=tuple(
            SheetStock(
                id=f"s{n}",
                length=a,
                width=b,
                cost=1,
                limit=limit,
                grain_along_length=along,
                trim=Edges(low_x=trim, high_x=trim, low_y=trim),
            )
            for n, (a, b, limit, along, trim) in enumerate(stock)
        ),
        kerf_x=kerf[0],
        kerf_y=kerf[1],
        least_kerf_x=kerf[0],
        least_kerf_y=kerf[1],
        ways=ways_to_cut(saws, Form.SHEET, 1) if saws else (),
        stages=stages,
    )


def most_alone(forest, v):
    """Return the blanks on a piece, and the most cuts to one alone on its piece."""
    nodes = forest[0]
    if nodes[v + STATE] != IS_DIVIDED:
        return int(nodes[v + STATE] == IS_PART), 0
    blanks, cuts, u = 0, 0, nodes[v + FIRST]
    while u != NONE:
        more, below = most_alone(forest, u)
        blanks, cuts, u = blanks + more, max(cuts, below), nodes[u + NEXT]
    return blanks, cuts + (blanks == 1)


@settings(max_examples=150)
@given(
    parts=st.lists(
        st.tuples(SIZES, SIZES, st.integers(1, 4), st.booleans()),
        min_size=1,
        max_size=8,
    ),
    stock=st.lists(
        st.tuples(
            st.integers(30, 100),
            st.integers(30, 100),
            st.none() | st.integers(1, 2),
            st.booleans(),
            st.integers(0, 3),
        ),
        min_size=1,
        max_size=3,
    ),
    kerf=st.tuples(st.integers(0, 3), st.integers(0, 3)),
    stages=st.none() | st.integers(1, 4),
    saws=st.sampled_from([(), (forests.RAIL,), (FENCE,)]),
    seed=st.integers(0, 10**9),
)
@example(  # the saw trims the sheet, and no part of 4
    parts=[(4, 30, 1, False)],
    stock=[(31, 30, None, False, 1)],
    kerf=(0, 0),
    stages=None,
    saws=(FENCE,),
    seed=0,
)
@example(  # alone in a strip of 30 x 6 that took three cuts
    parts=[(4, 4, 3, False), (4, 20, 4, False), (27, 27, 4, False)],
    stock=[(30, 30, None, False, 1)],
    kerf=(0, 0),
    stages=None,
    saws=(FENCE,),
    seed=0,
)
def test_a_forest_of_the_search_comes_back(parts, stock, kerf, stages, saws, seed):
    """Trees of a forest make a whole forest again, with the same trees in it.

    The search's own forests keep the rules. So do the forests that come back, where a
    blank alone on its piece was brought to size by two cuts: the tree says nothing of
    the pieces between, so one that took three may come back with a cut out of reach.
    """
    instance = instance_of(problem_of(parts, stock, kerf, stages, saws))
    forest = _all_out(instance)
    scratch = scratch_for(instance)
    rng = [seeded(seed)]
    given_ = (instance.kinds, instance.stocks)
    for _ in range(6):
        recreate(forest, *given_, instance.rules, scratch, ENDLESS, 1, FAR, 0, rng)
        assert keeps_rules(forest, instance)
        trees = trees_of(forest, instance)
        again = forest_of(trees, instance)
        forests.check(again, instance)
        assert trees_of(again, instance) == trees
        assert again[4][OUT] == forest[4][OUT]
        assert again[4][4:] == forest[4][4:]
        if all(
            most_alone(forest, root)[1] <= 2 for root in forest[2][: forest[4][ROOTS]]
        ):
            assert keeps_rules(again, instance)
        ruin(forest, *given_, scratch, rng)


def test_a_search_goes_on_from_a_planted_plan():
    """The search takes a planted plan for its best and keeps it until it has better.

    By hand: the five parts fill one sheet of 100 x 100; two are one too many.
    """
    instance = instance_of(
        problem_of(
            [(50, 50, 3, False), (50, 25, 2, False)], [(100, 100, None, True, 0)]
        )
    )
    pair = Node(Plane.CROSSCUT, (50, 50), (Leaf("p0"), Leaf("p0")))
    rest = Node(
        Plane.RIP,
        (50, 25),
        (Leaf("p0"), Node(Plane.CROSSCUT, (50, 50), (Leaf("p1"), Leaf("p1")))),
    )
    engine = Engine(
        instance,
        seed=1,
        bound=1,
        start=forest_of((("s0", pair), ("s0", rest)), instance),
    )
    assert (engine.unplaced, engine.cost) == (0, 2)
    engine.search(200)
    assert (engine.unplaced, engine.cost) == (0, 1)


def test_rests_are_put_back():
    """A leaf in a piece too large for it is brought to size by cuts that count."""
    instance = instance_of(
        problem_of([(30, 20, 2, True)], [(100, 50, None, True, 0)], stages=2)
    )
    tree = Node(Plane.CROSSCUT, (40,), (Leaf("p0"),))
    forest = forest_of((("s0", tree),), instance)
    # one level for the piece of 40, one for the 20 across, one for the 30 along
    assert not keeps_rules(forest, instance)
    whole = forest_of((("s0", Leaf("p0")), ("s0", Leaf("p0"))), instance)
    assert keeps_rules(whole, instance)
    assert (whole[4][ROOTS], whole[4][OUT]) == (2, 0)
    shorter = Node(Plane.CROSSCUT, (40,), (Node(Plane.RIP, (20,), (Leaf("p0"),)),))
    assert not keeps_rules(forest_of((("s0", shorter),), instance), instance)


@pytest.mark.parametrize(
    ("sheets", "message"),
    [
        ([("s0", Node(Plane.RIP, (60,), (Leaf("p0"),)))], "larger"),
        ([("s0", Node(Plane.RIP, (30, 30), (Leaf("p0"), Leaf("p0"))))], "larger"),
        ([("s0", Leaf("p0"))] * 3, "not so many"),
        (
            [("s0", Node(Plane.RIP, (20, 20), (Leaf("p0"), Leaf("p0"))))] * 2,
            "more parts",
        ),
        (
            [("s0", Node(Plane.RIP, (40,), (Node(Plane.RIP, (20,), (Leaf("p0"),)),)))],
            "twice",
        ),
    ],
)
def test_trees_that_cannot_be_are_refused(sheets, message):
    """Too large, too many sheets, too many parts, or one axis twice in a row."""
    instance = instance_of(problem_of([(30, 20, 3, True)], [(100, 50, 2, True, 0)]))
    with pytest.raises(ValueError, match=message):
        forest_of(sheets, instance)


def test_reach_is_asked_of_every_piece():
    """No saw that cuts 90 rips along 100; it crosscuts a sheet 80 wide."""
    instance = instance_of(
        problem_of([(40, 30, 2, True)], [(100, 80, None, True, 0)], saws=(FENCE,))
    )
    ripped = Node(Plane.RIP, (30, 30), (Leaf("p0"), Leaf("p0")))
    crosscut = Node(Plane.CROSSCUT, (40, 40), (Leaf("p0"), Leaf("p0")))
    assert not keeps_rules(forest_of((("s0", ripped),), instance), instance)
    assert keeps_rules(forest_of((("s0", crosscut),), instance), instance)
