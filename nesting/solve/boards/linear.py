"""A lower bound by the linear program over all three-stage patterns of boards.

Problem: min sum c[k] x[j] over patterns j = (kind of board k, counts a[j]), with
sum a[i][j] x[j] >= d[i] for every part and sum x[j] <= limit[k] for limited kinds.

Method: column generation, priced by `table`, the prices smoothed (Wentges,
International Transactions in Operational Research 4 (1997) 151-162).

Guarantee: the bound, at whatever moment it ends. The prices are rounded down to whole
numbers v on a scale, and f[k], the most that a board of kind k holds in them, comes
from the table in whole numbers (`farley_bound`). Every plan with n[k] boards meets
sum f[k] n[k] >= v.d for each v that was met; the value is what the cheapest whole
boards cost that meet all of these. All of it is about plans of the stages in `problem`.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.solve.boards.problem import BoardProblem
from nesting.solve.boards.table import BoardTable
from nesting.solve.cover_program import CoverProgram, farley_bound
from nesting.solve.least_mix import Row, least_mix

BASIS: Final = "linear program over boards crosscut, ripped and crosscut"
CELLS_PER_UNIT: Final = 100_000
"""So many cells of a table take about as long as one rebuilding of the search."""
_MOST_SCALE = 1 << 40
_MOST_SUM = 1 << 60
_LEAN = 1e-7
_SMOOTHING = 0.5
_MOST_ROWS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardBound:
    """What the linear program says."""

    value: int
    """A cost that no plan goes below."""
    basis: str
    exact: Fraction
    """The bound before boards are taken to be whole ones."""
    prices: tuple[float, ...]
    """What one of each part costs, by part of the problem: advice."""
    is_complete: bool
    """Whether no pattern was left that pays."""
    work: int
    """In rebuildings of the search, about."""
    vectors: tuple[tuple[int, ...], ...] = ()
    """Whole weights of the parts that bounds were made with, the best first."""


def board_bound(
    problem: BoardProblem,
    *,
    most_work: int,
    deadline: float | None = None,
    cancelled: Callable[[], bool] = lambda: False,
    known: int = 0,
    goal: int | None = None,
    plain: bool = False,
) -> BoardBound:
    """Return the bound of the linear program over ways to cut a board.

    Parameters
    ----------
    problem
        Parts that fit no board do not count.
    most_work
        It ends after so much; the same each time.
    deadline, cancelled
        Looked at between rounds: a reading of `time.monotonic`, and a question.
    known
        A bound that is known already: the value is never below it.
    goal
        A cost that has been found: a bound of as much is enough.
    plain
        Whether to do without the compiler, which changes nothing but the time.

    Raises
    ------
    ArithmeticError
        Where the linear program is not solved; it says nothing of the problem.
    """
    table = BoardTable(problem, plain=plain or None)
    run = _Run(problem, table, known)
    if not any(run.demands) or not all(table.long) or not all(table.wide):
        return run.result(is_complete=False)
    is_complete = False
    while not is_complete:
        if run.work >= most_work or cancelled():
            break
        if deadline is not None and time.monotonic() >= deadline:
            break
        is_complete = run.round()
        if goal is not None and run.value >= goal:
            break
    return run.result(is_complete=is_complete)


class _Run:
    """The column generation under way."""

    def __init__(self, problem: BoardProblem, table: BoardTable, known: int) -> None:
        self.problem = problem
        self.table = table
        self.known = known
        self.kinds = [k for k, each in enumerate(problem.stock) if each.limit != 0]
        self.costs = [problem.stock[k].cost for k in self.kinds]
        self.limits = [problem.stock[k].limit for k in self.kinds]
        self.step = math.gcd(*self.costs) or 1
        self.demands = [
            part.quantity if self._fits(i) else 0
            for i, part in enumerate(problem.parts)
        ]
        self.master = CoverProgram(
            self.costs,
            self.limits,
            self.demands,
            [part.length * part.width for part in problem.parts],
        )
        self._known: set[tuple[int, tuple[tuple[int, int], ...]]] = set()
        self.bound = Fraction(0)
        self.work = 0
        self.prices: list[float] = [0.0] * len(problem.parts)
        self._best: list[float] = []
        self._rows: list[Row] = []
        self._vectors: list[tuple[int, ...]] = []
        """What the rows were made with."""

    def _fits(self, i: int) -> bool:
        table = self.table
        for family in table.families:
            if any(i in rows.parts for rows in family.rows):
                return True
        return any(i == number for own in table.wholes for number, _ in own)

    @property
    def value(self) -> int:
        """The bound so far, in steps of what costs can be."""
        return max(self.known, math.ceil(self.bound / self.step) * self.step)

    def result(self, *, is_complete: bool) -> BoardBound:
        """Return all that is known, whole boards bought."""
        mix = 0
        if self._rows:
            mix = least_mix(self.costs, self.limits, self._rows)
        value = max(self.value, mix)
        return BoardBound(
            value=value,
            basis=BASIS,
            exact=self.bound,
            prices=tuple(self.prices),
            is_complete=is_complete,
            work=self.work,
            vectors=tuple(self._vectors),
        )

    def round(self) -> bool:
        """Solve the program, price once or twice, tell whether no pattern pays."""
        duals, rents, _ = self.master.solve()
        self.prices = duals
        self.work += 1 + self.master.size // 40
        if self._best:
            mixed = [
                _SMOOTHING * old + (1 - _SMOOTHING) * new
                for old, new in zip(self._best, duals, strict=True)
            ]
            if self._price(mixed, duals, rents):
                return False
        return not self._price(duals, duals, rents)

    def _price(
        self, weights: Sequence[float], duals: Sequence[float], rents: Sequence[float]
    ) -> int:
        """Find the best patterns by some weights; add those that pay by the duals."""
        heaviest = max(
            1e-9,
            *(w * self._most(i) for i, w in enumerate(weights)),
            *(float(cost) for cost in self.costs),
        )
        scale = max(1, min(_MOST_SCALE, int(_MOST_SUM / heaviest)))
        values = [
            int(w * scale) if d else 0
            for w, d in zip(weights, self.demands, strict=True)
        ]
        all_most = self.table.fill(values)
        most = [all_most[kind] for kind in self.kinds]
        self.work += 1 + self.table.cells // CELLS_PER_UNIT
        need = sum(v * d for v, d in zip(values, self.demands, strict=True))
        bound = farley_bound(self.costs, self.limits, most, need, scale)
        if bound > self.bound or not self._best:
            self.bound = max(self.bound, bound)
            self._best = list(weights)
            self._rows.insert(0, Row(tuple(most), need))
            self._vectors.insert(0, tuple(values))
        elif bound > self.bound * Fraction(19, 20):
            self._rows.insert(1, Row(tuple(most), need))
            self._vectors.insert(1, tuple(values))
        del self._rows[_MOST_ROWS:]
        del self._vectors[_MOST_ROWS:]
        added = 0
        for number, (kind, rent) in enumerate(zip(self.kinds, rents, strict=True)):
            counts = tuple(sorted(self.table.pattern(kind).items()))
            worth = sum(duals[i] * n for i, n in counts)
            pays = worth > (self.costs[number] + rent) * (1 + _LEAN)
            if pays and (number, counts) not in self._known:
                self._known.add((number, counts))
                self.master.add(number, counts)
                added += 1
        return added

    def _most(self, i: int) -> int:
        """Return more copies of a part than any board holds by area."""
        part = self.problem.parts[i]
        table = self.table
        layers = max(1, *part.most_layers.values(), *part.layers.values())
        area = max(
            a * b for a, b in zip(table.lengths, table.board_widths, strict=True)
        )
        return layers * max(1, area // max(1, table.long[i] * table.wide[i])) * 4
