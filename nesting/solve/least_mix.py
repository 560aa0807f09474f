"""The least cost of a mix of stock on which several demands are made at once: exact.

min sum c[k] n[k]  subject to  sum h[r][k] n[k] >= need[r] for every row r,
0 <= n[k] <= limit[k], n integer.

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
from dataclasses import dataclass
from fractions import Fraction

_MOST_NODES = 1_000


@dataclass(frozen=True, slots=True)
class Row:
    """What the sheets of each kind hold of something, and how much is needed."""

    holds: tuple[int, ...]
    need: int


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
