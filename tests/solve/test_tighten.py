"""Pieces of a tree shrink to their blanks, and nothing else changes."""

from __future__ import annotations

from functools import partial

from workshop.plywood import blanks

from nesting.model.blank import Blank
from nesting.model.plan import Layout
from nesting.model.shop import Saw
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Fate, Form, Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.layout import lay_out
from nesting.solve.tighten import lay_out_tight, tighten

KERF = 3


def test_a_column_is_as_wide_as_its_widest_blank() -> None:
    """A column 600 wide from which 500 and 450 are ripped apart becomes 500 wide."""
    column = Node(Plane.RIP, (200, 300), (Leaf("a"), Leaf("b")))
    tree = Node(Plane.CROSSCUT, (600, 400), (column, Leaf("c")))
    known = blanks(a=(500, 200), b=(450, 300), c=(400, 700))
    assert tighten(tree, known, KERF) == Node(
        Plane.CROSSCUT, (500, 400), (column, Leaf("c"))
    )


def test_kerfs_between_blanks_are_kept() -> None:
    """Two blanks of 200 crosscut from a row of a column need 403, kerf and all."""
    row = Node(Plane.CROSSCUT, (200, 200), (Leaf("a"), Leaf("a")))
    tree = Node(Plane.CROSSCUT, (500,), (Node(Plane.RIP, (100,), (row,)),))
    tight = tighten(tree, blanks(a=(200, 90)), KERF)
    assert isinstance(tight, Node)
    assert tight.sizes == (403,)
    column = tight.children[0]
    assert isinstance(column, Node)
    assert column.sizes == (90,)


def test_a_turned_blank_is_measured_across() -> None:
    """A blank that lies across its sheet needs its width along the sheet."""
    tree: Tree = Node(Plane.CROSSCUT, (500,), (Leaf("a", turned=True),))
    assert tighten(tree, blanks(a=(700, 300)), KERF) == Node(
        Plane.CROSSCUT, (300,), (Leaf("a", turned=True),)
    )


def test_a_piece_that_runs_off_an_edge_does_not_grow() -> None:
    """Where kerfs were saved at an edge, the size stays what it was."""
    row = Node(Plane.CROSSCUT, (200, 200), (Leaf("a"), Leaf("a")))
    tree = Node(Plane.CROSSCUT, (402,), (Node(Plane.RIP, (100,), (row,)),))
    tight = tighten(tree, blanks(a=(200, 100)), KERF)
    assert tight == tree


STOCK = Stock(
    id="ply", material="ply", form=Form.SHEET, length=2440, width=1220, thickness=18
)
SAW = Saw(name="rail", kerf=KERF, planes=(Plane.CROSSCUT, Plane.RIP))


def both(tree: Tree, known: dict[str, Blank]) -> tuple[Layout, Layout]:
    """Return the layout of a tree as it is, and the tight one."""
    keep = OffcutRule(sheet=((300, 300),))
    lay = partial(
        lay_out,
        stock=STOCK,
        saws=(SAW,),
        blanks=known,
        offcuts=keep,
        layout="sheet-1",
    )
    _, tight = lay_out_tight(tree, lay, blanks=known, kerf=KERF)
    return lay(tree), tight


def kept(layout: Layout) -> int:
    return sum(p.length * p.width for p in layout.pieces if p.fate == Fate.OFFCUT)


def test_two_blanks_of_a_wide_column_are_cut_to_size_with_it() -> None:
    """A column and two rips are three cuts; too wide a column takes two more."""
    column = Node(Plane.RIP, (500, 500), (Leaf("a"), Leaf("a")))
    tree = Node(Plane.CROSSCUT, (700,), (column,))
    loose, tight = both(tree, blanks(a=(600, 500)))
    assert (len(loose.cuts), len(tight.cuts)) == (5, 3)
    assert kept(tight) >= kept(loose)


def test_a_rest_worth_keeping_is_not_given_up_for_a_cut() -> None:
    """A strip stays 340 wide, since its rest is kept only above 300."""
    strip = Node(Plane.CROSSCUT, (500, 500), (Leaf("a"), Leaf("a")))
    tree = Node(Plane.RIP, (340, 870), (strip, Leaf("b")))
    loose, tight = both(tree, blanks(a=(500, 280), b=(2440, 870)))
    assert kept(loose) == kept(tight) == (2440 - 2 * (500 + KERF)) * 340
