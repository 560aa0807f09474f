"""What strips lose at the rounded edges of their board.

Strips beside each other have two outer edges, where the board is rounded. A strip that
is to have square edges loses the rounded part first, and the kerf of that rip falls in
it (common practice); any other strip keeps it. So strips of either kind are laid with
the others outside, and what is lost depends on how many of those there are.

A crooked board has to get a straight edge before it is ripped, which costs the more
width the longer the section is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from nesting.model.stock import lost_to_crook
from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.units import Ticks


def room_across(stock: BoardStock, square: int, plain: int) -> Ticks:
    """Return the width there is for strips side by side.

    Parameters
    ----------
    stock
        The board.
    square, plain
        How many of the strips are to have square edges, and how many are not.
    """
    return stock.width - stock.eased * (max(0, 2 - plain) if square else 0)


def lost_across(problem: BoardProblem, length: Ticks) -> Ticks:
    """Return what a section so long loses of its width where it is ripped."""
    return lost_to_crook(problem.crook, length)


def keeps_none(boards: Sequence[tuple[str, Tree]], problem: BoardProblem) -> bool:
    """Tell whether all strips that are to have square edges find room to lose theirs.

    Parameters
    ----------
    boards
        (stock id, tree), of the class of the problem but for the edges.
    problem
        Whose kerf counts.
    """
    parts = {part.id: part for part in problem.parts}
    stock = {each.id: each for each in problem.stock}
    return all(
        _finds_room(section, length, stock[name], parts, problem)
        for name, tree in boards
        for length, section in _sections(tree, stock[name])
    )


def _sections(tree: Tree, stock: BoardStock) -> Iterable[tuple[Ticks, Tree]]:
    """Return the sections of a board with their lengths."""
    if isinstance(tree, Node) and tree.plane is Plane.CROSSCUT:
        return zip(tree.sizes, tree.children, strict=True)
    return ((stock.length, tree),)


def _finds_room(
    section: Tree,
    length: Ticks,
    stock: BoardStock,
    parts: Mapping[str, BoardPart],
    problem: BoardProblem,
) -> bool:
    if isinstance(section, Node) and section.plane is Plane.RIP:
        square = sum(_is_square(strip, parts) for strip in section.children)
        plain = len(section.children) - square
        kerfs = (len(section.children) - 1) * problem.kerf_y
        room = room_across(stock, square, plain) - lost_across(problem, length)
        return sum(section.sizes) + kerfs <= room
    for part in (parts[name] for name in _held(section)):
        if part.width == stock.width and not (part.square and stock.eased):
            continue
        lost = lost_across(problem, part.length)
        room = room_across(stock, int(part.square), 0) - lost
        if (problem.crook or part.square) and max(
            part.width, problem.narrowest_rip
        ) > room:
            return False
    return True


def _is_square(strip: Tree, parts: Mapping[str, BoardPart]) -> bool:
    return any(parts[name].square for name in _held(strip))


def _held(tree: Tree) -> Iterable[str]:
    if isinstance(tree, Leaf):
        return (tree.blank,)
    return (name for child in tree.children for name in _held(child))
