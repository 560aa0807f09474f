"""Which board to buy next: what promises most is filled, and the best is taken."""

from __future__ import annotations

from typing import Final

from nesting.solve.boards.greedy import (
    ALLOWED,
    BEST,
    BUILT,
    DUALS,
    FAMILIES,
    MEASURES,
    NEVER,
    PLAN_STRIDE,
    RATES,
    REST,
    SIZES,
    TABLE_STRIDE,
    WAVER,
    Scratch,
    chance,
    choose_items,
    draw_sizes,
    fill_board,
)
from nesting.solve.boards.instance import (
    BOARD_LENGTH,
    BOARD_WIDTH,
    COST,
    FAMILY,
    ROUGH,
    WHOLE,
    WIDTH_CLASS,
)
from nesting.solve.boards.rows import (
    CAPACITY,
    COUNTS,
    HAS_SQUARE,
    ITEMS,
    LEFT,
    PART,
    WORTH,
    Tables,
    tabulate,
)
from nesting.solve.boards.sections import weigh_widths
from nesting.solve.boards.streams import (
    BOARDS,
    HEAD,
    KIND,
    PRICE,
    SECTIONS,
    Given,
    Plan,
    add_board,
    after_section,
    count_square,
    insert_part,
    lost_at,
    room_for,
    tally_out,
    width_across,
)
from nesting.solve.kernel import Ints, kernel

_KINDS: Final = 3  # kinds of boards that are really filled


@kernel
def promise(
    plan: Plan, tables: Tables, given: Given, scratch: Scratch, rng: Ints
) -> None:
    """Note what every kind of board promises for its price; -1 if nothing."""
    parts = len(plan[3])
    kinds = len(plan[2])
    sizes = scratch[SIZES]
    stride = scratch[MEASURES][TABLE_STRIDE]
    rates = scratch[RATES]
    for kind in range(kinds):
        rates[kind] = -1
    for family in range(scratch[MEASURES][FAMILIES]):
        most = 0
        widest = 0
        for kind in range(kinds):
            if plan[2][kind] > 0 and given[FAMILY][kind] == family:
                most = max(most, given[ROUGH][kind])
                widest = max(widest, given[BOARD_WIDTH][kind])
        if most == 0 or choose_items(plan, tables, given, scratch, family, rng) == 0:
            continue
        total = 0
        for i in range(tables[COUNTS][ITEMS]):
            total += tables[LEFT][i] * tables[WORTH][i]
        tables[COUNTS][CAPACITY] = min(stride - 1, 2 * most)
        tabulate(tables, given, stride, parts)
        count = draw_sizes(tables, given, sizes, most, rng)
        weighings = 1 + tables[COUNTS][HAS_SQUARE]
        for number in range(count * weighings):
            i = number // weighings
            square = number % weighings
            weigh_widths(tables, given, stride, sizes[i], widest, square, scratch[BEST])
            for kind in range(kinds):
                if (
                    plan[2][kind] <= 0
                    or given[FAMILY][kind] != family
                    or sizes[i] > given[ROUGH][kind]
                ):
                    continue
                room = room_for(given, kind, square, 0) - lost_at(given, sizes[i])
                worth = scratch[BEST][max(0, room)]
                boards = given[BOARD_LENGTH][kind] // sizes[i]
                length = given[BOARD_LENGTH][kind] / sizes[i]
                whole = worth * max(boards * 1.0, REST * length)
                value = min(total * 1.0, whole)
                rate = int(1_000_000.0 * value / (given[COST][kind] + 1))
                if rate > 0:
                    rates[kind] = max(rates[kind], rate)
        for kind in range(kinds):
            if plan[2][kind] <= 0 or given[FAMILY][kind] != family:
                continue
            for i in range(tables[COUNTS][ITEMS]):
                if given[WHOLE][kind * parts + tables[PART][i]] == 1:
                    rate = int(1_000_000.0 * tables[WORTH][i] / (given[COST][kind] + 1))
                    rates[kind] = max(rates[kind], rate)


@kernel
def buy_board(
    plan: Plan, tables: Tables, given: Given, scratch: Scratch, rng: Ints
) -> bool:
    """Fill the kinds of boards that promise most and add the best; False if none do."""
    promise(plan, tables, given, scratch, rng)
    parts = len(plan[3])
    stride = scratch[MEASURES][PLAN_STRIDE]
    rates = scratch[RATES]
    built = scratch[BUILT]
    best_rate = NEVER
    best_at = 0
    at = 0
    tried = 0
    only_allowed = True
    while tried < _KINDS:
        kind = -1
        most = 0.0
        for k in range(len(plan[2])):
            if rates[k] < 0 or (only_allowed and scratch[ALLOWED][k] == 0):
                continue
            rate = rates[k] * (1.0 + WAVER * chance(rng))
            if rate > most:
                most = rate
                kind = k
        if kind < 0:
            if best_rate >= 0.0 or not only_allowed:
                break
            only_allowed = False
            continue
        rates[kind] = -1
        choose_items(plan, tables, given, scratch, given[FAMILY][kind], rng)
        built[at] = HEAD
        built[at + KIND] = kind
        built[at + SECTIONS] = 0
        value = fill_board(tables, given, scratch, parts, built, at, rng)
        if value == 0:
            continue
        tried += 1
        kind = cheapest_kind(plan, given, built, at)
        built[at + KIND] = kind
        rate = value / (given[COST][kind] + 1)
        if rate > best_rate:
            best_rate = rate
            best_at = at
            at = stride - at
    if best_rate < 0.0:
        return False
    add_board(plan, given, stride, built, best_at)
    return True


@kernel
def cheapest_kind(plan: Plan, given: Given, streams: Ints, start: int) -> int:
    """Return the cheapest kind of board that gives the same sections."""
    kind = streams[start + KIND]
    best = kind
    longest = 0
    used = 0
    # The widest by the edges that are lost: both, one, none.
    bare = 0
    half = 0
    whole = 0
    ripped = 0  # what else a strip as wide as its board loses on a wider one
    at = start + HEAD
    for _ in range(streams[start + SECTIONS]):
        longest = max(longest, streams[at])
        used += streams[at]
        across = width_across(streams, at)
        lost = lost_at(given, streams[at])
        if streams[at + 1] > 1 or across + lost <= given[BOARD_WIDTH][kind]:
            across += lost
        else:
            ripped = max(ripped, lost)
        square = count_square(streams, at, given)
        plain = streams[at + 1] - square
        if square == 0 or plain > 1:
            whole = max(whole, across)
        elif plain == 1:
            half = max(half, across)
        else:
            bare = max(bare, across)
        at = after_section(streams, at)
    for k in range(len(plan[2])):
        more = 0
        if given[WIDTH_CLASS][k] != given[WIDTH_CLASS][kind]:
            more = ripped
        if (
            plan[2][k] > 0
            and given[FAMILY][k] == given[FAMILY][kind]
            and given[COST][k] < given[COST][best]
            and used <= given[BOARD_LENGTH][k]
            and longest <= given[ROUGH][k]
            and whole + more <= room_for(given, k, 0, 0)
            and half <= room_for(given, k, 1, 1)
            and bare + more <= room_for(given, k, 1, 0)
        ):
            best = k
    return best


@kernel
def place_out(
    plan: Plan,
    tables: Tables,
    given: Given,
    scratch: Scratch,
    most: int,
    rng: Ints,
) -> bool:
    """Place what is out: in free ends, then on boards to buy for so much in all.

    Tells whether it was done with; parts that nothing is left for stay out.
    """
    tally = plan[1]
    while True:
        is_out = False
        for p in range(len(plan[3]) - 1, -1, -1):
            for b in range(tally[BOARDS]):
                while plan[3][p] > 0 and insert_part(
                    plan, given, scratch[MEASURES][PLAN_STRIDE], b, p
                ):
                    pass
            if plan[3][p] > 0:
                is_out = True
        if not is_out or not buy_board(plan, tables, given, scratch, rng):
            tally_out(plan, given)
            return True
        least = 0
        for p in range(len(plan[3])):
            least += plan[3][p] * scratch[DUALS][p]
        if tally[PRICE] + least // 1_000 > most:
            return False
