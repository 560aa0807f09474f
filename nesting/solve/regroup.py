"""Which rectangles of the same sheets are used together, so that few sheets are.

Problem: trees that a search has put on rectangles of sheets, each sheet being cut to
rectangles in one of a few ways; as few sheets as can be. Method: the largest tree
first, into the smallest rectangle that is left of sheets begun; where there is none a
sheet is begun in the way whose other rectangles hold most of the trees that are left.
Nothing is guaranteed, so what the search said is kept where it takes no more sheets.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Tree
from nesting.solve.clear import Dissection, Rect
from nesting.solve.sheets.problem import SheetPart, SheetProblem
from nesting.units import Ticks

Filled = dict[int, dict[Rect, list[Tree]]]
"""The trees on each rectangle, by the number of the way."""


class _Sized(NamedTuple):
    """A tree and what it takes."""

    length: Ticks
    width: Ticks
    tree: Tree

    def lies_in(self, rect: Rect) -> bool:
        return self.length <= rect.length and self.width <= rect.width


def sheets_of(filled: Mapping[Rect, list[Tree]]) -> int:
    """Return how many sheets of one way are used."""
    return max(map(len, filled.values()), default=0)


def regrouped(
    filled: Filled, ways: Sequence[Dissection], question: SheetProblem
) -> Filled:
    """Return the same trees on as few sheets of one kind as are found.

    Parameters
    ----------
    filled
        As the search has put them.
    ways
        In which the sheets may be cut.
    question
        Whose parts the trees hold, and whose kerfs they are cut with.
    """
    parts = {part.id: part for part in question.parts}
    sized = [
        _Sized(*_extent(tree, parts, (question.kerf_x, question.kerf_y)), tree)
        for by_rect in filled.values()
        for trees in by_rect.values()
        for tree in trees
    ]
    sized.sort(key=lambda each: -each.length * each.width)
    found: Filled = {}
    free: list[tuple[int, Rect]] = []
    while sized:
        each = sized.pop(0)
        places = [slot for slot in free if each.lies_in(slot[1])]
        if places:
            slot = min(places, key=lambda slot: _area(slot[1]))
            free.remove(slot)
        else:
            begun = [
                (number, rect)
                for number, way in enumerate(ways)
                for rect in way.rects
                if each.lies_in(rect)
            ]
            if not begun:
                return filled
            slot = max(
                begun,
                key=lambda slot: (_held(slot, ways, sized), -_area(slot[1]), -slot[0]),
            )
            rects = [*ways[slot[0]].rects]
            rects.remove(slot[1])
            free += [(slot[0], rect) for rect in rects]
        found.setdefault(slot[0], {}).setdefault(slot[1], []).append(each.tree)
    fewer = sum(map(sheets_of, found.values())) < sum(map(sheets_of, filled.values()))
    return found if fewer else filled


def _held(
    slot: tuple[int, Rect], ways: Sequence[Dissection], left: Sequence[_Sized]
) -> int:
    """Return the area of the trees that the other rectangles of a sheet hold."""
    rects = [*ways[slot[0]].rects]
    rects.remove(slot[1])
    held = 0
    taken: set[int] = set()
    for rect in rects:
        for number, each in enumerate(left):
            if number not in taken and each.lies_in(rect):
                taken.add(number)
                held += each.length * each.width
                break
    return held


def _area(rect: Rect) -> int:
    return rect.length * rect.width


def _extent(
    tree: Tree, parts: Mapping[str, SheetPart], kerfs: tuple[Ticks, Ticks]
) -> tuple[Ticks, Ticks]:
    """Return what a tree takes along x and y."""
    if isinstance(tree, Leaf):
        part = parts[tree.blank]
        size = part.length, part.width
        return size[::-1] if tree.turned else size
    if not tree.children:
        return 0, 0
    axis = 0 if tree.plane is Plane.CROSSCUT else 1
    along = sum(tree.sizes) + (len(tree.sizes) - 1) * kerfs[axis]
    across = max(_extent(child, parts, kerfs)[1 - axis] for child in tree.children)
    return (along, across) if axis == 0 else (across, along)
