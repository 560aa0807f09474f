"""Large neighbourhood search: take a few boards apart, fill them again otherwise.

Boards of poor value for their price go first. Values of parts are drawn anew each time:
between volume and cost, with noise, and more or less for large ones. A plan that is a
little dearer than the present one is taken too, the less so the longer a *round* has
gone on; each round begins at the best plan. Between plans of one cost the one counts
for better whose boards are full or empty rather than half full.

References
----------
Shaw, Using constraint programming and local search methods to solve vehicle routing
problems, CP 1998, LNCS 1520, 417-431. Dueck & Scheuer, Threshold accepting, J. Comput.
Phys. 90 (1990) 161-175.
"""

from __future__ import annotations

from typing import Final

from nesting.solve.boards.buying import cheapest_kind, place_out
from nesting.solve.boards.greedy import (
    ALLOWED,
    BASE,
    MEASURES,
    PLAN_STRIDE,
    VALUE,
    Scratch,
    chance,
    choose_items,
    fill_board,
)
from nesting.solve.boards.instance import AREA, BOARD_AREA, COST, FAMILY
from nesting.solve.boards.rows import COUNTS, EFFORT, Tables
from nesting.solve.boards.streams import (
    BOARDS,
    HEAD,
    KIND,
    OUT,
    PRICE,
    SECTION_HEAD,
    SECTIONS,
    STRIP_HEAD,
    Given,
    Plan,
    after_section,
    copy_plan,
    count_section,
    largest_rest,
    remove_board,
    remove_section,
)
from nesting.solve.kernel import Ints, draw, kernel

# The places of the state.
ROUND: Final = 0
"""Rebuildings in this round."""
LONGEST_ROUND: Final = 1
BOUND: Final = 2
"""A cost that cannot be bettered, as the search counts costs."""
DONE: Final = 3
"""Rebuildings so far."""
STATE_SIZE: Final = 4

_MOST_BOARDS = 3  # taken apart at a time
_MOST_PARTS = 36
_SELDOM = 8  # one in so many times up to a third of all boards
_HEAT = 0.12  # of the cost of a board, the threshold at the start of a round
_SLACK = 0.01  # of the cost, what fuller boards may be worth
_FULL = 0.08  # of its price, what a full board is liked for


@kernel
def area_on(streams: Ints, start: int, given: Given, what: Ints) -> int:
    """Return the sum over the parts of a board of what they are given by `what`."""
    total = 0
    at = start + HEAD
    for _ in range(streams[start + SECTIONS]):
        strips = streams[at + 1]
        at += SECTION_HEAD
        for _ in range(strips):
            rows = streams[at + 2]
            at += STRIP_HEAD
            for _ in range(rows):
                for j in range(at + 1, at + 1 + streams[at]):
                    total += what[streams[j]]
                at += 1 + streams[at]
    return total


@kernel
def energy_of(plan: Plan, given: Given, scratch: Scratch, base: Ints) -> float:
    """Return what is minimised: cost, but for a liking of full and of empty boards."""
    total = 1.0 * (plan[1][PRICE] + plan[1][OUT])
    stride = scratch[MEASURES][PLAN_STRIDE]
    for b in range(plan[1][BOARDS]):
        kind = plan[0][b * stride + KIND]
        fill = area_on(plan[0], b * stride, given, base) / given[BOARD_AREA][kind]
        total -= _FULL * given[COST][kind] * min(1.0, fill * fill)
    return total


@kernel
def draw_values(given: Given, scratch: Scratch, rng: Ints) -> None:
    """Draw the values of parts for one rebuilding."""
    values = scratch[VALUE]
    base = scratch[BASE]
    parts = len(values)
    share = (draw(rng) % 3) * 0.5
    noise = 0.25 * chance(rng) * chance(rng)
    liking = 0.15 * chance(rng)
    most = 1
    for p in range(parts):
        most = max(most, given[AREA][p])
    for p in range(parts):
        value = (1.0 - share) * base[p] + share * base[parts + p]
        value *= 1.0 + noise * (2.0 * chance(rng) - 1.0)
        value *= 1.0 + liking * given[AREA][p] / most
        values[p] = max(1, int(value))


@kernel
def draw_kinds(plan: Plan, scratch: Scratch, rng: Ints) -> None:
    """Draw which kinds of boards may be bought: half of the times not all of them."""
    allowed = scratch[ALLOWED]
    kinds = len(allowed)
    share = draw(rng) % 4
    for k in range(kinds):
        allowed[k] = 1
        if share < 2 and draw(rng) % 4 > share:
            allowed[k] = 0
    if share < 2:
        stride = scratch[MEASURES][PLAN_STRIDE]
        for b in range(plan[1][BOARDS]):
            if draw(rng) % 2 == 0:
                allowed[plan[0][b * stride + KIND]] = 1


@kernel
def poorest(plan: Plan, given: Given, scratch: Scratch, trials: int, rng: Ints) -> int:
    """Return, of so many boards drawn, the one with the least value for its price."""
    stride = scratch[MEASURES][PLAN_STRIDE]
    found = 0
    least = 0.0
    for trial in range(trials):
        b = draw(rng) % plan[1][BOARDS]
        kind = plan[0][b * stride + KIND]
        value = area_on(plan[0], b * stride, given, scratch[VALUE])
        rate = (value + 1.0) / (given[COST][kind] + 1)
        if trial == 0 or rate < least:
            least = rate
            found = b
    return found


@kernel
def count_out(plan: Plan) -> int:
    """Return how many parts are out."""
    total = 0
    for p in range(len(plan[3])):
        total += plan[3][p]
    return total


@kernel
def ruin(plan: Plan, tables: Tables, given: Given, scratch: Scratch, rng: Ints) -> None:
    """Take boards apart; take sections from others, and fill those again at once."""
    stride = scratch[MEASURES][PLAN_STRIDE]
    tally = plan[1]
    goal = 1 + draw(rng) % _MOST_BOARDS
    most = _MOST_PARTS
    if draw(rng) % _SELDOM == 0:
        goal = 1 + draw(rng) % max(_MOST_BOARDS, tally[BOARDS] // 3)
        most = len(plan[3]) * _MOST_PARTS
    for number in range(goal):
        if tally[BOARDS] == 0 or (number and count_out(plan) >= most):
            break
        b = poorest(plan, given, scratch, 1 + draw(rng) % 3, rng)
        remove_board(plan, given, stride, b)
    openings = draw(rng) % 3
    for _ in range(openings):
        if tally[BOARDS] == 0 or count_out(plan) >= _MOST_PARTS:
            break
        b = draw(rng) % tally[BOARDS]
        start = b * stride
        kind = plan[0][start + KIND]
        sections = plan[0][start + SECTIONS]
        if sections > 1 and draw(rng) % 4 > 0:
            remove_section(plan, stride, b, draw(rng) % sections)
        refill(plan, tables, given, scratch, b, kind, rng)
    if tally[BOARDS] > 0 and count_out(plan) > 0:
        b = draw(rng) % tally[BOARDS]
        refill(plan, tables, given, scratch, b, plan[0][b * stride + KIND], rng)


@kernel
def refill(
    plan: Plan,
    tables: Tables,
    given: Given,
    scratch: Scratch,
    b: int,
    kind: int,
    rng: Ints,
) -> None:
    """Cut sections for what is out from what is left of a board."""
    start = b * scratch[MEASURES][PLAN_STRIDE]
    streams = plan[0]
    parts = len(plan[3])
    choose_items(plan, tables, given, scratch, given[FAMILY][kind], rng)
    before = streams[start + SECTIONS]
    old = streams[start]
    fill_board(tables, given, scratch, parts, streams, start, rng)
    at = start + old
    for _ in range(streams[start + SECTIONS] - before):
        count_section(streams, at, plan[3], -1)
        at = after_section(streams, at)


@kernel
def search(
    best: Plan,
    present: Plan,
    work: Plan,
    tables: Tables,
    given: Given,
    scratch: Scratch,
    state: Ints,
    rng: Ints,
    volumes: Ints,
    most_effort: int,
) -> int:
    """Rebuild until so many steps are done or the bound is met; return the steps."""
    stride = scratch[MEASURES][PLAN_STRIDE]
    tables[COUNTS][EFFORT] = 0
    energy = energy_of(present, given, scratch, volumes)
    while tables[COUNTS][EFFORT] < most_effort:
        cost = best[1][PRICE]
        if best[1][OUT] == 0 and cost <= state[BOUND]:
            break
        if state[ROUND] >= state[LONGEST_ROUND]:
            state[ROUND] = 0
            copy_plan(best, present, stride)
            energy = energy_of(present, given, scratch, volumes)
        state[DONE] += 1
        left = 1.0 - state[ROUND] / state[LONGEST_ROUND]
        threshold = _HEAT * cost / (1 + best[1][BOARDS]) * left * left * chance(rng)
        state[ROUND] += 1
        copy_plan(present, work, stride)
        draw_values(given, scratch, rng)
        draw_kinds(work, scratch, rng)
        ruin(work, tables, given, scratch, rng)
        tables[COUNTS][EFFORT] += 2_000
        limit = present[1][PRICE] + int(threshold + _SLACK * cost)
        if present[1][OUT] > 0:
            limit = 1 << 60
        if not place_out(work, tables, given, scratch, limit, rng):
            continue
        cheapen(work, given, scratch)
        new = energy_of(work, given, scratch, volumes)
        if new <= energy + threshold:
            energy = new
            copy_plan(work, present, stride)
            if keep(work, best, given, stride):
                state[ROUND] = 0
    return tables[COUNTS][EFFORT]


@kernel
def cheapen(plan: Plan, given: Given, scratch: Scratch) -> None:
    """Exchange boards for cheaper kinds that give the same."""
    stride = scratch[MEASURES][PLAN_STRIDE]
    for b in range(plan[1][BOARDS]):
        kind = plan[0][b * stride + KIND]
        other = cheapest_kind(plan, given, plan[0], b * stride)
        if other != kind:
            plan[0][b * stride + KIND] = other
            plan[2][kind] += 1
            plan[2][other] -= 1
            plan[1][PRICE] += given[COST][other] - given[COST][kind]


@kernel
def keep(plan: Plan, best: Plan, given: Given, stride: int) -> bool:
    """Keep a plan if it is the best so far: cost, fewest boards, the largest rest."""
    cost = plan[1][PRICE] + plan[1][OUT]
    least = best[1][PRICE] + best[1][OUT]
    if cost > least or (cost == least and plan[1][BOARDS] > best[1][BOARDS]):
        return False
    if cost == least and plan[1][BOARDS] == best[1][BOARDS]:
        rest = largest_rest(plan, given, stride)
        if rest <= largest_rest(best, given, stride):
            return False
    copy_plan(plan, best, stride)
    return True


@kernel
def start(
    best: Plan,
    work: Plan,
    tables: Tables,
    given: Given,
    scratch: Scratch,
    rng: Ints,
    is_first: int,
) -> bool:
    """Place all from nothing; keep it if it is the best."""
    stride = scratch[MEASURES][PLAN_STRIDE]
    while work[1][BOARDS] > 0:
        remove_board(work, given, stride, work[1][BOARDS] - 1)
    for k in range(len(scratch[ALLOWED])):
        scratch[ALLOWED][k] = 1
    if is_first == 1:
        for p in range(len(scratch[VALUE])):
            scratch[VALUE][p] = scratch[BASE][p]
    else:
        draw_values(given, scratch, rng)
    place_out(work, tables, given, scratch, 1 << 60, rng)
    cheapen(work, given, scratch)
    return keep(work, best, given, stride)
