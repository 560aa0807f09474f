"""Ruin and recreate: take some parts out of a forest, and put them back elsewhere.

Every choice that could be made one way is sometimes made another way: the parts go back
singly or in blocks, in an order by area, by a side or by chance, with noise; the piece
to cut a part from is chosen by one of several measures of fit and is now and then
overlooked.

References
----------
Gardeyn & Wauters, A goal-driven ruin and recreate heuristic for the 2D variable-sized
bin packing problem with guillotine constraints, EJOR 301 (2022) 432-444; the moves and
their shares here are our own.
"""

from __future__ import annotations

from math import sqrt

from nesting.solve.kernel import MODULUS, Ints, draw, kernel
from nesting.solve.sheets.blocks import pair_up
from nesting.solve.sheets.cuts import LIMITED, Rules, may_carve
from nesting.solve.sheets.forest import (
    COST,
    ENTRY,
    FIRST,
    HIGH,
    IS_DIVIDED,
    IS_PART,
    IS_REST,
    MAKE,
    NEXT,
    NONE,
    ONE,
    OUT,
    OUT_AREA,
    PARENT,
    RESTS,
    ROOTS,
    SIZE,
    STATE,
    TWO,
    USED,
    Forest,
    Kinds,
    Stocks,
    X,
    Y,
    carve,
    copy_some,
    open_sheet,
    parts_below,
    remove,
)

Scratch = tuple[Ints, Ints, Ints, Ints]
"""`queue` and `keys` of the parts to place, `missed` (per kind, and the present mark)
and `draws` (how many parts to take out, one of them by chance)."""

PAIRING = 60  # percent of the recreations
WHOLE = 10  # percent of the ruins take whole sheets,
WHOLE_OF_FEW = 2  # of two sheets or one; that is to begin anew, nearly
ROOM = 8 * SIZE  # what one more part may take in the nodes, its sheet included
BLINK = MODULUS // 50  # a better rest is overlooked in so many cases of MODULUS
FAR = 4_000_000_000_000_000_000  # worse than any score or value
TOGETHER = 0.01  # what rests that lie together are worth, beside the area out
LARGEST_KEY = 1 << 52  # no area is as large; with its noise it is within 63 bits


@kernel
def chance(rng: Ints, percent: int) -> bool:
    """Tell true in so many cases of a hundred."""
    return draw(rng) % 100 < percent


@kernel
def fit(mode: int, dx: int, dy: int, full_x: int, full_y: int) -> int:
    """Return how badly a part fits a rest, by one of several measures."""
    if mode == 0:
        return min(dx, dy)
    if mode == 1:
        return max(dx, dy)
    if mode == 2:
        return full_x * full_y
    return min(dx * full_y, dy * full_x)


@kernel
def first_axis(dx: int, dy: int, full_x: int, full_y: int, flip: bool) -> int:
    """Return the axis whose cut leaves the larger single rest, or the other one."""
    along_x = dx * full_y >= dy * full_x
    return 0 if along_x != flip else 1


@kernel
def may_place(
    forest: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    kind: int,
    turned: int,
    v: int,
) -> bool:
    """Tell whether a part or block may be cut from a rest, one way or the other."""
    return may_carve(forest, kinds, stocks, rules, kind, turned, v, 0) or may_carve(
        forest, kinds, stocks, rules, kind, turned, v, 1
    )


@kernel
def place(
    forest: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    kind: int,
    mode: int,
    rng: Ints,
) -> bool:
    """Cut a part or block from the rest that fits it best; false if there is none."""
    _, rests, _, _, tally = forest
    dims, _, lies, _ = kinds
    count = len(stocks[1])
    limited = rules[0][LIMITED] != 0
    best = NONE
    best_turned = 0
    best_score = FAR
    least_x = min(dims[4 * kind], dims[4 * kind + 2])
    least_y = min(dims[4 * kind + 1], dims[4 * kind + 3])
    for i in range(0, tally[RESTS], ENTRY):
        full_x = rests[i + 1]
        full_y = rests[i + 2]
        if full_x < least_x or full_y < least_y:
            continue
        turns = lies[kind * count + rests[i + 3]]
        for turned in range(2):
            x = dims[4 * kind + 2 * turned]
            y = dims[4 * kind + 2 * turned + 1]
            if turns & (1 + turned) == 0 or x > full_x or y > full_y:
                continue
            score = fit(mode, full_x - x, full_y - y, full_x, full_y)
            if score >= best_score or draw(rng) < BLINK:
                continue
            if limited and not may_place(
                forest, kinds, stocks, rules, kind, turned, rests[i]
            ):
                continue
            best = rests[i]
            best_turned = turned
            best_score = score
    if best == NONE:
        return False
    place_on(forest, kinds, stocks, rules, kind, best_turned, best, rng)
    return True


@kernel
def place_on(
    forest: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    kind: int,
    turned: int,
    v: int,
    rng: Ints,
) -> None:
    """Cut a part or block from a rest in the better order, or at times in the other."""
    nodes = forest[0]
    full_x = nodes[v + X]
    full_y = nodes[v + Y]
    dx = full_x - kinds[0][4 * kind + 2 * turned]
    dy = full_y - kinds[0][4 * kind + 2 * turned + 1]
    first = first_axis(dx, dy, full_x, full_y, chance(rng, 15))
    if rules[0][LIMITED] != 0 and not may_carve(
        forest, kinds, stocks, rules, kind, turned, v, first
    ):
        first = 1 - first
    carve(forest, kinds, kind, turned, v, first)


@kernel
def place_on_new(
    forest: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    kind: int,
    most: int,
    rng: Ints,
) -> bool:
    """Open some sheet that can be had and paid for, and cut a part or block from it."""
    tally = forest[4]
    _, cost, limit = stocks
    lies = kinds[2]
    count = len(cost)
    seen = 0
    chosen = NONE
    for stock in range(count):
        if (
            lies[kind * count + stock] == 0
            or tally[USED + stock] >= limit[stock]
            or tally[COST] + cost[stock] > most
        ):
            continue
        seen += 1
        if seen == 1 or draw(rng) % seen == 0:
            chosen = stock
    if chosen == NONE:
        return False
    v = open_sheet(forest, stocks, chosen)
    turns = lies[kind * count + chosen]
    turned = 0
    if turns == 2 or (turns == 3 and chance(rng, 50)):
        turned = 1
    if rules[0][LIMITED] != 0 and not may_place(
        forest, kinds, stocks, rules, kind, turned, v
    ):
        remove(forest, kinds, stocks, v)
        return False
    place_on(forest, kinds, stocks, rules, kind, turned, v, rng)
    return True


@kernel
def sort_falling(queue: Ints, keys: Ints, count: int) -> None:
    """Sort the first entries of a queue by their keys, the largest first."""
    gap = 1
    while 3 * gap + 1 < count:
        gap = 3 * gap + 1
    while gap > 0:
        for i in range(gap, count):
            key = keys[i]
            entry = queue[i]
            j = i
            while j >= gap and keys[j - gap] < key:
                keys[j] = keys[j - gap]
                queue[j] = queue[j - gap]
                j -= gap
            keys[j] = key
            queue[j] = entry
        gap //= 3


@kernel
def line_up(
    forest: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    scratch: Scratch,
    rng: Ints,
) -> int:
    """Move what is out into the queue, in a new order; return how many."""
    _, _, _, out, tally = forest
    dims, area, _, _ = kinds
    queue, keys, missed, _ = scratch
    count = tally[OUT]
    copy_some(out, queue, count)
    tally[OUT] = 0
    tally[OUT_AREA] = 0
    if count > 1 and chance(rng, PAIRING):
        base = len(missed) - 1
        count = pair_up(kinds, stocks, rules, queue, count, base, rng)
    mode = draw(rng) % 100
    for i in range(count):
        kind = queue[i]
        x = dims[4 * kind]
        y = dims[4 * kind + 1]
        key = 1_000_000
        if mode < 50:
            key = min(area[kind], LARGEST_KEY)  # weighed areas may be huge
        elif mode < 70:
            key = max(x, y)
        elif mode < 80:
            key = x
        elif mode < 90:
            key = y
        noise = draw(rng)
        if mode < 90:
            keys[i] = key * (900 + noise % 201)
        else:
            keys[i] = noise
    sort_falling(queue, keys, count)
    return count


@kernel
def value_of(forest: Forest, scale: int) -> int:
    """Return what the search minimises."""
    _, rests, _, _, tally = forest
    squares = 0.0
    for i in range(0, tally[RESTS], ENTRY):
        area = float(rests[i + 1]) * float(rests[i + 2])
        squares += area * area
    return tally[OUT_AREA] * scale - int(TOGETHER * scale * sqrt(squares))


@kernel
def can_open(forest: Forest, stocks: Stocks, most: int) -> bool:
    """Tell whether one more sheet can be had and paid for."""
    tally = forest[4]
    _, cost, limit = stocks
    for stock in range(len(cost)):
        if tally[USED + stock] < limit[stock] and tally[COST] + cost[stock] <= most:
            return True
    return False


@kernel
def recreate(
    forest: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    scratch: Scratch,
    most: int,
    scale: int,
    worst: int,
    out_before: int,
    rng: Ints,
) -> bool:
    """Put the parts that are out back, on sheets that cost no more than `most`.

    It gives up, and returns false, where the value is sure to come out beyond `worst`
    and the area out not below that before: once no sheet can be opened, what is out
    only grows and rests only shrink. The parts not looked at yet are then neither out
    nor on a sheet.
    """
    nodes, _, _, out, tally = forest
    make = kinds[3]
    queue, _, missed, _ = scratch
    if tally[HIGH] + ROOM * tally[OUT] > len(nodes):
        return True
    count = line_up(forest, kinds, stocks, rules, scratch, rng)
    mode = draw(rng) % 4
    last = len(missed) - 1
    missed[last] += 1
    i = 0
    while i < count:
        kind = queue[i]
        if kind >= last or missed[kind] != missed[last]:
            if place(forest, kinds, stocks, rules, kind, mode, rng):
                i += 1
                continue
            if place_on_new(forest, kinds, stocks, rules, kind, most, rng):
                missed[last] += 1
                i += 1
                continue
        if kind >= last:
            queue[i] = make[MAKE * kind + ONE] // 2
            queue[count] = make[MAKE * kind + TWO] // 2
            count += 1
            continue
        missed[kind] = missed[last]
        out[tally[OUT]] = kind
        tally[OUT] += 1
        tally[OUT_AREA] += kinds[1][kind]
        i += 1
        if (
            i < count
            and tally[OUT_AREA] >= out_before
            and tally[OUT_AREA] * scale > worst
            and value_of(forest, scale) > worst
            and not can_open(forest, stocks, most)
        ):
            return False
    return True


@kernel
def list_pieces(nodes: Ints, root: int, pieces: Ints, count: int) -> int:
    """Add every part and divided piece of a sheet to a list; return its new length."""
    u = root
    while True:
        if nodes[u + STATE] != IS_REST:
            pieces[count] = u
            count += 1
        if nodes[u + STATE] == IS_DIVIDED:
            u = nodes[u + FIRST]
            continue
        while u != root and nodes[u + NEXT] == NONE:
            u = nodes[u + PARENT]
        if u == root:
            return count
        u = nodes[u + NEXT]


@kernel
def ruin(
    forest: Forest, kinds: Kinds, stocks: Stocks, scratch: Scratch, rng: Ints
) -> None:
    """Take some parts out: whole sheets, or a number of parts and pieces anywhere."""
    nodes, _, roots, _, tally = forest
    pieces, _, _, draws = scratch
    if tally[ROOTS] == 0:
        return
    if chance(rng, WHOLE if tally[ROOTS] > 2 else WHOLE_OF_FEW):
        while tally[ROOTS] > 0:
            remove(forest, kinds, stocks, roots[draw(rng) % tally[ROOTS]])
            if chance(rng, 50):
                return
        return
    left = draws[draw(rng) % len(draws)]
    count = 0
    if tally[ROOTS] > 2 and chance(rng, 50):
        a = draw(rng) % tally[ROOTS]
        b = draw(rng) % (tally[ROOTS] - 1)
        if b >= a:
            b += 1
        count = list_pieces(nodes, roots[a], pieces, count)
        count = list_pieces(nodes, roots[b], pieces, count)
    high = tally[HIGH] // SIZE
    for _ in range(4 * left + 8):
        number = draw(rng)
        v = pieces[number % count] if count > 0 else number % high * SIZE
        if nodes[v + STATE] == IS_PART:
            remove(forest, kinds, stocks, v)
            left -= 1
        elif nodes[v + STATE] == IS_DIVIDED:
            below = parts_below(nodes, v, left)
            if below <= left:
                remove(forest, kinds, stocks, v)
                left -= below
        if left == 0:
            return
