"""The linear master program: fractions of sticks that cover the demands.

Problem: min sum p_k x_j over columns j = (size k, fill a) with sum_j a_ij x_j >= d_i
and, for limited sizes, sum_j x_j <= limit_k; pieces may stay uncovered at a high price.
Method: GLOP's simplex, warm from one solve to the next. Guarantee: none; it works in
floats, and what it says is only advice to those who prove.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from nesting.solve.sticks.core import Core, Fill

MISSED = 1000.0
"""Price of an uncovered piece of the longest part, in dearest sticks; others by length.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxed:
    """An optimum of the linear master: floats, in the core's own costs."""

    value: float
    uses: list[float]
    """Of each column, in the order they came in."""
    duals: list[float]
    """The worth of one more piece of each part."""
    rents: list[float]
    """The worth of one more stick of each size; 0 where endless."""


class Master:
    """A linear program that grows by columns; demands and limits can be reset."""

    def __init__(self, core: Core) -> None:
        from ortools.linear_solver import pywraplp

        self.core = core
        self.columns: list[tuple[int, Fill]] = []
        self._known: set[tuple[int, Fill]] = set()
        self._lp: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._optimal = pywraplp.Solver.OPTIMAL
        self._scale = float(max(1, *(size.cost for size in core.sizes)))
        self._cover = [
            self._lp.Constraint(float(d), self._lp.infinity()) for d in core.demands
        ]
        self._limit = [
            None
            if size.endless
            else self._lp.Constraint(-self._lp.infinity(), float(size.limit))
            for size in core.sizes
        ]
        self._objective = self._lp.Objective()
        self._objective.SetMinimization()
        self._uses: list[Any] = []
        self._off: set[int] = set()
        self._exchanges: list[Any] = []
        for row, weight in zip(self._cover, core.weights, strict=True):
            miss = self._lp.NumVar(0.0, self._lp.infinity(), "")
            row.SetCoefficient(miss, 1.0)
            self._objective.SetCoefficient(miss, MISSED * weight / core.weights[0])

    def add(self, columns: Iterable[tuple[int, Fill]]) -> int:
        """Add the columns that are new and return how many were."""
        added = 0
        for column in columns:
            if column in self._known:
                continue
            size, fill = column
            use = self._lp.NumVar(0.0, self._lp.infinity(), "")
            for i, n in fill:
                self._cover[i].SetCoefficient(use, float(n))
            limit = self._limit[size]
            if limit is not None:
                limit.SetCoefficient(use, 1.0)
            cost = self.core.sizes[size].cost / self._scale
            self._objective.SetCoefficient(use, cost)
            self.columns.append(column)
            self._known.add(column)
            self._uses.append(use)
            added += 1
        return added

    def reset(self, demands: Sequence[int], limits: Sequence[int]) -> None:
        """Set what is wanted and what can be had; shut columns that make too many."""
        for row, demand in zip(self._cover, demands, strict=True):
            row.SetLb(float(demand))
        for limit, most in zip(self._limit, limits, strict=True):
            if limit is not None:
                limit.SetUb(float(most))
        for j, (_, fill) in enumerate(self.columns):
            shut = any(n > demands[i] for i, n in fill)
            if shut != (j in self._off):
                (self._off.add if shut else self._off.remove)(j)
                self._uses[j].SetUb(0.0 if shut else self._lp.infinity())

    def exchange(self, *, may: bool) -> None:
        """Let a piece stand for one of the next shorter part, or no longer.

        Where it may, the duals rise with the length, as they do in most optima, and
        need fewer columns to settle; but the uses then cover the demands only with such
        exchanges (Valerio de Carvalho, INFORMS Journal on Computing 17, 2005, 175-182).
        """
        if may and not self._exchanges:
            for longer, shorter in pairwise(self._cover):
                free = self._lp.NumVar(0.0, 0.0, "")
                longer.SetCoefficient(free, -1.0)
                shorter.SetCoefficient(free, 1.0)
                self._exchanges.append(free)
        for free in self._exchanges:
            free.SetUb(self._lp.infinity() if may else 0.0)

    def solve(self) -> Relaxed | None:
        """Return an optimum; None where there is none or GLOP found none."""
        if self._lp.Solve() != self._optimal:
            return None
        return Relaxed(
            value=self._objective.Value() * self._scale,
            uses=[use.solution_value() for use in self._uses],
            duals=[max(0.0, row.dual_value()) * self._scale for row in self._cover],
            rents=[
                0.0 if row is None else max(0.0, -row.dual_value()) * self._scale
                for row in self._limit
            ],
        )
