"""The two programs over sets of parts: the linear one, and the cover."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import compress
from typing import Any


class Master:
    """Least number of sheets that cover the parts, in fractions: floats, advice only.

    Parameters
    ----------
    wanted
        How many there are of each kind.
    alone
        What a part costs on a sheet of its own; other sets cost 1.
    """

    def __init__(self, wanted: Sequence[int], alone: float = 1.0) -> None:
        from ortools.linear_solver import pywraplp

        self._lp: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._optimal = pywraplp.Solver.OPTIMAL
        self._endless = self._lp.infinity()
        self._rows = [self._lp.Constraint(float(d), self._endless) for d in wanted]
        self._objective = self._lp.Objective()
        self._objective.SetMinimization()
        self._seen: set[tuple[int, ...]] = set()
        self._uses: list[Any] = []
        self._most = alone
        for row in self._rows:
            use = self._lp.NumVar(0.0, self._endless, "")
            row.SetCoefficient(use, 1.0)
            self._objective.SetCoefficient(use, alone)
            self._uses.append(use)

    @property
    def size(self) -> int:
        """How many sets there are."""
        return len(self._seen)

    def add(self, counts: tuple[int, ...], cost: float = 1.0) -> bool:
        """Add a set, which costs about a sheet; tell whether it is new."""
        if counts in self._seen:
            return False
        self._seen.add(counts)
        use = self._lp.NumVar(0.0, self._endless, "")
        for row, count in compress(zip(self._rows, counts, strict=True), counts):
            row.SetCoefficient(use, float(count))
        self._objective.SetCoefficient(use, cost)
        self._uses.append(use)
        return True

    def keep_above(self, lowers: Sequence[float]) -> None:
        """Let no dual be less than that: what is cut beyond need earns so much."""
        for row, lower in zip(self._rows, lowers, strict=True):
            surplus = self._lp.NumVar(0.0, self._endless, "")
            row.SetCoefficient(surplus, -1.0)
            self._objective.SetCoefficient(surplus, -lower)

    def solve(self) -> tuple[list[float], float]:
        """Return the duals of the kinds, and the number of sheets."""
        if self._lp.Solve() != self._optimal:
            raise ArithmeticError("GLOP found no optimum")
        duals = [min(self._most, max(0.0, row.dual_value())) for row in self._rows]
        return duals, self._objective.Value()

    def uses(self) -> list[float]:
        """Return how often the last solution takes each kind alone, then each set."""
        return [float(use.solution_value()) for use in self._uses]


class Verdict(Enum):
    """What is known of a cover."""

    FOUND = auto()
    NONE = auto()
    """There is none: proven."""
    OPEN = auto()


@dataclass(frozen=True, slots=True)
class Cover:
    """An answer, and how often it takes each set."""

    verdict: Verdict
    times: tuple[int, ...]
    work: float
    """In the solver's own measure, near a second of a fast machine."""


def cover(
    rows: Sequence[Sequence[int]],
    wanted: Sequence[int],
    most_sheets: int,
    *,
    most_work: float,
) -> Cover:
    """Cover the parts by at most so many sets, in whole numbers, by CP-SAT.

    Parameters
    ----------
    rows
        The counts of each set, for all kinds.
    wanted
        How many of each kind; 0 where it need not be covered.
    most_work
        It gives up after so much.
    """
    from ortools.sat.python import cp_model

    # Once is enough where no kind is wanted twice; else a set may come again.
    most = 1 if max(wanted) == 1 else most_sheets
    model = cp_model.CpModel()
    uses = [model.new_int_var(0, most, "") for _ in rows]
    by_kind: list[list[tuple[Any, int]]] = [[] for _ in wanted]
    for use, row in zip(uses, rows, strict=True):
        for kind, count in enumerate(row):
            if count and wanted[kind]:
                by_kind[kind].append((use, count))
    for pairs, quantity in zip(by_kind, wanted, strict=True):
        if not quantity:
            continue
        if not pairs:
            return Cover(Verdict.NONE, (), 0.0)
        held = cp_model.LinearExpr.weighted_sum(*map(list, zip(*pairs, strict=True)))
        model.add(held >= quantity)
    total = cp_model.LinearExpr.sum(uses)
    if most * len(rows) < most_sheets:
        model.add(total <= most_sheets)
    else:  # more sets do no harm
        model.add(total == most_sheets)
    solver = cp_model.CpSolver()
    solver.parameters.catch_sigint_signal = False
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.linearization_level = 2
    solver.parameters.cp_model_presolve = False  # it takes longer than the search
    solver.parameters.max_deterministic_time = most_work
    status = solver.solve(model)
    spent = float(solver.response_proto.deterministic_time)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Cover(Verdict.FOUND, tuple(solver.value(use) for use in uses), spent)
    if status == cp_model.INFEASIBLE:
        return Cover(Verdict.NONE, (), spent)
    if status == cp_model.UNKNOWN:
        return Cover(Verdict.OPEN, (), spent)
    raise ArithmeticError(f"CP-SAT answered {solver.status_name(status)}")
