"""Kernels that note what lies on the sheets of a forest, each set of parts once.

A note of a sheet lists its pieces from the outside in: a part as `kind * 2`, plus 1 if
it is turned; a divided piece as `DIVIDED` less the axis of its cuts, then what lies in
it, then `END`. Rests are left out.
"""

from __future__ import annotations

from typing import TypeAlias

from nesting.solve.kernel import Ints, kernel
from nesting.solve.sheets.forest import (
    AXIS,
    FIRST,
    IS_DIVIDED,
    IS_PART,
    NEXT,
    NONE,
    PARENT,
    PART,
    ROOTS,
    STATE,
    Forest,
    sum_on,
)

DIVIDED = -1  # along x, and one less along y
END = -3

Notebook: TypeAlias = tuple[Ints, Ints, Ints, Ints, Ints, Ints]
"""`marks` of the kinds, numbers by chance and so large that no sums of them are equal;
`table` of the marks of all sets met, and 0, with more places than there may be sets;
`notes`, one after the other; `ends`, where each ends; `met`, the mark of each; and the
state."""

# The places of the state of a notebook.
COUNT = 0  # of sets
USED = 1  # of the room for notes
ROOM = 2  # for one note
STATE_SIZE = 3

NO_NOTES: Notebook = ([0], [0], [0], [0], [0], [1, 0, 0])
"""A full notebook."""


@kernel
def is_new(mark: int, table: Ints) -> bool:
    """Tell whether a mark was not in a table; it is now."""
    place = mark % len(table)
    while table[place] != 0:
        if table[place] == mark:
            return False
        place += 1
        if place == len(table):
            place = 0
    table[place] = mark
    return True


@kernel
def write(nodes: Ints, root: int, notes: Ints, used: int) -> int:
    """Write the note of a sheet; return where the next begins."""
    u = root
    while True:
        if nodes[u + STATE] == IS_DIVIDED:
            notes[used] = DIVIDED - nodes[u + AXIS]
            used += 1
            u = nodes[u + FIRST]
            continue
        if nodes[u + STATE] == IS_PART:
            notes[used] = nodes[u + PART]
            used += 1
        while u != root and nodes[u + NEXT] == NONE:
            notes[used] = END
            used += 1
            u = nodes[u + PARENT]
        if u == root:
            return used
        u = nodes[u + NEXT]


@kernel
def note(forest: Forest, notebook: Notebook) -> None:
    """Note every sheet of a forest that holds a set of parts not met before."""
    nodes, _, roots, _, tally = forest
    marks, table, notes, ends, met, state = notebook
    for i in range(tally[ROOTS]):
        if state[COUNT] == len(ends) or state[USED] + state[ROOM] > len(notes):
            return
        mark = sum_on(nodes, roots[i], marks)
        if is_new(mark, table):
            state[USED] = write(nodes, roots[i], notes, state[USED])
            ends[state[COUNT]] = state[USED]
            met[state[COUNT]] = mark
            state[COUNT] += 1
