"""Patterns that can be cut in truth, and the linear program over them.

Problem: as in `linear`, but what comes out is to be a plan. So sizes are never rounded
down: the tables stand on real sizes, inflated by the widest kerfs, with points left out
where there are too many. Under a stage limit, or where saws do not reach everything,
they are those of `staged_table`; every pattern is looked at once more by the search's
own rules. None holds a part more often than it is wanted.

Method: column generation. A table knows no bound on how often a part comes; what is too
much is cut off, and the values of parts that come too often are lowered for another
look.

Guarantee: every column can be cut. The optimum is advice only: there may be better
patterns.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from nesting.model.tree import Tree
from nesting.solve.sheets.cuts import (
    COUNT_WAYS,
    KERF_X,
    KERF_Y,
    LIMITED,
    SAWS,
    STAGES,
    WAY,
)
from nesting.solve.sheets.grid import lies_of
from nesting.solve.sheets.instance import Instance
from nesting.solve.sheets.pattern_table import (
    Cut,
    Lies,
    Table,
    clipped,
    count_of,
    grown,
)
from nesting.solve.sheets.replant import forest_of, keeps_rules
from nesting.solve.sheets.staged_table import Reach, StagedTable

CELLS_PER_UNIT: Final = 35
"""So many cells take about as long as one iteration of the search."""
_LONGEST = 100_000
_MOST_SCALE = 1 << 40
_MOST_SUM = 1 << 61
_LEAN = 1e-6
_MISSED = 1_000.0
_AT_ONCE = 12
_DAMPED = 2
_MOST_STAGES = 6

Counts = tuple[tuple[int, int], ...]
"""(part by number, how many), by rising numbers."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """A way to cut one kind of sheet."""

    kind: int
    counts: Counts
    cut: Cut


class Pool:
    """The patterns known so far, and a search for more.

    Parameters
    ----------
    instance
        Parts that are not wanted, or that cannot be cut, have no patterns.
    most_cells
        Of the tables.
    """

    def __init__(self, instance: Instance, *, most_cells: int) -> None:
        problem = self.problem = instance.problem
        self.instance = instance
        self.patterns: list[Pattern] = []
        self._known: set[tuple[int, Counts]] = set()
        self._ids = [part.id for part in problem.parts]
        self._sizes = [(part.length, part.width) for part in problem.parts]
        self._tables: dict[int, tuple[Table | StagedTable, tuple[int, int]]] = {}
        self.refine(most_cells)

    def refine(self, most_cells: int) -> None:
        """Look for more patterns in tables of so many cells."""
        for grain in (True, False):
            self._make(grain, most_cells)
        tables = {id(table): table for table, _ in self._tables.values()}
        self._each = tuple(tables.values())
        self.cells = sum(table.cells for table in self._each)
        """What one look for patterns goes through."""
        self.is_thin = any(table.is_thin for table in self._each)
        """Whether larger tables may hold better patterns."""

    def _make(self, grain: bool, most_cells: int) -> None:
        problem, stocks = self.problem, self.instance.stocks
        kinds = [
            kind
            for kind, each in enumerate(problem.stock)
            if each.grain_along_length is grain and stocks[2][kind] > 0
        ]
        if not kinds:
            return
        kerfs = (problem.kerf_x, problem.kerf_y)
        lies: list[Lies] = [
            lies_of(part, grain, kerfs)
            if part.quantity and self.instance.fits(number)
            else ()
            for number, part in enumerate(problem.parts)
        ]
        sheets = [(stocks[0][2 * k], stocks[0][2 * k + 1]) for k in kinds]
        rule = self.instance.rules[0]
        is_staged = rule[STAGES] <= _MOST_STAGES or rule[SAWS] != 0
        units = [1, 1]
        for axis in (0, 1):
            sizes = {lie[axis] for each in lies for lie in each}
            fulls = {sheet[axis] for sheet in sheets} if is_staged else set()
            unit = math.gcd(*sizes, *fulls) or 1
            whole = max(sheet[axis] for sheet in sheets)
            if whole // unit > _LONGEST:
                units[axis] = unit = whole // _LONGEST + 1
                lies = [
                    tuple(_rounded(lie, axis, unit, up=True) for lie in each)
                    for each in lies
                ]
                sheets = [
                    _rounded((*each, False), axis, unit, up=False)[:2]
                    for each in sheets
                ]
        table: Table | StagedTable
        if is_staged:
            table = StagedTable(
                lies,
                sheets,
                stages=min(rule[STAGES], _MOST_STAGES),
                reach=self._reach(kinds, units) if rule[SAWS] else None,
                most_cells=most_cells,
            )
        else:
            table = Table(lies, sheets, most_cells=most_cells, thin=True)
        for kind, sheet in zip(kinds, sheets, strict=True):
            self._tables[kind] = (table, sheet)

    def _reach(self, kinds: Sequence[int], units: Sequence[int]) -> Reach:
        """Return how long a member every sheet of some kinds may give, by `made`."""
        rule, trims, ways = self.instance.rules

        def longest(axis: int, width: int) -> int:
            across = width * units[1 - axis] - rule[KERF_Y - axis]
            least = None
            for kind in kinds:
                low = trims[4 * kind + 2 * axis]
                run = across + trims[4 * kind + 3 - 2 * axis]
                most = 0
                for way in range(0, WAY * rule[COUNT_WAYS], WAY):
                    if ways[way] == axis and run <= ways[way + 1]:
                        measure = ways[way + 2]
                        if ways[way + 3]:
                            measure = min(measure, across)
                        most = max(most, measure + rule[KERF_X + axis] - low)
                least = most if least is None else min(least, most)
            return (least or 0) // units[axis]

        return longest

    def tree(self, pattern: Pattern) -> Tree:
        """Return the cutting tree of a pattern, in real sizes."""
        kerfs = (self.problem.kerf_x, self.problem.kerf_y)
        return grown(pattern.cut, self._ids, self._sizes, kerfs)[0]

    def add(self, kind: int, cut: Cut | None, left: Sequence[int]) -> int:
        """Add a pattern, less what is not wanted any more; return how many were added.

        One that breaks a rule of cutting is left out.
        """
        cut = None if cut is None else clipped(cut, left)
        if cut is None:
            return 0
        counts = tuple(sorted(count_of(cut).items()))
        if (kind, counts) in self._known:
            return 0
        pattern = Pattern(kind, counts, cut)
        if not self._may_be(pattern):
            return 0
        self._known.add((kind, counts))
        self.patterns.append(pattern)
        return 1

    def _may_be(self, pattern: Pattern) -> bool:
        if not self.instance.rules[0][LIMITED]:
            return True
        stock = self.problem.stock[pattern.kind]
        forest = forest_of(((stock.id, self.tree(pattern)),), self.instance)
        return keeps_rules(forest, self.instance)

    def look(
        self,
        duals: Sequence[float],
        rents: Sequence[float],
        left: Sequence[int],
        limits: Sequence[int],
    ) -> tuple[int, float, int]:
        """Look for patterns that pay, of parts that are left.

        Parameters
        ----------
        duals, rents
            Worth of each part, and of each kind of sheet beside its cost.
        left, limits
            How many parts are wanted, and sheets are to be had.

        Returns
        -------
        tuple
            How many were added; what sheets hold for their cost at most, by the duals
            (about 1 where nothing pays any more); the work, in iterations.
        """
        added = looks = 0
        weights = [w if n > 0 else 0.0 for w, n in zip(duals, left, strict=True)]
        rate = 0.0
        for damping in range(1 + _DAMPED):
            scale = self._load(weights)
            looks += 1
            over: Counter[int] = Counter()
            for kind, (table, sheet) in self._tables.items():
                if limits[kind] <= 0:
                    continue
                cost = self.problem.stock[kind].cost + rents[kind]
                if damping == 0:
                    held = table.value(*sheet) / scale
                    rate = max(rate, held / max(cost, _LEAN))
                for cut in table.cuts(*sheet, _AT_ONCE):
                    counts = count_of(cut)
                    worth = sum(duals[i] * min(n, left[i]) for i, n in counts.items())
                    if worth > cost * (1 + _LEAN) + _LEAN:
                        added += self.add(kind, cut, left)
                    for i, n in counts.items():
                        over[i] = max(over[i], n)
            too_many = [i for i, n in sorted(over.items()) if n > left[i]]
            if not too_many:
                break
            for i in too_many:
                weights[i] *= left[i] / over[i]
        return added, rate, looks * self.cells // CELLS_PER_UNIT

    def _load(self, weights: Sequence[float]) -> int:
        heaviest = max(
            1e-9,
            *(
                w * max(table.ceiling(i) for table in self._each)
                for i, w in enumerate(weights)
            ),
        )
        scale = max(1, min(_MOST_SCALE, int(_MOST_SUM / heaviest)))
        for table in self._each:
            table.fill([int(w * scale) for w in weights])
        return scale


def _rounded(
    lie: tuple[int, int, bool], axis: int, unit: int, *, up: bool
) -> tuple[int, int, bool]:
    size = [lie[0], lie[1]]
    size[axis] = -(-size[axis] // unit) if up else size[axis] // unit
    return size[0], size[1], lie[2]


@dataclass(frozen=True, slots=True)
class Relaxation:
    """An optimum of the linear program."""

    value: float
    uses: tuple[tuple[int, float], ...]
    """(pattern by number, how often), of those in use."""
    duals: tuple[float, ...]
    rents: tuple[float, ...]
    missed: float
    """The share of the value that parts without a pattern make up."""


class Program:
    """The linear program over a pool, for the parts and sheets that are left: GLOP."""

    def __init__(
        self, pool: Pool, left: Sequence[int], limits: Sequence[int | None]
    ) -> None:
        from ortools.linear_solver import pywraplp

        self._pool = pool
        self._left = left
        self._lp: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._optimal = pywraplp.Solver.OPTIMAL
        stock = pool.problem.stock
        self._scale = float(max(1, *(each.cost for each in stock)))
        endless = self._lp.infinity()
        self._cover: Mapping[int, Any] = {
            i: self._lp.Constraint(float(n), endless)
            for i, n in enumerate(left)
            if n > 0
        }
        self._limit = [
            None if most is None else self._lp.Constraint(-endless, float(most))
            for most in limits
        ]
        self._objective = self._lp.Objective()
        self._objective.SetMinimization()
        self._columns: list[tuple[int, Any]] = []
        self._seen = 0
        areas = {
            i: pool.problem.parts[i].length * pool.problem.parts[i].width
            for i in self._cover
        }
        largest = max(areas.values(), default=1)
        self._missed = []
        for i, row in self._cover.items():
            missed = self._lp.NumVar(0.0, endless, "")
            row.SetCoefficient(missed, 1.0)
            worth = _MISSED * areas[i] / largest
            self._objective.SetCoefficient(missed, worth)
            self._missed.append((missed, worth))

    @property
    def effort(self) -> int:
        """What solving takes, in iterations of the search, about."""
        return 50 + len(self._cover) + len(self._columns) // 2

    def solve(self) -> Relaxation:
        """Take the pool's new patterns in and find the optimum."""
        patterns = self._pool.patterns
        for number in range(self._seen, len(patterns)):
            self._add(number, patterns[number])
        self._seen = len(patterns)
        if self._lp.Solve() != self._optimal:
            raise ArithmeticError("GLOP found no optimum")
        duals = [0.0] * len(self._left)
        for i, row in self._cover.items():
            duals[i] = max(0.0, row.dual_value()) * self._scale
        uses = [(number, use.solution_value()) for number, use in self._columns]
        return Relaxation(
            value=self._objective.Value() * self._scale,
            uses=tuple((number, use) for number, use in uses if use > _LEAN),
            duals=tuple(duals),
            rents=tuple(
                0.0 if row is None else max(0.0, -row.dual_value()) * self._scale
                for row in self._limit
            ),
            missed=sum(m.solution_value() * w for m, w in self._missed) * self._scale,
        )

    def _add(self, number: int, pattern: Pattern) -> None:
        limit = self._limit[pattern.kind]
        held = [
            (i, min(n, self._left[i])) for i, n in pattern.counts if self._left[i] > 0
        ]
        if not held:
            return
        use = self._lp.NumVar(0.0, self._lp.infinity(), "")
        for i, n in held:
            self._cover[i].SetCoefficient(use, float(n))
        if limit is not None:
            limit.SetCoefficient(use, 1.0)
        cost = self._pool.problem.stock[pattern.kind].cost
        self._objective.SetCoefficient(use, cost / self._scale)
        self._columns.append((number, use))
