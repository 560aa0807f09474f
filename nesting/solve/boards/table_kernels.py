"""The kernels of the board table: rows of a strip, strips of a section, sections.

All lengths are in grid units and count their kerf; all values are whole numbers of 0 or
more. A table is flat, one line of `stride` places for each step.
"""

from __future__ import annotations

from nesting.solve.kernel import Ints, kernel


@kernel
def fill_rows(sizes: Ints, values: Ints, count: int, stride: int, table: Ints) -> None:
    """Fill line i + 1 with the best of the first i + 1 items, each once, by room."""
    for x in range(stride):
        table[x] = 0
    for i in range(count):
        size = sizes[i]
        value = values[i]
        before = i * stride
        now = before + stride
        for x in range(min(size, stride)):
            table[now + x] = table[before + x]
        for x in range(size, stride):
            with_it = table[before + x - size] + value
            without = table[before + x]
            table[now + x] = with_it if with_it > without else without


@kernel
def best_of(
    first: Ints, line: int, times: int, stride: int, at: int, table: Ints
) -> None:
    """Take a line so many times over where that is more than what stands at a place."""
    for x in range(stride):
        worth = times * first[line * stride + x]
        if worth > table[at * stride + x]:
            table[at * stride + x] = worth


@kernel
def fill_sections(
    widths: Ints, count: int, strips: Ints, stride: int, most: int, table: Ints
) -> None:
    """Fill line w with the best strips side by side in a width w, by length."""
    for x in range(stride):
        table[x] = 0
    for w in range(1, most + 1):
        now = w * stride
        for x in range(stride):
            table[now + x] = table[now - stride + x]
        for j in range(count):
            width = widths[j]
            if width > w:
                break
            before = (w - width) * stride
            strip = j * stride
            for x in range(stride):
                worth = table[before + x] + strips[strip + x]
                if worth > table[now + x]:
                    table[now + x] = worth


@kernel
def fill_board(
    sections: Ints,
    line: int,
    stride: int,
    sizes: Ints,
    values: Ints,
    count: int,
    length: int,
    table: Ints,
) -> None:
    """Fill a table by length with the best sections, and whole pieces, in a row."""
    at = line * stride
    table[0] = 0
    for here in range(1, length + 1):
        best = table[here - 1]
        for x in range(1, min(stride - 1, here) + 1):
            worth = table[here - x] + sections[at + x]
            if worth > best:
                best = worth
        for i in range(count):
            if sizes[i] <= here:
                worth = table[here - sizes[i]] + values[i]
                if worth > best:
                    best = worth
        table[here] = best
