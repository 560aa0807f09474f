"""Rounded edges of lumber: a margin to some blanks, and to the others as good as any.

A blank that is to have square edges is not cut from the rounded edge of its board; what
is lost there includes the kerf of the rip (common practice). Any other blank may keep
that edge. So the margins are on a piece until it is known what is cut from it, and of
strips side by side those that keep the edges lie outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node, SheetTree, Tree
from nesting.solve.bench import Bench
from nesting.solve.needed import leaves
from nesting.solve.strokes import OpenPiece


def keep_edges(bench: Bench, piece: OpenPiece, tree: SheetTree) -> OpenPiece:
    """Return a piece of lumber without its margins where no blank of it minds them."""
    if isinstance(tree, Leaf | Node) and not _minds(bench, tree):
        return replace(piece, y=replace(piece.y, low=0, high=0))
    return piece


def all_mind(bench: Bench, tree: Tree) -> bool:
    """Tell whether no blank of a tree may keep the margins of its piece."""
    return not bench.stock.eased or all(
        bench.blanks[leaf.blank].square_edges for leaf in leaves(tree)
    )


def plain_outside(
    bench: Bench, piece: OpenPiece, node: Node, order: Sequence[int]
) -> tuple[OpenPiece, list[int]]:
    """Lay strips that keep the rounded edges outside of those that do not.

    Parameters
    ----------
    bench
        Where it is cut.
    piece
        With the margins it still has.
    node
        The strips; some of their blanks mind the edges.
    order
        In which they would be cut otherwise.

    Returns
    -------
    piece, order
        The piece with the margins that are cut off, and the places of the strips in
        the order in which they are cut. An only strip that keeps an edge goes first,
        which saves a rip, but not before strips that are too narrow to be held later.
    """
    if not (piece.y.low or piece.y.high):
        return piece, list(order)
    plain = [n for n in order if not _minds(bench, node.children[n])]
    rest = [n for n in order if n not in plain]
    if not plain:
        return piece, rest
    short = bench.too_small_to_hold(Plane.RIP)
    first = len(plain) > 1 or all(node.sizes[n] >= short for n in rest)
    last = len(plain) > 1 or not first
    low = plain[:1] if first else []
    high = plain[-1:] if last else []
    inner = [n for n in order if n not in low and n not in high]
    y = replace(
        piece.y, low=0 if first else piece.y.low, high=0 if last else piece.y.high
    )
    return replace(piece, y=y), [*low, *inner, *high]


def _minds(bench: Bench, tree: Tree) -> bool:
    return any(bench.blanks[leaf.blank].square_edges for leaf in leaves(tree))
