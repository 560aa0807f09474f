"""From a forest of the search to cutting trees, in real sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.kernel import Ints
from nesting.solve.sheets.cuts import KERF_X
from nesting.solve.sheets.forest import (
    AXIS,
    FIRST,
    IS_PART,
    IS_REST,
    NEXT,
    NONE,
    PART,
    ROOTS,
    STATE,
    STOCK,
    Forest,
    X,
)
from nesting.solve.sheets.instance import Instance
from nesting.solve.sheets.problem import SheetProblem

_PLANE = (Plane.CROSSCUT, Plane.RIP)


def trees_of(forest: Forest, instance: Instance) -> tuple[tuple[str, Tree], ...]:
    """Return the sheets of a forest: (stock id, tree).

    Rests are left out. A piece that has but one blank left to give is that blank's
    leaf; how it is brought to size is for the laying out. Children stand by size, the
    largest first, so that equal ones are neighbours.
    """
    nodes, _, roots, _, tally = forest
    planted = [
        (
            instance.problem.stock[int(nodes[root + STOCK])].id,
            _tree(nodes, int(root), instance),
        )
        for root in roots[: tally[ROOTS]]
    ]
    rank = {stock.id: number for number, stock in enumerate(instance.problem.stock)}
    planted.sort(key=lambda sheet: (rank[sheet[0]], repr(sheet[1])))
    return tuple(planted)


def unplaced_of(
    problem: SheetProblem, sheets: Sequence[tuple[str, Tree]]
) -> tuple[tuple[str, int], ...]:
    """Return the parts that lie on no sheet: (part id, how many)."""
    left = {part.id: part.quantity for part in problem.parts}
    for _, tree in sheets:
        for leaf in leaves(tree):
            left[leaf.blank] -= 1
    return tuple((part, count) for part, count in left.items() if count)


def leaves(tree: Tree) -> Iterator[Leaf]:
    """Yield the parts of a tree."""
    if isinstance(tree, Leaf):
        yield tree
    else:
        for child in tree.children:
            yield from leaves(child)


def _tree(nodes: Ints, v: int, instance: Instance) -> Tree:
    if nodes[v + STATE] == IS_PART:
        kind, turned = divmod(int(nodes[v + PART]), 2)
        return Leaf(instance.problem.parts[kind].id, bool(turned))
    axis = int(nodes[v + AXIS])
    kerf = instance.rules[0][KERF_X + axis]
    children: list[tuple[int, Tree]] = []
    u = int(nodes[v + FIRST])
    while u != NONE:
        if nodes[u + STATE] != IS_REST:
            size = int(nodes[u + X + axis]) - kerf
            children.append((size, _tree(nodes, u, instance)))
        u = int(nodes[u + NEXT])
    if len(children) == 1 and isinstance(children[0][1], Leaf):
        return children[0][1]
    children.sort(key=lambda child: (-child[0], repr(child[1])))
    return Node(
        _PLANE[axis],
        tuple(size for size, _ in children),
        tuple(child for _, child in children),
    )
