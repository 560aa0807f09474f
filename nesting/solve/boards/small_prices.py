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


class Pricing:
    """The program; rows that mattered once are there from the start the next time.

    Parameters
    ----------
    groups
        What there is for each width.
    packing
        The sets.
    kerf
        That sections have in their lengths.
    effort
        Counts the work.
    """

    def __init__(
        self, groups: Sequence[Sections], packing: Packing, kerf: int, effort: Effort
    ) -> None:
        import numpy as np

        self._groups = groups
        self._packing = packing
        self._kerf = kerf
        self._effort = effort
        self._parts = sum(packing.wanted)
        self._rows = [
            set(np.flatnonzero(each.counts.sum(axis=1) == 1).tolist())
            for each in groups
        ]

    def of_costs(self, top: int) -> Prices:
        """Return the best prices where boards cost what they cost.

        Parameters
        ----------
        top
            What no plan worth looking for costs.
        """
        boards = [stock for each in self._groups for stock in each.stock]
        dearest = max(stock.cost for stock in boards)
        program = _Program(self._packing.wanted, _MOST_WORTH * max(1, dearest))
        for each in self._groups:
            longest = max(stock.length for stock in each.stock) + self._kerf
            rate = program.rate(longest)
            for stock in each.stock:
                limit = limit_of(stock, self._parts)
                program.hold(rate, stock.length + self._kerf, stock.cost, limit)
        indices = range(len(self._groups))
        worths, rates = self._solved(program, indices, _CLOSE * max(1, dearest))
        most = top + self._parts * (_MOST_WORTH * dearest + 1)
        return self._whole(self._groups, worths, rates, most)

    def of_mix(self, groups: Sequence[Sections], indices: Sequence[int]) -> Prices:
        """Return prices by which a mix of boards looks as small as may be.

        Parameters
        ----------
        groups
            With all the boards of the mix: their limits count, and no costs.
        indices
            Which groups those are of all.
        """
        program = _Program(self._packing.wanted, _MOST_WORTH)
        for each in groups:
            length = sum(
                (stock.limit or 0) * (stock.length + self._kerf) for stock in each.stock
            )
            program.share(program.rate(length), length)
        worths, rates = self._solved(program, indices, _CLOSE)
        return self._whole(groups, worths, rates, self._parts * (_MOST_WORTH + 1))

    def _solved(
        self, program: _Program, indices: Sequence[int], close: float
    ) -> tuple[list[float], list[float]]:
        """Return worths and rates as floats: advice only."""
        import numpy as np

        for place, index in enumerate(indices):
            each = self._groups[index]
            for number in sorted(self._rows[index]):
                program.add(place, each.counts[number], int(each.lengths[number]))
        for _ in range(_ROUNDS):
            worths, rates = program.solved()
            is_done = True
            for place, index in enumerate(indices):
                each = self._groups[index]
                broken = each.counts @ np.array(worths) - rates[place] * each.lengths
                self._effort.add(10 * len(broken))
                for number in np.argsort(-broken, kind="stable")[:_ADDED].tolist():
                    if broken[number] <= close:
                        break
                    if number not in self._rows[index]:
                        self._rows[index].add(number)
                        row, length = each.counts[number], int(each.lengths[number])
                        program.add(place, row, length)
                        is_done = False
            if is_done:
                break
        return worths, rates

    def _whole(
        self,
        groups: Sequence[Sections],
        worths: Sequence[float],
        rates: Sequence[float],
        most: int,
    ) -> Prices:
        """Return prices in whole numbers, a little lower where they would not hold."""
        import numpy as np

        for each, rate in zip(groups, rates, strict=True):
            for stock in each.stock:
                most += self._parts * int(rate * (stock.length + self._kerf) + 1)
        one = max(1, _SIZE // most)
        whole_rates, savings = [], []
        for each, rate in zip(groups, rates, strict=True):
            whole_rate = int(rate * one)
            for stock in each.stock:
                if limit_of(stock, self._parts) is None:
                    own = stock.cost * one // (stock.length + self._kerf)
                    whole_rate = min(whole_rate, own)
            whole_rates.append(whole_rate)
            saved = []
            for stock in each.stock:
                over = whole_rate * (stock.length + self._kerf) - stock.cost * one
                is_few = limit_of(stock, self._parts) is not None
                saved.append(max(0, over) if is_few else 0)
            savings.append(tuple(saved))
        whole = [int(worth * one) for worth in worths]
        for each, rate in zip(groups, whole_rates, strict=True):
            while True:
                values = each.counts @ np.array(whole, dtype=np.int64)
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


class _Program:
    """Floats for worths and rates, by GLOP."""

    def __init__(self, wanted: Sequence[int], most_worth: int) -> None:
        from ortools.linear_solver import pywraplp

        self._lp: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._optimal = pywraplp.Solver.OPTIMAL
        self._endless = self._lp.infinity()
        self._goal = self._lp.Objective()
        self._goal.SetMaximization()
        self._worths = [self._lp.NumVar(0.0, float(most_worth), "") for _ in wanted]
        for worth, count in zip(self._worths, wanted, strict=True):
            self._goal.SetCoefficient(worth, float(count))
        self._rates: list[Any] = []
        self._scales: list[float] = []
        self._shared: Any = None

    def rate(self, length: int) -> int:
        """Add a rate, kept as that of so much length; return its number."""
        self._rates.append(self._lp.NumVar(0.0, self._endless, ""))
        self._scales.append(float(length))
        return len(self._rates) - 1

    def hold(self, rate: int, length: int, cost: int, limit: int | None) -> None:
        """Let a length cost no more than a board, and what its being few saves."""
        row = self._lp.Constraint(-self._endless, float(cost))
        row.SetCoefficient(self._rates[rate], length / self._scales[rate])
        if limit is not None:
            saving = self._lp.NumVar(0.0, self._endless, "")
            row.SetCoefficient(saving, -1.0)
            self._goal.SetCoefficient(saving, -float(limit))

    def share(self, rate: int, length: int) -> None:
        """Let a length be part of what costs 1 in all."""
        if self._shared is None:
            self._shared = self._lp.Constraint(-self._endless, 1.0)
        self._shared.SetCoefficient(self._rates[rate], length / self._scales[rate])

    def add(self, rate: int, counts: Line, length: int) -> None:
        """Let a section be worth no more than its length costs."""
        import numpy as np

        row = self._lp.Constraint(-self._endless, 0.0)
        for kind in np.flatnonzero(counts).tolist():
            row.SetCoefficient(self._worths[kind], float(counts[kind]))
        row.SetCoefficient(self._rates[rate], -length / self._scales[rate])

    def solved(self) -> tuple[list[float], list[float]]:
        """Return the best worths and rates."""
        if self._lp.Solve() != self._optimal:
            raise ArithmeticError("GLOP found no optimum")
        worths = [max(0.0, worth.solution_value()) for worth in self._worths]
        rates = [
            max(0.0, rate.solution_value()) / scale
            for rate, scale in zip(self._rates, self._scales, strict=True)
        ]
        return worths, rates
