"""A run goes through the search as one part and comes out as its members in order."""

from __future__ import annotations

import pytest

from nesting.model.blank import Blank, Build, Need, Run, Take
from nesting.model.problem import Budget, Problem
from nesting.model.shop import Saw
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Flow, Form, Grain, Guide, Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve import solve
from nesting.solve.groups import group
from nesting.solve.runs import as_one, cut_up, rows_of, single
from nesting.solve.sheets.instance import instance_of
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock

BOTH = (Plane.RIP, Plane.CROSSCUT)
SAW = Saw(name="saw", kerf=3, planes=BOTH)


def blank(name: str, length: int, width: int, grain: Grain = Grain.LENGTH) -> Blank:
    return Blank(
        id=name,
        part=name,
        length=length,
        width=width,
        thickness=18,
        material="ply",
        grain=grain,
    )


def sheet(length: int, width: int, **more: object) -> Stock:
    return Stock(
        id=f"{length} x {width}",
        material="ply",
        form=Form.SHEET,
        length=length,
        width=width,
        thickness=18,
        price_cents=100,
        **more,  # type: ignore[arg-type]
    )


def asked(
    *blanks: tuple[Blank, int],
    run: Run,
    stock: tuple[Stock, ...],
    saw: Saw = SAW,
) -> Problem:
    return Problem(
        stock=stock,
        needs=tuple(
            Need(
                id=one.id,
                part=one.id,
                quantity=count,
                builds=(Build(id=one.id, takes=(Take(blank=one),)),),
            )
            for one, count in blanks
        ),
        saws=(saw,),
        runs=(run,),
    )


def runs_of(tree: Tree) -> list[Node]:
    """The ordered nodes of a tree."""
    if isinstance(tree, Leaf):
        return []
    own = [tree] if tree.ordered else []
    return own + [node for child in tree.children for node in runs_of(child)]


def test_a_row_has_its_members_and_the_kerfs_between_them() -> None:
    """Worked out by hand: three fronts of 100, 150 and 200 with two kerfs of 3."""
    fronts = [(blank(f"front {n}", 600, 50 * n), 1) for n in (2, 3, 4)]
    run = Run(id="fronts", members=("front 2", "front 3", "front 4"), axis=Flow.ACROSS)
    (each,) = group(asked(*fronts, run=run, stock=(sheet(2000, 1000),)))
    (row,) = rows_of(each)
    part = as_one(row, each.stock, {Plane.CROSSCUT: 5, Plane.RIP: 3})
    assert (part.length, part.width, part.quantity) == (600, 456, 1)
    assert part.grain_bound
    assert single(each, (row,)) == ()
    tree = cut_up(Leaf(row.name), {row.name: row})
    assert tree == Node(
        Plane.RIP,
        (100, 150, 200),
        (Leaf("front 2"), Leaf("front 3"), Leaf("front 4")),
        ordered=True,
    )


def test_rows_end_to_end_lie_along_the_length() -> None:
    """The sum is along the length then, and the largest width counts."""
    run = Run(id="doors", members=("low", "high"), axis=Flow.ALONG)
    doors = [(blank("low", 500, 300), 1), (blank("high", 700, 320), 1)]
    (each,) = group(asked(*doors, run=run, stock=(sheet(2000, 1000),)))
    (row,) = rows_of(each)
    part = as_one(row, each.stock, {Plane.CROSSCUT: 5, Plane.RIP: 3})
    assert (part.length, part.width) == (1205, 320)
    turned = cut_up(Leaf(row.name, turned=True), {row.name: row})
    assert isinstance(turned, Node)
    assert turned.plane is Plane.RIP


def test_bounds_know_the_members_of_a_row_only() -> None:
    """A row is its members to a bound, added to whatever else is of their kind."""
    run = Run(id="row", members=("a", "b", "b"), axis=Flow.ACROSS)
    (each,) = group(
        asked(
            (blank("a", 500, 300), 1),
            (blank("b", 400, 200), 2),
            (blank("c", 90, 80), 3),
            run=run,
            stock=(sheet(1000, 900),),
        )
    )
    (row,) = rows_of(each)
    whole = as_one(row, each.stock, {Plane.CROSSCUT: 3, Plane.RIP: 3})
    problem = SheetProblem(
        parts=(
            SheetPart(id="c", length=90, width=80, quantity=3, grain_bound=True),
            whole,
        ),
        stock=(),
        kerf_x=3,
        kerf_y=3,
        least_kerf_x=3,
        least_kerf_y=3,
    )
    assert problem.has_runs
    apart = problem.apart()
    assert not apart.has_runs
    assert {part.id: part.quantity for part in apart.parts} == {"c": 3, "a": 1, "b": 2}
    assert apart.apart() is apart


@pytest.mark.parametrize(("width", "holds"), [(306, True), (305, False)])
def test_a_sheet_holds_a_run_to_the_tick(width: int, holds: bool) -> None:
    """Three strips of 100 and two kerfs of 3 need 306; no less will do."""
    run = Run(id="row", members=("strip",) * 3, axis=Flow.ACROSS)
    problem = asked((blank("strip", 500, 100), 3), run=run, stock=(sheet(500, width),))
    result = solve(problem, Budget(work=500))
    assert bool(result.trees) is holds
    if holds:
        assert result.bounds[0].proven
        assert runs_of(result.trees[0].tree)
    else:
        assert [(miss.blank, miss.quantity) for miss in result.unplaced] == [
            ("strip", 3)
        ]
        assert "run row is cut from one place" in result.unplaced[0].why


def test_members_apart_would_fit_but_a_run_does_not() -> None:
    """Two small sheets hold a member each, neither the row: it is left out, unproven.

    The bound stays that of the members by themselves.
    """
    run = Run(id="row", members=("a", "b"), axis=Flow.ACROSS)
    problem = asked(
        (blank("a", 500, 300), 1),
        (blank("b", 500, 300), 1),
        run=run,
        stock=(sheet(500, 400),),
    )
    result = solve(problem, Budget(work=500))
    assert {miss.blank for miss in result.unplaced} == {"a", "b"}
    assert not result.bounds[0].proven


@pytest.mark.parametrize(("second", "levels"), [(500, 2), (400, 3)])
def test_the_cuts_within_a_run_count_as_levels(second: int, levels: int) -> None:
    """Crosscut (1), rip (2), and parting is of that level; a shorter one is a third."""
    run = Run(id="row", members=("a", "b"), axis=Flow.ACROSS)
    (each,) = group(
        asked(
            (blank("a", 500, 300), 1),
            (blank("b", second, 300), 1),
            run=run,
            stock=(sheet(1000, 900),),
        )
    )
    (row,) = rows_of(each)
    part = as_one(row, each.stock, {Plane.CROSSCUT: 3, Plane.RIP: 3})
    found = [
        stages
        for stages in range(1, 5)
        if instance_of(
            SheetProblem(
                parts=(part,),
                stock=(
                    SheetStock(
                        id="sheet",
                        length=1000,
                        width=900,
                        cost=1,
                        limit=None,
                        grain_along_length=True,
                        trim=Edges(),
                    ),
                ),
                kerf_x=3,
                kerf_y=3,
                least_kerf_x=3,
                least_kerf_y=3,
                stages=stages,
            )
        ).fits(0)
    ]
    assert found == list(range(levels, 5))


def test_a_run_that_no_saw_parts_is_refused() -> None:
    """A fence that opens 250 parts no members of 300, though the row goes on a rail."""
    fence = Saw(
        name="fence",
        kerf=3,
        planes=BOTH,
        rip_guide=Guide.FENCE,
        crosscut_guide=Guide.FENCE,
        widest_rip=250,
    )
    run = Run(id="row", members=("a", "b"), axis=Flow.ACROSS)
    problem = asked(
        (blank("a", 900, 300), 1),
        (blank("b", 900, 300), 1),
        run=run,
        stock=(sheet(900, 603),),
        saw=fence,
    )
    result = solve(problem, Budget(work=300))
    assert {miss.blank for miss in result.unplaced} == {"a", "b"}
    assert "no saw" in result.unplaced[0].why


def test_a_run_wants_two_members_of_one_material() -> None:
    """Anything else is refused when it is made, or when it is grouped."""
    with pytest.raises(ValueError, match="two members"):
        Run(id="row", members=("a",), axis=Flow.ACROSS)
    run = Run(id="row", members=("a", "elsewhere"), axis=Flow.ACROSS)
    with pytest.raises(ValueError, match="not of one material"):
        group(asked((blank("a", 10, 10), 1), run=run, stock=(sheet(90, 60),)))
