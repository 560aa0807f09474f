"""No blank is what is left over where there is room; distances are shared."""

from __future__ import annotations

from workshop.plywood import blanks

from nesting.model.blank import Build, Need, Take
from nesting.model.plan import Layout
from nesting.model.problem import Problem
from nesting.model.result import CutStock, Result
from nesting.model.shop import Saw
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Fate, Form, Guide, Plane, StoppedBy
from nesting.model.tree import Leaf, Node, SheetTree, Split
from nesting.solve.lay_out_all import lay_out_all, left_over
from nesting.solve.layout import lay_out

KERF = 3
STOCK = Stock(
    id="ply", material="ply", form=Form.SHEET, length=2440, width=1220, thickness=18
)
SAW = Saw(
    name="bench",
    kerf=KERF,
    planes=(Plane.CROSSCUT, Plane.RIP),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.LINE,
)
PAIR = Node(Plane.RIP, (200, 200), (Leaf("a"), Leaf("a")))
"""Two blanks of 500 x 200 over each other: 403 wide."""


def problem_of(keep: int = 300, **sizes: tuple[int, int]) -> Problem:
    """Return a problem of blanks by name; rests from `keep` x `keep` on are kept."""
    return Problem(
        stock=(STOCK,),
        needs=tuple(
            Need(
                id=name,
                part=name,
                quantity=1,
                builds=(Build(id=name, takes=(Take(blank=blank),)),),
            )
            for name, blank in blanks(**sizes).items()
        ),
        saws=(SAW,),
        offcuts=OffcutRule(sheet=((keep, keep),)),
    )


def layouts(problem: Problem, *trees: SheetTree) -> list[Layout]:
    result = Result(
        chosen=(),
        trees=tuple(CutStock(stock="ply", tree=tree) for tree in trees),
        unplaced=(),
        bounds=(),
        stopped_by=StoppedBy.WORK,
        work=0,
    )
    return lay_out_all(problem, result)


def rips(layout: Layout) -> list[int | None]:
    """Return the distances of the rips of a layout, in order."""
    return [cut.measure for cut in layout.cuts if cut.plane == Plane.RIP]


def test_the_last_blank_of_a_piece_is_cut_to_size() -> None:
    """A strip of 403 leaves the second 200 over; of 406 both are ripped to 200."""
    problem = problem_of(a=(500, 200))
    tree = Node(Plane.RIP, (403,), (Node(Plane.CROSSCUT, (500,), (PAIR,)),))
    loose = lay_out(
        tree,
        STOCK,
        (SAW,),
        blanks=problem.blanks,
        offcuts=problem.offcuts,
        layout="sheet-1",
    )
    assert (left_over(loose), rips(loose)) == (1, [403, 200])
    (layout,) = layouts(problem, tree)
    assert (left_over(layout), rips(layout)) == (0, [406, 200, 200])


def test_pieces_around_it_grow_with_it() -> None:
    """A pair in a strip in a column in a strip: 406, then 406 + 3 + 300 + 3."""
    problem = problem_of(a=(500, 200), b=(900, 300))
    inner = Node(
        Plane.RIP, (403, 300), (Node(Plane.CROSSCUT, (500,), (PAIR,)), Leaf("b"))
    )
    tree = Node(Plane.RIP, (706,), (Node(Plane.CROSSCUT, (900,), (inner,)),))
    (layout,) = layouts(problem, tree)
    assert left_over(layout) == 0
    assert rips(layout) == [712, 406, 200, 200, 300]


def test_what_fills_the_sheet_stays_left_over() -> None:
    """403 + 3 + 814 is all of 1220: there is no kerf to spare."""
    problem = problem_of(a=(500, 200), b=(2440, 814))
    tree = Node(
        Plane.RIP, (814, 403), (Leaf("b"), Node(Plane.CROSSCUT, (500,), (PAIR,)))
    )
    (layout,) = layouts(problem, tree)
    assert left_over(layout) == 1
    assert rips(layout) == [814, 200]


def test_a_rest_worth_keeping_is_not_given_up() -> None:
    """814 beside 403 is kept as it is if only rests from 814 on are; 810 is not."""
    problem = problem_of(keep=814, a=(500, 200))
    tree = Node(Plane.RIP, (403,), (Node(Plane.CROSSCUT, (500,), (PAIR,)),))
    (layout,) = layouts(problem, tree)
    assert left_over(layout) == 1
    assert [p.width for p in layout.pieces if p.fate == Fate.OFFCUT] == [814]


def test_a_distance_that_is_set_anyway_is_used() -> None:
    """A blank of 420 is ripped from another sheet: the strip of 406 becomes 420."""
    problem = problem_of(a=(500, 200), b=(2000, 420))
    strip = Node(Plane.RIP, (403,), (Node(Plane.CROSSCUT, (500,), (PAIR,)),))
    other = Node(Plane.RIP, (420,), (Node(Plane.CROSSCUT, (2000,), (Leaf("b"),)),))
    first, second, third = layouts(problem, strip, other, strip)
    assert rips(first) == rips(third) == [420, 200, 200]
    assert rips(second) == [420]
    assert (first.id, third.id) == ("sheet-1", "sheet-3")
    assert len(first.cuts) == len(layouts(problem, strip)[0].cuts)


def test_a_distance_far_larger_is_not_worth_the_rest() -> None:
    """For 900 a strip of 406 would take two thirds of the rest that is kept."""
    problem = problem_of(a=(500, 200), b=(2000, 900))
    strip = Node(Plane.RIP, (403,), (Node(Plane.CROSSCUT, (500,), (PAIR,)),))
    other = Node(Plane.RIP, (900,), (Node(Plane.CROSSCUT, (2000,), (Leaf("b"),)),))
    first, _ = layouts(problem, strip, other)
    assert rips(first) == [406, 200, 200]


def test_a_sheet_in_two_parts_stays_as_it_is() -> None:
    """What is cut around damage has its cuts at fixed places."""
    problem = problem_of(a=(500, 200))
    strip = Node(Plane.RIP, (403,), (Node(Plane.CROSSCUT, (500,), (PAIR,)),))
    tree = Split(plane=Plane.CROSSCUT, near=1000, far=1003, low=strip, high=None)
    (layout,) = layouts(problem, tree)
    assert rips(layout) == [403, 200]
