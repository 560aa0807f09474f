"""The linear program over patterns, and the bound that any prices of parts give.

Problem: min sum c[k] x[j] over patterns j = (kind of stock k, counts a[j]), with
sum a[i][j] x[j] >= d[i] for every part and sum x[j] <= limit[k] for limited kinds.
Patterns come one by one; a part may be missed for far more than it can cost, so there
is a solution from the first.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

_MISSED = 1_000.0
"""Of the dearest piece of stock: what missing the largest part costs."""


def farley_bound(
    costs: Sequence[int],
    limits: Sequence[int | None],
    most: Sequence[int],
    need: int,
    scale: int,
) -> Fraction:
    """Return what no plan costs less than, by any whole weights of the parts.

    With f[k], the most that a piece of kind k holds of them, v.d, what all parts weigh,
    and theta = min(1, min over endless k of c[k] S / f[k]),

        ( theta v.d - sum, k limited, limit[k] max(0, theta f[k] - S c[k]) ) / S

    Parameters
    ----------
    costs, limits, most
        c, limit and f, by kind.
    need
        v.d.
    scale
        S: so much of a weight is one of cost.

    References
    ----------
    Farley, Operations Research 38 (1990) 922-923, for the factor theta.
    """
    theta = Fraction(1)
    for cost, limit, held in zip(costs, limits, most, strict=True):
        if limit is None and held > cost * scale:
            theta = min(theta, Fraction(cost * scale, held))
    got = theta * need
    for cost, limit, held in zip(costs, limits, most, strict=True):
        if limit is not None:
            got -= limit * max(Fraction(0), theta * held - cost * scale)
    return got / scale


class CoverProgram:
    """The program: GLOP, in floats; what it says is advice only.

    Parameters
    ----------
    costs, limits
        By kind of stock.
    demands, areas
        By part; the larger a part, the more it costs to miss it.
    """

    def __init__(
        self,
        costs: Sequence[int],
        limits: Sequence[int | None],
        demands: Sequence[int],
        areas: Sequence[int],
    ) -> None:
        from ortools.linear_solver import pywraplp

        self._lp: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._optimal = pywraplp.Solver.OPTIMAL
        self._costs = costs
        self._scale = float(max([1, *costs]))
        endless = self._lp.infinity()
        self._cover = [self._lp.Constraint(float(d), endless) for d in demands]
        self._limit = [
            None if limit is None else self._lp.Constraint(-endless, float(limit))
            for limit in limits
        ]
        self._objective = self._lp.Objective()
        self._objective.SetMinimization()
        self._patterns: list[Any] = []
        for row, area in zip(self._cover, areas, strict=True):
            missed = self._lp.NumVar(0.0, endless, "")
            row.SetCoefficient(missed, 1.0)
            self._objective.SetCoefficient(missed, _MISSED * area / max(areas))

    @property
    def size(self) -> int:
        """How many patterns there are."""
        return len(self._patterns)

    def add(self, kind: int, counts: Iterable[tuple[int, int]]) -> None:
        """Add a pattern: (part, how many) on a piece of a kind."""
        use = self._lp.NumVar(0.0, self._lp.infinity(), "")
        for i, n in counts:
            self._cover[i].SetCoefficient(use, float(n))
        limit = self._limit[kind]
        if limit is not None:
            limit.SetCoefficient(use, 1.0)
        self._objective.SetCoefficient(use, self._costs[kind] / self._scale)
        self._patterns.append(use)

    def solve(self) -> tuple[list[float], list[float], float]:
        """Return the prices of the parts, of the limits, and the optimum.

        Raises
        ------
        ArithmeticError
            Where GLOP finds no optimum.
        """
        if self._lp.Solve() != self._optimal:
            raise ArithmeticError("GLOP found no optimum")
        return (
            [max(0.0, row.dual_value()) * self._scale for row in self._cover],
            [
                0.0 if row is None else max(0.0, -row.dual_value()) * self._scale
                for row in self._limit
            ],
            self._objective.Value() * self._scale,
        )

    def uses(self) -> list[float]:
        """Return how often each pattern is used in the last solution."""
        return [use.solution_value() for use in self._patterns]
