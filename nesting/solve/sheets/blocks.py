"""Blocks: parts that lie side by side without waste, placed as if they were one part.

A cut far from any part's edge comes about only when parts are put together first. Two
parts of equal width make a longer one; such blocks are paired again, and again.
"""

from __future__ import annotations

from nesting.solve.kernel import Ints, draw, kernel
from nesting.solve.sheets.cuts import SAWS, Rules, made
from nesting.solve.sheets.forest import (
    CUT_AXIS,
    LEVELS,
    MAKE,
    MAKE_AXIS,
    NONE,
    ONE,
    TURNS,
    TWO,
    Kinds,
    Stocks,
)

GIVE_UP = 5  # parts without a match, before no more are looked for


@kernel
def swapped(turns: int) -> int:
    """Return how something may lie once it is turned."""
    return (turns & 1) << 1 | turns >> 1


@kernel
def levels_of(kinds: Kinds, one: int, axis: int, across: int) -> int:
    """Return the levels of cuts in one member (kind * 2 + turned) of a block."""
    dims, _, _, make = kinds
    kind = one // 2
    levels = 0
    above = axis
    if dims[2 * one + 1 - axis] < across:
        levels = 1
        above = 1 - axis
    own = make[MAKE * kind + CUT_AXIS]
    if own != NONE:
        levels += make[MAKE * kind + LEVELS]
        if own ^ (one & 1) != above:
            levels += 1
    return levels


@kernel
def member_made(
    kinds: Kinds, rules: Rules, stock: int, one: int, axis: int, across: int
) -> bool:
    """Tell whether some saw cuts one member of a block, and trims it across."""
    dims = kinds[0]
    size = dims[2 * one + axis]
    other = dims[2 * one + 1 - axis]
    return made(rules, stock, axis, size, across) and (
        other == across or made(rules, stock, 1 - axis, other, size)
    )


@kernel
def join(
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    block: int,
    one: int,
    two: int,
    axis: int,
) -> bool:
    """Make a block of two (each kind * 2 + turned); tell whether it fits any stock."""
    dims, area, lies, make = kinds
    count = len(stocks[1])
    a = one // 2
    b = two // 2
    for turned in range(2):
        along = axis ^ turned
        at_a = 2 * (one ^ turned)
        at_b = 2 * (two ^ turned)
        at = 4 * block + 2 * turned
        dims[at + along] = dims[at_a + along] + dims[at_b + along]
        dims[at + 1 - along] = max(dims[at_a + 1 - along], dims[at_b + 1 - along])
    levels = 0
    for turned in range(2):  # with two kerfs, equal widths may differ once turned
        along = axis ^ turned
        across = dims[4 * block + 2 * turned + 1 - along]
        for one_of in (one, two):
            own = levels_of(kinds, one_of ^ turned, along, across)
            levels = max(levels, own)
    turns = 0
    for stock in range(count):
        own_a = lies[a * count + stock]
        own_b = lies[b * count + stock]
        if one & 1:
            own_a = swapped(own_a)
        if two & 1:
            own_b = swapped(own_b)
        own = own_a & own_b
        for turned in range(2):
            at = 4 * block + 2 * turned
            if (
                own & (1 + turned) == 0
                or dims[at] > stocks[0][2 * stock]
                or dims[at + 1] > stocks[0][2 * stock + 1]
            ):
                own &= ~(1 + turned)
            elif rules[0][SAWS] != 0:
                along = axis ^ turned
                across = dims[at + 1 - along]
                if not (
                    member_made(kinds, rules, stock, one ^ turned, along, across)
                    and member_made(kinds, rules, stock, two ^ turned, along, across)
                ):
                    own &= ~(1 + turned)
        lies[block * count + stock] = own
        turns |= own
    at = MAKE * block
    make[at + ONE] = one
    make[at + TWO] = two
    make[at + MAKE_AXIS] = axis
    make[at + CUT_AXIS] = axis
    make[at + LEVELS] = levels
    make[at + TURNS] = turns
    area[block] = area[a] + area[b]
    return turns != 0


@kernel
def pair_up(
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    queue: Ints,
    count: int,
    base: int,
    rng: Ints,
) -> int:
    """Join what is queued into blocks, from number `base` on; return the new length."""
    dims, _, _, make = kinds
    waste_allowed = draw(rng) % 4
    permille = 0
    if waste_allowed == 2:
        permille = 5
    elif waste_allowed == 3:
        permille = 20
    block = base
    failures = 0
    while count > 1 and failures < GIVE_UP:
        i = draw(rng) % count
        a = queue[i]
        turns_a = make[MAKE * a + TURNS]
        best_j = NONE
        best_two = 0
        best_axis = 0
        best = permille + 1
        ties = 0
        for j in range(count):
            if j == i:
                continue
            b = queue[j]
            turns_b = make[MAKE * b + TURNS]
            for turned in range(2):
                if turned == 1:
                    turns_b = swapped(turns_b)
                if turns_a & turns_b == 0:
                    continue
                two = 2 * b + turned
                for axis in range(2):
                    other_a = dims[4 * a + 1 - axis]
                    other_b = dims[2 * two + 1 - axis]
                    waste = 0
                    if other_a != other_b:
                        if permille == 0:
                            continue
                        size_a = dims[4 * a + axis]
                        size_b = dims[2 * two + axis]
                        if other_a > other_b:
                            waste = (other_a - other_b) * size_b
                        else:
                            waste = (other_b - other_a) * size_a
                        whole = (size_a + size_b) * max(other_a, other_b)
                        if 1_000 * waste >= permille * whole:
                            continue  # most are, and a division takes long
                        waste = 1 + 1_000 * waste // whole
                    if waste > best:
                        continue
                    if waste < best:
                        ties = 0
                    ties += 1
                    if ties == 1 or draw(rng) % ties == 0:
                        best = waste
                        best_j = j
                        best_two = two
                        best_axis = axis
        if best_j == NONE or not join(
            kinds, stocks, rules, block, 2 * a, best_two, best_axis
        ):
            failures += 1
            continue
        count -= 1
        queue[i] = block
        queue[best_j] = queue[count]
        block += 1
    return count
