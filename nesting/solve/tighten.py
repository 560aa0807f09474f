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

from collections.abc import Mapping, Sequence
from dataclasses import replace

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.plan import Layout
from nesting.model.shop import Saw
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Fate
from nesting.model.tree import Leaf, Node, SheetTree, Split, Tree
from nesting.solve.layout import lay_out
from nesting.solve.needed import needed
from nesting.solve.tree_paths import paths, resized
from nesting.units import Ticks


def lay_out_tight(
    tree: SheetTree,
    stock: Stock,
    saws: Sequence[Saw],
    *,
    blanks: Mapping[str, Blank],
    offcuts: OffcutRule,
    layout: str,
    rough: Ticks | None = None,
) -> tuple[SheetTree, Layout]:
    """Lay a tree out with its pieces as small as it is worth.

    Parameters
    ----------
    tree, stock, saws, blanks, offcuts, layout, rough
        As `lay_out` takes them.

    Returns
    -------
    tuple of SheetTree and Layout
        The tree as it was laid out, and how. With the same blanks; its rests never
        worth less, or as much with more cuts, than those that `lay_out` makes of the
        tree as it is.

    Raises
    ------
    InfeasibleError
        Where no saw makes a cut that the tree needs.
    """

    def lay(each: SheetTree) -> Layout:
        return lay_out(
            each,
            stock,
            saws,
            blanks=blanks,
            offcuts=offcuts,
            layout=layout,
            rough=rough,
        )

    def laid(each: SheetTree) -> Layout | None:
        try:
            return lay(each)
        except InfeasibleError:
            return None

    kerf = max(saw.kerf for saw in saws)
    best = lay(tree)
    whole = _tighten_all(tree, blanks, kerf)
    if whole == tree:
        return tree, best
    found = laid(whole)
    if found is not None and _worth(found) >= _worth(best):
        return whole, found

    def least(node: Node, number: int) -> Ticks:
        size = needed(node.children[number], node.plane, blanks, kerf)
        return min(node.sizes[number], size)

    for path in tuple(paths(tree)):
        tight = resized(tree, path, least)
        found = None if tight == tree else laid(tight)
        if found is not None and _worth(found) >= _worth(best):
            tree, best = tight, found
    return tree, best


def tighten(tree: Tree, blanks: Mapping[str, Blank], kerf: Ticks) -> Tree:
    """Return a tree with no piece larger than its blanks need.

    Parameters
    ----------
    tree
        Over the usable area of a stock.
    blanks
        Every blank the tree names, by id.
    kerf
        The widest of the shop, in ticks.

    Returns
    -------
    Tree
        With the same blanks, turned as before, in the same order. A crosscut against a
        fence may have become too short for its distance.
    """
    if isinstance(tree, Leaf):
        return tree
    children = tuple(tighten(child, blanks, kerf) for child in tree.children)
    sizes = tuple(
        min(size, needed(child, tree.plane, blanks, kerf))
        for size, child in zip(tree.sizes, children, strict=True)
    )
    return replace(tree, sizes=sizes, children=children)


def _tighten_all(
    tree: SheetTree, blanks: Mapping[str, Blank], kerf: Ticks
) -> SheetTree:
    """Tighten what lies beside the damage of a sheet; cuts at fixed places stay."""
    if isinstance(tree, Split):
        low, high = (
            None if side is None else _tighten_all(side, blanks, kerf)
            for side in (tree.low, tree.high)
        )
        return replace(tree, low=low, high=high)
    return tighten(tree, blanks, kerf)


def _worth(layout: Layout) -> tuple[int, int]:
    """Return what the rests kept of a layout are worth, and its cuts, counted down."""
    kept = sum(
        (p.length * p.width) ** 2 for p in layout.pieces if p.fate == Fate.OFFCUT
    )
    return kept, -len(layout.cuts)
