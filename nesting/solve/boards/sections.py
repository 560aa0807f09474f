"""What a section of a length is worth at every width, and how one is cut.

The worth is a knapsack over strips; a line of a table may be used several times, at no
more than what its parts are worth in one long row. That is an estimate: two lines may
count on the same part. A section is then really cut strip by strip, the estimate made
again with what is left.
"""

from __future__ import annotations

from typing import Final

from nesting.solve.boards.instance import LENGTH, SQUARE, WIDTH
from nesting.solve.boards.rows import (
    BEFORE,
    CAPACITY,
    COUNTS,
    EFFORT,
    HAS_SQUARE,
    IS_SQUARE,
    ITEM,
    ITEMS,
    LINES,
    NO_LINE,
    PART,
    SLICES,
    WORTH,
    Tables,
    refill_lines,
    value_of_strips,
    write_row,
)
from nesting.solve.boards.streams import (
    SECTION_HEAD,
    STRIP_HEAD,
    Given,
    lost_at,
    room_for,
)
from nesting.solve.kernel import Ints, kernel

_MOST_ALIKE: Final = 3  # strips of one line in one section


@kernel
def weigh_widths(
    tables: Tables,
    given: Given,
    stride: int,
    x: int,
    width: int,
    square: int,
    best: Ints,
) -> None:
    """Fill `best` with the worth of a section of length x, by width up to `width`.

    With `square` 0, no strip is to have square edges.
    """
    for y in range(width + 1):
        best[y] = 0
    for line in range(tables[COUNTS][LINES]):
        w = given[WIDTH][tables[PART][tables[ITEM][line]]]
        if w > width or tables[IS_SQUARE][line] > square:
            continue
        one = value_of_strips(tables, stride, line, x, 1)
        before = tables[BEFORE][line]
        if one <= 0 or (
            before != NO_LINE and value_of_strips(tables, stride, before, x, 1) == one
        ):
            continue
        most = min(_MOST_ALIKE, width // w)
        two = 0
        three = 0
        if most > 1:
            two = value_of_strips(tables, stride, line, x, 2)
            if two <= one:
                most = 1
        if most > 2:
            three = value_of_strips(tables, stride, line, x, 3)
            if three <= two:
                most = 2
        for y in range(width, w - 1, -1):
            value = max(best[y], best[y - w] + one)
            if most > 1 and y >= 2 * w:
                value = max(value, best[y - 2 * w] + two)
                if most > 2 and y >= 3 * w:
                    value = max(value, best[y - 3 * w] + three)
            best[y] = value
        tables[COUNTS][EFFORT] += most * (width - w)


@kernel
def best_strip(
    tables: Tables,
    given: Given,
    stride: int,
    x: int,
    width: int,
    square: int,
    best: Ints,
    choices: Ints,
) -> int:
    """Return the line of the strip to cut first from a section, or NO_LINE.

    What the whole section is worth is the last of `best`.
    """
    across = width + 1
    for y in range(across):
        best[y] = 0
    lines = tables[COUNTS][LINES]
    for line in range(lines):
        start = line * across
        for y in range(across):
            choices[start + y] = 0
        w = given[WIDTH][tables[PART][tables[ITEM][line]]]
        if w > width or tables[IS_SQUARE][line] > square:
            continue
        one = value_of_strips(tables, stride, line, x, 1)
        before = tables[BEFORE][line]
        if one <= 0 or (
            before != NO_LINE and value_of_strips(tables, stride, before, x, 1) == one
        ):
            continue
        tables[COUNTS][EFFORT] += _MOST_ALIKE * (width - w)
        for count in range(_MOST_ALIKE, 0, -1):
            if count * w > width:
                continue
            worth = value_of_strips(tables, stride, line, x, count)
            values_of_count(best, choices, start, w, width, worth, count)
        for y in range(width, w - 1, -1):
            best[y] = max(best[y], choices[start + y] // 4)
            # In the choices: the value and, in the last two bits, the count.
        for y in range(width + 1):
            choices[start + y] %= 4
    y = width
    found = NO_LINE
    most = 0
    for line in range(lines - 1, -1, -1):
        count = choices[line * across + y]
        if count > 0:
            worth = value_of_strips(tables, stride, line, x, 1)
            if worth > most:
                most = worth
                found = line
            y -= count * given[WIDTH][tables[PART][tables[ITEM][line]]]
    return found


@kernel
def values_of_count(
    best: Ints,
    choices: Ints,
    start: int,
    w: int,
    width: int,
    worth: int,
    count: int,
) -> None:
    """Note where so many strips of one line do better than what is noted."""
    for y in range(width, count * w - 1, -1):
        value = best[y - count * w] + worth
        if value > best[y] and value > choices[start + y] // 4:
            choices[start + y] = 4 * value + count


@kernel
def cut_section(
    tables: Tables,
    given: Given,
    stride: int,
    x: int,
    kind: int,
    best: Ints,
    choices: Ints,
    target: Ints,
    at: int,
    result: Ints,
) -> int:
    """Cut a section at most x long; the parts are taken. Return its end in `target`.

    Strips with square edges leave less of the width of a board of this kind, the
    others may have all of it; as long as there are none of the former, both are tried.
    The result is its value and its length, 0 if nothing fits, and the first item whose
    lines are no longer what they were.
    """
    result[2] = tables[COUNTS][ITEMS]
    counts = tables[COUNTS]
    old = counts[CAPACITY]
    counts[CAPACITY] = min(old, 2 * x)
    i = at + SECTION_HEAD
    has_square = counts[HAS_SQUARE]
    lost = lost_at(given, x)
    taken = 0
    square = 0
    strips = 0
    value = 0
    longest = 0
    while True:
        plain = strips - square
        left = max(0, room_for(given, kind, has_square, plain) - taken - lost)
        line = best_strip(tables, given, stride, x, left, 1, best, choices)
        if has_square == 1 and square == 0 and plain < 2:
            worth = best[left]
            left = max(0, room_for(given, kind, 0, plain) - taken - lost)
            other = best_strip(tables, given, stride, x, left, 0, best, choices)
            if best[left] > worth:
                line = other
        if line == NO_LINE:
            break
        strip = i
        slices = tables[SLICES][line]
        i += STRIP_HEAD
        rows = 0
        across = 0
        asks = 0
        while rows < slices:
            end = write_row(tables, given, stride, line, x, target, i)
            if end == i + 1:
                break
            rows += 1
            used = 0
            first = counts[ITEMS]
            for j in range(i + 1, end):
                p = target[j]
                item = item_of(tables, p)
                first = min(first, item)
                used += given[LENGTH][p]
                across = max(across, given[WIDTH][p])
                asks = max(asks, given[SQUARE][p])
                value += tables[WORTH][item]
            longest = max(longest, used)
            i = end
            refill_lines(tables, given, first, counts[CAPACITY], stride)
            result[2] = min(result[2], first)
        target[strip] = across
        target[strip + 1] = slices
        target[strip + 2] = rows
        taken += across
        square += asks
        strips += 1
    target[at] = longest
    target[at + 1] = strips
    counts[CAPACITY] = old
    result[0] = value
    result[1] = longest
    return i


@kernel
def item_of(tables: Tables, p: int) -> int:
    """Return the item that a part is."""
    low = 0
    high = tables[COUNTS][ITEMS] - 1
    while low < high:
        middle = (low + high) // 2
        if tables[PART][middle] < p:
            low = middle + 1
        else:
            high = middle
    return low
