"""Whole sticks picked out of listed fills by branch and bound: finds, proves nothing.

Problem: whole x_j with sum_j a_ij x_j >= d_i and at most so many sticks of one size.
Method: SCIP, one thread, stopped by counted nodes, so that two runs are the same. It
goes deep first, on the fraction nearest to a half, and without cutting planes: with so
many plans of the same cost, diving again is worth more than a sharper bound. It works
in floats, so only what it finds counts, and `weigh_plan` counts the pieces anew; that
there is no plan is for `choose` to say.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from nesting.solve.sticks.core import Cut

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.solve.sticks.core import Core, Fill
    from nesting.solve.sticks.standing import Meter

SETTINGS: Final = """\
limits/nodes = {nodes}
limits/solutions = 1
misc/catchctrlc = FALSE
randomization/randomseedshift = {seed}
separating/maxrounds = 0
separating/maxroundsroot = 0
nodeselection/dfs/stdpriority = 1000000
branching/mostinf/priority = 1000000
"""
"""Of the solver, by its own names."""
_ITERATIONS_PER_WORK: Final = 3
"""Of the simplex, in a unit of work."""
_WORK_PER_NODE: Final = 30
"""About so much; no more nodes are asked for than the leave pays."""
_SEEDS: Final = 1 << 20


def pick(
    core: Core,
    columns: Sequence[tuple[int, Fill]],
    meter: Meter,
    *,
    sticks: int,
    nodes: int,
    seed: int,
) -> list[Cut] | None:
    """Return at most so many sticks that make every piece; None where none was found.

    Parameters
    ----------
    core
        Of one size.
    columns
        The fills to pick from.
    meter
        Pays for the work, gives the outer limit.
    sticks
        The most that may be picked.
    nodes
        Of the tree that is searched, at most.
    seed
        Of the solver.
    """
    from ortools.linear_solver import pywraplp

    program = pywraplp.Solver.CreateSolver("SCIP")
    endless = program.infinity()
    rows = [program.Constraint(float(d), endless) for d in core.demands]
    total = program.Constraint(0.0, float(sticks))
    uses = []
    for _, fill in columns:
        use = program.IntVar(0.0, endless, "")
        total.SetCoefficient(use, 1.0)
        for i, n in fill:
            rows[i].SetCoefficient(use, float(n))
        uses.append(use)
    paid = 1 + meter.left() // _WORK_PER_NODE
    settings = SETTINGS.format(nodes=min(nodes, paid), seed=seed % _SEEDS)
    program.SetSolverSpecificParametersAsString(settings)
    seconds = meter.seconds_left()
    if seconds is not None:
        program.SetTimeLimit(1 + int(1000 * seconds))
    status = program.Solve()
    meter.spend(1 + program.iterations() // _ITERATIONS_PER_WORK)
    if status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return None
    return [
        Cut(size, fill, times)
        for use, (size, fill) in zip(uses, columns, strict=True)
        if (times := round(use.solution_value()))
    ]
