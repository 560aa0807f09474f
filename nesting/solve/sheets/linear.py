"""A lower bound by the linear program over all cutting patterns, and its patterns.

Problem: min sum c[k] x[j] over patterns j = (kind k, counts a[j]), with
sum a[i][j] x[j] >= d[i] for every part and sum x[j] <= limit[k] for limited kinds.

Method: column generation (Gilmore & Gomory, Operations Research 13 (1965) 94-120), the
patterns priced by the dynamic program of `patterns`, on a grid that only ever gives
room (`grid`), the duals smoothed (Wentges, International Transactions in Operational
Research 4 (1997) 151-162).

Guarantee: the bound, at whatever moment it ends. The duals are rounded down to whole
numbers v on a scale, and f[k], the most that a sheet of kind k holds in them, comes
from the table in whole numbers (`farley_bound`). Every plan with n[k] sheets meets
sum f[k] n[k] >= v.d. The whole-number value is what `least_mix` makes of that, under
the best v found, and of the demands of parts that fit only some kinds.
"""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from nesting.model.tree import Tree
from nesting.solve.cover_program import CoverProgram, farley_bound
from nesting.solve.least_mix import Row, least_mix
from nesting.solve.sheets.bounds import SheetBound
from nesting.solve.sheets.confined import confined_rows
from nesting.solve.sheets.grid import Relaxed
from nesting.solve.sheets.pattern_table import Cut, count_of, grown, renumbered
from nesting.solve.sheets.problem import SheetProblem

BASIS: Final = "linear program over cutting patterns"
CELLS: Final = 400_000
"""Of the tables at most; more give a finer grid."""
_FEW_CELLS = 30_000
_CELLS_PER_UNIT = 60
"""So many cells take about as long as one iteration of the search."""
_PRICINGS_PER_PART = 3
_MOST_SCALE = 1 << 40
_MOST_SUM = 1 << 61
_LEAN = 1e-7
_SMOOTHING = 0.5

PlacedCut = tuple[str, Cut]
"""(stock id, a cut for it)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One pattern of the linear program."""

    stock: str
    counts: tuple[tuple[str, int], ...]
    """(part id, how many); there may be more than are wanted."""
    use: float
    """How many sheets the linear program cuts so: advice, no more."""
    tree: Tree | None
    """In real sizes, with the widest kerfs; None where it does not fit the sheet."""


@dataclass(frozen=True, slots=True)
class LinearBound(SheetBound):
    """What the linear program says."""

    exact: Fraction
    """The bound before sheets are taken to be whole ones."""
    columns: tuple[Column, ...]
    """Those in use first; none where parts lie in runs, which patterns know not of."""
    is_complete: bool
    """Whether no pattern was left that pays; else it was cut off, or need not go on."""
    rounds: int
    work: int
    """In iterations of the search, about."""
    duals: tuple[int, ...] = ()
    """The whole numbers behind the bound, by part of the problem; empty if it never
    came to any."""


def linear_bound(
    problem: SheetProblem,
    *,
    most_work: int,
    deadline: float | None = None,
    cancelled: Callable[[], bool] = lambda: False,
    known: int = 0,
    goal: int | None = None,
    most_cells: int | None = None,
) -> LinearBound:
    """Return the bound of the linear program over cutting patterns.

    Parameters
    ----------
    problem
        Parts that fit no sheet do not count.
    most_work
        It ends after so much; the same each time.
    deadline, cancelled
        Looked at between rounds: a reading of `time.monotonic`, and a question.
    known
        A bound that is known already: the program ends where it cannot give a better
        one, and the value is never below it.
    goal
        A cost that has been found: a bound of as much is enough.
    most_cells
        Of the tables; a finer grid gives a better bound and takes longer. Where it is
        not given, it is what the work is likely to do for.

    Returns
    -------
    LinearBound
        The value is the cost of all the sheets there are where limited stock cannot
        hold the parts.
    """
    has_runs = problem.has_runs
    problem = problem.apart()
    problem = replace(problem, stock=tuple(s for s in problem.stock if s.limit != 0))
    if most_cells is None:
        pricings = _PRICINGS_PER_PART * (len(problem.parts) + 5)
        affordable = most_work * _CELLS_PER_UNIT // pricings
        most_cells = max(_FEW_CELLS, min(CELLS, affordable))
    grid = Relaxed(problem, most_cells=most_cells)
    if not grid.parts:
        return LinearBound(max(0, known), BASIS, Fraction(0), (), True, 0, 0)
    run = LinearRun(problem, grid, known)
    rounds = work = 0
    is_complete = False
    while not is_complete:
        if work >= most_work or cancelled():
            break
        if deadline is not None and time.monotonic() >= deadline:
            break
        is_complete = run.round()
        rounds += 1
        work = run.work
        if run.is_hopeless or (goal is not None and run.value >= goal):
            break
    return LinearBound(
        run.whole_value(),
        BASIS,
        run.bound,
        () if has_runs else run.master.columns(problem),
        is_complete,
        rounds,
        work,
        run.duals(),
    )


class LinearRun:
    """The column generation under way."""

    def __init__(self, problem: SheetProblem, grid: Relaxed, known: int) -> None:
        self.problem = problem
        self.grid = grid
        self.known = known
        self.demands = [
            0 if number in grid.lost else part.quantity
            for number, part in enumerate(grid.parts)
        ]
        self.costs = [each.cost for each in grid.stock]
        self.limits = [each.limit for each in grid.stock]
        self.step = math.gcd(*self.costs) or 1
        self.master = _Master(grid, self.demands)
        self.bound = Fraction(0)
        self._filled = 0
        self.effort = 0
        """What the linear program took."""
        self._first: list[float] = []
        self._best: list[float] = []
        self._duals: list[int] = []
        self._rows: list[Row] = []
        self._relaxed = math.inf

    @property
    def value(self) -> int:
        """The bound so far, sheets being whole ones as far as costs tell."""
        return max(self.known, math.ceil(self.bound / self.step) * self.step)

    @property
    def is_hopeless(self) -> bool:
        """Whether the program's optimum, rounded up, is no better than what is known.

        Of use with one kind of sheet: a mix of several may cost more than that.
        """
        top = math.ceil(self._relaxed * (1 - 1e-9) / self.step - 1e-9) * self.step
        return len(self.costs) == 1 and top <= self.value

    def whole_value(self) -> int:
        """Return the bound on the cost of whole sheets."""
        rows = self._rows + confined_rows(self.problem)
        return max(self.value, least_mix(self.costs, self.limits, rows))

    @property
    def work(self) -> int:
        """What has been done so far, in iterations of the search, about."""
        return self._filled // _CELLS_PER_UNIT + self.effort

    def begin_at(self, weights: Mapping[str, float], cuts: Iterable[PlacedCut]) -> None:
        """Start from a solution over patterns that can be cut in truth.

        Parameters
        ----------
        weights
            Its duals, by part id.
        cuts
            Its patterns: (stock id, cut over the parts of the problem by number).
        """
        numbers = {part.id: number for number, part in enumerate(self.grid.parts)}
        kinds = {each.id: kind for kind, each in enumerate(self.grid.stock)}
        pieces = {
            number: numbers[part.id]
            for number, part in enumerate(self.problem.parts)
            if part.id in numbers and numbers[part.id] not in self.grid.lost
        }
        for stock, cut in cuts:
            own = renumbered(cut, pieces)
            if own is not None:
                self.master.add(kinds[stock], own)
        self._first = [weights.get(part.id, 0.0) for part in self.grid.parts]

    def duals(self) -> tuple[int, ...]:
        """Return the best duals by part; 0 for what is left out."""
        found = {
            part.id: 0 if number in self.grid.lost else dual
            for number, (part, dual) in enumerate(
                zip(self.grid.parts, self._duals, strict=False)
            )
        }
        return tuple(found.get(part.id, 0) for part in self.problem.parts)

    def round(self) -> bool:
        """Solve the program, price once or twice, tell whether no pattern pays."""
        steps = self.steps()
        while True:
            try:
                next(steps)
            except StopIteration as end:
                return bool(end.value)

    def steps(self) -> Generator[None, None, bool]:
        """Do as `round` does in pieces of a moment."""
        duals, rents, self._relaxed = self.master.solve()
        self.effort += 50 + len(self.demands) + self.master.size // 2
        if self._first:
            first, self._first = self._first, []
            if (yield from self._price(first, duals, rents)):
                return False
        if self._best:
            mixed = [
                _SMOOTHING * old + (1 - _SMOOTHING) * new
                for old, new in zip(self._best, duals, strict=True)
            ]
            if (yield from self._price(mixed, duals, rents)):
                return False
        return not (yield from self._price(duals, duals, rents))

    def _price(
        self, weights: Sequence[float], duals: Sequence[float], rents: Sequence[float]
    ) -> Generator[None, None, int]:
        """Find the best patterns by some weights; add those that pay by the duals."""
        grid = self.grid
        heaviest = max(
            1e-9,
            *(w * grid.ceiling(i) for i, w in enumerate(weights)),
            *(float(cost) for cost in self.costs),
        )
        scale = max(1, min(_MOST_SCALE, int(_MOST_SUM / heaviest)))
        values = [int(w * scale) for w in weights]
        for cells in grid.loading(values):
            self._filled += cells
            yield
        most = [grid.most(kind) for kind in range(len(self.costs))]
        need = sum(v * d for v, d in zip(values, self.demands, strict=True))
        bound = farley_bound(self.costs, self.limits, most, need, scale)
        if bound > self.bound or not self._best:
            self.bound = max(self.bound, bound)
            self._best = list(weights)
            self._rows = [Row(tuple(most), need)]
            self._duals = values
        added = 0
        for kind, limit in enumerate(self.limits):
            cut = grid.cut(kind) if limit != 0 else None
            if cut is None:
                continue
            counts = count_of(cut)
            worth = sum(duals[i] * n for i, n in counts.items())
            if worth > (self.costs[kind] + rents[kind]) * (1 + _LEAN):
                added += self.master.add(kind, cut)
        return added


class _Master:
    """The linear program, and the cuts behind its patterns."""

    def __init__(self, grid: Relaxed, demands: Sequence[int]) -> None:
        self._grid = grid
        self._program = CoverProgram(
            [each.cost for each in grid.stock],
            [each.limit for each in grid.stock],
            demands,
            [part.length * part.width for part in grid.parts],
        )
        self._cuts: dict[tuple[int, tuple[tuple[int, int], ...]], Cut] = {}
        self._uses: list[float] = []

    @property
    def size(self) -> int:
        """How many patterns there are."""
        return self._program.size

    def add(self, kind: int, cut: Cut) -> int:
        """Add a pattern unless it is there; return how many were added."""
        counts = tuple(sorted(count_of(cut).items()))
        if (kind, counts) in self._cuts:
            return 0
        self._program.add(kind, counts)
        self._cuts[kind, counts] = cut
        return 1

    def solve(self) -> tuple[list[float], list[float], float]:
        """Return the duals of the parts, of the limits, and the optimum."""
        found = self._program.solve()
        self._uses = self._program.uses()
        return found

    def columns(self, problem: SheetProblem) -> tuple[Column, ...]:
        """Return the patterns, those most in use first."""
        kerfs = (problem.kerf_x, problem.kerf_y)
        ids = [part.id for part in self._grid.parts]
        sizes = [(part.length, part.width) for part in self._grid.parts]
        found = []
        # The last pattern may have come after the last solution.
        uses = itertools.chain(self._uses, itertools.repeat(0.0))
        for ((kind, counts), cut), use in zip(self._cuts.items(), uses, strict=False):
            stock = self._grid.stock[kind]
            tree, (x, y) = grown(cut, ids, sizes, kerfs)
            found.append(
                Column(
                    stock=stock.id,
                    counts=tuple((ids[i], n) for i, n in counts),
                    use=use,
                    tree=tree if x <= stock.length and y <= stock.width else None,
                )
            )
        return tuple(sorted(found, key=lambda column: -column.use))
