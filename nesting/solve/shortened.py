"""Lumber ripped beside what nobody wants is crosscut first, where an end is kept.

A dissection rips a board, or a rough length of it, from end to end. Where its strips
leave an end that is worth keeping, it is cut off before the rip: the rest of a board is
worth more than the rests of its strips. For its sake, what lies on one side of pith is
shared with the other: each section goes to the side with less on it, the longest first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import chain

from nesting.model.blank import Blank
from nesting.model.stock import OffcutRule, Stock
from nesting.model.terms import Plane, ZoneKind
from nesting.model.tree import Node, SheetTree, Split, Tree
from nesting.solve.clear import NOTHING, Rect, usable
from nesting.solve.needed import needed
from nesting.units import Ticks


def shortened(
    tree: SheetTree,
    stock: Stock,
    *,
    blanks: Mapping[str, Blank],
    offcuts: OffcutRule,
    kerf: Ticks,
) -> SheetTree:
    """Return a tree that keeps the ends of its stock that its rips do not need.

    Parameters
    ----------
    tree
        Of the stock, its damage cut out at fixed places.
    stock
        A board.
    blanks
        Every blank the tree names, by id.
    offcuts
        Which rests are kept.
    kerf
        Of the widest saw that crosscuts it, in ticks.

    Returns
    -------
    SheetTree
        With the same blanks. Whether the saws cut it has to be seen.
    """

    def end_of(each: SheetTree | None, low: Ticks, high: Ticks) -> Ticks:
        """Return where on x what a tree needs of [low, high) ends."""
        if each is None:
            return low
        if isinstance(each, Split):
            if each.plane is Plane.RIP:
                return max(end_of(side, low, high) for side in (each.low, each.high))
            if each.high is not None:
                return end_of(each.high, each.far, high)
            return end_of(each.low, low, each.near)
        if each == NOTHING:
            return high
        return low + needed(each, Plane.CROSSCUT, blanks, kerf)

    def short(each: SheetTree | None, low: Ticks, high: Ticks) -> SheetTree | None:
        if not isinstance(each, Split):
            return each
        if each.plane is Plane.CROSSCUT:
            lost = 0 if each.haul is None else each.haul.tolerance
            return replace(
                each,
                low=short(each.low, low, each.near - lost),
                high=short(each.high, each.far + lost, high),
            )
        end = end_of(each, low, high)
        rest = high - end - kerf
        if rest <= 0 or not offcuts.keeps(stock.form, rest, stock.width):
            return each
        if any(
            zone.kind is ZoneKind.DAMAGE
            and zone.overlaps(end + kerf, 0, rest, stock.width)
            for zone in stock.zones
        ):
            return each
        return Split(Plane.CROSSCUT, end, end + kerf, _ended(each, end), None)

    whole = usable(stock)
    return short(tree, whole.low_x, whole.high_x) or tree


def _ended(tree: SheetTree | None, end: Ticks) -> SheetTree | None:
    """Return a tree without the crosscuts of its strips that lie beyond an end.

    Nothing is wanted of what lies behind them.
    """
    if not isinstance(tree, Split):
        return tree
    if tree.plane is Plane.CROSSCUT and tree.near >= end and tree.high is None:
        return _ended(tree.low, end)
    return replace(tree, low=_ended(tree.low, end), high=_ended(tree.high, end))


def shared_out(
    filled: Mapping[Rect, Tree],
    rects: Sequence[Rect],
    *,
    blanks: Mapping[str, Blank],
    kerfs: Mapping[Plane, Ticks],
) -> dict[Rect, Tree]:
    """Return the trees of clear rectangles, shared out between both sides of pith.

    Parameters
    ----------
    filled
        The tree of each rectangle that is used.
    rects
        All of a board. Two with the same ends and one width, but for an odd tick, are
        such sides.
    blanks
        Every blank the trees name, by id.
    kerfs
        The widest of each plane, in ticks.
    """

    def load(sections: Sequence[tuple[Ticks, Tree]]) -> Ticks:
        return sum(size + kerfs[Plane.CROSSCUT] for size, _ in sections)

    shared = dict(filled)
    for pair in _pairs(rects):
        used = [_sections(filled[rect]) for rect in pair if rect in filled]
        room = min(rect.width for rect in pair)
        if not all(used) or any(
            needed(child, Plane.RIP, blanks, kerfs[Plane.RIP]) > room
            for sections in used
            for _, child in sections
        ):
            continue
        sides: tuple[list[tuple[Ticks, Tree]], ...] = ([], [])
        for section in sorted(chain(*used), key=lambda each: -each[0]):
            min(sides, key=load).append(section)
        if max(map(load, sides)) >= max(map(load, used), default=0):
            continue
        for rect, side in zip(pair, sides, strict=True):
            sizes = tuple(size for size, _ in side)
            children = tuple(child for _, child in side)
            shared[rect] = Node(Plane.CROSSCUT, sizes, children)
    return shared


def _pairs(rects: Sequence[Rect]) -> list[tuple[Rect, Rect]]:
    return [
        (one, other)
        for number, one in enumerate(rects)
        for other in rects[number + 1 :]
        if one.span(0) == other.span(0) and abs(one.width - other.width) <= 1
    ]


def _sections(tree: Tree) -> list[tuple[Ticks, Tree]]:
    """Return what a tree is crosscut into; nothing where it is not."""
    if isinstance(tree, Node) and tree.plane is Plane.CROSSCUT:
        return list(zip(tree.sizes, tree.children, strict=True))
    return []
