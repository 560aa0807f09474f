"""What there is to do beside the search: bounds, and plans found on the way to them."""

from __future__ import annotations

from typing import Protocol

from nesting.solve.sheets.dive import ColumnPlans, DivedPlan
from nesting.solve.sheets.problem import SheetProblem


class Task(Protocol):
    """Work that is done in pieces, each of a counted effort."""

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to do."""

    @property
    def value(self) -> int:
        """A bound on the cost of placing every part; rigorous at any moment."""

    @property
    def basis(self) -> str:
        """How the bound was found, in words for the maker."""

    @property
    def duals(self) -> tuple[int, ...]:
        """Whole numbers by part that the bound stands on; none if it does not."""

    @property
    def best(self) -> DivedPlan | None:
        """The cheapest plan it has found that is cheaper than any goal named."""

    def advance(self, *, known: int = 0, goal: int | None = None) -> int:
        """Do a piece; return its effort in iterations of the search, about."""


def tasks_for(problem: SheetProblem, *, seed: int) -> list[Task]:
    """Return what there is to do, in this order."""
    return [ColumnPlans(problem, seed=seed)]
