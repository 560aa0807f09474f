"""Lay a tree out with no piece wider than its blanks need, where that is better.

A search leaves pieces wider than what is cut from them. Each blank in such a piece
takes a cut of its own to come to size; cut to its largest blank, the piece gives that
at size, and what is gained lies elsewhere in one rest. That rest may be worth less than
the ones it is taken from, so each shrinking is tried.

Method. All pieces are shrunk at once. If that keeps less than before, they are shrunk
one by one, outer ones first, and each stays so if the layout is no worse. Better is a
larger sum of the squared areas of rests worth keeping (one large rest is worth more
than its two halves), then fewer cuts. Sizes only shrink, so a tree that
fits goes on fitting; one that no saw can cut any more is no candidate.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.plan import Layout
from nesting.model.terms import Fate
from nesting.model.tree import Node, SheetTree
from nesting.solve.needed import needed
from nesting.solve.tree_paths import Resize, paths, resized, resized_all
from nesting.units import Ticks


def lay_out_tight(
    tree: SheetTree,
    lay: Callable[[SheetTree], Layout],
    *,
    blanks: Mapping[str, Blank],
    kerf: Ticks,
) -> tuple[SheetTree, Layout]:
    """Lay a tree out with its pieces as small as it is worth.

    Parameters
    ----------
    tree
        Over the usable area of a stock.
    lay
        Lays a tree out on it: `lay_out`, given all else.
    blanks
        Every blank the tree names, by id.
    kerf
        The widest of the saws, in ticks.

    Returns
    -------
    tuple of SheetTree and Layout
        The tree as it was laid out, and how. With the same blanks; its rests never
        worth less, or as much with more cuts, than those that `lay` makes of the tree
        as it is.

    Raises
    ------
    InfeasibleError
        Where no saw makes a cut that the tree needs.
    """

    def laid(each: SheetTree) -> Layout | None:
        try:
            return lay(each)
        except InfeasibleError:
            return None

    best = lay(tree)
    whole = tighten(tree, blanks, kerf)
    if whole == tree:
        return tree, best
    found = laid(whole)
    if found is not None and _value(found) >= _value(best):
        return whole, found
    least = _least(blanks, kerf)
    for path in tuple(paths(tree)):
        tight = resized(tree, path, least)
        found = None if tight == tree else laid(tight)
        if found is not None and _value(found) >= _value(best):
            tree, best = tight, found
    return tree, best


def tighten(tree: SheetTree, blanks: Mapping[str, Blank], kerf: Ticks) -> SheetTree:
    """Return a tree with no piece larger than its blanks need.

    Parameters
    ----------
    tree
        Over the usable area of a stock. Cuts at fixed places stay.
    blanks
        Every blank the tree names, by id.
    kerf
        The widest of the shop, in ticks.

    Returns
    -------
    SheetTree
        With the same blanks, turned as before, in the same order. A crosscut against a
        fence may have become too short for its distance.
    """
    return resized_all(tree, _least(blanks, kerf))


def worth(layout: Layout) -> int:
    """Return what the rests kept of a layout are worth: their areas squared."""
    return sum(
        (p.length * p.width) ** 2 for p in layout.pieces if p.fate == Fate.OFFCUT
    )


def _value(layout: Layout) -> tuple[int, int]:
    """Return what the rests kept of a layout are worth, and its cuts, counted down."""
    return worth(layout), -len(layout.cuts)


def _least(blanks: Mapping[str, Blank], kerf: Ticks) -> Resize:
    def least(node: Node, number: int) -> Ticks:
        size = needed(node.children[number], node.plane, blanks, kerf)
        return min(node.sizes[number], size)

    return least
