"""The least cost of a mix of sheets on which several demands are made at once: exact.

min sum c[k] n[k]  subject to  sum h[r][k] n[k] >= need[r] for every row r,
0 <= n[k] <= limit[k], n integer.

A part that fits only some kinds of sheet makes a demand on these alone. For every set K
of kinds that comes about as a union of such sets, the parts confined to K need their
area, and their own lower bound in cost, from the sheets of K. `nesting.solve.sheets.
linear` adds the rows that its duals give.

Method: branch and bound, the least bound first. The bound of a node is the greatest
one of its rows, each relaxed and filled by cost per unit held. All of it is integers.
Should the nodes run out, the bound of the best open node is returned, a bound all the
same.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.solve.sheets.bounds import SheetBound, quick_bound
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock

_MOST_NODES = 1_000
_MOST_SETS = 32


@dataclass(frozen=True, slots=True)
class Row:
    """What the sheets of each kind hold of something, and how much is needed."""

    holds: tuple[int, ...]
    need: int


def confined_bound(problem: SheetProblem) -> SheetBound:
    """Return a bound by the area of parts that fit only some kinds of sheet.

    Parameters
    ----------
    problem
        Parts that fit no sheet do not count.

    Returns
    -------
    SheetBound
        On the cost of placing every part; the cost of all the sheets there are where
        limited stock does not hold the parts.
    """
    value = least_mix(
        [each.cost for each in problem.stock],
        [each.limit for each in problem.stock],
        confined_rows(problem),
    )
    return SheetBound(value, "area, and parts that fit only some sheets")


def confined_rows(problem: SheetProblem) -> list[Row]:
    """Return the demands that parts make on the only kinds of sheet they fit.

    Parameters
    ----------
    problem
        Parts that fit no sheet are left out.

    Returns
    -------
    list of Row
        Two for each set of kinds: the area, and the parts' own bound in cost.
    """
    rows = []
    for kinds, parts in confined_parts(problem).items():
        stock = [problem.stock[number] for number in sorted(kinds)]
        need = sum(
            part.quantity
            * min(area for each in stock for area in areas_on(part, each, problem))
            for part in parts
        )
        held = [
            (each.length + problem.least_kerf_x) * (each.width + problem.least_kerf_y)
            for each in problem.stock
        ]
        rows.append(_row(held, kinds, need))
        own_cost = quick_bound(
            replace(problem, parts=tuple(parts), stock=tuple(stock))
        ).value
        rows.append(_row([each.cost for each in problem.stock], kinds, own_cost))
    return rows


def confined_parts(
    problem: SheetProblem,
) -> dict[frozenset[int], list[SheetPart]]:
    """Return the parts that fit no kinds of sheet but some, for several such sets.

    Parameters
    ----------
    problem
        Parts that fit no sheet are left out.
    """
    problem = problem.apart()
    groups: dict[frozenset[int], list[SheetPart]] = {}
    for part in problem.parts:
        kinds = frozenset(
            number
            for number, each in enumerate(problem.stock)
            if each.limit != 0 and areas_on(part, each, problem)
        )
        if kinds and part.quantity:
            groups.setdefault(kinds, []).append(part)
    return {
        kinds: [part for own in groups if own <= kinds for part in groups[own]]
        for kinds in _unions(list(groups))
    }


def areas_on(part: SheetPart, stock: SheetStock, problem: SheetProblem) -> list[int]:
    """Return the inflated area of a part in each way it lies on a sheet."""
    along, across = (part.length, part.width), (part.width, part.length)
    turns = [along, across]
    if part.grain_bound:
        turns = [along] if stock.grain_along_length else [across]
    return [
        (x + problem.least_kerf_x) * (y + problem.least_kerf_y)
        for x, y in turns
        if x <= stock.length and y <= stock.width
    ]


def _unions(sets: Sequence[frozenset[int]]) -> list[frozenset[int]]:
    """Return the unions of sets, the whole first; not all where they are too many."""
    if not sets:
        return []
    found = [frozenset().union(*sets), *sets]
    for each in found:
        for other in sets:
            if len(found) < _MOST_SETS and each | other not in found:
                found.append(each | other)
    return list(dict.fromkeys(found))


def _row(measure: Sequence[int], kinds: frozenset[int], need: int) -> Row:
    return Row(
        tuple(held if number in kinds else 0 for number, held in enumerate(measure)),
        need,
    )


# --- the mix -------------------------------------------------------------------------

_Range = tuple[int, int | None]


@dataclass(frozen=True, slots=True)
class _Filled:
    """How a row is filled: its cost (rounded up), and (whole, with a rest) per kind."""

    cost: int
    amounts: tuple[tuple[int, bool], ...]


def least_mix(
    costs: Sequence[int], limits: Sequence[int | None], rows: Sequence[Row]
) -> int:
    """Return a lower bound on the cost of meeting every row; nearly always the least.

    Parameters
    ----------
    costs, limits
        Of the kinds; zero or more.
    rows
        What is held is zero or more.

    Returns
    -------
    int
        The cost of every sheet there is where even all do not meet some row.
    """
    step = math.gcd(*costs) or 1
    wanted = [row for row in rows if row.need > 0]
    orders = [_order(costs, row) for row in wanted]
    start: tuple[_Range, ...] = tuple((0, limit) for limit in limits)
    serial = itertools.count()
    queue: list[tuple[int, int, tuple[_Range, ...], int, list[_Filled]]] = []

    def push(ranges: tuple[_Range, ...]) -> None:
        filled = [
            _fill(costs, row, order, ranges)
            for row, order in zip(wanted, orders, strict=True)
        ]
        met = [each for each in filled if each is not None]
        if len(met) == len(filled):
            most = max(range(len(met)), key=lambda at: met[at].cost)
            bound = -(-met[most].cost // step) * step
            heapq.heappush(queue, (bound, next(serial), ranges, most, met))

    if not wanted:
        return 0
    push(start)
    if not queue:
        return sum(
            cost * (limit or 0) for cost, limit in zip(costs, limits, strict=True)
        )
    for _ in range(_MOST_NODES):
        bound, _, ranges, most, met = heapq.heappop(queue)
        split = _split(wanted, most, met)
        if split is None:
            return bound
        kind, whole = split
        low, high = ranges[kind]
        for span in ((low, whole), (whole + 1, high)):
            push((*ranges[:kind], span, *ranges[kind + 1 :]))
    return queue[0][0]


def _order(costs: Sequence[int], row: Row) -> list[int]:
    """Return the kinds that hold anything, the cheapest for what it holds first."""
    return sorted(
        (kind for kind, held in enumerate(row.holds) if held > 0),
        key=lambda kind: (Fraction(costs[kind], row.holds[kind]), kind),
    )


def _fill(
    costs: Sequence[int], row: Row, order: Sequence[int], ranges: Sequence[_Range]
) -> _Filled | None:
    """Fill a row as cheaply as fractions of sheets allow; None where it cannot be."""
    amounts = [(low, False) for low, _ in ranges]
    cost = sum(c * low for c, (low, _) in zip(costs, ranges, strict=True))
    left = row.need - sum(
        h * low for h, (low, _) in zip(row.holds, ranges, strict=True)
    )
    for kind in order:
        if left <= 0:
            break
        low, high = ranges[kind]
        held = row.holds[kind]
        if high is None or left <= held * (high - low):
            whole, rest = divmod(left, held)
            amounts[kind] = (low + whole, rest > 0)
            cost += -(-costs[kind] * left // held)
            left = 0
        else:
            amounts[kind] = (high, False)
            cost += costs[kind] * (high - low)
            left -= held * (high - low)
    return None if left > 0 else _Filled(cost, tuple(amounts))


def _split(
    rows: Sequence[Row], most: int, met: Sequence[_Filled]
) -> tuple[int, int] | None:
    """Return the kind to split and below what number; None where all rows are met."""
    amounts = met[most].amounts
    for kind, (whole, has_rest) in enumerate(amounts):
        if has_rest:
            return kind, whole
    for row, other in zip(rows, met, strict=True):
        held = sum(h * whole for h, (whole, _) in zip(row.holds, amounts, strict=True))
        if held < row.need:
            for kind, (whole, has_rest) in enumerate(other.amounts):
                if whole + has_rest > amounts[kind][0]:
                    return kind, amounts[kind][0]
    return None
