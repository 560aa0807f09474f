"""Streams made into cutting trees, with their sizes in ticks again."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.model.terms import Plane
from nesting.model.tree import Leaf, Node, Tree
from nesting.solve.boards.instance import BoardInstance
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.solve.boards.streams import (
    HEAD,
    KIND,
    SECTION_HEAD,
    SECTIONS,
    SIZE,
    STRIP_HEAD,
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
