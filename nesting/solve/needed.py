"""How much of an axis a cutting tree needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nesting.model.blank import Blank
from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Tree
from nesting.units import Ticks


def needed(tree: Tree, plane: Plane, blanks: Mapping[str, Blank], kerf: Ticks) -> Ticks:
    """Return the size a tree needs along the axis that a plane divides.

    Parameters
    ----------
    tree
        Over a piece of stock.
    plane
        Names the axis.
    blanks
        Every blank the tree names, by id.
    kerf
        What is lost between two pieces that the plane divides, in ticks.
    """
    if isinstance(tree, Leaf):
        blank = blanks[tree.blank]
        if plane is Plane.RESAW:
            return blank.thickness if blank.resawn is None else blank.resawn
        lengthwise = (plane is Plane.CROSSCUT) != tree.turned
        return blank.length if lengthwise else blank.width
    if tree.plane is plane:
        return sum(tree.sizes) + (len(tree.sizes) - 1) * kerf
    return max(needed(child, plane, blanks, kerf) for child in tree.children)


def leaves(tree: Tree) -> Iterator[Leaf]:
    """Go through the blanks of a tree."""
    if isinstance(tree, Leaf):
        yield tree
        return
    for child in tree.children:
        yield from leaves(child)
