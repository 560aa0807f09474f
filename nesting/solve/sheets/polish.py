"""The second objective: at the cost that has been found, what is left and how one cuts.

Three things are weighed against each other, all in square ticks: what the rests worth
keeping are good for, the number of different distances to set, the number of cuts. A
distance counts once for a fence and once for a stop: a fence guides cuts that run at
least as long as they measure, a stop the others. And it counts once for each round of
rips or of crosscuts through all sheets, since no order of the cuts needs more changes
than there are distances in the rounds. Sheets that are crosscut first are a round ahead
of the others, so that rips of both meet.
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
from nesting.solve.sheets.cuts import KERF_X, KERF_Y, Rules
from nesting.solve.sheets.forest import (
    AXIS,
    COST,
    DEPTH,
    ENTRY,
    FREE,
    HIGH,
    IS_DIVIDED,
    IS_REST,
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
    copy,
)
from nesting.solve.sheets.moves import FAR, Scratch, recreate, ruin, sort_falling
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
SIZES = 3

# More places of the state of a search.
LEAST = STATE_SIZE  # the value of the best forest
FIRST_VALUE = STATE_SIZE + 1  # the value of the one it began with
ENOUGH = STATE_SIZE + 2  # a cost that need not be undercut
POLISH_STATE_SIZE = STATE_SIZE + 3

STEADY = 500  # history
WAIT = 40_000  # iterations without gain before a new start from the best
_ROUNDS = 16  # that are told apart
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
def trouble(forest: Forest, rules: Rules, scratch: Scratch, goal: Ints) -> int:
    """Return what the distances and cuts of a forest cost, in square ticks."""
    nodes, _, _, _, tally = forest
    sizes, keys, _, _ = scratch
    count = 0
    cuts = 0
    for v in range(0, tally[HIGH], SIZE):
        state = nodes[v + STATE]
        if state == IS_DIVIDED and nodes[v + REST] == NONE:
            cuts -= 1
        if state in (FREE, IS_REST) or nodes[v + PARENT] == NONE:
            continue
        axis = nodes[nodes[v + PARENT] + AXIS]
        cuts += 1
        size = nodes[v + X + axis] - rules[0][KERF_X + axis]
        run = nodes[v + X + 1 - axis] - rules[0][KERF_Y - axis]
        keys[count] = 2 * size
        if run >= size:
            keys[count] += 1
        around = nodes[v + DEPTH]
        if (axis + around) % 2 == 1:
            around -= 1
        keys[count] = _ROUNDS * keys[count] + min(_ROUNDS - 1, around)
        sizes[count] = 0
        count += 1
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
