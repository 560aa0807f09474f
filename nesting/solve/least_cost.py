"""The least cost of sheets that together hold enough: an exact little integer program.

min sum c[s] n[s]  subject to  sum h[s] n[s] >= need,  0 <= n[s] <= limit[s].

Method: branch and bound, the most promising node first; the relaxation of a node is
filled greedily by cost per unit held. All of it is integers. Should the nodes run out,
the bound of the best open node is returned, which is a bound all the same.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

_MOST_NODES = 2_000


@dataclass(frozen=True, slots=True)
class Offer:
    """Sheets of one kind: what one costs and holds, and how many there are."""

    cost: int
    holds: int
    limit: int | None


def least_cost(offers: Sequence[Offer], need: int) -> int:
    """Return a lower bound on the cost of holding `need`; nearly always the least cost.

    Parameters
    ----------
    offers
        Costs and what is held are zero or more.
    need
        In the measure of what is held.

    Returns
    -------
    int
        The cost of every sheet there is where even all do not hold enough.
    """
    useful = [each for each in offers if each.holds > 0 and each.limit != 0]
    useful.sort(key=lambda each: Fraction(each.cost, each.holds))
    if need <= 0:
        return 0
    if all(each.limit is not None for each in useful) and need > sum(
        each.holds * (each.limit or 0) for each in useful
    ):
        return sum(each.cost * (each.limit or 0) for each in offers)
    start = tuple((0, each.limit) for each in useful)
    serial = itertools.count()
    queue = [(*_relaxed(useful, start, need), next(serial), start)]
    for _ in range(_MOST_NODES):
        bound, split, amount, _, ranges = heapq.heappop(queue)
        if split < 0:
            return bound
        low, high = ranges[split]
        whole = math.floor(amount)
        for span in ((low, whole), (whole + 1, high)):
            child = (*ranges[:split], span, *ranges[split + 1 :])
            relaxed = _relaxed(useful, child, need)
            if relaxed[0] >= 0:
                heapq.heappush(queue, (*relaxed, next(serial), child))
    return queue[0][0]


_Range = tuple[int, int | None]


def _relaxed(
    offers: Sequence[Offer], ranges: Sequence[_Range], need: int
) -> tuple[int, int, Fraction]:
    """Return the rounded-up bound, the kind to split (-1: none) and its amount.

    The bound is -1 where the ranges do not hold enough.
    """
    cost = sum(each.cost * low for each, (low, _) in zip(offers, ranges, strict=True))
    left = need - sum(
        each.holds * low for each, (low, _) in zip(offers, ranges, strict=True)
    )
    for number, (each, (low, high)) in enumerate(zip(offers, ranges, strict=True)):
        if left <= 0:
            break
        more = Fraction(left, each.holds)
        if high is None or more <= high - low:
            if more.denominator == 1:
                return cost + each.cost * int(more), -1, Fraction(0)
            return cost + -(-each.cost * left // each.holds), number, low + more
        cost += each.cost * (high - low)
        left -= each.holds * (high - low)
    return (cost, -1, Fraction(0)) if left <= 0 else (-1, -1, Fraction(0))
