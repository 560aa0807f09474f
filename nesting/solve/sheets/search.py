"""The search: ruin and recreate with late acceptance, towards a cost below the best.

The cost limit is always less than the cost of the best forest found. Under it the parts
may not all find a place: what is minimised is the area that is out (times a scale),
less a little for rests that lie together. Once nothing is out, the limit goes down
again. While no forest holds every part, there is no limit and the least area out is
kept. After long without gain the search begins anew (`restart`), half of the times from
nothing, and else from the best forest or the *elite* one, which has least out under the
present limit.

References
----------
Burke & Bykov, The late acceptance hill-climbing heuristic, EJOR 258 (2017) 70-78.
"""

from __future__ import annotations

from nesting.solve.kernel import Ints, draw, kernel
from nesting.solve.sheets.cuts import Rules
from nesting.solve.sheets.forest import (
    COST,
    OUT,
    OUT_AREA,
    ROOTS,
    STOCK,
    Forest,
    Kinds,
    Stocks,
    copy,
    remove,
    sum_on,
)
from nesting.solve.sheets.jot import Notebook, note
from nesting.solve.sheets.moves import FAR, Scratch, recreate, ruin, value_of

# The places of the state of a search.
BOUND = 0  # a cost that cannot be bettered
SCALE = 1  # of the area out, in the value
MOST = 2  # the cost limit
BEST_OUT = 3  # least area out under this limit
IDLE = 4  # iterations since it was found
LENGTH = 5  # of the history in use
AT = 6  # in the history
VALUE = 7  # of the present forest
DONE = 8  # iterations in all
FOUND = 9  # how often a best forest was found
ELITE_OUT = 10  # area out of the elite forest: least since the limit was set
RESTARTS = 11  # under the present limit
STATE_SIZE = 12

SHORT = 1_000  # history at the start
LONG = 20_000  # and at most
TRIALS = 20  # to begin from nothing; the best is taken
AT_ONCE = 1_000_000  # idle for so long, a search begins anew at the next step
PATIENCE = 30  # histories without gain before a restart
LOOK = 100  # iterations between two notes
LIMITLESS = 4_000_000_000_000_000_000


@kernel
def emptiest(forest: Forest, kinds: Kinds, stocks: Stocks) -> int:
    """Return the root of the sheet that costs most for the parts on it."""
    nodes, _, roots, _, tally = forest
    worst = roots[0]
    worst_rate = -1.0
    for i in range(tally[ROOTS]):
        rate = float(stocks[1][nodes[roots[i] + STOCK]]) / float(
            sum_on(nodes, roots[i], kinds[1])
        )
        if rate > worst_rate:
            worst_rate = rate
            worst = roots[i]
    return worst


@kernel
def aim(
    forest: Forest,
    kinds: Kinds,
    stocks: Stocks,
    state: Ints,
    history: Ints,
) -> None:
    """Close the poorest sheets until the cost is within the limit; go on from there."""
    tally = forest[4]
    while tally[COST] > state[MOST]:
        remove(forest, kinds, stocks, emptiest(forest, kinds, stocks))
    state[VALUE] = value_of(forest, state[SCALE])
    state[BEST_OUT] = tally[OUT_AREA]
    state[IDLE] = 0
    state[AT] = 0
    for i in range(state[LENGTH]):
        history[i] = state[VALUE]


@kernel
def keep(work: Forest, best: Forest, state: Ints) -> bool:
    """Keep a forest if it is the best so far; tell whether it was."""
    out = work[4][OUT_AREA]
    least = best[4][OUT_AREA]
    if out > least or (out == least and work[4][COST] >= best[4][COST]):
        return False
    copy(work, best)
    state[FOUND] += 1
    if best[4][OUT] == 0:
        state[MOST] = best[4][COST] - 1
    return True


@kernel
def start(
    work: Forest,
    best: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    scratch: Scratch,
    state: Ints,
    rng: Ints,
) -> None:
    """Place all that is out of `work`, which holds nothing; keep it if it is best."""
    recreate(work, kinds, stocks, rules, scratch, state[MOST], 1, FAR, 0, rng)
    keep(work, best, state)


@kernel
def restart(
    present: Forest,
    work: Forest,
    best: Forest,
    elite: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    scratch: Scratch,
    state: Ints,
    rng: Ints,
) -> None:
    """Begin anew: from nothing, from the elite or from the best, less a sheet.

    Many runs are short and few are long: the histories grow by the powers of two that
    divide the number of the run. A run seldom leaves the region it begins in.
    """
    state[RESTARTS] += 1
    number = state[RESTARTS]
    state[LENGTH] = min(SHORT * (number & -number), LONG)
    source = draw(rng) % 4
    if source == 3:
        copy(best, work)
    else:
        copy(elite, work)
    tally = work[4]
    if source < 2:
        for trial in range(TRIALS):
            while tally[ROOTS] > 0:
                remove(work, kinds, stocks, work[2][tally[ROOTS] - 1])
            recreate(work, kinds, stocks, rules, scratch, state[MOST], 1, FAR, 0, rng)
            if trial == 0 or tally[OUT_AREA] < present[4][OUT_AREA]:
                copy(work, present)
        copy(present, work)
    elif tally[COST] <= state[MOST] and tally[ROOTS] > 0:
        remove(work, kinds, stocks, work[2][draw(rng) % tally[ROOTS]])


@kernel
def begin(
    present: Forest,
    work: Forest,
    best: Forest,
    elite: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    scratch: Scratch,
    state: Ints,
    history: Ints,
    rng: Ints,
) -> None:
    """Make everything ready for `search`, from the best forest."""
    copy(best, work)
    aim(work, kinds, stocks, state, history)
    copy(work, present)
    copy(work, elite)
    state[ELITE_OUT] = work[4][OUT_AREA]


@kernel
def search(
    present: Forest,
    work: Forest,
    best: Forest,
    elite: Forest,
    kinds: Kinds,
    stocks: Stocks,
    rules: Rules,
    scratch: Scratch,
    state: Ints,
    history: Ints,
    rng: Ints,
    notebook: Notebook,
    iterations: int,
) -> bool:
    """Search on for so many iterations; tell whether the bound was met before.

    `present` holds the forest accepted last, and `work` the same between calls. Its
    sheets are noted now and then.
    """
    for _ in range(iterations):
        state[DONE] += 1
        at = state[AT]
        worst = max(state[VALUE], history[at])
        scale = state[SCALE]
        ruin(work, kinds, stocks, scratch, rng)
        better = False
        if recreate(
            work,
            kinds,
            stocks,
            rules,
            scratch,
            state[MOST],
            scale,
            worst,
            state[BEST_OUT],
            rng,
        ):
            out = work[4][OUT_AREA]
            if keep(work, best, state) and work[4][OUT] == 0:
                if best[4][COST] <= state[BOUND]:
                    return True
                state[LENGTH] = SHORT
                state[RESTARTS] = 0
                aim(work, kinds, stocks, state, history)
                copy(work, present)
                copy(work, elite)
                state[ELITE_OUT] = work[4][OUT_AREA]
                continue
            if out < state[ELITE_OUT]:
                copy(work, elite)
                state[ELITE_OUT] = out
            if out < state[BEST_OUT]:
                better = True
                state[BEST_OUT] = out
            value = value_of(work, scale)
            if value <= worst:
                copy(work, present)
                state[VALUE] = value
            else:
                copy(present, work)
        else:
            copy(present, work)
        history[at] = state[VALUE]
        at += 1
        state[AT] = at if at < state[LENGTH] else 0
        state[IDLE] += 1
        if better:
            state[IDLE] = 0
        elif state[IDLE] > PATIENCE * state[LENGTH] + 2_000:
            restart(
                present, work, best, elite, kinds, stocks, rules, scratch, state, rng
            )
            aim(work, kinds, stocks, state, history)
            copy(work, present)
        if state[DONE] % LOOK == 0:
            note(present, notebook)
    return False
