"""A vertex of the linear program over listed fills: few of them, in fractions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nesting.solve.sticks.core import Fill


def vertex(
    left: Mapping[int, int],
    fills: Sequence[Fill],
    costs: Sequence[float],
    missed: Mapping[int, float],
) -> list[float]:
    """Return how often each fill is taken, at the least cost: GLOP.

    Parameters
    ----------
    left
        How many pieces of each part are wanted, neither more nor fewer.
    fills
        Of those parts alone.
    costs
        Of each fill.
    missed
        What a piece costs that no fill gives, by part.

    Returns
    -------
    list of float
        Zeros where no optimum was found.
    """
    from ortools.linear_solver import pywraplp

    program = pywraplp.Solver.CreateSolver("GLOP")
    objective = program.Objective()
    objective.SetMinimization()
    rows = {}
    for i, count in left.items():
        rows[i] = program.Constraint(float(count), float(count))
        missing = program.NumVar(0.0, program.infinity(), "")
        rows[i].SetCoefficient(missing, 1.0)
        objective.SetCoefficient(missing, missed[i])
    uses = []
    for fill, cost in zip(fills, costs, strict=True):
        use = program.NumVar(0.0, program.infinity(), "")
        for i, n in fill:
            rows[i].SetCoefficient(use, float(n))
        objective.SetCoefficient(use, cost)
        uses.append(use)
    if program.Solve() != pywraplp.Solver.OPTIMAL:
        return [0.0] * len(fills)
    return [use.solution_value() for use in uses]
