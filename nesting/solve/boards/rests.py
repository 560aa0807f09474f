"""The largest end of a board worth keeping: what decides between plans of one cost.

Strips leave rests too, but nobody keeps those: only what is as wide as its board.
"""

from __future__ import annotations

from collections.abc import Sequence

from nesting.model.terms import Plane
from nesting.model.tree import Node, Tree
from nesting.solve.boards.problem import BoardProblem, BoardStock


def largest_rest(boards: Sequence[tuple[str, Tree]], problem: BoardProblem) -> int:
    """Return the area of the largest end of a board that is worth keeping.

    Parameters
    ----------
    boards
        (stock id, tree), of the class of the problem.
    problem
        For the kerf, and for what is kept.

    Returns
    -------
    int
        In square ticks; 0 where no end is kept.
    """
    if problem.keeps is None:
        return 0
    stock = {each.id: each for each in problem.stock}
    largest = 0
    for name, tree in boards:
        rest = _end(tree, stock[name], problem)
        if rest >= max(1, problem.keeps):
            largest = max(largest, rest * stock[name].width)
    return largest


def _end(tree: Tree, stock: BoardStock, problem: BoardProblem) -> int:
    """Return the length of what is left of a board behind its sections."""
    if not isinstance(tree, Node) or tree.plane is not Plane.CROSSCUT:
        return 0
    return stock.length - sum(tree.sizes) - len(tree.sizes) * problem.kerf_x
