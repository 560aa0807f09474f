"""An internal check of the search's answers: sizes add up, every part placed once."""

from __future__ import annotations

from collections import Counter

from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Tree
from nesting.solve.sheets.problem import (
    SheetAnswer,
    SheetPart,
    SheetProblem,
    SheetStock,
)


def check_answer(problem: SheetProblem, answer: SheetAnswer) -> None:
    """Assert that an answer is a possible one for its problem."""
    parts = {part.id: part for part in problem.parts}
    stock = {each.id: each for each in problem.stock}
    placed: Counter[str] = Counter()
    for name, tree in answer.sheets:
        sheet = stock[name]
        _check(problem, parts, sheet, tree, sheet.length, sheet.width, placed)
    for name, count in answer.unplaced:
        assert count > 0
        placed[name] += count
    assert placed == Counter({p.id: p.quantity for p in problem.parts if p.quantity})
    used = Counter(name for name, _ in answer.sheets)
    for name, count in used.items():
        limit = stock[name].limit
        assert limit is None or count <= limit
    assert answer.cost == sum(stock[name].cost for name, _ in answer.sheets)
    if not answer.unplaced:
        assert answer.lower_bound <= answer.cost


def depth_of(tree: Tree) -> int:
    """Return how many levels of cuts a tree has."""
    if isinstance(tree, Leaf):
        return 0
    return 1 + max(map(depth_of, tree.children), default=0)


def _check(
    problem: SheetProblem,
    parts: dict[str, SheetPart],
    sheet: SheetStock,
    tree: Tree,
    length: int,
    width: int,
    placed: Counter[str],
) -> None:
    if isinstance(tree, Leaf):
        part = parts[tree.blank]
        size = (part.length, part.width)
        if tree.turned:
            size = (part.width, part.length)
        assert size[0] <= length
        assert size[1] <= width
        if part.grain_bound:
            assert tree.turned is not sheet.grain_along_length
        placed[tree.blank] += 1
        return
    along = tree.plane is Plane.CROSSCUT
    kerf = problem.kerf_x if along else problem.kerf_y
    room = (length if along else width) + kerf
    assert len(tree.sizes) == len(tree.children) > 0
    assert sum(size + kerf for size in tree.sizes) <= room
    for size, child in zip(tree.sizes, tree.children, strict=True):
        if not isinstance(child, Leaf):
            assert child.plane is not tree.plane
        inner = (size, width) if along else (length, size)
        _check(problem, parts, sheet, child, *inner, placed)
