"""Where a solve stands: the best plan, the best bound, and the leave that is left."""

from __future__ import annotations

import time
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING

from nesting.model.problem import Progress
from nesting.model.terms import StoppedBy

if TYPE_CHECKING:
    from collections.abc import Callable

    from nesting.model.problem import Budget
    from nesting.solve.sticks.core import Core, Plan

UNITS_PER_EFFORT = 10_000
"""Work units in one unit of CP-SAT's deterministic time, roughly a second's worth."""


class Stopped(Exception):  # noqa: N818  (an event that ends a search, not an error)
    """The leave is used up; carries why. Never leaves this package."""

    def __init__(self, reason: StoppedBy) -> None:
        self.reason = reason
        super().__init__(reason.value)


class Meter:
    """Counts work and says when to stop.

    One unit is about a tenth of a millisecond. The clock and the maker's wish are
    looked at by `check` only, which is called between iterations; what is done between
    two checks depends on counted work alone.
    """

    def __init__(self, budget: Budget) -> None:
        self._budget = budget
        self.work = 0

    def spend(self, units: int) -> None:
        """Count work that was done."""
        self.work += units

    def left(self) -> int:
        """Return the units that may still be spent."""
        return max(0, self._budget.work - self.work)

    def seconds_left(self) -> float | None:
        """Return the seconds up to the outer limit; None where there is none."""
        if self._budget.deadline is None:
            return None
        return max(0.0, self._budget.deadline - time.monotonic())

    def check(self) -> None:
        """Go on, or raise `Stopped` where the leave is used up."""
        if self._budget.cancelled():
            raise Stopped(StoppedBy.CANCELLED)
        if self.seconds_left() == 0.0:
            raise Stopped(StoppedBy.CLOCK)
        if not self.left():
            raise Stopped(StoppedBy.WORK)


class Standing:
    """The best plan so far and the best bound so far, and the news to who watches."""

    def __init__(
        self,
        core: Core,
        plan: Plan,
        *,
        scope: str = "",
        progress: Callable[[Progress], None] | None = None,
    ) -> None:
        self.core = core
        self.plan = plan
        self.bound = 0
        """No plan that places every piece costs less."""
        self.basis = "nothing has to be bought"
        self._scope = scope
        self._progress = progress
        self._share = 0.0

    def is_full(self) -> bool:
        """Return whether every piece is placed."""
        return not self.plan.lost

    def is_proven(self) -> bool:
        """Return whether every piece is placed and nothing costs less."""
        return self.is_full() and self.plan.cost <= self.bound

    def offer(self, plan: Plan) -> bool:
        """Take a plan if it is better than the one held, and say whether it was."""
        if plan.rank >= self.plan.rank:
            return False
        self.plan = plan
        self.tell(0.0)
        return True

    def raise_bound(self, value: Fraction | int, basis: str) -> None:
        """Take a bound if it is higher; costs are multiples of the core's step."""
        step = self.core.step
        whole = ceil(Fraction(value) / step) * step
        if whole > self.bound:
            self.bound = whole
            self.basis = basis

    def tell(self, share: float) -> None:
        """Tell who watches how things stand; `share` of the work is done, or more."""
        self._share = 1.0 if self.is_proven() else max(share, self._share)
        if self._progress is None:
            return
        self._progress(
            Progress(
                scope=self._scope,
                value=self.plan.cost,
                lower_bound=self.bound,
                unplaced=sum(self.plan.missing),
                share=self._share,
            )
        )
