"""The kernels that make sets of parts out of smaller ones, each with its boxes.

A *state* is a set of parts with a box that it can be cut from, edge to edge. States
come in levels, by the number of their parts. `join` makes those of a level of those of
two lower ones: side by side and stacked. A state stays only if no other of the same set
has a box within its own, and if enough may go beside its box.

Sets are words of counters: every kind of part has a field of bits, just wide enough
for how many are wanted, and one bit more. Two sets together have too many of a kind
exactly where their sum, with what lacks to a full field, reaches that bit.
"""

from __future__ import annotations

from typing import Final, TypeAlias

from nesting.solve.kernel import MODULUS, Ints, kernel
from nesting.solve.sheets.sets_rooms import (
    AREA_UNIT,
    FULL_X,
    FULL_Y,
    GRID_X,
    GRID_Y,
    KINDS,
    WORDS,
    Pieces,
)

# The places of the cursor of a join.
COUNT: Final = 0  # of states in all
AT: Final = 1  # the next state of the one level
UNTIL: Final = 2  # its end
LEADS: Final = 3  # of the other level
SAME: Final = 4  # whether both levels are one
LEAST: Final = 5  # worth that a sheet must come to
LEAST_TOO: Final = 6  # and the other worth
MOST: Final = 7  # states there is room for
TABLE: Final = 8  # the one of all kinds
STEPS: Final = 9  # done
CURSOR_SIZE: Final = 10

NONE: Final = -1
ENTRY: Final = 4  # numbers for each box
GROUP: Final = 4  # and for each group
LEAD: Final = 5  # and for each lead

States: TypeAlias = tuple[
    Ints, Ints, Ints, Ints, Ints, Ints, Ints, Ints, Ints, Ints, Ints
]
"""Words of the sets; then one number for each state: x, y, worth (-1 where another is
as good), the other worth, where its table begins, the axis of the cut (-1 for a part),
the two states that were joined (for a part its lie, and -1), the next in its chain.
Last, the heads of the chains."""

Outers: TypeAlias = tuple[Ints, Ints]
"""What goes beside a box at most, in either worth. In the first there is a table for
each of some kinds, which leaves it out, and then the one of all; a state looks into the
first that leaves out a kind it has used up."""

Fields: TypeAlias = tuple[Ints, Ints, Ints, Ints, Ints]
"""By word: what lacks to full fields, and the bits above them. By kind, in the order of
the pieces: the word, the shift and the mask of its field."""


@kernel
def may_complete(
    frame: Ints,
    pieces: Pieces,
    fields: Fields,
    words: Ints,
    at: int,
    x: int,
    y: int,
    short: int,
) -> bool:
    """Tell whether what a set leaves over may be worth so much beside its box.

    By the fractional knapsack over the area there, of pieces that can lie there at all.
    """
    worths, areas, x0, y0, x1, y1, wanted = pieces
    _, _, places, shifts, masks = fields
    right, above = frame[FULL_X] - x, frame[FULL_Y] - y
    area = (frame[FULL_X] * frame[FULL_Y] - x * y) // frame[AREA_UNIT] + 1
    for i in range(frame[KINDS]):
        if short <= 0:
            return True
        if not (x0[i] <= right or y0[i] <= above or x1[i] <= right or y1[i] <= above):
            continue
        left = wanted[i] - (words[at + places[i]] >> shifts[i] & masks[i])
        room = areas[i] * left
        if left > 0 and room >= area:
            return worths[i] * area // areas[i] >= short
        short -= worths[i] * left
        area -= room
    return short <= 0


@kernel
def chain_of(words: Ints, at: int, count: int, chains: int) -> int:
    """Return the chain in which the states of a set are."""
    mixed = 0
    for w in range(count):
        mixed = (mixed * 48_271 + (words[at + w] & 2_147_483_647) * 69_621) % MODULUS
        mixed = (mixed * 48_271 + (words[at + w] >> 31) * 39_373) % MODULUS
    return mixed % chains


@kernel
def are_same(words: Ints, one: int, two: int, count: int) -> bool:
    """Tell whether two sets, at their places in the words, are one."""
    same = True
    for w in range(count):
        if words[one + w] != words[two + w]:
            same = False
    return same


@kernel
def add(
    frame: Ints,
    pieces: Pieces,
    fields: Fields,
    states: States,
    cursor: Ints,
    x: int,
    y: int,
    worth: int,
    too: int,
    table: int,
    axis: int,
    one: int,
    two: int,
) -> None:
    """Add a state if it may serve; its set stands behind the last one's words."""
    words, xs, ys, worths, toos, tables, axes, ones, twos, chain, heads = states
    count = frame[WORDS]
    new = cursor[COUNT]
    at = new * count
    slot = chain_of(words, at, count, len(heads))
    other = heads[slot]
    while other != NONE:
        if (
            worths[other] == worth
            and xs[other] <= x
            and ys[other] <= y
            and are_same(words, other * count, at, count)
        ):
            return
        other = chain[other]
    short = cursor[LEAST] - worth
    if not may_complete(frame, pieces, fields, words, at, x, y, short):
        return
    other = heads[slot]
    while other != NONE:
        if (
            worths[other] == worth
            and xs[other] >= x
            and ys[other] >= y
            and are_same(words, other * count, at, count)
        ):
            worths[other] = NONE
        other = chain[other]
    xs[new] = x
    ys[new] = y
    worths[new] = worth
    toos[new] = too
    tables[new] = table
    axes[new] = axis
    ones[new] = one
    twos[new] = two
    chain[new] = heads[slot]
    heads[slot] = new
    cursor[COUNT] = new + 1


@kernel
def join(
    frame: Ints,
    pieces: Pieces,
    fields: Fields,
    outers: Outers,
    states: States,
    units: tuple[Ints, Ints],
    order: Ints,
    boxes: Ints,
    groups: Ints,
    leads: Ints,
    cursor: Ints,
    most_steps: int,
) -> None:
    """Join the states of one level to those of another.

    Parameters
    ----------
    units
        For each state its x and y, in units of the tables.
    order
        The states of the other level, by table and box, the worthiest first.
    boxes
        By table, x, then y: the first place in `order`, y, y in units, the greatest
        worth; one more place at the end.
    groups
        Of equal table and x: the first of the boxes, x, x in units, the greatest worth;
        one more box at the end.
    leads
        Of equal table: the first of the groups, the table, the least x and the least y
        in units, the greatest worth; one more group at the end.
    cursor
        Where it stands; it ends with `AT` at `UNTIL`, or after so many steps, or with
        `AT` beyond `UNTIL` where there is no more room.
    """
    words, xs, ys, worths, toos, tables, _, _, _, _, _ = states
    outer, outer_too = outers
    extra, guards, _, _, _ = fields
    count = frame[WORDS]
    full_x, full_y = frame[FULL_X], frame[FULL_Y]
    row = frame[GRID_X] + 1
    last_v = frame[GRID_Y]
    least, least_too = cursor[LEAST], cursor[LEAST_TOO]
    table_of_all = cursor[TABLE]
    steps = 0
    while cursor[AT] < cursor[UNTIL] and steps < most_steps:
        one = cursor[AT]
        cursor[AT] = one + 1
        if worths[one] < 0:
            continue
        x1, y1, worth1, too1 = xs[one], ys[one], worths[one], toos[one]
        table1 = tables[one]
        u1, v1 = units[0][one], units[1][one]
        for lead in range(0, LEAD * cursor[LEADS], LEAD):
            steps += 1
            table = leads[lead + 1]
            if table == table1 and table != table_of_all:
                continue  # both have the part that it leaves out
            table = min(table, table1)
            u2, v2 = leads[lead + 2], leads[lead + 3]
            short = least - worth1 - leads[lead + 4]
            if not (
                u1 + u2 < row and outer[table + max(v1, v2) * row + u1 + u2] >= short
            ) and not (
                v1 + v2 <= last_v
                and outer[table + (v1 + v2) * row + max(u1, u2)] >= short
            ):
                continue
            first, last = leads[lead], leads[lead + LEAD]
            for group in range(GROUP * first, GROUP * last, GROUP):
                steps += 1
                x2, u2 = groups[group + 1], groups[group + 2]
                short = least - worth1 - groups[group + 3]
                head, tail = groups[group], groups[group + GROUP]
                v2 = boxes[ENTRY * head + 2]
                side = (
                    x1 + x2 <= full_x
                    and u1 + u2 < row
                    and outer[table + max(v1, v2) * row + u1 + u2] >= short
                )
                stack = (
                    y1 + boxes[ENTRY * head + 1] <= full_y
                    and v1 + v2 <= last_v
                    and outer[table + (v1 + v2) * row + max(u1, u2)] >= short
                )
                if not (side or stack):
                    continue
                for box in range(ENTRY * head, ENTRY * tail, ENTRY):
                    steps += 1
                    y2, v2 = boxes[box + 1], boxes[box + 2]
                    room_side, room_stack = NONE, NONE
                    at_side, at_stack = 0, 0
                    if side:
                        at_side = max(v1, v2) * row + u1 + u2
                        room_side = outer[table + at_side]
                    if stack and y1 + y2 <= full_y and v1 + v2 <= last_v:
                        at_stack = (v1 + v2) * row + max(u1, u2)
                        room_stack = outer[table + at_stack]
                    room = max(room_side, room_stack)
                    if worth1 + boxes[box + 3] + room < least:
                        continue
                    for place in range(boxes[box], boxes[box + ENTRY]):
                        two = order[place]
                        worth = worth1 + worths[two]
                        if worth + room < least:
                            break
                        if cursor[SAME] != 0 and two < one:
                            continue
                        steps += 1
                        apart = True
                        for w in range(count):
                            total = words[one * count + w] + words[two * count + w]
                            if (total + extra[w]) & guards[w] != 0:
                                apart = False
                                break
                        if not apart:
                            continue
                        too = too1 + toos[two]
                        if cursor[COUNT] + 2 > cursor[MOST]:
                            cursor[AT] = cursor[UNTIL] + 1
                            cursor[STEPS] += steps
                            return
                        for axis in range(2):
                            if axis == 0:
                                if room_side == NONE or worth + room_side < least:
                                    continue
                                if too + outer_too[at_side] < least_too:
                                    continue
                                x, y = x1 + x2, max(y1, y2)
                            else:
                                if room_stack == NONE or worth + room_stack < least:
                                    continue
                                if too + outer_too[at_stack] < least_too:
                                    continue
                                x, y = max(x1, x2), y1 + y2
                            steps += 8
                            at = cursor[COUNT] * count
                            for w in range(count):
                                words[at + w] = (
                                    words[one * count + w] + words[two * count + w]
                                )
                            add(
                                frame,
                                pieces,
                                fields,
                                states,
                                cursor,
                                x,
                                y,
                                worth,
                                too,
                                table,
                                axis,
                                one,
                                two,
                            )
    cursor[STEPS] += steps


@kernel
def mark_grown(
    frame: Ints,
    pieces: Pieces,
    fields: Fields,
    states: States,
    scratch: Ints,
    chosen: Ints,
    grown: Ints,
) -> None:
    """Mark chosen states to whose set one more part can be added.

    Parameters
    ----------
    scratch
        Room for a set.
    grown
        For each chosen state, 1 where a state has its set and one part more.
    """
    words, _, _, worths, _, _, _, _, _, chain, heads = states
    worth_of, _, _, _, _, _, wanted = pieces
    _, _, places, shifts, masks = fields
    count = frame[WORDS]
    for k in range(len(chosen)):
        state = chosen[k]
        grown[k] = 0
        for i in range(frame[KINDS]):
            have = words[state * count + places[i]] >> shifts[i] & masks[i]
            if have >= wanted[i]:
                continue
            for w in range(count):
                scratch[w] = words[state * count + w]
            scratch[places[i]] += 1 << shifts[i]
            other = heads[chain_of(scratch, 0, count, len(heads))]
            while other != NONE:
                same = worths[other] == worths[state] + worth_of[i]
                for w in range(count):
                    if words[other * count + w] != scratch[w]:
                        same = False
                        break
                if same:
                    grown[k] = 1
                    break
                other = chain[other]
            if grown[k] == 1:
                break
