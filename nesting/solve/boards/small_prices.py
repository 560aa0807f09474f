"""What parts, lengths of board and scarce boards are worth, in whole numbers.

Let v[i] be what a part is worth, r[c] what a unit of length of a board of width c
costs, u[k] what a board of limited number saves. With

    v(T) <= r[c] x(T, c) for every section T,
    r[c] L[k] <= p[k] + u[k] for every board k,

sections and boards with their kerfs, no plan costs less than v(all) - sum a[k] u[k]:
its boards cost what their sections do at least. GLOP finds the best such numbers by
adding rows that are broken; they are then rounded so that they hold exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from nesting.solve.boards.problem import BoardStock
from nesting.solve.boards.small_sections import Sections
from nesting.solve.boards.small_sets import Effort, Packing

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

_SIZE: Final = 1 << 58
"""All that a plan may cost, in the measure of the prices, at most."""
_MOST_WORTH = 4
"""Of a part: so many times the dearest board."""
_ROUNDS = 60
_ADDED = 15
_CLOSE = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """Whole numbers that hold exactly; see the module."""

    one: int
    """A unit of cost in their measure."""
    worths: tuple[int, ...]
    """By kind."""
    rates: tuple[int, ...]
    """By width of board, for a tick of length."""
    savings: tuple[tuple[int, ...], ...]
    """By width and board: what a board there are few of saves. 0 for others."""


def limit_of(stock: BoardStock, parts: int) -> int | None:
    """Return how many there are, or None if there are as many as parts."""
    if stock.limit is None or stock.limit >= parts:
        return None
    return stock.limit


def find_prices(
    groups: Sequence[Sections], packing: Packing, kerf: int, top: int, effort: Effort
) -> Prices:
    """Return the best prices for some sections.

    Parameters
    ----------
    groups
        What there is for each width.
    packing
        The sets.
    kerf
        That sections have in their lengths.
    top
        What no plan worth looking for costs.
    effort
        Counts the work.
    """
    import numpy as np

    parts = sum(packing.wanted)
    counts = [packing.counts(each.sets) for each in groups]
    worths, rates = _solved(groups, counts, packing, kerf, effort)
    dearest = max(stock.cost for each in groups for stock in each.stock)
    most = top + parts * (_MOST_WORTH * dearest + 1)
    for each, rate in zip(groups, rates, strict=True):
        for stock in each.stock:
            most += parts * int(rate * (stock.length + kerf) + 1)
    one = max(1, _SIZE // most)
    whole_rates = [int(rate * one) for rate in rates]
    savings = []
    for index, each in enumerate(groups):
        unlimited = [
            stock.cost * one // (stock.length + kerf)
            for stock in each.stock
            if limit_of(stock, parts) is None
        ]
        rate = min([whole_rates[index], *unlimited])
        whole_rates[index] = rate
        savings.append(
            tuple(
                0
                if limit_of(stock, parts) is None
                else max(0, rate * (stock.length + kerf) - stock.cost * one)
                for stock in each.stock
            )
        )
    whole = [int(worth * one) for worth in worths]
    for each, rows, rate in zip(groups, counts, whole_rates, strict=True):
        while True:
            values = rows @ np.array(whole, dtype=np.int64)
            room = rate * each.lengths
            if not (values > room).any():
                break
            at = int(np.argmin(room / np.maximum(values, 1)))
            num, den = int(room[at]), int(values[at])
            if num >= den:  # floats could not tell which is worst
                num, den = 999_999, 1_000_000
            whole = [value * num // den for value in whole]
    return Prices(
        one=one,
        worths=tuple(whole),
        rates=tuple(whole_rates),
        savings=tuple(savings),
    )


def _solved(
    groups: Sequence[Sections],
    counts: Sequence[Line],
    packing: Packing,
    kerf: int,
    effort: Effort,
) -> tuple[list[float], list[float]]:
    """Return worths and rates as floats: advice only."""
    import numpy as np
    from ortools.linear_solver import pywraplp

    lp: Any = pywraplp.Solver.CreateSolver("GLOP")
    endless = lp.infinity()
    dearest = max(stock.cost for each in groups for stock in each.stock)
    goal = lp.Objective()
    goal.SetMaximization()
    worths = [
        lp.NumVar(0.0, float(_MOST_WORTH * max(1, dearest)), "") for _ in packing.wanted
    ]
    for worth, count in zip(worths, packing.wanted, strict=True):
        goal.SetCoefficient(worth, float(count))
    rates = []
    scales = []  # rates as what the longest board costs, to keep numbers alike
    for each in groups:
        longest = max(stock.length for stock in each.stock) + kerf
        rate = lp.NumVar(0.0, endless, "")
        scales.append(float(longest))
        rates.append(rate)
        for stock in each.stock:
            row = lp.Constraint(-endless, float(stock.cost))
            row.SetCoefficient(rate, (stock.length + kerf) / longest)
            limit = limit_of(stock, sum(packing.wanted))
            if limit is not None:
                saving = lp.NumVar(0.0, endless, "")
                row.SetCoefficient(saving, -1.0)
                goal.SetCoefficient(saving, -float(limit))
    added: list[set[int]] = [set() for _ in groups]

    def add(index: int, number: int) -> None:
        added[index].add(number)
        row = lp.Constraint(-endless, 0.0)
        for kind in np.flatnonzero(counts[index][number]).tolist():
            row.SetCoefficient(worths[kind], float(counts[index][number][kind]))
        length = int(groups[index].lengths[number])
        row.SetCoefficient(rates[index], -length / scales[index])

    for index in range(len(groups)):
        for number in np.flatnonzero(counts[index].sum(axis=1) == 1).tolist():
            add(index, number)
    for _ in range(_ROUNDS):
        if lp.Solve() != pywraplp.Solver.OPTIMAL:
            raise ArithmeticError("GLOP found no optimum")
        now = np.array([worth.solution_value() for worth in worths])
        at_rates = [
            max(0.0, rate.solution_value()) / scale
            for rate, scale in zip(rates, scales, strict=True)
        ]
        is_done = True
        for index, each in enumerate(groups):
            broken = counts[index] @ now - at_rates[index] * each.lengths
            effort.add(10 * len(broken))
            for number in np.argsort(-broken, kind="stable")[:_ADDED].tolist():
                if broken[number] <= _CLOSE * max(1, dearest):
                    break
                if number not in added[index]:
                    add(index, number)
                    is_done = False
        if is_done:
            break
    return [max(0.0, worth) for worth in now.tolist()], at_rates
