"""Streams made into cutting trees, with their sizes in ticks again, and back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.boards.instance import (
    BOARD_LENGTH,
    FAMILY,
    LAYERS,
    LENGTH,
    ROUGH,
    SQUARE,
    WHOLE,
    WIDTH,
    BoardInstance,
)
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.solve.boards.streams import (
    HEAD,
    KIND,
    SECTION_HEAD,
    SECTIONS,
    SIZE,
    STRIP_HEAD,
    lost_at,
    room_for,
)
from nesting.units import Ticks


def trees_of(
    streams: Sequence[Sequence[int]], instance: BoardInstance
) -> tuple[tuple[str, Tree], ...]:
    """Return (stock id, tree) of every board, in the order of the stock."""
    problem = instance.problem
    found = []
    for stream in sorted(streams, key=lambda each: (each[KIND], list(each))):
        stock = problem.stock[stream[KIND]]
        found.append((stock.id, _board(stream, stock, instance)))
    return tuple(found)


def _board(stream: Sequence[int], stock: BoardStock, instance: BoardInstance) -> Tree:
    sections: list[tuple[Ticks, Tree]] = []
    at = HEAD
    for _ in range(stream[SECTIONS]):
        strips: list[tuple[int, list[list[BoardPart]]]] = []
        count = stream[at + 1]
        at += SECTION_HEAD
        for _ in range(count):
            slices, rows = stream[at + 1], stream[at + 2]
            at += STRIP_HEAD
            strip = []
            for _ in range(rows):
                end = at + 1 + stream[at]
                strip.append([instance.parts[p] for p in stream[at + 1 : end]])
                at = end
            strips.append((slices, strip))
        sections.append(section_tree(strips, stock, instance.problem))
    assert at == stream[SIZE]
    sections.sort(key=lambda each: -each[0])
    return node_of(Plane.CROSSCUT, sections, stock.length)


def section_tree(
    strips: Sequence[tuple[int, Sequence[Sequence[BoardPart]]]],
    stock: BoardStock,
    problem: BoardProblem,
) -> tuple[Ticks, Tree]:
    """Return the length of a section, and its tree.

    Parameters
    ----------
    strips
        Of each, how many slices it is resawn into (or 1), and its rows of parts.
    stock
        The board it is a section of.
    problem
        For the kerfs.
    """
    kerf = problem.kerf_x
    length = max(
        sum(part.length + kerf for part in row) - kerf
        for _, rows in strips
        for row in rows
    )
    made = []
    for slices, rows in strips:
        width = max(part.width for row in rows for part in row)
        width = max(width, min(stock.width, problem.narrowest_rip))
        made.append((Ticks(width), _strip(slices, rows, length)))
    made.sort(key=lambda each: -each[0])
    return Ticks(length), node_of(Plane.RIP, made, stock.width)


def _strip(slices: int, rows: Sequence[Sequence[BoardPart]], length: int) -> Tree:
    if slices == 1:
        return _row(rows[0], length)
    return Node(
        Plane.RESAW,
        tuple(row[0].thickness for row in rows),
        tuple(_row(row, length) for row in rows),
    )


def _row(parts: Sequence[BoardPart], length: int) -> Tree:
    ordered = sorted(parts, key=lambda part: (-part.length, -part.width, part.id))
    return node_of(
        Plane.CROSSCUT, [(part.length, Leaf(part.id)) for part in ordered], length
    )


def node_of(plane: Plane, pieces: Sequence[tuple[Ticks, Tree]], whole: int) -> Tree:
    """Return a node, or its only child where that has the whole size."""
    if len(pieces) == 1 and pieces[0][0] == whole:
        return pieces[0][1]
    return Node(
        plane,
        tuple(size for size, _ in pieces),
        tuple(child for _, child in pieces),
    )


def streams_of(
    boards: Sequence[tuple[str, Tree]], instance: BoardInstance
) -> list[list[int]] | None:
    """Return the streams of a plan, or None where it does not fit in whole cells.

    Parameters
    ----------
    boards
        (stock id, tree), of the class of the problem.
    instance
        The problem in cells.
    """
    kinds = {stock.id: kind for kind, stock in enumerate(instance.problem.stock)}
    places = {part.id: place for place, part in enumerate(instance.parts)}
    streams = []
    for name, tree in boards:
        kind = kinds[name]
        stream = [0, kind, 0]
        used = 0
        for section in _children(tree, Plane.CROSSCUT):
            found = _section(section, kind, places, instance)
            if found is None:
                return None
            used += found[0]
            stream += found
            stream[SECTIONS] += 1
        if used > instance.given[BOARD_LENGTH][kind]:
            return None
        stream[SIZE] = len(stream)
        streams.append(stream)
    return streams


def _children(tree: Tree, plane: Plane) -> Sequence[Tree]:
    """Return what a plane divides a tree into: itself alone, if it does not."""
    if isinstance(tree, Node) and tree.plane is plane:
        return tree.children
    return (tree,)


def _section(
    tree: Tree, kind: int, places: Mapping[str, int], instance: BoardInstance
) -> list[int] | None:
    """Return the numbers of one section, or None where cells do not hold it."""
    given = instance.given
    length = across = square = 0
    is_whole = True
    stream = [0, 0]
    strips = _children(tree, Plane.RIP)
    for strip in strips:
        slices = 1
        resawn = _children(strip, Plane.RESAW)
        rows = [
            [places[leaf.blank] for leaf in _children(row, Plane.CROSSCUT)]  # type: ignore[union-attr]
            for row in resawn
        ]
        parts = [p for row in rows for p in row]
        if resawn != (strip,):
            slices = given[LAYERS][given[FAMILY][kind] * len(places) + parts[0]]
        width = max(given[WIDTH][p] for p in parts)
        length = max(length, *(sum(given[LENGTH][p] for p in row) for row in rows))
        across += width
        square += any(given[SQUARE][p] for p in parts)
        is_whole &= any(given[WHOLE][kind * len(places) + p] for p in parts)
        stream += [width, slices, len(rows)]
        for row in rows:
            stream += [len(row), *row]
    stream[0], stream[1] = length, len(strips)
    if len(strips) == 1 and is_whole:
        return stream
    room = room_for(instance.given, kind, square, len(strips) - square)
    room -= lost_at(instance.given, length)
    return stream if length <= given[ROUGH][kind] and across <= room else None
