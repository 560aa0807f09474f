"""How far a search has come against its budget."""

from __future__ import annotations

import time

from nesting.model.problem import Budget, Progress
from nesting.model.terms import StoppedBy


class Meter:
    """Counts work and looks at the clock, between chunks of work only."""

    def __init__(self, budget: Budget, scope: str) -> None:
        self.budget = budget
        self.scope = scope
        self.began = time.monotonic()
        self.work = 0

    def stopped(self, share: float = 1.0) -> StoppedBy | None:
        """Return why to stop at a share of the budget; None if the search may go on."""
        if self.budget.cancelled():
            return StoppedBy.CANCELLED
        if self.work >= self._work_until(share):
            return StoppedBy.WORK
        end = self.budget.deadline
        if end is not None and time.monotonic() >= self.began + share * (
            end - self.began
        ):
            return StoppedBy.CLOCK
        return None

    def chunk(self, most: int, share: float) -> int:
        """Return how much work to do before looking again."""
        return max(1, min(most, self._work_until(share) - self.work))

    def _work_until(self, share: float) -> int:
        return int(share * self.budget.work)

    def seconds_left(self) -> float | None:
        """Return the time to the deadline; None where there is none."""
        if self.budget.deadline is None:
            return None
        return self.budget.deadline - time.monotonic()

    def report(self, *, value: int, lower_bound: int, unplaced: int) -> None:
        """Tell whoever watches where the search stands."""
        share = self.work / max(1, self.budget.work)
        end = self.budget.deadline
        if end is not None and end > self.began:
            share = max(share, (time.monotonic() - self.began) / (end - self.began))
        self.budget.progress(
            Progress(
                scope=self.scope,
                value=value,
                lower_bound=lower_bound,
                unplaced=unplaced,
                share=min(1.0, share),
            )
        )
