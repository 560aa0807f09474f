"""The second objective: at the cost that has been found, what is left and how one cuts.

Three things are weighed against each other, all in square ticks: what the rests worth
keeping are good for, the number of different distances to set, the number of cuts. A
distance counts once for each fence and each stop that is set to it, and not at all for
a cut along a pencil line; large pieces are cut along lines where there is a saw for it,
others where there is none for anything else. And it counts once for each round of rips
or of crosscuts through all sheets, large pieces apart, since no order of the cuts needs
more changes than there are distances in the rounds. Sheets that are crosscut first are
a round ahead of the others, so that rips of both meet.
Rests count by the root of the sum of their areas squared, so that one large rest is
worth more than two of half its size, and nothing that is too small to keep counts.

Method: the same ruin and recreate with late acceptance, under a cost limit that the
best forest meets, or a higher one where more stock may be used up. Parts may be out for
a while; their area weighs three times. After long without gain it goes on from the best
forest as loosely as it began.
"""

from __future__ import annotations

from math import sqrt

from nesting.solve.kernel import Ints, kernel
from nesting.solve.sheets.cuts import COUNT_WAYS, KERF_X, KERF_Y, WAY, Rules
from nesting.solve.sheets.forest import (
    AXIS,
    COST,
    DEPTH,
    ENTRY,
    FIRST,
    HIGH,
    IS_DIVIDED,
    IS_REST,
    NEXT,
    NONE,
    OUT,
    OUT_AREA,
    PARENT,
    REST,
    RESTS,
    SIZE,
    STATE,
    Forest,
    Kinds,
    Stocks,
    X,
    Y,
    copy,
)
from nesting.solve.sheets.moves import FAR, Scratch, recreate, ruin, sort_falling
from nesting.solve.sheets.problem import MOST_GUIDES
from nesting.solve.sheets.search import (
    AT,
    DONE,
    FOUND,
    IDLE,
    MOST,
    SCALE,
    STATE_SIZE,
    VALUE,
)

# The places of the goal.
SETTING = 0  # what a distance fewer is worth, in square ticks
CUT = 1  # and a cut fewer
COUNT = 2  # of the sizes that follow: x and y of the smallest rest worth keeping
HANDY_LENGTH = 3  # what is longer is cut along a line while it is large,
HANDY_WIDTH = 4  # and before all else if it is as wide as this
SIZES = 5
# After the sizes: for each way the number of its guide, or -1 for a line.

# More places of the state of a search.
LEAST = STATE_SIZE  # the value of the best forest
FIRST_VALUE = STATE_SIZE + 1  # the value of the one it began with
ENOUGH = STATE_SIZE + 2  # a cost that need not be undercut
POLISH_STATE_SIZE = STATE_SIZE + 3

STEADY = 500  # history
WAIT = 40_000  # iterations without gain before a new start from the best
_ROUNDS = 16  # that are told apart
_GUIDES = MOST_GUIDES + 1
OUTSIDE = 3  # how much more the area that is out weighs


@kernel
def worth_keeping(forest: Forest, rules: Rules, goal: Ints) -> float:
    """Return what the rests are good for, in square ticks."""
    _, rests, _, _, tally = forest
    kerf_x = rules[0][KERF_X]
    kerf_y = rules[0][KERF_Y]
    squares = 0.0
    for i in range(0, tally[RESTS], ENTRY):
        x = rests[i + 1] - kerf_x
        y = rests[i + 2] - kerf_y
        for size in range(SIZES, SIZES + 2 * goal[COUNT], 2):
            if x >= goal[size] and y >= goal[size + 1]:
                area = float(x) * float(y)
                squares += area * area
                break
    return sqrt(squares)


@kernel
def guide_of(
    rules: Rules, goal: Ints, axis: int, size: int, run: int, along_line: bool
) -> int:
    """Return the number of what guides a cut, or -1 for a pencil line.

    That of the first way that makes it, lines first or last. Where no way is known, a
    fence guides cuts that run at least as long as they measure, a stop the others.
    """
    rule, _, ways = rules
    if rule[COUNT_WAYS] == 0:
        return int(run >= size)
    guides = SIZES + 2 * goal[COUNT]
    for turn in range(2):
        for number in range(rule[COUNT_WAYS]):
            way = WAY * number
            guide = goal[guides + number]
            if (
                ways[way] == axis
                and ((guide < 0) == along_line) == (turn == 0)
                and run <= ways[way + 1]
                and size <= ways[way + 2]
                and (ways[way + 3] == 0 or run >= size)
                and size >= ways[way + 4]
            ):
                return guide
    return -1


@kernel
def trouble(forest: Forest, rules: Rules, scratch: Scratch, goal: Ints) -> int:
    """Return what the distances and cuts of a forest cost, in square ticks."""
    nodes, _, _, _, tally = forest
    sizes, keys, _, _ = scratch
    count = 0
    cuts = 0
    for v in range(0, tally[HIGH], SIZE):
        if nodes[v + STATE] != IS_DIVIDED:
            continue
        axis = nodes[v + AXIS]
        kerf = rules[0][KERF_X + axis]
        across = nodes[v + X + 1 - axis]
        run = across - rules[0][KERF_Y - axis]
        largest = 0
        u = nodes[v + FIRST]
        while u != NONE:
            if nodes[u + STATE] != IS_REST:
                cuts += 1
                largest = max(largest, nodes[u + X + axis])
            u = nodes[u + NEXT]
        if nodes[v + REST] == NONE:
            cuts -= 1
        if goal[SETTING] == 0:
            continue
        root = v
        while nodes[root + PARENT] != NONE:
            root = nodes[root + PARENT]
        sheet = nodes[root + X] * nodes[root + Y]
        around = nodes[v + DEPTH] + 1
        if (axis + around) % 2 == 1:
            around -= 1
        u = nodes[v + FIRST]
        while u != NONE:
            own = nodes[u + X + axis]
            if nodes[u + STATE] != IS_REST:
                # The largest is cut off first, the others off what that leaves.
                whole = nodes[v + X + axis]
                if own < largest:
                    whole -= largest
                long = max(whole, across)
                is_long = long > goal[HANDY_LENGTH]
                large = is_long and 2 * whole * across > sheet
                far = axis == 0 and own - kerf > goal[HANDY_LENGTH]
                guide = guide_of(rules, goal, axis, own - kerf, run, large or far)
                if guide >= 0:
                    key = _GUIDES * (own - kerf) + guide
                    if is_long and min(whole, across) >= goal[HANDY_WIDTH]:
                        key = -key  # broken down before all else
                    keys[count] = _ROUNDS * key + min(_ROUNDS - 1, around)
                    sizes[count] = 0
                    count += 1
            u = nodes[u + NEXT]
    if goal[SETTING] == 0:
        return goal[CUT] * cuts
    sort_falling(sizes, keys, count)
    distances = 0
    for i in range(count):
        if i == 0 or keys[i] != keys[i - 1]:
            distances += 1
    return goal[SETTING] * distances + goal[CUT] * cuts


@kernel
def settle(
    present: Forest,
    work: Forest,
    best: Forest,
    rules: Rules,
    scratch: Scratch,
    state: Ints,
    history: Ints,
    goal: Ints,
) -> None:
    """Begin at the best forest, which holds every part."""
    copy(best, work)
    copy(best, present)
    kept = worth_keeping(best, rules, goal)
    value = state[SCALE] * trouble(best, rules, scratch, goal)
    value -= int(float(state[SCALE]) * kept)
    state[MOST] = max(best[4][COST], state[ENOUGH])
    state[VALUE] = value
    state[LEAST] = value
    state[FIRST_VALUE] = value
    state[IDLE] = 0
    state[AT] = 0
    for i in range(STEADY):
        history[i] = value


@kernel
def polish(
    present: Forest,
    work: Forest,
    best: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    scratch: Scratch,
    state: Ints,
    history: Ints,
    rng: Ints,
    goal: Ints,
    iterations: int,
) -> None:
    """Search on for so many iterations, from where `settle` or the last call ended."""
    scale = state[SCALE]
    for _ in range(iterations):
        state[DONE] += 1
        state[IDLE] += 1
        ruin(work, kinds, stocks, scratch, rng)
        recreate(work, kinds, stocks, rules, scratch, state[MOST], 1, FAR, 0, rng)
        tally = work[4]
        value = OUTSIDE * scale * tally[OUT_AREA]
        value -= int(float(scale) * worth_keeping(work, rules, goal))
        at = state[AT]
        worst = max(state[VALUE], history[at])
        if value <= worst:
            value += scale * trouble(work, rules, scratch, goal)
        if value <= worst:
            copy(work, present)
            state[VALUE] = value
            cost = max(tally[COST], state[ENOUGH])
            if tally[OUT] == 0 and (cost < state[MOST] or value < state[LEAST]):
                copy(work, best)
                state[LEAST] = value
                state[MOST] = cost
                state[FOUND] += 1
                state[IDLE] = 0
        else:
            copy(present, work)
        history[at] = state[VALUE]
        at += 1
        state[AT] = at if at < STEADY else 0
        if state[IDLE] % WAIT == 0:
            copy(best, work)
            copy(best, present)
            state[VALUE] = state[LEAST]
            state[AT] = 0
            for i in range(STEADY):
                history[i] = state[FIRST_VALUE]
