"""A lower bound by the linear program over all three-stage patterns of boards.

Problem: min sum c[k] x[j] over patterns j = (kind of board k, counts a[j]), with
sum a[i][j] x[j] >= d[i] for every part and sum x[j] <= limit[k] for limited kinds.

Method: column generation, priced by `table`, the prices smoothed (Wentges,
International Transactions in Operational Research 4 (1997) 151-162).

Guarantee: the bound, at whatever moment it ends. The prices are rounded down to whole
numbers v on a scale S, and f[k], the most that a board of kind k holds in them, comes
from the table in whole numbers. With theta = min(1, min over endless k of c[k] S /
f[k])

    bound = ( theta v.d - sum, k limited, limit[k] max(0, theta f[k] - S c[k]) ) / S

(Farley, Operations Research 38 (1990) 922-923, for the factor). Every plan with n[k]
boards meets sum f[k] n[k] >= v.d for each v that was met; the value is what the
cheapest whole boards cost that meet all of these. All of it is about plans of the
stages in `problem`.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from nesting.solve.boards.problem import BoardProblem
from nesting.solve.boards.table import BoardTable
from nesting.solve.sheets.confined import Row, least_mix

BASIS: Final = "linear program over ways to cut a board"
CELLS_PER_UNIT: Final = 100_000
"""So many cells of a table take about as long as one rebuilding of the search."""
_MOST_SCALE = 1 << 40
_MOST_SUM = 1 << 60
_LEAN = 1e-7
_SMOOTHING = 0.5
_MISSED = 1_000.0
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
    uses: tuple[float, ...]
    """How many boards of each kind the program buys: advice."""
    duals: tuple[tuple[int, ...], ...]
    """Whole numbers by part behind the bound, the best first; may be none."""
    is_complete: bool
    """Whether no pattern was left that pays."""
    work: int
    """In rebuildings of the search, about."""


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
    table = BoardTable(problem, plain=plain)
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
        self.master = _Master(problem, self.kinds, self.demands)
        self.bound = Fraction(0)
        self.work = 0
        self.prices: list[float] = [0.0] * len(problem.parts)
        self.uses: list[float] = [0.0] * len(problem.stock)
        self._best: list[float] = []
        self._duals: list[tuple[int, ...]] = []
        self._rows: list[Row] = []

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
            uses=tuple(self.uses),
            duals=tuple(self._duals),
            is_complete=is_complete,
            work=self.work,
        )

    def round(self) -> bool:
        """Solve the program, price once or twice, tell whether no pattern pays."""
        duals, rents, uses = self.master.solve()
        self.prices = duals
        self.uses = uses
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
        bound = self._bound(scale, values, most)
        need = sum(v * d for v, d in zip(values, self.demands, strict=True))
        if bound > self.bound or not self._best:
            self.bound = max(self.bound, bound)
            self._best = list(weights)
            self._duals.insert(0, tuple(values))
            self._rows.insert(0, Row(tuple(most), need))
        elif bound > self.bound * Fraction(19, 20):
            self._duals.insert(1, tuple(values))
            self._rows.insert(1, Row(tuple(most), need))
        del self._duals[_MOST_ROWS:], self._rows[_MOST_ROWS:]
        added = 0
        for kind, rent in zip(self.kinds, rents, strict=True):
            counts = self.table.pattern(kind)
            worth = sum(duals[i] * n for i, n in counts.items())
            if worth > (self.problem.stock[kind].cost + rent) * (1 + _LEAN):
                added += self.master.add(kind, counts)
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

    def _bound(
        self, scale: int, values: Sequence[int], most: Sequence[int]
    ) -> Fraction:
        theta = Fraction(1)
        for cost, limit, held in zip(self.costs, self.limits, most, strict=True):
            if limit is None and held > cost * scale:
                theta = min(theta, Fraction(cost * scale, held))
        got = theta * sum(v * d for v, d in zip(values, self.demands, strict=True))
        for cost, limit, held in zip(self.costs, self.limits, most, strict=True):
            if limit is not None:
                got -= limit * max(Fraction(0), theta * held - cost * scale)
        return got / scale


class _Master:
    """The linear program: GLOP, in floats; what it says is advice only."""

    def __init__(
        self, problem: BoardProblem, kinds: Sequence[int], demands: Sequence[int]
    ) -> None:
        from ortools.linear_solver import pywraplp

        self._problem = problem
        self._lp: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._optimal = pywraplp.Solver.OPTIMAL
        self._scale = float(max([1, *(problem.stock[k].cost for k in kinds)]))
        endless = self._lp.infinity()
        self._cover = [self._lp.Constraint(float(d), endless) for d in demands]
        self._limit: dict[int, Any] = {}
        for kind in kinds:
            limit = problem.stock[kind].limit
            self._limit[kind] = (
                None if limit is None else self._lp.Constraint(-endless, float(limit))
            )
        self._objective = self._lp.Objective()
        self._objective.SetMinimization()
        self._patterns: dict[tuple[int, tuple[tuple[int, int], ...]], Any] = {}
        areas = [part.length * part.width for part in problem.parts]
        for row, area in zip(self._cover, areas, strict=True):
            missed = self._lp.NumVar(0.0, endless, "")
            row.SetCoefficient(missed, 1.0)
            self._objective.SetCoefficient(missed, _MISSED * area / max(areas))

    @property
    def size(self) -> int:
        """How many patterns there are."""
        return len(self._patterns)

    def add(self, kind: int, found: Counter[int]) -> int:
        """Add a pattern unless it is there; return how many were added."""
        counts = tuple(sorted(found.items()))
        if not counts or (kind, counts) in self._patterns:
            return 0
        use = self._lp.NumVar(0.0, self._lp.infinity(), "")
        for i, n in counts:
            self._cover[i].SetCoefficient(use, float(n))
        limit = self._limit[kind]
        if limit is not None:
            limit.SetCoefficient(use, 1.0)
        cost = self._problem.stock[kind].cost
        self._objective.SetCoefficient(use, cost / self._scale)
        self._patterns[kind, counts] = use
        return 1

    def solve(self) -> tuple[list[float], list[float], list[float]]:
        """Return the prices of the parts, of the limits, and the boards in use."""
        if self._lp.Solve() != self._optimal:
            raise ArithmeticError("GLOP found no optimum")
        uses = [0.0] * len(self._problem.stock)
        for (kind, _), use in self._patterns.items():
            uses[kind] += use.solution_value()
        return (
            [max(0.0, row.dual_value()) * self._scale for row in self._cover],
            [
                0.0 if row is None else max(0.0, -row.dual_value()) * self._scale
                for row in self._limit.values()
            ],
            uses,
        )
