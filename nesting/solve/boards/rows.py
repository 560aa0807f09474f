"""What a strip of every width and length is worth: bounded knapsacks over lengths.

A *table* belongs to strips of one kind: as thick as the board, or resawn into slices
for parts of one group; with parts that are to have square edges among them, or without.
It has a line for each item that may lie there, from the narrowest to the widest, and
says for every length the most value that a row of this and narrower items has. A *line*
is thus a width of strips.
"""

from __future__ import annotations

from typing import Any, Final, TypeAlias

from nesting.solve.boards.instance import GROUP, LAYERS, LENGTH, SQUARE, STAYS
from nesting.solve.boards.streams import Given
from nesting.solve.kernel import Ints, kernel, kernel_for

MOST_ITEMS: Final = 40
"""Kinds of parts that are looked at together."""
NO_LINE: Final = -1

# The places of the counts of tables.
ITEMS: Final = 0
LINES: Final = 1
CAPACITY: Final = 2
FAMILY_NOW: Final = 3
EFFORT: Final = 4
HAS_SQUARE: Final = 5
"""Whether there are lines with parts that are to have square edges."""
COUNTS_SIZE: Final = 6

# The places of the tables.
PART: Final = 0
"""By item: the part, in the order of widths."""
LEFT: Final = 1
"""By item: how many are to be had."""
WORTH: Final = 2
"""By item: the value of one."""
ITEM: Final = 3
"""By line: its item."""
BEFORE: Final = 4
"""By line: the line before it in its table."""
SLICES: Final = 5
"""By line: how many slices a strip gives; 1 when it is not resawn."""
IS_SQUARE: Final = 6
"""By line: whether parts that are to have square edges may be among it."""
VALUES: Final = 7
"""By line and length."""
COUNTS: Final = 8

Tables: TypeAlias = tuple[Ints, ...]


def add_copies(
    values: Ints, before: int, line: int, size: int, shift: int, worth: int
) -> None:
    """Let a line of values have what the line before has, moved and dearer."""
    for x in range(size - shift):
        better = values[before + x] + worth
        if better > values[line + shift + x]:
            values[line + shift + x] = better


@kernel_for(add_copies)
def _add_copies_quickly(
    values: Any, before: int, line: int, size: int, shift: int, worth: int
) -> None:
    # Views from 0 upwards, which the compiler can make vectors of.
    source = values[before : before + size - shift]
    target = values[line + shift : line + size]
    for x in range(size - shift):
        target[x] = max(target[x], source[x] + worth)


def copy_line(values: Ints, before: int, line: int, size: int) -> None:
    """Make a line of values like the line before."""
    values[line : line + size] = values[before : before + size]


@kernel_for(copy_line)
def _copy_line_quickly(values: Any, before: int, line: int, size: int) -> None:
    source = values[before : before + size]
    target = values[line : line + size]
    for x in range(size):
        target[x] = source[x]


@kernel
def fill_line(
    tables: Tables, given: Given, line: int, capacity: int, stride: int
) -> None:
    """Fill a line with values up to a capacity, from the line before."""
    values = tables[VALUES]
    item = tables[ITEM][line]
    before = tables[BEFORE][line]
    length = given[LENGTH][tables[PART][item]]
    worth = tables[WORTH][item]
    size = capacity + 1
    copies = min(tables[LEFT][item], capacity // length)
    tables[COUNTS][EFFORT] += (copies + 1) * capacity
    start = line * stride
    if before == NO_LINE:
        for x in range(min(size, length)):
            values[start + x] = 0
        for x in range(length, size):
            values[start + x] = min(x // length, copies) * worth
        return
    copy_line(values, before * stride, start, size)
    for n in range(1, copies + 1):
        add_copies(values, before * stride, start, size, n * length, n * worth)


@kernel
def refill_lines(
    tables: Tables, given: Given, first: int, capacity: int, stride: int
) -> None:
    """Fill the lines of an item and of wider ones again: fewer or more are left."""
    for line in range(tables[COUNTS][LINES]):
        if tables[ITEM][line] >= first:
            fill_line(tables, given, line, capacity, stride)


@kernel
def add_line(
    tables: Tables,
    given: Given,
    item: int,
    before: int,
    slices: int,
    square: int,
    stride: int,
) -> int:
    """Add a line for an item behind another line; return its number."""
    counts = tables[COUNTS]
    line = counts[LINES]
    counts[LINES] += 1
    tables[ITEM][line] = item
    tables[BEFORE][line] = before
    tables[SLICES][line] = slices
    tables[IS_SQUARE][line] = square
    fill_line(tables, given, line, counts[CAPACITY], stride)
    return line


@kernel
def tabulate(tables: Tables, given: Given, stride: int, parts: int) -> None:
    """Make all tables for the items that are left, up to the capacity."""
    counts = tables[COUNTS]
    counts[LINES] = 0
    counts[HAS_SQUARE] = 0
    for i in range(counts[ITEMS]):
        if tables[LEFT][i] > 0 and given[SQUARE][tables[PART][i]] == 1:
            counts[HAS_SQUARE] = 1
    for square in range(1 + counts[HAS_SQUARE]):
        tabulate_thick(tables, given, square, stride, parts)
    family = counts[FAMILY_NOW] * parts
    for i in range(counts[ITEMS]):
        slices = given[LAYERS][family + tables[PART][i]]
        if tables[LEFT][i] == 0 or slices < 2:
            continue
        group = given[GROUP][family + tables[PART][i]]
        seen = False
        for j in range(i):
            if tables[LEFT][j] > 0 and given[GROUP][family + tables[PART][j]] == group:
                seen = True
        if not seen:
            for square in range(1 + counts[HAS_SQUARE]):
                tabulate_group(tables, given, i, group, slices, square, stride, parts)


@kernel
def tabulate_thick(
    tables: Tables, given: Given, square: int, stride: int, parts: int
) -> None:
    """Make the table of parts on strips as thick as the board."""
    family = tables[COUNTS][FAMILY_NOW] * parts
    line = NO_LINE
    for i in range(tables[COUNTS][ITEMS]):
        p = tables[PART][i]
        if (
            tables[LEFT][i] > 0
            and given[SQUARE][p] <= square
            and (given[LAYERS][family + p] == 1 or given[STAYS][p] == 1)
        ):
            line = add_line(tables, given, i, line, 1, square, stride)


@kernel
def tabulate_group(
    tables: Tables,
    given: Given,
    first: int,
    group: int,
    slices: int,
    square: int,
    stride: int,
    parts: int,
) -> None:
    """Make the table of one group of parts to be resawn."""
    family = tables[COUNTS][FAMILY_NOW] * parts
    line = NO_LINE
    for i in range(first, tables[COUNTS][ITEMS]):
        p = tables[PART][i]
        if (
            tables[LEFT][i] > 0
            and given[SQUARE][p] <= square
            and given[GROUP][family + p] == group
        ):
            line = add_line(tables, given, i, line, slices, square, stride)


@kernel
def value_of_strips(tables: Tables, stride: int, line: int, x: int, count: int) -> int:
    """Return at most what so many strips of one line and length are worth."""
    values = tables[VALUES]
    rows = count * tables[SLICES][line]
    one = values[line * stride + x]
    if rows == 1:
        return one
    whole = values[line * stride + min(tables[COUNTS][CAPACITY], rows * x)]
    return min(rows * one, whole)


@kernel
def write_row(
    tables: Tables, given: Given, stride: int, line: int, x: int, target: Ints, at: int
) -> int:
    """Write the best row of a line and length; its parts are taken. Return its end."""
    values = tables[VALUES]
    count = 0
    room = x
    while line != NO_LINE:
        before = tables[BEFORE][line]
        item = tables[ITEM][line]
        length = given[LENGTH][tables[PART][item]]
        worth = tables[WORTH][item]
        want = values[line * stride + room]
        taken = 0
        while True:
            rest = 0
            if before != NO_LINE:
                rest = values[before * stride + room - taken * length]
            if rest + taken * worth >= want:
                break
            taken += 1
        for _ in range(taken):
            count += 1
            target[at + count] = tables[PART][item]
        tables[LEFT][item] -= taken
        room -= taken * length
        line = before
    target[at] = count
    return at + 1 + count
