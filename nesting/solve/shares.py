"""Shares of a budget, for searches that are made of several."""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import replace

from nesting.model.problem import Budget
from nesting.model.terms import StoppedBy


def share_of(budget: Budget, work: float, time_left: float) -> Budget:
    """Return a share of a budget's work, and of the time that is left.

    Parameters
    ----------
    budget
        Of the whole.
    work
        The share of its counted work, 0 to 1.
    time_left
        The share of the time from now to its deadline, 0 to 1.
    """
    deadline = budget.deadline
    if deadline is not None:
        now = time.monotonic()
        deadline = now + max(0.0, deadline - now) * time_left
    return replace(budget, work=max(1, int(budget.work * work)), deadline=deadline)


def what_ended(searches: Iterable[StoppedBy]) -> StoppedBy:
    """Return what ended some searches: the clock, if it ended one of them.

    Of no searches, the proof did.
    """
    order = (StoppedBy.CANCELLED, StoppedBy.CLOCK, StoppedBy.WORK, StoppedBy.PROOF)
    return min(searches, key=order.index, default=StoppedBy.PROOF)
