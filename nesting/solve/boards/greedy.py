"""Boards one after the other: sections, strips and rows of the most value there is.

Parts have values. Lengths for the next section are drawn from sums of the lengths of
parts; each is weighed by its worth and by what the rest of the board may still give,
and the two that promise most are really cut.
"""

from __future__ import annotations

from typing import Final, TypeAlias

from nesting.solve.boards.instance import (
    BOARD_LENGTH,
    BOARD_WIDTH,
    FAMILY,
    LAYERS,
    LENGTH,
    ROUGH,
    STAYS,
    WHOLE,
    WIDTH,
)
from nesting.solve.boards.rows import (
    CAPACITY,
    COUNTS,
    FAMILY_NOW,
    HAS_SQUARE,
    ITEMS,
    LEFT,
    LINES,
    MOST_ITEMS,
    PART,
    WORTH,
    Tables,
    refill_lines,
    tabulate,
)
from nesting.solve.boards.sections import cut_section, weigh_widths
from nesting.solve.boards.streams import (
    KIND,
    SECTION_HEAD,
    SECTIONS,
    STRIP_HEAD,
    Given,
    Plan,
    lost_at,
    room_for,
    used_length,
)
from nesting.solve.kernel import MODULUS, Ints, draw, kernel

MOST_SIZES: Final = 20
"""Lengths of sections that are weighed at a time."""
REST = 0.93  # of the best worth for its length, what the rest of a board may give
WAVER = 0.03  # the noise in what is weighed
NEVER = -1.0

# The places of the scratch.
SIZES: Final = 0
WORTHS: Final = 1
BEST: Final = 2
CHOICES: Final = 3
TRIALS: Final = 4
"""Two sections."""
BUILT: Final = 5
"""Two boards."""
SAVED: Final = 6
"""What is left of items, twice."""
RESULT: Final = 7
ALLOWED: Final = 8
"""By kind of board: whether it may be bought in this rebuilding."""
MEASURES: Final = 9
"""Numbers that do not change: see below."""
VALUE: Final = 10
"""By part: its value in this rebuilding."""
BASE: Final = 11
"""By part, twice: its value by volume, and by what it costs."""
RATES: Final = 12
"""By kind of board: what it promises for its price, in millionths."""
DUALS: Final = 13
"""By part: what it costs at least, in thousandths; 0 where that is not known."""

# The measures.
PLAN_STRIDE: Final = 0
TABLE_STRIDE: Final = 1
FAMILIES: Final = 2

Scratch: TypeAlias = tuple[Ints, ...]


@kernel
def chance(rng: Ints) -> float:
    """Return a random number between 0 and 1."""
    return draw(rng) / MODULUS


@kernel
def choose_items(
    plan: Plan, tables: Tables, given: Given, scratch: Scratch, family: int, rng: Ints
) -> int:
    """Make items of the parts that are out, of some if there are many; count them."""
    out = plan[3]
    parts = len(out)
    counts = tables[COUNTS]
    counts[FAMILY_NOW] = family
    there = 0
    for p in range(parts):
        if out[p] > 0 and given[LAYERS][family * parts + p] > 0:
            there += 1
    items = 0
    for p in range(parts):
        if out[p] == 0 or given[LAYERS][family * parts + p] == 0:
            continue
        wanted = MOST_ITEMS - items
        if there <= wanted or draw(rng) % there < wanted:
            tables[PART][items] = p
            tables[LEFT][items] = out[p]
            tables[WORTH][items] = scratch[VALUE][p]
            items += 1
        there -= 1
    counts[ITEMS] = items
    return items


@kernel
def add_size(sizes: Ints, count: int, size: int) -> int:
    """Put a size in its place among others, if it is new; return how many there are."""
    at = count
    while at > 0 and sizes[at - 1] > size:
        at -= 1
    if at > 0 and sizes[at - 1] == size:
        return count
    for i in range(count, at, -1):
        sizes[i] = sizes[i - 1]
    sizes[at] = size
    return count + 1


@kernel
def draw_sizes(tables: Tables, given: Given, sizes: Ints, most: int, rng: Ints) -> int:
    """Draw lengths for a section, at most so long, in rising order; count them."""
    items = tables[COUNTS][ITEMS]
    count = 0
    shortest = most + 1
    for i in range(items):
        if tables[LEFT][i] > 0:
            shortest = min(shortest, given[LENGTH][tables[PART][i]])
    if shortest > most:
        return 0
    count = add_size(sizes, count, most)
    for trial in range(3 * MOST_SIZES):
        if count == MOST_SIZES:
            break
        size = 0
        for _ in range(1 + trial % 3):
            i = draw(rng) % items
            if tables[LEFT][i] > 0:
                size += given[LENGTH][tables[PART][i]]
        if 0 < size <= most:
            count = add_size(sizes, count, size)
    return count


@kernel
def cut_whole(
    tables: Tables, given: Given, parts: int, kind: int, target: Ints, start: int
) -> int:
    """Cut what is as wide as the board and cannot be ripped from it; value it."""
    total = 0
    counts = tables[COUNTS]
    rest = given[BOARD_LENGTH][kind] - used_length(target, start)
    for i in range(counts[ITEMS]):
        p = tables[PART][i]
        length = given[LENGTH][p]
        if given[WHOLE][kind * parts + p] == 0 or (
            length <= given[ROUGH][kind]
            and given[WIDTH][p] + lost_at(given, length) <= given[BOARD_WIDTH][kind]
        ):
            continue
        slices = given[LAYERS][given[FAMILY][kind] * parts + p]
        if given[STAYS][p] == 1:
            slices = 1
        while tables[LEFT][i] > 0 and length <= rest:
            at = start + target[start]
            target[at] = length
            target[at + 1] = 1
            at += SECTION_HEAD
            rows = min(slices, tables[LEFT][i])
            target[at] = given[WIDTH][p]
            target[at + 1] = slices
            target[at + 2] = rows
            at += STRIP_HEAD
            for _ in range(rows):
                target[at] = 1
                target[at + 1] = p
                at += 2
            target[start] = at - start
            target[start + SECTIONS] += 1
            tables[LEFT][i] -= rows
            total += rows * tables[WORTH][i]
            rest -= length
    return total


@kernel
def fill_board(
    tables: Tables,
    given: Given,
    scratch: Scratch,
    parts: int,
    target: Ints,
    start: int,
    rng: Ints,
) -> int:
    """Cut sections of the items from what is left of a board; return their value."""
    kind = target[start + KIND]
    total = cut_whole(tables, given, parts, kind, target, start)
    rest = given[BOARD_LENGTH][kind] - used_length(target, start)
    sizes = scratch[SIZES]
    worths = scratch[WORTHS]
    stride = scratch[MEASURES][TABLE_STRIDE]
    while True:
        most = min(given[ROUGH][kind], rest)
        count = draw_sizes(tables, given, sizes, most, rng)
        if count == 0:
            break
        tables[COUNTS][CAPACITY] = min(stride - 1, 2 * most)
        tabulate(tables, given, stride, parts)
        if tables[COUNTS][LINES] == 0:
            break
        rate = 0.0
        for i in range(count):
            worths[i] = 0
            for square in range(1 + tables[COUNTS][HAS_SQUARE]):
                width = room_for(given, kind, square, 0) - lost_at(given, sizes[i])
                width = max(0, width)
                weigh_widths(
                    tables, given, stride, sizes[i], width, square, scratch[BEST]
                )
                worths[i] = max(worths[i], scratch[BEST][width])
            rate = max(rate, worths[i] / sizes[i])
        if rate <= 0.0:
            break
        value = cut_best(tables, given, scratch, target, start, count, rest, rate, rng)
        if value == 0:
            break
        total += value
        rest = given[BOARD_LENGTH][kind] - used_length(target, start)
    return total


@kernel
def rest_worth(scratch: Scratch, count: int, rate: float, rest: int) -> float:
    """Estimate what the rest of a board may be worth."""
    sizes = scratch[SIZES]
    if rest < sizes[0]:
        return 0.0
    if rest > sizes[count - 1]:
        return REST * rate * rest
    best = 0
    for i in range(count):
        if sizes[i] <= rest:
            best = max(best, scratch[WORTHS][i])
    return REST * best


@kernel
def cut_best(
    tables: Tables,
    given: Given,
    scratch: Scratch,
    target: Ints,
    start: int,
    count: int,
    rest: int,
    rate: float,
    rng: Ints,
) -> int:
    """Cut the better of the two sections that promise most; return its value."""
    sizes = scratch[SIZES]
    first = -1
    second = -1
    first_score = NEVER
    second_score = NEVER
    for i in range(count):
        if scratch[WORTHS][i] == 0:
            continue
        score = scratch[WORTHS][i] + rest_worth(scratch, count, rate, rest - sizes[i])
        score *= 1.0 + WAVER * chance(rng)
        if score > first_score:
            second = first
            second_score = first_score
            first = i
            first_score = score
        elif score > second_score:
            second = i
            second_score = score
    kind = target[start + KIND]
    items = tables[COUNTS][ITEMS]
    saved = scratch[SAVED]
    trials = scratch[TRIALS]
    result = scratch[RESULT]
    table_stride = scratch[MEASURES][TABLE_STRIDE]
    whole = tables[COUNTS][CAPACITY]
    for i in range(items):
        saved[i] = tables[LEFT][i]
    best_score = NEVER
    best_value = 0
    best_at = 0
    best_end = 0
    for trial in range(2):
        chosen = first if trial == 0 else second
        if chosen < 0:
            continue
        at = trial * scratch[MEASURES][PLAN_STRIDE]
        if trial == 1:
            for i in range(items):
                tables[LEFT][i] = saved[i]
            refill_lines(
                tables, given, result[2], min(whole, 2 * sizes[chosen]), table_stride
            )
        end = cut_section(
            tables,
            given,
            table_stride,
            sizes[chosen],
            kind,
            scratch[BEST],
            scratch[CHOICES],
            trials,
            at,
            result,
        )
        if result[0] == 0:
            continue
        score = result[0] + rest_worth(scratch, count, rate, rest - result[1])
        if score > best_score:
            best_score = score
            best_value = result[0]
            best_at = at
            best_end = end
            for i in range(items):
                saved[MOST_ITEMS + i] = tables[LEFT][i]
    if best_value == 0:
        for i in range(items):
            tables[LEFT][i] = saved[i]
        return 0
    for i in range(items):
        tables[LEFT][i] = saved[MOST_ITEMS + i]
    for i in range(best_at, best_end):
        target[start + target[start] + i - best_at] = trials[i]
    target[start] += best_end - best_at
    target[start + SECTIONS] += 1
    return best_value
