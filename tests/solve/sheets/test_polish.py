"""At one cost: the offcut grows, settings and cuts get fewer, the cost never rises."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.problem import Budget
from nesting.model.shop import Saw
from nesting.model.stock import Edges
from nesting.model.terms import Form, Guide, Plane, StoppedBy
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.lanes import Lanes
from nesting.solve.reach import ways_to_cut
from nesting.solve.sheets import solve_sheets
from nesting.solve.sheets.engine import Engine
from nesting.solve.sheets.instance import instance_of, scratch_for
from nesting.solve.sheets.polish import trouble
from nesting.solve.sheets.problem import (
    SheetAnswer,
    SheetGoal,
    SheetPart,
    SheetProblem,
    SheetStock,
)
from nesting.solve.sheets.replant import forest_of


def problem(
    parts: list[tuple[int, int, int]],
    size: tuple[int, int],
    goal: SheetGoal | None,
    kerf: int = 0,
) -> SheetProblem:
    """Return a problem with one kind of sheet; parts may be turned."""
    return SheetProblem(
        parts=tuple(
            SheetPart(id=f"p{n}", length=x, width=y, quantity=count, grain_bound=False)
            for n, (x, y, count) in enumerate(parts)
        ),
        stock=(
            SheetStock(
                id="s",
                length=size[0],
                width=size[1],
                cost=10,
                limit=None,
                grain_along_length=True,
                trim=Edges(),
            ),
        ),
        kerf_x=kerf,
        kerf_y=kerf,
        least_kerf_x=kerf,
        least_kerf_y=kerf,
        stages=4,
        goal=goal,
    )


def rests(tree: Tree, x: int, y: int, kerf: int) -> Iterator[tuple[int, int]]:
    """Yield what is left of a piece beside the children of its nodes."""
    if isinstance(tree, Leaf):
        return
    axis = 0 if tree.plane is Plane.CROSSCUT else 1
    left = (x, y)[axis]
    for size, child in zip(tree.sizes, tree.children, strict=True):
        yield from rests(
            child, size if axis == 0 else x, y if axis == 0 else size, kerf
        )
        left -= size + kerf
    if left > 0:
        yield (left, y) if axis == 0 else (x, left)


def largest(answer: SheetAnswer, size: tuple[int, int], kerf: int = 0) -> int:
    """Return the area of the largest rest."""
    found = [r for _, tree in answer.sheets for r in rests(tree, *size, kerf)]
    return max((x * y for x, y in found), default=0)


def distances(answer: SheetAnswer) -> set[int]:
    """Return the different sizes that are set on some guide."""

    def walk(tree: Tree) -> Iterator[int]:
        if not isinstance(tree, Leaf):
            yield from tree.sizes
            for child in tree.children:
                yield from walk(child)

    return {size for _, tree in answer.sheets for size in walk(tree)}


def test_half_a_sheet_is_left_in_one_piece() -> None:
    """Four quarters of half a sheet leave the other half whole (arithmetic)."""
    asked = problem(
        [(50, 25, 4)], (100, 100), SheetGoal(keeps=((10, 10),), setting=0, cut=0)
    )
    answer = solve_sheets(asked, seed=0, budget=Budget(work=40_000))
    assert answer.cost == 10
    assert largest(answer, (100, 100)) == 5_000


@pytest.mark.parametrize("kerf", [0, 3])
def test_the_largest_rest_is_as_large_as_any_search_for_it(kerf: int) -> None:
    """Three parts of one width go in one strip; a full-width rest is left.

    Arithmetic: the strip is 40 wide and holds 30 + 30 + 30 with their kerfs in 100, so
    100 x (100 - 40 - kerf) is left, the most there is beside a strip of that width.
    """
    asked = problem(
        [(40, 30, 3)], (100, 100), SheetGoal(keeps=((5, 5),), setting=0, cut=0), kerf
    )
    answer = solve_sheets(asked, seed=0, budget=Budget(work=60_000))
    assert largest(answer, (100, 100), kerf) == 100 * (60 - kerf)


def test_few_settings_are_preferred_when_they_count() -> None:
    """Twelve parts of two sizes: no more distances than without the preference."""
    parts = [(24, 16, 6), (31, 16, 6), (24, 31, 2)]
    plain = problem(parts, (100, 100), None)
    none = solve_sheets(plain, seed=0, budget=Budget(work=30_000))
    wanted = replace(plain, goal=SheetGoal(keeps=(), setting=1_000, cut=1))
    few = solve_sheets(wanted, seed=0, budget=Budget(work=60_000))
    assert few.cost <= none.cost
    assert len(distances(few)) <= len(distances(none))
    assert len(distances(few)) <= 4  # the sides 24, 31, 16, and one strip of them


def test_a_polish_cut_short_by_the_clock_says_so() -> None:
    """The cost is proved; the plan need not repeat, and the answer tells both."""
    goal = SheetGoal(keeps=((10, 10),), setting=0, cut=0)
    asked = problem([(50, 25, 4)], (100, 100), goal)
    budget = Budget(work=10**9, deadline=time.monotonic())
    answer = solve_sheets(asked, seed=0, budget=budget)
    assert answer.cost == answer.lower_bound == 10
    assert answer.stopped_by is StoppedBy.CLOCK


sizes = st.integers(5, 60)


@settings(max_examples=40)
@given(
    parts=st.lists(st.tuples(sizes, sizes, st.integers(1, 3)), min_size=1, max_size=6),
    kerf=st.integers(0, 4),
    setting=st.integers(0, 500),
    cut=st.integers(0, 100),
)
def test_polishing_never_costs_more_and_never_loses_a_part(
    parts: list[tuple[int, int, int]], kerf: int, setting: int, cut: int
) -> None:
    """From any forest: what it minimises falls, the cost stays, nothing is out."""
    goal = SheetGoal(keeps=((8, 12), (12, 8)), setting=setting, cut=cut)
    asked = problem(parts, (64, 60), goal, kerf)
    engine = Engine(instance_of(asked), seed=1, bound=0)
    engine.start()
    cost = engine.cost
    engine.aim_at(goal.numbers)
    engine.polish(1)
    first = engine.polished
    engine.polish(60)
    assert engine.unplaced == 0
    assert engine.cost <= cost
    assert engine.polished <= first or engine.cost < cost


def test_two_lanes_give_what_one_after_the_other_gives() -> None:
    """Both functions run once, also at once, and an error of one is not lost."""
    seen: list[int] = []
    with Lanes() as lanes:
        for at_once in (False, True):
            lanes.run(
                lambda: seen.append(threading.get_ident()),
                lambda: seen.append(0),
                at_once=at_once,
            )
        assert seen.count(0) == 2
        assert len(set(seen)) == 3  # this thread, the other thread, and 0

        def fail() -> None:
            raise ArithmeticError

        with pytest.raises(ArithmeticError):
            lanes.run(fail, lambda: None, at_once=True)


def test_a_distance_counts_once_in_each_round() -> None:
    """By hand, on sheets of 100 x 100 with parts of 40 x 30 and 20 x 20.

    Ripped first: strips of 30 and 20; crosscut to 40 and 20: four distances. With the
    20 ripped from a strip of 30 after it is crosscut it is another round's, but there
    is no strip of 20 any more: four again; with strips of both, five. A sheet that is
    crosscut to 40 and then ripped to 30 rips in the same round as the others, and
    crosscuts in one of its own: five, and not six.
    """
    asked = problem(
        [(40, 30, 2), (20, 20, 2)], (100, 100), SheetGoal(keeps=(), setting=1, cut=0)
    )
    wide, small = Leaf("p0"), Leaf("p1")
    long = Node(Plane.CROSSCUT, (40,), (wide,))
    both = Node(Plane.CROSSCUT, (40, 20), (wide, Node(Plane.RIP, (20,), (small,))))
    strips = Node(Plane.RIP, (30, 20), (long, Node(Plane.CROSSCUT, (20,), (small,))))
    assert _trouble(asked, strips) == 4
    assert _trouble(asked, Node(Plane.RIP, (30,), (both,))) == 4
    later = Node(Plane.RIP, (30, 20), (both, Node(Plane.CROSSCUT, (20,), (small,))))
    assert _trouble(asked, later) == 5
    ahead = Node(Plane.CROSSCUT, (40,), (Node(Plane.RIP, (30,), (wide,)),))
    assert _trouble(asked, strips, ahead) == 5


def test_a_line_is_not_set() -> None:
    """A sheet of 100 x 100 is broken down along a line; what is less than half is not.

    By hand, where what is over 80 is long: the strip of 30 is ripped from the sheet
    along a line, and the next one, of 70 that are left, too: more than half. On the
    sled a part of 40 is cut to a stop, and 20, shorter than the strip is wide, on the
    fence: two distances. Where nothing is long the two rips are one distance more.
    """
    rail = Saw(name="rail", kerf=1, planes=(Plane.CROSSCUT, Plane.RIP))
    table = Saw(
        name="table",
        kerf=1,
        planes=(Plane.CROSSCUT, Plane.RIP),
        rip_guide=Guide.FENCE,
        crosscut_guide=Guide.STOP,
    )
    ways = ways_to_cut((rail, table), Form.SHEET, 1)
    strip = Node(Plane.CROSSCUT, (40, 20), (Leaf("p0"), Leaf("p1")))
    sheet = Node(Plane.RIP, (30, 30), (strip, strip))
    for handy, count in ((80, 2), (100, 3)):
        goal = SheetGoal(
            keeps=(),
            setting=1,
            cut=0,
            handy=(handy, 10),
            guides=tuple(
                (Guide.LINE, Guide.FENCE, Guide.STOP).index(way.guide) - 1
                for way in ways
            ),
        )
        asked = problem([(40, 30, 2), (20, 30, 2)], (100, 100), goal)
        assert _trouble(replace(asked, ways=ways), sheet) == count


def _trouble(asked: SheetProblem, *trees: Tree) -> int:
    """Count the distances of planted sheets."""
    assert asked.goal is not None
    instance = instance_of(asked)
    forest = forest_of([("s", tree) for tree in trees], instance)
    return trouble(forest, instance.rules, scratch_for(instance), [*asked.goal.numbers])
