"""Rounded edges: who loses them, who keeps them, where the kerf of the rip falls."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.blank import Blank, Build, Need, Take
from nesting.model.plan import Layout
from nesting.model.problem import Budget, Problem
from nesting.model.result import Result
from nesting.model.shop import Saw
from nesting.model.stock import Edges, OffcutRule, Stock
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
    id="2x6 x 40 in",
    material="fir",
    section="2x6",
    form=Form.BOARD,
    length=40 * IN,
    width=11 * IN // 2,
    thickness=3 * IN // 2,
    price_cents=500,
    eased=IN // 8,
)


def blank(
    name: str,
    width: float,
    *,
    length: float = 40,
    square: bool = True,
    minimum: bool = False,
) -> Blank:
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
        minimum=minimum,
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


def strips(*blanks: Blank) -> Layout:
    """Rip blanks side by side."""
    tree = Node(
        Plane.RIP,
        tuple(each.width for each in blanks),
        tuple(Leaf(each.id) for each in blanks),
    )
    return laid(tree, *blanks)


def cuts(layout: Layout) -> list[tuple[str, float, float, str]]:
    """Return plane, place, kerf and purpose of each cut, in inches."""
    return [(c.plane, c.at / IN, c.kerf / IN, c.purpose) for c in layout.cuts]


def places(layout: Layout) -> dict[str, tuple[float, float]]:
    """Return where across the board each blank begins and ends, in inches."""
    return {
        piece.blank: (piece.y / IN, (piece.y + piece.width) / IN)
        for piece in layout.pieces
        if piece.fate == Fate.PART and piece.blank
    }


def solved(*blanks: Blank, stock: tuple[Stock, ...] = (BOARD,)) -> Result:
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
    problem = Problem(stock=stock, needs=needs, saws=(TABLE,))
    return solve(problem, Budget(work=500))


def test_a_2x6_leaves_5_1_4_with_square_edges() -> None:
    """Two rips, and their kerfs fall in the 1/8 that is lost anyway."""
    layout = strips(blank("a", 5.25))
    assert cuts(layout) == [
        ("rip", 0, 0.125, Purpose.TRIM),
        ("rip", 5.25, 0.125, Purpose.SIZE),
    ]
    assert places(layout) == {"a": (0.125, 5.375)}
    assert [piece.fate for piece in layout.pieces if piece.fate != Fate.CUT] == ["part"]


def test_a_blank_that_does_not_ask_keeps_the_edges() -> None:
    """Two of 2 11/16 and a kerf are the whole board."""
    layout = strips(*(blank(name, 2.6875, square=False) for name in "ab"))
    assert cuts(layout) == [("rip", 2.6875, 0.125, Purpose.SIZE)]


def test_blanks_that_do_not_ask_lie_outside() -> None:
    """1 1/2 + 1/8 + 2 1/4 + 1/8 + 1 1/2 is the whole board, the wide one inside."""
    sides = [blank(name, 1.5, square=False) for name in "ac"]
    layout = strips(sides[0], blank("b", 2.25), sides[1])
    assert places(layout) == {"a": (0, 1.5), "b": (1.625, 3.875), "c": (4, 5.5)}
    assert len(layout.cuts) == 2


def test_an_only_blank_that_does_not_ask_saves_a_rip() -> None:
    """It goes first and keeps its edge; the last rip takes the other edge off."""
    layout = strips(blank("wide", 3), blank("plain", 2.25, square=False))
    assert places(layout) == {"plain": (0, 2.25), "wide": (2.375, 5.375)}
    assert [kerf for _, _, kerf, _ in cuts(layout)] == [0.125, 0.125]


def test_pieces_of_both_kinds_end_to_end() -> None:
    """A whole board is crosscut; only the blank that asks is ripped afterwards."""
    plain = blank("plain", 5.5, length=20, square=False)
    square = blank("square", 5, length=19)
    tree = Node(Plane.CROSSCUT, (20 * IN, 19 * IN), (Leaf("plain"), Leaf("square")))
    for form in (Form.BOARD, Form.STICK):
        layout = laid(tree, plain, square, stock=replace(BOARD, form=form))
        assert places(layout) == {"plain": (0, 5.5), "square": (0.125, 5.125)}
        assert [c.plane for c in layout.cuts] == ["crosscut", "crosscut", "rip", "rip"]


def test_a_minimum_blank_that_asks_is_ripped() -> None:
    """Its edges are not left on for the sake of a sliver."""
    layout = strips(blank("a", 5.1875, minimum=True))
    assert places(layout) == {"a": (0.125, 5.3125)}


def test_sticks_are_ripped_for_square_edges() -> None:
    """A blank of a stick may be a quarter narrower than its section, and no wider."""
    assert not solved(blank("a", 5.25)).unplaced
    (miss,) = solved(blank("a", 5.3125)).unplaced
    assert "between its rounded edges" in miss.why


def test_boards_of_square_edges_alone_have_that_much_less_width() -> None:
    """Two of 2 9/16 and a kerf are 5 1/4; two of 2 5/8 take a board each, proved."""
    for width, boards in ((2.5625, 1), (2.625, 2)):
        result = solved(blank("a", width), blank("b", width))
        assert len(result.trees) == boards
        assert result.bounds[0].proven


def test_one_that_does_not_ask_makes_room_for_one_that_does() -> None:
    """2 3/4 + 1/8 + 2 1/2 and one edge of 1/8 are a 2x6."""
    result = solved(blank("a", 2.75, square=False), blank("b", 2.5))
    assert len(result.trees) == 1
    assert len(solved(blank("a", 2.75), blank("b", 2.5)).trees) == 2


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"eased": -1}, "only lumber"),
        ({"form": Form.SHEET}, "only lumber"),
        ({"trim": Edges(low_y=IN)}, "rounded or trimmed"),
    ],
)
def test_stock_that_is_none(change: dict[str, object], word: str) -> None:
    """Sheets have no rounded edges, and an edge that is trimmed has none."""
    with pytest.raises(ValueError, match=word):
        replace(BOARD, **change)
