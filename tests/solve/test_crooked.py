"""Crooked lumber loses width before it is ripped, the more the longer it is then."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank, Build, Need, Take
from nesting.model.plan import Layout
from nesting.model.problem import Budget, Problem
from nesting.model.result import Result
from nesting.model.shop import Saw
from nesting.model.stock import Edges, OffcutRule, Stock, lost_to_crook
from nesting.model.terms import Fate, Form, Guide, Plane, Purpose
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve import solve
from nesting.solve.layout import lay_out

IN = 40640
TABLE = Saw(
    name="table",
    kind="table saw",
    kerf=IN // 8,
    planes=(Plane.RIP, Plane.CROSSCUT),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
)
BOARD = Stock(
    id="2x6 x 97 in",
    material="fir",
    section="2x6",
    form=Form.BOARD,
    length=97 * IN,
    width=11 * IN // 2,
    thickness=3 * IN // 2,
    price_cents=500,
    crook=IN,
)


def blank(name: str, length: float, width: float, *, square: bool = False) -> Blank:
    """Return a blank in inches, as thick as the board."""
    return Blank(
        id=name,
        part=name,
        length=int(length * IN),
        width=int(width * IN),
        thickness=3 * IN // 2,
        material="fir",
        section="2x6",
        square_edges=square,
    )


def laid(tree: Tree, *blanks: Blank, stock: Stock = BOARD) -> Layout:
    """Lay a tree out."""
    return lay_out(
        tree,
        stock,
        (TABLE,),
        blanks={each.id: each for each in blanks},
        offcuts=OffcutRule(stick=12 * IN),
        layout="board-1",
    )


def places(layout: Layout) -> dict[str, tuple[float, float]]:
    """Return where across the board each blank begins and ends, in inches."""
    return {
        piece.blank: (piece.y / IN, (piece.y + piece.width) / IN)
        for piece in layout.pieces
        if piece.fate == Fate.PART and piece.blank
    }


def solved(*blanks: Blank, stock: Stock = BOARD) -> Result:
    """Solve a job of these blanks, each wanted once."""
    needs = tuple(
        Need(
            id=each.id,
            part=each.part,
            quantity=1,
            builds=(Build(id="one piece", takes=(Take(blank=each),)),),
        )
        for each in blanks
    )
    problem = Problem(stock=(stock,), needs=needs, saws=(TABLE,))
    return solve(problem, Budget(work=2_000))


def test_half_the_length_loses_a_quarter() -> None:
    """1/4 in over 8 ft is 1/16 over 4 ft and 1/64 over 2 ft; rounded up to a tick."""
    quarter = IN // 4
    assert [lost_to_crook(quarter, feet * 12 * IN) for feet in (8, 4, 2)] == [
        quarter,
        quarter // 4,
        quarter // 16,
    ]
    assert lost_to_crook(1, IN) == 1
    assert lost_to_crook(0, 96 * IN) == 0


def test_a_section_gets_a_straight_edge_before_its_strips() -> None:
    """An inch over 8 ft is 1/4 over 4 ft: the kerf of that rip is in it."""
    blanks = [blank("a", 48, 2.5), blank("b", 48, 2.5)]
    strips = Node(Plane.RIP, (5 * IN // 2,) * 2, (Leaf("a"), Leaf("b")))
    layout = laid(Node(Plane.CROSSCUT, (48 * IN,), (strips,)), *blanks)
    assert places(layout) == {"a": (0.25, 2.75), "b": (2.875, 5.375)}
    first = next(cut for cut in layout.cuts if cut.plane == Plane.RIP)
    assert (first.at, first.kerf, first.purpose) == (IN // 8, IN // 8, Purpose.TRIM)


def test_what_is_not_ripped_loses_nothing() -> None:
    """A blank as wide as its board is only crosscut, be it ever so crooked."""
    layout = laid(Node(Plane.CROSSCUT, (90 * IN,), (Leaf("a"),)), blank("a", 90, 5.5))
    assert places(layout) == {"a": (0, 5.5)}
    assert [cut.plane for cut in layout.cuts] == [Plane.CROSSCUT]


def test_a_narrower_blank_loses_by_its_own_length() -> None:
    """It is crosscut before it is ripped: of 24 in, 1/16 is lost; the kerf is in it."""
    tree = Node(Plane.CROSSCUT, (60 * IN, 24 * IN), (Leaf("wide"), Leaf("a")))
    blanks = [blank("wide", 60, 5.5), blank("a", 24, 5.4)]
    for form in (Form.BOARD, Form.STICK):
        layout = laid(tree, *blanks, stock=replace(BOARD, form=form))
        assert places(layout) == {"wide": (0, 5.5), "a": (0.0625, 5.4625)}


def test_square_edges_come_on_top() -> None:
    """1/4 for the crook, and 1/8 more where the edge was rounded."""
    tree = Node(Plane.CROSSCUT, (48 * IN,), (Node(Plane.RIP, (4 * IN,), (Leaf("a"),)),))
    asked = blank("a", 48, 4, square=True)
    layout = laid(tree, asked, stock=replace(BOARD, eased=IN // 8))
    assert places(layout) == {"a": (0.375, 4.375)}


def test_what_finds_no_room_is_refused() -> None:
    """Of 5 1/2 in an inch is lost over 96 in."""
    tree = Node(Plane.RIP, (19 * IN // 4,), (Leaf("a"),))
    with pytest.raises(InfeasibleError, match="no saw"):
        laid(tree, blank("a", 96, 4.75))


def test_short_rough_sections_save_wood() -> None:
    """Two of 2 5/8 with a kerf leave 1/8 of 5 1/2: enough for 33 in, not for 96."""
    short = [blank(name, 32, 2.625) for name in "abcd"]
    assert len(solved(*short).trees) == 1
    long = [blank(name, 96, 2.625) for name in "ab"]
    assert len(solved(*long).trees) == 2
    assert len(solved(*long, stock=replace(BOARD, crook=0)).trees) == 1


def test_what_straightening_leaves_no_room_for_is_told() -> None:
    """5 in of 96 are wider than the 4 1/2 that are left; of 60 they are not."""
    (miss,) = solved(blank("a", 96, 5)).unplaced
    assert "once that has a straight edge" in miss.why
    assert not solved(blank("a", 60, 5)).unplaced
    stick = replace(BOARD, form=Form.STICK)
    (miss,) = solved(blank("a", 96, 5), stock=stick).unplaced
    assert "once that has a straight edge" in miss.why


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"crook": -1}, "only lumber"),
        ({"form": Form.SHEET}, "only lumber"),
        ({"trim": Edges(low_y=IN)}, "trimmed or crooked"),
    ],
)
def test_stock_that_is_none(change: dict[str, object], word: str) -> None:
    """Sheets are straight, and a crooked edge is not trimmed besides."""
    with pytest.raises(ValueError, match=word):
        replace(BOARD, **change)  # type: ignore[arg-type]
