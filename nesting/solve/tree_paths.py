"""The pieces of a cutting tree by their places, and trees with one of them changed.

A path is the number of the child at every level, from the root down; at a `Split` 0 is
the low side and 1 the high one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TypeAlias

from nesting.model.tree import Leaf, Node, SheetTree, Split, Tree
from nesting.units import Ticks

Path: TypeAlias = tuple[int, ...]
Resize: TypeAlias = Callable[[Node, int], Ticks]
"""Given a node and the number of a child, returns the child's new size along the axis
that the node divides."""


def paths(tree: SheetTree) -> Iterator[Path]:
    """Yield the places of all pieces of a tree, outer before inner."""
    for path, _, _ in pieces(tree):
        yield path


def pieces(tree: SheetTree) -> Iterator[tuple[Path, Node, int]]:
    """Yield of every piece its place, the node it is a child of, and its number."""
    if isinstance(tree, Leaf):
        return
    if isinstance(tree, Split):
        for place, side in enumerate((tree.low, tree.high)):
            for path, node, number in () if side is None else pieces(side):
                yield (place, *path), node, number
        return
    for place, child in enumerate(tree.children):
        yield (place,), tree, place
        for path, node, number in pieces(child):
            yield (place, *path), node, number


def resized(tree: SheetTree, path: Sequence[int], resize: Resize) -> SheetTree:
    """Return a tree whose piece at one place has another size.

    Parameters
    ----------
    tree, path
        The tree, and a path of it.
    resize
        Asked of the node the piece is a child of, and its number there.
    """
    place, *below = path
    if isinstance(tree, Split):
        side = tree.high if place else tree.low
        new = None if side is None else resized(side, below, resize)
        return replace(tree, high=new) if place else replace(tree, low=new)
    if isinstance(tree, Leaf):
        return tree
    sizes, children = [*tree.sizes], [*tree.children]
    if below:
        child = resized(children[place], below, resize)
        assert not isinstance(child, Split)
        children[place] = child
    else:
        sizes[place] = resize(tree, place)
    return replace(tree, sizes=tuple(sizes), children=tuple(children))


def resized_all(tree: SheetTree, resize: Resize) -> SheetTree:
    """Return a tree whose pieces all have new sizes, inner ones first.

    Cuts at fixed places stay where they are.
    """
    if isinstance(tree, Split):
        low, high = (
            None if side is None else resized_all(side, resize)
            for side in (tree.low, tree.high)
        )
        return replace(tree, low=low, high=high)
    return _resized_all(tree, resize)


def _resized_all(tree: Tree, resize: Resize) -> Tree:
    if isinstance(tree, Leaf):
        return tree
    children = tuple(_resized_all(child, resize) for child in tree.children)
    tree = replace(tree, children=children)
    sizes = tuple(resize(tree, number) for number in range(len(children)))
    return replace(tree, sizes=sizes)
