"""Boards for blanks that the search for boards has no way to cut: a kind at a time.

The search crosscuts a board over its whole width, and rips each blank no longer than it
is. Where a saw does not reach that far, or a short blank does not ride the fence, a
longer piece is ripped first, the whole board if it may be, and its strips are crosscut
then. What is to be resawn and cannot be on such a strip is planed from thicker wood,
unless its maker asked for slices. Copies of one blank lie together; nothing is claimed
to be the cheapest. `lay_out` says of every tree whether the saws cut it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping
from itertools import product
from typing import TypeAlias

from nesting.model.blank import Blank
from nesting.model.problem import Problem
from nesting.model.stock import Stock
from nesting.model.terms import Form, Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.groups import Group
from nesting.solve.lumber_reach import is_ripped, strip_widths
from nesting.solve.reach import kerfs, ways_to_cut
from nesting.solve.slices import layers_in
from nesting.units import Ticks

Boards: TypeAlias = list[tuple[str, Tree]]


def ripped_first(
    wanted: Mapping[str, int],
    taken: Mapping[str, int],
    each: Group,
    problem: Problem,
    *,
    resawn: Collection[str],
    is_cut: Callable[[str, Tree], bool],
) -> Boards:
    """Return boards that hold what is wanted, as far as they can be had and cut.

    Parameters
    ----------
    wanted
        How many of each blank.
    taken
        How many pieces of each stock are used already.
    each
        The group of the blanks.
    problem
        For its saws, and for what is ripped.
    resawn
        The blanks that have to be resawn.
    is_cut
        Tells whether the saws cut a tree on stock of an id.
    """
    used = Counter(taken)
    boards: Boards = []
    for blank in [demand.blank for demand in each.demands]:
        left = wanted.get(blank.id, 0)
        while left:
            able = (
                (stock, tree, holds)
                for stock in sorted(each.stock, key=each.cost)
                if stock.limit is None or used[stock.id] < stock.limit
                for holds, tree in _trees(blank, left, stock, problem, resawn)
                if is_cut(stock.id, tree)
            )
            found = next(able, None)
            if found is None:
                break
            stock, tree, holds = found
            times = left // holds
            if stock.limit is not None:
                times = min(times, stock.limit - used[stock.id])
            boards += [(stock.id, tree)] * times
            used[stock.id] += times
            left -= times * holds
    return boards


def _trees(
    blank: Blank,
    count: int,
    stock: Stock,
    problem: Problem,
    resawn: Collection[str],
) -> Iterator[tuple[int, Tree]]:
    """Yield trees of one kind of blank and how many each holds, the fullest first."""
    if (
        stock.section not in blank.own_sections
        or blank.length > stock.usable_length
        or blank.width > stock.usable_width
    ):
        return
    ways = ways_to_cut(problem.saws, Form.BOARD, stock.thickness)
    across, along = (
        (kerfs(ways, plane) or (0, 0))[1] for plane in (Plane.CROSSCUT, Plane.RIP)
    )
    slices = layers_in(blank, stock.thickness, problem.saws)[0]
    layers = (slices,) if blank.id in resawn else sorted({1, slices}, reverse=True)
    sections = _lengths(blank, stock, problem)
    trees: dict[Tree, int] = {}
    for width, layer in product(_widths(blank, stock, problem), layers):
        most = (stock.usable_width + along) // (width + along)
        strips = {1} if most < 2 else {most, 1}
        if width == stock.width and not is_ripped(blank, stock):
            strips = {0}
        for length in sections:
            full = (length + across) // (blank.length + across)
            for row in {full, 1}:
                for wide in strips:
                    held = min(count, row * max(1, wide) * layer)
                    tree = _tree(
                        blank, stock, (length, width), (row, wide, layer), held
                    )
                    trees.setdefault(tree, held)
    yield from sorted(
        ((held, tree) for tree, held in trees.items()), key=lambda one: -one[0]
    )


def _lengths(blank: Blank, stock: Stock, problem: Problem) -> list[Ticks]:
    """Return the lengths of pieces to rip, the whole board first where it may be."""
    rough = problem.longest_rough
    reach = {blank.length, blank.width, *([] if rough is None else [rough])}
    for saw in problem.saws:
        reach.update(x for x in (saw.longest_cut, saw.widest_crosscut) if x)
    longest = min(stock.usable_length, stock.usable_length if rough is None else rough)
    lengths = sorted(
        (x for x in reach if blank.length <= x <= longest and x < stock.usable_length),
        reverse=True,
    )
    if rough is None or stock.length <= rough or not is_ripped(blank, stock):
        lengths.insert(0, stock.usable_length)
    return lengths


def _widths(blank: Blank, stock: Stock, problem: Problem) -> list[Ticks]:
    """Return how wide strips may be; the board's own width if it is not ripped."""
    widths = strip_widths(blank, stock, problem.saws)
    if is_ripped(blank, stock):
        return widths or [blank.width]
    return [*widths, stock.width]


def _tree(
    blank: Blank,
    stock: Stock,
    size: tuple[Ticks, Ticks],
    shape: tuple[int, int, int],
    held: int,
) -> Tree:
    """Return a section with so many blanks in a row, strips (0: none) and slices."""
    (length, width), (row, wide, layer) = size, shape
    left = held
    strips: list[Tree] = []
    while left > 0 and len(strips) < max(1, wide):
        rows: list[Tree] = []
        while left > 0 and len(rows) < layer:
            number = min(row, left)
            left -= number
            leaves = (Leaf(blank=blank.id),) * number
            rows.append(Node(Plane.CROSSCUT, (blank.length,) * number, leaves))
        if layer > 1 and blank.resawn is not None:
            rows = [Node(Plane.RESAW, (blank.resawn,) * len(rows), tuple(rows))]
        strips += rows
    section = strips[0]
    if wide:
        section = Node(Plane.RIP, (width,) * len(strips), tuple(strips))
    if length == stock.usable_length:
        return section
    return Node(Plane.CROSSCUT, (length,), (section,))
