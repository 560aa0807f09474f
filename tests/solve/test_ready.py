"""Boards: ends before rips, strips to width and length before they are resawn."""

from __future__ import annotations

import pytest

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.plan import Layout, Piece
from nesting.model.shop import Saw
from nesting.model.stock import Edges, OffcutRule, Stock
from nesting.model.terms import Fate, Form, Guide, Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.layout import lay_out

MM = 1600
TABLE = Saw(
    name="table",
    kind="table saw",
    kerf=3 * MM,
    planes=(Plane.RIP, Plane.CROSSCUT),
    rip_guide=Guide.FENCE,
    crosscut_guide=Guide.STOP,
)
BAND = Saw(
    name="band",
    kind="band saw",
    kerf=2 * MM,
    planes=(Plane.RESAW,),
    tallest=150 * MM,
)


def board(
    length: int = 2400, width: int = 190, low_y: int = 0, low_x: int = 0
) -> Stock:
    """Return a board 40 mm thick, sizes in mm."""
    return Stock(
        id="ash",
        material="ash",
        form=Form.BOARD,
        length=length * MM,
        width=width * MM,
        thickness=40 * MM,
        trim=Edges(low_x=low_x * MM, low_y=low_y * MM),
    )


def blank(
    name: str, length: int, width: int, thickness: int = 40, *, minimum: bool = False
) -> Blank:
    """Return a blank in mm."""
    return Blank(
        id=name,
        part=name,
        length=length * MM,
        width=width * MM,
        thickness=thickness * MM,
        material="ash",
        minimum=minimum,
    )


def row(plane: Plane, *children: tuple[int, Tree]) -> Node:
    """Return a node of children with their sizes in mm."""
    return Node(
        plane,
        tuple(size * MM for size, _ in children),
        tuple(child for _, child in children),
    )


def laid(
    tree: Tree, stock: Stock, *blanks: Blank, saws: tuple[Saw, ...] = ()
) -> Layout:
    """Lay a tree out, keeping rests 300 mm long."""
    return lay_out(
        tree,
        stock,
        saws or (TABLE, BAND),
        blanks={each.id: each for each in blanks},
        offcuts=OffcutRule(stick=300 * MM),
        layout="board-1",
    )


def strokes(layout: Layout) -> list[tuple[str, int, int]]:
    """Return plane, position and kerf of each cut, in mm."""
    return [(cut.plane, cut.at // MM, cut.kerf // MM) for cut in layout.cuts]


def parts(layout: Layout) -> list[Piece]:
    """Return the pieces that are blanks."""
    return [piece for piece in layout.pieces if piece.fate == Fate.PART]


def test_slices_lie_above_each_other() -> None:
    """Two slices of 18 mm and a kerf of 2: the second starts at 20, 2 mm are waste."""
    leaves = (Leaf("a"), Leaf("b"))
    tree = row(
        Plane.CROSSCUT,
        (
            500,
            row(Plane.RIP, (100, row(Plane.RESAW, (18, leaves[0]), (18, leaves[1])))),
        ),
    )
    layout = laid(tree, board(), blank("a", 500, 100, 18), blank("b", 500, 100, 18))
    assert strokes(layout) == [
        ("crosscut", 500, 3),
        ("rip", 100, 3),
        ("resaw", 18, 2),
        ("resaw", 18, 2),
    ]
    assert [(p.z // MM, p.thickness // MM) for p in parts(layout)] == [
        (0, 18),
        (20, 18),
    ]
    resaws = [cut for cut in layout.cuts if cut.plane == Plane.RESAW]
    assert {(cut.saw, cut.guide, cut.measure) for cut in resaws} == {
        ("band", Guide.FENCE, 18 * MM)
    }


def test_the_last_slice_of_a_minimum_keeps_a_sliver() -> None:
    """38 mm are 18, a kerf and 18 + 2: the last slice stays 20 mm thick."""
    tree = row(Plane.RIP, (100, row(Plane.RESAW, (18, Leaf("a")), (18, Leaf("b")))))
    layout = laid(
        tree,
        board(length=500),
        blank("a", 500, 100, 18, minimum=True),
        blank("b", 500, 100, 18, minimum=True),
    )
    assert [piece.thickness // MM for piece in parts(layout)] == [18, 20]
    assert strokes(layout) == [("rip", 100, 3), ("resaw", 18, 2)]


@pytest.mark.parametrize(("width", "left"), [(184, 190), (183, 183)])
def test_less_than_a_quarter_of_an_inch_stays_on_a_minimum(
    width: int, left: int
) -> None:
    """Of 190 mm, 6 are less than 1/4 in (6.35 mm, common practice) and 7 are more."""
    for tree in (Leaf("a"), row(Plane.RIP, (width, Leaf("a")))):
        layout = laid(tree, board(length=500), blank("a", 500, width, minimum=True))
        assert [piece.width // MM for piece in parts(layout)] == [left]
        assert len(layout.cuts) == (left == width)


def test_one_slice_leaves_a_rest_of_the_board() -> None:
    """A rest 20 mm thick is worth keeping only where it is as wide as the board."""
    for width, fate in ((140, Fate.OFFCUT), (100, Fate.SCRAP)):
        tree: Tree = row(Plane.RESAW, (18, Leaf("a")))
        if width < 140:
            tree = row(Plane.RIP, (width, tree))
        layout = laid(tree, board(500, 140), blank("a", 500, width, 18))
        (rest,) = (p for p in layout.pieces if p.z > 0)
        assert (rest.thickness // MM, rest.fate) == (20, fate)


def test_a_strip_is_resawn_no_wider_and_no_longer_than_it_must_be() -> None:
    """A saw that cuts 150 mm high cannot resaw the board as it is, 190 wide."""
    tree = row(Plane.RESAW, (18, Leaf("a")))
    layout = laid(tree, board(), blank("a", 600, 150, 18))
    assert [cut.plane for cut in layout.cuts] == ["crosscut", "rip", "resaw"]
    assert layout.pieces[2].fate == Fate.OFFCUT


def test_a_strip_taller_than_every_saw_is_refused() -> None:
    """151 mm on edge are too much for a saw that cuts 150."""
    tree = row(Plane.RESAW, (18, Leaf("a")))
    with pytest.raises(InfeasibleError, match="resaw"):
        laid(tree, board(), blank("a", 600, 151, 18))


def test_ends_are_trimmed_before_a_rip_and_edges_before_blanks_are_cut_off() -> None:
    """One crosscut trims both strips; one rip trims the edge of three blanks."""
    strips = row(
        Plane.RIP,
        (90, row(Plane.CROSSCUT, (500, Leaf("a")))),
        (80, row(Plane.CROSSCUT, (500, Leaf("b")))),
    )
    ends = laid(
        strips, board(low_x=10, low_y=3), blank("a", 500, 90), blank("b", 500, 80)
    )
    assert strokes(ends)[:4] == [
        ("crosscut", 7, 3),
        ("rip", 0, 3),
        ("rip", 90, 3),
        ("crosscut", 500, 3),
    ]
    whole = row(Plane.CROSSCUT, *((500, Leaf("a")) for _ in range(3)))
    edges = laid(whole, board(low_y=3), blank("a", 500, 187))
    assert strokes(edges) == [("rip", 0, 3)] + [("crosscut", 500, 3)] * 3


def test_narrow_strips_are_ripped_while_the_board_is_wide() -> None:
    """What is under 3 in comes off first, then the widest as ever."""
    strips = row(
        Plane.RIP, (90, Leaf("wide")), (40, Leaf("narrow")), (30, Leaf("lath"))
    )
    layout = laid(
        strips,
        board(length=600),
        blank("wide", 600, 90),
        blank("narrow", 600, 40),
        blank("lath", 600, 30),
    )
    assert [cut.at // MM for cut in layout.cuts] == [40, 30, 90]


def test_blanks_narrower_than_their_strip_are_ripped_together() -> None:
    """Three blanks of 150 x 50 are one rip of 456 mm, not three of 150."""
    strip = row(
        Plane.CROSSCUT, (400, Leaf("wide")), *((150, Leaf("small")) for _ in range(3))
    )
    layout = laid(
        row(Plane.RIP, (90, strip)),
        board(length=1000),
        blank("wide", 400, 90),
        blank("small", 150, 50),
    )
    rips = [cut for cut in layout.cuts if cut.plane == Plane.RIP]
    sizes = {piece.id: piece for piece in layout.pieces}
    assert [(cut.at // MM, sizes[cut.piece].length // MM) for cut in rips] == [
        (90, 1000),
        (50, 456),
    ]
    assert len(parts(layout)) == 4


def test_a_short_blank_is_ripped_before_it_is_cut_off() -> None:
    """The rest behind it is too short to keep, and makes the rip longer."""
    strip = row(Plane.CROSSCUT, (400, Leaf("wide")), (150, Leaf("small")))
    layout = laid(
        row(Plane.RIP, (90, strip)),
        board(length=800),
        blank("wide", 400, 90),
        blank("small", 150, 50),
    )
    assert strokes(layout)[2:] == [("rip", 50, 3), ("crosscut", 150, 3)]


def test_a_blank_that_may_not_stay_thick_is_resawn_by_itself() -> None:
    """A leaf on a strip that is not resawn comes to its thickness all the same."""
    layout = laid(Leaf("a"), board(400, 100), blank("a", 400, 100, 30))
    assert strokes(layout) == [("resaw", 30, 2)]
    thick = laid(Leaf("a"), board(400, 100), blank("a", 400, 100, 30, minimum=True))
    assert strokes(thick) == []
    with pytest.raises(ValueError, match="thicker"):
        laid(Leaf("a"), board(400, 100), blank("a", 400, 100, 41))


def test_a_strip_of_one_thickness_is_resawn_before_its_blanks_are_cut_off() -> None:
    """One resaw of 303 mm, not two of 150; the rest of the strip stays thick."""
    strip = row(Plane.CROSSCUT, (150, Leaf("a")), (150, Leaf("a")))
    layout = laid(
        row(Plane.RIP, (90, strip)), board(length=800), blank("a", 150, 90, 30)
    )
    assert strokes(layout) == [
        ("rip", 90, 3),
        ("crosscut", 303, 3),
        ("resaw", 30, 2),
        ("crosscut", 150, 3),
    ]
