"""Plans as rows of numbers: one stream for each board.

A stream is its own length, the kind of board and the number of sections; then of each
section its length and the number of strips; of each strip its width, the number of its
slices when it is resawn (else 1) and the number of its rows; of each row the number of
its parts, and the parts. A row runs along a slice, or along the strip. Sizes are in
cells, as parts are: with a kerf.
"""

from __future__ import annotations

from typing import Final, TypeAlias

from nesting.solve.boards.instance import (
    BOARD_LENGTH,
    BOARD_WIDTH,
    COST,
    FAMILY,
    GROUP,
    KEEPS,
    LAYERS,
    LENGTH,
    LOST,
    PENALTY,
    ROUGH,
    SQUARE,
    SQUARE_WIDTH,
    STAYS,
    WIDTH,
)
from nesting.solve.kernel import Ints, kernel

SIZE: Final = 0
KIND: Final = 1
SECTIONS: Final = 2
HEAD: Final = 3
"""Where the first section begins."""
SECTION_HEAD: Final = 2
STRIP_HEAD: Final = 3
MOST_PER_PART: Final = SECTION_HEAD + STRIP_HEAD + 2

# The places of a plan's tally.
BOARDS: Final = 0
PRICE: Final = 1
OUT: Final = 2
"""The penalties of the parts that are out."""
TALLY_SIZE: Final = 3

Plan: TypeAlias = tuple[Ints, Ints, Ints, Ints]
"""Streams, one every `stride`; the tally; boards left by kind; parts out by kind."""
Given: TypeAlias = tuple[Ints, ...]


@kernel
def copy_stream(source: Ints, start: int, target: Ints, at: int) -> None:
    """Copy one stream."""
    for i in range(source[start]):
        target[at + i] = source[start + i]


@kernel
def copy_plan(source: Plan, target: Plan, stride: int) -> None:
    """Make one plan like another."""
    for b in range(source[1][BOARDS]):
        copy_stream(source[0], b * stride, target[0], b * stride)
    for i in range(TALLY_SIZE):
        target[1][i] = source[1][i]
    for i in range(len(source[2])):
        target[2][i] = source[2][i]
    for i in range(len(source[3])):
        target[3][i] = source[3][i]


@kernel
def after_strip(streams: Ints, strip: int) -> int:
    """Return where what follows the strip at a place begins."""
    i = strip + STRIP_HEAD
    for _ in range(streams[strip + 2]):
        i += 1 + streams[i]
    return i


@kernel
def after_section(streams: Ints, at: int) -> int:
    """Return where the section after the one at `at` begins."""
    i = at + SECTION_HEAD
    for _ in range(streams[at + 1]):
        i = after_strip(streams, i)
    return i


@kernel
def room_for(given: Given, kind: int, square: int, plain: int) -> int:
    """Return the width of a board for strips with square edges, and without."""
    if square == 0 or plain > 1:
        return given[BOARD_WIDTH][kind]
    return given[SQUARE_WIDTH][2 * kind + plain]


@kernel
def lost_at(given: Given, x: int) -> int:
    """Return what a section x long loses of its width where it is ripped."""
    lengths = len(given[LOST])
    if lengths == 0:
        return 0
    return given[LOST][min(x, lengths - 1)]


@kernel
def is_square(streams: Ints, strip: int, given: Given) -> bool:
    """Tell whether a part of the strip at a place is to have square edges."""
    i = strip + STRIP_HEAD
    for _ in range(streams[strip + 2]):
        for j in range(i + 1, i + 1 + streams[i]):
            if given[SQUARE][streams[j]] == 1:
                return True
        i += 1 + streams[i]
    return False


@kernel
def count_square(streams: Ints, at: int, given: Given) -> int:
    """Return how many strips of the section at `at` are to have square edges."""
    count = 0
    strip = at + SECTION_HEAD
    for _ in range(streams[at + 1]):
        if is_square(streams, strip, given):
            count += 1
        strip = after_strip(streams, strip)
    return count


@kernel
def width_across(streams: Ints, at: int) -> int:
    """Return what the strips of the section at `at` take of the width."""
    across = 0
    strip = at + SECTION_HEAD
    for _ in range(streams[at + 1]):
        across += streams[strip]
        strip = after_strip(streams, strip)
    return across


@kernel
def count_section(streams: Ints, at: int, out: Ints, step: int) -> None:
    """Add `step` to the count of every part of the section at `at`."""
    i = at + SECTION_HEAD
    for _ in range(streams[at + 1]):
        rows = streams[i + 2]
        i += STRIP_HEAD
        for _ in range(rows):
            parts = streams[i]
            for j in range(i + 1, i + 1 + parts):
                out[streams[j]] += step
            i += 1 + parts


@kernel
def count_board(streams: Ints, start: int, out: Ints, step: int) -> None:
    """Add `step` to the count of every part of a board."""
    at = start + HEAD
    for _ in range(streams[start + SECTIONS]):
        count_section(streams, at, out, step)
        at = after_section(streams, at)


@kernel
def used_length(streams: Ints, start: int) -> int:
    """Return how many cells of a board its sections take."""
    used = 0
    at = start + HEAD
    for _ in range(streams[start + SECTIONS]):
        used += streams[at]
        at = after_section(streams, at)
    return used


@kernel
def largest_rest(plan: Plan, given: Given, stride: int) -> int:
    """Return the area of the largest end of a board that is worth keeping, or 0."""
    largest = 0
    for b in range(plan[1][BOARDS]):
        kind = plan[0][b * stride + KIND]
        rest = given[BOARD_LENGTH][kind] - used_length(plan[0], b * stride)
        if rest >= given[KEEPS][kind]:
            largest = max(largest, rest * given[BOARD_WIDTH][kind])
    return largest


@kernel
def tally_out(plan: Plan, given: Given) -> None:
    """Add up the penalties of what is out."""
    total = 0
    for p in range(len(plan[3])):
        total += plan[3][p] * given[PENALTY][p]
    plan[1][OUT] = total


@kernel
def remove_board(plan: Plan, given: Given, stride: int, b: int) -> None:
    """Put a board back; the last one takes its place."""
    streams, tally, left, out = plan
    count_board(streams, b * stride, out, 1)
    kind = streams[b * stride + KIND]
    left[kind] += 1
    tally[PRICE] -= given[COST][kind]
    tally[BOARDS] -= 1
    if b != tally[BOARDS]:
        copy_stream(streams, tally[BOARDS] * stride, streams, b * stride)


@kernel
def remove_section(plan: Plan, stride: int, b: int, number: int) -> None:
    """Take one section out of a board."""
    streams, _, _, out = plan
    start = b * stride
    at = start + HEAD
    for _ in range(number):
        at = after_section(streams, at)
    count_section(streams, at, out, 1)
    end = after_section(streams, at)
    size = streams[start]
    for i in range(end, start + size):
        streams[at + i - end] = streams[i]
    streams[start] = size - (end - at)
    streams[start + SECTIONS] -= 1


@kernel
def add_board(plan: Plan, given: Given, stride: int, source: Ints, start: int) -> None:
    """Add a board from another place; its parts are no longer out."""
    streams, tally, left, out = plan
    copy_stream(source, start, streams, tally[BOARDS] * stride)
    count_board(source, start, out, -1)
    kind = source[start + KIND]
    left[kind] -= 1
    tally[PRICE] += given[COST][kind]
    tally[BOARDS] += 1


@kernel
def open_up(streams: Ints, start: int, at: int, count: int) -> None:
    """Make room for so many numbers at a place of a stream."""
    for i in range(start + streams[start] - 1, at - 1, -1):
        streams[i + count] = streams[i]
    streams[start] += count


@kernel
def insert_part(plan: Plan, given: Given, stride: int, b: int, p: int) -> bool:
    """Put a part into the free end of a row, or of a section's width, if there is one.

    Sections keep their lengths and strips their widths.
    """
    streams, _, _, out = plan
    start = b * stride
    kind = streams[start + KIND]
    layers = given[LAYERS][given[FAMILY][kind] * len(out) + p]
    if layers == 0:
        return False
    group = given[GROUP][given[FAMILY][kind] * len(out) + p]
    length = given[LENGTH][p]
    width = given[WIDTH][p]
    may_be_thick = layers == 1 or given[STAYS][p] == 1
    asks = given[SQUARE][p]
    at = start + HEAD
    for _ in range(streams[start + SECTIONS]):
        x = streams[at]
        if x > given[ROUGH][kind]:  # not to be ripped: nothing goes beside
            at = after_section(streams, at)
            continue
        across = width_across(streams, at)
        square = 0
        if given[SQUARE_WIDTH][2 * kind] < given[BOARD_WIDTH][kind]:
            square = count_square(streams, at, given)
        plain = streams[at + 1] - square
        # Whether the part may make its strip one with square edges, if it asks.
        lost = lost_at(given, x)
        turned = room_for(given, kind, square + 1, max(0, plain - 1)) - lost
        may_turn = asks == 0 or across <= turned
        free = room_for(given, kind, square + asks, plain + 1 - asks) - across - lost
        i = at + SECTION_HEAD
        for _ in range(streams[at + 1]):
            strip = i
            i += STRIP_HEAD
            rows = streams[strip + 2]
            resawn = streams[strip + 1]
            same = streams[strip] >= width and (
                may_be_thick
                if resawn == 1
                else resawn == layers
                and given[GROUP][given[FAMILY][kind] * len(out) + streams[i + 1]]
                == group
            )
            same = same and (may_turn or is_square(streams, strip, given))
            # In a strip that is not ripped, a narrower part is.
            same = same and (
                width == streams[strip] or width + lost <= given[BOARD_WIDTH][kind]
            )
            for _ in range(rows):
                parts = streams[i]
                if same:
                    used = 0
                    for j in range(i + 1, i + 1 + parts):
                        used += given[LENGTH][streams[j]]
                    if used + length <= x:
                        open_up(streams, start, i + 1 + parts, 1)
                        streams[i] += 1
                        streams[i + 1 + parts] = p
                        out[p] -= 1
                        return True
                i += 1 + parts
            if same and rows < resawn and length <= x:
                open_up(streams, start, i, 2)
                streams[i] = 1
                streams[i + 1] = p
                streams[strip + 2] += 1
                out[p] -= 1
                return True
        if width <= free and length <= x:
            open_up(streams, start, i, STRIP_HEAD + 2)
            streams[i] = width
            streams[i + 1] = layers
            streams[i + 2] = 1
            streams[i + 3] = 1
            streams[i + 4] = p
            streams[at + 1] += 1
            out[p] -= 1
            return True
        at = i
    return False
